"""The grid of a band: where verticals and rings lie, and grid coordinates on the wall.

Grid coordinates are (a, b): a counts columns to the right from vertical 1, b rings *up* the wall from
the lowest, whichever end the rows are counted from; ring k of a band counted downward is b = rows − k.
"""

from __future__ import annotations

from math import pi

import numpy as np

from motif.language.messages import Problem
from motif.language.record import record
from motif.language.source import Span
from motif.laying.limits import MOST_LINES
from motif.laying.piece import Floats, Ints, Stepping
from motif.laying.telling import grid_faults
from motif.laying.telling.grid_faults import Line
from motif.model import rules
from motif.model.expressions import Expr, above_zero, one_count
from motif.model.values import Env
from motif.wall import Wall

#: a whole step short by no more than this counts as whole, mm
_STEP_SLACK = 0.01
#: of two parts of one spacing the larger is no more than so many times the smaller
_MOST_UNEVEN = 1_000_000


@record
class Levels:
    """How rows climb the wall: ``value`` of a tape grows evenly from ring to ring.

    ``law`` is ``tape``, ``height`` or ``sigma``; ``marks`` (rows + 1,) are the values at b = 0 … rows and
    ``tapes`` the rings' tapes, both upward. Beyond the band b goes on with the slope of its end."""

    wall: Wall
    law: Stepping
    marks: Floats
    tapes: Floats

    def tape(self, b: Floats) -> Floats:
        inside = np.clip(b, 0, len(self.marks) - 1)
        value = np.interp(inside, np.arange(len(self.marks)), self.marks)
        if self.law == "tape":
            s = value
        elif self.law == "height":
            s = self.wall.tape_at_height(value, float(self.tapes[0]), float(self.tapes[-1]))
        else:
            s = self.wall.tape_at_sigma(value)
        beyond = b - inside
        if np.any(beyond):
            s = s + beyond * self.slope(inside)[0]
        return s

    def slope(self, b: Floats, side: Ints | int = 1, tape: Floats | None = None) -> tuple[Floats, Floats]:
        """ds/db and d²s/db² at b, on the upper (``side`` 1) or lower (−1) side of a ring, one for all or one each.
        ``tape`` is that at b, if it is known."""
        rows = len(self.marks) - 1
        k = np.clip(np.where(np.asarray(side) > 0, np.floor(b), np.ceil(b) - 1), 0, rows - 1).astype(np.int64)
        step = self.marks[k + 1] - self.marks[k]
        if self.law == "tape":
            return step, np.zeros_like(step)
        inside = np.clip(b, 0, rows)
        s = self.tape(inside) if tape is None or np.any(b != inside) else tape
        if self.law == "height":
            up = self.wall.height_slope(s)
            up = np.where(np.abs(up) < 1e-12, np.copysign(1e-12, up), up)
            return step / up, -(step**2) * self.wall.height_bend(s) / up**3
        r, slope = self.wall.radius(s), self.wall.radius_slope(s)
        return step * r, step**2 * r * slope

    def b_at(self, tape: Floats) -> Floats:
        """The grid coordinate of a tape; beyond the band by the slope of its end."""
        inside = np.clip(tape, self.tapes[0], self.tapes[-1])
        if self.law == "tape":
            value = inside
        elif self.law == "height":
            value = self.wall.height(inside)
        else:
            value = self.wall.sigma(inside)
        marks = self.marks if self.marks[-1] >= self.marks[0] else -self.marks
        sign = 1 if self.marks[-1] >= self.marks[0] else -1
        b = np.interp(sign * value, marks, np.arange(len(marks), dtype=np.float64))
        beyond = tape - inside
        return b + np.where(beyond != 0, beyond / self.slope(b)[0], 0.0)


