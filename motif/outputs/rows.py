"""How the pattern sits on the pot, row by row: cells, footprints, land and depth, and which rows break a bound."""

from __future__ import annotations

from collections.abc import Sequence

from motif.language.record import changed
from motif.laying.piece import LaidBand, LaidPiece, RowFit
from motif.laying.row_table import worst_row
from motif.outputs.json_text import Json
from motif.outputs.method.places import origin_of
from motif.outputs.numbers import Unit, length_with_unit, number
from motif.outputs.tables import Cell, Column, Phrase, Table, cells_json, telling
from motif.wall import Wall

#: stands before a row that breaks a bound
_SIGN = "!"

#: nearer than this, mm, footprints meet
_MEETS = 0.05

#: how high the ends of a row lie above the table; for people the mark table tells it
_HEIGHTS = (Column("from_height", "From height", "length"), Column("to_height", "To height", "length"))

_COLUMNS = (
    Column("row", "Row", "count"),
    Column("ring", "Ring", "count"),
    Column("from_tape", "From tape", "length"),
    Column("to_tape", "To tape", "length"),
    *_HEIGHTS,
    Column("columns", "Columns", "count"),
    Column("cell_width", "Cell width", "length"),
    Column("cell_height", "Cell height", "length"),
    Column("proportion", "Width : height", "ratio"),
    Column("against_first", "Against row 1", "ratio"),
    Column("tool", "Tool"),
    Column("gap", "Gap", "length"),
    Column("marks_overlap", "Marks overlap", "length"),
    Column("land", "Land", "length"),
    Column("cut", "Cut", "length"),
    Column("depth", "Depth", "length"),
    Column("depth_part", "Depth : wall", "ratio"),
)


def as_json(piece: LaidPiece, unit: Unit = "mm") -> dict[str, Json]:
    """One entry of ``pieces`` in ``motif check --rows --as json``: lengths in ``unit``, ratios as they are."""
    return {
        "piece": piece.name,
        "form": piece.form.name,
        "stage": piece.stage,
        "unit": unit,
        "bands": [_band_json(band, piece.form.wall, unit) for band in piece.bands],
    }


def _band_json(band: LaidBand, wall: Wall, unit: Unit) -> dict[str, Json]:
    worst = worst_row(band)
    return {
        "band": band.number,
        "motif": band.motif,
        "worst_row": None if worst is None else worst.row,
        "worst_ring": None if worst is None else worst.ring,
        "rows": [_row_json(row, wall, unit) for row in band.fit],
    }


def _row_json(row: RowFit, wall: Wall, unit: Unit) -> dict[str, Json]:
    return {**cells_json(_COLUMNS, _cells(row, wall), unit), "warnings": list(row.warnings)}


def records(pieces: Sequence[LaidPiece]) -> Table:
    """For CSV: a row each row of a band, with the codes of its warnings."""
    head = (Column("piece", "Piece"), Column("band", "Band", "count"), Column("motif", "Motif"))
    return Table(
        "Rows",
        (*head, *_COLUMNS, Column("warnings", "Warnings")),
        [
            (piece.name, band.number, band.motif, *_cells(row, piece.form.wall), " ".join(row.warnings) or None)
            for piece in pieces
            for band in piece.bands
            for row in band.fit
        ],
    )


def _cells(row: RowFit, wall: Wall) -> tuple[Cell, ...]:
    heights = {"from_height": float(wall.height(row.from_tape)), "to_height": float(wall.height(row.to_tape))}
    return tuple(heights[c.key] if c in _HEIGHTS else getattr(row, c.key) for c in _COLUMNS)


#: what the columns are called on paper, where there is little room
_SHORT = {
    "from_tape": "From",
    "to_tape": "To",
    "cell_width": "Width",
    "cell_height": "Height",
    "proportion": "Shape",
    "against_first": "Of row 1",
    "depth_part": "Of wall",
    "marks_overlap": "Overlap",
}


#: and the warnings
_LOOK_AT = {
    "stretched-cells": "shape",
    "tool-gap": "gap",
    "tool-overlap": "overlap",
    "marks-overlap": "marks",
    "lines-too-close": "land",
    "too-deep": "depth",
    "tool-too-deep": "tool's depth",
}


def tables(piece: LaidPiece, unit: Unit = "mm") -> list[Table]:
    """For people: a table a band, without the columns that say nothing; rows that break a bound have a sign behind
    their number and say which they break, and the worst is named below."""
    return [_table(piece, band, unit) for band in piece.bands]


