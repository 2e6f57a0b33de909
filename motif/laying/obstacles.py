"""What lines keep clear of, or within: outlines, lines and points of the same rule, met on the wall."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.limits import Limits
from motif.laying.nearby import Nearby, Windows
from motif.laying.piece import Floats, Ints
from motif.laying.planes import Plane, Unrolled, area_of, plane_for
from motif.wall import Wall
from motif.wall.compass import set_off
from motif.wall.near import Between
from motif.wall.rings import closed, end_within

Bools = NDArray[np.bool_]

#: spacing of the samples along an obstacle, mm; between them its distance is taken for quadratic
SAMPLE = 0.25
#: a turn from sample to sample above this is a corner, radians
_CORNER = 0.3
#: what is just at the distance asked for stays: a parallel at that distance touches, and is not cut, mm
_AT_THE_DISTANCE = 1e-4
#: lines are followed in steps of twice this about what they stay within, mm
_WITHIN = 0.27
#: corners of the discs that cover an obstacle's neighbourhood
_DISC = 96
#: so much may be lacking between two of the discs, mm
_SHORT = 0.005

#: where nothing lies as near as this beyond the distance asked for, mm, that is told; nearer is only looked within
#: ``SAMPLE`` of it
_TOLD = 1.0
#: so far a window reaches at first, mm; twice as far again and again, until something is found
_LOOK = 1.0
#: what is nearer or farther than the distance asked for by more than this, mm, samples not being the curve, is not
#: measured
_SURE = 0.05


@record
class Shape:
    """A line, outline or point: (k, 2) angle and tape, k ≥ 1, samples at most ``SAMPLE`` apart; a closed one
    does not repeat its first point."""

    points: Floats
    closed: bool


def distinct_shapes(shapes: Sequence[Shape]) -> dict[bytes, Shape]:
    """The shapes, each once, by what tells them apart, in order of that: closed or not, and places to 1e-8 radian and
    1e-6 mm, whole turns left out."""
    found: dict[bytes, Shape] = {}
    for s in shapes:
        turn = 2 * np.pi * np.floor((s.points[0, 0] + 1e-6) / (2 * np.pi))
        key = np.round((s.points - [turn, 0.0]) * [1e8, 1e6]).astype(np.int64).tobytes()
        found.setdefault(bytes([s.closed]) + key, s)
    return dict(sorted(found.items()))


@record
class _Near:
    """Places and, for each of them, samples not far off: the entry ``of`` of ``place`` that each of ``sample`` belongs
    to, increasing, and ``about`` how far it is, mm; ``least`` by place, endless where there is no sample."""

    place: Ints
    least: Floats
    of: Ints
    sample: Ints
    about: Floats

    def far(self, radius: Floats) -> Floats:
        """No sample farther than this from a place gives the least distance: than the nearest, by more than a step."""
        far = self.least + SAMPLE
        return np.asarray(far * (1 + np.minimum(8 * far**2 / np.maximum(radius, 1e-3) ** 2, 1.0)))

    def at(self, chosen: Bools, far: Floats) -> _Near:
        """Some of the places, and of their samples those no farther than ``far``."""
        kept = chosen[self.of] & (self.about <= far[self.of])
        of = (np.cumsum(chosen) - 1)[self.of[kept]]
        return _Near(self.place[chosen], self.least[chosen], of, self.sample[kept], self.about[kept])


@record
class _Asked:
    """Places asked about: angles 0 … 2π, tapes, radii of the wall there, and the one shape each looks at, if so."""

    angle: Floats
    tape: Floats
    radius: Floats
    own: Ints | None


class Obstacles:
    """Shapes on a wall, looked up by place."""

    def __init__(self, wall: Wall, shapes: Sequence[Shape], limits: Limits | None = None) -> None:
        import shapely

        self._wall = wall
        self._limits = limits or Limits()
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
        self._nearby = self._sorted(None)
        self._apart: Nearby | None = None
        # An outline may run on past the starting mark: its middle is brought into the first turn.
        self._rings = [_first_turn(s.points) for s in shapes if s.closed and len(s.points) > 2]
        self._about_end = [_Inside.of(ring, wall) for ring in self._rings if end_within(ring, wall) is not None]
        flat = [area_of(ring) for ring in self._rings if end_within(ring, wall) is None]
        self._insides = np.array(flat, dtype=object)
        self._inside_tree = shapely.STRtree(self._insides)
        shapely.prepare(self._insides)
        self._inside_bounds = shapely.total_bounds(self._insides) if len(self._insides) else np.zeros(4)

    def _sorted(self, layer: Ints | None) -> Nearby:
        angle, tape = np.mod(self._points[:, 0], 2 * np.pi), self._points[:, 1]
        return Nearby(angle, tape, float(self._radius.max(initial=1.0)), layer)

    @property
    def about_an_end(self) -> bool:
        """Whether any of the outlines goes round a closed end of the wall."""
        return bool(self._about_end)

    def clearance(self, angle: Floats, tape: Floats, by: Floats, own: Ints | None = None) -> Floats:
        """How much farther than ``by`` (n,) mm places lie from the nearest obstacle; inside a closed one −``by``. What
        is not nearly 0 is not measured, and told as no farther from 0 than it is; no more than 1 mm is. ``own`` looks
        at one shape each, without its inside."""
        free = np.full(len(angle), _TOLD)
        left = np.flatnonzero(np.isfinite(angle) & np.isfinite(tape))
        if not len(self._points) or not len(left):
            return free
        asked = _Asked(np.zeros(len(angle)), tape, np.maximum(self._wall.radius(tape), 1e-3), own)
        asked.angle[left] = np.mod(angle[left], 2 * np.pi)
        nearby = self._nearby
        if own is not None:
            nearby = self._apart = self._apart or self._sorted(self.shape)
        else:
            inside = left[self._inside(asked.angle[left], tape[left])]
            free[inside] = -by[inside]
            left = left[free[left] > 0]
            left = left[nearby.holds(self._windows(nearby, asked, left, by[left] + _TOLD + SAMPLE / 2))]
        free[left] = SAMPLE / 2
        for near in self._nearest(nearby, asked, left, by + SAMPLE):
            part = np.minimum(8 * (near.least / asked.radius[near.place]) ** 2, 0.5)
            low = near.least * (1 - part) - SAMPLE / 2 - by[near.place]
            high = near.least * (1 + part) - by[near.place]
            doubtful = (low <= _SURE) & (high >= -_SURE)
            free[near.place] = np.where(doubtful, _TOLD, np.where(low > _SURE, np.minimum(low, _TOLD), high))
            place, sample = self._doubtful(near, doubtful, asked)
            np.minimum.at(free, place, self._distance(asked.angle[place], tape[place], sample) - by[place])
        return free

    def _inside(self, here: Floats, tape: Floats) -> Ints:
        """Which places at angles 0 … 2π lie inside a closed obstacle."""
        west, low, east, high = self._inside_bounds
        level = (tape >= low) & (tape <= high)
        found = []
        for turn in (-2 * np.pi, 0.0, 2 * np.pi):
            some = np.flatnonzero(level & (here + turn >= west) & (here + turn <= east))
            place, ring = self._inside_tree.query(self._shapely.points(here[some] + turn, tape[some]))
            place = some[place]
            found.append(place[self._shapely.contains_xy(self._insides[ring], here[place] + turn, tape[place])])
        found.extend(np.flatnonzero(ring.holds(here, tape)) for ring in self._about_end)
        return np.concatenate(found)

    def _windows(self, nearby: Nearby, asked: _Asked, place: Ints, reach: Floats) -> Windows:
        """What lies within ``reach`` (n,) mm of places."""
        tape = asked.tape[place]
        radius = np.minimum(self._wall.radius(tape - reach), self._wall.radius(tape + reach))
        across = np.minimum(reach / np.maximum(radius, 1e-3) * 1.05, np.pi)
        return nearby.windows(asked.angle[place], across, tape, reach, None if asked.own is None else asked.own[place])

    def _nearest(self, nearby: Nearby, asked: _Asked, waiting: Ints, limit: Floats) -> Iterator[_Near]:
        """The samples that may give the least distance from places, those numbered in ``waiting``, if any is no farther
        than about ``limit`` (n,) mm; some places at a time."""
        reach = np.minimum(np.maximum(_LOOK, limit[waiting] / 4), limit[waiting])
        while len(waiting):
            windows = self._windows(nearby, asked, waiting, reach)
            some = np.flatnonzero(nearby.holds(windows))
            wanted = 2 * reach
            for run, window, sample in nearby.pairs(windows.at(some)):
                self._looked_at += len(sample)
                self._limits.check_near(self._looked_at)
                at = some[run]
                place, of = waiting[at], window - run.start
                about = self._about(asked, place[of], sample)
                least = np.full(len(place), np.inf)
                np.minimum.at(least, of, about)
                near = _Near(place, least, of, sample, about)
                far = near.far(asked.radius[place])
                # What lies in a corner of the window may be farther off than what is beyond its side.
                done = (far <= reach[at]) | (reach[at] >= limit[place])
                wanted[at] = np.where(done, np.inf, np.where(least <= reach[at], far, wanted[at]))
                yield near.at(done, far)
            on = (reach < limit[waiting]) & (wanted < np.inf)
            waiting, wanted = waiting[on], wanted[on]
            reach = np.minimum(wanted, limit[waiting] + SAMPLE)

    def _doubtful(self, near: _Near, doubtful: Bools, asked: _Asked) -> tuple[Ints, Ints]:
        """The pairs of places that are ``doubtful`` and samples that are nearer than both their neighbours, or beside
        an end."""
        pairs = doubtful[near.of]
        place, sample, about = near.place[near.of[pairs]], near.sample[pairs], near.about[pairs]
        nearer = np.ones(len(sample), dtype=np.bool_)
        for beside in (self._before, self._after):
            nearer &= about <= 1.01 * self._about(asked, place, beside[sample])
        kept = nearer | self._beside_end[sample]
        return place[kept], sample[kept]

    def around(self, area: Any, by: float, plane: Plane) -> Any:
        """What of an area lies within ``by`` mm of the obstacles, and more about it, both as shapely geometries in the
        plane: discs set off about their samples, and closed ones' insides.

        Between discs, which stand on every corner and end, the cover falls short by no more than ``_SHORT``."""
        if area.is_empty:
            return area
        west, low, east, high = plane.extent(area)
        self._shapely.prepare(area)
        reach = by / max(float(np.min(self._wall.radius(np.linspace(low - by, high + by, 9)))), 1e-3) * 1.05
        apart = max(int(np.sqrt(8 * by * _SHORT) / SAMPLE), 1)
        chosen = self._beside_end | self._corner | (np.arange(len(self._points)) % apart == 0)
        chosen &= (self._points[:, 1] > low - by) & (self._points[:, 1] < high + by)
        some = np.flatnonzero(chosen)
        found: list[Any] = []
        for shift in plane.turns(self._points[some, 0], west - reach, east + reach):
            angle = self._points[some, 0] + shift
            near = (angle > west - reach) & (angle < east + reach)
            self._covered += int(np.count_nonzero(near))
            self._limits.check_discs(self._covered)
            discs = self._discs(some[near], by).copy()
            discs[:, :, 0] += angle[near][:, None]
            polygons = self._shapely.polygons(plane.place(discs))
            sound = self._shapely.is_valid(polygons)
            polygons[~sound] = self._shapely.make_valid(polygons[~sound])
            found.extend(polygons[self._shapely.intersects(area, polygons)])
        for ring in self._rings:
            found.extend(plane.areas(ring, west, east))
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

    def _about(self, asked: _Asked, place: Ints, sample: Ints) -> Floats:
        """√(Δs² + r₀ r₁ Δθ²), the distance but for a part of it of the order of its square over r²."""
        turn = asked.angle[place] - self._points[sample, 0]
        turn -= 2 * np.pi * np.round(turn / (2 * np.pi))
        up = asked.tape[place] - self._points[sample, 1]
        return np.asarray(np.sqrt(up * up + self._radius[sample] * asked.radius[place] * turn * turn))

    def _distance(self, angle: Floats, tape: Floats, sample: Ints) -> Floats:
        """Distance to the curve near a sample: the least of the parabola through the squares of the distances
        to the sample and its neighbours, where it has its least between them; at a corner, to the nearer of the
        chords to the neighbours."""
        between = Between.of(self._wall, angle, tape, *self._points[sample].T)
        radius = self._wall.radius(tape)
        d = [
            between.distance(self._points[k, 0] - angle, self._points[k, 1] - tape, radius * self._radius[k]) ** 2
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


def finely(wall: Wall, points: Floats) -> Floats:
    """A closed polygon (k, 2), not repeating its first point, with corners no farther apart than ``SAMPLE``."""
    step = np.diff(closed(points), axis=0)
    long = np.hypot(wall.radius(points[:, 1]) * step[:, 0], step[:, 1])
    parts = np.maximum(1, np.ceil(long / SAMPLE)).astype(np.int64)
    index = np.repeat(np.arange(len(points)), parts)
    share = (np.arange(len(index)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[index]
    return points[index] + step[index] * share[:, None]


def _first_turn(points: Floats) -> Floats:
    return np.asarray(points - [2 * np.pi * np.floor(points[:, 0].mean() / (2 * np.pi)), 0.0])


@record
class _Inside:
    """What an outline round a closed end of the wall encloses."""

    plane: Plane
    area: Any

    @classmethod
    def of(cls, ring: Floats, wall: Wall) -> _Inside:
        import shapely

        plane = plane_for(wall, ring)
        area = area_of(plane.polygon(ring))
        shapely.prepare(area)
        return cls(plane, area)

    def holds(self, angle: Floats, tape: Floats) -> Bools:
        import shapely

        return np.asarray(shapely.intersects_xy(self.area, self.plane.place(np.column_stack([angle, tape]))))


class Within:
    """Polygons (k, 2), angle and tape, one for each of n entries: what lies inside its own stays. What a polygon
    encloses is worked out when it is first asked for."""

    def __init__(self, wall: Wall, polygons: tuple[Floats, ...]) -> None:
        self.wall = wall
        self.polygons = polygons
        self._planes: list[Plane | None] = [None] * len(polygons)
        self._areas = np.full(len(polygons), None, dtype=object)
        self._middles = np.zeros(len(polygons))
        #: of the unrolled wall in which a polygon lies; not a number for one about a closed end
        self._scales = np.full(len(polygons), np.nan)

    def inside(self, entry: Ints, angle: Floats, tape: Floats) -> Bools:
        import shapely

        distinct = np.unique(entry)
        for i in distinct[[self._planes[i] is None for i in distinct.tolist()]].tolist():
            polygon = self.polygons[i]
            plane = self._planes[i] = plane_for(self.wall, polygon)
            self._areas[i] = area_of(plane.polygon(polygon))
            self._middles[i] = polygon[:, 0].mean()
            if isinstance(plane, Unrolled):
                self._scales[i] = plane.scale
        areas = self._areas[entry]
        shapely.prepare(areas)
        turned = angle - 2 * np.pi * np.round((angle - self._middles[entry]) / (2 * np.pi))
        near = np.column_stack([turned * self._scales[entry], tape])
        for i in distinct[np.isnan(self._scales[distinct])].tolist():
            plane, here = self._planes[i], entry == i
            assert plane is not None
            near[here] = plane.place(np.column_stack([turned[here], tape[here]]))
        return np.asarray(shapely.intersects_xy(areas, near))


@record
class Trim:
    """What is left of the marks of one line of the text: clear of obstacles by ``by`` (n,), and within outlines."""

    clears: tuple[tuple[Obstacles, Floats], ...]
    withins: tuple[Within, ...]

    def room(self, entry: Ints, angle: Floats, tape: Floats) -> Floats:
        """How far, in mm, places lie on the side that stays, as far as is told: above 0 if they do, and no farther than
        it is to the other side; ``entry`` numbers the mark or line each belongs to. How deep they lie within an outline
        is not measured: something within which nothing is looked for."""
        room = np.ones(len(entry))
        for obstacles, by in self.clears:
            room = np.minimum(room, obstacles.clearance(angle, tape, by[entry]) + _AT_THE_DISTANCE)
        for within in self.withins:
            room = np.where(within.inside(entry, angle, tape), np.minimum(room, _WITHIN), -_WITHIN)
        return room

    def near_end(self, entry: int) -> float:
        """How near to a closed end of the wall, mm, what is cut has to be cut in the plane about that: where something
        here may go round it."""
        near = [np.inf if obstacles.about_an_end else 2 * float(by[entry]) for obstacles, by in self.clears]
        round_ = any(end_within(within.polygons[entry], within.wall) is not None for within in self.withins)
        return max([*near, np.inf if round_ else -np.inf])

    def left_of(self, area: Any, entry: int, plane: Plane) -> Any:
        """What is left of an area (a shapely geometry in the plane) of one entry."""
        import shapely

        west, _, east, _ = plane.extent(area)
        for obstacles, by in self.clears:
            area = area.difference(obstacles.around(area, float(by[entry]), plane))
        for within in self.withins:
            area = area.intersection(shapely.union_all(list(plane.areas(within.polygons[entry], west, east))))
        return area
