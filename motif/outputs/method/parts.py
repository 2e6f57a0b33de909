"""How parts of columns that no mark shows are found: thirds to tenths."""

from __future__ import annotations

from collections.abc import Iterable

from motif.outputs.method.places import BandGrid, level_words, spot
from motif.outputs.numbers import Unit, length_with_unit

_NAMES = {3: "thirds", 4: "quarters", 5: "fifths", 6: "sixths", 8: "eighths", 10: "tenths"}
_BY_DIVIDERS = {
    3: "step it in three with dividers",
    4: "halve it with dividers, and halve again",
    5: "step it in five with dividers",
    6: "halve it with dividers, and step each half in three",
    8: "halve it with dividers three times over",
    10: "halve it with dividers, and step each half in five",
}
#: Sizes on more levels than this are not listed.
_LISTED = 8


def part_steps(places: Iterable[tuple[float, float]], grid: BandGrid, unit: Unit) -> list[str]:
    """How to find the parts, but for halves, by which places (a, b) are told."""
    columns: dict[int, dict[str, str]] = {}
    # What columns are parted into shows in any of them.
    for b, a in sorted({(round(b, 6), round(a % 1, 6)) for a, b in places}):
        place = spot(grid, a, b)
        if not place.right and place.vertical.denominator in _NAMES:
            size = grid.column_mm(0.0, place.tape) / place.vertical.denominator
            on = "at" if place.ring is None else "on"
            where = f"{on} {level_words(place.ring, place.tape, unit)}"
            columns.setdefault(place.vertical.denominator, {})[where] = length_with_unit(size, unit)
    steps = []
    for parts, sizes in sorted(columns.items()):
        how = _BY_DIVIDERS[parts]
        one_size = set(sizes.values())
        if grid.even and len(one_size) == 1:
            steps.append(f"1/{parts} of a column by soft tape is {one_size.pop()}; or {how}.")
        elif grid.even and len(sizes) <= _LISTED:
            each = ", ".join(f"{size} {where}" for where, size in sizes.items())
            steps.append(f"1/{parts} of a column by soft tape is {each}; or {how}.")
        else:
            steps.append(f"For {_NAMES[parts]} of a column, {how}.")
    return steps
