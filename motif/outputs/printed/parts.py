"""Parts: what is cut out of paper, drawn in real size; several of them on a page where they fit."""

from __future__ import annotations

from collections.abc import Sequence

from motif.language.record import record
from motif.outputs.printed.pages import Page, Placed
from motif.outputs.printed.paper import MARGIN, Paper
from motif.outputs.printed.sketch import Box, Sketch

#: Between parts on a page, mm.
GAP = 3.0


@record
class Part:
    """A part in real size. ``box`` is what of its sketch must be on paper; ``lying`` parts run up the page.

    ``title`` is for the foot of the page and the list of sheets."""

    title: str
    sketch: Sketch
    box: Box
    lying: bool = False

    @property
    def room(self) -> tuple[float, float]:
        """Width and height that it takes on paper, mm."""
        wide, tall = self.box.width, self.box.height
        return (tall, wide) if self.lying else (wide, tall)

    def fits(self, paper: Paper) -> bool:
        wide, tall = self.room
        return wide <= paper.width + _HAIR and tall <= paper.height + _HAIR

    def at(self, x: float, y: float) -> Placed:
        """With the upper left corner of its room at (x, y) of the room for drawing."""
        x, y = x + MARGIN, y + MARGIN
        if self.lying:
            return Placed(self.sketch, x - self.box.top, y + self.box.right, turned=True)
        return Placed(self.sketch, x - self.box.left, y - self.box.top)


#: Rounding must not send a part to another page (mm).
_HAIR = 1e-6


class _Open:
    """A page that is being filled in shelves from the top down."""

    def __init__(self, page: Page, top: float) -> None:
        self.page = page
        self.titles: list[str] = []
        self._bottom = top
        self._shelves: list[list[float]] = []  # top, height, right end

    def take(self, part: Part) -> bool:
        wide, tall = part.room
        paper = self.page.paper
        for shelf in self._shelves:
            top, height, right = shelf
            if tall <= height + _HAIR and right + wide <= paper.width + _HAIR:
                shelf[2] = right + wide + GAP
                self._put(part, right, top)
                return True
        if self._bottom + tall > paper.height + _HAIR or wide > paper.width + _HAIR:
            return False
        self._shelves.append([self._bottom, tall, wide + GAP])
        self._put(part, 0.0, self._bottom)
        self._bottom += tall + GAP
        return True

    def _put(self, part: Part, x: float, y: float) -> None:
        self.page.placed.append(part.at(x, y))
        if part.title not in self.titles:
            self.titles.append(part.title)


def pack(parts: Sequence[Part], paper: Paper) -> list[tuple[Page, tuple[str, ...]]]:
    """Pages with all the parts, and the titles of what is on each: longest parts first, which leaves least paper
    over, each on the first page that has room.

    Raises ``ValueError`` for a part that no page has room for."""
    open_pages: list[_Open] = []
    for part in sorted(parts, key=lambda p: -p.room[1]):
        if not any(one.take(part) for one in open_pages):
            fresh = _Open(Page.empty(paper, ""), 0.0)
            if not fresh.take(part):
                raise ValueError(f"{part.title} does not fit the paper")
            open_pages.append(fresh)
    return [(Page(paper, ", ".join(one.titles), one.page.placed), tuple(one.titles)) for one in open_pages]
