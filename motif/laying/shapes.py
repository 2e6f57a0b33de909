"""Footprints and dots of a size, set off on the wall at true size."""

from __future__ import annotations

import itertools

import numpy as np

from motif.laying.piece import Floats, Ints
from motif.model.values import ToolSizes
from motif.wall import Wall
from motif.wall.compass import set_off
from motif.wall.rings import closed_ends, enclosed, lifted

#: corners of a round footprint's polygon, and the longest straight step of any other, mm
_ROUND, _STEP = 48, 2.0
#: so many times as many where it lies near a closed end, about which what is straight on the clay is bent in angle and
#: tape; near is so many times its own reach
_FINER, _NEAR_END = 8, 2.0


def flat_outline(tool: ToolSizes | None, across: float, finer: int = 1, short: float | None = None) -> Floats | None:
    """The footprint (k, 2) in mm about its placing point, with ``finer`` times the usual number of corners, or None for
    a mark without size. A round one's polygon falls short of it by no more than ``short`` mm, where that is given."""
    if tool is not None and tool.outline is not None:
        corners = tool.outline
        onward = np.roll(corners, -1, axis=0) - corners
        steps = np.maximum(1, np.ceil(np.hypot(*onward.T) / _STEP * finer)).astype(np.int64)
        index = np.repeat(np.arange(len(corners)), steps)
        part = (np.arange(len(index)) - np.repeat(np.cumsum(steps) - steps, steps)) / steps[index]
        return corners[index] + onward[index] * part[:, None]
    wide = tool.wide if tool is not None else (None if np.isnan(across) else across)
    if wide is None:
        return None
    tall = tool.tall if tool is not None and tool.tall is not None else wide
    usual = _ROUND if short is None else max(_ROUND, int(np.ceil(np.pi * np.sqrt(max(wide, tall) / (4 * short)))))
    turn = 2 * np.pi * np.arange(usual * finer) / (usual * finer)
    return np.column_stack([wide / 2 * np.cos(turn), tall / 2 * np.sin(turn)])


def flat_area(tool: ToolSizes | None) -> float | None:
    """A footprint's area in the flat, mm²; None for what is none."""
    if tool is None or tool.wide is None:
        return None
    return tool.area if tool.outline is not None else float(np.pi / 4 * tool.wide * (tool.tall or tool.wide))


class ShapeBook:
    """The shapes of marks on a wall, each worked out once for a tool, tape and lean."""

    def __init__(self, wall: Wall, short: float | None = None) -> None:
        self._wall, self._short = wall, short
        self.shapes: list[Floats] = []
        self._areas: list[float] = []

    def of(self, tool: ToolSizes | None, across: Floats, tape: Floats, lean: Floats) -> tuple[Ints, Floats]:
        """Numbers of the shapes of marks (n,) made with one tool (−1: no shape) and their areas on the wall, mm².

        Every point lies on the wall in its own direction from the placing point at its own distance along
        the taut line. The area is that of the polygon so set off; where the footprint is bent, the polygon
        is made up to it by the ratio of their flat areas."""
        number, area = np.full(len(tape), -1, dtype=np.int64), np.zeros(len(tape))
        key = np.stack([np.round(np.nan_to_num(across, nan=-1.0), 6), np.round(tape, 6), np.round(lean, 9)], axis=1)
        distinct, first, which = np.unique(key, axis=0, return_index=True, return_inverse=True)
        which = which.reshape(-1)
        ends = closed_ends(self._wall)
        for size, finer in itertools.product(sorted(set(distinct[:, 0].tolist())), (1, _FINER)):
            of_size = np.flatnonzero(distinct[:, 0] == size)
            outline = flat_outline(tool, float(across[first[of_size[0]]]), finer, self._short)
            if outline is None:
                continue
            reach = _NEAR_END * float(np.hypot(*outline.T).max())
            near = np.any([np.abs(tape[first[of_size]] - end) < reach for end in (*ends, np.inf)], axis=0)
            chosen = of_size[near == (finer > 1)]
            at = first[chosen]
            if not len(at):
                continue
            distance, bearing = np.hypot(*outline.T), np.arctan2(outline[:, 1], outline[:, 0])
            around, up = set_off(
                self._wall,
                np.zeros((len(at), 1)),
                tape[at][:, None],
                bearing[None, :] + lean[at][:, None],
                distance[None, :],
            )
            rings = [lifted(np.stack([a, s], axis=1)) for a, s in zip(around, up, strict=True)]
            swept = np.array([abs(enclosed(self._wall, ring)) for ring in rings])
            exact = flat_area(tool)
            if exact is not None:
                swept = swept * exact / _shoelace(outline)
            local = np.full(len(distinct), -1, dtype=np.int64)
            local[chosen] = len(self.shapes) + np.arange(len(chosen))
            amount = np.zeros(len(distinct))
            amount[chosen] = swept
            self.shapes.extend(rings)
            here = local[which] >= 0
            number[here], area[here] = local[which][here], amount[which][here]
        return number, area


def _shoelace(p: Floats) -> float:
    x, y = p.T
    return float(abs(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2)
