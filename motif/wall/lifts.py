"""Where a string pulled tight along a line would lift off a hollow in the wall."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from motif.wall.surface import Wall

Floats = NDArray[np.float64]

#: A hollow flatter than this is none, 1/mm: a hundredth of a millimetre over a span of 90 mm.
_FLAT = 1e-5
#: A corner of the profile hollow by less than this is none, radians.
_BLUNT = 1e-3


def normal_curvature(wall: Wall, tape: ArrayLike, bearing: ArrayLike) -> Floats:
    """Curvature of the wall in the direction of a bearing, 1/mm: positive where it bulges outward.

    Euler's theorem: κ = κ_m sin² β + κ_p cos² β, with the meridian's κ_m = r′h″ − h′r″ and, by Meusnier's
    theorem, κ_p = h′/r for the ring (M. P. do Carmo, Differential Geometry of Curves and Surfaces, 1976,
    chapter 3)."""
    dr, dh = wall.radius_slope(tape), wall.height_slope(tape)
    meridian = dr * wall.height_bend(tape) - dh * wall.radius_bend(tape)
    ring = dh / np.maximum(wall.radius(tape), 1e-9)
    return meridian * np.sin(bearing) ** 2 + ring * np.cos(bearing) ** 2


def lifts(wall: Wall, tape: ArrayLike, bearing: ArrayLike, inside: bool = False) -> Floats:
    """The stretches of tape, (k, 2) lower and upper, on which a string along a line lifts off the wall.

    ``tape`` and ``bearing`` (n,) are those along the line, as ``TautLines.polyline`` gives them. The string lies
    outside the wall, or ``inside`` it, where all that bulges outward is hollow. Along the line the normal
    curvature is read at every place; where it changes sign between two, the stretch ends in proportion. A corner
    of the profile that is hollow lifts the string off at its own tape. Stretches that overlap are one."""
    s, b = np.asarray(tape, dtype=np.float64), np.asarray(bearing, dtype=np.float64)
    sign = -1.0 if inside else 1.0
    bulge = sign * normal_curvature(wall, s, b) + _FLAT
    found: list[tuple[float, float]] = []
    hollow = bulge < 0
    for i in np.flatnonzero(hollow[:-1] | hollow[1:]).tolist():
        begin, end = 0.0, 1.0
        if hollow[i] != hollow[i + 1]:
            meet = float(bulge[i] / (bulge[i] - bulge[i + 1]))
            begin, end = (0.0, meet) if hollow[i] else (meet, 1.0)
        places = s[i] + (s[i + 1] - s[i]) * np.array([begin, end])
        found.append((float(places.min()), float(places.max())))
    found += [(corner, corner) for corner in _hollow_corners(wall, s, sign)]
    return _merged(found)


def _hollow_corners(wall: Wall, tape: Floats, sign: float) -> list[float]:
    """Corners that a line crosses and at which the wall's lean jumps outward (for ``sign`` −1, inward)."""
    low, high = (tape.min(), tape.max()) if tape.size else (0.0, 0.0)
    corners = wall.corners[(wall.corners > low) & (wall.corners < high)]
    below = np.arctan2(wall.radius_slope(corners, "below"), wall.height_slope(corners, "below"))
    above = np.arctan2(wall.radius_slope(corners), wall.height_slope(corners))
    jump = np.arctan2(np.sin(above - below), np.cos(above - below))
    return [float(c) for c in corners[sign * jump > _BLUNT]]


def _merged(stretches: list[tuple[float, float]]) -> Floats:
    merged: list[tuple[float, float]] = []
    for low, high in sorted(stretches):
        if merged and low <= merged[-1][1] + 1e-9:
            merged[-1] = (merged[-1][0], max(high, merged[-1][1]))
        else:
            merged.append((low, high))
    return np.array(merged).reshape(-1, 2)
