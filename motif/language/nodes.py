"""Syntax nodes: what the text says, before names and kinds are checked.

Every node carries the span of the text it came from. Names are in lower case, as the language
reads them; texts are as written.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

from motif.language.record import record
from motif.language.source import Span


@record
class Node:
    span: Span


@record
class Name(Node):
    text: str


@record
class Text(Node):
    value: str


# ---------------------------------------------------------------- expressions


@record
class Number(Node):
    """A number with the unit right behind it, if any (``mm cm in deg turn ml tsp tbsp %``)."""

    value: float
    unit: str | None


@record
class Reference(Node):
    """A name read for its value; ``chord`` too."""

    name: str


@record
class Field(Node):
    """``tooth.deep``."""

    owner: Name
    field: Name


@record
class Negate(Node):
    operand: Expression


@record
class Not(Node):
    operand: Expression


@record
class Arithmetic(Node):
    op: Literal["+", "-", "*", "/"]
    left: Expression
    right: Expression


@record
class Comparison(Node):
    op: Literal["<", "<=", ">", ">=", "=", "<>"]
    left: Expression
    right: Expression


@record
class Logic(Node):
    op: Literal["and", "or"]
    left: Expression
    right: Expression


@record
class Call(Node):
    function: Name
    arguments: tuple[Expression, ...]


Expression: TypeAlias = Number | Text | Reference | Field | Negate | Not | Arithmetic | Comparison | Logic | Call


@record
class Argument(Node):
    """``step = 1 in`` in brackets after a motif's or figure's name."""

    name: Name
    value: Expression


# ---------------------------------------------------------------- geometry


@record
class Point(Node):
    """``(a, b)``, or ``(a, b) + (x, y)`` with ``offset`` holding ``(x, y)``."""

    a: Expression
    b: Expression
    offset: tuple[Expression, Expression] | None = None


@record
class LineTo(Node):
    to: Point


@record
class TautTo(Node):
    to: Point


@record
class ArcRise(Node):
    to: Point
    rise: Expression


@record
class ArcThrough(Node):
    to: Point
    through: Point


@record
class CurveTo(Node):
    to: Point
    leaving: Point
    arriving: Point


Segment: TypeAlias = LineTo | TautTo | ArcRise | ArcThrough | CurveTo


@record
class PathFrom(Node):
    start: Point
    segments: tuple[Segment, ...]
    closed: bool


@record
class Rectangle(Node):
    start: Point
    to: Point


@record
class Circle(Node):
    at: Point
    across: Expression


@record
class Dot(Node):
    at: Point
    across: Expression | None


@record
class DotsAlong(Node):
    path: Name
    every: Expression
    across: Expression | None


@record
class Footprint(Node):
    tool: Name
    at: Point
    tilted: Expression | None


@record
class FootprintsAlong(Node):
    tool: Name
    path: Name
    every: Expression


@record
class NamedPath(Node):
    name: str


@record
class Offset(Node):
    """``side``: ``left`` is the plain form, to the left of travel (negative: right)."""

    path: Name
    side: Literal["left", "both", "outward", "inward"]
    by: Expression


@record
class Along(Node):
    """The whole ring or vertical."""


@record
class ClearOf(Node):
    geometry: Geometry
    path: Name
    by: Expression


@record
class Within(Node):
    geometry: Geometry
    path: Name


Geometry: TypeAlias = (
    PathFrom
    | Rectangle
    | Circle
    | Dot
    | DotsAlong
    | Footprint
    | FootprintsAlong
    | NamedPath
    | Offset
    | Along
    | ClearOf
    | Within
)


# ---------------------------------------------------------------- statements


@record
class Note(Node):
    text: Text


@record
class Let(Node):
    """A statement, and a definition of a file, a motif or a figure."""

    name: Name
    value: Expression
    description: Text | None = None


@record
class PathDefinition(Node):
    name: Name
    geometry: Geometry


@record
class Modifier(Node):
    """``depth width pitch with colour unbroken``; only ``unbroken`` has no value."""

    word: Literal["depth", "width", "pitch", "with", "colour", "unbroken"]
    value: Expression | None


@record
class Work(Node):
    """A technique line."""

    technique: Name
    geometries: tuple[Geometry, ...]
    modifiers: tuple[Modifier, ...]


@record
class Branch(Node):
    condition: Expression
    body: tuple[Statement, ...]


@record
class If(Node):
    branches: tuple[Branch, ...]
    otherwise: tuple[Statement, ...] | None


@record
class Repeat(Node):
    count: Expression
    name: Name
    body: tuple[Statement, ...]


Axis: TypeAlias = Literal["left-right", "top-bottom", "both ways"]


@record
class RotatedTimes(Node):
    count: Expression


@record
class Rotated(Node):
    angle: Expression


@record
class Mirrored(Node):
    axis: Axis


@record
class Reversed(Node):
    """``axis`` is never ``both ways``."""

    axis: Axis


@record
class Moved(Node):
    by: Point


Move: TypeAlias = RotatedTimes | Rotated | Mirrored | Reversed | Moved


@record
class DrawFigure(Node):
    figure: Name
    arguments: tuple[Argument, ...]
    box: tuple[Point, Point] | None
    moves: tuple[Move, ...]


@record
class DrawGroup(Node):
    body: tuple[Statement, ...]
    moves: tuple[Move, ...]


Statement: TypeAlias = Note | Let | PathDefinition | Work | If | Repeat | DrawFigure | DrawGroup


# ---------------------------------------------------------------- motifs and figures


@record
class Given(Node):
    name: Name
    kind: Name
    default: Expression | None
    description: Text | None


@record
class Columns(Node):
    """``values`` is one expression, two (width, height) for ``proportional``."""

    law: Literal["number", "near", "proportional"]
    values: tuple[Expression, ...]
    multiple: Expression | None
    spaced: tuple[Expression, ...]
    each_row: bool


@record
class Rows(Node):
    """``values`` is one expression, two (width, height) for ``proportional``."""

    law: Literal["number", "every", "near", "proportional"]
    values: tuple[Expression, ...]
    multiple: Expression | None
    spaced: tuple[Expression, ...]
    by_height: bool


@record
class Shift(Node):
    by: Expression
    each: Literal["row", "column"]


@record
class Grid(Node):
    columns: Columns
    rows: Rows
    shift: Shift | None


@record
class Rule(Node):
    """``place`` says where; ``group`` is (columns, rows) for ``each M by N cells``."""

    place: Literal["cell", "group", "crossing", "ring", "vertical", "once"]
    group: tuple[Expression, Expression] | None
    condition: Expression | None
    body: tuple[Statement, ...]


@record
class Motif(Node):
    """``items`` in the order written: givens, lets, notes, one grid (checked later), rules."""

    name: Name
    description: Text | None
    items: tuple[Given | Let | Note | Grid | Rule, ...]


@record
class Figure(Node):
    name: Name
    size: tuple[Expression, Expression] | None
    description: Text | None
    givens: tuple[Given, ...]
    body: tuple[Statement, ...]


# ---------------------------------------------------------------- forms, tools, clay


@record
class Stage(Node):
    """``wet``, ``leather-hard``, ``bone-dry``, ``bisque`` or ``fired``."""

    name: str


@record
class Shrinkage(Node):
    by: Expression
    stage: Stage


@record
class Clay(Node):
    name: Name
    description: Text | None
    shrinkages: tuple[Shrinkage, ...]
    notes: tuple[Note, ...]


@record
class Station(Node):
    at: Expression
    measure: Literal["across", "around"]
    size: Expression
    corner: bool


@record
class Profile(Node):
    joined: Literal["straight", "smooth"]
    by_tape: bool
    stations: tuple[Station, ...]
    notes: tuple[Note, ...] = ()


@record
class WallPlace(Node):
    """``from`` is a landmark, ``height`` or ``tape``; ``terms`` are signed lengths added to a landmark,
    or the single length behind ``height`` or ``tape``."""

    origin: Literal["foot", "rim", "belly", "neck", "height", "tape"]
    terms: tuple[tuple[Literal["+", "-"], Expression], ...]


@record
class Reserve(Node):
    name: Text
    start: WallPlace
    to: WallPlace
    facing: Expression
    wide: Expression


@record
class Measured(Node):
    stage: Stage


@record
class UsesClay(Node):
    clay: Name


@record
class Thickness(Node):
    value: Expression


@record
class DecoratedSide(Node):
    side: Literal["outside", "inside"]


@record
class Form(Node):
    """``items`` in the order written; which may stand once is checked later."""

    name: Name
    description: Text | None
    items: tuple[Measured | UsesClay | Thickness | DecoratedSide | Profile | Reserve | Note, ...]


@record
class ToolSize(Node):
    word: Literal["wide", "tall", "cuts", "deep", "pitch", "volume"]
    value: Expression


@record
class ToolOutline(Node):
    path: PathFrom


@record
class Tool(Node):
    name: Name
    description: Text | None
    items: tuple[ToolSize | ToolOutline | Note, ...]


# ---------------------------------------------------------------- pieces


@record
class UsesForm(Node):
    form: Name


@record
class DecoratedAt(Node):
    stage: Stage


@record
class DimensionsAt(Node):
    stage: Stage


@record
class ColumnRange(Node):
    """``1 to 4``, or one column with ``last`` None."""

    first: Expression
    last: Expression | None


@record
class Band(Node):
    motif: Name
    arguments: tuple[Argument, ...]
    reach: tuple[WallPlace, WallPlace] | None
    panels: tuple[ColumnRange, ...]
    starting: Expression | None


@record
class RingWork(Node):
    """``carve ring at height 146 mm depth 2 mm``."""

    technique: Name
    at: WallPlace
    modifiers: tuple[Modifier, ...]


@record
class EdgeWork(Node):
    """``carve edge of "initials" 3 mm outside depth 1 mm``; without a distance ``by`` and ``side`` are None."""

    technique: Name
    reserve: Text
    by: Expression | None
    side: Literal["outside", "inside"] | None
    modifiers: tuple[Modifier, ...]


@record
class UsesPace(Node):
    pace: Name


@record
class Piece(Node):
    name: Name
    description: Text | None
    items: tuple[UsesForm | DecoratedAt | DimensionsAt | UsesPace | Band | RingWork | EdgeWork | Reserve | Note, ...]


# ---------------------------------------------------------------- paces


@record
class Rate(Node):
    """``carve 40 cm each minute with small-loop``; an area is written ``10 cm by 10 cm``, its second side ``by``."""

    technique: Name
    amount: Expression
    by: Expression | None
    each: Literal["minute", "hour"]
    tool: Name | None


@record
class Spare(Node):
    """What is made beyond need, as a part of it."""

    part: Expression


@record
class Pace(Node):
    name: Name
    description: Text | None
    items: tuple[Rate | Spare | Note, ...]


# ---------------------------------------------------------------- files


@record
class Taken(Node):
    """One name of a ``take``; ``alias`` is the name it goes by here."""

    name: Name
    alias: Name


@record
class Take(Node):
    """``names`` is None for ``take all``."""

    names: tuple[Taken, ...] | None
    file: Text


@record
class Header(Node):
    """``title``, ``by`` or ``licence`` with its text."""

    word: Literal["title", "by", "licence"]
    value: Text


Definition: TypeAlias = Let | Clay | Form | Tool | Figure | Motif | Piece | Pace


@record
class File(Node):
    """A parsed file. ``gaps`` are the places that could not be read, ``spoiled`` the names that stood there:
    later stages do not complain that what may have been said there is missing or unknown."""

    language: int | None
    items: tuple[Header | Note | Take | Definition, ...]
    spoiled: frozenset[str]
    gaps: tuple[Span, ...]
