"""Many lines in one array, against the same done line by line; thinning against GEOS's distances."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from motif.outputs.lines import Lines

LINE = st.integers(2, 30).flatmap(lambda n: arrays(float, (n, 2), elements=st.integers(-20, 20).map(lambda k: k / 4)))


@given(st.lists(LINE, max_size=6), st.data())
def test_lines_are_what_they_were_one_by_one(lines: list[np.ndarray], data: st.DataObject) -> None:
    every = Lines.of(lines)
    assert [line.tolist() for line in every.split()] == [line.tolist() for line in lines]
    low, high = every.boxes()
    assert low.tolist() == [line.min(axis=0).tolist() for line in lines]
    assert high.tolist() == [line.max(axis=0).tolist() for line in lines]
    which = data.draw(st.lists(st.integers(0, len(lines) - 1), max_size=6)) if lines else []
    chosen = every.chosen(np.array(which, dtype=np.int64))
    assert [line.tolist() for line in chosen.split()] == [lines[k].tolist() for k in which]
    assert [line.tolist() for line in every.with_(chosen).split()] == [x.tolist() for x in (*lines, *chosen.split())]


@given(st.lists(LINE, max_size=6), st.sampled_from([0.1, 1.0, 5.0]))
def test_no_point_lies_farther_from_the_thinned_line(lines: list[np.ndarray], tolerance: float) -> None:
    """GEOS measures how far a point lies from a line."""
    thinned = Lines.of(lines).thinned(tolerance).split()
    assert len(thinned) == len(lines)
    for line, less in zip(lines, thinned, strict=True):
        assert less[[0, -1]].tolist() == line[[0, -1]].tolist()
        assert shapely.distance(shapely.points(line), shapely.linestrings(less)).max() <= tolerance + 1e-12
        assert {tuple(p) for p in less.tolist()} <= {tuple(p) for p in line.tolist()}


@pytest.mark.parametrize("count", [1023, 1024, 1025, 2047, 2048, 5000])
def test_long_lines_are_thinned_in_stretches(count: int) -> None:
    """Beside a short one, which stays whole; the ends of the stretches are the only points of a straight line left."""
    straight = np.column_stack([np.arange(count), np.zeros(count)]).astype(float)
    short = np.array([[0.0, 1.0], [1.0, 5.0], [2.0, 1.0]])
    first, second, third = Lines.of([short, straight, short]).thinned(0.01).split()
    assert first.tolist() == third.tolist() == short.tolist()
    assert second[:, 0].tolist() == sorted({0.0, *range(0, count - 1, 1023), count - 1.0})
