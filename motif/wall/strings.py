"""The search for the shortest line between two places of the wall that goes a given way round.

Between two tapes a ≤ b, for a difference of angle Δ ≥ 0, a shortest line takes each level at most twice: were a
level met three times, the parts between could change places, at the same length but with a kink. So it
either climbs all the way, or dips below a, or rises above b, and in each case is known by Clairaut's constant c:

- climbing, the angle gained grows with c, up to c = the least radius between a and b;
- dipping, c is the radius at which the line turns; where r has a least value, at the foot, at a waist or in a
  corner, it may run along that ring for as long as it likes;
- rising is dipping with the wall upside down.

With A = ∫ √(r² − c²) dσ over the line, dA/dc = −(angle gained), so S(c) = cΔ + A is stationary where the line gains
just Δ. Wherever it gains less, S is the length of a line too: one that runs along the ring at which it turns for
the rest of the way. Hence no local condition needs checking: every candidate is a line on the wall,
and the shortest is the shortest of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from motif.wall.layers import ENDLESS, Layers, action, passage
from motif.wall.roots import bracketed

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

CLIMB, DIP, RISE = 0, 1, 2
#: Angles gained nearer than this to the angle wanted are equal to it, radians.
_NEAR = 1e-12
#: Of a line that turns, an angle less than this is a rounding and not run along the ring, radians.
_ENOUGH = 1e-9
#: Lines whose lengths differ by less are equally short, mm: then the lower is taken.
_TIE = 1e-7


@dataclass(frozen=True, eq=False)
class Ends:
    """The ends of m lines: σ, layer and r² of the lower and of the upper one, and the angle wanted."""

    layers: Layers
    low: Floats
    high: Floats
    low_layer: Ints
    high_layer: Ints
    low_square: Floats
    high_square: Floats
    angle: Floats

    @classmethod
    def of(cls, layers: Layers, low: Floats, high: Floats, angle: Floats) -> Ends:
        i, j = layers.find(low), layers.find(high)
        return cls(layers, low, high, i, j, layers.square_at(i, low), layers.square_at(j, high), angle)

    def take(self, of: Ints) -> Ends:
        """Some of the lines."""
        return Ends(
            self.layers,
            self.low[of],
            self.high[of],
            self.low_layer[of],
            self.high_layer[of],
            self.low_square[of],
            self.high_square[of],
            self.angle[of],
        )

    @property
    def upside_down(self) -> Ends:
        return Ends.of(self.layers.upside_down, -self.high, -self.low, self.angle)


@dataclass(eq=False)
class Found:
    """Lines found: which way they go, r² at the turn (c²), σ of the turn (of the ring of least radius for a
    climb), the angle they run along that ring, and their length."""

    kind: Ints
    square: Floats
    turn: Floats
    held: Floats
    length: Floats

    def put(self, at: Ints, kind: int, other: Found) -> None:
        """Take over the lines of another where they are shorter, or equally short and lower."""
        slack = _TIE if kind == DIP else -_TIE
        better = other.length < self.length[at] + slack
        i = at[better]
        self.kind[i] = kind
        for name in ("square", "turn", "held", "length"):
            getattr(self, name)[i] = getattr(other, name)[better]


class Course:
    """What m lines cross from σ ``low`` up to ``high``: r² at the rings and, of the layers, or parts of layers,
    between them, Δσ and bend; (m, k + 1) and (m, k), filled up with layers of no height."""

    def __init__(self, layers: Layers, low: Floats, high: Floats) -> None:
        first, last = layers.find(low), layers.find(high)
        number = np.arange(int(np.max(last - first, initial=0)) + 2)
        ring = np.minimum(first[:, None] + number, layers.top + 1)
        sigma = np.clip(layers.sigma[ring], low[:, None], high[:, None])
        self.rise = sigma[:, 1:] - sigma[:, :-1]
        self.bend = layers.bend[np.minimum(ring[:, :-1], layers.top)]
        self.square = layers.square[ring]
        self.square[:, 0] = layers.square_at(first, low)
        beyond = number > (last - first)[:, None]
        np.copyto(self.square, layers.square_at(last, high)[:, None], where=beyond)

        self._first_top = sigma[:, 1]

    def gained(
        self, square: Floats, of: Ints | None = None, turn: Floats | None = None, with_action: bool = False
    ) -> tuple[Floats, Floats]:
        """Angle gained by lines of c² = ``square``, all or some, and their A (0 if not asked for); from σ ``turn`` in
        their first layer up if that is given.

        r must not be less than c between; a turn may be at either end."""
        at = slice(None) if of is None or len(of) == len(self.rise) else of
        bend, rise = self.bend[at], self.rise[at]
        if turn is not None:
            rise = rise.copy()
            rise[:, 0] = self._first_top[at] - turn
        q = self.square[at] - square[:, None]
        np.sqrt(np.maximum(q, 0.0, out=q), out=q)
        t = passage(q[:, :-1], q[:, 1:], rise, bend)
        angle = np.sqrt(square) * t.sum(axis=1)
        if not with_action:
            return angle, np.zeros_like(angle)
        return angle, action(q[:, :-1], q[:, 1:], bend, t).sum(axis=1)


def search(ends: Ends) -> Found:
    """The shortest lines between the ends."""
    found = _climb(ends)
    short = found.held > 0
    for kind, view in ((DIP, ends), (RISE, ends.upside_down)):
        at = _may_dip(view, short)
        if at.size:
            dipped = _dip(view.take(at), short[at])
            if kind == RISE:
                dipped.turn = -dipped.turn
            found.put(at, kind, dipped)
    return found


def _least(ends: Ends) -> tuple[Floats, Floats]:
    """σ and r² of the narrowest level between the ends, the lowest of equals: an end or a ring."""
    layers = ends.layers
    first, last = int(ends.low_layer.min()), int(ends.high_layer.max())
    number = np.arange(first, last + 2)
    inside = (number > ends.low_layer[:, None]) & (number <= ends.high_layer[:, None])
    square = np.where(inside, layers.square[first : last + 2], np.inf)
    ring = np.argmin(square, axis=1)
    least = square[np.arange(len(ring)), ring]
    sigma = layers.sigma[first + ring]
    for at, end in ((ends.high, ends.high_square), (ends.low, ends.low_square)):
        # An end wins a tie only from below: it is the low one that is taken last.
        lower = (end < least) | ((end == least) & (at < sigma))
        least, sigma = np.where(lower, end, least), np.where(lower, at, sigma)
    return sigma, least


def _climb(ends: Ends) -> Found:
    """Lines that climb all the way; those that cannot gain enough run along the narrowest level."""
    layers, wanted = ends.layers, ends.angle
    sigma, least = _least(ends)
    rise = ends.high - ends.low
    course = Course(layers, ends.low, ends.high)
    most, _ = course.gained(least)
    short = most <= wanted

    # As an angle φ of the flat triangle: c = c_most sin φ, and on a cylinder φ is the root itself.
    def excess(of: Ints, phi: Floats) -> Floats:
        angle, _ = course.gained(least[of] * np.sin(phi) ** 2, of)
        return np.arctan2(angle, rise[of]) - np.arctan2(wanted[of], rise[of])

    zero, right = np.zeros_like(rise), np.full_like(rise, np.pi / 2)
    start = -np.arctan2(wanted, rise)
    end = np.where(short, 0.0, np.arctan2(most, rise) + start)
    phi = bracketed(excess, zero, right, start, end, -start, _NEAR)
    square = np.where(short, least, least * np.sin(phi) ** 2)
    angle, a = course.gained(square, with_action=True)
    held = np.where(short, np.maximum(wanted - angle, 0.0), 0.0)
    return Found(np.full(len(rise), CLIMB), square, sigma, held, np.sqrt(square) * wanted + a)


def _may_dip(ends: Ends, held: NDArray[np.bool_]) -> Ints:
    """The lines that may dip: all that climbing leaves short, and those that some turn below leaves short.

    A line gains at least as much from ring i to its own end as to the ring below that end."""
    turned = ends.layers.turned
    least = np.min(turned[:, ends.low_layer] + turned[:, ends.high_layer], axis=0, where=_below(ends), initial=np.inf)
    return np.flatnonzero(held | (least < ends.angle))


def _below(ends: Ends) -> NDArray[np.bool_]:
    """(n + 1, m): whether each ring lies below the lower end of each line."""
    return np.arange(len(ends.layers.sigma))[:, None] <= ends.low_layer


def _dip(ends: Ends, short: NDArray[np.bool_]) -> Found:
    """The shortest lines that turn below both ends; infinitely long where none can. ``short`` are those that gain
    too little by climbing, and so by the shallowest dip."""
    layers, wanted, m = ends.layers, ends.angle, len(ends.angle)
    rings = int(ends.low_layer.max()) + 1
    # Rings from the top down, one column each, and the angle that a line gains that turns there.
    number = np.arange(rings)[::-1]
    square = layers.square[number]
    angle = np.zeros((m, rings))
    possible = number <= ends.low_layer[:, None]
    for at, layer, r2 in (
        (ends.low, ends.low_layer, ends.low_square),
        (ends.high, ends.high_layer, ends.high_square),
    ):
        possible &= r2[:, None] >= square
        q1 = np.sqrt(np.maximum(r2[:, None] - square, 0.0))
        q0 = np.sqrt(np.maximum(layers.square[layer][:, None] - square, 0.0))
        part = passage(q0, q1, (at - layers.sigma[layer])[:, None] * np.ones(rings), layers.bend[layer][:, None])
        angle += layers.turned[number][:, layer].T + np.sqrt(square) * part
    possible &= angle < ENDLESS
    excess = np.where(possible, angle - wanted[:, None], np.nan)
    return _shortest_dip(ends, short, number, possible, excess)


def _shortest_dip(
    ends: Ends, short: NDArray[np.bool_], number: Ints, possible: NDArray[np.bool_], excess: Floats
) -> Found:
    """Follow S down the rings: it falls while the line gains too little and is least where that ends."""
    layers, m = ends.layers, len(ends.angle)
    lane = np.arange(m)
    column = np.arange(len(number))
    seen = np.maximum.accumulate(np.where(possible, column, -1), axis=1)
    before = np.concatenate((np.full((m, 1), -1), seen[:, :-1]), axis=1)
    _, most = _least(ends)
    shallowest = np.where(short, -1.0, 1.0)[:, None]
    previous = np.where(before >= 0, np.take_along_axis(excess, np.maximum(before, 0), axis=1), shallowest)
    with np.errstate(invalid="ignore"):
        ends_here = possible & (excess >= 0) & (previous < 0)
    deepest = seen[:, -1]
    runs_out = (deepest >= 0) & (excess[lane, np.maximum(deepest, 0)] < 0)
    best = Found(np.full(m, DIP), np.zeros(m), np.zeros(m), np.zeros(m), np.full(m, np.inf))
    at = np.flatnonzero(runs_out)
    if at.size:
        best.put(at, DIP, _held_at(ends.take(at), number[deepest[at]]))
    # All places where S may be least; a line has one or two of them.
    while ends_here.any():
        at = np.flatnonzero(ends_here.any(axis=1))
        k = np.argmax(ends_here[at], axis=1)
        ends_here[at, k] = False
        prior = before[at, k]
        shallow = np.where(prior >= 0, layers.square[number[np.maximum(prior, 0)]], most[at])
        best.put(at, DIP, _turning_in(ends.take(at), number[k], shallow, excess[at, k]))
        ring = at[prior >= 0]
        if ring.size:
            best.put(ring, DIP, _held_at(ends.take(ring), number[prior[prior >= 0]]))
    return best


def _held_at(ends: Ends, ring: Ints) -> Found:
    """Lines that dip to a ring and run along it for the rest of the way."""
    turn, square = ends.layers.sigma[ring], ends.layers.square[ring]
    return _along(ends, turn, square)


def _turning_in(ends: Ends, layer: Ints, shallow: Floats, excess: Floats) -> Found:
    """Lines that turn in the given layers, where r² is at most ``shallow``."""
    layers = ends.layers
    low = layers.sigma[layer]
    high = np.minimum(layers.turn_in(layer, np.minimum(shallow, layers.square[layer + 1])), ends.low)

    dip, climb = Course(layers, low, ends.low), Course(layers, ends.low, ends.high)

    def gain(of: Ints, turn: Floats) -> Floats:
        # r² on the rings below the turn is less than c², so that the speed there is 0 as at the turn itself.
        square = layers.square_at(layer[of], turn)
        below, _ = dip.gained(square, of, turn)
        above, _ = climb.gained(square, of)
        return 2 * below + above - ends.angle[of]

    every = np.arange(len(low))
    at_high = gain(every, high)
    turn = bracketed(gain, low, high, excess, at_high, (low + high) / 2, _NEAR)
    return _along(ends, turn, layers.square_at(layer, turn))


def _along(ends: Ends, turn: Floats, square: Floats) -> Found:
    """Lines that turn at σ ``turn`` and run along the ring there for what is wanting; those that gain more
    than is wanted are no lines between these ends."""
    below, a = Course(ends.layers, turn, ends.low).gained(square, with_action=True)
    above, b = Course(ends.layers, ends.low, ends.high).gained(square, with_action=True)
    wanting = ends.angle - 2 * below - above
    length = np.where(wanting >= -_ENOUGH, np.sqrt(square) * ends.angle + 2 * a + b, np.inf)
    return Found(np.full(len(turn), DIP), square, turn, np.where(wanting > _ENOUGH, wanting, 0.0), length)
