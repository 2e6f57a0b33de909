"""How a geodesic moves over one layer, in closed form.

With dt = dℓ/r² a line of Clairaut's constant c has the speed q = dσ/dt = √(r² − c²) (``layers``). Where r² is a
parabola in σ of second derivative 2k, σ″ = a + kσ; between the speeds q₀ and q₁ over Δσ, with w = Δσ/(q₀ + q₁),
x = k w² and b = (artanh √x / √x − 1)/x = 1/3 + x/5 + x²/7 + …,

    t = 2 w (1 + b x)
    ∫ q² dt = w ((q₀² + q₁²) (3 − x − b (1 − x)²) / 4 + q₀ q₁ (1 − x) (1 + b (1 + x)) / 2)
    dt/d(c²) = w / (q₀ q₁ (1 − x)).

What the parabola leaves over of r², ``skew`` y (y − Δσ/2)(y − Δσ) with y from the lower end, is to first order made
up for in t by a parabola through both ends and the place y = Δσ (q₁ + 4 q₀)/(5 (q₀ + q₁)), where the rest, weighted
with 1/q³, cancels out if q² is straight in σ: k grows by 0.3 skew Δσ (q₀ − q₁)/(q₀ + q₁). ∫ q² dt = ∫ q dσ, where
the weight is 1/q, then still lacks 2/525 skew w⁴ (q₀ − q₁) (8 (q₀² + q₁²) + 19 q₀ q₁).

Where r grows as exp(mσ), on a cone of slope m, both are exact: with φ the angle between q₀ and q₁ as seen from c
aside, tan φ = c (q₁ − q₀)/(c² + q₀ q₁),

    t = φ / (m c),   ∫ q² dt = (q₁ − q₀)/m − c² t,   dt/d(c²) = ((1/q₀ − 1/q₁)/m − t) / (2 c²).

The first follow from Δσ = (q₀ + q₁) tanh(√k t/2)/√k, and from dσ/dt = (q₀ sinh √k(t−τ) + q₁ sinh √kτ)/sinh √kt,
sinh and cosh being written in x = tanh²(√k t/2); no difference of near equals is left in them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: Series are used below these arguments (of sinh, of artanh); sinh is not asked for above the third.
_SMALL, _THIN, _HUGE = 0.4, 5e-3, 300.0
#: Along a waist x is 1 but for rounding, and the line stays very long; over a belly between two turns −x is endless.
_LONGEST, _LEAST = 1 - 1e-15, -1e12
#: What a sum or a product of speeds is at least where it is divided by.
_TINY = 1e-100
#: c²/q² below which a slope on a cone is taken by its series.
_SMALL_C = 1e-6


def sinhc(y: Floats) -> Floats:
    """sinh √y / √y, which for y < 0 is sin √−y / √−y."""
    value = 1 + y / 6 * (1 + y / 20 * (1 + y / 42 * (1 + y / 72 * (1 + y / 110 * (1 + y / 156)))))
    large = np.abs(y) >= _SMALL
    if large.any():
        y = y[large]
        x = np.sqrt(np.abs(y))
        value[large] = np.where(y > 0, np.sinh(np.minimum(x, _HUGE)), np.sin(x)) / x
    return value


def _motion(q0: Floats, q1: Floats, rise: Floats, bend: Floats, skew: Floats) -> tuple[Floats, Floats, Floats]:
    """w, x and b; arrays of one shape."""
    w = q0 + q1
    np.maximum(w, _TINY, out=w)
    np.divide(rise, w, out=w)
    x = q0 - q1
    x *= skew
    x *= w
    x *= 0.3
    x += bend
    x *= w
    x *= w
    large = np.nonzero(np.abs(x) >= _THIN)
    far = x[large]
    if far.size:
        w[large] = np.where(far < _LEAST, np.sqrt(_LEAST / np.where(far < _LEAST, far / w[large] ** 2, -1.0)), w[large])
        far = x[large] = np.minimum(np.maximum(far, _LEAST), _LONGEST)
    b = x / 11
    for k in (9, 7, 5):
        b += 1 / k
        b *= x
    b += 1 / 3
    if far.size:
        root = np.sqrt(np.abs(far))
        b[large] = (np.where(far > 0, np.arctanh(np.where(far > 0, root, 0.0)), np.arctan(root)) / root - 1) / far
    return w, x, b


def passage(q0: Floats, q1: Floats, rise: Floats, bend: Floats, skew: Floats) -> Floats:
    """The t that a line takes over part of a layer, from its speeds at both ends, Δσ ≥ 0, ``bend`` k and ``skew``.

    0 over no rise, very long over some without speed."""
    w, x, b = _motion(q0, q1, rise, bend, skew)
    b *= x
    b += 1
    b *= w
    b *= 2
    return b


def passage_slope_action(
    q0: Floats, q1: Floats, rise: Floats, bend: Floats, skew: Floats
) -> tuple[Floats, Floats, Floats]:
    """As ``passage``, and with it dt/d(c²) between fixed σ and the action ∫ q² dt: length less c² t."""
    w, x, b = _motion(q0, q1, rise, bend, skew)
    rest = 1 - x
    product = q0 * q1
    slope = np.maximum(product, _TINY)
    slope *= rest
    np.divide(w, slope, out=slope)
    action = b * rest
    action *= rest
    action += x
    np.subtract(3.0, action, out=action)
    squares = q0 * q0 + q1 * q1
    action *= 0.5 * squares
    cross = 1 + x
    cross *= b
    cross += 1
    cross *= rest
    cross *= product
    action += cross
    squares *= 8
    product *= 19
    squares += product
    squares *= q0 - q1
    squares *= skew
    squares *= w * w * w
    squares *= 4 / 525
    action += squares
    w *= 0.5
    action *= w
    b *= x
    b += 1
    b *= w
    b *= 4
    return b, slope, action


def cone_passage(q0: Floats, q1: Floats, square: Floats, slope: Floats) -> Floats:
    """The t that a line of c² = ``square`` takes over a cone, dr/ds being its ``slope`` ≠ 0."""
    c = np.sqrt(square)
    span = (q1 - q0) / np.maximum(square + q0 * q1, _TINY)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(c > _TINY, np.arctan(c * span) / c, span) / slope


def cone_slope_action(
    q0: Floats, q1: Floats, square: Floats, slope: Floats, time: Floats, turning: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """dt/d(c²) between fixed ends, or where ``turning`` above the turn, and the action of the same line over a cone,
    on which it takes the ``time``."""
    low, high = (1 / np.maximum(q, _TINY) for q in (q0, q1))
    low = np.where(turning, 0.0, low)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        exact = ((low - high) / slope - time) / (2 * square)
        # For a small c the difference cancels out: the first term of its series.
        series = (high**3 - low**3) / (3 * slope)
    small = ~turning & (square * np.maximum(low, high) ** 2 < _SMALL_C)
    return np.where(small, series, exact), (q1 - q0) / slope - square * time
