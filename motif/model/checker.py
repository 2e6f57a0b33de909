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
from motif.language.messages import Message, Messages
from motif.language.names import Entry, FileNames, Reader
from motif.language.reserved import FUNCTIONS, NAMES_IN_SCOPE, UNITS
from motif.language.source import Span
from motif.language.spelling import nearest, suggestion
from motif.language.wording import either, listing
from motif.model import expressions as ex
from motif.model.expressions import Expr
from motif.model.geometry import Point
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


#: How to make what a name is wanted for.
_MADE = {
    "path": "Make it before it is used: path {0} = from (0, 0) line to (1, 1)",
    "value": "Make it before it is used: let {0} = 3 mm",
    "motif": "Write it, motif {0} {{ … }}, or take one from the library: motif library lists them.",
    "form": "Write it, form {0} {{ … }}, or take one from the library: motif library lists them.",
    "tool": "Write it: tool {0} {{ wide 10 mm }}",
    "clay": "Write it: clay {0} {{ shrinks 12 % by fired }}",
    "figure": "Write it: figure {0} {{ … }}",
    "pace": "Write it: pace {0} {{ carve 40 cm each minute }}",
}


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
                self.say(
                    "defined-twice",
                    f"'{name.text}' is already made here.",
                    name.span,
                    "Give one of the two another name.",
                    ((before.span, "made here first"),),
                )
                return slot
        inner.names[name.text] = Known(slot, kind, name.span)
        return slot

    def local(self, name: str) -> Known | None:
        for braces in reversed(self._braces):
            if name in braces.names:
                return braces.names[name]
        return None

    def say(
        self, code: str, text: str, span: Span, advice: str | None = None, others: tuple[tuple[Span, str], ...] = ()
    ) -> None:
        self.messages.add(Message(code, text, span, advice, others))

    def unknown(self, name: str, span: Span, what: str, known: Iterable[str]) -> None:
        """Say that a name is unknown, and what may be meant; not if it, or a ``what``, stood in spoiled text."""
        if self.names.is_spoiled(name) or self.names.has_lost(what):
            return
        self.say("unknown-name", f"There is no {what} called '{name}' here.", span, self._meant(name, what, known))

    def _meant(self, name: str, what: str, known: Iterable[str]) -> str:
        """What may be meant by an unknown name (a minus, a figure, a known name, the library's), or how to make it."""
        stem, hyphen, rest = name.rpartition("-")
        if (
            hyphen
            and re.fullmatch(rf"\d+(?:{'|'.join(u for u in UNITS if u.isalpha())})?", rest)
            and (self.local(stem) or stem in self.place_names or self.names.find(stem) is not None)
        ):
            return f"A minus needs spaces: {stem} - {rest}."
        if name in ("o", "l") and what == "value":
            said, figure = ("nought", "0") if name == "o" else ("one", "1")
            return f"For {said} write the figure {figure}, not a letter."
        if what == "value" and name in NUMBERS:
            return f"Write numbers in figures: {NUMBERS[name]}"
        known = sorted(set(known))
        advice = [near] if (near := suggestion(name, known)) else []
        library = self._definitions.library()
        word = what if what in _OF_THE_LIBRARY else None
        if holders := library.holders(name, word):
            advice.append(_take(name, holders[0]))
        elif not advice and word and (close := nearest(name, library.offered(word), 1)):
            advice.append(f"Did you mean '{close[0]}'? {_take(close[0], library.holders(close[0], word)[0])}")
        if advice:
            return " ".join(advice)
        if what in _MADE:
            there = f"This file has {listing(known)}. " if known and what not in ("path", "value") else ""
            return there + _MADE[what].format(name)
        return f"Known are {listing(known)}."

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
                    self.say(
                        "wrong-kind", f"This is {operand.kind}, which cannot be negative.", operand.span, _MEASURES
                    )
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
        self.say(
            "wrong-kind",
            f"{_cap(what)} takes {wanted}, and this is {e.kind}.",
            node.span,
            advice or slip(node, e.kind, wanted) or written(wanted),
        )
        return None

    def _reference(self, node: nodes.Reference) -> Expr | None:
        name = node.name
        if name == "chord":
            if not self.chord_known:
                self.say("unknown-name", "'chord' is known only in the rise of an arc.", node.span, CHORD)
                return None
            return ex.ReadChord(node.span, LENGTH)
        known = self.local(name)
        if known is not None:
            if known.kind == PATH:
                self.say("wrong-kind", f"'{name}' is a path, and a value is asked for here.", node.span, _MEASURES)
                return None
            return None if known.kind is None else ex.Read(node.span, known.kind, known.slot)
        if name in NAMES_IN_SCOPE:
            if name not in self.place_names:
                self.say("unknown-name", f"'{name}' is not known here.", node.span, _scope_advice(self.place_names))
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
        self.say(
            "wrong-kind", f"'{name}' is a {word_for(entry.node)}, and a value is asked for here.", node.span, _MEASURES
        )
        return None

    def _field(self, node: nodes.Field) -> Expr | None:
        owner = self.expect(nodes.Reference(node.owner.span, node.owner.text), TOOL, "what stands before the dot")
        if owner is None:
            return None
        kind = kinds.TOOL_FIELDS.get(node.field.text)
        if kind is None:
            self.say(
                "unknown-name",
                f"A tool has no '{node.field.text}'.",
                node.field.span,
                suggestion(node.field.text, kinds.TOOL_FIELDS) or "A tool has " + ", ".join(kinds.TOOL_FIELDS) + ".",
            )
            return None
        return ex.ToolField(node.span, kinds.quantity(kind), owner, node.field.text)

    def _arithmetic(self, node: nodes.Arithmetic) -> Expr | None:
        left, right = self.expression(node.left), self.expression(node.right)
        if left is None or right is None:
            return None
        for e in (left, right):
            if not e.kind.is_quantity:
                self.say("wrong-kind", f"This is {e.kind}, which cannot be reckoned with.", e.span, _MEASURES)
                return None
        a, b = left.kind.dimension, right.kind.dimension
        assert a is not None and b is not None
        if node.op in "+-":
            if a != b:
                verb = "added to" if node.op == "+" else "taken from"
                first, second = (left, right) if node.op == "+" else (right, left)
                self.say(
                    "wrong-kind",
                    f"{_cap(str(first.kind))} cannot be {verb} {second.kind}.",
                    node.span,
                    _unit_missing(node.left, left.kind, node.right, right.kind) or _ALIKE,
                    ((left.span, f"this is {left.kind}"), (right.span, f"this is {right.kind}")),
                )
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
        text = (
            f"{_cap(str(left.kind))} cannot be compared with {right.kind}."
            if not same
            else f"{_cap(str(left.kind))} cannot be compared by '{node.op}'."
        )
        self.say(
            "wrong-kind",
            text,
            node.span,
            _unit_missing(node.left, left.kind, node.right, right.kind)
            or (_ALIKE if not same else "Texts and tools are compared by '=' and '<>' only."),
            ((left.span, f"this is {left.kind}"), (right.span, f"this is {right.kind}")),
        )
        return None

    def _call(self, node: nodes.Call) -> Expr | None:
        name = node.function.text
        arguments = [self.expression(a) for a in node.arguments]
        if name not in FUNCTIONS:
            self.unknown(name, node.function.span, "function", FUNCTIONS)
            return None
        least, most = FUNCTIONS[name]
        if len(arguments) < least or (most is not None and len(arguments) > most):
            asked = f"{least}" if most == least else f"at least {least}"
            self.say(
                "wrong-kind",
                f"'{name}' takes {asked} value{'s' if asked != '1' else ''} and has {len(arguments)}.",
                node.span,
                f"Write {_CALLS.get(name, name + '(…)')}.",
            )
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
                self.say(
                    "wrong-kind",
                    f"'{name}' takes {wanted}, and this is {head.kind}.",
                    head.span,
                    slip(node.arguments[0], head.kind, wanted) or written(wanted),
                )
                return None
            return TRUTH if name in ("even", "odd") else NUMBER
        for n, a in zip(node.arguments, arguments, strict=True):
            if not a.kind.is_quantity:
                self.say("wrong-kind", f"'{name}' takes numbers and measures, and this is {a.kind}.", a.span, _MEASURES)
                return None
            if not a.kind.fits(head.kind):
                self.say(
                    "wrong-kind",
                    f"'{name}' takes values of one kind: {head.kind} and {a.kind} do not go together.",
                    a.span,
                    slip(n, a.kind, head.kind) or _ALIKE,
                    ((head.span, f"this is {head.kind}"),),
                )
                return None
        if name == "sqrt":
            dimension = head.kind.dimension
            assert dimension is not None
            if dimension[0] % 2 or dimension[1] % 2:
                self.say(
                    "wrong-kind",
                    f"There is no root of {head.kind}.",
                    head.span,
                    "The root of a length × a length is a length.",
                )
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
        listed = either([str(k) for k in allowed])
        self.say(
            "wrong-kind",
            f"{_cap(what)} takes {listed}, and this is {e.kind}.",
            node.span,
            slip(node, e.kind, LENGTH) or "Cells are counted by plain numbers, clay is measured in mm, cm or in.",
        )
        return None


