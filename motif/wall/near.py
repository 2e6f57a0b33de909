"""Distances between places that lie near one another."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from motif.wall.surface import Wall

Floats = NDArray[np.float64]


def near_distance(wall: Wall, angle0: ArrayLike, tape0: ArrayLike, angle1: ArrayLike, tape1: ArrayLike) -> Floats:
    """The distance on the wall, mm, between places (any shapes that go together) not far apart.

    The wall between them is taken for the cone that touches it half-way up: with slope k = dr/ds there,
    d² = Δs² + (4 r₀r₁ / k²) sin²(kΔθ/2), the law of cosines in the developed cone. Exact on cones, cylinders
    and discs. On a wall of Gaussian curvature K the error is about |K| d³ / 24: at 10 mm on a ball of 75 mm
    radius 0.008 mm, at 5 mm 0.001 mm."""
    a0, s0, a1, s1 = np.broadcast_arrays(*(np.asarray(x, dtype=np.float64) for x in (angle0, tape0, angle1, tape1)))
    turn = np.mod(a1 - a0 + np.pi, 2 * np.pi) - np.pi
    slope = wall.radius_slope((s0 + s1) / 2)
    half = slope * turn / 2
    across = turn * np.sinc(half / np.pi)
    return np.sqrt((s1 - s0) ** 2 + wall.radius(s0) * wall.radius(s1) * across**2)
