"""The mark table: where on the wall every ring, vertical and point mark lies."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from motif.laying.piece import LaidBand, LaidPiece, Points, RingLine, Work
from motif.outputs.json_text import Degrees, Json, Records
from motif.outputs.numbers import (
    ANGLE_DIGITS,
    DATA_DIGITS,
    MM_PER_UNIT,
    Unit,
    in_unit,
    length_with_unit,
    number,
)
from motif.outputs.tables import Cell, Column, Phrase, Table, to_csv

Floats = NDArray[np.float64]

#: Marks whose tape distances differ by less stand on one line of the table for people (mm).
_SAME_TAPE = 0.005
#: Gaps that differ by less are called equal there (mm): half the last place a tape shows.
_SAME_GAP = 0.05
#: An even row may lack this many and still be called even.
_FEW_MISSING = 4


def as_json(piece: LaidPiece, unit: Unit = "mm") -> dict[str, Json]:
    """The object of ``motif marks --as json``: lengths in ``unit``, angles in degrees."""
    return {
        "piece": piece.name,
        "form": piece.form.name,
        "stage": piece.stage,
        "unit": unit,
        "bands": [band_json(band, unit) for band in piece.bands],
        "lines": [_line_json(line, unit) for line in piece.lines],
    }


def band_json(band: LaidBand, unit: Unit = "mm") -> dict[str, Json]:
    """One entry of ``bands``."""
    rings = band.rings
    result: dict[str, Json] = {
        "band": band.number,
        "motif": band.motif,
        "columns": band.columns,
        "rows": band.rows,
        "from_tape": in_unit(band.from_tape, unit),
        "to_tape": in_unit(band.to_tape, unit),
        "left_over": None if band.left_over is None else in_unit(band.left_over, unit),
        "proportion": band.proportion,
    }
    if band.row_columns is not None:
        result["row_columns"] = band.row_columns.tolist()
    n = len(rings.tape)
    result["rings"] = Records(
        {
            "ring": list(range(n)),
            "tape": _lengths(rings.tape, unit),
            "height": _lengths(rings.height, unit),
            "radius": _lengths(rings.radius, unit),
            "circumference": _lengths(rings.circumference, unit),
            "column_width": _lengths(rings.column_width, unit, n),
            "chord": _lengths(rings.chord, unit, n),
        }
    )
    result["verticals"] = Records(
        {
            "vertical": list(range(1, len(band.verticals) + 1)),
            "angle": round_degrees(band.verticals),
        }
    )
    result["points"] = _points_json(band, unit)
    return result


def round_degrees(angle: Floats) -> list[Degrees]:
    """Angles in radians as degrees from 0 up to, not including, 360, rounded as data are."""
    degrees = np.round(np.degrees(angle) % 360.0, ANGLE_DIGITS)
    return [Degrees(d) for d in np.where(degrees >= 360.0, 0.0, degrees).tolist()]


def along_ring(band: LaidBand, angle: Floats, radius: Floats) -> Floats:
    """Tape distance round the pot (mm), to the right from the band's vertical 1; less than once round."""
    start = band.verticals[0] if len(band.verticals) else 0.0
    turn = (np.asarray(angle) - start) % (2 * math.pi)
    # A mark on vertical 1 itself must not come out a whole turn away by a rounding.
    turn = np.where(2 * math.pi - turn < 1e-9, 0.0, turn)
    return turn * radius


def point_works(band: LaidBand) -> list[Work]:
    """The works that a band's point marks are made with, those that occur only, in the order of the motif."""
    return [band.points.works[i] for i in np.unique(band.points.work).tolist()]


