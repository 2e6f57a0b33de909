"""Lines to be found, by their two ends, and what was found of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from motif.wall.layers import Layers
from motif.wall.motion import cone_passage, passage

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

CLIMB, DIP, RISE = 0, 1, 2
#: Lines whose lengths differ by less are equally short, mm: then the lower is taken.
_TIE = 1e-7


@dataclass(frozen=True, eq=False)
class Ends:
    """The ends of m lines: σ, layer and r² of the lower and of the upper one, and the angle wanted."""

    layers: Layers
    low: Floats
    high: Floats
    low_layer: Ints
    high_layer: Ints
    low_square: Floats
    high_square: Floats
    angle: Floats

    @classmethod
    def of(cls, layers: Layers, low: Floats, high: Floats, angle: Floats) -> Ends:
        i, j = layers.find(low), layers.find(high)
        return cls(layers, low, high, i, j, layers.square_at(i, low), layers.square_at(j, high), angle)

    def take(self, of: Ints) -> Ends:
        """Some of the lines."""
        return Ends(
            self.layers,
            self.low[of],
            self.high[of],
            self.low_layer[of],
            self.high_layer[of],
            self.low_square[of],
            self.high_square[of],
            self.angle[of],
        )

    @property
    def upside_down(self) -> Ends:
        return Ends.of(self.layers.upside_down, -self.high, -self.low, self.angle)


@dataclass(eq=False)
class Found:
    """Lines found: which way they go, r² at the turn (c²), σ of the turn (of the ring of least radius for a
    climb), the angle they run along that ring, and their length."""

    kind: Ints
    square: Floats
    turn: Floats
    held: Floats
    length: Floats

    def put(self, at: Ints, kind: int, other: Found) -> None:
        """Take over the lines of another where they are shorter, or equally short and lower."""
        slack = _TIE if kind == DIP else -_TIE
        better = other.length < self.length[at] + slack
        i = at[better]
        self.kind[i] = kind
        for name in ("square", "turn", "held", "length"):
            getattr(self, name)[i] = getattr(other, name)[better]

    def take(self, of: Ints) -> Found:
        """Some of the lines."""
        return Found(self.kind[of], self.square[of], self.turn[of], self.held[of], self.length[of])

    def replace(self, at: Ints, other: Found) -> None:
        """Take over the lines of another."""
        for name in ("kind", "square", "turn", "held", "length"):
            getattr(self, name)[at] = getattr(other, name)


def part_of_layer(
    layers: Layers, layer: Ints, low: Floats, high: Floats, squares: tuple[Floats, Floats, Floats]
) -> Floats:
    """The angle gained between two σ of a layer; ``squares`` are r² there and c², to shapes that go together."""
    low_square, high_square, square = squares
    q0, q1 = (np.sqrt(np.maximum(r2 - square, 0.0)) for r2 in (low_square, high_square))
    of_layer = (high - low, layers.bend_between(layer, low, high), layers.skew[layer])
    rise, bend, skew, *_ = np.broadcast_arrays(*of_layer, q0)
    time = passage(q0, q1, rise, bend, skew)
    if layers.pointed:
        cone, c2, _ = np.broadcast_arrays(layers.cone[layer], square, q0)
        at = np.nonzero(cone)
        time[at] = cone_passage(q0[at], q1[at], c2[at], cone[at])
    return np.sqrt(square) * time


def length_near(near: Floats, c: Floats, wanted: Floats) -> Floats:
    """Lengths of lines of constant c, from what lines of nearly that constant gain: (c₀, angle, A), (3, m).

    S(c) = cΔ + A(c) to second order, since dS/dc = Δ − angle, which is 0 at c."""
    c0, angle, action = near
    return c0 * wanted + action + (wanted - angle) * (c - c0) / 2
