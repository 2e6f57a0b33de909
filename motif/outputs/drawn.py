"""A laid piece on the sheets of a flat drawing: what lies on each sheet, in paper millimetres.

Both the SVG and the JSON of ``motif unroll`` are written from this, so they cannot disagree. Paper
coordinates have x to the right and y up; a sheet's chart says where its origin is.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.piece import LaidBand, LaidPath, LaidPiece, LaidReserve, Points
from motif.outputs.clip import Window, clip_area, clip_line
from motif.wall import ConeSheet

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: (angle, tape) → (x, y): radians and mm of tape to mm of paper, arrays of one shape.
Chart = Callable[[Floats, Floats], tuple[Floats, Floats]]

#: Curves are sampled so finely that chords leave them by no more than this, and thinned by as much (mm).
_SAG = 0.01
_TAPE_STEP = 1.0
_TURN = 2 * math.pi
_ON_EDGE = 1e-9
#: Ends this close on paper are one place (mm).
_MEETS = 1e-6
#: Just below a corner (mm of tape).
_BELOW = 1e-6


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
    """Draws the sheets of one piece. What holds for all of them is worked out once."""

    piece: LaidPiece

    def sheet(self, sheet: Sheet) -> DrawnSheet:
        w = sheet.window
        left = self._upward(sheet, w.from_angle)
        right = self._upward(sheet, w.to_angle)
        bottom = self._ring(sheet, w.from_tape)
        top = self._ring(sheet, w.to_tape)
        outline = _without_repeats(np.vstack([bottom, right, top[::-1], left[::-1]]))
        return DrawnSheet(
            sheet=sheet,
            outline=outline,
            left=left,
            right=right,
            bottom=bottom,
            top=top,
            middle=self._upward(sheet, (w.from_angle + w.to_angle) / 2) if sheet.is_gore else None,
            rings=tuple(self._rings(sheet)),
            verticals=tuple(self._verticals(sheet)),
            bands=tuple(
                DrawnBand(band, self._paths(sheet, extents), self._marks(sheet, band))
                for band, extents in zip(self.piece.bands, self._extents, strict=False)
            ),
            paths=self._paths(sheet, self._extents[-1]),
            reserves=tuple(self._reserves(sheet)),
        )

    @cached_property
    def _extents(self) -> tuple[_Extents, ...]:
        """Of every band's paths, and last of the piece's own."""
        return (*(_Extents.of(band.paths) for band in self.piece.bands), _Extents.of(self.piece.paths))

    def _ring(self, sheet: Sheet, tape: float) -> Floats:
        w = sheet.window
        radius = float(self.piece.form.wall.radius(tape))
        step = math.sqrt(8 * _SAG / max(radius, 1.0)) / 2
        angle = np.linspace(w.from_angle, w.to_angle, max(2, math.ceil((w.to_angle - w.from_angle) / step) + 1))
        return thin(sheet.place(np.column_stack([angle, np.full_like(angle, tape)])))

    def _upward(self, sheet: Sheet, angle: float, low: float = -math.inf, high: float = math.inf) -> Floats:
        low, high = max(low, sheet.window.from_tape), min(high, sheet.window.to_tape)
        corners = self.piece.form.wall.corners
        corners = corners[(corners > low) & (corners < high)]
        tape = np.linspace(low, high, max(2, math.ceil((high - low) / _TAPE_STEP) + 1))
        # At a corner paper may gape: the line comes to it from below and goes on from above.
        tape = np.union1d(tape, np.concatenate([corners - _BELOW, corners]))
        return thin(sheet.place(np.column_stack([np.full_like(tape, angle), tape])))

    def _rings(self, sheet: Sheet) -> Iterator[DrawnLine]:
        w = sheet.window
        for band in self.piece.bands:
            for k, tape in enumerate(band.rings.tape.tolist()):
                if w.from_tape - _ON_EDGE <= tape <= w.to_tape + _ON_EDGE:
                    yield DrawnLine(band.number, k, tape, self._ring(sheet, tape))

    def _verticals(self, sheet: Sheet) -> Iterator[DrawnLine]:
        w = sheet.window
        for band in self.piece.bands:
            low, high = sorted((float(band.rings.tape[0]), float(band.rings.tape[-1])))
            if min(high, w.to_tape) <= max(low, w.from_tape):
                continue
            for k, angle in enumerate(band.verticals.tolist(), 1):
                for a in copies(angle, w):
                    yield DrawnLine(band.number, k, a, self._upward(sheet, a, low, high))

    def _reserves(self, sheet: Sheet) -> Iterator[DrawnReserve]:
        for reserve in self.piece.reserves:
            lines: list[Floats] = []
            parts: list[Floats] = []
            for turned in _turned(reserve.outline, sheet.window):
                lines += [thin(sheet.place(part)) for part in clip_line(np.vstack([turned, turned[:1]]), sheet.window)]
                parts.append(clip_area(turned, sheet.window))
            boxes = [np.array([part.min(axis=0), part.max(axis=0)]) for part in parts if len(part) > 2]
            widest = max(boxes, key=lambda box: float(np.ptp(box[:, 0])), default=None)
            if lines or widest is not None:
                # A patch that goes over several sheets is named where half of it is, and where it fills a sheet.
                enough = min(np.ptp(reserve.outline[:, 0]) / 2, np.ptp([sheet.window.low[0], sheet.window.high[0]]))
                named = widest is not None and np.ptp(widest[:, 0]) > enough - _ON_EDGE
                middle = sheet.place(widest.mean(axis=0)) if widest is not None and named else None
                yield DrawnReserve(reserve, tuple(lines), middle)

    def _paths(self, sheet: Sheet, extents: _Extents) -> tuple[DrawnPath, ...]:
        return tuple(
            drawn for i in extents.on(sheet.window) if (drawn := _path_on(sheet, extents.paths[i])) is not None
        )

    def _marks(self, sheet: Sheet, band: LaidBand) -> DrawnMarks:
        p, w = band.points, sheet.window
        reach_angle, low, high = mark_reach(p)
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
        return _mark_outlines(sheet, p, index[order], angle[order], owned[order])


@record
class _Extents:
    """Paths with the box of each in (angle, tape), so that a sheet looks only at those near it."""

    paths: Sequence[LaidPath]
    boxes: Floats

    @classmethod
    def of(cls, paths: Sequence[LaidPath]) -> _Extents:
        if not paths:
            return cls(paths, np.empty((0, 4)))
        starts = np.concatenate([[0], np.cumsum([len(p.points) for p in paths])[:-1]])
        points = np.concatenate([p.points for p in paths])
        return cls(
            paths,
            np.column_stack([np.minimum.reduceat(points, starts, axis=0), np.maximum.reduceat(points, starts, axis=0)]),
        )

    def on(self, window: Window) -> list[int]:
        low_angle, low_tape, high_angle, high_tape = self.boxes.T
        turns_down = np.ceil((window.from_angle - _ON_EDGE - high_angle) / _TURN)
        touches = low_angle + turns_down * _TURN <= window.to_angle + _ON_EDGE
        touches &= (low_tape <= window.to_tape + _ON_EDGE) & (high_tape >= window.from_tape - _ON_EDGE)
        return np.flatnonzero(touches).tolist()


def thin(line: Floats, tolerance: float = _SAG / 2) -> Floats:
    """The line without points that lie within ``tolerance`` mm of the line through the others."""
    if len(line) < 3:
        return line
    import shapely

    return shapely.get_coordinates(shapely.simplify(shapely.linestrings(line), tolerance))


def copies(angle: float, window: Window) -> list[float]:
    """The angles in ``window``, both ends included, that are ``angle`` up to whole turns."""
    first = math.ceil((window.from_angle - _ON_EDGE - angle) / _TURN)
    last = math.floor((window.to_angle + _ON_EDGE - angle) / _TURN)
    return [min(max(angle + k * _TURN, window.from_angle), window.to_angle) for k in range(first, last + 1)]


def _turned(points: Floats, window: Window) -> Iterator[Floats]:
    """The points turned by every whole number of turns that brings some of them into the window."""
    angle = points[:, 0]
    first = math.ceil((window.from_angle - _ON_EDGE - angle.max()) / _TURN)
    last = math.floor((window.to_angle + _ON_EDGE - angle.min()) / _TURN)
    for k in range(first, last + 1):
        yield points + np.array([k * _TURN, 0.0])


def _path_on(sheet: Sheet, path: LaidPath) -> DrawnPath | None:
    lines: list[Floats] = []
    areas: list[Floats] = []
    for line in (path.points, *path.holes):
        for turned in _turned(line, sheet.window):
            lines += [thin(sheet.place(part)) for part in clip_line(turned, sheet.window)]
            if path.worked_over:
                ring = clip_area(turned[:-1], sheet.window)
                if len(ring) > 2:
                    areas.append(thin(sheet.place(np.vstack([ring, ring[:1]])))[:-1])
    if not lines and not areas:
        return None
    ends_meet = all(np.abs(line[0] - line[-1]).max() < _MEETS for line in lines)
    return DrawnPath(path, tuple(lines), tuple(areas), ends_meet)


def mark_reach(p: Points) -> tuple[Floats, Floats, Floats]:
    """How far each of ``n`` marks reaches: to either side in angle (radians), its lowest and highest tape (mm)."""
    half = np.where(np.isnan(p.across), 0.0, p.across / 2)
    angle = half / np.maximum(p.radius, half + _ON_EDGE)
    low, high = p.tape - half, p.tape + half
    if p.shapes:
        spans = np.array(
            [
                (np.abs(s[:, 0]).max(), s[:, 1].min(), s[:, 1].max()) if len(s) else (0.0, np.inf, -np.inf)
                for s in p.shapes
            ]
        )
        shaped = p.shape >= 0
        chosen = spans[p.shape[shaped]]
        angle[shaped], low[shaped], high[shaped] = chosen[:, 0], chosen[:, 1], chosen[:, 2]
    return angle, low, high


def _mark_outlines(sheet: Sheet, p: Points, index: Ints, angle: Floats, owned: NDArray[np.bool_]) -> DrawnMarks:
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
        round_here = sheet.true_size and shape[members[0]] < 0
        placed = sheet.place(rings)
        for k, member in enumerate(members.tolist()):
            if not inside[k]:
                part = clip_area(rings[k], sheet.window)
                kept[member] = len(part) > 2
                lines = clip_line(np.vstack([rings[k], rings[k, :1]]), sheet.window)
                outlines[member] = Outline(sheet.place(part), tuple(sheet.place(line) for line in lines))
            elif not round_here:
                outlines[member] = Outline(placed[k])
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