@record
class GridLaw:
    """Verticals and rings of a band on a wall.

    ``columns`` is None with its own number in each row (``row_columns``, from the band's start); the
    coordinate a then counts turns of ``units`` = 1. ``turns`` (units + 1,) is the part of the way round at
    each whole a. ``left_over`` and ``proportion`` as the mark table reports them. ``row_shares`` (rows,) are the
    relative heights that the text gives the rows, from the band's start."""

    columns: int | None
    row_columns: tuple[int, ...] | None
    rows: int
    downward: bool
    start_angle: float
    turns: Floats
    even: bool
    levels: Levels
    left_over: float | None
    proportion: float | None
    row_shares: Floats

    @property
    def spaced_rows(self) -> bool:
        return bool(np.any(self.row_shares != self.row_shares[0]))

    @property
    def units(self) -> int:
        return len(self.turns) - 1

    def angle(self, a: Floats) -> Floats:
        """Angle of a grid coordinate, running on past a full turn."""
        if self.even:
            return self.start_angle + a * (2 * pi / self.units)
        whole = np.floor(a / self.units)
        rest = np.interp(a - whole * self.units, np.arange(self.units + 1), self.turns)
        return self.start_angle + 2 * pi * (whole + rest)

    def angle_slope(self, a: Floats, side: int = 1) -> Floats:
        """dθ/da to the right (``side`` 1) or left (−1) of a."""
        if self.even:
            return np.full(np.shape(a), 2 * pi / self.units)
        k = np.mod(np.floor(a) if side > 0 else np.ceil(a) - 1, self.units).astype(np.int64)
        return 2 * pi * (self.turns[k + 1] - self.turns[k])

    def a_at(self, angle: Floats) -> Floats:
        turn = (angle - self.start_angle) / (2 * pi)
        if self.even:
            return turn * self.units
        whole = np.floor(turn)
        return whole * self.units + np.interp(turn - whole, self.turns, np.arange(self.units + 1, dtype=np.float64))

    def ring_b(self, ring: Floats) -> Floats:
        """The upward coordinate of ring numbers."""
        return self.rows - ring if self.downward else ring

    @property
    def ring_tapes(self) -> Floats:
        """Tapes of rings 0 … rows from the band's start."""
        return self.levels.tapes[::-1] if self.downward else self.levels.tapes


def lay_grid(grid: rules.Grid, wall: Wall, start: float, to: float, start_angle: float, env: Env) -> GridLaw:
    """The grid of a band from tape ``start`` to tape ``to``.

    Raises ``no-rows``, ``does-not-close``, ``height-turns-back``, ``out-of-range``, ``too-many-marks``."""
    low, high = min(start, to), max(start, to)
    if high - low < 1e-6:
        raise Problem(grid_faults.no_height(grid.rows.span))
    widest_tape, widest = wall.widest(low, high)
    c, r = grid.columns, grid.rows
    columns = None if c.law == "proportional" or c.each_row else _columns(c, widest, env)
    ratio = _ratio(c.spaced, columns, "columns", c.span, env) if columns is not None else np.ones(1)
    rows, levels, left = _rows(grid, wall, start, to, columns, ratio, env)
    proportion = None
    if c.law == "proportional":
        columns = _proportional_columns(c, widest, widest_tape, levels, env)
        ratio = np.ones(columns)
        proportion = _cell_proportion(columns, widest, widest_tape, levels)
    elif r.law == "proportional" and columns is not None:
        proportion = float(2 * pi * ratio.max() / ratio.sum() * rows / abs(levels.marks[-1] - levels.marks[0]))
    row_columns = None
    if c.each_row:
        near = _above(c.values[0], env, "The width of a column")
        multiple = _multiple(c.multiple, env)
        _refuse_many(2 * pi * widest / near + multiple, "columns", c.span)
        tapes = levels.tapes[::-1] if to < start else levels.tapes
        row_columns = tuple(
            nearest_count(2 * pi * wall.widest(min(p, q), max(p, q))[1], near, multiple)
            for p, q in zip(tapes[:-1].tolist(), tapes[1:].tolist(), strict=True)
        )
        columns = None
    turns = np.array([0.0, 1.0]) if columns is None else np.concatenate([[0.0], np.cumsum(ratio) / ratio.sum()])
    even = columns is None or bool(np.all(ratio == ratio[0]))
    if even and columns is not None:
        turns = np.arange(columns + 1) / columns
    return GridLaw(
        columns,
        row_columns,
        rows,
        to < start,
        start_angle,
        turns,
        even,
        levels,
        left,
        proportion,
        _ratio(r.spaced, rows, "rows", r.span, env),
    )


