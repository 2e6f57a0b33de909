"""A stretch of wall as a frustum of a cone, developed exactly."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from motif.wall.charts import cone_arc
from motif.wall.surface import Wall

Floats = NDArray[np.float64]

#: The most frusta a stretch is cut into before giving up.
MOST_CONES = 500
#: A difference of the two radii below this makes a cylinder, mm.
_CYLINDER = 1e-9


@dataclass(frozen=True)
class ConeSheet:
    """The frustum between the rings at ``from_tape`` < ``to_tape``; lengths in mm.

    ``slant`` is its straight side; ``inner_radius`` and ``outer_radius`` are those of the flat sector and
    None for a cylinder; ``angle`` is the whole sector's, radians, 0 for a cylinder. ``misfit`` is that of
    ``cone_misfit``.
    """

    from_tape: float
    to_tape: float
    radius_below: float
    radius_above: float
    slant: float
    inner_radius: float | None
    outer_radius: float | None
    angle: float
    misfit: float

    @classmethod
    def of(cls, wall: Wall, lo: float, hi: float) -> ConeSheet:
        """The frustum through the wall's rings at tapes lo < hi."""
        (below, above), (h0, h1) = wall.point(np.array([lo, hi]))
        slant = float(np.hypot(above - below, h1 - h0))
        spread = abs(float(above - below))
        inner = outer = None
        if spread > _CYLINDER:
            inner, outer = (float(r) * slant / spread for r in sorted((below, above)))
        angle = 2 * np.pi * spread / slant if inner is not None else 0.0
        misfit = cone_misfit(wall, lo, hi)
        return cls(lo, hi, float(below), float(above), slant, inner, outer, angle, misfit)

    def chart(self, angle: ArrayLike, tape: ArrayLike) -> tuple[Floats, Floats]:
        """(x, y) on the flat sheet, ``angle`` from the middle line, which meets the lower circle at (0, 0).

        Tape is carried to the straight side in proportion, so that both ends are the rings themselves."""
        part = (np.asarray(tape, dtype=np.float64) - self.from_tape) / (self.to_tape - self.from_tape)
        spread = self.radius_above - self.radius_below
        slope = np.asarray(spread / self.slant if abs(spread) > _CYLINDER else 0.0)
        x, sag = cone_arc(np.asarray(angle, dtype=np.float64), self.radius_below + part * spread, slope)
        return x, part * self.slant - sag


def cone_misfit(wall: Wall, lo: float, hi: float) -> float:
    """How badly (mm) the frustum through the rings at lo < hi stands for the wall between them.

    The larger of two: the greatest distance of the wall's section from the straight side, and tape
    less slant."""
    tapes = np.unique(np.concatenate((np.linspace(lo, hi, 65), wall.nodes_between(lo, hi))))
    radius, height = wall.point(tapes)
    dr, dh = radius[-1] - radius[0], height[-1] - height[0]
    slant = float(np.hypot(dr, dh))
    if slant == 0:
        return max(float(hi - lo), float(np.max(np.hypot(radius - radius[0], height - height[0]))))
    x, y = radius - radius[0], height - height[0]
    along = np.clip((x * dr + y * dh) / slant**2, 0.0, 1.0)
    distance = np.hypot(x - along * dr, y - along * dh)
    i = int(np.argmax(distance))
    # At a corner the wall is a kink, not a bend: the corner itself is the peak.
    peak = float(distance[i]) if tapes[i] in wall.corners else _peak(tapes, distance, i)
    return max(peak, float(hi - lo) - slant)


def _peak(x: Floats, y: Floats, i: int) -> float:
    """The top of the parabola through a sampled maximum and its neighbours; at an end, the sample itself."""
    if not 0 < i < len(x) - 1:
        return float(y[i])
    left, right = x[i] - x[i - 1], x[i + 1] - x[i]
    fall = (y[i] - y[i - 1]) / left, (y[i + 1] - y[i]) / right
    bend = (fall[1] - fall[0]) / (left + right)
    slope = fall[0] + bend * left
    if bend >= 0 or abs(slope) > -bend * (left + right):
        return float(y[i])
    return float(y[i] - slope**2 / (4 * bend))


def fewest_cones(wall: Wall, lo: float, hi: float, bound: float) -> tuple[float, ...] | None:
    """Tapes lo … hi that cut the stretch into the fewest frusta of misfit at most ``bound`` mm.

    Among cuts of that number those with the least largest misfit. None if more than ``MOST_CONES`` would be
    needed. A shorter stretch has the smaller misfit, so each frustum in turn is made as tall as it may be."""
    cuts = _greedy(wall, lo, hi, bound, MOST_CONES)
    if cuts is None:
        return None
    count, low, high = len(cuts) - 1, 0.0, bound
    while high - low > 1e-4 * bound:
        middle = (low + high) / 2
        tried = _greedy(wall, lo, hi, middle, count)
        if tried is None:
            low = middle
        else:
            cuts, high = tried, middle
    return cuts


def cones_needed(wall: Wall, lo: float, hi: float, bound: float) -> int | None:
    """How many frusta ``fewest_cones`` cuts the stretch into; None for more than ``MOST_CONES``."""
    cuts = _greedy(wall, lo, hi, bound, MOST_CONES)
    return None if cuts is None else len(cuts) - 1


def _greedy(wall: Wall, lo: float, hi: float, bound: float, most: int) -> tuple[float, ...] | None:
    cuts = [lo]
    while cuts[-1] < hi:
        if len(cuts) > most:
            return None
        cuts.append(_tallest(wall, cuts[-1], hi, bound))
    return tuple(cuts)


def _tallest(wall: Wall, lo: float, hi: float, bound: float) -> float:
    """The highest tape up to which one frustum from ``lo`` keeps to the bound.

    The misfit grows about with the square of the height, so its root is close to a straight line, on which
    false position by the Illinois rule (Dowell and Jarratt, BIT 11, 1971, from memory) is quick."""
    wanted = math.sqrt(bound)

    def over(tape: float) -> float:
        return math.sqrt(cone_misfit(wall, lo, tape)) - wanted

    low, high, under, above = lo, hi, -wanted, over(hi)
    if above <= 0:
        return hi
    nearest = 1e-6 * (hi - lo) + 1e-9
    side = 0
    while high - low > nearest:
        middle = (low * above - high * under) / (above - under)
        middle = min(max(middle, low + nearest / 2), high - nearest / 2)
        value = over(middle)
        if value <= 0:
            low, under = middle, value
            if value > -1e-7 * wanted:
                break
            above = above / 2 if side < 0 else above
            side = -1
        else:
            high, above = middle, value
            under = under / 2 if side > 0 else under
            side = 1
    return max(low, lo + 1e-6)
