"""What lines keep clear of, or within: outlines, lines and points of the same rule, met on the wall."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.clusters import in_runs
from motif.laying.limits import check_discs, check_near
from motif.laying.piece import Floats, Ints
from motif.wall import Wall
from motif.wall.compass import set_off
from motif.wall.near import near_distance

Bools = NDArray[np.bool_]

#: spacing of the samples along an obstacle, mm; between them its distance is taken for quadratic
SAMPLE = 0.25
#: a turn from sample to sample above this is a corner, radians
_CORNER = 0.3
#: what is just at the distance asked for stays: a parallel at that distance touches, and is not cut, mm
_AT_THE_DISTANCE = 1e-4
#: corners of the discs that cover an obstacle's neighbourhood
_DISC = 96
#: so much may be lacking between two of the discs, mm
_SHORT = 0.005

#: no more pairs of a place and a sample that may be in its reach than this are held at once
_PAIRS = 400_000
#: samples are counted in so many parts round the pot, and as many up the wall
_PARTS = 128


@record
class Shape:
    """A line, outline or point: (k, 2) angle and tape, k ≥ 1, samples at most ``SAMPLE`` apart; a closed one
    does not repeat its first point."""

    points: Floats
    closed: bool


class Obstacles:
    """Shapes on a wall, looked up by place."""

    def __init__(self, wall: Wall, shapes: Sequence[Shape]) -> None:
        import shapely

        self._wall = wall
        self._shapely = shapely
        self._looked_at, self._covered = 0, 0
        sizes = np.array([len(s.points) for s in shapes], dtype=np.int64)
        points = np.concatenate([s.points for s in shapes]) if len(shapes) else np.zeros((0, 2))
        self.shape = np.repeat(np.arange(len(shapes)), sizes)
        first = np.repeat(np.cumsum(sizes) - sizes, sizes)
        last = first + np.repeat(sizes, sizes) - 1
        here = np.arange(len(points))
        closed = np.repeat(np.array([s.closed for s in shapes], dtype=np.bool_), sizes)
        self._before = np.where(here > first, here - 1, np.where(closed, last, here))
        self._after = np.where(here < last, here + 1, np.where(closed, first, here))
        end = (self._before == here) | (self._after == here)
        self._beside_end = end | end[self._before] | end[self._after]
        self._points, self._radius = points, wall.radius(points[:, 1])
        back, on = (points[k] - points for k in (self._before, self._after))
        for step in (back, on):  # a closed line all round ends a turn from where it begins
            step[:, 0] -= 2 * np.pi * np.round(step[:, 0] / (2 * np.pi))
            step[:, 0] *= self._radius
        self._chords = np.sum(back**2, axis=1), np.sum(on**2, axis=1)
        straight = -np.sum(back * on, axis=1) > np.cos(_CORNER) * np.sqrt(self._chords[0] * self._chords[1])
        self._corner = ~end & ~straight & (self._chords[0] > 0) & (self._chords[1] > 0)
        self._levels, self._level = np.unique(np.round(points[:, 1], 9), return_inverse=True)
        self._kept: dict[float, tuple[Bools, Floats]] = {}
        turned = np.mod(points[:, 0], 2 * np.pi)
        self._tree = shapely.STRtree(shapely.points(turned, points[:, 1]))
        self._counts = _Counts.of(turned, points[:, 1])
        # An outline may run on past the starting mark: its middle is brought into the first turn.
        self._rings = [_first_turn(s.points) for s in shapes if s.closed and len(s.points) > 2]
        self._insides = [area_of(ring) for ring in self._rings]
        self._inside_tree = shapely.STRtree(self._insides)
        self._inside_bounds = shapely.total_bounds(self._insides) if self._insides else np.zeros(4)

    def clearance(self, angle: Floats, tape: Floats, by: Floats, own: Ints | None = None) -> Floats:
        """How much farther than ``by`` (n,) mm places lie from the nearest obstacle, no more than 1 mm being
        told; inside a closed one −``by``. ``own`` looks at one shape each, without its inside."""
        free = np.full(len(angle), 1.0)
        if not len(self._points) or not len(angle):
            return free
        reach = by + SAMPLE
        radius = np.maximum(np.minimum(self._wall.radius(tape - reach), self._wall.radius(tape + reach)), 1e-3)
        across = np.minimum(reach / radius * 1.05, np.pi)
        here = np.mod(angle, 2 * np.pi)
        for some in in_runs(self._counts.most(here, across, tape, reach), _PAIRS):
            mine = None if own is None else own[some]
            free[some] = self._clearance(here[some], tape[some], by[some], mine, reach[some], across[some])
        return free

    def _clearance(
        self, here: Floats, tape: Floats, by: Floats, own: Ints | None, reach: Floats, across: Floats
    ) -> Floats:
        """``clearance`` of places at angles 0 … 2π, from samples no farther than ``reach`` mm up or down the wall and
        ``across`` round it."""
        free = np.full(len(here), 1.0)
        queries, found = [], []
        for turn in (-2 * np.pi, 0.0, 2 * np.pi):
            meets = np.flatnonzero((here + turn + across >= 0) & (here + turn - across <= 2 * np.pi))
            boxes = self._shapely.box(
                here[meets] + turn - across[meets],
                tape[meets] - reach[meets],
                here[meets] + turn + across[meets],
                tape[meets] + reach[meets],
            )
            q, p = self._tree.query(boxes)
            queries.append(meets[q])
            found.append(p)
        q, p = np.concatenate(queries), np.concatenate(found)
        if own is not None:
            mine = self.shape[p] == own[q]
            q, p = q[mine], p[mine]
        self._looked_at += len(q)
        check_near(self._looked_at)
        if len(q):
            q, p = self._nearest(here, tape, q, p)
            np.minimum.at(free, q, self._distance(here[q], tape[q], p) - by[q])
        if own is None and self._insides:
            west, low, east, high = self._inside_bounds
            level = (tape >= low) & (tape <= high)
            for turn in (-2 * np.pi, 0.0, 2 * np.pi):
                some = np.flatnonzero(level & (here + turn >= west) & (here + turn <= east))
                within = self._shapely.points(here[some] + turn, tape[some])
                inside = some[self._inside_tree.query(within, predicate="within")[0]]
                free[inside] = -by[inside]
        return free

    def around(self, area: Any, by: float, scale: float) -> Any:
        """What of an area lies within ``by`` mm of the obstacles, and more about it, both as shapely geometries in
        angle × ``scale`` and tape: discs set off about their samples, and closed ones' insides.

        Between discs, which stand on every corner and end, the cover falls short by no more than ``_SHORT``."""
        if area.is_empty:
            return area
        west, low, east, high = np.array(area.bounds) / [scale, 1.0, scale, 1.0]
        self._shapely.prepare(area)
        reach = by / max(float(np.min(self._wall.radius(np.linspace(low - by, high + by, 9)))), 1e-3) * 1.05
        apart = max(int(np.sqrt(8 * by * _SHORT) / SAMPLE), 1)
        chosen = self._beside_end | self._corner | (np.arange(len(self._points)) % apart == 0)
        chosen &= (self._points[:, 1] > low - by) & (self._points[:, 1] < high + by)
        some = np.flatnonzero(chosen)
        found: list[Any] = []
        for shift in turns_between(self._points[some, 0], west - reach, east + reach):
            angle = self._points[some, 0] + shift
            near = (angle > west - reach) & (angle < east + reach)
            self._covered += int(np.count_nonzero(near))
            check_discs(self._covered)
            discs = self._discs(some[near], by).copy()
            discs[:, :, 0] += angle[near][:, None]
            polygons = self._shapely.polygons(discs * [scale, 1.0])
            sound = self._shapely.is_valid(polygons)
            polygons[~sound] = self._shapely.make_valid(polygons[~sound])
            found.extend(polygons[self._shapely.intersects(area, polygons)])
        for ring in self._rings:
            found.extend(
                area_of((ring + [shift, 0.0]) * [scale, 1.0]) for shift in turns_between(ring[:, 0], west, east)
            )
        return self._shapely.union_all(found)

    def _discs(self, sample: Ints, by: float) -> Floats:
        """Discs (n, _DISC, 2) about samples, angle from the sample's; worked out once for all samples at a tape."""
        if by not in self._kept:
            count = len(self._levels)
            self._kept[by] = np.zeros(count, dtype=np.bool_), np.empty((count, _DISC, 2))
        known, discs = self._kept[by]
        level = self._level[sample]
        asked = np.zeros_like(known)
        asked[level] = True
        missing = np.flatnonzero(asked & ~known)
        turn = 2 * np.pi * np.arange(_DISC) / _DISC
        discs[missing] = np.stack(set_off(self._wall, 0.0, self._levels[missing][:, None], turn, by), axis=2)
        known[missing] = True
        return discs[level]

    def _nearest(self, angle: Floats, tape: Floats, query: Ints, sample: Ints) -> tuple[Ints, Ints]:
        """Of the pairs of places and samples near them, those of which one may give the least distance: no farther
        than the nearest by more than a sample's step, and nearer than both neighbours or beside an end."""
        radius = self._wall.radius(tape)
        about = self._about(angle[query], tape[query], radius[query], sample)
        least = np.full(len(angle), np.inf)
        np.minimum.at(least, query, about)
        far = (least + SAMPLE) * (1 + np.minimum(8 * (least + SAMPLE) ** 2 / np.maximum(radius, 1e-3) ** 2, 1.0))
        kept = about <= far[query]
        query, sample, about = query[kept], sample[kept], about[kept]
        here = angle[query], tape[query], radius[query]
        kept = self._beside_end[sample]
        kept |= (about <= 1.01 * self._about(*here, self._before[sample])) & (
            about <= 1.01 * self._about(*here, self._after[sample])
        )
        return query[kept], sample[kept]

    def _about(self, angle: Floats, tape: Floats, radius: Floats, sample: Ints) -> Floats:
        """√(Δs² + r₀ r₁ Δθ²), the distance but for a part of it of the order of its square over r²."""
        there = self._points[sample]
        turn = angle - there[:, 0]
        turn -= 2 * np.pi * np.round(turn / (2 * np.pi))
        return np.asarray(np.sqrt((tape - there[:, 1]) ** 2 + self._radius[sample] * radius * turn * turn))

    def _distance(self, angle: Floats, tape: Floats, sample: Ints) -> Floats:
        """Distance to the curve near a sample: the least of the parabola through the squares of the distances
        to the sample and its neighbours, where it has its least between them; at a corner, to the nearer of the
        chords to the neighbours."""
        d = [
            near_distance(self._wall, angle, tape, *self._points[k].T) ** 2
            for k in (self._before[sample], sample, self._after[sample])
        ]
        bend = d[0] - 2 * d[1] + d[2]
        lean = (d[2] - d[0]) / 2
        whole = (self._before[sample] != sample) & (self._after[sample] != sample) & (bend > 0)
        t = np.where(whole, np.clip(-lean / np.where(whole, bend, 1.0), -1, 1), 0.0)
        square = d[1] + t * lean + t * t * bend / 2
        at = np.flatnonzero(self._corner[sample])
        least = np.full(len(at), np.inf)
        for aside, chord in zip((d[0], d[2]), self._chords, strict=True):
            # Along a chord of length c the square is d₁² − t (d₁² + c² − d²) + t² c².
            c2, middle = chord[sample[at]], d[1][at]
            toward = (middle + c2 - aside[at]) / 2
            nearest = middle - np.clip(toward, 0.0, c2) * (2 * toward - np.clip(toward, 0.0, c2)) / c2
            least = np.minimum(least, nearest)
        square[at] = least
        return np.sqrt(np.maximum(square, 0.0))


