"""What is to be made ahead and how much clay it takes."""

from __future__ import annotations

from motif.language.record import record
from motif.laying.piece import LaidPiece, LaidTool
from motif.outputs.marks import point_works


@record
class Ahead:
    """Pieces of one kind that are joined on. ``tool`` gives the piece; None for outlines cut from a slab.

    ``count`` without and ``spares`` for those that fail; ``volume`` (ml) is that of one at the stage of
    decorating, ``wet_volume`` that of one and ``clay`` that of all with the spares, both of wet clay; ``area``
    (mm²) of all outlines cut from a slab, at the stage of decorating. None where the text does not say."""

    tool: LaidTool | None
    colour: str | None
    count: int
    spares: int
    volume: float | None
    wet_volume: float | None
    clay: float | None
    area: float


def ahead(piece: LaidPiece) -> tuple[Ahead, ...]:
    """The pieces to make ahead, by tool and colour, in the order of the bands."""
    found: dict[tuple[str | None, str | None], tuple[LaidTool | None, int, float]] = {}

    def add(tool: LaidTool | None, colour: str | None, count: int, area: float) -> None:
        key = None if tool is None else tool.name, colour
        _, before, area_before = found.get(key, (tool, 0, 0.0))
        found[key] = tool, before + count, area_before + area

    for band in piece.bands:
        for work in point_works(band):
            if work.technique == "attach":
                of_work = [k for k, w in enumerate(band.points.works) if w is work]
                add(work.tool, work.colour, int((band.points.work == of_work[0]).sum()), 0.0)
    for path in (*(p for band in piece.bands for p in band.paths), *piece.paths):
        if path.work.technique == "attach":
            add(path.work.tool, path.work.colour, 1, path.area)
    return tuple(_one(piece, *entry, colour) for (_, colour), entry in found.items())


def _one(piece: LaidPiece, tool: LaidTool | None, count: int, area: float, colour: str | None) -> Ahead:
    spares = 0
    volume = None if tool is None else tool.volume
    wet = None if volume is None or piece.wet_scale is None else volume * piece.wet_scale**3
    return Ahead(tool, colour, count, spares, volume, wet, None if wet is None else wet * (count + spares), area)
