"""Parallels of strokes: each point moved along the taut line at right angles to the stroke."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from motif.language.record import record
from motif.laying.clay import hermite
from motif.laying.collect import Lines
from motif.laying.curves import Segments, Tracer, cubics
from motif.laying.drawing import Chains
from motif.laying.limits import check_crossed
from motif.laying.obstacles import SAMPLE, Obstacles, Shape
from motif.laying.piece import Floats, Ints
from motif.laying.region import Region
from motif.laying.strokes import Strokes
from motif.laying.trace import cut_up, travelled
from motif.wall import Wall
from motif.wall.compass import set_off, travel

#: strokes are followed with chords no farther off than this, mm, and steps no longer than ``SAMPLE``
_CHORD = 0.002
#: a change of direction above this is a corner, radians
_CORNER = 1e-3
#: a corner runs on until its parallels meet, up to this many times the distance (SVG 1.1, stroke-miterlimit)
_MITRE = 4.0
_ROUND_STEP = np.radians(4.0)
#: a parallel nearer than the distance by more than this belongs to a loop, mm
_LOOP = 2e-3
#: a parallel that is nowhere nearer by more than this has no loop, mm
_SHALLOW = 0.02
#: an end that lies on an edge runs on so many times the distance, to be cut there
_RUN_ON = 4.0


@record
class Trail:
    """One stroke followed in its direction: the ends of its k stretches, (k, 2) each, angle, tape and bearing."""

    angle: Floats
    tape: Floats
    bearing: Floats
    closed: bool


def trails(lines: Lines, strokes: Strokes, tracer: Tracer) -> list[Trail]:
    """The strokes followed finely from end to end, nothing cut."""
    region = Region(tracer.wall, -np.inf, np.inf, (), ())
    pieces = cut_up(lines, tracer, region, _CHORD, SAMPLE)
    piece, back, stroke = travelled(lines, strokes, pieces)
    s = lines.segments.at(pieces.segment[piece])
    t0, t1 = pieces.t0[piece], pieces.t1[piece]
    low, high = tracer.on_wall(s, t0), tracer.on_wall(s, t1)
    low_bearing, high_bearing = tracer.direction(s, t0, 1)[0], tracer.direction(s, t1, -1)[0]
    swap = back[:, None]
    half = np.where(back, np.pi, 0.0)[:, None]
    ends = [
        np.where(swap, np.stack([b, a], axis=1), np.stack([a, b], axis=1))
        for a, b in ((low[0], high[0]), (low[1], high[1]), (low_bearing, high_bearing))
    ]
    bounds = np.searchsorted(stroke, np.arange(len(strokes) + 1))
    return [
        Trail(ends[0][i:j], ends[1][i:j], ends[2][i:j] + half[i:j], bool(strokes.closed[k]))
        for k, (i, j) in enumerate(zip(bounds[:-1].tolist(), bounds[1:].tolist(), strict=True))
    ]


def shape_of(trail: Trail) -> Shape:
    """A stroke as samples no farther apart than ``SAMPLE`` (given that its stretches are not long), for distances."""
    angle, tape = _running(trail.angle), trail.tape
    points = np.column_stack([np.append(angle[:, 0], angle[-1, 1]), np.append(tape[:, 0], tape[-1, 1])])
    return Shape(points[:-1] if trail.closed else points, trail.closed)


def counter_clockwise(trail: Trail) -> bool:
    """Whether a closed stroke runs counter-clockwise as you look at the wall."""
    angle, tape = _running(trail.angle), trail.tape
    return bool(np.sum((tape[:, 0] + tape[:, 1]) * (angle[:, 1] - angle[:, 0])) < 0)


def _running(angle: Floats) -> Floats:
    """Stretches' angles (k, 2) without jumps of whole turns."""
    jump = np.round((angle[:-1, 1] - angle[1:, 0]) / (2 * np.pi))
    return angle + 2 * np.pi * np.concatenate([[0.0], np.cumsum(jump)])[:, None]


