"""Before the pattern: what to have ready, rings, verticals, patches kept free."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import zip_longest

import numpy as np

from motif.laying.piece import LaidBand, LaidPiece
from motif.outputs.cautions import LASER
from motif.outputs.method.chapters import Chapter
from motif.outputs.method.patches import middle, right_of_start
from motif.outputs.method.places import first_angle, origin_of
from motif.outputs.method.where import listing, named
from motif.outputs.numbers import MM_PER_UNIT, Unit, length_with_unit, number
from motif.outputs.tables import ASTRAY, Cell, Column, Step, Table

#: Readings stand in one block up to so many, and beside one another in no more columns of figures than this.
_SHORT, _ACROSS = 6, 8
#: A ring smaller than this across is not divided, mm.
_TOO_SMALL = 10.0
_SAME_ANGLE = 1e-9


def origin(piece: LaidPiece) -> str:
    """Where tape is measured from."""
    return origin_of(piece.form.wall)


# ---------------------------------------------------------------- rings


def rings(piece: LaidPiece, unit: Unit) -> Chapter | None:
    """All levels: the rings of the bands and the piece's own lines."""
    if not piece.bands and not piece.lines:
        return None
    inside = piece.form.side == "inside"
    start = origin(piece)
    steps = [
        f"Centre the pot on the wheel or a banding wheel{_foot(piece, unit)}.",
        f"Make the starting mark on the wall near {start}. Everything counts from it to the right, as you look "
        f"{'into the pot' if inside else 'at the wall'}.",
        _first_line(piece),
        f"Lay a soft tape {'on the wall ' if inside else ''}along that line, 0 at {start}, and mark every "
        "reading of the tables. The wall strip of sheets.pdf has them too.",
    ]
    by_height = [band.number for band in piece.bands if band.stepping == "height"]
    if by_height:
        level = (
            "measure the heights up from the lowest point of the wall inside"
            if inside
            else "set a level or height gauge to the heights"
        )
        steps.append(f"For {named('band', by_height)} {level} instead.")
    steps += [
        "Hold a pencil at each mark and turn the wheel once round: that is the ring.",
        "Number the rings of each band beside the line.",
    ]
    tables = [_ring_table(band, piece, unit) for band in piece.bands]
    if piece.lines:
        tables.append(_line_table(piece))
    intro = ("Heights are above the lowest point of this wall, inside the pot, not above the table.",) if inside else ()
    return Chapter("Mark the rings", tuple(steps), tuple(tables), (LASER,), intro)


def _first_line(piece: LaidPiece) -> str:
    if origin(piece) == "the foot" and piece.form.side == "outside":
        return "Draw a line straight up the wall from the starting mark, along a set square stood on the wheel head."
    return "Draw a line from the middle through the starting mark to the rim, along a rule held over the middle."


def _foot(piece: LaidPiece, unit: Unit) -> str:
    across = 2 * float(piece.form.wall.radius(0.0))
    return f"; its foot is {length_with_unit(across, unit)} across" if across > _TOO_SMALL else ""


def _ring_table(band: LaidBand, piece: LaidPiece, unit: Unit) -> Table:
    r = band.rings
    rows = list(zip(range(len(r.tape)), r.tape.tolist(), r.height.tolist(), r.circumference.tolist(), strict=True))
    remarks = []
    if band.left_over and band.left_over > 0.05:
        remarks.append(f"After the last ring {length_with_unit(band.left_over, unit)} of tape is left plain.")
    return Table(
        f"Rings of {band_name(band, piece)}",
        (
            Column("ring", "Ring", "count"),
            Column("tape", f"Tape from {origin(piece)}", "length"),
            Column("height", "Height", "length"),
            Column("around", "Around", "length"),
        ),
        rows,
        tuple(remarks),
    )


def band_name(band: LaidBand, piece: LaidPiece) -> str:
    return f"band {band.number}, {band.motif}" if len(piece.bands) > 1 else band.motif


