"""Words with lengths among them: what a message says before anyone has said in which unit they read it."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from motif.language.record import record


@record
class Length:
    """A length of ``mm`` millimetres among words, worked out or measured; in mm it is said with ``decimals``.

    A ``reading`` is looked up on a tape or rule, so in inches it is said in the parts that these have; any other is
    compared with something, and said as finely as in mm. What quotes the text is no ``Length``: it stays as written."""

    mm: float
    decimals: int = 1
    reading: bool = False


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
    """``41.0 mm``."""
    return f"{length.mm:.{length.decimals}f} mm"
