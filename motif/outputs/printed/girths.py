"""Girth strips: paper as long as the pot is round, ticked at every vertical, that divides it without measuring."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidBand, LaidForm, LaidPiece
from motif.outputs.numbers import Unit, length, length_with_unit
from motif.outputs.pen import SANS, SERIF, Pen
from motif.outputs.printed import letters
from motif.outputs.printed.joins import Section, cut
from motif.outputs.printed.pages import BODY, SMALL
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import Box, Sketch
from motif.outputs.styles import INK

#: A strip is so wide (mm); its edge with the ticks lies on the ring.
WIDTH = 17.0
#: What goes under the start when the strip is closed (mm).
TAB = 12.0
#: Ticks of verticals and of the middles between them, and of a vertical that is not numbered (mm).
_LONG, _SHORT, _MIDDLE = 6.0, 4.4, 2.6
#: Rings less round than this are not worth a strip (mm).
LEAST_ROUND = 30.0
#: No more strips than this are printed at once.
_MOST_STRIPS = 200
#: Strips alike to this much (mm) are one strip; a hundredth of what anyone can mark.
_ALIKE = 0.002
#: From whole turns off by rounding (radians).
_ON_MARK = 1e-9


@record
class Division:
    """How a ring is divided: the angles of its verticals from the starting mark to the right, in radians, rising
    through less than a turn, the number of each, and the worked panels as (from, to) angles."""

    angles: tuple[float, ...]
    numbers: tuple[int, ...]
    panels: tuple[tuple[float, float], ...]


@record
class Girth:
    """A strip to be: ``names`` of the rings that it serves, and where the first of them lies (mm)."""

    names: tuple[str, ...]
    tape: float
    height: float
    round_: float
    division: Division


def girths(piece: LaidPiece, chosen: Sequence[int] | None = None) -> tuple[list[Girth], list[str]]:
    """The strips for the start, the end and the widest ring of every band, or for the ``chosen`` rings of each,
    all of them where none is named.

    Rings of equal girth and division share one. Also sentences about rings that get none."""
    found: list[Girth] = []
    missing: list[str] = []
    for band in piece.bands:
        if chosen is None and band.row_columns is not None:
            missing.append(
                f"Band {band.number} has its own columns in each row: --rings all gives every row its strip."
            )
        for ring in _rings(band, chosen):
            name = ring_name(piece, band, ring)
            round_ = float(band.rings.circumference[ring])
            if round_ < LEAST_ROUND:
                missing.append(f"{name} is less than {LEAST_ROUND:g} mm round and gets no strip.")
                continue
            one = Girth(
                (name,), float(band.rings.tape[ring]), float(band.rings.height[ring]), round_, division(band, ring)
            )
            like = next((k for k, other in enumerate(found) if _alike(one, other)), None)
            if like is None:
                found.append(one)
            else:
                other = found[like]
                found[like] = Girth((*other.names, name), other.tape, other.height, other.round_, other.division)
    if len(found) > _MOST_STRIPS:
        missing.append(f"These are the first {_MOST_STRIPS} of {len(found)} girth strips: name the rings with --rings.")
    return found[:_MOST_STRIPS], missing


def ring_name(piece: LaidPiece, band: LaidBand, ring: int) -> str:
    where = {0: " (start)", band.rows: " (end)"}.get(ring, "")
    return f"band {band.number} ring {ring}{where}" if len(piece.bands) > 1 else f"ring {ring}{where}"


def division(band: LaidBand, ring: int) -> Division:
    """How a ring of a band is divided; with columns of each row's own, by those of the row that begins there."""
    angles = np.asarray(band.verticals if len(band.verticals) else [0.0], dtype=float)
    if band.row_columns is not None:
        count = int(band.row_columns[min(ring, band.rows - 1)])
        angles = angles[0] + np.arange(count) * math.tau / count
    turned = np.mod(angles, math.tau)
    turned = np.where(math.tau - turned < _ON_MARK, 0.0, turned)
    order = np.argsort(turned, kind="stable")
    return Division(tuple(turned[order].tolist()), tuple((order + 1).tolist()), band.panels)


def _rings(band: LaidBand, chosen: Sequence[int] | None) -> Iterable[int]:
    if chosen is not None:
        return [k for k in chosen or range(band.rows + 1) if k <= band.rows]
    return sorted({0, band.rows, int(np.argmax(band.rings.circumference))})


