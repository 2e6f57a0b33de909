"""The rollout: the whole wall as a rectangle. A picture, not a template."""

from __future__ import annotations

import math

import numpy as np

from motif.laying.piece import LaidPiece
from motif.outputs.cautions import cautions
from motif.outputs.drawn import Drawer, DrawnLine, DrawnSheet
from motif.outputs.grid_lines import NEAREST, grid_of, remarks
from motif.outputs.ink import (
    Corner,
    about,
    header,
    ink_sheet,
    legend,
    many,
    paragraph,
)
from motif.outputs.labels import (
    BODY,
    Label,
    at_far_end,
    reserve_names,
    spread,
    starting_mark,
    turned_from_start,
    write,
)
from motif.outputs.numbers import Unit, length_with_unit, number
from motif.outputs.pen import SANS, Pen
from motif.outputs.sheets import Layout
from motif.outputs.styles import FAINT, INK, SOFT
from motif.outputs.svg import Drawing

_MARGIN = 12.0
_RULER = 16.0
_LANDMARKS = 42.0
_NUMBERS = 8.0


def svg(piece: LaidPiece, layout: Layout, unit: Unit = "mm") -> str:
    """The rollout of ``piece`` as an SVG document, one user unit a millimetre."""
    drawn = Drawer(piece).sheet(layout.sheets[0])
    low, high = drawn.outline.min(axis=0), drawn.outline.max(axis=0)
    wide, tall = (high - low).tolist()
    width = _RULER + wide + _LANDMARKS
    drawing = Drawing()
    height = _page(drawing, piece, drawn, width, tall, unit)
    return drawing.tostring(width + 2 * _MARGIN, height)


def stretch(piece: LaidPiece) -> tuple[float, float]:
    """How many times the narrowest place of the wall is stretched in a rollout, and its tape in mm.

    Infinity where the wall comes to a point."""
    wall = piece.form.wall
    _, widest = wall.widest(0.0, wall.length)
    tape, narrowest = wall.narrowest(0.0, wall.length)
    return (widest / narrowest if narrowest > 0 else math.inf), tape


def _page(drawing: Drawing, piece: LaidPiece, drawn: DrawnSheet, width: float, tall: float, unit: Unit) -> float:
    y = header(
        drawing.group("title"),
        _MARGIN,
        _MARGIN,
        width,
        piece.description or piece.name,
        _introduction(piece, unit),
    )
    left = float(drawn.outline[:, 0].min())
    place = Corner(_MARGIN + _RULER - left, y + _NUMBERS + tall)
    ink_sheet(drawing, drawn, place)
    frame = drawing.group("wall", stroke=INK, stroke_width=0.35, fill="none")
    frame.lines([place(drawn.outline)], closed=True)
    rings = _ring_names(drawn)
    labels = drawing.group("numbers", font_family=SANS, fill=SOFT)
    write(labels, rings, place)
    _number_verticals(labels, drawn, place)
    if turned_from_start(piece):
        ticks, starts = starting_mark(drawn.sheet)
        frame.lines([place(tick) for tick in ticks])
        write(labels, starts, place)
    _ruler(drawing.group("tape", font_family=SANS, fill=SOFT), piece, _MARGIN + _RULER - 3.0, place.y, unit)
    right = max([float(drawn.outline[:, 0].max()), *(float(label.box[1, 0]) for label in rings)])
    _landmarks(drawing.group("landmarks", font_family=SANS, fill=INK), piece, right, place, unit)
    write(drawing.group("reserve-names", font_family=SANS, fill=SOFT), reserve_names(drawn), place)
    y = legend(drawing.group("legend"), piece, _MARGIN, place.y + 2 * _NUMBERS, width)
    notes = drawing.group("notes", font_family=SANS, fill=SOFT)
    for words in (*piece.notes, *(note for band in piece.bands for note in band.notes), *cautions(piece)):
        y = paragraph(notes, _MARGIN, y + 1.0, words, width)
    return y + _MARGIN - BODY


