"""The laid piece as data, all of it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from motif.laying.piece import Floats, LaidForm, LaidPath, LaidPiece, LaidReserve
from motif.outputs import counts, marks
from motif.outputs.json_text import Json, Trail, dumps
from motif.outputs.numbers import Unit
from motif.wall import Wall


def as_json(piece: LaidPiece) -> dict[str, Json]:
    """The object of ``motif data``: lengths in mm, angles in degrees, areas in mm², volumes in ml.

    That of ``motif marks`` with the form, every stroke and outline, the reserves and the totals added.
    """
    wall = piece.form.wall
    totals = counts.as_json(piece)
    return {
        "version": 1,
        "piece": piece.name,
        "description": piece.description,
        "title": piece.title,
        "by": piece.by,
        "licence": piece.licence,
        "stage": piece.stage,
        "dimensions_stage": piece.dimensions_stage,
        "unit": "mm",
        "scale": piece.scale,
        "clay": piece.clay,
        "notes": list(piece.notes),
        "form": _form(piece.form),
        "bands": [
            {
                **marks.band_json(band),
                "description": band.description,
                "notes": list(band.notes),
                "panels": [[float(np.degrees(a)), float(np.degrees(b))] for a, b in band.panels],
                "paths": _paths(band.paths, wall),
            }
            for band in piece.bands
        ],
        "lines": marks.as_json(piece)["lines"],
        "paths": _paths(piece.paths, wall),
        "reserves": [_reserve(r, wall) for r in piece.reserves],
        "totals": totals["totals"],
    }


def json_document(piece: LaidPiece, unit: Unit = "mm") -> str:
    """The same as text. Data are in mm whatever the unit for people."""
    return dumps(as_json(piece))


def _form(form: LaidForm) -> dict[str, Json]:
    wall = form.wall
    return {
        "name": form.name,
        "description": form.description,
        "stage": form.stage,
        "side": form.side,
        "thickness": form.thickness,
        "tape_length": float(wall.length),
        "area": float(wall.area),
        "volume": float(wall.volume) / 1000.0,
        "measurements": [
            {"tape": tape, "height": height, "radius": radius, "corner": corner}
            for tape, height, radius, corner in form.stations
        ],
        "landmarks": {
            name: {"tape": tape, "height": float(wall.height(tape)), "radius": float(wall.radius(tape))}
            for name, tape in form.landmarks.items()
        },
    }


def _paths(paths: Sequence[LaidPath], wall: Wall) -> list[Json]:
    lines = [line for path in paths for line in (path.points, *path.holes)]
    trails = iter(_trails(lines, wall))
    result: list[Json] = []
    for path in paths:
        entry: dict[str, Json] = {
            "technique": path.work.technique,
            "tool": path.work.tool.name if path.work.tool else None,
            "colour": path.work.colour,
            "closed": path.closed,
            "worked_over": path.worked_over,
            "length": path.length,
            "area": path.area,
            "column": _place(path.column),
            "row": _place(path.row),
            "vertical": _place(path.vertical),
            "ring": _place(path.ring),
            "depth": path.work.depth,
            "width": path.work.width,
            "pitch": path.pitch_reached,
            "impressions": path.impressions,
            "points": next(trails),
        }
        if path.holes:
            entry["holes"] = [next(trails) for _ in path.holes]
        result.append(entry)
    return result


def _trails(lines: Sequence[Floats], wall: Wall) -> list[Trail]:
    """Each line, (k, 2) angle and tape, as (k, 4): angle in degrees, tape, height, radius."""
    if not lines:
        return []
    joined = np.concatenate(lines)
    tape = joined[:, 1]
    full = np.column_stack([np.degrees(joined[:, 0]), tape, wall.height(tape), wall.radius(tape)])
    return [Trail(part) for part in np.split(full, np.cumsum([len(line) for line in lines])[:-1])]


def _reserve(reserve: LaidReserve, wall: Wall) -> dict[str, Json]:
    return {
        "name": reserve.name,
        "from_tape": reserve.from_tape,
        "to_tape": reserve.to_tape,
        "facing": marks.round_degrees(np.array([reserve.facing]))[0],
        "wide": reserve.wide,
        "outline": _trails([reserve.outline], wall)[0],
    }


def _place(value: int) -> int | None:
    return None if value < 0 else value
