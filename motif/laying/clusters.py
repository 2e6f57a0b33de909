"""Things that lie in one place: grouping by nearness without a grid whose edges could part neighbours."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from motif.laying.piece import Floats, Ints

#: so many members of one group may be left
_MOST_LEFT = 100


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


def near_pairs(points: Floats, reach: float, most: int = 2_000_000) -> tuple[Ints, Ints, float]:
    """All pairs i < j of points (n, 3) nearer than ``reach``, by a grid of cells as wide; and the reach they were
    looked for in, which is less where it would take looking at more than about ``most`` pairs: then those that are
    nearest are found."""
    while True:
        order, low, count = _candidates(points, reach)
        if int(count.sum()) <= most or reach < 1e-3:
            break
        reach *= 0.6
    index = np.flatnonzero(np.cumsum(count) <= most)  # where all lie in one spot no reach is small enough
    low, count, first = low[index], count[index], index % len(points)
    i = np.repeat(first, count)
    j = np.repeat(low - np.cumsum(count) + count, count) + np.arange(count.sum())
    place = points[order]
    apart = place[i] - place[j]
    near = np.einsum("nk,nk->n", apart, apart) < reach * reach
    a, b = order[i[near]], order[j[near]]
    return np.minimum(a, b), np.maximum(a, b), reach


def _candidates(points: Floats, reach: float) -> tuple[Ints, Ints, Ints]:
    """Points in the order of their cells; and, for every half of the cells round and every point in that order, where
    the points of that cell start in the order and how many they are."""
    cell = np.floor(points / reach).astype(np.int64)
    cell -= cell.min(axis=0)
    size = cell.max(axis=0) + 3
    key = (cell[:, 0] * size[1] + cell[:, 1]) * size[2] + cell[:, 2]
    order = np.argsort(key, kind="stable")
    key = key[order]
    lows, counts = [], []
    for dx, dy, dz in _HALF_ROUND:
        wanted = key + (dx * size[1] + dy) * size[2] + dz
        low = np.searchsorted(key, wanted, side="left")
        high = np.searchsorted(key, wanted, side="right")
        if (dx, dy, dz) == (0, 0, 0):
            low = np.arange(len(key)) + 1
        lows.append(low)
        counts.append(np.maximum(high - low, 0))
    return order, np.concatenate(lows), np.concatenate(counts)


_HALF_ROUND = [(0, 0, 0)] + [
    (x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) > (0, 0, 0)
]
