"""Reads the words of the order of work as a potter does: which verticals, at which tapes.

Written from the key of the order of work alone, so that it can judge what says the same the other way round."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

#: A whole number, a fraction or both.
_NUMBER = r"\d+(?: \d+/\d+)?|\d+/\d+"
_ENDS = r"(?:st|nd|rd|th)"

#: How wide a column is, mm, at the level that is read; places beside verticals are told in mm.
Width = float


def value(text: str) -> float:
    return float(sum((Fraction(part) for part in text.split()), Fraction(0)))


def parts(text: str) -> list[str]:
    """The members of ``a, b and c``."""
    return [p for p in re.split(r", | and ", text) if p]


def verticals(words: str, columns: int, column: Width = 0.0) -> list[float]:
    """Columns to the right of vertical 1 of every place that ``words`` name, rising."""
    words, _, lacking = words.partition(", but not at ")
    found = {round(a % columns, 4) for a in _named(words.removeprefix("at "), columns, column)}
    missed = {round(a % columns, 4) for a in _listed(lacking, columns, column)} if lacking else set()
    assert missed <= found, (words, lacking)
    return sorted(found - missed)


def _named(words: str, columns: int, column: Width) -> list[float]:
    every = [float(k) for k in range(columns)]
    if words == "every vertical":
        return every
    if words == "half-way between the verticals":
        return [k + 0.5 for k in every]
    if m := re.fullmatch(rf"({_NUMBER}) of the way from every vertical to the next", words):
        return [k + value(m[1]) for k in every]
    if m := re.fullmatch(r"([\d.]+) mm (right|left) of every vertical", words):
        return [k + _beside(m[1], m[2], column) for k in every]
    if m := re.fullmatch(
        r"(.+), and so in every (?:(\d+)" + _ENDS + r" )?column(?: from there)?(?:, all round)?", words
    ):
        step = int(m[2] or 1)
        return [a + k for k in range(0, columns, step) for a in _listed(m[1], columns, column)]
    if m := re.fullmatch(r"(vertical [^,]+|[\d.]+ mm [^,]+) and (every [^,]+?)(?: from there, all round)?", words):
        (first,) = _listed(m[1], columns, column)
        step = _step(m[2])
        return [first + k * step for k in range(round(columns / step))]
    return _listed(words, columns, column)


def _step(words: str) -> float:
    if m := re.fullmatch(r"every (\d+)" + _ENDS + " vertical", words):
        return float(m[1])
    if m := re.fullmatch(rf"every ({_NUMBER}) columns?", words):
        return value(m[1])
    assert words == "every vertical", words
    return 1.0


def _beside(mm: str, side: str, column: Width) -> float:
    return float(mm) / column * (1 if side == "right" else -1)


def _listed(words: str, columns: int, column: Width) -> list[float]:
    found: list[float] = []
    step: float | None = None
    for part in parts(words):
        text = re.sub(r"^verticals? ", "", part)
        if m := re.fullmatch(r"(every .+) from vertical (.+) to vertical (.+)", text):
            step = _step(m[1])
            found += _run(m[2], m[3], step)
        elif m := re.fullmatch(r"from vertical (.+) to vertical (.+)", text):
            assert step is not None, words
            found += _run(m[1], m[2], step)
        elif m := re.fullmatch(rf"({_NUMBER}) to ({_NUMBER})", text):
            found += _run(m[1], m[2], 1.0)
        elif m := re.fullmatch(rf"([\d.]+) mm (right|left) of vertical ({_NUMBER})", part):
            found.append(value(m[3]) - 1 + _beside(m[1], m[2], column))
        else:
            found.append(value(text) - 1)
    return found


def _run(first: str, last: str, step: float) -> list[float]:
    count = round((value(last) - value(first)) / step)
    return [value(first) - 1 + k * step for k in range(count + 1)]


def tapes(words: str, rings: Sequence[float]) -> list[float]:
    """The tapes of ``on rings 0, 2 and 4 and at tapes 37.2 and 61 mm (half-way between rings)``."""
    words = re.sub(r" \([^)]*\)", "", words)
    found: list[float] = []
    for on in re.split(r" and (?=at tape)", words):
        if m := re.fullmatch(r"at tapes? (.+) mm", on):
            found += [float(t) for t in parts(m[1])]
        elif m := re.fullmatch(r"on rings? (\d+) to (\d+)", on):
            found += [rings[k] for k in range(int(m[1]), int(m[2]) + 1)]
        else:
            m = re.fullmatch(r"on rings? (.+)", on)
            assert m is not None, words
            found += [rings[int(k)] for k in parts(m[1])]
    return sorted(found)
