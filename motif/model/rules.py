"""Checked motifs: a grid, and rules of where and what."""

from __future__ import annotations

from typing import Literal, TypeAlias

from motif.language.kinds import Kind
from motif.language.record import record
from motif.language.source import Span
from motif.model.expressions import Expr
from motif.model.geometry import Geometry, Point
from motif.model.values import Slot, ToolSizes

Axis: TypeAlias = Literal["left-right", "top-bottom", "both ways"]


@record
class Let:
    span: Span
    slot: Slot
    value: Expr


@record
class PathName:
    span: Span
    slot: Slot
    geometry: Geometry


@record
class How:
    """The modifiers of a technique line."""

    depth: Expr | None = None
    width: Expr | None = None
    pitch: Expr | None = None
    tool: Expr | None = None
    colour: Expr | None = None
    unbroken: bool = False

    def measures(self, tool: ToolSizes | None) -> list[tuple[str, Expr | None, float | None]]:
        """Depth, width and pitch: what the line says, and what its tool gives where it does not (mm)."""
        return [
            ("depth", self.depth, None),
            ("width", self.width, None if tool is None else tool.cuts),
            ("pitch", self.pitch, None if tool is None else tool.pitch),
        ]


@record
class Work:
    span: Span
    technique: str
    geometries: tuple[Geometry, ...]
    how: How


@record
class If:
    """The first branch whose condition holds; the last branch's condition may be None."""

    span: Span
    branches: tuple[tuple[Expr | None, tuple[Statement, ...]], ...]


@record
class Repeat:
    span: Span
    count: Expr
    slot: Slot
    body: tuple[Statement, ...]


@record
class Turns:
    """``rotated N times``."""

    span: Span
    count: Expr


@record
class Turn:
    span: Span
    angle: Expr


@record
class Mirror:
    """``images`` also keeps the drawing itself (``mirrored``); else the mirror image alone."""

    span: Span
    axis: Axis
    keeps: bool


@record
class Shift:
    """``moved by``."""

    span: Span
    by: Point


Move: TypeAlias = Turns | Turn | Mirror | Shift


@record
class Draw:
    """A group of statements or a figure, and what becomes of it. ``body`` is None where ``figure`` is given."""

    span: Span
    body: tuple[Statement, ...] | None
    figure: Figure | None
    arguments: tuple[tuple[Slot, Expr], ...]
    box: tuple[Point, Point] | None
    moves: tuple[Move, ...]


Statement: TypeAlias = Let | PathName | Work | If | Repeat | Draw


@record
class Given:
    """What the user of a motif or figure may set; ``default`` is None where it must be set (``required``), or
    where it could not be understood, which has been said."""

    span: Span
    slot: Slot
    name: str
    kind: Kind
    default: Expr | None
    required: bool
    description: str | None


@record
class Figure:
    """A drawing in a box ``width`` by ``height``."""

    span: Span
    name: str
    description: str | None
    width: Expr | None
    height: Expr | None
    givens: tuple[Given, ...] = ()
    body: tuple[Statement, ...] = ()


@record
class Columns:
    span: Span
    law: Literal["number", "near", "proportional"]
    values: tuple[Expr, ...]
    multiple: Expr | None
    spaced: tuple[Expr, ...]
    each_row: bool


@record
class Rows:
    span: Span
    law: Literal["number", "every", "near", "proportional"]
    values: tuple[Expr, ...]
    multiple: Expr | None
    spaced: tuple[Expr, ...]
    by_height: bool


@record
class GridShift:
    span: Span
    by: Expr
    each: Literal["row", "column"]


@record
class Grid:
    span: Span
    columns: Columns
    rows: Rows
    shift: GridShift | None


Place: TypeAlias = Literal["cell", "group", "crossing", "ring", "vertical", "once"]


@record
class Rule:
    span: Span
    place: Place
    group: tuple[Expr, Expr] | None
    condition: Expr | None
    body: tuple[Statement, ...]


@record
class Motif:
    """``settings`` are the givens and lets in the order written."""

    span: Span
    name: str
    description: str | None
    settings: tuple[Given | Let, ...]
    grid: Grid
    rules: tuple[Rule, ...]
    notes: tuple[str, ...]

    @property
    def givens(self) -> tuple[Given, ...]:
        return tuple(s for s in self.settings if isinstance(s, Given))