def _introduction(piece: LaidPiece, unit: Unit) -> list[str]:
    wall = piece.form.wall
    at, widest = wall.widest(0.0, wall.length)
    times, narrow_at = stretch(piece)
    picture = (
        f"A picture, not a template: the wall is drawn {length_with_unit(2 * math.pi * widest, unit)} across "
        f"everywhere, as it is at its widest (tape {length_with_unit(at, unit)}). "
    )
    if times == math.inf:
        picture += f"At tape {length_with_unit(narrow_at, unit)} it comes to a point, stretched without limit."
    elif times > 1.0005:
        picture += (
            f"At its narrowest (tape {length_with_unit(narrow_at, unit)}) it is stretched {number(times, 2)} times."
        )
    else:
        picture += "This wall is straight, so nothing is stretched."
    bands = [
        f"Band {b.number}: {b.description or b.motif}, "
        + (f"{many(b.columns, 'column')} by {many(b.rows, 'row')}." if b.columns else f"{many(b.rows, 'row')}.")
        for b in piece.bands
    ]
    return [
        f"{about(piece)}; seen from the {piece.form.side}",
        picture,
        " ".join(bands),
        *remarks(grid_of(piece, NEAREST), NEAREST, unit),
    ]


def _ring_names(drawn: DrawnSheet) -> list[Label]:
    several = len(drawn.bands) > 1

    def ring_name(line: DrawnLine) -> str:
        return f"{line.band}·{line.number}" if several else str(line.number)

    return spread(at_far_end(drawn.rings), ring_name)


def _number_verticals(labels: Pen, drawn: DrawnSheet, place: Corner) -> None:
    if not drawn.verticals:
        return
    # Below the wall the verticals of the lowest band, above it those of the highest.
    by_height = sorted((b.band for b in drawn.bands if len(b.band.verticals)), key=lambda b: b.from_tape + b.to_tape)
    for band, y in (
        (by_height[0], place.y + 5.5),
        (by_height[-1], float(place(drawn.outline).min(axis=0)[1]) - 3.0),
    ):
        for line in drawn.verticals:
            if line.band == band.number:
                labels.text(float(place(line.line)[0, 0]), y, str(line.number), BODY, anchor="middle")


def _ruler(group: Pen, piece: LaidPiece, x: float, y: float, unit: Unit) -> None:
    """The tape up the left side from (x, y): a tick a centimetre (or an inch), a figure every five (two)."""
    step, every = (25.4, 2) if unit == "in" else (10.0, 5)
    count = math.floor(piece.form.wall.length / step + 1e-9)
    ticks = [
        np.array([[x, y - k * step], [x - (3.0 if k % every == 0 else 1.6), y - k * step]]) for k in range(count + 1)
    ]
    spine = np.array([[x, y], [x, y - piece.form.wall.length]])
    group.lines([spine, *ticks], stroke=SOFT, stroke_width=0.2, fill="none")
    for k in range(0, count + 1, every):
        figure = number(k * step / (25.4 if unit == "in" else 10.0 if unit == "cm" else 1.0), 1)
        group.text(x - 4.0, y - k * step + 0.36 * BODY, figure, BODY, anchor="end")


def _landmarks(group: Pen, piece: LaidPiece, right: float, place: Corner, unit: Unit) -> None:
    """Landmarks right of ``right`` (mm of paper), beyond the names of the rings, moved apart where they crowd."""
    leader = group.group(stroke=FAINT, stroke_width=0.2, fill="none")
    x = float(place(np.array([right, 0.0]))[0])
    floor = math.inf
    for name, tape in sorted(piece.form.landmarks.items(), key=lambda item: (item[1], item[0])):
        level = place.y - tape
        y = min(level, floor)
        floor = y - BODY * 1.25
        leader.lines([np.array([[x + 1.0, level], [x + 2.0, level], [x + 4.0, y]])])
        group.text(x + 4.5, y + 0.36 * BODY, f"{name} {length_with_unit(tape, unit)}", BODY)
