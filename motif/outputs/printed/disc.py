"""The turntable disc: the pot stands on its middle, and lines for the columns come out from under it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.numbers import Unit, length, length_with_unit
from motif.outputs.pen import SANS, Pen
from motif.outputs.printed import letters
from motif.outputs.printed.girths import division
from motif.outputs.printed.pages import BODY, LEADING, SMALL
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import Box, Sketch
from motif.outputs.styles import INK

#: The lines come out from under the foot by at least so much (mm).
_BEYOND = 22.0
#: Room for numbers round the lines, a ring of them (mm).
_NUMBERS = 11.0
#: Between a line and its number, and the length of the arrow beyond that (mm).
_OFF, _ARROW = 1.0, 4.0
#: Circles for centring: how many, and how far apart, in mm and for those who work in inches.
_CIRCLES, _STEP, _INCH_STEP = 5, 10.0, 12.7
#: More ways to divide the pot than this are not drawn on one disc.
_MOST_DIVISIONS = 3
#: More lines than this run into one another.
_MOST_LINES = 360
#: How their lines are broken.
_DASHES = ("none", "4 1.5", "1.2 1.2")
#: The first line begins so far from the middle, and the arms of the cross there (mm).
_HUB, _CROSS = 6.0, 4.0
#: Half the height of figures in parts of the size of type.
_HALF_FIGURE = 0.36
_SAME_ANGLE = 1e-9


@record
class Spokes:
    """Verticals at the same angles, from the starting mark in radians, of the bands named."""

    name: str
    angles: tuple[float, ...]
    numbers: tuple[int, ...]


def spokes(piece: LaidPiece) -> list[Spokes]:
    """The different ways in which the bands divide the pot: often only one."""
    found: list[Spokes] = []
    for band in piece.bands:
        one = division(band, 0)
        if band.row_columns is not None and len(set(band.row_columns.tolist())) > 1:
            continue  # each of its rows is divided by a strip of its own
        if 1 < len(one.angles) <= _MOST_LINES and not any(
            _same(one.angles, other.angles) and one.numbers == other.numbers for other in found
        ):
            found.append(Spokes(f"band {band.number}", one.angles, one.numbers))
    return found


def _same(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return len(one) == len(other) and max(abs(a - b) for a, b in zip(one, other, strict=True)) < _SAME_ANGLE


def part(piece: LaidPiece, paper: Paper, unit: Unit) -> Part | None:
    """The disc; None where no band divides the pot.

    Its lines come out from under the foot and, where the paper is wide enough, from under the belly."""
    every = spokes(piece)
    if not every:
        return None
    disc = _Disc.of(piece, every[:_MOST_DIVISIONS], paper, unit)
    sketch = Sketch()
    disc.ink_circles(sketch)
    for k in range(len(disc.shown)):
        disc.ink_spokes(sketch, k)
    box = sketch.box()
    edge = max(-box.left, box.right, -box.top, box.bottom)
    words = sketch.group(font_family=SANS, fill=INK)
    y = edge + SMALL
    for said in _says(piece, disc, len(every), unit):
        for line in letters.lines_of(said, 2 * edge, SMALL):
            words.text(-edge, y, line, SMALL)
            y += SMALL * LEADING
    return Part("turntable disc", (sketch,), Box(-edge, -edge, edge, y - SMALL), upright=True)


@record
class _Disc:
    """A disc with its middle at the sketch's origin. ``foot`` and ``circles`` are radii, ``outer`` is that to which
    lines reach (mm); ``shown`` are the ways to divide the pot. ``front`` is the page's angle of the starting mark,
    and ``way`` is −1 where angles grow with the clock."""

    foot: float
    circles: tuple[float, ...]
    outer: float
    shown: Sequence[Spokes]
    front: float
    way: float

    @classmethod
    def of(cls, piece: LaidPiece, shown: Sequence[Spokes], paper: Paper, unit: Unit) -> _Disc:
        wall = piece.form.wall
        # Seen from above: outside, what is to the right runs against the clock, inside with it.
        inside = piece.form.side == "inside"
        foot = 0.0 if inside else float(wall.radius(0.0))
        step = _INCH_STEP if unit == "in" else _STEP
        widest = float(wall.widest(0.0, wall.length)[1])
        circles = _unknown_foot(min(widest, paper.width / 3), step) if inside else _circles(foot, step)
        least = max(foot + _BEYOND, circles[-1] + 6.0) + _NUMBERS * (len(shown) - 1)
        rim = _OFF + max([BODY + _ARROW, *(_wide(_name(a, n, shown)) for one in shown for a, n in _pairs(one))])
        outer = max(least, min(widest + _BEYOND, paper.width / 2 - rim))
        front, way = (-math.pi / 2, -1.0) if inside else (math.pi / 2, 1.0)
        return cls(foot, tuple(circles), outer, shown, front, way)

    def spot(self, angle: float, radius: float) -> tuple[float, float]:
        """Where a place at an angle of the pot's frame lies on the sketch."""
        turned = self.front - self.way * angle
        return radius * math.cos(turned), radius * math.sin(turned)

    def ink_circles(self, pen: Pen) -> None:
        """The foot, circles for centring, the middle, and the arrow at the starting mark."""
        line = pen.group(stroke=INK, stroke_width=0.25, fill="none")
        for radius in self.circles:
            line.circle(0.0, 0.0, radius, stroke_dasharray="3 1.5")
        if self.foot > 0:
            line.circle(0.0, 0.0, self.foot, stroke_width=0.6)
        bars = np.array([[[-_CROSS, 0.0], [_CROSS, 0.0]], [[0.0, -_CROSS], [0.0, _CROSS]]])
        line.lines(list(bars), stroke_width=0.35)
        tip = self.outer + _OFF + BODY
        arrow = [self.spot(0.0, tip), self.spot(0.012, tip + _ARROW), self.spot(-0.012, tip + _ARROW)]
        pen.lines([np.array(arrow)], closed=True, fill=INK)

    def ink_spokes(self, pen: Pen, k: int) -> None:
        """The lines of the k-th way to divide the pot, which end in a ring of numbers of their own."""
        one = self.shown[k]
        reach = self.outer - k * _NUMBERS
        inner = max(self.foot, _HUB) if k else _HUB
        line = pen.group(stroke=INK, stroke_width=0.35, fill="none", stroke_dasharray=_DASHES[k])
        line.lines([np.array([self.spot(a, inner), self.spot(a, reach)]) for a in one.angles])
        words = pen.group(font_family=SANS, fill=INK)
        for a, number in _labels(one, reach):
            if _there(a, self.shown[:k]):
                continue
            name = _name(a, number, self.shown)
            out = np.array(self.spot(a, 1.0))
            off = _OFF + abs(out[0]) * _wide(name) / 2 + abs(out[1]) * _HALF_FIGURE * BODY
            x, y = (out * (reach + off)).tolist()
            base = y + _HALF_FIGURE * BODY
            # Lines of other bands pass under it.
            words.text(x, base, name, BODY, anchor="middle", fill="#ffffff", stroke="#ffffff", stroke_width=1.2)
            words.text(x, base, name, BODY, anchor="middle")


