"""What of a wall is put on paper, and where cones are cut so that the pattern is not."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.drawn import mark_reach
from motif.outputs.openings import GRAZES, SMALL
from motif.wall import Wall, cone_misfit, fewest_cones
from motif.wall.rings import filled

Floats = NDArray[np.float64]

#: Plain wall of this much tape (mm) between two parts that are worked gets no paper.
_NO_PAPER = 20.0
#: Paper lower than this (mm of tape) is a strip that does not hold its place on the pot.
LOWEST_SHEET = 8.0
#: Places in the free clay between marks are at most this far apart (mm).
_APART = 1.0
#: Tapes nearer than this are one (mm).
_SAME = 1e-6


def worked_stretches(piece: LaidPiece) -> list[tuple[float, float]]:
    """The stretches of tape (mm) that bands, lines and marks take, from the foot up; whole marks, also
    where they stand out beyond their band, as far as there is wall.

    Stretches with less plain wall between them than a sheet is worth are one; each is high enough for a sheet
    where the wall is. The whole wall where nothing is made on it."""
    length = float(piece.form.wall.length)
    spans = [(max(low, 0.0), min(high, length)) for low, high in _spans(piece)]
    # So far apart, none that grows to the height of a sheet meets the next.
    stretches = [_high_enough(low, high, length) for low, high in _merged(spans, _NO_PAPER)]
    return stretches or [(0.0, length)]


def _spans(piece: LaidPiece) -> Iterator[tuple[float, float]]:
    for band in piece.bands:
        low, high = sorted((band.from_tape, band.to_tape))
        if len(band.points):
            _, lows, highs = mark_reach(band.points, piece.form.wall)
            low, high = min(low, float(lows.min())), max(high, float(highs.max()))
        yield low, high
    for line in piece.lines:
        yield line.tape, line.tape
    for path in piece.paths:
        ring = filled(path.points, piece.form.wall) if path.worked_over else path.points
        yield float(ring[:, 1].min()), float(ring[:, 1].max())


def _high_enough(low: float, high: float, length: float) -> tuple[float, float]:
    """The stretch, grown to both sides to the height of a sheet, as far as the wall goes."""
    least = min(LOWEST_SHEET, length)
    lacking = least - (high - low)
    if lacking <= 0:
        return low, high
    low = min(max(low - lacking / 2, 0.0), length - least)
    return low, low + least


def cone_cuts(piece: LaidPiece, low: float, high: float, bound: float) -> tuple[float, ...] | None:
    """Tapes ``low`` … ``high`` that cut a stretch into the fewest cones of misfit at most ``bound`` mm.

    Of the many ways to cut that number, one that leaves no strip lower than ``LOWEST_SHEET`` if there is one,
    then one that cuts through marks least, then one that follows rings, corners of the wall and plain clay,
    and of those the one nearest the cuts with the least largest misfit. A strip that is left at an end, as where
    a band ends just past a corner of the wall, goes on over plain clay. None if no reasonable number of cones would
    do."""
    cuts = fewest_cones(piece.form.wall, low, high, bound)
    if cuts is None or len(cuts) < 3:
        return cuts
    worth = _Worth.of(piece, low, high)
    ways = [_Way((low,))]
    for before, own, after in zip(cuts, cuts[1:], cuts[2:], strict=False):
        ways = _onward(ways, [*worth.between(before, after), (own, worth.of_cut(own))], own, piece.form.wall, bound)
    (best,) = _onward(ways, [(high, 0.0)], high, piece.form.wall, bound)
    return _held(piece.form.wall, best.cuts, bound)


def _held(wall: Wall, cuts: tuple[float, ...], bound: float) -> tuple[float, ...]:
    """The cuts with the first and the last sheet made as high as a sheet should be, where wall and bound allow."""
    low = max(min(cuts[0], cuts[1] - LOWEST_SHEET), 0.0)
    if low < cuts[0] and cone_misfit(wall, low, cuts[1]) <= bound:
        cuts = (low, *cuts[1:])
    high = min(max(cuts[-1], cuts[-2] + LOWEST_SHEET), float(wall.length))
    if high > cuts[-1] and cone_misfit(wall, cuts[-2], high) <= bound:
        cuts = (*cuts[:-1], high)
    return cuts


@record
class _Way:
    """Cuts from the low end up: how many strips they leave, what they cost, and how far they lie in all from
    those with the least misfit (mm)."""

    cuts: tuple[float, ...]
    strips: int = 0
    cost: float = 0.0
    off: float = 0.0

    def rank(self, tape: float) -> tuple[float, ...]:
        """What the way is worth when the next cut is at ``tape``: the less, the better."""
        return (self.strips + (tape - self.cuts[-1] < LOWEST_SHEET - _SAME), self.cost, self.off, *self.cuts)


def _onward(
    ways: Sequence[_Way], places: Sequence[tuple[float, float]], own: float, wall: Wall, bound: float
) -> list[_Way]:
    """The best way to each of the next ``places`` (tape, cost) to which any of ``ways`` leads within the bound.

    ``ways`` end at rising tapes, and so does what is returned. A way's rank does not hang on what comes
    after, so the best to every place is enough (Bellman). A shorter sheet nearly always has the smaller misfit, so
    of the ways that end below a place those from some first one on reach it, and the first one rises with the
    place; where a wall bends to and fro that may not hold, and then the others are tried, too."""
    result: list[_Way] = []
    first = 0
    for tape, cost in sorted(set(places)):
        while first < len(ways) and cone_misfit(wall, ways[first].cuts[-1], tape) > bound:
            first += 1
        likely, others = (
            sorted((way for way in part if tape - way.cuts[-1] > _SAME), key=lambda way: way.rank(tape))
            for part in (ways[first:], ways[:first])
        )
        best = next((way for way in (*likely, *others) if cone_misfit(wall, way.cuts[-1], tape) <= bound), None)
        if best is not None:
            strips = int(best.rank(tape)[0])
            result.append(_Way((*best.cuts, tape), strips, best.cost + cost, best.off + abs(tape - own)))
    return result


#: What a cut costs: along a ring, a corner of the wall or plain clay; between marks, or just beside
#: them; anywhere else; and through marks on top of that.
_ALONG, _BETWEEN, _BESIDE, _ANYWHERE, _THROUGH = 0.0, 1.0, 1.5, 2.0, 4.0


@record
class _Worth:
    """Where a stretch is best cut: ``places`` (n,) of tape, rising, and the cost of a cut at each.

    ``lows`` and ``highs`` are how far marks of some size reach, every reach once."""

    places: Floats
    costs: Floats
    lows: Floats
    highs: Floats

    @classmethod
    def of(cls, piece: LaidPiece, low: float, high: float) -> _Worth:
        reaches = [mark_reach(band.points, piece.form.wall)[1:] for band in piece.bands if len(band.points)]
        marks = [(low, high) for lows, highs in reaches for low, high in _distinct(lows, highs) if high - low >= SMALL]
        lows, highs = np.array(marks).reshape(-1, 2).T
        bands = _merged((min(b.from_tape, b.to_tape), max(b.from_tape, b.to_tape)) for b in piece.bands)
        along = [float(t) for band in piece.bands for t in band.rings.tape]
        along += [float(c) for c in piece.form.wall.corners]
        along += [(below[1] + above[0]) / 2 for below, above in pairwise(bands)]
        free = _merged((lo + GRAZES, hi - GRAZES) for lo, hi in marks)
        costs: dict[float, float] = {}
        for (_, below), (above, _) in pairwise(free):
            start, end = below + GRAZES, above - GRAZES
            steps = max(2, math.ceil((end - start) / _APART))
            costs |= dict.fromkeys((start, end), _BESIDE)
            costs |= dict.fromkeys(np.linspace(start, end, steps + 1)[1:-1].tolist(), _BETWEEN)
        costs |= dict.fromkeys(along, _ALONG)
        places = sorted(tape for tape in costs if low + _SAME < tape < high - _SAME)
        through = [_THROUGH * _goes_through(lows, highs, tape) for tape in places]
        own = [costs[tape] for tape in places]
        return cls(np.array(places), np.array(own) + np.array(through), lows, highs)

    def between(self, low: float, high: float) -> list[tuple[float, float]]:
        """The places between ``low`` and ``high``, with what a cut there costs."""
        inside = (self.places > low) & (self.places < high)
        return list(zip(self.places[inside].tolist(), self.costs[inside].tolist(), strict=True))

    def of_cut(self, tape: float) -> float:
        """What a cut costs where no place speaks for it."""
        return _ANYWHERE + _THROUGH * _goes_through(self.lows, self.highs, tape)


def _distinct(lows: Floats, highs: Floats) -> list[tuple[float, float]]:
    """Every reach once, to a hundredth of a millimetre: marks are many, their levels few."""
    return [(low, high) for low, high in np.unique(np.round(np.column_stack([lows, highs]), 2), axis=0).tolist()]


def _goes_through(lows: Floats, highs: Floats, tape: float) -> bool:
    return bool(np.any((lows + GRAZES < tape) & (tape < highs - GRAZES)))


def _merged(spans: Iterable[tuple[float, float]], apart: float = 0.0) -> list[tuple[float, float]]:
    """The spans in rising order, those less than ``apart`` (or nothing) from one another as one."""
    result: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if result and low - result[-1][1] <= apart:
            result[-1] = (result[-1][0], max(high, result[-1][1]))
        else:
            result.append((low, high))
    return result
