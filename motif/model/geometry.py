"""Checked geometry: what a technique works, free of any form.

A coordinate's kind says what it is: a number (cells), a length (clay) or, around, an angle.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

from motif.language.record import record
from motif.language.source import Span
from motif.model.expressions import Expr
from motif.model.values import Slot


@record
class Point:
    """A place: ``a`` across and ``b`` up, then ``offset`` (x along the ring, y up the wall by tape), lengths in mm.

    ``a`` is in cells, mm or radians round the pot, ``b`` in cells or mm, as their kinds say; both count from the
    lower left of the place of the rule, a to the right and b up."""

    span: Span
    a: Expr
    b: Expr
    offset: tuple[Expr, Expr] | None


@record
class Line:
    """Straight in grid coordinates to a point."""

    span: Span
    to: Point


@record
class Taut:
    """The shortest line on the wall that goes as far round as its ends say, to a point."""

    span: Span
    to: Point


@record
class Arc:
    """A circular arc to a point, left of the way of travel where its ``rise`` is positive: a part of the chord, in grid
    units; or mm on the clay."""

    span: Span
    to: Point
    rise: Expr


@record
class ArcThrough:
    """The circular arc, in grid units, to a point through another."""

    span: Span
    to: Point
    through: Point


@record
class Curve:
    """A cubic Bézier curve, in grid units, to a point; ``leaving`` and ``arriving`` are its control points."""

    span: Span
    to: Point
    leaving: Point
    arriving: Point


Segment: TypeAlias = Line | Taut | Arc | ArcThrough | Curve


@record
class Path:
    """Segments one behind the other from ``start``; a ``closed`` one goes straight back there, and has an area."""

    span: Span
    start: Point
    segments: tuple[Segment, ...]
    closed: bool


@record
class Rectangle:
    """The outline between two verticals and two rings, ``start`` and ``to`` being opposite corners."""

    span: Span
    start: Point
    to: Point


@record
class Circle:
    """About ``at``: ``across`` in cells, a circle in grid units; in mm, a true circle on the clay."""

    span: Span
    at: Point
    across: Expr


@record
class Dot:
    """A point mark at ``at``, ``across`` in mm; None: without a size."""

    span: Span
    at: Point
    across: Expr | None


@record
class Footprint:
    """A tool set down at ``at``, its up ``tilted`` from straight up the wall, radians, counter-clockwise as seen; None:
    upright."""

    span: Span
    tool: Expr
    at: Point
    tilted: Expr | None


@record
class MarksAlong:
    """Dots (no tool) or footprints repeated along each stroke of a path, ``every`` so many mm; dots are ``across``,
    mm."""

    span: Span
    path: Slot
    tool: Expr | None
    every: Expr
    across: Expr | None


@record
class NamedPath:
    """What a path of these braces draws."""

    span: Span
    path: Slot


@record
class Offset:
    """The parallels of a path's strokes, ``by`` mm to the left of travel (negative: right), on both sides, or outward
    or inward of what is closed."""

    span: Span
    path: Slot
    side: Literal["left", "both", "outward", "inward"]
    by: Expr


@record
class WholeLine:
    """``along`` a ring or a vertical."""

    span: Span


@record
class ClearOf:
    """What is left of a geometry farther than ``by`` mm on the clay from what a path draws."""

    span: Span
    geometry: Geometry
    path: Slot
    by: Expr


@record
class Within:
    """What is left of a geometry inside what a closed path draws at the same place."""

    span: Span
    geometry: Geometry
    path: Slot


Geometry: TypeAlias = (
    Path | Rectangle | Circle | Dot | Footprint | MarksAlong | NamedPath | Offset | WholeLine | ClearOf | Within
)
