"""A piece laid on its form."""

from __future__ import annotations

import numpy as np

from motif.language.messages import Messages, Problem
from motif.language.source import Span
from motif.laying import doubts
from motif.laying.bands import Site, lay_band
from motif.laying.edges import lay_edge
from motif.laying.forms import Patch, lay_form, lay_reserve, stage_factor, tape_at, wet_factor
from motif.laying.limits import LIMIT
from motif.laying.paces import lay_pace
from motif.laying.paths import made_path
from motif.laying.piece import LaidBand, LaidForm, LaidPath, LaidPiece, RingLine, Work
from motif.laying.region import Region
from motif.laying.row_table import checked
from motif.laying.telling import drawing_faults, form_faults, limit_faults
from motif.laying.telling.checks import tell
from motif.laying.trace import loop_runs
from motif.model import things
from motif.model.expressions import above_zero
from motif.model.rules import How
from motif.model.values import Env, ToolSizes


def lay_piece(
    piece: things.Piece,
    messages: Messages,
    *,
    limit: int = LIMIT,
    title: str | None = None,
    by: str | None = None,
    licence: str | None = None,
    one_of_several: bool = False,
) -> LaidPiece | None:
    """Lay a piece. Problems go to the messages; None when there is an error among them. ``one_of_several``: what
    the checks find says on which piece it is."""
    found = Messages()
    try:
        laid = _lay(piece, found, limit, title, by, licence, one_of_several)
    except Problem as problem:
        found.tell(problem, piece.span)
        laid = None
    except MemoryError:
        # The limits are for ordinary machines; this one has less.
        found.add(limit_faults.memory(piece.span, piece.name))
        laid = None
    messages.extend(found.sorted())
    if found.has_errors or laid is None:
        return None
    return laid


def site_of(piece: things.Piece, messages: Messages, limit: int = LIMIT) -> Site:
    """What the bands of a piece have in common: its form at the stage of decorating, and what is kept free.

    What is wrong with a reserve goes to the messages. Raises ``Problem``."""
    form = piece.form
    stage, stage_at = piece.decorated or (form.stage, form.stage_span)
    meant, meant_at = piece.dimensions or (form.stage, form.stage_span)
    laid_form = lay_form(form, stage, stage_at)
    scale = stage_factor(form, meant, stage, meant_at)
    env = Env(scale)
    form_env = Env(stage_factor(form, form.stage, stage, stage_at))
    patches = _reserves(piece, laid_form, form_env, env, messages)
    for doubt in (*doubts.strays(form, laid_form), *doubts.overlaps(patches)):
        messages.add(doubt)
    return Site(laid_form, patches, env, limit, messages, [])


def _lay(
    piece: things.Piece,
    messages: Messages,
    limit: int,
    title: str | None,
    by: str | None,
    licence: str | None,
    one_of_several: bool,
) -> LaidPiece:
    site = site_of(piece, messages, limit)
    laid_form, patches, env = site.form, site.patches, site.env
    bands: list[LaidBand] = []
    row_spans: list[Span] = []
    rings: list[RingLine] = []
    paths: list[LaidPath] = []
    marks = 0
    named = {r.name for r in (*piece.form.reserves, *piece.reserves)}
    for item in piece.items:
        try:
            if isinstance(item, things.Band):
                band = lay_band(item, len(bands) + 1, site, marks)
                marks += len(band.points) + len(band.paths)
                bands.append(band)
                row_spans.append(item.motif.grid.rows.span)
            elif isinstance(item, things.RingWork):
                tape = tape_at(item.at, laid_form, env)
                wall = laid_form.wall
                work = _work(item.technique, item.how, env, item)
                rings.append(RingLine(work, tape, float(wall.height(tape)), float(wall.radius(tape))))
                region = Region(wall, 0.0, wall.length, (), patches)
                paths.extend(
                    made_path(work, run, 0.0, (-1, -1, -1, -1), False)
                    for run in loop_runs(wall, np.array([[0.0, tape], [2 * np.pi, tape]]), region)
                )
            elif item.reserve not in named - {p.laid.name for p in patches}:  # else the reserve has been told of
                work = _work(item.technique, item.how, env, item)
                paths.extend(lay_edge(item, work, laid_form, patches, env))
        except Problem as problem:
            messages.tell(problem, item.span)
    seen = checked(bands, row_spans, paths, laid_form)
    messages.extend(tell([*site.findings, *seen.findings], piece.name if one_of_several else None))
    return LaidPiece(
        piece.name,
        piece.description,
        title,
        by,
        licence,
        laid_form,
        laid_form.stage,
        piece.dimensions[0] if piece.dimensions else piece.form.stage,
        env.scale,
        None if piece.form.clay is None else piece.form.clay.name,
        seen.bands,
        tuple(rings),
        tuple(paths),
        tuple(p.laid for p in patches),
        (*piece.form.notes, *piece.notes),
        wet_scale=wet_factor(piece.form, laid_form.stage),
        pace=None if piece.pace is None else lay_pace(piece.pace),
    )


def _reserves(piece: things.Piece, form: LaidForm, form_env: Env, env: Env, messages: Messages) -> tuple[Patch, ...]:
    """The reserves of the form and of the piece; what is wrong with one goes to the messages."""
    laid: list[Patch] = []
    first: dict[str, things.Reserve] = {}
    for reserves, scale in ((piece.form.reserves, form_env), (piece.reserves, env)):
        for r in reserves:
            before = first.setdefault(r.name, r)
            try:
                if before is not r:
                    raise Problem(form_faults.two_reserves(r.span, r.name, before.span))
                laid.append(lay_reserve(r, form, scale))
            except Problem as problem:
                messages.tell(problem, r.span)
    return tuple(laid)


def _work(technique: str, how: How, env: Env, item: things.RingWork | things.EdgeWork) -> Work:
    """How a line of the piece itself is made; a tool gives what the line leaves out."""
    tool = None if how.tool is None else how.tool.value(env)
    assert tool is None or isinstance(tool, ToolSizes)
    sizes = [
        float(np.asarray(above_zero(e, env, f"'{word}'"))) if e is not None else given
        for word, e, given in how.measures(tool)
    ]
    if technique == "roulette" and sizes[2] is None:
        raise Problem(drawing_faults.no_pitch(item.span))
    colour = None if how.colour is None else str(how.colour.value(env))
    return Work(technique, tool, colour, sizes[0], sizes[1], sizes[2], item.span)
