"""Setting off compass-fashion: so far along the shortest line that leaves in a given direction.

In tape s and bearing β (from along the ring to the right, up being π/2) a geodesic of the wall obeys

    dθ/dℓ = cos β / r,   ds/dℓ = sin β,   dβ/dℓ = r′ cos β / r,

and keeps Clairaut's constant c = r cos β (M. P. do Carmo, Differential Geometry of Curves and Surfaces, 1976,
on geodesics of surfaces of revolution). With c kept exactly it is s″ = c² r′/r³, θ′ = c/r². Straight stretches
of the profile, the wall's cones beyond foot and rim, and the tip of a closed end are crossed in one step on
their developed cone; smooth stretches with the classical Runge–Kutta rule. A step ends where the stretch ends,
so that a corner, at which r′ jumps and β does not, costs no accuracy.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from motif.wall.arguments import together
from motif.wall.stretches import Stretches
from motif.wall.surface import Wall

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

#: Runge–Kutta steps as a part of the radius and of the profile's radius of curvature; longest, shortest, mm.
_PART, _LONGEST, _SHORTEST = 0.04, 2.5, 1e-3
#: A wall nearer its axis than this is at the point of a closed end, mm.
POINT = 1e-9
#: A stretch whose slope is below this is a cylinder.
_LEVEL = 1e-8
#: A line that leaves a ridge by no more than this runs along it, mm.
_BOUNCE = 1e-6
#: Steps that the search for the place where a line leaves its stretch may take.
_SEARCH = 40


def set_off(
    wall: Wall, angle: ArrayLike, tape: ArrayLike, bearing: ArrayLike, distance: ArrayLike
) -> tuple[Floats, Floats]:
    """The places (angle, tape) at ``distance`` mm along the geodesics that leave at ``bearing``.

    Arguments in radians and mm, of any shapes that go together; two arrays of their common shape. Bearings run
    counter-clockwise from along the ring to the right, as you look at the wall: up is π/2. Beyond foot and rim the
    wall goes on as a cone; a line crosses a corner of the profile as if both sides were unfolded; one that meets a
    closed end goes straight on through it. Angles run on past a turn. On pots right to 1e-6 mm at 100 mm.

    >>> from motif.wall import Station, build_wall
    >>> cone = build_wall([Station(0, 40), Station(40, 70)], smooth=False)
    >>> _, tape = set_off(cone, 0.0, 10.0, [0.0, np.pi / 2], 30.0)
    >>> unrolled = np.hypot(40 / 0.6 + 10, [30, 0]) - 40 / 0.6 + [0, 30]
    >>> np.allclose(tape, unrolled, rtol=0, atol=1e-9)
    True

    Raises ValueError: a number that is not finite; a negative distance. The equations and their source stand at
    the head of this module.
    """
    angle_, tape_, _ = travel(wall, angle, tape, bearing, distance)
    return angle_, tape_


def travel(
    wall: Wall, angle: ArrayLike, tape: ArrayLike, bearing: ArrayLike, distance: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """As ``set_off``, with the bearing of travel on arrival (−π … π) as a third array."""
    start, at, toward, far = together(angle=angle, tape=tape, bearing=bearing, distance=distance)
    if np.any(far < 0):
        raise ValueError("distance must not be negative")
    start, toward = _leaving_points(wall, start, at, toward)
    walk = _Walk.begin(wall.stretches, start.ravel(), at.ravel(), toward.ravel(), far.ravel())
    walk.run_along_ridges()
    while walk.under_way.size:
        walk.step()
    return tuple(a.reshape(at.shape) for a in (walk.angle, walk.tape, walk.bearing()))  # type: ignore[return-value]


def _leaving_points(wall: Wall, angle: Floats, tape: Floats, bearing: Floats) -> tuple[Floats, Floats]:
    """Angles and bearings at which lines set out that begin at the point of a closed end.

    There every bearing leads straight along a meridian: in the developed tip, whose angles are ``slope`` times
    those of the wall, it lies as far from the meridian at ``angle`` as the bearing from the one that leads
    along that."""
    point = wall.radius(tape) < POINT
    if not point.any():
        return angle, bearing
    at_foot = tape < wall.length / 2
    away = np.where(at_foot, np.pi / 2, -np.pi / 2)
    aside = np.where(at_foot, away - bearing, bearing - away)
    aside = np.mod(aside + np.pi, 2 * np.pi) - np.pi
    slope = np.maximum(np.abs(wall.radius_slope(tape)), 1e-9)
    return np.where(point, angle + aside / slope, angle), np.where(point, away, bearing)


@dataclass
class _Walk:
    """Lines on their way, an entry each: angle, tape, ds/dℓ, Clairaut's constant, what is left to go."""

    stretches: Stretches
    angle: Floats
    tape: Floats
    rate: Floats
    clairaut: Floats
    left: Floats
    stretch: Ints
    under_way: Ints

    @classmethod
    def begin(cls, stretches: Stretches, angle: Floats, tape: Floats, bearing: Floats, distance: Floats) -> _Walk:
        rate = np.sin(bearing)
        stretch = stretches.find(tape, rate < 0)
        tape = np.clip(tape, stretches.ends[0], stretches.ends[-1])
        radius, _ = stretches.radius(tape, stretch)
        return cls(
            stretches,
            angle.copy(),
            tape.copy(),
            rate,
            np.cos(bearing) * radius,
            distance.copy(),
            stretch,
            np.flatnonzero(distance > 0),
        )

    def bearing(self) -> Floats:
        radius, _ = self.stretches.radius(self.tape, self.stretch)
        return np.arctan2(self.rate * radius, self.clairaut)

    def step(self) -> None:
        """Take every line a step: across a straight stretch, a short way on a smooth one."""
        straight = self.stretches.straight[self.stretch[self.under_way]]
        if straight.any():
            self._cross(self.under_way[straight])
        if not straight.all():
            self._bend(self.under_way[~straight])
        self.under_way = self.under_way[self.left[self.under_way] > 0]
        self.run_along_ridges()

    def run_along_ridges(self) -> None:
        """Finish the lines that set out along a ridge of the wall, or so nearly that they never leave it.

        They would cross it to and fro, each time by the height r β²/(2 m) of a chord."""
        st, at = self.stretches, self.under_way
        stretch, tape = self.stretch[at], self.tape[at]
        end = np.where(tape == st.ends[stretch], stretch, stretch + 1)
        fall = np.where(tape == st.ends[end], st.ridge[end], 0.0)
        radius, _ = st.radius(tape, stretch)
        kept = (fall > 0) & (self.rate[at] ** 2 * radius < 2 * fall * _BOUNCE)
        if kept.any():
            i = at[kept]
            self.angle[i] += self.clairaut[i] * self.left[i] / radius[kept] ** 2
            self.left[i] = 0.0
            self.under_way = at[~kept]

    def _cross(self, at: Ints) -> None:
        """Straight on over the developed cone, to the end of the stretch or of the line.

        There a line is a chord: at x along it from its nearest point to the cone's point, which is p = |c|/m
        away, r = m √(p² + x²), and the developed angle m θ is arctan(x/p)."""
        st, stretch = self.stretches, self.stretch[at]
        low, high = st.ends[stretch], st.ends[stretch + 1]
        tape, rate, c, left = self.tape[at], self.rate[at], self.clairaut[at], self.left[at]
        radius, slope = st.radius(tape, stretch)
        m = np.abs(slope)
        outward = np.where(slope < 0, -1.0, 1.0)
        level = m < _LEVEL
        m = np.where(level, 1.0, m)
        p = np.abs(c) / m
        x = rate * outward * radius / m
        # The end reached first: outward after the nearest point, inward if the inner end lies beyond p.
        wide, narrow = np.where(outward > 0, high, low), np.where(outward > 0, low, high)
        widest, narrowest = (np.maximum(st.radius(s, stretch)[0], 0.0) / m for s in (wide, narrow))
        # The outermost end is the wall's own point, which a line passes on one side or goes through.
        inner = np.where(outward > 0, stretch > 0, stretch + 2 < len(st.ends))
        inward = (x < 0) & (narrowest > p) & inner
        x_end = np.where(inward, -_leg(narrowest, p), _leg(widest, p))
        run = np.where(level, np.where(rate > 0, high - tape, tape - low), x_end - x)
        with np.errstate(divide="ignore", invalid="ignore"):
            run = np.where(level, np.where(rate == 0, np.inf, run / np.abs(rate)), run)
        run = np.maximum(run, 0.0)
        ends = run < left
        run = np.minimum(run, left)
        x_new = x + run
        reached = np.hypot(p, x_new)
        # hypot's difference without cancellation: it is all the tape gained on a steep cone.
        gained = (x_new - x) * (x_new + x) / (reached + np.hypot(p, x))
        with np.errstate(divide="ignore", invalid="ignore"):
            turned = (np.arctan2(x_new, p) - np.arctan2(x, p)) / m * np.where(c < 0, -1, 1)
            new_rate = np.where(reached > 0, x_new / reached, 1.0) * outward
        self.angle[at] += np.where(level, c * run / np.maximum(radius, _SHORTEST) ** 2, turned)
        new = np.where(level, tape + rate * run, tape + outward * gained)
        up = np.where(level, rate > 0, inward ^ (outward > 0))
        self.tape[at] = np.where(ends, np.where(up, high, low), np.clip(new, low, high))
        self.rate[at] = np.where(level, rate, new_rate)
        self.left[at] = np.where(ends, left - run, 0.0)
        self.stretch[at] = np.where(ends, stretch + np.where(up, 1, -1), stretch)

    def _bend(self, at: Ints) -> None:
        """One Runge–Kutta step on a smooth stretch, cut short where it would leave the stretch."""
        st, stretch = self.stretches, self.stretch[at]
        low, high = st.ends[stretch], st.ends[stretch + 1]
        state = self.angle[at], self.tape[at], self.rate[at]
        c, left = self.clairaut[at], self.left[at]
        h = np.minimum(left, st.scale(state[1], stretch) * _PART)
        h = np.minimum(np.clip(h, _SHORTEST, _LONGEST), left)
        new = self._rule(state, c, stretch, h)
        out = np.flatnonzero((new[1] > high) | (new[1] < low))
        if out.size:
            edge = np.where(new[1][out] > high[out], high[out], low[out])
            part = tuple(a[out] for a in state)
            h[out] = self._meet(part, c[out], stretch[out], h[out], edge)
            cut = self._rule(part, c[out], stretch[out], h[out])
            for whole, piece in zip(new, (cut[0], edge, cut[2]), strict=True):
                whole[out] = piece
        self.angle[at], self.tape[at], self.rate[at] = new
        self.left[at] = left - h
        if out.size:
            i = at[out]
            # Moved on only if it has really left: a line that grazes the edge at its start turns back inside.
            self.stretch[i] += np.where(edge == high[out], 1, -1)

    def _rule(self, state: tuple[Floats, ...], c: Floats, stretch: Ints, h: Floats) -> tuple[Floats, Floats, Floats]:
        """Angle, tape and rate after the classical fourth-order step of length h."""
        angle, tape, rate = state

        def pulled(s: Floats) -> tuple[Floats, Floats]:
            r, slope = self.stretches.radius(s, stretch)
            turn = c / (r * r)
            return turn, turn * c * slope / r

        w1, a1 = pulled(tape)
        v2 = rate + h / 2 * a1
        w2, a2 = pulled(tape + h / 2 * rate)
        v3 = rate + h / 2 * a2
        w3, a3 = pulled(tape + h / 2 * v2)
        v4 = rate + h * a3
        w4, a4 = pulled(tape + h * v3)
        return (
            angle + h / 6 * (w1 + 2 * w2 + 2 * w3 + w4),
            tape + h / 6 * (rate + 2 * v2 + 2 * v3 + v4),
            rate + h / 6 * (a1 + 2 * a2 + 2 * a3 + a4),
        )

    def _meet(self, state: tuple[Floats, ...], c: Floats, stretch: Ints, h: Floats, edge: Floats) -> Floats:
        """The length of the step that ends on the edge: Newton's rule, or halving where that leaves 0 … h.

        A line that sets out from the edge itself and comes back to it is looked for by its mean rate, whose
        root is the return and not the start."""
        before, after = np.zeros_like(h), h.copy()
        starts = state[1] == edge
        inside = np.where(starts, state[2], state[1] - edge) > 0
        tried = h * 0.5
        for _ in range(_SEARCH):
            _, tape, rate = self._rule(state, c, stretch, tried)
            beyond, per = tape - edge, np.where(starts, tried, 1.0)
            kept = (beyond > 0) == inside
            before, after = np.where(kept, tried, before), np.where(kept, after, tried)
            if np.all((np.abs(beyond) < 1e-11) | (after - before < 1e-14)):
                break
            with np.errstate(divide="ignore", invalid="ignore"):
                newton = tried - beyond / (rate - np.where(starts, beyond / per, 0.0))
            tried = np.where((newton > before) & (newton < after), newton, (before + after) / 2)
        return tried


def _leg(far: Floats, p: Floats) -> Floats:
    """√(far² − p²), 0 where far is the shorter."""
    return np.sqrt(np.maximum((far - p) * (far + p), 0.0))
