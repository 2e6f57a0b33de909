"""The turntable disc: the pot stands on its middle, and lines for the columns come out from under it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.numbers import Unit, length, length_with_unit
from motif.outputs.pen import SANS
from motif.outputs.printed import letters
from motif.outputs.printed.girths import division
from motif.outputs.printed.pages import BODY, SMALL
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
        if not any(_same(one.angles, other.angles) and one.numbers == other.numbers for other in found):
            found.append(Spokes(f"band {band.number}", one.angles, one.numbers))
    return found


def _same(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return len(one) == len(other) and max(abs(a - b) for a, b in zip(one, other, strict=True)) < _SAME_ANGLE


def part(piece: LaidPiece, paper: Paper, unit: Unit) -> Part | None:
    """The disc; None where no band divides the pot.

    Its lines come out from under the foot and, where the paper is wide enough, from under the belly."""
    every = spokes(piece)
    if not any(len(s.angles) > 1 for s in every):
        return None
    shown = every[:_MOST_DIVISIONS]
    foot = 0.0 if piece.form.side == "inside" else float(piece.form.wall.radius(0.0))
    circles = _circles(foot, _INCH_STEP if unit == "in" else _STEP)
    widest = float(piece.form.wall.widest(0.0, piece.form.wall.length)[1])
    least = max(foot + _BEYOND, circles[-1] + 6.0) + _NUMBERS * (len(shown) - 1)
    rim = _OFF + max([BODY + _ARROW, *(_wide(_name(a, n, shown)) for one in shown for a, n in _pairs(one))])
    outer = max(least, min(widest + _BEYOND, paper.width / 2 - rim))
    sketch = Sketch()
    line = sketch.group(stroke=INK, stroke_width=0.25, fill="none")
    words = sketch.group(font_family=SANS, fill=INK)
    # Seen from above: outside, what is to the right runs against the clock, inside with it.
    way, front = (-1.0, -math.pi / 2) if piece.form.side == "inside" else (1.0, math.pi / 2)

    def spot(angle: float, radius: float) -> tuple[float, float]:
        turned = front - way * angle
        return radius * math.cos(turned), radius * math.sin(turned)

    for radius in circles:
        line.circle(0.0, 0.0, radius, stroke_dasharray="3 1.5")
    if foot > 0:
        line.circle(0.0, 0.0, foot, stroke_width=0.6)
    cross = 4.0
    line.lines([np.array([[-cross, 0.0], [cross, 0.0]]), np.array([[0.0, -cross], [0.0, cross]])], stroke_width=0.35)
    for k, one in enumerate(shown):
        reach = outer - k * _NUMBERS
        inner = 6.0 if k == 0 else max(foot, 6.0)
        dash = ("none", "4 1.5", "1.2 1.2")[k]
        line.lines(
            [np.array([spot(a, inner), spot(a, reach)]) for a in one.angles], stroke_width=0.35, stroke_dasharray=dash
        )
        for a, number in _labels(one, reach):
            if _there(a, shown[:k]):
                continue
            name = _name(a, number, shown)
            x, y = spot(a, reach)
            out = np.array([x, y]) / reach
            x, y = np.array([x, y]) + out * (_OFF + abs(out[0]) * _wide(name) / 2 + abs(out[1]) * 0.36 * BODY)
            base = float(y) + 0.36 * BODY
            # Lines of other bands pass under it.
            words.text(float(x), base, name, BODY, anchor="middle", fill="#ffffff", stroke="#ffffff", stroke_width=1.2)
            words.text(float(x), base, name, BODY, anchor="middle")
    tip, foot_of = outer + _OFF + BODY, outer + _OFF + BODY + _ARROW
    arrow = [spot(0.0, tip), spot(0.012, foot_of), spot(-0.012, foot_of)]
    words.lines([np.array(arrow)], closed=True, stroke="none")
    box = sketch.box()
    edge = max(-box.left, box.right, -box.top, box.bottom)
    y = edge + SMALL
    for said in _says(piece, shown, len(every), foot, circles, unit):
        for part_of in letters.lines_of(said, 2 * edge, SMALL):
            words.text(-edge, y, part_of, SMALL)
            y += SMALL * 1.35
    return Part("turntable disc", (sketch,), Box(-edge, -edge, edge, y - SMALL), upright=True)


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


def _labels(one: Spokes, radius: float) -> Iterable[tuple[float, int]]:
    """Which lines are numbered: all, or every second, fifth … where they crowd."""
    gaps = np.diff([*one.angles, one.angles[0] + math.tau])
    room = float(gaps.min()) * radius
    wide = letters.width(str(max(one.numbers)), BODY) * 1.4 + 1.0
    step = next((s for s in (1, 2, 5, 10, 20, 50) if room * s >= wide), 100)
    return [(a, n) for a, n in _pairs(one) if n == 1 or n % step == 0]


def _says(
    piece: LaidPiece, shown: list[Spokes], count: int, foot: float, circles: list[float], unit: Unit
) -> Iterable[str]:
    diameters = ", ".join(length(2 * r, unit) for r in circles)
    yield f"{piece.name}, turntable disc, seen from above. The arrow is the starting mark."
    if foot > 0:
        yield f"Heavy circle: the foot, {length_with_unit(2 * foot, unit)} across."
    yield f"Dashed circles: {diameters} {unit} across."
    if count > 1:
        names = ", ".join(f"{k} is {s.name}" for k, s in enumerate(shown, 1))
        yield f"The first figure of a number: {names}." + (
            " Further rows: see the girth strips." if count > len(shown) else ""
        )
