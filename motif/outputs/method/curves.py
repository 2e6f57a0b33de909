"""Bent lines: towards what they bulge, and the cards that they are drawn along."""

from __future__ import annotations

import itertools
import math

from motif.language.record import record
from motif.outputs.method.chains import STRAIGHT, Chain, Node
from motif.outputs.method.families import Family
from motif.outputs.method.places import BandGrid, origin_of, ring_words, spot
from motif.outputs.numbers import Unit, length_with_unit
from motif.outputs.tables import Column, Table

#: More cards than this are not cut: the lines are pricked through the flat sheets.
_MOST_CARDS = 16
_SAME_LEVEL = 1e-6


@record
class Card:
    """A curve between two marks: ``across`` from mark to mark by soft tape and ``deep`` (mm), the rings of its ends
    counted from the band's start, and how many pieces of lines it serves."""

    start: float
    end: float
    across: float
    deep: float
    count: int

    def serves(self, other: Card) -> bool:
        """Whether nobody tells the one from the other at the bench."""
        return abs(self.across - other.across) <= STRAIGHT and abs(self.deep - other.deep) <= STRAIGHT


def cards(family: Family, grid: BandGrid) -> list[Card]:
    """The cards for a family of lines: one that serves everywhere, or those of every level."""
    found: dict[tuple[float, float], list[Card]] = {}
    for chain, shifts in family.chains:
        for before, node in itertools.pairwise(chain.nodes):
            if not node.bulge:
                continue
            start, end = sorted((round(before.b, 6), round(node.b, 6)))
            level = found.setdefault((start, end), [])
            for across, count in _distances(before, node, shifts, grid):
                _add(Card(start, end, across, abs(node.bulge), count), level)
    every = [card for _, level in sorted(found.items()) for card in level]
    merged: list[Card] = []
    for card in every:
        _add(card, merged)
    return merged if len(merged) == 1 else every


def _add(card: Card, to: list[Card]) -> None:
    for k, other in enumerate(to):
        if other.serves(card):
            to[k] = Card(other.start, other.end, other.across, other.deep, other.count + card.count)
            return
    to.append(card)


def _distances(before: Node, node: Node, shifts: tuple[float, ...], grid: BandGrid) -> list[tuple[float, int]]:
    """How far two marks lie apart, mm, and how often: unequal columns make a difference from copy to copy."""
    low, high = grid.tape_of(before.b), grid.tape_of(node.b)
    radius = float(grid.wall.radius((low + high) / 2))
    if grid.even:
        shifts, count = shifts[:1], len(shifts)
    else:
        count = 1
    return [
        (math.hypot(radius * (grid.angle_of(node.a + s) - grid.angle_of(before.a + s)), high - low), count)
        for s in shifts
    ]


def card_steps(made: list[Card], name: str, unit: Unit) -> list[str]:
    """What to cut; ``name`` is that of the table which lists several cards."""
    if len(made) == 1:
        across, deep = length_with_unit(made[0].across, unit), length_with_unit(made[0].deep, unit)
        return [
            f"Cut a card to the curve from mark to mark, traced from the flat sheets: {across} across, {deep} deep."
        ]
    if len(made) <= _MOST_CARDS:
        return [
            f"Cut cards to the curves from mark to mark, traced from the flat sheets: the table “{name}” says where."
        ]
    return ["The curve changes from place to place: prick each line through the flat sheets."]


def card_table(made: list[Card], name: str, grid: BandGrid, unit: Unit) -> Table | None:
    """The cards that are to be cut where one does not serve everywhere."""
    if not 1 < len(made) <= _MOST_CARDS:
        return None
    return Table(
        name,
        (
            Column("on", "From mark to mark"),
            Column("across", "Across", "length"),
            Column("deep", "Deep", "length"),
            Column("count", "How many", "count"),
        ),
        [(_level(card, grid, unit), card.across, card.deep, card.count) for card in made],
    )


def _level(card: Card, grid: BandGrid, unit: Unit) -> str:
    start, end = spot(grid, 0.0, card.start), spot(grid, 0.0, card.end)
    words = ring_words(start.ring, start.up, unit)
    if abs(card.start - card.end) < _SAME_LEVEL:
        return f"on {words}" if words.startswith("ring") else words
    return f"{words} → {ring_words(end.ring, end.up, unit)}"


def sides(chain: Chain, grid: BandGrid) -> list[str]:
    """Towards what a chain bulges on its way to each of its nodes but the first; empty where it is straight."""
    return [_side(before, node, chain, grid) for before, node in itertools.pairwise(chain.nodes)]


def _side(before: Node, node: Node, chain: Chain, grid: BandGrid) -> str:
    if not node.bulge:
        return ""
    if chain.closed and not chain.round:
        # Told counter-clockwise, so that its inside lies on the left.
        return "inward" if node.bulge > 0 else "outward"
    low, high = grid.tape_of(before.b), grid.tape_of(node.b)
    across = float(grid.wall.radius((low + high) / 2)) * (grid.angle_of(node.a) - grid.angle_of(before.a))
    up = high - low
    if abs(across) >= abs(up):
        return "toward the rim" if across * node.bulge > 0 else f"toward {origin_of(grid.wall)}"
    return "to the right" if up * node.bulge < 0 else "to the left"