def _line_table(piece: LaidPiece) -> Table:
    rows = [
        (line.work.technique, line.tape, line.height, math.tau * line.radius)
        for line in sorted(piece.lines, key=lambda line: line.tape)
    ]
    return Table(
        "Lines round the pot",
        (
            Column("work", "Work"),
            Column("tape", f"Tape from {origin(piece)}", "length"),
            Column("height", "Height", "length"),
            Column("around", "Around", "length"),
        ),
        rows,
    )


# ---------------------------------------------------------------- verticals


def verticals(piece: LaidPiece, unit: Unit) -> list[Chapter]:
    """A chapter for every way in which bands are divided; bands divided alike share one."""
    alike: dict[tuple[object, ...], list[LaidBand]] = {}
    for band in piece.bands:
        key: tuple[object, ...] = (band.number,)
        if band.row_columns is None:
            key = tuple(np.round(band.verticals / 1e-6).astype(np.int64).tolist())
        alike.setdefault(key, []).append(band)
    return [
        _row_by_row(group[0], piece, unit) if group[0].row_columns is not None else _divide(group, piece, unit)
        for group in alike.values()
    ]


def _widest(bands: Sequence[LaidBand]) -> tuple[LaidBand, int]:
    """The widest ring of some bands, where slips show least."""
    band = max(bands, key=lambda b: float(b.rings.radius.max()))
    return band, int(np.argmax(band.rings.radius))


def _divide(bands: Sequence[LaidBand], piece: LaidPiece, unit: Unit) -> Chapter:
    band, ring = _widest(bands)
    n = len(band.verticals)
    radius = float(band.rings.radius[ring])
    names = listing([band_name(b, piece) for b in bands])
    at = f"ring {ring}" + (f" of band {band.number}" if len(bands) > 1 else "")
    start = float(band.verticals[0]) % math.tau
    inside = piece.form.side == "inside"
    steps = []
    if _SAME_ANGLE < start < math.tau - _SAME_ANGLE:
        place = right_of_start(start, radius, piece, unit)
        steps.append(f"Mark vertical 1 on {at}: {place} ({number(math.degrees(start), 2)}°).")
    else:
        steps.append(f"Make vertical 1 where {at} crosses the line of the starting mark.")
    if n == 1:
        return Chapter(f"Mark vertical 1 for {names}", tuple(steps))
    steps += _by_dividers(band, radius, at, unit) if inside else _by_tape(band, radius, at, unit)
    steps += _elsewhere(bands, (band.number, ring), unit, inside)
    each = "each band" if len(bands) > 1 else "the band"
    steps += [
        f"Join the marks of each vertical with a bendy rule, from the first ring of {each} to its last.",
        "Number the verticals from 1 to the right.",
    ]
    steps += _panels(bands, piece)
    table = _straight_readings(band, radius, at) if inside else _readings(band, ring, at)
    intro = (f"The girth strips of sheets.pdf do the same as {'the dividers' if inside else 'the tape'}.",)
    if not inside:
        intro = (
            "The girth strips of sheets.pdf do the same as the tape, and so does its turntable disc if there is one.",
        )
    return Chapter(f"Divide the pot into {n} for {names}", tuple(steps), (table,), (), intro)


def _by_tape(band: LaidBand, radius: float, at: str, unit: Unit) -> list[str]:
    n, widths = len(band.verticals), _widths(band)
    steps = [
        f"Lay a soft tape round {at}, 0 at vertical 1, running to the right: all round it reads "
        f"{length_with_unit(math.tau * radius, unit)}.",
        "Without moving the tape, mark every reading of the table: one vertical each.",
    ]
    if len(widths) == 1:
        chord = _stepped(2 * radius * math.sin(math.pi / n), n, unit)
        return [*steps, f"Check: set dividers to {chord} and step round from vertical 1. {_closing(n)}"]
    sizes = listing([length_with_unit(2 * radius * math.sin(w / 2), unit) for w in widths])
    return [*steps, f"Check with dividers: the columns are {sizes} wide, as the table shows."]


