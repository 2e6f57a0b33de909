"""Words set in lines down the pages, a new page wherever one is full."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from motif.outputs.pen import SANS, SERIF
from motif.outputs.printed import letters
from motif.outputs.printed.pages import BODY, HEADING, LEADING, TITLE, Page
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.sketch import Sketch
from motif.outputs.styles import INK


class Flow:
    """Pages that words run down. ``y`` is the top of what comes next, mm below the top of the room for drawing."""

    def __init__(self, paper: Paper, title: str) -> None:
        self._paper, self._title = paper, title
        self.pages: list[Page] = []
        self.width = paper.width
        self.pen: Sketch
        self.y = 0.0
        self.new_page()

    def new_page(self) -> None:
        page = Page.empty(self._paper, self._title)
        self.pages.append(page)
        self.pen = page.sketch().group(font_family=SANS, fill=INK)
        self.y = 0.0

    @property
    def left_over(self) -> float:
        """What is left of the page below ``y``, mm."""
        return self._paper.height - self.y

    def keep(self, tall: float) -> None:
        """Go to a new page unless so much (mm) is left."""
        if self.left_over < tall and self.y > 0:
            self.new_page()

    def space(self, tall: float) -> None:
        if self.y > 0:
            self.y += tall

    def title(self, words: str) -> None:
        self.words(words, TITLE, bold=True, leading=1.15)

    def heading(self, words: str) -> None:
        self.space(3.0)
        self.keep(HEADING * 4)
        self.words(words, HEADING, bold=True)
        self.y += 0.8

    def words(
        self,
        words: str,
        size: float = BODY,
        *,
        left: float = 0.0,
        right: float | None = None,
        hang: str = "",
        bold: bool = False,
        leading: float = LEADING,
    ) -> None:
        """A paragraph between ``left`` and ``right`` (mm), with ``hang`` (a number, a dash) before its first line."""
        wide = (self.width if right is None else right) - left
        family, face = (SERIF, letters.BOLD) if bold else (SANS, letters.PLAIN)
        for k, line in enumerate(letters.lines_of(words, wide, size, face)):
            self.keep(size * leading)
            base = self.y + size
            if hang and not k:
                self.pen.text(left - 1.6, base, hang, size, anchor="end", font_family=family)
            self.pen.text(left, base, line, size, font_family=family)
            self.y += size * leading

    def rule(self) -> None:
        self.pen.lines(
            [np.array([[0.0, self.y + 1.0], [self.width, self.y + 1.0]])], stroke=INK, stroke_width=0.3, fill="none"
        )
        self.y += 3.0

    def boxed(self, paragraphs: Sequence[str], size: float = BODY) -> None:
        """Paragraphs set apart by a bar down their left side."""
        if not paragraphs:
            return
        tall = sum(len(letters.lines_of(p, self.width - 5.0, size)) * size * LEADING for p in paragraphs)
        self.space(1.5)
        self.keep(min(tall, self._paper.height))
        top = self.y
        for words in paragraphs:
            self.words(words, size, left=5.0)
        if self.y > top:
            self.pen.lines([np.array([[1.5, top], [1.5, self.y]])], stroke=INK, stroke_width=1.2, fill="none")
