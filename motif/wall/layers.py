"""The wall cut into thin layers on which its geodesics are known in closed form.

With σ = ∫ ds/r the wall's metric is r² (dσ² + dθ²). A geodesic keeps Clairaut's constant c = r cos β (β its
bearing from the ring), and in the parameter t with dt = dℓ / r² it moves like a particle on a line:

    (dσ/dt)² = r² − c²,   d²σ/dt² = ½ d(r²)/dσ,   dθ/dt = c,   dℓ/dt = r².

On each layer r² is taken as the parabola in σ through both ends and the middle; the motion is then
σ″ = a + kσ, elementary functions of t, also where the line turns round, along a waist, and across a
corner of the profile, where only dr/ds jumps and β does not. The parabola's error is odd about the
layer's middle and of third order, and r is exact at every ring, so nothing adds up along a line. That error is known,
so that in a part of a layer, where a line begins, ends or turns, the parabola is one of that part. Towards the
point of a closed end σ runs to infinity; there one layer, of a straight wall all of it, is taken as the cone that it
is, on which lines are straight when it is developed.

Clairaut's relation: M. P. do Carmo, Differential Geometry of Curves and Surfaces (1976), on geodesics of
surfaces of revolution. The variable t is that of the separated Hamilton–Jacobi equation of a Liouville metric.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from motif.wall.motion import cone_passage, passage
from motif.wall.surface import Wall

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

#: Steps of σ from ring to ring: for a third, and for a fourth, derivative of r² of 2 r², at least, at most.
_STEP, _STEP_4, _LEAST, _MOST = 0.025, 0.025, 1e-4, 0.1
#: Near a point of the wall, within this radius, mm, steps of σ may be so large.
_STEP_NEAR_POINT, _NEAR_POINT = 0.05, 1.0
#: A smooth wall is a cone up to this radius from its point; the last ring of any has the radius INNERMOST, mm.
_TIP, INNERMOST = 0.01, 1e-8
#: Into so many parts a straight tip is divided, and the highest of them as beside any corner: from ring to ring what a
#: line that turns gains must rise or fall, which it need not where the wall goes on beyond the tip.
_TIP_PARTS, _BESIDE_CORNER = 32, (1 / 64, 1 / 16, 1 / 4)
#: Into so many parts the radii below that of the narrowest ring are divided for tables of lines by c.
_BELOW = 16
#: A t or an angle beyond this is endless.
ENDLESS = 1e9


@dataclass(frozen=True, eq=False)
class Layers:
    """n layers between n + 1 rings, all that lies between ``tape[0]`` and ``tape[-1]``: at the rings tape, σ and r²; of
    the layers k = ``bend``, ½ d(r²)/dσ at the lower ring, ``pull``, and ``skew``, what is left over; ``cone`` is the
    slope d ln r/dσ of those that are taken as cones, 0 of others. ``facing`` is −1 if they are read from the rim down,
    with tape and σ of the opposite sign."""

    wall: Wall
    tape: Floats
    sigma: Floats
    square: Floats
    bend: Floats
    pull: Floats
    skew: Floats
    cone: Floats
    facing: int = 1
    _read_upward: Layers | None = None

    @classmethod
    def of(cls, wall: Wall, lo: float, hi: float) -> Layers:
        """The layers of the wall, and of its cones beyond foot and rim, from tape lo to hi.

        A point of the wall is cut off at a ring of radius ``INNERMOST``."""
        tape, tips = _rings(wall, lo, hi)
        sigma, square = wall.sigma(tape), wall.radius(tape) ** 2
        slope = wall.radius_slope(tape[[0, -1]])
        for at, inner, k in zip(tips, (tips[0].stop, tips[1].start), slope, strict=True):
            # There σ is reckoned from the inner ring: near the point no number is fine enough.
            rings = slice(at.start, at.stop + 1)
            if at.stop > at.start:
                sigma[rings] = sigma[inner] + np.log(square[rings] / square[inner]) / (2 * k)
        middle = wall.radius(wall.tape_at_sigma((sigma[1:] + sigma[:-1]) / 2)) ** 2
        rise = np.diff(sigma)
        bend = 2 * (square[1:] - 2 * middle + square[:-1]) / rise**2
        pull = (np.diff(square) / rise - bend * rise) / 2
        # Every turn of r is a ring. A parabola that would turn beside it turns there: at a waist or a belly the wall
        # is level, and a line near a waist must not meet one that is narrower.
        trend, steady = np.sign(np.diff(square)), np.abs(np.diff(square)) / rise**2
        turns_low, turns_high = pull * trend < 0, (pull + bend * rise) * trend < 0
        bend = np.where(turns_low, trend * steady, np.where(turns_high, -trend * steady, bend))
        pull = np.where(turns_low, 0.0, np.where(turns_high, trend * steady * rise, pull))
        # What the parabola is off by at the quarters, where it goes through the middle.
        low, high = (wall.radius(wall.tape_at_sigma(sigma[:-1] + part * rise)) ** 2 for part in (0.25, 0.75))
        odd = (low - high) - (square[:-1] - square[1:]) / 2
        skew = np.where(turns_low | turns_high, 0.0, odd * 32 / (3 * rise**3))
        cone = np.zeros_like(bend)
        for at, k in zip(tips, slope, strict=True):
            cone[at], bend[at], pull[at], skew[at] = k, 0.0, k * square[at], 0.0
        return cls(wall, tape, sigma, square, bend, pull, skew, cone)

    @cached_property
    def pointed(self) -> bool:
        """Whether any layer is a cone."""
        return bool(np.any(self.cone))

    @cached_property
    def top(self) -> int:
        """Number of the uppermost layer."""
        return len(self.bend) - 1

    def find(self, sigma: Floats) -> Ints:
        """The layer in which each σ lies; of two at a ring the upper, at the top ring the one below it."""
        return np.clip(np.searchsorted(self.sigma, sigma, side="right") - 1, 0, self.top)

    def square_at(self, layer: Ints, sigma: Floats) -> Floats:
        """r² in the layer: its parabola, and what that leaves over, ``skew`` x (x − h/2) (x − h)."""
        x, h = sigma - self.sigma[layer], self.sigma[layer + 1] - self.sigma[layer]
        odd = self.skew[layer] * (x - h / 2) * (x - h)
        square = self.square[layer] + x * (2 * self.pull[layer] + self.bend[layer] * x + odd)
        if not self.pointed:
            return square
        cone = self.cone[layer]
        return np.where(cone != 0, self.square[layer] * np.exp(2 * cone * x), square)

    def bend_between(self, layer: Ints, low: Floats, high: Floats) -> Floats:
        """k of the parabola through r² at two σ of the layer and half-way between; ``bend`` for the whole layer."""
        middle = (low + high - self.sigma[layer] - self.sigma[layer + 1]) / 2
        return self.bend[layer] + 3 * self.skew[layer] * middle

    @cached_property
    def levels(self) -> Floats:
        """Values of c² for which ``gained`` is known: r² of the rings, then some evenly spaced c below them all."""
        fewer = np.arange(1, _BELOW) / _BELOW
        return np.concatenate((self.square, self.square.min() * fewer**2))

    @cached_property
    def _gains(self) -> Floats:
        """Angle (n, levels) that a line of each of the ``levels`` gains over the whole of each layer; 0 where it does
        not get through, or not to an end."""
        if self._read_upward is not None:
            return self._read_upward._gains[::-1, : len(self.square)][:, ::-1]
        square = self.square[:, None] - self.levels
        layer, level = np.nonzero((square[:-1] >= 0) & (square[1:] >= 0))
        q0, q1 = np.sqrt(square[layer, level]), np.sqrt(square[layer + 1, level])
        angle = passage(q0, q1, np.diff(self.sigma)[layer], self.bend[layer], self.skew[layer])
        if self.pointed:
            at = np.flatnonzero(self.cone[layer])
            angle[at] = cone_passage(q0[at], q1[at], self.levels[level[at]], self.cone[layer[at]])
        angle *= np.sqrt(self.levels)[level]
        gains = np.zeros((len(self.bend), len(self.levels)))
        gains[layer, level] = np.where(angle < ENDLESS, angle, 0.0)
        return gains

    @cached_property
    def gained(self) -> Floats:
        """Angle (n + 1, levels) that lines of each of the ``levels`` gain up to ring j, counted from anywhere:
        differences are true between rings if r there is nowhere less than c."""
        gains = self._gains
        sums = np.zeros((len(gains) + 1, gains.shape[1]))
        np.cumsum(gains, axis=0, out=sums[1:])
        return sums

    @cached_property
    def turned(self) -> Floats:
        """Angle (n + 1, n + 1) that a line which turns at ring i, the second axis, gains up to ring j > i; infinite
        if it cannot get there, 0 at i = j."""
        n = len(self.square)
        level = np.arange(n)
        # The first ring above i that is no wider than i bars the way.
        barred = (self.square[:, None] <= self.square) & (level[:, None] > level)
        end = np.where(barred.any(axis=0), np.argmax(barred, axis=0), n)
        reached = (level[:, None] >= level) & (level[:, None] < end)
        gained = self.gained[:, :n]
        return np.where(reached, gained - np.diagonal(gained), np.inf)

    @cached_property
    def ladder(self) -> Ints:
        """Some of the ``levels`` by increasing c: no two in the same five-hundredth of the widest ring."""
        order = np.argsort(self.levels, kind="stable")
        step = np.floor(np.sqrt(self.levels[order] / self.levels[order[-1]]) * 500)
        return order[np.concatenate(([True], np.diff(step) > 0))]

    @cached_property
    def _narrowest(self) -> list[Ints]:
        """For k = 0, 1 …, of every 2ᵏ neighbouring rings the narrowest, the lowest of equals."""
        rings = [np.arange(len(self.square))]
        while len(rings[-1]) > 2 ** (len(rings) - 1):
            below, above = rings[-1][: -(2 ** (len(rings) - 1))], rings[-1][2 ** (len(rings) - 1) :]
            rings.append(np.where(self.square[above] < self.square[below], above, below))
        return rings

    def narrowest(self, first: Ints, last: Ints) -> Ints:
        """Of rings from ``first`` to ``last`` ≥ first the narrowest, the lowest of equals."""
        found = first.copy()
        for k, rings in enumerate(self._narrowest):
            at = np.flatnonzero((last - first + 1) >> k == 1)
            below, above = rings[first[at]], rings[last[at] - 2**k + 1]
            found[at] = np.where(self.square[above] < self.square[below], above, below)
        return found

    def waist(self, layer: Ints) -> Floats:
        """The least value of the layer's parabola, inside it or not; 0 if it has none or that is negative."""
        pull, bend = self.pull[layer], self.bend[layer]
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(bend > 0, np.maximum(self.square[layer] - pull * pull / bend, 0.0), 0.0)

    def turn_in(self, layer: Ints, square: Floats) -> Floats:
        """The σ of the layer at which r² rises through the value given, which its rings must span."""
        a, b, c = self.bend[layer], self.pull[layer], self.square[layer] - square
        rise = self.sigma[layer + 1] - self.sigma[layer]
        # The root of a x² + 2 b x + c in a form without cancellation; b ≥ 0, c ≤ 0.
        root = b + np.sqrt(np.maximum(b * b - a * c, 0.0))
        skew = self.skew[layer]
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            x = np.clip(np.where(root > 0, -c / root, 0.0), 0.0, rise)
            for _ in range(2):
                # Newton's rule for what the parabola leaves over.
                y = c + x * (2 * b + a * x + skew * (x - rise / 2) * (x - rise))
                slope = 2 * (b + a * x) + skew * (3 * x * (x - rise) + rise * rise / 2)
                x = np.clip(np.where((slope > 0) & (skew != 0), x - y / slope, x), 0.0, rise)
            if self.pointed:
                cone = self.cone[layer]
                on_cone = np.log(square / self.square[layer]) / (2 * cone)
                x = np.where(cone != 0, np.clip(on_cone, 0.0, rise), x)
        return self.sigma[layer] + x

    def tape_at(self, sigma: Floats) -> Floats:
        """Tape at σ, both as these layers count them."""
        return self.facing * self.wall.tape_at_sigma(self.facing * sigma)

    @cached_property
    def corners(self) -> Floats:
        """σ of the rings on which the profile has a corner."""
        return self.sigma[np.isin(self.facing * self.tape, self.wall.corners)]

    @cached_property
    def curvature(self) -> Floats:
        """The largest curvature of the profile in each layer, 1/mm."""
        tapes = self.facing * self.tape
        low, high = np.minimum(tapes[:-1], tapes[1:]), np.maximum(tapes[:-1], tapes[1:])
        wall, middle = self.wall, (low + high) / 2
        return np.max(
            [
                np.hypot(wall.radius_bend(low), wall.height_bend(low)),
                np.hypot(wall.radius_bend(middle), wall.height_bend(middle)),
                np.hypot(wall.radius_bend(high, "below"), wall.height_bend(high, "below")),
            ],
            axis=0,
        )

    @cached_property
    def upside_down(self) -> Layers:
        """The same layers read from the rim down: tape and σ with the opposite sign."""
        rise = np.diff(self.sigma)
        return Layers(
            self.wall,
            -self.tape[::-1],
            -self.sigma[::-1],
            self.square[::-1],
            self.bend[::-1],
            -np.where(self.cone != 0, self.cone * self.square[1:], self.pull + self.bend * rise)[::-1],
            -self.skew[::-1],
            -self.cone[::-1],
            -self.facing,
            self,
        )


