"""Numbers as text: digits, signs, units."""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from motif.outputs.numbers import MM_PER_UNIT, angle, in_unit, length, length_with_unit, number, numbers
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
        (0.79, "in", "0"),
        (0.794, "in", "1/16"),
        (25.4 * 2 - 0.5, "in", "2"),
        (-38.1, "in", "-1 1/2"),
        (-0.1, "in", "0"),
        (0.25, "mm", "0.3"),
        (0.05, "mm", "0.1"),
        (10.0, "mm", "10"),
        (31.44, "mm", "31.4"),
        (31.44, "cm", "3.14"),
    ],
)
def test_length_for_people(mm: float, unit: str, text: str) -> None:
    assert length(mm, unit) == text  # type: ignore[arg-type]


@given(st.floats(0, 1e5))
def test_inches_are_the_nearest_sixteenth(mm: float) -> None:
    text = length(mm, "in")
    value = sum((Fraction(part) for part in text.split()), Fraction(0))
    exact = Fraction(mm) / Fraction(254, 10)
    assert (value * 16).denominator == 1
    assert abs(value - exact) <= Fraction(1, 32) + Fraction(1, 10**6)


def test_units_in_words_and_in_data() -> None:
    assert length_with_unit(254.0, "in") == "10 in"
    assert in_unit(254.0, "cm") == pytest.approx(25.4, abs=1e-12)
    assert angle(360 / 7) == "51.43"
