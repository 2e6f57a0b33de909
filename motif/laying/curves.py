"""Curves on the wall as tables of segments, and their evaluation, all at once.

A segment is a cubic in t or an arc of an ellipse, t from 0 to 1, in one of two planes: the grid's
(a, b), or the wall's own (angle, tape) for what has true size on the clay.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.grid import GridLaw
from motif.laying.limits import Limits
from motif.laying.piece import Floats, Ints
from motif.wall import Wall

Bools = NDArray[np.bool_]

#: how far inside a segment's end its direction is taken, so that it is that of this side of a ring, in t
_NUDGE = 1e-7


@record
class Segments:
    """``n`` segments: ``on_wall`` tells the plane, ``conic`` the kind, ``coefficients`` (n, 8) are
    c0 … c3 of a cubic (x, y each), or centre, u, v, φ₀, Δφ of centre + u cos φ + v sin φ."""

    on_wall: Bools
    conic: Bools
    coefficients: Floats

    def __len__(self) -> int:
        return len(self.conic)

    @classmethod
    def joined(cls, parts: list[Segments]) -> Segments:
        if not parts:
            return cls(np.zeros(0, dtype=np.bool_), np.zeros(0, dtype=np.bool_), np.zeros((0, 8)))
        return cls(
            np.concatenate([p.on_wall for p in parts]),
            np.concatenate([p.conic for p in parts]),
            np.concatenate([p.coefficients for p in parts]),
        )

    def moves(self) -> Bools:
        """Which segments lead anywhere: a line to where it begins does not."""
        c = self.coefficients
        return np.where(self.conic, c[:, 7] != 0, np.any(np.abs(c[:, 2:]) > 1e-12, axis=1))

    def at(self, chosen: Ints | Bools | slice) -> Segments:
        return Segments(self.on_wall[chosen], self.conic[chosen], self.coefficients[chosen])


def lines(p: Floats, q: Floats) -> Segments:
    """Straight segments in the grid's plane; p, q (n, 2)."""
    n = len(p)
    return Segments(np.zeros(n, dtype=np.bool_), np.zeros(n, dtype=np.bool_), np.hstack([p, q - p, np.zeros((n, 4))]))


def cubics(powers: Floats, on_wall: bool = False) -> Segments:
    """Cubics with coefficients (n, 4, 2) of 1, t, t², t³."""
    n = len(powers)
    return Segments(np.full(n, on_wall), np.zeros(n, dtype=np.bool_), powers.reshape(n, 8))


def cubics_at(powers: Floats, t: Floats | float) -> Floats:
    """Points (n, 2) of cubics with coefficients (n, 4, 2) of 1, t, t², t³, at t (n, 1)."""
    return np.asarray(powers[:, 0] + t * (powers[:, 1] + t * (powers[:, 2] + t * powers[:, 3])))


def parts_of_cubics(powers: Floats, low: Floats, high: Floats) -> Floats:
    """Stretches low … high (n,) in t of cubics (n, 4, 2), as such cubics themselves."""
    c0, c1, c2, c3 = (powers[:, k] for k in range(4))
    low, wide = low[:, None], (high - low)[:, None]
    return np.stack(
        [
            c0 + low * (c1 + low * (c2 + low * c3)),
            wide * (c1 + low * (2 * c2 + 3 * low * c3)),
            wide**2 * (c2 + 3 * low * c3),
            wide**3 * c3,
        ],
        axis=1,
    )


def conics(centre: Floats, u: Floats, v: Floats, start: Floats, turn: Floats) -> Segments:
    """Arcs of ellipses in the grid's plane."""
    n = len(centre)
    return Segments(
        np.zeros(n, dtype=np.bool_),
        np.ones(n, dtype=np.bool_),
        np.hstack([centre, u, v, start[:, None], turn[:, None]]),
    )


