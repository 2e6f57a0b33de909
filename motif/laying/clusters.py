"""Things that lie in one place: grouping by nearness without a grid whose edges could part neighbours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from motif.language.record import record
from motif.laying.piece import Floats, Ints

#: so many members of one group may be left
_MOST_LEFT = 100
#: about so many distances are looked at together
_AT_ONCE = 200_000


def clusters(columns: Sequence[Floats], steps: Sequence[float]) -> Ints:
    """Labels (n,) such that things which differ by at most ``steps`` in every column share a label.

    Things are parted wherever a column, sorted within its group, has a gap larger than its step; each
    part is sorted again by the next column until nothing parts. Labels follow the order of first members."""
    n = len(columns[0])
    label = np.zeros(n, dtype=np.int64)
    parts = 1
    while True:
        for column, step in zip(columns, steps, strict=True):
            order = np.lexsort([column, label])
            sorted_label, sorted_column = label[order], column[order]
            new = np.ones(n, dtype=np.int64)
            new[1:] = (sorted_label[1:] != sorted_label[:-1]) | (np.diff(sorted_column) > step)
            label = np.empty(n, dtype=np.int64)
            label[order] = np.cumsum(new) - 1
        now = int(label.max(initial=-1)) + 1
        if now in (parts, n):
            break
        parts = now
    _, first, inverse = np.unique(label, return_index=True, return_inverse=True)
    rank = np.empty(len(first), dtype=np.int64)
    rank[np.argsort(first, kind="stable")] = np.arange(len(first))
    return rank[inverse.reshape(-1)]


def firsts(label: Ints, points: Floats, reach: float) -> Ints:
    """The members, increasing, that are left when in each group everything within ``reach`` of an earlier member that
    is left goes: a group by columns may be a chain, and its members √3 steps apart. Of a chain with very many members
    left, the rest goes."""
    found: list[Ints] = []
    waiting = np.arange(len(label))
    while len(waiting) and len(found) < _MOST_LEFT:
        _, at, of = np.unique(label[waiting], return_index=True, return_inverse=True)
        first = waiting[at]
        found.append(first)
        apart = np.linalg.norm(points[waiting] - points[first[of.reshape(-1)]], axis=1)
        waiting = waiting[apart > reach + 1e-9]
    return np.sort(np.concatenate(found)) if found else np.zeros(0, dtype=np.int64)


def distinct(numbers: Ints) -> list[int]:
    """The different numbers (not negative) among many, increasing. ``np.unique`` would import ``numpy.ma`` for it."""
    return np.flatnonzero(np.bincount(numbers)).tolist()


def in_runs(sizes: Ints, most: int = _AT_ONCE) -> list[slice]:
    """Runs of things of so many members each that together have no more than ``most``, or of one thing."""
    gone = np.concatenate([[0], np.cumsum(sizes)])
    runs, start = [], 0
    while start < len(sizes):
        stop = max(start + 1, int(np.searchsorted(gone, gone[start] + most, side="right")) - 1)
        runs.append(slice(start, stop))
        start = stop
    return runs


def near_pairs(points: Floats, reach: float, most: int = 2_000_000) -> tuple[Ints, Ints, float]:
    """All pairs i < j of points (n, 3) nearer than ``reach``, by a grid of cells as wide; and the reach they were
    looked for in, which is less where it would take looking at more than about ``most`` pairs: then those that are
    nearest are found."""
    while True:
        cells = _Cells.of(points, reach)
        if cells.pairs <= most or reach < 1e-3:
            break
        # On a surface there are as many as the square of the reach.
        reach *= float(np.clip(0.9 * np.sqrt(most / cells.pairs), 0.1, 0.8))
    place = points[cells.order]
    found: list[tuple[Ints, Ints]] = []
    looked_at = 0
    for low, count in cells.neighbours():
        for run in in_runs(count):
            # Where all lie in one spot no reach is small enough.
            some = count[run] if looked_at + int(count[run].sum()) <= most else np.zeros_like(count[run])
            looked_at += int(some.sum())
            i = np.repeat(np.arange(run.start, run.stop), some)
            j = np.repeat(low[run] - np.cumsum(some) + some, some) + np.arange(len(i))
            apart = place[i] - place[j]
            near = np.einsum("nk,nk->n", apart, apart) < reach * reach
            found.append((cells.order[i[near]], cells.order[j[near]]))
    i, j = (np.concatenate(ends) for ends in zip(*found, strict=True))
    return np.minimum(i, j), np.maximum(i, j), reach


@record
class _Cells:
    """Points in the order of their cells: ``key`` (m,) of those that hold any, increasing, and where each starts
    (m + 1,). Cells with one x and y follow one another in z, and y in x, ``column`` and ``layer`` keys on."""

    order: Ints
    key: Ints
    start: Ints
    column: int
    layer: int

    @classmethod
    def of(cls, points: Floats, wide: float) -> _Cells:
        cell = np.floor(points / wide).astype(np.int64)
        cell -= cell.min(axis=0)
        size = cell.max(axis=0) + 3
        key = (cell[:, 0] * size[1] + cell[:, 1]) * size[2] + cell[:, 2]
        order = np.argsort(key, kind="stable")
        key = key[order]
        start = np.flatnonzero(np.concatenate([[True], key[1:] != key[:-1]]))
        return cls(order, key[start], np.append(start, len(key)), int(size[2]), int(size[1] * size[2]))

    def _beside(self, x: int, y: int) -> tuple[Ints, Ints]:
        """For each cell where the three about the one ``x`` and ``y`` on start and stop."""
        wanted = self.key + x * self.layer + y * self.column
        low = self.start[np.searchsorted(self.key, wanted - 1, side="left")]
        return low, self.start[np.searchsorted(self.key, wanted + 1, side="right")]

    @property
    def pairs(self) -> int:
        """How many pairs lie in one cell or in two that touch."""
        held = np.diff(self.start)
        own = held * (self._beside(0, 0)[1] - self.start[1:]) + held * (held - 1) // 2
        beside = (self._beside(*step) for step in _HALF_ROUND)
        return int(own.sum()) + sum(int(np.sum(held * (high - low))) for low, high in beside)

    def neighbours(self) -> Iterator[tuple[Ints, Ints]]:
        """For all points in order, several times over: where those start that each is to be looked at with, and how
        many they are; every pair comes once."""
        cell = np.repeat(np.arange(len(self.key)), np.diff(self.start))
        here = np.arange(len(cell))
        yield here + 1, self._beside(0, 0)[1][cell] - here - 1
        for step in _HALF_ROUND:
            low, high = self._beside(*step)
            yield low[cell], (high - low)[cell]


#: the columns of cells round about one, of every two that lie opposite one
_HALF_ROUND = ((0, 1), (1, -1), (1, 0), (1, 1))
