"""Parts too large for the paper: cut into tiles that overlap, with marks to join them by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from motif.language.record import changed, record
from motif.outputs.pen import SERIF, Floats
from motif.outputs.printed.joins import OVERLAP, letter
from motif.outputs.printed.pages import HEADING
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import Box, Sketch, TextMark
from motif.outputs.styles import INK

#: What is printed reaches so far beyond the outlines that are given: numbers, tabs, match marks (mm).
REACH = 14.0
#: Arms of a match mark, and how far it stands from the ends of its join, beyond the numbers (mm).
_ARM, _IN = 3.4, 4.8
#: The same where other tiles join there (mm).
_IN_ON_TILES = OVERLAP + 10.0
#: No tile is shorter than this (mm).
_SHORTEST = 45.0


@record
class Join:
    """The ``line`` (2, 2) along which two tiles are joined. Where it ``starts_on`` or ``ends_on`` other tiles, it
    meets their joins there."""

    line: Floats
    starts_on: bool
    ends_on: bool

    def marks(self) -> list[tuple[float, float]]:
        """Places of its match marks, clear of those of other joins."""
        long = float(np.hypot(*(self.line[1] - self.line[0])))
        first, last = (_IN_ON_TILES if on else _IN for on in (self.starts_on, self.ends_on))
        at = [first, long - last] if long > 2 * (first + last) else [long / 2]
        return [tuple((self.line[0] + (self.line[1] - self.line[0]) * a / long).tolist()) for a in at]


@record
class Tiling:
    """A part in tiles: the part as it lies on the pages, the window of each tile on the part's sketch, and where
    neighbours are joined."""

    part: Part
    windows: tuple[Box, ...]
    joins: tuple[Join, ...]

    def tiles(self, first_join: int) -> list[Part]:
        """The tiles as parts of their own. ``first_join`` is the index of the first join's letter."""
        marks = _marks(self.joins, first_join, turned=90.0 if self.part.lying else 0.0)
        parts: list[Part] = []
        for window in self.windows:
            layers = (*(layer.without(self._cut_words(layer, window)) for layer in self.part.layers), marks)
            parts.append(changed(self.part, layers=layers, box=window, clipped=True))
        return parts

    def _cut_words(self, layer: Sketch, window: Box) -> set[int]:
        """The places among the marks of ``layer`` of words that the edge of a ``window`` would cut through and that
        stand whole on another tile.

        They lie farther from the join than the overlap reaches, and so on that other tile's side of it."""
        return {
            k
            for k, mark in enumerate(layer.marks)
            if isinstance(mark, TextMark)
            and mark.box.meets(window)
            and not window.holds(mark.box)
            and any(other.holds(mark.box) for other in self.windows)
        }


def tile(part: Part, paper: Paper, outlines: Sequence[Floats], words: Sequence[Box] = ()) -> Tiling:
    """``part`` in the fewest tiles that fit the paper, standing or lying, whichever takes fewer and then smaller.

    ``outlines`` (k, 2) and boxes of ``words`` say where something is drawn: tiles reach no farther."""
    import shapely

    shapes = [shapely.make_valid(shapely.polygons(outline)).buffer(REACH) for outline in outlines]
    drawn = shapely.union_all([*shapes, *(shapely.polygons(box.corners()) for box in words)])
    made = [_tiled(changed(part, lying=lying), paper, drawn) for lying in (False, True)]
    return min(made, key=lambda one: (len(one.windows), sum(w.width * w.height for w in one.windows)))


def _tiled(part: Part, paper: Paper, drawn: Any) -> Tiling:
    import shapely

    wide, tall = (paper.height, paper.width) if part.lying else (paper.width, paper.height)
    left, top, right, bottom = drawn.bounds
    columns, rows = _spans(left, right, wide), _spans(top, bottom, tall)
    windows: dict[tuple[int, int], Box] = {}
    for j, (y0, y1, above, below) in enumerate(rows):
        for i, (x0, x1, before, after) in enumerate(columns):
            if drawn.intersects(shapely.box(before, above, after, below)):
                windows[i, j] = Box(*drawn.intersection(shapely.box(x0, y0, x1, y1)).bounds)
    joins: list[Join] = []
    for (i, j), one in windows.items():
        for across, at in (((1, 0), columns[i][3]), ((0, 1), rows[j][3])):
            if (i + across[0], j + across[1]) not in windows:
                continue
            line = [[at, one.top], [at, one.bottom]] if across[0] else [[one.left, at], [one.right, at]]
            crossed = drawn.intersection(shapely.linestrings(line))
            if not crossed.is_empty:
                along = across[::-1]
                before, after = (
                    any((i + s * along[0] + d * across[0], j + s * along[1] + d * across[1]) in windows for d in (0, 1))
                    for s in (-1, 1)
                )
                joins.append(Join(np.array(crossed.bounds).reshape(2, 2), before, after))
    return Tiling(part, tuple(windows.values()), tuple(joins))


def _spans(start: float, end: float, most: float) -> list[tuple[float, float, float, float]]:
    """The fewest spans no longer than ``most`` that overlap, as long as they may be but for the last: of each where
    it begins and ends, and from which join to which it is not also on another page.

    Equal spans would put the join of a sheet that closes round the pot right on a vertical."""
    step = most - OVERLAP
    count = max(1, math.ceil((end - start - OVERLAP) / step - 1e-9))
    if count > 1:
        step -= max(0.0, _SHORTEST - (end - start - (count - 1) * step)) / (count - 1)
    long = step + OVERLAP
    half = OVERLAP / 2
    return [
        (
            start + k * step,
            start + k * step + long if k < count - 1 else end,
            start + k * step + (half if k else 0.0),
            start + k * step + long - half if k < count - 1 else end,
        )
        for k in range(count)
    ]


def _marks(joins: Sequence[Join], first: int, turned: float) -> Sketch:
    """Lines to cut along where tiles meet, crosses to lay on one another, and the letters of the joins."""
    sketch = Sketch()
    line = sketch.group(stroke=INK, stroke_width=0.3, fill="none")
    words = sketch.group(font_family=SERIF, fill=INK)
    for k, join in enumerate(joins):
        line.lines([join.line], stroke_dasharray="6 2 1 2")
        for x, y in join.marks():
            line.lines([np.array([[x - _ARM, y], [x + _ARM, y]]), np.array([[x, y - _ARM], [x, y + _ARM]])])
            line.circle(x, y, _ARM / 2)
            words.text(x + 1.6, y + (1.0 if turned else -1.0), letter(first + k), HEADING, turned=turned)
    return sketch
