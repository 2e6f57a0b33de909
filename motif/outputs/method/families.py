"""Strokes and marks that a hand makes one after the other in the same way, found from the laid piece.

A family of strokes joins the same marks from different starts; a family of point marks sits at the same
place of every column. Likeness is of marks joined, not of millimetres: joining the dots is the same work
wherever the pot swells.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from motif.language.record import changed, record
from motif.laying.piece import Floats, LaidPath, LaidReserve, Points, Work
from motif.outputs.method.chains import Chain, chain_of
from motif.outputs.method.cut_short import Piece, is_cut_at_both_ends, pieces_of
from motif.outputs.method.places import BandGrid, first_turn, spot

#: Parts of a column or row in which likeness of places is held; whole for halves, thirds, quarters … sixteenths.
_LIKE = 960
#: Places are compared to this, in columns and rows, when copies are looked for.
_COPY = 1e5
#: Sizes that differ by no more than this from the first of their kind are told as one, mm; half of what a hand marks.
_ONE_SIZE = 0.25
#: Places beyond the band by less than this, in rows, lie on its end.
_WITHIN = 1e-3


@record
class Row:
    """Starts on one level: ``b`` in rings from the band's start, ``a`` (n,) in columns from vertical 1, rising."""

    b: float
    a: Floats


@record
class Family:
    """Strokes or outlines of one work that join the same marks; ``chain`` is the first of them.

    ``rows`` hold all starts. ``lengths`` are the shortest and the longest, ``shorts`` the least and the most
    they stop short of their first mark and of their last, ``bulges`` those of the chain's bends, ``settings`` those of
    compasses (mm). ``chains`` are the different ones, each with how many columns to the right its copies lie;
    ``length`` is that of all, ``area`` mm² that of all. ``ends`` hold start and end, (a, b, a, b), of each where some
    go further than others. ``paths`` are what all that was found from. ``cut`` are the starts of more of the same
    that patches or the ends of the band cut short, by what cuts them."""

    work: Work
    worked_over: bool
    chain: Chain
    rows: tuple[Row, ...]
    count: int
    length: float
    area: float
    lengths: tuple[float, float]
    shorts: tuple[tuple[float, float], tuple[float, float]]
    bulges: tuple[float, float]
    settings: tuple[float, float]
    chains: tuple[tuple[Chain, tuple[float, ...]], ...] = ()
    ends: tuple[tuple[float, float, float, float], ...] = ()
    paths: tuple[LaidPath, ...] = ()
    cut: tuple[CutShort, ...] = ()


@record
class CutShort:
    """Strokes like those of a family that something cuts short: where they would start, ``by`` which patch (None:
    the end of the band), and what is left of them, as many ``paths`` as pieces."""

    by: str | None
    rows: tuple[Row, ...]
    paths: tuple[LaidPath, ...]


def work_key(work: Work) -> tuple[object, ...]:
    """What makes two works one for the hand: technique, tool, colour and all measures."""
    return (*work.key, work.depth, work.width, work.pitch)


def families(
    paths: Sequence[LaidPath], grid: BandGrid, most: int | None = None, reserves: Sequence[LaidReserve] = ()
) -> list[Family]:
    """The families of paths on one grid, in the order of their first paths; what ``reserves`` or the ends of the
    band cut short is told with the family that it is a piece of.

    Of more than ``most`` different shapes only those that come most often are looked at, and the rest is left out:
    on a pot where every stroke has a shape of its own there are no families to be found."""
    groups = _copies(paths, grid)
    if most is not None and len(groups) > most:
        often = {id(g) for g in sorted(groups, key=len, reverse=True)[:most] if len(g) > 1}
        groups = [g for g in groups if id(g) in often]
    pieces = pieces_of([[paths[i] for i, _ in g] for g in groups], grid, reserves)
    chains = _chains([paths[g[0][0]] for g in groups], grid, reserves)
    made: dict[tuple[object, ...], list[tuple[Chain, LaidPath, float]]] = {}
    cut: dict[int, list[tuple[Chain, LaidPath, Piece]]] = {}
    for k, (copies, chain) in enumerate(zip(groups, chains, strict=True)):
        first = paths[copies[0][0]]
        if k in pieces and all(_starts_within(chains[piece.of], piece, grid) for piece in pieces[k]):
            for (i, _), piece in zip(copies, pieces[k], strict=True):
                cut.setdefault(id(chains[piece.of]), []).append((chains[piece.of], paths[i], piece))
            continue
        group = made.setdefault((work_key(first.work), first.worked_over, *_likeness(chain)), [])
        group.extend((chain, paths[i], shift) for i, shift in copies)
    return [_family(members, cut, grid) for group in made.values() for members in _of_one_size(group, grid)]


