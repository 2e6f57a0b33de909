"""The flat sheets on paper: several on a page where they fit, else over pages that are joined, with a map of them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.cutout import Cutout, cut_out
from motif.outputs.ink import Corner, legend
from motif.outputs.numbers import Unit
from motif.outputs.pen import SANS, SERIF, Floats
from motif.outputs.printed import letters
from motif.outputs.printed.flow import Flow
from motif.outputs.printed.packing import GAP
from motif.outputs.printed.pages import BODY, LEADING, SMALL
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import Box, Sketch
from motif.outputs.printed.tiles import Tiling, tile
from motif.outputs.putting_on import introduction
from motif.outputs.sheets import lay_out
from motif.outputs.styles import INK

TITLE = "flat sheets"

#: The words below a sheet are at least so wide (mm).
_NARROWEST = 40.0
#: Of the map: the height of a little picture, at most and at least, and the gap between two (mm).
_MAP_TALL, _MAP_LEAST, _MAP_GAP = 32.0, 8.0, 10.0
#: How many stand side by side: the first that leaves each room enough.
_MAP_ACROSS = (3, 5, 8)
_JOINING = (
    "Sheets too large for the paper come in parts: cut one of two neighbours along the dash-dotted line, lay it on "
    "the other so that the crosses of one letter meet, and tape them before you cut out the sheet. The little pictures "
    "say which printed sheets the parts are on."
)


@record
class Flats:
    """The flat sheets of a piece. ``guide`` says how they are used and holds a map; ``whole`` sheets fit the paper;
    the others are ``tiled``."""

    guide: Guide
    whole: tuple[Part, ...]
    tiled: tuple[Tiled, ...]


@record
class Tiled:
    """Flat sheets too large for the paper, in tiles; the ``outlines`` (k, 2) and ``numbers`` of those that are on them
    together."""

    tiling: Tiling
    outlines: tuple[Floats, ...]
    numbers: tuple[int, ...]


@record
class Guide:
    """Words, legend and map as a part; ``spots`` are where on it the tiled sheets' little pictures have their upper
    left corners, and ``scales`` how much smaller than real they are."""

    part: Part
    spots: tuple[tuple[float, float], ...]
    scales: tuple[float, ...]


@record
class _Inked:
    """Flat sheets that are drawn: their numbers, on which sketch, the outlines of their paper, and the boxes of their
    words."""

    numbers: tuple[int, ...]
    sketch: Sketch
    outlines: tuple[Floats, ...]
    words: tuple[Box, ...]
    box: Box

    def part(self, lying: bool) -> Part:
        return Part(TITLE, (self.sketch,), self.box, lying)


def flats(piece: LaidPiece, paper: Paper, unit: Unit) -> Flats:
    """The sheets that fit the wall best, laid on paper. Raises ``sheets.CannotUnrollError``."""
    layout = lay_out(piece, "fewest")
    cutouts = cut_out(piece, layout)
    count = len(cutouts)
    whole: list[Part] = []
    large: list[_Inked] = []
    tall: list[Cutout] = []
    for cutout in cutouts:
        inked = _inked([cutout], piece, count, unit)
        fitting = [part for part in (inked.part(False), inked.part(True)) if part.fits(paper)]
        if fitting:
            whole.append(fitting[0])
        elif inked.box.width <= paper.width:
            tall.append(cutout)
        else:
            large.append(inked)
    large += [_inked(row, piece, count, unit) for row in _rows(tall, paper)]
    tiled = tuple(
        Tiled(tile(one.part(False), paper, one.outlines, one.words), one.outlines, one.numbers) for one in large
    )
    return Flats(_guide(piece, introduction(piece, layout, unit), tiled, paper), tuple(whole), tiled)


def _inked(row: Sequence[Cutout], piece: LaidPiece, count: int, unit: Unit) -> _Inked:
    """Draw sheets side by side, the words of each below it."""
    sketch = Sketch()
    outlines: list[Floats] = []
    words: list[Box] = []
    left = 0.0
    for cutout in row:
        place = Corner(left - float(cutout.low[0]), 0.0)
        cutout.ink(sketch, place)
        outlines.append(place(cutout.drawn.outline))
        wide = max(float(cutout.high[0] - cutout.low[0]), _NARROWEST)
        words.append(
            _below(sketch, cutout, Box(left, -float(cutout.low[1]), left + wide, math.inf), piece, count, unit)
        )
        left += wide + GAP
    top = -max(float(cutout.high[1]) for cutout in row)
    numbers = tuple(cutout.drawn.sheet.number for cutout in row)
    return _Inked(
        numbers, sketch, tuple(outlines), tuple(words), Box(0.0, top, left - GAP, max(box.bottom for box in words))
    )


def _below(sketch: Sketch, cutout: Cutout, room: Box, piece: LaidPiece, count: int, unit: Unit) -> Box:
    """The words of a sheet within the ``room`` below it; returns what of that they take."""
    pen = sketch.group(font_family=SANS, fill=INK)
    y, widest = room.top, 0.0
    for words, size, family in (
        (f"{piece.name}: flat sheet {cutout.drawn.sheet.number} of {count}", BODY, SERIF),
        *((words, SMALL, SANS) for words in cutout.words(unit)),
    ):
        face = letters.face_name(family)
        for line in letters.lines_of(words, room.width, size, face):
            pen.text(room.left, y + size, line, size, font_family=family)
            widest = max(widest, letters.width(line, size, face))
            y += size * LEADING
    return Box(room.left, room.top, room.left + widest, y + 1.0)


def _rows(cutouts: Sequence[Cutout], paper: Paper) -> list[list[Cutout]]:
    """Tall sheets in rows as wide as the paper, which are as wide alike as may be."""
    if not cutouts:
        return []
    widest = max(max(float(c.high[0] - c.low[0]), _NARROWEST) for c in cutouts)
    most = max(1, int((paper.width + GAP) / (widest + GAP)))
    rows = math.ceil(len(cutouts) / most)
    each = math.ceil(len(cutouts) / rows)
    return [list(cutouts[k : k + each]) for k in range(0, len(cutouts), each)]


def _guide(piece: LaidPiece, said: Sequence[str], tiled: Sequence[Tiled], paper: Paper) -> Guide:
    """Words, legend and room for the map, as a part as wide as the paper."""
    flow = Flow(paper, TITLE)
    flow.heading("Flat sheets")
    for words in said:
        flow.words(words)
    if tiled:
        flow.words(_JOINING)
    flow.y = legend(flow.pen, piece, 0.0, flow.y + 4.0, paper.width) - 2.0
    boxes = [_whole(one) for one in tiled]
    across, wide, tall = _little(len(boxes), paper, paper.height - flow.y)
    scales = [min(wide / box.width, tall / box.height) for box in boxes]
    spots: list[tuple[float, float]] = []
    for k in range(0, len(boxes), across):
        flow.y += SMALL * LEADING
        spots += [(j * (wide + _MAP_GAP), flow.y) for j in range(len(boxes[k : k + across]))]
        flow.y += max(box.height * scale for box, scale in zip(boxes[k : k + across], scales[k:], strict=False))
        flow.y += _MAP_GAP / 2
    part = Part(TITLE, (flow.pen,), Box(0.0, 0.0, paper.width, flow.y), upright=True)
    return Guide(part, tuple(spots), tuple(scales))


def _little(count: int, paper: Paper, room: float) -> tuple[int, float, float]:
    """How many of ``count`` little pictures stand side by side, and their greatest width and height, so that all fit
    into so much ``room`` down the page (mm)."""
    for across in _MAP_ACROSS:
        wide = (paper.width + _MAP_GAP) / across - _MAP_GAP
        tall = room / max(1, math.ceil(count / across)) - _MAP_GAP / 2 - SMALL * LEADING
        if tall >= _MAP_LEAST:
            break
    return across, wide, min(tall, _MAP_TALL)


def _whole(tiled: Tiled) -> Box:
    return sum(tiled.tiling.windows[1:], start=tiled.tiling.windows[0])


def draw_map(made: Flats, numbers: Sequence[Sequence[int]]) -> None:
    """Every flat sheet that is tiled, small, with the ``numbers`` of the pages on which its tiles are."""
    sketch = made.guide.part.layers[0]
    pen = sketch.group(fill="none", stroke=INK, stroke_width=0.25)
    words = sketch.group(font_family=SERIF, fill=INK)
    plain = sketch.group(font_family=SANS, fill=INK)
    for one, spot, scale, pages in zip(made.tiled, made.guide.spots, made.guide.scales, numbers, strict=True):
        box = _whole(one)
        which = f"flat sheet {one.numbers[0]}" + (f" to {one.numbers[-1]}" if len(one.numbers) > 1 else "")
        plain.text(spot[0], spot[1] - 1.0, which, SMALL)
        at = np.array(spot) - scale * np.array([box.left, box.top])
        pen.lines([at + scale * outline for outline in one.outlines], closed=True)
        for window, number in zip(one.tiling.windows, pages, strict=True):
            corners = at + scale * window.corners()
            pen.lines([corners], closed=True, stroke_dasharray="1.5 1")
            x, y = corners.mean(axis=0).tolist()
            base, name = y + 0.36 * BODY, str(number)
            words.text(x, base, name, BODY, anchor="middle", stroke="#ffffff", stroke_width=1.4, fill="#ffffff")
            words.text(x, base, name, BODY, anchor="middle")
