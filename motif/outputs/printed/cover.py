"""The first sheet: the pot, what the sheets are for, how to check the print, and a list of what follows."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.cautions import LASER, cautions
from motif.outputs.ink import about, check_bar, many
from motif.outputs.method.setting_out import origin
from motif.outputs.numbers import MM_PER_UNIT, Unit, length, length_with_unit, number
from motif.outputs.printed.flow import Flow
from motif.outputs.printed.pages import BODY, HEADING, LEADING, SMALL, Page, Placed
from motif.outputs.printed.paper import MARGIN, Paper
from motif.outputs.printed.sketch import Sketch
from motif.outputs.seen import look
from motif.outputs.view import OnPage, ink_view, usual_tilt

#: Room for the picture of the pot: its width in mm, and its height as a part of the room for drawing.
_PICTURE_WIDE, _PICTURE_TALL = 84.0, 0.3
_GUTTER = 8.0
#: So many bands are told of.
_MOST_BANDS = 5
#: Where the list's words begin, to the right of the numbers of the sheets.
_TITLES = 18.0

_CHECK = (
    "Print at 100 % (“actual size”), on one side of the paper, never fitted to the page, and lay a ruler on both bars."
)
_OFF = (
    "If they are off by more than half a millimetre, do not cut anything: turn off every scaling in the print dialogue "
    "and print this sheet again. Still off? Divide: a bar of 100 mm that measures 98 mm comes right when everything is "
    "printed at 102 % (100 ÷ 98).",
    "Paper grows when it is damp: cut, join and check everything dry. Strips stay dry (clear tape keeps them so on a "
    "wet bench); flat sheets may be damped when they go on the clay, not before.",
)
#: What to do if the bars are off stands to the right of them.
_BESIDE_BARS = 108.0


@record
class Entry:
    """A line of the list: what is on which sheets (from 1), and how it is used."""

    title: str
    sheets: tuple[int, ...]
    use: str


def pages(piece: LaidPiece, paper: Paper, unit: Unit, entries: Sequence[Entry], remarks: Sequence[str]) -> list[Page]:
    """The cover, and a second sheet where the list is long. ``remarks`` say what was left out and why."""
    flow = Flow(paper, "cover")
    flow.title(piece.description or piece.name)
    flow.y += 0.5
    flow.words(about(piece))
    flow.rule()
    top = flow.y
    low = _picture(flow, piece, _PICTURE_TALL * paper.height)
    flow.y = top
    _facts(flow, piece, unit)
    flow.y = max(flow.y, low) + 1.0
    flow.heading("Check the print")
    flow.words(_CHECK)
    top = flow.y + 1.0
    bars = check_bar(flow.pen, 0.0, top + 5.0, 100.0, 10, "100 mm")
    bars = check_bar(flow.pen, 0.0, bars + 5.0, 4 * 25.4, 8, "4 in")
    flow.y = top
    for words in _OFF:
        flow.words(words, SMALL, indent=_BESIDE_BARS)
        flow.y += 0.8
    flow.y = max(flow.y, bars)
    flow.heading("The sheets: print those that you need")
    for entry in entries:
        flow.keep(2 * BODY * LEADING)
        flow.words(entry.title, indent=_TITLES, hang=_ranges(entry.sheets), bold=True)
        flow.words(entry.use, SMALL, indent=_TITLES)
        flow.y += 0.6
    for words in remarks:
        flow.words(words, SMALL)
    warnings = (LASER, *cautions(piece))
    flow.space(1.5)
    flow.boxed([f"Take care: {words}" for words in warnings], SMALL)
    return flow.pages


def _picture(flow: Flow, piece: LaidPiece, tallest: float) -> float:
    """The pot with the starting mark in front, as large as fits; returns the y below it and its caption."""
    seen = look(piece, 0.0, usual_tilt(piece))
    low, high = seen.box
    wide, tall = (high - low).tolist()
    scale = min(1.0, _PICTURE_WIDE / wide, tallest / tall)
    left = (_PICTURE_WIDE - wide * scale) / 2
    sketch = Sketch()
    ink_view(sketch, seen, OnPage(-float(low[0]), float(high[1])))
    flow.pages[-1].placed.append(Placed(sketch, MARGIN + left, MARGIN + flow.y, scale=scale))
    base = flow.y + tall * scale + 1.0 + SMALL
    caption = f"the starting mark in front, drawn at {number(100 * scale, 0)} % of its size"
    flow.pen.text(_PICTURE_WIDE / 2, base, caption, SMALL, anchor="middle")
    return base + 1.5


def _facts(flow: Flow, piece: LaidPiece, unit: Unit) -> None:
    """Stage, shrinkage, sizes and bands, to the right of the picture."""
    left = _PICTURE_WIDE + _GUTTER
    wall = piece.form.wall
    _, widest = wall.widest(0.0, wall.length)
    heights = wall.height(np.linspace(0.0, wall.length, 400))

    def across(radius: float) -> str:
        return length_with_unit(2 * radius, unit)

    flow.words(f"For {piece.stage} clay", HEADING, indent=left, bold=True)
    flow.y += 0.6
    facts = [_shrinkage(piece, unit)]
    foot = f"foot {across(float(wall.radius(0.0)))}, " if origin(piece) == "the foot" else ""
    facts.append(
        f"{length_with_unit(float(np.ptp(heights)), unit)} high, {across(widest)} across at its widest; {foot}rim "
        f"{across(float(wall.radius(wall.length)))} across; wall {length_with_unit(float(wall.length), unit)} by tape "
        f"from {origin(piece)}, seen from the {piece.form.side}."
    )
    for band in piece.bands[:_MOST_BANDS]:
        columns = f"{many(band.columns, 'column')} by " if band.columns else "columns of each row’s own, "
        facts.append(
            f"Band {band.number}, {band.description or band.motif}: {columns}{many(band.rows, 'row')}, tape "
            f"{length(band.from_tape, unit)} to {length_with_unit(band.to_tape, unit)}."
        )
    if len(piece.bands) > _MOST_BANDS:
        facts.append(f"And {many(len(piece.bands) - _MOST_BANDS, 'band')} more.")
    for fact in facts:
        flow.words(fact, indent=left)
        flow.y += 1.2


def _shrinkage(piece: LaidPiece, unit: Unit) -> str:
    """What the sheets take the clay to do."""
    said = f"Everything here is in real size for {piece.stage} clay."
    if piece.dimensions_stage != piece.stage:
        said += (
            f" Lengths were written for {piece.dimensions_stage} clay; by {piece.stage} they are "
            f"{number(piece.scale, 4)} times as long."
        )
    wet = piece.wet_scale
    if piece.stage == "wet":
        return said
    if wet is None:
        return f"{said} The text does not say how the clay has shrunk by then, so nothing is given for wet clay."
    bar = 4 * MM_PER_UNIT["in"] if unit == "in" else 100.0
    clay = f"The clay “{piece.clay}”" if piece.clay else "The clay"
    return (
        f"{said} {clay} has shrunk {number(100 * (1 - 1 / wet), 2)} % by then: "
        f"{length_with_unit(bar, unit)} here were {length_with_unit(bar * wet, unit)} when wet."
    )


def _ranges(sheets: Sequence[int]) -> str:
    """2, 4–6."""
    runs: list[list[int]] = []
    for n in sheets:
        if runs and n == runs[-1][1] + 1:
            runs[-1][1] = n
        else:
            runs.append([n, n])
    return ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in runs)
