"""Places on the wall as a potter finds them: by vertical and ring.

Grid coordinates here are (a, b) as they are counted at the bench: a columns to the right of vertical 1,
b rings from the start of the band, whichever way the rows run. ``vertical 2 1/2`` lies half-way from
vertical 2 to vertical 3; levels that are no ring are told by tape, in one way everywhere.
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np

from motif.language.record import record
from motif.laying.piece import Floats, LaidBand
from motif.outputs.numbers import Unit, length_with_unit
from motif.wall import Wall

#: What lies nearer than this to a mark is told as lying on it, mm: a hand marks no closer. Common practice, no source.
ON_THE_MARK = 0.5
#: So near must a place be to a third, a quarter or a smaller part to be told as that, mm: else a length is closer.
_ON_A_PART = 0.15
#: A place nearer to a ring than this, in rows, has its tape.
_ON_A_RING = 1e-9
#: Parts of a turn that differ by less are equal.
_EVEN = 1e-9
#: Parts of a column or row that a hand finds by eye or by folding a strip of paper.
_PARTS = tuple(
    sorted({Fraction(p, q) for q in (1, 2, 3, 4, 5, 6, 8, 10) for p in range(q + 1)}, key=lambda f: (f.denominator, f))
)
_PART_VALUES = np.array([float(p) for p in _PARTS])
_PART_REACH = np.array([ON_THE_MARK if p.denominator <= 2 else _ON_A_PART for p in _PARTS])


@record
class BandGrid:
    """The grid of a band, or of one of its rows where each has its own columns.

    ``turns`` (columns + 1,) is the part of the way round at each vertical from the first, which lies at
    ``start`` (radians). ``tapes`` (rows + 1,) are the rings' tapes from the band's start, ``levels`` what
    grows evenly from ring to ring."""

    wall: Wall
    start: float
    turns: Floats
    tapes: Floats
    levels: Floats
    stepping: str

    @property
    def columns(self) -> int:
        return len(self.turns) - 1

    @property
    def rows(self) -> int:
        return len(self.tapes) - 1

    @property
    def rising(self) -> bool:
        """Whether rings are counted up the wall."""
        return float(self.tapes[-1]) >= float(self.tapes[0])

    @property
    def even(self) -> bool:
        """Whether all columns are of one width."""
        return float(np.ptp(np.diff(self.turns))) < _EVEN

    def a(self, angle: Floats) -> Floats:
        """Columns to the right of vertical 1, running on past a turn."""
        turn = (angle - self.start) / math.tau
        whole = np.floor(turn + 1e-12)
        inside = np.interp(turn - whole, self.turns, np.arange(self.columns + 1, dtype=np.float64))
        return whole * self.columns + inside

    def angle(self, a: Floats) -> Floats:
        whole = np.floor(a / self.columns)
        inside = np.interp(a - whole * self.columns, np.arange(self.columns + 1), self.turns)
        return self.start + math.tau * (whole + inside)

    def b(self, tape: Floats) -> Floats:
        """Rings from the band's start; beyond the band by the slope of its end."""
        if self.stepping == "height":
            level = self.wall.height(tape)
        elif self.stepping == "sigma":
            level = self.wall.sigma(tape)
        else:
            level = np.asarray(tape, dtype=np.float64)
        return _interpolated(level, self.levels)

    def b_by_tape(self, tape: Floats) -> Floats:
        """The same, but even in tape between one ring and the next, as a hand divides a row."""
        return _interpolated(np.asarray(tape, dtype=np.float64), self.tapes)

    def tape(self, b: Floats) -> Floats:
        """The tape of a place between rings."""
        level = np.interp(b, np.arange(self.rows + 1, dtype=np.float64), self.levels)
        if self.stepping == "height":
            return self.wall.tape_at_height(level, float(self.tapes.min()), float(self.tapes.max()))
        if self.stepping == "sigma":
            return self.wall.tape_at_sigma(level)
        return level

    def tape_of(self, b: float) -> float:
        """The tape of one place between rings."""
        ring = round(b)
        if abs(b - ring) < _ON_A_RING and 0 <= ring <= self.rows:
            return float(self.tapes[ring])
        return float(self.tape(np.array(b)))

    def angle_of(self, a: float) -> float:
        """The angle of one place between verticals."""
        return float(self.angle(np.array(a)))

    def column_mm(self, a: float, tape: float) -> float:
        """Width of the column to the right of a, by soft tape at ``tape``."""
        k = math.floor(a + 1e-9) % self.columns
        return float(self.wall.radius(tape)) * math.tau * float(self.turns[k + 1] - self.turns[k])

    def row_mm(self, b: float) -> float:
        """Height by tape of the row in which b lies."""
        k = min(max(math.floor(b + 1e-9), 0), self.rows - 1)
        return abs(float(self.tapes[k + 1] - self.tapes[k]))


