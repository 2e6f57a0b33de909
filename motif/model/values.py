"""Values: what expressions work out to, one for all places or one for each.

Inner units: lengths mm, angles radians, volumes mm³. A quantity is a float or an array over the
places; a condition a bool or an array of bools; a text a str; a tool a ``ToolSizes``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from motif.language.record import changed, record

Floats: TypeAlias = NDArray[np.float64]


@record
class ToolSizes:
    """A tool with its sizes in mm and its volume in ml; None where the text says nothing.

    ``outline`` is the footprint, (k, 2) mm, x to the right and y up, not closed on itself, and ``area`` what it
    encloses, mm², where it is bent that of the curve; None for a plain disc ``wide`` across."""

    name: str
    description: str | None
    wide: float | None
    tall: float | None
    cuts: float | None
    deep: float | None
    pitch: float | None
    volume: float | None
    outline: Floats | None
    area: float | None


Value: TypeAlias = float | bool | str | ToolSizes | np.floating | np.bool_ | NDArray[np.float64] | NDArray[np.bool_]


class Slot:
    """A name made by the text (a given, a let, the counter of a repeat). Slots are told apart by
    identity, so equal names in different braces never meet."""

    __slots__ = ("name",)

    def __init__(self, name: str) -> None:
        self.name = name


class PlaceTable:
    """What the names in scope mean at each of many places, looked up and worked out only when read.

    ``columns`` maps a name to its array over all places of the rule, or to a function that makes it."""

    def __init__(
        self, columns: Mapping[str, Floats | Callable[[], Floats]], index: NDArray[np.int64] | None = None
    ) -> None:
        self._columns = dict(columns)
        self._index = index

    def __contains__(self, name: str) -> bool:
        return name in self._columns

    def __getitem__(self, name: str) -> Floats:
        column = self._columns[name]
        if callable(column):
            column = self._columns[name] = column()
        return column if self._index is None else column[self._index]

    def get(self, *names: str) -> Floats | None:
        """The first of the names that the places have."""
        return next((self[n] for n in names if n in self), None)

    def at(self, chosen: NDArray[np.int64]) -> PlaceTable:
        """The same at some of the places, ``chosen`` by their numbers."""
        table = PlaceTable({}, chosen if self._index is None else self._index[chosen])
        table._columns = self._columns
        return table


NOWHERE = PlaceTable({})


@record
class Env:
    """What an expression may read.

    ``scale`` turns a length as written into one at the stage of decorating. ``places`` holds the names
    in scope (``column`` …) over ``count`` places. ``chord`` is the taut distance where it may be read."""

    scale: float
    values: Mapping[Slot, Value] = {}
    places: PlaceTable = NOWHERE
    count: int = 1
    chord: Value | None = None

    def with_value(self, slot: Slot, value: Value) -> Env:
        return changed(self, values={**self.values, slot: value})

    def with_chord(self, chord: Value) -> Env:
        return changed(self, chord=chord)

    def at(self, chosen: NDArray[np.int64]) -> Env:
        """The same names at some of the places, ``chosen`` by their numbers."""
        return Env(
            self.scale,
            {k: pick(v, chosen) for k, v in self.values.items()},
            self.places.at(chosen),
            len(chosen),
            None if self.chord is None else pick(self.chord, chosen),
        )


def pick(value: Value, chosen: NDArray[np.int64]) -> Value:
    """A value at some of the places it was worked out for."""
    return value[chosen] if isinstance(value, np.ndarray) and value.ndim else value


def over(value: Value, count: int) -> Floats:
    """A quantity as an array (count,)."""
    return np.broadcast_to(np.asarray(value, dtype=np.float64), (count,))


def truths(value: Value, count: int) -> NDArray[np.bool_]:
    """A condition as an array (count,)."""
    return np.broadcast_to(np.asarray(value, dtype=np.bool_), (count,))


def first_where(mask: NDArray[np.bool_] | bool) -> int:
    """Index of the first true entry (0 for a single value)."""
    return int(np.argmax(np.atleast_1d(mask)))


def mix(x: NDArray[np.uint32]) -> NDArray[np.uint32]:
    """A public-domain integer hash (xor-shift and multiply), modulo 2³²."""
    x = x ^ (x >> np.uint32(16))
    x = x * np.uint32(0x7FEB352D)
    x = x ^ (x >> np.uint32(15))
    x = x * np.uint32(0x846CA68B)
    return x ^ (x >> np.uint32(16))


def chance(n: Floats, across: Floats, up: Floats) -> Floats:
    """A number in [0, 1), the same for the same n, column and row on every machine; arrays (k,)."""

    def word(v: Floats) -> NDArray[np.uint32]:
        return np.mod(np.round(v), 2.0**32).astype(np.uint64).astype(np.uint32)

    return mix(mix(mix(word(n)) ^ word(across)) ^ word(up)) / 2.0**32
