"""Parts too large for the paper: cut into tiles that overlap, with marks to join them by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
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
#: Places for a join are tried at this distance, and it keeps so far from words (mm).
_TRIED, _WORDS = 0.5, 0.6


@record
class Join:
    """The ``line`` (2, 2) along which two tiles are joined, and the places of its match ``marks`` on it."""

    line: Floats
    marks: tuple[tuple[float, float], ...]

    @classmethod
    def of(cls, line: Floats, starts_on: bool, ends_on: bool, words: Sequence[Box]) -> Join:
        """Where the line ``starts_on`` or ``ends_on`` other tiles it meets their joins there, and marks keep clear of
        those; and of ``words`` where that may be."""
        long = float(np.hypot(*(line[1] - line[0])))
        way = (line[1] - line[0]) / (long or 1.0)
        first, last = (_IN_ON_TILES if on else _IN for on in (starts_on, ends_on))
        if long <= 2 * (first + last):
            return cls(line, (_clear(line[0], way, np.array([long / 2]), words),))
        steps = np.arange(0.0, (long - first - last) / 3, _TRIED)
        ends = (_clear(line[0], way, at, words) for at in (first + steps, long - last - steps))
        return cls(line, tuple(ends))


def _clear(start: Floats, way: Floats, at: Floats, words: Sequence[Box]) -> tuple[float, float]:
    """The first of the places ``at`` (mm along a line) where a match mark stands on no words; else the first of all."""
    places = start + at[:, None] * way
    for x, y in places.tolist():
        taken = Box(x - _ARM - _WORDS, y - _ARM - _WORDS, x + _ARM + _WORDS, y + _ARM + _WORDS)
        if not any(taken.meets(box) for box in words):
            return x, y
    x, y = places[0].tolist()
    return x, y


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
    boxes = [mark.box for layer in part.layers for mark in layer.marks if isinstance(mark, TextMark)]
    columns = _spans(left, right, wide, [(box.left, box.right) for box in boxes])
    rows = _spans(top, bottom, tall, [(box.top, box.bottom) for box in boxes])
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
                joins.append(Join.of(np.array(crossed.bounds).reshape(2, 2), before, after, boxes))
    return Tiling(part, tuple(windows.values()), tuple(joins))


def _spans(
    start: float, end: float, most: float, words: Sequence[tuple[float, float]] = ()
) -> list[tuple[float, float, float, float]]:
    """The fewest spans no longer than ``most`` that overlap, as long as they may be but for the last: of each where
    it begins and ends, and from which join to which it is not also on another page.

    A join goes back from its latest place to where it runs through the fewest of the ``words`` (from, to) there are.
    Equal spans would put the join of a sheet that closes round the pot right on a vertical."""
    reach, half = most - OVERLAP, OVERLAP / 2
    count = max(1, math.ceil((end - start - OVERLAP) / reach - 1e-9))
    lows, highs = np.array(words, dtype=float).reshape(-1, 2).T
    joins: list[float] = []
    for k in range(1, count):
        before = joins[-1] - half if joins else start
        latest = min(before + most - half, end - _SHORTEST + half)
        # What follows must still reach the end, in spans as long as they may be.
        earliest = min(max(end - (count - k) * reach - half, before + _SHORTEST - half), latest)
        places = np.arange(latest, earliest, -_TRIED)
        struck = [int(np.sum((lows - _WORDS < at) & (at < highs + _WORDS))) for at in places.tolist()]
        joins.append(float(places[int(np.argmin(struck))]) if struck else latest)
    edges = [start, *joins, end]
    return [
        (
            a if k == 0 else a - half,
            b if k == count - 1 else b + half,
            a,
            b,
        )
        for k, (a, b) in enumerate(pairwise(edges))
    ]


def _marks(joins: Sequence[Join], first: int, turned: float) -> Sketch:
    """Lines to cut along where tiles meet, crosses to lay on one another, and the letters of the joins."""
    sketch = Sketch()
    line = sketch.group(stroke=INK, stroke_width=0.3, fill="none")
    words = sketch.group(font_family=SERIF, fill=INK)
    for k, join in enumerate(joins):
        line.lines([join.line], stroke_dasharray="6 2 1 2")
        for x, y in join.marks:
            line.lines([np.array([[x - _ARM, y], [x + _ARM, y]]), np.array([[x, y - _ARM], [x, y + _ARM]])])
            line.circle(x, y, _ARM / 2)
            words.text(x + 1.6, y + (1.0 if turned else -1.0), letter(first + k), HEADING, turned=turned)
    return sketch
