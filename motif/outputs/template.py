"""Gores and cones as paper to cut: every sheet at real size with what it takes to put it on the pot."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.cautions import cautions
from motif.outputs.drawn import Drawer, DrawnLine, DrawnSheet, Floats, Sheet
from motif.outputs.ink import (
    BODY,
    CHECK_WIDTH,
    HEADING,
    LEADING,
    Corner,
    about,
    check_bars,
    header,
    ink_sheet,
    label_ends,
    legend,
    paragraph,
    wrap,
)
from motif.outputs.numbers import Unit, length, length_with_unit, number
from motif.outputs.pen import SANS, SERIF, Pen, xml_id
from motif.outputs.sheets import Layout
from motif.outputs.styles import INK, SOFT
from motif.outputs.svg import Drawing

_MARGIN = 12.0
#: Room round a sheet for the numbers of rings and verticals.
_PAD = 8.0
_GAP = 6.0
_TAB = 7.0
#: Rows of sheets grow no wider than this unless one sheet is (mm).
_ROW = 580.0
_NARROWEST_CELL = 58.0
#: A misfit below this cannot be seen (mm).
_NO_MISFIT = 0.005
#: Angles nearer than this are one vertical (radians).
_SAME_ANGLE = 1e-9
#: A band that ends this near a sheet's end has its verticals numbered there (mm of tape).
_AT_END = 6.0


def svg(piece: LaidPiece, layout: Layout, unit: Unit = "mm") -> str:
    """The template of ``piece`` as an SVG document, one user unit a millimetre of paper."""
    drawer = Drawer(piece)
    cells = [_Cell.of(piece, drawer.sheet(s), layout, unit) for s in layout.sheets]
    rows = _rows(cells)
    width = max(CHECK_WIDTH, *(sum(c.width + _GAP for c in row) - _GAP for row in rows))
    lines = _introduction(piece, layout, unit)
    drawing = Drawing()
    height = _page(drawing, piece, rows, width, lines)
    return drawing.tostring(width + 2 * _MARGIN, height)


def _page(
    drawing: Drawing, piece: LaidPiece, rows: Sequence[Sequence[_Cell]], width: float, lines: Sequence[str]
) -> float:
    """Draw everything; returns the height it took."""
    y = header(drawing.group("title"), _MARGIN, _MARGIN, width, piece.description or piece.name, lines)
    for row in rows:
        x = _MARGIN
        for cell in row:
            cell.ink(drawing, x, y)
            x += cell.width + _GAP
        y += max(cell.height for cell in row) + _GAP
    foot = drawing.group("check", font_family=SANS)
    foot.text(
        _MARGIN,
        y + BODY,
        "Check with a rule before you cut; print at 100 %, never fitted to the page.",
        BODY,
        fill=INK,
    )
    y = check_bars(foot, _MARGIN, y + BODY + 7.0)
    y = legend(drawing.group("legend"), piece, _MARGIN, y + 5.0, width)
    notes = drawing.group("notes", font_family=SANS, fill=SOFT)
    for words in cautions(piece):
        y = paragraph(notes, _MARGIN, y + 1.0, words, width)
    return y + _MARGIN - BODY


def _introduction(piece: LaidPiece, layout: Layout, unit: Unit) -> list[str]:
    n = len(layout.sheets)
    if n == 1:
        how = (
            "One sheet in real size that closes round the pot. Cut along the full lines and leave the tab, which "
            "goes under the left edge."
        )
    elif layout.flat == "cones":
        how = (
            f"{n} cones in real size, numbered from the foot up. Cut along the full lines and leave the tab, which "
            "goes under the left edge: each sheet closes to a ring round the pot."
        )
    else:
        how = (
            f"{n} gores in real size. Cut along the full lines and leave the tab, which goes under the left edge of "
            "the next sheet. Lay each on the wall by its middle line, foot end first."
        )
    low, high = layout.sheets[0].window.from_tape, layout.sheets[-1].window.to_tape
    where = (
        f"From tape {length_with_unit(low, unit)} to {length_with_unit(high, unit)}, seen from the "
        f"{piece.form.side} of the wall; largest misfit {number(layout.misfit, 2)} mm."
    )
    names = "Numbers beside a sheet are rings, numbers at its ends verticals."
    if len(piece.bands) > 1:
        names = "Numbers beside a sheet are band·ring, numbers at its ends verticals."
    return [about(piece), how, f"{where} {names}"]


@record
class _Cell:
    """A sheet with the room that it and its words take. ``low`` and ``high`` are the corners of its paper."""

    drawn: DrawnSheet
    tab: Floats
    low: Floats
    high: Floats
    title: str
    words: tuple[str, ...]
    several_bands: bool

    @classmethod
    def of(cls, piece: LaidPiece, drawn: DrawnSheet, layout: Layout, unit: Unit) -> _Cell:
        tab = _tab(drawn.right) if _has_tab(drawn.sheet) else np.empty((0, 2))
        all_points = np.vstack([drawn.outline, tab])
        low, high = all_points.min(axis=0) - _PAD, all_points.max(axis=0) + _PAD
        width = max(float(high[0] - low[0]), _NARROWEST_CELL)
        title = f"{piece.name} {drawn.sheet.number} of {len(layout.sheets)}"
        words = [*wrap(title, width, HEADING)]
        body = [line for sentence in _sheet_words(drawn, unit) for line in wrap(sentence, width)]
        return cls(drawn, tab, low, high, words[0], tuple(words[1:] + body), len(piece.bands) > 1)

    @property
    def width(self) -> float:
        return max(float(self.high[0] - self.low[0]), _NARROWEST_CELL)

    @property
    def height(self) -> float:
        return float(self.high[1] - self.low[1]) + HEADING + (len(self.words) + 1) * BODY * LEADING

    def ink(self, drawing: Drawing, x: float, y: float) -> None:
        """Draw with the upper left corner at (x, y)."""
        drawn = self.drawn
        n = drawn.sheet.number
        place = Corner(x - float(self.low[0]), y + float(self.high[1]))
        group = drawing.group(xml_id("sheet", n))
        ink_sheet(group, drawn, place, ("sheet", n))
        cut = group.group(
            xml_id("sheet", n, "cut"), stroke=INK, stroke_width=0.35, fill="none", stroke_linejoin="round"
        )
        cut.lines([place(drawn.outline)], closed=True)
        if len(self.tab):
            cut.lines([place(self.tab)], stroke_width=0.25, stroke_dasharray="2.4 1.2")
        labels = group.group(xml_id("sheet", n, "numbers"), font_family=SANS, fill=SOFT)
        self._number(labels, place)
        words = group.group(xml_id("sheet", n, "words"), font_family=SANS, fill=SOFT)
        base = y + float(self.high[1] - self.low[1]) + HEADING
        words.text(x, base, self.title, HEADING, fill=INK, font_family=SERIF)
        for line in self.words:
            base += BODY * LEADING
            words.text(x, base, line, BODY)

    def _number(self, labels: Pen, place: Corner) -> None:
        drawn = self.drawn
        w = drawn.sheet.window

        def ring_name(line: DrawnLine) -> str:
            return f"{line.band}·{line.number}" if self.several_bands else str(line.number)

        label_ends(labels, drawn.rings, place, at_start=True, names=ring_name)
        bands = [b.band for b in drawn.bands if len(b.band.verticals)]
        for band in bands:
            low, high = sorted((band.from_tape, band.to_tape))
            verticals = [v for v in drawn.verticals if v.band == band.number]
            if low <= w.from_tape + _AT_END:
                self._name_verticals(labels, verticals, place, w.from_tape, 1.0)
            elif w.from_tape < low < w.to_tape:
                inner = [v for v in verticals if w.from_angle < v.where < w.to_angle]
                label_ends(labels, inner, place, at_start=True, names=_number_of, off=2.4)
            if high >= w.to_tape - _AT_END:
                self._name_verticals(labels, verticals, place, w.to_tape, -1.0)

    def _name_verticals(
        self, labels: Pen, verticals: Sequence[DrawnLine], place: Corner, end: float, inward: float
    ) -> None:
        """Their numbers beyond the sheet's end, also where the verticals themselves stop short of it."""
        sheet = self.drawn.sheet
        ends = [
            DrawnLine(v.band, v.number, v.where, sheet.place(np.array([[v.where, end], [v.where, end + inward]])))
            for v in verticals
        ]
        label_ends(labels, ends, place, at_start=True, names=_number_of)


