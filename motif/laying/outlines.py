"""Outlines worked over their area, cut to the band, its panels and round its reserves."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from motif.language.record import changed
from motif.laying.collect import Lines
from motif.laying.curves import Tracer
from motif.laying.obstacles import Trim
from motif.laying.piece import Floats, Ints
from motif.laying.planes import AboutEnd, Plane, area_of, plane_for, turns_between
from motif.laying.region import Region
from motif.laying.strokes import Strokes, in_space
from motif.laying.trace import CHORD, cut_up, runs
from motif.wall import Wall
from motif.wall.rings import enclosed, end_within, turns_gained

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

#: an outline that is to be cut is taken as a polygon with chords no farther off than this, mm
_FINE = 0.0005
#: pieces of area below this are slivers of the reckoning, mm²
_SLIVER = 1e-4
#: a side of a cut outline goes no farther without a corner: round the pot (radians) and along the wall (mm)
_LONGEST_SIDE = (0.35, 12.0)


def middle_of(points: Floats, wall: Wall) -> tuple[float, float]:
    """Centroid (angle, tape) of a closed polygon (k, 2) whose last point is its first; round a closed end of the wall,
    in the plane about that."""
    plane = plane_for(wall, points)
    if isinstance(plane, AboutEnd):
        x, y = np.array(area_of(plane.polygon(points)).centroid.coords[0])
        return float(np.arctan2(y, x)), float(abs(plane.about.end - np.hypot(x, y)))
    x, y = (points - points[0]).T
    cross = x[:-1] * y[1:] - x[1:] * y[:-1]
    area = cross.sum()
    if abs(area) < 1e-12:
        angle, tape = points[:-1].mean(axis=0)
        return float(angle), float(tape)
    return (
        float(points[0, 0] + ((x[:-1] + x[1:]) * cross).sum() / (3 * area)),
        float(points[0, 1] + ((y[:-1] + y[1:]) * cross).sum() / (3 * area)),
    )


def fine_polygons(lines: Lines, chosen: Ints, tracer: Tracer) -> list[Floats]:
    """Outlines as closed polygons (k, 2), angle and tape, within 0.0005 mm of them, nothing cut."""
    some = changed(lines.at(chosen), trims=())
    n = len(some)
    pieces = cut_up(some, tracer, Region(tracer.wall, -np.inf, np.inf, (), ()), _FINE)
    each = np.arange(n)
    strokes = Strokes(np.arange(n + 1), each, np.zeros(n, dtype=np.bool_), np.ones(n, dtype=np.bool_), each)
    return [run.points for run in runs(some, strokes, pieces, tracer)]


def cut_outline(
    points: Floats, region: Region, patches: bool = True, trim: Trim | None = None, entry: int = 0
) -> list[tuple[Floats, tuple[Floats, ...], float]]:
    """What is left of a closed polygon (k, 2) in the region, and by ``trim`` as its ``entry``: outer
    rings with their holes, each closed on its first point, and their areas on the wall, mm².

    shapely works in (angle × a radius, tape), where the band's edges and panels are straight and a
    reserve's sides are its own polygon's."""
    import shapely
    from shapely.geometry import Polygon

    if len(points) < 4:  # there and back again: it holds nothing
        return []
    wall = region.wall
    plane = plane_for(wall, points, -np.inf if trim is None else trim.near_end(entry))
    drawn = _areas(area_of(plane.polygon(points)))
    west, east = points[:, 0].min(), points[:, 0].max()
    left = _areas(drawn.intersection(_allowed(region, plane, west, east)))
    for patch in region.patches if patches else ():
        for area in plane.areas(patch.laid.outline, west, east):
            left = left.difference(area)
    if trim is not None and not left.is_empty:
        left = trim.left_of(left, entry, plane)
    found = []
    for part in getattr(left, "geoms", [left]):
        if not isinstance(part, Polygon) or part.area < _SLIVER:
            continue
        turned = shapely.geometry.polygon.orient(part)
        rings = [
            along_wall(_on_edges(plane.ring(np.asarray(ring.coords)), region), wall)
            for ring in (turned.exterior, *turned.interiors)
        ]
        found.append((rings[0], tuple(rings[1:]), abs(sum(enclosed(wall, ring) for ring in rings))))
    return found


def _allowed(region: Region, plane: Plane, west: float, east: float) -> BaseGeometry:
    """What of the plane lies in the band and its panels, about angles from west to east."""
    import shapely

    panels = region.panels
    if isinstance(plane, AboutEnd):
        low, high = max(region.low, 0.0), min(region.high, region.wall.length)
        foot = plane.about.end == 0.0
        inner, outer = (low, high) if foot else (high, low)
        within, without = (
            area_of(plane.polygon(np.array([[0.0, tape], [2 * np.pi, tape]]))) for tape in (outer, inner)
        )
        band = within.difference(without)
        if not panels:
            return band
        sides = [plane.polygon(_sector(*pair, plane.about.end, outer)) for pair in panels]
        return band.intersection(shapely.union_all([area_of(side) for side in sides]))
    spans = [(west - 1.0, east + 1.0)]
    if panels:
        spans = [
            (low + turn, high + turn)
            for low, high in panels
            for turn in turns_between(np.array([low, high]), west, east)
        ]
    corners = [np.array([[a, region.low], [b, region.low], [b, region.high], [a, region.high]]) for a, b in spans]
    return shapely.union_all([area_of(plane.place(four)) for four in corners])


def _sector(low: float, high: float, point: float, outer: float) -> Floats:
    """A panel from the point of a closed end outward, and a little beyond."""
    beyond = outer + np.sign(outer - point)
    return np.array([[low, point], [low, beyond], [high, beyond], [high, point], [low, point]])


def _on_edges(ring: Floats, region: Region) -> Floats:
    """The ring with what lies on a band's edge but for the sag of a polygon on it."""
    tape = ring[:, 1].copy()
    for edge in (region.low, region.high):
        tape[np.abs(tape - edge) < 2 * _FINE] = edge
    return np.column_stack([ring[:, 0], tape])


