"""Closed rings on the wall, and what they enclose.

A ring is (k, 2), angle and tape, straight from point to point and closed on itself; its last point may be its first
again. Round the point of a closed end its angle does not come back but gains a turn, and what it encloses is all
between it and that point. For everyone who takes a ring for a polygon it is closed here: over the point, in the plane
of angle and tape (``filled``), or in a plane about the point (``EndPlane``), in which no seam is left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from motif.wall.surface import Wall

Floats = NDArray[np.float64]

_TURN = 2 * np.pi
#: A ring of no more than this radius is the point of a closed end, mm.
POINT = 1e-9
#: Points this near, radians and mm, are one.
_SAME = 1e-9
#: Sides of polygons about a point leave what they stand for by no more than this, mm; none is divided below the second.
_SAG, _SHORTEST = 0.0005, 1e-3


def lifted(ring: Floats) -> Floats:
    """The ring with every step of angle brought within half a turn, as of points set off one by one, and its middle
    within half a turn of the angle 0."""
    angle = np.unwrap(ring[:, 0])
    return np.column_stack([angle - _TURN * np.round(angle.mean() / _TURN), ring[:, 1]])


def turns_gained(ring: Floats) -> int:
    """How many turns the angle gains once round: 0, or ±1 round a closed end."""
    return int(np.round((ring[-1, 0] - ring[0, 0]) / _TURN)) if len(ring) else 0


def opened(ring: Floats) -> Floats:
    """The ring without its first point again at its end."""
    if len(ring) < 2:
        return ring
    back = ring[-1] - [_TURN * turns_gained(ring), 0.0]
    return ring[:-1] if np.all(np.abs(back - ring[0]) < _SAME) else ring


def closed(ring: Floats) -> Floats:
    """The ring with its first point again at its end, a turn farther if it gains one."""
    corners = opened(ring)
    return np.vstack([corners, corners[:1] + [_TURN * turns_gained(ring), 0.0]])


def closed_ends(wall: Wall) -> tuple[float, ...]:
    """The tapes of foot and rim where they are points."""
    return tuple(end for end in (0.0, wall.length) if float(wall.radius(end)) < POINT)


def end_within(ring: Floats, wall: Wall) -> float | None:
    """The tape of the closed end that a ring goes round; where both are closed, of the one by which it encloses less.
    None for a ring that gains no turn, and on a wall without a closed end."""
    ends = closed_ends(wall) if abs(turns_gained(ring)) == 1 else ()
    return min(ends, key=lambda end: abs(_swept(wall, _over_the_point(ring, end))), default=None)


def filled(ring: Floats, wall: Wall) -> Floats:
    """The ring as a polygon (k, 2) of the plane of angle and tape, not repeating its first point: one round a closed
    end is led to the point and back, two sides a turn apart that are no edges."""
    end = end_within(ring, wall)
    return opened(ring) if end is None else _over_the_point(ring, end)


def _over_the_point(ring: Floats, end: float) -> Floats:
    line = closed(ring)
    return np.vstack([line, [[line[-1, 0], end], [line[0, 0], end]]])


def enclosed(wall: Wall, ring: Floats) -> float:
    """The area on the wall, mm², that a ring encloses, below 0 if it runs counter-clockwise as seen."""
    return _swept(wall, filled(ring, wall))


def swept_at_end(ring: Floats, wall: Wall) -> float:
    """∮ A(s) dθ at the point of the closed end that a ring goes round, mm²: what a curve's own ∮ A(s) dθ is to be taken
    less by for the area that it encloses."""
    end = end_within(ring, wall)
    return 0.0 if end is None else _TURN * turns_gained(ring) * float(wall.swept(end))


def _swept(wall: Wall, polygon: Floats) -> float:
    """∮ A(s) dθ with A(s) = ∫ r ds, straight in angle and tape; Simpson's rule on each side."""
    angle, tape = np.vstack([polygon, polygon[:1]]).T
    a, middle = wall.swept(tape), wall.swept((tape[1:] + tape[:-1]) / 2)
    return float(np.sum((a[:-1] + 4 * middle + a[1:]) / 6 * np.diff(angle)))


