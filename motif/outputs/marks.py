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
)
from motif.outputs.tables import Cell, Column, Table, to_csv

Floats = NDArray[np.float64]
T = TypeVar("T")

#: Angles nearer than this are one (radians).
_SAME_ANGLE = 1e-9


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
    return turn_from(start, angle) * radius


def turn_from(start: float, angle: Floats) -> Floats:
    """How far ``angle`` lies to the right of ``start``, from 0 up to a turn; a rounding to the left of it is 0."""
    turn = (np.asarray(angle) - start) % math.tau
    return np.where(math.tau - turn < _SAME_ANGLE, 0.0, turn)


def point_works(band: LaidBand) -> list[Work]:
    """The works that a band's point marks are made with, those that occur only, in the order of the motif."""
    return [band.points.works[i] for i in np.unique(band.points.work).tolist()]


def lacking(band: LaidBand) -> dict[tuple[str, bool], list[float | None]]:
    """What footprints lack to meet (mm, negative where they overlap), ring by ring, for every tool.

    The keys are the tool and whether its marks go by rows of cells; those stand beside the ring at which their
    row begins, so the last ring has none. Where a tool meets its neighbour in several ways in one row, the
    figure is the one farthest from meeting."""
    found: dict[tuple[str, bool], list[float | None]] = {}
    for m in band.meetings:
        name = m.work.tool.name if m.work.tool else m.work.technique
        column = found.setdefault((name, m.by_row), [None] * len(band.rings.tape))
        ring = m.number - 1 if m.by_row else m.number
        before = column[ring]
        column[ring] = m.gap if before is None or abs(m.gap) > abs(before) else before
    return found


def _lacking_most(band: LaidBand) -> list[float | None]:
    """What any tool lacks to meet, or overlaps, most at every ring (mm)."""
    columns = zip(*lacking(band).values(), strict=True)
    most = [max((gap for gap in gaps if gap is not None), key=abs, default=None) for gaps in columns]
    return most or [None] * len(band.rings.tape)


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
            "across": _known_lengths(sizes(p).tolist(), unit),
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


def sizes(p: Points) -> Floats:
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
    """For CSV: a row each ring, vertical, point mark, fit of a tool and line round the pot, told apart by ``mark``.

    A ring's ``gap`` is what the footprints that begin at it lack most to meet (see ``lacking``)."""
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
            gap=_lacking_most(band),
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
            across=_known_lengths(sizes(p).tolist(), "mm"),
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
