"""Lines worked along the edge of a reserve, or along a parallel to it."""

from __future__ import annotations

import numpy as np

from motif.language.messages import Problem
from motif.laying.forms import Patch, patch_outline
from motif.laying.limits import check_length
from motif.laying.paths import made_path
from motif.laying.piece import Floats, LaidForm, LaidPath, Work
from motif.laying.region import Region
from motif.laying.telling import form_faults
from motif.laying.trace import loop_runs
from motif.model import things
from motif.model.expressions import above_zero
from motif.model.values import Env
from motif.wall import Wall
from motif.wall.compass import set_off

_SIDE_STEP = 0.25


def lay_edge(item: things.EdgeWork, work: Work, form: LaidForm, patches: tuple[Patch, ...], env: Env) -> list[LaidPath]:
    """The outline of a reserve, or its parallel, as strokes; other reserves cut it. Raises ``unknown-name``."""
    patch = next((p for p in patches if p.laid.name == item.reserve), None)
    if patch is None:
        raise Problem(form_faults.unknown_reserve(item.reserve_span, item.reserve, [p.laid.name for p in patches]))
    wall, laid = form.wall, patch.laid
    outline: Floats | None = laid.outline
    if item.by is not None:
        by = float(np.asarray(above_zero(item.by, env, "The distance from the edge")))
        check_length(np.array(by), wall, "The distance from the edge", item.by.span)
        outline = parallel(
            wall, laid.facing, laid.wide, laid.from_tape, laid.to_tape, by if item.side == "outside" else -by
        )
        if outline is None:
            raise Problem(form_faults.nothing_left_inside(item.by.span, laid.name, by))
    assert outline is not None
    others = tuple(p for p in patches if p is not patch)
    region = Region(wall, 0.0, wall.length, (), others)
    return [
        made_path(work, run, abs(run.swept) if run.whole else 0.0, (-1, -1, -1, -1), False)
        for run in loop_runs(wall, np.vstack([outline, outline[:1]]), region)
    ]


def parallel(wall: Wall, facing: float, wide: float, low: float, high: float, by: float) -> Floats | None:
    """The parallel ``by`` mm outside (negative: inside) the edge of a patch, its corners run on until they meet:
    (k, 2) angle and tape, counter-clockwise, not closed on itself. None where nothing is left inside."""
    if by < 0 and (high - low) <= -2 * by:
        return None
    n = max(3, int(np.ceil((high - low + 4 * abs(by)) / _SIDE_STEP)) + 1)
    tape = np.linspace(low - 2 * abs(by), high + 2 * abs(by), n)
    r = np.maximum(wall.radius(tape), 1e-9)
    half = np.minimum(wide / (2 * r), np.pi)
    # The right-hand side going up; outside is to its right, at right angles to its direction.
    slope = np.gradient(half, tape)
    bearing = np.arctan2(np.ones_like(tape), r * slope)
    outward = bearing - np.pi / 2 if by > 0 else bearing + np.pi / 2
    angle, level = set_off(wall, half, tape, outward, np.full(n, abs(by)))
    order = np.argsort(level, kind="stable")
    angle, level = angle[order], level[order]
    start, stop = low - by, high + by
    inner = (level > start) & (level < stop)
    tapes = np.concatenate([[start], level[inner], [stop]])
    halves = np.interp(tapes, level, angle)
    if halves.min() <= 0:
        return None
    return patch_outline(facing, tapes, halves)