def layers_over(wall: Wall, lo: float, hi: float) -> Layers:
    """Layers of the whole wall, and beyond its ends as far as lo and hi ask for."""
    if lo >= 0 and hi <= wall.length:
        return wall.layers
    return Layers.of(wall, min(lo, 0.0), max(hi, wall.length))


def _rings(wall: Wall, lo: float, hi: float) -> tuple[Floats, tuple[slice, slice]]:
    """Tapes of the rings: every corner, every turn of the radius, foot and rim, and enough between; and the lowest
    and the highest layers that are cones up to a point of the wall."""
    lo, hi = max(lo, wall.reach[0]), min(hi, wall.reach[1])
    foot, rim = _innermost(wall, lo, 1), _innermost(wall, hi, -1)
    bottom, top = _tip(wall, lo, foot, rim), _tip(wall, hi, rim, foot)
    tapes = _between(wall, bottom, top) if bottom < top else np.array([bottom])
    below, above = _tip_rings(foot, bottom), _tip_rings(rim, top)[::-1]
    n = len(below) + len(tapes) - 1
    return np.concatenate((below, tapes, above)), (slice(0, len(below)), slice(n, n + len(above)))


def _tip_rings(innermost: float, far: float) -> Floats:
    """Tapes of the rings of a tip without the last, outward from the one at the point."""
    if innermost == far:
        return np.zeros(0)
    if abs(far - innermost) < _NEAR_POINT:
        return np.array([innermost])
    parts = np.arange(1, _TIP_PARTS) / _TIP_PARTS
    beside = 1 - np.array(_BESIDE_CORNER[::-1]) / _TIP_PARTS
    return innermost + np.concatenate(([0.0], parts, beside)) * (far - innermost)