def _number_of(line: DrawnLine) -> str:
    return str(line.number)


def _sheet_words(drawn: DrawnSheet, unit: Unit) -> list[str]:
    """What stands below a sheet: its measures, its misfit, and what to do about that."""
    sheet = drawn.sheet
    words = _cut_words(drawn)
    if sheet.cone is not None:
        cone = sheet.cone
        words.append(
            f"Tape {length(cone.from_tape, unit)} to {length_with_unit(cone.to_tape, unit)}; "
            f"round below {length(2 * math.pi * cone.radius_below, unit)}, "
            f"above {length_with_unit(2 * math.pi * cone.radius_above, unit)}."
        )
        if cone.inner_radius is not None and cone.outer_radius is not None:
            words.append(
                f"With a compass: radius {length(cone.inner_radius, unit)} and "
                f"{length_with_unit(cone.outer_radius, unit)}, {number(math.degrees(cone.angle), 2)}°."
            )
    if not _has_tab(sheet):
        words.append("There is no room for a tab: close the cut with tape.")
    if sheet.misfit < _NO_MISFIT:
        words.append("Misfit 0: the paper lies on the wall everywhere.")
    elif sheet.cone is not None:
        words.append(
            f"Misfit {number(sheet.misfit, 2)} mm: the wall swells or sinks by so much from the paper. "
            "Wet it and press it to the clay, or cut it into lower rings."
        )
    else:
        words.append(
            f"Misfit {number(sheet.misfit, 2)} mm: so much do its edges differ from the wall in length. "
            "Fix its middle line first and ease the edges in."
        )
    return words


