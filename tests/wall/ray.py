"""Rays cast at a surface of revolution cut into cone frusta: an eye of our own, slow and plain.

A ray p + λd meets the frustum between two levels where x² + y² = (radius at its height)², a quadratic in λ (ray
and cone: A. S. Glassner (ed.), An Introduction to Ray Tracing, 1989, chapter 2, from memory). Nothing of
``motif.wall.sight`` is used, and nothing of its equation in the bearing.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from motif.wall import Wall

Floats = NDArray[np.float64]


def before(wall: Wall, tilt: float, psi: Floats, tape: Floats, *, hair: float = 0.02, parts: int = 1500) -> NDArray:
    """Whether clay lies before each point (bearing ψ from the viewer, tape) as seen from ``tilt`` above the level.

    The pot has a floor across its foot and is open at its rim. Clay nearer than ``hair`` mm along the ray is
    the point itself."""
    s = np.unique(np.concatenate([np.linspace(0.0, wall.length, parts), wall.corners]))
    radius, height = wall.point(s)
    radius, height = np.concatenate([[0.0], radius]), np.concatenate([height[:1], height])
    r0, h0 = wall.point(tape)
    way = np.array([0.0, np.cos(tilt), np.sin(tilt)])
    rise, grow = np.diff(height), np.diff(radius)
    level = np.abs(rise) < 1e-12
    hidden = []
    for x, y, z in np.column_stack([r0 * np.sin(psi), r0 * np.cos(psi), h0]).tolist():
        with np.errstate(divide="ignore", invalid="ignore"):
            # Height and radius along the ray, as parts of each frustum: u = u0 + u1 λ, ρ = a + b λ.
            u0, u1 = (z - height[:-1]) / rise, way[2] / rise
            a, b = radius[:-1] + grow * u0, grow * u1
            square, half, rest = way[1] ** 2 - b * b, y * way[1] - a * b, x * x + y * y - a * a
            root = np.sqrt(half * half - square * rest)
            met = False
            for along in ((-half - root) / square, (-half + root) / square):
                u = u0 + u1 * along
                met |= bool(np.any((along > hair) & (u >= 0) & (u <= 1)))
            if way[2] > 0:
                along = (height[:-1] - z) / way[2]
                out = np.hypot(x, y + along * way[1])
                low, high = np.minimum(radius[:-1], radius[1:]), np.maximum(radius[:-1], radius[1:])
                met |= bool(np.any(level & (along > hair) & (out >= low) & (out <= high)))
        hidden.append(met)
    return np.array(hidden)
