"""Cutting at the edges of a sheet, with shapely (GEOS) as the yardstick."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from motif.outputs.clip import Window, clip_area, clip_line

WINDOW = Window(-1.0, 2.0, 0.0, 5.0)
BOX = shapely.box(-1.0, 0.0, 2.0, 5.0)
# Whole and half steps put many points and runs exactly on the edges.
STEPS = st.one_of(st.integers(-8, 16).map(lambda n: n / 2), st.floats(-4, 8).map(lambda x: round(x, 3)))
LINES = st.integers(2, 10).flatmap(lambda n: arrays(float, (n, 2), elements=STEPS))


@given(LINES)
def test_lines_are_cut_as_geos_cuts_them(line: np.ndarray) -> None:
    parts = clip_line(line, WINDOW)
    steps = np.hypot(*np.diff(line, axis=0).T)
    # Segment by segment: GEOS merges a line that runs back over itself.
    expected = sum(
        shapely.intersection(shapely.linestrings(np.array([a, b])), BOX).length
        for a, b, step in zip(line[:-1], line[1:], steps, strict=True)
        if step
    )
    assert sum(np.hypot(*np.diff(p, axis=0).T).sum() for p in parts) == pytest.approx(expected, abs=1e-6)
    for part in parts:
        assert np.all(part >= WINDOW.low)
        assert np.all(part <= WINDOW.high)


@given(LINES)
def test_parts_go_on_in_order_and_begin_and_end_on_an_edge_or_an_end(line: np.ndarray) -> None:
    for part in clip_line(line, WINDOW):
        for end, own in ((part[0], line[0]), (part[-1], line[-1])):
            on_edge = np.isclose(end, WINDOW.low, atol=1e-8).any() or np.isclose(end, WINDOW.high, atol=1e-8).any()
            assert on_edge or np.allclose(end, own)


def test_a_line_along_an_edge_is_inside_and_a_touching_one_is_not() -> None:
    along = np.array([[-1.0, 1.0], [-1.0, 4.0]])
    assert clip_line(along, WINDOW)[0] is along
    assert clip_line(np.array([[-2.0, 1.0], [-1.0, 2.0], [-2.0, 3.0]]), WINDOW) == []
    assert clip_line(np.array([[-3.0, -1.0], [3.0, -1.0]]), WINDOW) == []


def test_a_cut_line_is_cut_exactly() -> None:
    (part,) = clip_line(np.array([[0.0, -1.0], [0.0, 9.0]]), WINDOW)
    assert part.tolist() == [[0.0, 0.0], [0.0, 5.0]]


@given(LINES)
def test_areas_are_cut_as_geos_cuts_them(ring: np.ndarray) -> None:
    polygon = shapely.polygons(ring) if len(ring) > 2 else None
    if polygon is None or not shapely.is_valid(polygon):
        return
    cut = clip_area(ring, WINDOW)
    area = 0.0
    if len(cut):
        x, y = cut.T
        area = abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2
    assert area == pytest.approx(shapely.intersection(polygon, BOX).area, abs=1e-6)
