"""How many of each mark, and how much of it: elements, lengths, areas, clay."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPath, LaidPiece, LaidTool, Points
from motif.outputs.json_text import Json
from motif.outputs.marks import point_works
from motif.outputs.numbers import DATA_DIGITS, Unit, in_unit, length, length_with_unit, number
from motif.outputs.styles import technique_rank
from motif.outputs.tables import Cell, Column, Table, to_csv

#: (technique, tool, colour): what gets a row of its own.
Key = tuple[str, str | None, str | None]


@dataclass
class Total:
    """Amounts of one technique × tool × colour: ``length`` in mm, ``area`` in mm², ``volume`` in ml.

    ``count`` is of separate elements, point marks and strokes; ``skipped`` of point marks that fell in
    a reserve or outside the band; ``impressions`` are those of a roulette. ``sizes`` are those of dots,
    ``widths`` of lines, ``depths`` of both, in mm, as far as the text or the tool says."""

    technique: str
    tool: str | None
    colour: str | None
    count: int = 0
    length: float = 0.0
    area: float = 0.0
    volume: float = 0.0
    impressions: int = 0
    skipped: int = 0
    sizes: set[float] = field(default_factory=set)
    widths: set[float] = field(default_factory=set)
    depths: set[float] = field(default_factory=set)

    def add(self, other: Total) -> None:
        self.count += other.count
        self.length += other.length
        self.area += other.area
        self.volume += other.volume
        self.impressions += other.impressions
        self.skipped += other.skipped
        self.sizes |= other.sizes
        self.widths |= other.widths
        self.depths |= other.depths


@record
class Counts:
    """``bands`` in the order of the piece's bands; ``totals`` are theirs and the piece's own lines."""

    totals: tuple[Total, ...]
    bands: tuple[tuple[Total, ...], ...]


def count(piece: LaidPiece) -> Counts:
    """Everything that is made on ``piece``, band by band and in all."""
    bands = tuple(_totals(band.points, band.paths, band.skipped) for band in piece.bands)
    return Counts(_summed([*bands, _totals(None, piece.paths, {})]), bands)


def as_json(piece: LaidPiece, unit: Unit = "mm") -> dict[str, Json]:
    """The object of ``motif counts --as json``: lengths in ``unit``, areas in mm², volumes in ml."""
    counts = count(piece)
    return {
        "piece": piece.name,
        "unit": unit,
        "totals": [_json_total(t, unit) for t in counts.totals],
        "bands": [
            {"band": band.number, "motif": band.motif, "totals": [_json_total(t, unit) for t in totals]}
            for band, totals in zip(piece.bands, counts.bands, strict=True)
        ],
    }


def tables(piece: LaidPiece, unit: Unit = "mm") -> list[Table]:
    """For people: the whole piece first, then band by band where there is more than one.

    Below stand the tools in use, with their descriptions and sizes."""
    counts = count(piece)
    tools = tuple(_tool_words(tool, unit) for tool in _tools(piece))
    result = [_people_table(f"{piece.name}: everything", counts.totals, unit, tools)]
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
    columns = (Column("piece", "Piece"), Column("band", "Band", "count"), *_COLUMNS, *_MEASURES)
    rows: list[tuple[Cell, ...]] = []
    for piece in pieces:
        counts = count(piece)
        rows += [(piece.name, None, *_row(t), *_measures(t, unit)) for t in counts.totals]
        for band, totals in zip(piece.bands, counts.bands, strict=True):
            rows += [(piece.name, band.number, *_row(t), *_measures(t, unit)) for t in totals]
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
#: More sizes than this are told by the least and the largest.
_LISTED = 4


def _row(t: Total) -> tuple[Cell, ...]:
    return (t.technique, t.tool, t.colour, t.count, t.length, t.area, t.volume, t.impressions, t.skipped)


def _measures(t: Total, unit: Unit) -> tuple[Cell, ...]:
    return tuple(
        " ".join(number(in_unit(v, unit)) for v in sorted(values)) or None for values in (t.sizes, t.widths, t.depths)
    )


def _people_table(title: str, totals: Sequence[Total], unit: Unit, remarks: tuple[str, ...] = ()) -> Table:
    """Columns in which every row is 0 or empty are left out."""
    if not totals:
        return Table(title, (), (), ("Nothing is made here.",))
    columns = (*_COLUMNS[:3], Column("measures", "Size, depth"), *_COLUMNS[3:])
    rows = [(*(row := _row(t))[:3], _measure_words(t, unit), *row[3:]) for t in totals]
    shown = [i for i, c in enumerate(columns) if c.key in ("technique", "count") or any(r[i] for r in rows)]
    thinned = [tuple(r[i] if r[i] or columns[i].key == "count" else None for i in shown) for r in rows]
    return Table(title, tuple(columns[i] for i in shown), thinned, remarks)


def _measure_words(t: Total, unit: Unit) -> str | None:
    """``4 and 6 mm across, 1 mm deep``; of many sizes, the least and the largest."""
    words = []
    for values, word in ((t.sizes, "across"), (t.widths, "wide"), (t.depths, "deep")):
        texts = list(dict.fromkeys(length(v, unit) for v in sorted(values)))
        if len(texts) > _LISTED:
            words.append(f"{texts[0]} to {texts[-1]} {unit} {word}")
        elif texts:
            words.append(f"{' and '.join(texts)} {unit} {word}")
    return ", ".join(words) or None


def _tools(piece: LaidPiece) -> list[LaidTool]:
    """Every tool in use, by name."""
    works = [work for band in piece.bands for work in point_works(band)]
    works += [path.work for band in piece.bands for path in band.paths] + [path.work for path in piece.paths]
    tools = {work.tool.name: work.tool for work in works if work.tool}
    return [tools[name] for name in sorted(tools)]


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


def _json_total(t: Total, unit: Unit) -> dict[str, Json]:
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
    }


def _known(measure: float | None) -> set[float]:
    return set() if measure is None else {round(measure, DATA_DIGITS)}


def _volume(technique: str, tool: LaidTool | None) -> float:
    """Clay in one element (ml): only what is joined on is made of clay of its own."""
    return tool.volume or 0.0 if technique == "attach" and tool else 0.0


def _totals(points: Points | None, paths: Iterable[LaidPath], skipped: dict[Key, int]) -> tuple[Total, ...]:
    totals: dict[Key, Total] = {}

    def total(key: Key) -> Total:
        return totals.setdefault(key, Total(*key))

    if points is not None and len(points):
        n = len(points.works)
        made = np.bincount(points.work, minlength=n).tolist()
        areas = np.bincount(points.work, weights=points.area, minlength=n).tolist()
        for work, k, area in zip(points.works, made, areas, strict=True):
            if k:
                t = total(work.key)
                t.count += k
                t.area += area
                t.volume += k * _volume(work.technique, work.tool)
                t.depths |= _known(work.depth)
        sizes = np.where(points.is_footprint, np.nan, np.round(points.across, DATA_DIGITS))
        for i, size in np.unique(np.column_stack([points.work, sizes])[~np.isnan(sizes)], axis=0).tolist():
            total(points.works[int(i)].key).sizes.add(size)
    for path in paths:
        t = total(path.work.key)
        t.count += 1
        if not path.worked_over:
            t.length += path.length
        t.area += path.area
        t.volume += _volume(path.work.technique, path.work.tool)
        t.impressions += path.impressions
        t.widths |= _known(path.work.width)
        t.depths |= _known(path.work.depth)
    for key, k in skipped.items():
        if k:
            total(key).skipped += k
    return _sorted(totals.values())


def _summed(groups: Iterable[Iterable[Total]]) -> tuple[Total, ...]:
    totals: dict[Key, Total] = {}
    for group in groups:
        for t in group:
            key = (t.technique, t.tool, t.colour)
            totals.setdefault(key, Total(*key)).add(t)
    return _sorted(totals.values())


def _sorted(totals: Iterable[Total]) -> tuple[Total, ...]:
    return tuple(sorted(totals, key=lambda t: (technique_rank(t.technique), t.tool or "", t.colour or "")))
