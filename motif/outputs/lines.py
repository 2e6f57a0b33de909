"""Many lines at once: their points in one array, so that numpy and GEOS see all of them in one call."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

#: A line of more points is thinned in stretches of so many: Douglas and Peucker's way takes a step of recursion, and
#: looks at every point left, for each point that it keeps.
_STRETCH = 1024


@record
class Lines:
    """``m`` lines of at least two points each: ``points`` (n, 2), and ``starts`` (m + 1,), where in them each begins,
    with the end of the last."""

    points: Floats
    starts: Ints

    @classmethod
    def of(cls, lines: Sequence[Floats]) -> Lines:
        """Lines that are given one by one, (k, 2) each."""
        if not lines:
            return cls(np.empty((0, 2)), np.zeros(1, dtype=np.int64))
        return cls(np.concatenate(lines), np.cumsum([0, *(len(line) for line in lines)]))

    def __len__(self) -> int:
        return len(self.starts) - 1

    @property
    def counts(self) -> Ints:
        """How many points each has, (m,)."""
        return np.diff(self.starts)

    @property
    def whose(self) -> Ints:
        """Of which line every point is, (n,)."""
        return np.repeat(np.arange(len(self)), self.counts)

    def split(self) -> list[Floats]:
        """The lines one by one."""
        return [self.points[begin:end] for begin, end in pairwise(self.starts.tolist())]

    def boxes(self) -> tuple[Floats, Floats]:
        """The least and the greatest coordinates of each line, two (m, 2)."""
        if not len(self):
            return np.empty((0, 2)), np.empty((0, 2))
        begins = self.starts[:-1]
        return np.minimum.reduceat(self.points, begins, axis=0), np.maximum.reduceat(self.points, begins, axis=0)

    def chosen(self, which: Ints) -> Lines:
        """Those of the numbers ``which``, in that order."""
        counts = self.counts[which]
        starts = np.concatenate([[0], np.cumsum(counts)])
        at = np.arange(starts[-1]) + np.repeat(self.starts[which] - starts[:-1], counts)
        return Lines(self.points[at], starts)

    def with_(self, others: Lines) -> Lines:
        """These and then the others."""
        starts = np.concatenate([self.starts, self.starts[-1] + others.starts[1:]])
        return Lines(np.concatenate([self.points, others.points]), starts)

    def placed(self, place: Callable[[Floats], Floats]) -> Lines:
        """Every point carried elsewhere by ``place``, (n, 2) to (n, 2)."""
        return Lines(place(self.points), self.starts) if len(self) else self

    def thinned(self, tolerance: float) -> Lines:
        """The lines without points that lie within ``tolerance`` of the straight line between those kept beside them.

        D. H. Douglas and T. K. Peucker, Algorithms for the reduction of the number of points required to represent a
        digitized line or its caricature (Cartographica 10, 1973), by GEOS, which measures every point that it drops."""
        if not len(self) or self.counts.max() < 3:
            return self
        import shapely

        points, whose, of = self._stretches()
        simple = shapely.simplify(shapely.linestrings(points, indices=whose), tolerance, preserve_topology=False)
        kept, stretch = shapely.get_coordinates(simple, return_index=True)
        owner = of[stretch]
        # The last point of a stretch is the first of the next.
        twice = (np.diff(stretch, prepend=0) > 0) & (np.diff(owner, prepend=-1) == 0)
        return Lines(kept[~twice], np.searchsorted(owner[~twice], np.arange(len(self) + 1)))

    def _stretches(self) -> tuple[Floats, Ints, Ints]:
        """The lines in stretches of no more than so many points: all points, those at which stretches meet twice; of
        which stretch each is; and of which line every stretch is."""
        whose = self.whose
        if self.counts.max() <= _STRETCH:
            return self.points, whose, np.arange(len(self))
        at = np.arange(len(whose)) - self.starts[whose]
        joint = (at % (_STRETCH - 1) == 0) & (at > 0) & (at < self.counts[whose] - 1)
        again = np.repeat(np.arange(len(whose)), 1 + joint)
        begins = (np.diff(again, prepend=-1) == 0) | (at[again] == 0)
        return self.points[again], np.cumsum(begins) - 1, whose[again][begins]
