"""The flat sheets on paper: several on a page where they fit, else over pages that are joined, with a map of them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from motif.language.record import changed, record
from motif.laying.piece import LaidPiece
from motif.outputs.cutout import Cutout, cut_out
from motif.outputs.drawn import Drawer, Sheet
from motif.outputs.ink import Corner, legend
from motif.outputs.method.where import named
from motif.outputs.numbers import Unit
from motif.outputs.pen import SANS, SERIF, Floats
from motif.outputs.printed import letters
from motif.outputs.printed.flow import Flow
from motif.outputs.printed.packing import GAP
from motif.outputs.printed.pages import BODY, LEADING, SMALL
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sectors import MOST_PARTS, Arc, may_fit, most_even, worked_arcs
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
#: Words in the hollow of a sheet keep so far from its edge, beyond the numbers there (mm).
_CLEAR = 9.0
#: From a whole turn off by rounding (radians).
_WHOLE = 1e-9
#: How many stand side by side: the first that leaves each room enough.
_MAP_ACROSS = (3, 5, 8)
_TILES = (
    "Sheets too large for the paper come in pieces: cut one of two neighbours along the dash-dotted line, lay it on "
    "the other so that the crosses of one letter meet, and tape them before you cut out the sheet."
)
_PARTS = (
    "Sheets longer than the paper come in parts: cut each out, lay the left edge of the next along the full line "
    "beside the tab that names it, so that rings meet, and tape them."
)
_MAP = "The little pictures say on which printed sheets they are."


@record
class Flats:
    """The flat sheets of a piece. ``guide`` says how they are used and holds a map; ``whole`` sheets fit the paper;
    the others are ``parted`` or ``tiled``."""

    guide: Guide
    whole: tuple[Part, ...]
    parted: tuple[Parted, ...]
    tiled: tuple[Tiled, ...]

    @property
    def on_map(self) -> tuple[Mapped, ...]:
        return (*(one.mapped for one in self.parted), *(one.mapped for one in self.tiled))


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
class Parted:
    """A cone in parts that are cut from edge to edge."""

    parts: tuple[Part, ...]
    mapped: Mapped


@record
class Tiled:
    """Flat sheets too large for the paper, in tiles."""

    tiling: Tiling
    mapped: Mapped


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
    made = _Making(piece, paper, unit, len(cutouts))
    for cutout in cutouts:
        made.take(cutout)
    made.take_tall()
    guide = _guide(piece, [*introduction(piece, layout, unit, closing=made.closing), *made.remarks()], made, paper)
    return Flats(guide, tuple(made.whole), tuple(made.parted), tuple(made.tiled))


class _Making:
    """The flat sheets of a piece as they are laid on paper one after the other."""

    def __init__(self, piece: LaidPiece, paper: Paper, unit: Unit, count: int) -> None:
        self._piece, self._paper, self._unit, self._count = piece, paper, unit, count
        self._drawer = Drawer(piece)
        self.whole: list[Part] = []
        self.parted: list[Parted] = []
        self.tiled: list[Tiled] = []
        self._tall: list[Cutout] = []
        self._left_out: list[int] = []
        self._open: list[int] = []

    @property
    def closing(self) -> bool:
        """Whether every cone goes all round the pot."""
        return not self._open

    def take(self, cutout: Cutout) -> None:
        """Lay a flat sheet on paper, in whatever way it has room."""
        sheet = cutout.drawn.sheet
        if cutout.is_plain and self._count > 1:
            self._left_out.append(sheet.number)
            return
        arcs = [] if sheet.cone is None else worked_arcs(self._piece, sheet)
        if arcs and arcs != [(sheet.window.from_angle, sheet.window.to_angle)]:
            parted = self._parted(cutout, arcs)
            if parted is not None:
                self._open.append(sheet.number)
                self.parted.append(parted)
                return
        inked = self._inked([cutout])
        fitting = self._fitting(inked)
        if fitting is not None:
            self.whole.append(fitting)
            return
        parted = self._parted(cutout, arcs) if arcs else None
        if parted is not None:
            self.parted.append(parted)
        elif sheet.is_gore and inked.box.width <= self._paper.width:
            self._tall.append(cutout)
        else:
            self._tile(inked)

    def take_tall(self) -> None:
        """Lay the sheets that are narrow and taller than the paper beside one another."""
        for row in _rows(self._tall, self._paper):
            self._tile(self._inked(row))

    def remarks(self) -> list[str]:
        """What to know about sheets that are not there whole."""
        said = []
        if self._left_out:
            said.append(f"{_sheets(self._left_out)} would carry nothing and {_is(self._left_out)} left out.")
        if self._open:
            said.append(
                f"Of {_sheets(self._open).lower()} there is only paper for the columns that are worked: lay it on the "
                "verticals that it names."
            )
        said += [_PARTS] if any(len(one.parts) > 1 for one in self.parted) else []
        said += [_TILES] if self.tiled else []
        return [*said, _MAP] if self.parted or self.tiled else said

    def _inked(self, row: Sequence[Cutout], part: str = "", *, brief: bool = False) -> _Inked:
        """Sheets side by side with their words; a ``brief`` one says no more than what it is."""
        said = [
            _Said(
                f"{self._piece.name}: flat sheet {cutout.drawn.sheet.number} of {self._count}{part}",
                cutout.where() if brief else cutout.words(self._unit),
            )
            for cutout in row
        ]
        return _inked(row, said)

    def _fitting(self, inked: _Inked) -> Part | None:
        """What is drawn as a part, standing or lying, where it has room."""
        return next((part for part in (inked.part(False), inked.part(True)) if part.fits(self._paper)), None)

    def _tile(self, inked: _Inked) -> None:
        tiling = tile(inked.part(False), self._paper, inked.outlines, inked.words)
        frames = [window.corners() for window in tiling.windows]
        middles = tuple(corners.mean(axis=0) for corners in frames)
        numbers = inked.numbers
        name = f"flat sheet {numbers[0]}" + (f" to {numbers[-1]}" if len(numbers) > 1 else "")
        self.tiled.append(Tiled(tiling, Mapped(name, inked.outlines, tuple(frames), middles)))

    def _parted(self, cutout: Cutout, arcs: Sequence[Arc]) -> Parted | None:
        """A cone in the fewest parts that have room; None where no reasonable number does."""
        sheet = cutout.drawn.sheet
        found: list[list[Sheet]] = []
        for arc in arcs:
            ways = (
                way
                for count in range(1, MOST_PARTS + 1)
                if may_fit(sheet, arc, count, self._paper)
                for way in most_even(self._piece, sheet, arc, count)
            )
            fitting = next((way for way in ways if self._parts(way, 0, MOST_PARTS) is not None), None)
            if fitting is None:
                return None
            found.append(fitting)
        count = sum(map(len, found))
        parts: list[Part] = []
        for way in found:
            parts += self._parts(way, len(parts), count) or []
        outlines = [Corner(0.0, 0.0)(_on_whole(sheet, one, self._drawer)) for way in found for one in way]
        middles = [Corner(0.0, 0.0)(_middle_on_whole(sheet, one)) for way in found for one in way]
        return Parted(tuple(parts), Mapped(f"flat sheet {sheet.number}", tuple(outlines), (), tuple(middles)))

    def _parts(self, way: Sequence[Sheet], before: int, count: int) -> list[Part] | None:
        """The parts of one arc, the first of them number ``before`` + 1 of ``count``; None where one has no room."""
        closes = len(way) > 1 and way[-1].window.to_angle - way[0].window.from_angle > math.tau - _WHOLE
        parts: list[Part] = []
        for k, one in enumerate(way, 1):
            onto = f"part {before + k + 1}" if k < len(way) else "part 1" if closes else None
            cutout = Cutout.of(self._piece, self._drawer.sheet(one), onto)
            nth = f", part {before + k} of {count}" if count > 1 else ""
            fitting = self._fitting(self._inked([cutout], nth, brief=before + k > 1))
            if fitting is None:
                return None
            parts.append(fitting)
        return parts


def _on_whole(sheet: Sheet, part: Sheet, drawer: Drawer) -> Floats:
    """The outline of a part where it lies on the whole sheet."""
    return drawer.sheet(changed(part, chart=sheet.chart)).outline


def _middle_on_whole(sheet: Sheet, part: Sheet) -> Floats:
    w = part.window
    return sheet.place(np.array([(w.from_angle + w.to_angle) / 2, (w.from_tape + w.to_tape) / 2]))


def _sheets(numbers: Sequence[int]) -> str:
    """``Flat sheet 3``, ``Flat sheets 1 and 4``, ``Flat sheets 2 to 5``."""
    return f"Flat {named('sheet', numbers)}"


def _is(numbers: Sequence[int]) -> str:
    return "is" if len(numbers) == 1 else "are"


@record
class _Said:
    """The words of a sheet: its title and what stands below that."""

    title: str
    words: Sequence[str]

    def lines(self, wide: float) -> list[tuple[str, float, str]]:
        """Lines no wider than ``wide`` mm, with the size and the family of their type."""
        every = ((self.title, BODY, SERIF), *((words, SMALL, SANS) for words in self.words))
        return [
            (line, size, family)
            for words, size, family in every
            for line in letters.lines_of(words, wide, size, letters.face_name(family))
        ]


def _inked(row: Sequence[Cutout], said: Sequence[_Said]) -> _Inked:
    """Draw sheets side by side, the words of each below it or, where it bends far enough, in its hollow."""
    sketch = Sketch()
    outlines: list[Floats] = []
    words: list[Box] = []
    left = 0.0
    for cutout, its in zip(row, said, strict=True):
        place = Corner(left - float(cutout.low[0]), 0.0)
        cutout.ink(sketch, place)
        outlines.append(place(cutout.drawn.outline))
        wide = max(float(cutout.high[0] - cutout.low[0]), _NARROWEST)
        words.append(_write(sketch, its.lines(wide), _room(cutout, place, its.lines(wide), wide)))
        left += wide + GAP
    top = min(-max(float(cutout.high[1]) for cutout in row), *(box.top for box in words))
    low = max(-min(float(cutout.low[1]) for cutout in row), *(box.bottom for box in words))
    numbers = tuple(cutout.drawn.sheet.number for cutout in row)
    return _Inked(numbers, sketch, tuple(outlines), tuple(words), Box(0.0, top, left - GAP, low))


def _room(cutout: Cutout, place: Corner, lines: Sequence[tuple[str, float, str]], wide: float) -> tuple[float, float]:
    """Where the words of a sheet begin, (x, y) from above: below it, or in the hollow of a part that bends."""
    left = place.x + float(cutout.low[0])
    below = left, -float(cutout.low[1])
    if cutout.drawn.sheet.cone is None or cutout.drawn.sheet.closes:
        return below
    long = max(letters.width(line, size, letters.face_name(family)) for line, size, family in lines)
    tall = sum(size * LEADING for _, size, _ in lines) + 1.0
    at = np.vstack([_dense(cutout.drawn.bottom), _dense(cutout.drawn.top)])
    over = at[np.abs(at[:, 0] - float(cutout.low[0]) - wide / 2) < long / 2 + _CLEAR]
    if not len(over):
        return below
    under, above = (-float(y) for y in (over[:, 1].min(), over[:, 1].max()))
    in_middle = left + (wide - long) / 2
    # Each with how tall sheet and words then are together, less what they are anyway.
    ways = [
        (below[1] + tall, below),
        (max(below[1], under + _CLEAR + tall), (in_middle, under + _CLEAR)),
        (below[1] + max(0.0, -float(cutout.high[1]) - above + _CLEAR + tall), (in_middle, above - _CLEAR - tall)),
    ]
    return min(ways, key=lambda way: round(way[0], 6))[1]


def _dense(line: Floats) -> Floats:
    """Places along a line, no two in a row farther apart than ``_CLEAR`` / 4."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.linspace(0.0, run[-1], max(2, math.ceil(float(run[-1]) / (_CLEAR / 4)) + 1))
    return np.column_stack([np.interp(at, run, line[:, k]) for k in (0, 1)])


