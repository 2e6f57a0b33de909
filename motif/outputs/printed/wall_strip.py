"""The wall strip: paper held up the wall, ticked at every ring by tape, with heights for those who use a level."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.method.setting_out import origin
from motif.outputs.numbers import Unit, length
from motif.outputs.pen import SANS, SERIF
from motif.outputs.printed import letters
from motif.outputs.printed.joins import Section, cut
from motif.outputs.printed.pages import BODY, SMALL
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import Box, Sketch
from motif.outputs.styles import INK
from motif.outputs.tables import lack

#: Width of the strip, and where its columns of words begin (mm).
WIDTH = 66.0
_NAMES, _TAPES, _HEIGHTS, _SIDE = 12.5, 42.5, 57.5, 61.0
#: What the words beside the figures leave free for the letter of a join (mm).
_BESIDE_JOIN = 12.0
#: Units that are spelt out: “in in” reads badly.
_SPELT = {"in": "inches"}
#: Ticks of rings and lines round the pot, of landmarks, and of rows of marks (mm).
_RING, _OTHER, _MARKS = 8.0, 5.0, 3.0
#: Lines of words are no nearer than this (mm).
_APART = 3.5
#: Levels nearer than this are one (mm of tape).
_SAME = 0.05
#: Marks at levels nearer than this (mm) stand in no rows: figures, scattered dots.
_ROWS_APART = 1.5


@record
class Level:
    """A level on the wall; ``tick`` is the length of its tick (mm). A ``needed`` one is named however many crowd."""

    tape: float
    height: float
    name: str
    tick: float
    needed: bool


def levels(piece: LaidPiece) -> list[Level]:
    """Rings, the piece's own lines and the landmarks, upward; what lies at one level is one, its names joined."""
    wall = piece.form.wall
    several = len(piece.bands) > 1
    found: list[Level] = []
    for band in piece.bands:
        for k, (tape, height) in enumerate(zip(band.rings.tape.tolist(), band.rings.height.tolist(), strict=True)):
            name = f"{band.number}·{k}" if several else str(k)
            found.append(Level(tape, height, name, _RING, k in (0, band.rows)))
    found += [Level(line.tape, line.height, line.work.technique, _RING, True) for line in piece.lines]
    lowest = origin(piece).removeprefix("the ")
    for mark, tape in piece.form.landmarks.items():
        if mark not in ("foot", "rim") and not _SAME <= tape <= wall.length - _SAME:
            continue  # widest or narrowest where the wall ends: that is foot or rim to everyone
        found.append(Level(tape, float(wall.height(tape)), lowest if mark == "foot" else mark, _OTHER, True))
    joined: list[Level] = []
    for level in sorted(found, key=lambda one: one.tape):
        if joined and level.tape - joined[-1].tape < _SAME:
            below = joined[-1]
            names = below.name if level.name in below.name.split(", ") else f"{below.name}, {level.name}"
            joined[-1] = Level(
                below.tape, below.height, names, max(below.tick, level.tick), below.needed or level.needed
            )
        else:
            joined.append(level)
    return joined


def mark_levels(piece: LaidPiece) -> list[float]:
    """Tapes of the rows of point marks, upward; none where they lie too close to be rows."""
    tapes = [band.points.tape for band in piece.bands if len(band.points)]
    if not tapes:
        return []
    rows = np.unique(np.round(np.concatenate(tapes), 2))
    return rows.tolist() if np.all(np.diff(rows) >= _ROWS_APART) else []


def parts(piece: LaidPiece, paper: Paper, unit: Unit, first_join: int) -> list[Part]:
    """The strip, cut to the paper's height, upright. ``first_join`` is the index of its first join's letter."""
    every = levels(piece)
    rows = mark_levels(piece)
    at = [level.tape for level in every]
    sections = cut(float(piece.form.wall.length), paper.height, at, 0.0, first_join)
    # Above the highest ring or line paper is only worth it where it takes no further piece.
    highest = max((t for t, level in zip(at, every, strict=True) if level.tick == _RING), default=at[-1])
    shorter = cut(min(highest + 2 * _APART, at[-1]), paper.height, at, 0.0, first_join)
    sections = shorter if len(shorter) < len(sections) else sections
    return [_part(piece, every, rows, one, k, len(sections), unit) for k, one in enumerate(sections, 1)]


