"""Gores and cones as paper to cut: every sheet at real size with what it takes to put it on the pot."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.cautions import cautions
from motif.outputs.cutout import Cutout, cut_out
from motif.outputs.drawn import Floats
from motif.outputs.ink import (
    CHECK_WIDTH,
    HEADING,
    LEADING,
    Corner,
    about,
    check_bars,
    header,
    legend,
    paragraph,
    wrap,
)
from motif.outputs.labels import BODY
from motif.outputs.numbers import Unit
from motif.outputs.pen import SANS, SERIF, xml_id
from motif.outputs.putting_on import introduction
from motif.outputs.sheets import Layout
from motif.outputs.styles import INK, SOFT
from motif.outputs.svg import Drawing

_MARGIN = 12.0
_GAP = 6.0
#: Rows of sheets grow no wider than this unless one sheet is (mm).
_ROW = 580.0
_NARROWEST_CELL = 58.0


def svg(piece: LaidPiece, layout: Layout, unit: Unit = "mm") -> str:
    """The template of ``piece`` as an SVG document, one user unit a millimetre of paper."""
    cells = _Cell.all_of(piece, layout, unit)
    rows = _rows(cells)
    width = max(CHECK_WIDTH, *(sum(c.width + _GAP for c in row) - _GAP for row in rows))
    lines = [about(piece), *introduction(piece, layout, unit)]
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


@record
class _Cell:
    """A sheet with the room that it and its words take; ``low`` and ``high`` are the corners of its paper."""

    cutout: Cutout
    low: Floats
    high: Floats
    title: str
    words: tuple[str, ...]

    @classmethod
    def all_of(cls, piece: LaidPiece, layout: Layout, unit: Unit) -> list[_Cell]:
        cutouts = cut_out(piece, layout)
        lows, highs = np.array([c.low for c in cutouts]), np.array([c.high for c in cutouts])
        if layout.flat == "gores":
            # They stand side by side at one height, whatever names stand below and above them.
            lows[:, 1], highs[:, 1] = lows[:, 1].min(), highs[:, 1].max()
        return [
            cls.of(piece, cutout, low, high, len(cutouts), unit)
            for cutout, low, high in zip(cutouts, lows, highs, strict=True)
        ]

    @classmethod
    def of(cls, piece: LaidPiece, cutout: Cutout, low: Floats, high: Floats, count: int, unit: Unit) -> _Cell:
        width = max(float(high[0] - low[0]), _NARROWEST_CELL)
        nth = f"{cutout.drawn.sheet.number} of {count}"
        words = cutout.words(unit)
        title = f"{piece.name} {nth}"
        if len(wrap(title, width, HEADING)) > 1:
            title, words = nth, [piece.name, *words]
        return cls(cutout, low, high, title, tuple(line for sentence in words for line in wrap(sentence, width)))

    @property
    def width(self) -> float:
        return max(float(self.high[0] - self.low[0]), _NARROWEST_CELL)

    @property
    def height(self) -> float:
        return self._tall + HEADING + (len(self.words) + 1) * BODY * LEADING

    @property
    def _tall(self) -> float:
        return float(self.high[1] - self.low[1])

    def ink(self, drawing: Drawing, x: float, y: float) -> None:
        """Draw with the upper left corner at (x, y)."""
        self.cutout.ink(drawing, Corner(x - float(self.low[0]), y + float(self.high[1])))
        words = drawing.group(xml_id("sheet", self.cutout.drawn.sheet.number, "words"), font_family=SANS, fill=SOFT)
        base = y + self._tall + HEADING
        words.text(x, base, self.title, HEADING, fill=INK, font_family=SERIF)
        for line in self.words:
            base += BODY * LEADING
            words.text(x, base, line, BODY)


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
