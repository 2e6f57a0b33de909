"""Which rings and verticals are drawn: all of them, unless there are more than paper can show."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.numbers import Unit, fine_with_unit
from motif.outputs.once import once

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Lines nearer than this on paper run into one grey (mm); printed they are 0.25 mm wide.
NEAREST = 0.3
#: Where all would lie nearer, every second, fifth, tenth … is drawn.
_STEPS = tuple(k * 10**n for n in range(6) for k in (1, 2, 5))
#: Places that differ by less are one (decimals, of mm or radians).
_SAME = 9


@record
class GridLines:
    """Rings or verticals, ``n`` of them, band by band: the number of the ``band`` of each, its own ``number`` in that
    band, where it is ``at`` (a ring's tape in mm, a vertical's angle in radians), and the tapes ``low`` and ``high``
    between which its band lies. Every column is (n,)."""

    band: Ints
    number: Ints
    at: Floats
    low: Floats
    high: Floats

    def __len__(self) -> int:
        return len(self.at)

    def of_band(self, number: int) -> slice:
        """Those of a band."""
        return slice(*np.searchsorted(self.band, [number, number + 1]).tolist())

    def chosen(self, which: Ints) -> GridLines:
        return GridLines(*(column[which] for column in vars(self).values()))


@record
class Grid:
    """What is drawn of the rings and verticals of a piece; ``whole`` where nothing is left out."""

    rings: GridLines
    verticals: GridLines
    whole: bool


@once  # every drawing of a run shows the same
def grid_of(piece: LaidPiece, nearest: float = 0.0) -> Grid:
    """The rings and verticals of a piece: all of them, or where they crowd only so many that on average they lie
    ``nearest`` mm of the wall from one another."""
    wall = piece.form.wall
    ends = [sorted((float(b.rings.tape[0]), float(b.rings.tape[-1]))) for b in piece.bands]
    rings = _lines(piece, ends, [b.rings.tape for b in piece.bands], 0)
    verticals = _lines(piece, ends, [b.verticals for b in piece.bands], 1)
    if nearest <= 0:
        return Grid(rings, verticals, True)

    def rings_for(low: float, high: float) -> float:
        return (high - low) / nearest + 1

    def verticals_for(low: float, high: float) -> float:
        return math.tau * wall.widest(low, high)[1] / nearest

    kept = _uncrowded(rings, rings_for), _uncrowded(verticals, verticals_for)
    whole = len(kept[0]) == len(rings) and len(kept[1]) == len(verticals)
    return Grid(rings.chosen(kept[0]), verticals.chosen(kept[1]), whole)


def remarks(grid: Grid, nearest: float, unit: Unit) -> list[str]:
    """What a drawing says where it leaves out lines that would lie nearer than ``nearest`` mm; else nothing."""
    if grid.whole:
        return []
    return [
        "There are more rings or verticals here than paper can show: where they would lie nearer than "
        f"{fine_with_unit(nearest, unit)} only some are drawn."
    ]


def _lines(piece: LaidPiece, ends: list[list[float]], at: list[Floats], first: int) -> GridLines:
    """The lines of all bands, of each those ``at`` these places, numbered from ``first``."""
    counts = [len(some) for some in at]
    return GridLines(
        np.repeat(np.array([b.number for b in piece.bands], dtype=np.int64), counts),
        np.concatenate([np.arange(n) + first for n in counts] or [np.empty(0, dtype=np.int64)]),
        np.concatenate(at or [np.empty(0)]),
        *np.repeat(np.array(ends).reshape(-1, 2), counts, axis=0).T,
    )


def _uncrowded(lines: GridLines, room_for: Callable[[float, float], float]) -> Ints:
    """Which of the lines are kept where there is room for so many between two tapes: of bands that lie over one
    another, of the lines at one place the first, and of those every second, fifth, tenth … if they are still too many.
    The first and the last of a band are kept."""
    if not len(lines):
        return np.arange(0)
    places = np.round(np.column_stack([lines.low, lines.high]), _SAME)
    spans, group = np.unique(places, axis=0, return_inverse=True)
    order = np.argsort(group.ravel(), kind="stable")
    members = np.split(order, np.cumsum(np.bincount(group.ravel()))[:-1])
    last = np.concatenate([np.diff(lines.band) != 0, [True]])
    first = np.concatenate([[True], last[:-1]])
    kept: list[Ints] = []
    for (low, high), there in zip(spans.tolist(), members, strict=True):
        room, some = room_for(low, high), there
        if len(there) > room:
            _, distinct = np.unique(np.round(lines.at[there], _SAME), return_index=True)
            some = there[np.sort(distinct)]
        steps = (some[(lines.number[some] % k == 0) | first[some] | last[some]] for k in _STEPS)
        few = next((fewer for fewer in steps if len(fewer) <= room), some[first[some]])
        kept.append(few)
    return np.sort(np.concatenate(kept))
