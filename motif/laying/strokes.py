"""Lines drawn twice made once, and lines that go on from one another joined into strokes."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.clusters import clusters, distinct, firsts
from motif.laying.collect import Lines, Spots
from motif.laying.curves import Segments, Tracer
from motif.laying.piece import Floats, Ints
from motif.wall import Wall
from motif.wall.quadrature import gauss

Bools = NDArray[np.bool_]

#: ends nearer than this meet, and lines nearer than this are one, mm
MEET = 0.01
#: so many points are tried first, by which most lines are told apart
_FIRST = 8
#: so many distances are looked at together
_AT_ONCE = 500_000
#: lines of about so many segments are measured together
_SEGMENTS = 4_000
#: a cubic on the wall no longer than this is measured at four places, any other segment at sixteen, mm
_SHORT = 2.0
#: lines that go on within this are one stroke
_ONWARD = np.radians(10.0)
#: nodes with more ends than this look only for ends that lie nearly opposite
_CROWD = 48


def _composite(parts: int, nodes: int) -> tuple[Floats, Floats]:
    """Nodes and weights on 0 … 1 of Gauss–Legendre quadrature on so many equal parts."""
    x, w = gauss(nodes)
    t = (np.arange(parts)[:, None] + x) / parts
    return t.ravel(), np.tile(w / parts, parts)


def in_space(wall: Wall, angle: Floats, tape: Floats) -> Floats:
    """Points of the wall in space (n, 3), mm, the axis upright."""
    r = wall.radius(tape)
    return np.stack([r * np.cos(angle), r * np.sin(angle), wall.height(tape)], axis=1)


# ---------------------------------------------------------------- made once


def once_only_spots(spots: Spots, wall: Wall) -> Spots:
    """Point marks without those made before in the same place, the same way."""
    if len(spots) < 2:
        return spots
    xyz = in_space(wall, spots.angle, spots.tape)
    size = np.nan_to_num(spots.across, nan=-1.0)
    label = clusters(
        [spots.work.astype(float), size, np.mod(spots.lean + 1e-9, 2 * np.pi), *xyz.T],
        [0.5, 1e-6, 1e-6, MEET, MEET, MEET],
    )
    first = firsts(label, xyz, MEET)
    return spots if len(first) == len(spots) else spots.at(np.sort(first))


def once_only_lines(lines: Lines, tracer: Tracer) -> Lines:
    """Lines and outlines without those drawn before in the same place, the same way."""
    n = len(lines)
    if n < 2:
        return lines
    label = clusters(*_likeness(lines, tracer))
    order = np.argsort(label, kind="stable")
    first = order[np.concatenate([[True], np.diff(label[order]) > 0])]
    if len(first) == n:
        return lines
    keep = np.ones(n, dtype=np.bool_)
    members = np.split(order, np.flatnonzero(np.diff(label[order])) + 1)
    pairs = [(int(m[0]), int(x)) for m in members if len(m) > 1 for x in m[1:]]
    same = _same_place(lines, tracer, np.array(pairs))
    doubtful: dict[int, list[int]] = {}
    for (a, b), alike in zip(pairs, same, strict=True):
        if alike:
            keep[b] = False
        else:
            doubtful.setdefault(a, []).append(b)
    for others in doubtful.values():  # alike in length and spread, yet not the first: perhaps one another
        left = others
        while len(left) > 1:
            head, rest = left[0], left[1:]
            alike = _same_place(lines, tracer, np.array([(head, x) for x in rest]))
            keep[[x for x, s in zip(rest, alike, strict=True) if s]] = False
            left = [x for x, s in zip(rest, alike, strict=True) if not s]
    return lines.at(np.flatnonzero(keep))


def _likeness(lines: Lines, tracer: Tracer) -> tuple[list[Floats], list[float]]:
    """What two lines in one place have in common, whichever way they run and wherever they begin: the way
    of working, length, middle, and spread about the middle."""
    # Some lines at a time: places along all of them would take many times the room of what comes out.
    edges = [0, *np.searchsorted(lines.first, np.arange(0, len(lines.segments), _SEGMENTS)).tolist(), len(lines)]
    parts = [_length_and_spread(lines, tracer, i, j) for i, j in pairwise(edges) if j > i]
    length, *rest = np.concatenate(parts, axis=1)
    slack = float(2 * MEET * max(1.0, length.max(initial=0.0)))
    columns = [
        lines.work.astype(float),
        lines.encloses.astype(float),
        lines.over_area.astype(float),
        lines.trim.astype(float),
        lines.panel.astype(float),
        length,
        *rest,
    ]
    return columns, [0.5, 0.5, 0.5, 0.5, 0.5, 4 * MEET, MEET, MEET, MEET, *[slack] * 6]


def _length_and_spread(lines: Lines, tracer: Tracer, start: int, stop: int) -> Floats:
    """Of lines ``start`` … ``stop`` − 1 the length, the middle in space (3) and the spread about it (6): (10, n)."""
    n = stop - start
    first, last = lines.first[start], lines.first[stop]
    owner = np.repeat(np.arange(n), np.diff(lines.first[start : stop + 1]))
    segments = lines.segments.at(slice(first, last))
    fine, coarse = _composite(4, 4), _composite(1, 4)
    short = _short(segments, tracer.wall)
    count = np.where(short, len(coarse[0]), len(fine[0]))
    t, weights = (np.empty(int(count.sum())) for _ in range(2))
    which = np.repeat(short, count)
    for chosen, (x, w) in ((which, coarse), (~which, fine)):
        some = int(np.count_nonzero(chosen)) // len(x)
        t[chosen], weights[chosen] = np.tile(x, some), np.tile(w, some)
    s = segments.at(np.repeat(np.arange(len(segments)), count))
    angle, tape, around, up = tracer.motion(s, t)
    weight = np.hypot(tracer.wall.radius(tape) * around, up) * weights
    xyz = in_space(tracer.wall, angle, tape)
    of = np.repeat(owner, count)
    length = np.bincount(of, weight, n)
    middle = np.stack([np.bincount(of, weight * x, n) for x in xyz.T], axis=1) / np.maximum(length, 1e-12)[:, None]
    away = xyz - middle[of]
    spread = [
        np.bincount(of, weight * away[:, i] * away[:, j], n) / np.maximum(length, 1e-12)
        for i, j in ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))
    ]
    return np.stack([length, *middle.T, *spread])


def _short(s: Segments, wall: Wall) -> Bools:
    """Which segments are cubics on the wall no longer than ``_SHORT`` mm."""
    c = np.abs(s.coefficients)
    around, up = c[:, 2] + c[:, 4] + c[:, 6], c[:, 3] + c[:, 5] + c[:, 7]
    radius = wall.radius(s.coefficients[:, 1])
    return s.on_wall & ~s.conic & (np.hypot(radius * around, up) < _SHORT)


def _same_place(lines: Lines, tracer: Tracer, pairs: NDArray[np.int64]) -> Bools:
    """Whether the lines of each pair (m, 2) lie within ``MEET`` of one another all along."""
    result = np.zeros(len(pairs), dtype=np.bool_)
    count = np.diff(lines.first)
    for k in distinct(count[pairs[:, 0]]):
        chosen = np.flatnonzero((count[pairs[:, 0]] == k) & (count[pairs[:, 1]] == k))
        for part in np.array_split(chosen, max(1, len(chosen) * int(k) // 50_000 + 1)):
            a, b = (_samples(lines, tracer, pairs[part, side], int(k)) for side in (0, 1))
            for way in (b, b[:, ::-1]):
                result[part] |= np.linalg.norm(a - way, axis=2).max(axis=1, initial=0.0) <= MEET
        chosen = chosen[~result[chosen]]
        for part in np.array_split(chosen, max(1, len(chosen) * int(k) ** 2 * 16 // _AT_ONCE + 1)):
            if len(part):
                a, b = (_samples(lines, tracer, pairs[part, side], int(k)) for side in (0, 1))
                gap = np.linalg.norm(a[:, :, None, :] - b[:, None, :, :], axis=3)
                result[part] = (gap.min(axis=2).max(axis=1) <= MEET) & (gap.min(axis=1).max(axis=1) <= MEET)
    for i in np.flatnonzero(~result):  # closed ones may begin anywhere, and the same line be cut up otherwise
        result[i] = _lie_together(lines, tracer, *pairs[i])
    return result


def _samples(lines: Lines, tracer: Tracer, chosen: Ints, k: int) -> Floats:
    """Points in space (m, 4k, 3) of lines with k segments each, alike for both ways of travel."""
    index = (lines.first[chosen][:, None] + np.arange(k)).ravel()
    s = lines.segments.at(np.repeat(index, 4))
    angle, tape = tracer.on_wall(s, np.tile([0.125, 0.375, 0.625, 0.875], len(index)))
    return in_space(tracer.wall, angle, tape).reshape(len(chosen), 4 * k, 3)


def _lie_together(lines: Lines, tracer: Tracer, a: int, b: int) -> bool:
    """Whether each of two lines lies on the other, taken as a fine polygon."""

    def points(i: int, each: int, if_short: int) -> Floats:
        segments = np.arange(lines.first[i], lines.first[i + 1])
        parts = np.where(_short(lines.segments.at(segments), tracer.wall), if_short, each)
        index = np.append(np.repeat(segments, parts), segments[-1])
        within = np.arange(len(index) - 1) - np.repeat(np.cumsum(parts) - parts, parts)
        t = np.append(within / np.repeat(parts, parts), 1.0)
        return in_space(tracer.wall, *tracer.on_wall(lines.segments.at(index), t))

    def on(some: Floats, fine: Floats) -> bool:
        start = fine if lines.encloses[a] else fine[:-1]
        step = (np.roll(fine, -1, axis=0) - fine)[: len(start)]
        long = np.maximum(np.sum(step * step, axis=1), 1e-300)
        # Most points of one line in two guises lie beside the other's nearest corner; the rest are looked for all
        # along, a few at a time, those far apart first: lines that part are told apart by them.
        few = max(1, _AT_ONCE // len(start))
        order = np.concatenate([np.arange(k, len(some), 7) for k in range(7)])
        for tried in (order[:_FIRST], *np.array_split(order[_FIRST:], -(-len(some) // few))):
            apart = np.sum(start * start, axis=1) - 2 * some[tried] @ start.T  # square, but for that of the point
            corner = np.argmin(apart, axis=1)[:, None] + [-1, 0]
            away = some[tried, None, :] - start[corner]
            t = np.clip(np.sum(away * step[corner], axis=2) / long[corner], 0, 1)
            beside = np.linalg.norm(away - t[:, :, None] * step[corner], axis=2).min(axis=1) <= MEET
            here = tried[~beside]
            if not len(here):
                continue
            reach = np.einsum("mnk,nk->mn", some[here, None, :] - start, step) / long
            away = some[here, None, :] - start - np.clip(reach, 0, 1)[:, :, None] * step
            if np.linalg.norm(away, axis=2).min(axis=1).max() > MEET:
                return False
        return True

    return on(points(a, 9, 3), points(b, 300, 30)) and on(points(b, 9, 3), points(a, 300, 30))


# ---------------------------------------------------------------- joined


@record
class Strokes:
    """Chains of lines: stroke i has the entries ``first[i]`` … ``first[i + 1]`` of ``line`` and ``backward``,
    in order of travel. A stroke runs the way of its first drawn line, ``leader``."""

    first: Ints
    line: Ints
    backward: Bools
    closed: Bools
    leader: Ints

    def __len__(self) -> int:
        return len(self.closed)


def join(lines: Lines, tracer: Tracer) -> Strokes:
    """Join lines whose ends meet and go on within 10° (``unbroken``: at any angle).

    Ends are paired in order of the angle between them, rounded to a tenth of a degree, then of the
    difference of their bends, rounded to 0.001 per mm, then of drawing; each end once. Outlines are
    strokes by themselves."""
    n = len(lines)
    partner = np.full(2 * n, -1, dtype=np.int64)
    open_ = np.flatnonzero(~lines.encloses)
    if len(open_):
        for a, b in _ordered_pairs(lines, tracer, open_):
            if partner[a] < 0 and partner[b] < 0:
                partner[a], partner[b] = b, a
    return _chains(partner, lines.encloses)


def _ends(lines: Lines, tracer: Tracer, open_: Ints) -> tuple[Floats, Floats, Floats, Floats]:
    """For the start and finish of each open line (start, finish, start …): place in space (2m, 3), radius,
    bearing away from the line's end into the line, and bend when leaving the end along the line."""
    index = np.stack([lines.first[open_], lines.first[open_ + 1] - 1], axis=1).ravel()
    t = np.tile([0.0, 1.0], len(open_))
    s = lines.segments.at(index)
    angle, tape = tracer.on_wall(s, t)
    xyz = in_space(tracer.wall, angle, tape)
    bearing, bend = np.empty(len(t)), np.empty(len(t))
    for at, side in ((0, 1), (1, -1)):
        bearing[at::2], bend[at::2] = tracer.direction(s.at(slice(at, None, 2)), t[at::2], side)
    bearing[1::2] += np.pi
    bend[1::2] *= -1
    return xyz, tracer.wall.radius(tape), bearing, bend


