"""What stands on the pages of a PDF, read by PDFium (pypdfium2) in millimetres from the upper left corner."""

from __future__ import annotations

import ctypes
import math
from typing import Any, NamedTuple

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium

#: A point is 1/72 in (record 7.pt), an inch 25.4 mm (record 7.inch).
MM = 25.4 / 72


class Drawn(NamedTuple):
    """A line of a path: its points (k, 2), whether it is closed, its weight in mm (0: not stroked), dashed or not."""

    points: Any
    closed: bool
    weight: float
    dashed: bool
    filled: bool


class Said(NamedTuple):
    """Words with the start of their baseline, the middle of their box, and their size in points."""

    words: str
    start: tuple[float, float]
    middle: tuple[float, float]
    size: float


class Leaf(NamedTuple):
    width: float
    height: float
    lines: list[Drawn]
    texts: list[Said]

    def word(self, words: str) -> Said:
        """The one text that reads so."""
        (found,) = [t for t in self.texts if t.words == words]
        return found


def leaves(content: bytes) -> list[Leaf]:
    """The pages."""
    document = pypdfium2.PdfDocument(content)
    return [_leaf(document[k]) for k in range(len(document))]


def _leaf(page: pypdfium2.PdfPage) -> Leaf:
    left, bottom, right, top = page.get_mediabox()
    textpage = page.get_textpage()
    lines: list[Drawn] = []
    texts: list[Said] = []

    def placed(x: float, y: float) -> tuple[float, float]:
        return (x - left) * MM, (top - y) * MM

    for thing in page.get_objects(max_depth=1):
        if thing.type == pdfium.FPDF_PAGEOBJ_PATH:
            lines += _path(thing.raw, placed)
        elif thing.type == pdfium.FPDF_PAGEOBJ_TEXT:
            texts.append(_text(thing.raw, textpage.raw, placed))
    return Leaf((right - left) * MM, (top - bottom) * MM, lines, texts)


def _matrix(raw: Any) -> pdfium.FS_MATRIX:
    matrix = pdfium.FS_MATRIX()
    assert pdfium.FPDFPageObj_GetMatrix(raw, matrix)
    return matrix


def _path(raw: Any, placed: Any) -> list[Drawn]:
    m = _matrix(raw)
    fill, stroke = ctypes.c_int(), ctypes.c_int()
    assert pdfium.FPDFPath_GetDrawMode(raw, fill, stroke)
    weight = ctypes.c_float()
    pdfium.FPDFPageObj_GetStrokeWidth(raw, weight)
    scale = math.hypot(m.a, m.b)
    dashed = pdfium.FPDFPageObj_GetDashCount(raw) > 0
    runs: list[tuple[list[tuple[float, float]], bool]] = []
    for k in range(pdfium.FPDFPath_CountSegments(raw)):
        segment = pdfium.FPDFPath_GetPathSegment(raw, k)
        x, y = ctypes.c_float(), ctypes.c_float()
        assert pdfium.FPDFPathSegment_GetPoint(segment, x, y)
        point = placed(m.a * x.value + m.c * y.value + m.e, m.b * x.value + m.d * y.value + m.f)
        if pdfium.FPDFPathSegment_GetType(segment) == pdfium.FPDF_SEGMENT_MOVETO:
            runs.append(([point], False))
        else:
            runs[-1][0].append(point)
        if pdfium.FPDFPathSegment_GetClose(segment):
            runs[-1] = (runs[-1][0], True)
    w = weight.value * scale * MM if stroke.value else 0.0
    return [Drawn(np.array(points), closed, w, dashed, bool(fill.value)) for points, closed in runs]


def _text(raw: Any, textpage: Any, placed: Any) -> Said:
    m = _matrix(raw)
    size = ctypes.c_float()
    assert pdfium.FPDFTextObj_GetFontSize(raw, size)
    long = pdfium.FPDFTextObj_GetText(raw, textpage, None, 0)
    buffer = ctypes.create_string_buffer(long)
    pdfium.FPDFTextObj_GetText(raw, textpage, ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), long)
    words = buffer.raw[: long - 2].decode("utf-16-le").strip()
    box = [ctypes.c_float() for _ in range(4)]
    assert pdfium.FPDFPageObj_GetBounds(raw, *box)
    low = placed(box[0].value, box[1].value)
    high = placed(box[2].value, box[3].value)
    middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
    return Said(words, placed(m.e, m.f), middle, size.value * math.hypot(m.a, m.b))
