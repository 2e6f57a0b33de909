"""The mark table: where on the wall every ring, vertical and point mark lies."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import repeat
from typing import Any, TypeVar

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
T = TypeVar("T")

#: Marks whose tape distances differ by less stand on one line of the table for people (mm).
_SAME_TAPE = 0.005
#: Dots whose sizes differ by less are of one size there (mm).
_SAME_SIZE = 0.005
#: Angles nearer than this are one (radians).
_SAME_ANGLE = 1e-9
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
    result["fits"] = _fits_json(band, unit)
    return result


def round_degrees(angle: Floats) -> list[Degrees]:
    """Angles in radians as degrees from 0 up to, not including, 360, rounded as data are."""
    degrees = np.round(np.degrees(angle) % 360.0, ANGLE_DIGITS)
    return [Degrees(d) for d in np.where(degrees >= 360.0, 0.0, degrees).tolist()]


def along_ring(band: LaidBand, angle: Floats, radius: Floats) -> Floats:
    """Tape distance round the pot (mm), to the right from the band's vertical 1; less than once round."""
    start = band.verticals[0] if len(band.verticals) else 0.0
    # A mark on vertical 1 itself must not come out a whole turn away by a rounding.
    return _turn_from(start, angle) * radius


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
            "across": _known_lengths(_across(p).tolist(), unit),
            "depth": _known_lengths(_of_each(p, [w.depth for w in p.works]), unit),
            "lean": _leans(p),
        }
    )


def _fits_json(band: LaidBand, unit: Unit) -> Records:
    """What footprints lack to meet their neighbours, ``gap`` negative where they overlap."""
    meetings = band.meetings
    return Records(
        {
            "tool": [m.work.tool.name if m.work.tool else None for m in meetings],
            "row": [m.number if m.by_row else None for m in meetings],
            "ring": [None if m.by_row else m.number for m in meetings],
            "gap": _known_lengths([m.gap for m in meetings], unit),
        }
    )


def _across(p: Points) -> Floats:
    """The sizes of dots (mm), NaN for bare points and for footprints, whose tool has the size."""
    return np.where(p.is_footprint, math.nan, p.across)


def _of_each(p: Points, of_work: Sequence[T]) -> list[T]:
    """What is known of works, for every point."""
    return [of_work[i] for i in p.work.tolist()]


def _leans(p: Points) -> list[Degrees | None]:
    """How far each footprint is tilted counter-clockwise, in degrees; None for dots."""
    degrees = np.round(np.degrees(p.lean), ANGLE_DIGITS).tolist()
    return [Degrees(d) if tilts else None for d, tilts in zip(degrees, p.is_footprint.tolist(), strict=True)]


def _known_lengths(values: Iterable[float | None], unit: Unit) -> list[float | None]:
    """Lengths in ``unit``, None where one is not known or NaN."""
    return [None if v is None or math.isnan(v) else round(in_unit(v, unit), DATA_DIGITS) for v in values]


def _line_json(line: RingLine, unit: Unit) -> dict[str, Json]:
    return {
        "technique": line.work.technique,
        "tool": line.work.tool.name if line.work.tool else None,
        "colour": line.work.colour,
        "tape": in_unit(line.tape, unit),
        "height": in_unit(line.height, unit),
        "radius": in_unit(line.radius, unit),
        "circumference": in_unit(2 * math.pi * line.radius, unit),
        "depth": None if line.work.depth is None else in_unit(line.work.depth, unit),
        "width": None if line.work.width is None else in_unit(line.work.width, unit),
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
    Column("across", "Across", "length"),
    Column("depth", "Depth", "length"),
    Column("width", "Width", "length"),
    Column("lean", "Lean", "angle"),
    Column("gap", "Lacking to meet", "length"),
)


def csv_document(piece: LaidPiece, unit: Unit = "mm") -> str:
    return to_csv([records([piece])], unit)


def records(pieces: Sequence[LaidPiece]) -> Table:
    """For CSV: a row each ring, vertical, point mark, fit of a tool and line round the pot, told apart by ``mark``."""
    rows = [row for piece in pieces for row in _records(piece)]
    return Table("Marks", _RECORD_COLUMNS, rows)


