"""JSON as text, with our own digits.

The standard encoder writes floats with as many digits as they have, and in exponents; here every
float goes through ``numbers.number``. Objects and lists of plain values stand on one line, others
are broken, so that a file of marks reads, and compares, one mark a line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from json.encoder import encode_basestring
from typing import TypeAlias, Union, cast

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.outputs.numbers import ANGLE_DIGITS, DATA_DIGITS, PATH_DIGITS, number, numbers

Json: TypeAlias = Union[bool, int, float, str, "Records", "Trail", Sequence["Json"], Mapping[str, "Json"], None]


_STEERING = re.compile("[\x7f-\x9f\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


class Degrees(float):
    """An angle in degrees, which is written finer than a length."""


@record
class Records:
    """A list of objects with the same keys, held by columns: ``{"ring": [0, 1], "tape": [0.0, 25.0]}``.

    A million marks are then a few lists instead of a million dictionaries."""

    columns: Mapping[str, Sequence[Json]]

    def __len__(self) -> int:
        return len(next(iter(self.columns.values()), ()))


@record
class Trail:
    """Points, (k, n), written as a list of lists of n numbers; one point, (n,), as one such list."""

    points: NDArray[np.float64]


def dumps(value: Json) -> str:
    """``value`` as JSON text with a line end. Raises ``ValueError`` for NaN and the infinities."""
    return "".join(_write(value, "")) + "\n"


def _write(value: Json, indent: str) -> Iterator[str]:
    inner = indent + " "
    if isinstance(value, Records):
        yield from _broken("[", [[row] for row in _rows(value)], "]", indent)
    elif isinstance(value, Mapping):
        items = [(_plain(k), v) for k, v in value.items()]
        if all(_is_plain(v) for v in value.values()):
            yield "{" + ", ".join(f"{k}: {_plain(v)}" for k, v in items) + "}"
        else:
            yield from _broken("{", ([f"{k}: ", *_write(v, inner)] for k, v in items), "}", indent)
    elif isinstance(value, Sequence) and not isinstance(value, str):
        if all(_is_plain(v) for v in value):
            yield "[" + ", ".join(_plain(v) for v in value) + "]"
        else:
            yield from _broken("[", (list(_write(v, inner)) for v in value), "]", indent)
    else:
        yield _plain(value)


def _broken(opening: str, items: Iterator[list[str]] | Sequence[list[str]], closing: str, indent: str) -> Iterator[str]:
    yield opening
    empty = True
    for item in items:
        yield "\n" if empty else ",\n"
        empty = False
        yield indent + " "
        yield from item
    yield closing if empty else "\n" + indent + closing


def _is_plain(value: Json) -> bool:
    return value is None or isinstance(value, str | int | float | Trail)


def _plain(value: Json) -> str:
    if value is None:
        return "null"
    if isinstance(value, str):
        # A lone surrogate cannot be written as UTF-8, and what steers a terminal or turns the direction of the text
        # around it is written out; everything else stands as it is.
        text = encode_basestring(value.encode("utf-8", "replace").decode("utf-8"))
        return _STEERING.sub(lambda m: f"\\u{ord(m[0]):04x}", text)
    if isinstance(value, bool | np.bool_):
        return "true" if value else "false"
    if isinstance(value, int | np.integer):
        return str(int(value))
    if isinstance(value, float):
        return number(value, ANGLE_DIGITS if isinstance(value, Degrees) else DATA_DIGITS)
    if isinstance(value, Trail):
        return _trail(value)
    raise TypeError(f"cannot be written as JSON: {type(value).__name__}")


def _rows(records: Records) -> list[str]:
    keys = [_plain(key).replace("{", "{{").replace("}", "}}") for key in records.columns]
    template = "{{" + ", ".join(f"{key}: {{}}" for key in keys) + "}}"
    columns = [_texts(column) for column in records.columns.values()]
    return [template.format(*row) for row in zip(*columns, strict=True)]


def _texts(column: Sequence[Json]) -> list[str]:
    """The cells of a column; a million of them, so floats are written in bulk and the rest only once each."""
    kinds = set(map(type, column))
    if kinds == {float} or kinds == {Degrees}:
        digits = ANGLE_DIGITS if Degrees in kinds else DATA_DIGITS
        return numbers(cast("Sequence[float]", column), digits)
    if kinds <= {str, int, type(None)}:
        known = {v: _plain(v) for v in set(column)}
        return [known[v] for v in column]
    return [_plain(v) for v in column]


def _trail(trail: Trail) -> str:
    texts = numbers(trail.points.ravel().tolist(), PATH_DIGITS)
    if trail.points.ndim == 1:
        return "[" + ", ".join(texts) + "]"
    n = trail.points.shape[1]
    points = (", ".join(texts[i : i + n]) for i in range(0, len(texts), n))
    return "[" + ", ".join(f"[{point}]" for point in points) + "]"
