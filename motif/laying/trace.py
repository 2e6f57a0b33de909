"""Strokes traced over the wall: sampled, cut where they may not be, measured."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.clusters import distinct
from motif.laying.collect import Lines
from motif.laying.curves import Segments, Tracer, cubics
from motif.laying.limits import Limits
from motif.laying.piece import Floats, Ints
from motif.laying.region import Region, Verticals
from motif.laying.strokes import Strokes, in_space
from motif.wall import Wall
from motif.wall.quadrature import gauss
from motif.wall.roots import bracketed

Bools = NDArray[np.bool_]

#: no chord of a traced curve leaves it by more than this, mm (outputs promise 0.05)
CHORD = 0.02
#: a first look takes a step at least every so often: round the pot (radians) and along the wall (mm)
_LOOK_ANGLE, _LOOK_TAPE = 0.35, 12.0
#: a step where reserves or panels may lie in its way; and beside what a line keeps clear of, mm
_LOOK_CLOSELY, _LOOK_CLOSER = 2.0, 0.5
#: a change of sign is found to this value of the function (mm, radians), or to this part of the stretch: one is no
#: longer than 12 mm, so to 1e-8 mm; one looked at closer, to 1e-6 mm
_NEAR, _NARROW, _NARROW_CLOSER = 1e-9, 1e-9, 2e-6

#: so many segments, or stretches, are worked at once
_AT_ONCE = 50_000

#: a stretch is no longer than so many times the step of angle and tape from its start to its end
_LONGER = 1.05


@record
class Turning:
    """A function of points of segments that changes sign where a stretch must end, found to the part ``narrow`` of the
    stretch; its values at the ``ends`` of the stretches, where they are known."""

    of: Callable[[Traced], Floats]
    narrow: float
    ends: tuple[Floats, Floats] | None = None


@record
class Pieces:
    """Short stretches t0 … t1 of segments, by segment and t; where grid or wall bend, a stretch ends.

    ``first`` (n_segments + 1,) are each segment's stretches. Lengths in mm; ``swept`` is ∫ A(s) dθ in mm²
    with A(s) = ∫ r ds, which over a closed outline counter-clockwise is minus the area it encloses."""

    first: Ints
    segment: Ints
    t0: Floats
    t1: Floats
    length: Floats
    swept: Floats
    keep: Bools


def cut_up(
    lines: Lines, tracer: Tracer, region: Region, chord: float = CHORD, longest: Floats | float = np.inf
) -> Pieces:
    """The stretches of all segments of the lines, no chord off by more than ``chord`` and none much longer than
    ``longest``, mm, one for all segments or one each."""
    s = lines.segments
    bound = np.minimum(longest, _longest(lines, region))
    steps = np.concatenate(
        [np.zeros(0)]
        + [
            _steps(s.at(slice(i, i + _AT_ONCE)), tracer, chord, bound[i : i + _AT_ONCE])
            for i in range(0, len(s), _AT_ONCE)
        ]
    )
    tracer.limits.check_stretches(float(steps.sum()))
    # Some at a time, or the places in between would take a hundred times the room of what comes out.
    many = np.searchsorted(np.cumsum(steps), np.arange(_AT_ONCE, steps.sum(), _AT_ONCE))
    edges = np.unique(np.concatenate([[0], many, [len(s)]])).astype(np.int64)
    parts = [
        _cut_some(lines, np.arange(i, j), steps[i:j].astype(np.int64), tracer, region)
        for i, j in pairwise(edges.tolist())
    ]
    segment, t0, t1, length, swept, keep = (
        np.concatenate(column) for column in zip(_NO_STRETCHES, *parts, strict=True)
    )
    return Pieces(np.searchsorted(segment, np.arange(len(s) + 1)), segment, t0, t1, length, swept, keep)


def _cut_some(
    lines: Lines, which: Ints, steps: Ints, tracer: Tracer, region: Region
) -> tuple[Ints, Floats, Floats, Floats, Floats, Bools]:
    """The stretches of some segments, at least ``steps`` of each, in the order of ``Pieces``' fields."""
    s = lines.segments
    segment = np.repeat(which, steps)
    place = np.arange(len(segment)) - np.repeat(np.cumsum(steps) - steps, steps)
    each = steps[np.repeat(np.arange(len(which)), steps)]
    t0, t1 = place / each, (place + 1) / each
    turnings = [Turning(f, _NARROW) for f in _bends(tracer, region)]
    sides = None
    if lines.trims:
        segment, t0, t1, sides = _looked_closer(lines, tracer, segment, t0, t1)
        turnings.append(Turning(lambda p: _room(lines, p.segment, p.angle, p.tape), _NARROW_CLOSER, sides))
    whole = segment, t0
    segment, t0, t1 = _split(s, tracer, segment, t0, t1, turnings, region.panel_edges())
    length, swept = measured(s, tracer, segment, t0, t1)
    keep = np.ones(len(segment), dtype=np.bool_)
    doubtful = np.zeros(0, dtype=np.int64)
    if sides is not None:
        of = np.searchsorted(whole[0] + whole[1], segment + (t0 + t1) / 2, side="right") - 1
        keep = np.minimum(*sides)[of] > 0
        parted = (sides[0] > 0) != (sides[1] > 0)
        doubtful = np.flatnonzero(parted[of] | (np.abs(sides[0] + sides[1])[of] < _LONGER * length))
        keep[doubtful] = True
    for part in (0.3, 0.7):  # not the middle, which may just touch an edge that the rest lies beyond
        angle, tape = tracer.on_wall(s.at(segment), t0 + part * (t1 - t0))
        keep &= region.keeps(angle, tape) & _in_own_panel(lines, segment, angle, tape, region)
        if len(doubtful):
            keep[doubtful] &= _room(lines, segment[doubtful], angle[doubtful], tape[doubtful]) > 0
    return segment, t0, t1, length, swept, keep


