"""Where paper that goes round the pot is cut from edge to edge, so that the pattern is not."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.drawn import mark_reach
from motif.outputs.once import once

Floats = NDArray[np.float64]

#: A cut that takes less than this off a mark or a shape (mm) goes past it; marks smaller than that may be cut before
#: others, since the prick in their middle is enough to make them by.
GRAZES, SMALL = 0.5, 5.0
#: Gaps between marks are told from touching ones by this (radians).
_SAME = 1e-9
#: The ends of verticals, and half-way between two: where a potter finds a cut without measuring.
_ON_VERTICAL, _HALF_WAY, _ANYWHERE = 0, 1, 2


@record
class _Arcs:
    """Stretches of angle, some of them across the starting mark: from ``starts`` to ``ends`` (n,), each rising for
    itself, so that they no longer belong together."""

    starts: Floats
    ends: Floats

    @classmethod
    def of(cls, spans: Floats) -> _Arcs:
        """``spans`` (n, 2), each less than a turn, over three turns."""
        starts = spans[:, 0] % math.tau
        ends = starts + (spans[:, 1] - spans[:, 0])
        turns = math.tau * np.array([-1.0, 0.0, 1.0])[:, None]
        return cls(np.sort((starts + turns).ravel()), np.sort((ends + turns).ravel()))

    def over(self, angles: Floats) -> NDArray[np.int64]:
        """How many lie over each of ``angles`` (k,), their ends not counted."""
        turned = angles % math.tau
        return np.searchsorted(self.starts, turned, "left") - np.searchsorted(self.ends, turned, "right")


@record
class Openings:
    """Where the wall between two tapes may be cut: places (n,) of angle, radians, and what a cut at each would
    cost, column by column of ``costs`` (n, 4): marks cut through, shapes cut through, small marks cut through, and how
    hard it is to find."""

    places: Floats
    costs: Floats

    @classmethod
    def of(cls, piece: LaidPiece, low: float, high: float) -> Openings:
        """Of the wall from tape ``low`` to ``high`` (mm)."""
        marks, small = _marks(piece, low, high)
        shapes = _shapes(piece, low, high)
        verticals, middles = _verticals(piece, low, high)
        gaps = _gap_middles(np.vstack([marks, shapes, small]))
        places = np.concatenate([verticals, middles, gaps])
        if not len(places):
            places = np.zeros(1)
        kinds = np.repeat([_ON_VERTICAL, _HALF_WAY, _ANYWHERE], [len(verticals), len(middles), len(gaps)])
        if not len(kinds):
            kinds = np.array([_ANYWHERE])
        cut = [_Arcs.of(spans).over(places) for spans in (marks, shapes, small)]
        return cls(places, np.column_stack([*cut, kinds]).astype(np.float64))

    def best(self, near: float, within: float = math.pi) -> float:
        """The best place no farther than ``within`` radians from ``near``, as an angle beside it; of equally good ones
        the nearest, and of these the one to the left. ``near`` itself where there is none."""
        off = np.remainder(self.places - near + math.pi, math.tau) - math.pi
        inside = np.flatnonzero(np.abs(off) <= within + _SAME)
        if not len(inside):
            return near
        keys = (np.round(off[inside], 9), np.round(np.abs(off[inside]), 9), *self.costs[inside].T[::-1])
        return near + float(off[inside[np.lexsort(keys)[0]]])


def _marks(piece: LaidPiece, low: float, high: float) -> tuple[Floats, Floats]:
    """How far marks between two tapes reach round the pot: (n, 2) of large ones, (k, 2) of small ones."""
    large: list[Floats] = [np.empty((0, 2))]
    small: list[Floats] = [np.empty((0, 2))]
    for band in piece.bands:
        p = band.points
        if not len(p):
            continue
        half, lows, highs = mark_reach(p, piece.form.wall)
        here = np.flatnonzero((highs > low + GRAZES) & (lows < high - GRAZES) & (half < math.pi))
        spared = np.maximum(half[here] - GRAZES / np.maximum(p.radius[here], GRAZES), 0.0)
        spans = np.column_stack([p.angle[here] - spared, p.angle[here] + spared])
        is_small = np.maximum(2 * half[here] * p.radius[here], (highs - lows)[here]) < SMALL
        large.append(spans[~is_small])
        small.append(spans[is_small])
    return np.vstack(large), np.vstack(small)


def _shapes(piece: LaidPiece, low: float, high: float) -> Floats:
    """How far closed outlines reach round the pot, those that go all round left out: (n, 2)."""
    left, below, right, above = _outlines(piece).T
    here = (above > low + GRAZES) & (below < high - GRAZES) & (right - left < math.tau - _SAME)
    left, below, right, above = (side[here] for side in (left, below, right, above))
    radius = piece.form.wall.radius((below + above) / 2)
    spared = np.minimum(GRAZES / np.maximum(radius, GRAZES), (right - left) / 2)
    return np.column_stack([left + spared, right - spared])


@once  # every cone of a run asks
def _outlines(piece: LaidPiece) -> Floats:
    """The boxes of all closed outlines, (n, 4): angle and tape where each begins, and where it ends."""
    every = (path for paths in (*(band.paths for band in piece.bands), piece.paths) for path in paths)
    closed = [path.points for path in every if path.closed or path.worked_over]
    if not closed:
        return np.empty((0, 4))
    starts = np.concatenate([[0], np.cumsum([len(points) for points in closed])[:-1]])
    points = np.concatenate(closed)
    return np.column_stack([np.minimum.reduceat(points, starts), np.maximum.reduceat(points, starts)])


def _verticals(piece: LaidPiece, low: float, high: float) -> tuple[Floats, Floats]:
    """The verticals of the bands between two tapes, of all bands where there is none, and the middles between."""
    divided = [band for band in piece.bands if len(band.verticals)]
    here = [b for b in divided if max(b.from_tape, b.to_tape) > low and min(b.from_tape, b.to_tape) < high] or divided
    verticals = [np.empty(0)]
    middles = [np.empty(0)]
    for band in here:
        turned = band.verticals[0] + (band.verticals - band.verticals[0]) % math.tau
        verticals.append(turned)
        middles.append((turned + np.append(turned[1:], turned[0] + math.tau)) / 2)
    return np.concatenate(verticals), np.concatenate(middles)


def _gap_middles(spans: Floats) -> Floats:
    """The middles of what lies free between ``spans`` (n, 2) of angle."""
    if not len(spans):
        return np.empty(0)
    starts = spans[:, 0] % math.tau
    ends = starts + spans[:, 1] - spans[:, 0]
    order = np.argsort(starts, kind="stable")
    starts, ends = starts[order], ends[order]
    reach = np.maximum.accumulate(np.maximum(ends, ends.max() - math.tau))
    before, after = reach, np.append(starts[1:], starts[0] + math.tau)
    free = after - before > _SAME
    return (before[free] + after[free]) / 2
