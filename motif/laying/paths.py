"""Lines and outlines of a band: made once, joined, cut, measured."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from motif.language.record import changed
from motif.laying.clusters import distinct
from motif.laying.collect import Collection, Lines, led_nowhere, lines_of
from motif.laying.curves import Tracer
from motif.laying.findings import Finding, Findings
from motif.laying.grid import nearest_count
from motif.laying.marks import SkipCount
from motif.laying.outlines import (
    crosses_itself,
    cut_outline,
    enclosed_by,
    fine_polygons,
    length_of,
    middle_of,
)
from motif.laying.piece import Floats, LaidPath, Work
from motif.laying.planes import area_of, plane_for
from motif.laying.region import Region
from motif.laying.strokes import join, once_only_lines
from motif.laying.trace import Pieces, Run, cut_up, runs
from motif.model.techniques import TECHNIQUES
from motif.wall import Wall
from motif.wall.rings import closed_ends, enclosed, swept_at_end

Bools = NDArray[np.bool_]

#: what an edge leaves of a line that only touches it is nothing, mm
_NOTHING = 0.005


def lay_paths(
    collection: Collection, tracer: Tracer, region: Region, skipped: SkipCount, found: Findings
) -> tuple[LaidPath, ...]:
    """Strokes and outlines that are made, in the order in which they are first drawn."""
    _note_nowhere(collection, tracer, found)
    lines = once_only_lines(lines_of(collection), tracer)
    if not len(lines):
        return ()
    strokes = join(lines, tracer)
    pieces = cut_up(lines, tracer, region)
    laid: list[tuple[int, LaidPath]] = []
    cut = lines.over_area & (
        _touched(lines, pieces) | (lines.trim >= 0) | _over_reserves(lines, pieces, tracer, region)
    )
    cut |= lines.over_area & _round_an_end_cut_off(lines, pieces, tracer, region)
    for run in runs(lines, strokes, pieces, tracer):
        leader = int(strokes.leader[run.stroke])
        if cut[leader] or run.length < _NOTHING:
            continue
        work = collection.works[int(lines.work[leader])]
        laid.append((leader, _path_of(run, work, lines, leader, tracer.wall)))
    leaders = np.flatnonzero(cut)
    inside = _inside_reserves(lines, pieces, tracer, region)
    for leader, polygon in zip(leaders.tolist(), fine_polygons(lines, leaders, tracer), strict=True):
        pieces_of = slice(pieces.first[lines.first[leader]], pieces.first[lines.first[leader + 1]])
        whole = abs(float(pieces.swept[pieces_of].sum()) - swept_at_end(polygon, tracer.wall))
        within = _reserve_within(polygon, region)
        if within is not None:
            inside.setdefault(leader, within)
        laid.extend(
            (leader, path)
            for path in _parts_of_outline(lines, leader, polygon, whole, collection, tracer, region, skipped)
        )
    _note_reserves(inside, lines, tracer, collection, region, found)
    laid.sort(key=lambda f: f[0])
    return tuple(path for _, path in laid)


def _note_nowhere(collection: Collection, tracer: Tracer, found: Findings) -> None:
    """``leads-nowhere`` for lines that end where they begin, and for parallels of which nothing is left."""
    nowhere = [("line", w, n, tracer.on_wall(s, np.zeros(len(w)))[1]) for w, n, s in led_nowhere(collection)]
    nowhere += [("parallel", *lost) for lost in collection.nothing_left]
    for what, works, numbers, tape in nowhere:
        for work in distinct(works):
            here = np.flatnonzero(works == work)
            k = int(here[0])
            column, row, vertical, ring = (int(getattr(numbers, n)[k]) for n in ("column", "row", "vertical", "ring"))
            at = found.place(float(tape[k]), column, row, vertical, ring)
            span = collection.works[work].span
            found.add(Finding("leads-nowhere", span, at, 0.0, at, 0.0, 1.0, len(here), kind=what))


def made_path(work: Work, run: Run, area: float, numbers: tuple[int, int, int, int], worked_over: bool) -> LaidPath:
    """A run of a stroke as a laid path, with the impressions of a roulette."""
    count, reached = 0, None
    if TECHNIQUES[work.technique].impressions and work.pitch is not None and run.length > 0:
        count = nearest_count(run.length, work.pitch)
        reached = run.length / count
    return LaidPath(work, worked_over, run.closed, run.length, area, count, reached, *numbers, run.points)


def _path_of(run: Run, work: Work, lines: Lines, leader: int, wall: Wall) -> LaidPath:
    numbers = (int(lines.column[leader]), int(lines.row[leader]), int(lines.vertical[leader]), int(lines.ring[leader]))
    area = 0.0
    if run.whole and lines.encloses[leader]:
        simple = abs(run.swept - swept_at_end(run.points, wall))
        area = enclosed_by(run.points, wall) if crosses_itself(run.points, wall) else simple
    return made_path(work, run, area, numbers, bool(lines.over_area[leader]))


def _touched(lines: Lines, pieces: Pieces) -> Bools:
    """Which lines have a stretch that the region does not keep."""
    starts = pieces.first[lines.first[:-1]]
    return ~np.logical_and.reduceat(pieces.keep, starts) if len(pieces.keep) else np.zeros(len(lines), dtype=np.bool_)


def _round_an_end_cut_off(lines: Lines, pieces: Pieces, tracer: Tracer, region: Region) -> Bools:
    """Which outlines gain a turn, round a closed end of the wall, of which the band or its panels do not hold all
    that may be inside, or where reserves may lie."""
    whole = not region.panels and not region.patches
    ends = closed_ends(tracer.wall)
    if not ends or (whole and all(region.low <= end <= region.high for end in ends)):
        return np.zeros(len(lines), dtype=np.bool_)
    first, last = pieces.first[lines.first[:-1]], pieces.first[lines.first[1:]] - 1
    segments = lines.segments
    start, _ = tracer.on_wall(segments.at(pieces.segment[first]), pieces.t0[first])
    stop, _ = tracer.on_wall(segments.at(pieces.segment[last]), pieces.t1[last])
    return np.asarray(np.abs(stop - start) > np.pi) & lines.encloses


def _over_reserves(lines: Lines, pieces: Pieces, tracer: Tracer, region: Region) -> Bools:
    """Which lines reach to both sides of some reserve's middle, so that as outlines they may hold all of it."""
    over = np.zeros(len(lines), dtype=np.bool_)
    if not region.patches or not lines.over_area.any():
        return over
    angle, tape = tracer.on_wall(lines.segments.at(pieces.segment), pieces.t0)
    starts = pieces.first[lines.first[:-1]]
    low, high = np.minimum.reduceat(tape, starts), np.maximum.reduceat(tape, starts)
    west, east = np.minimum.reduceat(angle, starts), np.maximum.reduceat(angle, starts)
    for patch in region.patches:
        round_ = np.mod(patch.laid.facing - west, 2 * np.pi) <= east - west
        over |= round_ & (low <= patch.laid.to_tape) & (high >= patch.laid.from_tape)
    return over


