"""The ways to divide a band that fit best, with the line of text that sets each."""

from __future__ import annotations

from collections.abc import Sequence

from motif.fits.ways import BandFits, Fit
from motif.language.record import changed
from motif.outputs.json_text import Json
from motif.outputs.numbers import Unit
from motif.outputs.tables import Cell, Column, Table, cells_json, telling

#: what the score is made of
SCORE = (
    "Score: 0 is perfect. It adds up how far the cells are from the size and shape asked for, how much their shape "
    "changes over the band, what is left over, how far the tool is from meeting its neighbour, and land narrower than "
    "its cut."
)

_COLUMNS = (
    Column("columns", "Columns"),
    Column("rows", "Rows", "count"),
    Column("cell_width", "Width", "length"),
    Column("cell_height", "Height", "length"),
    Column("proportion", "Shape", "ratio"),
    Column("shape_least", "Least", "ratio"),
    Column("shape_most", "Most", "ratio"),
    Column("left_over", "Left over", "length"),
    Column("tool", "Tool"),
    Column("gap", "Gap", "length"),
    Column("land", "Land", "length"),
    Column("cut", "Cut", "length"),
    Column("score", "Score", "ratio"),
)


def as_json(piece: str, bands: Sequence[BandFits], unit: Unit = "mm") -> dict[str, Json]:
    """The object of ``motif fits --as json``: lengths in ``unit``, ratios and scores as they are."""
    return {"piece": piece, "unit": unit, "score": SCORE, "bands": [_band_json(b, unit) for b in bands]}


def _band_json(band: BandFits, unit: Unit) -> dict[str, Json]:
    return {
        "band": band.number,
        "motif": band.motif,
        "tried": band.tried,
        "land_known": band.land_known,
        "fits": [
            {
                "rank": k + 1,
                "as_written": not fit.lines,
                **cells_json(_COLUMNS, _cells(fit), unit),
                "columns": fit.columns,
                "row_columns": None if fit.row_columns is None else list(fit.row_columns),
                "lines": list(fit.lines),
                "also_changes": [{"piece": piece, "band": number} for piece, number in fit.also],
            }
            for k, fit in enumerate(band.fits)
        ],
    }


def _cells(fit: Fit) -> tuple[Cell, ...]:
    return (
        _columns(fit),
        fit.rows,
        fit.width,
        fit.height,
        fit.proportion,
        *fit.shape,
        fit.left_over,
        fit.tool,
        fit.gap,
        fit.land,
        fit.cut,
        fit.score,
    )


def _columns(fit: Fit) -> str | None:
    """The number of columns; with its own in each row the least and the greatest."""
    if fit.row_columns is None:
        return str(fit.columns)
    return f"{min(fit.row_columns)} to {max(fit.row_columns)}"


def _also(fit: Fit, piece: str) -> str:
    """The other bands that the lines change: ``band 2, band 1 of beaker``."""
    return ", ".join(f"band {number}" + ("" if name == piece else f" of {name}") for name, number in fit.also)


def records(pieces: Sequence[tuple[str, Sequence[BandFits]]]) -> Table:
    """For CSV: a row each way, with the lines that set it."""
    head = (Column("piece", "Piece"), Column("band", "Band", "count"), Column("rank", "Rank", "count"))
    return Table(
        "Fits",
        (*head, *_COLUMNS, Column("lines", "Lines"), Column("also_changes", "Also changes")),
        [
            (piece, band.number, k + 1, *_cells(fit), " ".join(fit.lines) or None, _also(fit, piece) or None)
            for piece, bands in pieces
            for band in bands
            for k, fit in enumerate(band.fits)
        ],
    )


def tables(piece: str, bands: Sequence[BandFits]) -> list[Table]:
    """For people: a table a band, the best way first, and below it the text that sets each; what the columns mean
    stands below the last."""
    found = [_table(piece, band) for band in bands]
    if found:
        found[-1] = changed(found[-1], remarks=(*found[-1].remarks, *_explained(bands)))
    return found


def _table(piece: str, band: BandFits) -> Table:
    one_tool = len({fit.tool for fit in band.fits if fit.tool is not None}) == 1
    used, rows = telling(_COLUMNS, [_cells(fit) for fit in band.fits], {"tool"} if one_tool else frozenset())
    remarks = [
        f"{k + 1}: {'   '.join(fit.lines) or 'as it is written'}"
        + (f"   (changes {_also(fit, piece)} too)" if fit.also else "")
        for k, fit in enumerate(band.fits)
    ]
    if len(band.fits) == 1:
        remarks.append(
            "Nothing here can be set otherwise: no given sets the grid, and its numbers stand in another file."
        )
    return Table(
        f"{piece}, band {band.number}: {band.description or band.motif}",
        (Column("rank", "", "count"), *used),
        [(k + 1, *row) for k, row in enumerate(rows)],
        tuple(remarks),
    )


def _explained(bands: Sequence[BandFits]) -> list[str]:
    """What the columns hold."""
    fits = [fit for band in bands for fit in band.fits]
    tools = sorted({fit.tool for fit in fits if fit.tool is not None})
    words = [
        SCORE,
        "Width: the widest cell. Shape: width : height in row 1; least and most: that of any row as a part of it.",
    ]
    if tools:
        words.append(f"Gap: what {' or '.join(tools)} lacks at worst to meet the next one; below 0 it overlaps.")
    if any(fit.land is not None for fit in fits):
        words.append("Land: the least clay between two cuts side by side.")
    if not all(band.land_known for band in bands):
        words.append("The lines of this piece take long to lay, so the land between them is left out here.")
    return words
