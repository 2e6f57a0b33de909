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
    """A named value of a motif, figure or statement, of any kind."""

    span: Span
    slot: Slot
    value: Expr


@record
class PathName:
    """A named line or mark."""

    span: Span
    slot: Slot
    geometry: Geometry


@record
class How:
    """The modifiers of a technique line: depth, width and pitch in mm, a tool, a colour as text; None where it does
    not say. ``unbroken``: lines that meet are one stroke, whatever the angle."""

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
    """A technique line: what is worked, and how."""

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
    """``count`` times the body; in it ``slot`` is 1, 2, 3 …."""

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
    """``rotated`` by an angle, radians, counter-clockwise as seen."""

    span: Span
    angle: Expr


@record
class Mirror:
    """``keeps`` the drawing itself beside its mirror images (``mirrored``); else the mirror image is alone
    (``reversed``)."""

    span: Span
    axis: Axis
    keeps: bool


@record
class Shift:
    """``moved by`` a point, reckoned from (0, 0)."""

    span: Span
    by: Point


Move: TypeAlias = Turns | Turn | Mirror | Shift


@record
class Draw:
    """A group of statements or a figure, and what becomes of it, in order. ``body`` is None where ``figure`` is given;
    ``box`` holds two opposite corners to stretch a figure over, None for the cell or group."""

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
    """A drawing in a box ``width`` by ``height``, plain numbers; None for 1."""

    span: Span
    name: str
    description: str | None
    width: Expr | None
    height: Expr | None
    givens: tuple[Given, ...] = ()
    body: tuple[Statement, ...] = ()


@record
class Columns:
    """How many columns: a ``number`` (values: a count), ``near`` a width (mm), or ``proportional`` (width : height).
    They are a ``multiple`` of a count, and ``spaced`` in a repeating ratio, empty for even ones; ``each_row``: by
    row."""

    span: Span
    law: Literal["number", "near", "proportional"]
    values: tuple[Expr, ...]
    multiple: Expr | None
    spaced: tuple[Expr, ...]
    each_row: bool


@record
class Rows:
    """How many rows: a ``number`` (values: a count), steps of ``every`` or ``near`` so many mm, or ``proportional``
    (width : height). They are a ``multiple`` of a count, and ``spaced`` in a repeating ratio, empty for even ones;
    steps are of tape, or ``by_height``."""

    span: Span
    law: Literal["number", "every", "near", "proportional"]
    values: tuple[Expr, ...]
    multiple: Expr | None
    spaced: tuple[Expr, ...]
    by_height: bool


@record
class GridShift:
    """Each row is moved ``by`` columns to the right of the one before, or each column so many rows up."""

    span: Span
    by: Expr
    each: Literal["row", "column"]


@record
class Grid:
    """How the wall is divided."""

    span: Span
    columns: Columns
    rows: Rows
    shift: GridShift | None


Place: TypeAlias = Literal["cell", "group", "crossing", "ring", "vertical", "once"]


@record
class Rule:
    """Where something is made, at which of these places, and what. ``group``: columns by rows of a group of cells."""

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
