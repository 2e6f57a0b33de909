"""The samples in docstrings run, and numbers that are none are refused."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
from collections.abc import Callable

import numpy as np
import pytest

import motif.wall
from motif.wall import bearing_and_distance, set_off, taut
from tests.wall.shapes import pot

MODULES = ("motif.wall", *(m.name for m in pkgutil.iter_modules(motif.wall.__path__, "motif.wall.")))


@pytest.mark.parametrize("name", MODULES)
def test_samples_in_docstrings(name: str) -> None:
    module = importlib.import_module(name)
    assert doctest.testmod(module).failed == 0


def test_there_are_samples() -> None:
    named = {e.name for m in MODULES for e in doctest.DocTestFinder().find(importlib.import_module(m)) if e.examples}
    assert {"motif.wall", "motif.wall.taut.taut", "motif.wall.compass.set_off"} <= named


@pytest.mark.parametrize("line", [taut, bearing_and_distance, set_off], ids=lambda f: f.__name__)
@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_numbers_that_are_none(line: Callable[..., object], bad: float) -> None:
    for k in range(4):
        arguments = [0.0, [10.0, 20.0], 0.5, 30.0]
        arguments[k] = bad
        with pytest.raises(ValueError, match="must be finite"):
            line(pot("jar"), *arguments)


def test_no_way_back() -> None:
    with pytest.raises(ValueError, match="distance must not be negative"):
        set_off(pot("jar"), 0.0, 10.0, 0.0, -1.0)
