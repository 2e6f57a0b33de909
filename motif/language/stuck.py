"""Where the text does not go on, and what a slip found there is made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from motif.language.messages import Message
from motif.language.reserved import UNITS
from motif.language.scanner import Token
from motif.language.source import Source, Span


@dataclass(frozen=True, slots=True)
class Edit:
    """``tokens[start:end]`` become ``by``."""

    start: int
    end: int
    by: tuple[Token, ...]


@dataclass(frozen=True, slots=True)
class Slip:
    message: Message
    edit: Edit | None = None


@dataclass(frozen=True, slots=True)
class Stuck:
    """A place where the text does not go on.

    ``tokens[at]`` does not fit; ``tokens[begin]`` begins the statement, part or definition it stands in
    or, where that is whole already, comes right behind. ``expected`` holds the terminals that would fit.
    ``helps`` tells whether the text goes on beyond ``at`` after an edit.
    """

    source: Source
    tokens: list[Token]
    at: int
    begin: int
    expected: frozenset[str]
    helps: Callable[[Edit], bool]

    @property
    def token(self) -> Token:
        return self.tokens[self.at]

    @property
    def before(self) -> Token | None:
        return self.tokens[self.at - 1] if self.at > 0 else None

    @property
    def behind(self) -> Token:
        return self.tokens[min(self.at + 1, len(self.tokens) - 1)]

    def span(self, first: int, last: int | None = None) -> Span:
        """The place of the tokens ``first`` to ``last``, both counted in."""
        end = self.tokens[first if last is None else last]
        return Span(self.source, self.tokens[first].start, end.end)

    def written(self, first: int, last: int | None = None) -> str:
        """The same as the potter wrote it, on one line."""
        return " ".join(self.span(first, last).text.split())

    def shown(self, at: int) -> str:
        """A token as messages quote it, a number together with its unit."""
        token = self.tokens[at]
        if token.kind == "TEXT":
            written = self.written(at)
            return "the text " + (written if len(written) < 30 else f"{written[:25]}…{written[-1]}")
        if token.text in UNITS and at > self.begin and self.tokens[at - 1].kind == "NUMBER":
            return f"'{self.written(at - 1, at)}'"
        return f"'{self.written(at) or token.text}'"
