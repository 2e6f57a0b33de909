"""Taut lines: the shortest on the wall, as a string pulled tight or a stick bent to the clay."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from motif.wall.arguments import together
from motif.wall.compass import travel
from motif.wall.ends import DIP, RISE, Ends, Found
from motif.wall.layers import Layers, layers_over
from motif.wall.motion import cone_passage, passage, sinhc
from motif.wall.strings import search
from motif.wall.surface import Wall

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

#: The most σ between places on a polyline, and into which a cone up to a point is divided for it.
_SPREAD, _DIVIDED = 0.4, 0.2
#: Tapes and angles that differ by less are the same when lines are told apart: 1e-9 mm, 1e-12 radians.
_TAPE_DIGITS, _ANGLE_DIGITS = 9, 12


@dataclass(frozen=True, eq=False)
class TautLines:
    """Taut lines between pairs of places; arrays of the shape of the pairs.

    ``length`` in mm; ``leaving`` and ``arriving`` are the bearings of travel at the two ends, radians
    counter-clockwise from along the ring to the right (up is π/2); ``held`` is the angle that the line runs along
    a single ring, held at foot or rim or in a corner, or round a closed end."""

    length: Floats
    leaving: Floats
    arriving: Floats
    held: Floats
    _start: Floats = field(repr=False)
    _backward: NDArray[np.bool_] = field(repr=False)
    _leftward: NDArray[np.bool_] = field(repr=False)
    _line: Ints = field(repr=False)
    _ends: Ends = field(repr=False)
    _found: Found = field(repr=False)

    def polyline(self, line: int, chord: float = 0.02) -> tuple[Floats, Floats, Floats]:
        """Angles, tapes and bearings of travel (k,) along one line (numbered over the flattened pairs), from its
        start, so close that no chord leaves the wall by more than ``chord`` mm; a place on every corner it crosses."""
        n = int(self._line.ravel()[line])
        angle, tape, bearing = _walk(self._ends, self._found, n, chord)
        start = float(self._start.ravel()[line])
        if self._backward.ravel()[line]:
            angle, tape, bearing = angle[-1] - angle[::-1], tape[::-1], -bearing[::-1]
        if self._leftward.ravel()[line]:
            angle, bearing = -angle, np.pi - bearing
        return start + angle, tape, np.arctan2(np.sin(bearing), np.cos(bearing))


def taut(wall: Wall, angle0: ArrayLike, tape0: ArrayLike, angle1: ArrayLike, tape1: ArrayLike) -> TautLines:
    """The taut lines from (angle0, tape0) to (angle1, tape1), as far round as the angles, unreduced, say.

    Arguments in radians and mm, of any shapes that go together, which is the shape of what is found. Lines stay
    between foot and rim and run along them where they are held there (a place beyond carries the wall's end out to
    itself); they cross corners of the profile as if both sides were unfolded. Of two equally short lines the lower is
    taken. A line is the same from whichever end it starts, and lines between the same tapes with the same
    difference of angle are one. On pots lengths are right to 1e-6 mm, bearings to 1e-5 mm at the far end.

    >>> from motif.wall import Station, build_wall
    >>> can = build_wall([Station(0, 50), Station(120, 50)], smooth=False)
    >>> line = taut(can, 0.0, 20.0, 2 * np.pi, 100.0)
    >>> round(float(line.length), 6) == round(float(np.hypot(100 * np.pi, 80)), 6)
    True

    Raises ValueError: a number that is not finite. Clairaut's relation and its source stand at the head of
    ``motif.wall.layers``, why the shortest is found at that of ``motif.wall.strings``.
    """
    a0, s0, a1, s1 = together(angle0=angle0, tape0=tape0, angle1=angle1, tape1=tape1)
    return _taut(layers_over(wall, *_span(s0, s1)), a0, s0, a1, s1)


def _span(s0: Floats, s1: Floats) -> tuple[float, float]:
    return (float(min(s0.min(), s1.min())), float(max(s0.max(), s1.max()))) if s0.size else (0.0, 0.0)


def _taut(layers: Layers, a0: Floats, s0: Floats, a1: Floats, s1: Floats) -> TautLines:
    backward, leftward = s0 > s1, a1 < a0
    tapes = (np.round(np.ravel(s), _TAPE_DIGITS) for s in (np.minimum(s0, s1), np.maximum(s0, s1)))
    keys = np.stack((*tapes, np.round(np.ravel(np.abs(a1 - a0)), _ANGLE_DIGITS)), axis=1).astype(np.float64)
    distinct, line = np.unique(keys, axis=0, return_inverse=True)
    line = line.reshape(s0.shape)
    sigma = np.clip(layers.wall.sigma(distinct[:, :2]), layers.sigma[0], layers.sigma[-1])
    ends = Ends.of(layers, sigma[:, 0], sigma[:, 1], distinct[:, 2])
    found = search(ends)
    # Speeds at the lower and upper end of a line that goes to the right from its lower end.
    c = np.sqrt(found.square)
    up = np.sqrt(np.maximum(np.stack((ends.low_square, ends.high_square)) - found.square, 0.0))
    low = np.arctan2(np.where(found.kind == DIP, -up[0], up[0]), c)[line]
    high = np.arctan2(np.where(found.kind == RISE, -up[1], up[1]), c)[line]
    leaving, arriving = np.where(backward, -high, low), np.where(backward, -low, high)
    leaving, arriving = (np.where(leftward, np.arctan2(np.sin(b), -np.cos(b)), b) for b in (leaving, arriving))
    return TautLines(found.length[line], leaving, arriving, found.held[line], a0, backward, leftward, line, ends, found)


def bearing_and_distance(
    wall: Wall, angle0: ArrayLike, tape0: ArrayLike, angle1: ArrayLike, tape1: ArrayLike
) -> tuple[Floats, Floats]:
    """The bearing and the distance that ``set_off`` needs to go from the first places to the second.

    The inverse of ``set_off``: along the taut line that goes as far round as the unreduced angles say; one that
    foot or rim would hold goes over the cones beyond them. Where the line is held in a corner, or goes through a
    closed end, no bearing leads to the place, and that of the taut line is given. Raises ValueError: a number that is
    not finite."""
    a0, s0, a1, s1 = together(angle0=angle0, tape0=tape0, angle1=angle1, tape1=tape1)
    if not s0.size:
        return s0.copy(), s0.copy()
    lo, hi = _span(s0, s1)
    lines = _taut(layers_over(wall, lo, hi), a0, s0, a1, s1)
    # A scalar stays an array, of no dimensions.
    bearing, distance, held = (np.array(v) for v in (lines.leaving, lines.length, lines.held))
    stuck = held > 0
    if stuck.any():
        beyond = float(distance[stuck].max()) / 2
        places = (a[stuck] for a in (a0, s0, a1, s1))
        lines = _taut(layers_over(wall, lo - beyond, hi + beyond), *places)
        bearing[stuck], distance[stuck], held[stuck] = lines.leaving, lines.length, lines.held
    free = held == 0
    for _ in range(3):
        # Newton: an error along the line is one of distance, one across it of bearing, by the spread of
        # neighbouring lines at that distance.
        angle, tape, arriving = travel(wall, a0, s0, bearing, distance)
        beside, above, _ = travel(wall, a0, s0, bearing + _NUDGE, distance)
        radius = wall.radius(tape)
        x, y = (a1 - angle) * radius, s1 - tape
        cos, sin = np.cos(arriving), np.sin(arriving)
        spread = ((above - tape) * cos - (beside - angle) * radius * sin) / _NUDGE
        across = y * cos - x * sin
        good = free & (np.hypot(x, y) < 1.0) & (np.abs(spread) > 1e-3 * distance)
        bearing = np.where(good, bearing + across / np.where(good, spread, 1.0), bearing)
        distance = np.where(good, np.maximum(distance + x * cos + y * sin, 0.0), distance)
    return bearing, distance


#: By how much a bearing is turned to see how far lines spread, radians.
_NUDGE = 1e-5


def _walk(ends: Ends, found: Found, n: int, chord: float) -> tuple[Floats, Floats, Floats]:
    """Angles, tapes and bearings along line n from its lower end, to the right."""
    layers, kind = ends.layers, int(found.kind[n])
    low, high, turn = float(ends.low[n]), float(ends.high[n]), float(found.turn[n])
    square, held = float(found.square[n]), float(found.held[n])
    if kind == RISE:
        # The wall upside down, from the upper end; read backwards it is from the lower end to the right again.
        angle, sigma, bearing = _dipping(layers.upside_down, square, -high, -low, -turn, held, chord)
        angle, sigma, bearing = angle[-1] - angle[::-1], -sigma[::-1], bearing[::-1]
    elif kind == DIP:
        angle, sigma, bearing = _dipping(layers, square, low, high, turn, held, chord)
    else:
        angle, sigma, bearing = _climbing(layers, square, low, high, turn, held, chord)
    angle = angle * (float(ends.angle[n]) / angle[-1]) if angle[-1] > 0 else angle
    return angle, layers.wall.tape_at_sigma(sigma), bearing


def _dipping(
    layers: Layers, square: float, low: float, high: float, turn: float, held: float, chord: float
) -> tuple[Floats, Floats, Floats]:
    down, up = (_leg(layers, square, turn, end, chord) for end in (low, high))
    along = _ring(square, held, turn, chord)
    return _joined(((down[0][-1] - down[0][::-1], down[1][::-1], -down[2][::-1]), along, up))


def _climbing(
    layers: Layers, square: float, low: float, high: float, ring: float, held: float, chord: float
) -> tuple[Floats, Floats, Floats]:
    if held == 0:
        return _leg(layers, square, low, high, chord)
    below, above = _leg(layers, square, low, ring, chord), _leg(layers, square, ring, high, chord)
    return _joined((below, _ring(square, held, ring, chord), above))


def _ring(square: float, held: float, sigma: float, chord: float) -> tuple[Floats, Floats, Floats]:
    """Along a ring."""
    count = int(np.ceil(held / _sweep(np.asarray(square), chord))) + 1 if held > 0 else 1
    angle = np.linspace(0.0, held, count)
    return angle, np.full(count, sigma), np.zeros(count)


def _sweep(square: Floats, chord: float) -> Floats:
    """The angle whose chord leaves a ring by half of ``chord``; no more than an eighth of a turn."""
    return np.minimum(np.sqrt(4 * chord / np.sqrt(square)), np.pi / 4)


def _joined(legs: tuple[tuple[Floats, Floats, Floats], ...]) -> tuple[Floats, Floats, Floats]:
    """Legs one after another, each from where the last ended."""
    start, angles, rest = 0.0, [], []
    for i, (angle, sigma, bearing) in enumerate(legs):
        skip = 0 if i == 0 else 1
        angles.append(start + angle[skip:])
        rest.append((sigma[skip:], bearing[skip:]))
        start += float(angle[-1])
    return np.concatenate(angles), np.concatenate([s for s, _ in rest]), np.concatenate([b for _, b in rest])


def _divided(edges: Floats, parts: Ints) -> Floats:
    """Edges (n + 1,) of stretches with each divided evenly into so many ``parts`` (n,)."""
    of = np.repeat(np.arange(len(parts)), parts)
    part = (np.arange(len(of)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[of]
    return np.append(edges[of] + part * np.diff(edges)[of], edges[-1])


def _leg(layers: Layers, square: float, low: float, high: float, chord: float) -> tuple[Floats, Floats, Floats]:
    """Angles, σ and bearings up a line of c² = ``square`` from σ low to high, both included."""
    first, last = (int(layers.find(np.asarray(s))) for s in (low, high))
    edges = np.concatenate(([low], layers.sigma[first + 1 : last + 1], [high]))
    layer = np.arange(first, last + 1)
    parts = np.where(layers.cone[layer] != 0, np.ceil(np.diff(edges) / _DIVIDED), 1).astype(np.int64).clip(1)
    inner = np.flatnonzero(np.arange(parts.sum()) == np.repeat(np.cumsum(parts) - parts, parts))[1:]
    edges, layer = _divided(edges, parts), np.repeat(layer, parts)
    r2 = layers.square_at(np.append(layer, last), edges)
    r2[inner] = layers.square[first + 1 : last + 1]
    q = np.sqrt(np.maximum(r2 - square, 0.0))
    rise, bend = np.diff(edges), layers.bend_between(layer, edges[:-1], edges[1:])
    pulls = (np.diff(r2) / np.where(rise > 0, rise, 1.0) - bend * rise) / 2
    cone = layers.cone[layer]
    t = passage(q[:-1], q[1:], rise, bend, layers.skew[layer])
    t = np.where(cone != 0, cone_passage(q[:-1], q[1:], np.asarray(square), np.where(cone != 0, cone, 1.0)), t)
    # How many chords each layer's part needs, as a running sum: places are spread evenly over it.
    tapes = layers.tape_at(edges)
    height = np.sqrt(4 * chord / np.maximum(layers.curvature[layer], 1e-9))
    c = np.sqrt(square)
    # The last part keeps places so close that a line straight in (angle, tape) between them strays no farther:
    # it turns against the wall's line by twice dβ/dℓ = c (dr/ds) / r².
    steep = np.where(cone != 0, cone * np.maximum(r2[1:], r2[:-1]), layers.pull[layer])
    stray = t * np.sqrt(np.abs(steep) * c / (2 * chord))
    bent = np.hypot(c * t / _sweep(np.minimum(r2[1:], r2[:-1]), chord), np.diff(tapes) / height)
    # Towards a closed end all of the angle is gained in the last tenths of a millimetre.
    need = bent + stray + (rise / _SPREAD if c > 0 else 0.0)
    total = np.concatenate(([0.0], np.cumsum(need)))
    count = max(int(np.ceil(total[-1])), 1)
    at = np.linspace(0.0, total[-1], count + 1)
    at = np.unique(np.concatenate((at, total[np.isin(edges, layers.corners)])))
    k = np.clip(np.searchsorted(total, at, side="right") - 1, 0, len(layer) - 1)
    part = np.where(need[k] != 0, (at - total[k]) / np.where(need[k] != 0, need[k], 1.0), 0.0)
    tau = t[k] * np.clip(part, 0.0, 1.0)
    pull = pulls[k]
    y = bend[k] * tau * tau
    half = sinhc(y / 4) ** 2 / 2
    sigma = edges[k] + tau * (q[k] * sinhc(y) + tau * pull * half)
    speed = q[k] * (1 + y * half) + tau * pull * sinhc(y)
    if cone[k].any():
        # Developed, the line is straight: its angle as seen from the point grows by m c τ.
        m = np.where(cone[k] != 0, cone[k], 1.0)
        turn = m * c * tau
        along = m * tau * np.sinc(turn / np.pi)
        onward = (q[k] * np.cos(turn) + c * c * along) / np.maximum(np.cos(turn) - q[k] * along, 1e-300)
        level = edges[k] + np.log(np.hypot(onward, c) / np.sqrt(r2[k])) / m
        speed, sigma = np.where(cone[k] != 0, onward, speed), np.where(cone[k] != 0, level, sigma)
    start = np.concatenate(([0.0], np.cumsum(t)))[k]
    sigma[0], sigma[-1] = low, high
    return c * (start + tau), sigma, np.arctan2(np.maximum(speed, 0.0), c)
