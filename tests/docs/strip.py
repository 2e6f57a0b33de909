"""A girth strip as a drawing, for the README: the first part of one that is printed for the tufted bottle."""

from __future__ import annotations

import math

from motif.api import load
from motif.outputs.printed.girths import TAB, WIDTH, girths, ink_section
from motif.outputs.printed.joins import cut
from motif.outputs.svg import Drawing
from tests.docs.blocks import ROOT

PATH = ROOT / "examples" / "girth-strip.svg"

#: How long a part is shown, and the white round it (mm).
_LONG, _WHITE = 150.0, 1.0


def girth_strip() -> str:
    """The strip for the ring on which the bottle's carved diamonds begin, cut as for a short sheet of paper."""
    piece = load(ROOT / "examples" / "tufted-bottle.motif").lay("tufted-bottle")
    assert piece is not None
    (strip,) = [one for one in girths(piece)[0] if one.names == ("band 2 ring 0 (start)",)]
    ticks = [a * strip.round_ / math.tau for a in strip.division.angles]
    first = cut(strip.round_, _LONG, ticks, TAB)[0]
    drawing = Drawing()
    pen = drawing.group("girth-strip", transform=f"translate({_WHITE:g} {_WHITE:g})")
    ink_section(pen, strip, first, [strip.names[0]])
    return drawing.tostring(first.end - first.start + first.over + 2 * _WHITE, WIDTH + 2 * _WHITE)
