"""What is seen of a wall from far away, and what hides it: hidden lines of a surface of revolution.

The eye is infinitely far off, ``tilt`` above the level, so that lines of sight are parallel. World
coordinates: x to the viewer's right, y level toward the viewer, z up; the direction to the eye is
(0, cos t, sin t). A point of the wall at tape s and bearing ψ (0: the wall's nearest line; growing to the
right) is (r sin ψ, r cos ψ, h), and is drawn at (r sin ψ, h cos t − r cos ψ sin t).

A ring at tape s is drawn as an ellipse, so the wall at s lies over or under a point of the drawing exactly
where that ellipse passes through the point. For a point at tape s₀ and bearing ψ₀ this is, with the rise
A = (h(s) − h₀) cos t, an equation of the first degree in cos ψ₀:

    cos ψ₀ = C(s) = [sin²t (r(s)² − r₀²) − A²] / (2 A r₀ sin t),

and the wall at s is the nearer of the two where it is the higher: A > 0. So each unbroken stretch of
wall that is higher than s₀ hides, of the ring at s₀, one interval of cos ψ, from the least to the
greatest C on the stretch; nothing has to be followed along lines of sight. Next to s₀ itself C tends to

    tan t · (dr/ds) / (dh/ds),

which is where the normal (dh/ds sin ψ, dh/ds cos ψ, −dr/ds) is at right angles to the line of sight: the
contour of a surface of revolution (its normal: M. do Carmo, Differential Geometry of Curves and
Surfaces, 1976, section 2-5, from memory; the rest follows from the ellipses). The contour is hidden by its
own surface where that end of the interval is not the extreme one; where it becomes so it ends, in a cusp.

The pot is taken to be closed by a level floor across its foot and open at its rim, and the clay to have no
thickness. Looking level or straight down is the limit of looking nearly so: the tilt is kept a millionth
of a radian from both, which moves no point of a pot by a thousandth of a millimetre.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from motif.wall.pieces import Side
from motif.wall.surface import Wall

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

#: How near to level or straight down a line of sight may be, radians.
_NEAREST = 1e-6
#: A rise below this is rounding, mm.
_LEVEL = 1e-9
#: A slope below this is none.
_FLAT = 1e-12
#: Wall is looked at in steps no longer than this part of its length.
_STEPS = 160
#: Next to the point itself its own cover is 0/0; it is looked for from here on, mm.
_BESIDE = 1e-4
#: Parts of a ring that are narrower than this in cos ψ are not there.
NARROW = 1e-9
#: Halvings, and golden sections: 0.618²⁶ is 4e-6 of a bracket, and near its greatest a value hardly changes.
_HALVINGS, _SECTIONS = 40, 26
_GOLDEN = (5**0.5 - 1) / 2
#: For least and for greatest.
_SIGNS = np.array([-1.0, 1.0])
#: A sampled extreme may lie beyond the ring by so much and the true one not.
_SLACK = 1.5


@dataclass(frozen=True, eq=False)
class Sight:
    """A wall seen from ``tilt`` radians above the level, 0 … π/2. ``inside``: its inner face is the decorated one.

    Angles are those of the pot: 0 faces the viewer, and grows to the right as one looks at the decorated
    face. On the outer face that is the wall's nearest line (the bearing ψ itself); on the inner face the
    farthest, which is the one that an eye sees the inside of (ψ = π − angle).

    Raises ValueError for a tilt outside 0 … π/2.
    """

    wall: Wall
    tilt: float
    inside: bool = False

    def __post_init__(self) -> None:
        if not 0.0 <= self.tilt <= np.pi / 2:
            raise ValueError(f"a tilt lies between level and straight down, not at {self.tilt!r}")

    @property
    def _sign(self) -> float:
        return -1.0 if self.inside else 1.0

    @cached_property
    def _cos_sin(self) -> tuple[float, float]:
        kept = min(max(self.tilt, _NEAREST), np.pi / 2 - _NEAREST)
        return float(np.cos(kept)), float(np.sin(kept))

    def project(self, angle: ArrayLike, tape: ArrayLike) -> tuple[Floats, Floats]:
        """(x, y) in mm where the wall at ``angle`` (radians) and ``tape`` (mm) is drawn: x to the right, y up.

        The origin is where the axis of the pot at height 0 is drawn."""
        radius, height = self.wall.point(tape)
        way = np.asarray(angle, dtype=np.float64)
        away = self._sign * radius * np.cos(way)
        return radius * np.sin(way), height * np.cos(self.tilt) - away * np.sin(self.tilt)

    def bearing(self, psi: Floats) -> Floats:
        """The angle of the pot at a bearing ψ, and the other way round."""
        return np.pi - psi if self.inside else psi

    def turned_toward(self, tape: ArrayLike, side: Side = "above", by: float = 0.0) -> tuple[Floats, Floats]:
        """Between which cos ψ the decorated face at each tape is turned to the eye: low and high, in −1 … 1.

        ``by`` is the least cosine between its normal and the line of sight. High is not above low where the
        face is turned away all round. At a corner that is the face on its upper ``side``, or with "below" on
        its lower."""
        s = np.asarray(tape, dtype=np.float64)
        c, sn = self._cos_sin
        rise = self._sign * self.wall.height_slope(s, side) * c
        grow = self._sign * self.wall.radius_slope(s, side) * sn + by
        level = np.abs(rise) < _FLAT
        edge = np.clip(grow / np.where(level, 1.0, rise), -1.0, 1.0)
        low = np.where(level, np.where(grow < 0, -1.0, 1.0), np.where(rise > 0, edge, -1.0))
        high = np.where(level | (rise > 0), 1.0, edge)
        return low, high

    def contour(self, tape: ArrayLike) -> Floats:
        """cos ψ on the contour at each tape; beyond ±1 where the ring has no point of it."""
        grow, rise = self.wall.radius_slope(tape), self.wall.height_slope(tape)
        return self._edge(grow, rise, grow)

    def _edge(self, grow: Floats, rise: Floats, trend: Floats) -> Floats:
        """tan t · (dr/ds)/(dh/ds); where the wall is level ±∞, as ``trend`` has it."""
        c, sn = self._cos_sin
        level = np.abs(rise) < _FLAT
        safe = np.where(level, 1.0, rise)
        return np.where(level, np.copysign(np.inf, trend), sn / c * grow / safe)

    def unhidden(self, tape: ArrayLike) -> tuple[Floats, Floats]:
        """The parts of the rings at ``tape`` (n,) before which there is no clay: low and high cos ψ.

        Arrays (n, k), the parts of each ring in increasing order and NaN for those that it lacks. Which
        face is turned to the eye is another question: see ``turned_toward``."""
        s0 = np.atleast_1d(np.asarray(tape, dtype=np.float64))
        row, low, high = self._covers(s0)
        # What lies beyond the ring hides nothing of it.
        kept = (high > -1.0) & (low < 1.0)
        row, low, high = row[kept], low[kept], high[kept]
        order = np.lexsort((low, row))
        row, low, high = row[order], low[order], high[order]
        most = int(np.bincount(row, minlength=1).max(initial=0))
        place = np.arange(len(row)) - np.searchsorted(row, row)
        start = np.full((len(s0), most + 1), 1.0)
        until = np.full((len(s0), most + 1), 1.0)
        until[:, 0] = -1.0
        start[row, place] = np.minimum(low, 1.0)
        until[row, place + 1] = np.maximum(high, -1.0)
        until = np.minimum(np.maximum.accumulate(until, axis=1), 1.0)
        there = start - until > NARROW
        return np.sort(np.where(there, until, np.nan), axis=1), np.sort(np.where(there, start, np.nan), axis=1)

    # What covers a ring.

    @cached_property
    def _clay(self) -> tuple[Floats, Floats, Floats]:
        """Tapes, radii and heights of the clay, in short steps. The floor has the tapes −r … 0."""
        wall = self.wall
        tapes = np.unique(
            np.concatenate(
                [
                    [0.0, wall.length],
                    wall.nodes_between(0.0, wall.length),
                    wall.radius_turns,
                    wall.height_turns,
                    np.linspace(0.0, wall.length, _STEPS),
                ]
            )
        )
        # Two nodes nearer than a rounding would be a step of nothing.
        tapes = tapes[np.concatenate(([True], np.diff(tapes) > _LEVEL))]
        floor = float(wall.radius(0.0))
        if floor > _LEVEL:
            tapes = np.concatenate(([-floor], tapes))
        return tapes, *self._point(tapes)

    def _point(self, tape: Floats) -> tuple[Floats, Floats]:
        """Radius and height of the clay, floor included."""
        radius, height = self.wall.point(np.maximum(tape, 0.0))
        return np.maximum(radius + np.minimum(tape, 0.0), 0.0), height

    def _cover(self, r0: Floats, h0: Floats, radius: Floats, height: Floats) -> Floats:
        """C of the module's text."""
        c, sn = self._cos_sin
        rise = (height - h0) * c
        return (sn * (radius - r0) * (radius + r0) / rise - rise / sn) / (2 * r0)

    def _covers(self, s0: Floats) -> tuple[Ints, Floats, Floats]:
        """Every stretch of clay higher than a ring: the ring's number, and the least and greatest C.

        In the order of rings. The extremes are found among the clay's steps and then by golden section."""
        tapes, radii, heights = self._clay
        last_node = len(tapes) - 1
        r0, h0 = self.wall.point(s0)
        r0 = np.maximum(r0, _LEVEL)
        rise = heights - h0[:, None]
        above = rise > _LEVEL
        edge = np.zeros((len(s0), 1), dtype=np.bool_)
        row, first = np.nonzero(above & ~np.hstack([edge, above[:, :-1]]))
        _, last = np.nonzero(above & ~np.hstack([above[:, 1:], edge]))
        if not len(row):
            return row, np.empty(0), np.empty(0)
        at_row, at_node = np.nonzero(above)
        cover = self._cover(r0[at_row], h0[at_row], radii[at_node], heights[at_node])
        # So near to the ring itself C is all rounding, and the limit is as good.
        beside = np.abs(tapes[at_node] - s0[at_row]) < _BESIDE
        cover[beside] = self.contour(s0)[at_row[beside]]
        offsets = np.concatenate(([0], np.cumsum(last - first + 1)[:-1]))

        # A stretch ends at the clay's own end, or where the clay comes down to the ring's level: at the
        # ring itself, or on some other ring, which then is wider (C → ∞) or narrower (C → −∞).
        under = rise < -_LEVEL
        steps = np.arange(last_node + 1)
        before = np.maximum.accumulate(np.where(under, steps, -1), axis=1)[row, first]
        after = np.minimum.accumulate(np.where(under, steps, last_node + 1)[:, ::-1], axis=1)[:, ::-1][row, last]
        mine = s0[row]
        own_low = (mine < tapes[first]) & ((before < 0) | (mine >= tapes[before]))
        own_high = (mine > tapes[last]) & ((after > last_node) | (mine <= tapes[np.minimum(after, last_node)]))
        low_end = self._end_cover(s0, row, first, -1, own_low, r0, h0)
        high_end = self._end_cover(s0, row, last, 1, own_high, r0, h0)

        best, node = np.empty((2, len(row))), np.empty((2, len(row)), dtype=np.intp)
        for k, sign in enumerate(_SIGNS):
            signed = sign * cover
            best[k] = np.maximum.reduceat(signed, offsets)
            where = np.where(signed == np.repeat(best[k], last - first + 1), np.arange(len(signed)), len(signed))
            node[k] = at_node[np.minimum.reduceat(where, offsets)]
        # NaN where the clay ends
        at_low, at_high = _SIGNS[:, None] * low_end, _SIGNS[:, None] * high_end
        whole = np.fmax(best, np.fmax(at_low, at_high))
        # What is beyond all of the ring, or hides all of it on this side, needs no refining.
        which, run = np.nonzero((whole < 1.0) & (whole > -_SLACK))
        if len(run):
            begin, end, at = first[run], last[run], node[which, run]
            from_low = own_low[run] & ~(best[which, run] > at_low[which, run])
            from_high = own_high[run] & ~from_low & ~(best[which, run] > at_high[which, run])
            at = np.where(from_low, begin - 1, np.where(from_high, end + 1, at))
            level, own = h0[row[run]], mine[run]
            left = self._bound(at, begin, end, -1, own_low[run], own, level)
            right = self._bound(at, begin, end, 1, own_high[run], own, level)
            found = self._peak(_SIGNS[which], r0[row[run]], level, left, np.maximum(left, right))
            whole[which, run] = np.fmax(whole[which, run], found)
        return row, -whole[0], whole[1]

    def _end_cover(self, s0: Floats, row: Ints, node: Ints, step: int, own: Bools, r0: Floats, h0: Floats) -> Floats:
        """C at one end of each stretch, whose outermost node is ``node``; NaN where the clay ends there."""
        tapes, radii, heights = self._clay
        beyond = node + step
        there = (beyond >= 0) & (beyond < len(tapes))
        beyond = np.clip(beyond, 0, len(tapes) - 1)
        drop = heights[node] - heights[beyond]
        part = np.clip((heights[node] - h0[row]) / np.where(drop > 0, drop, 1.0), 0.0, 1.0)
        met = radii[node] + part * (radii[beyond] - radii[node])
        other = np.copysign(np.inf, met - r0[row])
        grow = self.wall.radius_slope(s0, "below" if step > 0 else "above")
        rise = self.wall.height_slope(s0, "below" if step > 0 else "above")
        # The stretch goes up from the ring against ``step``.
        limit = self._edge(grow, rise, -step * grow)[row]
        return np.where(there, np.where(own, limit, other), np.nan)

    def _bound(self, node: Ints, first: Ints, last: Ints, step: int, own: Bools, s0: Floats, level: Floats) -> Floats:
        """How far from ``node``, down (``step`` −1) or up (1), a peak is looked for on the stretch first … last.

        To the next node; past the outermost, to the ring itself (``own``), or to where the stretch comes down to its
        level or ends."""
        tapes = self._clay[0]
        beyond = node + step
        inside = (beyond >= first) & (beyond <= last)
        result = np.where(inside, tapes[np.clip(beyond, first, last)], s0 - step * _BESIDE)
        # A step shorter than what is left out beside the ring: take the next as well.
        short = inside & (np.abs(result - s0) < _BESIDE)
        result = np.where(short, tapes[np.clip(beyond + step, first, last)], result)
        other = np.flatnonzero(~inside & ~own)
        outer = np.clip(beyond[other], 0, len(tapes) - 1)  # at the clay's end the node itself
        result[other] = self._meeting(tapes[node[other]], tapes[outer], level[other])
        return result

    def _meeting(self, over: Floats, under: Floats, level: Floats) -> Floats:
        """By halving: the tape between ``over`` and ``under``, just above the level, at which the clay meets it."""
        for _ in range(_HALVINGS if len(over) else 0):
            middle = (over + under) / 2
            higher = self._point(middle)[1] > level + _LEVEL
            over, under = np.where(higher, middle, over), np.where(higher, under, middle)
        return over

    def _peak(self, sign: Floats, r0: Floats, h0: Floats, left: Floats, right: Floats) -> Floats:
        """The greatest ``sign`` · C between ``left`` and ``right``, where it has one peak: golden section."""

        def value(tape: Floats) -> Floats:
            radius, height = self._point(tape)
            with np.errstate(divide="ignore", invalid="ignore"):
                found = sign * self._cover(r0, h0, radius, height)
            return np.where(height - h0 > _LEVEL, found, -np.inf)

        near, far = right - _GOLDEN * (right - left), left + _GOLDEN * (right - left)
        at_near, at_far = value(near), value(far)
        for _ in range(_SECTIONS):
            lower = at_near > at_far
            left, right = np.where(lower, left, near), np.where(lower, far, right)
            new = np.where(lower, right - _GOLDEN * (right - left), left + _GOLDEN * (right - left))
            at_new = value(new)
            near, far = np.where(lower, new, far), np.where(lower, near, new)
            at_near, at_far = np.where(lower, at_new, at_far), np.where(lower, at_near, at_new)
        return np.fmax(at_near, at_far)
