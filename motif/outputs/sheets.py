"""Which sheets of paper a piece is unrolled onto: a rollout, gores, cones, or whatever takes fewest."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from motif.language.record import changed, record
from motif.laying.piece import LaidPiece
from motif.outputs.clip import Window
from motif.outputs.cuts import cone_cuts, worked_stretches
from motif.outputs.drawn import Chart, Sheet
from motif.outputs.numbers import Unit, fine_with_unit
from motif.outputs.once import once
from motif.outputs.openings import Openings
from motif.wall import ConeSheet, Wall, cones_needed, fewest_gores, gore_misfit, polyconic, rollout
from motif.wall.charts import MOST_GORES

Floats = NDArray[np.float64]

Flat = Literal["rollout", "gores", "cones", "fewest"]

#: The misfit (mm) that sheets stay under unless another is asked for.
MISFIT = 0.5

_TURN = 2 * math.pi


class CannotUnrollError(ValueError):
    """No sheets as asked for; the text is a sentence for a potter, ``advice`` what to do."""

    def __init__(self, reason: str, advice: str) -> None:
        super().__init__(reason)
        self.reason = reason
        self.advice = advice


@record
class Layout:
    """The sheets of one flat drawing. ``flat`` is what was made, never ``fewest``.

    ``bound`` (mm) is the misfit asked for, which a given number of gores may not keep."""

    flat: Literal["rollout", "gores", "cones"]
    sheets: tuple[Sheet, ...]
    bound: float

    @property
    def misfit(self) -> float:
        """The largest of the sheets' misfits, mm."""
        return max(s.misfit for s in self.sheets)


def lay_out(piece: LaidPiece, flat: Flat, *, gores: int | None = None, misfit: float = MISFIT) -> Layout:
    """The sheets for ``piece``.

    ``gores`` sets how many gores; without it they are the fewest that stay under ``misfit`` mm, or up to
    half as many more if those can be cut on verticals.

    Raises ``CannotUnrollError`` where no reasonable number of sheets would do.
    """
    match flat:
        case "rollout":
            return rollout_layout(piece)
        case "gores":
            return gore_layout(piece, gores or _chosen_gores(piece, misfit), misfit)
        case "cones":
            return cone_layout(piece, misfit)
        case "fewest":
            return _fewest(piece, misfit)


def printed_layout(piece: LaidPiece, misfit: float = MISFIT) -> Layout:
    """The sheets that are printed: the fewest or, of gores, up to half as many more where those can be cut on
    verticals. Raises ``CannotUnrollError``."""
    layout = lay_out(piece, "fewest", misfit=misfit)
    return lay_out(piece, "gores", misfit=misfit) if layout.flat == "gores" else layout


def rollout_layout(piece: LaidPiece) -> Layout:
    """The whole wall as one rectangle, as wide as its widest circumference."""
    wall = piece.form.wall
    _, widest = wall.widest(0.0, wall.length)
    window = Window(0.0, _TURN, 0.0, wall.length)
    sheet = Sheet(1, window, _rollout_chart(_TURN * widest, _TURN / 2), 0.0, true_size=False)
    return Layout("rollout", (sheet,), math.inf)


def gore_layout(piece: LaidPiece, count: int, misfit: float = MISFIT) -> Layout:
    """``count`` gores, cut on verticals where the number allows it; ``misfit`` (mm) is what was hoped for.

    That is where it divides the columns of a band, or is a multiple of them; the first such band
    decides, and where there is none the gores are equal and the first is cut on the first vertical.
    """
    wall = piece.form.wall
    low, high = reach(piece)
    edges = _gore_edges(piece, count)
    sheets = []
    misfits: dict[float, float] = {}
    for k, (left, right) in enumerate(pairwise(edges.tolist()), 1):
        half = round((right - left) / 2, 12)
        if half not in misfits:
            misfits[half] = gore_misfit(wall, half, low, high)
        chart = _gore_chart(wall, low, (left + right) / 2)
        sheets.append(Sheet(k, Window(left, right, low, high), chart, misfits[half]))
    return Layout("gores", tuple(sheets), misfit)


