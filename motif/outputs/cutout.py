"""One sheet of paper to cut out: its work, cut line and tab, the names on it, and the words that go with it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise

import numpy as np

from motif.language.record import changed, record
from motif.laying.piece import LaidBand, LaidPiece
from motif.outputs.drawn import Drawer, DrawnBand, DrawnLine, DrawnSheet, Floats, Sheet
from motif.outputs.ink import ink_sheet, stroke
from motif.outputs.labels import (
    BODY,
    LETTER,
    Label,
    Place,
    beyond,
    reserve_names,
    spread,
    starting_mark,
    thinned,
    turned_from_start,
    write,
)
from motif.outputs.numbers import Unit, fine_with_unit, length, length_with_unit, number
from motif.outputs.once import once
from motif.outputs.pen import SANS, Pen, xml_id
from motif.outputs.sheets import Layout
from motif.outputs.styles import INK, MIDDLE, SOFT

#: Room round what is drawn (mm).
_PAD = 2.0
#: How far a tab reaches beyond the cut line (mm).
_TAB = 7.0
#: A misfit below this cannot be seen (mm).
NO_MISFIT = 0.005
#: A compass for paper opens no farther than this (mm): common practice, no source.
_LONGEST_COMPASS = 1500.0
#: What lies no farther from a vertical than this part of a column is just beside it; no farther from the middle of a
#: column than this, half-way.
_JUST, _HALF_WAY = 0.2, 0.02
#: Edges that bend by less are straight (mm).
_BENT = 0.1
#: Angles nearer than this are one vertical (radians).
_SAME_ANGLE = 1e-9
#: The word on a gore's middle line, and how far up the line it stands, in parts of it.
_MIDDLE_NAME, _MIDDLE_AT = "middle", 0.2


@record
class Cutout:
    """A sheet with the tab beyond its right-hand cut (empty where there is no room for one) and its names.

    ``low`` and ``high`` are the corners of all that is drawn, in mm of paper, y up."""

    drawn: DrawnSheet
    tab: Floats
    names: tuple[Label, ...]
    ticks: tuple[Floats, ...]
    low: Floats
    high: Floats

    @classmethod
    def of(cls, piece: LaidPiece, drawn: DrawnSheet, onto: str | None = None) -> Cutout:
        """``onto`` says what comes onto the tab of a sheet that is part of one; where nothing does, it has none."""
        with_tab = has_tab(drawn.sheet) if drawn.sheet.closes or drawn.sheet.is_gore else onto is not None
        tab = _tab(drawn.right) if with_tab else np.empty((0, 2))
        ticks, starts = starting_mark(drawn.sheet) if turned_from_start(piece) else ([], [])
        names = [*_names(drawn, several=len(piece.bands) > 1), *starts]
        corners = np.vstack([drawn.outline, tab, *(name.box for name in names)])
        if onto is not None:
            names.append(_along_tab(drawn.right, onto))
        return cls(drawn, tab, tuple(names), tuple(ticks), corners.min(axis=0) - _PAD, corners.max(axis=0) + _PAD)

    @property
    def is_plain(self) -> bool:
        """Whether nothing is made on it."""
        made: Iterable[object] = (*self.drawn.paths, *(p for b in self.drawn.bands for p in b.paths))
        return not any(made) and not any(len(b.marks.index) for b in self.drawn.bands)

    def ink(self, pen: Pen, place: Place) -> None:
        """Draw it all into a group of its own; ``place`` carries paper to the page."""
        drawn, n = self.drawn, self.drawn.sheet.number
        group = pen.group(xml_id("sheet", n))
        ink_sheet(group, drawn, place, ("sheet", n))
        if drawn.middle is not None:
            middle = group.group(xml_id("sheet", n, "middle"), fill="none", **stroke(MIDDLE))
            middle.lines([place(drawn.middle)])
        cut = group.group(
            xml_id("sheet", n, "cut"), stroke=INK, stroke_width=0.35, fill="none", stroke_linejoin="round"
        )
        cut.lines([place(drawn.outline)], closed=True)
        if len(self.tab):
            cut.lines([place(self.tab)], stroke_width=0.25, stroke_dasharray="2.4 1.2")
        cut.lines([place(tick) for tick in self.ticks])
        write(group.group(xml_id("sheet", n, "numbers"), font_family=SANS, fill=SOFT), self.names, place)

    def where(self) -> list[str]:
        """Where it is cut, in words."""
        return list(_cut_words(self.drawn))

    def words(self, unit: Unit = "mm") -> list[str]:
        """The sentences that go below it: where it is cut, its measures, its misfit."""
        sheet = self.drawn.sheet
        words = [*self.where(), *_cone_words(sheet, unit)]
        if sheet.closes and lies_flat(sheet):
            words.append("It lies flat all round: the cut from edge to edge need not be made.")
        elif sheet.closes and not len(self.tab):
            words.append("There is no room for a tab: close the cut with tape.")
        if self.is_plain:
            words.append("Nothing is made on this sheet.")
        if sheet.misfit < NO_MISFIT:
            words.append("Misfit 0: the paper lies on the wall everywhere.")
        else:
            words.append(f"Misfit {fine_with_unit(sheet.misfit, unit)}.")
        return words


@once  # the drawing and the printed sheets of one run show the same
def cut_out(piece: LaidPiece, layout: Layout) -> tuple[Cutout, ...]:
    """Every sheet of a layout."""
    drawer = Drawer(piece)
    return tuple(Cutout.of(piece, drawer.sheet(sheet)) for sheet in layout.sheets)


# ---------------------------------------------------------------- names


def _names(drawn: DrawnSheet, *, several: bool) -> Iterator[Label]:
    def ring_name(line: DrawnLine) -> str:
        return f"{line.band}·{line.number}" if several else str(line.number)

    first = [*(_on_pattern(label, drawn.outline) for label in spread(drawn.rings, ring_name)), *reserve_names(drawn)]
    yield from first
    yield from (label for label in _vertical_names(drawn) if not any(label.covers(other) for other in first))
    if drawn.middle is not None:
        foot, top = drawn.middle[0], drawn.middle[-1]
        x, y = (foot + (top - foot) * _MIDDLE_AT).tolist()
        yield Label(_MIDDLE_NAME, x, y, turned=-90.0, on_pattern=True)


def _vertical_names(drawn: DrawnSheet) -> Iterator[Label]:
    """Numbers of the lowest band's verticals below the sheet, of the highest band's above it.

    Those of bands between stand inside, under the band, unless the band below has the same verticals."""
    w = drawn.sheet.window
    bands = sorted(_divided(drawn), key=lambda b: (min(b.band.from_tape, b.band.to_tape), b.band.number))
    if not bands:
        return
    highest = max(bands, key=lambda b: (max(b.band.from_tape, b.band.to_tape), b.band.number))
    yield from thinned(beyond(_at_end(drawn, bands[0], w.from_tape, 1.0), _number))
    yield from thinned(beyond(_at_end(drawn, highest, w.to_tape, -1.0), _number))
    for below, band in pairwise(bands):
        if band is highest or _same_verticals(below, band):
            continue
        inner = [v for v in drawn.verticals if v.band == band.band.number and w.from_angle < v.where < w.to_angle]
        yield from (_on_pattern(label, drawn.outline) for label in thinned(beyond(inner, _number, off=2.4)))


def _divided(drawn: DrawnSheet) -> list[DrawnBand]:
    """The bands with verticals, of which a sheet shows some rows; narrow sheets may lie between two verticals."""
    w = drawn.sheet.window
    return [
        b
        for b in drawn.bands
        if len(b.band.verticals)
        and min(float(b.band.rings.tape.max()), w.to_tape) > max(float(b.band.rings.tape.min()), w.from_tape)
    ]


def _at_end(drawn: DrawnSheet, band: DrawnBand, end: float, inward: float) -> list[DrawnLine]:
    """A band's verticals as they would begin at the end of the sheet, where they may stop short of it."""
    own = [v for v in drawn.verticals if v.band == band.band.number]
    angles = np.array([v.where for v in own])
    begins, nexts = (drawn.sheet.place(np.column_stack([angles, np.full(len(own), at)])) for at in (end, end + inward))
    return [changed(v, line=line) for v, line in zip(own, np.stack([begins, nexts], axis=1), strict=True)]


