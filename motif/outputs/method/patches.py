"""Patches kept free: where they lie, what reaches into them, what is worked along their edges."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from motif.laying.piece import Floats, LaidPath, LaidPiece, LaidReserve, Points
from motif.outputs.method.places import BandGrid, first_turn, origin_of, spot
from motif.outputs.numbers import Unit, length_with_unit, number

#: What reaches in by less is not told, mm.
_REACHES_IN = 0.05
#: More marks than this that reach in are counted only.
_LISTED = 8
_SAME_ANGLE, _ON_EDGE = 1e-9, 0.05


def right_of_start(angle: float, radius: float, piece: LaidPiece, unit: Unit) -> str:
    """How far from the starting mark: by soft tape round the pot; straight, where no tape lies along the wall."""
    if piece.form.side == "inside":
        turned = "right" if angle <= math.pi else "left"
        straight = 2 * radius * abs(math.sin(angle / 2))
        return f"{length_with_unit(straight, unit)} straight across from the starting mark's line, on its {turned}"
    return f"{length_with_unit(angle * radius, unit)} to the right of the starting mark"


def middle(patch: LaidReserve, piece: LaidPiece, unit: Unit) -> str:
    """Where the middle of a patch lies."""
    tape = (patch.from_tape + patch.to_tape) / 2
    facing = patch.facing % math.tau
    place = "on the line of the starting mark"
    if _SAME_ANGLE < facing < math.tau - _SAME_ANGLE:
        radius = float(piece.form.wall.radius(tape))
        place = f"{right_of_start(facing, radius, piece, unit)} ({number(math.degrees(facing), 2)}°)"
    return f"{place}, {length_with_unit(tape, unit)} of tape from {origin_of(piece.form.wall)}"


def reaching_in(
    points: Points, chosen: Sequence[int], what: str, piece: LaidPiece, grid: BandGrid, unit: Unit
) -> list[str]:
    """Which of the marks chosen, called ``what`` each, reach into a patch, and how far."""
    steps = []
    for patch in piece.reserves:
        depths = {i: d for i in chosen if (d := _depth(points, i, patch, piece)) > _REACHES_IN}
        if not depths:
            continue
        n = len(depths)
        a = first_turn(grid.a(points.angle[list(depths)]), grid.columns)
        b = grid.b(points.tape[list(depths)])
        order = np.lexsort([np.round(a, 6), np.round(b, 6)]).tolist()
        into = [length_with_unit(d, unit) for d in depths.values()]
        places = [f"{spot(grid, float(a[k]), float(b[k])).text(unit)} ({into[k]})" for k in order]
        how = f": {', '.join(places)}" if n <= _LISTED else f" by up to {length_with_unit(max(depths.values()), unit)}"
        many = f"{n} of these {what}s reach" if n > 1 else f"One of these {what}s reaches"
        them = "them" if n > 1 else "it"
        steps.append(f"{many} into the patch “{patch.name}”{how}. Leave {them} out, or move the patch.")
    return steps


def _depth(points: Points, i: int, patch: LaidReserve, piece: LaidPiece) -> float:
    """How far a mark reaches into a patch, mm by soft tape round and up; negative where it stays outside."""
    shape = int(points.shape[i])
    if shape < 0:
        return -math.inf
    outline = points.shapes[shape]
    tape = outline[:, 1]
    across = patch.wide / 2 - np.abs(_turned(outline[:, 0] + points.angle[i], patch)) * piece.form.wall.radius(tape)
    return float(np.minimum(across, np.minimum(tape - patch.from_tape, patch.to_tape - tape)).max())


def _turned(angle: Floats, patch: LaidReserve) -> Floats:
    return np.mod(angle - patch.facing + math.pi, math.tau) - math.pi


def edge_words(path: LaidPath, piece: LaidPiece, unit: Unit) -> str:
    """Where a line along the edge of a patch runs, after its verb."""
    wall = piece.form.wall
    angle, tape = path.points.T
    low, high = float(tape.min()), float(tape.max())

    def apart(patch: LaidReserve) -> float:
        turned = float(_turned(np.array((angle.min() + angle.max()) / 2), patch))
        return abs(low - patch.from_tape) + abs(high - patch.to_tape) + abs(turned) * float(wall.radius(low))

    patch = min(piece.reserves, key=apart)
    level = (patch.from_tape + patch.to_tape) / 2
    at = int(np.argmin(np.abs(tape - level)))
    half = abs(float(_turned(angle[at], patch))) * float(wall.radius(float(tape[at])))
    beyond = patch.from_tape - low
    if abs(beyond) <= _ON_EDGE:
        edge = "along its edge"
    else:
        edge = f"{length_with_unit(abs(beyond), unit)} {'outside' if beyond > 0 else 'inside'} its edge"
    part = "" if path.closed else ", as far as other patches leave it"
    return (
        f"round the patch “{patch.name}”, {edge}{part}: from tape {length_with_unit(low, unit)} to "
        f"{length_with_unit(high, unit)}, {length_with_unit(half, unit)} by soft tape to left and right of its middle "
        f"half-way up. Its middle is {middle(patch, piece, unit)}."
    )