def _interpolated(value: Floats, marks: Floats) -> Floats:
    """Where values lie among marks that rise or fall, counted in marks; beyond them by the end's slope."""
    sign = 1.0 if marks[-1] >= marks[0] else -1.0
    rising, value = sign * marks, sign * value
    k = np.clip(np.searchsorted(rising, value, side="right") - 1, 0, len(marks) - 2)
    return k + (value - rising[k]) / (rising[k + 1] - rising[k])


def grid_of(band: LaidBand, wall: Wall, row: int | None = None) -> BandGrid:
    """The grid of a band; with columns of each row's own, that of a row (from 1)."""
    tapes = band.rings.tape
    levels = (
        tapes if band.stepping == "tape" else wall.height(tapes) if band.stepping == "height" else wall.sigma(tapes)
    )
    start = first_angle(band)
    if band.row_columns is not None:
        n = int(band.row_columns[(row or 1) - 1])
        turns = np.arange(n + 1) / n
    else:
        turns = np.append((band.verticals - start) / math.tau, 1.0)
    return BandGrid(wall, start, turns, tapes, levels, band.stepping)


def first_angle(band: LaidBand) -> float:
    """Where vertical 1 lies, radians to the right of the starting mark; 0 for a band without verticals."""
    return float(band.verticals[0]) if len(band.verticals) else 0.0


def first_turn(a: Floats, columns: int) -> Floats:
    """Columns from 0 up to a whole turn; a rounding to the left of 0 is 0."""
    rest = np.mod(a, columns)
    return np.where(columns - rest < 1e-4, 0.0, rest)


def origin_of(wall: Wall) -> str:
    """Where tape is measured from."""
    return "the foot" if float(wall.radius(0.0)) > 1 else "the middle"


@record
class Spot:
    """A place beside the marks of a grid: ``vertical`` is a number and part that a hand finds and ``right`` what is
    left over (mm, 0 where nothing is); ``ring`` is the ring on which it lies, None between rings; ``tape`` in mm."""

    vertical: Fraction
    right: float
    ring: int | None
    tape: float

    def text(self, unit: Unit) -> str:
        """``vertical 2 1/2 ring 1``, ``vertical 2 tape 31.4 mm``, ``7.3 mm right of vertical 2, ring 1``."""
        between = ", " if self.right else " "
        return f"{vertical_words(self.vertical, self.right, unit)}{between}{level_words(self.ring, self.tape, unit)}"


def spot(grid: BandGrid, a: float, b: float) -> Spot:
    """Where a place lies, what is nearer to a mark than ``ON_THE_MARK`` on it."""
    ring, tape = level(grid, b)
    part, off = nearest_part(a, grid.column_mm(a, tape))
    if off:
        part = Fraction(round(a))
        off = float(grid.wall.radius(tape)) * (grid.angle_of(a) - grid.angle_of(float(part)))
    return Spot(part % grid.columns + 1, off, ring, tape)


def level(grid: BandGrid, b: float) -> tuple[int | None, float]:
    """The ring on which a level lies, None between rings, and its tape."""
    tape = grid.tape_of(b)
    ring = min(max(round(b), 0), grid.rows)
    if abs(tape - float(grid.tapes[ring])) <= ON_THE_MARK:
        return ring, float(grid.tapes[ring])
    return None, tape


def nearest_part(value: float, size: float) -> tuple[Fraction, float]:
    """The whole number or part that a hand finds for ``value``, and how far off it is in mm (0: on it), with
    ``size`` mm from one whole number to the next. Of parts near enough the plainest: a half before a third."""
    whole = math.floor(value + 1e-9)
    off = (value - whole - _PART_VALUES) * size
    near = np.flatnonzero(np.abs(off) <= _PART_REACH)
    if len(near):
        first = _PARTS[int(near[0])]
        alike = [int(i) for i in near if _PARTS[int(i)].denominator == first.denominator]
        return whole + _PARTS[min(alike, key=lambda i: abs(float(off[i])))], 0.0
    k = int(np.argmin(np.abs(off)))
    return whole + _PARTS[k], float(off[k])


def farthest_from(places: Floats, line: Floats) -> float:
    """How far the farthest of some places (m, 2) lies from a line (k, 2)."""
    start, step = line[:-1], np.diff(line, axis=0)
    along = np.einsum("mnk,nk->mn", places[:, None] - start, step) / np.maximum((step**2).sum(axis=1), 1e-12)
    nearest = start + np.clip(along, 0, 1)[:, :, None] * step
    return float(np.linalg.norm(places[:, None] - nearest, axis=2).min(axis=1).max())


def mixed(value: Fraction) -> str:
    """``2 1/2``, ``0 1/2``: the whole number always stands."""
    whole = math.floor(value)
    rest = value - whole
    return f"{whole} {rest}" if rest else str(whole)


def vertical_words(vertical: Fraction, right: float, unit: Unit) -> str:
    if not right:
        return f"vertical {mixed(vertical)}"
    return f"{length_with_unit(abs(right), unit)} {'right' if right > 0 else 'left'} of vertical {mixed(vertical)}"


def level_words(ring: int | None, tape: float, unit: Unit) -> str:
    return f"tape {length_with_unit(tape, unit)}" if ring is None else f"ring {ring}"
