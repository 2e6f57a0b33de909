"""From measured stations to a wall.

A profile is a curve (radius, height) run through from foot to rim. Here it is worked out, once, as
polynomials in tape distance on short pieces; ``Wall`` knows nothing of stations but their tapes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from motif.wall.pieces import Nodes
from motif.wall.quadrature import gauss, integrator
from motif.wall.spline import not_a_knot, quintic
from motif.wall.surface import Wall

Floats = NDArray[np.float64]

#: Stations nearer than this stand in one spot, mm.
_SAME_SPOT = 1e-6
#: What dr/ds may be at most; the excess over 1 leaves room for rounded measurements.
_STEEPEST = 1.0 + 1e-6
#: 1 − (dr/ds)² below this is a level wall: a rounding in dr/ds must not become height.
_LEVEL = 1e-10
#: Speed of the curve against chord length below which it stops and turns back on itself.
_SLOWEST = 1e-3
#: Pieces a span of a smooth profile is cut into: so many altogether, but within these bounds.
_PIECES, _FEWEST, _MOST = 512, 6, 32


@dataclass(frozen=True, slots=True)
class Station:
    """A measured level: ``at`` is a height (by tape: the tape distance from the first station), both mm.

    ``corner`` ends a smooth stretch here and begins another; at the first and the last station it
    means nothing."""

    at: float
    radius: float
    corner: bool = False


class ProfileError(ValueError):
    """Stations that make no wall.

    ``reason`` and ``advice`` are sentences for a potter, ``stations`` the indexes of the culprits from 0."""

    def __init__(self, reason: str, stations: tuple[int, ...], advice: str) -> None:
        super().__init__(reason)
        self.reason = reason
        self.stations = stations
        self.advice = advice


@dataclass(frozen=True)
class _Run:
    """Consecutive pieces, so many to each span between stations: widths (k,), and coefficients (6, k) of
    radius and height in tape."""

    pieces: int
    widths: Floats
    radius: Floats
    height: Floats


def build_wall(stations: Sequence[Station], *, smooth: bool, by_tape: bool = False) -> Wall:
    """The wall through the stations, from foot to rim.

    Straight: cones between neighbouring stations. Smooth: the not-a-knot cubic spline of (radius, height)
    against cumulative chord length, restarted at every inner corner; two stations between corners give a
    straight line, three a parabola. By tape, radius is the same kind of curve in tape itself and height
    is ∫ √(1 − (dr/ds)²) ds from 0 at the first station, so that it never falls.

    >>> wall = build_wall([Station(0, 40), Station(30, 80)], smooth=False)
    >>> float(wall.length), float(wall.radius(25))
    (50.0, 60.0)

    Raises ProfileError: fewer than two stations; a value that is not finite; a negative radius, at a
    station or where the curve would swing below the axis; radius 0 between the ends; two neighbouring
    stations in one spot; by tape, tapes that do not grow from 0, or |dr/ds| above 1.
    """
    at = np.array([float(s.at) for s in stations])
    radius = np.array([float(s.radius) for s in stations])
    _check(at, radius, by_tape)
    inner = [i for i in range(1, len(stations) - 1) if stations[i].corner or not smooth]
    ends = [0, *inner, len(stations) - 1]
    budget = min(_MOST, max(_FEWEST, _PIECES // (len(stations) - 1)))
    runs: list[_Run] = []
    height = float(at[0])
    for first, last in pairwise(ends):
        part = slice(first, last + 1)
        if by_tape:
            run = _by_tape(at[part], radius[part], height, first, budget)
        elif last - first == 1:
            run = _straight(radius[part], at[part])
        else:
            run = _by_chord(radius[part], at[part], first, budget)
        height = float(_end(run.height, run.widths))
        runs.append(run)
    tapes = np.concatenate(([0.0], np.cumsum(np.concatenate([run.widths for run in runs]))))
    joints = np.cumsum([0] + [run.pieces for run in runs for _ in range(len(run.widths) // run.pieces)])
    if by_tape:
        tapes[joints] = at
    station_tapes = tapes[joints]
    return Wall.from_pieces(
        Nodes(tapes),
        np.concatenate([run.radius for run in runs], axis=1),
        np.concatenate([run.height for run in runs], axis=1),
        station_tapes,
        station_tapes[inner],
    )


def _check(at: Floats, radius: Floats, by_tape: bool) -> None:
    """Raise ProfileError for stations that are wrong in themselves."""
    n = len(at)
    if n < 2:
        raise ProfileError(
            "a profile needs at least two stations",
            tuple(range(n)),
            "measure the wall at the foot and at the rim",
        )
    bad = np.flatnonzero(~(np.isfinite(at) & np.isfinite(radius)))
    if bad.size:
        raise ProfileError(
            "a station has a measurement that is not a number",
            tuple(bad.tolist()),
            "give every station a height and a width",
        )
    bad = np.flatnonzero(radius < 0)
    if bad.size:
        raise ProfileError(
            "a station is less than nothing across",
            tuple(bad.tolist()),
            "a width is 0 at a closed end and above 0 everywhere else",
        )
    if n == 2 and radius.max() < _SAME_SPOT:
        raise ProfileError(
            "the wall has no width anywhere", (0, 1), "only one end of a wall between two stations may be 0 across"
        )
    bad = np.flatnonzero(radius[1:-1] < _SAME_SPOT) + 1
    if bad.size:
        raise ProfileError(
            "the wall closes between its ends",
            tuple(bad.tolist()),
            "only the first and the last station may be 0 across; make two forms of it",
        )
    if by_tape and abs(at[0]) > _SAME_SPOT:
        raise ProfileError(
            "a profile by tape begins at 0 mm",
            (0,),
            "lay the end of the tape at the first station and measure the others from there",
        )
    apart = np.diff(at) if by_tape else np.hypot(np.diff(at), np.diff(radius))
    bad = np.flatnonzero(np.abs(apart) < _SAME_SPOT)
    if bad.size:
        i = int(bad[0])
        raise ProfileError(
            "two stations stand in one spot", (i, i + 1), "take one of them out, or correct its measurements"
        )
    bad = np.flatnonzero(apart < 0)
    if bad.size:
        i = int(bad[0])
        raise ProfileError(
            "the tape runs backwards between two stations",
            (i, i + 1),
            "by tape, stations follow one another up the wall, each farther from the first",
        )


def _straight(radius: Floats, height: Floats) -> _Run:
    """One cone, in a single piece."""
    length = float(np.hypot(radius[1] - radius[0], height[1] - height[0]))
    widths = np.array([length])
    return _Run(1, widths, _line(radius, widths), _line(height, widths))


def _line(ends: Floats, widths: Floats) -> Floats:
    coefficients = np.zeros((6, 1))
    coefficients[:2, 0] = ends[0], (ends[1] - ends[0]) / widths[0]
    return coefficients


def _by_chord(radius: Floats, height: Floats, first: int, budget: int) -> _Run:
    """A smooth stretch of three or more stations against chord length t, turned into polynomials in tape.

    The pieces are even in t; on each, radius and height have the curve's own value, slope and bend at
    both ends (dr/ds = r′/v, d²r/ds² = (r″ − r′v′/v)/v² with v = √(r′² + h′²), dashes being d/dt)."""
    chords = np.hypot(np.diff(radius), np.diff(height))
    knots = np.concatenate(([0.0], np.cumsum(chords)))
    curve = not_a_knot(knots, np.stack((radius, height), axis=1))
    _check_axis(curve[:, :, 0], chords, first)

    fractions = np.arange(budget + 1) / budget
    edges = chords[:, None] * fractions
    nodes, weights = gauss(12)
    t = edges[:, :-1, None] + (chords / budget)[:, None, None] * nodes
    speed = np.hypot(*(_derivative(curve[:, :, k], t, 1) for k in (0, 1)))
    if np.min(speed) < _SLOWEST:
        i = first + int(np.argmin(speed.min(axis=(1, 2))))
        raise ProfileError(
            "the curve doubles back on itself between two stations",
            (i, i + 1),
            "measure a station between them, or mark one of them as a corner",
        )
    widths = (speed @ weights) * (chords / budget)[:, None]
    velocity = [_derivative(curve[:, :, k], edges, 1) for k in (0, 1)]
    bend = [_derivative(curve[:, :, k], edges, 2) for k in (0, 1)]
    v = np.hypot(*velocity)
    dv = (velocity[0] * bend[0] + velocity[1] * bend[1]) / v

    def table(k: int) -> Floats:
        value = _derivative(curve[:, :, k], edges, 0)
        # The end of a span is the next station, not what the polynomial rounds it to.
        value[:, -1] = (radius, height)[k][1:]
        slope = velocity[k] / v
        second = (bend[k] - slope * dv) / v**2
        jet = np.stack((value, slope, second))
        return quintic(widths.ravel(), jet[:, :, :-1].reshape(3, -1), jet[:, :, 1:].reshape(3, -1))

    return _Run(budget, widths.ravel(), table(0), table(1))


def _by_tape(tape: Floats, radius: Floats, height: float, first: int, budget: int) -> _Run:
    """A stretch whose radius is a curve in tape itself; its height rises from ``height``."""
    spans = np.diff(tape)
    curve = not_a_knot(tape, radius[:, None])[:, :, 0]
    _check_axis(curve, spans, first)
    _check_slope(curve, spans, first)
    if len(spans) == 1:
        steep = 1 - float(curve[1, 0]) ** 2
        top = height + (0.0 if steep < _LEVEL else steep**0.5 * float(spans[0]))
        return _Run(1, spans, _line(radius, spans), _line(np.array([height, top]), spans))
    offsets = spans[:, None] * (np.arange(budget) / budget)
    widths = np.repeat(spans / budget, budget)
    table = np.zeros((6, widths.size))
    for order, divisor in enumerate((1, 1, 2, 6)):
        table[order] = (_derivative(curve, offsets, order) / divisor).ravel()
    nodes, _ = gauss(5)
    slope = _derivative(curve, offsets[:, :, None] + (spans / budget)[:, None, None] * nodes, 1)
    level = 1 - slope.reshape(-1, 5) ** 2
    rise = np.sqrt(np.where(level < _LEVEL, 0.0, level))
    powers = integrator(5) @ rise.T
    heights = powers * widths / widths ** np.arange(6)[:, None]
    gained = powers.sum(axis=0) * widths
    heights[0] = height + np.concatenate(([0.0], np.cumsum(gained)[:-1]))
    return _Run(budget, widths, table, heights)


def _derivative(curve: Floats, t: Floats, order: int) -> Floats:
    """A derivative of cubics (4, n) at t (n, …), span by span."""
    c = curve.reshape(4, -1, *(1,) * (t.ndim - 1))
    if order == 0:
        return c[0] + t * (c[1] + t * (c[2] + t * c[3]))
    if order == 1:
        return c[1] + t * (2 * c[2] + t * 3 * c[3])
    if order == 2:
        return 2 * c[2] + t * 6 * c[3]
    return 6 * c[3] + 0 * t


def _check_axis(radius: Floats, spans: Floats, first: int) -> None:
    """Raise where the curve swings below the axis, or touches it between stations.

    The least value of a cubic is at an end, which is a station and checked, or where its slope is 0."""
    c, b, a = radius[1], 2 * radius[2], 3 * radius[3]
    root = np.sqrt(np.maximum(b * b - 4 * a * c, 0.0))
    q = -(b + np.where(b < 0, -root, root)) / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        turns = np.stack((q / a, c / q))
    inside = (turns > 0) & (turns < spans) & (b * b >= 4 * a * c)
    low = np.where(inside, _derivative(radius, np.where(inside, turns, 0.0).T, 0).T, np.inf)
    bad = np.flatnonzero(low.min(axis=0) < _SAME_SPOT)
    if bad.size:
        i = first + int(bad[0])
        raise ProfileError(
            "the smooth curve would cross the middle of the pot between two stations",
            (i, i + 1),
            "measure a station between them, or mark one of them as a corner",
        )


def _check_slope(radius: Floats, spans: Floats, first: int) -> None:
    """Raise where the radius would change by more than the tape does."""
    slopes = [radius[1], _derivative(radius, spans[:, None], 1)[:, 0]]
    with np.errstate(divide="ignore", invalid="ignore"):
        vertex = -radius[2] / (3 * radius[3])
    inside = (vertex > 0) & (vertex < spans)
    slopes.append(np.where(inside, _derivative(radius, np.where(inside, vertex, 0.0)[:, None], 1)[:, 0], 0.0))
    bad = np.flatnonzero(np.max(np.abs(slopes), axis=0) > _STEEPEST)
    if bad.size:
        i = first + int(bad[0])
        measured = _derivative(radius, spans[:, None], 0)[:, 0] - radius[0]
        if abs(measured[bad[0]]) <= _STEEPEST * spans[bad[0]]:
            raise ProfileError(
                "the smooth curve would change its width by more than the tape allows between two stations",
                (i, i + 1),
                "these two are possible, but the curve through all stations swings too far there: measure a station "
                "between them, mark one of them as a corner, or write 'profile straight'",
            )
        raise ProfileError(
            "the width changes by more than the tape allows between two stations",
            (i, i + 1),
            "a wall's radius cannot change by more than the tape distance between them; measure both again, "
            "or add a station where the wall bends",
        )


def _end(coefficients: Floats, widths: Floats) -> float:
    """Value of the last piece at its upper end."""
    return float(sum(c * widths[-1] ** k for k, c in enumerate(coefficients[:, -1])))
