"""Point marks that run into one another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.clusters import near_pairs
from motif.laying.findings import Finding, place_of_point, rows_at
from motif.laying.piece import Floats, Ints, LaidBand, Points, Work
from motif.laying.planes import Plane, area_of, plane_for
from motif.laying.strokes import in_space
from motif.wall import Wall
from motif.wall.near import near_distance

#: discs that run into one another by less only touch, mm; other shapes, by less than this part of the smaller
_TOUCH, _SHARE = 0.05, 0.01


@record
class Sized:
    """Marks with a size, of all bands: the band's place among the bands, the mark's among its points, and ``reach``,
    how far from its placing point it goes, mm. ``round_`` are discs."""

    band: Ints
    point: Ints
    work: Ints
    footprint: NDArray[np.bool_]
    row: Ints
    ring: Ints
    angle: Floats
    tape: Floats
    reach: Floats
    round_: NDArray[np.bool_]


def crowded_marks(bands: Sequence[LaidBand], wall: Wall, told: Mapping[tuple[int, int], bool]) -> list[Finding]:
    """``marks-overlap`` for dots and footprints of one technique, row by row. Neighbours in a row that one tool makes,
    if its work (band and id) is among ``told``, are judged by ``tool-overlap``; where the value says so, so are those
    of a half-drop's next column one row off."""
    bands = [b for b in bands if len(b.points)]
    works = [w for b in bands for w in b.points.works]
    if not bands:
        return []
    sized = _sized(bands)
    if len(sized.band) < 2:
        return []
    xyz = in_space(wall, sized.angle, sized.tape)
    whole = max(2 * float(sized.reach.max()), 0.1)
    i, j, reach = near_pairs(xyz, whole)
    technique = np.array([w.technique for w in works])[sized.work]
    said = np.array([(b.number, id(w)) in told for b in bands for w in b.points.works])[sized.work]
    one_row = ((sized.row[i] == sized.row[j]) & (sized.row[i] >= 0)) | (
        (sized.ring[i] == sized.ring[j]) & (sized.ring[i] >= 0)
    )
    beside = (sized.angle[i] != sized.angle[j]) & (np.abs(sized.row[i] - sized.row[j]) <= 1)
    beside &= np.array([told.get((b.number, id(w)), False) for b in bands for w in b.points.works])[sized.work[i]]
    by_tool = said[i] & sized.footprint[i] & sized.footprint[j] & (sized.work[i] == sized.work[j])
    by_tool &= one_row | beside
    near = (technique[i] == technique[j]) & ~by_tool
    i, j = i[near], j[near]
    apart = near_distance(wall, sized.angle[i], sized.tape[i], sized.angle[j], sized.tape[j])
    into = sized.reach[i] + sized.reach[j] - apart
    meet = into > _TOUCH
    i, j, into = i[meet], j[meet], into[meet]
    doubtful = ~(sized.round_[i] & sized.round_[j])
    if doubtful.any():
        shared = _shared(bands, sized, i[doubtful], j[doubtful], wall)
        keep = ~doubtful
        keep[doubtful] = shared > _SHARE
        into[doubtful] = np.nan
        part = np.zeros(len(i))
        part[doubtful] = shared
        i, j, into, part = i[keep], j[keep], into[keep], part[keep]
    else:
        part = np.zeros(len(i))
    return _found(bands, works, sized, i, j, into, part, whole=reach == whole)


