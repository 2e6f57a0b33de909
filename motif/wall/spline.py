"""Cubic splines through given points, as polynomials span by span."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def not_a_knot(x: Floats, y: Floats) -> Floats:
    """The twice continuously differentiable cubic spline with not-a-knot ends.

    ``x`` is (n,) and increasing, ``y`` is (n, m): m curves over the same knots. Answers the coefficients,
    shape (4, n − 1, m): on span i the value is Σ c[k, i] (x − x[i])^k. Two points give the straight line,
    three the parabola, which is what not-a-knot ends leave of so few.

    The equations for the slopes at the knots, end rows included, are those of C. de Boor, A Practical
    Guide to Splines (1978), chapter IV; they are solved without pivoting, as there, since every pivot
    is positive.
    """
    dx = np.diff(x)[:, None]
    chord = np.diff(y, axis=0) / dx
    n = len(x)
    if n == 2:
        slopes = np.repeat(chord, 2, axis=0)
    elif n == 3:
        bend = (chord[1] - chord[0]) / (x[2] - x[0])
        slopes = np.stack((chord[0] - bend * dx[0], chord[0] + bend * dx[0], chord[1] + bend * dx[1]))
    else:
        slopes = _slopes(dx[:, 0], chord)
    c2 = (3 * chord - 2 * slopes[:-1] - slopes[1:]) / dx
    c3 = (slopes[:-1] + slopes[1:] - 2 * chord) / dx**2
    return np.stack((y[:-1], slopes[:-1], c2, c3))


def _slopes(dx: Floats, chord: Floats) -> Floats:
    """Slopes (n, m) at n ≥ 4 knots: a tridiagonal system, eliminated row by row."""
    first, last = dx[0] + dx[1], dx[-1] + dx[-2]
    right = np.empty((len(dx) + 1, chord.shape[1]))
    right[0] = ((dx[0] + 2 * first) * dx[1] * chord[0] + dx[0] ** 2 * chord[1]) / first
    right[1:-1] = 3 * (dx[1:, None] * chord[:-1] + dx[:-1, None] * chord[1:])
    right[-1] = (dx[-1] ** 2 * chord[-2] + (2 * last + dx[-1]) * dx[-2] * chord[-1]) / last
    below = [0.0, *dx[1:].tolist(), float(last)]
    diagonal = [float(dx[1]), *(2 * (dx[:-1] + dx[1:])).tolist(), float(dx[-2])]
    above = [float(first), *dx[:-1].tolist()]
    for i in range(1, len(diagonal)):
        factor = below[i] / diagonal[i - 1]
        diagonal[i] -= factor * above[i - 1]
        right[i] -= factor * right[i - 1]
    right[-1] /= diagonal[-1]
    for i in range(len(diagonal) - 2, -1, -1):
        right[i] = (right[i] - above[i] * right[i + 1]) / diagonal[i]
    return right


def quintic(width: Floats, start: Floats, end: Floats) -> Floats:
    """The polynomials of degree five with given value, slope and second derivative at both ends.

    ``width`` is (n,), ``start`` and ``end`` are (3, n): value, slope, second derivative. The answer is
    (6, n), coefficients of powers of the distance from the start (Hermite interpolation)."""
    (f0, d0, b0), (f1, d1, b1) = start, end
    w = width
    rise = f1 - f0
    c3 = (20 * rise - (8 * d1 + 12 * d0) * w - (3 * b0 - b1) * w**2) / (2 * w**3)
    c4 = (-30 * rise + (14 * d1 + 16 * d0) * w + (3 * b0 - 2 * b1) * w**2) / (2 * w**4)
    c5 = (12 * rise - 6 * (d1 + d0) * w - (b0 - b1) * w**2) / (2 * w**5)
    return np.stack((f0, d0, b0 / 2, c3, c4, c5))
