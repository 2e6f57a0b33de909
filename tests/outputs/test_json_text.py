"""JSON: the standard library reads back what we write."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from motif.outputs.json_text import Degrees, Records, Trail, dumps

PLAIN = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**9), 10**9),
    st.text(),
    st.floats(-1e6, 1e6).map(lambda x: round(x, 3)),
)
VALUES = st.recursive(
    PLAIN, lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(st.text(), inner, max_size=4))
)


def lone_surrogates_replaced(value: object) -> object:
    if isinstance(value, str):
        return value.encode("utf-8", "replace").decode()
    if isinstance(value, list):
        return [lone_surrogates_replaced(v) for v in value]
    if isinstance(value, dict):
        return {k: lone_surrogates_replaced(v) for k, v in value.items()}
    return value


@given(VALUES)
def test_round_trip(value: object) -> None:
    text = dumps(value)  # type: ignore[arg-type]
    assert json.loads(text) == lone_surrogates_replaced(value)


def test_records_and_trails_are_lists() -> None:
    value = {
        "points": Records({"a": [1, None], "b{}": ['"', "é"]}),
        "line": Trail(np.array([[0.5, -0.0], [1e-9, 2]])),
    }
    assert json.loads(dumps(value)) == {
        "points": [{"a": 1, "b{}": '"'}, {"a": None, "b{}": "é"}],
        "line": [[0.5, 0], [0, 2]],
    }
    assert json.loads(dumps({"none": Records({}), "empty": Trail(np.empty((0, 2)))})) == {
        "none": [],
        "empty": [],
    }


def test_angles_are_finer_than_lengths() -> None:
    assert dumps([360 / 7, Degrees(360 / 7)]) == "[51.428571, 51.428571429]\n"


def test_one_mark_a_line() -> None:
    assert dumps({"points": Records({"a": [1, 2]})}) == '{\n "points": [\n  {"a": 1},\n  {"a": 2}\n ]\n}\n'


@pytest.mark.parametrize("value", [math.nan, math.inf, [math.nan], {"a": -math.inf}])
def test_what_json_cannot_hold_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="be written"):
        dumps(value)  # type: ignore[arg-type]
