"""Chains of cubics that cross themselves, cut there, and some of the parts joined again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.curves import cubics_at, parts_of_cubics
from motif.laying.limits import Limits
from motif.laying.piece import Floats, Ints
from motif.wall import Wall

Bools = NDArray[np.bool_]

#: crossings are looked for on so many chords of a cubic, and then found on the cubics by so many of Newton's steps
_CHORDS, _NEWTON = 4, 6
#: two such places on a chain are one, in cubics
_SAME = 1e-7
#: a parallel nearer than its distance by more than this belongs to a loop; one that is nowhere nearer by more than this
#: has none, mm
LOOP, _SHALLOW = 2e-3, 0.02
#: where a parallel comes too near is found by so many halvings
_HALVINGS = 20


def _slope(chain: Floats, t: Floats) -> Floats:
    return np.asarray(chain[:, 1] + t * (2 * chain[:, 2] + t * 3 * chain[:, 3]))


@record
class Crossed:
    """A chain of cubics (k, 4, 2) and the places where it crosses itself: ``at`` (m,) in cubics from its start,
    increasing, and for each of them the ``other`` that lies in the same place."""

    chain: Floats
    closed: bool
    at: Floats
    other: Ints

    @property
    def parts(self) -> list[tuple[float, float]]:
        """From crossing to crossing; that of a closed chain which runs over its start ends beyond its end."""
        n = len(self.chain)
        if self.closed and len(self.at):
            return list(zip(self.at.tolist(), [*self.at[1:].tolist(), float(self.at[0]) + n], strict=True))
        ends = [0.0, *self.at.tolist(), float(n)]
        return list(pairwise(ends))

    def points(self, t: Floats) -> Floats:
        """Places (m, 2) at ``t`` in cubics from the start; beyond the end of a closed chain it begins again."""
        n = len(self.chain)
        round_ = np.mod(t, n) if self.closed else t
        k = np.minimum(round_.astype(np.int64), n - 1)
        return cubics_at(self.chain[k], (round_ - k)[:, None])

    def joined(self, runs: Sequence[tuple[float, float]]) -> list[Floats]:
        """Stretches of the chain joined to chains: what comes to a crossing goes straight on where that stays, and else
        turns off."""
        begins = {low: k for k, (low, _) in enumerate(runs)}
        taken: set[int] = set()
        onward: dict[int, int] = {}
        for k, (_, high) in enumerate(runs):
            way = next((w for x in self._ways(high) if (w := begins.get(x)) is not None and w not in taken), None)
            if way is not None:
                taken.add(way)
                onward[k] = way
        begun = [k for k in range(len(runs)) if k not in taken]
        left = set(range(len(runs)))
        found = []
        while left:
            k = begun.pop(0) if begun else min(left)
            first = k
            run = []
            while k in left:
                left.remove(k)
                run.append(k)
                k = onward.get(k, -1)
            chain = self._run([runs[i] for i in run])
            found.append(_begun_straight(chain) if k == first else chain)
        return found

    def _ways(self, place: float) -> list[float]:
        """Where a stretch that ends at a place of the chain may go on, the way straight on first."""
        n = len(self.chain)
        at = place - n if self.closed and place >= n else place
        k = int(np.searchsorted(self.at, at))
        if k < len(self.at) and self.at[k] == at:
            return [at, float(self.at[self.other[k]])]
        return [0.0] if self.closed and place == n else []

    def _run(self, parts: Sequence[tuple[float, float]]) -> Floats:
        n = len(self.chain)
        gained = cubics_at(self.chain[-1:], 1.0) - cubics_at(self.chain[:1], 0.0)
        pieces: list[Floats] = []
        for low, high in parts:
            k = np.arange(int(low), int(np.ceil(high)))
            cut = parts_of_cubics(self.chain[k % n], np.maximum(low - k, 0.0), np.minimum(high - k, 1.0))
            # A closed chain may come back to its start a turn farther round.
            cut[:, 0] += (k // n)[:, None] * gained
            if pieces:
                cut[:, 0, 0] += 2 * np.pi * np.round((pieces[-1][-1, :, 0].sum() - cut[0, 0, 0]) / (2 * np.pi))
            pieces.append(cut)
        return np.concatenate(pieces)


def crossed(chain: Floats, closed: bool, wall: Wall, limits: Limits) -> Crossed:
    """A chain of cubics (k, 4, 2) with its crossings. Raises ``too-many-marks``."""
    import shapely

    n = len(chain)
    t = np.arange(_CHORDS * n + 1) / _CHORDS
    k = np.minimum(t.astype(np.int64), n - 1)
    fine = cubics_at(chain[k], (t - k)[:, None])
    limits.check_crossed(len(fine))
    scale = [max(float(wall.radius(float(np.median(fine[:, 1])))), 1.0), 1.0]
    chords = shapely.linestrings(np.stack([fine[:-1], fine[1:]], axis=1) * scale)
    i, j = shapely.STRtree(chords).query(chords, predicate="intersects")
    apart = (j > i + 1) & ~((i == 0) & (j == len(chords) - 1) & closed)
    i, j = i[apart], j[apart]
    limits.check_overlaid(len(i))
    pair = _meet(chain * scale, t[i], t[j])
    pair = pair[np.lexsort(pair.T)]
    same = np.all(np.abs(np.diff(pair, axis=0)) < _SAME, axis=1)
    pair = pair[np.concatenate([[True], ~same])] if len(pair) else pair
    at = pair.ravel()
    order = np.argsort(at, kind="stable")
    rank = np.empty(len(at), dtype=np.int64)
    rank[order] = np.arange(len(at))
    other = np.empty(len(at), dtype=np.int64)
    other[rank] = rank.reshape(-1, 2)[:, ::-1].ravel()
    return Crossed(chain, closed, at[order], other)


def _meet(chain: Floats, s: Floats, t: Floats) -> Floats:
    """Where chords of a chain that begin at s and t (m,) cross, (m, 2), as places on its cubics; those that run side by
    side do not."""
    k, m = (np.minimum(x.astype(np.int64), len(chain) - 1) for x in (s, t))
    a, b = (s - k)[:, None] + [0.0, 1 / _CHORDS], (t - m)[:, None] + [0.0, 1 / _CHORDS]
    p, q = (cubics_at(chain[c], x[:, :1]) for c, x in ((k, a), (m, b)))
    d, e = (cubics_at(chain[c], x[:, 1:]) - y for c, x, y in ((k, a, p), (m, b, q)))
    u, v, straight = _solved(d, e, q - p)
    x, y = a[:, 0] + np.clip(u, 0, 1) / _CHORDS, b[:, 0] + np.clip(v, 0, 1) / _CHORDS
    for _ in range(_NEWTON):
        gap = cubics_at(chain[m], y[:, None]) - cubics_at(chain[k], x[:, None])
        du, dv, sound = _solved(_slope(chain[k], x[:, None]), _slope(chain[m], y[:, None]), gap)
        x = np.where(sound, np.clip(x + du, a[:, 0], a[:, 1]), x)
        y = np.where(sound, np.clip(y + dv, b[:, 0], b[:, 1]), y)
    return np.stack([k + x, m + y], axis=1)[straight]


def _solved(d: Floats, e: Floats, gap: Floats) -> tuple[Floats, Floats, Bools]:
    """u and v with d u = gap + e v, (m, 2) each, and where there are any."""
    det = d[:, 1] * e[:, 0] - d[:, 0] * e[:, 1]
    sound = np.abs(det) > 1e-9 * np.maximum(np.hypot(*d.T) * np.hypot(*e.T), 1e-30)
    det = np.where(sound, det, 1.0)
    u = (gap[:, 1] * e[:, 0] - gap[:, 0] * e[:, 1]) / det
    v = (d[:, 0] * gap[:, 1] - d[:, 1] * gap[:, 0]) / det
    return np.where(sound, u, 0.5), np.where(sound, v, 0.5), sound


def without_loops(
    chains: Sequence[tuple[Floats, bool]],
    far: Floats,
    wall: Wall,
    room: Callable[[Floats, Ints], Floats],
    limits: Limits,
) -> list[list[Floats]]:
    """What is left of chains of cubics, parallels ``far`` (n,) mm from their strokes, each with whether it is closed,
    when they are cut where they cross themselves and the parts go that are too near. ``room`` tells by how much farther
    than that points (m, 2) of the chains so numbered are. Raises ``too-many-marks``.

    As a rule a part stays or goes as a whole; on the inner side of a corner with a short arm the parallels pass one
    another by, and are parted where they come too near."""
    cut = [crossed(chain, closed, wall, limits) for chain, closed in chains]
    parts = [(k, low, high) for k, c in enumerate(cut) for low, high in c.parts]
    if not parts:
        return [[] for _ in cut]
    along = [_steps(low, high) for _, low, high in parts]
    chain_of = np.array([k for k, _, _ in parts])
    sizes = [len(t) for t in along]
    points = np.concatenate([cut[k].points(t) for (k, _, _), t in zip(parts, along, strict=True)])
    rooms = np.split(room(points, np.repeat(chain_of, sizes)), np.cumsum(sizes)[:-1])
    found = [
        (k, *run) for (k, low, high), t, r in zip(parts, along, rooms, strict=True) for run in _runs(low, high, t, r)
    ]
    table = np.array(found).reshape(-1, 5)
    chain_of = table[:, 0].astype(np.int64)

    def room_at(some: Ints, t: Floats) -> Floats:
        points = np.zeros((len(some), 2))
        for k in np.unique(chain_of[some], return_index=True)[0].tolist():
            here = chain_of[some] == k
            points[here] = cut[k].points(t[here])
        return room(points, chain_of[some])

    ends = table[:, 1:3].copy()
    for side in (0, 1):
        some = np.flatnonzero(np.isfinite(table[:, 3 + side]))
        ends[some, side] = _last_far(room_at, some, ends[some, side], table[some, 3 + side])
    left: list[list[tuple[float, float]]] = [[] for _ in cut]
    for k, (low, high), beyond in zip(chain_of.tolist(), ends.tolist(), table[:, 3:], strict=True):
        # What is left of a loop at its two ends, where it crosses what stays, is short.
        if np.isnan(beyond).all() or _length(cut[k], low, high, wall) > far[k] / 4:
            left[k].append((low, high))
    return [c.joined(runs) for c, runs in zip(cut, left, strict=True)]


def _steps(low: float, high: float) -> Floats:
    """Places from one to another: the middle, and the ends of all cubics between."""
    inner = np.arange(np.floor(low) + 1, np.ceil(high))
    return np.concatenate([[low], inner if len(inner) else [(low + high) / 2], [high]])


def _runs(low: float, high: float, t: Floats, room: Floats) -> list[tuple[float, float, float, float]]:
    """The runs of a part, with ``room`` at places ``t`` of it, that are far enough; and the places next to them, before
    and after, that are not, where there are."""
    near = room < -2 * LOOP
    if not near.any() or (not near[len(t) // 2] and room.min() > -_SHALLOW):
        return [(low, high, np.nan, np.nan)]
    beside = np.concatenate([[np.nan], t, [np.nan]])
    edges = np.flatnonzero(np.diff(np.concatenate([[True], near, [True]]).astype(np.int64)))
    return [
        (float(t[i]), float(t[j - 1]), float(beside[i]), float(beside[j + 1]))
        for i, j in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    ]


def _last_far(room_at: Callable[[Ints, Floats], Floats], some: Ints, out: Floats, into: Floats) -> Floats:
    """The last places far enough on the way from places that are to others too near, by halving."""
    for _ in range(_HALVINGS if len(some) else 0):
        half = (out + into) / 2
        far = room_at(some, half) >= -LOOP / 2
        out, into = np.where(far, half, out), np.where(far, into, half)
    return out


def _length(c: Crossed, low: float, high: float, wall: Wall) -> float:
    points = c.points(_steps(low, high))
    radius = wall.radius((points[1:, 1] + points[:-1, 1]) / 2)
    return float(np.hypot(radius * np.diff(points[:, 0]), np.diff(points[:, 1])).sum())


def _begun_straight(chain: Floats) -> Floats:
    """A closed chain begun where it goes straight on, not at a corner, so that its ends join."""
    if len(chain) < 2:
        return chain
    first = _slope(chain, np.zeros((len(chain), 1)))
    last = _slope(chain, np.ones((len(chain), 1)))
    turn = np.arctan2(first[:, 1], first[:, 0]) - np.roll(np.arctan2(last[:, 1], last[:, 0]), 1)
    k = int(np.argmin(np.abs(np.mod(turn + np.pi, 2 * np.pi) - np.pi).round(9)))
    before = chain[:k].copy()
    before[:, 0, 0] += 2 * np.pi * np.round((chain[-1, :, 0].sum() - chain[0, 0, 0]) / (2 * np.pi))
    return np.concatenate([chain[k:], before])
