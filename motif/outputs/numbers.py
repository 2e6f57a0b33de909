"""Numbers as text: the one place where a value becomes digits.

Data files carry fixed digits, so that the same text gives the same bytes everywhere; people read
lengths in the unit they asked for, inches as fractions to a sixteenth.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, get_args

Unit = Literal["mm", "cm", "in"]

#: The units of ``--unit``, in the order in which help lists them.
UNITS: tuple[Unit, ...] = get_args(Unit)

#: Millimetres in one unit. The inch is exact (international inch, 1959).
MM_PER_UNIT: dict[Unit, float] = {"mm": 1.0, "cm": 10.0, "in": 25.4}

#: Decimals that data keep of a length, an area or a volume; and of an angle in degrees, which is finer
#: because a whole pot hangs on it (1e-6 of a degree is 2e-6 mm on a pot 200 mm across).
DATA_DIGITS = 6
ANGLE_DIGITS = 9
#: Decimals of the points along a path in data, and of a drawing's coordinates in mm.
PATH_DIGITS = 4
DRAWING_DIGITS = 3

#: Decimals of a length for people. A hair line of slip is 0.1 mm.
_PEOPLE_DIGITS: dict[Unit, int] = {"mm": 1, "cm": 2, "in": 0}
_SIXTEENTHS = 16


def number(value: float, digits: int = DATA_DIGITS) -> str:
    """``value`` in decimal digits, at most ``digits`` of them after the point.

    No exponent, no trailing zeros, no ``-0``: ``number(12.50)`` is ``12.5``, ``number(-1e-9)`` is ``0``.
    Raises ``ValueError`` for NaN and the infinities.
    """
    if not math.isfinite(value):
        raise ValueError(f"not a number that can be written: {value!r}")
    text = f"{value:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def numbers(values: Sequence[float], digits: int = DATA_DIGITS) -> list[str]:
    """``number`` of each value, many at once: a million in about a second.

    Raises ``ValueError`` if any is NaN or infinite."""
    if not values:
        return []
    if not all(map(math.isfinite, values)):
        return [number(v, digits) for v in values]  # which names the culprit
    texts = (f"%.{digits}f\n" * len(values) % tuple(values)).split("\n")[:-1]
    if digits:
        texts = [t.rstrip("0").rstrip(".") for t in texts]
    return ["0" if t == "-0" else t for t in texts]


def in_unit(mm: float, unit: Unit) -> float:
    """A length of ``mm`` millimetres in ``unit``."""
    return mm / MM_PER_UNIT[unit]


def length(mm: float, unit: Unit = "mm") -> str:
    """A length for people, without the unit: ``31.4``, ``3.14`` (cm), ``1 1/4`` (in, to 1/16).

    Halves of the last place go up. Raises ``ValueError`` for NaN and the infinities.
    """
    if unit == "in":
        return _inches(mm)
    digits = _PEOPLE_DIGITS[unit]
    # Half up on the decimal value as people read it: 0.25 mm is 0.3, whatever its binary neighbours.
    scaled = round(in_unit(mm, unit) * 10**digits, 6) if math.isfinite(mm) else mm
    return number(math.floor(scaled + 0.5) / 10**digits if math.isfinite(mm) else mm, digits)


def length_with_unit(mm: float, unit: Unit = "mm") -> str:
    """``31.4 mm``, ``1 1/4 in``."""
    return f"{length(mm, unit)} {unit}"


def angle(degrees: float) -> str:
    """An angle for people, in degrees to two decimals, without the sign for degrees."""
    return number(degrees, 2)


def _inches(mm: float) -> str:
    if not math.isfinite(mm):
        raise ValueError(f"not a length that can be written: {mm!r}")
    parts = math.floor(round(abs(mm) / MM_PER_UNIT["in"] * _SIXTEENTHS, 6) + 0.5)
    whole, rest = divmod(parts, _SIXTEENTHS)
    sign = "-" if mm < 0 and parts else ""
    if not rest:
        return f"{sign}{whole}"
    common = math.gcd(rest, _SIXTEENTHS)
    fraction = f"{rest // common}/{_SIXTEENTHS // common}"
    return f"{sign}{whole} {fraction}" if whole else f"{sign}{fraction}"
