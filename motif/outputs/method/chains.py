"""What one stroke or outline joins: its corners, the marks it passes, and how far it bulges between them."""

from __future__ import annotations

import itertools
import math

import numpy as np

from motif.language.record import changed, record
from motif.laying.piece import Floats, LaidPath
from motif.outputs.method.places import ON_THE_MARK, BandGrid, level, nearest_part
from motif.outputs.method.shapes import STRAIGHT, Compass, Oval, arc_of, circle_of, is_corner, oval_of
from motif.wall import Wall, taut

#: A line that ends short of a mark by no more than this part of a row is shown to that mark.
_SHORT_OF_A_MARK = 0.6
#: What is left free before a mark is no more than this part of the line.
_FREE = 0.6
#: An end aims at a mark that it would miss by no more than this part of the way there, bent lines being bent.
_AIM = 0.08
#: A circle is told by the marks it passes only if there are more than these, its start counted twice.
_FEW_MARKS = 3
#: A line longer than a taut one by less than this is taut, mm.
_AS_SHORT = 0.01
#: A taut line lies on the way between two marks if its parts are longer together by less than this, mm.
_ON_THE_WAY = 0.03
_EVEN = 1e-6
#: Steps in columns or rings that differ by less are equal.
_EVEN_STEP = 1e-3


@record
class Node:
    """A mark that a chain joins, in grid coordinates; ``bulge`` is how far the line from the node before leaves
    the straight way to the left of travel (mm; negative: to the right; 0: straight)."""

    a: float
    b: float
    bulge: float = 0.0


@record
class Chain:
    """The marks that a stroke joins, in order.

    ``closed`` comes back to its first node, which then stands last too; ``round`` goes all round the pot.
    ``short`` is how far the line stops short of its first and its last node, mm. A circle that passes no marks
    has no nodes, an ``oval`` two, at its ends nearest and farthest from the band's start. ``plain`` is false where
    marks and bulges do not tell its shape, which then wants a pattern of paper. A ``taut`` one is the shortest way
    between its two nodes, and not what a rule from mark to mark gives."""

    nodes: tuple[Node, ...]
    closed: bool
    round: bool
    short: tuple[float, float] = (0.0, 0.0)
    compass: Compass | None = None
    plain: bool = True
    taut: bool = False
    oval: Oval | None = None

    @property
    def step(self) -> tuple[float, float] | None:
        """Columns and rings from each mark to the next, of an open chain that goes straight on in equal steps."""
        if self.closed or not self.plain or self.taut or len(self.nodes) < 2 or any(n.bulge for n in self.nodes):
            return None
        a, b = (np.diff([getattr(n, c) for n in self.nodes]) for c in "ab")
        even = np.ptp(a) < _EVEN_STEP and np.ptp(b) < _EVEN_STEP
        return (float(a[0]), float(b[0])) if even else None


def chain_of(path: LaidPath, grid: BandGrid, *, beside_taut: bool = False, cut: bool = False) -> Chain:
    """The chain of a laid path, begun at its mark nearest the band's start and, of equals, farthest left.

    ``beside_taut``: other lines of its kind are taut, so if it is, it is told like them. ``cut``: the band or patches
    cut it at both ends, so it may be what is left of a circle."""
    a, b = grid.a(path.points[:, 0]), grid.b(path.points[:, 1])
    around = abs(a[-1] - a[0])
    is_round = path.closed and abs(around - grid.columns) < 0.5
    if not path.closed and _leads_back(a, b):
        a, b = a[::-1], b[::-1]
    if is_round and a[-1] < a[0]:
        a, b = a[::-1], b[::-1]
    if path.closed and not is_round and _runs_clockwise(a, b, grid):
        a, b = a[::-1], b[::-1]
    a, b = _with_crossings(a, b)
    across, tall = _cell(grid, a, b)
    points = np.column_stack([a * across, b * tall])
    circle = None
    if path.closed and not is_round:
        circle = circle_of(path, grid)
        first = _first_corner(points, a, b)
        points = np.concatenate([points[first:-1], points[: first + 1]])
    corners = _corners(points, closed=path.closed and not is_round)
    nodes, plain = [0], not path.holes
    bulges = [0.0]
    for start, end in itertools.pairwise(corners):
        stops = _stops(points, start, end, across, tall, grid)
        for p, q in itertools.pairwise(_without_turns(points, stops)):
            bulge, one_way = _bulge(points[p : q + 1])
            plain = plain and one_way
            nodes.append(q)
            bulges.append(bulge)
    joined = [
        Node(float(points[i, 0] / across), float(points[i, 1] / tall), v) for i, v in zip(nodes, bulges, strict=True)
    ]
    joined = _without_halts(joined, across, abs(tall))
    if circle is not None and not (plain and len(joined) > _FEW_MARKS and all(_on_part(n, grid) for n in joined)):
        return Chain((), True, False, (0.0, 0.0), circle, not path.holes)
    bent = any(n.bulge for n in joined)
    arc = arc_of(path, grid) if bent and cut else None
    if arc is not None:
        return Chain((), False, False, compass=arc)
    if path.closed and not is_round and circle is None and bent and not path.holes:
        by_crossings = len(joined) > _FEW_MARKS and all(_on_crossing(n, grid) for n in joined)
        oval = None if by_crossings else oval_of(path, grid)
        if oval is not None:
            return Chain((Node(oval.a, oval.ends[0]), Node(oval.a, oval.ends[1])), True, False, oval=oval)
    short = (0.0, 0.0)
    if not path.closed and len(corners) == 2:
        whole = _bulge(points)
        if whole[1] and _is_taut(path, grid.wall):
            ends, short = _marks_beyond(path, joined[0], joined[-1], grid)
            if whole[0] or beside_taut or (any(short) and not any(_to_the_marks(joined, path.length, grid)[1])):
                return Chain(ends, False, False, short, taut=True)
    if not path.closed and plain:
        joined, short = _to_the_marks(joined, path.length, grid)
    # Bends between places that have to be measured sideways are drawn by nobody: they are pricked.
    plain = plain and not (bent and any(_beside(n, grid) for n in joined))
    return Chain(tuple(joined), path.closed, is_round, short, circle, plain)


