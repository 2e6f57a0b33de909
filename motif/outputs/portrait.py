"""The pot as it will look, from the front and from behind: a picture in real size."""

from __future__ import annotations

import math

import numpy as np

from motif.laying.piece import LaidPiece
from motif.outputs.clip import Window
from motif.outputs.drawn import Chart, Drawer, Floats, Sheet
from motif.outputs.ink import BODY, Corner, about, header, ink_sheet, legend
from motif.outputs.numbers import Unit, length_with_unit
from motif.outputs.pen import SANS, xml_id
from motif.outputs.sheets import first_vertical
from motif.outputs.styles import INK, SOFT
from motif.outputs.svg import Drawing
from motif.wall import Wall

_MARGIN = 12.0
_GAP = 18.0
_CAPTION = 8.0
_NARROWEST = 150.0


def svg(piece: LaidPiece, unit: Unit = "mm") -> str:
    """The pot from the side: vertical 1 in front, and the far side; a wall decorated inside from above.

    What lies beyond the pot's edge as seen is hidden. Where the wall turns back in height, parts behind a
    higher or lower bulge are drawn as if the clay were clear."""
    drawer = Drawer(piece)
    drawn = [(words, drawer.sheet(sheet)) for words, sheet in views(piece)]
    boxes = [(d.outline.min(axis=0), d.outline.max(axis=0)) for _, d in drawn]
    wide = [float(high[0] - low[0]) for low, high in boxes]
    tall = max(float(high[1] - low[1]) for low, high in boxes)
    width = max(_NARROWEST, sum(wide) + _GAP * (len(wide) - 1))

    drawing = Drawing()
    y = header(
        drawing.group("title"), _MARGIN, _MARGIN, width, piece.description or piece.name, _introduction(piece, unit)
    )
    x = _MARGIN
    for n, ((words, view), (low, _), w) in enumerate(zip(drawn, boxes, wide, strict=True), 1):
        place = Corner(x - float(low[0]), y + tall + float(low[1]))
        group = drawing.group(xml_id("view", n))
        ink_sheet(group, view, place, ("view", n))
        # All round there is no edge up the wall, only the two ends.
        frame = [view.bottom, view.top] if piece.form.side == "inside" else [view.outline]
        group.group(stroke=INK, stroke_width=0.35, fill="none").lines([place(line) for line in frame], closed=True)
        group.group(font_family=SANS, fill=SOFT).text(x + w / 2, y + tall + _CAPTION, words, BODY, anchor="middle")
        x += w + _GAP
    y = legend(drawing.group("legend"), piece, _MARGIN, y + tall + 2.5 * _CAPTION, width)
    return drawing.tostring(width + 2 * _MARGIN, y + _MARGIN - BODY)


def views(piece: LaidPiece) -> list[tuple[str, Sheet]]:
    """What is seen, in words, and as a sheet whose chart looks at the wall from far away."""
    wall = piece.form.wall
    front = first_vertical(piece)
    if piece.form.side == "inside":
        return [("from above, vertical 1 at the top", _view(1, front, math.tau, wall, _plan(wall, front)))]
    back = front + math.pi
    return [
        ("vertical 1 in front", _view(1, front - math.pi / 2, math.pi, wall, _side(wall, front))),
        ("the far side", _view(2, back - math.pi / 2, math.pi, wall, _side(wall, back))),
    ]


def _introduction(piece: LaidPiece, unit: Unit) -> list[str]:
    wall = piece.form.wall
    _, widest = wall.widest(0.0, wall.length)
    heights = wall.height(np.linspace(0.0, wall.length, 400))
    size = f"{length_with_unit(float(np.ptp(heights)), unit)} high, {length_with_unit(2 * widest, unit)} across"
    return [about(piece), f"A picture in real size, not a template: {size} at its widest."]


def _view(number: int, start: float, turn: float, wall: Wall, chart: Chart) -> Sheet:
    return Sheet(number, Window(start, start + turn, 0.0, wall.length), chart, 0.0, true_size=False)


def _side(wall: Wall, front: float) -> Chart:
    """From the side, from far away: right is right, up is up."""

    def chart(angle: Floats, tape: Floats) -> tuple[Floats, Floats]:
        return wall.radius(tape) * np.sin(np.asarray(angle) - front), wall.height(tape)

    return chart


def _plan(wall: Wall, front: float) -> Chart:
    """From above into the pot: what is to the right for one who looks at the wall from inside runs clockwise."""

    def chart(angle: Floats, tape: Floats) -> tuple[Floats, Floats]:
        radius, way = wall.radius(tape), np.asarray(angle) - front
        return radius * np.sin(way), radius * np.cos(way)

    return chart
