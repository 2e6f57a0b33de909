"""Words with lengths among them: what a message says before anyone has said in which unit they read it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Literal

from motif.language.record import record


@record
class Length:
    """A length of ``mm`` millimetres among words, worked out or measured; in mm it is said with ``decimals``.

    ``way`` is how it is said. ``fine``: it is compared with something, so as finely in other units as in mm.
    ``reading``: it is looked up on a tape or rule, so in inches in the parts that these have. ``plain``: with all its
    digits up to six. ``long``: beyond all pots, so in metres or feet. What quotes the text is no ``Length``: it stays
    as it is written."""

    mm: float
    decimals: int = 1
    way: Literal["fine", "reading", "long", "plain"] = "fine"


#: What stands among words: them themselves, and lengths.
Part = str | Length


@record
class Words:
    """A sentence or two as its parts. ``str`` says it in mm."""

    parts: tuple[Part, ...]

    def said(self, show: Callable[[Length], str]) -> str:
        """The whole, lengths as ``show`` says them with their unit."""
        return "".join(p if isinstance(p, str) else show(p) for p in self.parts)

    def __str__(self) -> str:
        return self.said(in_millimetres)


def words(*parts: Part | Words) -> Words:
    """Words one after the other: ``words("This is ", Length(3.2), " deep.")``."""
    return Words(tuple(q for p in parts for q in (p.parts if isinstance(p, Words) else (p,))))


def joined(between: str, items: Iterable[Part | Words]) -> Words:
    """Words with others between each two."""
    found: list[Part | Words] = []
    for item in items:
        found += [between, item] if found else [item]
    return words(*found)


def in_millimetres(length: Length) -> str:
    """``41.0 mm``, ``2.5 m``."""
    if length.way == "long":
        return f"{length.mm / 1000:.6g} m"
    if length.way == "plain":
        return f"{length.mm:.6g} mm"
    return f"{length.mm:.{length.decimals}f} mm"