def _is_taut(path: LaidPath, wall: Wall) -> bool:
    """Whether an open line is as short as a string between its ends."""
    (angle0, tape0), (angle1, tape1) = path.points[0], path.points[-1]
    return path.length - float(taut(wall, angle0, tape0, angle1, tape1).length) < _AS_SHORT


def _marks_beyond(
    path: LaidPath, first: Node, last: Node, grid: BandGrid
) -> tuple[tuple[Node, Node], tuple[float, float]]:
    """The marks between which a taut line lies, and how far it stops short of them; its own ends where it does not."""
    starts, ends = _candidates(first, last, grid), _candidates(last, first, grid)
    if len(starts) == len(ends) == 1:
        return (first, last), (0.0, 0.0)
    a, b = np.array(starts).T, np.array(ends).T

    def long(one: Floats, other: Floats) -> Floats:
        ends = grid.angle(one[0]), grid.tape(one[1]), grid.angle(other[0]), grid.tape(other[1])
        return np.asarray(taut(grid.wall, *ends).length)

    before = long(a, np.array([[first.a], [first.b]]))
    after = long(np.array([[last.a], [last.b]]), b)
    between = long(a[:, :, None], b[:, None, :])
    # On the way from mark to mark, if that is as long as its parts together.
    excess = before[:, None] + path.length + after[None] - between
    near = (before < _FREE * path.length)[:, None] & (after < _FREE * path.length)[None]
    found = np.argwhere((excess < _ON_THE_WAY) & near)
    i, j = max(found.tolist(), key=lambda ij: (bool(before[ij[0]]) + bool(after[ij[1]]), -before[ij[0]] - after[ij[1]]))
    return (Node(*starts[i]), Node(*ends[j])), (float(before[i]), float(after[j]))


def _candidates(end: Node, other: Node, grid: BandGrid) -> list[tuple[float, float]]:
    """Marks that a line may stop short of beyond its end, and the end itself."""
    rise = end.b - other.b
    if abs(rise) < _EVEN_STEP or abs(end.a - other.a) < _EVEN_STEP or _on_half(end, grid):
        return [(end.a, end.b)]
    way, slope = (1 if rise > 0 else -1), (end.a - other.a) / rise
    found = [(end.a, end.b)]
    for halves in (1, 2):
        b = (math.floor(way * end.b * 2 + 1e-9) + halves) / 2 * way
        if abs(b - end.b) <= _SHORT_OF_A_MARK and 0 <= b <= grid.rows:
            a = round((end.a + (b - end.b) * slope) * 2) / 2
            found += [(a + right, b) for right in (-0.5, 0.0, 0.5)]
    return found


