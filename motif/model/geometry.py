"""Checked geometry: what a technique works, free of any form.

A coordinate's kind says what it is: a number (cells), a length (clay) or, around, an angle.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from motif.language.source import Span
from motif.model.expressions import Expr
from motif.model.values import Slot


@dataclass(frozen=True)
class Point:
    span: Span
    a: Expr
    b: Expr
    offset: tuple[Expr, Expr] | None


@dataclass(frozen=True)
class Line:
    span: Span
    to: Point


@dataclass(frozen=True)
class Taut:
    span: Span
    to: Point


@dataclass(frozen=True)
class Arc:
    """By its rise: a part of the chord, or a length on the clay."""

    span: Span
    to: Point
    rise: Expr


@dataclass(frozen=True)
class ArcThrough:
    span: Span
    to: Point
    through: Point


@dataclass(frozen=True)
class Curve:
    span: Span
    to: Point
    leaving: Point
    arriving: Point


Segment: TypeAlias = Line | Taut | Arc | ArcThrough | Curve


@dataclass(frozen=True)
class Path:
    span: Span
    start: Point
    segments: tuple[Segment, ...]
    closed: bool


@dataclass(frozen=True)
class Rectangle:
    span: Span
    start: Point
    to: Point


@dataclass(frozen=True)
class Circle:
    span: Span
    at: Point
    across: Expr


@dataclass(frozen=True)
class Dot:
    span: Span
    at: Point
    across: Expr | None


@dataclass(frozen=True)
class Footprint:
    span: Span
    tool: Expr
    at: Point
    tilted: Expr | None


@dataclass(frozen=True)
class MarksAlong:
    """Dots (no tool) or footprints repeated along each stroke of a path."""

    span: Span
    path: Slot
    tool: Expr | None
    every: Expr
    across: Expr | None


@dataclass(frozen=True)
class NamedPath:
    span: Span
    path: Slot


@dataclass(frozen=True)
class Offset:
    span: Span
    path: Slot
    side: Literal["left", "both", "outward", "inward"]
    by: Expr


@dataclass(frozen=True)
class WholeLine:
    """``along`` a ring or a vertical."""

    span: Span


@dataclass(frozen=True)
class ClearOf:
    span: Span
    geometry: Geometry
    path: Slot
    by: Expr


@dataclass(frozen=True)
class Within:
    span: Span
    geometry: Geometry
    path: Slot


Geometry: TypeAlias = (
    Path | Rectangle | Circle | Dot | Footprint | MarksAlong | NamedPath | Offset | WholeLine | ClearOf | Within
)
