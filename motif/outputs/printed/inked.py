"""Flat sheets drawn to be printed, one or several side by side, with the words that go with them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from motif.language.record import changed, record
from motif.outputs.cutout import Cutout
from motif.outputs.ink import Corner
from motif.outputs.pen import SANS, SERIF, Floats
from motif.outputs.printed import letters
from motif.outputs.printed.packing import GAP
from motif.outputs.printed.pages import BODY, LEADING, SMALL
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import Box, Sketch
from motif.outputs.styles import INK

TITLE = "flat sheets"

#: The words below a sheet are at least so wide (mm).
NARROWEST = 40.0
#: Words in the hollow of a sheet keep so far from its edge and the numbers there (mm).
_CLEAR = 2.5


@record
class Inked:
    """Flat sheets side by side, to be drawn when they are asked for: where each of ``row`` and its lines of words go,
    the boxes of the ``words``, and the ``box`` of all."""

    row: tuple[Cutout, ...]
    places: tuple[Corner, ...]
    lines: tuple[Sequence[tuple[str, float, str]], ...]
    words: tuple[Box, ...]
    box: Box

    @property
    def numbers(self) -> tuple[int, ...]:
        return tuple(cutout.drawn.sheet.number for cutout in self.row)

    @property
    def outlines(self) -> tuple[Floats, ...]:
        """The outlines of the paper, (k, 2) each."""
        return tuple(place(cutout.drawn.outline) for cutout, place in zip(self.row, self.places, strict=True))

    def lies(self, paper: Paper) -> bool | None:
        """Whether it must lie to have room on the paper; None where it has none."""
        blank = Part(TITLE, (), self.box)
        return next((lying for lying in (False, True) if changed(blank, lying=lying).fits(paper)), None)

    def part(self, lying: bool) -> Part:
        sketch = Sketch()
        for cutout, place, lines, box in zip(self.row, self.places, self.lines, self.words, strict=True):
            cutout.ink(sketch, place)
            _write(sketch, lines, box)
        return Part(TITLE, (sketch,), self.box, lying, numbers=self.numbers)


@record
class Said:
    """The words of a sheet: its title and what stands below that."""

    title: str
    words: Sequence[str]

    def lines(self, wide: float) -> list[tuple[str, float, str]]:
        """Lines no wider than ``wide`` mm, with the size and the family of their type."""
        every = ((self.title, BODY, SERIF), *((words, SMALL, SANS) for words in self.words))
        return [
            (line, size, family)
            for words, size, family in every
            for line in letters.lines_of(words, wide, size, letters.face_name(family))
        ]


def ink_row(row: Sequence[Cutout], said: Sequence[Said]) -> Inked:
    """Sheets side by side, the words of each below it or, where it bends far enough, in its hollow."""
    places: list[Corner] = []
    written: list[Sequence[tuple[str, float, str]]] = []
    words: list[Box] = []
    left = 0.0
    for cutout, its in zip(row, said, strict=True):
        place = Corner(left - float(cutout.low[0]), 0.0)
        wide = max(float(cutout.high[0] - cutout.low[0]), NARROWEST)
        lines = its.lines(wide)
        x, y = _room(cutout, place, lines, wide)
        words.append(Box(x, y, x + _width(lines), y + _height(lines)))
        places.append(place)
        written.append(lines)
        left += wide + GAP
    top = min(-max(float(cutout.high[1]) for cutout in row), *(box.top for box in words))
    low = max(-min(float(cutout.low[1]) for cutout in row), *(box.bottom for box in words))
    return Inked(tuple(row), tuple(places), tuple(written), tuple(words), Box(0.0, top, left - GAP, low))


def _width(lines: Sequence[tuple[str, float, str]]) -> float:
    return max(letters.width(line, size, letters.face_name(family)) for line, size, family in lines)


def _height(lines: Sequence[tuple[str, float, str]]) -> float:
    return sum(size * LEADING for _, size, _ in lines) + 1.0


def _room(cutout: Cutout, place: Corner, lines: Sequence[tuple[str, float, str]], wide: float) -> tuple[float, float]:
    """Where the words of a sheet begin, (x, y) from above: below it, or in the hollow of a part that bends.

    ``ways`` are those that there are, each with how far down sheet and words then reach."""
    left = place.x + float(cutout.low[0])
    below = left, -float(cutout.low[1])
    if cutout.drawn.sheet.cone is None or cutout.drawn.sheet.closes:
        return below
    long, tall = _width(lines), _height(lines)
    boxes = [np.column_stack([name.box[[0, 0, 1, 1], 0], name.box[[0, 1, 1, 0], 1]]) for name in cutout.names]
    at = np.vstack([_dense(cutout.drawn.bottom), _dense(cutout.drawn.top), *boxes])
    over = at[np.abs(at[:, 0] - float(cutout.low[0]) - wide / 2) < long / 2 + _CLEAR]
    if not len(over):
        return below
    under, above = (-float(y) for y in (over[:, 1].min(), over[:, 1].max()))
    in_middle = left + (wide - long) / 2
    ways = [(below[1] + tall, below), (max(below[1], under + _CLEAR + tall), (in_middle, under + _CLEAR))]
    if above - _CLEAR - tall >= -float(cutout.high[1]):
        ways.append((below[1], (in_middle, above - _CLEAR - tall)))
    return min(ways, key=lambda way: round(way[0], 6))[1]


def _dense(line: Floats) -> Floats:
    """Places along a line, no two in a row farther apart than ``_CLEAR``."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.linspace(0.0, run[-1], max(2, math.ceil(float(run[-1]) / _CLEAR) + 1))
    return np.column_stack([np.interp(at, run, line[:, k]) for k in (0, 1)])


def _write(sketch: Sketch, lines: Sequence[tuple[str, float, str]], box: Box) -> None:
    """Set lines in their box."""
    pen = sketch.group(font_family=SANS, fill=INK)
    y = box.top
    for line, size, family in lines:
        pen.text(box.left, y + size, line, size, font_family=family)
        y += size * LEADING
