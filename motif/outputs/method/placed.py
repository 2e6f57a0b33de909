"""Where strokes and marks of a family lie, as a table: row by row, at which heights, beginning where."""

from __future__ import annotations

import math

import numpy as np

from motif.language.record import record
from motif.laying.piece import Floats
from motif.outputs.method.families import Family, Marks, Row
from motif.outputs.method.places import BandGrid, first_turn, level, origin_of
from motif.outputs.method.where import at_verticals
from motif.outputs.numbers import Unit, length
from motif.outputs.tables import Cell, Column, Table

#: A longer table is not read at the bench.
_LONGEST = 40
_LIKE = 960


@record
class Placement:
    """Strokes at one height: ``levels`` are those of their marks, in rings from the band's start, rising; ``a`` (n,)
    where they begin, in columns from vertical 1."""

    levels: tuple[float, ...]
    a: Floats


def placements(family: Family | Marks, grid: BandGrid) -> list[Placement]:
    """The strokes of a family by the heights of their marks, from the band's start."""
    if isinstance(family, Marks):
        return [Placement((row.b,), row.a) for row in family.rows]
    found: dict[tuple[int, ...], tuple[tuple[float, ...], list[float]]] = {}
    for chain, shifts in family.chains:
        by_level = {round(n.b * _LIKE): n.b for n in chain.nodes}
        levels = tuple(b for _, b in sorted(by_level.items()))
        _, starts = found.setdefault(tuple(sorted(by_level)), (levels, []))
        starts += [chain.nodes[0].a + s for s in shifts]
    return [
        Placement(levels, np.sort(first_turn(np.array(starts), grid.columns)))
        for _, (levels, starts) in sorted(found.items())
    ]


def alike_in_rows(made: list[Placement]) -> tuple[int, int] | None:
    """The first and the last row of placements that lie in the same way in one row after the other."""
    rows = [math.floor(one.levels[0] + 1e-6) for one in made]
    within = {tuple(round((b - row) * _LIKE) for b in one.levels) for one, row in zip(made, rows, strict=True)}
    if len(within) > 1 or rows != list(range(rows[0], rows[-1] + 1)):
        return None
    return rows[0] + 1, rows[-1] + 1


def place_table(made: list[Placement], title: str, grid: BandGrid, unit: Unit, times: str = "") -> Table | None:
    """The placements row by row, so many ``times`` each; None where words do not tell them or the table would be too
    long."""
    lines: dict[tuple[int, str, int], list[str]] = {}
    for one in made:
        at = at_verticals(Row(one.levels[0], one.a), grid, unit)
        if at is None:
            return None
        row = min(math.floor(one.levels[0] + 1e-6), grid.rows - 1) + 1
        heights = _heights(one.levels, grid, unit)
        # Several level strokes of a row that begin at the same places share a line.
        alike = (row, at, len(one.a)) if len(one.levels) == 1 else (row, f"{at}\n{heights}", len(one.a))
        lines.setdefault(alike, []).append(heights)
    if len(lines) > _LONGEST:
        return None
    cells: list[tuple[Cell, ...]] = [
        (
            row,
            ", ".join(heights),
            _shortened(at.partition("\n")[0]),
            f"{times}{len(heights)} × {n}" if len(heights) > 1 else f"{times}{n}",
        )
        for (row, at, n), heights in lines.items()
    ]
    columns = (
        Column("row", "Row", "count"),
        Column("tape", f"Tape from {origin_of(grid.wall)}, {unit}"),
        Column("at", "Begin"),
        Column("count", "How many"),
    )
    return Table(title, columns, cells)


def _shortened(at: str) -> str:
    """Words for verticals beside a number, which says that they go all round."""
    return at.removeprefix("at ").replace(" from there", "").replace(", all round", "")


def _heights(levels: tuple[float, ...], grid: BandGrid, unit: Unit) -> str:
    words = []
    for b in levels:
        ring, tape = level(grid, b)
        words.append(length(tape, unit) if ring is None else f"{length(tape, unit)} (ring {ring})")
    return " to ".join(words) if len(words) == 2 else ", ".join(words)
