"""Which parts of a wall are seen, as areas of (angle, tape), and the contour that bounds them.

``Sight`` says what is seen of single rings. Here rings are followed up the wall, and more are put between
where their parts do not run straight on, until every edge lies within ``HAIR`` of where it belongs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from motif.wall.sight import NARROW, Sight

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

#: How far, along the ring, an edge may lie from where it belongs, mm.
HAIR = 0.004
#: Rings are not put nearer to one another than this, mm; where their parts still differ, one has ended.
_NEAREST = 1e-7
#: Beside corners, foot and rim rings are looked at this far off, mm: there is one answer on either side.
_BESIDE = 1e-6
#: A kind of ring that is met on less tape than this is rounding, mm.
_STRAY = 1e-6
#: A contour that clay covers by less than this, in cos ψ, is seen.
_BARE = 1e-8
#: A face turned to the eye by less than this, as the cosine between its normal and the line of sight, is seen edge on.
_EDGE_ON = 2e-6
#: The contour inside the pot is left out where no more of it is seen than this part of the rim's radius: the inner
#: face of real clay lies elsewhere, and the end of a line in a narrow mouth would seem a slip of the pen.
_GLIMPSE = 0.25
#: Evenly spaced rings that are looked at in any case.
_FEWEST = 65
#: Rings are put between no more often than this: each time halves the distance.
_ROUNDS = 40


@dataclass(frozen=True, eq=False)
class Visible:
    """What is seen of the decorated face, from one tilt, whichever way the pot faces.

    ``belts`` are stretches of tape (from, to) that are seen all round. ``patches`` are rings of an area, (k, 2)
    angle and tape, not closed on themselves; an angle may lie up to a turn beyond ±π. Belts and patches
    touch but do not overlap, and repeat every turn.

    ``outline`` are the lines, (k, 2), that bound clay against what lies behind it and that no clay hides: the
    contour, the rim, the foot, and what of the corners is turned to the eye on one side only. ``creases`` are the
    other edges that are seen: corners with both sides turned to the eye or from it, the edge of the floor, and
    the contour inside the pot where more than a glimpse of it is seen; ``behind`` what of rim, foot and corners
    is hidden. Along a ring their ends are all they have."""

    belts: tuple[tuple[float, float], ...]
    patches: tuple[Floats, ...]
    outline: tuple[Floats, ...]
    creases: tuple[Floats, ...]
    behind: tuple[Floats, ...]


@dataclass(frozen=True, eq=False)
class _Rings:
    """Rings at growing tapes: for each the seen parts of cos ψ as bearings, and its point of the contour.

    ``near`` and ``far`` (n, k) are the bearings 0 … π at which a part begins and ends, ``edge`` (n,) that
    of the contour; NaN for what there is not. ``within`` (n,): at the contour one looks into the pot, at the
    inner face of a rising wall."""

    tape: Floats
    radius: Floats
    near: Floats
    far: Floats
    edge: Floats
    within: Bools

    @classmethod
    def of(cls, sight: Sight, tape: Floats) -> _Rings:
        low, high = sight.unhidden(tape)
        contour = sight.contour(tape)
        touched = (contour[:, None] >= low - _BARE) & (contour[:, None] <= high + _BARE)
        edge = np.arccos(np.where(touched.any(axis=1) & (np.abs(contour) < 1), contour, np.nan))
        within = ~np.any(touched & (high > contour[:, None] + _BARE), axis=1) & (sight.wall.height_slope(tape) > 0)
        least, most = sight.turned_toward(tape, by=_EDGE_ON)
        low, high = np.maximum(low, least[:, None]), np.minimum(high, most[:, None])
        there = high - low > NARROW
        return cls(
            tape,
            sight.wall.radius(tape),
            np.sort(np.arccos(np.where(there, high, np.nan)), axis=1),
            np.sort(np.arccos(np.where(there, low, np.nan)), axis=1),
            edge,
            within & ~np.isnan(edge),
        )

    @property
    def table(self) -> Floats:
        return np.column_stack([self.near, self.far, self.edge])

    @property
    def kind(self) -> Floats:
        """What must be alike in two rings if their parts belong together, in numbers (n, …)."""
        there = ~np.isnan(self.near)
        return np.column_stack([there, self.near == 0, self.far == np.pi, ~np.isnan(self.edge), self.within]).astype(
            float
        )

    def merged(self, other: _Rings) -> _Rings:
        """Both, in order of tape."""
        wide = max(self.near.shape[1], other.near.shape[1])
        order = np.argsort(np.concatenate([self.tape, other.tape]), kind="stable")

        def both(a: Any, b: Any) -> Any:
            if a.ndim == 2:
                a, b = (np.hstack([x, np.full((len(x), wide - x.shape[1]), np.nan)]) for x in (a, b))
            return np.concatenate([a, b])[order]

        return _Rings(
            both(self.tape, other.tape),
            both(self.radius, other.radius),
            both(self.near, other.near),
            both(self.far, other.far),
            both(self.edge, other.edge),
            both(self.within, other.within),
        )

    def chosen(self, which: Bools) -> _Rings:
        return _Rings(
            self.tape[which],
            self.radius[which],
            self.near[which],
            self.far[which],
            self.edge[which],
            self.within[which],
        )


def visible(sight: Sight) -> Visible:
    """What is seen of the wall from foot to rim."""
    rings = _settled(_rings(sight), sight)
    belts: list[tuple[float, float]] = []
    patches: list[Floats] = []
    outline, creases, behind = _edges(sight)
    kind = rings.kind
    starts = np.flatnonzero(np.any(kind[1:] != kind[:-1], axis=1)) + 1
    cuts = np.concatenate(([0], starts, [len(rings.tape)]))
    for first, until in zip(cuts[:-1].tolist(), cuts[1:].tolist(), strict=True):
        here = slice(first, until)
        tape = rings.tape[here].copy()
        # Stretches of one kind meet half-way between their rings, which are as near as rounding; so do
        # those on either side of a corner.
        tape[0] = 0.0 if first == 0 else (rings.tape[first - 1] + rings.tape[first]) / 2
        tape[-1] = sight.wall.length if until == len(rings.tape) else (rings.tape[until - 1] + rings.tape[until]) / 2
        for near, far in zip(rings.near[here].T, rings.far[here].T, strict=True):
            if np.isnan(near[0]):
                continue
            if near[0] == 0 and far[0] == np.pi:
                belts.append((float(tape[0]), float(tape[-1])))
            else:
                patches += _patches(near, far, tape)
        if not np.isnan(rings.edge[first]):
            line = _contour(sight, rings, first, until, tape)
            within = rings.within[first]
            if _drawn_length(sight, line) > (_GLIMPSE * sight.wall.radius(sight.wall.length) if within else HAIR):
                (creases if within else outline).extend([line, line * [-1.0, 1.0]])
    for line in (*patches, *outline, *creases, *behind):
        line[:, 0] = sight.bearing(line[:, 0])
    return Visible(tuple(belts), tuple(patches), tuple(outline), tuple(creases), tuple(behind))


def _edges(sight: Sight) -> tuple[list[Floats], list[Floats], list[Floats]]:
    """Rim, foot and corners: what bounds the clay as seen, other edges that are seen, and what is hidden."""
    wall = sight.wall
    outline: list[Floats] = []
    creases: list[Floats] = []
    behind: list[Floats] = []
    for tape in (0.0, *wall.corners.tolist(), wall.length):
        if wall.radius(tape) < _NEAREST:
            continue
        at = np.array([tape])
        faces = [np.concatenate(sight.turned_toward(at, side)) for side in ("below", "above")]
        bounds = np.clip(np.concatenate(faces), -1.0, 1.0)
        seen = [(float(a), float(b)) for a, b in zip(*(x[0] for x in sight.unhidden(at)), strict=True) if a < b]
        cuts = np.unique([-1.0, 1.0, *bounds, *(c for part in seen for c in part)])
        kinds = []
        for middle in (cuts[1:] + cuts[:-1]) / 2:
            toward = [bool(low < middle < high) for low, high in faces]
            if not any(a < middle < b for a, b in seen):
                kinds.append(behind)
            elif tape == wall.length or (toward[1] != sight.inside if tape == 0.0 else toward[0] != toward[1]):
                kinds.append(outline)
            else:
                kinds.append(creases)
        for lines in (outline, creases, behind):
            lines.extend(_arcs(cuts, [kind is lines for kind in kinds], tape))
    return outline, creases, behind


def _arcs(cuts: Floats, wanted: list[bool], tape: float) -> Iterator[Floats]:
    """The wanted parts between the ``cuts``, values of cos ψ from −1 to 1, as arcs of the ring at ``tape``."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], wanted, [False]))))
    for first, last in edges.reshape(-1, 2).tolist():
        near, far = float(np.arccos(cuts[last])), float(np.arccos(cuts[first]))
        if near == 0.0 and far == np.pi:
            spans = [(-np.pi, np.pi)]
        elif near == 0.0:
            spans = [(-far, far)]
        elif far == np.pi:
            spans = [(near, 2 * np.pi - near)]
        else:
            spans = [(near, far), (-far, -near)]
        yield from (np.array([[begin, tape], [end, tape]]) for begin, end in spans)


