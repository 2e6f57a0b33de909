"""Outlines of attached shapes, stamps and other tools in real size, and how many of each."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece, Work
from motif.laying.shapes import flat_outline
from motif.model.values import ToolSizes
from motif.outputs import styles
from motif.outputs.ink import many
from motif.outputs.numbers import Unit, length, length_with_unit
from motif.outputs.pen import SANS, SERIF, Floats
from motif.outputs.printed import letters
from motif.outputs.printed.pages import BODY, LEADING, SMALL
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import Box, Sketch
from motif.outputs.styles import INK
from motif.wall import polyconic

#: Smaller than this (mm) an outline is of no use on paper.
_LEAST = 4.0
#: What is cut out, pressed or joined on; what is drawn with a line needs no outline.
_SHAPED = frozenset({"impress", "pierce", "attach"})
_GAP = 6.0
_PAD = 2.0
#: Words beside an outline are set in lines no wider than this (mm).
_WIDEST_WORDS = 60.0
_NO_SHRINKAGE = 1e-9
#: Of shapes cut from the wall itself, each may differ from all others; these are enough to cut by.
_MOST_PATCHES = 24


@record
class Shape:
    """A footprint: what makes it, its outline (k, 2) in mm at the stage of decorating, y up, and how many."""

    work: Work
    outline: Floats
    count: int
    kind: str = "round"

    @property
    def name(self) -> str:
        return self.work.tool.name if self.work.tool is not None else self.kind

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        wide, tall = np.ptp(self.outline, axis=0).tolist()
        return wide, tall


def shapes(piece: LaidPiece) -> list[Shape]:
    """The footprints of what is pressed, pierced and joined on, of ``_LEAST`` mm or more, in the order of work."""
    counts: Counter[tuple[str, str, float]] = Counter()
    firsts: dict[tuple[str, str, float], tuple[Work, Floats]] = {}
    for band in piece.bands:
        p = band.points
        kinds = np.column_stack([p.work, np.round(np.nan_to_num(p.across), 6)])
        kinds, times = np.unique(kinds, axis=0, return_counts=True)
        for (w, across), many_times in zip(kinds.tolist(), times.tolist(), strict=True):
            work = p.works[int(w)]
            tool = work.tool
            if work.technique not in _SHAPED:
                continue
            key = (work.technique, "" if tool is None else tool.name, across if _is_dot(tool) else 0.0)
            counts[key] += many_times
            if key not in firsts:
                outline = flat_outline(tool, across or np.nan)
                firsts[key] = (work, np.empty((0, 2)) if outline is None else outline)
    order = list(styles.STYLES)
    found = [Shape(*firsts[key], count) for key, count in counts.items() if len(firsts[key][1])]
    found = [one for one in found if max(one.size) >= _LEAST]
    found += _patches(piece)
    return sorted(found, key=lambda one: (order.index(one.work.technique), one.name, one.size))


def _patches(piece: LaidPiece) -> list[Shape]:
    """Outlines that are joined on or pressed over their whole area, laid flat about their middles, each shape once.

    Flat as a gore is: true along every ring and up the middle, which for a patch much smaller than the pot is true
    all over."""
    counts: Counter[tuple[str, str, tuple[float, ...]]] = Counter()
    firsts: dict[tuple[str, str, tuple[float, ...]], tuple[Work, Floats]] = {}
    for path in (path for band in piece.bands for path in band.paths):
        work = path.work
        if not (path.worked_over and path.closed and work.technique in _SHAPED):
            continue
        outline = _flat(piece, path.points)
        key = (work.technique, "" if work.tool is None else work.tool.name, _likeness(outline))
        counts[key] += 1
        firsts.setdefault(key, (work, outline))
    shapes_ = [Shape(*firsts[key], count, "shape") for key, count in counts.items()]
    return [one for one in shapes_ if max(one.size) >= _LEAST][:_MOST_PATCHES]


def _flat(piece: LaidPiece, points: Floats) -> Floats:
    """A closed path on the wall, (k, 2) angle and tape, as an outline in mm about the middle of its box."""
    low, high = points.min(axis=0), points.max(axis=0)
    wall = piece.form.wall
    x, y = polyconic(wall, float(low[1]), points[:-1, 0] - (low[0] + high[0]) / 2, points[:-1, 1])
    flat = np.column_stack([x, y])
    return flat - (flat.min(axis=0) + flat.max(axis=0)) / 2


def _likeness(outline: Floats) -> tuple[float, ...]:
    """What outlines of one shape have in common, whatever point they begin at: sizes, area and its lean, to 0.1 mm."""
    x, y = outline.T
    turned = np.roll(outline, -1, axis=0)
    swept = x * turned[:, 1] - turned[:, 0] * y
    area = float(swept.sum()) / 2
    middle = (outline + turned) * swept[:, None]
    centre = middle.sum(axis=0) / (6 * area) if abs(area) > 1e-9 else np.zeros(2)
    sizes = [*np.ptp(outline, axis=0).tolist(), math.sqrt(abs(area)), *centre.tolist()]
    return tuple(round(size, 1) + 0.0 for size in sizes)


def _is_dot(tool: ToolSizes | None) -> bool:
    return tool is None or (tool.outline is None and tool.wide is None)


def parts(found: Sequence[Shape], piece: LaidPiece, unit: Unit) -> list[Part]:
    """A part a shape: its outline at the stage of decorating and, where it is cut from fresh clay, beside it as
    it is cut, larger by what the clay shrinks."""
    return [_part(piece, shape, unit) for shape in found]


def _part(piece: LaidPiece, shape: Shape, unit: Unit) -> Part:
    stages = [(piece.stage, 1.0, "full line")]
    wet = piece.wet_scale
    if shape.work.technique == "attach" and wet is not None and abs(wet - 1.0) > _NO_SHRINKAGE:
        stages.append(("wet", wet, "dashed line"))
    sketch = Sketch()
    words = sketch.group(font_family=SANS, fill=INK)
    shape_of = f"{shape.name}: {shape.work.technique}, {many(shape.count, 'time')}"
    y = BODY
    for part_of in letters.lines_of(shape_of, _WIDEST_WORDS, BODY, letters.BOLD):
        words.text(0.0, y, part_of, BODY, font_family=SERIF)
        y += BODY * LEADING
    x = 0.0
    for k, (stage, scale, how) in enumerate(stages):
        wide, tall = (scale * v for v in shape.size)
        size = f"{length(wide, unit)} × {length_with_unit(tall, unit)}"
        words.text(0.0, y + k * SMALL * LEADING, f"{stage} ({how}): {size}", SMALL)
    y += (len(stages) - 1) * SMALL * LEADING + 3.0
    for k, (_, scale, _) in enumerate(stages):
        outline = shape.outline * (scale, -scale)
        at = np.array([x, y]) - outline.min(axis=0)
        _ink(sketch, outline + at, at, dashed=k > 0)
        x += float(np.ptp(outline[:, 0])) + _GAP
    box = sketch.box()
    return Part("outlines", (sketch,), Box(0.0, 0.0, box.right + _PAD, box.bottom + _PAD), upright=True)


def _ink(sketch: Sketch, outline: Floats, middle: Floats, *, dashed: bool) -> None:
    line = sketch.group(stroke=INK, stroke_width=0.35, fill="none", stroke_linejoin="round")
    line.lines([outline], closed=True, stroke_dasharray="3 1" if dashed else "none")
    arm = min(1.5, float(np.ptp(outline, axis=0).min()) / 4)
    cross = [np.array([[-arm, 0.0], [arm, 0.0]]), np.array([[0.0, -arm], [0.0, arm]])]
    line.lines([middle + bar for bar in cross], stroke_width=0.25)