def _same_verticals(one: DrawnBand, other: DrawnBand) -> bool:
    a, b = one.band.verticals, other.band.verticals
    return len(a) == len(b) and bool(np.all(np.abs(a - b) < _SAME_ANGLE))


def _number(line: DrawnLine) -> str:
    return str(line.number)


def _on_pattern(label: Label, outline: Floats) -> Label:
    """The name, marked as lying on the pattern if its middle is inside the sheet (even-odd rule)."""
    x, y = outline.T
    x1, y1 = np.roll(x, -1), np.roll(y, -1)
    crosses = (y > label.y) != (y1 > label.y)
    rise = np.where(crosses, y1 - y, 1.0)
    inside = bool(np.sum(crosses & (label.x < x + (label.y - y) / rise * (x1 - x))) % 2)
    return changed(label, on_pattern=inside)


# ---------------------------------------------------------------- words


def _cone_words(sheet: Sheet, unit: Unit) -> Iterator[str]:
    cone = sheet.cone
    if cone is None:
        return
    yield (
        f"Tape {length(cone.from_tape, unit)} to {length_with_unit(cone.to_tape, unit)}; "
        f"round below {length(math.tau * cone.radius_below, unit)}, "
        f"above {length_with_unit(math.tau * cone.radius_above, unit)}."
    )
    if cone.inner_radius is None or cone.outer_radius is None:
        return
    angle = cone.angle * (sheet.window.to_angle - sheet.window.from_angle) / math.tau
    if cone.outer_radius <= _LONGEST_COMPASS:
        yield (
            f"With a compass: radius {length(cone.inner_radius, unit)} and "
            f"{length_with_unit(cone.outer_radius, unit)}, {number(math.degrees(angle), 2)}°."
        )
        return
    bend = cone.outer_radius * 2 * math.sin(angle / 4) ** 2
    how = f"bend by {length_with_unit(bend, unit)}" if bend >= _BENT else "are as good as straight"
    yield (
        f"Nearly straight: a radius of more than {length_with_unit(_LONGEST_COMPASS, unit)}. From end to end its "
        f"long edges {how}."
    )


