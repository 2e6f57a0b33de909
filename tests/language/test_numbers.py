"""Numbers against exact fractions (Python's ``fractions``)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.language.helpers import read, value

WHOLE = st.integers(0, 10**9)


@settings(deadline=None)
@given(WHOLE, WHOLE, st.integers(1, 10**6))
def test_mixed_numbers(whole: int, above: int, below: int) -> None:
    assert value(f"{whole} {above}/{below} mm") == ("Number", float(whole + Fraction(above, below)), "mm")


@settings(deadline=None)
@given(WHOLE, st.integers(1, 10**6))
def test_fractions(above: int, below: int) -> None:
    assert value(f"{above}/{below}") == ("Number", float(Fraction(above, below)), None)


@settings(deadline=None)
@given(st.decimals(0, 10**9, allow_nan=False, places=6))
def test_decimals(number: object) -> None:
    assert value(str(number)) == ("Number", float(Fraction(str(number))), None)


HALF = ("Number", 0.5, None)
K, ONE, TWO = ("Reference", "k"), ("Number", 1.0, None), ("Number", 2.0, None)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1/2", HALF),
        ("1 / 2", ("Arithmetic", "/", ONE, TWO)),
        ("1/ 2", ("Arithmetic", "/", ONE, TWO)),
        ("k/2", ("Arithmetic", "/", K, TWO)),
        ("k/2 mm", ("Arithmetic", "/", K, ("Number", 2.0, "mm"))),
        ("1/2 mm", ("Number", 0.5, "mm")),
        ("1/2mm", ("Number", 0.5, "mm")),
        ("1\n1/2 in", ("Number", 1.5, "in")),
        ("k * 1/2 mm", ("Arithmetic", "*", K, ("Number", 0.5, "mm"))),
        ("1/2/k", ("Arithmetic", "/", HALF, K)),
        ("1/2.5", ("Arithmetic", "/", ONE, ("Number", 2.5, None))),
        ("2.5/k", ("Arithmetic", "/", ("Number", 2.5, None), K)),
        (".5", HALF),
        ("4 %", ("Number", 4.0, "%")),
        ("4%", ("Number", 4.0, "%")),
        ("-1/2", ("Negate", HALF)),
        ("1/0", ("Arithmetic", "/", ONE, ("Number", 0.0, None))),
        ("1 - 1/2", ("Arithmetic", "-", ONE, HALF)),
        ("step-1", ("Reference", "step-1")),
        ("step - 1", ("Arithmetic", "-", ("Reference", "step"), ONE)),
    ],
)
def test_readings(text: str, expected: object) -> None:
    assert value(text) == expected


def test_a_number_beyond_all_measure_is_refused() -> None:
    _, (message,) = read(f"let x = {'9' * 400}")
    assert (message.code, message.text) == ("out-of-range", "This number has too many digits.")
    _, (message,) = read(f"let x = {'9' * 400}/3")
    assert message.code == "out-of-range"
