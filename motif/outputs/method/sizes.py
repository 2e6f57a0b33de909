"""Sizes of a family of strokes in words, what no hand tells apart as one."""

from __future__ import annotations

from motif.outputs.method.curves import sides
from motif.outputs.method.families import Family
from motif.outputs.method.places import BandGrid
from motif.outputs.numbers import Unit, length, length_with_unit

#: Sizes that differ by less are one at the bench, mm.
_ONE_SIZE = 0.5


def span(low: float, high: float, unit: Unit) -> str:
    """``9 mm``, ``9 to 13 mm``; what no hand tells apart is one size."""
    if high - low <= _ONE_SIZE:
        return length_with_unit((low + high) / 2, unit)
    return f"{length(low, unit)} to {length_with_unit(high, unit)}"


def shorts(family: Family, unit: Unit) -> str:
    """What is left free before the marks: ``, leaving 9 mm free at both marks``; empty where nothing is."""
    short = family.chain.short
    if not any(short):
        return ""
    first, last = (span(*ends, unit) for ends in family.shorts)
    if not all(short):
        return f", leaving {first if short[0] else last} free at the {'first' if short[0] else 'last'} mark"
    apart = max(abs(p - q) for p, q in zip(*family.shorts, strict=True))
    if apart <= _ONE_SIZE / 2:
        return f", leaving {first} free at both marks"
    return f", leaving {first} free at the first mark and {last} at the last"


def bulging(family: Family, mirror: Family | None, grid: BandGrid, unit: Unit) -> str:
    """How far bends leave the straight way, and towards what, where all do alike."""
    ways = set(sides(family.chain, grid))
    if len(ways) > 1:
        return ""
    way = ways.pop()
    turned = "" if mirror is None else sides(mirror.chain, grid)[0]
    if turned and turned != way:
        way = f"{way}, its mirror image {turned},"
    return f", bulging {span(*family.bulges, unit)} {way} between the marks"


def lengths(family: Family, unit: Unit) -> str:
    """``19.3 to 20.8 mm long``, ``63.5 mm round its edge``."""
    return f"{span(*family.lengths, unit)} {'round its edge' if family.worked_over else 'long'}"
