"""Strokes that a patch or the end of the band cuts short: which whole strokes they are pieces of."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from motif.language.record import changed, record
from motif.laying.piece import Floats, Ints, LaidPath, LaidReserve
from motif.outputs.method.places import BandGrid, farthest_from

#: What cuts a point, if it is no patch.
_UNCUT, _BY_THE_BAND = -2, -1
#: What lies nearer than this lies on an edge or on a line, mm.
_ON = 0.3
#: A stroke that would go on by less than this is not cut, mm.
_GOES_ON = 1.0
#: More comparisons of pieces with wholes than this are not made: such a pot is worked from the flat sheets.
_MOST = 5000
#: Lines of more points than this are no strokes of a kind.
_FINE = 3000


#: A closed line that comes back so many columns further on goes all round the pot.
_ROUND = 0.5
#: What is cut is smaller than the whole by at least this part.
_SMALLER = 1e-4


@record
class Piece:
    """A piece of a whole stroke: ``of`` which group, how far the whole lies to the ``right`` of that group's first
    and ``up`` from it (columns, rings), and ``by`` which patch it is cut (None: the end of the band)."""

    of: int
    right: float
    up: float
    by: str | None


@record
class _Shape:
    """A line in columns and rings; ``cut`` is which patch cuts a point, or ``_UNCUT``, ``_BY_THE_BAND``."""

    line: Floats
    cut: Ints
    closed: bool


def pieces_of(
    groups: Sequence[Sequence[LaidPath]], grid: BandGrid, reserves: Sequence[LaidReserve]
) -> dict[int, list[Piece]]:
    """Of groups of congruent paths those that are pieces of others: a ``Piece`` for each of their paths."""
    fine = [k for k, group in enumerate(groups) if len(group[0].points) <= _FINE]
    shapes = {k: _shape(groups[k][0], grid, reserves) for k in fine}
    # The edge of what a corner is cut out of may be longer than that of the whole.
    order = sorted(fine, key=lambda k: (-_swept(shapes[k].line) if shapes[k].closed else 0.0, -groups[k][0].length))
    found: dict[int, list[Piece]] = {}
    tried = 0
    for n, k in enumerate(order):
        if not _is_cut(shapes[k]):
            continue
        wholes = [w for w in order[:n] if w not in found and _may_hold(groups[w][0], groups[k][0])]
        tried += len(wholes) * len(groups[k])
        if tried > _MOST:
            break
        pieces = [_piece(path, wholes, shapes, grid, reserves) for path in groups[k]]
        if all(p is not None for p in pieces):
            found[k] = [p for p in pieces if p is not None]
    return found


def is_cut_at_both_ends(path: LaidPath, grid: BandGrid, reserves: Sequence[LaidReserve]) -> bool:
    """Whether an open path begins and ends on edges of patches or on ends of the band."""
    if path.closed:
        return False
    ends = changed(path, points=path.points[[0, -1]])
    return bool((_shape(ends, grid, reserves).cut > _UNCUT).all())


def _may_hold(whole: LaidPath, piece: LaidPath) -> bool:
    return (
        whole.work.key == piece.work.key
        and whole.worked_over == piece.worked_over
        and (piece.closed or whole.length > piece.length + _GOES_ON)
    )


def _shape(path: LaidPath, grid: BandGrid, reserves: Sequence[LaidReserve]) -> _Shape:
    angle, tape = path.points[:, 0], path.points[:, 1]
    line = np.column_stack([grid.a(angle), grid.b(tape)])
    cut = np.full(len(line), _UNCUT)
    for end in (grid.tapes[0], grid.tapes[-1]):
        cut[np.abs(tape - end) <= _ON] = _BY_THE_BAND
    for i, patch in enumerate(reserves):
        cut[_on_edge(path.points, patch, grid)] = i
    return _Shape(line, cut, path.closed)


def _on_edge(points: Floats, patch: LaidReserve, grid: BandGrid) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Which points (angle, tape) lie on the edge of a patch."""
    radius = grid.wall.radius(points[:, 1])[:, None]
    corners = np.concatenate([patch.outline, patch.outline[:1]])
    middle = float(patch.outline[:, 0].mean())
    turned = np.mod(points[:, 0] - middle + math.pi, math.tau) - math.pi
    # Seen from every point: how far each corner lies to the right and up, mm.
    right = (corners[:, 0] - middle - turned[:, None]) * radius
    seen = np.stack([right, corners[:, 1] - points[:, 1:]], axis=2)
    start, step = seen[:, :-1], np.diff(seen, axis=1)
    along = np.clip(-(start * step).sum(axis=2) / np.maximum((step**2).sum(axis=2), 1e-12), 0, 1)
    away = np.linalg.norm(start + along[:, :, None] * step, axis=2)
    return np.asarray(away.min(axis=1) <= _ON)


