"""How many of each mark, and how much of it: elements, lengths, areas, clay."""

from __future__ import annotations

from collections.abc import Sequence

from motif.language.record import changed
from motif.laying.piece import LaidPiece, LaidTool
from motif.outputs.amounts import Amounts, amounts, time_words, unpaced_words, whole_minutes
from motif.outputs.json_text import Json
from motif.outputs.numbers import Unit, in_unit, length, length_with_unit, number
from motif.outputs.tables import Cell, Column, Phrase, Table, to_csv
from motif.outputs.totals import Total, count, tools


def as_json(piece: LaidPiece, unit: Unit = "mm") -> dict[str, Json]:
    """The object of ``motif counts --as json``: lengths in ``unit``, areas in mm², volumes in ml, time in minutes.

    Spares and wet clay are reckoned for the whole piece, not band by band."""
    counts = count(piece)
    return {
        "piece": piece.name,
        "unit": unit,
        "pace": piece.pace.name if piece.pace else None,
        "totals": [_json_total(t, amounts(t, piece), unit) for t in counts.totals],
        "bands": [
            {
                "band": band.number,
                "motif": band.motif,
                "totals": [_json_total(t, _of_band(t, piece), unit) for t in totals],
            }
            for band, totals in zip(piece.bands, counts.bands, strict=True)
        ],
    }


def tables(piece: LaidPiece, unit: Unit = "mm") -> list[Table]:
    """For people: the whole piece first, then band by band where there is more than one.

    Below stand the tools in use, with their descriptions and sizes."""
    counts = count(piece)
    words = tuple(_tool_words(tool, unit) for tool in tools(piece))
    result = [_people_table(f"{piece.name}: everything", counts.totals, unit, words)]
    taken = _taken_table(counts.totals, piece)
    if taken.rows or taken.remarks:
        result.append(taken)
    if len(piece.bands) > 1:
        result += [
            _people_table(f"Band {band.number}: {band.motif}", totals, unit)
            for band, totals in zip(piece.bands, counts.bands, strict=True)
        ]
    return result


def csv_document(piece: LaidPiece, unit: Unit = "mm") -> str:
    return to_csv([records([piece], unit)], unit)


def records(pieces: Sequence[LaidPiece], unit: Unit = "mm") -> Table:
    """For CSV: a row each total, ``band`` empty for those of the whole piece."""
    columns = (Column("piece", "Piece"), Column("band", "Band", "count"), *_COLUMNS, *_MEASURES, *_AMOUNTS)
    rows: list[tuple[Cell, ...]] = []
    for piece in pieces:
        counts = count(piece)
        rows += [(piece.name, None, *_record(t, amounts(t, piece), unit)) for t in counts.totals]
        for band, totals in zip(piece.bands, counts.bands, strict=True):
            rows += [(piece.name, band.number, *_record(t, _of_band(t, piece), unit)) for t in totals]
    return Table("Counts", columns, rows)


_COLUMNS = (
    Column("technique", "Technique"),
    Column("tool", "Tool"),
    Column("colour", "Colour"),
    Column("count", "Count", "count"),
    Column("length", "Length", "length"),
    Column("area", "Area", "area"),
    Column("volume", "Clay", "volume"),
    Column("impressions", "Impressions", "count"),
    Column("skipped", "Skipped", "count"),
)
#: For CSV; every measure that occurs, with spaces between.
_MEASURES = (
    Column("sizes", "Sizes", "length"),
    Column("widths", "Widths", "length"),
    Column("depths", "Depths", "length"),
)
#: What is reckoned from the counts; ``covered`` by colour, ``wet_volume`` with the spares.
_AMOUNTS = (
    Column("covered", "Covered", "area"),
    Column("spares", "Spare", "count"),
    Column("wet_volume", "Wet clay", "volume"),
    Column("minutes", "Time, min", "ratio"),
)
#: More sizes than this are told by the least and the largest.
_LISTED = 4


def _row(t: Total) -> tuple[Cell, ...]:
    return (t.technique, t.tool, t.colour, t.count, t.length, t.area, t.volume, t.impressions, t.skipped)


def _measures(t: Total, unit: Unit) -> tuple[Cell, ...]:
    return tuple(
        " ".join(number(in_unit(v, unit)) for v in sorted(values)) or None for values in (t.sizes, t.widths, t.depths)
    )


def _record(t: Total, a: Amounts, unit: Unit) -> tuple[Cell, ...]:
    return (*_row(t), *_measures(t, unit), t.covered, a.spares, a.wet_volume, a.minutes)


def _of_band(t: Total, piece: LaidPiece) -> Amounts:
    """What a band's total takes: time, but no spares, which are reckoned and rounded up once for all bands."""
    return changed(amounts(t, piece), spares=None, wet_volume=None)