def _alike(one: Girth, other: Girth) -> bool:
    a, b = one.division, other.division
    return (
        abs(one.round_ - other.round_) < _ALIKE
        and a.numbers == b.numbers
        and a.panels == b.panels
        and max(abs(x - y) for x, y in zip(a.angles, b.angles, strict=True)) * one.round_ / math.tau < _ALIKE
    )


def parts(strip: Girth, form: LaidForm, paper: Paper, unit: Unit, first_join: int) -> list[Part]:
    """A strip, cut to the paper's height; it lies along the page. ``first_join`` is the index of its first join's
    letter."""
    ticks = [a * strip.round_ / math.tau for a in strip.division.angles]
    sections = cut(strip.round_, paper.height, ticks, TAB, first_join)
    stands = _stands(strip, form)
    return [_part(strip, one, k, len(sections), unit, stands) for k, one in enumerate(sections, 1)]


def _stands(strip: Girth, form: LaidForm) -> bool:
    """Whether the strip stands on its ring, for want of room below: near the foot, and inside a wall that opens
    upward, which is too narrow there for paper as long as the ring."""
    if strip.tape < WIDTH + 2.0:
        return True
    below = float(form.wall.radius(strip.tape - WIDTH))
    return form.side == "inside" and below < strip.round_ / math.tau - _ALIKE


def _part(strip: Girth, section: Section, number: int, count: int, unit: Unit, stands: bool) -> Part:
    sketch = Sketch()
    ink_section(sketch, strip, section, _titles(strip, number, count, unit), stands=stands)
    return Part("girth strips", (sketch,), Box(0.0, 0.0, section.end - section.start + section.over, WIDTH), lying=True)


def ink_section(pen: Pen, strip: Girth, section: Section, titles: Sequence[str], *, stands: bool = False) -> None:
    """Draw a section of a strip, its start and upper edge at 0; it says the first of the ``titles`` that fits.

    Its ticked edge is the upper one, or the lower where the strip ``stands`` on its ring."""
    drawing = _Drawing(pen, strip, section, stands=stands)
    drawing.ink_edges()
    drawing.ink_ticks()
    drawing.ink_words(titles)


def _titles(strip: Girth, number: int, count: int, unit: Unit) -> list[str]:
    """What the strip says of itself, the longest first."""
    rings = ", ".join(strip.names)
    nth = f" · part {number} of {count}" if count > 1 else ""
    where = (
        f"tape {length(strip.tape, unit)}, height {length_with_unit(strip.height, unit)}"
        if len(strip.names) == 1
        else ""
    )
    girth = f"{length_with_unit(strip.round_, unit)} round"
    return [
        " · ".join(t for t in (rings, where, girth) if t) + nth,
        f"{rings} · {girth}{nth}",
        f"{strip.names[0]}{' …' if len(strip.names) > 1 else ''}{nth}",
        strip.names[0],
    ]


