"""Definitions as written → checked definitions, each once, whoever uses it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal, TypeVar

from motif.language import kinds, nodes
from motif.language.kinds import ANGLE, COUNT, LENGTH, NUMBER, TRUTH, VOLUME
from motif.language.messages import Messages
from motif.language.names import Entry, FileNames, Reader
from motif.language.reserved import Dimension
from motif.language.source import Span
from motif.model import geometry as geo
from motif.model import rules, things
from motif.model.checker import Checker, Definitions
from motif.model.expressions import Expr
from motif.model.footprints import Outline
from motif.model.statements import StatementChecker, given_arguments
from motif.model.telling import definition_faults, kind_faults, name_faults
from motif.model.values import Slot

T = TypeVar("T")

#: a definition stands on no longer chain of others than this
MOST_STEPS = 50

_PLACE_NAMES = {
    "cell": frozenset({"columns", "rows", "column", "row", "cell-width", "cell-height"}),
    "group": frozenset({"columns", "rows", "column", "row", "cell-width", "cell-height"}),
    "crossing": frozenset({"columns", "rows", "vertical", "ring", "cell-width", "cell-height"}),
    "ring": frozenset({"columns", "rows", "ring", "cell-width", "cell-height"}),
    "vertical": frozenset({"columns", "rows", "vertical"}),
    "once": frozenset({"columns", "rows"}),
}
#: a figure may be drawn anywhere, so what its place lacks shows when it is laid
_FIGURE_NAMES = frozenset().union(*_PLACE_NAMES.values())


#: What a rate may measure, by the dimension of what is written.
_MEASURES: dict[Dimension, Literal["count", "length", "area"]] = {
    (0, 0): "count",
    (1, 0): "length",
    (2, 0): "area",
}


class Builder(Definitions):
    """Builds what a file defines and what that needs from other files."""

    def __init__(self, messages: Messages, reader: Reader) -> None:
        self._messages = messages
        self._reader = reader
        self._built: dict[tuple[str, str], Any] = {}
        self._open: list[tuple[str, str, Span]] = []
        self._steps: dict[tuple[str, str], int] = {}
        self._deepest = 0

    # ------------------------------------------------------------ what the checkers ask for

    def file_let(self, entry: Entry, at: Span) -> things.FileLet | None:
        return self._once(entry, at, self._let)

    def tool(self, entry: Entry, at: Span) -> things.Tool | None:
        return self._once(entry, at, self._tool)

    def figure(self, entry: Entry, at: Span) -> rules.Figure | None:
        return self._once(entry, at, self._figure)

    def library(self) -> Reader:
        return self._reader

    # ------------------------------------------------------------ the file

    def build_all(self, names: FileNames) -> None:
        """Build every definition of a file, so that everything wrong in it is said."""
        for node in names.own.values():
            self.build(Entry(node, names), node.name.span)

    def build(self, entry: Entry, at: Span) -> Any:
        makers: dict[type, Callable[[Entry], Any]] = {
            nodes.Let: self._let,
            nodes.Clay: self._clay,
            nodes.Form: self._form,
            nodes.Tool: self._tool,
            nodes.Figure: self._figure,
            nodes.Motif: self._motif,
            nodes.Piece: self._piece,
            nodes.Pace: self._pace,
        }
        return self._once(entry, at, makers[type(entry.node)])

    def _once(self, entry: Entry, at: Span, make: Callable[[Entry], T | None]) -> T | None:
        key = (entry.file.source.name, entry.node.name.text)
        if key in self._built:
            self._count_steps(self._steps.get(key, 0))
            return self._built[key]
        names = [(f, n) for f, n, _ in self._open]
        if key in names:
            ring = [n for _, n in names[names.index(key) :]] + [key[1]]
            self._messages.add(name_faults.leads_back(at, ring, entry.node.name.span))
            return None
        self._open.append((*key, at))
        below, self._deepest = self._deepest, 0
        try:
            made = None if len(self._open) > MOST_STEPS else make(entry)
        except RecursionError:
            if len(self._open) > 1:
                raise
            self._deepest, made = MOST_STEPS, None
        finally:
            self._open.pop()
            steps, self._deepest = self._deepest + 1, below
        if steps > MOST_STEPS:
            self._messages.add(name_faults.too_many_steps(entry.node.name.span, key[1], MOST_STEPS))
            made, steps = None, 0  # said once, not again by whatever uses it
        self._built[key], self._steps[key] = made, steps
        self._count_steps(steps)
        return made

    def _count_steps(self, steps: int) -> None:
        """Note how long a chain of definitions the one being built stands on."""
        self._deepest = max(self._deepest, steps)

    def _checker(self, names: FileNames) -> Checker:
        return Checker(names, self, self._messages)

    def used(self, check: Checker, name: nodes.Name, wanted: type, what: str) -> Any:
        """The definition of a kind that a name means, or None after saying why not."""
        entry = check.names.find(name.text)
        if entry is None:
            known = [
                n for n in check.names.known() if (e := check.names.find(n)) is not None and isinstance(e.node, wanted)
            ]
            check.unknown(name.text, name.span, what, known)
            return None
        if not isinstance(entry.node, wanted):
            check.messages.add(kind_faults.another_definition(name.span, name.text, entry.node, what))
            return None
        return self.build(entry, name.span)

    # ------------------------------------------------------------ small things

    def _let(self, entry: Entry) -> things.FileLet | None:
        node = entry.node
        assert isinstance(node, nodes.Let)
        e = self._checker(entry.file).expression(node.value)
        return None if e is None else things.FileLet(node.span, node.name.text, e, {})

    def _clay(self, entry: Entry) -> things.Clay | None:
        node = entry.node
        assert isinstance(node, nodes.Clay)
        check = self._checker(entry.file)
        found: list[tuple[Expr, str, Span]] = []
        for s in node.shrinkages:
            if any(stage == s.stage.name for _, stage, _ in found):
                check.messages.add(
                    name_faults.stage_again(
                        s.span, s.stage.name, next(span for _, stage, span in found if stage == s.stage.name)
                    )
                )
            e = check.expect(s.by, NUMBER, "'shrinks'")
            if e is not None:
                found.append((e, s.stage.name, s.by.span))
        return things.Clay(node.span, node.name.text, _words(node.description), tuple(found))

    def _tool(self, entry: Entry) -> things.Tool | None:
        node = entry.node
        assert isinstance(node, nodes.Tool)
        check = self._checker(entry.file)
        lengths: list[tuple[str, Expr]] = []
        outline: Outline | None = None
        seen: dict[str, Span] = {}
        sound = True
        for item in node.items:
            if isinstance(item, nodes.Note):
                continue
            word = item.word if isinstance(item, nodes.ToolSize) else "outline"
            if _again(check, seen, word, item.span, "tool"):
                continue
            if isinstance(item, nodes.ToolOutline):
                path = StatementChecker(check, self).path(item.path)
                if path is not None and self._outline_fits(check, path):
                    outline = Outline(item.span, path)
                else:
                    sound = False
                continue
            e = check.expect(item.value, VOLUME if word == "volume" else LENGTH, f"'{word}'")
            sound &= e is not None
            if e is not None:
                lengths.append((word, e))
        return (
            things.Tool(node.span, node.name.text, _words(node.description), tuple(lengths), outline) if sound else None
        )

    @staticmethod
    def _outline_fits(check: Checker, path: geo.Path) -> bool:
        if not path.closed:
            check.messages.add(definition_faults.open_outline(path.span))
            return False
        points = [path.start]
        for s in path.segments:
            points.append(s.to)
            if isinstance(s, geo.ArcThrough):
                points.append(s.through)
            elif isinstance(s, geo.Curve):
                points += [s.leaving, s.arriving]
        for p in points:
            for e in (p.a, p.b):
                if e.kind != LENGTH:
                    check.messages.add(kind_faults.outline_not_in_lengths(e.span, e.kind))
                    return False
        return True

    # ------------------------------------------------------------ motifs and figures

    def _given(self, check: Checker, node: nodes.Given) -> rules.Given:
        kind = kinds.BY_WORD[node.kind.text]
        default = None if node.default is None else check.expect(node.default, kind, f"'{node.name.text}'")
        slot = check.define(node.name, kind)
        return rules.Given(
            node.span, slot, node.name.text, kind, default, node.default is None, _words(node.description)
        )

    def _setting(self, check: Checker, node: nodes.Let) -> rules.Let | None:
        e = check.expression(node.value)
        slot = check.define(node.name, None if e is None else e.kind)
        return None if e is None else rules.Let(node.span, slot, e)

    def _figure(self, entry: Entry) -> rules.Figure | None:
        node = entry.node
        assert isinstance(node, nodes.Figure)
        check = self._checker(entry.file)
        width = height = None
        if node.size is not None:
            width = check.expect(node.size[0], NUMBER, "a figure's width")
            height = check.expect(node.size[1], NUMBER, "a figure's height")
            if width is None or height is None:
                return None
        with check.braces(settings=True):
            givens = tuple(self._given(check, g) for g in node.givens)
            check.place_names = _FIGURE_NAMES
            with check.braces():
                body = StatementChecker(check, self).body(node.body)
        return rules.Figure(node.span, node.name.text, _words(node.description), width, height, givens, body)

    def _motif(self, entry: Entry) -> rules.Motif | None:
        node = entry.node
        assert isinstance(node, nodes.Motif)
        check = self._checker(entry.file)
        settings: list[rules.Given | rules.Let] = []
        notes: list[str] = []
        grid: rules.Grid | None = None
        grid_at: Span | None = None
        made: list[rules.Rule] = []
        with check.braces(settings=True):
            for item in node.items:
                match item:
                    case nodes.Given():
                        settings.append(self._given(check, item))
                    case nodes.Let():
                        let = self._setting(check, item)
                        if let is not None:
                            settings.append(let)
                    case nodes.Note():
                        notes.append(item.text.value)
                    case nodes.Grid():
                        if grid_at is not None:
                            check.messages.add(name_faults.grid_again(item.span, grid_at))
                        grid_at, grid = item.span, self._grid(check, item)
                    case nodes.Rule():
                        rule = self._rule(check, item)
                        if rule is not None:
                            made.append(rule)
        if grid_at is None and not check.names.has_gap(node.span):
            check.messages.add(definition_faults.no_grid(node.name.span, node.name.text))
        if grid is None:
            return None
        return rules.Motif(
            node.span, node.name.text, _words(node.description), tuple(settings), grid, tuple(made), tuple(notes)
        )

    def _grid(self, check: Checker, node: nodes.Grid) -> rules.Grid | None:
        c, r = node.columns, node.rows
        columns = self._division(check, c, {"number": COUNT, "near": LENGTH, "proportional": NUMBER}[c.law], "columns")
        rows = self._division(
            check, r, {"number": COUNT, "every": LENGTH, "near": LENGTH, "proportional": NUMBER}[r.law], "rows"
        )
        shift = None
        if node.shift is not None:
            by = check.expect(node.shift.by, NUMBER, "'shifted'")
            if by is None:
                return None
            shift = rules.GridShift(node.shift.span, by, node.shift.each)
        if columns is None or rows is None:
            return None
        sound = True
        if c.law == "proportional" and r.law != "number":
            check.messages.add(definition_faults.proportion_without_rows(c.span))
            sound = False
        for part, word in ((c, "columns"), (r, "rows")):
            if part.spaced and part.law != "number":
                check.messages.add(definition_faults.spaced_without_number(part.span, word))
                sound = False
        if r.by_height and r.law == "proportional":
            check.messages.add(definition_faults.proportion_by_height(r.span))
            sound = False
        if c.each_row and node.shift is not None and node.shift.each == "column":
            check.messages.add(definition_faults.uneven_rows_shifted(node.shift.span))
            sound = False
        if not sound:
            return None
        return rules.Grid(
            node.span,
            rules.Columns(c.span, c.law, columns[0], columns[1], columns[2], c.each_row),
            rules.Rows(r.span, r.law, rows[0], rows[1], rows[2], r.by_height),
            shift,
        )

    def _division(
        self, check: Checker, node: nodes.Columns | nodes.Rows, kind: kinds.Kind, word: str
    ) -> tuple[tuple[Expr, ...], Expr | None, tuple[Expr, ...]] | None:
        number = node.law == "number"
        values = [
            check.expect(
                v,
                kind,
                f"'{word}'" if number else f"'{word} {node.law}'",
                kind_faults.size_for_a_number(word, v) if number else None,
            )
            for v in node.values
        ]
        multiple = None if node.multiple is None else check.expect(node.multiple, COUNT, "'multiple of'")
        spaced = [check.expect(v, NUMBER, "'spaced'") for v in node.spaced]
        if any(e is None for e in (*values, *spaced)) or (node.multiple is not None and multiple is None):
            return None
        return tuple(e for e in values if e is not None), multiple, tuple(e for e in spaced if e is not None)

    def _rule(self, check: Checker, node: nodes.Rule) -> rules.Rule | None:
        group = None
        check.place_names = frozenset({"columns", "rows"})
        if node.group is not None:
            m = check.expect(node.group[0], COUNT, "a group of cells")
            n = check.expect(node.group[1], COUNT, "a group of cells")
            if m is None or n is None:
                check.place_names = frozenset()
                return None
            group = (m, n)
        check.place_names = _PLACE_NAMES[node.place]
        condition = None if node.condition is None else check.expect(node.condition, TRUTH, "'where'")
        statements = StatementChecker(check, self)
        statements.whole_lines = node.place in ("ring", "vertical")
        statements.has_cell = node.place in ("cell", "group")
        with check.braces():
            body = statements.body(node.body)
        check.place_names = frozenset()
        if node.condition is not None and condition is None:
            return None
        return rules.Rule(node.span, node.place, group, condition, body)

    # ------------------------------------------------------------ forms and pieces

    def _place(self, check: Checker, node: nodes.WallPlace) -> things.WallPlace | None:
        terms = []
        for sign, e in node.terms:
            length = check.expect(e, LENGTH, "a place on the wall")
            if length is None:
                return None
            terms.append((sign, length))
        return things.WallPlace(node.span, node.origin, tuple(terms))

    def _reserve(self, check: Checker, node: nodes.Reserve) -> things.Reserve | None:
        start, to = self._place(check, node.start), self._place(check, node.to)
        facing = check.expect(node.facing, ANGLE, "'facing'")
        wide = check.expect(node.wide, LENGTH, "'wide'")
        if start is None or to is None or facing is None or wide is None:
            return None
        return things.Reserve(node.span, node.name.value, start, to, facing, wide)

    def _form(self, entry: Entry) -> things.Form | None:
        node = entry.node
        assert isinstance(node, nodes.Form)
        check = self._checker(entry.file)
        seen: dict[str, Span] = {}
        stage, stage_span, clay, thickness, side = "leather-hard", None, None, None, "outside"
        profile: nodes.Profile | None = None
        reserves: list[things.Reserve] = []
        notes: list[str] = []
        sound = True
        for item in node.items:
            match item:
                case nodes.Note():
                    notes.append(item.text.value)
                case nodes.Reserve():
                    reserve = self._reserve(check, item)
                    sound &= reserve is not None
                    if reserve is not None:
                        reserves.append(reserve)
                case nodes.Measured() if not _again(check, seen, "measured", item.span, "form"):
                    stage, stage_span = item.stage.name, item.stage.span
                case nodes.UsesClay() if not _again(check, seen, "clay", item.span, "form"):
                    clay = self.used(check, item.clay, nodes.Clay, "clay")
                    sound &= clay is not None
                case nodes.Thickness() if not _again(check, seen, "thickness", item.span, "form"):
                    thickness = check.expect(item.value, LENGTH, "'thickness'")
                    sound &= thickness is not None
                case nodes.DecoratedSide() if not _again(check, seen, "decorated", item.span, "form"):
                    side = item.side
                case nodes.Profile() if not _again(check, seen, "profile", item.span, "form"):
                    profile = item
        if profile is None:
            if not check.names.has_gap(node.span):
                check.messages.add(definition_faults.no_profile(node.name.span, node.name.text))
            return None
        stations: list[things.Station] = []
        for s in profile.stations:
            at = check.expect(s.at, LENGTH, "'at'")
            size = check.expect(s.size, LENGTH, f"'{s.measure}'")
            sound &= at is not None and size is not None
            if at is not None and size is not None:
                stations.append(things.Station(s.span, at, s.measure, size, s.corner))
        if not sound:
            return None
        return things.Form(
            node.span,
            node.name.text,
            _words(node.description),
            stage,
            stage_span,
            clay,
            thickness,
            "inside" if side == "inside" else "outside",
            profile.joined == "smooth",
            profile.by_tape,
            tuple(stations),
            profile.span,
            tuple(reserves),
            tuple(notes),
        )

    def _piece(self, entry: Entry) -> things.Piece | None:
        node = entry.node
        assert isinstance(node, nodes.Piece)
        check = self._checker(entry.file)
        statements = StatementChecker(check, self)
        seen: dict[str, Span] = {}
        form: things.Form | None = None
        named_form = False
        decorated = dimensions = None
        pace: things.Pace | None = None
        items: list[things.PieceItem] = []
        reserves: list[things.Reserve] = []
        notes: list[str] = []
        sound = True
        for item in node.items:
            match item:
                case nodes.Note():
                    notes.append(item.text.value)
                case nodes.UsesForm() if not _again(check, seen, "form", item.span, "piece"):
                    named_form = True
                    form = self.used(check, item.form, nodes.Form, "form")
                case nodes.DecoratedAt() if not _again(check, seen, "decorated", item.span, "piece"):
                    decorated = (item.stage.name, item.stage.span)
                case nodes.DimensionsAt() if not _again(check, seen, "dimensions", item.span, "piece"):
                    dimensions = (item.stage.name, item.stage.span)
                case nodes.UsesPace() if not _again(check, seen, "pace", item.span, "piece"):
                    pace = self.used(check, item.pace, nodes.Pace, "pace")
                    sound &= pace is not None
                case nodes.Reserve():
                    reserve = self._reserve(check, item)
                    sound &= reserve is not None
                    if reserve is not None:
                        reserves.append(reserve)
                case nodes.Band():
                    band = self._band(check, item)
                    sound &= band is not None
                    if band is not None:
                        items.append(band)
                case nodes.RingWork():
                    at, how = self._place(check, item.at), statements.how(item.modifiers)
                    sound &= at is not None and how is not None
                    if at is not None and how is not None:
                        items.append(things.RingWork(item.span, item.technique.text, at, how))
                case nodes.EdgeWork():
                    how = statements.how(item.modifiers)
                    by = None if item.by is None else check.expect(item.by, LENGTH, "the distance from the edge")
                    if how is None or (item.by is not None and by is None):
                        sound = False
                        continue
                    items.append(
                        things.EdgeWork(
                            item.span, item.technique.text, item.reserve.value, item.reserve.span, by, item.side, how
                        )
                    )
        if not named_form and not check.names.has_gap(node.span):
            check.messages.add(definition_faults.no_form(node.name.span, node.name.text, _a_form(check)))
        if form is None or not sound:
            return None
        return things.Piece(
            node.span,
            node.name.text,
            _words(node.description),
            form,
            decorated,
            dimensions,
            tuple(items),
            tuple(reserves),
            tuple(notes),
            pace,
        )

    def _pace(self, entry: Entry) -> things.Pace | None:
        node = entry.node
        assert isinstance(node, nodes.Pace)
        check = self._checker(entry.file)
        seen: dict[str, Span] = {}
        rates: list[things.Rate] = []
        spare: Expr | None = None
        sound = True
        for item in node.items:
            match item:
                case nodes.Rate():
                    rate = self._rate(check, item)
                    sound &= rate is not None
                    if rate is None:
                        continue
                    key = (rate.technique, rate.measure, rate.tool and rate.tool.name)
                    before = next((r for r in rates if (r.technique, r.measure, r.tool and r.tool.name) == key), None)
                    if before is not None:
                        check.messages.add(name_faults.rate_again(item.span, rate.technique, before.span))
                        sound = False
                    rates.append(rate)
                case nodes.Spare() if not _again(check, seen, "spare", item.span, "pace"):
                    spare = check.expect(item.part, NUMBER, "'spare'")
                    sound &= spare is not None
        if not sound:
            return None
        return things.Pace(node.span, node.name.text, _words(node.description), tuple(rates), spare)

    def _rate(self, check: Checker, node: nodes.Rate) -> things.Rate | None:
        tool = None if node.tool is None else self.used(check, node.tool, nodes.Tool, "tool")
        if node.by is not None:
            sides = [check.expect(side, LENGTH, "the side of an area") for side in (node.amount, node.by)]
            measure, amounts = _MEASURES[2, 0], tuple(e for e in sides if e is not None)
            sound = len(amounts) == len(sides)
        else:
            amount = check.expression(node.amount)
            sound = amount is not None and self._is_rate(check, node, amount)
            if amount is None or not sound:
                return None
            assert amount.kind.dimension is not None
            measure, amounts = _MEASURES[amount.kind.dimension], (amount,)
        if not sound or (node.tool is not None and tool is None):
            return None
        return things.Rate(node.span, node.technique.text, measure, amounts, node.each, tool)

    @staticmethod
    def _is_rate(check: Checker, node: nodes.Rate, amount: Expr) -> bool:
        if amount.kind.dimension in _MEASURES:
            return True
        check.messages.add(kind_faults.rate(node.amount.span, amount.kind, node.technique.text))
        return False

    def _band(self, check: Checker, node: nodes.Band) -> things.Band | None:
        motif: rules.Motif | None = self.used(check, node.motif, nodes.Motif, "motif")
        sound = motif is not None
        arguments: tuple[tuple[Slot, Expr], ...] = ()
        if motif is not None:
            given = given_arguments(check, node.arguments, motif.givens, f"motif '{motif.name}'", node.motif.span)
            sound &= given is not None
            arguments = given or ()
        else:
            for a in node.arguments:
                check.expression(a.value)
        reach = None
        if node.reach is not None:
            start, to = self._place(check, node.reach[0]), self._place(check, node.reach[1])
            sound &= start is not None and to is not None
            if start is not None and to is not None:
                reach = (start, to)
        panels: list[tuple[Expr, Expr]] = []
        for p in node.panels:
            first = check.expect(p.first, COUNT, "'only columns'")
            last = first if p.last is None else check.expect(p.last, COUNT, "'only columns'")
            sound &= first is not None and last is not None
            if first is not None and last is not None:
                panels.append((first, last))
        starting = None if node.starting is None else check.expect(node.starting, ANGLE, "'starting at'")
        if motif is None or not sound or (node.starting is not None and starting is None):
            return None
        return things.Band(node.span, motif, arguments, reach, tuple(panels), starting)


def _again(check: Checker, seen: dict[str, Span], word: str, span: Span, what: str) -> bool:
    """Say so where a word that may stand once in a definition stands again."""
    before = seen.setdefault(word, span)
    if before is span:
        return False
    check.messages.add(name_faults.said_again(span, what, word, before))
    return True


def _a_form(check: Checker) -> str:
    """The name of a form of the file, or a likely one."""
    forms = (n for n in check.names.known() if (e := check.names.find(n)) and isinstance(e.node, nodes.Form))
    return next(forms, "cup")


def _words(text: nodes.Text | None) -> str | None:
    return None if text is None else text.value
