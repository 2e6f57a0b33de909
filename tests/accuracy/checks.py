"""What a check is, and the differences that several of them measure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Check:
    """One construct against one source: ``measure`` gives the largest difference in mm, which is to stay at
    or under ``bound``."""

    construct: str
    source: str
    measure: Callable[[], float]
    bound: float


def largest(*differences: ArrayLike) -> float:
    """The largest amount of all differences; NaN, which no bound lets pass, where one is NaN or none is given."""
    flat = np.concatenate([np.zeros(0), *(np.ravel(np.asarray(d, dtype=np.float64)) for d in differences)])
    return float(np.max(np.abs(flat))) if flat.size else float("nan")


def great_circle(radius: float, lat0: ArrayLike, lat1: ArrayLike, run: ArrayLike) -> Floats:
    """Distance on a ball, all angles in radians: the half-versed-sine rule, good for short distances too
    (R. W. Sinnott, Sky and Telescope 68, 1984, 159, from memory)."""
    a0, a1, d = (np.asarray(x, dtype=np.float64) for x in (lat0, lat1, run))
    h = np.sin((a1 - a0) / 2) ** 2 + np.cos(a0) * np.cos(a1) * np.sin(d / 2) ** 2
    return np.asarray(2 * radius * np.arcsin(np.sqrt(h)))


def from_line(points: Floats, start: Floats, end: Floats) -> Floats:
    """Distances (k,), signed to the left of travel, of points (k, 2) of a plane from the line through two others."""
    x, y = (end - start) / np.hypot(*(end - start))
    return np.asarray(x * (points[:, 1] - start[1]) - y * (points[:, 0] - start[0]))
