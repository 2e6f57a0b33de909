"""Where long parts are cut to fit the paper, and the letters by which they are put together again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from string import ascii_uppercase

import numpy as np

from motif.language.record import record

#: How far one section lies over the next, mm.
OVERLAP = 12.0
#: No section is shorter than this (mm) unless the whole is.
_SHORTEST = 30.0
#: Joins keep this far from marks and their numbers (mm).
_CLEAR = 4.0


def letter(index: int) -> str:
    """A, B … Z, AA, AB …: the name of the index-th join, from 0."""
    name = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        name = ascii_uppercase[rest] + name
    return name


@record
class Section:
    """From ``start`` to ``end`` along a long part; what is printed goes on by ``over`` beyond the end (mm).

    ``before`` and ``after`` name the joins at its ends; None at the ends of the part."""

    start: float
    end: float
    over: float
    before: str | None
    after: str | None


def cut(length: float, most: float, avoid: Sequence[float], tab: float, first: int = 0) -> list[Section]:
    """The fewest sections no longer than ``most`` mm, overlap included, the first ones as long as they may be; the
    last carries a ``tab`` (mm).

    Joins keep clear of the marks at ``avoid`` (mm) where that takes no further section.
    ``first`` is the index of the first join's letter."""
    reach = most - OVERLAP
    count = max(1, math.ceil((length + tab - OVERLAP) / reach - 1e-9))
    at = [0.0]
    for k in range(1, count):
        latest = min(at[-1] + reach, length + tab - _SHORTEST)
        earliest = max(length + tab - OVERLAP - (count - k) * reach, at[-1] + _SHORTEST)
        at.append(_clear_of(avoid, earliest, latest))
    at.append(length)
    return [
        Section(
            at[k],
            at[k + 1],
            tab if k == count - 1 else OVERLAP,
            letter(first + k - 1) if k else None,
            letter(first + k) if k < count - 1 else None,
        )
        for k in range(count)
    ]


def _clear_of(avoid: Sequence[float], earliest: float, latest: float) -> float:
    """The latest place that is clear of every mark and not too early; the latest of all where there is none."""
    marks = np.asarray(avoid, dtype=float)
    places = np.array([latest, *(marks - _CLEAR)])
    places = places[(places >= earliest) & (places <= latest)]
    clear = [p for p in places.tolist() if np.all(np.abs(marks - p) >= _CLEAR - 1e-9)]
    return max(clear, default=latest)
