"""Where on the wall marks may stand: between the band's end rings, in its panels, off the reserves."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.forms import Patch
from motif.laying.piece import Floats
from motif.wall import Wall

Bools = NDArray[np.bool_]

#: what lies on an edge to within this is on its kept side, mm
ON_EDGE = 1e-7


@record
class Region:
    """``panels`` are (from, to) angles, to > from, at most one turn; none means all round."""

    wall: Wall
    low: float
    high: float
    panels: tuple[tuple[float, float], ...]
    patches: tuple[Patch, ...]

    def edges(self) -> list[Callable[[Floats, Floats], Floats]]:
        """Functions of angle and tape that change sign where a curve may enter or leave."""
        found: list[Callable[[Floats, Floats], Floats]] = [
            lambda angle, tape: tape - self.low + ON_EDGE,
            lambda angle, tape: self.high + ON_EDGE - tape,
        ]
        for pair in self.panels:
            found.extend(self._beyond(edge, side) for edge, side in zip(pair, (1.0, -1.0), strict=True))
        for patch in self.patches:
            found.extend(patch.edges(ON_EDGE))
        return found

    def _beyond(self, edge: float, side: float) -> Callable[[Floats, Floats], Floats]:
        """Changes sign at the vertical ``edge``, a hair outside the panel."""

        def beyond(angle: Floats, tape: Floats) -> Floats:
            slack = ON_EDGE / np.maximum(self.wall.radius(tape), 1.0)
            return np.sin((angle - edge) / 2 + side * slack / 2)

        return beyond

    def in_band(self, tape: Floats, slack: float = ON_EDGE) -> Bools:
        return (tape >= self.low - slack) & (tape <= self.high + slack)

    def in_panels(
        self, angle: Floats, tape: Floats, slack: float = ON_EDGE, panels: tuple[tuple[float, float], ...] | None = None
    ) -> Bools:
        """In or on the edge of the panels (all of them, unless some are given)."""
        panels = self.panels if panels is None else panels
        if not panels:
            return np.ones(np.shape(angle), dtype=np.bool_)
        give = slack / np.maximum(self.wall.radius(tape), 1.0)
        inside = np.zeros(np.shape(angle), dtype=np.bool_)
        for low, high in panels:
            inside |= np.mod(angle - low + give, 2 * np.pi) <= high - low + 2 * give
        return inside

    def in_reserve(self, angle: Floats, tape: Floats) -> Bools:
        """Inside a reserve, its edge left out."""
        inside = np.zeros(np.shape(angle), dtype=np.bool_)
        for patch in self.patches:
            inside |= patch.depth(angle, tape) > ON_EDGE
        return inside

    def reserves_at(self, angle: Floats, tape: Floats) -> str:
        """The reserves that points lie in, for messages: “handle” and “name”."""
        found = sorted({f"“{p.laid.name}”" for p in self.patches if np.any(p.depth(angle, tape) > ON_EDGE)})
        return " and ".join((", ".join(found[:-1]), found[-1])) if len(found) > 1 else "".join(found)

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
