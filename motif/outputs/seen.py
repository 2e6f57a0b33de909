"""A laid piece as it is seen from one side: every line and area that no clay hides, in drawing millimetres.

Coordinates have x to the viewer's right and y up; the origin is where the axis of the pot at height 0 is
drawn. What is hidden and where it begins to be is the business of ``motif.wall.sight``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import chain, pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.piece import LaidBand, LaidPath, LaidPiece, Points
from motif.outputs.drawn import mark_outlines
from motif.outputs.grid_lines import NEAREST, grid_of
from motif.outputs.once import once
from motif.outputs.seen_region import SeenRegion
from motif.wall import Wall
from motif.wall.rings import area_parts, closed, filled, turns_gained
from motif.wall.sight import Sight
from motif.wall.visible import Visible, visible

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: Between points of a line the wall bends by no more than this: radians round the pot, mm of tape.
_TURN_STEP, _TAPE_STEP = 0.03, 1.5
#: Lines lose the points that lie this near to the line through the others, mm as drawn.
_SAG = 0.005
#: Angles nearer than this are one.
_SAME = 1e-9


@record
class SeenPath:
    """A path: lines along its edge or line, rings of its areas (even-odd), and lines of it that are hidden.

    ``closed`` where every line ends where it begins."""

    path: LaidPath
    lines: tuple[Floats, ...]
    areas: tuple[Floats, ...]
    hidden: tuple[Floats, ...]
    closed: bool


@record
class SeenMarks:
    """The dots and footprints of one way of working: ``rings`` of those that are seen whole, ``areas`` and
    ``edges`` of what is seen of others, and the places (k, 2) of bare points; ``hidden`` edges of those, and of the
    ones that are not seen at all."""

    work: int
    rings: tuple[Floats, ...]
    areas: tuple[Floats, ...]
    edges: tuple[Floats, ...]
    bare: Floats
    hidden: tuple[Floats, ...]


@record
class SeenBand:
    band: LaidBand
    grid: tuple[Floats, ...]
    paths: tuple[SeenPath, ...]
    marks: tuple[SeenMarks, ...]


@record
class SeenPiece:
    """All that is seen; paths of which nothing is are left out.

    ``outline``, ``creases`` and ``behind`` are the pot's own lines, as in ``Visible``."""

    piece: LaidPiece
    facing: float
    tilt: float
    outline: tuple[Floats, ...]
    creases: tuple[Floats, ...]
    behind: tuple[Floats, ...]
    reserves: tuple[Floats, ...]
    bands: tuple[SeenBand, ...]
    paths: tuple[SeenPath, ...]

    @property
    def box(self) -> tuple[Floats, Floats]:
        """The least and the greatest x and y of the pot, two (2,)."""
        points = np.concatenate([*self.outline, *self.creases])
        return points.min(axis=0), points.max(axis=0)


def look(piece: LaidPiece, facing: float, tilt: float, *, far_side: bool = False, scale: float = 1.0) -> SeenPiece:
    """The piece with the angle ``facing`` (radians, of the pot's frame) toward a viewer ``tilt`` above the level.

    What is hidden of the work is found where the ``far_side`` is asked for. Lines have as few points as keep
    them where they belong when they are drawn ``scale`` times real size.

    Raises ValueError for a tilt outside 0 … π/2."""
    return _Look(piece, facing, tilt, far_side, _SAG / scale, NEAREST / scale).all()


@once  # one pot is looked at from several sides, and what is hidden does not turn with it
def _visible(wall: Wall, tilt: float, inside: bool) -> tuple[Sight, Visible]:
    sight = Sight(wall, tilt, inside)
    return sight, visible(sight)