class Tracer:
    """Evaluates segments on a wall; without a grid only those in the wall's own plane."""

    def __init__(self, wall: Wall, law: GridLaw | None, limits: Limits) -> None:
        self.wall = wall
        self.law = law
        self.limits = limits

    def placed(self, s: Segments, t: Floats) -> tuple[Floats, Floats, Floats]:
        """Points (n, 2) in the segments' planes, their angles and their tapes, one t each."""
        p = _evaluate(s, t, 0)
        return p, *self._placed(s, p)

    def on_wall(self, s: Segments, t: Floats) -> tuple[Floats, Floats]:
        """Angle and tape at one t for each segment."""
        return self._placed(s, _evaluate(s, t, 0))

    def _placed(self, s: Segments, p: Floats) -> tuple[Floats, Floats]:
        """Angle and tape of points (n, 2) in the segments' planes."""
        x, y = p[:, 0], p[:, 1]
        if s.on_wall.all():
            return x, y
        assert self.law is not None
        angle, tape = self.law.angle(x), self.law.levels.tape(y)
        if s.on_wall.any():
            angle, tape = np.where(s.on_wall, x, angle), np.where(s.on_wall, y, tape)
        return angle, tape

    def motion(self, s: Segments, t: Floats, side: int = 1) -> tuple[Floats, Floats, Floats, Floats]:
        """Angle, tape, dθ/dt and ds/dt at one t for each segment; where the grid bends, those on the side towards which
        t grows (``side`` 1) or falls (−1)."""
        p, d = _evaluate(s, t, 0), _evaluate(s, t, 1)
        angle, tape = self._placed(s, p)
        if s.on_wall.all():
            return angle, tape, d[:, 0], d[:, 1]
        angle_slope, level_slope = self._slopes(p, d, side, tape)
        return (
            angle,
            tape,
            np.where(s.on_wall, d[:, 0], d[:, 0] * angle_slope),
            np.where(s.on_wall, d[:, 1], d[:, 1] * level_slope[0]),
        )

    def _slopes(self, p: Floats, d: Floats, side: int, tape: Floats) -> tuple[Floats, tuple[Floats, Floats]]:
        law = self.law
        if law is None:
            one = np.ones(len(p))
            return one, (one, np.zeros(len(p)))
        if law.even:
            round_ = law.angle_slope(p[:, 0])
        else:
            right = d[:, 0] * side >= 0
            round_ = np.where(right, law.angle_slope(p[:, 0], 1), law.angle_slope(p[:, 0], -1))
        return round_, law.levels.slope(p[:, 1], np.where(d[:, 1] * side >= 0, 1, -1), tape)

    def direction(self, s: Segments, t: Floats, side: int) -> tuple[Floats, Floats]:
        """Bearing on the wall (counter-clockwise from the ring to the right) and its change per mm of travel.

        ``side`` as in ``motion``. The change is that of the bearing in the frame (along the ring, up the
        wall); between two curves through one point in one direction its difference is that of their
        geodesic curvatures."""
        inner = t + side * _NUDGE
        p, d, dd = (_evaluate(s, inner, k) for k in range(3))
        tape = self._placed(s, p)[1]
        angle_slope, (level_slope, level_bend) = self._slopes(p, d, side, tape)
        wall = s.on_wall
        around, around2 = (np.where(wall, v[:, 0], v[:, 0] * angle_slope) for v in (d, dd))
        up = np.where(wall, d[:, 1], d[:, 1] * level_slope)
        up2 = np.where(wall, dd[:, 1], dd[:, 1] * level_slope + d[:, 1] ** 2 * level_bend)
        r, slope = self.wall.radius(tape), self.wall.radius_slope(tape)
        x, y = r * around, up
        x2 = r * around2 + slope * up * around
        speed2 = np.maximum(x * x + y * y, 1e-200)
        return np.arctan2(y, x), (x * up2 - y * x2) / speed2**1.5


def _evaluate(s: Segments, t: Floats, order: int) -> Floats:
    """Value (order 0) or derivative of each segment's plane curve at its t: (n, 2)."""
    c = s.coefficients
    p = np.empty((len(t), 2))
    for i in (0, 1):  # a column at a time: half the time of both at once
        c0, c1, c2, c3 = c[:, i], c[:, 2 + i], c[:, 4 + i], c[:, 6 + i]
        if order == 0:
            p[:, i] = ((c3 * t + c2) * t + c1) * t + c0
        elif order == 1:
            p[:, i] = (3 * c3 * t + 2 * c2) * t + c1
        else:
            p[:, i] = 6 * c3 * t + 2 * c2
    if s.conic.any():
        k = s.conic
        e, turn = c[k], c[k, 7:8]
        phi = e[:, 6:7] + t[k, None] * turn
        cos, sin = np.cos(phi), np.sin(phi)
        u, v = e[:, 2:4], e[:, 4:6]
        if order == 0:
            p[k] = e[:, 0:2] + u * cos + v * sin
        elif order == 1:
            p[k] = (v * cos - u * sin) * turn
        else:
            p[k] = -(u * cos + v * sin) * turn**2
    return p
