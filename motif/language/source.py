"""Source texts and places in them.

A span is a half-open range of offsets into the text as the potter wrote it, before any clean-up.
Lines and columns are worked out here and nowhere else.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """A text and where it came from.

    ``name`` is what messages call it: the path as the user gave it, or ``library: quilts/tufting``.
    """

    name: str
    text: str
    _starts: list[int] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        starts, i, n = [0], 0, len(self.text)
        while i < n:
            c = self.text[i]
            if c == "\r" and i + 1 < n and self.text[i + 1] == "\n":
                i += 1
            if c in "\r\n":
                starts.append(i + 1)
            i += 1
        object.__setattr__(self, "_starts", starts)

    def position(self, offset: int) -> tuple[int, int]:
        """Line and column of an offset, both from 1, the column in characters."""
        line = bisect_right(self._starts, offset)
        return line, offset - self._starts[line - 1] + 1

    def line(self, number: int) -> str:
        """The text of line ``number`` (from 1) without its line end."""
        start = self._starts[number - 1]
        end = self._starts[number] if number < len(self._starts) else len(self.text)
        return self.text[start:end].rstrip("\r\n")


@dataclass(frozen=True, slots=True)
class Span:
    """The characters from ``start`` up to, not including, ``end`` of a source."""

    source: Source
    start: int
    end: int

    @property
    def begin_position(self) -> tuple[int, int]:
        return self.source.position(self.start)

    @property
    def end_position(self) -> tuple[int, int]:
        return self.source.position(self.end)

    @property
    def text(self) -> str:
        return self.source.text[self.start : self.end]

    def to(self, other: Span) -> Span:
        """The span from the start of this one to the end of ``other``."""
        return Span(self.source, self.start, other.end)