class _Look:
    def __init__(
        self, piece: LaidPiece, facing: float, tilt: float, far_side: bool, sag: float, nearest: float
    ) -> None:
        self.piece = piece
        self.facing = facing
        self.far_side = far_side
        self.sag = sag
        self.grid = grid_of(piece, nearest)
        self.sight, self.visible = _visible(piece.form.wall, tilt, piece.form.side == "inside")
        self.region = SeenRegion(self.visible, facing)
        self.wall = piece.form.wall

    def all(self) -> SeenPiece:
        reserves = self.region.lines([_closed(r.outline) for r in self.piece.reserves])
        *bands, own = self._paths([*(band.paths for band in self.piece.bands), self.piece.paths])
        return SeenPiece(
            self.piece,
            self.facing,
            self.sight.tilt,
            self._pots(self.visible.outline),
            self._pots(self.visible.creases),
            self._pots(self.visible.behind),
            self._drawn([part for cut in reserves for part in cut.inside]),
            tuple(
                SeenBand(band, grid, paths, tuple(self._marks(band.points)))
                for band, grid, paths in zip(self.piece.bands, self._grids(), bands, strict=True)
            ),
            own,
        )

    def _pots(self, lines: Sequence[Floats]) -> tuple[Floats, ...]:
        """The pot's own lines, which turn with the viewer."""
        return self._drawn([line + [self.facing, 0.0] for line in lines])

    def _grids(self) -> list[tuple[Floats, ...]]:
        """Rings and verticals of every band, in its panels where it has some."""
        lines: list[Floats] = []
        whose: list[int] = []
        rings, verticals = self.grid.rings, self.grid.verticals
        for k, band in enumerate(self.piece.bands):
            panels = band.panels or ((self.facing - math.pi, self.facing + math.pi),)
            lines += [
                np.array([[begin, tape], [end, tape]])
                for begin, end in panels
                for tape in rings.at[rings.of_band(band.number)].tolist()
            ]
            own = verticals.chosen(np.arange(len(verticals))[verticals.of_band(band.number)])
            lines += [
                np.array([[angle, low], [angle, high]])
                for angle, low, high in np.column_stack([own.at, own.low, own.high]).tolist()
                if any((angle - begin + _SAME) % math.tau <= end - begin + 2 * _SAME for begin, end in panels)
            ]
            whose += [k] * (len(lines) - len(whose))
        cuts = zip(whose, self.region.lines(lines), strict=True)
        return self._drawn_of(len(self.piece.bands), [(k, part) for k, cut in cuts for part in cut.inside])

    def _paths(self, lists: Sequence[Sequence[LaidPath]]) -> list[tuple[SeenPath, ...]]:
        """What is seen of the paths of every one of the ``lists``."""
        paths = list(chain.from_iterable(lists))
        edges = [[path.points, *path.holes] for path in paths]
        owner = np.repeat(np.arange(len(paths)), [len(e) for e in edges]).tolist()
        cuts = self.region.lines([line for edge in edges for line in edge])
        over = [k for k, path in enumerate(paths) if path.worked_over]
        areas = self.region.areas([area_parts(tuple(edges[k]), self.wall) for k in over])
        lines = self._drawn_of(
            len(paths), [(k, part) for k, cut in zip(owner, cuts, strict=True) for part in cut.inside]
        )
        hidden = self._drawn_of(
            len(paths),
            [(k, part) for k, cut in zip(owner, cuts, strict=True) for part in cut.outside if self.far_side],
        )
        rings = self._drawn_of(
            len(paths), [(k, _closed(ring)) for k, area in zip(over, areas, strict=True) for ring in area.rings]
        )
        open_ = {k for k, cut in zip(owner, cuts, strict=True) if cut.outside}
        seen = [
            SeenPath(path, lines[k], tuple(r[:-1] for r in rings[k]), hidden[k], path.closed and k not in open_)
            for k, path in enumerate(paths)
        ]
        ends = np.cumsum([0, *(len(some) for some in lists)]).tolist()
        return [
            tuple(path for path in seen[begin:end] if path.lines or path.areas or path.hidden)
            for begin, end in pairwise(ends)
        ]

    def _marks(self, points: Points) -> Iterator[SeenMarks]:
        for k in np.unique(points.work).tolist():
            index = np.flatnonzero(points.work == k)
            whole: list[Floats] = []
            partial: list[Floats] = []
            edges: list[Floats] = []
            hidden: list[Floats] = []
            for members, outline in mark_outlines(points, index, points.shape[index]):
                angle = points.angle[index[members]]
                turns = np.column_stack([angle, np.zeros(len(angle))])[:, None]
                found = self.region.areas([[ring] for ring in filled(outline, self.wall) + turns])
                # Round a closed end the sides of the area that lead to its point are no edges.
                as_one = turns_gained(outline) == 0
                whole += [cut.rings[0] for cut in found if cut.whole and as_one]
                cut_off = [
                    i for i, cut in enumerate(found) if not (cut.whole and as_one) and (cut.rings or self.far_side)
                ]
                partial += [ring for i in cut_off for ring in found[i].rings]
                for cut in self.region.lines([closed(outline) + turns[i] for i in cut_off]):
                    edges += cut.inside
                    hidden += cut.outside if self.far_side else ()
            bare = index[np.isnan(points.across[index]) & (points.shape[index] < 0)]
            places = np.column_stack([points.angle[bare], points.tape[bare]])
            places = places[self.region.holds(places)]
            yield SeenMarks(
                k,
                tuple(ring[:-1] for ring in self._drawn([_closed(ring) for ring in whole])),
                tuple(ring[:-1] for ring in self._drawn([_closed(ring) for ring in partial])),
                self._drawn(edges),
                np.column_stack(self.sight.project(places[:, 0] - self.facing, places[:, 1])),
                self._drawn(hidden),
            )

    def _drawn_of(self, n: int, lines: Sequence[tuple[int, Floats]]) -> list[tuple[Floats, ...]]:
        """The lines of each of ``n``, drawn; ``lines`` are (whose, line) in order of whose."""
        drawn = self._drawn([line for _, line in lines])
        ends = np.searchsorted([k for k, _ in lines], np.arange(n + 1)).tolist()
        return [drawn[begin:end] for begin, end in pairwise(ends)]

    def _drawn(self, lines: Sequence[Floats]) -> tuple[Floats, ...]:
        """Lines of the wall, (k, 2) each, on the drawing."""
        if not lines:
            return ()
        points, starts = _dense(lines)
        x, y = self.sight.project(points[:, 0] - self.facing, points[:, 1])
        whose = np.repeat(np.arange(len(lines)), np.diff(starts))
        drawn = shapely.simplify(
            shapely.linestrings(np.column_stack([x, y]), indices=whose), self.sag, preserve_topology=False
        )
        kept, whose = shapely.get_coordinates(drawn, return_index=True)
        return tuple(np.split(kept, np.searchsorted(whose, np.arange(1, len(lines)))))


def _dense(lines: Sequence[Floats]) -> tuple[Floats, Ints]:
    """The lines with so many points that they can be drawn straight from one to the next: all points, and where
    each line starts, with the end after the last."""
    starts = np.cumsum([0, *(len(line) for line in lines)])
    points = np.concatenate(lines)
    step = np.diff(points, axis=0)
    parts = np.maximum(np.ceil(np.abs(step / [_TURN_STEP, _TAPE_STEP]).max(axis=1)), 1.0).astype(np.int64)
    # From a line's last point to the next line's first there is nothing.
    parts[starts[1:-1] - 1] = 1
    parts = np.append(parts, 1)
    first = np.concatenate(([0], np.cumsum(parts)))
    which = np.repeat(np.arange(len(points)), parts)
    part = (np.arange(first[-1]) - first[which]) / parts[which]
    step = np.vstack([step, [[0.0, 0.0]]])
    return points[which] + part[:, None] * step[which], first[starts]


def _closed(ring: Floats) -> Floats:
    """A ring with its first point again at its end."""
    return np.vstack([ring, ring[:1]])
