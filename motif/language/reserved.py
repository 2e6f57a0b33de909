"""The words of the language that more than one stage needs, as tables.

A new technique, unit, function or stage is one line here and one word in the grammar; a test holds
the two together.
"""

from __future__ import annotations

from math import pi
from typing import NamedTuple

#: Exponents of length and angle: lengths (1, 0), angles (0, 1), volumes (3, 0), plain numbers (0, 0).
Dimension = tuple[int, int]


class Unit(NamedTuple):
    """One of the unit in the program's own measure: mm, radians, mm³, plain numbers."""

    dimension: Dimension
    factor: float


#: One inch is 25.4 mm by definition; one US customary teaspoon is 1/768 US gallon of 231 cubic inches.
_TEASPOON = 4928.92159375

UNITS: dict[str, Unit] = {
    "mm": Unit((1, 0), 1.0),
    "cm": Unit((1, 0), 10.0),
    "in": Unit((1, 0), 25.4),
    "deg": Unit((0, 1), pi / 180),
    "turn": Unit((0, 1), 2 * pi),
    "ml": Unit((3, 0), 1000.0),
    "tsp": Unit((3, 0), _TEASPOON),
    "tbsp": Unit((3, 0), 3 * _TEASPOON),
    "%": Unit((0, 0), 0.01),
}

#: How many arguments a function takes: at least, at most (None: any number).
FUNCTIONS: dict[str, tuple[int, int | None]] = {
    "min": (1, None),
    "max": (1, None),
    "abs": (1, 1),
    "round": (1, 1),
    "floor": (1, 1),
    "ceil": (1, 1),
    "sqrt": (1, 1),
    "sin": (1, 1),
    "cos": (1, 1),
    "tan": (1, 1),
    "even": (1, 1),
    "odd": (1, 1),
    "remainder": (2, 2),
    "chance": (1, 1),
}

TECHNIQUES: tuple[str, ...] = (
    "guide",
    "incise",
    "carve",
    "impress",
    "pierce",
    "roulette",
    "trail",
    "attach",
    "paint",
)

STAGES: tuple[str, ...] = ("wet", "leather-hard", "bone-dry", "bisque", "fired")

LANDMARKS: tuple[str, ...] = ("foot", "rim", "belly", "neck")

KINDS: tuple[str, ...] = ("count", "number", "length", "angle", "volume", "text", "tool")

#: Read in expressions, never defined.
NAMES_IN_SCOPE: tuple[str, ...] = (
    "columns",
    "rows",
    "column",
    "row",
    "vertical",
    "ring",
    "cell-width",
    "cell-height",
)

#: Words written in two ways, and the one the program goes on with.
SPELLINGS: dict[str, str] = {"color": "colour", "license": "licence", "biscuit": "bisque"}

#: Words that may never be names.
RESERVED: frozenset[str] = frozenset(
    {
        "language",
        "title",
        "by",
        "licence",
        "license",
        "take",
        "let",
        "clay",
        "form",
        "tool",
        "figure",
        "motif",
        "piece",
        "given",
        "grid",
        "each",
        "once",
        "band",
        "path",
        "draw",
        "if",
        "otherwise",
        "repeat",
        "note",
        "from",
        "circle",
        "rectangle",
        "dot",
        "offset",
        "along",
        "and",
        "or",
        "not",
        "where",
        "near",
        "every",
        "proportional",
        "chord",
        *TECHNIQUES,
        *FUNCTIONS,
        *(u for u in UNITS if u.isalpha()),
        *NAMES_IN_SCOPE,
    }
)
