"""What the tests of laying share: forms with round numbers, and short ways to lay a text and look at it.

On ``CAN`` a millimetre of tape round the pot is a degree, so flat geometry in (angle in degrees, tape in mm)
is geometry on the clay.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import pi

import numpy as np

import motif
from motif.api import Document
from motif.laying.piece import LaidBand, LaidPath, LaidPiece

#: a cylinder 360 mm round and 200 mm tall
CAN = "form can { profile straight { at 0 mm around 360 mm at 200 mm around 360 mm } }"
CAN_RADIUS = 180 / pi
#: a cone from radius 60 mm to radius 20 mm, 30 mm tall: wall 50 mm, dr/ds = −0.8, height 3/5 of tape
CONE = "form cone { profile straight { at 0 mm across 120 mm at 30 mm across 40 mm } }"
#: a flat plate, radius = tape, from its middle to 100 mm
PLATE = "form plate { profile straight by tape { at 0 mm across 0 mm at 100 mm across 200 mm } }"
#: a waisted stack of two cones: radius 60 → 40 → 60 mm, each 21 mm tall and 29 mm of tape (20² + 21² = 29²)
WAIST = "form waist { profile straight { at 0 mm across 120 mm at 21 mm across 80 mm corner at 42 mm across 120 mm } }"


def ball(radius: float, low: float, high: float, steps: int = 128) -> str:
    """A form that is a ball between two latitudes (degrees), through ``steps`` + 1 measured levels.

    The spline leaves the sphere by less than 1e-5 mm at these steps, which the tests of the wall hold."""
    at = np.radians(np.linspace(low, high, steps + 1))
    heights = radius * (np.sin(at) - np.sin(at[0]))
    levels = " ".join(f"at {h:.9f} mm across {2 * radius * np.cos(x):.9f} mm" for h, x in zip(heights, at, strict=True))
    return f"form ball {{ profile smooth {{ {levels} }} }}"


@dataclass(frozen=True)
class Said:
    """A message as a potter meets it: code, line and column from 1, the words underlined, and what is said."""

    code: str
    line: int
    column: int
    underlined: str
    words: str
    advice: str


def said(document: Document) -> list[Said]:
    found = []
    for m in document.messages.sorted():
        line, column = (0, 0) if m.span is None else m.span.begin_position
        found.append(Said(m.code, line, column, "" if m.span is None else m.span.text, m.text, m.advice or ""))
    return found


def errors(text: str) -> list[Said]:
    """The errors of a text, all its pieces laid."""
    document = motif.loads(text)
    for name in document.pieces:
        document.lay(name)
    severity = {m.code for m in document.messages.sorted() if m.severity == "error"}
    return [s for s in said(document) if s.code in severity]


def the_error(text: str) -> Said:
    """The one error of a text."""
    found = errors(text)
    assert len(found) == 1, found
    return found[0]


def warnings(text: str) -> list[Said]:
    """The warnings of a text that has no errors."""
    document = motif.loads(text)
    for name in document.pieces:
        assert document.lay(name) is not None, said(document)
    return said(document)


def lay(text: str, name: str | None = None) -> LaidPiece:
    """The first, or the named, piece of a text that has no errors."""
    document = motif.loads(text)
    laid = document.lay(name or document.pieces[0])
    assert laid is not None, said(document)
    return laid


def source(body: str, band: str = "from foot to rim", form: str = CAN, before: str = "", piece: str = "") -> str:
    """A text with one motif ``m`` in one band of one piece ``p``."""
    name = form.split()[1]
    return f"{form}\n{before}\nmotif m {{ {body} }}\npiece p {{ form {name} band m {band} {piece} }}\n"


def lay_band(body: str, band: str = "from foot to rim", form: str = CAN, before: str = "", piece: str = "") -> LaidBand:
    """One motif laid on one form."""
    return lay(source(body, band, form, before, piece)).bands[0]


def marks(band: LaidBand) -> list[tuple[float, float]]:
    """(angle in degrees, tape) of the point marks in the order made, rounded to 1e-6."""
    return [
        (round(float(np.degrees(a)) % 360, 6) % 360, round(float(s), 6) + 0.0)
        for a, s in zip(band.points.angle, band.points.tape, strict=True)
    ]


def paths(band: LaidBand | LaidPiece, technique: str | None = None) -> list[LaidPath]:
    return [p for p in band.paths if technique in (None, p.work.technique)]


def lengths(band: LaidBand | LaidPiece, technique: str | None = None) -> list[float]:
    return [p.length for p in paths(band, technique)]


def ends(path: LaidPath) -> tuple[float, float, float, float]:
    """Angle (degrees, running on) and tape of the first and the last point."""
    (a, s), (b, t) = path.points[0], path.points[-1]
    return (round(float(np.degrees(a)), 6), round(float(s), 6), round(float(np.degrees(b)), 6), round(float(t), 6))


def total(numbers: Iterable[float]) -> float:
    return float(sum(numbers))