def _parts_of_outline(
    lines: Lines,
    line: int,
    polygon: Floats,
    whole: float,
    collection: Collection,
    tracer: Tracer,
    region: Region,
    skipped: SkipCount,
) -> list[LaidPath]:
    """What is left of an outline worked over its area, ``whole`` mm² before it is cut: its polygon's areas are
    made up by the little that the polygon falls short. An attached one is whole or, with its middle in a reserve,
    not made at all."""
    work = collection.works[int(lines.work[line])]
    attached = work.technique == "attach"
    if attached:
        angle, tape = (np.array(v) for v in middle_of(polygon, tracer.wall))
        if region.in_reserve(angle, tape):
            skipped[work.key] += 1
            return []
    numbers = (int(lines.column[line]), int(lines.row[line]), int(lines.vertical[line]), int(lines.ring[line]))
    trim = lines.trims[int(lines.trim[line])] if lines.trim[line] >= 0 else None
    polygons = abs(enclosed(tracer.wall, polygon))
    panel = int(lines.panel[line])
    if panel >= 0:  # drawn once in each panel, it stays in its own
        region = changed(region, panels=region.panels[panel : panel + 1])
    share = whole / polygons if polygons > 0 and not crosses_itself(polygon, tracer.wall) else 1.0
    return [
        LaidPath(work, True, True, length_of(tracer.wall, outer), area * share, 0, None, *numbers, outer, holes)
        for outer, holes, area in cut_outline(polygon, region, not attached, trim, int(lines.entry[line]))
    ]


def _inside_reserves(lines: Lines, pieces: Pieces, tracer: Tracer, region: Region) -> dict[int, tuple[float, float]]:
    """The lines and outlines of which a stretch lies in a patch kept free, and a place (angle, tape) where."""
    if not region.patches:
        return {}
    angle, tape = tracer.on_wall(lines.segments.at(pieces.segment), (pieces.t0 + pieces.t1) / 2)
    inside = np.flatnonzero(region.in_reserve(angle, tape) & region.in_band(tape) & region.in_panels(angle, tape))
    line = np.repeat(np.arange(len(lines)), np.diff(lines.first))[pieces.segment[inside]]
    return {int(k): (float(angle[i]), float(tape[i])) for k, i in zip(line[::-1], inside[::-1], strict=True)}


def _reserve_within(polygon: Floats, region: Region) -> tuple[float, float] | None:
    """The middle of a patch that lies all within an outline worked over its area."""
    plane = plane_for(region.wall, polygon)
    west, east = float(polygon[:, 0].min()), float(polygon[:, 0].max())
    for patch in region.patches:
        for area in plane.areas(patch.laid.outline, west, east):
            if area_of(plane.polygon(polygon)).contains(area):
                return patch.laid.facing, (patch.laid.from_tape + patch.laid.to_tape) / 2
    return None


def _note_reserves(
    inside: dict[int, tuple[float, float]],
    lines: Lines,
    tracer: Tracer,
    collection: Collection,
    region: Region,
    found: Findings,
) -> None:
    """``in-reserve`` for lines and outlines: those that a patch cuts; attached ones are whole, or left out."""
    attached = [k for k in inside if lines.over_area[k] and collection.works[int(lines.work[k])].technique == "attach"]
    kind = dict.fromkeys(inside, "cut") | dict.fromkeys(attached, "reaches")
    for k, polygon in zip(attached, fine_polygons(lines, np.array(attached, dtype=np.int64), tracer), strict=True):
        angle, tape = (np.array(v) for v in middle_of(polygon, tracer.wall))
        if region.in_reserve(angle, tape):
            kind[k] = "out"
    groups: dict[tuple[int, str], list[int]] = {}
    for k in sorted(inside):
        groups.setdefault((int(lines.work[k]), kind[k]), []).append(k)
    for (work, what), members in groups.items():
        numbers = (int(getattr(lines, name)[members[0]]) for name in ("column", "row", "vertical", "ring"))
        at = found.place(inside[members[0]][1], *numbers)
        names = region.reserves_at(*np.array([inside[k] for k in members]).T)
        span = collection.works[work].span
        found.add(Finding("in-reserve", span, at, 0.0, at, 0.0, 1.0, len(members), kind=what, reserves=names))