def _cut_words(drawn: DrawnSheet) -> list[str]:
    """On which verticals a gore is cut, where both its sides are verticals of one band."""
    w = drawn.sheet.window
    if drawn.sheet.cone is not None or w.to_angle - w.from_angle > math.tau - _SAME_ANGLE:
        return []
    for band in (b.band.number for b in drawn.bands):
        verticals = [v for v in drawn.verticals if v.band == band]
        left = [v.number for v in verticals if abs(v.where - w.from_angle) < _SAME_ANGLE]
        right = [v.number for v in verticals if abs(v.where - w.to_angle) < _SAME_ANGLE]
        if left and right:
            of_band = f" of band {band}" if len(drawn.bands) > 1 else ""
            return [f"From vertical {left[0]} to {right[0]}{of_band}."]
    return []


def _has_tab(sheet: Sheet) -> bool:
    """Whether there is room for a tab: a sector that nearly goes all round meets itself."""
    if sheet.cone is None or sheet.cone.outer_radius is None:
        return True
    return (math.tau - sheet.cone.angle) * sheet.cone.outer_radius > 2 * _TAB


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


def _rows(cells: Sequence[_Cell]) -> list[list[_Cell]]:
    """The cells in order, in rows no wider than ``_ROW`` where that is possible."""
    rows: list[list[_Cell]] = [[]]
    used = 0.0
    for cell in cells:
        if rows[-1] and used + cell.width > _ROW:
            rows.append([])
            used = 0.0
        rows[-1].append(cell)
        used += cell.width + _GAP
    return rows
