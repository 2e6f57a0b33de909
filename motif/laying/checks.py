"""What would spoil the pot: each check measures, and finds where its bound is passed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from motif.language.record import record
from motif.language.source import Span
from motif.laying.clusters import distinct
from motif.laying.findings import (
    Finding,
    Place,
    one_place,
    place_of_path,
    place_of_point,
    rows_at,
    span_key,
    worst_of,
)
from motif.laying.grid import GridLaw
from motif.laying.piece import Floats, Ints, LaidBand, LaidForm, LaidPath, Meeting, Points, Work
from motif.model.techniques import TECHNIQUES
from motif.wall.rings import turns_gained

#: a row whose width : height leaves these bounds of the first row's is stretched
STRETCHED = (2 / 3, 3 / 2)
#: a footprint that fills this much of its cell is meant to meet its neighbour, to this, mm
FILLS, GAP = 0.75, 0.5
#: neighbours are no more than so many columns off
_NEIGHBOUR = 1.5
#: part of the wall that a cut may take: common practice, no source
DEEPEST = 1 / 3
#: a pitch off by more than this part is worth a word
PITCH_OFF = 0.10
#: what is at its bound to this is within it, mm or parts
_AT_BOUND = 1e-9


# ---------------------------------------------------------------- the shape of cells


def cell_sizes(law: GridLaw) -> tuple[Floats, Floats]:
    """Width (of the widest column, by soft tape half-way up) and height by tape of the cells of each row from the
    band's start, mm."""
    b = law.ring_b(np.arange(law.rows, dtype=np.float64) + 0.5)
    radius = law.levels.wall.radius(law.levels.tape(b))
    share = np.diff(law.turns).max() if law.row_columns is None else 1 / np.array(law.row_columns)
    return 2 * np.pi * radius * share, np.abs(np.diff(law.ring_tapes))


def against_first(law: GridLaw, width: Floats, height: Floats) -> Floats:
    """Width : height of each row as a part of the first row's; where rows are spaced, of what the first row's would
    be at this row's share of height."""
    shape = width / height * law.row_shares
    return np.asarray(shape / shape[0])