def _cut_words(drawn: DrawnSheet) -> Iterator[str]:
    """Where a sheet is cut: a cone if not on vertical 1, a part of one at both ends; a gore on which verticals if both
    its sides are verticals of one band, else at which angles."""
    w = drawn.sheet.window
    if drawn.sheet.cone is not None:
        band = _foremost(drawn)
        if band is not None and len(band.verticals) == 1:
            return  # of rows with columns of their own all that is drawn is vertical 1
        start, end = (_beside(drawn, angle) for angle in (w.from_angle, w.to_angle))
        if not drawn.sheet.closes:
            of_band = start[start.index(" of band ") :] if " of band " in start else ""
            start = start.removesuffix(of_band)
            yield f"From {start} to {end.removeprefix('vertical ') if start.startswith('vertical ') else end}."
        elif _vertical_at(band, w.from_angle) != 1:
            yield f"Cut open at {start}."
        return
    if not drawn.sheet.is_gore:
        return
    for band in (b.band for b in drawn.bands):
        of_band = f" of band {band.number}" if len(drawn.bands) > 1 else ""
        sides = [_vertical_at(band, angle) for angle in (w.from_angle, w.to_angle)]
        if None not in sides:
            yield f"From vertical {sides[0]} to {sides[1]}{of_band}."
            return
    low, high = (number(math.degrees(angle) % 360.0, 2) for angle in (w.from_angle, w.to_angle))
    yield f"From {low}° to {high}°."
    for band in (b.band for b in _divided(drawn)):
        first, last = w.turns(band.verticals, band.verticals)
        if np.all(last < first):
            of_band = f" of band {band.number}" if len(drawn.bands) > 1 else ""
            # Of all verticals the one that is met last before the sheet.
            before = int(np.argmin((w.from_angle - band.verticals) % math.tau))
            after = (before + 1) % len(band.verticals)
            yield f"It lies between verticals {before + 1} and {after + 1}{of_band}."


