"""Plane curves by the ways the language names them, for one curve or arrays of curves.

Points are (..., 2). An arc is a centre, two half axes and the angles it runs over; a Bézier curve is the
coefficients of its powers.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from motif.model.values import Floats

Drawn = Callable[[Floats], Floats]


def arc_by_rise(p: Floats, q: Floats, rise: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """The circular arc from p to q whose rise lies to the left of the way of travel.

    ``rise`` (...,) in the points' units, not 0. Returns centre (..., 2), half axes u, v (..., 2) and the
    angles φ₀, Δφ (...,) of ``centre + u cos φ + v sin φ``. Radius from chord and rise: r = (c² + 4h²) / 8h,
    Machinery's Handbook, segments of circles."""
    d = q - p
    c2 = np.sum(d * d, axis=-1)
    left = np.stack([-d[..., 1], d[..., 0]], axis=-1) / np.sqrt(c2)[..., None]
    middle = (p + q) / 2
    r = (c2 + 4 * rise**2) / (8 * rise)  # signed: the centre lies right of travel for a positive rise
    centre = middle + left * (rise - r)[..., None]
    start = p - centre
    half = 2 * np.arctan2(2 * rise, np.sqrt(c2))
    u = start
    v = np.stack([-start[..., 1], start[..., 0]], axis=-1)
    return centre, u, v, np.zeros_like(r), -2 * half


def arc_through(p: Floats, m: Floats, q: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """The circular arc from p through m to q; as ``arc_by_rise``. NaN where the three lie in a line."""
    d, e = m - p, q - p
    cross = d[..., 0] * e[..., 1] - d[..., 1] * e[..., 0]
    d2, e2 = np.sum(d * d, axis=-1), np.sum(e * e, axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        ux = (e[..., 1] * d2 - d[..., 1] * e2) / (2 * cross)
        uy = (d[..., 0] * e2 - e[..., 0] * d2) / (2 * cross)
        centre = p + np.stack([ux, uy], axis=-1)
    start = p - centre
    a0 = np.arctan2(start[..., 1], start[..., 0])
    a1 = np.arctan2((q - centre)[..., 1], (q - centre)[..., 0])
    turn = np.mod(a1 - a0, 2 * np.pi)
    turn = np.where(cross < 0, turn - 2 * np.pi, turn)  # m left of p→q: travelled clockwise
    return centre, start, np.stack([-start[..., 1], start[..., 0]], axis=-1), np.zeros_like(a0), turn


def circular_arc_by_rise(p: Floats, q: Floats, rise: float) -> Drawn:
    if rise == 0:
        return lambda t: p + np.multiply.outer(t, q - p)
    return _conic(*arc_by_rise(p, q, np.asarray(rise)))


def circular_arc_through(p: Floats, m: Floats, q: Floats) -> Drawn:
    return _conic(*arc_through(p, m, q))


def _conic(centre: Floats, u: Floats, v: Floats, start: Floats, turn: Floats) -> Drawn:
    def drawn(t: Floats) -> Floats:
        phi = start + t * turn
        return centre + np.multiply.outer(np.cos(phi), u) + np.multiply.outer(np.sin(phi), v)

    return drawn


def bezier_coefficients(p: Floats, leaving: Floats, arriving: Floats, q: Floats) -> Floats:
    """Coefficients (..., 4, 2) of 1, t, t², t³ of the cubic Bézier curve with these control points."""
    return np.stack(
        [p, 3 * (leaving - p), 3 * (p - 2 * leaving + arriving), q - 3 * arriving + 3 * leaving - p], axis=-2
    )


def bezier(p: Floats, leaving: Floats, arriving: Floats, q: Floats) -> Drawn:
    c = bezier_coefficients(p, leaving, arriving, q)
    return lambda t: c[0] + np.multiply.outer(t, c[1]) + np.multiply.outer(t**2, c[2]) + np.multiply.outer(t**3, c[3])
