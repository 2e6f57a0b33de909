"""Short cautions that go with outputs where the work can hurt someone."""

from __future__ import annotations

from motif.laying.piece import LaidPiece
from motif.outputs.marks import point_works

_CUTTING = frozenset({"incise", "carve", "pierce"})

_DUST = (
    "Trimmings dry to dust that harms the lungs: clean up wet, do not sand dry; local codes and licensed "
    "practice come first."
)
_FOOD = (
    "Colours and glazes on ware for food or drink: go by the maker's label, local codes and a qualified "
    "laboratory; this drawing cannot tell what is safe."
)


def cautions(piece: LaidPiece) -> tuple[str, ...]:
    """What to mind on ``piece``, one sentence or two each."""
    techniques = {work.technique for band in piece.bands for work in point_works(band)}
    techniques |= {path.work.technique for band in piece.bands for path in band.paths}
    techniques |= {path.work.technique for path in piece.paths}
    found = []
    if techniques & _CUTTING:
        found.append(_DUST)
    if "paint" in techniques:
        found.append(_FOOD)
    return tuple(found)
