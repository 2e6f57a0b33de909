"""Messages: what is wrong, where, and what to do about it.

A message is data: a code, places, and words in which lengths are still numbers. Each stage makes its words in
modules of its own (``reading_faults`` and ``slips_…`` here, ``telling`` in ``motif.model`` and ``motif.laying``);
drawing them is the business of ``motif.outputs.report``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal

from motif.language.source import Span
from motif.language.words import Words

Severity = Literal["error", "warning"]

#: Every code with its severity; the one table that a new check adds a line to.
CODES: dict[str, Severity] = {
    "syntax": "error",
    "unknown-name": "error",
    "wrong-kind": "error",
    "defined-twice": "error",
    "defined-by-itself": "error",
    "take-failed": "error",
    "does-not-close": "error",
    "off-the-form": "error",
    "no-rows": "error",
    "height-turns-back": "error",
    "ambiguous-height": "error",
    "stage-unknown": "error",
    "bad-profile": "error",
    "no-value": "error",
    "out-of-range": "error",
    "nothing-to-fill": "error",
    "too-many-marks": "error",
    "file": "error",
    "rows-left-over": "warning",
    "stretched-cells": "warning",
    "tool-gap": "warning",
    "tool-overlap": "warning",
    "marks-overlap": "warning",
    "lines-too-close": "warning",
    "too-deep": "warning",
    "tool-too-deep": "warning",
    "pitch-off": "warning",
    "string-lifts": "warning",
    "in-reserve": "warning",
    "past-the-band": "warning",
    "leads-nowhere": "warning",
    "comment-swallows": "warning",
    "curve-strays": "warning",
    "reserve-overlap": "warning",
}


@dataclass(frozen=True, slots=True)
class Message:
    """One problem: what ``says`` is wrong, where, and the ``remedy``. ``others`` are further places with a few words
    each ("first defined here"). Raises ``KeyError`` for a code that ``CODES`` lacks."""

    code: str
    says: str | Words
    span: Span | None
    remedy: str | Words | None = None
    others: tuple[tuple[Span, str], ...] = ()

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise KeyError(self.code)

    @property
    def severity(self) -> Severity:
        return CODES[self.code]

    @property
    def text(self) -> str:
        """What is wrong, lengths in mm."""
        return str(self.says)

    @property
    def advice(self) -> str | None:
        """What to do about it, lengths in mm."""
        return None if self.remedy is None else str(self.remedy)


class Problem(Exception):
    """Carries one message out of a computation that cannot go on."""

    def __init__(self, message: Message) -> None:
        super().__init__(message.text)
        self.message = message

    def placed(self, span: Span | None) -> Problem:
        """The same with a place, for one that was found where no text was at hand."""
        return self if self.message.span is not None else Problem(replace(self.message, span=span))


class FollowsError(Problem):
    """What could not be worked out because something before it could not, which has been said."""


@dataclass(slots=True)
class Messages:
    """The messages of a run, each once, in the order of their places when read out."""

    _items: dict[tuple[object, ...], Message] = field(default_factory=dict)

    def add(self, message: Message) -> None:
        s = message.span
        key = (message.code, message.text, s and (s.source.name, s.start, s.end))
        self._items.setdefault(key, message)

    def tell(self, problem: Problem, span: Span | None) -> None:
        """Add what a problem says, at ``span`` where it was found with no text at hand. What only follows from another
        problem has been said with that."""
        if not isinstance(problem, FollowsError):
            self.add(problem.placed(span).message)

    def extend(self, messages: Iterable[Message]) -> None:
        for m in messages:
            self.add(m)

    @property
    def has_errors(self) -> bool:
        return any(m.severity == "error" for m in self._items.values())

    def sorted(self) -> list[Message]:
        """By file in the order first met, then by place, errors before warnings at one place."""
        files: dict[str, int] = {}
        for m in self._items.values():
            if m.span is not None:
                files.setdefault(m.span.source.name, len(files))

        def key(m: Message) -> tuple[int, int, int, str]:
            if m.span is None:
                return (-1, 0, 0, m.text)
            return (files[m.span.source.name], m.span.start, int(m.severity == "warning"), m.text)

        return sorted(self._items.values(), key=key)
