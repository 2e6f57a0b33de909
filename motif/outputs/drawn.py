"""A laid piece on the sheets of a flat drawing: what lies on each sheet, in paper millimetres.

Both the SVG and the JSON of ``motif unroll`` are written from this, so they cannot disagree. Paper
coordinates have x to the right and y up; a sheet's chart says where its origin is.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from itertools import chain, pairwise

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.piece import LaidBand, LaidPath, LaidPiece, LaidReserve, Points
from motif.outputs.clip import Window, clip_area, clip_lines
from motif.outputs.grid_lines import NEAREST, Grid, grid_of
from motif.outputs.lines import Lines
from motif.wall import ConeSheet, Wall
from motif.wall.rings import area_parts, closed, filled, turns_gained

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: (angle, tape) → (x, y): radians and mm of tape to mm of paper, arrays of one shape.
Chart = Callable[[Floats, Floats], tuple[Floats, Floats]]

#: Curves are sampled so finely that chords leave them by no more than this, and thinned by as much (mm).
_SAG = 0.01
_THIN = _SAG / 2
_TAPE_STEP = 1.0
_TURN = 2 * math.pi
_ON_EDGE = 1e-9
#: Ends this close on paper are one place (mm).
_MEETS = 1e-6
#: A part of a patch lower than this (mm of tape) is not named.
_NAMED_TALL = 8.0
#: Just below a corner (mm of tape).
_BELOW = 1e-6
#: So many rings or verticals are drawn at once, which bounds what that takes in memory.
_AT_ONCE = 500


@record
class Sheet:
    """A part of the wall on paper. ``misfit`` (mm) says how far paper and wall part; 0 where they do not.

    ``true_size`` is False for a picture that stretches what it shows; ``goes_on`` where another sheet begins at
    the tape where this one ends: what lies just there is that one's."""

    number: int
    window: Window
    chart: Chart
    misfit: float
    true_size: bool = True
    cone: ConeSheet | None = None
    goes_on: bool = False

    @property
    def is_gore(self) -> bool:
        """Whether it is laid on the wall by its middle line: a part of a turn that is no picture and no cone."""
        return self.true_size and self.cone is None and not self.closes

    @property
    def closes(self) -> bool:
        """Whether it goes all round the pot."""
        return self.window.to_angle - self.window.from_angle > _TURN - _ON_EDGE

    def place(self, points: Floats) -> Floats:
        """(…, 2) angle and tape to (…, 2) x and y."""
        x, y = self.chart(points[..., 0], points[..., 1])
        return np.stack(np.broadcast_arrays(x, y), axis=-1)


@record
class DrawnLine:
    """A ring or a vertical of a band, ``where`` it is: a ring's tape (mm), a vertical's angle (radians)."""

    band: int
    number: int
    where: float
    line: Floats


@record
class DrawnPath:
    """A path's parts on a sheet: ``lines`` along its edge or line, ``areas`` rings of its inside.

    ``ends_meet`` when its lines end where they begin, on paper too."""

    path: LaidPath
    lines: tuple[Floats, ...]
    areas: tuple[Floats, ...]
    ends_meet: bool


@record
class Outline:
    """A mark's outline on paper as far as it is on the sheet: a ring round its ``area``, and the ``lines``
    of the outline itself, which leave out where the sheet's edge cut it; none where nothing is cut."""

    area: Floats
    lines: tuple[Floats, ...] = ()


@record
class DrawnMarks:
    """Dots and footprints, ``n`` of them, of one band.

    ``owned`` marks belong to this sheet; the others lie on its edge or reach over it. Where there is
    no outline the mark is a circle of ``radius`` mm about ``at`` (n, 2), and a bare point where that is 0."""

    points: Points
    index: Ints
    at: Floats
    owned: NDArray[np.bool_]
    radius: Floats
    outlines: tuple[Outline | None, ...]


@record
class DrawnReserve:
    """A patch kept free: the lines of its outline, and the middle (2,) of the part of it that is on the sheet,
    None where that is a sliver of it."""

    reserve: LaidReserve
    lines: tuple[Floats, ...]
    middle: Floats | None


@record
class DrawnBand:
    band: LaidBand
    paths: tuple[DrawnPath, ...]
    marks: DrawnMarks


