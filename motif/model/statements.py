"""Statements and geometry as written → checked ones."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Protocol

from motif.language import nodes
from motif.language.kinds import ANGLE, COUNT, LENGTH, NUMBER, PATH, TEXT, TOOL, TRUTH
from motif.language.reserved import RESERVED
from motif.language.source import Span
from motif.model import geometry as geo
from motif.model import rules
from motif.model.checker import Checker
from motif.model.expressions import Expr
from motif.model.techniques import TECHNIQUES
from motif.model.telling import definition_faults, kind_faults, name_faults
from motif.model.values import Slot


class Figures(Protocol):
    """Whoever can look up the figure, clay, form … that a name means."""

    def used(self, check: Checker, name: nodes.Name, wanted: type, what: str) -> Any: ...


class StatementChecker:
    """Checks the statements of one rule or figure.

    ``whole_lines``: ``along`` has a ring or vertical to mean. ``has_cell``: a figure has a cell to fill
    (in a figure's own body, unknown until it is drawn, so allowed)."""

    def __init__(self, check: Checker, figures: Figures) -> None:
        self._check = check
        self._figures = figures
        self.whole_lines = False
        self.has_cell = True

    def body(self, written: Sequence[nodes.Statement]) -> tuple[rules.Statement, ...]:
        made = (self.statement(s) for s in written)
        return tuple(s for s in made if s is not None)

    def statement(self, node: nodes.Statement) -> rules.Statement | None:
        check = self._check
        match node:
            case nodes.Note():
                return None
            case nodes.Let():
                e = check.expression(node.value)
                slot = check.define(node.name, None if e is None else e.kind)
                return None if e is None else rules.Let(node.span, slot, e)
            case nodes.PathDefinition():
                geometry = self.geometry(node.geometry)
                slot = check.define(node.name, PATH if geometry is not None else None)
                return None if geometry is None else rules.PathName(node.span, slot, geometry)
            case nodes.Work():
                return self._work(node)
            case nodes.If():
                return self._if(node)
            case nodes.Repeat():
                count = check.expect(node.count, COUNT, "'repeat'")
                with check.braces():
                    slot = check.define(node.name, COUNT)
                    body = self.body(node.body)
                return None if count is None else rules.Repeat(node.span, count, slot, body)
            case nodes.DrawGroup():
                with check.braces():
                    body = self.body(node.body)
                moves = self._moves(node.moves)
                return None if moves is None else rules.Draw(node.span, body, None, (), None, moves)
            case nodes.DrawFigure():
                return self._draw_figure(node)

    def _if(self, node: nodes.If) -> rules.If | None:
        check = self._check
        branches: list[tuple[Expr | None, tuple[rules.Statement, ...]]] = []
        sound = True
        for branch in node.branches:
            condition = check.expect(branch.condition, TRUTH, "'if'")
            sound &= condition is not None
            with check.braces():
                branches.append((condition, self.body(branch.body)))
        if node.otherwise is not None:
            with check.braces():
                branches.append((None, self.body(node.otherwise)))
        return rules.If(node.span, tuple(branches)) if sound else None

    def _draw_figure(self, node: nodes.DrawFigure) -> rules.Draw | None:
        check = self._check
        figure: rules.Figure | None = self._figures.used(check, node.figure, nodes.Figure, "figure")
        arguments: tuple[tuple[Slot, Expr], ...] | None = ()
        if figure is not None:
            arguments = given_arguments(
                check, node.arguments, figure.givens, f"figure '{figure.name}'", node.figure.span
            )
        else:
            for a in node.arguments:
                check.expression(a.value)
        box = None
        sound = True
        if node.box is not None:
            start, to = check.point(node.box[0]), check.point(node.box[1])
            sound = start is not None and to is not None
            if start is not None and to is not None:
                box = (start, to)
        elif not self.has_cell:
            check.messages.add(definition_faults.no_cell_to_fill(node.span, node.figure.text))
            sound = False
        moves = self._moves(node.moves)
        if figure is None or arguments is None or moves is None or not sound:
            return None
        return rules.Draw(node.span, None, figure, arguments, box, moves)

    def _moves(self, written: Sequence[nodes.Move]) -> tuple[rules.Move, ...] | None:
        check = self._check
        made: list[rules.Move | None] = []
        for m in written:
            match m:
                case nodes.RotatedTimes():
                    count = check.expect(m.count, COUNT, "'rotated … times'")
                    made.append(None if count is None else rules.Turns(m.span, count))
                case nodes.Rotated():
                    angle = check.expect(m.angle, ANGLE, "'rotated'")
                    made.append(None if angle is None else rules.Turn(m.span, angle))
                case nodes.Mirrored():
                    made.append(rules.Mirror(m.span, m.axis, keeps=True))
                case nodes.Reversed():
                    made.append(rules.Mirror(m.span, m.axis, keeps=False))
                case nodes.Moved():
                    by = check.point(m.by)
                    made.append(None if by is None else rules.Shift(m.span, by))
        return tuple(m for m in made if m is not None) if all(m is not None for m in made) else None

    # ------------------------------------------------------------ technique lines

    def _work(self, node: nodes.Work) -> rules.Work | None:
        technique = node.technique.text
        geometries = [self.geometry(g) for g in node.geometries]
        how = self.how(node.modifiers)
        if how is None or any(g is None for g in geometries):
            return None
        found = tuple(g for g in geometries if g is not None)
        if not TECHNIQUES[technique].makes_points:
            for g in found:
                if isinstance(g, geo.Dot | geo.Footprint | geo.MarksAlong):
                    self._check.messages.add(definition_faults.line_technique_on_a_mark(g.span, technique))
                    return None
        if technique == "roulette" and how.pitch is None and how.tool is None:
            self._check.messages.add(definition_faults.no_spacing(node.span))
            return None
        return rules.Work(node.span, technique, found, how)

    def how(self, written: Sequence[nodes.Modifier]) -> rules.How | None:
        """The modifiers of a technique line, or None after saying what does not fit."""
        check = self._check
        found: dict[str, Any] = {}
        sound = True
        for m in written:
            if m.value is None:
                found["unbroken"] = True
                continue
            if m.word == "colour" and self._is_bare_word(m.value):
                check.messages.add(name_faults.bare_colour(m.value.span, m.value.span.text))
                sound = False
                continue
            kind = {"with": TOOL, "colour": TEXT}.get(m.word, LENGTH)
            if m.word == "with" and isinstance(m.value, nodes.Reference):
                e = self._tool(nodes.Name(m.value.span, m.value.name))
            else:
                e = check.expect(m.value, kind, f"'{m.word}'")
            sound &= e is not None
            found["tool" if m.word == "with" else m.word] = e
        return rules.How(**found) if sound else None

    def _is_bare_word(self, node: nodes.Expression) -> bool:
        """Whether a value is a single word that nothing is called by."""
        names = self._check.names
        return (
            isinstance(node, nodes.Reference)
            and node.name not in RESERVED
            and self._check.local(node.name) is None
            and names.find(node.name) is None
            and not names.is_spoiled(node.name)
        )

    # ------------------------------------------------------------ geometry

    def geometry(self, node: nodes.Geometry) -> geo.Geometry | None:
        check = self._check
        match node:
            case nodes.PathFrom():
                return self.path(node)
            case nodes.Rectangle():
                start, to = check.point(node.start), check.point(node.to)
                return geo.Rectangle(node.span, start, to) if start and to else None
            case nodes.Circle():
                at = check.point(node.at)
                across = self._size(node.across, "'across'")
                return geo.Circle(node.span, at, across) if at and across else None
            case nodes.Dot():
                at = check.point(node.at)
                wide = None if node.across is None else check.expect(node.across, LENGTH, "'across' of a dot")
                return geo.Dot(node.span, at, wide) if at and (wide or node.across is None) else None
            case nodes.Footprint():
                tool = self._tool(node.tool)
                at = check.point(node.at)
                tilted = None if node.tilted is None else check.expect(node.tilted, ANGLE, "'tilted'")
                return (
                    geo.Footprint(node.span, tool, at, tilted)
                    if tool and at and (tilted or node.tilted is None)
                    else None
                )
            case nodes.DotsAlong():
                path = self._path_name(node.path)
                every = check.expect(node.every, LENGTH, "'every'")
                wide = None if node.across is None else check.expect(node.across, LENGTH, "'across' of a dot")
                if path is None or every is None or (wide is None and node.across is not None):
                    return None
                return geo.MarksAlong(node.span, path, None, every, wide)
            case nodes.FootprintsAlong():
                tool = self._tool(node.tool)
                path = self._path_name(node.path)
                every = check.expect(node.every, LENGTH, "'every'")
                return geo.MarksAlong(node.span, path, tool, every, None) if tool and path and every else None
            case nodes.NamedPath():
                path = self._path_name(nodes.Name(node.span, node.name))
                return None if path is None else geo.NamedPath(node.span, path)
            case nodes.Offset():
                path = self._path_name(node.path)
                by = check.expect(node.by, LENGTH, "'offset … by'")
                return geo.Offset(node.span, path, node.side, by) if path and by else None
            case nodes.Along():
                if not self.whole_lines:
                    check.messages.add(definition_faults.along_nothing(node.span))
                    return None
                return geo.WholeLine(node.span)
            case nodes.ClearOf():
                inner = self.geometry(node.geometry)
                path = self._path_name(node.path)
                by = check.expect(node.by, LENGTH, "'clear of … by'")
                return geo.ClearOf(node.span, inner, path, by) if inner and path and by else None
            case nodes.Within():
                inner = self.geometry(node.geometry)
                path = self._path_name(node.path)
                return geo.Within(node.span, inner, path) if inner and path else None

    def path(self, node: nodes.PathFrom) -> geo.Path | None:
        check = self._check
        start = check.point(node.start)
        made: list[geo.Segment] = []
        for s in node.segments:
            to = check.point(s.to)
            segment: geo.Segment | None = None
            match s:
                case nodes.LineTo():
                    segment = None if to is None else geo.Line(s.span, to)
                case nodes.TautTo():
                    segment = None if to is None else geo.Taut(s.span, to)
                case nodes.ArcRise():
                    check.chord_known = True
                    rise = self._size(s.rise, "'rise'")
                    check.chord_known = False
                    segment = geo.Arc(s.span, to, rise) if to and rise else None
                case nodes.ArcThrough():
                    through = check.point(s.through)
                    segment = geo.ArcThrough(s.span, to, through) if to and through else None
                case nodes.CurveTo():
                    leaving, arriving = check.point(s.leaving), check.point(s.arriving)
                    segment = geo.Curve(s.span, to, leaving, arriving) if to and leaving and arriving else None
            if segment is not None:
                made.append(segment)
        if start is None or len(made) < len(node.segments):
            return None
        return geo.Path(node.span, start, tuple(made), node.closed)

    def _size(self, node: nodes.Expression, what: str) -> Expr | None:
        """A number (cells) or a length (clay)."""
        e = self._check.expression(node)
        if e is None or e.kind.fits(NUMBER) or e.kind.fits(LENGTH):
            return e
        self._check.messages.add(kind_faults.cells_or_clay(node.span, e.kind, what))
        return None

    def _tool(self, name: nodes.Name) -> Expr | None:
        """The tool that is set down somewhere."""
        check = self._check
        entry = check.names.find(name.text)
        if check.local(name.text) is None and (entry is None or not isinstance(entry.node, nodes.Tool | nodes.Let)):
            self._figures.used(check, name, nodes.Tool, "tool")
            return None
        return check.expect(nodes.Reference(name.span, name.text), TOOL, "what is set down here")

    def _path_name(self, name: nodes.Name) -> Slot | None:
        check = self._check
        known = check.local(name.text)
        if known is None:
            if (entry := check.names.find(name.text)) is not None and isinstance(entry.node, nodes.Figure | nodes.Tool):
                check.messages.add(kind_faults.not_a_path(name.span, name.text, entry.node))
            else:
                check.unknown(name.text, name.span, "path", check.visible_names(PATH))
            return None
        if known.kind is None:
            return None
        if known.kind != PATH:
            check.messages.add(kind_faults.value_for_a_path(name.span, name.text, known.kind))
            return None
        return known.slot


def given_arguments(
    check: Checker, written: Sequence[nodes.Argument], givens: Sequence[rules.Given], what: str, at: Span
) -> tuple[tuple[Slot, Expr], ...] | None:
    """The arguments of a motif or figure by slot, or None after saying what does not fit."""
    by_name = {g.name: g for g in givens}
    found: dict[str, tuple[Slot, Expr]] = {}
    places: dict[str, Span] = {}
    sound = True
    for a in written:
        given = by_name.get(a.name.text)
        if given is None:
            if not check.names.is_spoiled(a.name.text):
                check.messages.add(name_faults.no_such_given(a.name.span, what, a.name.text, list(by_name)))
            check.expression(a.value)
            sound = False
            continue
        if a.name.text in places:
            check.messages.add(name_faults.set_again(a.name.span, a.name.text, places[a.name.text]))
        places[a.name.text] = a.name.span
        e = check.expect(a.value, given.kind, f"'{given.name}'")
        sound &= e is not None
        if e is not None:
            found[given.name] = (given.slot, e)
    for g in givens:
        if g.required and g.name not in places:
            check.messages.add(kind_faults.given_not_set(at, what, g.name, g.kind, g.description))
            sound = False
    return tuple(found.values()) if sound else None