def area_parts(rings: tuple[Floats, ...], wall: Wall) -> list[Floats]:
    """An area, by its outer ring and its holes, as polygons of the plane of angle and tape to be filled together, by
    the rule of even and odd. Where a ring goes round a closed end, holes are cut out on whichever side of its seam
    they are; of the rings' own sides none is moved."""
    outer = filled(rings[0], wall)
    holes = [filled(hole, wall) for hole in rings[1:]]
    if not holes or not any(turns_gained(ring) for ring in rings):
        return [outer, *holes]
    import shapely

    left = shapely.make_valid(shapely.Polygon(outer))
    west, east = outer[:, 0].min(), outer[:, 0].max()
    for hole in holes:
        first, last = np.ceil((west - hole[:, 0].max()) / _TURN), np.floor((east - hole[:, 0].min()) / _TURN)
        for turn in _TURN * np.arange(first, last + 1):
            left = shapely.difference(left, shapely.make_valid(shapely.Polygon(hole + [turn, 0.0])))
    parts = [p for p in shapely.get_parts(left) if p.geom_type == "Polygon" and p.area > _SAME]
    return [np.asarray(r.coords)[:-1] for p in parts for r in (p.exterior, *p.interiors)]


@dataclass(frozen=True)
class EndPlane:
    """The plane about the point of a closed end at the tape ``end``: the angle is that of the wall, and the distance
    from the middle is the tape from the point. No way on the wall is longer than it is there."""

    wall: Wall
    end: float

    def place(self, points: Floats) -> Floats:
        """Places (…, 2), angle and tape, in the plane."""
        out = np.abs(points[..., 1] - self.end)
        return np.stack([out * np.cos(points[..., 0]), out * np.sin(points[..., 0])], axis=-1)

    def polygon(self, ring: Floats) -> Floats:
        """The corners (n, 2) of a ring's polygon in the plane, with as many as its sides, straight in angle and tape,
        are bent there."""
        line = closed(ring)
        out = np.abs(line[:, 1] - self.end)
        step = np.abs(np.diff(line[:, 0]))
        parts = np.ceil(step * np.sqrt(np.maximum(out[1:], out[:-1]) / (8 * _SAG)) - 1e-9).astype(np.int64).clip(1)
        index = np.repeat(np.arange(len(parts)), parts)
        part = (np.arange(len(index)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[index]
        return self.place(line[index] + part[:, None] * np.diff(line, axis=0)[index])

    def ring(self, polygon: Floats) -> Floats:
        """The ring (k, 2), angle and tape, its first point again at its end, of a polygon in the plane (its last corner
        its first) that has what it encloses, or what is left about a hole, to its left."""
        line = self._divided(polygon)
        out = np.hypot(*line.T)
        middle = np.flatnonzero(out[:-1] < _SAME)
        if len(middle):  # begun at the point itself, which the ring passes through
            line = np.vstack([line[middle[0] : -1], line[: middle[0] + 1]])
            out = np.hypot(*line.T)
        angle = np.arctan2(line[:, 1], line[:, 0])
        at_point = out < _SAME
        legs = np.split(np.arange(len(line)), np.flatnonzero(at_point)) if at_point.any() else [np.arange(len(line))]
        found: list[Floats] = []
        for leg in legs:
            apart = leg[~at_point[leg]]
            if not len(apart):
                continue
            run = np.column_stack([np.unwrap(angle[apart]), out[apart]])
            if at_point.any():
                run = np.vstack([[run[0, 0], 0.0], run, [run[-1, 0], 0.0]])
                if found:
                    # What is to the left lies between the ways in and out, from this one round to the one before.
                    before = found[-1][-1, 0]
                    run[:, 0] += before - run[0, 0] - np.mod(before - run[0, 0], _TURN)
            found.append(run)
        joined = np.vstack(found)
        inward = 1.0 if self.end == 0.0 else -1.0
        return closed(np.column_stack([joined[:, 0], self.end + inward * joined[:, 1]]))

    def _divided(self, polygon: Floats) -> Floats:
        """The polygon with corners where a side passes through the middle, and its sides halved until they are straight
        in angle and tape too."""
        line = polygon
        step = np.diff(line, axis=0)
        square = np.maximum(np.sum(step**2, axis=1), 1e-300)
        part = -np.sum(line[:-1] * step, axis=1) / square
        nearest = line[:-1] + part[:, None] * step
        through = np.flatnonzero((part > 0) & (part < 1) & (np.hypot(*nearest.T) < _SAME))
        line = np.insert(line, through + 1, 0.0, axis=0)
        while True:
            step = np.hypot(*np.diff(line, axis=0).T)
            out = np.hypot(*((line[1:] + line[:-1]) / 2).T)
            turn = np.abs(line[:-1, 0] * line[1:, 1] - line[:-1, 1] * line[1:, 0])
            bent = (turn > 1e-12) & (step > _SHORTEST) & (step**2 / np.maximum(out, step / 2) > 8 * _SAG)
            long = np.flatnonzero(bent)
            if not len(long):
                return line
            line = np.insert(line, long + 1, (line[long] + line[long + 1]) / 2, axis=0)