def _records(piece: LaidPiece) -> Iterator[tuple[Cell, ...]]:
    for band in piece.bands:
        head = {"piece": piece.name, "band": band.number, "motif": band.motif}
        r, p, meetings = band.rings, band.points, band.meetings
        yield from _columned(
            len(r.tape),
            **head,
            mark="ring",
            ring=range(len(r.tape)),
            tape=r.tape.tolist(),
            height=r.height.tolist(),
            radius=r.radius.tolist(),
            circumference=r.circumference.tolist(),
            column_width=None if r.column_width is None else r.column_width.tolist(),
            chord=None if r.chord is None else r.chord.tolist(),
        )
        n = len(band.verticals)
        yield from _columned(n, **head, mark="vertical", vertical=range(1, n + 1), angle=round_degrees(band.verticals))
        yield from _columned(
            len(p),
            **head,
            mark="point",
            **_made_with([p.works[i] for i in p.work.tolist()]),
            column=_places(p.column),
            row=_places(p.row),
            vertical=_places(p.vertical),
            ring=_places(p.ring),
            angle=round_degrees(p.angle),
            tape=p.tape.tolist(),
            height=p.height.tolist(),
            radius=p.radius.tolist(),
            along_ring=along_ring(band, p.angle, p.radius).tolist(),
            across=_known_lengths(_across(p).tolist(), "mm"),
            lean=_leans(p),
        )
        yield from _columned(
            len(meetings),
            **head,
            mark="fit",
            **_made_with([m.work for m in meetings]),
            row=[m.number if m.by_row else None for m in meetings],
            ring=[None if m.by_row else m.number for m in meetings],
            gap=[m.gap for m in meetings],
        )
    lines = piece.lines
    yield from _columned(
        len(lines),
        piece=piece.name,
        mark="line",
        **_made_with([line.work for line in lines]),
        tape=[line.tape for line in lines],
        height=[line.height for line in lines],
        radius=[line.radius for line in lines],
        circumference=[2 * math.pi * line.radius for line in lines],
    )


def _columned(n: int, **columns: Any) -> Iterator[tuple[Cell, ...]]:
    """``n`` rows of the table of records from some of its columns, or the one value that fills a column."""
    given = (columns.get(c.key) for c in _RECORD_COLUMNS)
    return zip(*(repeat(c, n) if c is None or isinstance(c, str | int) else c for c in given), strict=True)


def _made_with(works: Sequence[Work]) -> dict[str, list[Cell]]:
    return {
        "technique": [w.technique for w in works],
        "tool": [w.tool.name if w.tool else None for w in works],
        "colour": [w.colour for w in works],
        "depth": [w.depth for w in works],
        "width": [w.width for w in works],
    }


# ---------------------------------------------------------------- for people


def tables(piece: LaidPiece, unit: Unit = "mm") -> list[Table]:
    """For the bench: band by band the rings, the verticals, and the point marks ring by ring.

    Marks of one kind at one tape distance are one line: how many, where the first lies along the
    ring from vertical 1, and the gap from one to the next, or every place where gaps differ."""
    result: list[Table] = []
    for band in piece.bands:
        title = f"{piece.name}, band {band.number}: {band.description or band.motif}"
        result.append(_ring_table(band, title, unit))
        if band.meetings:
            result.append(_fit_table(band))
        if len(band.verticals):
            result.append(_vertical_table(band, unit))
        if len(band.points):
            result += _point_tables(band, unit)
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


def _fit_table(band: LaidBand) -> Table:
    """Row by row what a tool lacks to reach from mark to mark, to be joined by hand, or how far marks overlap."""
    return Table(
        f"Band {band.number} — how each tool meets its neighbour",
        (
            Column("at", "At"),
            Column("tool", "Tool"),
            Column("lacking", "Lacking", "length"),
            Column("overlapping", "Overlapping", "length"),
        ),
        [
            (
                f"{'row' if m.by_row else 'ring'} {m.number}",
                m.work.tool.name if m.work.tool else None,
                m.gap if m.gap >= 0 else None,
                -m.gap if m.gap < 0 else None,
            )
            for m in band.meetings
        ],
    )