def _chains(paths: Sequence[LaidPath], grid: BandGrid, reserves: Sequence[LaidReserve]) -> list[Chain]:
    """The chain of each; where some lines of a work are taut, all that are."""
    chains = [chain_of(path, grid, cut=is_cut_at_both_ends(path, grid, reserves)) for path in paths]
    taut = {work_key(p.work) for p, chain in zip(paths, chains, strict=True) if chain.taut}
    return [
        chain_of(p, grid, beside_taut=True) if not chain.taut and work_key(p.work) in taut else chain
        for p, chain in zip(paths, chains, strict=True)
    ]


def _starts_within(whole: Chain, piece: Piece, grid: BandGrid) -> bool:
    """Whether the place by which a whole is found lies in the band, however much of it does not."""
    b = _anchor(whole, whole.compass is not None)[1] + piece.up
    return -_WITHIN <= b <= grid.rows + _WITHIN


def _of_one_size(
    group: list[tuple[Chain, LaidPath, float]], grid: BandGrid
) -> list[list[tuple[Chain, LaidPath, float]]]:
    """Like chains apart whose sizes, told in mm, no hand would take for the same."""
    sorted_out: list[tuple[tuple[float, ...], list[tuple[Chain, LaidPath, float]]]] = []
    sizes: dict[int, tuple[float, ...]] = {}
    for member in group:
        chain = member[0]
        size = sizes.setdefault(id(chain), _sizes(chain, grid))
        alike = (m for s, m in sorted_out if len(s) == len(size) and _no_farther(s, size))
        members = next(alike, None)
        if members is None:
            sorted_out.append((size, [member]))
        else:
            members.append(member)
    return [members for _, members in sorted_out]


