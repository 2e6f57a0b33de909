"""The mark table for people: for the bench, band by band, in as few lines as say it all."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from motif.laying.piece import LaidBand, LaidPiece, Points
from motif.outputs.marks import along_ring, lacking, round_degrees, sizes, turn_from
from motif.outputs.method.places import origin_of
from motif.outputs.numbers import Unit, length_with_unit, number, shown_length
from motif.outputs.tables import Cell, Column, Phrase, Step, Table

Floats = NDArray[np.float64]

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


def tables(piece: LaidPiece, unit: Unit = "mm") -> list[Table]:
    """For the bench: band by band the rings, the verticals, and the point marks ring by ring.

    Marks of one kind at one tape distance are one line: how many, where the first lies along the
    ring from vertical 1, and the gap from one to the next, or every place where gaps differ."""
    result: list[Table] = []
    start = origin_of(piece.form.wall).removeprefix("the ")
    for band in piece.bands:
        title = f"{piece.name}, band {band.number}: {band.description or band.motif}"
        result.append(_ring_table(band, title, start, unit))
        if _meets_in_several_ways(band):
            result.append(_fit_table(band))
        if len(band.verticals):
            result.append(_vertical_table(band, unit))
        if len(band.points):
            result += _point_tables(band, start, unit)
    if piece.lines:
        result.append(_line_table(piece, start))
    if not result:
        result.append(Table(piece.name, (), (), ("There is nothing to mark: the piece has no bands and no lines.",)))
    return result


def _ring_table(band: LaidBand, title: str, start: str, unit: Unit) -> Table:
    r = band.rings
    columns = [
        Column("ring", "Ring", "count"),
        Column("tape", f"Tape from {start}", "length"),
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
        columns.append(Column("columns", f"Columns in the row {_onward(band)} it", "count"))
        counts: list[Cell] = band.row_columns.tolist()
        cells.append((counts + [None] * len(r.tape))[: len(r.tape)])
    fits = lacking(band)
    for (tool, by_row), gaps in fits.items():
        where = f" in the row {_onward(band)} it" if by_row else ""
        columns.append(Column("gap", f"{tool} beside its neighbour{where}, {unit}"))
        cells.append([None if gap is None else gap_phrase(gap, unit) for gap in gaps])
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
    if fits:
        remarks.append("What a tool lacks is the gap from mark to mark, joined by hand.")
    remarks += band.notes
    return Table(f"{title} — rings", tuple(columns), list(zip(*cells, strict=True)), tuple(remarks))


def gap_phrase(gap: float, unit: Unit) -> Phrase:
    """``overlaps by 1.7``, ``lacks 0.6``, ``just meets``: what stands between two footprints (mm)."""
    if not shown_length(gap, unit):
        return Phrase(("just meets",))
    return Phrase(("lacks " if gap > 0 else "overlaps by ", abs(gap)))


def _onward(band: LaidBand) -> str:
    """On which side of a ring the next row lies."""
    return "above" if band.from_tape <= band.to_tape else "below"


def _meets_in_several_ways(band: LaidBand) -> bool:
    """Whether the rings' table cannot hold all that is known of how tools meet."""
    return len(band.meetings) > sum(gap is not None for gaps in lacking(band).values() for gap in gaps)


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
        turned, side = (degrees[0], "right") if degrees[0] <= 180.0 else (360.0 - degrees[0], "left")
        remarks = (
            f"Vertical 1 lies {number(turned, 2)}° to the {side} of the starting mark: "
            f"{length_with_unit(math.radians(turned) * radius, unit)} along ring {widest}.",
        )
    if band.panels:
        remarks += (f"Worked are the panels {_panel_words(band)}.",)
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


def _panel_words(band: LaidBand) -> str:
    """``1: from vertical 1 to 13; 2: from vertical 25 to 37``: a panel lies between two verticals."""
    verticals = band.verticals
    ends = [
        [int(np.argmin(np.abs(np.remainder(verticals - end + math.pi, math.tau) - math.pi))) + 1 for end in panel]
        for panel in band.panels
    ]
    return "; ".join(f"{k}, from vertical {start} to {end}" for k, (start, end) in enumerate(ends, 1))


def _point_tables(band: LaidBand, start: str, unit: Unit) -> list[Table]:
    """A table each technique, tool and colour; size and depth head it where they are the same all through."""
    groups: dict[tuple[str, str | None, str | None], list[NDArray[np.int64]]] = {}
    panel = _panels(band)
    for group in _groups(band.points, panel):
        groups.setdefault(band.points.works[int(band.points.work[group[0]])].key, []).append(group)
    return [_point_table(band, members, panel, start, unit) for members in groups.values()]


def _point_table(
    band: LaidBand, groups: Sequence[NDArray[np.int64]], panel: NDArray[np.int64], start: str, unit: Unit
) -> Table:
    p = band.points
    size_of = sizes(p)
    rows: list[tuple[Cell, ...]] = []
    for group in groups:
        first = int(group[0])
        radius, size = float(p.radius[first]), float(size_of[first])
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
        Column("tape", f"Tape from {start}", "length"),
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
        turn = turn_from(start, band.points.angle)
        found[(found < 0) & (turn <= end - start + _SAME_ANGLE)] = k
    return found


def _along_from(band: LaidBand, panel: int, angle: Floats, radius: float) -> Floats:
    """Places along a ring from vertical 1 in rising order: from the panel's own start on, maybe past a turn."""
    if panel < 0:
        return np.sort(along_ring(band, angle, np.full(len(angle), radius)))
    start = band.panels[panel][0]
    return np.sort(turn_from(start, angle)) * radius + along_ring(band, np.array([start]), np.array([radius]))


def _groups(p: Points, panel: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """The points of one work, size, row or ring, tape and panel, as indexes, in the order of their first points."""
    tape = np.rint(p.tape / _SAME_TAPE).astype(np.int64)
    size = np.rint(np.nan_to_num(sizes(p), nan=-1.0) / _SAME_SIZE).astype(np.int64)
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
    words: list[str | float | Step] = ["first at ", places[0] % around, ", then every ", Step(step, count)]
    words.append(", all round" if all_round else f", up to number {count + 1}")
    if missing:
        words += [", but not at ", *_listed([places[0] + k * step for k in missing], around)]
    return Phrase(tuple(words), tuple(_listed(places, around)))


def _listed(places: Sequence[float], around: float) -> Iterator[str | float]:
    for i, place in enumerate(places):
        if i:
            yield ", "
        yield place % around


def _line_table(piece: LaidPiece, start: str) -> Table:
    columns = (
        Column("technique", "Work"),
        Column("tool", "Tool"),
        Column("tape", f"Tape from {start}", "length"),
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