def stretched(against: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Which rows leave the bounds of the first row's shape."""
    return (against < STRETCHED[0] - _AT_BOUND) | (against > STRETCHED[1] + _AT_BOUND)


def stretched_rows(band: LaidBand, span: Span) -> list[Finding]:
    """``stretched-cells``, row by row; ``bound`` is the first row's width : height."""
    rows = [r for r in band.fit if r.row is not None and r.against_first is not None]
    if not rows or rows[0].proportion is None:
        return []
    off = stretched(np.array([r.against_first for r in rows], dtype=np.float64))
    return [
        one_place(
            "stretched-cells",
            span,
            Place(band.number, -1, r.row, -1, -1, (r.from_tape + r.to_tape) / 2),
            r.proportion,
            max(r.against_first, 1 / r.against_first),
            bound=rows[0].proportion,
            of=len(rows),
            rows=(r.row,),
        )
        for r, bad in zip(rows, off.tolist(), strict=True)
        if bad and r.row is not None and r.proportion is not None and r.against_first is not None
    ]


# ---------------------------------------------------------------- footprints side by side


def tool_meetings(law: GridLaw, points: Points, half_drop: bool = False) -> tuple[Meeting, ...]:
    """How footprints that nearly fill their cells meet their neighbours in every row (ring, for crossings).

    A footprint that fills at least three quarters of its cell's width, as wide as it lies there, is meant to meet the
    next in its row, if that is no more than a column and a half off, or it takes up three quarters of the way there (as
    one in a group of cells does). In a ``half_drop``, where columns are moved up, it is also meant to meet those beside
    it in the next column, at the levels at which both fill so much."""
    found: list[Meeting] = []
    if not points.is_footprint.any():
        return ()
    for k in distinct(points.work[points.is_footprint]):
        work = points.works[int(k)]
        if work.tool is None or work.tool.wide is None:
            continue
        of_cells = points.row >= 1
        here = points.is_footprint & (points.work == k) & (points.shape >= 0)
        for by_row, number in ((True, points.row), (False, points.ring)):
            chosen = np.flatnonzero(here & (of_cells == by_row) & (number >= 0))
            order = chosen[np.lexsort([points.angle[chosen], points.tape[chosen].round(3), number[chosen]])]
            ends = np.flatnonzero(np.diff(number[order]) | (np.diff(points.tape[order]) > 0.01)) + 1
            lines = [line for line in np.split(order, ends) if len(line) > 1]
            met = [_meeting(law, points, line, np.roll(line, -1), work, by_row) for line in lines]
            if half_drop and len(chosen):
                left, right = _side_by_side(points, chosen, by_row)
                for one in distinct(number[left]):
                    row = number[left] == one
                    met.append(_meeting(law, points, left[row], right[row], work, by_row, across=True))
            worst: dict[int, Meeting] = {}
            for meeting in met:
                if meeting is not None:
                    before = worst.get(meeting.number)
                    if before is None or abs(meeting.gap) > abs(before.gap):
                        worst[meeting.number] = meeting
            found.extend(worst[one] for one in sorted(worst))
    return tuple(found)


def _side_by_side(points: Points, chosen: Ints, by_row: bool) -> tuple[Ints, Ints]:
    """The footprints of each column that has any, and those of the next such that lie nearest below and above them;
    what belongs to no column, as in ``each ring``, has no next."""
    place = (points.column if by_row else points.vertical)[chosen]
    chosen, place = chosen[place >= 0], place[place >= 0]
    if not len(chosen):
        return chosen, chosen
    used = np.array(distinct(place))
    rank = np.searchsorted(used, place)
    order = np.lexsort([points.tape[chosen], rank])
    tape, rank, sorted_ = points.tape[chosen[order]], rank[order], chosen[order]
    level = tape - tape.min()
    apart = 2 * float(level.max()) + 1.0  # so that columns lie one behind the other
    beside = (rank + 1) % len(used)
    at = np.searchsorted(rank * apart + level, beside * apart + level)
    left, right = [], []
    for other in (at - 1, at):
        inside = np.flatnonzero((other >= 0) & (other < len(rank)) & (beside != rank))
        inside = inside[rank[other[inside]] == beside[inside]]
        left.append(sorted_[inside])
        right.append(sorted_[other[inside]])
    return np.concatenate(left), np.concatenate(right)


def _meeting(
    law: GridLaw, points: Points, left: Ints, right: Ints, work: Work, by_row: bool, across: bool = False
) -> Meeting | None:
    """How footprints of one row meet those to their right where they do so worst, or None where none is meant to."""
    number = int((points.row if by_row else points.ring)[left[0]])
    column = _column_turn(law, number if by_row else number + 1, points.angle[left])
    turn = points.angle[right] - points.angle[left]
    turn = np.where(turn > 1e-12, turn, turn + 2 * np.pi)
    columns = 1 if law.row_columns is None else 2 * np.pi / column
    a = law.a_at(points.angle[left]) * columns
    b = law.a_at(points.angle[right]) * columns
    off = np.where(b > a + 1e-9, b - a, b - a + law.units * columns)
    # By how much of the way round it must be wide to be meant to meet.
    least = FILLS * np.where(off <= _NEIGHBOUR + 1e-9, column, np.maximum(column, turn)) - _AT_BOUND
    gaps = np.full(len(left), np.nan)
    shape, other = points.shape[left], points.shape[right]
    for one, two in sorted(set(zip(shape.tolist(), other.tolist(), strict=True))):
        if turns_gained(points.shapes[one]) or turns_gained(points.shapes[two]):
            continue
        here = np.flatnonzero((shape == one) & (other == two))
        facing = float(least[here].min()) if across else 0.0
        fills, gaps[here] = _apart(law, points.shapes[one], points.shapes[two], turn[here], facing)
        gaps[here[fills < least[here]]] = np.nan
    if np.isnan(gaps).all():
        return None
    place = (points.column if by_row else points.vertical)[left]
    badness = np.nan_to_num(gaps if np.nanmin(gaps) < -GAP else -gaps, nan=np.inf).round(4)
    k = int(np.lexsort((place, badness))[0])
    return Meeting(work, number, by_row, float(gaps[k]), int(place[k]), float(points.tape[left[k]]), across)


def _column_turn(law: GridLaw, row: int, angle: Floats) -> Floats:
    """The part of the way round (radians) of the column in which each angle lies, in a row."""
    if law.row_columns is not None:
        columns = law.row_columns[max(0, min(row, law.rows) - 1)]
        return np.full(len(angle), 2 * np.pi / columns)
    a = law.a_at(angle)
    near = np.round(a)
    return np.abs(law.angle_slope(np.where(np.abs(a - near) < 1e-6, near, a)))


def _apart(law: GridLaw, left: Floats, right: Floats, turn: Floats, facing: float) -> tuple[float, Floats]:
    """How much of the way round (radians) the left of two footprints takes at most, and the least clay between them
    along a level (mm, negative: overlap) for each of the turns from the one to the other; only levels count at which
    both are ``facing`` (radians) wide, over half a millimetre and more if that is above 0."""
    levels = np.unique(np.concatenate([left[:, 1], right[:, 1]]).round(9))
    west, east = _sides(left, levels)
    beyond, far = _sides(right, levels)
    both = np.isfinite(east) & np.isfinite(beyond)
    fills = float(np.nanmax(east - west))
    if facing > 0:
        both[both] &= (east - west)[both] >= facing
        both[both] &= (far - beyond)[both] >= facing
    if not both.any() or (facing > 0 and np.ptp(levels[both]) <= GAP):
        return fills, np.full(len(turn), np.nan)
    radius = law.levels.wall.radius(levels[both])
    return fills, np.min(radius * (turn[:, None] + beyond[both] - east[both]), axis=1)


def _sides(shape: Floats, levels: Floats) -> tuple[Floats, Floats]:
    """The westmost and eastmost angle of a closed polygon (k, 2) at each level; NaN where it is not."""
    a, s = shape[:, 0], shape[:, 1]
    b, t = np.roll(a, -1), np.roll(s, -1)
    low, high = np.minimum(s, t)[:, None], np.maximum(s, t)[:, None]
    crosses = (levels >= low - 1e-9) & (levels <= high + 1e-9)
    rise = (t - s)[:, None]
    level_edge = np.abs(rise) < 1e-9
    part = np.clip(np.where(level_edge, 0.0, (levels - s[:, None]) / np.where(level_edge, 1.0, rise)), 0, 1)
    at = a[:, None] + part * (b - a)[:, None]
    first, last = (
        np.where(level_edge, np.minimum(a, b)[:, None], at),
        np.where(level_edge, np.maximum(a, b)[:, None], at),
    )
    west = np.where(crosses, first, np.inf).min(axis=0)
    east = np.where(crosses, last, -np.inf).max(axis=0)
    return np.where(np.isfinite(west), west, np.nan), np.where(np.isfinite(east), east, np.nan)


def gap_code(gap: float) -> str | None:
    """The warning that a gap gives rise to."""
    if abs(gap) <= GAP + 1e-6:
        return None
    return "tool-gap" if gap > 0 else "tool-overlap"


def bad_meetings(band: LaidBand) -> list[Finding]:
    """``tool-gap`` and ``tool-overlap``, row by row (ring by ring)."""
    found = []
    for m in band.meetings:
        code = gap_code(m.gap)
        if code is not None and m.work.tool is not None:
            column, row, vertical, ring = (m.place, m.number, -1, -1) if m.by_row else (-1, -1, m.place, m.number)
            at = Place(band.number, column, row, vertical, ring, m.tape)
            tool = m.work.tool
            found.append(
                one_place(
                    code, m.work.span, at, abs(m.gap), abs(m.gap) / GAP,
                    bound=GAP, about=tool.name, size=tool.wide or 0.0, rows=(row,), ring=ring,
                )
            )  # fmt: skip
    return found


# ---------------------------------------------------------------- depth


def cut_depth(work: Work) -> float | None:
    """The depth that counts against the wall, mm; None where the work takes no clay away, or says no depth."""
    return work.depth if TECHNIQUES[work.technique].cuts else None


@record
class Worked:
    """A way of working on a band (0: the piece's own lines), how many marks are made so, where the first is, and in
    which rows they lie."""

    work: Work
    first: Place
    count: int
    rows: tuple[int, ...]


def ways_of_working(band: LaidBand) -> list[Worked]:
    """Every way of working on a band, in the order made."""
    p, tapes = band.points, band.rings.tape
    found = []
    rows = rows_at(tapes, p.tape)
    for k in distinct(p.work) if len(p) else []:
        here = np.flatnonzero(p.work == k)
        first = place_of_point(band.number, p, int(here[0]))
        found.append(Worked(p.works[k], first, len(here), tuple(distinct(rows[here]))))
    return found + _lines(band.number, band.paths, tapes)


def own_ways(paths: Sequence[LaidPath]) -> list[Worked]:
    """Every way of working of the piece's own lines."""
    return _lines(0, paths, None)


def _lines(band: int, paths: Sequence[LaidPath], ring_tapes: Floats | None) -> list[Worked]:
    by_work: dict[int, list[LaidPath]] = {}
    for path in paths:
        by_work.setdefault(id(path.work), []).append(path)
    return [
        Worked(
            some[0].work,
            place_of_path(band, some[0]),
            len(some),
            () if ring_tapes is None else _rows_of(some, ring_tapes),
        )
        for some in by_work.values()
    ]


def _rows_of(paths: Sequence[LaidPath], ring_tapes: Floats) -> tuple[int, ...]:
    ends = np.array([[p.points[:, 1].min(), p.points[:, 1].max()] for p in paths])
    rises = ends[:, 1] - ends[:, 0] > 1e-3
    # A line that only ends on a ring does not reach the row beyond it.
    ends[rises] += np.array([1e-4, -1e-4])
    rows = np.sort(np.stack([rows_at(ring_tapes, ends[:, 0]), rows_at(ring_tapes, ends[:, 1])]), axis=0)
    return tuple(sorted({row for low, high in set(zip(*rows.tolist(), strict=True)) for row in range(low, high + 1)}))


def depth_findings(ways: Sequence[Worked], form: LaidForm) -> list[Finding]:
    """``too-deep`` (deeper than a third of the wall, which is the ``bound``) and ``tool-too-deep``."""
    found: list[Finding] = []
    for w in ways:
        depth, tool = w.work.depth, w.work.tool
        if depth is None:
            continue
        bounds = (
            ("too-deep", None if form.thickness is None or cut_depth(w.work) is None else form.thickness * DEEPEST),
            ("tool-too-deep", None if tool is None else tool.deep),
        )
        found += [
            Finding(
                code, w.work.span, w.first, depth, w.first, depth, depth / bound, w.count, bound,
                about="" if tool is None else tool.name, rows=w.rows,
            )
            for code, bound in bounds
            if bound is not None and depth > bound + _AT_BOUND
        ]  # fmt: skip
    return found


# ---------------------------------------------------------------- pitches


def pitch_findings(band: int, paths: Sequence[LaidPath]) -> list[Finding]:
    """``pitch-off``: roulette strokes whose whole impressions come out far from the pitch asked for, by statement;
    ``bound`` is the pitch asked for, ``of`` how many strokes there are."""
    by: dict[tuple[str, int, int], list[tuple[LaidPath, float]]] = {}
    for p in paths:
        if p.pitch_reached is not None and p.work.pitch is not None:
            by.setdefault(span_key(p.work.span), []).append((p, abs(p.pitch_reached / p.work.pitch - 1)))
    found = []
    for strokes in by.values():
        bad = [
            one_place(
                "pitch-off",
                p.work.span,
                place_of_path(band, p),
                p.pitch_reached or 0.0,
                off / PITCH_OFF,
                bound=p.work.pitch or 0.0,
            )
            for p, off in strokes
            if off > PITCH_OFF + _AT_BOUND
        ]
        if bad:
            worst = worst_of(bad)
            found.append(
                Finding(
                    "pitch-off", bad[0].span, bad[0].first, bad[0].value, worst.first, worst.value, worst.excess,
                    len(bad), worst.bound, of=len(strokes),
                )
            )  # fmt: skip
    return found
