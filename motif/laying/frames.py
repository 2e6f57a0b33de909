"""Frames: where a drawing's own coordinates lie on the grid.

A frame is two affine maps for each of n places, one for cells and one for lengths (2 × 3 matrices
that take (x, y, 1)). Mirrors, turns, moves and figures are matrix products on them.
"""

from __future__ import annotations

import numpy as np

from motif.language.messages import Problem
from motif.language.record import record
from motif.language.source import Span
from motif.laying.grid import GridLaw
from motif.laying.limits import MOST_CELLS, MOST_TURNS, check_length
from motif.laying.piece import Floats, Ints
from motif.laying.telling import drawing_faults
from motif.model.geometry import Point
from motif.model.values import Env, over
from motif.wall import Wall


@record
class Frame:
    """``cells`` (n, 2, 3) takes local coordinates to grid coordinates, ``lengths`` (n, 2, 3) clay lengths
    to clay lengths right and up; ``turn`` (n,) is a further angle round the pot. ``box`` is the local
    size of the cell, group or figure (None where there is none), ``centre`` what moves act about."""

    cells: Floats
    lengths: Floats
    turn: Floats
    box: tuple[float, float] | None
    centre: tuple[float, float]

    def at(self, chosen: Ints) -> Frame:
        return Frame(self.cells[chosen], self.lengths[chosen], self.turn[chosen], self.box, self.centre)

    @property
    def reverses(self) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Where the frame shows a mirror image."""
        m = self.lengths
        return m[:, 0, 0] * m[:, 1, 1] - m[:, 0, 1] * m[:, 1, 0] < 0

    def to_grid(self, local: Floats) -> Floats:
        """Local points (n, 2) in grid coordinates."""
        return _apply(self.cells, local)

    def to_local(self, grid: Floats) -> Floats:
        """Grid points (n, 2) in local coordinates."""
        return (np.linalg.inv(self.cells[:, :, :2]) @ (grid - self.cells[:, :, 2])[..., None])[..., 0]

    def carried(self, local: Floats) -> Floats:
        """Local directions (n, 2) in grid coordinates."""
        return (self.cells[:, :, :2] @ local[..., None])[..., 0]

    def then(self, cells: Floats, lengths: Floats, turn: Floats | float = 0.0) -> Frame:
        """The frame of a drawing that is first moved by ``cells`` and ``lengths`` ((n or 1), 2, 3)."""
        return Frame(
            compose(self.cells, cells),
            compose(self.lengths, lengths),
            self.turn + self.lengths[:, 0, 0] * turn,
            self.box,
            self.centre,
        )


def start_frame(
    a: Floats, b: Floats, scale: Floats | float, box: tuple[float, float] | None, centre: tuple[float, float]
) -> Frame:
    """Frames with their origins at grid coordinates (a, b); ``scale`` is the grid width of one local column."""
    n = len(a)
    cells = np.zeros((n, 2, 3))
    cells[:, 0, 0], cells[:, 1, 1] = scale, 1.0
    cells[:, 0, 2], cells[:, 1, 2] = a, b
    lengths = np.broadcast_to(np.eye(2, 3), (n, 2, 3))
    return Frame(cells, lengths, np.zeros(n), box, centre)


def _apply(m: Floats, p: Floats) -> Floats:
    x, y = p[:, 0], p[:, 1]
    return np.stack(
        [m[:, 0, 0] * x + m[:, 0, 1] * y + m[:, 0, 2], m[:, 1, 0] * x + m[:, 1, 1] * y + m[:, 1, 2]], axis=1
    )


def compose(outer: Floats, inner: Floats) -> Floats:
    """The affine maps ((n or 1), 2, 3) that do ``inner`` and then ``outer``."""
    linear = outer[:, :, :2] @ inner[:, :, :2]
    moved = (outer[:, :, :2] @ inner[:, :, 2:])[:, :, 0] + outer[:, :, 2]
    return np.concatenate([linear, moved[:, :, None]], axis=2)


def about(matrix: Floats, centre: tuple[float, float]) -> Floats:
    """Affine maps (m, 2, 3) that do ``matrix`` (m, 2, 2) about a centre."""
    c = np.array(centre)
    moved = c - matrix @ c
    return np.concatenate([matrix, moved[:, :, None]], axis=2)


def plain(matrix: Floats) -> Floats:
    """Affine maps (m, 2, 3) that do ``matrix`` (m, 2, 2) about the origin."""
    return np.concatenate([matrix, np.zeros((len(matrix), 2, 1))], axis=2)


class Surveyor:
    """Turns points of the text into places on the wall of one band."""

    def __init__(self, wall: Wall, law: GridLaw) -> None:
        self.wall = wall
        self.law = law

    def parts(self, p: Point, env: Env) -> tuple[Floats, Floats, Floats, bool]:
        """Cells (n, 2), lengths (n, 2) and angle (n,) of a point, and whether it has any length or angle."""
        n = env.count
        cells, clay, turn = np.zeros((n, 2)), np.zeros((n, 2)), np.zeros(n)
        off_grid = p.offset is not None
        for i, e in enumerate((p.a, p.b)):
            value = over(e.value(env), n)
            if e.kind.dimension == (1, 0):
                clay[:, i], off_grid = value, True
            elif e.kind.dimension == (0, 1):
                turn, off_grid = value, True
            else:
                cells[:, i] = value
        if p.offset is not None:
            clay[:, 0] += over(p.offset[0].value(env), n)
            clay[:, 1] += over(p.offset[1].value(env), n)
        return cells, clay, turn, off_grid

    @staticmethod
    def _near(grid: Floats, span: Span) -> Floats:
        """Grid coordinates, if they are not so far off that nothing can be reckoned with them."""
        if not np.all(near := np.abs(grid) <= MOST_CELLS):
            far = float(grid[~near][0])
            raise Problem(drawing_faults.point_too_far(span, far, MOST_CELLS))
        return grid

    def on_wall(self, p: Point, frame: Frame, env: Env) -> tuple[Floats, Floats]:
        """Angle and tape of a point at each place."""
        cells, clay, turn, off_grid = self.parts(p, env)
        grid = self._near(frame.to_grid(cells), p.span)
        angle, tape = self.law.angle(grid[:, 0]), self.law.levels.tape(grid[:, 1])
        return self._set_off(angle, tape, clay, turn, off_grid, frame, p.span)

    def on_grid(self, p: Point, frame: Frame, env: Env) -> Floats:
        """Grid coordinates (n, 2) of a point at each place."""
        cells, clay, turn, off_grid = self.parts(p, env)
        grid = self._near(frame.to_grid(cells), p.span)
        if not off_grid and not frame.turn.any() and not frame.lengths[:, :, 2].any():
            return grid
        angle, tape = self.law.angle(grid[:, 0]), self.law.levels.tape(grid[:, 1])
        angle, tape = self._set_off(angle, tape, clay, turn, off_grid, frame, p.span)
        return np.stack([self.law.a_at(angle), self.law.levels.b_at(tape)], axis=1)

    def _set_off(
        self, angle: Floats, tape: Floats, clay: Floats, turn: Floats, off_grid: bool, frame: Frame, span: Span
    ) -> tuple[Floats, Floats]:
        """First y up the wall by tape, then x along the ring so reached, then round by the angle."""
        if off_grid and np.any(turn):
            if np.any(np.abs(turn) > 2 * np.pi * MOST_TURNS):
                raise Problem(drawing_faults.angle_too_far(span, MOST_TURNS))
            if np.any(np.abs(frame.lengths[:, 1, 0]) > 1e-9):
                raise Problem(drawing_faults.angle_out_of_level(span))
            angle = angle + turn * frame.lengths[:, 0, 0]
        angle = angle + frame.turn
        moved = _apply(frame.lengths, clay)
        if not moved.any():
            return angle, tape
        check_length(moved.ravel(), self.wall, "This way", span)
        tape = tape + moved[:, 1]
        radius = self.wall.radius(tape)
        with np.errstate(divide="ignore", invalid="ignore"):
            round_ = np.where(radius > 1e-9, moved[:, 0] / radius, 0.0)
        return angle + round_, tape