def _vertical_table(band: LaidBand, unit: Unit) -> Table:
    """Verticals by angle, and by soft tape along the band's widest ring, where slips show least."""
    r = band.rings
    widest = int(np.argmax(r.radius))
    radius = float(r.radius[widest])
    along = along_ring(band, band.verticals, np.full(len(band.verticals), radius))
    degrees = round_degrees(band.verticals)
    rows = list(zip(range(1, len(band.verticals) + 1), degrees, along.tolist(), strict=True))
    remarks: tuple[str, ...] = ()
    if degrees[0]:
        off = math.radians(degrees[0]) * radius
        remarks = (
            f"Vertical 1 lies {number(degrees[0], 2)}° to the right of the starting mark: "
            f"{length_with_unit(off, unit)} along ring {widest}.",
        )
    return Table(
        f"Band {band.number} — verticals",
        (
            Column("vertical", "Vertical", "count"),
            Column("angle", "Angle", "angle"),
            Column("along", f"Along ring {widest} from vertical 1", "length"),
        ),
        rows,
        remarks,
    )


def _point_tables(band: LaidBand, unit: Unit) -> list[Table]:
    """A table each technique, tool and colour; size and depth head it where they are the same all through."""
    groups: dict[tuple[str, str | None, str | None], list[NDArray[np.int64]]] = {}
    panel = _panels(band)
    for group in _groups(band.points, panel):
        groups.setdefault(band.points.works[int(band.points.work[group[0]])].key, []).append(group)
    return [_point_table(band, members, panel, unit) for members in groups.values()]


def _point_table(band: LaidBand, groups: Sequence[NDArray[np.int64]], panel: NDArray[np.int64], unit: Unit) -> Table:
    p = band.points
    sizes = _across(p)
    rows: list[tuple[Cell, ...]] = []
    for group in groups:
        first = int(group[0])
        radius, size = float(p.radius[first]), float(sizes[first])
        along = _along_from(band, int(panel[first]), p.angle[group], radius)
        rows.append(
            (
                f"row {p.row[first]}" if p.row[first] >= 0 else f"ring {p.ring[first]}" if p.ring[first] >= 0 else None,
                int(panel[first]) + 1 if panel[first] >= 0 else None,
                None if math.isnan(size) else size,
                p.works[int(p.work[first])].depth,
                float(p.tape[first]),
                float(p.height[first]),
                len(group),
                _along_words(along, math.tau * radius),
            )
        )
    columns = (
        Column("at", "At"),
        Column("panel", "Panel", "count"),
        Column("across", "Across", "length"),
        Column("depth", "Deep", "length"),
        Column("tape", "Tape from foot", "length"),
        Column("height", "Height", "length"),
        Column("count", "Marks", "count"),
        Column("along", "Along the ring, from vertical 1"),
    )
    work = p.works[int(p.work[groups[0][0]])]
    words = [
        work.technique,
        *([f"with {work.tool.name}"] if work.tool else []),
        *([work.colour] if work.colour else []),
    ]
    left_out = {i for i in (0, 1) if not any(r[i] for r in rows)}
    for i, word in ((2, "across"), (3, "deep")):
        same = rows[0][i]
        if all(row[i] == same for row in rows):
            left_out.add(i)
            if isinstance(same, float):
                words.append(f"{length_with_unit(same, unit)} {word}")
    shown = [i for i in range(len(columns)) if i not in left_out]
    return Table(
        f"Band {band.number} — points: {', '.join(words)}",
        tuple(columns[i] for i in shown),
        [tuple(r[i] for i in shown) for r in rows],
    )


def _panels(band: LaidBand) -> NDArray[np.int64]:
    """The panel in which each point lies, from 0; −1 where the band goes all round."""
    found = np.full(len(band.points), -1, dtype=np.int64)
    for k, (start, end) in enumerate(band.panels):
        turn = _turn_from(start, band.points.angle)
        found[(found < 0) & (turn <= end - start + _SAME_ANGLE)] = k
    return found


