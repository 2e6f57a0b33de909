"""Outlines worked over their area, cut to the band, its panels and round its reserves."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from motif.language.record import changed
from motif.laying.collect import Lines
from motif.laying.curves import Tracer
from motif.laying.obstacles import Trim, turns_between
from motif.laying.piece import Floats, Ints
from motif.laying.region import Region
from motif.laying.strokes import Strokes, in_space
from motif.laying.trace import CHORD, cut_up, runs
from motif.wall import Wall

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

#: an outline that is to be cut is taken as a polygon with chords no farther off than this, mm
_FINE = 0.0005
#: pieces of area below this are slivers of the reckoning, mm²
_SLIVER = 1e-4
#: a side of a cut outline goes no farther without a corner: round the pot (radians) and along the wall (mm)
_LONGEST_SIDE = (0.35, 12.0)


def middle_of(points: Floats) -> tuple[float, float]:
    """Centroid (angle, tape) of a closed polygon (k, 2) whose last point is its first."""
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
    from shapely.geometry import Polygon, box

    if len(points) < 4:  # there and back again: it holds nothing
        return []
    wall = region.wall
    scale = max(float(wall.radius(float(np.median(points[:, 1])))), 1.0)
    drawn = _areas(shapely.make_valid(Polygon(np.column_stack([points[:, 0] * scale, points[:, 1]]))))
    west, east = points[:, 0].min(), points[:, 0].max()
    spans = [(west - 1.0, east + 1.0)]
    if region.panels:
        spans = [
            (low + turn, high + turn)
            for low, high in region.panels
            for turn in turns_between(np.array([low, high]), west, east)
        ]
    allowed = shapely.union_all([box(low * scale, region.low, high * scale, region.high) for low, high in spans])
    left = _areas(drawn.intersection(allowed))
    for patch in region.patches if patches else ():
        edge = patch.laid.outline
        for turn in turns_between(edge[:, 0], west, east):
            left = left.difference(Polygon(np.column_stack([(edge[:, 0] + turn) * scale, edge[:, 1]])))
    if trim is not None and not left.is_empty:
        left = trim.left_of(left, entry, scale)
    found = []
    for part in getattr(left, "geoms", [left]):
        if not isinstance(part, Polygon) or part.area < _SLIVER:
            continue
        turned = shapely.geometry.polygon.orient(part)
        rings = [
            along_wall(np.asarray(ring.coords) / [scale, 1.0], wall) for ring in (turned.exterior, *turned.interiors)
        ]
        found.append((rings[0], tuple(rings[1:]), abs(sum(swept_by(wall, ring) for ring in rings))))
    return found


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


def swept_by(wall: Wall, ring: Floats) -> float:
    """∮ A(s) dθ of a closed polygon (k, 2), straight in angle and tape; Simpson's rule on each side."""
    angle, tape = ring.T
    a = wall.swept(tape)
    middle = wall.swept((tape[1:] + tape[:-1]) / 2)
    return float(np.sum((a[:-1] + 4 * middle + a[1:]) / 6 * np.diff(angle)))


def crosses_itself(points: Floats, wall: Wall) -> bool:
    """Whether a closed line (k, 2), its last point its first, cannot but cross itself: a simple one turns round just
    once (H. Hopf's Umlaufsatz); one round a closed end of the wall does not turn in angle and tape."""
    if abs(points[-1, 0] - points[0, 0]) > 1:
        return False
    step = np.diff(points, axis=0) * [max(float(wall.radius(points[0, 1])), 1e-9), 1.0]
    step = step[np.hypot(*step.T) > 1e-9]
    heading = np.arctan2(step[:, 1], step[:, 0])
    turn = np.mod(np.diff(np.append(heading, heading[0])) + np.pi, 2 * np.pi) - np.pi
    return abs(abs(float(turn.sum())) - 2 * np.pi) > 1


def enclosed_by(points: Floats, wall: Wall) -> float:
    """The area on the wall, mm², that a closed line (k, 2) encloses though it crosses itself, every part once."""
    import shapely

    scale = max(float(wall.radius(float(np.median(points[:, 1])))), 1.0)
    total = 0.0
    for part in shapely.get_parts(shapely.make_valid(shapely.Polygon(points * [scale, 1.0]))):
        if part.geom_type == "Polygon":
            rings = (part.exterior, *part.interiors)
            areas = [abs(swept_by(wall, np.asarray(ring.coords) / [scale, 1.0])) for ring in rings]
            total += areas[0] - sum(areas[1:])
    return total


def length_of(wall: Wall, points: Floats) -> float:
    """Length on the wall of a polyline (k, 2), straight in angle and tape, mm."""
    middle = (points[1:, 1] + points[:-1, 1]) / 2
    step = np.diff(points, axis=0)
    return float(np.hypot(wall.radius(middle) * step[:, 0], step[:, 1]).sum())