def _take(name: str, entry: str) -> str:
    return f"The library has it: put 'take {name} from \"{entry}\"' at the top of the file."


def _loose(kind: Kind) -> Kind:
    """The kind without the promise of wholeness."""
    return NUMBER if kind.whole else kind


def _cap(text: str) -> str:
    return text[0].upper() + text[1:]


def _scope_advice(known: frozenset[str]) -> str:
    return "Known here: " + ", ".join(sorted(known)) + "." if known else "It is known inside the rules of a motif."


def _unit_missing(left: nodes.Expression, a: Kind, right: nodes.Expression, b: Kind) -> str | None:
    for bare, kind, other in ((left, a, b), (right, b, a)):
        if isinstance(bare, nodes.Number) and bare.unit is None and kind == NUMBER and other in (LENGTH, ANGLE):
            return slip(bare, kind, other)
    return None


def written(kind: Kind) -> str:
    """How a value of a kind is written, for who wrote one of another."""
    return _WRITTEN.get(kind, "A plain number is asked for, without a unit.")


_WRITTEN = {
    LENGTH: "A length is a number with mm, cm or in: 4 mm, 1/2 in.",
    ANGLE: "An angle is a number with deg or turn: 30 deg, 1/4 turn.",
    kinds.VOLUME: "A volume is a number with ml, tsp or tbsp: 2 ml, 1/8 tsp.",
    TEXT: 'A text stands between quotes: "…".',
    TOOL: "Name a tool of the file, such as one made by: tool stick { wide 10 mm }",
    TRUTH: "A condition compares two values, as in column = 1, or asks, as in odd(row).",
}
_MEASURES = "Use a number or a measure, such as 1/2 or 4 mm, or the name of one."
_ALIKE = "Let both be of one kind: two lengths, two angles, or two plain numbers."
#: Advice on the word ``chord``.
CHORD = "Write it behind 'rise', as in: arc to (1, 0) rise chord / 2"
_CALLS = {
    "remainder": "remainder(column, 3)",
    "min": "min(4 mm, cell-width / 2)",
    "max": "max(4 mm, cell-width / 2)",
}


