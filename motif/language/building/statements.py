"""Lines and marks, and what is done with them."""

from __future__ import annotations

from typing import Any

from motif.language import nodes
from motif.language.building.base import Branch, folded, listed
from motif.language.building.values import Values
from motif.language.source import Span


class Statements(Values):
    """Lines, marks, and the statements of a rule or figure."""

    # -------------------------------------------------------------------------------------- geometry

    def point(self, tree: Any) -> nodes.Point:
        a, b, *offset = tree.children
        if offset[0] is None:
            return nodes.Point(self.span(tree), self.value(a), self.value(b))
        return nodes.Point(
            self.span(tree), self.value(a), self.value(b), (self.value(offset[0]), self.value(offset[1]))
        )

    def geometry(self, tree: Any) -> nodes.Geometry:
        return self.nested(tree, self._geometry)

    def _geometry(self, tree: Branch) -> nodes.Geometry:
        span = self.span(tree)
        c: list[Any] = tree.children
        match tree.data:
            case "drawn_line":
                return self.drawn_line(tree)
            case "rectangle":
                return nodes.Rectangle(span, self.point(c[0]), self.point(c[1]))
            case "circle":
                return nodes.Circle(span, self.point(c[0]), self.value(c[1]))
            case "dot":
                return nodes.Dot(span, self.point(c[0]), self.value_if(c[1]))
            case "dots_along":
                return nodes.DotsAlong(span, self.name(c[0]), self.value(c[1]), self.value_if(c[2]))
            case "footprint":
                return nodes.Footprint(span, self.name(c[0]), self.point(c[1]), self.value_if(c[2]))
            case "footprints_along":
                return nodes.FootprintsAlong(span, self.name(c[0]), self.name(c[1]), self.value(c[2]))
            case "named_path":
                return nodes.NamedPath(span, str(c[0]))
            case "offset":
                side: Any = "left" if c[1] is None else str(c[1])
                return nodes.Offset(span, self.name(c[0]), side, self.value(c[2]))
            case "along":
                return nodes.Along(span)
            case "clear_of":
                return nodes.ClearOf(span, self.geometry(c[0]), self.name(c[1]), self.value(c[2]))
            case "within":
                return nodes.Within(span, self.geometry(c[0]), self.name(c[1]))
        raise AssertionError(tree.data)

    def drawn_line(self, tree: Branch) -> nodes.PathFrom:
        start, *segments, close = tree.children
        return nodes.PathFrom(
            self.span(tree), self.point(start), tuple(self.segment(s) for s in segments), close is not None
        )

    def segment(self, tree: Any) -> nodes.Segment:
        span, (to, *rest) = self.span(tree), tree.children
        match tree.data:
            case "line_to":
                return nodes.LineTo(span, self.point(to))
            case "taut_to":
                return nodes.TautTo(span, self.point(to))
            case "arc_rise":
                return nodes.ArcRise(span, self.point(to), self.value(rest[0]))
            case "arc_through":
                return nodes.ArcThrough(span, self.point(to), self.point(rest[0]))
            case "curve_to":
                return nodes.CurveTo(span, self.point(to), self.point(rest[0]), self.point(rest[1]))
        raise AssertionError(tree.data)

    # ------------------------------------------------------------------------------------ statements

    def block(self, tree: Any) -> tuple[nodes.Statement, ...]:
        return tuple(self.statement(s) for s in listed(tree.children[0]))

    def statement(self, tree: Any) -> nodes.Statement:
        span = self.span(tree)
        c: list[Any] = tree.children
        match tree.data:
            case "note":
                return self.note(tree)
            case "let":
                return self.let(tree)
            case "path":
                return nodes.PathDefinition(span, self.name(c[0]), self.geometry(c[1]))
            case "work":
                geometries = [g for g in c[1:] if g.data != "modifier"]
                return nodes.Work(
                    span,
                    self.name(c[0]),
                    tuple(self.geometry(g) for g in geometries),
                    self.modifiers(c[1 + len(geometries) :]),
                )
            case "if":
                *branches, otherwise = c
                return nodes.If(
                    span, tuple(self.branch(b) for b in branches), None if otherwise is None else self.block(otherwise)
                )
            case "repeat":
                return nodes.Repeat(span, self.value(c[0]), self.name(c[1]), self.block(c[2]))
            case "draw_figure":
                figure, arguments, box, *moves = c
                return nodes.DrawFigure(
                    span,
                    self.name(figure),
                    self.arguments(arguments),
                    None if box is None else (self.point(box.children[0]), self.point(box.children[1])),
                    tuple(self.move(m) for m in moves),
                )
            case "draw_group":
                return nodes.DrawGroup(span, self.block(c[0]), tuple(self.move(m) for m in c[1:]))
        raise AssertionError(tree.data)

    def note(self, tree: Branch) -> nodes.Note:
        return nodes.Note(self.span(tree), self.text(tree.children[0]))

    def let(self, tree: Branch) -> nodes.Let:
        name, described, value, description = tree.children
        seen: dict[str, Span] = {}
        for text in (described, description):
            if text is not None:
                self.once(seen, "a description", self.span(text))
        return nodes.Let(self.span(tree), self.name(name), self.value(value), self.text_if(described or description))

    def branch(self, tree: Branch) -> nodes.Branch:
        condition, block = tree.children
        return nodes.Branch(self.span(tree), self.value(condition), self.block(block))

    def modifiers(self, trees: list[Any]) -> tuple[nodes.Modifier, ...]:
        seen: dict[str, Span] = {}
        made = []
        for tree in trees:
            word: Any = folded(tree.children[0])
            self.once(seen, word, self.span(tree.children[0]))
            value = self.value(tree.children[1]) if len(tree.children) > 1 else None
            made.append(nodes.Modifier(self.span(tree), word, value))
        return tuple(made)

    def move(self, tree: Any) -> nodes.Move:
        span = self.span(tree)
        c: list[Any] = tree.children
        match tree.data:
            case "rotated_times":
                return nodes.RotatedTimes(span, self.value(c[0]))
            case "rotated":
                return nodes.Rotated(span, self.value(c[0]))
            case "mirrored":
                return nodes.Mirrored(span, _axis(c[0]))
            case "mirrored_both":
                return nodes.Mirrored(span, "both ways")
            case "reversed":
                return nodes.Reversed(span, _axis(c[0]))
            case "moved":
                return nodes.Moved(span, self.point(c[0]))
        raise AssertionError(tree.data)


def _axis(token: Any) -> Any:
    return str(token)