@record
class _Counts:
    """How many samples lie in each of ``_PARTS`` × ``_PARTS`` parts of the wall, summed from the lowest part and from
    a turn before the first, over three turns: (3 · _PARTS + 1, _PARTS + 1)."""

    low: float
    part: float
    summed: Ints

    @classmethod
    def of(cls, angle: Floats, tape: Floats) -> _Counts:
        low, high = (float(tape.min()), float(tape.max())) if len(tape) else (0.0, 0.0)
        part = max(high - low, 1e-6) / _PARTS
        column, row = np.floor(angle / (2 * np.pi) * _PARTS), np.floor((tape - low) / part)
        which = np.clip(column, 0, _PARTS - 1) * _PARTS + np.clip(row, 0, _PARTS - 1)
        counts = np.bincount(which.astype(np.int64), minlength=_PARTS * _PARTS).reshape(_PARTS, _PARTS)
        summed = np.zeros((3 * _PARTS + 1, _PARTS + 1), dtype=np.int64)
        summed[1:, 1:] = np.tile(counts, (3, 1)).cumsum(axis=0).cumsum(axis=1)
        return cls(low, part, summed)

    def most(self, angle: Floats, across: Floats, tape: Floats, reach: Floats) -> Ints:
        """No fewer than the samples within ``across`` ≤ π of angles 0 … 2π and within ``reach`` of tapes."""
        each = _PARTS / (2 * np.pi)
        west, east = np.floor((angle - across) * each) + _PARTS, np.floor((angle + across) * each) + _PARTS
        foot, top = np.floor((tape - reach - self.low) / self.part), np.floor((tape + reach - self.low) / self.part)
        # A part to spare on every side, for samples that rounding put into the next; what is nowhere counts none.
        i, j = (np.nan_to_num(np.clip(x, 0, 3 * _PARTS)).astype(np.int64) for x in (west - 1, east + 2))
        k, m = (np.nan_to_num(np.clip(x, 0, _PARTS)).astype(np.int64) for x in (foot - 1, top + 2))
        return np.asarray(self.summed[j, m] - self.summed[i, m] - self.summed[j, k] + self.summed[i, k])