def along_wall(ring: Floats, wall: Wall) -> Floats:
    """A closed polygon (k, 2), angle and tape, with sides halved until no chord is farther than ``CHORD`` mm from the
    place half-way along its side: what is straight in angle and tape, as a band's edge is, bends with the wall."""
    while True:
        half = (ring[1:] + ring[:-1]) / 2
        ends = in_space(wall, *ring.T)
        off = np.linalg.norm(in_space(wall, *half.T) - (ends[1:] + ends[:-1]) / 2, axis=1)
        long = np.flatnonzero((off > CHORD) | np.any(np.abs(np.diff(ring, axis=0)) > _LONGEST_SIDE, axis=1))
        if not len(long):
            return ring
        ring = np.insert(ring, long + 1, half[long], axis=0)


def _areas(shape: BaseGeometry) -> BaseGeometry:
    """The polygons of a shape without the lines and points that GEOS leaves where it is folded or only touches: it
    cannot lay such a mixture over another shape."""
    import shapely

    parts = shapely.get_parts(shapely.get_parts(shape))
    return shapely.multipolygons(parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON])


def crosses_itself(points: Floats, wall: Wall) -> bool:
    """Whether a closed line (k, 2), its last point its first, cannot but cross itself: a simple one turns round just
    once (H. Hopf's Umlaufsatz); one round a closed end of the wall is looked at in the plane about that."""
    if turns_gained(points) and end_within(points, wall) is None:
        return False
    step = np.diff(plane_for(wall, points).place(points), axis=0)
    step = step[np.hypot(*step.T) > 1e-9]
    heading = np.arctan2(step[:, 1], step[:, 0])
    turn = np.mod(np.diff(np.append(heading, heading[0])) + np.pi, 2 * np.pi) - np.pi
    return abs(abs(float(turn.sum())) - 2 * np.pi) > 1


def enclosed_by(points: Floats, wall: Wall) -> float:
    """The area on the wall, mm², that a closed line (k, 2) encloses though it crosses itself, every part once."""
    import shapely

    plane, total = plane_for(wall, points), 0.0
    for part in shapely.get_parts(area_of(plane.polygon(points))):
        if part.geom_type == "Polygon":
            turned = shapely.geometry.polygon.orient(part)
            rings = (turned.exterior, *turned.interiors)
            total += abs(sum(enclosed(wall, plane.ring(np.asarray(ring.coords))) for ring in rings))
    return total


def length_of(wall: Wall, points: Floats) -> float:
    """Length on the wall of a polyline (k, 2), straight in angle and tape, mm."""
    middle = (points[1:, 1] + points[:-1, 1]) / 2
    step = np.diff(points, axis=0)
    return float(np.hypot(wall.radius(middle) * step[:, 0], step[:, 1]).sum())