def _in_own_panel(lines: Lines, segment: Ints, angle: Floats, tape: Floats, region: Region) -> Bools:
    """Whether points of segments lie in the panel in which their lines are drawn, for lines drawn once in each."""
    own = np.ones(len(segment), dtype=np.bool_)
    if not region.panels or not (lines.panel >= 0).any():
        return own
    panel = lines.panel[np.searchsorted(lines.first, segment, side="right") - 1]
    for k in distinct(panel[panel >= 0]):
        here = panel == k
        own[here] = region.in_panels(angle[here], tape[here], panels=region.panels[k : k + 1])
    return own


def _looked_closer(
    lines: Lines, tracer: Tracer, segment: Ints, t0: Floats, t1: Floats
) -> tuple[Ints, Floats, Floats, tuple[Floats, Floats]]:
    """The stretches t0 … t1 of segments, halved until each lies to one side of all that trims its line, as far as the
    room at its ends tells, or is short; and that room.

    Room is a distance: along a stretch it does not change by more than the way gone."""
    s = lines.segments
    radius = tracer.wall.radius

    def at(which: Ints, t: Floats) -> Floats:
        angle, tape = tracer.on_wall(s.at(which), t)
        return np.stack([angle, tape, radius(tape), _room(lines, which, angle, tape)])

    start, end = at(segment, t0), at(segment, t1)
    done: list[tuple[Ints, Floats, Floats, Floats, Floats]] = []
    while True:
        long = np.hypot(np.maximum(start[2], end[2]) * (end[0] - start[0]), end[1] - start[1])
        unsure = (np.abs(start[3] + end[3]) < _LONGER * long) & (long > _LOOK_CLOSER)
        sure = ~unsure
        done.append((segment[sure], t0[sure], t1[sure], start[3, sure], end[3, sure]))
        if not unsure.any():
            break
        segment, t0, t1, start, end = segment[unsure], t0[unsure], t1[unsure], start[:, unsure], end[:, unsure]
        half = (t0 + t1) / 2
        middle = at(segment, half)
        segment, t0, t1 = np.tile(segment, 2), np.concatenate([t0, half]), np.concatenate([half, t1])
        start, end = np.concatenate([start, middle], axis=1), np.concatenate([middle, end], axis=1)
        tracer.limits.check_stretches(float(len(segment)))
    segment, t0, t1, first, last = (np.concatenate(column) for column in zip(*done, strict=True))
    order = np.lexsort([t0, segment])
    return segment[order], t0[order], t1[order], (first[order], last[order])


