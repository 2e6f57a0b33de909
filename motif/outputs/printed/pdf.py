"""Pages as a PDF: the one module that knows reportlab.

The same pages give the same bytes: no date, no number of the run, nothing of the machine.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from itertools import chain
from typing import Any

from motif.outputs.numbers import numbers
from motif.outputs.printed import letters
from motif.outputs.printed.pages import Page, Placed
from motif.outputs.printed.sketch import POINT, PathMark, TextMark

#: Decimals of a place on the page, in points.
_DIGITS = 4

#: No line of a picture, which nobody follows, is thinner (mm).
_LEAST_IN_PICTURES = 0.15

#: Text rendering mode (ISO 32000-1, table 106).
_FILL_AND_STROKE = 2


def document(pages: Sequence[Page], title: str, author: str | None) -> bytes:
    """A PDF of the pages in order. It asks the print dialogue for no scaling and for one side of the paper."""
    from reportlab.pdfgen.canvas import Canvas

    file = BytesIO()
    letters.face(letters.PLAIN)  # else the file would name a font that it neither uses nor holds
    with _timeless():
        # 1.7 is the first version that knows all that is asked of the print dialogue below.
        version = (1, 7)
        canvas = Canvas(
            file, pageCompression=1, invariant=1, initialFontName=letters.PLAIN, lang="en", pdfVersion=version
        )
    canvas.setTitle(title)
    canvas.setAuthor(author or "")
    canvas.setSubject("sheets in real size; print at 100 %")
    canvas.setCreator("motif")
    canvas.setProducer("motif")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("Duplex", "Simplex")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    for page in pages:
        canvas.setPageSize((page.paper.full_width * POINT, page.paper.full_height * POINT))
        for placed in page.placed:
            _put(canvas, placed, page.paper.full_height)
        canvas.showPage()
    with _plain_streams():
        canvas.save()
    return file.getvalue()


@contextmanager
def _timeless() -> Iterator[None]:
    """The date that reportlab gives to files that are to be the same in every run: without this, that of an
    environment in which other things are built."""
    before = os.environ.pop("SOURCE_DATE_EPOCH", None)
    try:
        yield
    finally:
        if before is not None:
            os.environ["SOURCE_DATE_EPOCH"] = before


@contextmanager
def _plain_streams() -> Iterator[None]:
    """Compressed streams as they are: reportlab would write them in letters, which takes as long as all the rest."""
    from reportlab import rl_config

    before, rl_config.useA85 = rl_config.useA85, 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def _put(canvas: Any, placed: Placed, paper_height: float) -> None:
    canvas.saveState()
    k = placed.scale
    turn = (0.0, k, -k, 0.0) if placed.turned else (k, 0.0, 0.0, k)
    corner = (placed.x * POINT, (paper_height - placed.y) * POINT)
    canvas.addLiteral(" ".join(numbers([*turn, *corner], _DIGITS)) + " cm")
    window = placed.window
    if window is not None:
        sides = [window.left * POINT, -window.bottom * POINT, window.width * POINT, window.height * POINT]
        canvas.addLiteral(" ".join(numbers(sides, _DIGITS)) + " re W n")
    state = ""
    for mark in chain(placed.sketch.below, placed.sketch.marks):
        if window is not None and not mark.box.meets(window):
            continue
        if isinstance(mark, TextMark):
            state = ""
            _write(canvas, mark)
            continue
        if mark.state != state:
            canvas.addLiteral(mark.state)
            state = mark.state
            if k < 1 and mark.weight:
                canvas.addLiteral(f"{numbers([_picture_weight(mark, k)], _DIGITS)[0]} w")
        canvas.addLiteral(f"{mark.data} {mark.paint}")
    canvas.restoreState()


def _picture_weight(mark: PathMark, scale: float) -> float:
    """In a picture lines grow thinner with it, but slowly, and not beyond what prints; before the scale, in points."""
    return max(mark.weight * math.sqrt(scale), _LEAST_IN_PICTURES) / scale * POINT


def _write(canvas: Any, mark: TextMark) -> None:
    if mark.halo is not None:
        canvas.addLiteral(mark.halo)
    canvas.addLiteral(f"{mark.colour} rg")
    letters.face(mark.face)
    across, down = math.cos(math.radians(mark.turned)), math.sin(math.radians(mark.turned))
    text = canvas.beginText()
    text.setTextTransform(across, -down, down, across, mark.x * POINT, -mark.y * POINT)
    text.setFont(mark.face, mark.size * POINT)
    text.setTextRenderMode(0 if mark.halo is None else _FILL_AND_STROKE)
    text.textOut(mark.words)
    canvas.drawText(text)
    if mark.halo is not None:
        canvas.addLiteral("0 Tr")  # reportlab takes filling for granted in every text object
