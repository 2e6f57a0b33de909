"""The wall drawn flat, all of it or as paper gores.

Every chart takes angles and tapes of any shape that go together and answers (x, y) in mm, x to the right
as seen, y up the wall.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from motif.wall.pieces import Side
from motif.wall.quadrature import gauss
from motif.wall.surface import Wall

Floats = NDArray[np.float64]

#: The most gores that are tried before giving up: narrower paper than this is of no use.
MOST_GORES = 720


def rollout(angle: ArrayLike, tape: ArrayLike, across: float) -> tuple[Floats, Floats]:
    """The whole wall as a rectangle, ``across`` mm for one turn: a picture, true up the wall only."""
    x, y = np.broadcast_arrays(np.asarray(angle, dtype=np.float64), np.asarray(tape, dtype=np.float64))
    return x * (across / (2 * np.pi)), y.copy()


def polyconic(
    wall: Wall, start: float, angle: ArrayLike, tape: ArrayLike, side: Side = "above"
) -> tuple[Floats, Floats]:
    """Every ring as the arc of its tangent cone: true along every ring and up the middle line.

    ``angle`` is from the middle line; the origin is the middle line at tape ``start``. A ring at which
    the radius neither grows nor shrinks is straight, so a cylinder comes out as a rectangle, and a cone
    as its exact sector. At a corner of the wall the two ``side``s give two arcs, and the paper has a gap or
    an overlap between them.

    J. P. Snyder, Map Projections: A Working Manual (USGS Professional Paper 1395, 1987), section 18, with
    the tangent cone's slant r / (dr/ds) for R cot φ; written with sin z / z and (1 − cos z) / z so that it
    holds through dr/ds = 0.
    """
    radius, slope = wall.radius(tape), wall.radius_slope(tape, side)
    x, sag = cone_arc(np.asarray(angle, dtype=np.float64), radius, slope)
    return x, np.asarray(tape, dtype=np.float64) - start - sag


def cone_arc(angle: Floats, radius: Floats, slope: Floats) -> tuple[Floats, Floats]:
    """A ring unrolled with its tangent cone: x along it and how far its arc lies below its middle."""
    z = angle * slope
    along = radius * angle
    half = np.sinc(z / (2 * np.pi))
    return along * np.sinc(z / np.pi), along * z / 2 * half**2


def gore_misfit(wall: Wall, half_width: float, lo: float, hi: float) -> float:
    """Misfit (mm) of a gore ``half_width`` (radians) to each side of its middle, between tapes lo < hi.

    The largest amount by which the length of the gore's paper edge, from its foot end to any ring,
    differs from the wall's tape there. At a corner the gap in the paper belongs to the edge.
    """
    inner = wall.corners[(wall.corners > lo) & (wall.corners < hi)]
    excess, worst = 0.0, 0.0
    edges = np.concatenate(([lo], inner, [hi]))
    for below, above in pairwise(edges):
        gained = excess + _edge_excess(wall, half_width, float(below), float(above))
        worst = max(worst, float(np.max(np.abs(gained))))
        excess = float(gained[-1])
        if above < hi:
            ends = [polyconic(wall, lo, half_width, above, side) for side in ("below", "above")]
            excess += float(np.hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]))
            worst = max(worst, abs(excess))
    return worst


def _edge_excess(wall: Wall, half_width: float, lo: float, hi: float) -> Floats:
    """Length of the paper edge less tape, from lo to the tops of short pieces up to hi, no corner between.

    The derivative of ``polyconic`` along the edge, integrated by Gauss–Legendre:
    dx/ds = φ(r′ sinc z + r S), dy/ds = 1 − φ(r′ g + r G), z = φ r′, with g = (1 − cos z)/z and
    S, G the derivatives in s of sinc z and g."""
    edges = np.unique(np.concatenate(([lo, hi], wall.nodes_between(lo, hi), np.linspace(lo, hi, 17))))
    x, w = gauss(4)
    s = edges[:-1, None] + np.diff(edges)[:, None] * x
    r, slope, bend = wall.radius(s), wall.radius_slope(s), wall.radius_bend(s)
    z, turn = half_width * slope, half_width * bend
    sinc, g = np.sinc(z / np.pi), z / 2 * np.sinc(z / (2 * np.pi)) ** 2
    d_sinc, d_g = _sinc_slope(z), sinc - _cosc(z)
    dx = half_width * (slope * sinc + r * d_sinc * turn)
    dy = half_width * (slope * g + r * d_g * turn)
    # |(dx, 1 − dy)| − 1 without losing the small difference.
    gain = (dx**2 - 2 * dy + dy**2) / (np.hypot(dx, 1 - dy) + 1)
    return np.cumsum((gain @ w) * np.diff(edges))


def _sinc_slope(z: Floats) -> Floats:
    """Derivative of sin z / z."""
    small = np.abs(z) < 1e-2
    safe = np.where(small, 1.0, z)
    return np.where(small, -z / 3 * (1 - z**2 / 10 + z**4 / 280), (np.cos(safe) - np.sin(safe) / safe) / safe)


def _cosc(z: Floats) -> Floats:
    """(1 − cos z)/z², so that sin z/z less this is the derivative of (1 − cos z)/z."""
    return np.sinc(z / (2 * np.pi)) ** 2 / 2


def fewest_gores(wall: Wall, lo: float, hi: float, bound: float, choices: Sequence[int] | None = None) -> int | None:
    """The smallest number of equal gores, cut all round, whose misfit is at most ``bound`` mm.

    ``choices`` limits the numbers tried, say to those that cut on verticals; without it they are
    1 … ``MOST_GORES``. None if even the largest does not fit. The misfit shrinks as gores grow narrower,
    so the number is found by halving."""
    counts = sorted(choices) if choices is not None else range(1, MOST_GORES + 1)
    low, high = 0, len(counts)
    while low < high:
        middle = (low + high) // 2
        if gore_misfit(wall, np.pi / counts[middle], lo, hi) <= bound:
            high = middle
        else:
            low = middle + 1
    return counts[low] if low < len(counts) else None
