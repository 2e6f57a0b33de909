"""What is looked up by nearness, against scipy's trees and against looking at everything; crossings of a chain with
itself, against a curve whose crossing is known."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest
from scipy.spatial import cKDTree

import motif
from motif.laying.clusters import near_pairs
from motif.laying.limits import Limits
from motif.laying.loops import crossed
from motif.laying.nearby import Nearby
from tests.laying.bench import CAN, lay_band
from tests.wall.shapes import cylinder

RADIUS = 60.0


def on_a_can(n: int) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(7)
    return rng.uniform(0, 2 * np.pi, n), rng.uniform(0, 150, n)


@pytest.mark.parametrize("reach", [0.7, 3.0, 40.0])
def test_pairs_of_near_points(reach: float) -> None:
    """scipy.spatial.cKDTree.query_pairs."""
    angle, tape = on_a_can(2000)
    points = np.column_stack([RADIUS * np.cos(angle), RADIUS * np.sin(angle), tape])
    i, j, looked = near_pairs(points, reach)
    assert looked == reach
    assert len(i) > 5
    assert set(zip(i.tolist(), j.tolist(), strict=True)) == cKDTree(points).query_pairs(reach * (1 - 1e-12))


def test_where_points_crowd_the_nearest_pairs_are_found() -> None:
    angle, tape = on_a_can(3000)
    points = np.column_stack([RADIUS * np.cos(angle), RADIUS * np.sin(angle), tape])
    i, j, looked = near_pairs(points, 200.0, most=10_000)
    assert 0 < looked < 200
    assert set(zip(i.tolist(), j.tolist(), strict=True)) == cKDTree(points).query_pairs(looked * (1 - 1e-12))


@pytest.mark.parametrize("layers", [1, 3])
def test_points_in_windows(layers: int) -> None:
    """All points that lie in a window are found, those of other layers never; over the starting mark too."""
    angle, tape = on_a_can(4000)
    layer = np.arange(4000) % layers
    nearby = Nearby(angle, tape, RADIUS, None if layers == 1 else layer)
    rng = np.random.default_rng(8)
    at, level, mine = rng.uniform(0, 2 * np.pi, 300), rng.uniform(-20, 170, 300), rng.integers(0, layers, 300)
    across, reach = rng.uniform(0, 1, 300) ** 3 * np.pi, rng.uniform(0, 1, 300) ** 3 * 60
    windows = nearby.windows(at, across, level, reach, mine)
    found = {(int(w), int(p)) for _, ws, ps in nearby.pairs(windows) for w, p in zip(ws, ps, strict=True)}
    turn = np.abs(np.mod(angle - at[:, None] + np.pi, 2 * np.pi) - np.pi)
    own = layer == mine[:, None]
    inside = (turn <= across[:, None]) & (np.abs(tape - level[:, None]) <= reach[:, None]) & own
    assert {(int(w), int(p)) for w, p in np.argwhere(inside)} <= found
    assert all(own[w, p] for w, p in found)
    assert np.all(nearby.holds(windows)[inside.any(axis=1)])


def test_a_chain_that_crosses_itself_is_cut_there() -> None:
    """(u² − 1, u³ − u), the nodal cubic y² = x² (x + 1), is at the origin for u = −1 and for u = 1 and crosses itself
    nowhere else; here u runs from −1.4 to 1.5 in 29 cubics."""
    at = np.linspace(-1.4, 1.5, 30)
    a, h = at[:-1], 0.1
    x = np.stack([a * a - 1, 2 * a * h, np.full(29, h * h), np.zeros(29)], axis=1)
    y = np.stack([50 + a**3 - a, (3 * a * a - 1) * h, 3 * a * h * h, np.full(29, h**3)], axis=1)
    chain = np.stack([x / RADIUS, y], axis=2)
    cut = crossed(chain, False, cylinder(RADIUS, 100), Limits())
    np.testing.assert_allclose(cut.at * 0.1 - 1.4, [-1.0, 1.0], rtol=0, atol=1e-9)
    assert cut.other.tolist() == [1, 0]
    (whole,) = cut.joined([cut.parts[0], cut.parts[2]])
    np.testing.assert_allclose(whole[:, 0], [*chain[:4, 0], [0, 50], *chain[25:, 0]], rtol=0, atol=1e-9)


def test_a_line_through_very_many_panels() -> None:
    """On a can of 360 mm round with 2000 columns, every other one worked, a line all round is dashes of 0.18 mm."""
    panels = ", ".join(str(k) for k in range(1, 2000, 2))
    band = lay_band(
        "grid columns 2000 rows 1 once { incise from (0, 1/2) line to (2000, 1/2) }", f"only columns {panels}", CAN
    )
    np.testing.assert_allclose([p.length for p in band.paths], [0.18] * 1000, rtol=0, atol=1e-6)


def test_lines_that_lie_on_one_another_all_along_are_checked_in_bounds() -> None:
    """What the noise found: rings of lines 99 columns long, which took two gigabytes to be checked for land."""
    text = """
    motif weave { grid columns near 12 mm multiple of 4 rows proportional 1 : 1
      each cell where remainder(column - 149.853966684, 4) < 2 {
        carve from (0, 0.18) line to (99, 0.18), from (0, 0.82) line to (1, 0.82) depth 1 mm width 1.2 mm }
      each cell where remainder(column - row, 4) >= 2 {
        carve from (0.18, 0) line to (0.18, 1), from (0.82, 0) line to (0.82, 1) depth 1 mm width 1.2 mm } }
    form small { profile smooth { at 0 mm across 30 mm at 15 mm across 40 mm at 30 mm across 35 mm } }
    piece woven { form small band weave }"""
    document = motif.loads(text)
    tracemalloc.start()
    laid = document.lay("woven")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert laid is not None
    assert "marks-overlap" in {m.code for m in document.messages.sorted()}
    assert peak < 600e6