def _no_farther(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return all(abs(p - q) <= _ONE_SIZE for p, q in zip(one, other, strict=True))


def _sizes(chain: Chain, grid: BandGrid) -> tuple[float, ...]:
    """What is told of a chain in mm: the setting of compasses, an oval's width and height, how far marks lie beside
    verticals."""
    if chain.compass is not None and chain.plain:
        return (chain.compass.setting,)
    if chain.oval is not None:
        return chain.oval.wide, chain.oval.tall
    nodes = chain.nodes[:1] if chain.step is not None else chain.nodes
    return tuple(spot(grid, n.a, n.b).right for n in nodes)


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
        return ("taut", *(s > 0 for s in chain.short), _like(last.a - first.a), _like(last.b - first.b))
    if chain.compass is not None and (chain.plain or not chain.nodes):
        return ("circle", chain.plain, chain.closed)
    if chain.oval is not None:
        return ("oval",)
    first = chain.nodes[0]
    steps = tuple(
        (_like(n.a - first.a), _like(n.b - first.b), round(math.copysign(1, n.bulge)) if n.bulge else 0)
        for n in chain.nodes
    )
    return chain.closed, chain.round, chain.plain, tuple(s > 0 for s in chain.short), steps


def _like(value: float) -> int:
    return round(value * _LIKE)


def _family(
    members: Sequence[tuple[Chain, LaidPath, float]],
    cut: Mapping[int, Sequence[tuple[Chain, LaidPath, Piece]]],
    grid: BandGrid,
) -> Family:
    about_middles = all(chain.compass is not None for chain, _, _ in members)
    places = [(*_anchor(chain, about_middles), shift) for chain, _, shift in members]
    order = [(_like(b), _like(a + shift) % _like(grid.columns), i) for i, (a, b, shift) in enumerate(places)]
    lowest = members[min(order)[2]]
    paths = [path for _, path, _ in members]
    lengths = [p.length for p in paths]
    shifts: dict[int, list[float]] = {}
    for chain, _, shift in members:
        shifts.setdefault(id(chain), []).append(shift)
    chains = list({id(chain): chain for chain, _, _ in members}.values())
    pieces = [one for chain in chains for one in cut.get(id(chain), ())]
    return Family(
        paths[0].work,
        paths[0].worked_over,
        _further(lowest[0], lowest[2], grid),
        _rows([(a + shift, b) for a, b, shift in places], grid),
        len(paths),
        math.fsum(lengths),
        math.fsum(p.area for p in paths),
        (min(lengths), max(lengths)),
        (_range(c.short[0] for c in chains), _range(c.short[1] for c in chains)),
        _range(abs(n.bulge) for c in chains for n in c.nodes if n.bulge),
        _range(c.compass.setting for c in chains if c.compass is not None) if about_middles else (0.0, 0.0),
        tuple((chain, tuple(shifts[id(chain)])) for chain in chains),
        _ends(members, grid) if len({len(c.nodes) for c in chains}) > 1 else (),
        tuple(paths),
        _cut_short(pieces, about_middles, grid),
    )


def mirrored(one: Family, other: Family, grid: BandGrid) -> bool:
    """Whether the strokes of one family are the mirror images of another's, from the same starts."""
    p, q = one.chain, other.chain
    if one.work is not other.work and work_key(one.work) != work_key(other.work):
        return False
    if (one.worked_over, p.closed, p.taut, len(p.nodes)) != (other.worked_over, q.closed, q.taut, len(q.nodes)):
        return False
    told = one.chain.plain and other.chain.plain and p.compass is None and p.oval is None and not p.closed
    if not told or one.ends or other.ends or not _same_rows(one.rows, other.rows):
        return False
    if any(abs(s - t) > _ONE_SIZE for s, t in zip(sum(one.shorts, ()), sum(other.shorts, ()), strict=True)):
        return False
    turned = (n.a - p.nodes[0].a + m.a - q.nodes[0].a for n, m in zip(p.nodes, q.nodes, strict=True))
    level = (n.b - m.b for n, m in zip(p.nodes, q.nodes, strict=True))
    bent = (n.bulge + m.bulge for n, m in zip(p.nodes, q.nodes, strict=True))
    alike = all(_like(v) == 0 for v in (*turned, *level)) and all(abs(v) <= _ONE_SIZE for v in bent)
    return grid.even and alike


def _same_rows(one: Sequence[Row], other: Sequence[Row]) -> bool:
    return len(one) == len(other) and all(
        _like(p.b - q.b) == 0 and len(p.a) == len(q.a) and bool(np.all(np.abs(p.a - q.a) < 1 / _LIKE))
        for p, q in zip(one, other, strict=True)
    )


def _rows(places: Iterable[tuple[float, float]], grid: BandGrid) -> tuple[Row, ...]:
    """Places (a, b) by level, on the first turn."""
    by_level: dict[int, list[tuple[float, float]]] = {}
    for a, b in places:
        by_level.setdefault(_like(b), []).append((b, a))
    return tuple(
        Row(level[0][0], np.sort(first_turn(np.array([a for _, a in level]), grid.columns)))
        for _, level in sorted(by_level.items())
    )


def _cut_short(
    pieces: Sequence[tuple[Chain, LaidPath, Piece]], about_middles: bool, grid: BandGrid
) -> tuple[CutShort, ...]:
    by: dict[str | None, list[tuple[float, float, LaidPath]]] = {}
    for chain, path, piece in pieces:
        a, b = _anchor(chain, about_middles)
        by.setdefault(piece.by, []).append((a + piece.right, b + piece.up, path))
    found = []
    for name, group in by.items():
        # Several pieces may be left of one stroke.
        starts = {(_like(a) % _like(grid.columns), _like(b)): (a, b) for a, b, _ in group}
        found.append(CutShort(name, _rows(starts.values(), grid), tuple(path for _, _, path in group)))
    return tuple(found)


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


def together(made: Sequence[Marks]) -> list[Marks]:
    """The same marks, those of one work, size and lean in one family wherever in their columns they lie."""
    alike: dict[tuple[object, ...], list[Marks]] = {}
    for marks in made:
        key = (work_key(marks.work), marks.is_footprint, marks.across, round(math.degrees(marks.lean), 1))
        alike.setdefault(key, []).append(marks)
    found = []
    for group in alike.values():
        by_level: dict[int, list[Row]] = {}
        for row in (row for marks in group for row in marks.rows):
            by_level.setdefault(_like(row.b), []).append(row)
        rows = (Row(level[0].b, np.sort(np.concatenate([r.a for r in level]))) for _, level in sorted(by_level.items()))
        found.append(changed(group[0], rows=tuple(rows)))
    return found


def _has_a_top(points: Points) -> NDArray[np.bool_]:
    """Which marks show how they are turned: footprints of tools that are no discs."""
    tools = [work.tool for work in points.works]
    turned = np.array([t is not None and (t.outline is not None or t.wide != t.tall) for t in tools], dtype=np.bool_)
    return points.is_footprint & turned[points.work]


def point_families(points: Points, grid: BandGrid, chosen: Sequence[int] | None = None) -> list[Marks]:
    """The families of point marks (of those chosen, by their numbers), in the order in which they are made."""
    index = np.arange(len(points)) if chosen is None else np.asarray(chosen, dtype=np.int64)
    if not len(index):
        return []
    a = first_turn(grid.a(points.angle[index]), grid.columns)
    b = grid.b(points.tape[index])
    has_a_top = _has_a_top(points)
    columns: list[NDArray[Any]] = [
        points.work[index],
        np.round(np.nan_to_num(points.across[index], nan=-1.0), 2) * (~points.is_footprint[index]),
        np.round(np.degrees(points.lean[index]), 1) * has_a_top[index],
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
            float(points.lean[i]) if has_a_top[i] else 0.0,
            tuple(sorted((row for row, _ in members), key=lambda r: r.b)),
        )
        for members in made.values()
        for i in (members[0][1],)
    ]
