"""Syntax expressions and points → checked ones: names resolved, kinds known.

Problems are added to the messages; a sub-tree that cannot be understood comes out as None, and what
depends on it stays silent.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

from motif.language import kinds, nodes
from motif.language.foreign import NUMBERS
from motif.language.kinds import ANGLE, LENGTH, NUMBER, PATH, TEXT, TOOL, TRUTH, Kind
from motif.language.messages import Messages
from motif.language.names import Entry, FileNames, Reader
from motif.language.reserved import FUNCTIONS, NAMES_IN_SCOPE, UNITS
from motif.language.source import Span
from motif.language.spelling import nearest, suggestion
from motif.model import expressions as ex
from motif.model.expressions import Expr
from motif.model.geometry import Point
from motif.model.telling import kind_faults, name_faults, value_faults
from motif.model.values import Slot


@dataclass(frozen=True)
class Known:
    """A name made in the text being read: its slot, its kind (``path`` for paths) and where it was made."""

    slot: Slot
    kind: Kind | None
    span: Span


@dataclass
class Braces:
    """The names made inside one pair of braces. ``settings`` are those of givens and lets of a motif or
    figure, which statements may hide."""

    names: dict[str, Known] = field(default_factory=dict)
    settings: bool = False


_VALUES = (nodes.Let, nodes.Tool)
_OF_THE_LIBRARY = frozenset({"motif", "form", "figure", "tool", "clay", "pace"})


class Definitions:
    """What the checker asks of whoever holds the file's definitions."""

    def file_let(self, entry: Entry, at: Span) -> ex.Named | None:
        raise NotImplementedError

    def tool(self, entry: Entry, at: Span) -> ex.Measurable | None:
        raise NotImplementedError

    def library(self) -> Reader:
        raise NotImplementedError


