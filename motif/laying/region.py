"""Where on the wall marks may stand: between the band's end rings, in its panels, off the reserves."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.forms import Patch
from motif.laying.piece import Floats, Ints
from motif.wall import Wall
from motif.wall.rings import POINT

Bools = NDArray[np.bool_]

#: what lies on an edge to within this is on its kept side, mm
ON_EDGE = 1e-7


@record
class Verticals:
    """Verticals at ``angles`` (n,), 0 … 2π and increasing, each met ``ON_EDGE`` to its left (``side`` 1) or to its
    right (−1)."""

    wall: Wall
    angles: Floats
    side: float

    def gone(self, angle: Floats, tape: Floats) -> Floats:
        """Angles as seen from the verticals."""
        return angle + self.side * ON_EDGE / np.maximum(self.wall.radius(tape), 1.0)

    def passed(self, gone: Floats) -> Ints:
        """How many verticals have been passed on the way to ``gone``, as many each turn."""
        turns = np.floor(gone / (2 * np.pi))
        rest = gone - 2 * np.pi * turns
        return turns.astype(np.int64) * len(self.angles) + np.searchsorted(self.angles, rest, side="right")

    def at(self, number: Ints) -> Floats:
        """Where the vertical stands that is passed next after ``number`` of them."""
        turns, which = np.divmod(number, len(self.angles))
        return self.angles[which] + 2 * np.pi * turns


@record
class Region:
    """``panels`` are (from, to) angles, to > from, at most one turn; none means all round."""

    wall: Wall
    low: float
    high: float
    panels: tuple[tuple[float, float], ...]
    patches: tuple[Patch, ...]

    def edges(self) -> list[Callable[[Floats, Floats], Floats]]:
        """Functions of angle and tape that change sign where a curve may enter or leave, but for ``panel_edges``."""
        found: list[Callable[[Floats, Floats], Floats]] = [
            lambda angle, tape: tape - self.low + ON_EDGE,
            lambda angle, tape: self.high + ON_EDGE - tape,
        ]
        for patch in self.patches:
            found.extend(patch.edges(ON_EDGE))
        return found

    def panel_edges(self) -> list[Verticals]:
        """The verticals at which a curve may enter or leave a panel, a hair outside it: where panels begin, and where
        they end."""
        if not self.panels:
            return []
        return [
            Verticals(self.wall, np.sort(np.mod([pair[k] for pair in self.panels], 2 * np.pi)), side)
            for k, side in ((0, 1.0), (1, -1.0))
        ]

    def in_band(self, tape: Floats, slack: float = ON_EDGE) -> Bools:
        return (tape >= self.low - slack) & (tape <= self.high + slack)

    def in_panels(
        self, angle: Floats, tape: Floats, slack: float = ON_EDGE, panels: tuple[tuple[float, float], ...] | None = None
    ) -> Bools:
        """In or on the edge of the panels (all of them, unless some are given); the point of a closed end is in all."""
        panels = self.panels if panels is None else panels
        if not panels:
            return np.ones(np.shape(angle), dtype=np.bool_)
        give = slack / np.maximum(self.wall.radius(tape), 1.0)
        low, high = np.array(sorted(panels)).T
        gone = np.mod(angle - low[0] + give, 2 * np.pi)
        last = np.searchsorted(low - low[0], gone, side="right") - 1
        inside = gone - (low[last] - low[0]) <= (high - low)[last] + 2 * give
        return np.asarray(inside | (self.wall.radius(tape) < POINT))

    def in_reserve(self, angle: Floats, tape: Floats) -> Bools:
        """Inside a reserve, its edge left out."""
        inside = np.zeros(np.shape(angle), dtype=np.bool_)
        for patch in self.patches:
            inside |= patch.depth(angle, tape) > ON_EDGE
        return inside

    def reserves_at(self, angle: Floats, tape: Floats) -> tuple[str, ...]:
        """The names of the reserves that points lie in, sorted."""
        return tuple(sorted({p.laid.name for p in self.patches if np.any(p.depth(angle, tape) > ON_EDGE)}))

    def ends_on_edge(self, angle: float, tape: float) -> bool:
        """Whether a point lies on the band's end or a panel's edge, to a hundredth of a millimetre."""
        if min(abs(tape - self.low), abs(tape - self.high)) <= 0.01:
            return True
        radius = float(self.wall.radius(tape))
        turns = [np.mod(angle - edge + np.pi, 2 * np.pi) - np.pi for pair in self.panels for edge in pair]
        return any(abs(t) * radius <= 0.01 for t in turns)

    def keeps(self, angle: Floats, tape: Floats) -> Bools:
        """Where a line may stand."""
        return self.in_band(tape) & self.in_panels(angle, tape) & ~self.in_reserve(angle, tape)