def _ordered_pairs(lines: Lines, tracer: Tracer, open_: Ints) -> list[tuple[int, int]]:
    """Pairs of ends (2·line, + 1 for the finish) that may be joined, best first."""
    xyz, radius, bearing, bend = _ends(lines, tracer, open_)
    work, panel = (np.repeat(of[open_].astype(float), 2) for of in (lines.work, lines.panel))
    node = clusters([work, panel, *xyz.T], [0.5, 0.5, MEET, MEET, MEET])
    left, right = _within_nodes(node, bearing)
    near = np.linalg.norm(xyz[left] - xyz[right], axis=1) <= MEET + 1e-9
    left, right = left[near], right[near]
    turn = np.abs(np.mod(bearing[left] - bearing[right], 2 * np.pi) - np.pi)  # 0: straight on
    at_pole = np.flatnonzero(radius[left] < MEET)
    if len(at_pole):  # bearings there have no common frame; on a closed end all verticals meet
        turn[at_pole] = _turn_at_pole(xyz, bearing, lines, tracer, open_, left[at_pole], right[at_pole])
    free = np.repeat(lines.unbroken[open_], 2)
    fits = (turn <= _ONWARD + 1e-9) | (free[left] & free[right])
    left, right, turn = left[fits], right[fits], turn[fits]
    # Leaving along one line and coming in along the other bend opposite ways when one curve goes on.
    bent = np.abs(bend[left] + bend[right])
    tenths = np.floor(np.degrees(turn) * 10 + 0.5 + 1e-6)
    thousandths = np.floor(bent * 1000 + 0.5 + 1e-6)
    end = np.stack([2 * open_, 2 * open_ + 1], axis=1).ravel()
    a, b = np.minimum(end[left], end[right]), np.maximum(end[left], end[right])
    order = np.lexsort([b, a, thousandths, tenths])
    return list(zip(a[order].tolist(), b[order].tolist(), strict=True))


