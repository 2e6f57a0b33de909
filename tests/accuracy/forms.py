"""The forms that motif texts of the checks stand on, and plane or spherical coordinates on them."""

from __future__ import annotations

from math import pi, radians

import numpy as np

from motif.laying.piece import LaidBand, LaidPiece
from tests.accuracy.checks import Floats
from tests.laying.bench import ball, lay, source

#: a ball of radius 75 mm between 70° south and north, and the tape of its equator
RADIUS = 75.0
BALL = ball(RADIUS, -70, 70, 200)
EQUATOR = RADIUS * radians(70)

#: of the cone in tests.laying.bench: the slant from its point to its foot, mm, and −dr/ds
SLANT, LEAN = 75.0, 0.8


def piece(drawing: str, form: str, grid: str = "columns 12 rows 1", before: str = "", more: str = "") -> LaidPiece:
    """A piece with one band over the whole wall, in which the drawing is made once."""
    return lay(source(f"grid {grid} once {{ {drawing} }}", form=form, before=before, piece=more))


def band(drawing: str, form: str, grid: str = "columns 12 rows 1", before: str = "") -> LaidBand:
    return piece(drawing, form, grid, before).bands[0]


def ball_tape(lat: float) -> float:
    """Tape on ``BALL`` of a latitude in degrees."""
    return EQUATOR + RADIUS * radians(lat)


def latitude(tape: Floats) -> Floats:
    """On ``BALL``, radians."""
    return (np.asarray(tape) - EQUATOR) / RADIUS


def can_flat(points: Floats) -> Floats:
    """The can of tests.laying.bench unrolled, (k, 2) mm from angle and tape."""
    return np.column_stack([points[:, 0] * 180 / pi, points[:, 1]])


def cone_flat(points: Floats) -> Floats:
    """The cone of tests.laying.bench unrolled: its point is the origin, the meridian of angle 0 runs down from it, and
    right stays right."""
    slant, turn = SLANT - points[:, 1], points[:, 0] * LEAN
    return np.column_stack([slant * np.sin(turn), -slant * np.cos(turn)])
