"""Short cautions that go with outputs where the work can hurt someone.

All defer to labels, local codes and licensed practice. Figures are from the sources named beside them; what
is a fact of the trade is common practice without a source."""

from __future__ import annotations

from motif.laying.piece import LaidPiece
from motif.outputs.numbers import Unit, length_with_unit
from motif.outputs.totals import works

_CUTTING = frozenset({"incise", "carve", "pierce"})

#: Class 2 lasers: IEC 60825-1, edition 3.0 (2014).
LASER = (
    "A line laser is to be of class 2 (up to 1 mW): never look into the beam, keep it below eye level, and mind "
    "that wet and glazed clay reflects it. Its label and local codes come first."
)
METAL = "Cut strips and patterns of metal have sharp edges: file the burr off, and keep fingers clear of the edge."
#: Common practice, no source.
JOINED = (
    "What is joined on too dry, or dries faster than the wall, lifts or cracks off: score and slip both faces, and let "
    "thin edges dry no sooner than the rest (common practice)."
)
#: 50 µg/m³ over eight hours and an action level of 25: OSHA, 29 CFR 1910.1053.
DUST = (
    "Trimmings dry to dust that harms the lungs: clean up wet, do not sand dry; local codes and licensed "
    "practice come first."
)
SILICA = (
    "Dry clay dust holds crystalline silica, of which the air at work may hold 50 micrograms a cubic metre over "
    "eight hours in the United States, with measures from 25 (OSHA, 29 CFR 1910.1053); other places have other codes."
)
FOOD = (
    "Colours and glazes on ware for food or drink: go by the maker's label, local codes and a qualified "
    "laboratory; this drawing cannot tell what is safe."
)
#: Lead: FDA Food Code 4-101.13, leached as in ASTM C738.
LEACHING = (
    "Textured and decorated faces are hard to clean and to glaze closed: keep them away from food and lips unless a "
    "laboratory has tested the fired ware. In the United States lead leached as in ASTM C738 is limited to 0.5 mg/L "
    "for cups and mugs and 3 mg/L for plates (FDA Food Code 4-101.13); local codes come first."
)

#: A cut deeper than this part of the wall weakens it: common practice, no source.
_DEEP = 1 / 3


def cautions(piece: LaidPiece) -> tuple[str, ...]:
    """What to mind on ``piece``, one sentence or two each."""
    techniques = {work.technique for work in works(piece)}
    found = []
    if techniques & _CUTTING:
        found.append(DUST)
    if "paint" in techniques:
        found.append(FOOD)
    return tuple(found)


def depth_caution(depth: float, thickness: float | None, unit: Unit) -> str:
    """How a depth stands to the wall (mm): what is left of it, and that deep marks crack it."""
    deep = length_with_unit(depth, unit)
    if thickness is None:
        return (
            f"The deepest mark is {deep}: feel how thick the wall is first. More than a third of it weakens the wall, "
            "and it may crack as it dries (common practice)."
        )
    wall = length_with_unit(thickness, unit)
    if depth > _DEEP * thickness:
        return (
            f"The deepest mark is {deep} in a wall of {wall}, more than a third of it: the wall may crack there as it "
            "dries (common practice). Go shallower, or leave it thicker."
        )
    left = length_with_unit(thickness - depth, unit)
    return (
        f"The deepest mark is {deep} in a wall of {wall}: {left} is left. Deeper than a third may crack (common "
        "practice)."
    )


def thick_caution(thickness: float, wall: float | None, unit: Unit) -> str:
    """For attached pieces about ``thickness`` mm thick: they dry more slowly than the wall."""
    size = length_with_unit(thickness, unit)
    beside = "" if wall is None else f" on a wall of {length_with_unit(wall, unit)}"
    return (
        f"What is joined on is about {size} thick{beside}: there the clay dries more slowly. Dry under cover for days, "
        "and fire slowly at first; damp clay bursts in the kiln (common practice)."
    )