def finely(wall: Wall, points: Floats) -> Floats:
    """A closed polygon (k, 2), not repeating its first point, with corners no farther apart than ``SAMPLE``."""
    step = np.roll(points, -1, axis=0) - points
    long = np.hypot(wall.radius(points[:, 1]) * step[:, 0], step[:, 1])
    parts = np.maximum(1, np.ceil(long / SAMPLE)).astype(np.int64)
    index = np.repeat(np.arange(len(points)), parts)
    share = (np.arange(len(index)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[index]
    return points[index] + step[index] * share[:, None]


def area_of(ring: Floats) -> Any:
    """What a closed polygon (k, 2) encloses, as a valid shapely geometry, though it cross itself."""
    import shapely

    if len(ring) < 3:
        return shapely.Polygon()
    polygon = shapely.Polygon(ring)
    return polygon if polygon.is_valid else shapely.make_valid(polygon)


def _first_turn(points: Floats) -> Floats:
    return points - [2 * np.pi * np.floor(points[:, 0].mean() / (2 * np.pi)), 0.0]


def turns_between(angle: Floats, west: float, east: float) -> Floats:
    """Whole turns that bring some of the angles to where they may lie between west and east."""
    if not len(angle):
        return np.zeros(0)
    first, last = np.ceil((west - angle.max()) / (2 * np.pi)), np.floor((east - angle.min()) / (2 * np.pi))
    return np.asarray(2 * np.pi * np.arange(first, last + 1))


@record
class Within:
    """Polygons (k, 2), angle and tape, one for each of n entries: what lies inside its own stays."""

    polygons: tuple[Floats, ...]

    def inside(self, entry: Ints, angle: Floats, tape: Floats) -> Bools:
        import shapely

        distinct, which = np.unique(entry, return_inverse=True)
        shapes = np.array([area_of(self.polygons[int(i)]) for i in distinct])
        shapely.prepare(shapes)
        middle = np.array([self.polygons[int(i)][:, 0].mean() for i in distinct])[which]
        near = angle - 2 * np.pi * np.round((angle - middle) / (2 * np.pi))
        return np.asarray(shapely.intersects_xy(shapes[which], near, tape))


@record
class Trim:
    """What is left of the marks of one line of the text: clear of obstacles by ``by`` (n,), and within outlines."""

    clears: tuple[tuple[Obstacles, Floats], ...]
    withins: tuple[Within, ...]

    def room(self, entry: Ints, angle: Floats, tape: Floats) -> Floats:
        """How far, in mm, places lie on the side that stays, as far as is told: above 0 if they do; ``entry`` numbers
        the mark or line each belongs to."""
        room = np.ones(len(entry))
        for obstacles, by in self.clears:
            room = np.minimum(room, obstacles.clearance(angle, tape, by[entry]) + _AT_THE_DISTANCE)
        for within in self.withins:
            room = np.where(within.inside(entry, angle, tape), room, -1.0)
        return room

    def left_of(self, area: Any, entry: int, scale: float) -> Any:
        """What is left of an area (a shapely geometry in angle × ``scale`` and tape) of one entry."""
        west, _, east, _ = area.bounds
        for obstacles, by in self.clears:
            area = area.difference(obstacles.around(area, float(by[entry]), scale))
        for within in self.withins:
            outline = within.polygons[entry]
            for shift in turns_between(outline[:, 0], west / scale, east / scale):
                area = area.intersection(area_of((outline + [shift, 0.0]) * [scale, 1.0]))
        return area
