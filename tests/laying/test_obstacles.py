"""How far places are from what lines keep clear of, on a can: the unrolled plane, where shapely measures."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from motif.laying.obstacles import Obstacles, Shape, finely
from tests.wall.shapes import cylinder

RADIUS = 60.0
#: Outlines in the plane, mm: a lozenge, a thorn, a hook, one across the starting mark.
OUTLINES = {
    "lozenge": [[20, 0], [28, 3], [36, 0], [28, -3]],
    "thorn": [[20, 0], [26, 0], [23, 9]],
    "hook": [[20, 0], [24, 1], [28, 0], [24, 8]],
    "mark": [[-5, -2], [6, 0], [-5, 3]],
}


#: what is nearer to the distance asked for than this is measured, mm; of the rest it is said on which side it lies
MEASURED = 0.04


def agree(found: np.ndarray, farther: np.ndarray, within: float) -> None:
    """What is nearly at the distance is measured, and nothing is told as farther from it than it is."""
    near = np.abs(farther) < MEASURED
    assert near.sum() > 50 and (~near).sum() > 50
    np.testing.assert_allclose(found[near], farther[near], rtol=0, atol=within)
    assert np.array_equal(found[~near] > 0, farther[~near] > 0)
    assert np.all(np.abs(found[~near]) <= np.abs(farther[~near]) + within)


def places(outlines: list[np.ndarray], by: float) -> tuple[np.ndarray, np.ndarray]:
    """Places (n, 2) in the plane within a fifth of a millimetre of the distance from the outlines, and how much
    farther than that they are."""
    rng = np.random.default_rng(3)
    at = np.column_stack([rng.uniform(-12, 42, 40_000), rng.uniform(-8, 14, 40_000)])
    parts = shapely.union_all([shapely.Polygon(o) for o in outlines])
    farther = shapely.distance(parts, shapely.points(at)) - by
    near = np.abs(farther) < 0.2
    return at[near], farther[near]


@pytest.mark.parametrize("by", [0.5, 3.0, 11.0])
@pytest.mark.parametrize("names", [[n] for n in OUTLINES] + [list(OUTLINES)], ids="+".join)
def test_distances_from_outlines_with_corners(names: list[str], by: float) -> None:
    outlines = [np.array(OUTLINES[n], dtype=float) for n in names]
    wall = cylinder(RADIUS, 400)
    shapes = [Shape(finely(wall, o / [RADIUS, 1] + [0, 200]), True) for o in outlines]
    at, farther = places(outlines, by)
    found = Obstacles(wall, shapes).clearance(at[:, 0] / RADIUS, at[:, 1] + 200, np.full(len(at), by))
    agree(found, farther, 1e-6)


@pytest.mark.parametrize(("radius", "by", "within"), [(20.0, 3.0, 1e-6), (5.0, 3.0, 1e-5), (2.0, 3.0, 1e-4)])
def test_distances_from_a_circle(radius: float, by: float, within: float) -> None:
    """| distance from the middle − radius |; between samples a quarter of a millimetre apart a parabola stands in."""
    turn = np.linspace(0, 2 * np.pi, int(np.ceil(2 * np.pi * radius / 0.25)), endpoint=False)
    circle = radius * np.column_stack([np.cos(turn), np.sin(turn)])
    obstacles = Obstacles(cylinder(RADIUS, 400), [Shape(circle / [RADIUS, 1] + [1, 200], True)])
    rng = np.random.default_rng(4)
    way, farther = rng.uniform(0, 2 * np.pi, 2000), rng.uniform(-0.2, 0.2, 2000)
    at = (radius + by + farther)[:, None] * np.column_stack([np.cos(way), np.sin(way)])
    found = obstacles.clearance(at[:, 0] / RADIUS + 1, at[:, 1] + 200, np.full(2000, by))
    agree(found, farther, within)


def test_ends_of_an_open_line() -> None:
    """A straight line of 10 mm: round its ends the distance is that from them."""
    line = np.column_stack([np.linspace(0, 10, 41), np.zeros(41)])
    wall = cylinder(RADIUS, 400)
    obstacles = Obstacles(wall, [Shape(line / [RADIUS, 1] + [1, 200], False)])
    rng = np.random.default_rng(5)
    at = np.column_stack([rng.uniform(-3, 13, 4000), rng.uniform(-3, 3, 4000)])
    want = np.hypot(np.maximum(np.maximum(-at[:, 0], at[:, 0] - 10), 0), at[:, 1]) - 2
    near = np.abs(want) < 0.2
    found = obstacles.clearance(at[near, 0] / RADIUS + 1, at[near, 1] + 200, np.full(int(near.sum()), 2.0))
    agree(found, want[near], 1e-6)