def _sized(bands: Sequence[LaidBand]) -> Sized:
    first = np.cumsum([0, *(len(b.points.works) for b in bands)])
    parts: list[tuple[NDArray[np.generic], ...]] = []
    for k, b in enumerate(bands):
        p = b.points
        chosen = np.flatnonzero(p.shape >= 0)
        tool_reach = np.array([_reach(w) for w in p.works] or [0.0])
        is_disc = np.array([w.tool is None or _is_disc(w) for w in p.works] or [True])
        footprint, work = p.is_footprint[chosen], p.work[chosen]
        parts.append(
            (
                np.full(len(chosen), k),
                chosen,
                work + first[k],
                footprint,
                p.row[chosen],
                p.ring[chosen],
                p.angle[chosen],
                p.tape[chosen],
                np.where(footprint, tool_reach[work], np.nan_to_num(p.across[chosen]) / 2),
                ~footprint | is_disc[work],
            )
        )
    return Sized(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def _reach(work: Work) -> float:
    tool = work.tool
    if tool is None or tool.wide is None:
        return 0.0
    if tool.outline is not None:
        return float(np.hypot(*tool.outline.T).max())
    return max(tool.wide, tool.tall or tool.wide) / 2


def _is_disc(work: Work) -> bool:
    tool = work.tool
    return tool is not None and tool.outline is None and tool.tall in (None, tool.wide)


def _found(
    bands: Sequence[LaidBand],
    works: Sequence[Work],
    sized: Sized,
    i: Ints,
    j: Ints,
    into: Floats,
    part: Floats,
    *,
    whole: bool,
) -> list[Finding]:
    """The pairs (i drawn before j) by the statement and row of i. How bad is told in mm for discs, by the part of the
    smaller that is covered for other shapes. Where not all were looked at (``whole``), ``of`` is −1."""
    found = []
    excess = 1 + np.where(np.isnan(into), 10 * part, into)  # a millimetre of a disc, or a tenth, is as bad again
    row = np.zeros(len(sized.band), dtype=np.int64)
    for k, b in enumerate(bands):
        here = sized.band == k
        row[here] = rows_at(b.rings.tape, sized.tape[here])
    group = (sized.work[i] * (int(row.max(initial=0)) + 1) + row[i]) if len(i) else i
    for g in np.unique(group).tolist():
        here = np.flatnonzero(group == g)
        here = here[np.lexsort([j[here], i[here]])]
        first, worst = int(here[0]), int(here[np.argmax(np.round(excess[here], 6))])
        at = [
            place_of_point(bands[int(sized.band[i[k]])].number, _points(bands, sized, i[k]), int(sized.point[i[k]]))
            for k in (first, worst)
        ]
        shapes = bool(np.isnan(into[worst]))
        value = [float(part[k] if np.isnan(into[k]) else into[k]) for k in (first, worst)]
        work, other = works[int(sized.work[i[first]])], works[int(sized.work[j[first]])]
        found.append(
            Finding(
                "marks-overlap", work.span, at[0], value[0], at[1], value[1], float(excess[worst]), len(here),
                kind="shapes" if shapes else "discs", other=None if other.span is work.span else other.span,
                rows=(int(row[i[first]]),), of=0 if whole else -1,
            )
        )  # fmt: skip
    return found


def _points(bands: Sequence[LaidBand], sized: Sized, k: int) -> Points:
    return bands[int(sized.band[k])].points


def _shared(bands: Sequence[LaidBand], sized: Sized, i: Ints, j: Ints, wall: Wall) -> Floats:
    """The part of the smaller that two marks have in common, flat about the first."""
    import shapely

    shape = np.array([int(_points(bands, sized, k).shape[sized.point[k]]) for k in range(len(sized.point))])
    turn = sized.angle[j] - sized.angle[i]
    turn -= 2 * np.pi * np.round(turn / (2 * np.pi))
    key = np.stack([sized.band[i], sized.band[j], shape[i], shape[j], np.round(turn, 7)])
    _, first, which = np.unique(key, axis=1, return_index=True, return_inverse=True)

    @cache
    def plane(band: int, shape: int) -> Plane:  # about a closed end, that about its point
        outline = bands[band].points.shapes[shape]
        return plane_for(wall, outline, near=float(np.ptp(outline[:, 1])))

    @cache
    def lying(on: tuple[int, int], band: int, shape: int) -> Any:
        return area_of(plane(*on).polygon(bands[band].points.shapes[shape]))

    of = [(int(sized.band[k]), int(shape[k])) for k in range(len(shape))]
    a = np.array([lying(of[k], *of[k]) for k in i[first]])
    b = np.array(
        [
            plane(*of[k]).turned(lying(of[k], *of[other]), by)
            for k, other, by in zip(i[first], j[first], turn[first].tolist(), strict=True)
        ]
    )
    shared = shapely.area(shapely.intersection(a, b)) / np.minimum(shapely.area(a), shapely.area(b))
    return np.asarray(shared)[which.reshape(-1)]