def _contour(sight: Sight, rings: _Rings, first: int, until: int, tape: Floats) -> Floats:
    """The contour on the rings first … until, drawn at ``tape``, on one side of the pot: (k, 2).

    Where it ends because it meets its mirror image, at bearing 0 or π, it goes on to there."""
    line = np.column_stack([rings.edge[first:until], tape])
    for beyond, end in ((first - 1, 0), (until, -1)):
        if 0 <= beyond < len(rings.tape):
            next_ = float(sight.contour(rings.tape[beyond]))
            if abs(next_) >= 1:
                meeting = np.array([[0.0 if next_ > 0 else np.pi, line[end, 1]]])
                line = np.vstack([meeting, line] if end == 0 else [line, meeting])
    return line


def _drawn_length(sight: Sight, line: Floats) -> float:
    return float(np.hypot(*np.diff(sight.project(sight.bearing(line[:, 0]), line[:, 1]), axis=1)).sum())


def _settled(rings: _Rings, sight: Sight) -> _Rings:
    """Without rings that are of another kind than both their neighbours for next to no tape, by rounding.

    Where a part of the wall ends in a touch, rings as near as this to one another disagree."""
    kind = rings.kind
    block = np.concatenate(([0], np.cumsum(np.any(kind[1:] != kind[:-1], axis=1))))
    first, last = (
        np.searchsorted(block, np.arange(block[-1] + 1)),
        np.searchsorted(block, np.arange(block[-1] + 1), "right") - 1,
    )
    stray = rings.tape[last] - rings.tape[first] < _STRAY
    corner = np.concatenate([[0.0], sight.wall.corners, [sight.wall.length]])
    stray &= np.abs(rings.tape[first, None] - corner).min(axis=1) > 2 * _BESIDE
    return rings.chosen(~stray[block])


