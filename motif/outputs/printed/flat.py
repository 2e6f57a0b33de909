"""The flat sheets on paper: several on a page where they fit, else over pages that are joined, with a map of them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.clip import Window
from motif.outputs.cutout import Cutout, cut_out
from motif.outputs.drawn import Drawer, Sheet
from motif.outputs.ink import Corner
from motif.outputs.likeness import alike
from motif.outputs.method.where import named
from motif.outputs.numbers import Unit
from motif.outputs.openings import Openings
from motif.outputs.pen import Floats
from motif.outputs.printed.flat_map import Guide, Mapped, guide_page
from motif.outputs.printed.inked import NARROWEST, Inked, Said, ink_row
from motif.outputs.printed.packing import GAP
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sectors import MOST_PARTS, Arc, may_fit, most_even, worked_arcs
from motif.outputs.printed.tiles import Tiling, tile
from motif.outputs.putting_on import introduction
from motif.outputs.sheets import printed_layout

#: Of more kinds of gores than this nothing is said.
_MOST_KINDS = 4
#: Of the little pictures, into so many steps a bent edge is drawn.
_STEPS = 24
#: From a whole turn off by rounding (radians).
_WHOLE = 1e-9
_TILES = (
    "Sheets too large for the paper come in pieces: cut one of two neighbours along the dash-dotted line, lay it on "
    "the other so that the crosses of one letter meet, and tape them before you cut out the sheet."
)
_PARTS = (
    "Sheets longer than the paper come in parts: cut each out, lay the left edge of the next along the full line "
    "beside the tab that names it, so that rings meet, and tape them."
)
_MAP = "The little pictures say on which printed sheets they are."


@record
class Flats:
    """The flat sheets of a piece. ``guide`` says how they are used and holds a map; ``whole`` sheets fit the paper;
    the others are ``parted`` or ``tiled`` and ``on_map``, in that order."""

    guide: Guide
    whole: tuple[Part, ...]
    parted: tuple[Parted, ...]
    tiled: tuple[Tiled, ...]
    on_map: tuple[Mapped, ...]


@record
class Parted:
    """A cone in parts that are cut from edge to edge."""

    parts: tuple[Part, ...]
    mapped: Mapped


@record
class Tiled:
    """Flat sheets too large for the paper, in tiles."""

    tiling: Tiling
    mapped: Mapped


def flats(piece: LaidPiece, paper: Paper, unit: Unit, misfit: float) -> Flats:
    """The sheets that fit the wall best, laid on paper. Raises ``sheets.CannotUnrollError``."""
    layout = printed_layout(piece, misfit)
    cutouts = cut_out(piece, layout)
    made = _Making(piece, paper, unit, len(cutouts))
    for cutout in cutouts:
        made.take(cutout)
    made.take_tall()
    made.say_alike(cutouts)
    said = introduction(piece, layout, unit, closing=made.closing, command="sheets")
    on_map = (*(one.mapped for one in made.parted), *(one.mapped for one in made.tiled))
    guide = guide_page(piece, [*said, *made.remarks()], on_map, paper)
    return Flats(guide, tuple(made.whole), tuple(made.parted), tuple(made.tiled), on_map)


class _Making:
    """The flat sheets of a piece as they are laid on paper one after the other."""

    def __init__(self, piece: LaidPiece, paper: Paper, unit: Unit, count: int) -> None:
        self._piece, self._paper, self._unit, self._count = piece, paper, unit, count
        self._drawer = Drawer(piece)
        self.whole: list[Part] = []
        self.parted: list[Parted] = []
        self.tiled: list[Tiled] = []
        self._tall: list[Cutout] = []
        self._left_out: list[int] = []
        self._alike: list[list[int]] = []
        self._open: list[int] = []

    @property
    def closing(self) -> bool:
        """Whether every cone goes all round the pot."""
        return not self._open

    def take(self, cutout: Cutout) -> None:
        """Lay a flat sheet on paper, in whatever way it has room."""
        sheet = cutout.drawn.sheet
        if cutout.is_plain and self._count > 1:
            self._left_out.append(sheet.number)
            return
        arcs = [] if sheet.cone is None else worked_arcs(self._piece, sheet)
        if arcs and arcs != [(sheet.window.from_angle, sheet.window.to_angle)]:
            parted = self._parted(cutout, arcs)
            if parted is not None:
                self._open.append(sheet.number)
                self.parted.append(parted)
                return
        inked = self._inked([cutout])
        lying = inked.lies(self._paper)
        if lying is not None:
            self.whole.append(inked.part(lying))
            return
        parted = self._parted(cutout, arcs) if arcs else None
        if parted is not None:
            self.parted.append(parted)
        elif sheet.is_gore and inked.box.width <= self._paper.width:
            self._tall.append(cutout)
        else:
            self._tile(inked)

    def take_tall(self) -> None:
        """Lay the sheets that are narrow and taller than the paper beside one another."""
        for row in _rows(self._tall, self._paper):
            self._tile(self._inked(row))

    def say_alike(self, cutouts: Sequence[Cutout]) -> None:
        """Find the gores that carry the same, each at its place from its middle line."""
        kinds: list[tuple[Cutout, list[int]]] = []
        for cutout in (c for c in cutouts if c.drawn.sheet.is_gore and not c.is_plain):
            like = next((numbers for first, numbers in kinds if alike(first.drawn, cutout.drawn)), None)
            if like is None:
                kinds.append((cutout, [cutout.drawn.sheet.number]))
            else:
                like.append(cutout.drawn.sheet.number)
            if len(kinds) > _MOST_KINDS:
                return
        self._alike = [numbers for _, numbers in kinds if len(numbers) > 1]

    def remarks(self) -> list[str]:
        """What to know about sheets that are not there whole."""
        said = []
        if self._left_out:
            said.append(f"{_sheets(self._left_out)} would carry nothing and {_is(self._left_out)} left out.")
        if self._open:
            said.append(
                f"Of {_sheets(self._open).lower()} there is only paper for the columns that are worked: lay it on the "
                "verticals that it names."
            )
        said += [
            f"{_sheets(numbers)} carry the same: to save paper print one of them and move it on, from place to place."
            for numbers in self._alike
        ]
        said += [_PARTS] if any(len(one.parts) > 1 for one in self.parted) else []
        said += [_TILES] if self.tiled else []
        return [*said, _MAP] if self.parted or self.tiled else said

    def _inked(self, row: Sequence[Cutout], part: str = "", *, brief: bool = False) -> Inked:
        """Sheets side by side with their words; a ``brief`` one says no more than what it is."""
        said = [
            Said(
                f"{self._piece.name}: flat sheet {cutout.drawn.sheet.number} of {self._count}{part}",
                cutout.where() if brief else cutout.words(self._unit),
            )
            for cutout in row
        ]
        return ink_row(row, said)

    def _tile(self, inked: Inked) -> None:
        tiling = tile(inked.part(False), self._paper, inked.outlines, inked.words)
        frames = [window.corners() for window in tiling.windows]
        middles = tuple(corners.mean(axis=0) for corners in frames)
        name = f"flat {named('sheet', inked.numbers)}"
        self.tiled.append(Tiled(tiling, Mapped(name, inked.outlines, tuple(frames), middles)))

    def _parted(self, cutout: Cutout, arcs: Sequence[Arc]) -> Parted | None:
        """A cone in the fewest parts that have room; None where no reasonable number does."""
        sheet = cutout.drawn.sheet
        openings = Openings.of(self._piece, sheet.window.from_tape, sheet.window.to_tape)
        found: list[Cutout] = []
        for arc in arcs:
            ways = (
                self._cut(way, len(found))
                for count in range(1, MOST_PARTS + 1)
                if may_fit(sheet, arc, count, self._paper)
                for way in most_even(openings, sheet, arc, count)
            )
            fitting = next((way for way in ways if self._laid(way, len(found), MOST_PARTS) is not None), None)
            if fitting is None:
                return None
            found += fitting
        parts = self._laid(found, 0, len(found))
        if parts is None:
            return None
        windows = [part.drawn.sheet.window for part in found]
        outlines = tuple(_on_map(sheet, w, w.from_tape, w.to_tape) for w in windows)
        middles = tuple(_on_map(sheet, w, (w.from_tape + w.to_tape) / 2)[_STEPS // 2] for w in windows)
        made = tuple(inked.part(lying) for inked, lying in parts)
        return Parted(made, Mapped(f"flat sheet {sheet.number}", outlines, (), middles))

    def _cut(self, way: Sequence[Sheet], before: int) -> list[Cutout]:
        """The parts of one arc, the first of them number ``before`` + 1; each tab says what comes onto it."""
        closes = len(way) > 1 and way[-1].window.to_angle - way[0].window.from_angle > math.tau - _WHOLE
        ontos = [f"part {before + k + 1}" for k in range(1, len(way))]
        last = "part 1" if closes else None
        return [
            Cutout.of(self._piece, self._drawer.sheet(one), onto) for one, onto in zip(way, [*ontos, last], strict=True)
        ]

    def _laid(self, parts: Sequence[Cutout], before: int, count: int) -> list[tuple[Inked, bool]] | None:
        """Parts ``before`` + 1 and on of ``count``, each with whether it lies; None where one has no room."""
        laid: list[tuple[Inked, bool]] = []
        for k, part in enumerate(parts, before + 1):
            inked = self._inked([part], f", part {k} of {count}" if count > 1 else "", brief=k > 1)
            lying = inked.lies(self._paper)
            if lying is None:
                return None
            laid.append((inked, lying))
        return laid


def _on_map(sheet: Sheet, window: Window, *tapes: float) -> Floats:
    """Places along a window's levels, there and back, as they lie on the whole sheet, y down."""
    angles = np.linspace(window.from_angle, window.to_angle, _STEPS + 1)
    ways = [np.column_stack([angles[:: -1 if k else 1], np.full(_STEPS + 1, tape)]) for k, tape in enumerate(tapes)]
    return Corner(0.0, 0.0)(sheet.place(np.vstack(ways)))


def _sheets(numbers: Sequence[int]) -> str:
    """``Flat sheet 3``, ``Flat sheets 1 and 4``, ``Flat sheets 2 to 5``."""
    return f"Flat {named('sheet', numbers)}"


def _is(numbers: Sequence[int]) -> str:
    return "is" if len(numbers) == 1 else "are"


def _rows(cutouts: Sequence[Cutout], paper: Paper) -> list[list[Cutout]]:
    """Tall sheets in rows as wide as the paper, which are as wide alike as may be."""
    if not cutouts:
        return []
    widest = max(max(float(c.high[0] - c.low[0]), NARROWEST) for c in cutouts)
    most = max(1, int((paper.width + GAP) / (widest + GAP)))
    rows = math.ceil(len(cutouts) / most)
    each = math.ceil(len(cutouts) / rows)
    return [list(cutouts[k : k + each]) for k in range(0, len(cutouts), each)]
