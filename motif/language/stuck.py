"""Where the text does not go on, and what a slip found there is made of."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from motif.language.grammar import grammar
from motif.language.messages import Message
from motif.language.reserved import RESERVED, UNITS
from motif.language.scanner import WORD, Token, Tokens
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
    ``goes_on`` tells whether the text goes on through ``at`` after an edit, and so many tokens ``beyond``.
    """

    source: Source
    tokens: Tokens
    at: int
    begin: int
    expected: frozenset[str]
    goes_on: Callable[[Edit, int], bool]
    beyond: int = 1

    def helps(self, edit: Edit) -> bool:
        """Whether the text goes on after an edit."""
        return self.goes_on(edit, self.beyond)

    @property
    def token(self) -> Token:
        return self.tokens[self.at]

    @property
    def before(self) -> Token | None:
        return self.tokens[self.at - 1] if self.at > 0 else None

    @property
    def behind(self) -> Token:
        return self.ahead(1)

    def ahead(self, steps: int) -> Token:
        """The token so many steps behind ``at``; the end of the text where there are no more."""
        return self.tokens[self.at + steps]

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

    def slip(self, text: str, span: Span, advice: str, edit: Edit | None = None) -> Slip:
        """A slip in what is written, what to write instead, and how the text then reads."""
        return Slip(Message("syntax", text, span, advice), edit)

    # ------------------------------------------------------------------------- what stands where

    def is_name(self, at: int) -> bool:
        """Whether a token is a word that may be a name."""
        return 0 <= at < len(self.tokens) and self.tokens[at].kind == WORD and self.tokens[at].text not in RESERVED

    def closing(self, at: int) -> int | None:
        """The bracket that closes the one at ``at``; None where none does before a brace."""
        depth = 0
        for i in range(at, len(self.tokens)):
            kind = self.tokens[i].kind
            depth += (kind == "LEFT_BRACKET") - (kind == "RIGHT_BRACKET")
            if depth == 0:
                return i if kind == "RIGHT_BRACKET" else None
            if kind in ("LEFT_BRACE", "RIGHT_BRACE"):
                return None
        return None

    def opening(self, at: int) -> int:
        """The bracket that the one at ``at`` closes; ``at`` itself where there is none."""
        depth = 0
        for i in range(at, self.begin - 1, -1):
            depth += (self.tokens[i].kind == "RIGHT_BRACKET") - (self.tokens[i].kind == "LEFT_BRACKET")
            if depth == 0:
                return i
        return at

    def measure(self, at: int) -> int:
        """How many tokens from ``at`` are a plain number or a number and its unit, with a minus or without; or 0."""
        minus = self.tokens[at].kind == "MINUS"
        at += minus
        if self.tokens[at].kind != "NUMBER":
            return 0
        return minus + (2 if self.tokens[at + 1].text in UNITS else 1)

    def meaning(self, words: str) -> tuple[Token, ...]:
        """The tokens of ``words``, which the potter left out or put otherwise; they take no room."""
        return put(words.split(" "), self.token.start)


def put(words: Iterable[str], at: int) -> tuple[Token, ...]:
    """Tokens that take no room at ``at``: words of the language, names, signs and plain numbers."""
    signs = grammar().signs

    def kind(word: str) -> str:
        return signs.get(word, "NUMBER" if word.isdigit() else WORD) if word != "%" else WORD

    return tuple(Token(kind(word), word, at, at, False) for word in words)
