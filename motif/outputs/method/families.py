"""Strokes and marks that a hand makes one after the other in the same way, found from the laid piece.

A family of strokes joins the same marks from different starts; a family of point marks sits at the same
place of every column. Likeness is of marks joined, not of millimetres: joining the dots is the same work
wherever the pot swells.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from motif.language.record import changed, record
from motif.laying.piece import Floats, LaidPath, Points, Work
from motif.outputs.method.chains import Chain, chain_of
from motif.outputs.method.places import BandGrid, first_turn

#: Parts of a column or row in which likeness of places is held; whole for halves, thirds, quarters … sixteenths.
_LIKE = 960
#: Places are compared to this, in columns and rows, when copies are looked for.
_COPY = 1e5


@record
class Row:
    """Starts on one level: ``b`` in rings from the band's start, ``a`` (n,) in columns from vertical 1, rising."""

    b: float
    a: Floats


@record
class Family:
    """Strokes or outlines of one work that join the same marks; ``chain`` is the first of them.

    ``rows`` hold all starts. ``lengths`` are the shortest and the longest, ``shorts`` the least and the most
    they stop short of their end marks, ``bulges`` those of the chain's bends, ``settings`` those of compasses
    (mm). ``chains`` are the different ones, each with how many columns to the right its copies lie; ``length`` is
    that of all, ``area`` mm² that of all. ``ends`` hold start and end, (a, b, a, b), of each where some go further
    than others."""

    work: Work
    worked_over: bool
    chain: Chain
    rows: tuple[Row, ...]
    count: int
    length: float
    area: float
    lengths: tuple[float, float]
    shorts: tuple[float, float]
    bulges: tuple[float, float]
    settings: tuple[float, float]
    chains: tuple[tuple[Chain, tuple[float, ...]], ...] = ()
    ends: tuple[tuple[float, float, float, float], ...] = ()


def work_key(work: Work) -> tuple[object, ...]:
    """What makes two works one for the hand: technique, tool, colour and all measures."""
    return (*work.key, work.depth, work.width, work.pitch)


def families(paths: Sequence[LaidPath], grid: BandGrid, most: int | None = None) -> list[Family]:
    """The families of paths on one grid, in the order of their first paths.

    Of more than ``most`` different shapes only those that come most often are looked at, and the rest is left out:
    on a pot where every stroke has a shape of its own there are no families to be found."""
    groups = _copies(paths, grid)
    if most is not None and len(groups) > most:
        often = {id(g) for g in sorted(groups, key=len, reverse=True)[:most] if len(g) > 1}
        groups = [g for g in groups if id(g) in often]
    made: dict[tuple[object, ...], list[tuple[Chain, LaidPath, float]]] = {}
    for copies in groups:
        first = paths[copies[0][0]]
        chain = chain_of(first, grid)
        group = made.setdefault((work_key(first.work), first.worked_over, *_likeness(chain)), [])
        group.extend((chain, paths[i], shift) for i, shift in copies)
    return [_family(members, grid) for members in made.values()]


def _copies(paths: Sequence[LaidPath], grid: BandGrid) -> list[list[tuple[int, float]]]:
    """Paths that are copies of one another further round: index and how many columns to the right of the first."""
    if not paths:
        return []
    sizes = np.array([len(p.points) for p in paths])
    ends = np.cumsum(sizes)
    points = np.concatenate([p.points for p in paths])
    a, b = grid.a(points[:, 0]), grid.b(points[:, 1])
    starts = a[ends - sizes]
    shape = np.round(np.column_stack([a - np.repeat(starts, sizes), b]) * _COPY).astype(np.int64)
    found: dict[tuple[object, ...], list[tuple[int, float]]] = {}
    for i, (path, to) in enumerate(zip(paths, ends.tolist(), strict=True)):
        key = (work_key(path.work), path.worked_over, path.closed, len(path.holes), shape[to - sizes[i] : to].tobytes())
        found.setdefault(key, []).append((i, float(starts[i])))
    return [[(i, at - group[0][1]) for i, at in group] for group in found.values()]


def _likeness(chain: Chain) -> tuple[object, ...]:
    """What two chains have in common when they join the same marks from other starts; those that go on in
    equal steps may be of unequal length, as panels and reserves cut them."""
    if chain.step is not None and not chain.taut and not any(chain.short):
        return ("steady", *map(_like, chain.step))
    if chain.taut:
        first, last = chain.nodes
        return ("taut", _like(last.a - first.a), _like(last.b - first.b))
    if not chain.nodes:
        assert chain.compass is not None
        return ("circle", round(chain.compass.setting))
    first = chain.nodes[0]
    steps = tuple(
        (_like(n.a - first.a), _like(n.b - first.b), round(math.copysign(1, n.bulge)) if n.bulge else 0)
        for n in chain.nodes
    )
    return chain.closed, chain.round, chain.plain, tuple(s > 0 for s in chain.short), steps


def _like(value: float) -> int:
    return round(value * _LIKE)


