"""Motifs and figures: givens, grids, rules."""

from __future__ import annotations

from typing import Any

from motif.language import nodes, reading_faults
from motif.language.building.base import Branch, only
from motif.language.building.statements import Statements


class Motifs(Statements):
    """What a motif and a figure are made of."""

    def given(self, tree: Branch) -> nodes.Given:
        name, kind, default, description = tree.children
        return nodes.Given(
            self.span(tree), self.name(name), self.name(kind), self.value_if(default), self.text_if(description)
        )

    def figure(self, tree: Branch) -> nodes.Figure:
        name, width, height, description, items = tree.children
        givens: list[nodes.Given] = []
        body: list[nodes.Statement] = []
        for item in self.items(items):
            if item.data == "given":
                givens.append(self.given(item))
            else:
                body.append(self.statement(item))
        size = None if width is None else (self.value(width), self.value(height))
        return nodes.Figure(
            self.span(tree), self.name(name), size, self.text_if(description), tuple(givens), tuple(body)
        )

    def motif(self, tree: Branch) -> nodes.Motif:
        name, description, items = tree.children
        return nodes.Motif(
            self.span(tree),
            self.name(name),
            self.text_if(description),
            tuple(self.motif_item(i) for i in self.items(items)),
        )

    def motif_item(self, tree: Branch) -> nodes.Given | nodes.Let | nodes.Note | nodes.Grid | nodes.Rule:
        match tree.data:
            case "given":
                return self.given(tree)
            case "let":
                return self.let(tree)
            case "note":
                return self.note(tree)
            case "grid":
                return self.grid(tree)
            case "rule":
                return self.rule(tree)
        raise AssertionError(tree.data)

    def grid(self, tree: Branch) -> nodes.Grid:
        columns, rows, shift = tree.children
        return nodes.Grid(self.span(tree), self.columns(columns), self.rows(rows), self.shift(shift))

    def columns(self, tree: Any) -> nodes.Columns:
        law, *options = tree.children
        seen = self.options(options)
        each_row = "each_row" in seen
        if each_row and law.data != "near_law":
            self.messages.add(reading_faults.each_row_without_near(self.span(seen["each_row"])))
        kind: Any = law.data.removesuffix("_law")
        return nodes.Columns(
            self.span(tree),
            kind,
            self.values(law),
            self.value_if(only(seen.get("multiple"))),
            self.values(seen.get("spaced")),
            each_row,
        )

    def rows(self, tree: Any) -> nodes.Rows:
        law, *options = tree.children
        seen = self.options(options)
        kind: Any = law.data.removesuffix("_law")
        return nodes.Rows(
            self.span(tree),
            kind,
            self.values(law),
            self.value_if(only(seen.get("multiple"))),
            self.values(seen.get("spaced")),
            "by_height" in seen,
        )

    def values(self, tree: Branch | None) -> tuple[nodes.Expression, ...]:
        return () if tree is None else tuple(self.value(c) for c in tree.children)

    def shift(self, tree: Any) -> nodes.Shift | None:
        if tree is None:
            return None
        each: Any = str(tree.children[1])
        return nodes.Shift(self.span(tree), self.value(tree.children[0]), each)

    def rule(self, tree: Branch) -> nodes.Rule:
        place: Any
        condition: Any
        place, condition, block = tree.children
        if place.data == "group":
            word: Any = "group"
            group = (self.value(place.children[0]), self.value(place.children[1]))
        else:
            word, group = str(place.children[0]), None
        return nodes.Rule(self.span(tree), word, group, self.value_if(condition), self.block(block))
