"""Cutting lines and areas at the edges of a sheet.

A sheet is a rectangle in (angle, tape) whatever its shape on paper, so lines are cut there, exactly at
the edge, before they are charted.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record

Floats = NDArray[np.float64]

#: A line that runs along an edge is inside; rounding puts it up to this far beyond (radians or mm).
_SLACK = 1e-9


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


def clip_line(points: Floats, window: Window) -> list[Floats]:
    """The parts of a polyline, (k, 2), inside ``window``, in order; cut where it crosses an edge.

    A line that only touches an edge in a point leaves nothing.
    """
    low, high = window.low - _SLACK, window.high + _SLACK
    inside = np.all((points >= low) & (points <= high), axis=1)
    if inside.all():
        return [points] if len(points) > 1 else []
    a, d = points[:-1], np.diff(points, axis=0)
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
        return []
    # A part goes on while a segment is left at its end and the next one entered at its start.
    breaks = np.flatnonzero((np.diff(kept) > 1) | (leave[kept[:-1]] < 1.0) | (enter[kept[1:]] > 0.0)) + 1
    parts: list[Floats] = []
    for run in np.split(kept, breaks):
        first, last = run[0], run[-1]
        start = a[first] + enter[first] * d[first]
        end = points[last + 1] if leave[last] >= 1.0 else a[last] + leave[last] * d[last]
        part = np.vstack([start, points[first + 1 : last + 1], end]).clip(window.low, window.high)
        if np.ptp(part, axis=0).max() > 4 * _SLACK:
            parts.append(part)
    return parts


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
    inside = depth >= -_SLACK
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
