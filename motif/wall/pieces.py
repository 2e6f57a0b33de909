"""Functions of tape made of polynomials, one to a short piece of the wall.

Row 0 is what lies below the foot, rows 1 … n are the pieces between n + 1 nodes, row n + 1 is what lies
above the rim. A row's polynomial is in u, the distance from the row's lower node (from the foot for row
0), so that a wall that goes straight on is just a row of degree one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Side = Literal["above", "below"]

#: A radius below this at foot or rim is a point: the wall is closed there, mm.
CLOSED = 1e-9
#: Newton steps that a bracketed search may take; halving alone would be done after this many.
_STEPS = 60


@dataclass(frozen=True, eq=False)
class Nodes:
    """The places where one piece ends and the next begins: tapes from 0 to the wall's length, (n + 1,)."""

    tapes: Floats

    @cached_property
    def widths(self) -> Floats:
        """Lengths of the n pieces."""
        return np.diff(self.tapes)

    @cached_property
    def _origins(self) -> Floats:
        return np.concatenate((self.tapes[:1], self.tapes))

    @cached_property
    def _search(self) -> dict[Side, tuple[Floats, Literal["left", "right"]]]:
        # A kink belongs to the asked-for side, but foot and rim always to the wall, never to its extension.
        up, down = self.tapes.copy(), self.tapes.copy()
        up[-1], down[0] = np.nextafter(up[-1], np.inf), np.nextafter(down[0], -np.inf)
        return {"above": (up, "right"), "below": (down, "left")}

    def rows(self, s: Floats, side: Side = "above") -> tuple[Ints, Floats]:
        """The row of each tape and the distance u from the row's lower node."""
        nodes, closed = self._search[side]
        row = np.searchsorted(nodes, s, side=closed)
        return row, s - self._origins[row]


def evaluate(coefficients: Floats, row: Ints, u: Floats, order: int = 0) -> Floats:
    """Value of the polynomials, or of their derivative of that ``order``, at u on the given rows."""
    top = len(coefficients) - 1
    value = np.zeros_like(u)
    for k in range(top, order - 1, -1):
        factor = 1.0
        for j in range(k - order + 1, k + 1):
            factor *= j
        value = value * u
        value += coefficients[k][row] if factor == 1.0 else coefficients[k][row] * factor
    return value


def evaluate_with_slope(coefficients: Floats, row: Ints, u: Floats) -> tuple[Floats, Floats]:
    """Value and slope of the polynomials together, for little more than the price of one."""
    value, slope = coefficients[-1][row], np.zeros_like(u)
    for c in coefficients[-2::-1]:
        slope = slope * u + value
        value = value * u + c[row]
    return value, slope


def antiderivative(coefficients: Floats, start: Floats) -> Floats:
    """Coefficients of ∫ from each row's lower node, plus ``start`` there: one degree more."""
    powers = np.arange(1, len(coefficients) + 1)[:, None]
    return np.concatenate((start[None, :], coefficients / powers))


def solve(coefficients: Floats, row: Ints, target: Floats, low: Floats, high: Floats, order: int = 0) -> Floats:
    """Where, between u = ``low`` and u = ``high``, the (derivative of the) polynomial meets ``target``.

    The polynomial must be monotone there and reach the target; arguments of one shape. Newton steps,
    halving the bracket where a step would leave it; done when a step moves less than 1e-15 of the bracket
    or 1e-13 mm."""
    low, high = low.copy(), high.copy()
    f_low = evaluate(coefficients, row, low, order) - target
    f_high = evaluate(coefficients, row, high, order) - target
    rising = f_high > f_low
    with np.errstate(divide="ignore", invalid="ignore"):
        u = low - f_low * (high - low) / (f_high - f_low)
    u = np.where((u >= low) & (u <= high), u, (low + high) / 2)
    tolerance = np.maximum(1e-15 * np.abs(high), 1e-13)
    for _ in range(_STEPS):
        f = evaluate(coefficients, row, u, order) - target
        slope = evaluate(coefficients, row, u, order + 1)
        above = (f > 0) == rising
        high = np.where(above & (f != 0), u, high)
        low = np.where(~above, u, low)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = u - f / slope
        inside = (step >= low) & (step <= high)
        new = np.where(f == 0, u, np.where(inside, step, (low + high) / 2))
        moved = np.abs(new - u)
        u = new
        if np.all(moved <= tolerance):
            break
    return u


@dataclass(frozen=True)
class Turns:
    """Where a continuous function of tape may change between rising, falling and level.

    ``tapes`` are increasing and include foot and rim; ``trend`` says of each stretch between neighbours
    whether the function rises (1), falls (−1) or is level (0) there. A turn inside a smooth wall is found
    to rounding, not sampled."""

    tapes: Floats
    trend: NDArray[np.int8]


def turns(nodes: Nodes, coefficients: Floats, level: float = 1e-12) -> Turns:
    """The turns of a continuous piecewise polynomial; a slope below ``level`` all along a piece is level.

    A piece is taken to hold at most one turn: pieces are a small part of the span between two stations,
    on which the curve is one cubic."""
    n = len(nodes.widths)
    row = np.arange(1, n + 1)
    zero, width = np.zeros(n), nodes.widths
    at_start, at_end = evaluate(coefficients, row, zero, 1), evaluate(coefficients, row, width, 1)
    rise = evaluate(coefficients, row, width) - coefficients[0][1:-1]
    flat = (np.abs(at_start) < level) & (np.abs(at_end) < level) & (np.abs(rise) < level * width)
    turning = ~flat & (at_start * at_end < 0)
    inner = np.full(n, np.nan)
    if turning.any():
        k = row[turning]
        inner[turning] = solve(coefficients, k, np.zeros(k.size), zero[turning], width[turning], order=1)
    tapes: list[float] = [0.0]
    trend: list[int] = []

    def append(until: float, sign: int) -> None:
        if trend and trend[-1] == sign:
            tapes[-1] = until
        else:
            trend.append(sign)
            tapes.append(until)

    signs = np.sign(rise).astype(int)
    for i in range(n):
        if flat[i]:
            append(float(nodes.tapes[i + 1]), 0)
        elif turning[i]:
            append(float(nodes.tapes[i] + inner[i]), 1 if at_start[i] > 0 else -1)
            append(float(nodes.tapes[i + 1]), 1 if at_end[i] > 0 else -1)
        else:
            append(float(nodes.tapes[i + 1]), int(signs[i]))
    return Turns(np.array(tapes), np.array(trend, dtype=np.int8))