def _above(e: Expr, env: Env, what: str) -> float:
    return float(np.asarray(above_zero(e, env, what)).reshape(-1)[0])


def _multiple(e: Expr | None, env: Env) -> int:
    if e is None:
        return 1
    n = one_count(e, env, "'multiple of'")
    if n < 1:
        raise Problem(grid_faults.less_than_one(e.span, "multiple of", n))
    return n


def _checked_count(e: Expr, env: Env, word: Line) -> int:
    n = one_count(e, env, f"'{word}'")
    if n < 1:
        raise Problem(grid_faults.less_than_one(e.span, word, n))
    _refuse_many(n, word, e.span, n)
    return n


def _refuse_many(count: float, line: Line, span: Span, n: int | None = None) -> None:
    """Refuse more rows or columns than can be looked at, before any is; ``n`` where their number is written."""
    if not count <= MOST_LINES:
        raise Problem(grid_faults.too_many(span, line, n, MOST_LINES))


def nearest_count(total: float, size: float, multiple: int = 1) -> int:
    """The multiple of ``multiple`` (at least one of it) whose share of ``total`` is nearest ``size``; of two
    equally near the larger."""
    below = max(1, int(np.floor(total / size / multiple + 1e-12)))
    candidates = [below * multiple, (below + 1) * multiple]
    return min(reversed(candidates), key=lambda n: round(abs(total / n - size), 9))


def _columns(c: rules.Columns, widest: float, env: Env) -> int:
    multiple = _multiple(c.multiple, env)
    if c.law == "near":
        size = _above(c.values[0], env, "The width of a column")
        _refuse_many(2 * pi * widest / size + multiple, "columns", c.span)
        return nearest_count(2 * pi * widest, size, multiple)
    n = _checked_count(c.values[0], env, "columns")
    if n % multiple:
        raise Problem(grid_faults.not_a_multiple(c.span, "columns", n, multiple))
    return n


def _ratio(spaced: tuple[Expr, ...], count: int, word: Line, span: Span, env: Env) -> Floats:
    """Relative widths (heights) of ``count`` columns (rows)."""
    if not spaced:
        return np.ones(count)
    pattern = np.array([_above(e, env, "A part of 'spaced'") for e in spaced])
    if not pattern.max() <= _MOST_UNEVEN * pattern.min():
        raise Problem(grid_faults.spaced_too_unevenly(span, word, _MOST_UNEVEN))
    if word == "columns" and count % len(pattern):
        raise Problem(grid_faults.spacing_cut_short(span, count, len(pattern)))
    return np.resize(pattern, count)


