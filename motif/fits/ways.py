"""Which columns and rows suit a band: those around the ones written, each laid, checked and scored."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import log, pi

import numpy as np

from motif.fits.knobs import Knob, Setting, knobs_of
from motif.fits.light import is_costly, light
from motif.language.messages import Messages, Problem
from motif.language.record import changed, record
from motif.laying.bands import Ground, Site, lay_ground
from motif.laying.checks import FILLS, against_first, cell_sizes
from motif.laying.execute import bind
from motif.laying.lay import lay_piece, site_of
from motif.laying.piece import LaidBand, RowFit
from motif.laying.row_table import least_land
from motif.model import rules, things
from motif.model.expressions import above_zero
from motif.model.values import Env

#: so many are told
BEST = 10
#: so many of the most promising are laid, and fewer where a band is heavy, so that all come to about so many marks
_LAID, _WORK = 12, 12000
#: how much a change of the cells' shape over the band counts
_SHAPE = 0.25


@record
class Asked:
    """What the text asks of a cell, at the band's widest place: sizes in mm and width : height, None where it does not
    say; without any, what is written stands for it."""

    width: float | None
    height: float | None
    proportion: float | None


@record
class Fit:
    """One way to divide a band. ``width`` is the widest cell's, ``height`` the first row's, ``proportion`` the first
    row's width : height; ``shape`` the least and the greatest part of that which any row has. ``left_over`` in mm of
    tape. ``tool`` and ``gap`` tell the worst meeting of footprints (below 0: overlap), ``land`` the tightest land and
    ``cut`` the cut beside it; None where there is nothing of the kind. ``lines`` set it in the text; none: it is as
    written; ``also`` are the other bands that they change too, each by its piece and number. ``score`` is 0 where
    nothing is lacking."""

    columns: int | None
    row_columns: tuple[int, ...] | None
    rows: int
    width: float
    height: float
    proportion: float
    shape: tuple[float, float]
    left_over: float | None
    tool: str | None
    gap: float | None
    land: float | None
    cut: float | None
    score: float
    lines: tuple[str, ...]
    also: tuple[tuple[str, int], ...]


@record
class BandFits:
    """The best ways to divide a band, the best first, the one written among them or after them. ``land_known`` is false
    where the band's lines take too long to be laid so often."""

    number: int
    motif: str
    description: str | None
    fits: tuple[Fit, ...]
    tried: int
    land_known: bool


