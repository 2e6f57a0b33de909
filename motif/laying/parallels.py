"""Parallels of strokes: each point moved along the taut line at right angles to the stroke."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from motif.language.record import record
from motif.laying.clay import hermite
from motif.laying.collect import Lines
from motif.laying.curves import Segments, Tracer, cubics, cubics_at
from motif.laying.drawing import Chains
from motif.laying.loops import LOOP, without_loops
from motif.laying.obstacles import SAMPLE, Obstacles, Shape
from motif.laying.piece import Floats, Ints
from motif.laying.region import Region
from motif.laying.strokes import Strokes
from motif.laying.trace import cut_up, travelled
from motif.wall import Wall
from motif.wall.compass import set_off, travel
from motif.wall.rings import closed_ends, enclosed

#: strokes are followed with chords no farther off than this, mm, and in steps no longer than this, or than this part of
#: the wall's radius, but for steps of ``SAMPLE``
_CHORD, _STEP, _PART = 0.001, 1.0, 0.1
#: a change of direction above this is a corner, radians
_CORNER = 1e-3
#: a corner runs on until its parallels meet, up to this many times the distance (SVG 1.1, stroke-miterlimit)
_MITRE = 4.0
_ROUND_STEP = np.radians(4.0)
#: an end that lies on an edge runs on so many times the distance, to be cut there
_RUN_ON = 4.0
#: nearer to the point of a closed end than the second, a parallel's stretches are no longer than this part of how far
#: they are from it; none is divided that is shorter than the third, mm
_SHORT_OF_END, _NEAR_END, _SHORTEST = 0.15, 3.0, 1e-7


@record
class Trail:
    """One stroke followed in its direction: the ends of its k stretches, (k, 2) each, angle, tape and bearing."""

    angle: Floats
    tape: Floats
    bearing: Floats
    closed: bool


def trails(lines: Lines, strokes: Strokes, tracer: Tracer, beside: float = 0.0) -> list[Trail]:
    """The strokes followed finely from end to end, nothing cut; ``beside`` (mm) so far up and down the wall too."""
    region = Region(tracer.wall, -np.inf, np.inf, (), ())
    pieces = cut_up(lines, tracer, region, _CHORD, _longest(lines, tracer, beside))
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


def _longest(lines: Lines, tracer: Tracer, beside: float) -> Floats:
    """How long a step may be on each segment, mm, so that cubics follow it, and what runs ``beside`` it."""
    n = len(lines.segments)
    narrowest = np.full(n, np.inf)
    for look_at in (0.0, 0.25, 0.5, 0.75, 1.0):
        tape = tracer.on_wall(lines.segments, np.full(n, look_at))[1]
        for aside in {-beside, 0.0, beside}:
            narrowest = np.minimum(narrowest, tracer.wall.radius(tape + aside))
    return np.clip(_PART * narrowest, SAMPLE, _STEP)


def shapes_of(trail_list: list[Trail], wall: Wall) -> list[Shape]:
    """Strokes as samples no farther apart than ``SAMPLE``, for distances."""
    if not trail_list:
        return []
    angle = np.concatenate([_running(t.angle) for t in trail_list])
    tape, bearing = (np.concatenate([getattr(t, name) for t in trail_list]) for name in ("tape", "bearing"))
    long = np.hypot(wall.radius(tape.mean(axis=1)) * np.diff(angle)[:, 0], np.diff(tape)[:, 0])
    parts = np.maximum(1, np.ceil(long / SAMPLE - 1e-3)).astype(np.int64)
    index = np.repeat(np.arange(len(angle)), parts)
    share = (np.arange(len(index)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[index]
    points = cubics_at(hermite(wall, angle, tape, bearing)[index], share[:, None])
    stop = np.cumsum([len(t.angle) for t in trail_list])
    last = np.concatenate([[0], np.cumsum(parts)])[stop]
    found = []
    for t, k, points_of in zip(trail_list, stop.tolist(), np.split(points, last[:-1]), strict=True):
        end = [] if t.closed else [[angle[k - 1, 1], tape[k - 1, 1]]]
        found.append(Shape(np.concatenate([points_of, np.reshape(end, (-1, 2))]), t.closed))
    return found


def counter_clockwise(trail: Trail, wall: Wall) -> bool:
    """Whether a closed stroke runs counter-clockwise, as you look at the wall, about what it encloses."""
    angle, tape = _running(trail.angle), trail.tape
    points = np.column_stack([np.append(angle[:, 0], angle[-1, 1]), np.append(tape[:, 0], tape[-1, 1])])
    return enclosed(wall, points) < 0


def _running(angle: Floats) -> Floats:
    """Stretches' angles (k, 2) without jumps of whole turns."""
    jump = np.round((angle[:-1, 1] - angle[1:, 0]) / (2 * np.pi))
    return angle + 2 * np.pi * np.concatenate([[0.0], np.cumsum(jump)])[:, None]