def _write(sketch: Sketch, lines: Sequence[tuple[str, float, str]], at: tuple[float, float]) -> Box:
    """Set lines from ``at`` down; returns what they take."""
    pen = sketch.group(font_family=SANS, fill=INK)
    y, widest = at[1], 0.0
    for line, size, family in lines:
        pen.text(at[0], y + size, line, size, font_family=family)
        widest = max(widest, letters.width(line, size, letters.face_name(family)))
        y += size * LEADING
    return Box(at[0], at[1], at[0] + widest, y + 1.0)


def _rows(cutouts: Sequence[Cutout], paper: Paper) -> list[list[Cutout]]:
    """Tall sheets in rows as wide as the paper, which are as wide alike as may be."""
    if not cutouts:
        return []
    widest = max(max(float(c.high[0] - c.low[0]), _NARROWEST) for c in cutouts)
    most = max(1, int((paper.width + GAP) / (widest + GAP)))
    rows = math.ceil(len(cutouts) / most)
    each = math.ceil(len(cutouts) / rows)
    return [list(cutouts[k : k + each]) for k in range(0, len(cutouts), each)]


def _guide(piece: LaidPiece, said: Sequence[str], made: _Making, paper: Paper) -> Guide:
    """Words, legend and room for the map, as a part as wide as the paper."""
    flow = Flow(paper, TITLE)
    flow.heading("Flat sheets")
    for words in said:
        flow.words(words)
    flow.y = legend(flow.pen, piece, 0.0, flow.y + 4.0, paper.width) - 2.0
    boxes = [*(one.mapped.box for one in made.parted), *(one.mapped.box for one in made.tiled)]
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


def draw_map(made: Flats, numbers: Sequence[Sequence[int]]) -> None:
    """Every flat sheet that is not on one page, small, with the ``numbers`` of the pages on which it is."""
    sketch = made.guide.part.layers[0]
    pen = sketch.group(fill="none", stroke=INK, stroke_width=0.25)
    words = sketch.group(font_family=SERIF, fill=INK)
    plain = sketch.group(font_family=SANS, fill=INK)
    for one, spot, scale, pages in zip(made.on_map, made.guide.spots, made.guide.scales, numbers, strict=True):
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
