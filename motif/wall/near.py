"""Distances between places that lie near one another."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from motif.wall.surface import Wall

Floats = NDArray[np.float64]

#: The wall's curvature is taken from the middle to the levels of the places, but at least so far to both sides:
#: mm, and as a part of the distance along the ring.
_ASIDE, _PART = 0.25, 0.125
#: √K d / 2 no greater than this: a hemisphere is no neighbourhood.
_FARTHEST = 1.5


def near_distance(wall: Wall, angle0: ArrayLike, tape0: ArrayLike, angle1: ArrayLike, tape1: ArrayLike) -> Floats:
    """The distance on the wall, mm, between places (any shapes that go together) not far apart.

    The wall between them is taken for one of constant Gaussian curvature K that has, half-way up, the radius and
    the slope k = dr/ds of the wall. With κ² = k² + K r² its law of cosines is

        sin²(√K d/2) / K = sin²(√K Δs/2) / K + r₀ r₁ sin²(κ Δθ/2) / κ²,

    on a ball (κ = 1) that of half-versed sines, on a cone (K = 0) that of the developed sector; hyperbolic where K or
    κ² is negative. K is −Δk/(r Δs) over the levels between the places. Exact on cones, cylinders and discs, on balls
    to d⁵ K²/2000; elsewhere the error is of the order of d⁴ dK/ds: at 10 mm on a bottle 1e-4 mm. Over a corner of the
    profile it is of the order of d² times the change of k over r, a few hundredths of a millimetre at 10 mm."""
    a0, s0, a1, s1 = np.broadcast_arrays(*(np.asarray(x, dtype=np.float64) for x in (angle0, tape0, angle1, tape1)))
    between = Between.of(wall, a0, s0, a1, s1)
    return between.distance(a1 - a0, s1 - s0, wall.radius(s0) * wall.radius(s1))


@dataclass(frozen=True, eq=False)
class Between:
    """The wall between pairs of places (any one shape), taken for one of constant ``curvature`` K, with κ² as
    ``turning``; it serves for what lies beside such a pair, too."""

    curvature: Floats
    turning: Floats

    @classmethod
    def of(cls, wall: Wall, angle0: Floats, tape0: Floats, angle1: Floats, tape1: Floats) -> Between:
        """Between places."""
        turn = np.mod(angle1 - angle0 + np.pi, 2 * np.pi) - np.pi
        middle = (tape0 + tape1) / 2
        radius = np.maximum(wall.radius(middle), 1e-9)
        aside = np.maximum(np.maximum(np.abs(tape1 - tape0) / 2, _PART * radius * np.abs(turn)), _ASIDE)
        slope = wall.radius_slope(middle)
        curvature = (wall.radius_slope(middle - aside) - wall.radius_slope(middle + aside)) / (2 * aside * radius)
        return cls(curvature, slope**2 + curvature * radius**2)

    def distance(self, turn: Floats, up: Floats, radii: Floats) -> Floats:
        """The distance, mm, of places ``turn`` radians (to whole turns) and ``up`` mm of tape apart; ``radii`` is the
        product of the wall's radii there."""
        turn = np.mod(turn + np.pi, 2 * np.pi) - np.pi
        around = turn * _sinc(self.turning * turn**2 / 4)
        half = np.sqrt((up * _sinc(self.curvature * up**2 / 4)) ** 2 + radii * around**2) / 2
        return 2 * half * _arcsinc(self.curvature * half**2)


def _sinc(y: Floats) -> Floats:
    """sin √y / √y, which for y < 0 is sinh √−y / √−y."""
    x = np.sqrt(np.abs(y))
    with np.errstate(invalid="ignore", divide="ignore"):
        value = np.where(y > 0, np.sin(x), np.sinh(np.minimum(x, 300.0))) / x
    return np.where(x < 1e-4, 1 - y / 6, value)


def _arcsinc(y: Floats) -> Floats:
    """arcsin √y / √y, which for y < 0 is arsinh √−y / √−y; beyond a hemisphere that of its edge."""
    x = np.sqrt(np.abs(y))
    with np.errstate(invalid="ignore", divide="ignore"):
        value = np.where(y > 0, np.arcsin(np.minimum(x, np.sin(_FARTHEST))), np.arcsinh(x)) / x
    return np.where(x < 1e-4, 1 + y / 6, value)