def _within_nodes(node: Ints, bearing: Floats) -> tuple[Ints, Ints]:
    """All pairs of ends in one node; in crowded nodes only those that lie nearly opposite."""
    order = np.argsort(node, kind="stable")
    sizes = np.bincount(node)
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    lefts: list[Ints] = []
    rights: list[Ints] = []
    for m in distinct(sizes):
        if m < 2:
            continue
        nodes = np.flatnonzero(sizes == m)
        if m <= _CROWD:
            i, j = np.triu_indices(int(m), 1)
            members = order[starts[nodes][:, None] + np.arange(m)]
            lefts.append(members[:, i].ravel())
            rights.append(members[:, j].ravel())
            continue
        for k in nodes:
            members = order[starts[k] : starts[k] + m]
            facing = np.mod(bearing[members], 2 * np.pi)
            by_angle = np.argsort(facing, kind="stable")
            ring = np.concatenate([facing[by_angle], facing[by_angle] + 2 * np.pi])
            opposite = 2 * _ONWARD + np.mod(facing + np.pi - 2 * _ONWARD, 2 * np.pi)
            low = np.searchsorted(ring, opposite - 2 * _ONWARD)
            high = np.searchsorted(ring, opposite + 2 * _ONWARD)
            count = high - low
            i = np.repeat(np.arange(m), count)
            j = by_angle[(np.repeat(low - np.cumsum(count) + count, count) + np.arange(count.sum())) % m]
            once = i < j
            lefts.append(members[i[once]])
            rights.append(members[j[once]])
    if not lefts:
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    return np.concatenate(lefts), np.concatenate(rights)