def _room(lines: Lines, segment: Ints, angle: Floats, tape: Floats) -> Floats:
    """How far, as far as is told, points of segments lie on the side that is left of what trims their lines, mm;
    endless where nothing does."""
    room = np.full(len(segment), np.inf)
    line = np.searchsorted(lines.first, segment, side="right") - 1
    for k, trim in enumerate(lines.trims):
        chosen = np.flatnonzero(lines.trim[line] == k)
        if len(chosen):
            room[chosen] = trim.room(lines.entry[line[chosen]], angle[chosen], tape[chosen])
    return room


def _longest(lines: Lines, region: Region) -> Floats:
    """The longest step that may be taken along each segment, mm: where something small may lie in its way."""
    longest = np.full(len(lines.segments), np.inf)
    if region.panels or region.patches:
        longest[:] = _LOOK_CLOSELY
    return longest


_NO_STRETCHES = (np.zeros(0, dtype=np.int64), *[np.zeros(0)] * 4, np.zeros(0, dtype=np.bool_))


def _steps(s: Segments, tracer: Tracer, chord: float, longest: Floats) -> Floats:
    """How many equal steps in t bring each segment's chords within ``chord`` of the curve, none much longer
    than ``longest`` (n,) mm.

    A step of 1/n in t has a chord that is off by |P″| / 8n²."""
    n = len(s)
    around, up, speed = np.zeros(n), np.zeros(n), np.zeros(n)
    for look_at in (0.02, 0.3, 0.5, 0.7, 0.98):
        _, tape, a, u = tracer.motion(s, np.full(n, look_at))
        around, up = np.maximum(around, np.abs(a)), np.maximum(up, np.abs(u))
        if np.isfinite(longest).any():
            speed = np.maximum(speed, np.hypot(tracer.wall.radius(tape) * a, u))
    looks = np.maximum(4.0, np.ceil(np.maximum(around / _LOOK_ANGLE, up / _LOOK_TAPE)))
    tracer.limits.check_stretches(float(looks.sum()) - 4 * n)
    look = looks.astype(np.int64)
    index = np.repeat(np.arange(n), look + 1)
    start = np.cumsum(look + 1) - (look + 1)
    t = (np.arange(len(index)) - start[index]) / look[index]
    p = in_space(tracer.wall, *tracer.on_wall(s.at(index), t))
    bent = np.zeros(len(index))
    bent[1:-1] = np.linalg.norm(p[:-2] - 2 * p[1:-1] + p[2:], axis=1)
    bent[start] = bent[start + look] = 0
    most = np.maximum.reduceat(bent, start) if n else np.zeros(0)
    steps = np.ceil(look * np.sqrt(most / (8 * chord)) - 1e-9)
    return np.asarray(np.maximum(np.maximum(1, steps), np.ceil(speed / longest)))


@record
class Traced:
    """Points of segments: the segments' numbers, places in their planes (n, 2), and on the wall."""

    segment: Ints
    in_wall_plane: Bools
    plane: Floats
    angle: Floats
    tape: Floats

    @classmethod
    def of(cls, s: Segments, tracer: Tracer, segment: Ints, t: Floats) -> Traced:
        part = s.at(segment)
        return cls(segment, part.on_wall, *tracer.placed(part, t))


def _bends(tracer: Tracer, region: Region) -> list[Callable[[Traced], Floats]]:
    """Functions that change sign where a stretch must end: edges of the region, corners of the wall, and
    verticals and rings where the grid's spacing changes."""

    def on_wall(edge: Callable[[Floats, Floats], Floats]) -> Callable[[Traced], Floats]:
        return lambda p: edge(p.angle, p.tape)

    def at_whole(axis: int) -> Callable[[Traced], Floats]:
        return lambda p: np.where(p.in_wall_plane, 1.0, np.sin(np.pi * p.plane[:, axis]))

    found = [on_wall(edge) for edge in region.edges()]
    wall, law = tracer.wall, tracer.law
    found.extend(
        on_wall(lambda angle, tape, corner=corner: tape - corner)  # type: ignore[misc]
        for corner in wall.corners[(wall.corners > region.low) & (wall.corners < region.high)]
    )
    if law is not None and not law.even:
        found.append(at_whole(0))
    if law is not None and law.spaced_rows:
        found.append(at_whole(1))
    return found