def cone_layout(piece: LaidPiece, misfit: float) -> Layout:
    """The fewest cone frusta that stay under ``misfit`` mm, from the foot end up, each cut open on vertical 1 or
    as near it as no mark is cut through.

    Long stretches of plain wall get none."""
    spans = _cone_spans(piece, worked_stretches(piece), misfit)
    if spans is None:
        raise _too_fine("cones", misfit)
    return _cones(piece, spans, misfit)


def sector(sheet: Sheet, from_angle: float, to_angle: float) -> Sheet:
    """A part of a cone's sheet from angle to angle, its middle line upright."""
    assert sheet.cone is not None
    window = Window(from_angle, to_angle, sheet.window.from_tape, sheet.window.to_tape)
    return changed(sheet, window=window, chart=_cone_chart(sheet.cone, (from_angle + to_angle) / 2))


def _cone_spans(
    piece: LaidPiece, stretches: Sequence[tuple[float, float]], misfit: float
) -> list[tuple[float, float]] | None:
    """The fewest cones from tape to tape that cover the stretches; None where no number would do."""
    spans: list[tuple[float, float]] = []
    for low, high in stretches:
        cuts = cone_cuts(piece, low, high, misfit)
        if cuts is None:
            return None
        spans += pairwise(cuts)
    return spans


def _joined(
    wall: Wall, stretches: Sequence[tuple[float, float]], misfit: float
) -> Sequence[tuple[float, float]] | None:
    """The stretches with those made one that take fewer cones, with the plain wall between them, than by themselves;
    None where no number of cones would do."""
    # By how many stretches from the foot up are covered: with how many cones, and by which stretches.
    best: list[tuple[int, tuple[tuple[float, float], ...]] | None] = [(0, ())]
    for high in (high for _, high in stretches):
        found = None
        for before, (low, _) in reversed(list(zip(best, stretches, strict=False))):
            count = cones_needed(wall, low, high, misfit)
            if before is not None and count is not None and (found is None or before[0] + count < found[0]):
                found = (before[0] + count, (*before[1], (low, high)))
        best.append(found)
    return None if best[-1] is None else best[-1][1]


def _cones(piece: LaidPiece, spans: Sequence[tuple[float, float]], misfit: float) -> Layout:
    wall = piece.form.wall
    sheets = []
    starts = {below for below, _ in spans}
    for k, (below, above) in enumerate(spans, 1):
        cone = ConeSheet.of(wall, below, above)
        start = Openings.of(piece, below, above).best(first_vertical(piece, below, above))
        sheets.append(
            Sheet(
                k,
                Window(start, start + _TURN, below, above),
                _cone_chart(cone, start + math.pi),
                cone.misfit,
                cone=cone,
                goes_on=above in starts,
            )
        )
    return Layout("cones", tuple(sheets), misfit)


def reach(piece: LaidPiece) -> tuple[float, float]:
    """The tapes between which a piece is unrolled: from the lowest part of the wall that is worked to the
    highest. The whole wall where nothing is made on it."""
    stretches = worked_stretches(piece)
    return stretches[0][0], stretches[-1][1]


def gores_needed(piece: LaidPiece, misfit: float) -> int | None:
    """The fewest gores that stay under ``misfit`` mm, cut as ``gore_layout`` cuts them; None where no reasonable
    number does."""
    least = fewest_gores(piece.form.wall, *reach(piece), misfit)
    if least is None:
        return None
    # Cut on verticals that stand unevenly, the widest gore may lie worse than equal ones.
    return next((n for n in range(least, MOST_GORES + 1) if gore_layout(piece, n, misfit).misfit <= misfit), None)


