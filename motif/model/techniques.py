"""What a technique works: the one table that a new technique adds a line to (beside its word in the grammar)."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Technique:
    """``over_area``: a closed outline is worked over its area, not along its edge. ``makes_points``: a dot
    or footprint can be made so. ``cuts``: it takes clay away along a line, so that depth counts against
    the wall. ``impressions``: a stroke is a row of even marks."""

    over_area: bool = False
    makes_points: bool = True
    cuts: bool = False
    impressions: bool = False


TECHNIQUES: dict[str, Technique] = {
    "guide": Technique(),
    "incise": Technique(cuts=True),
    "carve": Technique(cuts=True),
    "impress": Technique(over_area=True, cuts=True),
    "pierce": Technique(over_area=True),
    "roulette": Technique(makes_points=False, cuts=True, impressions=True),
    "trail": Technique(makes_points=False),
    "attach": Technique(over_area=True),
    "paint": Technique(over_area=True),
}