def _by_dividers(band: LaidBand, radius: float, at: str, unit: Unit) -> list[str]:
    """Inside no tape goes round: straight steps from vertical to vertical."""
    n, widths = len(band.verticals), _widths(band)
    check = "Check with a stick or callipers: straight across from vertical 1 the table tells how far each lies."
    if len(widths) == 1:
        chord = _stepped(2 * radius * math.sin(math.pi / n), n, unit)
        return [
            f"Set dividers to {chord} and step round {at} to the right from vertical 1: one vertical each step.",
            _closing(n),
            check,
        ]
    return [
        f"Step round {at} to the right from vertical 1 with dividers set to the table's figures, one after the other.",
        "The last step must come back to vertical 1; if not, share the gap out and step again.",
        check,
    ]


def _closing(n: int) -> str:
    return (
        f"Step {n} must come back to it: if it stops short, open the dividers by 1/{n} of the gap, if it goes past, "
        "close them by as much, and step again."
    )


def _stepped(chord: float, times: int, unit: Unit) -> str:
    """A setting of dividers that are stepped round so many times, close enough for the last step to come back."""
    text = Step(chord, times).text(unit)
    if text is not None:
        return f"{text} {unit}"
    # No 32nd is near enough: the nearest 64th, whether it is over or under, and decimals.
    sixtyfourths = Fraction(round(chord / MM_PER_UNIT["in"] * 64), 64)
    over = chord / MM_PER_UNIT["in"] - float(sixtyfourths)
    decimals = f"{number(chord / MM_PER_UNIT['in'], 3)} in"
    if not sixtyfourths:
        return decimals
    whole, rest = divmod(sixtyfourths, 1)
    near = " ".join(str(part) for part in (whole, rest) if part)
    if abs(over) * times * MM_PER_UNIT["in"] <= ASTRAY:
        return f"{near} in ({decimals})"
    return f"a hair {'over' if over > 0 else 'under'} {near} in ({decimals})"


def _widths(band: LaidBand) -> list[float]:
    """The widths of columns, radians, each once, as they come."""
    widths = np.round(np.diff(np.append(band.verticals, band.verticals[0] + math.tau)), 9)
    return list(dict.fromkeys(widths.tolist()))


def _elsewhere(bands: Sequence[LaidBand], done: tuple[int, int], unit: Unit, inside: bool) -> list[str]:
    """Dividing the first and last rings too, so that verticals stand straight."""
    steps = []
    widest = next(b for b in bands if b.number == done[0])
    for band in bands:
        n = len(band.verticals)
        for ring in (0, band.rows):
            radius = float(band.rings.radius[ring])
            if (band.number, ring) == done or 2 * radius < _TOO_SMALL:
                continue
            at = f"ring {ring}" + (f" of band {band.number}" if len(bands) > 1 else "")
            sizes = [] if inside else [f"all round {length_with_unit(math.tau * radius, unit)}"]
            if len(_widths(band)) == 1:
                sizes.append(f"dividers {_stepped(2 * radius * math.sin(math.pi / n), n, unit)}")
            elif inside:
                part = number(radius / float(widest.rings.radius[done[1]]), 3)
                sizes.append(f"dividers {part} of the table's figures")
            steps.append(f"Divide {at} in the same way from the line of vertical 1: {', '.join(sizes)}.")
    return steps


def _panels(bands: Sequence[LaidBand], piece: LaidPiece) -> list[str]:
    steps = []
    for band in bands:
        if not band.panels:
            continue
        ends = []
        for low, high in band.panels:
            first, last = (_vertical_at(band, angle) for angle in (low, high))
            ends.append(f"from vertical {first} to vertical {last}")
        steps.append(f"Work {band_name(band, piece)} only {listing(ends)}; hatch the rest lightly as a reminder.")
    return steps


def _vertical_at(band: LaidBand, angle: float) -> int:
    apart = np.abs((band.verticals - angle + math.pi) % math.tau - math.pi)
    return int(np.argmin(apart)) + 1


