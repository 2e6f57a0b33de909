"""Cutting lines and areas of a wall at the edge of what is seen of it.

The region is an area of (angle, tape) of any shape that comes again every turn. Lines are cut segment by
segment, so that one that crosses itself stays one line; shapely finds where a segment meets the edge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from motif.wall.visible import Visible

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

_TURN = 2 * math.pi
#: Parts of a line shorter than this part of a segment are rounding.
_SLIVER = 1e-7
#: Ends this near, radians and mm, are one place.
_MEETS = 1e-9
#: Lines farther round than this, radians, go round and round.
_LONG = 2 * _TURN
#: Parts of an area below this, radians × mm, are slivers.
_SPECK = 1e-7


class CutLine(NamedTuple):
    """A line's parts inside the region and outside, in order along it; each (k, 2), angle and tape."""

    inside: tuple[Floats, ...]
    outside: tuple[Floats, ...]


class CutArea(NamedTuple):
    """What of an area is inside the region, as rings (k, 2) not closed on themselves, holes among them."""

    rings: tuple[Floats, ...]
    whole: bool


class SeenRegion:
    """What is seen of a wall when the angle ``facing`` (radians) faces the viewer."""

    def __init__(self, visible: Visible, facing: float) -> None:
        self._visible = visible
        self._facing = facing
        self._areas: dict[int, Any] = {}

    def lines(self, lines: Sequence[Floats]) -> list[CutLine]:
        """Every line, (k, 2) angle and tape, cut."""
        if not lines:
            return []
        starts = np.cumsum([0, *(len(line) for line in lines)])
        every = np.concatenate(lines)
        points, turns = self._home(every, starts)
        low, high = (f.reduceat(every[:, 0], starts[:-1]) for f in (np.minimum, np.maximum))
        # Lines that go round and round are looked at segment by segment only.
        long = high - low > _LONG
        short = np.flatnonzero(~long)
        area = self._area(int(turns[short].max(initial=1)))
        drawn = shapely.linestrings(points, indices=np.repeat(np.arange(len(lines)), np.diff(starts)))
        whole, partly = np.zeros(len(lines), dtype=bool), long.copy()
        whole[short] = shapely.covers(area, drawn[short])
        partly[short] = ~whole[short] & shapely.intersects(area, drawn[short])
        cut = np.flatnonzero(partly).tolist()
        spans = iter(self._spans([points[starts[k] : starts[k + 1]] for k in cut]))
        result = []
        for k, (begin, end) in enumerate(pairwise(starts.tolist())):
            line = points[begin:end]
            if partly[k]:
                result.append(_cut(line, next(spans)))
            else:
                result.append(CutLine((line,), ()) if whole[k] else CutLine((), (line,)))
        return result

    def areas(self, areas: Sequence[Sequence[Floats]]) -> list[CutArea]:
        """Every area, given as its outer ring and its holes, each (k, 2) and not closed on itself, cut."""
        if not areas:
            return []
        rings = [ring for area in areas for ring in area]
        starts = np.cumsum([0, *(len(ring) for ring in rings)])
        owner = np.repeat(np.arange(len(areas)), [len(area) for area in areas])
        # Holes are turned with the ring they lie in.
        bounds = starts[np.concatenate(([0], np.cumsum([len(area) for area in areas])))]
        points, turns = self._home(np.concatenate(rings), bounds)
        seen = self._area(int(turns.max(initial=1)))
        closed = shapely.linearrings(points, indices=np.repeat(np.arange(len(rings)), np.diff(starts)))
        drawn = shapely.polygons(closed, indices=owner)
        bad = ~shapely.is_valid(drawn)
        drawn[bad] = shapely.make_valid(drawn[bad])
        whole = shapely.covers(seen, drawn)
        partly = ~whole & shapely.intersects(seen, drawn)
        left = np.full(len(areas), None)
        left[partly] = shapely.intersection(drawn[partly], seen)
        of_area: list[list[Floats]] = [[] for _ in areas]
        for k, (begin, end) in zip(owner.tolist(), pairwise(starts.tolist()), strict=True):
            if whole[k]:
                of_area[k].append(points[begin:end])
        for k in np.flatnonzero(partly).tolist():
            for part in shapely.get_parts(left[k]):
                if part.geom_type == "Polygon" and part.area > _SPECK:
                    turned = shapely.geometry.polygon.orient(part)
                    of_area[k] += [np.asarray(r.coords)[:-1] for r in (turned.exterior, *turned.interiors)]
        return [CutArea(tuple(found), bool(all_of)) for found, all_of in zip(of_area, whole, strict=True)]

    def holds(self, points: Floats) -> Bools:
        """Which of the points (n, 2) are in the region or on its edge."""
        turned, _ = self._home(points, np.arange(len(points) + 1))
        return shapely.intersects_xy(self._area(1), turned)

    def _spans(self, lines: Sequence[Floats]) -> list[list[tuple[float, float]]]:
        """From where to where along each line, counted in segments, it is in the region; in order, and joined."""
        if not lines:
            return []
        starts = np.concatenate([line[:-1] for line in lines])
        ways = np.concatenate([line[1:] for line in lines]) - starts
        counts = [len(line) - 1 for line in lines]
        of = np.repeat(np.arange(len(lines)), counts)
        number = np.concatenate([np.arange(n) for n in counts])
        both = np.stack([starts, starts + ways], axis=1)
        turned, turns = self._home(both.reshape(-1, 2), 2 * np.arange(len(both) + 1))
        starts, both = turned[::2], turned.reshape(-1, 2, 2)
        area = self._area(int(turns.max(initial=1)))
        segments = shapely.linestrings(both)
        whole = shapely.covers(area, segments)
        partly = np.flatnonzero(~whole & shapely.intersects(area, segments))
        pieces, owner = shapely.get_parts(shapely.intersection(segments[partly], area), return_index=True)
        straight = shapely.get_type_id(pieces) == shapely.GeometryType.LINESTRING
        pieces, at = pieces[straight], partly[owner[straight]]
        ends = np.stack([shapely.get_coordinates(shapely.get_point(pieces, k)) for k in (0, -1)])
        places = ((ends - starts[at]) * ways[at]).sum(axis=2) / (ways[at] ** 2).sum(axis=1)
        begin = np.concatenate([number[whole], number[at] + places.min(axis=0)])
        end = np.concatenate([number[whole] + 1.0, number[at] + places.max(axis=0)])
        line = np.concatenate([of[whole], of[at]])
        result: list[list[tuple[float, float]]] = [[] for _ in lines]
        for k in np.lexsort((begin, line)).tolist():
            joined, low, high = result[line[k]], float(begin[k]), float(end[k])
            if joined and low - joined[-1][1] < _SLIVER:
                joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
            elif high - low > _SLIVER:
                joined.append((low, high))
        return result

    def _home(self, points: Floats, starts: Ints) -> tuple[Floats, Ints]:
        """The points with every run, from one of ``starts`` to the next, turned so that its least angle is
        within half a turn of ``facing``; and how many turns the region must have for each run."""
        if not len(points):
            return points, np.empty(0, dtype=np.int64)
        begins, counts = starts[:-1], np.diff(starts)
        low = np.minimum.reduceat(points[:, 0], begins)
        back = _TURN * np.floor((low - self._facing + math.pi) / _TURN)
        turned = points - np.column_stack([np.repeat(back, counts), np.zeros(len(points))])
        high = np.maximum.reduceat(turned[:, 0], begins)
        return turned, np.maximum(np.ceil((high - self._facing - math.pi) / _TURN), 1.0).astype(np.int64)

    def _area(self, turns: int) -> Any:
        """The region from one turn before ``facing`` to ``turns`` turns after, half a turn more on both sides."""
        if turns not in self._areas:
            low, high = self._facing - 3 * math.pi, self._facing + (2 * turns + 1) * math.pi
            parts = [shapely.box(low, begin, high, end) for begin, end in self._visible.belts]
            for ring in self._visible.patches:
                shifts = self._facing + _TURN * np.arange(-2, turns + 2)
                copies = np.stack([ring + [shift, 0.0] for shift in shifts.tolist()])
                sound = shapely.get_parts(shapely.make_valid(shapely.polygons(copies)))
                parts += [part for part in sound if part.geom_type == "Polygon"]  # no threads of collapsed ends
            whole = shapely.union_all(parts)
            shapely.prepare(whole)
            self._areas[turns] = whole
        return self._areas[turns]