def band_fits(piece: things.Piece, number: int, limit: int, pieces: Sequence[things.Piece] = ()) -> BandFits:
    """The ways to divide band ``number`` (from 1) of a piece that can be laid as it is; ``pieces`` are all that may
    have bands of the same motif. Raises ``Problem``."""
    band = piece.bands[number - 1]
    also = _of_motif(band, pieces or (piece,))
    said = Messages()
    site = site_of(piece, said, limit)
    if said.has_errors:
        raise Problem(said.sorted()[0])
    ground = lay_ground(band, site)
    asked = _asked(band.motif.grid, ground)
    settings = _settings(knobs_of(piece, band, ground.law))
    grounds = _distinct(settings, band, site, asked)
    light_piece, work, land_known = _light(piece, limit)
    laid = []
    for setting, _ in grounds[: max(BEST, min(_LAID, _WORK // max(work, 1)))]:
        one = _laid(light_piece, number, setting, limit)
        if one is not None:
            laid.append(_fit(one, asked, site, setting, band, also))
    if all(f.lines for f in laid):
        one = _laid(light_piece, number, Setting(()), limit)
        if one is not None:
            laid.append(_fit(one, asked, site, Setting(()), band, also))
    if any(f.gap is not None for f in laid):  # a tool too narrow to be meant to meet its neighbour lacks the most
        laid = [f if f.gap is not None else changed(f, score=f.score + 1 - FILLS) for f in laid]
    laid.sort(key=lambda f: round(f.score, 9))
    best = laid[:BEST]
    best += [f for f in laid[BEST:] if not f.lines]
    return BandFits(number, band.motif.name, band.motif.description, tuple(best), len(grounds), land_known)


def _of_motif(band: things.Band, pieces: Sequence[things.Piece]) -> tuple[tuple[str, int], ...]:
    """The other bands of a band's motif, by piece and number."""
    return tuple(
        (piece.name, k + 1)
        for piece in pieces
        for k, other in enumerate(piece.bands)
        if other.motif is band.motif and other is not band
    )


def _asked(grid: rules.Grid, ground: Ground) -> Asked:
    """The sizes that the text gives, real at the stage of decorating; where it gives none at all, those it comes to."""
    c, r, env = grid.columns, grid.rows, ground.env

    def said(spec: rules.Columns | rules.Rows, *laws: str) -> float | None:
        return float(np.asarray(above_zero(spec.values[0], env, "A size"))) if spec.law in laws else None

    width, height = said(c, "near"), said(r, "near", "every")
    ratio = next((spec.values for spec in (c, r) if spec.law == "proportional"), None)
    proportion = None if ratio is None else _ratio(ratio, env)
    now = _sizes(ground)
    if width is None and (height is None or proportion is None):
        width = now[0]
    if height is None and proportion is None:
        height = now[1]
    return Asked(width, height, proportion)


def _ratio(values: Sequence[object], env: Env) -> float:
    a, b = (float(np.asarray(above_zero(e, env, "A proportion"))) for e in values)  # type: ignore[arg-type]
    return a / b


def _sizes(ground: Ground) -> tuple[float, float]:
    """Width of the widest column at the band's widest place, and the mean height of the rows, mm."""
    law = ground.law
    tapes = law.levels.tapes
    widest = law.levels.wall.widest(float(tapes[0]), float(tapes[-1]))[1]
    share = float(np.diff(law.turns).max()) if law.row_columns is None else 1 / max(law.row_columns)
    return 2 * pi * widest * share, float(tapes[-1] - tapes[0]) / law.rows


def _settings(knobs: Sequence[Knob]) -> list[Setting]:
    return [Setting(tuple(zip(knobs, values, strict=True))) for values in product(*(k.values for k in knobs))]


def _distinct(settings: Sequence[Setting], band: things.Band, site: Site, asked: Asked) -> list[tuple[Setting, float]]:
    """The settings that close, the most promising first: of those that come to the same columns and rows the one that
    scores best, and of equals the one nearest to what is written."""
    best: dict[tuple[object, ...], tuple[Setting, tuple[float, float]]] = {}
    for setting in settings:
        try:
            ground = lay_ground(setting.band(band), site)
        except Problem:
            continue
        width, height = cell_sizes(ground.law)
        against = against_first(ground.law, width, height)
        score = _score(ground, asked, (float(against.min()), float(against.max())))
        off = sum(abs(log(value / knob.written)) for knob, value in setting.turned)
        key = (ground.law.columns, ground.law.row_columns, ground.law.rows)
        if key not in best or (round(score, 6), off) < best[key][1]:
            best[key] = (setting, (round(score, 6), off))
    ordered = sorted(best.values(), key=lambda found: found[1])
    return [(setting, score) for setting, (score, _) in ordered]


def _score(ground: Ground, asked: Asked, shape: tuple[float, float]) -> float:
    """How far cells are from what is asked, how much their shape changes, and what is left over, each as a part."""
    width, height = _sizes(ground)
    wanted = [(width, asked.width), (height, asked.height), (width / height, asked.proportion)]
    score = sum(abs(log(is_ / want)) for is_, want in wanted if want is not None)
    score += _SHAPE * log(shape[1] / shape[0])
    return score + (ground.law.left_over or 0.0) / abs(ground.to - ground.start)


def _light(piece: things.Piece, limit: int) -> tuple[things.Piece, int, bool]:
    """The piece with what matters to the score alone, the work of laying it once, and whether its lines are in it."""

    def made(lines: bool) -> things.Piece:
        def lightened(band: things.Band) -> things.Band:
            env = bind(band.motif.settings, band.arguments, Env(1.0), Env(1.0))
            return changed(band, motif=light(band.motif, env, lines=lines))

        items = (lightened(item) if isinstance(item, things.Band) else item for item in piece.items)
        return changed(piece, items=tuple(items))

    whole = made(True)
    costly = any(isinstance(item, things.Band) and is_costly(item.motif) for item in whole.items)
    one = None if costly else lay_piece(whole, Messages(), limit=limit)
    if one is not None:
        work = sum(len(b.points) + len(b.paths) for b in one.bands)
        if work * BEST <= _WORK:
            return whole, work, True
    dots = made(False)
    one = lay_piece(dots, Messages(), limit=limit)
    return dots, 0 if one is None else sum(len(b.points) for b in one.bands), False


def _laid(piece: things.Piece, number: int, setting: Setting, limit: int) -> LaidBand | None:
    """The band of a piece so set, laid and checked; None where it cannot be."""
    items: list[things.PieceItem] = []
    seen = 0
    for item in piece.items:
        seen += isinstance(item, things.Band)
        items.append(setting.band(item) if isinstance(item, things.Band) and seen == number else item)
    laid = lay_piece(changed(piece, items=tuple(items)), Messages(), limit=limit)
    return None if laid is None else laid.bands[number - 1]


def _fit(
    band: LaidBand,
    asked: Asked,
    site: Site,
    setting: Setting,
    written: things.Band,
    also: tuple[tuple[str, int], ...],
) -> Fit:
    """The figures of a laid band, all from its table of rows; ``also`` are the other bands of its motif."""
    rows = [r for r in band.fit if r.row is not None]
    against = [r.against_first or 1.0 for r in rows]
    shape = min(against), max(against)
    met = max((r for r in band.fit if r.gap is not None), key=lambda r: round(abs(r.gap or 0.0), 6), default=None)
    land = least_land(band)
    score = _score(lay_ground(setting.band(written), site), asked, shape) + _tool_score(met, rows)
    if land is not None:
        score += max(0.0, 1 - max(land[0], 0.0) / land[1])
    return Fit(
        band.columns,
        None if band.row_columns is None else tuple(band.row_columns.tolist()),
        band.rows,
        max(r.cell_width or 0.0 for r in rows),
        rows[0].cell_height or 0.0,
        rows[0].proportion or 0.0,
        shape,
        band.left_over,
        None if met is None else met.tool,
        None if met is None else met.gap,
        None if land is None else land[0],
        None if land is None else land[1],
        score,
        setting.lines(written),
        also if setting.sets_grid else (),
    )


def _tool_score(met: RowFit | None, rows: Sequence[RowFit]) -> float:
    """What the worst meeting of footprints lacks or overlaps, as a part of the widest cell."""
    if met is None or met.gap is None:
        return 0.0
    return abs(met.gap) / max(r.cell_width or 0.0 for r in rows)
