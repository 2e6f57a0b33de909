"""Planes in which areas of the wall are cut: angle × a radius and tape, or about the point of a closed end.

In the first whatever comes again every turn has to be laid over an area turn by turn; it is true wherever no outline
goes round a closed end. In the second nothing comes again.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Protocol

import numpy as np

from motif.language.record import record
from motif.laying.piece import Floats
from motif.wall import Wall
from motif.wall.rings import EndPlane, closed_ends, end_within, opened

#: of angles, when none is left out
_ALL_ROUND = (-np.inf, np.inf)


class Plane(Protocol):
    """What a plane can do; geometries are shapely's."""

    def place(self, points: Floats) -> Floats:
        """Places (…, 2), angle and tape, in the plane."""

    def polygon(self, ring: Floats) -> Floats:
        """Corners (n, 2) of what a ring encloses."""

    def turns(self, angle: Floats, west: float, east: float) -> Floats:
        """Whole turns by which things at some angles are to be laid over an area between west and east."""

    def extent(self, area: Any) -> tuple[float, float, float, float]:
        """Angles and tapes between which an area lies: west, low, east, high."""

    def ring(self, polygon: Floats) -> Floats:
        """A polygon of the plane as a ring (k, 2) of the wall, its first point again at its end."""

    def areas(self, ring: Floats, west: float, east: float) -> Iterator[Any]:
        """What a ring encloses, wherever it comes between west and east."""

    def turned(self, area: Any, angle: float) -> Any:
        """An area moved round the wall by an angle."""


@record
class Unrolled:
    """Angle × ``scale`` mm, and tape: a band's edges and panels are straight."""

    scale: float

    def place(self, points: Floats) -> Floats:
        return points * [self.scale, 1.0]

    def polygon(self, ring: Floats) -> Floats:
        return self.place(opened(ring))

    def turns(self, angle: Floats, west: float, east: float) -> Floats:
        return turns_between(angle, west, east)

    def extent(self, area: Any) -> tuple[float, float, float, float]:
        west, low, east, high = area.bounds
        return west / self.scale, low, east / self.scale, high

    def ring(self, polygon: Floats) -> Floats:
        return polygon / [self.scale, 1.0]

    def areas(self, ring: Floats, west: float, east: float) -> Iterator[Any]:
        for turn in self.turns(ring[:, 0], west, east):
            yield area_of(self.polygon(ring + [turn, 0.0]))

    def turned(self, area: Any, angle: float) -> Any:
        from shapely import affinity

        return affinity.translate(area, angle * self.scale)


@record
class AboutEnd:
    """The plane about the point of a closed end; of a wall closed at both, a ring about the other encloses all but
    what it encloses here."""

    about: EndPlane

    def place(self, points: Floats) -> Floats:
        return self.about.place(points)

    def polygon(self, ring: Floats) -> Floats:
        return self.about.polygon(ring)

    def turns(self, angle: Floats, west: float, east: float) -> Floats:
        return np.zeros(1)

    def extent(self, area: Any) -> tuple[float, float, float, float]:
        import shapely

        farthest = float(np.hypot(*shapely.get_coordinates(area).T).max())
        nearest = float(shapely.distance(area, shapely.Point(0.0, 0.0)))
        low, high = sorted(abs(self.about.end - out) for out in (nearest, farthest))
        return _ALL_ROUND[0], low, _ALL_ROUND[1], high

    def ring(self, polygon: Floats) -> Floats:
        return self.about.ring(polygon)

    def areas(self, ring: Floats, west: float, east: float) -> Iterator[Any]:
        import shapely

        area = area_of(self.polygon(ring))
        end = end_within(ring, self.about.wall)
        if end is not None and end != self.about.end:
            area = shapely.Point(0.0, 0.0).buffer(2 * self.about.wall.length).difference(area)
        yield area

    def turned(self, area: Any, angle: float) -> Any:
        from shapely import affinity

        return affinity.rotate(area, angle, origin=(0.0, 0.0), use_radians=True)


def plane_for(wall: Wall, ring: Floats, near: float = -np.inf) -> Plane:
    """The plane in which what a ring encloses is cut: that about a closed end which it goes round, or to which it
    comes no farther than ``near`` mm; the unrolled wall for any other."""
    about = end_within(ring, wall)
    if about is None and near > -np.inf:
        tape = ring[:, 1]
        about = min(closed_ends(wall), key=lambda end: float(np.abs(tape - end).min()), default=None)
        if about is not None and float(np.abs(tape - about).min()) > near:
            about = None
    if about is not None:
        return AboutEnd(EndPlane(wall, about))
    return Unrolled(max(float(wall.radius(float(np.median(ring[:, 1])))), 1.0))


def area_of(polygon: Floats) -> Any:
    """What a polygon (n, 2) of a plane encloses, as a valid shapely geometry, though it cross itself."""
    import shapely

    if len(polygon) < 3:
        return shapely.Polygon()
    area = shapely.Polygon(polygon)
    return area if area.is_valid else shapely.make_valid(area)


def turns_between(angle: Floats, west: float, east: float) -> Floats:
    """Whole turns that bring some of the angles to where they may lie between west and east."""
    if not len(angle):
        return np.zeros(0)
    first, last = np.ceil((west - angle.max()) / (2 * np.pi)), np.floor((east - angle.min()) / (2 * np.pi))
    return np.asarray(2 * np.pi * np.arange(first, last + 1))