def _with_crossings(a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """A line with a point wherever it crosses a vertical, half a column or a ring."""
    t = [np.arange(len(a), dtype=np.float64)]
    for c in (2 * a, b):
        low, high = np.minimum(c[:-1], c[1:]), np.maximum(c[:-1], c[1:])
        first = np.floor(low + _EVEN) + 1
        count = np.maximum(np.ceil(high - _EVEN) - first, 0).astype(np.int64)
        k = np.repeat(np.arange(len(count)), count)
        whole = first[k] + np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        t.append(k + (whole - c[k]) / (c[k + 1] - c[k]))
    every = np.sort(np.concatenate(t))
    every = every[np.concatenate([[True], np.diff(every) > 1e-7])]
    numbers = np.arange(len(a), dtype=np.float64)
    return np.interp(every, numbers, a), np.interp(every, numbers, b)


def _leads_back(a: Floats, b: Floats) -> bool:
    """Whether an open line runs from the band's end to its start, or level to the left."""
    rise = b[-1] - b[0]
    return bool(rise < -_EVEN or (abs(rise) <= _EVEN and a[-1] < a[0]))


def _runs_clockwise(a: Floats, b: Floats, grid: BandGrid) -> bool:
    """As seen on the wall, where rings may be counted downward."""
    swept = float(np.sum(a[:-1] * b[1:] - a[1:] * b[:-1]))
    return swept * (1 if grid.rising else -1) < 0


def _cell(grid: BandGrid, a: Floats, b: Floats) -> tuple[float, float]:
    """A cell's width and height by tape half-way through a path, mm; the height is negative where rings are
    counted downward, so that left and right of travel are as seen."""
    middle = (float(b.min()) + float(b.max())) / 2
    tape = grid.tape_of(middle)
    across = float(grid.wall.radius(tape)) * math.tau / grid.columns
    return max(across, 1e-6), grid.row_mm(middle) * (1 if grid.rising else -1)


def _corners(points: Floats, closed: bool) -> list[int]:
    """Indexes of the corners, the first and the last point among them."""
    inner = np.flatnonzero(is_corner(points, closed)[1:-1]) + 1
    return [0, *inner.tolist(), len(points) - 1]


def _first_corner(points: Floats, a: Floats, b: Floats) -> int:
    """Where a closed path is begun: its corner (without one, its point) nearest the band's start, farthest left."""
    candidates = np.flatnonzero(is_corner(points, closed=True)[:-1])
    if not len(candidates):
        candidates = np.arange(len(points) - 1)
    order = np.lexsort([np.round(a[candidates], 6), np.round(b[candidates], 6)])
    return int(candidates[order[0]])


def _stops(points: Floats, start: int, end: int, across: float, tall: float, grid: BandGrid) -> list[int]:
    """Points of a smooth stretch where it passes marks: crossings of the grid, else rings, else verticals. What is
    bent stops only where nothing has to be measured sideways."""
    inner = np.arange(start + 1, end)
    upright = float(np.ptp(points[start : end + 1, 0])) < 0.02
    if not len(inner) or upright:
        return [start, end]
    a, b = points[inner, 0] / across, points[inner, 1] / tall
    bend = abs(_bulge(points[start : end + 1])[0])
    on_ring, on_vertical = np.abs(b - np.round(b)) * abs(tall) < 0.02, np.abs(a - np.round(a)) * across < 0.02
    # A closed line without corners comes back to where it starts: no rise and no run.
    rise, run = abs(points[end, 1] - points[start, 1]), abs(points[end, 0] - points[start, 0])
    if bend > STRAIGHT:
        on_ring &= np.array([_unmeasured(float(x), float(y), grid) for x, y in zip(a, b, strict=True)])
    for passing in (on_ring & on_vertical, on_ring):
        if passing.any() and (rise > abs(tall) * 1e-3 or bend > STRAIGHT or not run):
            return [start, *inner[passing].tolist(), end]
    if run > 1.5 * across and rise > abs(tall) * 1e-3 and on_vertical.any():
        return [start, *inner[on_vertical].tolist(), end]
    return [start, end]


def _without_turns(points: Floats, stops: list[int]) -> list[int]:
    """Stops, and between two of them the points where a wave crosses the straight way from one to the next."""
    found = stops[:1]
    for p, q in itertools.pairwise(stops):
        line = points[p : q + 1]
        if not _bulge(line)[1]:
            off = _off(line)
            beside = np.flatnonzero(np.abs(off) > STRAIGHT)
            turns = np.flatnonzero(np.diff(np.sign(off[beside])))
            for i in turns.tolist():
                between = slice(int(beside[i]), int(beside[i + 1]) + 1)
                found.append(p + between.start + int(np.abs(off[between]).argmin()))
        found.append(q)
    return found


def _off(line: Floats) -> Floats:
    """How far a line's points lie to the left of the straight way between its ends."""
    chord = line[-1] - line[0]
    across = chord[0] * (line[:, 1] - line[0, 1]) - chord[1] * (line[:, 0] - line[0, 0])
    return across / max(float(np.hypot(*chord)), 1e-9)


def _bulge(line: Floats) -> tuple[float, bool]:
    """How far a line leaves the straight way between its ends, to the left of travel, and whether it keeps to
    one side of it. 0 within ``STRAIGHT``."""
    chord = line[-1] - line[0]
    length = float(np.hypot(*chord))
    if length < 1e-9:
        return 0.0, len(line) < 3
    off = _off(line)
    low, high = float(off.min()), float(off.max())
    if max(-low, high) <= STRAIGHT:
        return 0.0, True
    along = (line - line[0]) @ chord / length
    forward = bool(np.all(np.diff(along) > -0.05))
    return (high if high >= -low else low), min(-low, high) <= STRAIGHT and forward


def _without_halts(nodes: list[Node], across: float, tall: float) -> list[Node]:
    """Without nodes that no hand tells from the one before; the last stays."""
    kept = nodes[:1]
    for k, node in enumerate(nodes[1:], 1):
        if math.hypot((node.a - kept[-1].a) * across, (node.b - kept[-1].b) * tall) > ON_THE_MARK:
            kept.append(node)
        elif k == len(nodes) - 1 and len(kept) > 1:
            kept[-1] = changed(node, bulge=kept[-1].bulge)
    return kept


def _to_the_marks(nodes: list[Node], long: float, grid: BandGrid) -> tuple[list[Node], tuple[float, float]]:
    """The nodes of a line so ``long`` with ends that stop short of a mark put on it, and by how much they stop
    short."""
    if len(nodes) < 2:
        return nodes, (0.0, 0.0)
    first, short_first = _end(nodes[0], nodes[1], nodes[1].bulge, grid)
    last, short_last = _end(nodes[-1], nodes[-2], nodes[-1].bulge, grid)
    if short_first > _FREE * long:
        first, short_first = (nodes[0].a, nodes[0].b), 0.0
    if short_last > _FREE * long:
        last, short_last = (nodes[-1].a, nodes[-1].b), 0.0
    inner = nodes[1:-1]
    return [Node(first[0], first[1]), *inner, Node(last[0], last[1], nodes[-1].bulge)], (short_first, short_last)


def _end(end: Node, inner: Node, bulge: float, grid: BandGrid) -> tuple[tuple[float, float], float]:
    """The mark that a straight end aims at and stops short of, and by how much (mm); else the end itself."""
    at = (end.a, end.b)
    rise = end.b - inner.b
    # How high an upright way begins or ends is read from the tape, short of a mark or not.
    if bulge or abs(rise) < 1e-3 or abs(end.a - inner.a) < _EVEN_STEP or _on_half(end, grid):
        return at, 0.0
    tape, angle = grid.tape_of(end.b), grid.angle_of(end.a)
    radius, slope, way = float(grid.wall.radius(tape)), (end.a - inner.a) / rise, 1 if rise > 0 else -1
    for halves in range(1, 3):
        b = (math.floor(way * end.b * 2 + 1e-9) + halves) / 2 * way
        if abs(b - end.b) > _SHORT_OF_A_MARK or not -1e-9 <= b <= grid.rows + 1e-9:
            break
        a = end.a + (b - end.b) * slope
        mark = round(a * 2) / 2
        turned, climbed = grid.angle_of(mark) - angle, grid.tape_of(b) - tape
        short = math.hypot(radius * turned, climbed)
        if abs(a - mark) * grid.column_mm(a, tape) <= max(ON_THE_MARK, _AIM * short):
            return (mark, b), short
    return at, 0.0


def _on_half(node: Node, grid: BandGrid) -> bool:
    """Whether a place is where a line may well be meant to end: on a mark, or half-way between two."""
    tape = grid.tape_of(node.b)
    off = abs(node.a - round(2 * node.a) / 2) * grid.column_mm(node.a, tape)
    return off < ON_THE_MARK and abs(node.b - round(2 * node.b) / 2) * grid.row_mm(node.b) < ON_THE_MARK


def _on_crossing(node: Node, grid: BandGrid) -> bool:
    """Whether a place lies on a ring, on a vertical or half-way between two."""
    ring, tape = level(grid, node.b)
    return ring is not None and abs(node.a - round(2 * node.a) / 2) * grid.column_mm(node.a, tape) <= ON_THE_MARK


def _beside(node: Node, grid: BandGrid) -> bool:
    return not _unmeasured(node.a, node.b, grid)


def _unmeasured(a: float, b: float, grid: BandGrid) -> bool:
    """Whether a place lies on a vertical or a part that a hand finds."""
    return not nearest_part(a, grid.column_mm(a, grid.tape_of(b)))[1]


def _on_part(node: Node, grid: BandGrid) -> bool:
    tape = grid.tape_of(node.b)
    return (
        not nearest_part(node.a, grid.column_mm(node.a, tape))[1] and not nearest_part(node.b, grid.row_mm(node.b))[1]
    )