def _points_json(band: LaidBand, unit: Unit) -> Records:
    p = band.points
    techniques = [w.technique for w in p.works]
    tools = [w.tool.name if w.tool else None for w in p.works]
    colours = [w.colour for w in p.works]
    work = p.work.tolist()
    return Records(
        {
            "technique": [techniques[i] for i in work],
            "tool": [tools[i] for i in work],
            "colour": [colours[i] for i in work],
            "column": _places(p.column),
            "row": _places(p.row),
            "vertical": _places(p.vertical),
            "ring": _places(p.ring),
            "angle": round_degrees(p.angle),
            "tape": _lengths(p.tape, unit),
            "height": _lengths(p.height, unit),
            "radius": _lengths(p.radius, unit),
            "along_ring": _lengths(along_ring(band, p.angle, p.radius), unit),
        }
    )


def _line_json(line: RingLine, unit: Unit) -> dict[str, Json]:
    return {
        "technique": line.work.technique,
        "tool": line.work.tool.name if line.work.tool else None,
        "colour": line.work.colour,
        "tape": in_unit(line.tape, unit),
        "height": in_unit(line.height, unit),
        "radius": in_unit(line.radius, unit),
        "circumference": in_unit(2 * math.pi * line.radius, unit),
    }


def _lengths(values: Floats | None, unit: Unit, n: int = 0) -> Sequence[float | None]:
    if values is None:
        return [None] * n
    return np.round(np.asarray(values) / MM_PER_UNIT[unit], DATA_DIGITS).tolist()


def _places(values: NDArray[np.int64]) -> list[int | None]:
    return [None if v < 0 else v for v in values.tolist()]


# ---------------------------------------------------------------- CSV


_RECORD_COLUMNS = (
    Column("piece", "Piece"),
    Column("band", "Band", "count"),
    Column("motif", "Motif"),
    Column("mark", "Mark"),
    Column("technique", "Technique"),
    Column("tool", "Tool"),
    Column("colour", "Colour"),
    Column("column", "Column", "count"),
    Column("row", "Row", "count"),
    Column("vertical", "Vertical", "count"),
    Column("ring", "Ring", "count"),
    Column("angle", "Angle", "angle"),
    Column("tape", "Tape", "length"),
    Column("height", "Height", "length"),
    Column("radius", "Radius", "length"),
    Column("along_ring", "Along the ring", "length"),
    Column("circumference", "Circumference", "length"),
    Column("column_width", "Column by tape", "length"),
    Column("chord", "Column by dividers", "length"),
)


def csv_document(piece: LaidPiece, unit: Unit = "mm") -> str:
    return to_csv([records([piece])], unit)


def records(pieces: Sequence[LaidPiece]) -> Table:
    """For CSV: a row each ring, vertical, point mark and line round the pot, told apart by ``mark``."""
    rows = [row for piece in pieces for row in _records(piece)]
    return Table("Marks", _RECORD_COLUMNS, rows)


def _records(piece: LaidPiece) -> Iterator[tuple[Cell, ...]]:
    nothing = (None,) * 3
    for band in piece.bands:
        head = (piece.name, band.number, band.motif)
        r = band.rings
        n = len(r.tape)
        widths: list[float | None] = [None] * n if r.column_width is None else r.column_width.tolist()
        chords: list[float | None] = [None] * n if r.chord is None else r.chord.tolist()
        for k, (tape, height, radius, around, width, chord) in enumerate(
            zip(
                r.tape.tolist(),
                r.height.tolist(),
                r.radius.tolist(),
                r.circumference.tolist(),
                widths,
                chords,
                strict=True,
            )
        ):
            yield (
                *head,
                "ring",
                *nothing,
                None,
                None,
                None,
                k,
                None,
                tape,
                height,
                radius,
                None,
                around,
                width,
                chord,
            )
        for k, angle in enumerate(round_degrees(band.verticals), 1):
            yield (*head, "vertical", *nothing, None, None, k, None, angle, *(None,) * 7)
        p = band.points
        made_with = [(w.technique, w.tool.name if w.tool else None, w.colour) for w in p.works]
        for work, column, row, vertical, ring, angle, tape, height, radius, along in zip(
            p.work.tolist(),
            _places(p.column),
            _places(p.row),
            _places(p.vertical),
            _places(p.ring),
            round_degrees(p.angle),
            p.tape.tolist(),
            p.height.tolist(),
            p.radius.tolist(),
            along_ring(band, p.angle, p.radius).tolist(),
            strict=True,
        ):
            yield (
                *head,
                "point",
                *made_with[work],
                column,
                row,
                vertical,
                ring,
                angle,
                tape,
                height,
                radius,
                along,
                None,
                None,
                None,
            )
    for line in piece.lines:
        work = line.work
        yield (
            piece.name,
            None,
            None,
            "line",
            work.technique,
            work.tool.name if work.tool else None,
            work.colour,
            None,
            None,
            None,
            None,
            None,
            line.tape,
            line.height,
            line.radius,
            None,
            2 * math.pi * line.radius,
            None,
            None,
        )