def _between(wall: Wall, lo: float, hi: float) -> Floats:
    """Tapes of the rings of a stretch without the tips of closed ends."""
    fixed = np.concatenate(([lo, 0.0, wall.length, hi], wall.corners, wall.radius_turns))
    fixed = np.unique(fixed[(fixed >= lo) & (fixed <= hi)])
    # Two of them may be one place but for rounding.
    fixed = fixed[np.concatenate(([True], np.diff(fixed) > 1e-9))]
    near = np.geomspace(_TIP / 10, _NEAR_POINT, 60)
    grid = np.concatenate((fixed, wall.nodes_between(lo, hi), np.linspace(lo, hi, 257), lo + near, hi - near))
    grid = np.unique(grid[(grid >= lo) & (grid <= hi)])
    need = np.diff(grid) / _heights(wall, grid)
    count = np.concatenate(([0.0], np.cumsum(need)))
    at = np.interp(fixed, grid, count)
    pieces = np.maximum(np.ceil(np.diff(at)).astype(int), 1)
    first = np.concatenate(([0], np.cumsum(pieces)))
    part = (np.arange(first[-1]) - np.repeat(first[:-1], pieces)) / np.repeat(pieces, pieces)
    levels = np.repeat(at[:-1], pieces) + part * np.repeat(np.diff(at), pieces)
    tapes = np.interp(np.append(levels, at[-1]), count, grid)
    tapes[first] = fixed
    # Beside a waist or a belly layers are lower, since there the parabola turns at its end and not where three places
    # say; beside a corner too, since what a line gains may fall and rise again as its turn goes over it.
    inner = wall.radius_turns[(wall.radius_turns > 0) & (wall.radius_turns < wall.length)]
    level = _beside(tapes, np.setdiff1d(inner, wall.corners), (1 / 4, 1 / 2))
    return np.unique(np.concatenate((tapes, level, _beside(tapes, wall.corners, _BESIDE_CORNER))))


