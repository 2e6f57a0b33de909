"""The wall cut into thin layers on which its geodesics are known in closed form.

With σ = ∫ ds/r the wall's metric is r² (dσ² + dθ²). A geodesic keeps Clairaut's constant c = r cos β (β its
bearing from the ring), and in the parameter t with dt = dℓ / r² it moves like a particle on a line:

    (dσ/dt)² = r² − c²,   d²σ/dt² = ½ d(r²)/dσ,   dθ/dt = c,   dℓ/dt = r².

On each layer r² is taken as the parabola in σ through both ends and the middle; the motion is then
σ″ = a + kσ, elementary functions of t, also where the line turns round, along a waist, and across a
corner of the profile, where only dr/ds jumps and β does not. The parabola's error is odd about
the layer's middle and of third order, and r is exact at every node, so nothing adds up along a line.

Clairaut's relation: M. P. do Carmo, Differential Geometry of Curves and Surfaces (1976), on geodesics of
surfaces of revolution. The variable t is that of the separated Hamilton–Jacobi equation of a Liouville metric.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from motif.wall.surface import Wall

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

#: Steps of σ from ring to ring: for a relative third derivative of r² of 1, at least, at most.
_STEP, _LEAST, _MOST = 0.02, 1e-4, 0.1
#: Near a point of the wall, within this radius, steps of σ may be so large; the last ring has radius POINT, mm.
_STEP_NEAR_POINT, _NEAR_POINT, POINT = 0.2, 1.0, 1e-5
#: A t or an angle beyond this is endless.
ENDLESS = 1e9
#: Series are used below this argument; sinh is not asked for above that one; below the third two terms will do.
_SMALL, _HUGE, _THIN = 0.4, 300.0, 0.01


def sinhc(y: Floats) -> Floats:
    """sinh √y / √y, which for y < 0 is sin √−y / √−y."""
    value = 1 + y / 6 * (1 + y / 20 * (1 + y / 42 * (1 + y / 72 * (1 + y / 110 * (1 + y / 156)))))
    large = np.abs(y) >= _SMALL
    if large.any():
        y = y[large]
        x = np.sqrt(np.abs(y))
        value[large] = np.where(y > 0, np.sinh(np.minimum(x, _HUGE)), np.sin(x)) / x
    return value


def _atanhc(x: Floats) -> Floats:
    """artanh √x / √x for x < 1, which for x < 0 is arctan √−x / √−x. Uses x up."""
    # Only turns and waists are large. Along a waist x is 1 but for rounding, and the line stays very long.
    large = np.nonzero(np.abs(x) >= 5e-3)
    far = np.minimum(x[large], 1 - 1e-15)
    x[large] = 0.0
    series = x / 9
    for k in (7, 5, 3):
        series += 1 / k
        series *= x
    series += 1
    if far.size:
        root = np.sqrt(np.abs(far))
        series[large] = np.where(far > 0, np.arctanh(np.where(far > 0, root, 0.0)), np.arctan(root)) / root
    return series


def passage(q0: Floats, q1: Floats, rise: Floats, bend: Floats) -> Floats:
    """The t that a line takes over part of a layer, from its speeds |dσ/dt| at both ends, Δσ ≥ 0 and ``bend``.

    From Δσ = (q0 + q1) tanh(√k t/2) / √k; 0 over no rise, beyond ``ENDLESS`` over some without speed."""
    w = q0 + q1
    np.maximum(w, 1e-150, out=w)
    np.divide(rise, w, out=w)
    t = _atanhc(bend * w * w)
    t *= w
    t *= 2
    return t


def action(q0: Floats, q1: Floats, bend: Floats, t: Floats) -> Floats:
    """∫ (dσ/dt)² dt over part of a layer that takes t, from the speeds at its ends: length less c² t.

    Between them dσ/dt is (q0 sinh √k(t−τ) + q1 sinh √kτ) / sinh √kt."""
    y = bend * t * t
    large = np.nonzero(np.abs(y) >= _THIN)
    far = y[large]
    y[large] = 0.0
    squares, product = q0 * q0 + q1 * q1, q0 * q1
    # The quotient of the series that ``_thick`` has, to the square of y.
    value = squares * (1 + y * (2 / 105 * y - 2 / 15)) + product * (1 + y * (31 / 840 * y - 7 / 30))
    value /= 3
    if far.size:
        value[large] = _thick(far, squares[large], product[large])
    return t * value


def _thick(y: Floats, squares: Floats, product: Floats) -> Floats:
    """The mean of (dσ/dt)² over parts that take √y/√k, from sum of squares and product of the speeds at their ends."""
    z = 4 * y
    ends = (1 + z / 20 * (1 + z / 42 * (1 + z / 72 * (1 + z / 110)))) / 3
    cross = (1 + y / 10 * (1 + y / 28 * (1 + y / 54 * (1 + y / 88)))) / 3
    below = 1 + z / 12 * (1 + z / 30 * (1 + z / 56 * (1 + z / 90 * (1 + z / 132))))
    large = np.abs(y) >= _SMALL
    if large.any():
        y = y[large]
        x = np.minimum(np.sqrt(np.abs(y)), _HUGE)
        up = y > 0
        s, c = np.where(up, np.sinh(x), np.sin(x)), np.where(up, np.cosh(x), np.cos(x))
        sign = np.where(up, 1.0, -1.0)
        ends[large], cross[large], below[large] = sign * (s * c - x) / 2, sign * (x * c - s), x * s * s
    return (squares * ends + product * cross) / below


@dataclass(frozen=True, eq=False)
class Layers:
    """n layers between n + 1 rings: at the rings tape, σ and r²; of the layers k = ``bend`` and ½ d(r²)/dσ at
    the lower ring, ``pull``. All that lies between ``tape[0]`` and ``tape[-1]``; ``facing`` is −1 if they are read from
    the rim down, with tape and σ of the opposite sign."""

    wall: Wall
    tape: Floats
    sigma: Floats
    square: Floats
    bend: Floats
    pull: Floats
    facing: int = 1

    @classmethod
    def of(cls, wall: Wall, lo: float, hi: float) -> Layers:
        """The layers of the wall, and of its cones beyond foot and rim, from tape lo to hi.

        A point of the wall is cut off at a ring of radius ``POINT``."""
        tape = _rings(wall, lo, hi)
        sigma, square = wall.sigma(tape), wall.radius(tape) ** 2
        middle = wall.radius(wall.tape_at_sigma((sigma[1:] + sigma[:-1]) / 2)) ** 2
        rise = np.diff(sigma)
        bend = 2 * (square[1:] - 2 * middle + square[:-1]) / rise**2
        pull = (np.diff(square) / rise - bend * rise) / 2
        return cls(wall, tape, sigma, square, bend, pull)

    @cached_property
    def top(self) -> int:
        """Number of the uppermost layer."""
        return len(self.bend) - 1

    def find(self, sigma: Floats) -> Ints:
        """The layer in which each σ lies; of two at a ring the upper, at the top ring the one below it."""
        return np.clip(np.searchsorted(self.sigma, sigma, side="right") - 1, 0, self.top)

    def square_at(self, layer: Ints, sigma: Floats) -> Floats:
        """r² on the layer's parabola."""
        x = sigma - self.sigma[layer]
        return self.square[layer] + x * (2 * self.pull[layer] + self.bend[layer] * x)

    @cached_property
    def turned(self) -> Floats:
        """Angle (n + 1, n + 1) that a line which turns at ring i gains up to ring j > i; infinite if it cannot
        get there, 0 at i = j."""
        square = np.where(self._reached, self.square - self.square[:, None], 0.0)
        q = np.sqrt(np.maximum(square, 0.0))
        t = passage(q[:, :-1], q[:, 1:], np.diff(self.sigma)[None, :], self.bend[None, :])
        t[np.tri(t.shape[0], t.shape[1], -1, dtype=bool)] = 0.0
        angle = np.zeros_like(q)
        np.cumsum(t * np.sqrt(self.square)[:, None], axis=1, out=angle[:, 1:])
        return np.where(self._reached & (angle < ENDLESS), angle, np.inf)

    @cached_property
    def _reached(self) -> NDArray[np.bool_]:
        """Whether r on all rings from above i up to j is greater than on i."""
        n = len(self.square)
        upper = np.tri(n, dtype=bool).T
        wider = (self.square > self.square[:, None]) | ~upper | np.eye(n, dtype=bool)
        return np.logical_and.accumulate(wider, axis=1) & upper

    def turn_in(self, layer: Ints, square: Floats) -> Floats:
        """The lowest σ of the layer at which r² rises through the value given, which its rings must span."""
        a, b, c = self.bend[layer], self.pull[layer], self.square[layer] - square
        rise = self.sigma[layer + 1] - self.sigma[layer]
        # The root of a x² + 2 b x + c in a form without cancellation for b > 0; c ≤ 0.
        root = b + np.sqrt(np.maximum(b * b - a * c, 0.0))
        with np.errstate(divide="ignore", invalid="ignore"):
            x = np.where(root > 0, -c / root, 0.0)
        return self.sigma[layer] + np.clip(x, 0.0, rise)

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
            -(self.pull + self.bend * rise)[::-1],
            -self.facing,
        )


