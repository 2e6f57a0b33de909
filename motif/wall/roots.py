"""Many roots at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

_MOST = 100


def bracketed(
    f: Callable[[Ints, Floats], Floats],
    low: Floats,
    high: Floats,
    f_low: Floats,
    f_high: Floats,
    guess: Floats,
    near: float,
) -> Floats:
    """The roots of n functions, each between ``low`` and ``high``, where its values have opposite signs.

    ``f`` takes the numbers of the functions and as many places. Ends where |f| ≤ ``near`` or the bracket is
    within rounding. T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145–149: inverse
    quadratic interpolation where it is safe, halving elsewhere."""
    x1, x2, f1, f2 = high.copy(), low.copy(), f_high.copy(), f_low.copy()
    best = np.where(np.abs(f1) < np.abs(f2), x1, x2)
    active = np.flatnonzero((np.abs(f1) > near) & (np.abs(f2) > near) & (f1 * f2 < 0))
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.clip((guess - x1) / (x2 - x1), 0.001, 0.999)
    x1, x2, f1, f2, t = (a[active] for a in (x1, x2, f1, f2, t))
    for _ in range(_MOST):
        if not active.size:
            break
        x = x1 + t * (x2 - x1)
        fx = f(active, x)
        same = np.sign(fx) == np.sign(f1)
        x3, f3 = np.where(same, x1, x2), np.where(same, f1, f2)
        x2, f2 = np.where(same, x2, x1), np.where(same, f2, f1)
        x1, f1 = x, fx
        least = np.abs(f1) < np.abs(f2)
        best[active] = np.where(least, x1, x2)
        limit = 4e-16 * np.abs(best[active]) / np.maximum(np.abs(x2 - x1), 1e-300)
        with np.errstate(divide="ignore", invalid="ignore"):
            xi, phi = (x1 - x2) / (x3 - x2), (f1 - f2) / (f3 - f2)
            inverse = f1 / (f2 - f1) * f3 / (f2 - f3) + (x3 - x1) / (x2 - x1) * f1 / (f3 - f1) * f2 / (f3 - f2)
        smooth = (phi * phi < xi) & ((1 - phi) ** 2 < 1 - xi) & np.isfinite(inverse)
        t = np.clip(np.where(smooth, inverse, 0.5), limit, 1 - limit)
        on = (np.minimum(np.abs(f1), np.abs(f2)) > near) & (limit < 0.5)
        active = active[on]
        x1, x2, f1, f2, t = (a[on] for a in (x1, x2, f1, f2, t))
    return best