@record
class DrawnSheet:
    """All that lies on a sheet. ``outline`` is its edge, (k, 2), counter-clockwise from the foot end of
    its left side, not closed on itself; ``left`` and ``right`` are the sides, upward, ``bottom`` and
    ``top`` the ends, to the right. ``middle`` is the line by which a gore is laid, upward; other sheets have none."""

    piece: LaidPiece
    sheet: Sheet
    outline: Floats
    left: Floats
    right: Floats
    bottom: Floats
    top: Floats
    middle: Floats | None
    rings: tuple[DrawnLine, ...]
    verticals: tuple[DrawnLine, ...]
    bands: tuple[DrawnBand, ...]
    paths: tuple[DrawnPath, ...]
    reserves: tuple[DrawnReserve, ...]


@record
class Drawer:
    """Draws the sheets of one piece. What holds for all of them is worked out once.

    Rings and verticals that crowd are left out until they lie ``nearest`` mm apart; none where that is 0."""

    piece: LaidPiece
    nearest: float = NEAREST

    def sheet(self, sheet: Sheet) -> DrawnSheet:
        """What lies on a sheet; of one asked for again, what was drawn before."""
        if sheet not in self._sheets:
            self._sheets[sheet] = self._draw(sheet)
        return self._sheets[sheet]

    @cached_property
    def _sheets(self) -> dict[Sheet, DrawnSheet]:
        return {}

    def _draw(self, sheet: Sheet) -> DrawnSheet:
        w = sheet.window
        sides = [w.from_angle, w.to_angle, *([(w.from_angle + w.to_angle) / 2] if sheet.is_gore else [])]
        left, right, *middle = self._upward(sheet, np.array(sides), w.from_tape, w.to_tape).split()
        bottom, top = self._level(sheet, np.array([w.from_tape, w.to_tape])).split()
        outline = _without_repeats(np.vstack([bottom, right, top[::-1], left[::-1]]))
        *bands, own = self._paths(sheet)
        return DrawnSheet(
            piece=self.piece,
            sheet=sheet,
            outline=outline,
            left=left,
            right=right,
            bottom=bottom,
            top=top,
            middle=middle[0] if middle else None,
            rings=tuple(self._rings(sheet)),
            verticals=tuple(self._verticals(sheet)),
            bands=tuple(
                DrawnBand(band, paths, self._marks(sheet, band))
                for band, paths in zip(self.piece.bands, bands, strict=True)
            ),
            paths=own,
            reserves=tuple(self._reserves(sheet)),
        )

    @cached_property
    def grid(self) -> Grid:
        """The rings and verticals that are drawn."""
        return grid_of(self.piece, self.nearest)

    @cached_property
    def _all_paths(self) -> tuple[tuple[LaidPath, ...], Ints, Lines, Ints, Floats, Floats]:
        """All paths, those of the bands and then the piece's own; of which of these lists each is; their lines and
        holes; of which path each of those is; and the least and greatest angle and tape of every path."""
        lists = [*(band.paths for band in self.piece.bands), self.piece.paths]
        paths = tuple(chain.from_iterable(lists))
        edges = [(path.points, *path.holes) for path in paths]
        lines = Lines.of(list(chain.from_iterable(edges)))
        of = np.repeat(np.arange(len(paths)), [len(e) for e in edges])
        outer = np.flatnonzero(np.diff(of, prepend=-1))
        low, high = (edge[outer] for edge in lines.boxes())
        wall = self.piece.form.wall
        for k in [k for k, path in enumerate(paths) if path.worked_over and turns_gained(path.points)]:
            ring = filled(paths[k].points, wall)  # as far as the point of the closed end that it goes round
            low[k], high[k] = ring.min(axis=0), ring.max(axis=0)
        return paths, np.repeat(np.arange(len(lists)), [len(x) for x in lists]), lines, of, low, high

    def _level(self, sheet: Sheet, tape: Floats) -> Lines:
        """The rings at these tapes, from side to side of a sheet."""
        w = sheet.window
        radius = np.asarray(self.piece.form.wall.radius(tape))
        step = np.sqrt(8 * _SAG / np.maximum(radius, 1.0)) / 2
        parts = np.maximum(np.ceil((w.to_angle - w.from_angle) / step), 1.0).astype(np.int64)
        starts = np.concatenate([[0], np.cumsum(parts + 1)])
        at = np.arange(starts[-1]) - np.repeat(starts[:-1], parts + 1)
        angle = w.from_angle + at * np.repeat((w.to_angle - w.from_angle) / parts, parts + 1)
        angle[starts[1:] - 1] = w.to_angle
        lines = Lines(np.column_stack([angle, np.repeat(tape, parts + 1)]), starts)
        return lines.placed(sheet.place).thinned(_THIN)

    def _upward(self, sheet: Sheet, angle: Floats, low: float, high: float) -> Lines:
        """The verticals at these angles as far as they are on a sheet, between the tapes ``low`` and ``high``."""
        low, high = max(low, sheet.window.from_tape), min(high, sheet.window.to_tape)
        corners = self.piece.form.wall.corners
        corners = corners[(corners > low) & (corners < high)]
        tape = np.linspace(low, high, max(2, math.ceil((high - low) / _TAPE_STEP) + 1))
        # At a corner paper may gape: the line comes to it from below and goes on from above.
        tape = np.union1d(tape, np.concatenate([corners - _BELOW, corners]))
        points = np.stack(np.broadcast_arrays(angle[:, None], tape), axis=-1)
        lines = Lines(points.reshape(-1, 2), np.arange(len(angle) + 1) * len(tape))
        return lines.placed(sheet.place).thinned(_THIN)

    def _rings(self, sheet: Sheet) -> Iterator[DrawnLine]:
        w, rings = sheet.window, self.grid.rings
        here = np.flatnonzero((rings.at >= w.from_tape - _ON_EDGE) & (rings.at <= w.to_tape + _ON_EDGE))
        some = rings.chosen(here)
        for part in np.split(np.arange(len(some)), range(_AT_ONCE, len(some), _AT_ONCE)):
            lines = self._level(sheet, some.at[part]).split()
            where = (some.band[part].tolist(), some.number[part].tolist(), some.at[part].tolist())
            yield from map(DrawnLine, *where, lines)

    def _verticals(self, sheet: Sheet) -> Iterator[DrawnLine]:
        w, verticals = sheet.window, self.grid.verticals
        here = np.flatnonzero(np.minimum(verticals.high, w.to_tape) > np.maximum(verticals.low, w.from_tape))
        some = verticals.chosen(here)
        first, last = w.turns(some.at, some.at)
        copies = np.maximum(last - first + 1, 0)
        which = np.repeat(np.arange(len(some)), copies)
        turn = first[which] + np.arange(len(which)) - np.repeat(np.cumsum(copies) - copies, copies)
        angle = np.clip(some.at[which] + turn * _TURN, w.from_angle, w.to_angle)
        some = some.chosen(which)
        ends = np.flatnonzero(np.diff(some.low, prepend=-np.inf) + np.diff(some.high, prepend=-np.inf))
        for begin, end in pairwise([*ends.tolist(), len(some)]):
            for at in range(begin, end, _AT_ONCE):
                part = slice(at, min(at + _AT_ONCE, end))
                lines = self._upward(sheet, angle[part], float(some.low[begin]), float(some.high[begin])).split()
                yield from map(
                    DrawnLine, some.band[part].tolist(), some.number[part].tolist(), angle[part].tolist(), lines
                )

    def _reserves(self, sheet: Sheet) -> Iterator[DrawnReserve]:
        w, reserves = sheet.window, self.piece.reserves
        outlines = Lines.of([np.vstack([r.outline, r.outline[:1]]) for r in reserves])
        lines, of = clip_lines(outlines, w)
        drawn = list(zip(of.tolist(), lines.placed(sheet.place).thinned(_THIN).split(), strict=True))
        for k, reserve in enumerate(reserves):
            parts = [clip_area(turned, w) for turned in _turned(reserve.outline, w)]
            own = tuple(line for owner, line in drawn if owner == k)
            boxes = [np.array([part.min(axis=0), part.max(axis=0)]) for part in parts if len(part) > 2]
            widest = max(boxes, key=lambda box: float(np.ptp(box[:, 0])), default=None)
            if own or widest is not None:
                # A patch that goes over several sheets is named where half of it is, and where it fills a sheet.
                enough = min(np.ptp(reserve.outline[:, 0]) / 2, np.ptp([w.low[0], w.high[0]]))
                # And where it is high enough for letters, unless it is nowhere so.
                tall = min(_NAMED_TALL, float(np.ptp(reserve.outline[:, 1])) / 2)
                named = (
                    widest is not None
                    and np.ptp(widest[:, 0]) > enough - _ON_EDGE
                    and np.ptp(widest[:, 1]) > tall - _ON_EDGE
                )
                middle = sheet.place(widest.mean(axis=0)) if widest is not None and named else None
                yield DrawnReserve(reserve, own, middle)

    def _paths(self, sheet: Sheet) -> list[tuple[DrawnPath, ...]]:
        """What a sheet shows of every band's paths, and last of the piece's own."""
        paths, list_of, every, of, low, high = self._all_paths
        w = sheet.window
        first, last = w.turns(low[:, 0], high[:, 0])
        near = (last >= first) & (low[:, 1] <= w.to_tape + _ON_EDGE) & (high[:, 1] >= w.from_tape - _ON_EDGE)
        some = np.flatnonzero(near[of])
        parts, part_of = clip_lines(every.chosen(some), w)
        lines = _by_owner(parts.placed(sheet.place).thinned(_THIN), of[some[part_of]])
        rings, ring_of = _areas(paths, np.flatnonzero(near).tolist(), w, self.piece.form.wall)
        areas = _by_owner(Lines.of(rings).placed(sheet.place).thinned(_THIN), np.array(ring_of, dtype=np.int64))
        drawn: list[list[DrawnPath]] = [[] for _ in range(len(self.piece.bands) + 1)]
        for k in sorted({*lines, *areas}):
            own = lines.get(k, ())
            ends_meet = all(abs(x - y) < _MEETS for line in own for x, y in zip(line[0], line[-1], strict=True))
            inside = tuple(ring[:-1] for ring in areas.get(k, ()))
            drawn[list_of[k]].append(DrawnPath(paths[k], tuple(own), inside, ends_meet))
        return [tuple(some) for some in drawn]

    def _marks(self, sheet: Sheet, band: LaidBand) -> DrawnMarks:
        p, w = band.points, sheet.window
        reach_angle, low, high = mark_reach(p, self.piece.form.wall)
        relative = (p.angle - w.from_angle) % _TURN
        relative = np.where(_TURN - relative < _ON_EDGE, 0.0, relative)
        parts: list[tuple[Ints, Floats, NDArray[np.bool_]]] = []
        for turn in (-1, 0, 1):
            angle = w.from_angle + relative + turn * _TURN
            near = np.flatnonzero(
                (angle + reach_angle >= w.from_angle - _ON_EDGE)
                & (angle - reach_angle <= w.to_angle + _ON_EDGE)
                & (high >= w.from_tape - _ON_EDGE)
                & (low <= w.to_tape + _ON_EDGE)
            )
            tape = p.tape[near]
            owned = (
                (angle[near] >= w.from_angle)
                & (angle[near] < w.to_angle - _ON_EDGE)
                & (tape >= w.from_tape - _ON_EDGE)
                & (tape <= w.to_tape + (-_ON_EDGE if sheet.goes_on else _ON_EDGE))
            )
            parts.append((near, angle[near], owned))
        index = np.concatenate([i for i, _, _ in parts])
        angle = np.concatenate([a for _, a, _ in parts])
        owned = np.concatenate([o for _, _, o in parts])
        order = np.argsort(index, kind="stable")
        return _mark_outlines(sheet, p, self.piece.form.wall, index[order], angle[order], owned[order])