def slip(node: nodes.Expression, kind: Kind, wanted: Kind) -> str | None:
    """Advice for the likely slip behind a value of the wrong kind."""
    if isinstance(node, nodes.Number) and node.unit is None and wanted in (LENGTH, ANGLE, kinds.VOLUME):
        unit = {LENGTH: "mm", ANGLE: "deg", kinds.VOLUME: "ml"}[wanted]
        return f"A number without its unit? Write {node.span.text} {unit}."
    if isinstance(node, nodes.Number) and node.unit is not None and wanted.fits(NUMBER):
        return f"A plain number is asked for: leave the '{node.unit}' out."
    if isinstance(node, nodes.Arithmetic) and node.op == "/" and isinstance(node.right, nodes.Number):
        right = node.right
        if right.unit is not None:
            amount = right.span.text.removesuffix(right.unit).strip()
            return f"This divides by a length. For a part of it write {node.left.span.text} * 1/{amount} {right.unit}."
    return None


def word_for(node: nodes.Definition) -> str:
    """What a definition is called in messages."""
    return {
        nodes.Let: "named value",
        nodes.Clay: "clay",
        nodes.Form: "form",
        nodes.Tool: "tool",
        nodes.Figure: "figure",
        nodes.Motif: "motif",
        nodes.Piece: "piece",
        nodes.Pace: "pace",
    }[type(node)]
