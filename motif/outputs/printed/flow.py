"""Words set in lines down the pages, in one or more columns, a new page wherever one is full."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from motif.outputs.pen import SANS, SERIF
from motif.outputs.printed import letters
from motif.outputs.printed.pages import BODY, HEADING, LEADING, TITLE, Page
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.sketch import Sketch
from motif.outputs.styles import INK

#: Between columns of words, mm.
_GUTTER = 8.0


class Flow:
    """Pages that words run down. ``y`` is the top of what comes next, mm below the top of the room for drawing;
    ``left`` and ``width`` are those of the column that is being filled; ``leading`` is from line to line, in parts of
    the size of type."""

    def __init__(self, paper: Paper, title: str, columns: int = 1, leading: float = LEADING) -> None:
        self._paper, self._title, self._columns = paper, title, columns
        self.leading = leading
        self.pages: list[Page] = []
        self.width = (paper.width - (columns - 1) * _GUTTER) / columns
        self.pen: Sketch
        self._new_page()

    def _new_page(self) -> None:
        page = Page.empty(self._paper, self._title)
        self.pages.append(page)
        self.pen = page.sketch().group(font_family=SANS, fill=INK)
        self.left = self.y = self.top = 0.0

    def new_column(self) -> None:
        """Go on at the top of the next column, or of the next page."""
        self.left += self.width + _GUTTER
        self.y = self.top
        if self.left > self._paper.width:
            self._new_page()

    @property
    def filled(self) -> float:
        """How much of the last page is filled, from 0 to 1."""
        return (round(self.left / (self.width + _GUTTER)) + self.y / self._paper.height) / self._columns

    def begin_columns(self) -> None:
        """What was set so far runs over the whole page; columns begin below it."""
        self.top = self.y

    def keep(self, tall: float) -> None:
        """Go to a new column unless so much (mm) is left of this one."""
        if self._paper.height - self.y < tall and self.y > self.top:
            self.new_column()

    def space(self, tall: float) -> None:
        if self.y > self.top:
            self.y += tall

    def title(self, words: str) -> None:
        """Over the whole width of the page."""
        for line in letters.lines_of(words, self._paper.width, TITLE, letters.BOLD):
            self.pen.text(self.left, self.y + TITLE, line, TITLE, font_family=SERIF)
            self.y += TITLE * 1.15

    def heading(self, words: str) -> None:
        self.space(3.0)
        self.keep(HEADING * 5)
        self.words(words, HEADING, bold=True)
        self.y += 0.8

    def words(
        self,
        words: str,
        size: float = BODY,
        *,
        indent: float = 0.0,
        hang: str = "",
        bold: bool = False,
        wide: float | None = None,
    ) -> None:
        """A paragraph ``indent`` mm to the right, with ``hang`` (a number) before its first line; as ``wide`` as the
        column unless that is given."""
        family, face = (SERIF, letters.BOLD) if bold else (SANS, letters.PLAIN)
        for k, line in enumerate(letters.lines_of(words, (self.width if wide is None else wide) - indent, size, face)):
            self.keep(size * self.leading)
            base = self.y + size
            if hang and not k:
                self.pen.text(self.left + indent - 1.6, base, hang, size, anchor="end", font_family=family)
            self.pen.text(self.left + indent, base, line, size, font_family=family)
            self.y += size * self.leading

    def rule(self) -> None:
        """A line across the page."""
        at = self.y + 1.0
        self.pen.lines([np.array([[0.0, at], [self._paper.width, at]])], stroke=INK, stroke_width=0.3, fill="none")
        self.y += 3.0

    def boxed(self, paragraphs: Sequence[str], size: float = BODY) -> None:
        """Paragraphs set apart by a bar down their left side."""
        for words in paragraphs:
            tall = len(letters.lines_of(words, self.width - 4.5, size)) * size * self.leading
            self.space(1.5)
            self.keep(min(tall, self._paper.height - self.top))
            top = self.y
            self.words(words, size, indent=4.5)
            if self.y > top:
                x = self.left + 1.5
                self.pen.lines([np.array([[x, top + 0.6], [x, self.y]])], stroke=INK, stroke_width=1.2, fill="none")
