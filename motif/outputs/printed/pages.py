"""Pages: sketches put on paper, and what stands at the foot of every page."""

from __future__ import annotations

import numpy as np

from motif.language.record import record
from motif.outputs.numbers import Unit
from motif.outputs.pen import SANS, Pen
from motif.outputs.printed import letters
from motif.outputs.printed.paper import FOOT, MARGIN, Paper
from motif.outputs.printed.sketch import Box, Sketch
from motif.outputs.styles import INK

#: Sizes of type on a printed page, mm: 9 and 8 points.
BODY, SMALL = 3.2, 2.85
TITLE, HEADING = 5.6, 4.2
LEADING = 1.36

#: The bar at the foot of every page: its name, its length (mm), and in how many parts it is ticked.
_FOOT_BARS: dict[Unit, tuple[str, float, int]] = {
    "mm": ("50 mm", 50.0, 10),
    "cm": ("5 cm", 50.0, 10),
    "in": ("2 in", 50.8, 16),
}
#: Room for the number of the page (mm).
_NUMBER = 32.0


@record
class Placed:
    """A sketch on a page: its origin at (x, y) of the page, mm from the upper left corner of the paper.

    ``turned``: a quarter turn to the left, so that its right points up the page. ``scale``: how much smaller
    it is drawn, for pictures. ``window``: only this part of the sketch is shown."""

    sketch: Sketch
    x: float
    y: float
    turned: bool = False
    scale: float = 1.0
    window: Box | None = None


@record
class Page:
    """A page. ``title`` says what is on it; ``placed`` grows while the page is filled."""

    paper: Paper
    title: str
    placed: list[Placed]

    @classmethod
    def empty(cls, paper: Paper, title: str) -> Page:
        return cls(paper, title, [])

    def sketch(self) -> Sketch:
        """A new sketch that covers the page, its origin the upper left corner of the room for drawing."""
        made = Sketch()
        self.placed.append(Placed(made, MARGIN, MARGIN))
        return made


def number_pages(pages: list[Page], name: str, unit: Unit) -> None:
    """The foot of every page: a bar to check it by, the name of the piece, what it shows, sheet n of N."""
    said, long, parts = _FOOT_BARS[unit]
    for n, page in enumerate(pages, 1):
        pen = page.sketch()
        base = page.paper.height + FOOT - 1.0
        _bar(pen.group(stroke=INK, stroke_width=0.25, fill="none"), base, long, parts)
        words = pen.group(font_family=SANS, fill=INK)
        words.text(long + 2.0, base, said, SMALL)
        right, left = page.paper.width - _NUMBER, long + _NUMBER / 2
        title = letters.fitted(f"{name}: {page.title}", right - left, SMALL)
        words.text((left + right) / 2, base, title, SMALL, anchor="middle")
        words.text(page.paper.width, base, f"sheet {n} of {len(pages)}", SMALL, anchor="end")


def _bar(pen: Pen, base: float, long: float, parts: int) -> None:
    ticks = [
        np.array([[x, base], [x, base - (1.4 if k % 2 else 2.4)]])
        for k, x in enumerate(np.linspace(0.0, long, parts + 1).tolist())
    ]
    pen.lines([np.array([[0.0, base], [long, base]]), *ticks])
