"""Point marks of a band: which of them are made, and their shapes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from motif.laying.clusters import distinct
from motif.laying.collect import Collection, Spots, spots_of
from motif.laying.findings import Finding, Findings, Place
from motif.laying.piece import Floats, Ints, Points
from motif.laying.region import Region
from motif.laying.shapes import ShapeBook
from motif.laying.strokes import once_only_spots
from motif.wall import Wall

#: a mark this near the band's edge is on it, mm
_ON_EDGE = 1e-6

#: a mark that reaches into a patch by no more only touches it, mm
_REACHES_IN = 0.05

Bools = NDArray[np.bool_]
SkipCount = Counter[tuple[str, "str | None", "str | None"]]


def lay_points(collection: Collection, wall: Wall, region: Region, skipped: SkipCount, found: Findings) -> Points:
    """The point marks that are made: whole or not at all, off the reserves, in the panels."""
    spots = spots_of(collection)
    spots = _in_band(spots, collection, wall, region, skipped, found)
    if region.panels:
        spots = spots.at(region.in_panels(spots.angle, spots.tape, _ON_EDGE))
        # What is drawn once in each panel stays in its own.
        own = np.ones(len(spots), dtype=np.bool_)
        for k in distinct(spots.panel[spots.panel >= 0]):
            here = spots.panel == k
            own[here] = region.in_panels(spots.angle[here], spots.tape[here], _ON_EDGE, region.panels[k : k + 1])
        spots = spots.at(own)
    if region.patches and len(spots):
        inside = region.in_reserve(spots.angle, spots.tape)
        lost = once_only_spots(spots.at(inside), wall)
        for k, here in _skipped(lost, collection, skipped):
            first = _place(found, lost, int(here[0]))
            patches = region.reserves_at(lost.angle[here], lost.tape[here])
            found.add(
                Finding(
                    "in-reserve",
                    collection.works[k].span,
                    first,
                    0.0,
                    first,
                    0.0,
                    1.0,
                    len(here),
                    kind="out",
                    reserves=patches,
                )
            )
        spots = spots.at(~inside)
    spots = once_only_spots(spots, wall)
    works = tuple(collection.works)
    book = ShapeBook(wall)
    shape, area = np.full(len(spots), -1, dtype=np.int64), np.zeros(len(spots))
    for k in distinct(spots.work):
        here = np.flatnonzero(spots.work == k)
        stamped = spots.is_footprint[here]
        for footprint, chosen in ((True, here[stamped]), (False, here[~stamped])):
            if len(chosen) and (footprint or not np.all(np.isnan(spots.across[chosen]))):
                tool = works[k].tool if footprint else None
                shape[chosen], area[chosen] = book.of(
                    tool, spots.across[chosen], spots.tape[chosen], spots.lean[chosen]
                )
                if not footprint:
                    area[chosen] = 0.0
    angle = np.mod(spots.angle, 2 * np.pi)
    angle = np.where(2 * np.pi - angle < 1e-12, 0.0, angle)
    _reaching_in(spots, shape, book.shapes, collection, region, found)
    return Points(
        works,
        spots.work,
        spots.is_footprint,
        spots.column,
        spots.row,
        spots.vertical,
        spots.ring,
        angle,
        np.clip(spots.tape, 0.0, wall.length),
        wall.height(spots.tape),
        wall.radius(spots.tape),
        spots.across,
        spots.lean,
        area,
        shape,
        tuple(book.shapes),
    )


def _reaching_in(
    spots: Spots, shape: Ints, shapes: list[Floats], collection: Collection, region: Region, found: Findings
) -> None:
    """Marks that stay, since their points lie outside, and yet reach into a patch kept free."""
    if not region.patches or not len(spots) or not shapes:
        return
    outlines = [np.zeros((0, 2)) if k < 0 else shapes[k] for k in shape.tolist()]
    of = np.repeat(np.arange(len(spots)), [len(o) for o in outlines])
    corners = np.concatenate(outlines)
    angle, tape = corners[:, 0] + spots.angle[of], corners[:, 1]
    for patch in region.patches:
        into = np.zeros(len(spots))
        np.maximum.at(into, of, patch.depth(angle, tape))
        for k in distinct(spots.work[into > _REACHES_IN]):
            here = np.flatnonzero((into > _REACHES_IN) & (spots.work == k))
            first, most = int(here[0]), int(here[np.argmax(into[here].round(6))])
            found.add(
                Finding(
                    "in-reserve", collection.works[k].span, _place(found, spots, first), float(into[first]),
                    _place(found, spots, most), float(into[most]), float(1 + into[most]), len(here),
                    kind="reaches", reserves=(patch.laid.name,),
                )
            )  # fmt: skip


def _in_band(
    spots: Spots, collection: Collection, wall: Wall, region: Region, skipped: SkipCount, found: Findings
) -> Spots:
    """Without the marks that fall outside the band. In a half-drop one stands where its image falls instead."""
    inside = region.in_band(spots.tape, _ON_EDGE)
    if spots.image.any():
        made = set(spots.home[inside & ~spots.image].tolist())
        stands = np.array([h not in made for h in spots.home.tolist()])
        inside &= ~spots.image | stands
        made |= set(spots.home[inside].tolist())
        lost = ~spots.image & np.array([h not in made for h in spots.home.tolist()])
    else:
        lost = ~inside
    kept = spots if inside.all() else spots.at(inside)
    spots = once_only_spots(spots.at(lost), wall)
    beyond = np.maximum(region.low - spots.tape, spots.tape - region.high)
    for k, here in _skipped(spots, collection, skipped):
        first, most = int(here[0]), int(here[np.argmax(beyond[here].round(6))])
        found.add(
            Finding(
                "past-the-band", collection.works[k].span, _place(found, spots, first), float(beyond[first]),
                _place(found, spots, most), float(beyond[most]), float(1 + beyond[most]), len(here),
            )
        )  # fmt: skip
    return kept


def _place(found: Findings, spots: Spots, i: int) -> Place:
    column, row, vertical, ring = (int(getattr(spots, name)[i]) for name in ("column", "row", "vertical", "ring"))
    return found.place(float(spots.tape[i]), column, row, vertical, ring)


def _skipped(spots: Spots, collection: Collection, skipped: SkipCount) -> Iterator[tuple[int, Ints]]:
    """Count the marks that are not made, and go through them by the way they would have been."""
    for k in distinct(spots.work):
        here = np.flatnonzero(spots.work == k)
        skipped[collection.works[k].key] += len(here)
        yield k, here
