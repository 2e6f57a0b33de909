"""Warnings of marks and lines that run into one another, or leave too little clay between them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from motif.language.messages import Message, Messages
from motif.language.record import record
from motif.laying.clusters import distinct
from motif.laying.piece import Floats, Ints, LaidPath, Points, Work
from motif.laying.strokes import in_space
from motif.model.techniques import TECHNIQUES
from motif.wall import Wall
from motif.wall.near import near_distance

#: discs that run into one another by less only touch, mm; other shapes, by less than this part of the smaller
_TOUCH, _SHARE = 0.05, 0.01
#: strokes are looked at so often, mm, and no more than so many times in all
_STEP, _MOST_SAMPLES = 1.0, 400_000
#: lines lie on one another to this, mm, over at least so much of their length, mm, going the same way to this
_ON, _LEAST_ON, _SAME_WAY = 0.01, 2.0, np.radians(1.5)
#: lines that run side by side go the same way to this
_BESIDE = np.radians(20.0)


def near_pairs(points: Floats, reach: float) -> tuple[Ints, Ints]:
    """All pairs i < j of points (n, 3) nearer than ``reach``, by a grid of cells as wide."""
    cell = np.floor(points / reach).astype(np.int64)
    cell -= cell.min(axis=0)
    size = cell.max(axis=0) + 3
    key = (cell[:, 0] * size[1] + cell[:, 1]) * size[2] + cell[:, 2]
    order = np.argsort(key, kind="stable")
    key, place = key[order], points[order]
    lefts, rights = [], []
    for dx, dy, dz in _HALF_ROUND:
        wanted = key + (dx * size[1] + dy) * size[2] + dz
        low = np.searchsorted(key, wanted, side="left")
        high = np.searchsorted(key, wanted, side="right")
        if (dx, dy, dz) == (0, 0, 0):
            low = np.arange(len(key)) + 1
        count = np.maximum(high - low, 0)
        i = np.repeat(np.arange(len(key)), count)
        j = np.repeat(low - np.cumsum(count) + count, count) + np.arange(count.sum())
        apart = place[i] - place[j]
        near = np.einsum("nk,nk->n", apart, apart) < reach * reach
        lefts.append(order[i[near]])
        rights.append(order[j[near]])
    a, b = np.concatenate(lefts), np.concatenate(rights)
    return np.minimum(a, b), np.maximum(a, b)


_HALF_ROUND = [(0, 0, 0)] + [
    (x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) > (0, 0, 0)
]


def check_marks(points: Points, wall: Wall, told: set[int], messages: Messages) -> None:
    """``marks-overlap`` for dots and footprints of one technique. Neighbours in a row that one tool makes, if its
    work (by id) is among ``told``, are said by ``tool-overlap``."""
    sized = np.flatnonzero(points.shape >= 0)
    if len(sized) < 2:
        return
    reach = np.array(
        [
            0.0
            if w.tool is None or w.tool.wide is None
            else (float(np.hypot(*w.tool.outline.T).max()) if w.tool.outline is not None else w.tool.wide / 2)
            for w in points.works
        ]
    )
    radius = np.where(points.is_footprint, reach[points.work], np.nan_to_num(points.across) / 2)[sized]
    xyz = in_space(wall, points.angle[sized], points.tape[sized])
    i, j = near_pairs(xyz, max(2 * float(radius.max()), 0.1))
    technique = np.array([w.technique for w in points.works])[points.work[sized]]
    footprint, row = points.is_footprint[sized], points.row[sized]
    work = points.work[sized]
    said = np.array([id(w) in told for w in points.works])[work]
    same_tool_row = said[i] & footprint[i] & footprint[j] & (work[i] == work[j]) & (row[i] == row[j]) & (row[i] >= 0)
    near = (technique[i] == technique[j]) & ~same_tool_row
    i, j = i[near], j[near]
    apart = near_distance(
        wall, points.angle[sized[i]], points.tape[sized[i]], points.angle[sized[j]], points.tape[sized[j]]
    )
    meet = apart < radius[i] + radius[j] - _TOUCH
    i, j = i[meet], j[meet]
    is_disc = np.array([w.tool is None or w.tool.outline is None for w in points.works])
    round_ = ~footprint | is_disc[work]
    doubtful = ~(round_[i] & round_[j])
    if doubtful.any():
        keep = ~doubtful
        keep[doubtful] = _shapes_overlap(points, sized[i[doubtful]], sized[j[doubtful]], wall)
        i, j = i[keep], j[keep]
    for k in distinct(work[i]):
        here = np.flatnonzero(work[i] == k)
        w, first = points.works[int(k)], sized[i[here[0]]]
        messages.add(
            Message(
                "marks-overlap",
                f"{len(here)} pairs of marks run into one another, first near {_place(points, int(first))}."
                if len(here) > 1
                else f"Two marks run into one another near {_place(points, int(first))}.",
                w.span,
                "Set them farther apart, take smaller ones, or leave some out with 'where'.",
            )
        )


def _place(points: Points, i: int) -> str:
    named = [
        f"{name} {getattr(points, name)[i]}"
        for name in ("column", "row", "vertical", "ring")
        if getattr(points, name)[i] >= 0
    ]
    return ", ".join(named) or f"tape {points.tape[i]:.0f} mm"


def _shapes_overlap(points: Points, i: Ints, j: Ints, wall: Wall) -> NDArray[np.bool_]:
    import shapely

    scale = np.maximum(wall.radius(points.tape), 1.0)

    def polygon(k: int, beside: int) -> object:
        angle = points.angle[k] + 2 * np.pi * np.round((points.angle[beside] - points.angle[k]) / (2 * np.pi))
        return shapely.Polygon((points.shapes[points.shape[k]] + [angle, 0.0]) * [scale[beside], 1.0])

    a = np.array([polygon(int(k), int(k)) for k in i])
    b = np.array([polygon(int(k), int(m)) for k, m in zip(j, i, strict=True)])
    shared = shapely.area(shapely.intersection(shapely.make_valid(a), shapely.make_valid(b)))
    return np.asarray(shared > _SHARE * np.minimum(shapely.area(a), shapely.area(b)))


@record
class Samples:
    """Points along strokes: where, which way, of which stroke, and how much of its length each stands for."""

    xyz: Floats
    toward: Floats
    stroke: Ints
    share: Floats
    tape: Floats


def check_strokes(paths: Sequence[LaidPath], wall: Wall, messages: Messages) -> None:
    """``marks-overlap`` for lines that lie on one another, ``lines-too-close`` for cut lines side by side."""
    chosen = [p for p in paths if not p.worked_over and p.length > 0]
    if len(chosen) < 2:
        return
    samples = _sampled(chosen, wall, _STEP)
    keys: dict[tuple[object, ...], int] = {}
    alike = np.array([keys.setdefault((*p.work.key, p.work.depth, p.work.width), len(keys)) for p in chosen])
    _lines_on_one_another(samples, chosen, alike, messages)
    width = np.array(
        [p.work.width if p.work.width is not None and TECHNIQUES[p.work.technique].cuts else 0.0 for p in chosen]
    )
    if np.count_nonzero(width) > 1:
        _lines_too_close(_sampled(chosen, wall, max(_STEP, float(width.max()))), chosen, width, messages)


def _sampled(paths: list[LaidPath], wall: Wall, step: float) -> Samples:
    step = max(step, sum(p.length for p in paths) / _MOST_SAMPLES)
    start = np.concatenate([p.points[:-1] for p in paths])
    go = np.concatenate([np.diff(p.points, axis=0) for p in paths])
    stroke = np.repeat(np.arange(len(paths)), [len(p.points) - 1 for p in paths])
    middle = start + go / 2
    long = np.hypot(wall.radius(middle[:, 1]) * go[:, 0], go[:, 1])
    parts = np.maximum(1, np.round(long / step)).astype(np.int64)
    index = np.repeat(np.arange(len(start)), parts)
    t = (np.arange(len(index)) - np.repeat(np.cumsum(parts) - parts, parts) + 0.5) / parts[index]
    place = start[index] + go[index] * t[:, None]
    ahead = in_space(wall, *(start + go).T)[index] - in_space(wall, *start.T)[index]
    ahead /= np.maximum(np.linalg.norm(ahead, axis=1), 1e-12)[:, None]
    return Samples(in_space(wall, *place.T), ahead, stroke[index], (long / parts)[index], place[:, 1])


def _beside(s: Samples, i: Ints, j: Ints, way: float) -> tuple[Ints, Floats]:
    """Which pairs of samples of two strokes stand abreast and go one way, and how far apart these are. Against the
    mean of their directions, since two points of one arc stand abreast of nothing else."""
    cosine = np.einsum("nk,nk->n", s.toward[i], s.toward[j])
    chosen = np.flatnonzero(np.abs(cosine) > np.cos(way))
    i, j, turned = i[chosen], j[chosen], np.sign(cosine[chosen])[:, None]
    mean = s.toward[i] + turned * s.toward[j]
    mean /= np.maximum(np.linalg.norm(mean, axis=1), 1e-12)[:, None]
    between = s.xyz[j] - s.xyz[i]
    along = np.einsum("nk,nk->n", between, mean)
    abreast = np.abs(along) <= 0.75 * np.maximum(s.share[i], s.share[j])
    aside = np.linalg.norm(between[abreast] - along[abreast, None] * mean[abreast], axis=1)
    return chosen[abreast], aside


def _lines_on_one_another(s: Samples, paths: list[LaidPath], alike: Ints, messages: Messages) -> None:
    i, j = near_pairs(s.xyz, float(s.share.max()) * 0.75 + _ON)
    other = (s.stroke[i] != s.stroke[j]) & (alike[s.stroke[i]] == alike[s.stroke[j]])
    i, j = i[other], j[other]
    abreast, aside = _beside(s, i, j, _SAME_WAY)
    shared: dict[tuple[int, int], float] = {}
    for k in abreast[aside <= _ON].tolist():
        pair = (int(s.stroke[i[k]]), int(s.stroke[j[k]]))
        shared[pair] = shared.get(pair, 0.0) + float(s.share[i[k]])
    found: dict[int, list[tuple[Work, float]]] = {}
    for (a, _), length in sorted(shared.items()):
        if length >= _LEAST_ON:
            found.setdefault(int(alike[a]), []).append((paths[a].work, length))
    for several in found.values():
        messages.add(
            Message(
                "marks-overlap",
                f"Lines lie on one another over {max(v for _, v in several):.0f} mm"
                + (f", at {len(several)} places." if len(several) > 1 else "."),
                several[0][0].span,
                "Draw them as one line, or let one end where the other begins.",
            )
        )


def _lines_too_close(s: Samples, paths: list[LaidPath], width: Floats, messages: Messages) -> None:
    """Land narrower than the wider of two cuts, away from where the lines meet or cross."""
    cut = np.flatnonzero(width[s.stroke] > 0)
    widest = float(width.max())
    a, b = near_pairs(s.xyz[cut], 2 * widest)
    i, j = cut[a], cut[b]
    other = s.stroke[i] != s.stroke[j]
    i, j = i[other], j[other]
    w1, w2 = width[s.stroke[i]], width[s.stroke[j]]
    abreast, aside = _beside(s, i, j, _BESIDE)
    land = aside - (w1[abreast] + w2[abreast]) / 2
    thin = land < np.maximum(w1[abreast], w2[abreast]) - 1e-3
    close, land = abreast[thin], land[thin]
    if not len(close):
        return
    pair = np.minimum(s.stroke[i], s.stroke[j]) * len(paths) + np.maximum(s.stroke[i], s.stroke[j])
    doubtful = np.flatnonzero(np.isin(pair, pair[close]))
    apart = s.xyz[i[doubtful]] - s.xyz[j[doubtful]]
    touch = doubtful[np.linalg.norm(apart, axis=1) < (w1[doubtful] + w2[doubtful]) / 2]
    stays = np.ones(len(close), dtype=np.bool_)
    for p in sorted(set(pair[touch].tolist())):
        meets, mine = s.xyz[i[touch[pair[touch] == p]]], np.flatnonzero(pair[close] == p)
        away = np.linalg.norm(s.xyz[i[close[mine]]][:, None, :] - meets[None, :, :], axis=2).min(axis=1)
        stays[mine] = away > 4 * widest
    close, land = close[stays], land[stays]
    by_line: dict[int, tuple[float, float, Work]] = {}
    for k, left in zip(close.tolist(), land.tolist(), strict=True):
        work = paths[int(s.stroke[i[k]])].work
        least, tape, _ = by_line.get(id(work), (np.inf, 0.0, work))
        if left < least:
            by_line[id(work)] = (left, float(s.tape[i[k]]), work)
    for least, tape, work in by_line.values():
        messages.add(
            Message(
                "lines-too-close",
                f"Between cut lines only {max(least, 0.0):.1f} mm of clay stay (at tape {tape:.0f} mm), less than "
                f"the {widest:.1f} mm of a cut.",
                work.span,
                "So thin a wall of clay breaks out. Set the lines farther apart, or cut them finer.",
            )
        )