def _table(piece: LaidPiece, band: LaidBand, unit: Unit) -> Table:
    tools = sorted({r.tool for r in band.fit if r.tool is not None})
    cuts = sorted({r.cut for r in band.fit if r.cut is not None})
    depths = {(r.depth, r.depth_part) for r in band.fit if r.row is not None}
    silent = {"row", "ring", *(c.key for c in _HEIGHTS)}
    if band.row_columns is None:
        silent.add("columns")
    overlaps = any(r.marks_overlap is not None for r in band.fit)
    if overlaps:
        silent.add("to_tape")  # the table would grow too wide; it is the next row's "from"
    for key, values in (("tool", tools), ("cut", cuts)):
        if len(values) == 1:  # said once below
            silent.add(key)
    if len(depths) == 1:
        silent |= {"depth", "depth_part"}
    columns, cells = telling(_COLUMNS, [_worded(r, piece.form.wall) for r in band.fit], silent)
    used = tuple(changed(c, heading=_SHORT.get(c.key, c.heading)) for c in columns)
    bad = sum(bool(r.warnings) for r in band.fit)
    ends = (Column("warnings", "Look at"),) if bad else ()
    rows = [
        (
            _name(r) + f" {_SIGN}" * bool(r.warnings),
            *shown,
            *([", ".join(_LOOK_AT.get(code, code) for code in r.warnings) or None] if bad else []),
        )
        for r, shown in zip(band.fit, cells, strict=True)
    ]
    tapes = "From" if "to_tape" in silent else "From, to"
    remarks = [
        _summary(band, bad, unit),
        f"{tapes}: tape from {origin_of(piece.form.wall)}. Shape: width : height of a cell, and that against row 1's.",
    ]
    if tools:
        remarks.append(
            f"Gap: what {_quoted(tools)} {'lacks' if len(tools) == 1 else 'lack'} to meet the next one in the row, "
            "or by how much it lies over it."
        )
    if overlaps:
        remarks.append("Overlap: by how much round marks of this row run into others, up and down too, at worst.")
    if cuts:
        beside = f" beside a cut {length_with_unit(cuts[0], unit)} wide" if len(cuts) == 1 else ""
        blank = "; blank where there is more than twice the cut" if any(r.land is None for r in band.fit) else ""
        remarks.append(f"Land: the clay left between two cuts side by side, where it is tightest{beside}{blank}.")
    if len(depths) == 1 and (deep := depths.pop())[0] is not None:
        part = "" if deep[1] is None else f", {number(deep[1], 2)} of the wall"
        remarks.append(f"Depth in every row: {length_with_unit(deep[0], unit)}{part}.")
    return Table(
        f"{piece.name}, band {band.number}: {band.description or band.motif}",
        (Column("place", "Row"), *used, *ends),
        rows,
        tuple(remarks),
    )


def _quoted(names: Sequence[str]) -> str:
    return " and ".join(f"'{n}'" for n in names)


def _worded(row: RowFit, wall: Wall) -> tuple[Cell, ...]:
    """The cells of a row for people: the gap in words."""
    cells = dict(zip((c.key for c in _COLUMNS), _cells(row, wall), strict=True))
    if row.gap is not None:
        meets = abs(row.gap) < _MEETS
        cells["gap"] = "meets" if meets else Phrase(("lacks " if row.gap > 0 else "over ", abs(row.gap)))
    return tuple(cells.values())


def _name(row: RowFit) -> str:
    return f"ring {row.ring}" if row.row is None else str(row.row)


def _summary(band: LaidBand, bad: int, unit: Unit) -> str:
    worst = worst_row(band)
    if worst is None:
        return "No row breaks a bound."
    rows = "1 row breaks" if bad == 1 else f"{bad} rows break"
    name = _name(worst) if worst.row is None else f"row {worst.row}"
    return f"{rows} a bound ({_SIGN}). The worst is {name}: {_trouble(worst, unit)}."


def _trouble(row: RowFit, unit: Unit) -> str:
    """What is wrong with a row, in a few words with its number."""
    code = row.warnings[0]
    if code == "stretched-cells" and row.proportion is not None and row.against_first is not None:
        return f"its cells are {number(row.proportion, 2)} : 1, {number(row.against_first, 2)} times row 1's shape"
    if code in ("tool-gap", "tool-overlap") and row.gap is not None:
        verb = "lacks" if row.gap > 0 else "overlaps by"
        return f"'{row.tool}' {verb} {length_with_unit(abs(row.gap), unit)}"
    if code == "lines-too-close" and row.land is not None and row.cut is not None:
        left = length_with_unit(max(row.land, 0.0), unit)
        return f"{left} of land beside a cut of {length_with_unit(row.cut, unit)}"
    if code in ("too-deep", "tool-too-deep") and row.depth is not None:
        return f"cuts {length_with_unit(row.depth, unit)} deep"
    if code == "marks-overlap" and row.marks_overlap is not None:
        return f"marks lie on one another by {length_with_unit(row.marks_overlap, unit)}"
    return {"marks-overlap": "marks lie on one another"}.get(code, code)
