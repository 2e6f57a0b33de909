"""Syntax nodes: what the text says, before names and kinds are checked.

Every node carries the span of the text it came from. Names are in lower case, as the language
reads them; texts are as written.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from motif.language.source import Span


@dataclass(frozen=True, slots=True)
class Node:
    span: Span


@dataclass(frozen=True, slots=True)
class Name(Node):
    text: str


@dataclass(frozen=True, slots=True)
class Text(Node):
    value: str


# ---------------------------------------------------------------- expressions


@dataclass(frozen=True, slots=True)
class Number(Node):
    """A number with the unit right behind it, if any (``mm cm in deg turn ml tsp tbsp %``)."""

    value: float
    unit: str | None


@dataclass(frozen=True, slots=True)
class Reference(Node):
    """A name read for its value; ``chord`` too."""

    name: str


@dataclass(frozen=True, slots=True)
class Field(Node):
    """``tooth.deep``."""

    owner: Name
    field: Name


@dataclass(frozen=True, slots=True)
class Negate(Node):
    operand: Expression


@dataclass(frozen=True, slots=True)
class Not(Node):
    operand: Expression


@dataclass(frozen=True, slots=True)
class Arithmetic(Node):
    op: Literal["+", "-", "*", "/"]
    left: Expression
    right: Expression


@dataclass(frozen=True, slots=True)
class Comparison(Node):
    op: Literal["<", "<=", ">", ">=", "=", "<>"]
    left: Expression
    right: Expression


@dataclass(frozen=True, slots=True)
class Logic(Node):
    op: Literal["and", "or"]
    left: Expression
    right: Expression


@dataclass(frozen=True, slots=True)
class Call(Node):
    function: Name
    arguments: tuple[Expression, ...]


Expression: TypeAlias = (
    Number | Text | Reference | Field | Negate | Not | Arithmetic | Comparison | Logic | Call
)


@dataclass(frozen=True, slots=True)
class Argument(Node):
    """``step = 1 in`` in brackets after a motif's or figure's name."""

    name: Name
    value: Expression


# ---------------------------------------------------------------- geometry


@dataclass(frozen=True, slots=True)
class Point(Node):
    """``(a, b)``, or ``(a, b) + (x, y)`` with ``offset`` holding ``(x, y)``."""

    a: Expression
    b: Expression
    offset: tuple[Expression, Expression] | None = None


@dataclass(frozen=True, slots=True)
class LineTo(Node):
    to: Point


@dataclass(frozen=True, slots=True)
class TautTo(Node):
    to: Point


@dataclass(frozen=True, slots=True)
class ArcRise(Node):
    to: Point
    rise: Expression


@dataclass(frozen=True, slots=True)
class ArcThrough(Node):
    to: Point
    through: Point


@dataclass(frozen=True, slots=True)
class CurveTo(Node):
    to: Point
    leaving: Point
    arriving: Point


Segment: TypeAlias = LineTo | TautTo | ArcRise | ArcThrough | CurveTo


@dataclass(frozen=True, slots=True)
class PathFrom(Node):
    start: Point
    segments: tuple[Segment, ...]
    closed: bool


@dataclass(frozen=True, slots=True)
class Rectangle(Node):
    start: Point
    to: Point


@dataclass(frozen=True, slots=True)
class Circle(Node):
    at: Point
    across: Expression


@dataclass(frozen=True, slots=True)
class Dot(Node):
    at: Point
    across: Expression | None


@dataclass(frozen=True, slots=True)
class DotsAlong(Node):
    path: Name
    every: Expression
    across: Expression | None


@dataclass(frozen=True, slots=True)
class Footprint(Node):
    tool: Name
    at: Point
    tilted: Expression | None


@dataclass(frozen=True, slots=True)
class FootprintsAlong(Node):
    tool: Name
    path: Name
    every: Expression


@dataclass(frozen=True, slots=True)
class NamedPath(Node):
    name: str


@dataclass(frozen=True, slots=True)
class Offset(Node):
    """``side``: ``left`` is the plain form, to the left of travel (negative: right)."""

    path: Name
    side: Literal["left", "both", "outward", "inward"]
    by: Expression


@dataclass(frozen=True, slots=True)
class Along(Node):
    """The whole ring or vertical."""


@dataclass(frozen=True, slots=True)
class ClearOf(Node):
    geometry: Geometry
    path: Name
    by: Expression


@dataclass(frozen=True, slots=True)
class Within(Node):
    geometry: Geometry
    path: Name


Geometry: TypeAlias = (
    PathFrom | Rectangle | Circle | Dot | DotsAlong | Footprint | FootprintsAlong | NamedPath
    | Offset | Along | ClearOf | Within
)


# ---------------------------------------------------------------- statements


@dataclass(frozen=True, slots=True)
class Note(Node):
    text: Text


@dataclass(frozen=True, slots=True)
class Let(Node):
    """A statement, and a definition of a file, a motif or a figure."""

    name: Name
    value: Expression
    description: Text | None = None


@dataclass(frozen=True, slots=True)
class PathDefinition(Node):
    name: Name
    geometry: Geometry


@dataclass(frozen=True, slots=True)
class Modifier(Node):
    """``depth width pitch with colour unbroken``; only ``unbroken`` has no value."""

    word: Literal["depth", "width", "pitch", "with", "colour", "unbroken"]
    value: Expression | None


@dataclass(frozen=True, slots=True)
class Work(Node):
    """A technique line."""

    technique: Name
    geometries: tuple[Geometry, ...]
    modifiers: tuple[Modifier, ...]


@dataclass(frozen=True, slots=True)
class Branch(Node):
    condition: Expression
    body: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class If(Node):
    branches: tuple[Branch, ...]
    otherwise: tuple[Statement, ...] | None


@dataclass(frozen=True, slots=True)
class Repeat(Node):
    count: Expression
    name: Name
    body: tuple[Statement, ...]


Axis: TypeAlias = Literal["left-right", "top-bottom", "both ways"]


@dataclass(frozen=True, slots=True)
class RotatedTimes(Node):
    count: Expression


@dataclass(frozen=True, slots=True)
class Rotated(Node):
    angle: Expression


@dataclass(frozen=True, slots=True)
class Mirrored(Node):
    axis: Axis


@dataclass(frozen=True, slots=True)
class Reversed(Node):
    """``axis`` is never ``both ways``."""

    axis: Axis


@dataclass(frozen=True, slots=True)
class Moved(Node):
    by: Point


Move: TypeAlias = RotatedTimes | Rotated | Mirrored | Reversed | Moved


@dataclass(frozen=True, slots=True)
class DrawFigure(Node):
    figure: Name
    arguments: tuple[Argument, ...]
    box: tuple[Point, Point] | None
    moves: tuple[Move, ...]


@dataclass(frozen=True, slots=True)
class DrawGroup(Node):
    body: tuple[Statement, ...]
    moves: tuple[Move, ...]


Statement: TypeAlias = (
    Note | Let | PathDefinition | Work | If | Repeat | DrawFigure | DrawGroup
)


# ---------------------------------------------------------------- motifs and figures


@dataclass(frozen=True, slots=True)
class Given(Node):
    name: Name
    kind: Name
    default: Expression | None
    description: Text | None


@dataclass(frozen=True, slots=True)
class Columns(Node):
    """``values`` is one expression, two (width, height) for ``proportional``."""

    law: Literal["number", "near", "proportional"]
    values: tuple[Expression, ...]
    multiple: Expression | None
    spaced: tuple[Expression, ...]
    each_row: bool


@dataclass(frozen=True, slots=True)
class Rows(Node):
    """``values`` is one expression, two (width, height) for ``proportional``."""

    law: Literal["number", "every", "near", "proportional"]
    values: tuple[Expression, ...]
    multiple: Expression | None
    spaced: tuple[Expression, ...]
    by_height: bool


@dataclass(frozen=True, slots=True)
class Shift(Node):
    by: Expression
    each: Literal["row", "column"]


@dataclass(frozen=True, slots=True)
class Grid(Node):
    columns: Columns
    rows: Rows
    shift: Shift | None


@dataclass(frozen=True, slots=True)
class Rule(Node):
    """``place`` says where; ``group`` is (columns, rows) for ``each M by N cells``."""

    place: Literal["cell", "group", "crossing", "ring", "vertical", "once"]
    group: tuple[Expression, Expression] | None
    condition: Expression | None
    body: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class Motif(Node):
    """``items`` in the order written: givens, lets, notes, one grid (checked later), rules."""

    name: Name
    description: Text | None
    items: tuple[Given | Let | Note | Grid | Rule, ...]


@dataclass(frozen=True, slots=True)
class Figure(Node):
    name: Name
    size: tuple[Expression, Expression] | None
    description: Text | None
    givens: tuple[Given, ...]
    body: tuple[Statement, ...]


# ---------------------------------------------------------------- forms, tools, clay


@dataclass(frozen=True, slots=True)
class Stage(Node):
    """``wet``, ``leather-hard``, ``bone-dry``, ``bisque`` or ``fired``."""

    name: str


@dataclass(frozen=True, slots=True)
class Shrinkage(Node):
    by: Expression
    stage: Stage


@dataclass(frozen=True, slots=True)
class Clay(Node):
    name: Name
    description: Text | None
    shrinkages: tuple[Shrinkage, ...]
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class Station(Node):
    at: Expression
    measure: Literal["across", "around"]
    size: Expression
    corner: bool


@dataclass(frozen=True, slots=True)
class Profile(Node):
    joined: Literal["straight", "smooth"]
    by_tape: bool
    stations: tuple[Station, ...]
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class WallPlace(Node):
    """``from`` is a landmark, ``height`` or ``tape``; ``terms`` are signed lengths added to a landmark,
    or the single length behind ``height`` or ``tape``."""

    origin: Literal["foot", "rim", "belly", "neck", "height", "tape"]
    terms: tuple[tuple[Literal["+", "-"], Expression], ...]


@dataclass(frozen=True, slots=True)
class Reserve(Node):
    name: Text
    start: WallPlace
    to: WallPlace
    facing: Expression
    wide: Expression


@dataclass(frozen=True, slots=True)
class Measured(Node):
    stage: Stage


@dataclass(frozen=True, slots=True)
class UsesClay(Node):
    clay: Name


@dataclass(frozen=True, slots=True)
class Thickness(Node):
    value: Expression


@dataclass(frozen=True, slots=True)
class DecoratedSide(Node):
    side: Literal["outside", "inside"]


@dataclass(frozen=True, slots=True)
class Form(Node):
    """``items`` in the order written; which may stand once is checked later."""

    name: Name
    description: Text | None
    items: tuple[Measured | UsesClay | Thickness | DecoratedSide | Profile | Reserve | Note, ...]


@dataclass(frozen=True, slots=True)
class ToolSize(Node):
    word: Literal["wide", "tall", "cuts", "deep", "pitch", "volume"]
    value: Expression


@dataclass(frozen=True, slots=True)
class ToolOutline(Node):
    path: PathFrom


@dataclass(frozen=True, slots=True)
class Tool(Node):
    name: Name
    description: Text | None
    items: tuple[ToolSize | ToolOutline | Note, ...]


# ---------------------------------------------------------------- pieces


@dataclass(frozen=True, slots=True)
class UsesForm(Node):
    form: Name


@dataclass(frozen=True, slots=True)
class DecoratedAt(Node):
    stage: Stage


@dataclass(frozen=True, slots=True)
class DimensionsAt(Node):
    stage: Stage


@dataclass(frozen=True, slots=True)
class ColumnRange(Node):
    """``1 to 4``, or one column with ``last`` None."""

    first: Expression
    last: Expression | None


@dataclass(frozen=True, slots=True)
class Band(Node):
    motif: Name
    arguments: tuple[Argument, ...]
    reach: tuple[WallPlace, WallPlace] | None
    panels: tuple[ColumnRange, ...]
    starting: Expression | None


@dataclass(frozen=True, slots=True)
class RingWork(Node):
    """``carve ring at height 146 mm depth 2 mm``."""

    technique: Name
    at: WallPlace
    modifiers: tuple[Modifier, ...]


@dataclass(frozen=True, slots=True)
class EdgeWork(Node):
    """``carve edge of "initials" 3 mm outside depth 1 mm``; without a distance ``by`` and ``side`` are None."""

    technique: Name
    reserve: Text
    by: Expression | None
    side: Literal["outside", "inside"] | None
    modifiers: tuple[Modifier, ...]


@dataclass(frozen=True, slots=True)
class Piece(Node):
    name: Name
    description: Text | None
    items: tuple[
        UsesForm | DecoratedAt | DimensionsAt | Band | RingWork | EdgeWork | Reserve | Note, ...
    ]


# ---------------------------------------------------------------- files


@dataclass(frozen=True, slots=True)
class Taken(Node):
    """One name of a ``take``; ``alias`` is the name it goes by here."""

    name: Name
    alias: Name


@dataclass(frozen=True, slots=True)
class Take(Node):
    """``names`` is None for ``take all``."""

    names: tuple[Taken, ...] | None
    file: Text


@dataclass(frozen=True, slots=True)
class Header(Node):
    """``title``, ``by`` or ``licence`` with its text."""

    word: Literal["title", "by", "licence"]
    value: Text


Definition: TypeAlias = Let | Clay | Form | Tool | Figure | Motif | Piece


@dataclass(frozen=True, slots=True)
class File(Node):
    """A parsed file. ``spoiled`` holds the names that stood in text which could not be read, so that
    later stages do not complain that they are unknown."""

    language: int | None
    items: tuple[Header | Note | Take | Definition, ...]
    spoiled: frozenset[str]