# ---------------------------------------------------------------- for people


def tables(piece: LaidPiece, unit: Unit = "mm") -> list[Table]:
    """For the bench: band by band the rings, the verticals, and the point marks ring by ring.

    Marks of one kind at one tape distance are one line: how many, where the first lies along the
    ring from vertical 1, and the gap from one to the next, or every place where gaps differ."""
    result: list[Table] = []
    for band in piece.bands:
        title = f"{piece.name}, band {band.number}: {band.description or band.motif}"
        result.append(_ring_table(band, title, unit))
        if len(band.verticals):
            result.append(_vertical_table(band))
        if len(band.points):
            result.append(_point_table(band))
    if piece.lines:
        result.append(_line_table(piece))
    if not result:
        result.append(Table(piece.name, (), (), ("There is nothing to mark: the piece has no bands and no lines.",)))
    return result


def _ring_table(band: LaidBand, title: str, unit: Unit) -> Table:
    r = band.rings
    columns = [
        Column("ring", "Ring", "count"),
        Column("tape", "Tape from foot", "length"),
        Column("height", "Height", "length"),
        Column("across", "Across", "length"),
        Column("around", "Around", "length"),
    ]
    cells: list[Sequence[Cell]] = [
        range(len(r.tape)),
        r.tape.tolist(),
        r.height.tolist(),
        (2 * r.radius).tolist(),
        r.circumference.tolist(),
    ]
    if r.column_width is not None and r.chord is not None:
        columns += [Column("column", "Column by tape", "length"), Column("chord", "by dividers", "length")]
        cells += [r.column_width.tolist(), r.chord.tolist()]
    if band.row_columns is not None:
        columns.append(Column("columns", "Columns in the row above it", "count"))
        counts: list[Cell] = band.row_columns.tolist()
        cells.append((counts + [None] * len(r.tape))[: len(r.tape)])
    remarks: list[str] = []
    rows = _many(band.rows, "row")
    size = f"{_many(band.columns, 'column')}, {rows}" if band.columns else rows
    remarks.append(
        f"{size}, from tape {length_with_unit(band.from_tape, unit)} to {length_with_unit(band.to_tape, unit)}."
    )
    if band.left_over:
        remarks.append(f"Left over at the end, plain: {length_with_unit(band.left_over, unit)} of tape.")
    if band.proportion is not None:
        remarks.append(f"Cells are {number(band.proportion, 3)} times as wide as high.")
    remarks += band.notes
    return Table(f"{title} — rings", tuple(columns), list(zip(*cells, strict=True)), tuple(remarks))


def _many(n: int, what: str) -> str:
    return f"{n} {what}{'' if n == 1 else 's'}"


def _vertical_table(band: LaidBand) -> Table:
    """Verticals by angle, and by soft tape along the band's widest ring, where slips show least."""
    r = band.rings
    widest = int(np.argmax(r.radius))
    along = along_ring(band, band.verticals, np.full(len(band.verticals), r.radius[widest]))
    rows = list(zip(range(1, len(band.verticals) + 1), round_degrees(band.verticals), along.tolist(), strict=True))
    return Table(
        f"Band {band.number} — verticals",
        (
            Column("vertical", "Vertical", "count"),
            Column("angle", "Angle", "angle"),
            Column("along", f"Along ring {widest} from vertical 1", "length"),
        ),
        rows,
    )


