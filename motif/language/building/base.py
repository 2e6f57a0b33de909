"""What every part of the builder stands on: spans, names, options, nesting."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias, TypeVar

from lark import Token, Tree

from motif.language import nodes, reading_faults
from motif.language.messages import Messages, Problem
from motif.language.reserved import SPELLINGS
from motif.language.source import Source, Span

#: How deep values and geometry may be nested; what is deeper was not written by hand, and every later
#: stage walks them by recursion.
MOST_NESTED = 100

Branch: TypeAlias = Tree[Token]
Child: TypeAlias = Branch | Token
_N = TypeVar("_N")


def listed(items: Branch) -> list[Child]:
    """The items of a list that the grammar writes as ``items: | items item``, in order."""
    found: list[Child] = []
    while items.children:
        rest, item = items.children
        found.append(item)
        assert isinstance(rest, Tree)
        items = rest
    found.reverse()
    return found


def folded(token: Any) -> str:
    return SPELLINGS.get(str(token), str(token))


def only(tree: Branch | None) -> Any:
    return None if tree is None else tree.children[0]


class Base:
    """The smallest parts, and what is said once."""

    def __init__(self, source: Source, messages: Messages) -> None:
        self.source = source
        self.messages = messages
        self.depth = 0
        self.language: int | None = None

    def span(self, item: Child) -> Span:
        if isinstance(item, Tree):
            return Span(self.source, item.meta.start_pos, item.meta.end_pos)
        assert item.start_pos is not None and item.end_pos is not None
        return Span(self.source, item.start_pos, item.end_pos)

    def name(self, token: Any) -> nodes.Name:
        return nodes.Name(self.span(token), str(token))

    def text(self, token: Any) -> nodes.Text:
        return nodes.Text(self.span(token), str(token)[1:-1])

    def text_if(self, token: Any) -> nodes.Text | None:
        return None if token is None else self.text(token)

    def stage(self, token: Any) -> nodes.Stage:
        return nodes.Stage(self.span(token), folded(token))

    def nested(self, tree: Branch, build: Callable[[Branch], _N]) -> _N:
        """Call ``build`` one level down."""
        if self.depth >= MOST_NESTED:
            raise Problem(reading_faults.too_many_steps(self.span(tree), MOST_NESTED))
        self.depth += 1
        try:
            return build(tree)
        finally:
            self.depth -= 1

    def items(self, tree: Any) -> list[Branch]:
        return [i for i in listed(tree) if isinstance(i, Tree)]

    def options(self, trees: list[Any]) -> dict[str, Branch]:
        """Options by rule, each once."""
        seen: dict[str, Span] = {}
        for tree in trees:
            self.once(seen, tree.data, self.span(tree))
        return {tree.data: tree for tree in trees}

    def once(self, seen: dict[str, Span], what: str, span: Span) -> None:
        """Report ``what`` if it was there before."""
        if what in seen:
            self.messages.add(reading_faults.said_again(span, seen[what]))
        else:
            seen[what] = span