def _is_cut(shape: _Shape) -> bool:
    on_edge = shape.cut > _UNCUT
    if shape.closed and abs(shape.line[-1, 0] - shape.line[0, 0]) > _ROUND:
        return False
    if shape.closed:
        # An outline that is cut runs along what cuts it; one that only touches it does not.
        return bool((on_edge[:-1] & on_edge[1:]).any())
    return bool(on_edge[0] or on_edge[-1])


def _piece(
    path: LaidPath, wholes: Sequence[int], shapes: dict[int, _Shape], grid: BandGrid, reserves: Sequence[LaidReserve]
) -> Piece | None:
    shape = _shape(path, grid, reserves)
    tape = float(path.points[:, 1].mean())
    row = min(max(math.floor(float(shape.line[:, 1].mean())), 0), grid.rows - 1)
    size = np.array([float(grid.wall.radius(tape)) * math.tau / grid.columns, grid.row_mm(row)])
    ends = shape.cut if shape.closed else shape.cut[[0, -1]]
    cause = int(ends.max())
    if cause == _BY_THE_BAND:
        # Open strokes that end with the band are told as they are.
        wholes = [w for w in wholes if shapes[w].closed]
    # Of wholes further round and those of other rows the former: what is told of them holds for the piece too.
    tries = [(w, shift) for w in wholes for shift in _shifts(shapes[w].line, shape.line, _ON / size)]
    for w, shift in sorted(tries, key=lambda one: abs(float(one[1][1]))):
        if _holds(shapes[w], shift, shape, size):
            return Piece(w, float(shift[0]), float(shift[1]), None if cause == _BY_THE_BAND else reserves[cause].name)
    return None


def _shifts(whole: Floats, piece: Floats, slack: Floats) -> list[Floats]:
    """By how many whole columns and rings a whole may be moved so that a piece lies within its bounds."""
    low = np.ceil(piece.max(axis=0) - whole.max(axis=0) - slack).astype(np.int64)
    high = np.floor(piece.min(axis=0) - whole.min(axis=0) + slack).astype(np.int64)
    return [
        np.array([float(right), float(up)]) for up in range(low[1], high[1] + 1) for right in range(low[0], high[0] + 1)
    ]


def _holds(whole: _Shape, shift: Floats, piece: _Shape, size: Floats) -> bool:
    """Whether a piece lies on a whole that is moved, and the whole goes on where the piece is cut."""
    line = (whole.line + shift) * size
    places = piece.line * size
    kept = places[piece.cut == _UNCUT] if piece.closed else places
    if not len(kept) or farthest_from(kept, line) > _ON:
        return False
    if piece.closed:
        return _swept(places) < (1 - _SMALLER) * _swept(line)
    cut = piece.cut[[0, -1]] > _UNCUT
    if whole.closed:
        return bool(cut.all())
    # Where it is not cut it ends where the whole does.
    to_ends = np.linalg.norm(places[[0, -1]][:, None] - line[[0, -1]], axis=2).min(axis=1)
    return bool(np.all(cut | (to_ends <= _ON)))


def _swept(line: Floats) -> float:
    """The area that a closed line goes round."""
    x, y = line.T
    return abs(float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))) / 2
