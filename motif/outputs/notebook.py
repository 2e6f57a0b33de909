"""How a laid piece shows itself in a notebook."""

from __future__ import annotations

from html import escape

from motif.laying.piece import LaidPiece
from motif.outputs import counts
from motif.outputs.tables import Table, people_cell, people_heading
from motif.outputs.view import pot_document


def pot_svg(piece: LaidPiece) -> str:
    """The pot as it will look, as an SVG element, for ``_repr_svg_``."""
    return pot_document(piece).partition("?>\n")[2]


def counts_html(piece: LaidPiece) -> str:
    """The counts as HTML tables, for ``_repr_html_``. Text is escaped."""
    return "\n".join(_table(table) for table in counts.tables(piece))


def _table(table: Table) -> str:
    head = "".join(f"<th>{escape(people_heading(c, 'mm'))}</th>" for c in table.columns)
    rows = "".join(
        "<tr>"
        + "".join(
            f"<td>{escape(people_cell(cell, c.kind, 'mm'))}</td>" for cell, c in zip(row, table.columns, strict=True)
        )
        + "</tr>"
        for row in table.rows
    )
    return f"<table><caption>{escape(table.title)}</caption><tr>{head}</tr>{rows}</table>"
