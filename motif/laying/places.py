"""The places a rule applies to: cells, groups, crossings, rings, verticals, or the band once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from motif.language.messages import Problem
from motif.language.record import changed, record
from motif.laying.frames import Frame, start_frame
from motif.laying.grid import GridLaw
from motif.laying.limits import Limits
from motif.laying.piece import Floats, Ints
from motif.laying.telling import grid_faults
from motif.model import rules
from motif.model.expressions import one_count, one_number
from motif.model.values import Env, PlaceTable
from motif.wall.rings import POINT

_EPS = 1e-9
#: what a place takes in frames and numbers, bytes
_BYTES = 160


@record
class Panel:
    """A stretch of columns, in grid coordinates a, ``low`` from 0 up to the columns."""

    low: float
    high: float


@record
class Shifting:
    """How far rows (columns) are moved: ``by`` columns (rows) each."""

    by: float
    each: str

    def of(self, index: Ints, period: int) -> Floats:
        """The shift of the index-th row or column (from 0), within ``period``."""
        moved = np.mod(index * self.by, period)
        near = np.round(moved)
        moved = np.where(np.abs(moved - near) < _EPS, near, moved)
        return np.where(moved >= period, 0.0, moved)


@record
class Numbers:
    """Where marks belong (−1: nowhere): column and row of a cell, vertical and ring of a crossing or line.

    ``panel`` numbers the panel that a whole ring, or what is drawn once, belongs to.
    ``image`` marks what stands for the part of another place cut off at the band's end (half-drop), and
    ``home`` is the number of the place it is an image of (else its own)."""

    column: Ints
    row: Ints
    vertical: Ints
    ring: Ints
    home: Ints
    image: NDArray[np.bool_]
    panel: Ints

    def __len__(self) -> int:
        return len(self.column)

    def at(self, chosen: Ints) -> Numbers:
        return changed(self, **{name: column[chosen] for name, column in vars(self).items()})


@record
class Places:
    """The places of a rule in the order of the band: frames, numbers and what expressions may read."""

    frame: Frame
    table: PlaceTable
    numbers: Numbers
    #: rows at the band's end that no whole group of ``up`` rows covers
    left_over: int = 0
    up: int = 1

    def __len__(self) -> int:
        return len(self.numbers)


def shifting(grid: rules.Grid, law: GridLaw, env: Env) -> Shifting | None:
    """The shift of a grid. Raises ``does-not-close`` for columns × shift that is not whole."""
    if grid.shift is None:
        return None
    by = one_number(grid.shift.by, env)
    if grid.shift.each == "column" and law.columns is not None:
        total = law.columns * by
        if abs(total - round(total)) > _EPS * max(1, abs(total)):

            def closes(k: int) -> bool:
                return abs(k * by - round(k * by)) <= _EPS * max(1, abs(k * by))

            raise Problem(grid_faults.shift_does_not_close(grid.shift.span, law.columns, by, closes))
    return Shifting(by, grid.shift.each)


def places_of(
    rule: rules.Rule, law: GridLaw, shift: Shifting | None, panels: tuple[Panel, ...], limits: Limits, env: Env
) -> Places:
    """The places of a rule. Raises ``does-not-close`` and ``too-many-marks``."""
    match rule.place:
        case "cell":
            return _cells(rule, law, shift, panels, limits, 1, 1)
        case "group":
            assert rule.group is not None
            scope = Env(env.scale, env.values, _scope(law, {}), 1)
            across, up = (one_count(e, scope, "a group") for e in rule.group)
            for n, e in zip((across, up), rule.group, strict=True):
                if n < 1:
                    raise Problem(grid_faults.empty_group(e.span, n))
            return _cells(rule, law, shift, panels, limits, across, up)
        case "crossing":
            return _crossings(rule, law, shift, panels, limits)
        case "ring":
            return _rings(law, panels)
        case "vertical":
            return _verticals(rule, law, panels)
        case "once":
            origins = np.array([p.low for p in panels] or [0.0])
            frame = start_frame(origins, np.zeros(len(origins)), 1.0, None, (0.0, 0.0))
            return _places(frame, _scope(law, {}), len(origins), panel=np.arange(len(origins)) if panels else None)
    raise AssertionError(rule.place)


def _scope(law: GridLaw, columns: dict[str, object]) -> PlaceTable:
    known: dict[str, object] = {"rows": float(law.rows)}
    if law.columns is not None:
        known["columns"] = float(law.columns)
    known.update(columns)
    n = next((len(v) for v in known.values() if isinstance(v, np.ndarray)), 1)
    table = {k: np.full(n, v) if isinstance(v, float) else v for k, v in known.items()}
    return PlaceTable(table)  # type: ignore[arg-type]


def _places(
    frame: Frame,
    table: PlaceTable,
    n: int,
    column: Ints | None = None,
    row: Ints | None = None,
    vertical: Ints | None = None,
    ring: Ints | None = None,
    home: Ints | None = None,
    image: NDArray[np.bool_] | None = None,
    panel: Ints | None = None,
    left_over: int = 0,
    up: int = 1,
) -> Places:
    none = np.broadcast_to(np.int64(-1), (n,))
    numbers = Numbers(
        none if column is None else column,
        none if row is None else row,
        none if vertical is None else vertical,
        none if ring is None else ring,
        np.arange(n) if home is None else home,
        np.zeros(n, dtype=np.bool_) if image is None else image,
        none if panel is None else panel,
    )
    return Places(frame, table, numbers, left_over, up)


def _in_panels(a: Floats, wide: Floats | float, units: int, panels: tuple[Panel, ...]) -> NDArray[np.bool_]:
    """Where [a, a + wide] has more than an edge in a panel (wide > 0), or a lies in or on one (wide = 0)."""
    if not panels:
        return np.ones(len(a), dtype=np.bool_)
    inside = np.zeros(len(a), dtype=np.bool_)
    for p in panels:
        for turn in (-units, 0, units):
            low, high = p.low + turn, p.high + turn
            if np.ndim(wide) == 0 and wide == 0:
                inside |= (a >= low - _EPS) & (a <= high + _EPS)
            else:
                inside |= (a < high - _EPS) & (a + wide > low + _EPS)
    return inside


def _cells(
    rule: rules.Rule,
    law: GridLaw,
    shift: Shifting | None,
    panels: tuple[Panel, ...],
    limits: Limits,
    across: int,
    up: int,
) -> Places:
    if law.row_columns is not None:
        if up > 1:
            raise Problem(grid_faults.group_over_uneven_rows(rule.span))
        bad = [n for n in law.row_columns if n % across]
        counts = np.array(law.row_columns)
    else:
        assert law.columns is not None
        bad = [law.columns] if law.columns % across else []
        counts = np.full(law.rows // up, law.columns)
    if bad:
        raise Problem(grid_faults.groups_across(rule.span, across, bad[0]))
    left = law.rows % up
    if left and shift is not None and shift.each == "column":
        raise Problem(grid_faults.groups_up(rule.span, up, law.rows))
    limits.check_places(int((counts // across).sum()), _BYTES, rule.span)
    groups = len(counts)
    per_row = counts // across
    line = np.repeat(np.arange(groups), per_row)  # group row of each place, from the band's start
    first = np.arange(len(line)) - np.repeat(np.cumsum(per_row) - per_row, per_row)
    j = (first * across).astype(np.float64)  # first column, from 0
    i = (groups * up - up * (line + 1) + left if law.downward else line * up).astype(np.float64)  # lowest row, upward
    n_columns = counts[line].astype(np.float64)
    a, b = j, i
    home = np.arange(len(line))
    image = np.zeros(len(line), dtype=np.bool_)
    if shift is not None and shift.each == "row":
        a = j + shift.of(line * up, across)
    elif shift is not None:
        if law.columns is not None and (rest := np.mod(law.columns * shift.by, up)) > _EPS and up - rest > _EPS:
            moved = shift.by

            def closes(k: int) -> bool:
                return (k * moved + _EPS) % up <= 2 * _EPS

            raise Problem(grid_faults.groups_out_of_step(rule.span, up, law.columns, float(rest), closes))
        b = np.mod(i + shift.of(j.astype(np.int64), up), law.rows)
        # Groups side by side may begin in different rows, and places come row by row.
        order = np.lexsort([j, _first_rows(law, b, up)])
        a, b = a[order], b[order]
        over_top = np.flatnonzero(b + up > law.rows + _EPS)
        a, b = np.concatenate([a, a[over_top]]), np.concatenate([b, b[over_top] - law.rows])
        home = np.concatenate([home, over_top])
        image = np.concatenate([image, np.ones(len(over_top), dtype=np.bool_)])
    column = np.floor(a + _EPS).astype(np.int64) + 1
    row = _first_rows(law, b, up)
    keep = _in_panels(a, float(across), law.units, panels)
    if not keep.all():
        a, b, column, row, image = a[keep], b[keep], column[keep], row[keep], image[keep]
        number = np.cumsum(keep) - 1
        home = number[home[keep]]
    scale = 1.0 / n_columns[home] if law.row_columns is not None else 1.0
    first_b = b + (up - 1 if law.downward else 0)
    if image.any():  # a first cell all beyond one end of the band is filled in at the other
        first_b = np.where((first_b < _EPS - 1) | (first_b > law.rows - _EPS), np.mod(first_b, law.rows), first_b)
    a_grid = a * scale
    frame = start_frame(a_grid, b, scale, (float(across), float(up)), (across / 2, up / 2))
    table = _scope(
        law,
        {
            "column": column.astype(np.float64),
            "row": row.astype(np.float64),
            **({"columns": n_columns[home]} if law.row_columns is not None else {}),
            "cell-width": lambda: _width(law, a_grid, first_b + 0.5, scale),
            "cell-height": lambda: law.levels.tape(first_b + 1) - law.levels.tape(first_b),
        },
    )
    return _places(frame, table, len(a), column, row, home=home, image=image, left_over=left, up=up)


def _first_rows(law: GridLaw, b: Floats, up: int) -> Ints:
    """Row numbers of the first cells, counted from the band's start, of groups ``up`` rows high whose lower ends lie at
    b: of each the row in which that cell's lower left lies, were the band's two ends joined."""
    low = np.floor(np.mod(b + (up - 1 if law.downward else 0), law.rows) + _EPS).astype(np.int64) % law.rows
    return law.rows - low if law.downward else low + 1


def _width(law: GridLaw, a: Floats, b: Floats, scale: Floats | float) -> Floats:
    """Width by soft tape at b of the column to the right of a."""
    levels, inverse = np.unique(b, return_inverse=True)
    radius = law.levels.wall.radius(law.levels.tape(levels))[inverse]
    return (law.angle(a + scale) - law.angle(a)) * radius


def _ring_height(law: GridLaw, ring: Floats) -> Floats:
    """Height by tape of the row that a crossing or ring goes with: row ring + 1, at the last ring the row before."""
    k = np.minimum(ring, law.rows - 1).astype(np.int64)
    tapes = law.ring_tapes
    return np.abs(tapes[k + 1] - tapes[k])


def _crossings(
    rule: rules.Rule, law: GridLaw, shift: Shifting | None, panels: tuple[Panel, ...], limits: Limits
) -> Places:
    if law.row_columns is not None:
        counts = np.array([*law.row_columns, law.row_columns[-1]])
    else:
        assert law.columns is not None
        limits.check_places((law.rows + 1) * law.columns, _BYTES, rule.span)
        counts = np.full(law.rows + 1, law.columns)
    limits.check_places(int(counts.sum()), _BYTES, rule.span)
    # A ring of radius 0 is one point of the wall, and has one crossing.
    point = law.levels.wall.radius(law.ring_tapes) < POINT
    counts = np.where(point, 1, counts)
    n_columns = np.array([*law.row_columns, law.row_columns[-1]]) if law.row_columns is not None else None
    ring = np.repeat(np.arange(law.rows + 1), counts)
    vertical = np.arange(len(ring)) - np.repeat(np.cumsum(counts) - counts, counts)
    a, b = vertical.astype(np.float64), law.ring_b(ring.astype(np.float64))
    if shift is not None and shift.each == "row":
        a = a + shift.of(ring, 1)
    elif shift is not None:
        b = b + shift.of(vertical, 1)
    keep = _in_panels(a, 0.0, law.units, panels) | point[ring]  # the point of a closed end is in every panel
    keep &= b <= law.rows + _EPS
    ring, vertical, a, b = ring[keep], vertical[keep], a[keep], b[keep]
    scale = 1.0 / n_columns[ring] if n_columns is not None else 1.0
    a_grid = a * scale
    frame = start_frame(a_grid, b, scale, None, (0.0, 0.0))
    table = _scope(
        law,
        {
            "vertical": vertical + 1.0,
            "ring": ring.astype(np.float64),
            **({"columns": n_columns[ring].astype(np.float64)} if n_columns is not None else {}),
            "cell-width": lambda: _width(law, a_grid, b, scale),
            "cell-height": lambda: _ring_height(law, ring.astype(np.float64)),
        },
    )
    return _places(frame, table, len(a), vertical=vertical + 1, ring=ring)


def _rings(law: GridLaw, panels: tuple[Panel, ...]) -> Places:
    starts = np.array([p.low for p in panels] or [0.0])
    ring = np.repeat(np.arange(law.rows + 1), len(starts))
    a = np.tile(starts, law.rows + 1)
    b = law.ring_b(ring.astype(np.float64))
    scale: Floats | float = 1.0
    known: dict[str, object] = {"ring": ring.astype(np.float64)}
    if law.row_columns is not None:
        counts = np.array([*law.row_columns, law.row_columns[-1]], dtype=np.float64)[ring]
        scale = 1.0 / counts
        known["columns"] = counts
    known["cell-width"] = lambda: _width(law, a, b, scale)
    known["cell-height"] = lambda: _ring_height(law, ring.astype(np.float64))
    panel = np.tile(np.arange(len(starts)), law.rows + 1) if panels else None
    return _places(start_frame(a, b, scale, None, (0.0, 0.0)), _scope(law, known), len(a), ring=ring, panel=panel)


def _verticals(rule: rules.Rule, law: GridLaw, panels: tuple[Panel, ...]) -> Places:
    if law.columns is None:
        raise Problem(grid_faults.verticals_of_uneven_rows(rule.span))
    a = np.arange(law.columns, dtype=np.float64)
    a = a[_in_panels(a, 0.0, law.units, panels)]
    number = a.astype(np.int64) + 1
    table = _scope(law, {"vertical": number.astype(np.float64)})
    return _places(start_frame(a, np.zeros(len(a)), 1.0, None, (0.0, 0.0)), table, len(a), vertical=number)


def cells_at(law: GridLaw, shift: Shifting | None, angle: Floats, tape: Floats) -> tuple[Ints, Ints]:
    """Column and row of the cells in which points of the wall lie; on an edge, of the cell right of it or above."""
    a, b = law.a_at(angle), law.levels.b_at(tape)
    low = np.clip(np.floor(b + _EPS), 0, law.rows - 1)
    row = (law.rows - low if law.downward else low + 1).astype(np.int64)
    if law.row_columns is not None:
        counts = np.array(law.row_columns)[row - 1]
        a = a * counts
    else:
        assert law.columns is not None
        counts = np.full(len(a), law.columns)
    if shift is not None and shift.each == "row":
        a = a - shift.of(row - 1, 1)
    column = np.floor(np.mod(a + _EPS, counts)).astype(np.int64) + 1
    if shift is not None and shift.each == "column":
        low = np.floor(np.mod(b - shift.of(column - 1, 1) + _EPS, law.rows))
        row = (law.rows - low if law.downward else low + 1).astype(np.int64)
    return column, row
