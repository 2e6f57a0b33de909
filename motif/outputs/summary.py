"""The short table that ``motif prepare`` ends with."""

from __future__ import annotations

from collections.abc import Sequence

from motif.laying.piece import LaidPiece
from motif.outputs.cautions import cautions
from motif.outputs.sheets import lay_out
from motif.outputs.tables import Cell, Column, Table


def table(pieces: Sequence[LaidPiece]) -> Table:
    """A line a band: its grid, its marks, and for the piece the sheets of ``unroll.svg``."""
    columns = (
        Column("piece", "Piece"),
        Column("form", "Form"),
        Column("band", "Band"),
        Column("columns", "Columns", "count"),
        Column("rows", "Rows", "count"),
        Column("from", "From tape", "length"),
        Column("to", "To tape", "length"),
        Column("points", "Point marks", "count"),
        Column("strokes", "Strokes", "count"),
        Column("paper", "Paper"),
    )
    rows: list[tuple[Cell, ...]] = []
    for piece in pieces:
        layout = lay_out(piece, "fewest")
        n = len(layout.sheets)
        paper = f"{n} {layout.flat if n > 1 else layout.flat[:-1]}"
        head = (piece.name, piece.form.name)
        rows += [
            (
                *head,
                f"{b.number} {b.motif}",
                b.columns,
                b.rows,
                b.from_tape,
                b.to_tape,
                len(b.points),
                len(b.paths),
                paper,
            )
            for b in piece.bands
        ]
        if piece.paths or not piece.bands:
            rows.append((*head, "its own lines", None, None, None, None, None, len(piece.paths), paper))
    words = dict.fromkeys(words for piece in pieces for words in cautions(piece))
    return Table("Prepared", columns, rows, tuple(words))