def parallels(trail_list: list[Trail], by: Floats, tracer: Tracer, region: Region) -> tuple[Chains, Ints]:
    """The parallels ``by`` (n,) mm to the left of strokes (negative: right), and the stroke each belongs to.

    Corners run on until they meet, up to four times the distance, and sharper ones get a round; loops are
    left out; an end on the band's or a panel's edge runs on over it. Offsets of smooth stretches are exact
    (their direction is that of the stroke, by Gauss's lemma) to the fourth power of the step; a mitre's
    point is set off along the bisector at distance ÷ cos(half the turn), right to |K| distance³."""
    made: list[Floats] = []
    wall = tracer.wall
    if not trail_list:
        return Chains(Segments.joined([]), np.zeros(0, dtype=np.int64)), np.zeros(0, dtype=np.int64)
    followed = trail_list
    if closed_ends(wall):
        trail_list = [_closer_past_ends(t, float(b), wall) for t, b in zip(followed, by, strict=True)]
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
    # Past the point of a closed end the ways to two neighbours may pass on either side.
    off_angle[:, 1] -= 2 * np.pi * np.round((off_angle[:, 1] - off_angle[:, 0]) / (2 * np.pi))
    for begin, end in pairwise(bounds.tolist()):
        off_angle[begin:end] = _running(off_angle[begin:end])
    off = np.stack([off_angle, off_tape, ahead - side], axis=2)  # (stretches, 2 ends, 3)
    # On the inner side of a bend narrower than the distance the parallel goes backward.
    step = np.diff(off[:, :, :2], axis=1)[:, 0] * np.column_stack(
        [wall.radius(off[:, :, 1].mean(axis=1)), np.ones(len(off))]
    )
    onward = np.stack([np.cos(off[:, :, 2]), np.sin(off[:, :, 2])]).sum(axis=2).T
    back = np.where(np.sum(step * onward, axis=1) < 0, np.pi, 0.0)
    cubes = hermite(wall, off[:, :, 0], off[:, :, 1], off[:, :, 2] + back[:, None])
    for k, trail in enumerate(trail_list):
        here = slice(bounds[k], bounds[k + 1])
        made.append(_parallel(trail, off[here], cubes[here], float(by[k]), wall, region))
    chains, owner = _off_their_strokes(made, followed, np.abs(by), tracer)
    if not chains:
        return Chains(Segments.joined([]), np.zeros(0, dtype=np.int64)), np.zeros(0, dtype=np.int64)
    return (
        Chains(cubics(np.concatenate(chains), on_wall=True), np.array([len(c) for c in chains])),
        np.array(owner, dtype=np.int64),
    )


def _closer_past_ends(trail: Trail, by: float, wall: Wall) -> Trail:
    """The stroke with its stretches halved until their parallels near the point of a closed end are short beside their
    distance from that: what is straight on the clay there turns by a large angle."""
    side = np.sign(by) * np.pi / 2
    angle, tape, bearing = _running(trail.angle), trail.tape, trail.bearing
    while True:
        _, level, _ = travel(wall, angle, tape, bearing + side, abs(by))
        away = np.min([np.abs(level - end) for end in closed_ends(wall)], axis=0).min(axis=1)
        radius = wall.radius(tape.mean(axis=1))
        long = np.hypot(radius * np.diff(angle)[:, 0], np.diff(tape)[:, 0])
        far = np.flatnonzero((long > _SHORT_OF_END * (away + long)) & (away < _NEAR_END) & (long > _SHORTEST))
        if not len(far):
            return Trail(angle, tape, bearing, trail.closed)
        cubes = hermite(wall, angle[far], tape[far], bearing[far])
        middle = cubics_at(cubes, 0.5)
        slope = cubes[:, 1] + cubes[:, 2] + 0.75 * cubes[:, 3]
        toward = np.arctan2(slope[:, 1], slope[:, 0] * wall.radius(middle[:, 1]))
        halves = []
        for ends, at in ((angle, middle[:, 0]), (tape, middle[:, 1]), (bearing, toward)):
            both = np.insert(ends, far + 1, ends[far], axis=0)
            first = far + np.arange(len(far))
            both[first, 1] = both[first + 1, 0] = at
            halves.append(both)
        angle, tape, bearing = halves


def _parallel(trail: Trail, off: Floats, cubes: Floats, by: float, wall: Wall, region: Region) -> Floats:
    """A chain of cubics (m, 4, 2), one stroke's parallel with its loops; ``off`` (k, 2, 3) are the ends of its
    stretches moved, angle, tape and bearing, ``cubes`` (k, 4, 2) what joins them."""
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
    return chain


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


def _off_their_strokes(
    made: list[Floats], trail_list: list[Trail], far: Floats, tracer: Tracer
) -> tuple[list[Floats], list[int]]:
    """What is left of parallels, ``far`` (n,) mm from their strokes, when the loops they make on the inner side of
    bends are left out, which lie nearer to the stroke; and the number of the stroke of each."""
    source = Obstacles(tracer.wall, shapes_of(trail_list, tracer.wall), tracer.limits)
    of = np.repeat(np.arange(len(made)), [len(chain) for chain in made])
    middles = cubics_at(np.concatenate(made), 0.5)
    near = source.clearance(middles[:, 0], middles[:, 1], far[of], of) <= -LOOP
    looped = np.flatnonzero(np.bincount(of, near, len(made)))

    def room(points: Floats, chain: Ints) -> Floats:
        return source.clearance(points[:, 0], points[:, 1], far[looped[chain]], looped[chain])

    left = [[chain] for chain in made]
    chains = [(made[k], trail_list[k].closed) for k in looped.tolist()]
    cut = without_loops(chains, far[looped], tracer.wall, room, tracer.limits)
    for k, kept in zip(looped.tolist(), cut, strict=True):
        left[k] = kept
    return [c for chains in left for c in chains], [k for k, chains in enumerate(left) for _ in chains]
