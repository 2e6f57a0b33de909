"""Clay, tools and forms."""

from __future__ import annotations

from typing import Any

from motif.language import nodes
from motif.language.building.base import Branch
from motif.language.building.statements import Statements
from motif.language.building.values import operator


class Forms(Statements):
    """What a pot, its clay and the tools are."""

    def clay(self, tree: Branch) -> nodes.Clay:
        name, description, items = tree.children
        shrinkages: list[nodes.Shrinkage] = []
        notes: list[nodes.Note] = []
        for item in self.items(items):
            if item.data == "note":
                notes.append(self.note(item))
            else:
                by, stage = item.children
                shrinkages.append(nodes.Shrinkage(self.span(item), self.value(by), self.stage(stage)))
        return nodes.Clay(self.span(tree), self.name(name), self.text_if(description), tuple(shrinkages), tuple(notes))

    def tool(self, tree: Branch) -> nodes.Tool:
        name, description, items = tree.children
        return nodes.Tool(
            self.span(tree),
            self.name(name),
            self.text_if(description),
            tuple(self.tool_item(i) for i in self.items(items)),
        )

    def tool_item(self, tree: Branch) -> nodes.ToolSize | nodes.ToolOutline | nodes.Note:
        c: list[Any] = tree.children
        match tree.data:
            case "tool_size":
                word: Any = str(c[0])
                return nodes.ToolSize(self.span(tree), word, self.value(c[1]))
            case "tool_outline":
                return nodes.ToolOutline(self.span(tree), self.drawn_line(c[0]))
            case "note":
                return self.note(tree)
        raise AssertionError(tree.data)

    def form(self, tree: Branch) -> nodes.Form:
        name, description, items = tree.children
        return nodes.Form(
            self.span(tree),
            self.name(name),
            self.text_if(description),
            tuple(self.form_item(i) for i in self.items(items)),
        )

    def form_item(
        self, tree: Branch
    ) -> (
        nodes.Measured
        | nodes.UsesClay
        | nodes.Thickness
        | nodes.DecoratedSide
        | nodes.Profile
        | nodes.Reserve
        | nodes.Note
    ):
        span, c = self.span(tree), tree.children
        match tree.data:
            case "measured":
                return nodes.Measured(span, self.stage(c[0]))
            case "uses_clay":
                return nodes.UsesClay(span, self.name(c[0]))
            case "thickness":
                return nodes.Thickness(span, self.value(c[0]))
            case "decorated_side":
                side: Any = str(c[0])
                return nodes.DecoratedSide(span, side)
            case "profile":
                return self.profile(tree)
            case "reserve":
                return self.reserve(tree)
            case "note":
                return self.note(tree)
        raise AssertionError(tree.data)

    def profile(self, tree: Branch) -> nodes.Profile:
        joined: Any
        joined, by_tape, items = tree.children
        stations: list[nodes.Station] = []
        notes: list[nodes.Note] = []
        for item in self.items(items):
            if item.data == "note":
                notes.append(self.note(item))
            else:
                stations.append(self.station(item))
        return nodes.Profile(self.span(tree), joined.value, by_tape is not None, tuple(stations), tuple(notes))

    def station(self, tree: Branch) -> nodes.Station:
        at, measure, size, corner = tree.children
        word: Any = str(measure)
        return nodes.Station(self.span(tree), self.value(at), word, self.value(size), corner is not None)

    def reserve(self, tree: Branch) -> nodes.Reserve:
        name, start, to, facing, wide = tree.children
        return nodes.Reserve(
            self.span(tree),
            self.text(name),
            self.wall_place(start),
            self.wall_place(to),
            self.value(facing),
            self.value(wide),
        )

    def wall_place(self, tree: Any) -> nodes.WallPlace:
        span, (origin, *steps) = self.span(tree), tree.children
        if tree.data == "measured_place":
            return nodes.WallPlace(span, str(origin), (("+", self.value(steps[0])),))  # type: ignore[arg-type]
        terms: list[Any] = [(operator(s.children[0]), self.value(s.children[1])) for s in steps]
        return nodes.WallPlace(span, str(origin), tuple(terms))  # type: ignore[arg-type]
