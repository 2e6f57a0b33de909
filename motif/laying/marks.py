"""Point marks of a band: which of them are made, and their shapes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import numpy as np

from motif.language.messages import Message, Messages
from motif.laying.clusters import distinct
from motif.laying.collect import Collection, Spots, spots_of
from motif.laying.piece import Points
from motif.laying.region import Region
from motif.laying.shapes import ShapeBook
from motif.laying.strokes import once_only_spots
from motif.wall import Wall

#: a mark this near the band's edge is on it, mm
_ON_EDGE = 1e-6

SkipCount = Counter[tuple[str, "str | None", "str | None"]]


def lay_points(collection: Collection, wall: Wall, region: Region, skipped: SkipCount, messages: Messages) -> Points:
    """The point marks that are made: whole or not at all, off the reserves, in the panels."""
    spots = spots_of(collection)
    spots = _in_band(spots, collection, region, skipped, messages)
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
        _skip(
            lost,
            np.ones(len(lost), dtype=np.bool_),
            collection,
            skipped,
            messages,
            "in-reserve",
            lambda here: f"where {region.reserves_at(lost.angle[here], lost.tape[here])} is kept free",
            "Nothing to mend if that is meant; else move the reserve or the pattern.",
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


def _in_band(spots: Spots, collection: Collection, region: Region, skipped: SkipCount, messages: Messages) -> Spots:
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
    _skip(
        spots,
        lost,
        collection,
        skipped,
        messages,
        "past-the-band",
        lambda here: "outside the band",
        "Move the point inward, make the band taller, or leave the place out with 'where'.",
    )
    return spots if inside.all() else spots.at(inside)


def _skip(
    spots: Spots,
    which: np.ndarray[tuple[int], np.dtype[np.bool_]],
    collection: Collection,
    skipped: SkipCount,
    messages: Messages,
    code: str,
    where: Callable[[np.ndarray[tuple[int], np.dtype[np.bool_]]], str],
    advice: str,
) -> None:
    """Count marks that are not made, and say so once for each line of the text."""
    for k, count in zip(*np.unique(spots.work[which], return_counts=True), strict=True):
        work = collection.works[int(k)]
        skipped[work.key] += int(count)
        here = which & (spots.work == k)
        first = int(np.flatnonzero(here)[0])
        place = ", ".join(
            f"{name} {getattr(spots, name)[first]}"
            for name in ("column", "row", "vertical", "ring")
            if getattr(spots, name)[first] >= 0
        )
        many = f"{count} marks are" if count > 1 else "1 mark is"
        messages.add(
            Message(
                code,
                f"{many} left out: the point lies {where(here)} (first at {place or 'the band'}).",
                work.span,
                advice,
            )
        )
