"""What the steps of one technique share: parts of columns to be found first, cards to be cut, tables, flat sheets."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from motif.laying.piece import LaidPath, LaidPiece
from motif.outputs.drawn import Sheet
from motif.outputs.method.curves import MOST_CARDS, Card, Curve, card_steps, card_table, letters_of, named_cards
from motif.outputs.method.parts import part_steps
from motif.outputs.method.places import BandGrid
from motif.outputs.method.where import named
from motif.outputs.numbers import Unit
from motif.outputs.sheets import CannotUnrollError, Layout, printed_layout
from motif.outputs.tables import Table


class Telling:
    """Gathers, while the steps of one technique are told, what is to be done before them and set below them."""

    def __init__(self, piece: LaidPiece, technique: str, unit: Unit, misfit: float, cards_before: int = 0) -> None:
        """``cards_before`` have letters already, so that no two cards on the bench have one name; ``misfit`` (mm)
        is that of the flat sheets."""
        self.piece = piece
        self.technique = technique
        self.unit: Unit = unit
        self._misfit = misfit
        self._tables: list[Table] = []
        #: Whether lines of the kind that is being told are drawn along a string or a strip.
        self.along_strips = False
        self._cards: list[Card] = []
        self._cards_before = cards_before
        self._places: list[tuple[str, BandGrid, list[tuple[float, float]]]] = []
        self._layout: Layout | None = None
        self._tried = False

    def on(self, grid: BandGrid, name: str) -> None:
        """What follows lies on ``grid``, called ``name`` where that must be said (else empty)."""
        if not any(known == name for known, _, _ in self._places):
            self._places.append((name, grid, []))

    def note(self, name: str, places: Iterable[tuple[float, float]]) -> None:
        """Steps on the grid called ``name`` use these places, (a, b)."""
        next(found for known, _, found in self._places if known == name).extend(places)

    def table(self, made: Table) -> None:
        self._tables.append(made)

    def next_title(self) -> str:
        """For a table of places: ``Where, carve 1``."""
        n = sum(t.title.startswith("Where") for t in self._tables) + 1
        return f"Where, {self.technique} {n}"

    def cards(self, curves: Sequence[Curve], path: LaidPath) -> str | None:
        """The letters of the cards that draw some curves, one card for all that are congruent; None where that would
        be too many cards. ``path`` is one that has them."""
        cards = list(self._cards)
        used: set[int] = set()
        for curve in curves:
            k = next((k for k, card in enumerate(cards) if card.serves(curve)), None)
            if k is None:
                k = len(cards)
                if k >= MOST_CARDS:
                    return None
                cards.append(
                    Card(
                        letters_of(self._cards_before + k),
                        curve.oval,
                        curve.across,
                        curve.deep,
                        (),
                        0,
                        self.sheet(path),
                    )
                )
            cards[k] = cards[k].also(curve)
            used.add(k)
        self._cards = cards
        return named_cards([cards[k].letter for k in sorted(used)])

    def sheet(self, path: LaidPath) -> int | None:
        """The number of the flat sheet that shows most of a path."""
        counts = self._shown(path)
        return max(counts, key=lambda n: counts[n]) if counts else None

    def sheets(self, paths: Iterable[LaidPath]) -> str:
        """``flat sheet 2``, ``flat sheets 1, 3 and 4``: those that show some paths."""
        numbers = sorted({n for path in paths for n, count in self._shown(path).items() if count > 1})
        return f"flat {named('sheet', numbers)}" if numbers else "the flat sheets"

    def _shown(self, path: LaidPath) -> dict[int, int]:
        """How many points of a path every flat sheet shows, of those that show any."""
        found = {}
        for sheet in self._flat():
            w = sheet.window
            angle = np.mod(path.points[:, 0] - w.from_angle, math.tau) + w.from_angle
            tape = path.points[:, 1]
            inside = (angle < w.to_angle) & (tape >= w.from_tape - 1e-6) & (tape <= w.to_tape + 1e-6)
            if inside.any():
                found[sheet.number] = int(inside.sum())
        return found

    def _flat(self) -> tuple[Sheet, ...]:
        if not self._tried:
            self._tried = True
            try:
                self._layout = printed_layout(self.piece, self._misfit)
            except CannotUnrollError:
                self._layout = None
        return self._layout.sheets if self._layout is not None else ()

    @property
    def cards_so_far(self) -> int:
        return self._cards_before + len(self._cards)

    @property
    def before(self) -> list[str]:
        """What is to be done first."""
        steps = [name + step for name, grid, places in self._places for step in part_steps(places, grid, self.unit)]
        return steps + card_steps(self._cards, self.unit)

    @property
    def tables(self) -> list[Table]:
        cards = card_table(self._cards)
        return [*self._tables, *([] if cards is None else [cards])]