def _patches(near: Floats, far: Floats, tape: Floats) -> Iterator[Floats]:
    """The part of the rings between two bearings and its mirror image, as one ring or two."""
    if near[0] == 0:
        sides = [(-far, far)]
    elif far[0] == np.pi:
        sides = [(near, 2 * np.pi - near)]
    else:
        sides = [(near, far), (-far, -near)]
    for left, right in sides:
        yield np.column_stack([np.concatenate([right, left[::-1]]), np.concatenate([tape, tape[::-1]])])


def _rings(sight: Sight) -> _Rings:
    """Rings so near to one another that their parts run straight on between them, or end."""
    wall = sight.wall
    edges = np.concatenate([[0.0], wall.corners, [wall.length]])
    even = np.linspace(0.0, wall.length, _FEWEST)
    tapes = np.concatenate([wall.nodes_between(0.0, wall.length), wall.radius_turns, wall.height_turns, even])
    tapes = tapes[np.abs(tapes[:, None] - edges).min(axis=1) > 2 * _BESIDE]
    tapes = np.unique(np.concatenate([tapes, edges[:-1] + _BESIDE, edges[1:] - _BESIDE]))
    rings = _Rings.of(sight, tapes)
    low, high = tapes[:-1], tapes[1:]
    for _ in range(_ROUNDS):
        middle = (low + high) / 2
        # Across a corner there is nothing between.
        open_ = (high - low > _NEAREST) & (np.abs(middle[:, None] - edges).min(axis=1) > _BESIDE / 2)
        low, high, middle = low[open_], high[open_], middle[open_]
        if not len(middle):
            break
        rings = rings.merged(_Rings.of(sight, middle))
        at = np.searchsorted(rings.tape, middle)
        lacking = ~_straight(rings, at)
        keep = np.ones(len(rings.tape), dtype=np.bool_)
        keep[at[~lacking]] = False
        rings = rings.chosen(keep)
        low, middle, high = low[lacking], middle[lacking], high[lacking]
        low, high = np.concatenate([low, middle]), np.concatenate([middle, high])
    return rings


def _straight(rings: _Rings, at: Ints) -> Bools:
    """Whether the rings ``at`` lie where a straight line between their neighbours has them."""
    kind, table = rings.kind, rings.table
    alike = np.all((kind[at - 1] == kind[at]) & (kind[at] == kind[at + 1]), axis=1)
    off = np.abs(table[at] - (table[at - 1] + table[at + 1]) / 2) * rings.radius[at, None]
    return alike & np.all((off <= HAIR) | np.isnan(off), axis=1)