def _foremost(drawn: DrawnSheet) -> LaidBand | None:
    """The first band with verticals that a sheet shows."""
    return next((b.band for b in _divided(drawn)), None)


def _beside(drawn: DrawnSheet, angle: float) -> str:
    """Where a cut is: ``vertical 3``, ``half-way between verticals 3 and 4``; in degrees where nothing is divided."""
    band = _foremost(drawn)
    if band is None:
        return f"{number(math.degrees(angle) % 360.0, 2)}°"
    of_band = f" of band {band.number}" if len(drawn.bands) > 1 else ""
    here = _vertical_at(band, angle)
    if here is not None:
        return f"vertical {here}{of_band}"
    past = (angle - band.verticals) % math.tau
    before = int(np.argmin(past))
    after = (before + 1) % len(band.verticals)
    wide = float(band.verticals[after] - band.verticals[before]) % math.tau or math.tau
    part = float(past[before]) / wide
    if min(part, 1 - part) < _JUST:
        near, side = (before, "right") if part < 1 / 2 else (after, "left")
        return f"just {side} of vertical {near + 1}{of_band}"
    half = "half-way " if abs(part - 1 / 2) < _HALF_WAY else ""
    return f"{half}between verticals {before + 1} and {after + 1}{of_band}"


def _vertical_at(band: LaidBand | None, angle: float) -> int | None:
    """The number of a band's vertical at an angle, up to whole turns; 1 where there is no band."""
    if band is None:
        return 1
    off = np.abs(np.remainder(band.verticals - angle + math.pi, math.tau) - math.pi)
    return int(np.argmin(off)) + 1 if len(off) and off.min() < _SAME_ANGLE else None


# ---------------------------------------------------------------- the tab


def lies_flat(sheet: Sheet) -> bool:
    """Whether a sheet is a disc or a flat ring, which has no sides to close."""
    return sheet.cone is not None and sheet.cone.angle > math.tau - _SAME_ANGLE


def has_tab(sheet: Sheet) -> bool:
    """Whether there is room for a tab: a sector that nearly goes all round meets itself."""
    if sheet.cone is None or sheet.cone.outer_radius is None:
        return True
    return (math.tau - sheet.cone.angle) * sheet.cone.outer_radius > 2 * _TAB


def _along_tab(right: Floats, words: str) -> Label:
    """The words on a tab, along its middle, the right way up; the last of them where there is no room for all."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(right, axis=0).T))])
    if run[-1] < LETTER * BODY * len(words) + _TAB + BODY:
        words = words.split()[-1]
    x, y = (float(np.interp(run[-1] / 2, run, right[:, k])) for k in (0, 1))
    way = right[-1] - right[0]
    way = way / (math.hypot(*way) or 1.0)
    turned = -math.degrees(math.atan2(way[1], way[0]))
    return Label(words, x + way[1] * _TAB / 2, y - way[0] * _TAB / 2, turned=(turned + 90.0) % 180.0 - 90.0)


def _tab(right: Floats) -> Floats:
    """A strip for the next sheet to go over, to the right of the right-hand side: an open line.

    It narrows to nothing at both ends, at 45 degrees."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(right, axis=0).T))])
    # The slants begin and end at corners of their own.
    at = np.union1d(run, np.clip([_TAB, run[-1] - _TAB], 0.0, run[-1]))
    side = np.column_stack([np.interp(at, run, right[:, 0]), np.interp(at, run, right[:, 1])])
    way = np.gradient(side, axis=0)
    out = np.column_stack([way[:, 1], -way[:, 0]]) / np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    return side + out * np.minimum(_TAB, np.minimum(at, run[-1] - at))[:, None]
