"""A pen that keeps what it draws: a part or the words of a page, to be laid on paper later, once or cut up.

Everything is kept in PDF's own terms, in points with y up, so that a part that goes over many pages is made
into text once. Nothing is drawn thinner than a cheap printer prints, pale greys are printed darker,
and what is see-through in a drawing is a pale solid here that lies below the lines: printers flatten it badly.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from functools import lru_cache
from itertools import accumulate, pairwise

import numpy as np

from motif.language.record import record
from motif.outputs.numbers import decimals, numbers
from motif.outputs.pen import SANS, Floats
from motif.outputs.printed import letters
from motif.outputs.styles import FAINT, SOFT

#: Points in a millimetre: a point is 1/72 in (W3C CSS Values and Units; PDF's user space, ISO 32000-1, 8.3.2.3).
POINT = 72 / 25.4

#: No line is thinner (mm) and no type smaller (mm; 7 points, with a hair for rounding).
LEAST_WEIGHT = 0.25
LEAST_TYPE = 7.001 / POINT

#: Greys one step darker than on the screen.
_PRINTED = {FAINT: SOFT, SOFT: "#3c3c3c"}

#: Rounding must not send a part to another page (mm).
HAIR = 1e-6

#: Decimals of a point that are kept: 1/3000 mm.
_DIGITS = 3
#: No more lines than this make one mark (see ``Sketch.lines``).
_TOGETHER = 500
#: A circle is drawn in this many cubics, each off the true arc by 4e-6 of the radius.
_ARCS = 8

_CAPS = {"butt": 0, "round": 1, "square": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}

Style = dict[str, str | float]

#: What SVG takes where nothing is said.
_INITIAL: Style = {
    "stroke": "none",
    "stroke_width": 1.0,
    "stroke_dasharray": "none",
    "stroke_linecap": "butt",
    "stroke_linejoin": "miter",
    "fill": "#000000",
    "fill_opacity": 1.0,
    "fill_rule": "nonzero",
    "font_family": SANS,
}


@record
class Box:
    """The smallest upright rectangle round something, mm."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    def meets(self, other: Box) -> bool:
        return (
            self.left <= other.right
            and other.left <= self.right
            and self.top <= other.bottom
            and other.top <= self.bottom
        )

    def corners(self) -> Floats:
        """Its four corners, (4, 2)."""
        return np.array(
            [[self.left, self.top], [self.right, self.top], [self.right, self.bottom], [self.left, self.bottom]]
        )

    def holds(self, other: Box) -> bool:
        """Whether the other lies in this one, but for rounding."""
        return (
            self.left <= other.left + HAIR
            and self.top <= other.top + HAIR
            and self.right >= other.right - HAIR
            and self.bottom >= other.bottom - HAIR
        )

    def __add__(self, other: Box) -> Box:
        return Box(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )


@record
class PathMark:
    """A path: ``state`` sets colours and line, ``data`` draws, ``paint`` is PDF's painting operator.

    ``weight`` is its line's width, mm (0 without a line), which a part that is drawn smaller needs."""

    box: Box
    state: str
    data: str
    paint: str
    weight: float


@record
class TextMark:
    """Words of one face with the start of their baseline at (x, y), mm; ``turned`` degrees clockwise, ``size`` mm.

    ``halo`` is the state of a line to be drawn round them."""

    box: Box
    words: str
    face: str
    x: float
    y: float
    size: float
    turned: float
    colour: str
    halo: str | None


Mark = PathMark | TextMark