class Checker:
    """Checks what stands inside one definition."""

    def __init__(self, names: FileNames, definitions: Definitions, messages: Messages) -> None:
        self.names = names
        self.messages = messages
        self._definitions = definitions
        self._braces: list[Braces] = []
        self.place_names: frozenset[str] = frozenset()
        self.chord_known = False

    # ------------------------------------------------------------ names

    @contextmanager
    def braces(self, settings: bool = False) -> Iterator[None]:
        self._braces.append(Braces(settings=settings))
        yield
        self._braces.pop()

    def define(self, name: nodes.Name, kind: Kind | None) -> Slot:
        """Make a name in the innermost braces; made again where it reaches is ``defined-twice``."""
        slot = Slot(name.text)
        inner = self._braces[-1]
        for braces in reversed(self._braces):
            before = braces.names.get(name.text)
            if before is not None and (braces.settings == inner.settings):
                self.messages.add(name_faults.made_again(name.span, name.text, before.span))
                return slot
        inner.names[name.text] = Known(slot, kind, name.span)
        return slot

    def local(self, name: str) -> Known | None:
        for braces in reversed(self._braces):
            if name in braces.names:
                return braces.names[name]
        return None

    def unknown(self, name: str, span: Span, what: str, known: Iterable[str]) -> None:
        """Say that a name is unknown, and what may be meant; not if it, or a ``what``, stood in spoiled text."""
        if self.names.is_spoiled(name) or self.names.has_lost(what):
            return
        self.messages.add(name_faults.unknown(span, name, what, self._meant(name, what, known)))

    def _meant(self, name: str, what: str, known: Iterable[str]) -> str:
        """What may be meant by an unknown name (a minus, a figure, a known name, the library's), or how to make it."""
        stem, hyphen, rest = name.rpartition("-")
        if (
            hyphen
            and re.fullmatch(rf"\d+(?:{'|'.join(u for u in UNITS if u.isalpha())})?", rest)
            and (self.local(stem) or stem in self.place_names or self.names.find(stem) is not None)
        ):
            return name_faults.minus_without_spaces(stem, rest)
        if name in ("o", "l") and what == "value":
            return name_faults.letter_for_a_figure(name)
        if what == "value" and name in NUMBERS:
            return name_faults.number_in_letters(NUMBERS[name])
        known = sorted(set(known))
        advice = [near] if (near := suggestion(name, known)) else []
        library = self._definitions.library()
        word = what if what in _OF_THE_LIBRARY else None
        if holders := library.holders(name, word):
            advice.append(name_faults.take_it(name, holders[0]))
        elif not advice and word and (close := nearest(name, library.offered(word), 1)):
            advice.append(name_faults.take_near(close[0], library.holders(close[0], word)[0]))
        return " ".join(advice) or name_faults.make_it(name, what, known)

    def visible_names(self, wanted: Kind | None = None) -> list[str]:
        return [n for b in self._braces for n, k in b.names.items() if wanted is None or k.kind == wanted]

    # ------------------------------------------------------------ expressions

    def expression(self, node: nodes.Expression) -> Expr | None:
        match node:
            case nodes.Number():
                if node.unit is None:
                    return ex.Quantity(node.span, NUMBER, node.value)
                unit = UNITS[node.unit]
                return ex.Quantity(node.span, kinds.quantity(unit.dimension), node.value * unit.factor)
            case nodes.Text():
                return ex.Word(node.span, TEXT, node.value)
            case nodes.Reference():
                return self._reference(node)
            case nodes.Field():
                return self._field(node)
            case nodes.Negate():
                operand = self.expression(node.operand)
                if operand is not None and not operand.kind.is_quantity:
                    self.messages.add(kind_faults.never_negative(operand.span, operand.kind))
                    return None
                return None if operand is None else ex.Minus(node.span, _loose(operand.kind), operand)
            case nodes.Not():
                held = self.expect(node.operand, TRUTH, "'not'")
                return None if held is None else ex.Negation(node.span, TRUTH, held)
            case nodes.Arithmetic():
                return self._arithmetic(node)
            case nodes.Comparison():
                return self._comparison(node)
            case nodes.Logic():
                left = self.expect(node.left, TRUTH, f"'{node.op}'")
                right = self.expect(node.right, TRUTH, f"'{node.op}'")
                return ex.Both(node.span, TRUTH, node.op, left, right) if left and right else None
            case nodes.Call():
                return self._call(node)

    def expect(self, node: nodes.Expression, wanted: Kind, what: str, advice: str | None = None) -> Expr | None:
        """An expression that must be of a kind; ``what`` names who asks for it."""
        e = self.expression(node)
        if e is None or e.kind.fits(wanted):
            return e
        self.messages.add(kind_faults.another_kind(node, e.kind, wanted, what, advice))
        return None

    def _reference(self, node: nodes.Reference) -> Expr | None:
        name = node.name
        if name == "chord":
            if not self.chord_known:
                self.messages.add(value_faults.no_chord(node.span))
                return None
            return ex.ReadChord(node.span, LENGTH)
        known = self.local(name)
        if known is not None:
            if known.kind == PATH:
                self.messages.add(kind_faults.path_for_a_value(node.span, name))
                return None
            return None if known.kind is None else ex.Read(node.span, known.kind, known.slot)
        if name in NAMES_IN_SCOPE:
            if name not in self.place_names:
                self.messages.add(name_faults.not_in_scope(node.span, name, self.place_names))
                return None
            return ex.ReadPlace(node.span, LENGTH if name.startswith("cell-") else kinds.COUNT, name)
        entry = self.names.find(name)
        if entry is None:
            made = (n for n in self.names.known() if (e := self.names.find(n)) and isinstance(e.node, _VALUES))
            known_names = [*self.visible_names(), *self.place_names, *made]
            self.unknown(name, node.span, "value", known_names)
            return None
        if isinstance(entry.node, nodes.Let):
            let = self._definitions.file_let(entry, node.span)
            return None if let is None else ex.ReadLet(node.span, let.expression.kind, let)
        if isinstance(entry.node, nodes.Tool):
            tool = self._definitions.tool(entry, node.span)
            return None if tool is None else ex.ReadTool(node.span, TOOL, tool)
        self.messages.add(kind_faults.definition_for_a_value(node.span, name, entry.node))
        return None

    def _field(self, node: nodes.Field) -> Expr | None:
        owner = self.expect(nodes.Reference(node.owner.span, node.owner.text), TOOL, "what stands before the dot")
        if owner is None:
            return None
        kind = kinds.TOOL_FIELDS.get(node.field.text)
        if kind is None:
            self.messages.add(name_faults.no_such_field(node.field.span, node.field.text, kinds.TOOL_FIELDS))
            return None
        return ex.ToolField(node.span, kinds.quantity(kind), owner, node.field.text)

    def _arithmetic(self, node: nodes.Arithmetic) -> Expr | None:
        left, right = self.expression(node.left), self.expression(node.right)
        if left is None or right is None:
            return None
        for e in (left, right):
            if not e.kind.is_quantity:
                self.messages.add(kind_faults.not_reckoned_with(e.span, e.kind))
                return None
        a, b = left.kind.dimension, right.kind.dimension
        assert a is not None and b is not None
        if node.op in "+-":
            if a != b:
                self.messages.add(kind_faults.cannot_be_added(node, left.kind, right.kind))
                return None
            kind = _loose(left.kind)
        elif node.op == "*":
            kind = kinds.quantity((a[0] + b[0], a[1] + b[1]))
        else:
            kind = kinds.quantity((a[0] - b[0], a[1] - b[1]))
        return ex.Arithmetic(node.span, kind, node.op, left, right)

    def _comparison(self, node: nodes.Comparison) -> Expr | None:
        left, right = self.expression(node.left), self.expression(node.right)
        if left is None or right is None:
            return None
        same = left.kind.fits(right.kind)
        if same and (left.kind.is_quantity or (left.kind in (TEXT, TOOL) and node.op in ("=", "<>"))):
            return ex.Compare(node.span, TRUTH, node.op, left, right)
        self.messages.add(kind_faults.cannot_be_compared(node, left.kind, right.kind))
        return None

    def _call(self, node: nodes.Call) -> Expr | None:
        name = node.function.text
        arguments = [self.expression(a) for a in node.arguments]
        if name not in FUNCTIONS:
            self.unknown(name, node.function.span, "function", FUNCTIONS)
            return None
        least, most = FUNCTIONS[name]
        if len(arguments) < least or (most is not None and len(arguments) > most):
            self.messages.add(kind_faults.wrong_number_of_values(node.span, name, least, most, len(arguments)))
            return None
        if any(a is None for a in arguments):
            return None
        found = [a for a in arguments if a is not None]
        kind = self._call_kind(node, name, found)
        return None if kind is None else ex.Apply(node.span, kind, name, tuple(found))

    def _call_kind(self, node: nodes.Call, name: str, arguments: Sequence[Expr]) -> Kind | None:
        """The kind of a function's value, or None after saying what does not fit."""
        head = arguments[0]
        wanted = {"sin": ANGLE, "cos": ANGLE, "tan": ANGLE, "even": NUMBER, "odd": NUMBER, "chance": NUMBER}.get(name)
        if wanted is not None:
            if not head.kind.fits(wanted):
                self.messages.add(kind_faults.another_kind(node.arguments[0], head.kind, wanted, f"'{name}'"))
                return None
            return TRUTH if name in ("even", "odd") else NUMBER
        for n, a in zip(node.arguments, arguments, strict=True):
            if not a.kind.is_quantity:
                self.messages.add(kind_faults.not_a_measure(a.span, name, a.kind))
                return None
            if not a.kind.fits(head.kind):
                self.messages.add(kind_faults.not_alike(n, name, head.kind, a.kind, head.span))
                return None
        if name == "sqrt":
            dimension = head.kind.dimension
            assert dimension is not None
            if dimension[0] % 2 or dimension[1] % 2:
                self.messages.add(kind_faults.no_root(head.span, head.kind))
                return None
            return kinds.quantity((dimension[0] // 2, dimension[1] // 2))
        return _loose(head.kind)

    # ------------------------------------------------------------ points

    def point(self, node: nodes.Point) -> Point | None:
        """A point whose coordinates are numbers, lengths or (around) an angle; before added lengths, no lengths."""
        lengths = () if node.offset is not None else (LENGTH,)
        a = self._coordinate(node.a, (NUMBER, *lengths, ANGLE), "the first number of a point")
        b = self._coordinate(node.b, (NUMBER, *lengths), "the second number of a point")
        offset = None
        if node.offset is not None:
            x = self.expect(node.offset[0], LENGTH, "what is added to a point")
            y = self.expect(node.offset[1], LENGTH, "what is added to a point")
            if x is None or y is None:
                return None
            offset = (x, y)
        return Point(node.span, a, b, offset) if a is not None and b is not None else None

    def _coordinate(self, node: nodes.Expression, allowed: tuple[Kind, ...], what: str) -> Expr | None:
        e = self.expression(node)
        if e is None or any(e.kind.fits(k) for k in allowed):
            return e
        self.messages.add(kind_faults.coordinate(node, e.kind, allowed, what))
        return None


def _loose(kind: Kind) -> Kind:
    """The kind without the promise of wholeness."""
    return NUMBER if kind.whole else kind
