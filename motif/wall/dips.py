"""The shortest lines that dip below both of their ends (``strings``)."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from motif.wall.crossing import crossing
from motif.wall.ends import DIP, Ends, Found, length_near, part_of_layer
from motif.wall.roots import Values, inverse_cubic, newton

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Mask = NDArray[np.bool_]

#: Of a line that turns, an angle less than this is a rounding and not run along the ring, radians.
_ENOUGH = 1e-9
#: A turn no more than this below the lower end is at it but for rounding, in σ.
_LEVEL = 1e-9
#: So many numbers of a table of lines by rings at a time.
_AT_ONCE = 100_000


def _portions(ends: Ends, lines: Ints) -> Iterator[tuple[Ints, int]]:
    """Lines, from low ones to high ones, as many at a time as a table holds, and how many rings lie below them."""
    order = lines[np.argsort(ends.low_layer[lines], kind="stable")]
    while order.size:
        few = order[: max(_AT_ONCE // (int(ends.low_layer[order[0]]) + 1), 1)]
        rings = int(ends.low_layer[few[-1]]) + 1
        few = few[: max(_AT_ONCE // rings, 1)]
        yield few, int(ends.low_layer[few[-1]]) + 1
        order = order[len(few) :]


def may_dip(ends: Ends, held: Mask) -> Ints:
    """The lines that may dip: all that climbing leaves short, and those that some turn below leaves short.

    A line gains at least as much from ring i to its own end as to the ring below that end."""
    turned, may = ends.layers.turned, held.copy()
    for at, rings in _portions(ends, np.flatnonzero(~held)):
        gained = turned[ends.low_layer[at], :rings] + turned[ends.high_layer[at], :rings]
        may[at] = np.min(gained, axis=1) < ends.angle[at]
    return np.flatnonzero(may)


def dip(ends: Ends, short: Mask, least: Floats) -> Found:
    """The shortest lines that turn below both ends; infinitely long where none can.

    ``short`` are those that gain too little by climbing, and so by the shallowest dip, at r² = ``least``. S falls
    from ring to ring downward while the line gains too little, and is least where that ends."""
    layers, zero = ends.layers, np.zeros_like(least)
    best = Found(np.full(len(zero), DIP), zero.copy(), zero.copy(), zero.copy(), np.full_like(zero, np.inf))
    tables = [_table(ends, short, at, rings) for at, rings in _portions(ends, np.arange(len(zero)))]
    at, ring = (np.concatenate(a) for a in zip(*(t[0] for t in tables), strict=True))
    _put(best, at, -ring, _along_ring(ends.take(at), ring))

    at, layer, above, four = (np.concatenate(a, axis=-1) for a in zip(*(t[1] for t in tables), strict=True))
    part = ends.take(at)
    high = np.minimum(np.where(above >= 0, layers.square[above], least[at]), layers.square[layer + 1])
    high = np.minimum(layers.turn_in(layer, high), part.low)
    # Where the turn comes from a ring that is no neighbour, or where it is the upper end that the shallowest dip
    # reaches level, it may gain far more at once.
    jump = np.flatnonzero((above != layer + 1) & (high < part.low - _LEVEL))
    angle, *_ = _gained(part.take(jump), layer[jump], high[jump], layers.square_at(layer[jump], high[jump]))
    kept = np.delete(np.arange(len(at)), jump[angle > part.angle[jump]])
    _put(best, at[kept], -layer[kept], _turning_in(part.take(kept), layer[kept], high[kept], four[:, kept]))
    return best


def _put(best: Found, line: Ints, rank: Ints, found: Found) -> None:
    """Take over what is shorter, of each line in the order of ``rank``: of equally short ones the last."""
    order = np.lexsort((rank, line))
    nth = np.arange(len(line)) - np.searchsorted(line[order], line[order])
    for i in range(int(nth.max(initial=-1)) + 1):
        at = order[nth == i]
        best.put(line[at], DIP, found.take(at))


def _table(ends: Ends, short: Mask, at: Ints, rings: int) -> tuple[tuple[Ints, Ints], tuple[Ints, Ints, Ints, Ints]]:
    """Of some of the lines, where S may be least, by what they gain turning at each of the lowest rings.

    First the rings at which a line gains too little and below which it cannot turn at once: there it may be held.
    Then line, layer, next ring above the turn that is reached (-1: none), and four neighbouring rings, (4, k),
    between or near which the turn is, -1 if there are none: lines that turn in the layer."""
    layers, low, high, wanted = ends.layers, ends.low_layer[at], ends.high_layer[at], ends.angle[at][:, None]
    turned = layers.turned[:, :rings]
    # A line gains no less up to its end than up to the ring below the end, and no more than up to that above it.
    gained = turned[low] + turned[high]
    possible = gained < np.inf
    possible &= layers.square[:rings] <= np.minimum(ends.low_square[at], ends.high_square[at])[:, None]
    more = gained >= wanted
    np.add(turned[low + 1], turned[high + 1], out=gained)
    line, ring = np.nonzero(possible & ~more & (gained >= wanted))
    more[line, ring] = _dipped(ends.take(at[line]), ring) >= wanted[line, 0]
    more &= possible

    held = possible & ~more
    held[:, 1:] &= ~possible[:, :-1]
    first = more.copy()
    first[:, :-1] &= ~more[:, 1:] | ~possible[:, 1:]
    line, ring = np.nonzero(first)
    above = _above(possible, line, ring)
    kept = (above >= 0) | short[at[line]]
    line, ring, above = line[kept], ring[kept], above[kept]
    top = rings - 1 - np.argmax(possible[:, ::-1], axis=1)
    four = np.minimum(ring - 1, top[line] - 3) + np.arange(4)[:, None]
    four[:, (four[0] < 0) | ~possible[line, np.maximum(four, 0)].all(axis=0)] = -1
    held_line, held_ring = np.nonzero(held)
    return (at[held_line], held_ring), (at[line], ring, above, four)


def _above(possible: Mask, line: Ints, ring: Ints) -> Ints:
    """The next possible ring above the one in each line's row, -1 if there is none."""
    above = ring + 1
    above[above == possible.shape[1]] = -1
    at = np.flatnonzero((above > 0) & ~possible[line, above])
    later = possible[line[at]] & (np.arange(possible.shape[1]) > ring[at, None])
    above[at] = np.where(later.any(axis=1), np.argmax(later, axis=1), -1)
    return above