def layers_over(wall: Wall, lo: float, hi: float) -> Layers:
    """Layers of the whole wall, and beyond its ends as far as lo and hi ask for."""
    if lo >= 0 and hi <= wall.length:
        return wall.layers
    return Layers.of(wall, min(lo, 0.0), max(hi, wall.length))


def _rings(wall: Wall, lo: float, hi: float) -> Floats:
    """Tapes of the rings: every corner, every turn of the radius, foot and rim, and enough between."""
    lo, hi = max(lo, wall.reach[0]), min(hi, wall.reach[1])
    lo, hi = _off_point(wall, lo, 1), _off_point(wall, hi, -1)
    fixed = np.concatenate(([lo, 0.0, wall.length, hi], wall.corners, wall.radius_turns))
    fixed = np.unique(fixed[(fixed >= lo) & (fixed <= hi)])
    # Two of them may be one place but for rounding.
    fixed = fixed[np.concatenate(([True], np.diff(fixed) > 1e-9))]
    near = np.geomspace(POINT, _NEAR_POINT, 60)
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
    return tapes


def _heights(wall: Wall, edges: Floats) -> Floats:
    """How high layers may be between neighbouring tapes, mm.

    The parabola's error goes with (r²)‴ = 2 r² (4 r′³ + 7 r r′ r″ + r² r‴), dashes on the left in σ, on the
    right in s."""
    middle = (edges[1:] + edges[:-1]) / 2
    r, d, dd = wall.radius(middle), wall.radius_slope(middle), wall.radius_bend(middle)
    ddd = (wall.radius_bend(edges[1:], "below") - wall.radius_bend(edges[:-1])) / np.diff(edges)
    third = np.abs(d * (4 * d * d + 7 * r * dd) + r * r * ddd)
    step = np.clip(_STEP / np.cbrt(third + 1e-12), _LEAST, _MOST)
    return r * np.where(r < _NEAR_POINT, np.maximum(step, _STEP_NEAR_POINT), step)


def _off_point(wall: Wall, tape: float, inward: int) -> float:
    """The tape itself, or where it is a point of the wall, that of the ring of radius ``POINT`` beside it."""
    short = POINT - float(wall.radius(tape))
    if short <= 0:
        return tape
    slope = abs(float(wall.radius_slope(tape, "above" if inward > 0 else "below")))
    return tape + inward * short / max(slope, 1e-3)
