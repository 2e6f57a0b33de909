"""Every difference that ``python -m tests.accuracy`` prints stays within its bound."""

from __future__ import annotations

import pytest

from tests.accuracy import gores
from tests.accuracy.checks import Check, largest
from tests.accuracy.table import CHECKS


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: c.construct)
def test_difference(check: Check) -> None:
    assert check.measure() <= check.bound


@pytest.mark.parametrize("form", gores.FORMS)
def test_misfit_of_gores_falls_with_the_square_of_their_width(form: str) -> None:
    """An arc of half-width w on a ring leaves its chord by r w²/2, so paper edges differ by its order."""
    values = gores.misfits(form)
    assert values == sorted(values, reverse=True)
    assert gores.exponent(values) == pytest.approx(2, abs=0.02)


def test_nothing_measured_is_no_success() -> None:
    assert not largest() <= 1
    assert not largest([0.0, float("nan")]) <= 1
    assert largest([0.5, -2.0], 1.0) == 2
