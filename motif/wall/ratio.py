"""σ = ∫ ds/r along a wall, tabulated so that it stays exact up to a point of the wall, where it is infinite.

On every piece the radius is compared with a straight line l(u): on a piece that ends in a point the line
that leaves the point with the wall's slope, elsewhere the chord. ∫ du/l is a logarithm in closed form; the
rest, ∫ (1/r − 1/l) du, is small and smooth even at the point and is kept as a polynomial.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from motif.wall.pieces import CLOSED, Ints, Nodes, evaluate
from motif.wall.quadrature import gauss, integrator

Floats = NDArray[np.float64]

_STEPS = 12


@dataclass(frozen=True, eq=False)
class Ratio:
    """σ on the rows of ``Nodes``.

    Per row: the line's value ``at_anchor`` at u = ``anchor`` and its slope, σ there (``base``), and the
    coefficients (m, rows) of the rest, which is 0 at the anchor."""

    nodes: Nodes
    anchor: Floats
    at_anchor: Floats
    slope: Floats
    base: Floats
    rest: Floats
    at_nodes: Floats

    @classmethod
    def of(cls, nodes: Nodes, radius: Floats) -> Ratio:
        """The table for a radius with coefficients (6, n + 2), extensions included."""
        n = len(nodes.widths)
        inner = np.arange(1, n + 1)
        start = radius[0, 1:-1]
        end = evaluate(radius, inner, nodes.widths)
        anchor, at_anchor = np.zeros(n + 2), np.maximum(radius[0], CLOSED)
        slope = radius[1].copy()
        slope[1:-1] = (end - start) / nodes.widths
        if start[0] < CLOSED:
            # The line through the point with the wall's own slope, anchored at the piece's other end.
            slope[1] = max(radius[1, 1], CLOSED)
            anchor[1], at_anchor[1] = nodes.widths[0], slope[1] * nodes.widths[0]
        if end[-1] < CLOSED:
            slope[-2] = min(float(evaluate(radius, inner[-1:], nodes.widths[-1:], 1)[0]), -CLOSED)
            at_anchor[-2] = -slope[-2] * nodes.widths[-1]
        x, _ = gauss(6)
        u = nodes.widths[:, None] * x
        r = evaluate(radius, np.repeat(inner, len(x)), u.ravel()).reshape(u.shape)
        line = at_anchor[1:-1, None] + slope[1:-1, None] * (u - anchor[1:-1, None])
        excess = 1 / r - 1 / line
        scale = nodes.widths ** -np.arange(7.0)[:, None]
        rest = np.zeros((7, n + 2))
        rest[:, 1:-1] = (integrator(6) @ excess.T) * nodes.widths * scale
        if anchor[1] > 0:
            rest[0, 1] = -evaluate(rest, inner[:1], nodes.widths[:1])[0]
        table = cls(nodes, anchor, at_anchor, slope, np.zeros(n + 2), rest, np.zeros(n + 1))
        return table._summed()

    def _summed(self) -> Ratio:
        """The same with σ carried from piece to piece, 0 at the foot or on top of a piece with a point."""
        n = len(self.nodes.widths)
        inner = np.arange(1, n + 1)
        gained = self.value(inner, self.nodes.widths) - self.value(inner, np.zeros(n))
        pointed = self.anchor[1] > 0
        start = [-np.inf, 0.0] if pointed else [0.0]
        at = np.concatenate((start, np.cumsum(gained[1:] if pointed else gained)))
        base = np.concatenate(([0.0], at[:-1], at[-1:]))
        if pointed:
            base[1] = 0.0
        return Ratio(self.nodes, self.anchor, self.at_anchor, self.slope, base, self.rest, at)

    def value(self, row: Ints, u: Floats) -> Floats:
        """σ at u on the rows; ∓∞ at a point."""
        du = u - self.anchor[row]
        at_anchor = self.at_anchor[row]
        x = np.maximum(self.slope[row] * du / at_anchor, -1.0)
        return self.base[row] + du / at_anchor * _log_ratio(x) + evaluate(self.rest, row, u)

    def inverse(self, value: Floats, reach: tuple[float, float]) -> Floats:
        """The tapes at which σ is ``value``, within ``reach``."""
        n = len(self.nodes.widths)
        row = np.searchsorted(self.at_nodes, value, side="right")
        row = np.where((row == n + 1) & (value <= self.at_nodes[-1]), n, row)
        origin = np.concatenate((self.nodes.tapes[:1], self.nodes.tapes))[row]
        target = value - self.base[row]
        anchor, at_anchor, slope = self.anchor[row], self.at_anchor[row], self.slope[row]
        low = np.concatenate(([-np.inf], np.zeros(n + 1)))[row]
        high = np.concatenate(([0.0], self.nodes.widths, [np.inf]))[row]
        u = np.clip(anchor + at_anchor * _grown(slope, target), low, high)
        for _ in range(_STEPS):
            # The line is solved exactly; the rest, small and flat, is taken off at the place last found.
            wanted = target - evaluate(self.rest, row, np.where(np.isfinite(u), u, 0.0))
            new = np.clip(anchor + at_anchor * _grown(slope, wanted), low, high)
            with np.errstate(invalid="ignore"):
                moved = np.abs(new - u)
            u = new
            if not np.any(moved > 1e-13):
                break
        return np.clip(origin + u, *reach)


def _log_ratio(x: Floats) -> Floats:
    """log(1 + x)/x, 1 at x = 0, ∞ at x = −1."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(x == 0, 1.0, np.log1p(x) / x)


def _grown(slope: Floats, t: Floats) -> Floats:
    """(exp(slope · t) − 1)/slope, t where the slope is 0: the way u in which a line at 1 gains σ = t."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(slope == 0, t, np.expm1(slope * t) / slope)
