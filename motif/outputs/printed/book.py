"""``motif sheets``: all the sheets of a piece in the order in which they are used, as one PDF."""

from __future__ import annotations

from collections.abc import Sequence

from motif.laying.piece import LaidPiece
from motif.outputs.numbers import Unit
from motif.outputs.printed import cover, disc, girths, outlines, pdf, wall_strip
from motif.outputs.printed.cover import Entry
from motif.outputs.printed.pages import Page, number_pages
from motif.outputs.printed.paper import Paper, PaperName, paper_of
from motif.outputs.printed.parts import Part, pack
from motif.outputs.printed.tiles import tile

_USES = {
    "turntable disc": (
        "Stand the pot on its middle, the foot on the heavy circle or even between the dashed ones, and bring each "
        "line up the wall with a set square. The arrow is the starting mark."
    ),
    "girth strips": (
        "Cut along the lines. Wrap the strip round the pot with its heavy edge on the ring, printed side to you, the "
        "arrow on the starting mark: where the start meets the dashed line at the tab, the strip is closed. If they "
        "part by a hair, share it out. Long ticks are verticals, short ones the middles of columns; a bar along the "
        "edge marks the columns that are worked. Strips in pieces: lay A on A."
    ),
    "wall strip": (
        "Hold the heavy edge up the wall on a vertical, the lowest end at the foot, and mark the rings. The last "
        "figures are heights above the foot for a level. Ticks with a dot are rows of marks."
    ),
    "outlines": "Cut out and draw round, or lay over the tool to check it.",
}


def document(piece: LaidPiece, unit: Unit = "mm", paper: PaperName = "a4", rings: Sequence[int] | None = None) -> bytes:
    """The sheets of ``piece`` as a PDF.

    ``rings`` are those that get a girth strip, in every band that has them, and all where none is named; without
    it the start, the end and the widest do. Raises ``sheets.CannotUnrollError``."""
    title = f"{piece.description or piece.name}, sheets"
    return pdf.document(pages(piece, unit, paper_of(paper), rings), title, piece.by)


def pages(piece: LaidPiece, unit: Unit, paper: Paper, rings: Sequence[int] | None) -> list[Page]:
    """All pages, numbered, the cover first."""
    inner, remarks = _inner(piece, unit, paper, rings)
    front: list[Page] = [Page.empty(paper, "cover")]
    while True:
        made = cover.pages(piece, paper, unit, _entries(inner, len(front)), remarks)
        if len(made) <= len(front):
            break
        front = made  # the list itself took another sheet, so everything moves on by one
    every = [*made, *(page for page, _ in inner)]
    number_pages(every, piece.name)
    return every


def _inner(
    piece: LaidPiece, unit: Unit, paper: Paper, rings: Sequence[int] | None
) -> tuple[list[tuple[Page, tuple[str, ...]]], list[str]]:
    """The pages behind the cover with what is on each, and remarks for the cover."""
    inside = piece.form.side == "inside"
    joins = 0
    large: list[Part] = []
    small: list[Part] = []
    wheel = disc.part(piece, paper, unit)
    if wheel is not None:
        (small if wheel.fits(paper) else large).append(wheel)
    strips, remarks = girths.girths(piece, rings)
    around = girths.parts(strips, paper, unit, inside)
    joins += len(around) - len(strips)
    upward = wall_strip.parts(piece, paper, unit, joins)
    joins += len(upward) - 1
    small += [*around, *upward]
    for one in outlines.parts(piece, outlines.shapes(piece), unit):
        (small if one.fits(paper) else large).append(one)
    made: list[tuple[Page, tuple[str, ...]]] = []
    for part in large:
        tiling = tile(part, paper, [part.box.corners()])
        made += [(page, (part.title,)) for page in tiling.pages(paper, joins)]
        joins += len(tiling.joins)
    return [*made, *pack(small, paper)], remarks


def _entries(inner: Sequence[tuple[Page, tuple[str, ...]]], before: int) -> list[Entry]:
    """The list of the sheets: each kind where it first comes, with all its sheets."""
    sheets: dict[str, list[int]] = {}
    for n, (_, titles) in enumerate(inner, before + 1):
        for title in titles:
            sheets.setdefault(title, []).append(n)
    return [Entry(title, tuple(where), _USES[title]) for title, where in sheets.items()]
