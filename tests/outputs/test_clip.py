"""Cutting at the edges of a sheet, with shapely (GEOS) as the yardstick."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from motif.outputs.clip import Window, clip_area, clip_lines
from motif.outputs.lines import Lines

WINDOW = Window(-1.0, 2.0, 0.0, 5.0)
BOX = shapely.box(-1.0, 0.0, 2.0, 5.0)
# Whole and half steps put many points and runs exactly on the edges.
STEPS = st.one_of(st.integers(-8, 16).map(lambda n: n / 2), st.floats(-4, 8).map(lambda x: round(x, 3)))
LINES = st.integers(2, 10).flatmap(lambda n: arrays(float, (n, 2), elements=STEPS))


TURN = 2 * np.pi


def clipped(line: np.ndarray, *, turning: bool = False) -> list[np.ndarray]:
    return clip_lines(Lines.of([line]), WINDOW, turning=turning)[0].split()


def length(line: np.ndarray) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())


def expected_length(line: np.ndarray, turns: range) -> float:
    # Segment by segment: GEOS merges a line that runs back over itself.
    segments = np.stack([line[:-1], line[1:]], axis=1)
    segments = segments[np.any(segments[:, 0] != segments[:, 1], axis=1)]
    shifts = np.column_stack([np.array(turns) * TURN, np.zeros(len(turns))])
    return float(shapely.length(shapely.intersection(shapely.linestrings(segments + shifts[:, None, None]), BOX)).sum())


@given(LINES)
def test_lines_are_cut_as_geos_cuts_them(line: np.ndarray) -> None:
    parts = clipped(line)
    assert sum(map(length, parts)) == pytest.approx(expected_length(line, range(1)), abs=1e-6)
    for part in parts:
        assert np.all(part >= WINDOW.low)
        assert np.all(part <= WINDOW.high)


@given(st.lists(LINES, max_size=5), st.sampled_from([1.0, 10.0, 100.0]))
def test_lines_that_go_round_are_cut_as_often_as_they_come_by(lines: list[np.ndarray], longer: float) -> None:
    lines = [line * [longer, 1.0] for line in lines]
    parts, whose = clip_lines(Lines.of(lines), WINDOW)
    assert whose.tolist() == sorted(whose.tolist())
    for k, line in enumerate(lines):
        found = sum(length(part) for part, owner in zip(parts.split(), whose.tolist(), strict=True) if owner == k)
        assert found == pytest.approx(expected_length(line, range(-130, 66)), abs=1e-5)


@given(LINES)
def test_parts_go_on_in_order_and_begin_and_end_on_an_edge_or_an_end(line: np.ndarray) -> None:
    for part in clipped(line):
        for end, own in ((part[0], line[0]), (part[-1], line[-1])):
            on_edge = np.isclose(end, WINDOW.low, atol=1e-8).any() or np.isclose(end, WINDOW.high, atol=1e-8).any()
            assert on_edge or np.allclose(end, own)


def test_a_line_along_an_edge_is_inside_and_a_touching_one_is_not() -> None:
    along = np.array([[-1.0, 1.0], [-1.0, 4.0]])
    assert clipped(along)[0].tolist() == along.tolist()
    assert clipped(np.array([[-2.0, 1.0], [-1.0, 2.0], [-2.0, 3.0]])) == []
    assert clipped(np.array([[-3.0, -1.0], [3.0, -1.0]])) == []


def test_a_cut_line_is_cut_exactly() -> None:
    (part,) = clipped(np.array([[0.0, -1.0], [0.0, 9.0]]))
    assert part.tolist() == [[0.0, 0.0], [0.0, 5.0]]


def test_a_line_of_many_turns_is_cut_once_a_turn() -> None:
    """A helix of a thousand turns, up an edge of the window and from it: straight lines of one slope, a turn apart."""
    angle = np.linspace(0.0, 1000 * TURN, 100_001)
    parts = clipped(np.column_stack([angle, angle / (1000 * TURN) * 5.0]), turning=True)
    assert len(parts) == 1001  # the window holds the first angle and the last, and less than a turn
    assert [part[0, 0] for part in parts] == [-1.0] * 1000 + [0.0]
    assert np.allclose([part[0, 1] for part in parts[:-1]], (np.arange(1000, 0, -1) - 1 / TURN) * 5e-3)


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
