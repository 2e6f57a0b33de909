"""Distances between places that lie near one another."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from motif.wall.surface import Wall

Floats = NDArray[np.float64]

#: The wall's curvature is taken over at least this much of it to both sides of the middle, mm.
_ASIDE = 0.25
#: √K d / 2 no greater than this: a hemisphere is no neighbourhood.
_FARTHEST = 1.5


def near_distance(wall: Wall, angle0: ArrayLike, tape0: ArrayLike, angle1: ArrayLike, tape1: ArrayLike) -> Floats:
    """The distance on the wall, mm, between places (any shapes that go together) not far apart.

    The wall between them is taken for one of constant Gaussian curvature K that has, half-way up, the radius and
    the slope k = dr/ds of the wall. With κ² = k² + K r² its law of cosines is

        sin²(√K d/2) / K = sin²(√K Δs/2) / K + r₀ r₁ sin²(κ Δθ/2) / κ²,

    on a ball (κ = 1) that of half-versed sines, on a cone (K = 0) that of the developed sector; hyperbolic where K or
    κ² is negative. K is −Δk/(r Δs) between the places' levels. Exact on balls, cones, cylinders and discs; elsewhere
    the error is of the order of d⁴ dK/ds, d³ over a corner of the profile."""
    a0, s0, a1, s1 = np.broadcast_arrays(*(np.asarray(x, dtype=np.float64) for x in (angle0, tape0, angle1, tape1)))
    turn = np.mod(a1 - a0 + np.pi, 2 * np.pi) - np.pi
    middle, aside = (s0 + s1) / 2, np.maximum(np.abs(s1 - s0) / 2, _ASIDE)
    radius = np.maximum(wall.radius(middle), 1e-9)
    slope = wall.radius_slope(middle)
    curvature = (wall.radius_slope(middle - aside) - wall.radius_slope(middle + aside)) / (2 * aside * radius)
    around = turn * _sinc((slope**2 + curvature * radius**2) * turn**2 / 4)
    up = (s1 - s0) * _sinc(curvature * (s1 - s0) ** 2 / 4)
    half = np.sqrt(up**2 + wall.radius(s0) * wall.radius(s1) * around**2) / 2
    return 2 * half * _arcsinc(curvature * half**2)


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