def _turn_at_pole(
    xyz: Floats, bearing: Floats, lines: Lines, tracer: Tracer, open_: Ints, left: Ints, right: Ints
) -> Floats:
    """The angle by which two lines fail to go straight on at a point of radius 0, taken in the flat disc there."""
    away = []
    for side in (left, right):
        line, finish = open_[side // 2], side % 2
        index = np.where(finish == 1, lines.first[line + 1] - 1, lines.first[line])
        t = np.where(finish == 1, 1 - 1e-4, 1e-4)
        angle, _ = tracer.on_wall(lines.segments.at(index), t)
        away.append(angle)
    return np.abs(np.mod(away[0] - away[1], 2 * np.pi) - np.pi)


def _chains(partner: Ints, encloses: Bools) -> Strokes:
    """Walk from line to line. Strokes come in the order of their first drawn lines."""
    n = len(encloses)
    mate = partner.tolist()
    shut = encloses.tolist()
    seen = bytearray(n)
    first, line, backward, closed, leader = [0], [], [], [], []
    for i in range(n):
        if seen[i]:
            continue
        end = 2 * i  # go back to where the stroke begins, or round to here again
        while not shut[i] and mate[end] >= 0 and mate[end] >> 1 != i:
            end = mate[end] ^ 1
        loop = shut[i] or (mate[end] >= 0 and mate[end] >> 1 == i)
        at = 2 * i if loop else end
        while not seen[at >> 1]:
            seen[at >> 1] = 1
            line.append(at >> 1)
            backward.append(at & 1)
            out = mate[at ^ 1]
            if out < 0:
                break
            at = out
        first.append(len(line))
        closed.append(loop)
        leader.append(i)
    return Strokes(
        np.array(first, dtype=np.int64),
        np.array(line, dtype=np.int64),
        np.array(backward, dtype=np.bool_),
        np.array(closed, dtype=np.bool_),
        np.array(leader, dtype=np.int64),
    )
