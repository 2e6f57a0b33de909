"""The page that says how flat sheets are used, with a map of those that are not on one page."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.ink import legend
from motif.outputs.pen import SANS, SERIF, Floats
from motif.outputs.printed.flow import Flow
from motif.outputs.printed.inked import TITLE
from motif.outputs.printed.pages import BODY, LEADING, SMALL
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import Box
from motif.outputs.styles import INK

#: Between two paragraphs (mm).
_APART = 0.9
#: The height of a little picture, at most and at least, and the gap between two (mm).
_MAP_TALL, _MAP_LEAST, _MAP_GAP = 32.0, 8.0, 10.0
#: How many stand side by side: the first that leaves each room enough.
_MAP_ACROSS = (3, 5, 8)


@record
class Mapped:
    """What is shown of flat sheets on the map: their ``name``, the ``outlines`` (k, 2) of their paper, and of what is
    on one page each the ``frames``, drawn around it, and the ``middles``, where the number of the page goes."""

    name: str
    outlines: tuple[Floats, ...]
    frames: tuple[Floats, ...]
    middles: tuple[Floats, ...]

    @property
    def box(self) -> Box:
        points = np.vstack([*self.outlines, *self.frames])
        (left, top), (right, bottom) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
        return Box(left, top, right, bottom)


@record
class Guide:
    """Words, legend and map as a part; ``spots`` are where on it the tiled sheets' little pictures have their upper
    left corners, and ``scales`` how much smaller than real they are."""

    part: Part
    spots: tuple[tuple[float, float], ...]
    scales: tuple[float, ...]


def guide_page(piece: LaidPiece, said: Sequence[str], on_map: Sequence[Mapped], paper: Paper) -> Guide:
    """Words, legend and room for the map, as a part as wide as the paper."""
    flow = Flow(paper, TITLE)
    flow.heading("Flat sheets")
    for words in said:
        flow.words(words)
        flow.y += _APART
    flow.y = legend(flow.pen, piece, 0.0, flow.y + 4.0, paper.width) - 2.0
    boxes = [one.box for one in on_map]
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


def draw_map(guide: Guide, on_map: Sequence[Mapped], numbers: Sequence[Sequence[int]]) -> None:
    """The flat sheets ``on_map``, small, with the ``numbers`` of the pages on which it is."""
    sketch = guide.part.layers[0]
    pen = sketch.group(fill="none", stroke=INK, stroke_width=0.25)
    words = sketch.group(font_family=SERIF, fill=INK)
    plain = sketch.group(font_family=SANS, fill=INK)
    for one, spot, scale, pages in zip(on_map, guide.spots, guide.scales, numbers, strict=True):
        box = one.box
        plain.text(spot[0], spot[1] - 1.0, one.name, SMALL)
        at = np.array(spot) - scale * np.array([box.left, box.top])
        pen.lines([at + scale * outline for outline in one.outlines], closed=True)
        pen.lines([at + scale * frame for frame in one.frames], closed=True, stroke_dasharray="1.5 1")
        for middle, number in zip(one.middles, pages, strict=True):
            x, y = (at + scale * middle).tolist()
            base, name = y + 0.36 * BODY, str(number)
            words.text(x, base, name, BODY, anchor="middle", stroke="#ffffff", stroke_width=1.4, fill="#ffffff")
            words.text(x, base, name, BODY, anchor="middle")