def _cut(line: Floats, joined: list[tuple[float, float]]) -> CutLine:
    """One line, of which the ``joined`` spans are inside."""
    edges = [0.0, *(e for span in joined for e in span), len(line) - 1.0]
    inside = [_part(line, begin, end) for begin, end in joined]
    outside = [_part(line, a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > _SLIVER]
    # A closed line has no end where it begins; it may have gone round the pot.
    round_ = line[-1] - line[0]
    if abs(round_[1]) < _MEETS and abs(math.remainder(round_[0], _TURN)) < _MEETS:
        inside, outside = _joined(inside, line), _joined(outside, line)
    return CutLine(tuple(inside), tuple(outside))


def _joined(parts: list[Floats], line: Floats) -> list[Floats]:
    """The parts of a closed line, the last joined to the first where both lie at its beginning."""
    if len(parts) > 1 and np.array_equal(parts[0][0], line[0]) and np.array_equal(parts[-1][-1], line[-1]):
        return [np.concatenate([parts[-1] - (line[-1] - line[0]), parts[0][1:]]), *parts[1:-1]]
    return parts


def _part(line: Floats, begin: float, end: float) -> Floats:
    """The line from ``begin`` to ``end``, counted in segments."""
    inner = line[math.floor(begin) + 1 : math.ceil(end)]
    return np.concatenate([_at(line, begin)[None], inner, _at(line, end)[None]])


def _at(line: Floats, place: float) -> Floats:
    k = min(int(place), len(line) - 2)
    return line[k] if place == k else line[k + 1] if place == k + 1 else line[k] + (place - k) * (line[k + 1] - line[k])