def _by_owner(lines: Lines, owner: Ints) -> dict[int, list[Floats]]:
    """The lines of each owner, in order."""
    found: dict[int, list[Floats]] = {}
    for k, line in zip(owner.tolist(), lines.split(), strict=True):
        found.setdefault(k, []).append(line)
    return found


def _areas(
    paths: Sequence[LaidPath], near: Sequence[int], window: Window, wall: Wall
) -> tuple[list[Floats], list[int]]:
    """The rings, closed on themselves, that the window leaves of the areas of some paths, and whose each is."""
    rings: list[Floats] = []
    owner: list[int] = []
    for k in near:
        path = paths[k]
        for part in area_parts((path.points, *path.holes), wall) if path.worked_over else ():
            for turned in _turned(part, window):
                ring = clip_area(turned, window)
                if len(ring) > 2:
                    rings.append(np.vstack([ring, ring[:1]]))
                    owner.append(k)
    return rings, owner


def _turned(points: Floats, window: Window) -> Iterator[Floats]:
    """The points turned by every whole number of turns that brings some of them into the window."""
    (first,), (last,) = window.turns(points[:, :1].min(axis=0), points[:, :1].max(axis=0))
    for k in range(first, last + 1):
        yield points + np.array([k * _TURN, 0.0])


def mark_reach(p: Points, wall: Wall) -> tuple[Floats, Floats, Floats]:
    """How far each of ``n`` marks reaches: to either side in angle (radians), its lowest and highest tape (mm)."""
    half = np.where(np.isnan(p.across), 0.0, p.across / 2)
    angle = half / np.maximum(p.radius, half + _ON_EDGE)
    low, high = p.tape - half, p.tape + half
    if p.shapes:
        spans = np.array(
            [
                (np.abs(s[:, 0]).max(), s[:, 1].min(), s[:, 1].max()) if len(s) else (0.0, np.inf, -np.inf)
                for s in (filled(ring, wall) for ring in p.shapes)
            ]
        )
        shaped = p.shape >= 0
        chosen = spans[p.shape[shaped]]
        angle[shaped], low[shaped], high[shaped] = chosen[:, 0], chosen[:, 1], chosen[:, 2]
    return angle, low, high


