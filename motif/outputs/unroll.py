"""``motif unroll``: the flat drawing as SVG and as JSON."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from motif.laying.piece import LaidPiece
from motif.outputs import picture, template
from motif.outputs.drawn import Drawer, DrawnMarks, DrawnPath, DrawnSheet
from motif.outputs.json_text import Degrees, Json, Trail
from motif.outputs.numbers import Unit
from motif.outputs.sheets import Layout, lay_out


def as_svg(piece: LaidPiece, layout: Layout, unit: Unit = "mm") -> str:
    """The drawing as an SVG document in real millimetres; ``unit`` is for the words in it."""
    return (picture if layout.flat == "rollout" else template).svg(piece, layout, unit)


def fewest_document(piece: LaidPiece, unit: Unit = "mm") -> str:
    """The fewest sheets, at the misfit allowed by default."""
    return as_svg(piece, lay_out(piece, "fewest"), unit)


def rollout_document(piece: LaidPiece, unit: Unit = "mm") -> str:
    return as_svg(piece, lay_out(piece, "rollout"), unit)


def as_json(piece: LaidPiece, layout: Layout) -> dict[str, Json]:
    """The object of ``motif unroll --as json``: paper mm, y up, each mark on the one sheet that owns it, and the
    ``middle`` line by which a gore is laid.

    A rollout has no misfit but ``stretched``: how many times its narrowest place is stretched, null
    where that is without limit."""
    drawer = Drawer(piece, nearest=0.0)
    result: dict[str, Json] = {
        "piece": piece.name,
        "flat": layout.flat,
        "misfit": None if layout.flat == "rollout" else layout.misfit,
    }
    if layout.flat == "rollout":
        times, _ = picture.stretch(piece)
        result["stretched"] = None if times == math.inf else times
    result["sheets"] = [_sheet(drawer.sheet(s), layout.flat == "rollout") for s in layout.sheets]
    return result


def _sheet(drawn: DrawnSheet, is_picture: bool) -> dict[str, Json]:
    sheet = drawn.sheet
    w = sheet.window
    result: dict[str, Json] = {
        "sheet": sheet.number,
        "from_angle": Degrees(math.degrees(w.from_angle)),
        "to_angle": Degrees(math.degrees(w.to_angle)),
        "misfit": None if is_picture else sheet.misfit,
        "from_tape": w.from_tape,
        "to_tape": w.to_tape,
    }
    if sheet.cone is not None:
        cone = sheet.cone
        result |= {
            "radius_below": cone.radius_below,
            "radius_above": cone.radius_above,
            "slant": cone.slant,
            "inner_radius": cone.inner_radius,
            "outer_radius": cone.outer_radius,
            "angle": Degrees(math.degrees(cone.angle)),
        }
    result["outline"] = Trail(drawn.outline)
    if drawn.middle is not None:
        result["middle"] = Trail(drawn.middle)
    result["rings"] = [{"band": r.band, "ring": r.number, "tape": r.where, "line": Trail(r.line)} for r in drawn.rings]
    result["verticals"] = [{"band": v.band, "vertical": v.number, "line": Trail(v.line)} for v in drawn.verticals]
    result["paths"] = [
        entry for band in drawn.bands for path in band.paths for entry in _path(path, band.band.number)
    ] + [entry for path in drawn.paths for entry in _path(path, None)]
    result["points"] = [entry for band in drawn.bands for entry in _points(band.marks, band.band.number)]
    return result


def _path(path: DrawnPath, band: int | None) -> Iterator[dict[str, Json]]:
    work = path.path.work
    for line in path.lines:
        yield {
            "technique": work.technique,
            "tool": work.tool.name if work.tool else None,
            "colour": work.colour,
            "band": band,
            "line": Trail(line),
        }


def _points(marks: DrawnMarks, band: int) -> Iterator[dict[str, Json]]:
    works = marks.points.works
    for i in np.flatnonzero(marks.owned).tolist():
        index = int(marks.index[i])
        work = works[int(marks.points.work[index])]
        yield {
            "technique": work.technique,
            "tool": work.tool.name if work.tool else None,
            "colour": work.colour,
            "band": band,
            "at": Trail(marks.at[i]),
        }