def parallels(trail_list: list[Trail], by: Floats, wall: Wall, region: Region) -> tuple[Chains, Ints]:
    """The parallels ``by`` (n,) mm to the left of strokes (negative: right), and the stroke each belongs to.

    Corners run on until they meet, up to four times the distance, and sharper ones get a round; loops are
    left out; an end on the band's or a panel's edge runs on over it. Offsets of smooth stretches are exact
    (their direction is that of the stroke, by Gauss's lemma) to the fourth power of the step; a mitre's
    point is set off along the bisector at distance ÷ cos(half the turn), right to |K| distance³."""
    made: list[Floats] = []
    owner: list[int] = []
    if not trail_list:
        return Chains(Segments.joined([]), np.zeros(0, dtype=np.int64)), np.zeros(0, dtype=np.int64)
    source = Obstacles(wall, [shape_of(t) for t in trail_list])
    sizes = [len(t.angle) for t in trail_list]
    bounds = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
    each = np.repeat(by, sizes)[:, None]
    angle = np.concatenate([_running(t.angle) for t in trail_list])
    side = np.sign(each) * np.pi / 2
    off_angle, off_tape, ahead = travel(
        wall,
        angle,
        np.concatenate([t.tape for t in trail_list]),
        np.concatenate([t.bearing for t in trail_list]) + side,
        np.abs(each),
    )
    off = np.stack([off_angle, off_tape, ahead - side], axis=2)  # (stretches, 2 ends, 3)
    cubes = hermite(wall, off[:, :, 0], off[:, :, 1], off[:, :, 2])
    for k, trail in enumerate(trail_list):
        here = slice(bounds[k], bounds[k + 1])
        for chain in _parallel(trail, off[here], cubes[here], float(by[k]), wall, region, source, k):
            made.append(chain)
            owner.append(k)
    if not made:
        return Chains(Segments.joined([]), np.zeros(0, dtype=np.int64)), np.zeros(0, dtype=np.int64)
    return (
        Chains(cubics(np.concatenate(made), on_wall=True), np.array([len(c) for c in made])),
        np.array(owner, dtype=np.int64),
    )


def _parallel(
    trail: Trail, off: Floats, cubes: Floats, by: float, wall: Wall, region: Region, source: Obstacles, number: int
) -> list[Floats]:
    """Chains of cubics (m, 4, 2) of one stroke's parallel; ``off`` (k, 2, 3) are the ends of its stretches moved,
    angle, tape and bearing, ``cubes`` (k, 4, 2) what joins them."""
    side, far = np.sign(by) * np.pi / 2, abs(by)
    n = len(off)
    turn = np.mod(np.roll(trail.bearing[:, 0], -1) - trail.bearing[:, 1] + np.pi, 2 * np.pi) - np.pi
    corner = np.abs(turn) >= _CORNER
    if not trail.closed:
        corner[-1] = False
    pieces: list[Floats] = []
    begin = 0
    for i in np.flatnonzero(corner).tolist():
        pieces.append(cubes[begin : i + 1])
        begin = i + 1
        joint = _joint(
            wall,
            float(trail.angle[i, 1]),
            float(trail.tape[i, 1]),
            float(trail.bearing[i, 1]),
            float(turn[i]),
            side,
            far,
        )
        leave, enter = off[i, 1, :2], off[(i + 1) % n, 0, :2].copy()
        enter[0] += 2 * np.pi * np.round((leave[0] - enter[0]) / (2 * np.pi))
        if len(joint):
            joint[:, 0] += 2 * np.pi * np.round((leave[0] - joint[:, 0]) / (2 * np.pi))
        pieces.append(_straight(np.vstack([leave, joint, enter])))
    pieces.append(cubes[begin:])
    chain = np.concatenate(pieces)
    if not trail.closed:
        for at_start in (True, False):
            chain = _run_on(chain, trail, wall, region, far, at_start, off)
    middles = _value(chain, 0.5)
    low = source.clearance(middles[:, 0], middles[:, 1], np.full(len(chain), far), np.full(len(chain), number))
    if np.all(low > -_LOOP):
        return [chain]
    return _without_loops(chain, trail.closed, wall, far, source, number)


def _joint(wall: Wall, angle: float, tape: float, bearing: float, turn: float, side: float, far: float) -> Floats:
    """Points (m, 2) between the parallels' ends at a corner; none on its inner side, where they cross."""
    if turn * side > 0:
        return np.zeros((0, 2))
    inner = np.cos(turn / 2)
    if inner > 1e-9 and 1 / inner <= _MITRE:
        directions, reach = np.array([bearing + turn / 2 + side]), far / inner
    else:
        steps = max(2, int(np.ceil(abs(turn) / _ROUND_STEP)))
        directions, reach = bearing + side + turn * np.arange(1, steps) / steps, far
    return np.column_stack(set_off(wall, angle, tape, directions, reach))


def _straight(corners: Floats) -> Floats:
    p, step = corners[:-1], np.diff(corners, axis=0)
    moves = np.any(np.abs(step) > 1e-12, axis=1)
    zero = np.zeros_like(p[moves])
    return np.stack([p[moves], step[moves], zero, zero], axis=1)


