"""What is made on a piece, added up: elements, lengths, areas, clay."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPath, LaidPiece, LaidTool, Points, Work
from motif.outputs.marks import point_works
from motif.outputs.numbers import DATA_DIGITS
from motif.outputs.styles import technique_rank

#: (technique, tool, colour): what gets a row of its own.
Key = tuple[str, str | None, str | None]


@dataclass
class Total:
    """Amounts of one technique × tool × colour: ``length`` in mm, ``area`` in mm², ``volume`` in ml.

    ``count`` is of separate elements: ``points`` (dots and footprints), ``strokes`` worked along their line and
    ``outlines`` worked over their area, which is ``worked`` mm² (without what a reserve cuts away). ``skipped``
    is of point marks that fell in a reserve or outside the band; ``impressions`` are those of a roulette.
    ``covered`` (mm²) is what colour covers, dots and the widths of strokes counted in, overlaps twice; 0 but for
    what is painted. ``sizes`` are those of dots, ``widths`` of lines, ``depths`` of both, in mm, as far as the
    text or the tool says."""

    technique: str
    tool: str | None
    colour: str | None
    points: int = 0
    strokes: int = 0
    outlines: int = 0
    length: float = 0.0
    area: float = 0.0
    worked: float = 0.0
    covered: float = 0.0
    volume: float = 0.0
    impressions: int = 0
    skipped: int = 0
    sizes: set[float] = field(default_factory=set)
    widths: set[float] = field(default_factory=set)
    depths: set[float] = field(default_factory=set)

    @property
    def count(self) -> int:
        return self.points + self.strokes + self.outlines

    def add(self, other: Total) -> None:
        self.points += other.points
        self.strokes += other.strokes
        self.outlines += other.outlines
        self.length += other.length
        self.area += other.area
        self.worked += other.worked
        self.covered += other.covered
        self.volume += other.volume
        self.impressions += other.impressions
        self.skipped += other.skipped
        self.sizes |= other.sizes
        self.widths |= other.widths
        self.depths |= other.depths


@record
class Counts:
    """``bands`` in the order of the piece's bands; ``totals`` are theirs and the piece's own lines."""

    totals: tuple[Total, ...]
    bands: tuple[tuple[Total, ...], ...]


def count(piece: LaidPiece) -> Counts:
    """Everything that is made on ``piece``, band by band and in all."""
    bands = tuple(_totals(band.points, band.paths, band.skipped) for band in piece.bands)
    return Counts(_summed([*bands, _totals(None, piece.paths, {})]), bands)


def works(piece: LaidPiece) -> Iterator[Work]:
    """Every work of a piece, some of them more than once."""
    for band in piece.bands:
        yield from point_works(band)
        yield from (path.work for path in band.paths)
    yield from (path.work for path in piece.paths)


def tools(piece: LaidPiece) -> list[LaidTool]:
    """Every tool in use, by name."""
    found = {work.tool.name: work.tool for work in works(piece) if work.tool}
    return [found[name] for name in sorted(found)]


def _known(measure: float | None) -> set[float]:
    return set() if measure is None else {round(measure, DATA_DIGITS)}


def _volume(technique: str, tool: LaidTool | None) -> float:
    """Clay in one element (ml): only what is joined on is made of clay of its own."""
    return tool.volume or 0.0 if technique == "attach" and tool else 0.0


def _totals(points: Points | None, paths: Iterable[LaidPath], skipped: dict[Key, int]) -> tuple[Total, ...]:
    totals: dict[Key, Total] = {}

    def total(key: Key) -> Total:
        return totals.setdefault(key, Total(*key))

    if points is not None and len(points):
        n = len(points.works)
        made = np.bincount(points.work, minlength=n).tolist()
        areas = np.bincount(points.work, weights=points.area, minlength=n).tolist()
        dots = np.where(points.is_footprint, 0.0, math.pi / 4 * np.nan_to_num(points.across) ** 2)
        round_areas = np.bincount(points.work, weights=dots, minlength=n).tolist()
        for work, k, area, dotted in zip(points.works, made, areas, round_areas, strict=True):
            if k:
                t = total(work.key)
                t.points += k
                t.area += area
                t.covered += area + dotted if work.technique == "paint" else 0.0
                t.volume += k * _volume(work.technique, work.tool)
                t.depths |= _known(work.depth)
        sizes = np.where(points.is_footprint, np.nan, np.round(points.across, DATA_DIGITS))
        for i, size in np.unique(np.column_stack([points.work, sizes])[~np.isnan(sizes)], axis=0).tolist():
            total(points.works[int(i)].key).sizes.add(size)
    for path in paths:
        t = total(path.work.key)
        if path.worked_over:
            t.outlines += 1
            t.worked += path.area
        else:
            t.strokes += 1
            t.length += path.length
        if path.work.technique == "paint":
            t.covered += path.area if path.worked_over else path.length * (path.work.width or 0.0)
        t.area += path.area
        t.volume += _volume(path.work.technique, path.work.tool)
        t.impressions += path.impressions
        t.widths |= _known(path.work.width)
        t.depths |= _known(path.work.depth)
    for key, k in skipped.items():
        if k:
            total(key).skipped += k
    return _sorted(totals.values())


def _summed(groups: Iterable[Iterable[Total]]) -> tuple[Total, ...]:
    totals: dict[Key, Total] = {}
    for group in groups:
        for t in group:
            key = (t.technique, t.tool, t.colour)
            totals.setdefault(key, Total(*key)).add(t)
    return _sorted(totals.values())


def _sorted(totals: Iterable[Total]) -> tuple[Total, ...]:
    return tuple(sorted(totals, key=lambda t: (technique_rank(t.technique), t.tool or "", t.colour or "")))