def _split(
    s: Segments,
    tracer: Tracer,
    segment: Ints,
    t0: Floats,
    t1: Floats,
    turnings: list[Turning],
    verticals: list[Verticals],
) -> tuple[Ints, Floats, Floats]:
    """Split stretches where one of the functions changes sign, or one of the verticals is met."""
    if not len(segment):
        return segment, t0, t1
    extra_segment: list[Ints] = []
    extra_t: list[Floats] = []
    last = np.concatenate([segment[1:] != segment[:-1], [True]])
    starts_at = Traced.of(s, tracer, segment, t0)
    ends_at = Traced.of(s, tracer, segment[last], t1[last])

    def at_ends(f: Callable[[Traced], Any]) -> tuple[Any, Any]:
        """A function's values at the starts and at the ends of all stretches."""
        start = f(starts_at)
        end = np.empty_like(start)
        end[:-1] = start[1:]
        end[last] = f(ends_at)
        return start, end

    def meet(f: Callable[[Ints, Traced], Floats], parted: Ints, ends: tuple[Floats, Floats], narrow: float) -> None:
        """Where ``f`` of the numbers of entries and of points of their stretches, ``parted``, is 0."""
        of = segment[parted]
        extra_segment.append(of)
        found = bracketed(
            lambda i, t: f(i, Traced.of(s, tracer, of[i], t)), t0[parted], t1[parted], ends, _NEAR, narrow
        )
        extra_t.append(found)

    for turning in turnings:
        start, end = turning.ends or at_ends(turning.of)
        parted = np.flatnonzero((start >= 0) != (end >= 0))
        if len(parted):
            ends = start[parted], end[parted]
            meet(lambda i, p, f=turning.of: f(p), parted, ends, turning.narrow)  # type: ignore[misc]
    for edges in verticals:
        start, end = at_ends(lambda p, edges=edges: edges.gone(p.angle, p.tape))  # type: ignore[misc]
        first, past = np.sort([edges.passed(start), edges.passed(end)], axis=0)
        parted = np.repeat(np.arange(len(segment)), past - first)
        if len(parted):
            number = first[parted] + np.arange(len(parted)) - np.searchsorted(parted, parted)
            at = edges.at(number)
            meet(
                lambda i, p, at=at, edges=edges: (edges.gone(p.angle, p.tape) - at[i]) / 2,  # type: ignore[misc]
                parted, ((start[parted] - at) / 2, (end[parted] - at) / 2), _NARROW,
            )  # fmt: skip
    if not extra_t:
        return segment, t0, t1
    where = np.concatenate([segment, segment[last], *extra_segment])
    when = np.concatenate([t0, t1[last], *extra_t])
    order = np.lexsort([when, where])
    where, when = where[order], when[order]
    starts = np.flatnonzero(np.concatenate([[True], (where[1:] != where[:-1]) | (np.diff(when) > 1e-12)]))
    where, when = where[starts], when[starts]
    apart = where[1:] == where[:-1]
    return where[:-1][apart], when[:-1][apart], when[1:][apart]


def measured(s: Segments, tracer: Tracer, segment: Ints, t0: Floats, t1: Floats) -> tuple[Floats, Floats]:
    """Length and ∫ A(s) dθ of each stretch, by Gauss–Legendre quadrature on the curve."""
    part = s.at(segment)
    length, swept = np.zeros(len(segment)), np.zeros(len(segment))
    for node, weight in zip(*gauss(4), strict=True):
        t = t0 + (t1 - t0) * node
        _, tape, around, up = tracer.motion(part, t)
        w = weight * (t1 - t0)
        length += w * np.hypot(tracer.wall.radius(tape) * around, up)
        swept += w * tracer.wall.swept(tape) * around
    return length, swept


@record
class Run:
    """A stretch of a stroke that stays: its points (k, 2) angle and tape, its own length, and ∫ A dθ."""

    stroke: int
    closed: bool
    whole: bool
    points: Floats
    length: float
    swept: float