def _family(members: Sequence[tuple[Chain, LaidPath, float]], grid: BandGrid) -> Family:
    about_middles = all(chain.compass is not None for chain, _, _ in members)
    places = [(*_anchor(chain, about_middles), shift) for chain, _, shift in members]
    by_level: dict[int, list[tuple[float, float]]] = {}
    for a, b, shift in places:
        by_level.setdefault(_like(b), []).append((b, a + shift))
    rows = tuple(
        Row(level[0][0], np.sort(first_turn(np.array([a for _, a in level]), grid.columns)))
        for _, level in sorted(by_level.items())
    )
    order = [(_like(b), _like((a + shift) % grid.columns), i) for i, (a, b, shift) in enumerate(places)]
    lowest = members[min(order)[2]]
    paths = [path for _, path, _ in members]
    lengths = [p.length for p in paths]
    shifts: dict[int, list[float]] = {}
    for chain, _, shift in members:
        shifts.setdefault(id(chain), []).append(shift)
    chains = list({id(chain): chain for chain, _, _ in members}.values())
    return Family(
        paths[0].work,
        paths[0].worked_over,
        _further(lowest[0], lowest[2], grid),
        rows,
        len(paths),
        math.fsum(lengths),
        math.fsum(p.area for p in paths),
        (min(lengths), max(lengths)),
        _range(s for c in chains for s in c.short if s),
        _range(abs(n.bulge) for c in chains for n in c.nodes if n.bulge),
        _range(c.compass.setting for c in chains if c.compass is not None) if about_middles else (0.0, 0.0),
        tuple((chain, tuple(shifts[id(chain)])) for chain in chains),
        _ends(members, grid) if len({len(c.nodes) for c in chains}) > 1 else (),
    )


def _anchor(chain: Chain, about_middle: bool) -> tuple[float, float]:
    """The place that a chain is found by: the middle of a circle, else its first mark."""
    if about_middle and chain.compass is not None:
        return chain.compass.a, chain.compass.b
    return chain.nodes[0].a, chain.nodes[0].b


def _ends(
    members: Sequence[tuple[Chain, LaidPath, float]], grid: BandGrid
) -> tuple[tuple[float, float, float, float], ...]:
    moved = (_further(chain, shift, grid) for chain, _, shift in members)
    ends = [(c.nodes[0].a, c.nodes[0].b, c.nodes[-1].a, c.nodes[-1].b) for c in moved]
    return tuple(sorted(ends, key=lambda e: (_like(e[1]), _like(e[0]))))


def _further(chain: Chain, shift: float, grid: BandGrid) -> Chain:
    """A chain moved to the right by columns, begun on the first turn."""
    at = _anchor(chain, not chain.nodes)[0] + shift
    shift += float(first_turn(np.array(at), grid.columns)) - at
    nodes = tuple(changed(n, a=n.a + shift) for n in chain.nodes)
    compass = None if chain.compass is None else changed(chain.compass, a=chain.compass.a + shift)
    return changed(chain, nodes=nodes, compass=compass)


def _range(values: Iterable[float]) -> tuple[float, float]:
    found = list(values)
    return (min(found), max(found)) if found else (0.0, 0.0)


# ---------------------------------------------------------------- point marks


@record
class Marks:
    """Point marks of one work, size and lean at one place of many columns: ``rows`` as for strokes."""

    work: Work
    is_footprint: bool
    across: float | None
    lean: float
    rows: tuple[Row, ...]

    @property
    def count(self) -> int:
        return sum(len(r.a) for r in self.rows)


def point_families(points: Points, grid: BandGrid, chosen: Sequence[int] | None = None) -> list[Marks]:
    """The families of point marks (of those chosen, by their numbers), in the order in which they are made."""
    index = np.arange(len(points)) if chosen is None else np.asarray(chosen, dtype=np.int64)
    if not len(index):
        return []
    a = first_turn(grid.a(points.angle[index]), grid.columns)
    b = grid.b(points.tape[index])
    columns: list[NDArray[Any]] = [
        points.work[index],
        np.round(np.nan_to_num(points.across[index], nan=-1.0), 2) * (~points.is_footprint[index]),
        np.round(np.degrees(points.lean[index]), 1) * points.is_footprint[index],
        np.rint((a - np.floor(a + 1e-4)) * _LIKE),
        np.rint(b * _LIKE),
    ]
    keys, first, group = np.unique(np.column_stack(columns), axis=0, return_index=True, return_inverse=True)
    order = np.argsort(group.ravel(), kind="stable")
    parts = np.split(order, np.cumsum(np.bincount(group.ravel()))[:-1])
    # Levels at which the same columns are worked in the same way make one family.
    made: dict[tuple[object, ...], list[tuple[Row, int]]] = {}
    for k in np.argsort(first, kind="stable").tolist():
        members = parts[k]
        row = Row(float(b[members[0]]), np.sort(a[members]))
        level = row.b - math.floor(row.b + 1e-4)
        likeness = (*keys[k, :3].tolist(), round(level * _LIKE), len(row.a), tuple(np.rint(row.a * _LIKE).tolist()))
        made.setdefault(likeness, []).append((row, int(index[members[0]])))
    return [
        Marks(
            points.works[int(points.work[i])],
            bool(points.is_footprint[i]),
            None if points.is_footprint[i] or math.isnan(points.across[i]) else float(points.across[i]),
            float(points.lean[i]) if points.is_footprint[i] else 0.0,
            tuple(sorted((row for row, _ in members), key=lambda r: r.b)),
        )
        for members in made.values()
        for i in (members[0][1],)
    ]
