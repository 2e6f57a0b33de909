"""Families of point marks in words: one action a line."""

from __future__ import annotations

import math

import numpy as np

from motif.laying.piece import LaidTool
from motif.outputs.method.families import Marks
from motif.outputs.method.placed import place_table, placements
from motif.outputs.method.places import BandGrid, level
from motif.outputs.method.strokes import VERBS, quoted
from motif.outputs.method.telling import Telling
from motif.outputs.method.where import where
from motif.outputs.numbers import Unit, length_with_unit

#: Marks at more different places than this are not listed, each in a line.
_LISTED_STARTS = 12
#: Levels between rings beyond this are set as a table.
_LISTED_LEVELS = 8


def marks_lines(marks: Marks, grid: BandGrid, telling: Telling) -> float:
    """How many lines it takes to tell a family of marks; infinite where words do not tell it."""
    places = where(marks.rows, grid, telling.unit)
    return math.inf if any(w.at is None for w in places) else len(places)


def mark_steps(marks: Marks, grid: BandGrid, telling: Telling, name: str) -> list[str]:
    """What to do for one family of point marks on the grid called ``name``."""
    verb, unit = VERBS[marks.work.technique], telling.unit
    tool = marks.work.tool if marks.is_footprint else None
    what = quoted(tool.name) if tool is not None else "a dot"
    places = where(marks.rows, grid, unit)
    if len(places) > _LISTED_STARTS or any(w.at is None for w in places):
        return [f"{verb} {what} at the {marks.count} places that the mark table lists{leaning(marks)}."]
    telling.note(name, [(a, row.b) for row in marks.rows for a in row.a.tolist()])
    if sum(level(grid, row.b)[0] is None for row in marks.rows) > _LISTED_LEVELS:
        table = place_table(placements(marks, grid), telling.next_title(), grid, unit)
        if table is not None:
            telling.table(table)
            return [f"{verb} {what} where the table “{table.title}” says: {marks.count} in all{leaning(marks)}."]
    return [f"{verb} {what} {w.on}, {w.at}: {w.count}{leaning(marks)}." for w in places]


def leaning(marks: Marks) -> str:
    """How the tool is turned; a disc has no way up."""
    tool = marks.work.tool
    if not marks.is_footprint or tool is None or (tool.outline is None and tool.wide == tool.tall):
        return ""
    degrees = math.degrees(marks.lean) % 360
    if min(degrees, 360 - degrees) < 0.05:
        return ", its top up the wall"
    if abs(degrees - 180) < 0.05:
        return ", its top down the wall"
    if degrees > 180:
        return f", turned {360 - degrees:.0f}° clockwise"
    return f", turned {degrees:.0f}° counter-clockwise"


def placed_by(tool: LaidTool, unit: Unit) -> str:
    """By which of its points a footprint is placed."""
    if tool.outline is None:
        return "by its middle"
    low, high = tool.outline.min(axis=0), tool.outline.max(axis=0)
    size = np.maximum(high - low, 1e-9)
    across, up = (-low / size).tolist()
    sides = {0.0: "left", 0.5: "middle", 1.0: "right"}
    levels = {0.0: "lower edge", 0.5: "", 1.0: "upper edge"}
    x = next((w for k, w in sides.items() if abs(across - k) < 0.02), None)
    y = next((w for k, w in levels.items() if abs(up - k) < 0.02), None)
    if x is None or y is None:
        right, over = (length_with_unit(float(v), unit) for v in -low)
        return f"by a point {right} from its left and {over} above its lower edge"
    if x == "middle":
        return f"by the middle of its {y}" if y else "by its middle"
    return f"by the {x} end of its {y}" if y else f"by the middle of its {x} side"