def _readings(band: LaidBand, ring: int, at: str) -> Table:
    """Tape readings of the verticals along a ring, each from its own true place."""
    along = ((band.verticals - band.verticals[0]) * float(band.rings.radius[ring])).tolist()
    columns = (Column("vertical", "Vertical", "count"), Column("tape", "Tape", "length"))
    return _abreast(f"Readings along {at}", columns, list(enumerate(along, 1)))


def _abreast(title: str, columns: Sequence[Column], rows: Sequence[tuple[Cell, ...]]) -> Table:
    """A long table of few columns in blocks beside one another."""
    most = max(1, _ACROSS // len(columns))
    each = math.ceil(len(rows) / min(math.ceil(len(rows) / _SHORT), most))
    blocks = [rows[k : k + each] for k in range(0, len(rows), each)]
    empty = (None,) * len(columns)
    every = [tuple(cell for row in beside for cell in row) for beside in zip_longest(*blocks, fillvalue=empty)]
    return Table(title, tuple(columns) * len(blocks), every)


def _straight_readings(band: LaidBand, radius: float, at: str) -> Table:
    """Straight lines across the inside along a ring, from vertical 1 and, of unequal columns, from the one before."""
    turned = band.verticals - band.verticals[0]
    steps = 2 * radius * np.sin(np.diff(turned) / 2)
    across = 2 * radius * np.abs(np.sin(turned / 2))
    columns = [Column("vertical", "Vertical", "count"), Column("across", "From vertical 1", "length")]
    cells: list[Sequence[Cell]] = [range(1, len(turned) + 1), across.tolist()]
    if len(_widths(band)) > 1:
        columns.append(Column("dividers", "From the one before", "length"))
        cells.append([None, *steps.tolist()])
    return _abreast(f"Straight across, along {at}", columns, list(zip(*cells, strict=True)))


def _row_by_row(band: LaidBand, piece: LaidPiece, unit: Unit) -> Chapter:
    """Rows with columns of their own: each row's division along the ring below it in the table."""
    assert band.row_columns is not None
    r = band.rings
    rows: list[tuple[Cell, ...]] = []
    for k, n in enumerate(band.row_columns.tolist()):
        radius = max(float(r.radius[k]), float(r.radius[k + 1]))
        ring = k if radius == float(r.radius[k]) else k + 1
        chord = _stepped(2 * radius * math.sin(math.pi / n), n, unit)
        rows.append((k + 1, n, ring, math.tau * radius / n, chord))
    start = first_angle(band) % math.tau
    first = "the line of the starting mark"
    if _SAME_ANGLE < start < math.tau - _SAME_ANGLE:
        first = f"{number(math.degrees(start), 2)}° to the right of the starting mark"
    steps = (
        f"Each row has its own columns. Row 1 lies between rings 0 and 1; vertical 1 of every row is at {first}.",
        "Row by row, set dividers to the table's figure and step round the ring it names, from vertical 1.",
        "The last step must come back to vertical 1: if it stops short, open the dividers by its share of the gap, if "
        "it goes past, close them by as much, and step again.",
        "Number the first few verticals of every row.",
    )
    columns = (
        Column("row", "Row", "count"),
        Column("columns", "Columns", "count"),
        Column("ring", "Along ring", "count"),
        Column("tape", "By tape", "length"),
        Column("dividers", "By dividers"),
    )
    return Chapter(f"Divide {band_name(band, piece)} row by row", steps, (Table("Columns of each row", columns, rows),))


# ---------------------------------------------------------------- patches kept free


def free_patches(piece: LaidPiece, unit: Unit) -> Chapter | None:
    if not piece.reserves:
        return None
    steps = []
    for r in piece.reserves:
        steps += [
            f"“{r.name}”: mark its middle {middle(r, piece, unit)}.",
            f"Draw it from tape {length_with_unit(r.from_tape, unit)} to {length_with_unit(r.to_tape, unit)}, "
            f"{length_with_unit(r.wide / 2, unit)} by soft tape to either side of its middle at every height.",
        ]
    steps.append(
        "Keep these patches free: stop every line at their edges. Marks that reach in are named where they are made."
    )
    return Chapter("Draw the patches kept free", tuple(steps))
