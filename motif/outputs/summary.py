"""The short tables that ``motif prepare`` ends with."""

from __future__ import annotations

from motif.laying.piece import LaidPiece
from motif.outputs.cautions import cautions
from motif.outputs.numbers import Unit, fine_with_unit
from motif.outputs.sheets import lay_out
from motif.outputs.tables import Cell, Column, Table

_COLUMNS = (
    Column("band", "Band"),
    Column("columns", "Columns", "count"),
    Column("rows", "Rows", "count"),
    Column("from", "From tape", "length"),
    Column("to", "To tape", "length"),
    Column("points", "Point marks", "count"),
    Column("strokes", "Strokes", "count"),
)


def table(piece: LaidPiece, unit: Unit = "mm") -> Table:
    """A line a band with its grid and its marks; below, the sheets of ``unroll.svg``. Raises ``CannotUnrollError``."""
    rows: list[tuple[Cell, ...]] = [
        (f"{b.number} {b.motif}", b.columns, b.rows, b.from_tape, b.to_tape, len(b.points), len(b.paths))
        for b in piece.bands
    ]
    if piece.paths or not piece.bands:
        rows.append(("its own lines", None, None, None, None, None, len(piece.paths)))
    layout = lay_out(piece, "fewest")
    n = len(layout.sheets)
    paper = f"Paper: {'1 sheet' if n == 1 else f'{n} {layout.flat}'}, misfit {fine_with_unit(layout.misfit, unit)}."
    return Table(f"{piece.name} on {piece.form.name}", _COLUMNS, rows, (paper, *cautions(piece)))
