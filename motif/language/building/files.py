"""Whole files."""

from __future__ import annotations

from typing import Any

from lark import Tree

from motif.language import nodes, reading_faults
from motif.language.building.base import Branch, folded
from motif.language.building.motifs import Motifs
from motif.language.building.pieces import Pieces
from motif.language.messages import Messages, Problem
from motif.language.source import Source, Span


def build(
    tree: Branch, source: Source, spoiled: frozenset[str], gaps: tuple[Span, ...], messages: Messages
) -> nodes.File:
    """The nodes of a whole file.

    Reports what the grammar leaves to be counted: options given twice, a version
    of the language that is not known, values nested too deep. A definition that cannot be built is left
    out, and the names in it are added to the spoiled ones.
    """
    return _Files(source, messages).file(tree, spoiled, gaps)


class _Files(Motifs, Pieces):
    """All definitions of a file; what it holds is known when it has been read."""

    def file(self, tree: Branch, spoiled: frozenset[str], gaps: tuple[Span, ...]) -> nodes.File:
        items: list[nodes.Header | nodes.Note | nodes.Take | nodes.Definition] = []
        for item in self.items(tree.children[0]):
            try:
                if item.data == "language":
                    self.version(item)
                else:
                    items.append(self.definition(item))
            except Problem as problem:
                self.messages.add(problem.message)
                spoiled |= _names(item)
                gaps = (*gaps, self.span(item))
        return nodes.File(Span(self.source, 0, len(self.source.text)), self.language, tuple(items), spoiled, gaps)

    def version(self, tree: Branch) -> None:
        if self.language is not None:
            raise Problem(reading_faults.version_again(self.span(tree)))
        if str(tree.children[0]) != "1":
            raise Problem(reading_faults.unknown_version(self.span(tree), str(tree.children[0])))
        self.language = 1

    def definition(self, tree: Branch) -> nodes.Header | nodes.Note | nodes.Take | nodes.Definition:
        match tree.data:
            case "header":
                word: Any = folded(tree.children[0])
                return nodes.Header(self.span(tree), word, self.text(tree.children[1]))
            case "note":
                return self.note(tree)
            case "take" | "take_all":
                return self.take(tree)
            case "let":
                return self.let(tree)
            case "clay":
                return self.clay(tree)
            case "form":
                return self.form(tree)
            case "tool":
                return self.tool(tree)
            case "figure":
                return self.figure(tree)
            case "motif":
                return self.motif(tree)
            case "piece":
                return self.piece(tree)
            case "pace":
                return self.pace(tree)
        raise AssertionError(tree.data)

    def take(self, tree: Branch) -> nodes.Take:
        *names, file = tree.children
        if tree.data == "take_all":
            return nodes.Take(self.span(tree), None, self.text(file))
        return nodes.Take(self.span(tree), tuple(self.taken(n) for n in names), self.text(file))

    def taken(self, tree: Any) -> nodes.Taken:
        name, alias = tree.children
        return nodes.Taken(self.span(tree), self.name(name), self.name(name if alias is None else alias))


def _names(tree: Branch) -> frozenset[str]:
    """All names in a tree, however deep it is."""
    names, todo = set(), [tree]
    while todo:
        for child in todo.pop().children:
            if isinstance(child, Tree):
                todo.append(child)
            elif child is not None and child.type == "NAME":
                names.add(str(child))
    return frozenset(names)
