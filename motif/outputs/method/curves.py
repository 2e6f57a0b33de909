"""Bent lines: towards what they bulge, and the cards that they are drawn along."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from motif.language.record import changed, record
from motif.outputs.method.chains import Chain, Node
from motif.outputs.method.families import Family
from motif.outputs.method.places import ON_THE_MARK, BandGrid, level, level_words, origin_of
from motif.outputs.method.where import listing
from motif.outputs.numbers import Unit, length_with_unit
from motif.outputs.tables import Column, Table

#: More cards than this are not cut for one technique: the lines are pricked through the flat sheets.
MOST_CARDS = 16
#: A card for more places than this is not listed by them.
_LISTED = 4
_SAME_LEVEL = 1e-6


@record
class Curve:
    """A bend between two marks, ``across`` from mark to mark by soft tape and ``deep`` (mm), or a whole ``oval``, as
    wide and tall; ``on`` says where, ``count`` how many there are of it."""

    oval: bool
    across: float
    deep: float
    on: str
    count: int


@record
class Card:
    """A card to cut, ``on`` all the places that it serves; turned over it serves their mirror images. ``sheet`` is
    the number of the flat sheet that it is traced from."""

    letter: str
    oval: bool
    across: float
    deep: float
    on: tuple[str, ...]
    count: int
    sheet: int | None

    def serves(self, curve: Curve) -> bool:
        """Whether nobody tells the one from the other at the bench."""
        return (
            self.oval == curve.oval
            and abs(self.across - curve.across) <= ON_THE_MARK
            and abs(self.deep - curve.deep) <= ON_THE_MARK
        )

    def also(self, curve: Curve) -> Card:
        on = self.on if curve.on in self.on else (*self.on, curve.on)
        return changed(self, on=on, count=self.count + curve.count)


def letters_of(k: int) -> str:
    """A, B … Z, AA, AB …"""
    return (letters_of(k // 26 - 1) if k >= 26 else "") + chr(ord("A") + k % 26)


def named_cards(letters: Sequence[str]) -> str:
    """``card A``, ``cards A, B and D``, ``cards A to E``."""
    if len(letters) > 2 and list(letters) == [
        letters_of(k) for k in range(_number(letters[0]), _number(letters[-1]) + 1)
    ]:
        return f"cards {letters[0]} to {letters[-1]}"
    return f"card{'s' if len(letters) > 1 else ''} {listing(letters)}"


def _number(letters: str) -> int:
    return next(k for k in range(26 * 27) if letters_of(k) == letters)


def curves(family: Family, grid: BandGrid, unit: Unit) -> list[Curve]:
    """The bends of a family of lines, each level's by itself."""
    found: list[Curve] = []
    for chain, shifts in family.chains:
        if chain.oval is not None:
            middle = (chain.nodes[0].b + chain.nodes[1].b) / 2
            words = _level(middle, middle, grid, unit)
            found.append(Curve(True, chain.oval.wide, chain.oval.tall, words, len(shifts)))
            continue
        for before, node in itertools.pairwise(chain.nodes):
            if node.bulge:
                words = _level(before.b, node.b, grid, unit)
                found += [
                    Curve(False, across, abs(node.bulge), words, count)
                    for across, count in _distances(before, node, shifts, grid)
                ]
    return found


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


def card_steps(cards: Sequence[Card], unit: Unit) -> list[str]:
    """What to cut."""
    if not cards:
        return []
    if len(cards) > 1:
        return [
            f"Cut {named_cards([card.letter for card in cards])} of the table “Cards” to the curves from mark to mark, "
            "traced from the flat sheets. Turned over, a card draws the mirror image."
        ]
    card = cards[0]
    traced = "the flat sheets" if card.sheet is None else f"flat sheet {card.sheet}"
    across, deep = length_with_unit(card.across, unit), length_with_unit(card.deep, unit)
    if card.oval:
        return [f"Cut card {card.letter} to the whole oval, traced from {traced}: {across} wide, {deep} tall."]
    return [
        f"Cut card {card.letter} to the curve from mark to mark, traced from {traced}: {across} across, {deep} deep."
    ]


def card_table(cards: Sequence[Card]) -> Table | None:
    """The cards, where there are several."""
    if len(cards) < 2:
        return None
    columns = [
        Column("card", "Card"),
        Column("on", "From mark to mark"),
        Column("across", "Across", "length"),
        Column("deep", "Deep", "length"),
        Column("count", "Draws", "count"),
    ]
    rows: list[list[str | float | int | None]] = [
        [card.letter, _places(card), card.across, card.deep, card.count] for card in cards
    ]
    if any(card.sheet is not None for card in cards):
        columns.append(Column("sheet", "Flat sheet", "count"))
        rows = [[*row, card.sheet] for row, card in zip(rows, cards, strict=True)]
    return Table("Cards", tuple(columns), [tuple(row) for row in rows])


def _places(card: Card) -> str:
    words = "whole oval, its middle " if card.oval else ""
    if len(card.on) > _LISTED:
        return f"{words}{card.on[0]}, and {len(card.on) - 1} more"
    return words + listing(card.on)


def _level(start: float, end: float, grid: BandGrid, unit: Unit) -> str:
    low, high = sorted((start, end))
    words = level_words(*level(grid, low), unit)
    if abs(high - low) < _SAME_LEVEL:
        return f"{'on' if words.startswith('ring') else 'at'} {words}"
    return f"{words} → {level_words(*level(grid, high), unit)}"


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