class Sketch:
    """A ``Pen``: x to the right, y down, mm, as drawn; ``marks`` are what came of it, ``below`` pale areas."""

    def __init__(self) -> None:
        self.marks: list[Mark] = []
        self.below: list[PathMark] = []
        self._style = _INITIAL
        self._states: dict[tuple[str | float, ...], tuple[str, float]] = {}

    def group(self, name: str | None = None, **style: str | float) -> Sketch:
        inner = Sketch.__new__(Sketch)
        inner.marks, inner.below, inner._states = self.marks, self.below, self._states
        inner._style = {**self._style, **style}
        return inner

    def lines(self, lines: Sequence[Floats], closed: bool = False, **style: str | float) -> None:
        own = {**self._style, **style}
        # What is not filled need not be one mark: a tile of a large part then has only what is near it.
        some = _TOGETHER if own["fill"] == "none" else max(len(lines), 1)
        for at in range(0, len(lines), some):
            every = np.concatenate(lines[at : at + some])
            low, high = every.min(axis=0).tolist(), every.max(axis=0).tolist()
            data = "\n".join(_polylines(every, [len(line) for line in lines[at : at + some]], closed))
            self._path(Box(*low, *high), data, own)

    def polyline(self, line: Floats, **style: str | float) -> None:
        self.lines([line], False, **style)

    def circle(self, x: float, y: float, radius: float, **style: str | float) -> None:
        box = Box(x - radius, y - radius, x + radius, y + radius)
        self._path(box, _circle(x, y, radius), {**self._style, **style})

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        *,
        anchor: str = "start",
        turned: float = 0.0,
        **style: str | float,
    ) -> None:
        own = {**self._style, **style}
        face = letters.face_name(str(own["font_family"]))
        words = letters.printable(words, face)
        size = max(size, LEAST_TYPE)
        wide = letters.width(words, size, face)
        across, down = math.cos(math.radians(turned)), math.sin(math.radians(turned))
        gone = -wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        halo = None
        if own["stroke"] != "none":
            halo = self._line_state(own)[0]
        if words:
            corners = [
                (x + u * across - v * down, y + u * down + v * across)
                for u in (gone, gone + wide)
                for v in (-size, 0.3 * size)
            ]
            at = (x + gone * across, y + gone * down)
            self.marks.append(TextMark(_box(corners), words, face, *at, size, turned, _operands(own["fill"]), halo))

    def without(self, left_out: Collection[int]) -> Sketch:
        """The same marks but for those whose places among them are ``left_out``."""
        made = Sketch()
        made.below, made._states = self.below, self._states
        made.marks = [mark for k, mark in enumerate(self.marks) if k not in left_out]
        return made

    def box(self) -> Box:
        """Round everything drawn, widths of lines left out. Raises ``ValueError`` for an empty sketch."""
        marks = [*self.below, *self.marks]
        if not marks:
            raise ValueError("nothing is drawn")
        sides = np.array([(m.box.left, m.box.top, m.box.right, m.box.bottom) for m in marks])
        return Box(*sides[:, :2].min(axis=0).tolist(), *sides[:, 2:].max(axis=0).tolist())

    def _path(self, box: Box, data: str, style: Style) -> None:
        filled, stroked = style["fill"] != "none", style["stroke"] != "none"
        rule = "*" if style["fill_rule"] == "evenodd" else ""
        if filled and float(style["fill_opacity"]) < 1.0:
            fill = f"{_operands(_paler(str(style['fill']), float(style['fill_opacity'])))} rg"
            self.below.append(PathMark(box, fill, data, f"f{rule}", 0.0))
            filled = False
        if not (filled or stroked):
            return
        state, weight = self._line_state(style) if stroked else ("", 0.0)
        if filled:
            state = f"{state} {_operands(style['fill'])} rg".lstrip()
        self.marks.append(
            PathMark(box, state, data, f"B{rule}" if filled and stroked else "S" if stroked else f"f{rule}", weight)
        )

    def _line_state(self, style: Style) -> tuple[str, float]:
        key = (
            style["stroke"],
            style["stroke_width"],
            style["stroke_dasharray"],
            style["stroke_linecap"],
            style["stroke_linejoin"],
        )
        if key not in self._states:
            weight = max(float(style["stroke_width"]), LEAST_WEIGHT)
            dashes = str(style["stroke_dasharray"])
            lengths = [] if dashes == "none" else [float(d) * POINT for d in dashes.replace(",", " ").split()]
            self._states[key] = (
                f"{_operands(style['stroke'])} RG {_text([weight * POINT])[0]} w [{' '.join(_text(lengths))}] 0 d "
                f"{_CAPS[str(style['stroke_linecap'])]} J {_JOINS[str(style['stroke_linejoin'])]} j",
                weight,
            )
        return self._states[key]


def _text(values: Sequence[float]) -> list[str]:
    return numbers(values, _DIGITS)


def _polylines(points: Floats, counts: Sequence[int], closed: bool) -> list[str]:
    """PDF's words for polylines through the ``points`` (n, 2), so many of them each."""
    steps = np.rint(np.asarray(points, dtype=float) * (POINT, -POINT) * 10**_DIGITS).astype(np.int64)
    texts = iter(decimals(steps.ravel(), _DIGITS))
    pairs = [f"{x} {y}" for x, y in zip(texts, texts, strict=True)]
    ends = accumulate(counts, initial=0)
    # One point twice is a dot where ends are round.
    lines = [pairs[begin:end] if end - begin > 1 else pairs[begin:end] * 2 for begin, end in pairwise(ends)]
    return [f"{line[0]} m {' l '.join(line[1:])} l{' h' if closed else ''}" for line in lines]


def _circle(x: float, y: float, radius: float) -> str:
    points = (np.array([x, y]) + radius * _unit_circle()) * (POINT, -POINT)
    texts = _text(points.ravel().tolist())
    pairs = [f"{a} {b}" for a, b in zip(texts[::2], texts[1::2], strict=True)]
    return f"{pairs[0]} m " + " ".join(f"{' '.join(pairs[k : k + 3])} c" for k in range(1, len(pairs), 3)) + " h"


@lru_cache(maxsize=1)
def _unit_circle() -> Floats:
    """Ends and handles of the cubics of a circle of radius 1; a handle is 4/3 tan(arc / 4) long."""
    turn = np.linspace(0.0, 2 * np.pi, _ARCS + 1)
    ends = np.column_stack([np.cos(turn), np.sin(turn)])
    handles = np.column_stack([-np.sin(turn), np.cos(turn)]) * 4 / 3 * math.tan(math.pi / 2 / _ARCS)
    cubics = np.stack([ends[:-1] + handles[:-1], ends[1:] - handles[1:], ends[1:]], axis=1)
    return np.concatenate([ends[:1], cubics.reshape(-1, 2)])


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


@lru_cache(maxsize=256)
def _operands(colour: str | float) -> str:
    """A colour as PDF's three operands, greys as they are printed."""
    name = str(colour)
    return " ".join(_text([c / 255 for c in _channels(_PRINTED.get(name, name))]))


def _paler(colour: str, part: float) -> str:
    """``part`` of a colour on white paper."""
    return "#" + "".join(f"{round(255 - (255 - c) * part):02x}" for c in _channels(colour))


def _box(corners: Sequence[tuple[float, float]]) -> Box:
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return Box(min(xs), min(ys), max(xs), max(ys))
