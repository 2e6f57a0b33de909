"""Curves of true size: set off on the clay compass-fashion, point by point, from a middle.

Every point lies on the wall in its own direction from the middle at its own distance along the taut
line. Between the points the curve is a chain of cubics with the points' own slopes. Near the point of a closed end,
where a short way is a large angle, points lie closer.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from motif.laying.curves import Segments, cubics, parts_of_cubics
from motif.laying.limits import Limits
from motif.laying.piece import Floats
from motif.wall import Wall
from motif.wall.compass import set_off, travel
from motif.wall.lifts import lifts
from motif.wall.rings import closed_ends
from motif.wall.taut import taut

Bools = NDArray[np.bool_]

#: points of a circle; with a corner of the profile inside it, where its curve bends sharply
ROUND, _ROUND_OVER_CORNER = 72, 240
#: points of an arc, and how many more on either side of it the slopes are taken from
ARC, _BESIDE = 24, 3

#: nearer to the point of a closed end than this part of its radius a circle has closer points: this part of what is
#: left to go to the nearest, or of their distance from the point if that is more; and at least this, mm
_NEAR_END, _CLOSER, _CLOSEST = 1.0, 0.12, 1e-6
#: an arc that comes nearer to such a point than this part of its length has steps in proportion, at most the second
_ARC_NEAR_END, _ARC_STEP = 0.25, 0.06

#: chords of a taut line's nodes leave the wall by no more than this, mm
_CHORD = 0.005

#: sixth-order central differences for unit steps (B. Fornberg, Math. Comp. 51, 1988, table 1)
_SLOPE = np.array([-1 / 60, 3 / 20, -3 / 4, 0, 3 / 4, -3 / 20, 1 / 60])


def circles(wall: Wall, angle: Floats, tape: Floats, radius: Floats, clockwise: Bools) -> tuple[Segments, ...]:
    """Circles (n,) of a radius on the clay about points of the wall, each a chain of segments n long.

    ``clockwise`` is true for the mirror image, which is travelled the other way."""
    key = np.stack([np.round(tape, 9), np.round(radius, 9), clockwise], axis=1)
    distinct, first, which = np.unique(key, axis=0, return_index=True, return_inverse=True)
    near = [np.any(np.abs(wall.corners - t) < r) for t, r in zip(tape[first], radius[first], strict=True)]
    count = _ROUND_OVER_CORNER if any(near) else ROUND
    past = [_past_end(wall, t, r) for t, r in zip(tape[first].tolist(), radius[first].tolist(), strict=True)]
    past = [None if p is None or abs(p[1]) >= _NEAR_END * r else p for p, r in zip(past, radius[first], strict=True)]
    turn = 2 * np.pi * np.arange(count) / count
    bearing = np.where(distinct[:, 2:3] > 0, -turn, turn)
    around, up = set_off(wall, np.zeros((len(first), 1)), tape[first][:, None], bearing, radius[first][:, None])
    # Round a closed end of the wall the angle does not come back but gains a turn.
    around = np.unwrap(np.concatenate([around, around[:, :1]], axis=1), axis=1)
    gained, around = (around[:, -1:] - around[:, :1])[:, :, None] * [1.0, 0.0], around[:, :-1]
    points = np.stack([around, up], axis=2)
    powers = _chain(np.concatenate([points[:, -3:] - gained, points, points[:, :4] + gained], axis=1))
    closer = {
        k: _circle_past_end(wall, float(tape[first[k]]), float(radius[first[k]]), bool(distinct[k, 2]), p)
        for k, p in enumerate(past)
        if p is not None
    }
    if closer:
        count = max(count, *(len(chain) for chain in closer.values()))
        powers = np.stack([_lengthened(closer.get(k, chain), count) for k, chain in enumerate(powers)])
    which = which.reshape(-1)
    parts = []
    for k in range(count):
        here = powers[which, k].copy()
        here[:, 0, 0] += angle
        parts.append(cubics(here, on_wall=True))
    return tuple(parts)


def _past_end(wall: Wall, tape: float, radius: float) -> tuple[float, float] | None:
    """The bearing in which a circle comes nearest to the point of a closed end, and how far that is from the point,
    below 0 if it goes round it; None on a wall without one."""
    ends = [(float(np.copysign(np.pi / 2, end - tape)), abs(end - tape) - radius) for end in closed_ends(wall)]
    return min(ends, key=lambda e: abs(e[1]), default=None)


def _circle_past_end(
    wall: Wall, tape: float, radius: float, clockwise: bool, nearest_at: tuple[float, float]
) -> Floats:
    """A circle that passes near the point of a closed end, a chain of cubics (k, 4, 2) from its place to the right on.

    Points lie as close as they are near to that, which is by ``nearest_at``, as ``_past_end`` gives it; the directions
    there are at right angles to those in which they were set off (Gauss's lemma)."""
    toward, past = nearest_at
    nearest = max(abs(past), _CLOSEST)
    longest = 2 * np.pi * radius / ROUND
    on, ahead = [], min(_CLOSER * nearest, longest) / 2
    while ahead < np.pi * radius:
        on.append(ahead)
        ahead += min(_CLOSER * float(np.hypot(2 * radius * np.sin(ahead / radius / 2), nearest)), longest)
    turns = toward + np.concatenate([on, -np.array(on)]) / radius
    turns = np.unique(np.append(np.mod(turns, 2 * np.pi), 0.0))
    turns = np.append(turns[np.diff(turns, append=2 * np.pi) > 1e-12], 2 * np.pi) * (-1.0 if clockwise else 1.0)
    angle, level, bearing = travel(wall, 0.0, tape, turns, radius)
    heading = bearing + (-np.pi / 2 if clockwise else np.pi / 2)
    angle = np.unwrap(angle)
    return hermite(wall, *(np.stack([v[:-1], v[1:]], axis=1) for v in (angle, level, heading)))


def _chain(points: Floats) -> Floats:
    """Cubics (m, k, 4, 2) through points (m, k + 7, 2), three more than needed on the left and three on the
    right, at unit steps; slopes by central differences."""
    n = points.shape[1] - 6
    slope = sum(c * points[:, i : i + n] for i, c in enumerate(_SLOPE))
    assert isinstance(slope, np.ndarray)
    at = points[:, 3 : 3 + n]
    p, q, d, e = at[:, :-1], at[:, 1:], slope[:, :-1], slope[:, 1:]
    return np.stack([p, d, 3 * (q - p) - 2 * d - e, 2 * (p - q) + d + e], axis=2)


def arcs(wall: Wall, angle: Floats, tape: Floats, bearing: Floats, chord: Floats, rise: Floats) -> tuple[Segments, ...]:
    """Circular arcs (n,) of a rise on the clay about the middles (angle, tape) of taut lines ``chord`` long that
    run there at ``bearing``; a positive rise lies to the left of the way of travel.

    Radius from chord and rise, r = (c² + 4h²) / 8h (Machinery's Handbook, segments of circles)."""
    half = 2 * np.arctan2(2 * np.abs(rise), chord)  # half of the angle the arc spans
    radius = (chord**2 + 4 * rise**2) / (8 * np.maximum(np.abs(rise), 1e-12))

    def at(t: Floats) -> tuple[Floats, Floats]:
        """Angles and tapes at parts t (n, k) of the way along."""
        turn = half[:, None] * (1 - 2 * t)
        x = -radius[:, None] * np.sin(turn)
        y = np.sign(rise)[:, None] * (radius[:, None] * (np.cos(turn) - 1) + np.abs(rise)[:, None])
        return set_off(wall, angle[:, None], tape[:, None], bearing[:, None] + np.arctan2(y, x), np.hypot(x, y))

    around, up = at(_parts_of_arcs(wall, at, 2 * radius * half))
    powers = _chain(np.stack([np.unwrap(around, axis=1), up], axis=2))
    return tuple(cubics(powers[:, k], on_wall=True) for k in range(powers.shape[1]))


def _parts_of_arcs(wall: Wall, at: Callable[[Floats], tuple[Floats, Floats]], length: Floats) -> Floats:
    """Where on arcs (n,) of a length their points lie, as parts of the way (n, k), three beyond both ends among them.

    Evenly, or where arcs come near the point of a closed end as the hyperbolic sine of even steps, so that each step is
    in proportion to how far it is from there."""
    even = np.arange(-_BESIDE, ARC + _BESIDE + 1) / ARC
    parts = np.broadcast_to(even, (len(length), len(even)))
    ends = closed_ends(wall)
    if not ends or not len(length):
        return parts
    middle, width = np.full(len(length), 0.5), 0.5
    for _ in range(12):  # look about the nearest place, ever closer
        some = np.clip(middle[:, None] + width * np.linspace(-1, 1, 33), 0.0, 1.0)
        away = np.min([np.abs(at(some)[1] - end) for end in ends], axis=0)
        nearest = np.argmin(away, axis=1)
        middle, away = np.take_along_axis(some, nearest[:, None], axis=1)[:, 0], away.min(axis=1)
        width /= 8
    # In parts of the length; what is far is as far as even steps are long enough.
    out = np.maximum(away, _CLOSEST) / np.maximum(length, 1e-9)
    if not np.any(out < _ARC_NEAR_END):
        return parts
    out = np.minimum(out, 1e3)
    first, last = np.arcsinh(-middle / out), np.arcsinh((1 - middle) / out)
    count = int(np.ceil(np.max(np.where(out < _ARC_NEAR_END, last - first, 0.0)) / _ARC_STEP))
    steps = np.arange(-_BESIDE, count + _BESIDE + 1) / count
    found = middle[:, None] + out[:, None] * np.sinh(first[:, None] + (last - first)[:, None] * steps)
    found[:, [_BESIDE, -_BESIDE - 1]] = 0.0, 1.0
    return np.asarray(found)


def taut_chains(
    wall: Wall, start: tuple[Floats, Floats], to: tuple[Floats, Floats], limits: Limits, inside: bool = False
) -> tuple[tuple[Segments, ...], Floats, int]:
    """Taut lines (n,) from places (angle, tape) to others, each a chain of the same number of segments; the
    stretches of tape (k, 2) on which a string would lift off a hollow wall, and of how many lines.

    Equal lines are worked out once; short chains are brought to the length of the longest by cutting
    segments in two, which does not move them."""
    n = len(start[0])
    round_ = to[0] - start[0]
    key = np.stack([np.round(start[1], 9), np.round(to[1], 9), np.round(round_, 12)], axis=1)
    _, first, which = np.unique(key, axis=0, return_index=True, return_inverse=True)
    which = which.reshape(-1)
    found = taut(wall, np.zeros(len(first)), start[1][first], round_[first], to[1][first])
    chains, hollows, lifting = [], [], 0
    for i in range(len(first)):
        # At a corner of the wall the line does not break in the plane of angle and tape: its bearing does not.
        angle, tape, bearing = found.polyline(i, _CHORD)
        if len(angle) == 1:  # from a point to itself
            angle, tape, bearing = (np.repeat(v, 2) for v in (angle, tape, bearing))
        chains.append(hermite(wall, *(np.stack([v[:-1], v[1:]], axis=1) for v in (angle, tape, bearing))))
        hollow = lifts(wall, tape, bearing, inside)
        if len(hollow):
            hollows.append(hollow)
            lifting += int(np.sum(which == i))
    most = max(len(c) for c in chains)
    limits.check_stretches(float(most * n))
    powers = np.stack([_lengthened(c, most) for c in chains])[which]  # (n, most, 4, 2)
    powers[:, :, 0, 0] += start[0][:, None]
    segments = tuple(cubics(powers[:, k], on_wall=True) for k in range(most)) if n else ()
    return segments, np.concatenate(hollows) if hollows else np.zeros((0, 2)), lifting


def hermite(wall: Wall, angle: Floats, tape: Floats, bearing: Floats) -> Floats:
    """Cubics (k, 4, 2) from the first to the second of k pairs of places (k, 2), in the bearings of travel there."""
    radius = np.maximum(wall.radius(tape), 1e-9)
    step = np.hypot((radius[:, 1] + radius[:, 0]) / 2 * (angle[:, 1] - angle[:, 0]), tape[:, 1] - tape[:, 0])
    slope = np.stack([np.cos(bearing) / radius, np.sin(bearing)], axis=2) * step[:, None, None]
    points = np.stack([angle, tape], axis=2)
    p, q, d, e = points[:, 0], points[:, 1], slope[:, 0], slope[:, 1]
    return np.stack([p, d, 3 * (q - p) - 2 * d - e, 2 * (p - q) + d + e], axis=1)


def _lengthened(chain: Floats, count: int) -> Floats:
    """A chain of cubics (k, 4, 2) as ``count`` of them."""
    extra = count - len(chain)
    pieces = np.full(len(chain), 1 + extra // len(chain))
    pieces[: extra % len(chain)] += 1
    index = np.repeat(np.arange(len(chain)), pieces)
    part = np.arange(count) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    return parts_of_cubics(chain[index], part / pieces[index], (part + 1) / pieces[index])


def taut_middles(
    wall: Wall, start: tuple[Floats, Floats], to: tuple[Floats, Floats]
) -> tuple[Floats, Floats, Floats, Floats]:
    """Length, and angle, tape and bearing at the middle, of the taut lines (n,) between places."""
    found = taut(wall, start[0], start[1], to[0], to[1])
    angle, tape, bearing = travel(wall, start[0], start[1], found.leaving, found.length / 2)
    for i in np.flatnonzero(found.held != 0):  # held along a ring, a line does not go as it sets out
        angles, tapes, bearings = found.polyline(int(i))
        gone = np.concatenate(
            [[0.0], np.cumsum(np.hypot(wall.radius((tapes[1:] + tapes[:-1]) / 2) * np.diff(angles), np.diff(tapes)))]
        )
        half = gone[-1] / 2
        angle[i], tape[i] = np.interp(half, gone, angles), np.interp(half, gone, tapes)
        bearing[i] = np.interp(half, gone, np.unwrap(bearings))
    return found.length, angle, tape, bearing
