"""Slips that read as correct text, told from the tokens alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from motif.language.messages import Message
from motif.language.reserved import RESERVED, UNITS
from motif.language.scanner import WORD, Token
from motif.language.source import Source, Span
from motif.language.stuck import Edit, Slip

_LENGTHS = frozenset(name for name, unit in UNITS.items() if unit.dimension == (1, 0))
_BEFORE_NAMES = frozenset({"let", "path", "given", "as", "take", ",", "tool", "figure"})


def plain_slips(source: Source, tokens: list[Token]) -> Iterator[Slip]:
    """All such slips of a text, the last first, so that taking one does not move the others."""
    defined = _defined(tokens)
    for i in range(len(tokens) - 4, -1, -1):
        slip = fraction_by_minus(source, tokens, i) or minus_in_name(source, tokens, i, defined)
        if slip is not None:
            yield slip


def fraction_by_minus(source: Source, tokens: list[Token], i: int) -> Slip | None:
    """``1-1/2 in``."""
    whole, minus, fraction, unit = tokens[i : i + 4]
    if not (
        whole.kind == "NUMBER"
        and whole.text.isdigit()
        and minus.kind == "MINUS"
        and minus.joined
        and fraction.kind == "NUMBER"
        and "/" in fraction.text
        and " " not in fraction.text
        and fraction.joined
        and unit.text in _LENGTHS
    ):
        return None
    if i > 0 and tokens[i - 1].kind in ("STAR", "SLASH"):
        return None
    meant = f"{whole.text} {fraction.text}"
    message = Message(
        "wrong-kind",
        f"'{whole.text}-{fraction.text} {unit.text}' takes a length from a plain number.",
        Span(source, whole.start, unit.end),
        f"For a mixed number write '{meant} {unit.text}'.",
    )
    return Slip(message, Edit(i, i + 3, (replace(whole, text=meant, end=fraction.end),)))


def minus_in_name(source: Source, tokens: list[Token], i: int, defined: frozenset[str] | None) -> Slip | None:
    """``k-1/2``, where there is no ``k-1``."""
    name, slash, below = tokens[i : i + 3]
    if defined is None or name.kind != WORD or name.text in defined:
        return None
    first, hyphen, above = name.text.rpartition("-")
    if not (
        hyphen
        and above.isdigit()
        and slash.kind == "SLASH"
        and slash.joined
        and below.kind == "NUMBER"
        and below.text.isdigit()
        and below.joined
    ):
        return None
    if first not in defined and first not in RESERVED:
        return None
    number = f"{above}/{below.text}"
    message = Message(
        "syntax",
        f"A minus behind a name needs spaces: '{name.text}' is read as one name.",
        Span(source, name.start, below.end),
        f"Write '{first} - {number}'.",
    )
    cut = name.start + len(first)
    return Slip(
        message,
        Edit(
            i,
            i + 3,
            (
                replace(name, text=first, end=cut),
                Token("MINUS", "-", cut, cut + 1, True),
                Token("NUMBER", number, cut + 1, below.end, True),
            ),
        ),
    )


def _defined(tokens: list[Token]) -> frozenset[str] | None:
    """Every name that the file seems to define; None where ``take all`` may bring any."""
    names: set[str] = set()
    for before, token in pairwise(tokens):
        if before.text == "take" and token.text == "all":
            return None
        if token.kind == WORD and before.text in _BEFORE_NAMES:
            names.add(token.text)
    return frozenset(names)
