"""Things that lie in one place: grouping by nearness without a grid whose edges could part neighbours."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from motif.laying.piece import Floats, Ints


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


def distinct(numbers: Ints) -> list[int]:
    """The different numbers (not negative) among many, increasing. ``np.unique`` would import ``numpy.ma`` for it."""
    return np.flatnonzero(np.bincount(numbers)).tolist()


def near_pairs(points: Floats, reach: float) -> tuple[Ints, Ints]:
    """All pairs i < j of points (n, 3) nearer than ``reach``, by a grid of cells as wide."""
    cell = np.floor(points / reach).astype(np.int64)
    cell -= cell.min(axis=0)
    size = cell.max(axis=0) + 3
    key = (cell[:, 0] * size[1] + cell[:, 1]) * size[2] + cell[:, 2]
    order = np.argsort(key, kind="stable")
    key, place = key[order], points[order]
    lefts, rights = [], []
    for dx, dy, dz in _HALF_ROUND:
        wanted = key + (dx * size[1] + dy) * size[2] + dz
        low = np.searchsorted(key, wanted, side="left")
        high = np.searchsorted(key, wanted, side="right")
        if (dx, dy, dz) == (0, 0, 0):
            low = np.arange(len(key)) + 1
        count = np.maximum(high - low, 0)
        i = np.repeat(np.arange(len(key)), count)
        j = np.repeat(low - np.cumsum(count) + count, count) + np.arange(count.sum())
        apart = place[i] - place[j]
        near = np.einsum("nk,nk->n", apart, apart) < reach * reach
        lefts.append(order[i[near]])
        rights.append(order[j[near]])
    a, b = np.concatenate(lefts), np.concatenate(rights)
    return np.minimum(a, b), np.maximum(a, b)


_HALF_ROUND = [(0, 0, 0)] + [
    (x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) > (0, 0, 0)
]
