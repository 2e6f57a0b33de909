"""Numbers as text: the one place where a value becomes digits.

Data files carry fixed digits, so that the same text gives the same bytes everywhere; people read
lengths in the unit they asked for, inches as fractions to a thirty-second.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

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

#: Millilitres in a teaspoon and teaspoons in a tablespoon, US customary: the spoons that the language reads.
ML_PER_TEASPOON, _TABLESPOON = 4.92892159375, 3
#: Spoonfuls are told to an eighth, as measuring spoons go; what is under one and not within a fiftieth of so many
#: eighths, to two figures.
_PER_SPOON, _NEARLY = 8, 0.02
#: From so many numbers on it pays to look for those that are alike.
_MANY = 64

#: Into how many parts a unit is divided for people. A hair line of slip is 0.1 mm; rules of inches have 32nds.
_PER_UNIT: dict[Unit, int] = {"mm": 10, "cm": 100, "in": 32}
#: A size too small for these is shown to a thousandth of an inch.
_THOUSANDTHS, _FINE_DIGITS = 1000, 3


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
        texts = [t.rstrip("0").rstrip(".") if t[-1] == "0" else t for t in texts]
    return ["0" if t == "-0" else t for t in texts]


def decimals(steps: NDArray[np.int64], digits: int) -> list[str]:
    """``number`` of each of so many steps of the last digit kept, (n,): ``decimals([12500], 3)`` is ``["12.5"]``.

    Most of a drawing's steps come again and again, and each is written once."""
    if len(steps) < _MANY:
        return numbers((steps / 10**digits).tolist(), digits)
    different, which = np.unique(steps, return_inverse=True)
    texts = numbers((different / 10**digits).tolist(), digits)
    return [texts[k] for k in which.tolist()]


def in_unit(mm: float, unit: Unit) -> float:
    """A length of ``mm`` millimetres in ``unit``."""
    return mm / MM_PER_UNIT[unit]


def shown_length(mm: float, unit: Unit = "mm") -> Fraction:
    """The length that people are shown for one of ``mm``, exactly, in ``unit``.

    mm to 1/10, cm to 1/100, inches to 1/32. What is under half a thirty-second of an inch is not nothing, and is
    shown to a thousandth. Halves go up. Raises ``ValueError`` for NaN and the infinities."""
    if not math.isfinite(mm):
        raise ValueError(f"not a length that can be written: {mm!r}")
    per_unit = _PER_UNIT[unit]
    # Half up on the value as people read it: 0.25 mm is 0.3, whatever its binary neighbours.
    value = round(abs(mm) / MM_PER_UNIT[unit] * per_unit, 6)
    parts = Fraction(math.floor(value + 0.5), per_unit)
    if unit == "in" and not parts:
        parts = Fraction(math.floor(round(abs(mm) / MM_PER_UNIT[unit] * _THOUSANDTHS, 6) + 0.5), _THOUSANDTHS)
    return -parts if mm < 0 else parts


def rounding(mm: float, unit: Unit = "mm") -> float:
    """How far the length that people are shown lies from the true one, mm."""
    return abs(float(shown_length(mm, unit)) * MM_PER_UNIT[unit] - mm)


def length(mm: float, unit: Unit = "mm") -> str:
    """A length for people, without the unit: ``31.4``, ``3.14`` (cm), ``1 1/4`` (in, to 1/32), ``0.012`` (in).

    Raises ``ValueError`` for NaN and the infinities."""
    shown = shown_length(mm, unit)
    if unit != "in" or _PER_UNIT["in"] % shown.denominator:
        return number(float(shown), _FINE_DIGITS)
    whole, rest = divmod(abs(shown), 1)
    sign = "-" if shown < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


def length_with_unit(mm: float, unit: Unit = "mm") -> str:
    """``31.4 mm``, ``1 1/4 in``."""
    return f"{length(mm, unit)} {unit}"


def fine_with_unit(mm: float, unit: Unit = "mm") -> str:
    """How far paper and wall part, with its unit: ``0.31 mm``, ``0.012 in``; too little for a rule."""
    if unit == "in":
        return f"{number(in_unit(mm, unit), _FINE_DIGITS)} in"
    return f"{number(mm, 2)} mm"


def angle(degrees: float) -> str:
    """An angle for people, in degrees to two decimals, without the sign for degrees."""
    return number(degrees, 2)


def volume(ml: float, unit: Unit = "mm") -> str:
    """An amount of clay for people, without its unit: millilitres to 1/10, teaspoons (with inches) to 1/100."""
    return number(ml / ML_PER_TEASPOON, 2) if unit == "in" else number(ml, 1)


def volume_unit(unit: Unit = "mm") -> str:
    """In what ``volume`` is: ``ml``, or ``tsp`` with inches."""
    return "tsp" if unit == "in" else "ml"


def volume_with_unit(ml: float, unit: Unit = "mm", digits: int = 1) -> str:
    """``20.9 ml``, with so many ``digits``; with inches spoonfuls, ``0.14 tsp``, ``2 1/8 tsp``, ``1 3/8 tbsp``."""
    if unit != "in":
        return f"{number(ml, digits)} ml"
    spoons = ml / ML_PER_TEASPOON
    eighths = math.floor(round(spoons * _PER_SPOON, 6) + 0.5)
    if spoons < 1 and abs(eighths - spoons * _PER_SPOON) > _NEARLY * eighths:
        return f"{number(float(f'{spoons:.1e}'))} tsp"
    name = "tsp"
    if eighths >= _PER_SPOON * _TABLESPOON:
        name, eighths = "tbsp", math.floor(round(spoons / _TABLESPOON * _PER_SPOON, 6) + 0.5)
    whole, rest = divmod(Fraction(eighths, _PER_SPOON), 1)
    return f"{whole or ''}{' ' if whole and rest else ''}{rest or ''} {name}"
