"""Reads SVG path data by the grammar of SVG 2 ("The grammar for path data"), for the tests of our writer.

Only what the grammar says, and nothing shared with the writer: numbers may touch where a sign or a second
point ends them, one comma may stand between two, flags are single digits, the first command is a moveto.
"""

from __future__ import annotations

import re

_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_FLAG = re.compile(r"[01]")
_SPACE = re.compile(r"[\t\n\f\r ]*")
_COMMA = re.compile(r"[\t\n\f\r ]*,?[\t\n\f\r ]*")
_SHAPES = {
    "M": "nn",
    "L": "nn",
    "H": "n",
    "V": "n",
    "C": "nnnnnn",
    "S": "nnnn",
    "Q": "nnnn",
    "T": "nn",
    "A": "nnnffnn",
}


class NotPathDataError(ValueError):
    pass


def commands(d: str) -> list[tuple[str, list[float]]]:
    """The commands with all their numbers. Raises ``NotPathDataError``."""
    found: list[tuple[str, list[float]]] = []
    at = _end(_SPACE, d, 0)
    while at < len(d):
        letter = d[at]
        if letter.upper() not in "MLHVCSQTAZ" or (not found and letter.upper() != "M"):
            raise NotPathDataError(d)
        at = _end(_SPACE, d, at + 1)
        numbers: list[float] = []
        if letter.upper() != "Z":
            shape = _SHAPES[letter.upper()]
            while True:
                for i, kind in enumerate(shape):
                    match = (_FLAG if kind == "f" else _NUMBER).match(d, at)
                    if not match:
                        raise NotPathDataError(d)
                    numbers.append(float(match[0]))
                    at = _end(_COMMA, d, match.end()) if i < len(shape) - 1 else match.end()
                following = _end(_COMMA, d, at)
                if not _NUMBER.match(d, following):
                    at = _end(_SPACE, d, at)
                    break
                at = following
        found.append((letter, numbers))
    return found


def polylines(d: str) -> list[tuple[list[tuple[float, float]], bool]]:
    """The polylines of data made of M, l and z alone, in absolute coordinates, and whether each is closed."""
    lines: list[tuple[list[tuple[float, float]], bool]] = []
    for letter, numbers in commands(d):
        pairs = list(zip(numbers[::2], numbers[1::2], strict=True))
        if letter == "M":
            lines.append(([pairs[0]], False))
        elif letter == "l":
            points = lines[-1][0]
            for dx, dy in pairs:
                points.append((points[-1][0] + dx, points[-1][1] + dy))
        elif letter == "z":
            lines[-1] = (lines[-1][0], True)
        else:
            raise NotPathDataError(f"{letter} in {d}")
    return lines


def _end(pattern: re.Pattern[str], text: str, at: int) -> int:
    match = pattern.match(text, at)
    return match.end() if match else at