class _Drawing:
    """One section of a strip: x along the strip from the section's start, y across it."""

    def __init__(self, pen: Pen, strip: Girth, section: Section, *, stands: bool) -> None:
        self._line = pen.group(stroke=INK, stroke_width=0.25, fill="none")
        self._fill = pen.group(stroke="none", fill=INK)
        self._words = pen.group(font_family=SANS, fill=INK)
        self._strip, self._section, self._stands = strip, section, stands
        self._scale = strip.round_ / math.tau

    def _across(self, depth: float) -> float:
        """y of a depth below the ticked edge."""
        return WIDTH - depth if self._stands else depth

    def ink_edges(self) -> None:
        long = self._section.end - self._section.start
        over = self._section.over
        corners = [[0, 0], [long + over, 0], [long + over, WIDTH], [0, WIDTH]]
        self._line.lines([np.array(corners, dtype=float)], closed=True)
        edge = self._across(0.0)
        self._line.lines([np.array([[0.0, edge], [long + over, edge]])], stroke_width=0.5)
        self._line.lines([np.array([[long, 0.0], [long, WIDTH]])], stroke_dasharray="2 1.2", stroke_width=0.35)

    def ink_ticks(self) -> None:
        strip = self._strip
        angles = strip.division.angles
        at = [a * self._scale for a in angles]
        closed = [*at, at[0] + strip.round_]
        shown = _numbered(closed, strip.division.numbers)
        start, end = self._section.start, self._section.end + self._section.over
        for u, number in self._copies(at, strip.division.numbers):
            named = number in shown
            self._tick(u - start, _LONG if named else _SHORT, 0.35)
            if named:
                self._number(u - start, number, end - start)
        middles = [(a + b) / 2 for a, b in pairwise(closed)]
        if min(np.diff(closed)) > 2.0:
            for u, _ in self._copies(middles, range(len(middles))):
                self._tick(u - start, _MIDDLE, 0.25)
        for low, high in strip.division.panels:
            self._panel(low, high)

    def _copies(self, at: Sequence[float], names: Sequence[int]) -> Iterable[tuple[float, int]]:
        """Marks on this section, on its overlap or tab too, which goes on round the pot."""
        end = self._section.end + self._section.over
        for turn in (-1, 0, 1):
            for u, name in zip(at, names, strict=True):
                moved = u + turn * self._strip.round_
                if self._section.start - _ON_MARK <= moved <= end + _ON_MARK:
                    yield moved, name

    def _tick(self, x: float, depth: float, weight: float) -> None:
        self._line.lines([np.array([[x, self._across(0.0)], [x, self._across(depth)]])], stroke_width=weight)

    def _number(self, x: float, number: int, long: float) -> None:
        half = letters.width(str(number), BODY) / 2
        where = x
        if x < half + 0.8 or abs(x + self._section.start - self._strip.round_) < _ON_MARK:
            where = x + half + 0.8  # beside its tick, at the start and where that comes to lie again
        elif x > long - half - 0.8:
            where = x - half - 0.8
        self._words.text(where, self._baseline(_LONG + 0.8, BODY), str(number), BODY, anchor="middle")

    def _baseline(self, depth: float, size: float) -> float:
        """Baseline of words that begin so far from the ticked edge."""
        return self._across(depth) if self._stands else depth + 0.73 * size

    def _panel(self, low: float, high: float) -> None:
        """A bar along the edge where the band is worked."""
        start, end = self._section.start, self._section.end + self._section.over
        edge, foot = self._across(0.0), self._across(1.2)
        for turn in (-1, 0, 1):
            from_angle = low % math.tau + turn * math.tau
            a = max(from_angle * self._scale, start) - start
            b = min((from_angle + high - low) * self._scale, end) - start
            if b > a:
                self._fill.lines([np.array([[a, edge], [b, edge], [b, foot], [a, foot]])], closed=True)

    def ink_words(self, titles: Sequence[str]) -> None:
        section = self._section
        long = section.end - section.start
        base = self._baseline(12.2, SMALL)
        left, right = 2.0, long - 2.0
        if section.before is None:
            edge, tip = self._across(3.4), self._across(0.3)
            self._fill.lines([np.array([[0.0, tip], [2.0, edge], [0.0, edge]])], closed=True)
            said = ["start →"]
        else:
            said = [f"{section.before}: lay this end on line {section.before}", f"{section.before} on {section.before}"]
        left += self._say(left, base, right - left, said) + 4.0
        if section.after is None:
            self._words.text(long + 1.2, base, "tab", SMALL)
            end = "start here"
        else:
            end = f"line {section.after}"
            self._words.text(long + 3.0, base, section.after, BODY * 1.3, font_family=SERIF)
        wide = letters.width(end, SMALL)
        if wide <= right - left:
            self._words.text(right - wide, base, end, SMALL)
            right -= wide + 4.0
        self._say(left, base, right - left, titles)

    def _say(self, left: float, base: float, room: float, candidates: Sequence[str]) -> float:
        """The first of the words that fits into the room; returns how wide it is, 0 for none."""
        words = letters.first_that_fits(candidates, room, SMALL)
        if not words:
            return 0.0
        self._words.text(left, base, words, SMALL)
        return letters.width(letters.printable(words), SMALL)


def _numbered(closed: Sequence[float], numbers: Sequence[int]) -> frozenset[int]:
    """Which verticals are numbered: all, or every second, fifth, tenth … where they would crowd; always the first."""
    room = float(np.diff(closed).min())
    wide = letters.width(str(max(numbers)), BODY) + 1.0
    for step in (1, 2, 5, 10, 20, 50, 100):
        if room * step >= wide:
            break
    return frozenset(n for n in numbers if n == 1 or n % step == 0)