def shortfall(piece: LaidPiece, layout: Layout, unit: Unit = "mm") -> str | None:
    """What to say where sheets do not keep the misfit asked for, as too few gores may not; else None."""
    if layout.flat != "gores" or layout.misfit <= layout.bound:
        return None
    needed = gores_needed(piece, layout.bound)
    remedy = f"{needed} gores would keep it." if needed else "No reasonable number of gores would keep it: cut cones."
    return (
        f"{len(layout.sheets)} gores leave a misfit of {fine_with_unit(layout.misfit, unit)}, more than the "
        f"{fine_with_unit(layout.bound, unit)} asked for. {remedy}"
    )


def first_vertical(piece: LaidPiece, low: float = -math.inf, high: float = math.inf) -> float:
    """The angle of vertical 1 of the first band between two tapes that has verticals, else of the first of all; 0
    without any."""
    divided = [b for b in piece.bands if len(b.verticals)]
    here = [b for b in divided if max(b.from_tape, b.to_tape) > low and min(b.from_tape, b.to_tape) < high]
    return next((float(b.verticals[0]) for b in here or divided), 0.0)


@once  # the drawing and the summary of one run ask for the same sheets
def _fewest(piece: LaidPiece, misfit: float) -> Layout:
    """Gores or cones, whichever takes fewer sheets; of equally many, cones, which have the fewer seams."""
    gores = gores_needed(piece, misfit)
    stretches = _joined(piece.form.wall, worked_stretches(piece), misfit)
    cones = None if stretches is None else _cone_spans(piece, stretches, misfit)
    if gores is None and cones is None:
        raise _too_fine("sheets", misfit)
    if cones is not None and (gores is None or len(cones) <= gores):
        return _cones(piece, cones, misfit)
    return gore_layout(piece, gores or 1, misfit)


def _chosen_gores(piece: LaidPiece, misfit: float) -> int:
    """The fewest gores, or up to half as many more where those can be cut on verticals and keep the misfit, too."""
    least = gores_needed(piece, misfit)
    if least is None:
        raise _too_fine("gores", misfit)
    columns = next((len(b.verticals) for b in piece.bands if len(b.verticals)), None)
    if columns is None:
        return least
    on_verticals = (n for n in range(least, least * 3 // 2 + 1) if n % columns == 0 or columns % n == 0)
    return next((n for n in on_verticals if gore_layout(piece, n, misfit).misfit <= misfit), least)


def _gore_edges(piece: LaidPiece, count: int) -> Floats:
    """``count`` + 1 angles, rising through one turn."""
    for band in piece.bands:
        columns = len(band.verticals)
        if not columns:
            continue
        verticals = band.verticals[0] + (band.verticals - band.verticals[0]) % _TURN
        closed = np.append(verticals, verticals[0] + _TURN)
        if columns % count == 0:
            return closed[:: columns // count]
        if count % columns == 0:
            return np.interp(np.arange(count + 1) / (count // columns), np.arange(columns + 1), closed)
    return first_vertical(piece) + np.linspace(0.0, _TURN, count + 1)


def _rollout_chart(across: float, middle: float) -> Chart:
    def chart(angle: Floats, tape: Floats) -> tuple[Floats, Floats]:
        return rollout(np.asarray(angle) - middle, tape, across)

    return chart


def _gore_chart(wall: Wall, start: float, middle: float) -> Chart:
    def chart(angle: Floats, tape: Floats) -> tuple[Floats, Floats]:
        return polyconic(wall, start, np.asarray(angle) - middle, tape)

    return chart


def _cone_chart(cone: ConeSheet, middle: float) -> Chart:
    def chart(angle: Floats, tape: Floats) -> tuple[Floats, Floats]:
        return cone.chart(np.asarray(angle) - middle, tape)

    return chart


def _too_fine(what: str, misfit: float) -> CannotUnrollError:
    return CannotUnrollError(
        f"No reasonable number of {what} keeps the misfit under {misfit:g} mm on this wall.",
        "Allow a larger misfit with --misfit.",
    )