def _point_table(band: LaidBand) -> Table:
    p = band.points
    along = along_ring(band, p.angle, p.radius)
    rows: list[tuple[Cell, ...]] = []
    for group in _groups(p):
        first = int(group[0])
        work = p.works[int(p.work[first])]
        rows.append(
            (
                work.technique,
                work.tool.name if work.tool else None,
                work.colour,
                f"row {p.row[first]}" if p.row[first] >= 0 else f"ring {p.ring[first]}" if p.ring[first] >= 0 else None,
                float(p.tape[first]),
                float(p.height[first]),
                len(group),
                _along_words(np.sort(along[group]), 2 * math.pi * float(p.radius[first])),
            )
        )
    columns = (
        Column("technique", "Work"),
        Column("tool", "Tool"),
        Column("colour", "Colour"),
        Column("at", "At"),
        Column("tape", "Tape from foot", "length"),
        Column("height", "Height", "length"),
        Column("count", "Marks", "count"),
        Column("along", "Along the ring, from vertical 1"),
    )
    shown = [i for i, c in enumerate(columns) if c.key not in ("tool", "colour", "at") or any(r[i] for r in rows)]
    return Table(
        f"Band {band.number} — points",
        tuple(columns[i] for i in shown),
        [tuple(r[i] for i in shown) for r in rows],
    )


def _groups(p: Points) -> list[NDArray[np.int64]]:
    """The points of one work, row or ring, and tape, as indexes; groups in the order of their first point."""
    tape = np.rint(p.tape / _SAME_TAPE).astype(np.int64)
    keys = np.column_stack([p.work, p.row, np.where(p.row < 0, p.ring, -1), tape])
    _, first, group = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    order = np.argsort(group.ravel(), kind="stable")
    parts = np.split(order, np.cumsum(np.bincount(group.ravel()))[:-1])
    return [parts[i] for i in np.argsort(first, kind="stable")]


def _along_words(along: Floats, around: float) -> Phrase:
    """Places along a ring, sorted: ``first at 31.4, then every 62.8``, or all of them.

    Where a few of an even row are missing, as in a patch kept free, it says which."""
    places = along.tolist()
    if len(places) < 3:
        return Phrase(tuple(_listed(places)))
    gaps = np.diff(along)
    steps = np.rint(gaps / gaps.min()).astype(np.int64) if gaps.min() > _SAME_GAP else np.zeros(len(gaps), np.int64)
    count = int(steps.sum())
    step = (places[-1] - places[0]) / max(count, 1)
    expected = places[0] + step * np.concatenate([[0], np.cumsum(steps)])
    missing = sorted(set(range(count)) - set(np.cumsum(steps).tolist()) - {0})
    if not count or len(missing) > _FEW_MISSING or np.abs(expected - along).max() > _SAME_GAP:
        return Phrase(tuple(_listed(places)))
    all_round = abs(around - (count + 1) * step) <= _SAME_GAP
    words: list[str | float] = ["first at ", places[0], ", then every ", step]
    words.append(", all round" if all_round else f", up to number {count + 1}")
    if missing:
        words += [", but not at ", *_listed([places[0] + k * step for k in missing])]
    return Phrase(tuple(words))


def _listed(places: Sequence[float]) -> Iterator[str | float]:
    for i, place in enumerate(places):
        if i:
            yield ", "
        yield place


def _line_table(piece: LaidPiece) -> Table:
    rows = [
        (
            line.work.technique,
            line.work.tool.name if line.work.tool else None,
            line.tape,
            line.height,
            2 * line.radius,
            2 * math.pi * line.radius,
        )
        for line in piece.lines
    ]
    return Table(
        f"{piece.name} — lines round the pot",
        (
            Column("technique", "Work"),
            Column("tool", "Tool"),
            Column("tape", "Tape from foot", "length"),
            Column("height", "Height", "length"),
            Column("across", "Across", "length"),
            Column("around", "Around", "length"),
        ),
        rows,
    )
