"""The wall: a surface of revolution measured by tape from the foot.

Lengths in mm, angles in radians, arrays of any shape. A tape s is the distance up the wall from the
foot. Below the foot and above the rim the wall goes straight on as a cone, up to the cone's point;
beyond that point every function keeps the value it has there.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from motif.wall.pieces import CLOSED, Ints, Nodes, Side, Turns, antiderivative, evaluate, solve, turns
from motif.wall.quadrature import gauss
from motif.wall.ratio import Ratio
from motif.wall.stretches import Stretches

if TYPE_CHECKING:
    from motif.wall.layers import Layers

Floats = NDArray[np.float64]

#: Radii and heights nearer than this are equal when the widest, the narrowest or a level is looked for, mm.
_EQUAL = 1e-7
#: A change of height, or a level stretch, smaller than this is not one, mm.
_TURN = 1e-6


@dataclass(frozen=True, eq=False)
class Wall:
    """A surface of revolution; made by ``build_wall``.

    ``length`` is the tape from foot to rim, ``station_tapes`` the tapes of the measured stations and
    ``corners`` those of the inner stations at which the wall may bend sharply (every inner station of
    a straight profile). At such a kink slopes and bends are those of the upper side, or with
    ``side="below"`` those of the lower.
    """

    length: float
    corners: Floats
    station_tapes: Floats
    _nodes: Nodes = field(repr=False)
    _radius: Floats = field(repr=False)
    _height: Floats = field(repr=False)

    @classmethod
    def from_pieces(cls, nodes: Nodes, radius: Floats, height: Floats, stations: Floats, corners: Floats) -> Wall:
        """The wall whose radius and height have coefficients (6, n) on the n pieces between the nodes."""
        last = nodes.widths[-1:]
        row = np.array([radius.shape[1] - 1])
        extended = []
        for table in (radius, height):
            below, above = np.zeros((6, 1)), np.zeros((6, 1))
            below[:2] = table[:2, :1]
            above[0], above[1] = evaluate(table, row, last), evaluate(table, row, last, 1)
            extended.append(np.concatenate((below, table, above), axis=1))
        return cls(float(nodes.tapes[-1]), corners, stations, nodes, extended[0], extended[1])

    # Reading the tables.

    @cached_property
    def reach(self) -> tuple[float, float]:
        """The tapes between which there is a wall at all: its cones beyond foot and rim may come to a point.

        Infinite where they do not; 0 and ``length`` where foot or rim is itself a point."""
        (r0, below), (r1, above) = self._radius[:2, 0], self._radius[:2, -1]
        foot = 0.0 if r0 < CLOSED else float(-r0 / below) if below > 0 else -np.inf
        rim = 0.0 if r1 < CLOSED else float(r1 / -above) if above < 0 else np.inf
        return foot, self.length + rim

    def _find(self, s: ArrayLike, side: Side = "above") -> tuple[Ints, Floats]:
        tape = np.asarray(s, dtype=np.float64)
        low, high = self.reach
        if low > -np.inf or high < np.inf:
            tape = np.clip(tape, low, high)
        return self._nodes.rows(tape, side)

    def radius(self, s: ArrayLike) -> Floats:
        """Distance from the axis at tape s, mm."""
        return np.maximum(evaluate(self._radius, *self._find(s)), 0.0)

    def height(self, s: ArrayLike) -> Floats:
        """Height at tape s, mm, on the scale of the stations."""
        return evaluate(self._height, *self._find(s))

    def point(self, s: ArrayLike) -> tuple[Floats, Floats]:
        """Radius and height together, for little more than the price of one."""
        row, u = self._find(s)
        return np.maximum(evaluate(self._radius, row, u), 0.0), evaluate(self._height, row, u)

    def radius_slope(self, s: ArrayLike, side: Side = "above") -> Floats:
        """dr/ds, between −1 and 1: the sine of the wall's lean outward."""
        return evaluate(self._radius, *self._find(s, side), order=1)

    def height_slope(self, s: ArrayLike, side: Side = "above") -> Floats:
        """dh/ds, between −1 and 1."""
        return evaluate(self._height, *self._find(s, side), order=1)

    def radius_bend(self, s: ArrayLike, side: Side = "above") -> Floats:
        """d²r/ds², 1/mm."""
        return evaluate(self._radius, *self._find(s, side), order=2)

    def height_bend(self, s: ArrayLike, side: Side = "above") -> Floats:
        """d²h/ds², 1/mm."""
        return evaluate(self._height, *self._find(s, side), order=2)

    def nodes_between(self, lo: float, hi: float) -> Floats:
        """Joints of pieces strictly between lo and hi, corners included; a piece is all but a parabola."""
        tapes = self._nodes.tapes
        return tapes[(tapes > lo) & (tapes < hi)]

    # Integrals.

    @cached_property
    def _swept(self) -> Floats:
        coefficients = antiderivative(self._radius, np.zeros(self._radius.shape[1]))
        gained = evaluate(coefficients, np.arange(1, len(self._nodes.tapes)), self._nodes.widths)
        coefficients[0, 2:] = np.cumsum(gained)
        return coefficients

    def swept(self, s: ArrayLike) -> Floats:
        """∫₀ˢ r ds, mm²: the wall below s has the area 2π · swept(s). Negative below the foot."""
        return evaluate(self._swept, *self._find(s))

    @cached_property
    def area(self) -> float:
        """Area of the wall from foot to rim, mm²."""
        return float(2 * np.pi * self._swept[0, -1])

    @cached_property
    def volume(self) -> float:
        """Volume between the wall and the level planes of foot and rim, mm³: |∫ π r² dh|."""
        nodes, weights = gauss(8)  # the integrand is a polynomial of degree 14
        row = np.repeat(np.arange(1, len(self._nodes.tapes)), 8)
        u = (self._nodes.widths[:, None] * nodes).ravel()
        weight = (self._nodes.widths[:, None] * weights).ravel()
        disc = evaluate(self._radius, row, u) ** 2
        return float(abs(np.pi * np.sum(weight * disc * evaluate(self._height, row, u, 1))))

    @cached_property
    def _ratio(self) -> Ratio:
        return Ratio.of(self._nodes, self._radius)

    def sigma(self, s: ArrayLike) -> Floats:
        """σ = ∫ ds/r from the foot (from the first level above it where the foot is a point), a pure number.

        Equal steps of σ and of angle make squares: on a sphere σ is Mercator's ordinate. At a point of
        the wall it is −∞ or ∞."""
        return self._ratio.value(*self._find(s))

    def tape_at_sigma(self, value: ArrayLike) -> Floats:
        """The tape at which ``sigma`` is ``value``; the wall's points for ∓∞."""
        return self._ratio.inverse(np.asarray(value, dtype=np.float64), self.reach)

    @cached_property
    def stretches(self) -> Stretches:
        """The wall between its corners, for lines that are followed step by step."""
        return Stretches.of(self._nodes, self._radius, self._height, self.corners, self.reach)

    @cached_property
    def layers(self) -> Layers:
        """The wall from foot to rim in thin layers, for its shortest lines."""
        from motif.wall.layers import Layers

        return Layers.of(self, 0.0, self.length)

    # Levels and landmarks.

    @property
    def radius_turns(self) -> Floats:
        """The tapes, foot and rim included, between which the radius only grows, only shrinks or stays."""
        return self._radius_turns.tapes

    @property
    def height_turns(self) -> Floats:
        """The tapes, foot and rim included, between which the height only grows, only shrinks or stays."""
        return self._height_turns.tapes

    @cached_property
    def _height_turns(self) -> Turns:
        return turns(self._nodes, self._height)

    @cached_property
    def _radius_turns(self) -> Turns:
        return turns(self._nodes, self._radius)

    def crossings(self, height: float) -> Floats:
        """The tapes, increasing, at which the wall is at ``height``.

        A level only touched counts once; a level stretch at that height gives its two ends."""
        found: list[float] = []
        t = self._height_turns
        levels = self.height(t.tapes)
        for i, trend in enumerate(t.trend):
            low, high = float(levels[i]), float(levels[i + 1])
            if trend == 0:
                if abs(low - height) <= _EQUAL:
                    found += [float(t.tapes[i]), float(t.tapes[i + 1])]
            elif min(low, high) - _EQUAL <= height <= max(low, high) + _EQUAL:
                found.append(float(self.tape_at_height(height, t.tapes[i], t.tapes[i + 1])))
        # A turn is met from both its sides, and near it 1e-7 mm of height is a long way of tape.
        distinct: list[float] = []
        for s in sorted(found):
            if not distinct or not self._stays(height, distinct[-1], s):
                distinct.append(s)
        return np.array(distinct)

    def _stays(self, height: float, low: float, high: float) -> bool:
        """Whether the wall only turns at ``height`` between two crossings, which are then one."""
        t = self._height_turns
        stretch = np.searchsorted(t.tapes, [low, high], side="right") - 1
        between = t.tapes[(t.tapes >= low) & (t.tapes <= high)]
        level = np.any(t.trend[stretch[0] : stretch[1]] == 0)
        near = bool(np.all(np.abs(self.height(between) - height) <= _EQUAL))
        return high - low < _EQUAL or (between.size > 0 and near and not level)

    def height_is_monotone(self, lo: float, hi: float) -> bool:
        """Whether every height between those of the tapes lo < hi is met exactly once between them.

        A turn at an end by less than 1e-6 mm of height, as a spline makes at a level start, is no turn."""
        t = self._height_turns
        tapes = np.clip(t.tapes, min(lo, hi), max(lo, hi))
        change = np.abs(np.diff(self.height(tapes)))
        trends = t.trend[(change > _TURN) | ((t.trend == 0) & (np.diff(tapes) > _TURN))]
        return bool(trends.size) and bool(np.all(trends == trends[0])) and trends[0] != 0

    def tape_at_height(self, height: ArrayLike, lo: float, hi: float) -> Floats:
        """The tape between lo and hi, a stretch on which height is monotone, at which it is ``height``.

        A height beyond those of lo and hi gives the nearer end."""
        lo, hi = min(lo, hi), max(lo, hi)
        wanted = np.asarray(height, dtype=np.float64)
        ends = self.height(np.array([lo, hi]))
        level = np.clip(wanted, ends.min(), ends.max()).ravel()
        edges = np.concatenate(([lo], self.nodes_between(lo, hi), [hi]))
        heights = self.height(edges)
        rising = ends[1] >= ends[0]
        k = np.searchsorted(heights if rising else -heights, level if rising else -level, side="right") - 1
        k = np.clip(k, 0, len(edges) - 2)
        row, u = self._nodes.rows(edges[:-1])
        u_high = u + np.diff(edges)
        found = solve(self._height, row[k], level, u[k], u_high[k])
        return (edges[:-1][k] + (found - u[k])).reshape(wanted.shape)

    def widest(self, lo: float, hi: float) -> tuple[float, float]:
        """(tape, radius) of the greatest radius on the stretch lo … hi; of equals the lowest."""
        return self._extreme(lo, hi, 1)

    def narrowest(self, lo: float, hi: float) -> tuple[float, float]:
        """(tape, radius) of the least radius on the stretch lo … hi; of equals the lowest."""
        return self._extreme(lo, hi, -1)

    def _extreme(self, lo: float, hi: float, sign: int) -> tuple[float, float]:
        lo, hi = min(lo, hi), max(lo, hi)
        t = self._radius_turns.tapes
        tapes = np.concatenate(([lo], t[(t > lo) & (t < hi)], [hi]))
        radii = self.radius(tapes)
        best = sign * radii
        i = int(np.flatnonzero(best >= best.max() - _EQUAL)[0])
        return float(tapes[i]), float(radii[i])

    @cached_property
    def belly(self) -> float:
        """Tape of the widest level; of equals the lowest."""
        return self.widest(0.0, self.length)[0]

    @cached_property
    def neck(self) -> float | None:
        """Tape of the narrowest level above the belly that has wider wall on both sides; None without one."""
        t = self._radius_turns.tapes
        radii = self.radius(t)
        best: tuple[float, float] | None = None
        for i in range(1, len(t) - 1):
            if t[i] <= self.belly or radii[i:].max() <= radii[i] + _EQUAL:
                continue
            if radii[i - 1] < radii[i] - _EQUAL:
                continue
            if best is None or radii[i] < best[1] - _EQUAL:
                best = (float(t[i]), float(radii[i]))
        return best and best[0]

    def scaled(self, factor: float) -> Wall:
        """The same wall with every length times ``factor`` (> 0): clay that shrinks as it dries."""
        powers = factor ** (1.0 - np.arange(6))[:, None]
        tapes = self._nodes.tapes * factor
        return Wall(
            float(tapes[-1]),
            self.corners * factor,
            self.station_tapes * factor,
            Nodes(tapes),
            self._radius * powers,
            self._height * powers,
        )
