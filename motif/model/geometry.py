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
    span: Span
    a: Expr
    b: Expr
    offset: tuple[Expr, Expr] | None


@record
class Line:
    span: Span
    to: Point


@record
class Taut:
    span: Span
    to: Point


@record
class Arc:
    """By its rise: a part of the chord, or a length on the clay."""

    span: Span
    to: Point
    rise: Expr


@record
class ArcThrough:
    span: Span
    to: Point
    through: Point


@record
class Curve:
    span: Span
    to: Point
    leaving: Point
    arriving: Point


Segment: TypeAlias = Line | Taut | Arc | ArcThrough | Curve


@record
class Path:
    span: Span
    start: Point
    segments: tuple[Segment, ...]
    closed: bool


@record
class Rectangle:
    span: Span
    start: Point
    to: Point


@record
class Circle:
    span: Span
    at: Point
    across: Expr


@record
class Dot:
    span: Span
    at: Point
    across: Expr | None


@record
class Footprint:
    span: Span
    tool: Expr
    at: Point
    tilted: Expr | None


@record
class MarksAlong:
    """Dots (no tool) or footprints repeated along each stroke of a path."""

    span: Span
    path: Slot
    tool: Expr | None
    every: Expr
    across: Expr | None


@record
class NamedPath:
    span: Span
    path: Slot


@record
class Offset:
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
    span: Span
    geometry: Geometry
    path: Slot
    by: Expr


@record
class Within:
    span: Span
    geometry: Geometry
    path: Slot


Geometry: TypeAlias = (
    Path | Rectangle | Circle | Dot | Footprint | MarksAlong | NamedPath | Offset | WholeLine | ClearOf | Within
)
