"""How often statements will be worked, as far as the text alone tells: constant repeats and copies multiplied out."""

from __future__ import annotations

from collections.abc import Iterable

from motif.model import rules
from motif.model.expressions import Expr, Quantity


class Ahead:
    """Looks into bodies of statements, into each figure once."""

    def __init__(self) -> None:
        self._figures: dict[int, int] = {}

    def copies(self, body: Iterable[rules.Statement]) -> int:
        """Of how many copies at least the places of a body become in its deepest repeat or drawing.

        What stands in an ``if`` counts for nothing, since it may never be worked."""
        most = 1
        for s in body:
            if isinstance(s, rules.Repeat):
                times = _constant(s.count)
                most = max(most, times * self.copies(s.body) if times else 1)
            elif isinstance(s, rules.Draw):
                times = 1
                for move in s.moves:
                    if isinstance(move, rules.Turns):
                        times *= _constant(move.count)
                    elif isinstance(move, rules.Mirror) and move.keeps:
                        times *= 4 if move.axis == "both ways" else 2
                inside = self.copies(s.body or ()) if s.figure is None else self._figure(s.figure)
                most = max(most, times * inside if times else 1)
        return most

    def _figure(self, figure: rules.Figure) -> int:
        known = self._figures.get(id(figure))
        if known is None:
            known = self._figures[id(figure)] = self.copies(figure.body)
        return known


def _constant(count: Expr) -> int:
    """A number written out; 1 for what must be worked out."""
    return max(0, int(count.amount)) if isinstance(count, Quantity) else 1
