"""What many lines gain on their way up through the layers, all lines' layers laid end to end.

For a line with Clairaut's constant c, and q = √(r² − c²) at the rings it meets, the sums over its layers are
T = ∫ dt (it turns by c T), A = ∫ q² dt (its length is c² T + A), and the slope dT/d(c²), by which c is found.
Whole layers are those of ``motion``; the part above a turn, where r² = c² + 2 p x + k x², has
dt/d(c²) = −(p + k x) / (2 p² q₁).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from motif.wall.layers import Layers
from motif.wall.motion import cone_passage, cone_slope_action, passage_slope_action

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

#: Rings laid end to end at a time: a dozen arrays of them stay in the processor's cache.
_AT_ONCE = 12_000
#: What a pull is at least where it is divided by.
_TINY = 1e-100


@dataclass(frozen=True, eq=False)
class Crossing:
    """Of m lines, each (m,): ``time`` T, its ``slope`` dT/d(c²), and ``action`` A in mm²."""

    time: Floats
    slope: Floats
    action: Floats


def crossing(layers: Layers, low: Floats, high: Floats, square: Floats, turning: bool = False) -> Crossing:
    """Lines of c² = ``square`` from σ ``low`` up to ``high``, (m,) each; r must not be less than c between.

    If ``turning``, they turn at ``low``, where r is c."""
    first, last = layers.find(low), layers.find(high)
    count = last - first + 2
    end = np.cumsum(count)
    found = np.empty((3, len(low)))
    start, parts = 0, int(end[-1]) // _AT_ONCE + 1 if len(end) else 0
    for i in range(1, parts + 1):
        stop = int(np.searchsorted(end, i * _AT_ONCE, side="right")) + 1
        at = slice(start, stop)
        if start < len(low):
            found[:, at] = _laid_end_to_end(layers, low[at], high[at], square[at], (first[at], last[at]), turning)
        start = stop
    return Crossing(*found)


def _laid_end_to_end(
    layers: Layers, low: Floats, high: Floats, square: Floats, layer: tuple[Ints, Ints], turning: bool
) -> tuple[Floats, Floats, Floats]:
    first, last = layer
    count = last - first + 2
    end = np.cumsum(count)
    start = end - count
    ring = np.arange(end[-1])
    ring += np.repeat(first - start, count)
    sigma, q = layers.sigma.take(ring), layers.square.take(ring)
    sigma[start], sigma[end - 1] = low, high
    q[start], q[end - 1] = layers.square_at(first, low), layers.square_at(last, high)
    q -= np.repeat(square, count)
    np.sqrt(np.maximum(q, 0.0, out=q), out=q)
    if turning:
        q[start] = 0.0
    rise, bend = sigma[1:] - sigma[:-1], layers.bend.take(ring[:-1], mode="clip")
    skew = layers.skew.take(ring[:-1], mode="clip")
    for part, of in ((start, first), (end - 2, last)):
        bend[part] = layers.bend_between(of, sigma[part], sigma[part + 1])
    # From the top of one line to the bottom of the next.
    rise[end[:-1] - 1] = 0.0
    q0, q1 = q[:-1], q[1:]
    time, slope, action = passage_slope_action(q0, q1, rise, bend, skew)
    if turning:
        x, k, upper = rise[start], bend[start], q[start + 1]
        # 2 p x + k x² = q₁²
        pull = np.maximum((upper * upper / np.maximum(x, _TINY) - k * x) / 2, _TINY)
        slope[start] = np.where(x > 0, -(pull + k * x) / (2 * pull) / np.maximum(pull * upper, _TINY), 0.0)
    if layers.pointed:
        cone = layers.cone.take(ring[:-1], mode="clip")
        cone[end[:-1] - 1] = 0.0
        at = np.flatnonzero(cone)
        turn = np.zeros(len(q0), dtype=np.bool_)
        turn[start] = turning
        ends_of = q0[at], q1[at], np.repeat(square, count)[at], cone[at]
        time[at] = cone_passage(*ends_of)
        slope[at], action[at] = cone_slope_action(*ends_of, time[at], turn[at])
    return tuple(np.add.reduceat(a, start) for a in (time, slope, action))  # type: ignore[return-value]
