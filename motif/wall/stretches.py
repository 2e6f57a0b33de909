"""The wall as stretches on which it is smooth or straight, each readable a little past its ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from motif.wall.pieces import Nodes, evaluate, evaluate_with_slope

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Mask = NDArray[np.bool_]

#: The tip of a closed end, up to this tape in mm, counts as a cone.
_TIP = 0.2
#: A stretch is straight if the profile's curvature on it is nowhere above this, 1/mm.
_STRAIGHT = 1e-12
#: Where the cones beyond foot and rim that have no point are left, mm.
_FAR = 1e7


@dataclass(frozen=True, eq=False)
class Stretches:
    """Stretch i lies between the tapes ``ends[i]`` and ``ends[i + 1]``.

    The outermost are the cones beyond foot and rim or, where the wall is closed, the tip of its closed end;
    ``straight`` says which are cones. ``ridge`` is, for each end, the smaller of the slopes with which the
    wall falls away from it on both sides, 0 or less where it does not."""

    ends: Floats
    straight: Mask
    ridge: Floats
    _nodes: Nodes
    _radius: Floats
    _rows: tuple[Ints, Ints]
    _bend: Floats
    _tips: dict[int, tuple[float, float]]

    @classmethod
    def of(cls, nodes: Nodes, radius: Floats, height: Floats, corners: Floats, reach: tuple[float, float]) -> Stretches:
        """The stretches of a wall from its tables (6, n + 2), its corners and its reach."""
        length = float(nodes.tapes[-1])
        outside = max(reach[0], -_FAR), min(reach[1], _FAR)
        foot = 0.0 if outside[0] < 0 else _TIP
        rim = length if outside[1] > length else length - _TIP
        ends = np.array([outside[0], foot, *corners.tolist(), rim, outside[1]])
        lower, _ = nodes.rows(ends[:-1])
        upper, _ = nodes.rows(ends[1:], "below")
        # Where a closed end cuts a piece, its tip and the rest read the same row.
        row = np.arange(radius.shape[1])
        edges = np.zeros(row.size), np.concatenate(([0.0], nodes.widths, [0.0]))
        bend = np.max([np.abs(evaluate(t, row, u, 2)) for t in (radius, height) for u in edges], axis=0)
        straight = np.array([bend[a : b + 1].max() < _STRAIGHT for a, b in zip(lower, upper, strict=True)])
        straight[[0, -1]] = True
        tips = {}
        for i, point, end in ((0, 0.0, ends[1]), (len(ends) - 2, length, ends[-2])):
            if ends[0 if i == 0 else -1] == point:
                # The slope with which a cone from the point meets the wall where the tip ends.
                at, u = nodes.rows(np.asarray(end))
                tips[i] = (point, float(evaluate(radius, at, u) / (end - point)))
        bare = cls(ends, straight, np.zeros(len(ends)), nodes, radius, (lower, upper), bend, tips)
        every = np.arange(len(ends) - 1)
        above, below = bare.radius(ends[:-1], every)[1], bare.radius(ends[1:], every)[1]
        bare.ridge[1:-1] = np.minimum(below[:-1], -above[1:])
        return bare

    def find(self, tape: Floats, downward: Mask) -> Ints:
        """The stretch in which a line from each tape begins, at an end the one it goes into."""
        above = np.searchsorted(self.ends, tape, side="right") - 1
        below = np.searchsorted(self.ends, tape, side="left") - 1
        return np.clip(np.where(downward, below, above), 0, len(self.ends) - 2)

    def radius(self, tape: Floats, stretch: Ints) -> tuple[Floats, Floats]:
        """Radius and its slope at tapes read in the given stretches."""
        row = np.searchsorted(self._nodes.tapes, tape, side="right")
        row = np.clip(row, self._rows[0][stretch], self._rows[1][stretch])
        u = tape - self._nodes.tapes[np.maximum(row - 1, 0)]
        r, slope = evaluate_with_slope(self._radius, row, u)
        for i, (point, steep) in self._tips.items():
            on = stretch == i
            if on.any():
                r, slope = np.where(on, steep * (tape - point), r), np.where(on, steep, slope)
        return r, slope

    def scale(self, tape: Floats, stretch: Ints) -> Floats:
        """The smaller of the radius and the profile's radius of curvature, mm: what bounds a step."""
        row = np.searchsorted(self._nodes.tapes, tape, side="right")
        row = np.clip(row, self._rows[0][stretch], self._rows[1][stretch])
        with np.errstate(divide="ignore"):
            return np.minimum(self.radius(tape, stretch)[0], 1 / self._bend[row])
