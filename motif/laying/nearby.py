"""Points of the wall looked up by place: which lie in a window of angle and tape, and which may be the nearest."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from motif.language.record import record
from motif.laying.clusters import in_runs
from motif.laying.piece import Floats, Ints

#: cells are about so wide and tall, mm, and no more than so many round the pot and up the wall
_CELL, _MOST_COLUMNS, _MOST_ROWS = 1.0, 2048, 1024
#: no more windows of one cell's width, or pairs of a place and a point that may be near it, are held at once
_PAIRS = 400_000


@record
class Windows:
    """For n places the cells to look in: columns from ``west`` on, ``wide`` of them, and rows ``low`` … ``high``; of
    the points of a ``layer``."""

    west: Ints
    wide: Ints
    low: Ints
    high: Ints
    layer: Ints

    def at(self, chosen: Ints | slice) -> Windows:
        return Windows(*(getattr(self, name)[chosen] for name in ("west", "wide", "low", "high", "layer")))


class Nearby:
    """Points (n,) of the wall at angles 0 … 2π and tapes, sorted into cells; points of different layers, numbered
    from 0, do not see one another. ``radius`` is that of the widest, mm."""

    def __init__(self, angle: Floats, tape: Floats, radius: float, layer: Ints | None = None) -> None:
        self._columns = int(np.clip(2 * np.pi * radius / _CELL, 1, _MOST_COLUMNS))
        self._foot = float(tape.min()) if len(tape) else 0.0
        span = float(tape.max()) - self._foot if len(tape) else 0.0
        self._rows = int(np.clip(span / _CELL, 1, _MOST_ROWS))
        self._tall = max(span, 1e-6) / self._rows
        column = np.clip((angle * (self._columns / (2 * np.pi))).astype(np.int64), 0, self._columns - 1)
        row = np.clip(((tape - self._foot) / self._tall).astype(np.int64), 0, self._rows - 1)
        key = (column if layer is None else layer * self._columns + column) * self._rows + row
        self._order = np.argsort(key, kind="stable")
        key = key[self._order]
        start = np.flatnonzero(np.concatenate([[True], key[1:] != key[:-1]])) if len(key) else np.zeros(0, np.int64)
        self._key, self._start = key[start], np.append(start, len(key))
        self._summed: Ints | None = None
        if layer is None:
            # Points below and to the left of every corner of a cell.
            counts = np.zeros((self._columns + 1, self._rows + 1), dtype=np.int64)
            counts[1:, 1:].flat[self._key] = np.diff(self._start)
            self._summed = counts.cumsum(axis=0).cumsum(axis=1)

    def windows(self, angle: Floats, across: Floats, tape: Floats, reach: Floats, layer: Ints | None = None) -> Windows:
        """What lies within ``across`` ≤ π of angles and ``reach`` mm of tapes, and a little more."""
        each = self._columns / (2 * np.pi)
        west = np.floor((angle - across) * each).astype(np.int64)
        # A cell is wider than any rounding, and the first and the last may be the same one.
        wide = np.minimum(np.floor((angle + across) * each).astype(np.int64) - west + 1, self._columns)
        low, high = (
            np.clip(np.floor((tape + side - self._foot) / self._tall), -1, self._rows).astype(np.int64)
            for side in (-reach, reach)
        )
        none = np.zeros(len(west), dtype=np.int64)
        return Windows(
            west, wide, np.maximum(low, 0), np.minimum(high, self._rows - 1), none if layer is None else layer
        )

    def holds(self, w: Windows) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Which windows may hold any point."""
        if self._summed is None:
            return w.high >= w.low
        turns, west = np.divmod(w.west, self._columns)
        past, east = np.divmod(w.west + w.wide, self._columns)
        low, high = w.low, np.maximum(w.high + 1, w.low)
        s, all_round = self._summed, self._summed[-1]
        held = s[east, high] - s[east, low] - s[west, high] + s[west, low]
        return held + (past - turns) * (all_round[high] - all_round[low]) > 0

    def pairs(self, w: Windows) -> Iterator[tuple[slice, Ints, Ints]]:
        """Some of the windows at a time, and every point in them: the number of the window among all, increasing, and
        the point's."""
        for some in in_runs(w.wide, _PAIRS):
            part = w.at(some)
            window = np.repeat(np.arange(some.start, some.stop), part.wide)
            first = np.cumsum(part.wide) - part.wide
            of = window - some.start
            column = np.mod(part.west[of] + np.arange(len(of)) - first[of], self._columns)
            key = (part.layer[of] * self._columns + column) * self._rows
            low = self._start[np.searchsorted(self._key, key + part.low[of], side="left")]
            high = self._start[np.searchsorted(self._key, key + part.high[of], side="right")]
            count = np.maximum(high - low, 0)
            each = np.add.reduceat(count, first)
            for run in in_runs(each, _PAIRS):
                inner = slice(first[run.start], first[run.stop] if run.stop < len(first) else len(count))
                n = count[inner]
                point = np.repeat(low[inner] - np.cumsum(n) + n, n) + np.arange(int(n.sum()))
                yield (
                    slice(some.start + run.start, some.start + run.stop),
                    np.repeat(window[inner], n),
                    self._order[point],
                )
