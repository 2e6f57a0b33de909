"""How parts of columns and rows that no mark shows are found: thirds, quarters, sixths, eighths."""

from __future__ import annotations

from collections.abc import Iterable

from motif.outputs.method.places import BandGrid, mixed, origin_of, spot
from motif.outputs.method.where import listing
from motif.outputs.numbers import Unit, length_with_unit

_NAMES = {3: "thirds", 4: "quarters", 6: "sixths", 8: "eighths"}
_BY_DIVIDERS = {
    3: "step it in three with dividers",
    4: "halve it with dividers, and halve again",
    6: "halve it with dividers, and step each half in three",
    8: "halve it with dividers three times over",
}
#: Sizes on more levels than this are not listed.
_LISTED = 8


def part_steps(places: Iterable[tuple[float, float]], grid: BandGrid, unit: Unit) -> list[str]:
    """How to find the parts, but for halves, by which places (a, b) are told."""
    columns: dict[int, dict[str, str]] = {}
    rings: dict[str, str] = {}
    # What columns are parted into shows in any of them.
    for b, a in sorted({(round(b, 6), round(a % 1, 6)) for a, b in places}):
        s = spot(grid, a, b)
        tape = grid.tape_of(b)
        if not s.right and s.vertical.denominator in _NAMES:
            size = grid.column_mm(0.0, tape) / s.vertical.denominator
            level = f"at tape {length_with_unit(tape, unit)}" if s.up else f"on ring {mixed(s.ring)}"
            columns.setdefault(s.vertical.denominator, {})[level] = length_with_unit(size, unit)
        if not s.up and s.ring.denominator in _NAMES:
            rings[f"ring {mixed(s.ring)}"] = length_with_unit(tape, unit)
    steps = []
    for parts, sizes in sorted(columns.items()):
        how = _BY_DIVIDERS[parts]
        if grid.even and len(sizes) <= _LISTED:
            each = ", ".join(f"{size} {level}" for level, size in sizes.items())
            steps.append(f"1/{parts} of a column by soft tape is {each}; or {how}.")
        else:
            steps.append(f"For {_NAMES[parts]} of a column, {how}.")
    if rings and len(rings) <= _LISTED:
        steps.append(
            f"By tape from {origin_of(grid.wall)}, {listing([f'{ring} is at {tape}' for ring, tape in rings.items()])}."
        )
    elif rings:
        steps.append("Parts of a row are found on the wall with dividers, along a vertical.")
    return steps