def _beside(tapes: Floats, places: Floats, parts: tuple[float, ...]) -> Floats:
    """Tapes that divide the layers to both sides of some rings, in parts as seen from there."""
    at = np.flatnonzero(np.isin(tapes, places))
    up, down = at[at < len(tapes) - 1], at[at > 0]
    toward = [(tapes[up], tapes[up + 1]), (tapes[down], tapes[down - 1])]
    return np.concatenate([here + part * (there - here) for here, there in toward for part in parts])


def _heights(wall: Wall, edges: Floats) -> Floats:
    """How high layers may be between neighbouring tapes, mm.

    The parabola's error goes with (r²)‴ = 2 r² (4 r′³ + 7 r r′ r″ + r² r‴), dashes on the left in σ, on the
    right in s; what is left when that is made up for goes with (r²)⁗."""
    middle = (edges[1:] + edges[:-1]) / 2
    r, d, dd = wall.radius(middle), wall.radius_slope(middle), wall.radius_bend(middle)
    ddd = (wall.radius_bend(edges[1:], "below") - wall.radius_bend(edges[:-1])) / np.diff(edges)
    third = d * (4 * d * d + 7 * r * dd) + r * r * ddd
    fourth = r * np.gradient(third, middle) + 2 * d * third
    step = np.minimum(_STEP / np.cbrt(np.abs(third) + 1e-12), _STEP_4 / (np.abs(fourth) + 1e-12) ** 0.25)
    step = np.clip(step, _LEAST, _MOST)
    return r * np.where(r < _NEAR_POINT, np.maximum(step, _STEP_NEAR_POINT), step)


