"""Shapes that a tool of the bench draws by itself: circles, what is left of them, ovals; corners and bends."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.piece import Floats, LaidPath
from motif.outputs.method.places import BandGrid, farthest_from
from motif.wall import Wall

Bools = NDArray[np.bool_]

#: A line that leaves the straight way between its marks by less than this is straight at the bench, mm.
STRAIGHT = 0.6
#: Distances from the middle that differ by less than this, mm, or by this part of them, are one setting of compasses.
_ONE_SETTING, _ONE_SETTING_PART = 0.4, 0.01
#: Turns by which corners are told from bends drawn with short chords, radians.
_CORNER, _SHALLOW_CORNER = math.radians(40), math.radians(8)
#: A line of more points than this is no oval that a card is cut for.
_FINE = 3000
#: Turns the other way by less than this are noise of short chords, radians.
_STRAIGHT_ON = 0.01


@record
class Compass:
    """A circle: its middle in grid coordinates and the setting of compasses, point to point, mm."""

    a: float
    b: float
    setting: float


@record
class Oval:
    """A smooth closed curve, the same to the left and right of its middle line: how wide and tall it is by soft
    tape, mm, and where it is ``widest``, in rings from the band's start; ``a`` is where its middle line lies, ``ends``
    the rings of its ends nearest the band's start and farthest from it."""

    wide: float
    tall: float
    widest: float
    a: float
    ends: tuple[float, float]


def circle_of(path: LaidPath, grid: BandGrid) -> Compass | None:
    """The compasses that draw a closed path, if any do."""
    angle, tape = path.points[:, 0], path.points[:, 1]
    middle = (np.array((angle.min() + angle.max()) / 2), np.array((tape.min() + tape.max()) / 2))
    return _about(path, (float(grid.a(middle[0])), float(grid.b(middle[1]))), grid)


def arc_of(path: LaidPath, grid: BandGrid) -> Compass | None:
    """The compasses that draw what the band or a patch leaves of a circle about the middle of its cell or crossing,
    in rows or columns that are moved by half a step or not."""
    if path.vertical > 0 and path.ring >= 0:
        a, b = path.vertical - 1.0, float(path.ring)
    elif path.column > 0 and path.row > 0:
        a, b = path.column - 0.5, path.row - 0.5
    else:
        return None
    for middle in ((a + right, b + up) for right in (0.0, 0.5) for up in (0.0, 0.5, -0.5) if 0 <= b + up <= grid.rows):
        found = _about(path, middle, grid)
        if found is not None:
            return found
    return None


def _about(path: LaidPath, middle: tuple[float, float], grid: BandGrid) -> Compass | None:
    """The compasses that draw a path about a place, if any do: points at one distance from it, straight through the
    air, as compasses and dividers measure it."""
    angle, tape = path.points[:, 0], path.points[:, 1]
    distance = distances(grid.wall, (grid.angle_of(middle[0]), grid.tape_of(middle[1])), angle, tape)
    setting = float(distance.mean())
    if len(path.points) < 12 or np.ptp(distance) > max(_ONE_SETTING, _ONE_SETTING_PART * setting):
        return None
    return Compass(*middle, setting)


def oval_of(path: LaidPath, grid: BandGrid) -> Oval | None:
    """A closed path as an oval, if it is one: without corners, bulging everywhere, the same on both sides of its
    middle line as far as a hand can tell."""
    if len(path.points) > _FINE:
        return None
    angle, tape = path.points[:, 0], path.points[:, 1]
    middle = float((angle.min() + angle.max()) / 2)
    radius = grid.wall.radius(tape)
    points = np.column_stack([(angle - middle) * float(radius.mean()), tape])
    turn = turns(points, closed=True)[:-1]
    if is_corner(points, closed=True).any() or float((turn * np.sign(turn.sum())).min()) < -_STRAIGHT_ON:
        return None
    low, high = (int(tape.argmin()), int(tape.argmax())) if grid.rising else (int(tape.argmax()), int(tape.argmin()))
    mirrored = points * [-1.0, 1.0]
    if farthest_from(mirrored, points) > STRAIGHT or max(abs(points[low, 0]), abs(points[high, 0])) > 2 * STRAIGHT:
        return None
    halves = np.abs(angle - middle) * radius
    widest = int(halves.argmax())
    a = float(grid.a(np.array(middle)))
    first, last, middle_b = grid.b(tape[[low, high, widest]]).tolist()
    return Oval(2 * float(halves[widest]), float(np.ptp(tape)), middle_b, a, (first, last))


def distances(wall: Wall, middle: tuple[float, float], angle: Floats, tape: Floats) -> Floats:
    """Straight through the air from a place (angle, tape) on the wall to others, mm."""
    r0, h0 = float(wall.radius(middle[1])), float(wall.height(middle[1]))
    r, h = wall.radius(tape), wall.height(tape)
    return np.sqrt(np.maximum(r0**2 + r**2 - 2 * r0 * r * np.cos(angle - middle[0]) + (h - h0) ** 2, 0))


def turns(points: Floats, closed: bool) -> Floats:
    """The change of direction at every point, radians; 0 at the ends of an open line."""
    steps = np.diff(points, axis=0)
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    if closed:
        turn = np.diff(np.concatenate([heading[-1:], heading, heading[:1]]))
    else:
        turn = np.concatenate([[0.0], np.diff(heading), [0.0]])
    return np.mod(turn + math.pi, math.tau) - math.pi


def is_corner(points: Floats, closed: bool) -> Bools:
    """Sharp turns, and shallower ones that are not one of a run of like turns, as a bend's chords make."""
    turn = turns(points, closed)
    if closed:
        before, after = np.roll(turn, 1), np.roll(turn, -1)
        before[0], after[-1] = turn[-2], turn[1]
    else:
        before, after = np.concatenate([[0.0], turn[:-1]]), np.concatenate([turn[1:], [0.0]])
    like = np.maximum(before * np.sign(turn), after * np.sign(turn))
    sharp = np.abs(turn) > _CORNER
    return sharp | ((np.abs(turn) > _SHALLOW_CORNER) & (like < 0.4 * np.abs(turn)))
