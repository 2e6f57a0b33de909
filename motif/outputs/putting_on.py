"""How flat sheets are put on the pot, in words, wherever they are drawn."""

from __future__ import annotations

from itertools import pairwise

from motif.laying.piece import LaidPiece
from motif.outputs.cutout import NO_MISFIT, has_tab, lies_flat
from motif.outputs.grid_lines import NEAREST, grid_of, remarks
from motif.outputs.labels import turned_from_start
from motif.outputs.method.setting_out import origin
from motif.outputs.numbers import Unit, fine_with_unit, length_with_unit
from motif.outputs.sheets import Layout, shortfall

_RING = ": each sheet closes to a ring round the pot."


def introduction(
    piece: LaidPiece, layout: Layout, unit: Unit, *, closing: bool = True, command: str = "unroll"
) -> list[str]:
    """How the sheets of ``layout`` are cut out and put on, where on the wall they lie, and how well they fit.

    ``closing``: whether every cone is there all round; ``command``: what draws them with another misfit."""
    n = len(layout.sheets)
    if n == 1 and closing:
        (sheet,) = layout.sheets
        how = "One sheet in real size that closes round the pot. Cut along the full lines"
        how += " and leave the tab, which goes under the left edge." if has_tab(sheet) else "."
        if lies_flat(sheet):
            how = "One sheet in real size that lies flat on the pot. Cut along its round edges."
    elif layout.flat == "cones":
        how = (
            f"{n} cone{'' if n == 1 else 's'} in real size, numbered upward from {origin(piece)}. Cut along the full "
            f"lines and leave the tab, which goes under the left edge{_RING if closing else '.'}"
        )
    else:
        how = (
            f"{n} gores in real size. Cut along the full lines and leave the tab, which goes under the left edge of "
            "the next sheet. Lay each on the wall by its middle line, lower end first."
        )
    low, high = layout.sheets[0].window.from_tape, layout.sheets[-1].window.to_tape
    where = f"From tape {length_with_unit(low, unit)} to {length_with_unit(high, unit)}"
    plain = [
        f"{length_with_unit(below.window.to_tape, unit)} to {length_with_unit(above.window.from_tape, unit)}"
        for below, above in pairwise(layout.sheets)
        if above.window.from_tape > below.window.to_tape
    ]
    if plain:
        where += f" (no paper for tape {', '.join(plain)}, where nothing is made)"
    names = "Numbers beside a sheet are rings, numbers at its ends verticals."
    if len(piece.bands) > 1:
        names = "Numbers beside a sheet are band·ring, numbers at its ends verticals of the band nearest."
    if turned_from_start(piece):
        names += " The tick “start” is the pot's starting mark."
    left_out = remarks(grid_of(piece, NEAREST), NEAREST, unit)
    seen = f"{where}, seen from the {piece.form.side} of the wall. {names}"
    return [how, seen, *left_out, *_fit(piece, layout, unit, command)]


def _fit(piece: LaidPiece, layout: Layout, unit: Unit, command: str) -> list[str]:
    """How well the paper fits, and what to do about it; nothing where it lies on the wall everywhere."""
    if layout.misfit < NO_MISFIT:
        return []
    most = fine_with_unit(layout.misfit, unit)
    if layout.flat == "cones":
        return [
            f"Misfit, {most} at most, is how far the wall swells or sinks from the paper. Damp the paper, when it "
            "is cut out and checked and not before, and press it to the clay; a smaller misfit (motif "
            f"{command} --misfit {'1/64in' if unit == 'in' else '0.2mm'}) gives more and lower rings, which lie closer."
        ]
    words = f"Misfit, {most} at most, is how much a sheet's edges differ from the wall in length. "
    short = shortfall(piece, layout, unit)
    return [*([short] if short else []), words + "Fix the middle line first, then ease the edges in with damp fingers."]
