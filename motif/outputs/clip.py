"""Cutting lines and areas at the edges of a sheet.

A sheet is a rectangle in (angle, tape) whatever its shape on paper, so lines are cut there, exactly at
the edge, before they are charted. Angles come again every turn.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.outputs.lines import Lines

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: A line that runs along an edge is inside; rounding puts it up to this far beyond (radians or mm).
SLACK = 1e-9
_TURN = 2 * math.pi


@record
class Window:
    """The rectangle [from_angle, to_angle] × [from_tape, to_tape], radians and mm."""

    from_angle: float
    to_angle: float
    from_tape: float
    to_tape: float

    @property
    def low(self) -> Floats:
        return np.array([self.from_angle, self.from_tape])

    @property
    def high(self) -> Floats:
        return np.array([self.to_angle, self.to_tape])

    def turns(self, low: Floats, high: Floats, *, turning: bool = True) -> tuple[Ints, Ints]:
        """The first and the last whole number of turns by which what lies between the angles ``low`` and ``high``,
        (n,), is turned into the window, both 0 with ``turning`` off; the first is greater where there is none."""
        if not turning:
            return np.zeros(len(low), dtype=np.int64), np.zeros(len(low), dtype=np.int64)
        first = np.ceil((self.from_angle - SLACK - high) / _TURN)
        last = np.floor((self.to_angle + SLACK - low) / _TURN)
        return first.astype(np.int64), last.astype(np.int64)


def clip_lines(lines: Lines, window: Window, *, turning: bool = True) -> tuple[Lines, Ints]:
    """The parts of all lines inside ``window``, and the number of the line that each is of.

    Lines are turned into the window by whole turns, as often as they come by it; with ``turning`` off they are cut
    where they are. Parts come line by line, those of the first turn first, and in order along the line; cut where it
    crosses an edge. A line that only touches an edge in a point leaves nothing."""
    low, high = lines.boxes()
    first, last = window.turns(low[:, 0], high[:, 0], turning=turning)
    there = (low[:, 1] <= window.to_tape + SLACK) & (high[:, 1] >= window.from_tape - SLACK)
    copies = np.where(there, np.maximum(last - first + 1, 0), 0)
    # Lines that lie inside as a whole need no cutting.
    turn = np.column_stack([_TURN * first, np.zeros(len(lines))])
    whole = (copies == 1) & np.all((low + turn >= window.low - SLACK) & (high + turn <= window.high + SLACK), axis=1)
    alone = np.flatnonzero(whole)
    kept = lines.chosen(alone)
    kept = Lines(kept.points + np.repeat(turn[alone], kept.counts, axis=0), kept.starts)
    cut, of = _clip(lines, np.flatnonzero((copies > 0) & ~whole), window, turning)
    if not len(cut):
        return kept, alone
    both = kept.with_(cut)
    owner = np.concatenate([alone, of])
    order = np.argsort(owner, kind="stable")
    return both.chosen(order), owner[order]


def _clip(lines: Lines, which: Ints, window: Window, turning: bool) -> tuple[Lines, Ints]:
    """The parts of the lines ``which``, cut segment by segment (Liang and Barsky, ACM Transactions on Graphics 3,
    1984), and the number of the line that each is of."""
    some = lines.chosen(which)
    of = some.whose
    begins = np.flatnonzero(np.diff(of) == 0)
    sides = some.points[begins, 0], some.points[begins + 1, 0]
    first, last = window.turns(np.minimum(*sides), np.maximum(*sides), turning=turning)
    copies = np.maximum(last - first + 1, 0)
    segment = np.repeat(begins, copies)
    turn = first.repeat(copies) + np.arange(len(segment)) - np.repeat(np.cumsum(copies) - copies, copies)
    order = np.lexsort((segment, turn, of[segment]))
    segment, turn = segment[order], turn[order]
    shift = np.column_stack([turn * _TURN, np.zeros(len(turn))])
    a, b = some.points[segment] + shift, some.points[segment + 1] + shift
    d = b - a
    low, high = window.low - SLACK, window.high + SLACK
    with np.errstate(divide="ignore", invalid="ignore"):
        near, far = (low - a) / d, (high - a) / d
    enter, leave = np.minimum(near, far), np.maximum(near, far)
    # Along an edge's direction a segment is between the edges all the way or not at all.
    flat = d == 0
    between = (a >= low) & (a <= high)
    enter = np.where(flat, np.where(between, -np.inf, np.inf), enter).max(axis=1).clip(min=0.0)
    leave = np.where(flat, np.where(between, np.inf, -np.inf), leave).min(axis=1).clip(max=1.0)
    kept = np.flatnonzero(leave > enter)
    if not len(kept):
        return Lines.of([]), which[:0]
    segment, turn, enter, leave, a, b, d = (x[kept] for x in (segment, turn, enter, leave, a, b, d))
    # A part goes on while a segment is left at its end and the next one entered at its start.
    apart = (np.diff(segment) != 1) | (np.diff(turn) != 0) | (leave[:-1] < 1.0) | (enter[1:] > 0.0)
    start = np.concatenate([[True], apart])
    end = np.concatenate([apart, [True]])
    part = np.cumsum(start) - 1
    points = np.empty((len(segment) + part[-1] + 1, 2))
    at = np.arange(len(segment)) + part
    points[at] = np.where(start[:, None], a + enter[:, None] * d, a)
    points[at[end] + 1] = np.where(leave[end, None] >= 1.0, b[end], a[end] + leave[end, None] * d[end])
    parts = Lines(points.clip(window.low, window.high), np.append(at[start], len(points)))
    least, most = parts.boxes()
    real = np.flatnonzero((most - least).max(axis=1) > 4 * SLACK)
    return parts.chosen(real), which[of[segment[start]]][real]


def clip_area(ring: Floats, window: Window) -> Floats:
    """The part of a closed ring's inside, (k, 2), that is in ``window``, as one ring; (0, 2) for none.

    Sutherland and Hodgman's re-entrant cutting (Communications of the ACM 17, 1974): exact for any
    ring, whose separate parts it joins along the edge of the window.
    """
    for axis in (0, 1):
        for edge, sign in ((window.low[axis], 1.0), (window.high[axis], -1.0)):
            if len(ring) == 0:
                return ring
            ring = _cut(ring, axis, edge, sign)
    return ring


def _cut(ring: Floats, axis: int, edge: float, sign: float) -> Floats:
    depth = sign * (ring[:, axis] - edge)
    inside = depth >= -SLACK
    if inside.all():
        return ring
    if not inside.any():
        return ring[:0]
    following = np.roll(ring, -1, axis=0)
    crosses = inside != np.roll(inside, -1)
    next_depth = np.roll(depth, -1)
    t = np.divide(depth, depth - next_depth, out=np.zeros_like(depth), where=crosses)
    met = ring + t[:, None] * (following - ring)
    met[:, axis] = edge
    both = np.stack([ring, met], axis=1).reshape(-1, 2)
    return both[np.stack([inside, crosses], axis=1).ravel()]