def _part(
    piece: LaidPiece,
    every: Sequence[Level],
    rows: Sequence[float],
    section: Section,
    number: int,
    count: int,
    unit: Unit,
) -> Part:
    sketch = Sketch()
    line = sketch.group(stroke=INK, stroke_width=0.25, fill="none")
    words = sketch.group(font_family=SANS, fill=INK)
    end = section.end + section.over
    # x from the edge with the ticks, y upward from the section's start.
    top = -(end - section.start)
    line.lines([np.array([[0.0, 0.0], [WIDTH, 0.0], [WIDTH, top], [0.0, top]])], closed=True)
    line.lines([np.array([[0.0, 0.0], [0.0, top]])], stroke_width=0.5)
    here = [level for level in every if section.start - 1e-9 <= level.tape <= end + 1e-9]
    for level in here:
        y = section.start - level.tape
        line.lines([np.array([[0.0, y], [level.tick, y]])], stroke_width=0.35 if level.tick == _RING else 0.25)
    for tape in rows:
        if section.start <= tape <= end and all(abs(tape - level.tape) > _SAME for level in here):
            y = section.start - tape
            line.lines([np.array([[0.0, y], [_MARKS, y]])])
            words.circle(_MARKS + 0.9, y, 0.55, stroke="none")
    named = _named([level for level in here if level.tape <= section.end + 1e-9], section.end - section.start)
    spread = _spread([section.start - level.tape for level in named], top)
    for level, y in zip(named, spread, strict=True):
        exact = section.start - level.tape
        line.lines([np.array([[level.tick, exact], [level.tick + 0.6, exact], [_NAMES - 1.0, y]])])
        base = y + 0.36 * SMALL
        words.text(_NAMES, base, letters.fitted(level.name, _TAPES - _NAMES - 9.5, SMALL), SMALL, font_family=SERIF)
    for x, figures in (
        (_TAPES, [length(level.tape, unit) for level in named]),
        (_HEIGHTS, [length(level.height, unit) for level in named]),
    ):
        for y, figure, lacking in zip(spread, figures, lack(figures), strict=True):
            words.text(x - letters.width(lacking, SMALL), y + 0.36 * SMALL, figure, SMALL, anchor="end")
    if section.after is not None:
        y = section.start - section.end
        line.lines([np.array([[0.0, y], [WIDTH, y]])], stroke_dasharray="2 1.2", stroke_width=0.35)
        words.text(WIDTH - 7.0, y - 4.0, section.after, BODY * 1.3, font_family=SERIF)
    nth = f" · part {number} of {count}" if count > 1 else ""
    joined = section.before
    kinds = (
        f"{piece.name} · wall strip · ring, tape, height in {_SPELT.get(unit, unit)}{nth}",
        f"{piece.name} · wall strip{nth}",
        f"wall strip{nth}",
        nth.removeprefix(" · "),
    )
    ends = (f"{joined}: lay this end on line {joined}", f"{joined} on {joined}")
    for k, said in enumerate((kinds, ends if joined else (f"this end at {origin(piece)}",))):
        room = -top - _BESIDE_JOIN if section.after else -top - 4.0
        if fitting := letters.first_that_fits(said, room, SMALL):
            words.text(_SIDE + 4.0 * k, -2.0, fitting, SMALL, turned=-90.0)
    return Part("wall strip", (sketch,), Box(0.0, top, WIDTH, 0.0))


def _named(here: Sequence[Level], room: float) -> list[Level]:
    """Which levels have their words: all, or every second, fifth, tenth … ring where all would not fit."""
    most = int(room / _APART)
    for step in (1, 2, 5, 10, 20, 50, 100):
        named = [level for k, level in enumerate(here) if level.needed or k % step == 0]
        if len(named) <= most:
            return named
    return [level for level in here if level.needed][:most]


def _spread(at: Sequence[float], top: float) -> list[float]:
    """Places for words at the levels ``at`` (y, from below up), moved apart and kept below ``top``."""
    placed: list[float] = []
    for y in at:
        placed.append(min(y, placed[-1] - _APART if placed else -_APART / 2))
    ceiling = top + _APART / 2
    for k in range(len(placed) - 1, -1, -1):
        placed[k] = max(placed[k], ceiling)
        ceiling = placed[k] + _APART
    return placed