def _innermost(wall: Wall, end: float, inward: int) -> float:
    """The tape of an end, or where it is a point of the wall, that of the ring of radius ``INNERMOST`` beside it."""
    if float(wall.radius(end)) >= INNERMOST:
        return end
    return end + inward * INNERMOST / _steepness(wall, end, inward)


def _tip(wall: Wall, end: float, innermost: float, other: float) -> float:
    """How far from the point of the wall at tape ``end`` it is taken for a cone: while it is straight, at the most to
    the other end; of a smooth wall not far. ``innermost`` itself where the end is no point."""
    if innermost == end:
        return end
    inward = 1 if other > end else -1
    foot = inward > 0
    if end != (0.0 if foot else wall.length):  # the cone beyond foot or rim
        return min(0.0, other) if foot else max(wall.length, other)
    # The first stretch but the tip that ``Stretches`` itself makes of a closed end.
    stretches = wall.stretches
    first = 1 if foot else len(stretches.straight) - 2
    if stretches.straight[first]:
        far = float(stretches.ends[first + 1 if foot else first])
        return min(far, other) if foot else max(far, other)
    return end + inward * _TIP / _steepness(wall, end, inward)


def _steepness(wall: Wall, end: float, inward: int) -> float:
    """How fast the radius grows from a point of the wall."""
    return max(abs(float(wall.radius_slope(end, "above" if inward > 0 else "below"))), 1e-3)
