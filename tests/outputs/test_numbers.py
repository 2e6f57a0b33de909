"""Numbers as text: digits, signs, units."""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from motif.outputs.numbers import (
    MM_PER_UNIT,
    UNITS,
    angle,
    decimals,
    fine_with_unit,
    in_unit,
    length,
    length_with_unit,
    number,
    numbers,
    rounding,
    volume,
    volume_unit,
    volume_with_unit,
)
from tests.reference import record

FINITE = st.floats(-1e9, 1e9, allow_nan=False)


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (0.0, 6, "0"),
        (-0.0, 6, "0"),
        (-1e-9, 6, "0"),
        (12.5, 6, "12.5"),
        (100.0, 6, "100"),
        (1e-6, 6, "0.000001"),
        (1e21, 2, "1000000000000000000000"),
        (1 / 3, 4, "0.3333"),
        (2 / 3, 0, "1"),
        (-2.5, 1, "-2.5"),
    ],
)
def test_number(value: float, digits: int, text: str) -> None:
    assert number(value, digits) == text


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(value: float) -> None:
    for write in (number, length, lambda v: length(v, "in"), angle):
        with pytest.raises(ValueError, match="be written"):
            write(value)


@given(FINITE, st.integers(0, 9))
def test_a_number_reads_back_within_half_its_last_place(value: float, digits: int) -> None:
    text = number(value, digits)
    assert re.fullmatch(r"-?(0|[1-9][0-9]*)(\.[0-9]*[1-9])?", text)
    assert text != "-0"
    # decimal arithmetic is the yardstick: the standard library's, not ours
    assert abs(Decimal(text) - Decimal(value)) <= Decimal(1).scaleb(-digits) / 2


@given(st.lists(FINITE), st.integers(0, 9))
def test_many_numbers_are_each_number(values: list[float], digits: int) -> None:
    assert numbers(values, digits) == [number(v, digits) for v in values]


def test_the_inch_is_the_published_one() -> None:
    assert record("7.inch")["expected"] == MM_PER_UNIT["in"]


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (25.4, "in", "1"),
        (31.75, "in", "1 1/4"),
        (1.5875, "in", "1/16"),
        (0.79375, "in", "1/32"),
        (0.4, "in", "1/32"),
        (0.3, "in", "0.012"),
        (0.01, "in", "0"),
        (25.4 * 2 - 0.5, "in", "1 31/32"),
        (25.4 * 2 - 0.39, "in", "2"),
        (-38.1, "in", "-1 1/2"),
        (-0.1, "in", "-0.004"),
        (0.25, "mm", "0.3"),
        (0.05, "mm", "0.1"),
        (10.0, "mm", "10"),
        (31.44, "mm", "31.4"),
        (31.44, "cm", "3.14"),
    ],
)
def test_length_for_people(mm: float, unit: str, text: str) -> None:
    assert length(mm, unit) == text  # type: ignore[arg-type]


INCH = Fraction(254, 10)  # mm, exactly (international inch, 1959)


def inches(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))


@given(st.floats(0, 1e5))
def test_inches_are_the_nearest_thirty_second(mm: float) -> None:
    text = length(mm, "in")
    exact = Fraction(mm) / INCH
    assert abs(inches(text) - exact) <= Fraction(1, 64) + Fraction(1, 10**6)
    if "." not in text:
        assert (inches(text) * 32).denominator == 1
    assert text != "0" or exact < Fraction(6, 10_000), "a size is never shown as none"
    assert rounding(mm, "in") == pytest.approx(float(abs(inches(text) - exact) * INCH), abs=1e-9)


@given(st.floats(1, 200), st.integers(2, 200))
def test_places_along_a_row_do_not_drift(step: float, count: int) -> None:
    """Each from its own true place: the last is as near as the first, which steps of a rounded length are not."""
    for k in (1, count // 2, count):
        exact = k * Fraction(step) / INCH
        assert abs(inches(length(k * step, "in")) - exact) <= Fraction(1, 64) + Fraction(1, 10**6)


def test_units_in_words_and_in_data() -> None:
    assert length_with_unit(254.0, "in") == "10 in"
    assert [fine_with_unit(0.31, unit) for unit in UNITS] == ["0.31 mm", "0.31 mm", "0.012 in"]
    assert in_unit(254.0, "cm") == pytest.approx(25.4, abs=1e-12)
    assert angle(360 / 7) == "51.43"


@given(st.floats(0.01, 3000.0))
def test_clay_in_spoonfuls_is_the_published_spoons(ml: float) -> None:
    """Records 7.tsp and 7.tbsp: to an eighth of a spoon, under a teaspoon to two figures."""
    words, unit = volume_with_unit(ml, "in").rsplit(" ", 1)
    spoon = record({"tsp": "7.tsp", "tbsp": "7.tbsp"}[unit])["expected"]
    told = float(inches(words)) * spoon
    if ml < record("7.tsp")["expected"]:
        assert unit == "tsp"
        assert told == pytest.approx(ml, rel=0.05 + 1e-9)
    else:
        assert unit == ("tbsp" if ml >= record("7.tbsp")["expected"] * 47 / 48 else "tsp")
        assert abs(told - ml) <= spoon / 16 + 1e-6


def test_clay_in_words_and_in_tables() -> None:
    assert volume_with_unit(20.94) == "20.9 ml"
    assert volume_with_unit(0.616, "cm", 2) == "0.62 ml"
    assert volume_with_unit(record("7.eighth_tsp")["expected"], "in") == "1/8 tsp"
    assert volume_with_unit(0.7, "in") == "0.14 tsp"
    assert volume_with_unit(4 * record("7.tbsp")["expected"], "in") == "4 tbsp"
    assert [f"{volume(10.0, unit)} {volume_unit(unit)}" for unit in UNITS] == ["10 ml", "10 ml", "2.03 tsp"]


@given(st.lists(st.integers(-(10**9), 10**9), max_size=200), st.sampled_from([0, 3, 6]))
def test_steps_of_the_last_digit_are_the_decimals_they_stand_for(steps: list[int], digits: int) -> None:
    assert [Decimal(text) for text in decimals(np.array(steps, dtype=np.int64), digits)] == [
        Decimal(step).scaleb(-digits) for step in steps
    ]
    assert all(number(float(text), digits) == text for text in decimals(np.array(steps, dtype=np.int64), digits))
