"""The shortest lines that climb all the way from the lower to the upper end (``strings``)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from motif.wall.crossing import crossing
from motif.wall.ends import CLIMB, Ends, Found, length_near, part_of_layer
from motif.wall.roots import Values, inverse_cubic, newton

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


def narrowest(ends: Ends) -> tuple[Floats, Floats]:
    """σ and r² of the narrowest level between the ends, the lowest of equals: an end or a ring."""
    layers = ends.layers
    between = ends.high_layer > ends.low_layer
    ring = layers.narrowest(np.where(between, ends.low_layer + 1, ends.high_layer), ends.high_layer)
    least, sigma = np.where(between, layers.square[ring], np.inf), layers.sigma[ring]
    for at, end in ((ends.high, ends.high_square), (ends.low, ends.low_square)):
        # An end wins a tie only from below: it is the low one that is taken last.
        lower = (end < least) | ((end == least) & (at < sigma))
        least, sigma = np.where(lower, end, least), np.where(lower, at, sigma)
    return sigma, least


def climb(ends: Ends, sigma: Floats, least: Floats) -> Found:
    """Lines that climb all the way; those that cannot gain enough run along the narrowest level, r² = ``least`` at
    ``sigma``, which says ``held``."""
    layers, wanted = ends.layers, ends.angle
    steepest, rise = np.sqrt(least), ends.high - ends.low
    ladder = _Ladder(ends, least)
    found = Found(np.full(len(rise), CLIMB), least.copy(), sigma, np.zeros_like(rise), np.zeros_like(rise))
    at = np.flatnonzero(~ladder.enough)
    most = crossing(layers, ends.low[at], ends.high[at], least[at])
    gained = steepest[at] * most.time
    found.held[at] = np.maximum(wanted[at] - gained, 0.0)
    found.length[at] = steepest[at] * wanted[at] + most.action
    ladder.top[at] = gained

    # As an angle φ of the flat triangle: c = c_most sin φ, and on a cylinder φ is the root itself.
    free = np.flatnonzero(ladder.top > wanted)
    guess = ladder.guess(free)
    low, high, rise, steepest, wanted = (a[free] for a in (ends.low, ends.high, rise, steepest, wanted))
    target = np.arctan2(wanted, rise)

    def excess(of: Ints, phi: Floats) -> Values:
        c = steepest[of] * np.sin(phi)
        x = crossing(layers, low[of], high[of], c * c)
        angle = c * x.time
        slope = steepest[of] * np.cos(phi) * (x.time + 2 * c * c * x.slope)
        slope *= rise[of] / (rise[of] ** 2 + angle**2)
        return np.arctan2(angle, rise[of]) - target[of], slope, np.stack((c, angle, x.action))

    zero = np.zeros_like(rise)
    # A ring between the ends that is level holds lines for ever: there the angle grows without bounds.
    root = newton(excess, zero, zero + np.pi / 2, guess, (zero - 1, zero + np.pi / 2))
    # So near the widest line that no number tells them apart, the rest of the way is run along the ring.
    c = np.where(root.settled, steepest * np.sin(root.place), root.extra[0])
    found.square[free] = c * c
    found.length[free] = length_near(root.extra, c, wanted)
    found.held[free] = np.where(root.settled, 0.0, np.maximum(wanted - root.extra[1], 0.0))
    return found


class _Ladder:
    """Where in the layers' table of ``levels`` of c² lines gain what is wanted: first guesses, of an entry each.

    ``enough`` says of which lines the table knows that they can; ``top`` is the most that they gain, as far as is
    known, an upper bound of what is wanted where they can."""

    def __init__(self, ends: Ends, least: Floats) -> None:
        self._ends, self._least = ends, least
        layers = ends.layers
        self._levels = layers.levels[layers.ladder]
        self._count = np.searchsorted(self._levels, least, side="right")
        # The angle gained grows with c. Halving: level ``less`` gains less than is wanted, level ``more`` no less.
        less, more = np.full(len(least), -1), self._count.copy()
        at = np.flatnonzero(more > 0)
        while at.size:
            middle = (less[at] + more[at]) // 2
            enough = _climbed(ends.take(at), layers.ladder[middle]) >= ends.angle[at]
            more[at], less[at] = np.where(enough, middle, more[at]), np.where(enough, less[at], middle)
            at = at[more[at] - less[at] > 1]
        self._less = less
        self.enough = (more < self._count) & (ends.high > ends.low)
        self.top = np.where(self.enough, np.inf, 0.0)

    def guess(self, of: Ints) -> Floats:
        """φ of some of the lines, by inverse interpolation between four levels; exact on a cylinder."""
        ends, least, count, less = self._ends.take(of), self._least[of], self._count[of], self._less[of]
        # The levels 0, no climb at all, 1 … count, and the steepest climb where that is known.
        last = count + (self.top[of] < np.inf)
        four = np.clip(less, 0, np.maximum(last - 3, 0)) + np.arange(4)[:, None]
        level = np.clip(four - 1, 0, np.maximum(count - 1, 0))
        square = np.where(four > count, least, np.where(four > 0, self._levels[level], 0.0))
        phi = np.arcsin(np.minimum(np.sqrt(square / least), 1.0))
        angle = np.where(four > 0, _climbed(ends, ends.layers.ladder[level]), 0.0)
        angle = np.where(four > count, self.top[of], angle)
        rise = ends.high - ends.low
        return inverse_cubic(phi, np.arctan2(angle, rise), np.arctan2(ends.angle, rise))


def _climbed(ends: Ends, level: Ints) -> Floats:
    """The angle that climbing lines of one of the ``levels`` gain; c must not be greater than r between the ends."""
    layers, i, j = ends.layers, ends.low_layer, ends.high_layer
    same, square = i == j, layers.levels[level]
    top = np.where(same, ends.high, layers.sigma[i + 1])
    top_square = np.where(same, ends.high_square, layers.square[i + 1])
    first = part_of_layer(layers, i, ends.low, top, (ends.low_square, top_square, square))
    bottom = np.where(same, ends.high, layers.sigma[j])
    last = part_of_layer(layers, j, bottom, ends.high, (layers.square[j], ends.high_square, square))
    return first + np.where(same, 0.0, last + layers.gained[j, level] - layers.gained[i + 1, level])