def _run_on(chain: Floats, trail: Trail, wall: Wall, region: Region, far: float, at_start: bool, off: Floats) -> Floats:
    """A chain carried on over the edge on which its stroke ends, if its own end lies short of it."""
    i, j = (0, 0) if at_start else (-1, 1)
    if not region.ends_on_edge(float(trail.angle[i, j]), float(trail.tape[i, j])):
        return chain
    angle, tape, bearing = off[i, j]
    toward = bearing + (np.pi if at_start else 0.0)
    if not region.keeps(np.array([angle]), np.array([tape]))[0]:
        return chain
    ends = travel(wall, np.full(9, angle), np.full(9, tape), np.full(9, toward), far * _RUN_ON * np.arange(1, 10) / 9)
    out = ~region.keeps(ends[0], ends[1])
    if not out.any():
        return chain
    k = int(np.argmax(out)) + 1
    run = np.column_stack([np.append(angle, ends[0][:k]), np.append(tape, ends[1][:k])])
    added = _straight(run[::-1] if at_start else run)
    return np.concatenate([added, chain] if at_start else [chain, added])


def _value(chain: Floats, t: float) -> Floats:
    return np.asarray(chain[:, 0] + t * (chain[:, 1] + t * (chain[:, 2] + t * chain[:, 3])))


def _without_loops(chain: Floats, closed: bool, wall: Wall, far: float, source: Obstacles, number: int) -> list[Floats]:
    """What is left of a parallel when the loops it makes on the inner side of bends are left out: it is cut
    where it crosses itself, and what lies nearer to its stroke than the distance goes."""
    import shapely

    fine = np.concatenate([_value(chain, t) for t in (0.0, 0.25, 0.5, 0.75)], axis=1).reshape(-1, 2)
    fine = np.vstack([fine, _value(chain, 1.0)[-1:]])
    check_crossed(len(fine))
    scale = max(float(wall.radius(float(np.median(fine[:, 1])))), 1.0)
    noded = shapely.node(shapely.LineString(fine * [scale, 1.0]))
    kept = []
    for part in getattr(noded, "geoms", [noded]):
        points = np.asarray(part.coords) / [scale, 1.0]
        kept += [shapely.LineString(run * [scale, 1.0]) for run in _far_enough(points, scale, far, source, number)]
    if not kept:
        return []
    merged = shapely.line_merge(shapely.MultiLineString(kept), directed=True)
    found = []
    for part in getattr(merged, "geoms", [merged]):
        points = np.asarray(part.coords) / [scale, 1.0]
        if closed and len(points) > 3 and np.allclose(points[0], points[-1], atol=1e-9):
            points = _begun_straight(points)
        if len(points) > 1:
            found.append(_straight(points))
    return found


def _far_enough(points: Floats, scale: float, far: float, source: Obstacles, number: int) -> list[Floats]:
    """The runs of a polyline (k, 2) that does not cross itself which are no loop. As a rule that is all or nothing; on
    the inner side of a corner with a short arm the parallels pass one another by, and are parted where they come too
    near."""

    def room_at(some: Floats) -> Floats:
        return source.clearance(some[:, 0], some[:, 1], np.full(len(some), far), np.full(len(some), number))

    room = room_at(points)
    near = room < -2 * _LOOP
    if not near.any() or (not near[len(points) // 2] and room.min() > -_SHALLOW):
        return [points]
    edges = np.flatnonzero(np.diff(np.concatenate([[True], near, [True]]).astype(np.int64)))
    runs = []
    for i, j in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        run = points[i:j]
        if i:
            run = np.vstack([_last_far(points[i], points[i - 1], room_at), run])
        if j < len(points):
            run = np.vstack([run, _last_far(points[j - 1], points[j], room_at)])
        # What is left of a loop at its two ends, where it crosses what stays, is short.
        if np.hypot(*(np.diff(run, axis=0) * [scale, 1.0]).T).sum() > far / 4:
            runs.append(run)
    return runs


def _last_far(out: Floats, into: Floats, room_at: Callable[[Floats], Floats]) -> Floats:
    """The last place far enough on the way from a place that is to one too near, by halving."""
    for _ in range(16):
        half = (out + into) / 2
        if room_at(half[None, :])[0] >= -_LOOP / 2:
            out = half
        else:
            into = half
    return out


def _begun_straight(ring: Floats) -> Floats:
    """A closed polyline begun where it goes straight on, not at a corner, so that its ends join."""
    step = np.diff(ring, axis=0)
    heading = np.arctan2(step[:, 1], step[:, 0])
    turn = np.abs(np.mod(np.diff(heading) + np.pi, 2 * np.pi) - np.pi)
    k = int(np.argmin(turn)) + 1
    return np.vstack([ring[k:-1], ring[: k + 1]])
