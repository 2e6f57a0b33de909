"""Many places in few words: which verticals, which rings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

import numpy as np

from motif.language.record import record
from motif.laying.piece import Floats
from motif.outputs.method.families import Row
from motif.outputs.method.places import BandGrid, mixed, nearest_part, ring_words, spot, vertical_words
from motif.outputs.numbers import Unit, length_with_unit

#: More places than this are not listed one by one.
_LISTED = 16
#: So many places in equal steps are told as a run.
_RUN = 4
#: A row all round may lack so many and still be told by what it lacks.
_LACKING = 6
_SAME = 2e-3


def listing(things: Sequence[str]) -> str:
    """``a, b and c``."""
    return " and ".join((", ".join(things[:-1]), things[-1])) if len(things) > 1 else "".join(things)


@record
class Where:
    """Places on some levels at the same verticals: ``on`` says which rings, ``at`` which verticals, ``each`` how
    many there are on each level; ``starts`` are the levels in rings from the band's start."""

    on: str
    at: str
    each: int
    starts: tuple[float, ...]

    @property
    def levels(self) -> int:
        return len(self.starts)

    @property
    def count(self) -> str:
        """``6``, ``6 on each``."""
        return f"{self.each} on each" if self.levels > 1 else str(self.each)


def where(rows: Sequence[Row], grid: BandGrid, unit: Unit) -> list[Where]:
    """Rows of places in words, those at the same verticals together."""
    found: dict[tuple[str, int], list[float]] = {}
    for row in rows:
        found.setdefault((at_verticals(row, grid, unit), len(row.a)), []).append(row.b)
    return [Where(on_rings(levels, grid, unit), words, n, tuple(levels)) for (words, n), levels in found.items()]


def at_verticals(row: Row, grid: BandGrid, unit: Unit) -> str:
    """``at every vertical``, ``half-way between the verticals``, ``at verticals 1, 5 and 9`` …"""
    a, n = row.a, len(row.a)
    steps = np.diff(np.append(a, a[0] + grid.columns))
    step = float(steps.min())
    count = grid.columns / step if step > _SAME else 0.0
    if n > 2 and np.ptp(steps) < _SAME:
        return _all_round(float(a[0]), step, row.b, grid, unit)
    if n > 2 and abs(count - round(count)) < 1e-3 and n + _LACKING >= round(count) and n >= round(count) / 2:
        lattice = (a[0] + step * np.arange(round(count))) % grid.columns
        lacking = [x for x in np.sort(lattice).tolist() if _apart(x, a, grid.columns) > _SAME]
        if len(lacking) == round(count) - n:
            missed = listing([_vertical(x, row.b, grid, unit) for x in lacking])
            return f"{_all_round(float(a[0]), step, row.b, grid, unit)}, but not at {missed}"
    runs = _runs(a)
    if sum(1 if len(r) >= _RUN else len(r) for r in runs) > _LISTED:
        return f"at {n} places that the mark table lists"
    words: list[str] = []
    kinds = {round(float(run[1] - run[0]), 3) if len(run) > 1 else 0.0 for run in runs}
    for run in runs:
        first, last = (_vertical(x, row.b, grid, unit) for x in (run[0], run[-1]))
        if len(run) == 1:
            words.append(first)
        elif abs(run[1] - run[0] - 1) < _SAME:
            words.append(f"{first} to {last.removeprefix('vertical ')}")
        elif len(kinds) == 1:
            words.append(f"from {first} to {last}")
        else:
            words.append(f"{_each(float(run[1] - run[0]))} from {first} to {last}")
    if words[0].startswith("from "):
        return f"at {_each(kinds.pop())} {listing(words)}"
    if len(words) + len(runs[0]) > 2 and all(w.startswith("vertical ") for w in words):
        return "at verticals " + listing([w.removeprefix("vertical ") for w in words])
    return "at " + listing(words)


def _apart(x: float, a: Floats, columns: int) -> float:
    return float(np.abs((a - x + columns / 2) % columns - columns / 2).min())