def _dipped(ends: Ends, ring: Ints) -> Floats:
    """The angle gained by lines that turn at a ring below both ends."""
    layers, square = ends.layers, ends.layers.square[ring]
    angle = np.zeros(np.broadcast_shapes(ring.shape, ends.low.shape))
    for at, layer, r2 in (
        (ends.low, ends.low_layer, ends.low_square),
        (ends.high, ends.high_layer, ends.high_square),
    ):
        angle += layers.turned[layer, ring]
        angle += part_of_layer(layers, layer, layers.sigma[layer], at, (layers.square[layer], r2, square))
    return angle


def _gained(ends: Ends, layer: Ints, turn: Floats, square: Floats) -> tuple[Floats, Floats, Floats]:
    """The angle gained by lines that turn at σ ``turn`` in a layer, c² being ``square``; its slope, divided by
    dc/dc; and A."""
    layers = ends.layers
    below = crossing(layers, turn, ends.low, square, turning=True)
    above = crossing(layers, ends.low, ends.high, square)
    time = 2 * below.time + above.time
    slope = time + 2 * square * (2 * below.slope + above.slope)
    return np.sqrt(square) * time, slope, 2 * below.action + above.action


def _turning_in(ends: Ends, layer: Ints, high: Floats, four: Ints) -> Found:
    """Lines that turn in the given layers, no higher than σ ``high``.

    ``four`` are rings near the turn at which what they gain is known, (4, m), or -1."""
    layers, wanted = ends.layers, ends.angle
    # As an angle φ: c = c_most sin φ. Where a line comes level to its end, what it gains is smooth in φ only.
    most = np.minimum(ends.low_square, ends.high_square)

    def phi_of(square: Floats) -> Floats:
        return np.arcsin(np.sqrt(np.clip(square / most, 0.0, 1.0)))

    low_phi, high_phi = phi_of(layers.square[layer]), phi_of(layers.square_at(layer, high))
    guess = (low_phi + high_phi) / 2
    at = np.flatnonzero(four[0] >= 0)
    near, some = four[:, at], most[at]
    phi = np.arcsin(np.sqrt(np.minimum(layers.square[near] / some, 1.0)))
    guess[at] = inverse_cubic(phi, _dipped(ends.take(at), near), wanted[at])

    def missing(of: Ints, phi: Floats) -> Values:
        square = most[of] * np.sin(phi) ** 2
        turn = np.minimum(layers.turn_in(layer[of], square), high[of])
        angle, slope, action = _gained(ends.take(of), layer[of], turn, square)
        slope *= np.sqrt(most[of]) * np.cos(phi)
        return wanted[of] - angle, -slope, np.stack((np.sqrt(square), angle, action))

    sharp = np.where(layers.waist(layer) > 0, phi_of(layers.waist(layer)), -1.0), np.full_like(high, np.pi)
    root = newton(missing, np.minimum(low_phi, high_phi), high_phi, guess, sharp)
    square = most * np.sin(root.place) ** 2
    turn = np.minimum(layers.turn_in(layer, square), high)
    length = length_near(root.extra, np.sqrt(square), wanted)
    found = Found(np.full(len(turn), DIP), square, turn, np.zeros_like(turn), length)
    left = np.flatnonzero(~root.settled)
    found.replace(left, _along(ends.take(left), turn[left], square[left]))
    return found


def _along_ring(ends: Ends, ring: Ints) -> Found:
    """Lines that dip to a ring and run along it for the rest of the way."""
    return _along(ends, ends.layers.sigma[ring], ends.layers.square[ring])


def _along(ends: Ends, turn: Floats, square: Floats) -> Found:
    """Lines that turn at σ ``turn`` and run along the ring there for what is wanting; those that gain more
    than is wanted are no lines between these ends."""
    below = crossing(ends.layers, turn, ends.low, square)
    above = crossing(ends.layers, ends.low, ends.high, square)
    wanting = ends.angle - np.sqrt(square) * (2 * below.time + above.time)
    length = np.sqrt(square) * ends.angle + 2 * below.action + above.action
    length = np.where(wanting >= -_ENOUGH, length, np.inf)
    return Found(np.full(len(turn), DIP), square, turn, np.where(wanting > _ENOUGH, wanting, 0.0), length)
