"""A statement as written, on one line: without its comments, maybe with parts of it said otherwise."""

from __future__ import annotations

from collections.abc import Sequence

from motif.language.cleanup import clean
from motif.language.messages import Messages
from motif.language.scanner import scan
from motif.language.source import Span


class Words:
    """The words and signs of a stretch of a text that could be read: comments are not among them, texts between quotes
    stay as they are."""

    def __init__(self, span: Span) -> None:
        # The whole text is scanned, since what a line means may hang on those around it (quoted mail, fences).
        self._source = span.source
        tokens = scan(clean(span.source, Messages()), Messages())
        self._tokens = [t for t in tokens if span.start <= t.start and t.end <= span.end and t.start < t.end]
        self._said = [span.source.text[t.start : t.end] for t in self._tokens]
        self._joined = [t.joined for t in self._tokens]

    def kind(self, at: int) -> str | None:
        """The kind of token ``at``, as in ``scanner.Token``; None behind the last."""
        return self._tokens[at].kind if at < len(self._tokens) else None

    def reach(self, first: int, end: int) -> Span:
        """From token ``first`` to a place in the source, and over the brackets that close right behind it."""
        for t in self._tokens[first:]:
            if t.start >= end and t.kind != "RIGHT_BRACKET":
                break
            end = max(end, t.end)
        return Span(self._source, self._tokens[first].start, end)

    def replace(self, parts: Sequence[tuple[Span, str]]) -> None:
        """Put a text in place of each of these parts."""
        for part, text in parts:
            inside = [k for k, t in enumerate(self._tokens) if part.start <= t.start < part.end]
            for k in inside:
                self._said[k] = ""
            self._said[inside[0]] = text

    def append(self, at: int, text: str) -> None:
        """Put a text right behind token ``at``, and a space behind it unless a bracket closes there."""
        self._said[at] += text
        if at + 1 < len(self._joined):
            self._joined[at + 1] = self.kind(at + 1) == "RIGHT_BRACKET"

    @property
    def line(self) -> str:
        """All of it on one line."""
        line = ""
        for said, joined in zip(self._said, self._joined, strict=True):
            if said:
                apart = not joined or (line[-1:].isalnum() and said[0].isalnum())
                line += f" {said}" if apart and line and line[-1] != "(" and said not in (")", ",") else said
        return line
