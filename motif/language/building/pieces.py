"""Pieces, and how fast somebody works."""

from __future__ import annotations

from typing import Any

from motif.language import nodes
from motif.language.building.base import Branch, only
from motif.language.building.forms import Forms


class Pieces(Forms):
    """What brings motifs and forms together."""

    def piece(self, tree: Branch) -> nodes.Piece:
        name, description, items = tree.children
        return nodes.Piece(
            self.span(tree),
            self.name(name),
            self.text_if(description),
            tuple(self.piece_item(i) for i in self.items(items)),
        )

    def piece_item(
        self, tree: Branch
    ) -> (
        nodes.UsesForm
        | nodes.DecoratedAt
        | nodes.DimensionsAt
        | nodes.UsesPace
        | nodes.Band
        | nodes.RingWork
        | nodes.EdgeWork
        | nodes.Reserve
        | nodes.Note
    ):
        span = self.span(tree)
        c: list[Any] = tree.children
        match tree.data:
            case "uses_form":
                return nodes.UsesForm(span, self.name(c[0]))
            case "decorated_at":
                return nodes.DecoratedAt(span, self.stage(c[0]))
            case "dimensions_at":
                return nodes.DimensionsAt(span, self.stage(c[0]))
            case "uses_pace":
                return nodes.UsesPace(span, self.name(c[0]))
            case "band":
                return self.band(tree)
            case "ring_work":
                return nodes.RingWork(span, self.name(c[0]), self.wall_place(c[1]), self.modifiers(c[2:]))
            case "edge_work":
                technique, reserve, by, side, *modifiers = c
                return nodes.EdgeWork(
                    span,
                    self.name(technique),
                    self.text(reserve),
                    self.value_if(by),
                    None if side is None else side.value,
                    self.modifiers(modifiers),
                )
            case "reserve":
                return self.reserve(tree)
            case "note":
                return self.note(tree)
        raise AssertionError(tree.data)

    def band(self, tree: Branch) -> nodes.Band:
        motif, arguments, *options = tree.children
        seen = self.options(options)
        reach = None
        if "reach" in seen:
            start, to = seen["reach"].children
            reach = (self.wall_place(start), self.wall_place(to))
        panels = seen.get("panels")
        return nodes.Band(
            self.span(tree),
            self.name(motif),
            self.arguments(arguments),
            reach,
            () if panels is None else tuple(self.column_range(r) for r in panels.children),
            self.value_if(only(seen.get("starting"))),
        )

    def column_range(self, tree: Any) -> nodes.ColumnRange:
        first, last = tree.children
        return nodes.ColumnRange(self.span(tree), self.value(first), self.value_if(last))

    # ----------------------------------------------------------------------------------------- paces

    def pace(self, tree: Branch) -> nodes.Pace:
        name, description, items = tree.children
        return nodes.Pace(
            self.span(tree),
            self.name(name),
            self.text_if(description),
            tuple(self.pace_item(i) for i in self.items(items)),
        )

    def pace_item(self, tree: Branch) -> nodes.Rate | nodes.Spare | nodes.Note:
        c: list[Any] = tree.children
        match tree.data:
            case "rate":
                technique, amount, by, each, tool = c
                return nodes.Rate(
                    self.span(tree),
                    self.name(technique),
                    self.value(amount),
                    self.value_if(by),
                    each.value,
                    None if tool is None else self.name(tool),
                )
            case "spare":
                return nodes.Spare(self.span(tree), self.value(c[0]))
            case "note":
                return self.note(tree)
        raise AssertionError(tree.data)
