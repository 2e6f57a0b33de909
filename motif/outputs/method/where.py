"""Many places in few words: which verticals, which rings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

import numpy as np

from motif.language.record import record
from motif.laying.piece import Floats
from motif.outputs.method.families import Row
from motif.outputs.method.places import BandGrid, first_turn, level, mixed, nearest_part, spot, vertical_words
from motif.outputs.numbers import Unit, length, length_with_unit

#: More places than this are not listed one by one.
_LISTED = 16
#: So many places in equal steps are told as a run.
_RUN = 4
#: A row all round may lack so many and still be told by what it lacks.
_LACKING = 6
#: So many places in a column, or in a few, are told once and then repeated round the pot.
_REPEATED = 6
#: So few places are listed, whatever repeats in them.
_FEW = 6
_SAME = 2e-3


def listing(things: Sequence[str]) -> str:
    """``a, b and c``."""
    return " and ".join((", ".join(things[:-1]), things[-1])) if len(things) > 1 else "".join(things)


@record
class Where:
    """Places on some levels at the same verticals: ``on`` says which levels, ``at`` which verticals (None where words
    do not tell them), ``each`` how many there are on each level; ``starts`` are the levels in rings from the band's
    start."""

    on: str
    at: str | None
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
    """Rows of places in words, those at the same verticals together; those that words do not tell by themselves."""
    found: dict[tuple[str | None, int, tuple[int, ...]], list[float]] = {}
    for row in (part for whole in rows for part in _in_parts(whole, grid, unit)):
        words = at_verticals(row, grid, unit)
        alike = tuple(np.rint(row.a / _SAME).astype(np.int64).tolist()) if words is None else ()
        found.setdefault((words, len(row.a), alike), []).append(row.b)
    return [Where(on_levels(levels, grid, unit), words, n, tuple(levels)) for (words, n, _), levels in found.items()]


def _in_parts(row: Row, grid: BandGrid, unit: Unit) -> list[Row]:
    """A row whose places words do not tell together, by where in their columns they lie, if that is of help."""
    if at_verticals(row, grid, unit) is not None:
        return [row]
    phases = np.floor(np.mod(row.a + _SAME / 2, 1.0) / _SAME).astype(np.int64)
    parts = [Row(row.b, row.a[phases == phase]) for phase in np.unique(phases)]
    return parts if all(at_verticals(part, grid, unit) is not None for part in parts) else [row]


def at_verticals(row: Row, grid: BandGrid, unit: Unit) -> str | None:
    """``at every vertical``, ``half-way between the verticals``, ``at verticals 1, 5 and 9`` …; None where that
    would be too long a list."""
    a, n = row.a, len(row.a)
    steps = np.diff(np.append(a, a[0] + grid.columns))
    step = float(steps.min())
    count = grid.columns / step if step > _SAME else 0.0
    # Where columns are unequal, so are lengths beside their verticals: each is told.
    regular = n > 2 and (grid.even or not any(spot(grid, x, row.b).right for x in a.tolist()))
    if regular and np.ptp(steps) < _SAME:
        return _all_round(float(a[0]), step, row.b, grid, unit)
    if regular and abs(count - round(count)) < 1e-3 and n + _LACKING >= round(count) and n >= round(count) / 2:
        lattice = (a[0] + step * np.arange(round(count))) % grid.columns
        lacking = _lacking(lattice, a, grid.columns)
        if len(lacking) == round(count) - n:
            words = _all_round(float(a[0]), step, row.b, grid, unit)
            return f"{words}, but not at {_verticals(lacking, row.b, grid, unit)}"
    repeated = _again_and_again(row, grid, unit) if regular and n > _FEW else None
    listed = _one_by_one(row, grid, unit)
    return min((words for words in (listed, repeated) if words is not None), key=len, default=None)


def _one_by_one(row: Row, grid: BandGrid, unit: Unit) -> str | None:
    """Places as a list, those in equal steps as runs; None where that would be too long."""
    runs = _runs(row.a)
    if sum(1 if len(r) >= _RUN else len(r) for r in runs) > _LISTED:
        return None
    words: list[str] = []
    kinds = {round(float(run[1] - run[0]), 3) if len(run) > 1 else 0.0 for run in runs}
    for run in runs:
        first, last = (_vertical(x, row.b, grid, unit) for x in (run[0], run[-1]))
        if len(run) == 1:
            words.append(first)
        elif abs(run[1] - run[0] - 1) < _SAME and float(run[0]) % 1 < _SAME:
            words.append(f"{first} to {last.removeprefix('vertical ')}")
        elif len(kinds) == 1:
            words.append(f"from {first} to {last}")
        else:
            words.append(f"{_each(float(run[1] - run[0]))} from {first} to {last}")
    if words[0].startswith("from "):
        return f"at {_each(kinds.pop())} {listing(words)}"
    return "at " + _listed(words, len(runs[0]) > 1)


def _again_and_again(row: Row, grid: BandGrid, unit: Unit) -> str | None:
    """Several places in a column, or in a few, that come again all round: ``at verticals 2 1/4, 2 1/2 and 2 3/4, and
    so in every 2nd column from there, all round``."""
    a, columns = row.a, grid.columns
    for period in range(1, columns // 2 + 1):
        times = columns // period
        if columns % period or len(a) > times * _REPEATED or len(a) + _LACKING < 2 * times:
            continue
        # Bins with places in their middles, so that noise does not move them into the next.
        bins = np.floor(np.mod(a + _SAME / 2, period) / _SAME).astype(np.int64)
        phases, found, counts = np.unique(bins, return_index=True, return_counts=True)
        if len(phases) > _REPEATED or counts.min() * 2 < times:
            continue
        once = first_turn(a[found], period)
        lattice = np.concatenate([once + k * period for k in range(times)])
        lacking = _lacking(lattice, a, columns)
        if len(lacking) > min(_LACKING, len(a) // 4) or len(lattice) - len(lacking) != len(a):
            continue
        first = _verticals(np.sort(once).tolist(), row.b, grid, unit)
        again = "every column" if period == 1 else f"every {ordinal(period)} column from there"
        but = f", but not at {_verticals(lacking, row.b, grid, unit)}" if lacking else ""
        return f"at {first}, and so in {again}, all round{but}"
    return None


def _lacking(lattice: Floats, a: Floats, columns: int) -> list[float]:
    """The places of a lattice that are not among ``a``, rising."""
    return [x for x in np.sort(lattice).tolist() if _apart(x, a, columns) > _SAME]


def _verticals(places: Sequence[float], b: float, grid: BandGrid, unit: Unit) -> str:
    """``vertical 2``, ``verticals 2 1/4, 2 1/2 and 2 3/4``."""
    return _listed([_vertical(x, b, grid, unit) for x in places])


def _listed(words: Sequence[str], several: bool = False) -> str:
    if (len(words) > 1 or several) and all(w.startswith("vertical ") for w in words):
        return "verticals " + listing([w.removeprefix("vertical ") for w in words])
    return listing(words)


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


def on_levels(levels: Sequence[float], grid: BandGrid, unit: Unit) -> str:
    """``on rings 0, 2 and 4``, ``at tapes 37.2 and 61 mm``; with how a hand finds the same, where it is half-way
    between two rings or the like."""
    found = [(b, *level(grid, b)) for b in levels]
    rings = [ring for _, ring, _ in found if ring is not None]
    between = [(b, tape) for b, ring, tape in found if ring is None]
    words = [f"on {named('ring', rings)}"] if rings else []
    if between:
        s = "s" if len(between) > 1 else ""
        by_hand = _by_hand([b for b, _ in between], grid)
        rows = [math.floor(b) for b, _ in between]
        if len(rows) > _LISTED and by_hand and rows == list(range(rows[0], rows[-1] + 1)):
            # So many readings help nobody; the rings are marked.
            words.append(f"{by_hand.strip(' ()')}, from ring {rows[0]} to ring {rows[-1] + 1}")
        else:
            tapes = listing([length(tape, unit) for _, tape in between])
            words.append(f"at tape{s} {tapes} {unit}{by_hand}")
    return " and ".join(words)


def _by_hand(levels: Sequence[float], grid: BandGrid) -> str:
    """How dividers find levels between rings, if they are half-way or the like in every row."""
    parts = set()
    rows = []
    for b in levels:
        by_tape = float(grid.b_by_tape(np.array(grid.tape_of(b))))
        part, off = nearest_part(by_tape, grid.row_mm(by_tape))
        if off or not 0 < by_tape < grid.rows:
            return ""
        parts.add(part - math.floor(part))
        rows.append(math.floor(part))
    if len(parts) > 1:
        return ""
    (part,) = parts
    if len(rows) > 1:
        return " (half-way between rings)" if part == Fraction(1, 2) else f" ({part} of the way from ring to ring)"
    if part == Fraction(1, 2):
        return f" (half-way between rings {rows[0]} and {rows[0] + 1})"
    return f" ({part} of the way from ring {rows[0]} to ring {rows[0] + 1})"


def named(word: str, numbers: Sequence[int]) -> str:
    """``ring 3``, ``rings 0, 2 and 4``, ``rings 0 to 11``."""
    if len(numbers) == 1:
        return f"{word} {numbers[0]}"
    if len(numbers) > 3 and list(numbers) == list(range(numbers[0], numbers[0] + len(numbers))):
        return f"{word}s {numbers[0]} to {numbers[-1]}"
    return f"{word}s {listing([str(n) for n in numbers])}"
