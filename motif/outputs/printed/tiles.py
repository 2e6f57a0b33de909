"""Parts too large for the paper: laid over several pages that overlap, with marks to join them by."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from motif.language.record import changed, record
from motif.outputs.pen import SERIF, Floats
from motif.outputs.printed.joins import OVERLAP, letter
from motif.outputs.printed.pages import HEADING, Page
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import Box, Sketch
from motif.outputs.styles import INK

#: Arms of a match mark (mm), and how far from the ends of a join its marks stand (parts of its length).
_ARM = 4.0
_MARKS = (0.2, 0.8)


@record
class Tile:
    """One page of a tiled part: its window of the part's sketch, by column from the left and row from the top."""

    window: Box
    column: int
    row: int


@record
class Tiling:
    """A part on pages: the part as it lies on them, its tiles in reading order, and the joins between them."""

    part: Part
    tiles: tuple[Tile, ...]
    joins: tuple[Floats, ...]

    def pages(self, paper: Paper, first_join: int) -> list[Page]:
        """The pages, one a tile. ``first_join`` is the index of the first join's letter."""
        marks = self._marks(first_join)
        pages = []
        for n, tile in enumerate(self.tiles, 1):
            page = Page.empty(paper, f"{self.part.title}, page {n} of {len(self.tiles)}")
            whole = Part("", self.part.sketch, tile.window, self.part.lying).at(0.0, 0.0)
            page.placed.extend([changed(whole, window=tile.window), changed(whole, window=tile.window, sketch=marks)])
            pages.append(page)
        return pages

    def _marks(self, first_join: int) -> Sketch:
        """Lines to cut along where pages meet, crosses to lay on one another, and the letters of the joins."""
        sketch = Sketch()
        line = sketch.group(stroke=INK, stroke_width=0.3, fill="none")
        words = sketch.group(font_family=SERIF, fill=INK)
        turned = 90.0 if self.part.lying else 0.0
        for k, join in enumerate(self.joins):
            line.lines([join], stroke_dasharray="6 2 1 2")
            for share in _MARKS:
                x, y = (join[0] + share * (join[1] - join[0])).tolist()
                line.lines(
                    [np.array([[x - _ARM, y], [x + _ARM, y]]), np.array([[x, y - _ARM], [x, y + _ARM]])],
                )
                line.circle(x, y, _ARM / 2)
                words.text(x + 1.0, y - 2.4, letter(first_join + k), HEADING, turned=turned)
        return sketch


def tile(part: Part, paper: Paper, solids: Sequence[Floats]) -> Tiling:
    """``part`` over the fewest pages, standing or lying, whichever takes fewer; of equals, standing.

    ``solids`` are the outlines (k, 2) of what is drawn: a page that none of them reaches is left out."""
    made = [_tiled(changed(part, lying=lying), paper, solids) for lying in (False, True)]
    return min(made, key=lambda one: len(one.tiles))


def _tiled(part: Part, paper: Paper, solids: Sequence[Floats]) -> Tiling:
    import shapely

    wide, tall = (paper.height, paper.width) if part.lying else (paper.width, paper.height)
    columns = _spans(part.box.left, part.box.right, wide)
    rows = _spans(part.box.top, part.box.bottom, tall)
    drawn = shapely.union_all([shapely.make_valid(shapely.polygons(s)) for s in solids])
    at = {
        (i, j): Box(left, top, right, bottom)
        for j, (top, bottom, above, under) in enumerate(rows)
        for i, (left, right, from_x, to_x) in enumerate(columns)
        if shapely.intersects(drawn, shapely.box(from_x, above, to_x, under))
    }
    joins = []
    for (i, j), window in at.items():
        beside, below = at.get((i + 1, j)), at.get((i, j + 1))
        if beside is not None:
            x = (window.right + beside.left) / 2
            joins.append(np.array([[x, window.top], [x, window.bottom]]))
        if below is not None:
            y = (window.bottom + below.top) / 2
            joins.append(np.array([[window.left, y], [window.right, y]]))
    return Tiling(part, tuple(Tile(window, i, j) for (i, j), window in at.items()), tuple(joins))


def _spans(start: float, end: float, most: float) -> list[tuple[float, float, float, float]]:
    """Equal spans no longer than ``most`` that overlap: of each where it begins and ends, and from which join to
    which it is not also on another page."""
    count = max(1, math.ceil((end - start - OVERLAP) / (most - OVERLAP) - 1e-9))
    long = (end - start + (count - 1) * OVERLAP) / count
    step = long - OVERLAP
    half = OVERLAP / 2
    return [
        (
            start + k * step,
            start + k * step + long,
            start + k * step + (half if k else 0.0),
            start + k * step + long - (half if k < count - 1 else 0.0),
        )
        for k in range(count)
    ]