def _rows(
    grid: rules.Grid, wall: Wall, start: float, to: float, columns: int | None, ratio: Floats, env: Env
) -> tuple[int, Levels, float | None]:
    r = grid.rows
    low, high = min(start, to), max(start, to)
    downward = to < start
    multiple = _multiple(r.multiple, env)
    if r.law == "proportional":
        rows, marks = _proportional_rows(r, wall, low, high, columns, ratio, multiple, env)
        return rows, _levels(wall, "sigma", marks, low, high), None
    law: Stepping = "tape"
    ends = np.array([start, to])
    if r.by_height:
        law = "height"
        if not wall.height_is_monotone(low, high):
            raise Problem(grid_faults.height_turns_back(r.span))
        ends = wall.height(ends)
    total = float(abs(ends[1] - ends[0]))
    if r.law == "every":
        size = _above(r.values[0], env, "The step of the rows")
        _refuse_many(total / size, "rows", r.values[0].span)
        rows = int(np.floor((total + _STEP_SLACK) / size / multiple + 1e-12)) * multiple
        if rows < 1:
            raise Problem(grid_faults.no_row_fits(r.span, total, size, multiple))
        reached = min(rows * size, total)
        steps = np.arange(rows + 1) * size
        steps[-1] = reached
    else:
        if r.law == "near":
            size = _above(r.values[0], env, "The height of a row")
            _refuse_many(total / size + multiple, "rows", r.span)
            rows = nearest_count(total, size, multiple)
        else:
            rows = _checked_count(r.values[0], env, "rows")
            if rows % multiple:
                raise Problem(grid_faults.not_a_multiple(r.span, "rows", rows, multiple))
        share = _ratio(r.spaced, rows, "rows", r.span, env)
        steps = np.concatenate([[0.0], np.cumsum(share)]) / share.sum() * total
    marks = ends[0] + np.sign(ends[1] - ends[0]) * steps
    if steps[-1] == total:
        marks[-1] = ends[1]
    if downward:
        marks = marks[::-1].copy()
    if law == "tape":
        levels = _levels(wall, law, marks, float(marks[0]), float(marks[-1]))
    else:
        tapes = wall.tape_at_height(marks, low, high)
        levels = Levels(wall, law, marks, tapes)
    left = None
    if r.law == "every":
        last = levels.tapes[0] if downward else levels.tapes[-1]
        left = float(abs(to - last))
    return rows, levels, left


def _levels(wall: Wall, law: Stepping, marks: Floats, low: float, high: float) -> Levels:
    tapes = marks.copy() if law == "tape" else wall.tape_at_sigma(marks)
    tapes[0], tapes[-1] = low, high
    return Levels(wall, law, marks, tapes)


def _proportional_rows(
    r: rules.Rows, wall: Wall, low: float, high: float, columns: int | None, ratio: Floats, multiple: int, env: Env
) -> tuple[int, Floats]:
    """Equal steps of σ = ∫ ds/r, the number whose width : height comes nearest; of equals the larger."""
    if columns is None:
        raise Problem(grid_faults.proportion_by_rows(r.span))
    ends = wall.sigma(np.array([low, high]))
    if not np.all(np.isfinite(ends)):
        raise Problem(grid_faults.proportion_at_a_closed_end(r.span))
    wanted = _above(r.values[0], env, "A proportion") / _above(r.values[1], env, "A proportion")
    span = float(ends[1] - ends[0])
    each = 2 * pi * float(ratio.max() / ratio.sum()) / span  # width : height with one row
    _refuse_many(wanted / each + multiple, "rows", r.span)
    below = max(1, int(np.floor(wanted / each / multiple + 1e-12)))
    rows = min((below + 1) * multiple, below * multiple, key=lambda n: round(abs(n * each - wanted), 9))
    return rows, ends[0] + span * np.arange(rows + 1) / rows


def _cell_height(tape: float, levels: Levels) -> float:
    """Height by tape of the row in which a tape lies; of two the lower."""
    k = int(np.clip(np.searchsorted(levels.tapes, tape, side="left") - 1, 0, len(levels.tapes) - 2))
    return float(levels.tapes[k + 1] - levels.tapes[k])


def _proportional_columns(c: rules.Columns, widest: float, tape: float, levels: Levels, env: Env) -> int:
    wanted = _above(c.values[0], env, "A proportion") / _above(c.values[1], env, "A proportion")
    one = 2 * pi * widest / _cell_height(tape, levels)  # width : height with one column
    multiple = _multiple(c.multiple, env)
    _refuse_many(one / wanted + multiple, "columns", c.span)
    below = max(1, int(np.floor(one / wanted / multiple + 1e-12)))
    return min((below + 1) * multiple, below * multiple, key=lambda n: round(abs(one / n - wanted), 9))


def _cell_proportion(columns: int, widest: float, tape: float, levels: Levels) -> float:
    return 2 * pi * widest / columns / _cell_height(tape, levels)