def _time_remarks(totals: Sequence[Total], piece: LaidPiece) -> list[str]:
    """The time of all the work, and what its pace says nothing of."""
    if piece.pace is None:
        return []
    known = [whole_minutes(m) for t in totals if (m := amounts(t, piece).minutes) is not None]
    described = f" ({piece.pace.description})" if piece.pace.description else ""
    remarks = [f"At the pace “{piece.pace.name}”{described}: {time_words(sum(known))} in all."] if known else []
    missing = unpaced_words(totals, piece)
    if missing:
        remarks.append(f"The pace “{piece.pace.name}” says nothing of: {', '.join(missing)}.")
    return remarks


def _people_table(title: str, totals: Sequence[Total], unit: Unit, remarks: tuple[str, ...] = ()) -> Table:
    """Columns in which every row is 0 or empty are left out."""
    if not totals:
        return Table(title, (), (), ("Nothing is made here.",))
    columns = (*_COLUMNS[:3], Column("measures", "Size, depth"), *_COLUMNS[3:])
    rows = [(*(row := _row(t))[:3], _measure_words(t, unit), *row[3:]) for t in totals]
    return _thinned(title, columns, rows, ("technique", "count"), remarks)


def _taken_table(totals: Sequence[Total], piece: LaidPiece) -> Table:
    """What the work takes: spares and wet clay for what is joined on, what colours cover, time."""
    columns = (*_COLUMNS[:3], *_AMOUNTS[:3], Column("time", "Time"))
    rows: list[tuple[Cell, ...]] = []
    for t in totals:
        a = amounts(t, piece)
        time = None if a.minutes is None else time_words(a.minutes)
        if t.covered or a.spares or a.wet_volume or time:
            rows.append((t.technique, t.tool, t.colour, t.covered, a.spares, a.wet_volume, time))
    remarks = _time_remarks(totals, piece)
    if any(row[5] for row in rows):
        remarks.append("Wet clay is for all pieces, those to spare too.")
    return _thinned(f"{piece.name}: what it takes", columns, rows, ("technique",), tuple(remarks))


def _thinned(
    title: str,
    columns: tuple[Column, ...],
    rows: Sequence[tuple[Cell, ...]],
    always: tuple[str, ...],
    remarks: tuple[str, ...],
) -> Table:
    """A table without the columns in which every row is 0 or empty, but for some."""
    shown = [i for i, c in enumerate(columns) if c.key in always or any(r[i] for r in rows)]
    thinned = [tuple(r[i] if r[i] or columns[i].key == "count" else None for i in shown) for r in rows]
    return Table(title, tuple(columns[i] for i in shown), thinned, remarks)


def _measure_words(t: Total, unit: Unit) -> Phrase | None:
    """``4 and 6 mm across, 1 mm deep``; of many sizes, the least and the largest."""
    parts: list[str | float] = []
    for values, word in ((t.sizes, "across"), (t.widths, "wide"), (t.depths, "deep")):
        shown = {length(v, unit): v for v in sorted(values, reverse=True)}  # the least of those that look alike
        sizes, between = sorted(shown.values()), " and "
        if len(sizes) > _LISTED:
            sizes, between = [sizes[0], sizes[-1]], " to "
        for k, size in enumerate(sizes):
            parts += [between if k else ", " if parts else "", size]
        if sizes:
            parts.append(f" {unit} {word}")
    return Phrase(tuple(parts)) if parts else None


def _tool_words(tool: LaidTool, unit: Unit) -> str:
    """``pellet: Pressed button, 14 mm wide, 14 mm tall``."""
    sizes = [
        f"{length_with_unit(size, unit)} {word}"
        for size, word in ((tool.wide, "wide"), (tool.tall, "tall"), (tool.deep, "deep"))
        if size is not None
    ]
    if tool.cuts is not None:
        sizes.append(f"cuts {length_with_unit(tool.cuts, unit)}")
    if tool.pitch is not None:
        sizes.append(f"pitch {length_with_unit(tool.pitch, unit)}")
    return f"{tool.name}: " + ", ".join([*([tool.description] if tool.description else []), *sizes])


def _json_total(t: Total, a: Amounts, unit: Unit) -> dict[str, Json]:
    return {
        "technique": t.technique,
        "tool": t.tool,
        "colour": t.colour,
        "count": t.count,
        "length": in_unit(t.length, unit),
        "area": t.area,
        "volume": t.volume,
        "impressions": t.impressions,
        "skipped": t.skipped,
        "sizes": [in_unit(v, unit) for v in sorted(t.sizes)],
        "widths": [in_unit(v, unit) for v in sorted(t.widths)],
        "depths": [in_unit(v, unit) for v in sorted(t.depths)],
        "covered": t.covered,
        "spares": a.spares,
        "wet_volume": a.wet_volume,
        "minutes": a.minutes,
        "unpaced": list(a.unpaced),
    }
