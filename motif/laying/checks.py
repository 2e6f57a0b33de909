"""Warnings of what would spoil the pot, each with the numbers that decide it."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from motif.language.messages import Message, Messages
from motif.laying.clusters import distinct
from motif.laying.crowding import check_marks, check_strokes
from motif.laying.grid import GridLaw
from motif.laying.piece import LaidForm, LaidPath, Meeting, Points, Work
from motif.model.rules import Motif
from motif.model.techniques import TECHNIQUES

#: a row whose width : height leaves these bounds of the first row's is stretched
_STRETCHED = (2 / 3, 3 / 2)
#: a footprint that fills this much of its cell is meant to meet its neighbour, to this, mm
_FILLS, _GAP = 0.75, 0.5
#: part of the wall that a cut may take: common practice, no source
_DEEPEST = 1 / 3
#: a pitch off by more than this part is worth a word
_PITCH_OFF = 0.10


def check_band(
    motif: Motif,
    law: GridLaw,
    points: Points,
    paths: tuple[LaidPath, ...],
    meetings: tuple[Meeting, ...],
    form: LaidForm,
    messages: Messages,
) -> None:
    """All warnings that one band gives."""
    _stretched_cells(motif, law, messages)
    _say_how_tools_meet(meetings, messages)
    works = [points.works[k] for k in distinct(points.work)] if len(points) else []
    check_depths([*works, *(p.work for p in paths)], form, messages)
    check_pitches(paths, messages)
    told = {id(m.work) for m in meetings if m.gap < -_GAP}
    check_marks(points, form.wall, told, messages)
    check_strokes(paths, form.wall, messages)


def _stretched_cells(motif: Motif, law: GridLaw, messages: Messages) -> None:
    if law.columns is None:
        return
    tapes = law.ring_tapes
    middle = law.levels.wall.radius((tapes[1:] + tapes[:-1]) / 2)
    ratio = 2 * np.pi * middle / law.columns / np.abs(np.diff(tapes))
    if law.spaced_rows or ratio[0] <= 0:
        return
    off = ratio / ratio[0]
    bad = np.flatnonzero((off < _STRETCHED[0] - 1e-9) | (off > _STRETCHED[1] + 1e-9))
    if len(bad):
        worst = int(bad[np.argmax(np.abs(np.log(np.maximum(off[bad], 1e-12))))])
        messages.add(
            Message(
                "stretched-cells",
                f"Cells change shape: in {len(bad)} of {law.rows} rows, first in row {bad[0] + 1}, width : height "
                f"leaves two thirds to one and a half of row 1's {ratio[0]:.2f}; "
                f"in row {worst + 1} it is {ratio[worst]:.2f}.",
                motif.grid.rows.span,
                "Rows proportional keep the cells' shape; or let the pattern thin out with cell-width.",
            )
        )


def tool_meetings(law: GridLaw, points: Points) -> tuple[Meeting, ...]:
    """How footprints that nearly fill their cells meet their neighbours in every row (ring, for crossings).

    A footprint that fills at least three quarters of its cell's width is meant to meet the next in its row, if
    that is no more than a column and a half off."""
    found: list[Meeting] = []
    if not points.is_footprint.any():
        return ()
    for k in distinct(points.work[points.is_footprint]):
        work = points.works[int(k)]
        if work.tool is None or work.tool.wide is None:
            continue
        of_cells = points.row >= 1
        here = points.is_footprint & (points.work == k)
        for by_row, number in ((True, points.row), (False, points.ring)):
            chosen = np.flatnonzero(here & (of_cells == by_row) & (number >= 0))
            order = chosen[np.lexsort([points.angle[chosen], points.tape[chosen].round(3), number[chosen]])]
            for line in np.split(
                order, np.flatnonzero(np.diff(number[order]) | (np.diff(points.tape[order]) > 0.01)) + 1
            ):
                gap = _gap(law, points, line, work.tool.wide)
                if gap is not None:
                    found.append(Meeting(work, int(number[line[0]]), by_row, gap))
    return tuple(found)


def _gap(law: GridLaw, points: Points, line: NDArray[np.int64], wide: float) -> float | None:
    """What footprints at one level lack to meet (negative: overlap), mm, or None where they are not meant to."""
    if len(line) < 2:
        return None
    row = int(points.row[line[0]])
    columns = law.columns if law.row_columns is None else law.row_columns[max(0, min(row, law.rows) - 1)]
    radius = float(points.radius[line[0]])
    turn = np.diff(np.append(points.angle[line], points.angle[line[0]] + 2 * np.pi))
    meant = turn <= 1.5 * 2 * np.pi / columns + 1e-9 if columns else np.zeros(len(turn), dtype=np.bool_)
    apart = turn[meant] * radius
    if not columns or not len(apart) or wide < _FILLS * 2 * np.pi * radius / columns:
        return None
    worst = float(apart.min()) - wide
    return worst if worst < -_GAP else float(apart.max()) - wide


def _say_how_tools_meet(meetings: tuple[Meeting, ...], messages: Messages) -> None:
    works: dict[int, Work] = {id(m.work): m.work for m in meetings}
    for key, work in works.items():
        assert work.tool is not None and work.tool.wide is not None
        for code, sign, word, remedy in (
            (
                "tool-gap",
                1,
                "falls short of its neighbour by",
                "Join the ends by hand, take more columns, or a wider tool.",
            ),
            ("tool-overlap", -1, "overlaps its neighbour by", "Take fewer columns, or a narrower tool."),
        ):
            rows = [(m, sign * m.gap) for m in meetings if id(m.work) == key and sign * m.gap > _GAP + 1e-6]
            if rows:
                listed = ", ".join(f"{g:.1f} in {'row' if m.by_row else 'ring'} {m.number}" for m, g in rows[:12])
                more = f" and {len(rows) - 12} more" if len(rows) > 12 else ""
                messages.add(
                    Message(
                        code,
                        f"The tool '{work.tool.name}' is {work.tool.wide:.1f} mm wide and {word} (mm) {listed}{more}.",
                        work.span,
                        remedy,
                    )
                )


def check_depths(works: Iterable[Work], form: LaidForm, messages: Messages) -> None:
    """Cuts deeper than a third of the wall (common practice, no source), or than their tool should go."""
    for work in works:
        if work.depth is None:
            continue
        if (
            form.thickness is not None
            and TECHNIQUES[work.technique].cuts
            and work.depth > form.thickness * _DEEPEST + 1e-9
        ):
            messages.add(
                Message(
                    "too-deep",
                    f"{work.depth:.1f} mm deep in a wall of {form.thickness:.1f} mm is more than a third of it.",
                    work.span,
                    "A deep cut can crack in drying or firing, and its edge can be sharp. "
                    "Cut shallower, or throw a thicker wall.",
                )
            )
        if work.tool is not None and work.tool.deep is not None and work.depth > work.tool.deep + 1e-9:
            messages.add(
                Message(
                    "tool-too-deep",
                    f"{work.depth:.1f} mm is deeper than the tool '{work.tool.name}' should go "
                    f"({work.tool.deep:.1f} mm).",
                    work.span,
                    "Cut shallower, or take another tool.",
                )
            )


def check_pitches(paths: Iterable[LaidPath], messages: Messages) -> None:
    """Roulette strokes whose whole impressions come out far from the pitch asked for."""
    worst: dict[int, tuple[float, Work, float, int]] = {}
    for p in paths:
        if p.pitch_reached is None or p.work.pitch is None:
            continue
        off = abs(p.pitch_reached / p.work.pitch - 1)
        if off > _PITCH_OFF:
            before = worst.get(id(p.work))
            count = (before[3] if before else 0) + 1
            if before is None or off > before[0]:
                worst[id(p.work)] = (off, p.work, p.pitch_reached, count)
            else:
                worst[id(p.work)] = (*before[:3], count)
    for _, work, reached, count in worst.values():
        messages.add(
            Message(
                "pitch-off",
                f"In {count} strokes the pitch is off by more than 10 %: {reached:.2f} mm at worst, "
                f"{work.pitch:.2f} mm asked for.",
                work.span,
                "Short strokes hold few impressions; change the pitch.",
            )
        )
