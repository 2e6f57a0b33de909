"""Many roots at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
#: Values and slopes (m,) of functions, and whatever else (k, m) was worked out with them.
Values = tuple[Floats, Floats, Floats]

#: A value nearer 0 is 0.
_NEAR = 1e-13
#: A bracket so narrow, as a part of the place or at all, holds no root but a jump.
_NARROW, _NARROWEST = 4e-16, 1e-40
#: Every so many steps the bracket must have come down to this part of what it was, or it is halved.
_EVERY, _SHRUNK = 3, 0.25
#: The last step is no longer than this part of the distance to where the function bends without bounds (or of 1):
#: what it leaves is of the order of its square.
_LAST = 1e-5


@dataclass(frozen=True, eq=False)
class Roots:
    """Roots found, (m,): their ``place``, the ``extra`` (k, m) of the evaluation that the last step was taken
    from, and whether they are ``settled``; else the function jumps there."""

    place: Floats
    extra: Floats
    settled: NDArray[np.bool_]


def newton(
    f: Callable[[Ints, Floats], Values], low: Floats, high: Floats, guess: Floats, sharp: tuple[Floats, Floats]
) -> Roots:
    """The roots of m functions, each between ``low`` and ``high``, that rise through 0 there.

    ``f`` takes the numbers of the functions and as many places. ``sharp`` are the nearest places at or outside
    the ends of the brackets where a function has no second derivative. Newton's rule from the guess, halving the
    bracket where a step would leave it and where steps do not bring it down, as where a slope is far off. The last
    step is so short that it is not checked. It ends for every function, with a root or with a jump: brackets
    shrink to half at least every third step."""
    a, b, x = low.copy(), high.copy(), np.where((guess > low) & (guess < high), guess, (low + high) / 2)
    place, settled = x.copy(), np.zeros(len(x), dtype=bool)
    active = np.arange(len(x))
    y, slope, more = f(active, x)
    extra = np.zeros_like(more)
    width, steps = b - a, 0
    while active.size:
        b, a = np.where(y > 0, x, b), np.where(y > 0, a, x)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            step = -y / slope
        new = x + step
        inside = (new >= a) & (new <= b)
        room = np.minimum(np.minimum(new - sharp[0][active], sharp[1][active] - new), 1.0)
        end = (np.abs(y) <= _NEAR) | (inside & (np.abs(step) <= _LAST * room))
        steps += 1
        slow = np.zeros_like(end)
        if steps % _EVERY == 0:
            slow, width = ~end & (b - a > _SHRUNK * width), b - a
        new = np.where(inside & ~slow, new, np.where(end, x, (a + b) / 2))
        done = end | (b - a <= _NARROW * np.abs(b) + _NARROWEST)
        place[active], extra[:, active], settled[active] = new, more, end
        on = ~done
        active, x, a, b, width = active[on], new[on], a[on], b[on], width[on]
        if active.size:
            y, slope, more = f(active, x)
    return Roots(place, extra, settled)


def bracketed(
    f: Callable[[Ints, Floats], Floats],
    low: Floats,
    high: Floats,
    values: tuple[Floats, Floats],
    near: float,
    narrow: float,
) -> Floats:
    """Where m functions change sign between ``low`` and ``high``, at which they have ``values`` of opposite signs.

    ``f`` takes the numbers of the functions and as many places. Done where |f| ≤ ``near``, or where the bracket has
    come down to the part ``narrow`` of what it was, which finds a jump too. T. R. Chandrupatla, Advances in
    Engineering Software 28 (1997) 145–149: inverse quadratic interpolation where it is safe, halving elsewhere."""
    x1, x2, (f2, f1) = high, low, values
    least = np.where(np.abs(f1) < np.abs(f2), x1, x2)
    width = narrow * np.abs(high - low)
    active = np.flatnonzero((np.abs(f1) > near) & (np.abs(f2) > near))
    x1, x2, f1, f2 = (a[active] for a in (x1, x2, f1, f2))
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.clip(np.nan_to_num(f1 / (f1 - f2), nan=0.5), 0.01, 0.99)
    while active.size:
        x = x1 + t * (x2 - x1)
        fx = f(active, x)
        same = np.signbit(fx) == np.signbit(f1)
        x3, f3 = np.where(same, x1, x2), np.where(same, f1, f2)
        x2, f2 = np.where(same, x2, x1), np.where(same, f2, f1)
        x1, f1 = x, fx
        least[active] = np.where(np.abs(f1) < np.abs(f2), x1, x2)
        with np.errstate(divide="ignore", invalid="ignore"):
            limit = width[active] / 2 / np.abs(x2 - x1)
            xi, phi = (x1 - x2) / (x3 - x2), (f1 - f2) / (f3 - f2)
            inverse = f1 / (f2 - f1) * f3 / (f2 - f3) + (x3 - x1) / (x2 - x1) * f1 / (f3 - f1) * f2 / (f3 - f2)
        smooth = (phi * phi < xi) & ((1 - phi) ** 2 < 1 - xi) & np.isfinite(inverse)
        on = (np.minimum(np.abs(f1), np.abs(f2)) > near) & (limit < 0.5)
        limit = np.minimum(limit, 0.5)
        t = np.clip(np.where(smooth, inverse, 0.5), limit, 1 - limit)
        active = active[on]
        x1, x2, f1, f2, t = (a[on] for a in (x1, x2, f1, f2, t))
    return least


def inverse_cubic(x: Floats, y: Floats, target: Floats) -> Floats:
    """The x at which y is ``target``, (m,), by the cubic x(y) through four points, (4, m) each (Lagrange's formula).

    Not a number where two y are equal."""
    value = np.zeros_like(target)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for i in range(4):
            weight = x[i].copy()
            for j in range(4):
                if j != i:
                    weight *= (target - y[j]) / (y[i] - y[j])
            value += weight
    return value
