"""``motif sheets``: all the sheets of a piece in the order in which they are used, as one PDF."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from itertools import chain
from typing import TypeAlias

from motif.laying.piece import LaidPiece
from motif.outputs.method.setting_out import origin
from motif.outputs.numbers import Unit
from motif.outputs.printed import cover, disc, girths, order, outlines, pdf, wall_strip
from motif.outputs.printed.cover import Entry
from motif.outputs.printed.flat import Flats, flats
from motif.outputs.printed.flat_map import draw_map
from motif.outputs.printed.girths import Girth
from motif.outputs.printed.packing import Packed, pack
from motif.outputs.printed.pages import Page, number_pages
from motif.outputs.printed.paper import Paper, PaperName, paper_of
from motif.outputs.printed.parts import Part
from motif.outputs.printed.tiles import Tiling, tile
from motif.outputs.sheets import MISFIT

#: A disc on more sheets than this is left out.
_MOST_OF_DISC = 4

#: So often the front is set anew until the numbers on it are right, the second half of them without any in the order
#: of work.
_MOST_TRIES = 8

#: What draws something in pieces, its joins lettered from an index on: the pieces, and how many joins they have.
_Draw: TypeAlias = Callable[[int], tuple[list[Part], int]]


def document(
    piece: LaidPiece,
    unit: Unit = "mm",
    paper: PaperName = "a4",
    rings: Sequence[int] | None = None,
    misfit: float = MISFIT,
) -> bytes:
    """The sheets of ``piece`` as a PDF.

    ``rings`` are those that get a girth strip, in every band that has them, and all where none is named; without
    it the start, the end and the widest do. Flat sheets keep the ``misfit`` (mm).
    Raises ``sheets.CannotUnrollError``."""
    title = f"{piece.description or piece.name}, sheets"
    return pdf.document(pages(piece, unit, paper_of(paper), rings, misfit), title, piece.by)


def pages(
    piece: LaidPiece, unit: Unit, paper: Paper, rings: Sequence[int] | None, misfit: float = MISFIT
) -> list[Page]:
    """All pages, numbered, the cover first."""
    strips, remarks = girths.girths(piece, rings)
    flat = flats(piece, paper, unit, misfit)
    packed, tiles = _packed(_setting_out(piece, strips, paper, unit), flat, paper)
    made, work = _in_front(piece, unit, paper, packed, remarks, misfit)
    where = {id(part): n for n, one in enumerate(packed, len(made) + len(work) + 1) for part in one.parts}
    parted = [one.parts for one in flat.parted]
    draw_map(flat.guide, flat.on_map, [[where[id(part)] for part in one] for one in (*parted, *tiles)])
    every = [*made, *work, *(one.page for one in packed)]
    number_pages(every, piece.name, unit)
    return every


def _in_front(
    piece: LaidPiece, unit: Unit, paper: Paper, packed: Sequence[Packed], remarks: Sequence[str], misfit: float
) -> tuple[list[Page], list[Page]]:
    """The cover and the order of work. Both name the sheets behind them, which their own length moves on."""
    lengths = 1, 0
    for tries in range(_MOST_TRIES):
        behind = _on_sheets([one.titles for one in packed], sum(lengths))
        work = order.pages(piece, paper, unit, behind if tries < _MOST_TRIES // 2 else {}, misfit)
        listed = {order.TITLE: range(lengths[0] + 1, sum(lengths) + 1), **behind}
        made = cover.pages(piece, paper, unit, _entries(piece, listed), remarks)
        if (len(made), len(work)) == lengths:
            break
        lengths = len(made), len(work)
    return made, work


def _packed(setting_out: Sequence[_Draw], flat: Flats, paper: Paper) -> tuple[list[Packed], list[list[Part]]]:
    """The parts on pages, first those for ``setting_out``, then the flat sheets; and the tiles of these.

    Joins are lettered right through, in the order in which the pages show what they join. Letters take no room,
    so where that is not the order given, everything is drawn and packed again and lies as before."""
    draws: list[_Draw] = [
        *setting_out,
        *(partial(_one, part) for part in (flat.guide.part, *flat.whole)),
        *(partial(_one, part) for one in flat.parted for part in one.parts),
        *(partial(_tiles, one.tiling) for one in flat.tiled),
    ]
    lettered = list(range(len(draws)))
    while True:
        drawn: dict[int, list[Part]] = {}
        joins = 0
        for k in lettered:
            drawn[k], more = draws[k](joins)
            joins += more
        every = [drawn[k] for k in range(len(draws))]
        groups = every[: len(setting_out)], every[len(setting_out) :]
        packed = pack([list(chain.from_iterable(group)) for group in groups], paper)
        place = {id(part): n for n, part in enumerate(chain.from_iterable(one.parts for one in packed))}
        shown = sorted(lettered, key=lambda k: place[id(drawn[k][0])])
        if [k for k in shown if len(drawn[k]) > 1] == [k for k in lettered if len(drawn[k]) > 1]:
            return packed, every[len(every) - len(flat.tiled) :]
        lettered = shown


def _setting_out(piece: LaidPiece, strips: Sequence[Girth], paper: Paper, unit: Unit) -> list[_Draw]:
    """The parts for setting out."""
    draws: list[_Draw] = [partial(_strip, strip, piece, paper, unit) for strip in strips]
    draws.append(partial(_wall_strip, piece, paper, unit))
    wheel = disc.part(piece, paper, unit)
    for part in (*([] if wheel is None else [wheel]), *outlines.parts(outlines.shapes(piece), piece, unit)):
        if part.fits(paper):
            draws.append(partial(_one, part))
            continue
        tiling = tile(part, paper, [], [part.box])
        if part is wheel and len(tiling.windows) > _MOST_OF_DISC:
            continue  # so much paper is not worth it, and no banding wheel carries it
        draws.append(partial(_tiles, tiling))
    return draws


def _strip(strip: Girth, piece: LaidPiece, paper: Paper, unit: Unit, first_join: int) -> tuple[list[Part], int]:
    sections = girths.parts(strip, piece.form, paper, unit, first_join)
    return sections, len(sections) - 1


def _wall_strip(piece: LaidPiece, paper: Paper, unit: Unit, first_join: int) -> tuple[list[Part], int]:
    sections = wall_strip.parts(piece, paper, unit, first_join)
    return sections, len(sections) - 1


def _tiles(tiling: Tiling, first_join: int) -> tuple[list[Part], int]:
    return tiling.tiles(first_join), len(tiling.joins)


def _one(part: Part, _: int) -> tuple[list[Part], int]:
    return [part], 0


def _on_sheets(sheets: Sequence[Sequence[str]], before: int) -> dict[str, list[int]]:
    """The numbers of the sheets with each kind of thing, ``before`` of which come first."""
    where: dict[str, list[int]] = {}
    for n, titles in enumerate(sheets, before + 1):
        for title in titles:
            where.setdefault(title, []).append(n)
    return where


def _entries(piece: LaidPiece, where: Mapping[str, Sequence[int]]) -> list[Entry]:
    """The list of the sheets behind the cover, by what is on each: every kind in the order of use."""
    return [Entry(title, tuple(where[title]), use) for title, use in _uses(piece).items() if title in where]


def _uses(piece: LaidPiece) -> dict[str, str]:
    """How each kind of sheet is used, in the order of use."""
    inside = piece.form.side == "inside"
    start = origin(piece)
    if inside:
        centring = "its foot even between the dashed circles"
        upward = "up the outside with a set square, over the rim and down the inside"
        laying = "lay the strip inside the pot, against the wall"
    else:
        on_circle = "the foot on the heavy circle or even between the dashed ones"
        centring = on_circle if start == "the foot" else "even between the dashed circles"
        upward = "up the wall with a set square"
        laying = "wrap the strip round the pot"
    above = "the wall’s own lowest point" if inside or start != "the foot" else "the foot"
    return {
        order.TITLE: "What to do, in this order.",
        "turntable disc": (
            f"Stand the pot on its middle, {centring}, and bring each line {upward}. The arrow is the starting mark."
        ),
        "girth strips": (
            f"In place of the tape when the pot is divided. Cut along the lines and {laying}, its heavy edge on the "
            "ring, printed side to you, the arrow on the starting mark: where the start meets the dashed line at the "
            "tab, the strip is closed. If they part by a hair, share it out. Long ticks are verticals, short ones the "
            "middles of columns; a bar along the edge marks the columns that are worked. Strips in parts: lay A on A."
        ),
        "wall strip": (
            f"Hold the heavy edge up the wall on a vertical, the lowest end at {start}, and mark the rings. The last "
            f"figures are heights above {above}, for a level. Ticks with a dot are rows of marks."
        ),
        "flat sheets": (
            "Paper that lies on the wall, with the whole pattern: cut out, hold to the clay and prick through."
        ),
        "outlines": "Cut out and draw round, or lay over the tool to check it.",
    }
