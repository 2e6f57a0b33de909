"""Kinds of values and the rules by which they combine.

A quantity's kind is a pair of exponents, (length, angle): a length is (1, 0), an angle (0, 1), a
volume (3, 0), a plain number or count (0, 0). Products may leave the named kinds on the way.
"""

from __future__ import annotations

from dataclasses import dataclass

from motif.language.reserved import Dimension


@dataclass(frozen=True, slots=True)
class Kind:
    """``word`` for what is not a quantity (``text``, ``tool``, ``truth``); else ``dimension``.

    ``whole`` marks a count: a number that must be whole when it is known."""

    dimension: Dimension | None = None
    word: str = "quantity"
    whole: bool = False

    @property
    def is_quantity(self) -> bool:
        return self.dimension is not None

    def fits(self, wanted: Kind) -> bool:
        """Whether a value of this kind may stand where ``wanted`` is asked for (wholeness is checked later)."""
        return self.dimension == wanted.dimension and self.word == wanted.word

    def __str__(self) -> str:
        if self.dimension is None:
            return {"text": "a text", "tool": "a tool", "truth": "a condition", "path": "a path"}[self.word]
        if self.whole:
            return "a count"
        named = _NAMED.get(self.dimension)
        if named is not None:
            return named
        parts = [
            f"{word} to the power {n}" if n != 1 else word
            for word, n in zip(("length", "angle"), self.dimension, strict=True)
            if n
        ]
        return " × ".join(parts)


_NAMED = {
    (0, 0): "a number",
    (1, 0): "a length",
    (0, 1): "an angle",
    (3, 0): "a volume",
    (2, 0): "a length × a length",
    (-1, 0): "a number ÷ a length",
}

NUMBER = Kind((0, 0))
COUNT = Kind((0, 0), whole=True)
LENGTH = Kind((1, 0))
ANGLE = Kind((0, 1))
VOLUME = Kind((3, 0))
TEXT = Kind(None, "text")
TOOL = Kind(None, "tool")
TRUTH = Kind(None, "truth")
PATH = Kind(None, "path")

#: the kinds a ``given`` may name
BY_WORD = {
    "count": COUNT,
    "number": NUMBER,
    "length": LENGTH,
    "angle": ANGLE,
    "volume": VOLUME,
    "text": TEXT,
    "tool": TOOL,
}

#: what may be read of a tool after a dot
TOOL_FIELDS: dict[str, Dimension] = {
    "wide": (1, 0),
    "tall": (1, 0),
    "cuts": (1, 0),
    "deep": (1, 0),
    "pitch": (1, 0),
    "volume": (3, 0),
}

#: numbers nearer than this are equal; lengths (mm) nearer than ``LENGTH_STEP`` are
NUMBER_STEP = 1e-9
LENGTH_STEP = 1e-6


def tolerance(kind: Kind) -> float:
    """The difference below which two values of a kind count as equal, in the kind's inner unit."""
    return LENGTH_STEP if kind.dimension is not None and kind.dimension[0] else NUMBER_STEP


def quantity(dimension: Dimension) -> Kind:
    return Kind(dimension)