def _pairs(one: Spokes) -> Iterable[tuple[float, int]]:
    return zip(one.angles, one.numbers, strict=True)


def _name(angle: float, number: int, shown: Sequence[Spokes]) -> str:
    """The number of a line, with those of other bands' verticals that lie there too."""
    return ", ".join(f"{k + 1}·{n}" for k, n in _there(angle, shown)) if len(shown) > 1 else str(number)


def _wide(name: str) -> float:
    return letters.width(name, BODY)


def _there(angle: float, shown: Sequence[Spokes]) -> list[tuple[int, int]]:
    """Which verticals, by way of dividing and number, lie at an angle."""
    return [(k, n) for k, one in enumerate(shown) for a, n in _pairs(one) if abs(a - angle) < _SAME_ANGLE]


def _circles(foot: float, step: float) -> list[float]:
    """Radii of the circles of round diameters about the foot's, none on the foot's own."""
    nearest = round(2 * foot / step)
    first = max(1, nearest - _CIRCLES // 2)
    wide = [step * k for k in range(first, first + _CIRCLES)]
    return [w / 2 for w in wide if abs(w - 2 * foot) > 1.0]


def _unknown_foot(most: float, step: float) -> list[float]:
    """Radii of circles of round diameters up to a radius of ``most``, for a foot of which only the inside is known."""
    return [step * k for k in range(2, max(2, int(most / step)) + 1)]


def _labels(one: Spokes, radius: float) -> Iterable[tuple[float, int]]:
    """Which lines are numbered: all, or every second, fifth … where they crowd."""
    gaps = np.diff([*one.angles, one.angles[0] + math.tau])
    room = float(gaps.min()) * radius
    wide = letters.width(str(max(one.numbers)), BODY) * 1.4 + 1.0
    step = next((s for s in (1, 2, 5, 10, 20, 50) if room * s >= wide), 100)
    return [(a, n) for a, n in _pairs(one) if n == 1 or n % step == 0]


def _says(piece: LaidPiece, disc: _Disc, count: int, unit: Unit) -> Iterable[str]:
    diameters = ", ".join(length(2 * r, unit) for r in disc.circles)
    yield f"{piece.name}, turntable disc, seen from above. The arrow is the starting mark."
    if disc.foot > 0:
        yield f"Heavy circle: the foot, {length_with_unit(2 * disc.foot, unit)} across."
    yield f"Dashed circles: {diameters} {unit} across."
    if len(disc.shown) > 1:
        names = ", ".join(f"{k} is {s.name}" for k, s in enumerate(disc.shown, 1))
        yield f"The first figure of a number: {names}."
    if count > len(disc.shown):
        yield "Further bands are divided by the girth strips."