def _mark_outlines(
    sheet: Sheet, p: Points, wall: Wall, index: Ints, angle: Floats, owned: NDArray[np.bool_]
) -> DrawnMarks:
    at = sheet.place(np.column_stack([angle, p.tape[index]]))
    radius = np.where(np.isnan(p.across[index]), 0.0, p.across[index] / 2)
    shape = p.shape[index]
    outlines: list[Outline | None] = [None] * len(index)
    kept = np.ones(len(index), dtype=bool)
    # Marks of one outline are charted together; those without one but with a size, by their size and level.
    for members, outline in mark_outlines(p, index, shape):
        rings = np.stack(np.broadcast_arrays(angle[members, None] + outline[:, 0], outline[:, 1]), axis=-1)
        low, high = rings.min(axis=1), rings.max(axis=1)
        inside = np.all((low >= sheet.window.low - _ON_EDGE) & (high <= sheet.window.high + _ON_EDGE), axis=1)
        # Round a closed end an outline is one line from side to side, and its area reaches to the point.
        inside &= turns_gained(outline) == 0
        round_here = sheet.true_size and shape[members[0]] < 0
        if not round_here:
            for member, placed in zip(members[inside].tolist(), sheet.place(rings[inside]), strict=True):
                outlines[member] = Outline(placed)
        for member, ring in zip(members[~inside].tolist(), rings[~inside], strict=True):
            part = clip_area(filled(ring, wall), sheet.window)
            kept[member] = len(part) > 2
            lines, _ = clip_lines(Lines.of([closed(ring)]), sheet.window, turning=False)
            outlines[member] = Outline(sheet.place(part), tuple(lines.placed(sheet.place).split()))
    return DrawnMarks(
        p,
        index[kept],
        at[kept],
        owned[kept],
        radius[kept],
        tuple(o for o, k in zip(outlines, kept.tolist(), strict=True) if k),
    )


def mark_outlines(p: Points, index: Ints, shape: Ints) -> Iterator[tuple[Ints, Floats]]:
    """The marks that have a size, grouped by outline: indexes into ``index``, and angle off and tape."""
    for s in np.unique(shape[shape >= 0]).tolist():
        yield np.flatnonzero(shape == s), p.shapes[s]
    plain = np.flatnonzero((shape < 0) & ~np.isnan(p.across[index]))
    if not len(plain):
        return
    sizes = np.column_stack([p.across[index], p.tape[index], p.radius[index]])[plain]
    kinds, which = np.unique(sizes, axis=0, return_inverse=True)
    for k, (across, tape, radius) in enumerate(kinds.tolist()):
        size = across / 2
        corners = max(12, math.ceil(math.pi / math.acos(1 - min(2 * _SAG / size, 1.0))))
        round_it = np.linspace(0.0, _TURN, corners, endpoint=False)
        off = size * np.cos(round_it) / max(radius, size)
        yield plain[which.ravel() == k], np.column_stack([off, tape + size * np.sin(round_it)])


def _without_repeats(ring: Floats) -> Floats:
    step = np.abs(ring - np.roll(ring, 1, axis=0)).max(axis=1)
    return ring[step > 1e-9]
