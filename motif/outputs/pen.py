"""What ink needs of a surface: lines, polylines, circles and text, in millimetres, whatever it ends up as.

Drawings (``svg.py``) and printed pages are two such surfaces, so that what is drawn once can be put on either.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SANS = "DejaVu Sans, Verdana, sans-serif"
SERIF = "DejaVu Serif, Georgia, serif"

#: NCName of Namespaces in XML 1.0, kept to the characters that every reader agrees on.
_NOT_NAME = re.compile(r"[^A-Za-z0-9_.\-\u00c0-\u00d6\u00d8-\u00f6\u00f8-\u02ff\u0370-\u037d\u037f-\u1fff]")
_NAME_START = re.compile(r"[A-Za-z_\u00c0-\u00d6\u00d8-\u00f6\u00f8-\u02ff\u0370-\u037d\u037f-\u1fff]")


class Pen(Protocol):
    """A place to draw on: x to the right, y down, everything in millimetres.

    ``style`` holds SVG's presentation attributes, with underscores for hyphens: ``stroke``, ``stroke_width``,
    ``stroke_dasharray`` (numbers with spaces between, or ``"none"``), ``stroke_linecap``, ``stroke_linejoin``,
    ``fill``, ``fill_opacity``, ``fill_rule``, ``font_family`` (``SANS`` or ``SERIF``). Colours are
    ``#rrggbb`` or ``"none"``. What a call does not say is taken from its group, and from the groups round that."""

    def group(self, name: str | None = None, **style: str | float) -> Pen:
        """A group inside this one. ``name`` (see ``xml_id``) is its id; names must differ within a drawing."""

    def lines(self, lines: Sequence[Floats], closed: bool = False, **style: str | float) -> None:
        """Several polylines, (k, 2) each, as one path; one of a single point is a dot where ends are round.

        Nothing for no lines."""

    def polyline(self, line: Floats, **style: str | float) -> None:
        """One polyline through (k, 2)."""

    def circle(self, x: float, y: float, radius: float, **style: str | float) -> None:
        """A circle about (x, y)."""

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
        """``words`` with the ``anchor`` of their baseline (start, middle, end) at (x, y).

        ``size`` is the size of type in mm, ``turned`` degrees clockwise."""


def xml_id(*words: object) -> str:
    """The words as one valid id (an NCName), joined by hyphens: ``xml_id("band", 1)`` is ``band-1``."""
    text = _NOT_NAME.sub("-", "-".join(str(w) for w in words))
    return text if _NAME_START.match(text) else "_" + text
