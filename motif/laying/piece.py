"""The laid piece: all that outputs see.

Angles are in radians, growing to the right as seen, 0 at the starting mark; tape distances, heights
and radii in mm at the stage of decorating. ``Points`` and the rings hold one numpy array a column;
paths are objects, since each has its own number of points.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.language.source import Span
from motif.model.values import ToolSizes as LaidTool
from motif.wall import Wall

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: What grows by equal steps from ring to ring; σ = ∫ ds/r keeps cells in proportion.
Stepping = Literal["tape", "height", "sigma"]


@record
class Work:
    """How a mark is made. Lengths in mm; None where neither the line nor its tool says."""

    technique: str
    tool: LaidTool | None
    colour: str | None
    depth: float | None
    width: float | None
    pitch: float | None
    span: Span

    @property
    def key(self) -> tuple[str, str | None, str | None]:
        """Technique, tool and colour: what counts are kept by."""
        return self.technique, None if self.tool is None else self.tool.name, self.colour


@record
class Points:
    """Dots and footprints, ``n`` of them, in the order in which they are made.

    ``column``, ``row``, ``vertical`` and ``ring`` are −1 where they do not apply. ``across`` is the
    size of a dot (NaN: a bare point), ``lean`` the tilt of a footprint counter-clockwise in radians,
    ``area`` the footprint's area on the wall (mm², 0 for a dot). ``shape`` numbers the outline in
    ``shapes`` (−1: none), each (k, 2): angle less the mark's own angle, and tape."""

    works: tuple[Work, ...]
    work: Ints
    is_footprint: NDArray[np.bool_]
    column: Ints
    row: Ints
    vertical: Ints
    ring: Ints
    angle: Floats
    tape: Floats
    height: Floats
    radius: Floats
    across: Floats
    lean: Floats
    area: Floats
    shape: Ints
    shapes: tuple[Floats, ...]

    def __len__(self) -> int:
        return len(self.angle)


@record
class LaidPath:
    """A stroke (worked along its line) or an outline (worked over its area).

    ``points`` is (k, 2): angle, running on without a jump at the closing vertical, and tape; no chord
    leaves the wall by more than 0.05 mm. A closed path ends on its first point. ``length`` is the
    curve's own length on the wall, ``area`` (mm²) that of a closed one made by ``close``,
    ``rectangle``, ``circle`` or a footprint. ``holes`` are further closed rings of an outline."""

    work: Work
    worked_over: bool
    closed: bool
    length: float
    area: float
    impressions: int
    pitch_reached: float | None
    column: int
    row: int
    vertical: int
    ring: int
    points: Floats
    holes: tuple[Floats, ...] = ()


@record
class Rings:
    """The rings of a band from its start, one entry each."""

    tape: Floats
    height: Floats
    radius: Floats
    circumference: Floats
    column_width: Floats | None
    chord: Floats | None


@record
class Meeting:
    """How the footprints of a tool meet in one row (of cells; else in one ring): ``gap`` mm are lacking where they
    meet worst, negative where they overlap; there the one on the left stands in column (on vertical) ``place``
    (−1: unknown) at ``tape``. ``across``: the other stands in the next column of a half-drop, higher or lower."""

    work: Work
    number: int
    by_row: bool
    gap: float
    place: int = -1
    tape: float = 0.0
    across: bool = False


@record
class RowFit:
    """How the pattern sits on one row of a band; a ring has a line of its own where footprints meet on it.

    ``from_tape`` is nearer the band's start. ``cell_width`` (of the widest column, by soft tape half-way up in b) and
    ``cell_height`` in mm; ``proportion`` is the one divided by the other, ``against_first`` that divided by the first
    row's (where rows are spaced, by what the first row's would be at this row's share of height). ``gap`` is what
    footprints of ``tool`` lack to meet, negative where they overlap; ``land`` the clay left beside cut lines where that
    is least for the wider cut there, ``cut``. ``depth`` is the deepest cut, ``depth_part`` that as a part of the wall.
    ``marks_overlap`` is by how much round marks of the row run into others at worst, in whatever direction, mm.
    All None where there is nothing of the kind. ``warnings`` are the codes of what this row gives rise to, the worst
    first, which is ``excess`` times its bound."""

    row: int | None
    ring: int | None
    from_tape: float
    to_tape: float
    columns: int | None
    cell_width: float | None
    cell_height: float | None
    proportion: float | None
    against_first: float | None
    tool: str | None
    gap: float | None
    land: float | None
    cut: float | None
    depth: float | None
    depth_part: float | None
    warnings: tuple[str, ...] = ()
    excess: float = 0.0
    marks_overlap: float | None = None


@record
class LaidBand:
    number: int
    motif: str
    description: str | None
    columns: int | None
    rows: int
    row_columns: Ints | None
    from_tape: float
    to_tape: float
    left_over: float | None
    proportion: float | None
    rings: Rings
    verticals: Floats
    points: Points
    paths: tuple[LaidPath, ...]
    #: (technique, tool name, colour) → point marks that fell in a reserve or outside the band
    skipped: dict[tuple[str, str | None, str | None], int]
    #: panels as (from angle, to angle) in radians; empty when the band goes all round
    panels: tuple[tuple[float, float], ...]
    notes: tuple[str, ...] = ()
    #: how tools that are meant to meet their neighbours do
    meetings: tuple[Meeting, ...] = ()
    #: how the pattern sits on the wall, row by row from the band's start
    fit: tuple[RowFit, ...] = ()
    #: what grows evenly from ring to ring
    stepping: Stepping = "tape"


@record
class RingLine:
    """A line round the pot that the piece itself asks for."""

    work: Work
    tape: float
    height: float
    radius: float


@record
class LaidReserve:
    """A patch kept free: its outline (k, 2) in angle and tape, counter-clockwise, not closed on itself."""

    name: str
    from_tape: float
    to_tape: float
    facing: float
    wide: float
    outline: Floats


@record
class LaidForm:
    name: str
    description: str | None
    stage: str
    side: str
    wall: Wall
    thickness: float | None
    #: the stations at this stage: (tape, height, radius, corner)
    stations: tuple[tuple[float, float, float, bool], ...]
    #: landmark name → tape
    landmarks: dict[str, float]


@record
class LaidRate:
    """How fast a technique goes: ``per_minute`` marks, mm or mm². ``tool`` is the name of the one it holds for;
    None: for every tool that has no rate of its own."""

    technique: str
    tool: str | None
    measure: Literal["count", "length", "area"]
    per_minute: float


@record
class LaidPace:
    """Somebody's own rates; ``spare`` is what they make beyond need, as a part of it."""

    name: str
    description: str | None
    rates: tuple[LaidRate, ...]
    spare: float


@record
class LaidPiece:
    """A piece laid on its form. ``lines`` and ``paths`` are the piece's own, of no band."""

    name: str
    description: str | None
    title: str | None
    by: str | None
    licence: str | None
    form: LaidForm
    stage: str
    dimensions_stage: str
    #: length at ``stage`` of 1 mm as written in the piece and its motifs
    scale: float
    clay: str | None
    bands: tuple[LaidBand, ...]
    lines: tuple[RingLine, ...]
    paths: tuple[LaidPath, ...]
    reserves: tuple[LaidReserve, ...]
    notes: tuple[str, ...] = ()
    #: length at the wet stage of 1 mm at ``stage``; None where the clay does not say how it shrinks
    wet_scale: float | None = None
    pace: LaidPace | None = None
