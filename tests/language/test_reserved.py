"""Units against published values, and the shape of the tables."""

from __future__ import annotations

from math import isclose, pi

import pytest

from motif.language.reserved import RESERVED, UNITS
from tests.reference import record


def test_inch() -> None:
    # NIST SP 811 (2008) App. B; 25.4 mm since 1959. UNITS are in mm.
    assert UNITS["in"].factor == record("7.inch")["expected"]


@pytest.mark.parametrize(("unit", "key"), [("tsp", "7.tsp"), ("tbsp", "7.tbsp")])
def test_spoons(unit: str, key: str) -> None:
    # NIST HB 44 App. C, in ml. UNITS are in mm³: 1 ml is 1000 mm³.
    assert isclose(UNITS[unit].factor / 1000, record(key)["expected"], rel_tol=1e-15)


def test_teaspoon_is_a_part_of_the_gallon() -> None:
    # 1 US gallon = 231 cubic inches (NIST HB 44 App. C) = 768 teaspoons
    assert isclose(UNITS["tsp"].factor, 231 * UNITS["in"].factor ** 3 / 768, rel_tol=1e-15)


def test_angles() -> None:
    assert isclose(360 * UNITS["deg"].factor, 2 * pi, rel_tol=1e-15)
    assert UNITS["turn"].factor == 2 * pi


@pytest.mark.parametrize(
    ("unit", "dimension"),
    [
        ("mm", (1, 0)),
        ("cm", (1, 0)),
        ("in", (1, 0)),
        ("deg", (0, 1)),
        ("turn", (0, 1)),
        ("ml", (3, 0)),
        ("tsp", (3, 0)),
        ("tbsp", (3, 0)),
        ("%", (0, 0)),
    ],
)
def test_dimensions(unit: str, dimension: tuple[int, int]) -> None:
    assert UNITS[unit].dimension == dimension


def test_the_words_of_the_reference_that_may_be_names() -> None:
    for word in ("around", "depth", "width", "pitch", "tape", "height", "both", "left", "at", "to", "cell", "all"):
        assert word not in RESERVED