def runs(lines: Lines, strokes: Strokes, pieces: Pieces, tracer: Tracer) -> list[Run]:
    """What is left of the strokes, in their order: a stroke cut at two places is two runs."""
    if not len(strokes):
        return []
    piece, back, stroke = travelled(lines, strokes, pieces)
    keep = pieces.keep[piece]
    whole = np.bincount(stroke, ~keep, len(strokes)) == 0
    order = _closed_from_a_gap(stroke, keep, strokes.closed & ~whole)
    piece, back, stroke, keep = piece[order], back[order], stroke[order], keep[order]
    part = lines.segments.at(pieces.segment[piece])
    enter = np.where(back, pieces.t1[piece], pieces.t0[piece])
    leave = np.where(back, pieces.t0[piece], pieces.t1[piece])
    angle_in, tape_in = tracer.on_wall(part, enter)
    angle_out, tape_out = tracer.on_wall(part, leave)
    begins = np.ones(len(piece), dtype=np.bool_)
    begins[1:] = (stroke[1:] != stroke[:-1]) | ~keep[:-1]
    jump = np.zeros(len(piece))
    jump[1:] = np.round((angle_out[:-1] - angle_in[1:]) / (2 * np.pi))
    jump[begins] = 0
    starts = np.flatnonzero(begins & keep)
    if not len(starts):
        return []
    gone = np.cumsum(jump)
    ends_here = np.append(begins[1:] | ~keep[1:], True)
    stops = np.flatnonzero(ends_here & keep) + 1
    found = []
    for i, j in zip(starts.tolist(), stops.tolist(), strict=True):
        turns = 2 * np.pi * (gone[i:j] - gone[i])
        points = np.empty((j - i + 1, 2))
        points[:-1, 0], points[:-1, 1] = angle_in[i:j] + turns, tape_in[i:j]
        points[-1] = angle_out[j - 1] + turns[-1], tape_out[j - 1]
        k = int(stroke[i])
        chosen = piece[i:j]
        sign = np.where(back[i:j], -1.0, 1.0)
        found.append(
            Run(
                k,
                bool(strokes.closed[k] and whole[k]),
                bool(whole[k]),
                points,
                float(pieces.length[chosen].sum()),
                float((pieces.swept[chosen] * sign).sum()),
            )
        )
    return found


def travelled(lines: Lines, strokes: Strokes, pieces: Pieces) -> tuple[Ints, Bools, Ints]:
    """The stretches of all strokes in order of travel: their numbers, whether each is travelled backward, and
    the stroke each belongs to."""
    of_segment, segment_back = _segments_of(lines, strokes)
    counts = np.diff(pieces.first)[of_segment]
    base = np.repeat(np.arange(len(of_segment)), counts)
    within = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
    back = segment_back[base]
    piece = np.where(back, pieces.first[of_segment + 1][base] - 1 - within, pieces.first[of_segment][base] + within)
    per_line = np.diff(lines.first)[strokes.line]
    owner_of_line = np.repeat(np.arange(len(strokes)), np.diff(strokes.first))
    return piece, back, np.repeat(owner_of_line, per_line)[base]


def loop_runs(wall: Wall, points: Floats, region: Region) -> list[Run]:
    """What is left of a closed line straight in angle and tape from point to point, (k, 2) with the last on
    the first (whole turns apart)."""
    p, step = points[:-1], np.diff(points, axis=0)
    n = len(p)
    zero = np.zeros(1, dtype=np.int64)
    no = np.zeros(1, dtype=np.bool_)
    powers = np.stack([p, step, np.zeros_like(p), np.zeros_like(p)], axis=1)
    lines = Lines(
        cubics(powers, on_wall=True),
        np.array([0, n]),
        zero,
        ~no,
        no,
        no,
        zero,
        zero,
        zero,
        zero,
        zero - 1,
        zero - 1,
        zero,
    )
    strokes = Strokes(np.array([0, 1]), zero, no, ~no, zero)
    tracer = Tracer(wall, None, Limits())
    return runs(lines, strokes, cut_up(lines, tracer, region), tracer)


def _segments_of(lines: Lines, strokes: Strokes) -> tuple[Ints, Bools]:
    """The segments of all strokes in order of travel, and whether each is travelled backward."""
    counts = np.diff(lines.first)[strokes.line]
    base = np.repeat(np.arange(len(strokes.line)), counts)
    within = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
    back = strokes.backward[base]
    line = strokes.line[base]
    return np.where(back, lines.first[line + 1] - 1 - within, lines.first[line] + within), back


def _closed_from_a_gap(stroke: Ints, keep: Bools, turning: Bools) -> Ints:
    """An order of the stretches in which closed strokes that are cut begin just after a cut."""
    order = np.arange(len(stroke))
    for k in np.flatnonzero(turning):
        low, high = np.searchsorted(stroke, [k, k + 1])
        gap = low + int(np.argmin(keep[low:high]))
        order[low:high] = np.concatenate([np.arange(gap, high), np.arange(low, gap)])
    return order