def _turn_from(start: float, angle: Floats) -> Floats:
    """How far ``angle`` lies to the right of ``start``, from 0 up to a turn; a rounding to the left of it is 0."""
    turn = (np.asarray(angle) - start) % math.tau
    return np.where(math.tau - turn < _SAME_ANGLE, 0.0, turn)


def _along_from(band: LaidBand, panel: int, angle: Floats, radius: float) -> Floats:
    """Places along a ring from vertical 1 in rising order: from the panel's own start on, maybe past a turn."""
    if panel < 0:
        return np.sort(along_ring(band, angle, np.full(len(angle), radius)))
    start = band.panels[panel][0]
    return np.sort(_turn_from(start, angle)) * radius + along_ring(band, np.array([start]), np.array([radius]))


def _groups(p: Points, panel: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """The points of one work, size, row or ring, tape and panel, as indexes, in the order of their first points."""
    tape = np.rint(p.tape / _SAME_TAPE).astype(np.int64)
    size = np.rint(np.nan_to_num(_across(p), nan=-1.0) / _SAME_SIZE).astype(np.int64)
    keys = np.column_stack([p.work, p.row, np.where(p.row < 0, p.ring, -1), tape, size, panel])
    _, first, group = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    order = np.argsort(group.ravel(), kind="stable")
    parts = np.split(order, np.cumsum(np.bincount(group.ravel()))[:-1])
    return [parts[i] for i in np.argsort(first, kind="stable")]


def _along_words(along: Floats, around: float) -> Phrase:
    """Places along a ring, rising: ``first at 31.4, then every 62.8``, or all of them.

    Past a turn they count on, and are shown from vertical 1 again. Where a few of an even row are
    missing, as in a patch kept free, it says which."""
    places = along.tolist()
    if len(places) < 3:
        return Phrase(tuple(_listed(places, around)))
    gaps = np.diff(along)
    steps = np.rint(gaps / gaps.min()).astype(np.int64) if gaps.min() > _SAME_GAP else np.zeros(len(gaps), np.int64)
    count = int(steps.sum())
    step = (places[-1] - places[0]) / max(count, 1)
    expected = places[0] + step * np.concatenate([[0], np.cumsum(steps)])
    missing = sorted(set(range(count)) - set(np.cumsum(steps).tolist()) - {0})
    if not count or len(missing) > _FEW_MISSING or np.abs(expected - along).max() > _SAME_GAP:
        return Phrase(tuple(_listed(places, around)))
    all_round = abs(around - (count + 1) * step) <= _SAME_GAP
    words: list[str | float] = ["first at ", places[0] % around, ", then every ", step]
    words.append(", all round" if all_round else f", up to number {count + 1}")
    if missing:
        words += [", but not at ", *_listed([places[0] + k * step for k in missing], around)]
    return Phrase(tuple(words))


def _listed(places: Sequence[float], around: float) -> Iterator[str | float]:
    for i, place in enumerate(places):
        if i:
            yield ", "
        yield place % around


def _line_table(piece: LaidPiece) -> Table:
    columns = (
        Column("technique", "Work"),
        Column("tool", "Tool"),
        Column("tape", "Tape from foot", "length"),
        Column("height", "Height", "length"),
        Column("across", "Across", "length"),
        Column("around", "Around", "length"),
        Column("width", "Width", "length"),
        Column("depth", "Depth", "length"),
    )
    rows = [
        (
            line.work.technique,
            line.work.tool.name if line.work.tool else None,
            line.tape,
            line.height,
            2 * line.radius,
            2 * math.pi * line.radius,
            line.work.width,
            line.work.depth,
        )
        for line in piece.lines
    ]
    thinned = ("tool", "width", "depth")
    shown = [i for i, c in enumerate(columns) if c.key not in thinned or any(r[i] for r in rows)]
    return Table(
        f"{piece.name} — lines round the pot",
        tuple(columns[i] for i in shown),
        [tuple(r[i] for i in shown) for r in rows],
    )
