"""How much one band may ask for. What goes beyond is refused by multiplying out, before memory or time is spent.

The bounds are about the work of a machine, not about pots: each is a good deal more than any pot needs.
"""

from __future__ import annotations

import numpy as np

from motif.language.messages import Problem
from motif.language.record import record
from motif.language.source import Span
from motif.laying.piece import Floats
from motif.laying.telling import drawing_faults, limit_faults
from motif.wall import Wall

#: the most marks a piece may have unless its user says otherwise
LIMIT = 200_000
#: more places than this, repeats and copies counted in, are refused before any is looked at
MOST_PLACES = 20_000_000
#: more verticals or rings than this
MOST_LINES = 100_000
#: farther than this many cells or turns a point is not reckoned
MOST_CELLS, MOST_TURNS = 1_000_000, 1_000
#: a taut line goes no more often round than this
MOST_TAUT_TURNS = 100
#: room for the places of one rule, bytes, and the stretches into which the lines of one band are cut; a larger
#: limit on marks allows as many times more
_MEMORY, _STRETCHES = 640_000_000, 1_200_000
#: pairs of a place and a sample of what it keeps clear of; discs that cover the neighbourhood of such things; points
#: of one parallel that crosses itself, and pairs of its short steps that do: each some seconds of work, many times what
#: the library's patterns take; of these too a larger limit on marks allows more
_NEAR, _DISCS, _CROSSED, _OVERLAID = 4_000_000, 40_000, 250_000, 200_000


@record
class Limits:
    """What a band may ask for, ``marks`` of them at most."""

    marks: int = LIMIT

    @property
    def share(self) -> float:
        """How many times as much as usual the user allows."""
        return max(1.0, self.marks / LIMIT)

    def check_places(self, count: float, each: int, span: Span | None) -> None:
        """Raise ``too-many-marks`` for more places than can be held, ``each`` so many bytes."""
        if count > MOST_PLACES * self.share or count * each > _MEMORY * self.share:
            raise Problem(limit_faults.places(span, count))

    def check_stretches(self, count: float, span: Span | None = None) -> None:
        """Raise ``too-many-marks`` for lines of so many short stretches (it may be infinite)."""
        if not count <= _STRETCHES * self.share:
            raise Problem(limit_faults.stretches(span, count, _STRETCHES * self.share))

    def check_repeated(self, count: float, span: Span | None) -> None:
        """Raise ``too-many-marks`` for so many marks along a line (it may be infinite)."""
        if not count <= self.marks:
            raise Problem(limit_faults.marks_along(span, count, self.marks))

    def check_near(self, count: int) -> None:
        """Raise ``too-many-marks`` for so many pairs of a place and what it keeps clear of or runs beside."""
        if count > _NEAR * self.share:
            raise Problem(limit_faults.distances(count, int(_NEAR * self.share)))

    def check_discs(self, count: int) -> None:
        """Raise ``too-many-marks`` for areas kept clear of lines and points by so many discs about them."""
        if count > _DISCS * self.share:
            raise Problem(limit_faults.discs(count, int(_DISCS * self.share)))

    def check_crossed(self, count: int) -> None:
        """Raise ``too-many-marks`` for a parallel that crosses itself and has so many points."""
        if count > _CROSSED * self.share:
            raise Problem(limit_faults.crossed(count, int(_CROSSED * self.share)))

    def check_overlaid(self, count: int) -> None:
        """Raise ``too-many-marks`` for a parallel of which so many pairs of short steps cross or lie on one another."""
        if count > _OVERLAID * self.share:
            raise Problem(limit_faults.overlaid(count, int(_OVERLAID * self.share)))


def farthest(wall: Wall) -> float:
    """A length, mm, that leads from anywhere far beyond the end of the wall and several times round it."""
    return 10 * (wall.length + 2 * np.pi * wall.widest(0.0, wall.length)[1])


def check_length(value: Floats, wall: Wall, what: str, span: Span | None) -> None:
    """Raise ``out-of-range`` for lengths (n,), mm, that lead farther than any pattern on the wall can."""
    most = farthest(wall)
    if np.any(far := ~(np.abs(value) <= most)):
        shown = float(np.atleast_1d(value)[np.flatnonzero(np.atleast_1d(far))[0]])
        raise Problem(drawing_faults.length_too_far(span, what, shown, most, wall.length))
