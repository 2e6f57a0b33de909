"""Cones that are longer than the paper, or that carry something in panels only: in parts, cut from edge to edge."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from motif.laying.piece import LaidPiece
from motif.outputs.drawn import Sheet, mark_reach
from motif.outputs.openings import Openings
from motif.outputs.printed.paper import Paper
from motif.outputs.sheets import sector

Arc = tuple[float, float]

#: Plain wall as long as this (mm round the pot) is worth leaving out.
_WORTH = 60.0
#: A sheet in more parts than this is better cut like any drawing.
MOST_PARTS = 24
#: Where a part ends may be moved so far to spare the pattern, in parts of its length: first far, then less.
_MOVES = (0.3, 0.12, 0.0)
#: What numbers, tab and words take at least beyond the paper of a part (mm).
_ROUND_IT = 8.0


def worked_arcs(piece: LaidPiece, sheet: Sheet) -> list[Arc]:
    """The stretches round the pot, in radians, on which something is made between the tapes of a sheet: the panels of
    its bands with what reaches beyond them. One whole turn from the sheet's own start where little is left over."""
    w = sheet.window
    turn = (w.from_angle, w.to_angle)
    spans = list(_spans(piece, w.from_tape, w.to_tape))
    if any(end - start > math.tau - 1e-9 for start, end in spans):
        return [turn]
    radius = max(float(r) for r in piece.form.wall.radius(np.linspace(w.from_tape, w.to_tape, 9)))
    least = _WORTH / max(radius, 1e-9)
    merged: list[Arc] = []
    for start, end in sorted((s % math.tau, s % math.tau + e - s) for s, e in spans):
        if merged and start - merged[-1][1] < least:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    if not merged:
        return []
    if merged[0][0] + math.tau - merged[-1][1] < least:
        first, last = merged.pop(0), merged.pop() if merged else None
        if last is None:
            return [turn]
        merged.append((last[0], max(first[1] + math.tau, last[1])))
    if len(merged) == 1 and merged[0][1] - merged[0][0] > math.tau - least:
        return [turn]
    moved = [w.from_angle + (start - w.from_angle) % math.tau - start for start, _ in merged]
    return sorted((start + m, end + m) for (start, end), m in zip(merged, moved, strict=True))


def _spans(piece: LaidPiece, low: float, high: float) -> Iterator[Arc]:
    for band in piece.bands:
        p = band.points
        half, lows, highs = mark_reach(p, piece.form.wall)
        marks = np.flatnonzero((highs > low) & (lows < high))
        inside = min(band.from_tape, band.to_tape) < high and max(band.from_tape, band.to_tape) > low
        if not band.panels and (inside or len(marks)):
            yield 0.0, math.tau
            return
        if inside:
            yield from band.panels
        yield from zip((p.angle - half)[marks].tolist(), (p.angle + half)[marks].tolist(), strict=True)
    for path in piece.paths:
        (left, below), (right, above) = path.points.min(axis=0).tolist(), path.points.max(axis=0).tolist()
        if above >= low and below <= high:
            yield left, right


def most_even(openings: Openings, sheet: Sheet, arc: Arc, count: int) -> Iterator[list[Sheet]]:
    """An arc of a cone in ``count`` parts, cut where the pattern suffers least; then with less freedom; then even."""
    start, end = arc
    each = (end - start) / count
    for move in _MOVES if count > 1 else (0.0,):
        inner = [start + k * each for k in range(1, count)]
        cuts = [openings.best(at, move * each) if move else at for at in inner]
        yield [sector(sheet, a, b) for a, b in pairwise([start, *cuts, end])]


def may_fit(sheet: Sheet, arc: Arc, count: int, paper: Paper) -> bool:
    """Whether one of ``count`` equal parts of an arc may have room on the paper, standing or lying."""
    assert sheet.cone is not None
    cone = sheet.cone
    turned = (arc[1] - arc[0]) / count
    if cone.inner_radius is None or cone.outer_radius is None:
        wide, tall = turned * max(cone.radius_below, cone.radius_above), cone.slant
    else:
        half = turned * cone.angle / math.tau / 2
        wide = 2 * cone.outer_radius * math.sin(min(half, math.pi / 2))
        tall = cone.outer_radius - cone.inner_radius * math.cos(min(half, math.pi))
        if half > math.pi / 2:
            tall = cone.outer_radius * (1 - math.cos(half))
    wide, tall = wide + _ROUND_IT, tall + _ROUND_IT
    return min(wide, tall) <= paper.width and max(wide, tall) <= paper.height
