"""What several outputs of one piece show alike is worked out once in a run, and let go at its end."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import wraps
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

#: (function, what it was given) → what it gave, while a run lasts; None between runs.
_KEPT: ContextVar[dict[tuple[object, ...], Any] | None] = ContextVar("kept", default=None)


@contextmanager
def one_run() -> Iterator[None]:
    """While this lasts, ``once`` functions work nothing out twice. A run within a run is part of it."""
    if _KEPT.get() is not None:
        yield
        return
    before = _KEPT.set({})
    try:
        yield
    finally:
        _KEPT.reset(before)


def once(function: Callable[P, T]) -> Callable[P, T]:
    """A function of hashable values that is worked out once in a run for the same ones, and outside runs each time."""

    @wraps(function)
    def kept(*values: P.args, **named: P.kwargs) -> T:
        known = _KEPT.get()
        if known is None:
            return function(*values, **named)
        asked = (function, values, tuple(sorted(named.items())))
        if asked not in known:
            known[asked] = function(*values, **named)
        found: T = known[asked]
        return found

    return kept
