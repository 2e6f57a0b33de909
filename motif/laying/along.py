"""Marks repeated along strokes at an even spacing."""

from __future__ import annotations

import numpy as np

from motif.laying.collect import Lines
from motif.laying.curves import Tracer
from motif.laying.grid import nearest_count
from motif.laying.piece import Floats, Ints
from motif.laying.region import Region
from motif.laying.strokes import Strokes
from motif.laying.trace import cut_up, measured, travelled

_NEWTON = 3


def along_strokes(lines: Lines, strokes: Strokes, tracer: Tracer, every: Floats) -> tuple[Floats, Floats, Floats, Ints]:
    """Places along strokes as many as come nearest a spacing (strokes,) mm: on a closed one that many, on an
    open one one more, both ends included.

    Returns angle, tape, bearing of travel and the number of the stroke, (m,), stroke by stroke."""
    region = Region(tracer.wall, -np.inf, np.inf, (), ())
    pieces = cut_up(lines, tracer, region)
    piece, back, stroke = travelled(lines, strokes, pieces)
    gone = np.concatenate([[0.0], np.cumsum(pieces.length[piece])])
    first = np.searchsorted(stroke, np.arange(len(strokes) + 1))
    length = gone[first[1:]] - gone[first[:-1]]
    tracer.limits.check_repeated(float(np.sum(length / every)), None)
    counts = [nearest_count(total, size) for total, size in zip(length.tolist(), every.tolist(), strict=True)]
    parts = np.array(counts, dtype=np.int64)
    count = np.where(strokes.closed, parts, parts + 1)
    of = np.repeat(np.arange(len(strokes)), count)
    number = np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)
    wanted = gone[first[of]] + length[of] * number / parts[of]
    at = np.clip(np.searchsorted(gone, wanted, side="right") - 1, first[of], first[of + 1] - 1)
    share = wanted - gone[at]
    share = np.where(back[at], pieces.length[piece[at]] - share, share)
    chosen = piece[at]
    segment, t0, t1 = pieces.segment[chosen], pieces.t0[chosen], pieces.t1[chosen]
    t = t0 + (t1 - t0) * share / np.maximum(pieces.length[chosen], 1e-12)
    part = lines.segments.at(segment)
    for _ in range(_NEWTON):
        reached, _ = measured(lines.segments, tracer, segment, t0, t)
        _, tape, around, up = tracer.motion(part, t)
        speed = np.hypot(tracer.wall.radius(tape) * around, up)
        t = np.clip(t + (share - reached) / np.maximum(speed, 1e-12), t0, t1)
    angle, tape = tracer.on_wall(part, t)
    # At the end of a stretch the direction is that of this side of it.
    bearing, _ = tracer.direction(part, np.clip(t, 2e-7, 1 - 2e-7), 1)
    return angle, tape, bearing + np.where(back[at], np.pi, 0.0), of