def _all_round(first: float, step: float, b: float, grid: BandGrid, unit: Unit) -> str:
    if abs(step - 1) >= _SAME:
        return f"at {_vertical(first, b, grid, unit)} and {_each(step)} from there, all round"
    rest = first - math.floor(first + 1e-6)
    tape = grid.tape_of(b)
    part, off = nearest_part(rest, grid.column_mm(first, tape))
    if off:
        near = Fraction(round(rest))
        right = (rest - float(near)) * grid.column_mm(first, tape)
        return f"{length_with_unit(abs(right), unit)} {'right' if right > 0 else 'left'} of every vertical"
    if part.denominator == 1:
        return "at every vertical"
    if part == Fraction(1, 2):
        return "half-way between the verticals"
    return f"{part} of the way from every vertical to the next"


def _each(step: float) -> str:
    part = Fraction(step).limit_denominator(24)
    if part == 1:
        return "every vertical"
    if part.denominator == 1:
        return f"every {ordinal(int(part))} vertical"
    return f"every {mixed(part) if part > 1 else part} {'columns' if part > 1 else 'column'}"


def ordinal(n: int) -> str:
    ending = "th" if n % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(n % 10, "th")
    return f"{n}{ending}"


def _vertical(a: float, b: float, grid: BandGrid, unit: Unit) -> str:
    place = spot(grid, a, b)
    return vertical_words(place.vertical, place.right, unit)


def _runs(a: Floats) -> list[Floats]:
    """Rising places cut into the longest runs of equal steps, from the left."""
    runs: list[Floats] = []
    at = 0
    while at < len(a):
        end = at + 1
        while end < len(a) and (end == at + 1 or abs((a[end] - a[end - 1]) - (a[at + 1] - a[at])) < _SAME):
            end += 1
        if end - at < _RUN:
            end = at + 1
        runs.append(a[at:end])
        at = end
    return runs


def on_rings(levels: Sequence[float], grid: BandGrid, unit: Unit) -> str:
    """``on rings 0, 2 and 4``, ``half-way between rings 1 and 2``, ``half-way between rings, from ring 1 to ring 5``"""
    spots = [spot(grid, 0.0, b) for b in levels]
    if any(s.up for s in spots):
        beside: dict[str, list[str]] = {}
        for s in spots:
            words = ring_words(s.ring, s.up, unit)
            beside.setdefault(words.rpartition(" ring ")[0], []).append(mixed(s.ring))
        return listing([f"{how} ring{'s' if len(n) > 1 else ''} {listing(n)}".lstrip() for how, n in beside.items()])
    whole = [math.floor(s.ring) for s in spots]
    rests = {s.ring - math.floor(s.ring) for s in spots}
    if rests == {Fraction(0)}:
        return f"on {named('ring', whole)}"
    if len(rests) > 1:
        return "on " + listing([f"ring {mixed(s.ring)}" for s in spots])
    (rest,) = rests
    if rest == Fraction(1, 2):
        if len(whole) == 1:
            return f"half-way between rings {whole[0]} and {whole[0] + 1}"
        if whole == list(range(whole[0], whole[-1] + 1)):
            return f"half-way between rings, from ring {whole[0]} to ring {whole[-1] + 1}"
        return f"half-way from {named('ring', whole)} to the next"
    if len(whole) == 1:
        return f"{rest} of the way from ring {whole[0]} to ring {whole[0] + 1}"
    return f"{rest} of the way from {named('ring', whole)} to the next"


def named(word: str, numbers: Sequence[int]) -> str:
    """``ring 3``, ``rings 0, 2 and 4``, ``rings 0 to 11``."""
    if len(numbers) == 1:
        return f"{word} {numbers[0]}"
    if len(numbers) > 3 and list(numbers) == list(range(numbers[0], numbers[0] + len(numbers))):
        return f"{word}s {numbers[0]} to {numbers[-1]}"
    return f"{word}s {listing([str(n) for n in numbers])}"
