"""The order of work with this pot's numbers: chapters of numbered steps, one action each."""

from __future__ import annotations

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs.numbers import Unit
from motif.outputs.once import once
from motif.outputs.sheets import MISFIT
from motif.outputs.tables import Table


@record
class Chapter:
    """A part of the work. ``intro`` stands before the steps, which are numbered from 1; ``cautions`` are set
    apart. Lengths in words are in the unit asked for; those in ``tables`` are mm until they are written."""

    title: str
    steps: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    cautions: tuple[str, ...] = ()
    intro: tuple[str, ...] = ()


@once  # the page of text and the printed sheets of one run say the same
def chapters(piece: LaidPiece, unit: Unit = "mm", misfit: float = MISFIT) -> tuple[Chapter, ...]:
    """The whole order of work of a piece, in the order in which it is done; flat sheets keep the ``misfit`` (mm)."""
    from motif.outputs.method import making, setting_out
    from motif.outputs.method.ready import ready

    found = [
        setting_out.rings(piece, unit),
        *setting_out.verticals(piece, unit),
        setting_out.free_patches(piece, unit),
        *making.techniques(piece, unit, misfit),
        making.drying(piece),
    ]
    others = [c for c in found if c is not None]
    return (ready(piece, unit, others), *others)
