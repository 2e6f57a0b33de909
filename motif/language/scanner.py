"""Cleaned text → tokens.

A token is a word, a number, a text or a sign; which word of the language a word is, if any, is decided
where it stands, by the parser.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import SupportsIndex, overload

from motif.language import reading_faults
from motif.language.cleanup import MEANINGLESS, Cleaned
from motif.language.grammar import grammar
from motif.language.messages import Messages
from motif.language.reserved import UNITS
from motif.language.source import Source, Span

WORD = "WORD"
END = "$END"

_NO_COMMENT = re.compile(r"//[^\n]*|/\*.*?(?:\*/|\Z)", re.DOTALL)
_POWER = re.compile(r"\^\s*[0-9]*|[²³]")
#: Signs of other languages → the word or sign that says the same.
_OTHER_SIGNS = {"!=": "<>", "&&": "and", "&": "and", "||": "or", "|": "or"}
_SQUARE = re.compile(r"\[[^\[\]{}]*\]")

#: behind a number, feet to those who measure in them
_FEET = frozenset("'’‘′")
_SINGLE_QUOTES = re.compile(r"""['‘’]([^'‘’"{}\n]*)['‘’]""")


@dataclass(frozen=True, slots=True)
class Token:
    """``kind`` is ``WORD``, ``NUMBER``, ``TEXT``, the terminal of a sign, or ``END``.

    ``start`` and ``end`` are offsets into the text as written, ``text`` is as cleaned. ``joined`` says
    that nothing stands between this token and the one before it.
    """

    kind: str
    text: str
    start: int
    end: int
    joined: bool

    def span(self, source: Source) -> Span:
        return Span(source, self.start, self.end)


class Tokens(list[Token]):
    """The tokens of a text, the last of kind ``END``: behind it there is nothing but the end again."""

    @overload
    def __getitem__(self, at: SupportsIndex) -> Token: ...

    @overload
    def __getitem__(self, at: slice) -> list[Token]: ...

    def __getitem__(self, at: SupportsIndex | slice) -> Token | list[Token]:
        if isinstance(at, slice):
            return list.__getitem__(self, at)
        return list.__getitem__(self, min(at.__index__(), len(self) - 1))


def scan(cleaned: Cleaned, messages: Messages) -> Tokens:
    """All tokens of a text, the last of kind ``END``.

    Reports signs that mean nothing, comments that hold a brace or begin as in other languages, and a minus
    without spaces behind a unit. Square brackets, and a semicolon between brackets, are read as what was meant.
    """
    tokens = Tokens()
    text, at, joined = cleaned.text, 0, False
    pattern = _pattern()
    squares: set[int] = set()  # where square brackets close that have been told of
    idle: list[int] = []  # where semicolons stand between statements
    while at < len(text):
        match = pattern.match(text, at)
        kind = match.lastgroup if match is not None else None
        if match is None or kind is None:
            measured = joined and tokens[-1].kind == "NUMBER"
            meant, end = _sign_meant(cleaned, at, tokens, squares, measured, messages)
            if meant is None and text[at] == ";":
                idle.append(at)
                at, joined = at + 1, False
                continue
            if meant is None and measured and text[at] in _FEET:
                messages.add(reading_faults.feet(cleaned.span(at, at + 1)))
                meant, end = "in", at + 1  # so that the number is not said to lack a unit, too
            if meant is None:
                at, joined = _meaningless(cleaned, at, messages), False
                continue
            kind = "TEXT" if meant[0] == '"' else grammar().signs.get(meant, WORD)
            tokens.append(Token(kind, meant, cleaned.starts[at], cleaned.ends[end - 1], joined))
            at, joined = end, True
            continue
        end = match.end()
        if text[at] == "/" and (comment := _NO_COMMENT.match(text, at)) is not None:
            at, joined = comment.end(), False
            messages.add(reading_faults.no_comment(cleaned.span(comment.start(), at)))
            continue
        if kind == "SPACE":
            joined = False
        elif kind == "COMMENT":
            joined = False
            _check_comment(cleaned, at, end, messages)
        else:
            if kind == "WORD":
                end = _end_of_unit(cleaned, at, end, tokens, messages)
            spelling = text[at:end]
            tokens.append(
                Token(
                    grammar().signs[spelling] if kind == "SIGN" else kind,
                    spelling,
                    cleaned.starts[at],
                    cleaned.ends[end - 1],
                    joined,
                )
            )
            joined = True
        at = end
    if idle:
        messages.add(reading_faults.idle_semicolon(cleaned.span(idle[0], idle[0] + 1), len(idle)))
    tokens.append(Token(END, "", len(cleaned.source.text), len(cleaned.source.text), False))
    return tokens


@cache
def _pattern() -> re.Pattern[str]:
    """One pattern whose group names are the kinds of tokens."""
    g = grammar()
    # % is a unit and a sign; the longest sign comes first, or <= would be read as < and =.
    signs = sorted(g.signs, key=lambda s: (-len(s), s))
    return re.compile(
        "|".join(
            (
                f"(?P<SPACE>{g.patterns['SPACE']})",
                f"(?P<COMMENT>{g.patterns['COMMENT']})",
                f"(?P<TEXT>{g.patterns['TEXT']})",
                f"(?P<NUMBER>{g.patterns['NUMBER']})",
                f"(?P<WORD>{g.patterns['NAME']}|%)",
                f"(?P<SIGN>{'|'.join(re.escape(s) for s in signs)})",
            )
        )
    )


def _sign_meant(
    cleaned: Cleaned, at: int, tokens: list[Token], squares: set[int], measured: bool, messages: Messages
) -> tuple[str | None, int]:
    """The sign or word meant by a sign that is not of the language, after saying so, and where it ends; None where
    none is plain."""
    sign = cleaned.text[at]
    if sign == "[" and (pair := _SQUARE.match(cleaned.text, at)) is not None:
        squares.add(pair.end() - 1)
        span = cleaned.span(at, pair.end())
        messages.add(reading_faults.square_brackets(span))
        return "(", at + 1
    if not measured and (quoted := _SINGLE_QUOTES.match(cleaned.text, at)) is not None:
        span = cleaned.span(at, quoted.end())
        messages.add(reading_faults.single_quotes(span, quoted[1]))
        return f'"{quoted[1]}"', quoted.end()
    if sign == "]" and at in squares:
        return ")", at + 1
    if sign == ";" and _in_brackets(tokens):
        messages.add(reading_faults.semicolon_for_comma(cleaned.span(at, at + 1)))
        return ",", at + 1
    for other in (cleaned.text[at : at + 2], sign):
        if (meant := _OTHER_SIGNS.get(other)) is not None:
            end = at + len(other)
            messages.add(reading_faults.other_sign(cleaned.span(at, end), other, meant))
            return meant, end
    return None, at


def _in_brackets(tokens: list[Token]) -> bool:
    for token in reversed(tokens):
        if token.kind in ("LEFT_BRACKET", "RIGHT_BRACKET", "LEFT_BRACE", "RIGHT_BRACE"):
            return token.kind == "LEFT_BRACKET"
    return False


def _meaningless(cleaned: Cleaned, at: int, messages: Messages) -> int:
    """Report a run of signs that mean nothing; where it ends."""
    end = at + 1
    if (power := _POWER.match(cleaned.text, at)) is not None:
        end = power.end()
    while end < len(cleaned.text) and cleaned.text[end] == cleaned.text[at] == MEANINGLESS:
        end += 1
    span = cleaned.span(at, end)
    messages.add(reading_faults.meaningless(span))
    return end


def _check_comment(cleaned: Cleaned, start: int, end: int, messages: Messages) -> None:
    brace = re.search("[{}]", cleaned.text[start:end])
    if brace is not None:
        messages.add(reading_faults.comment_with_brace(cleaned.span(start, end), brace.group()))


def _end_of_unit(cleaned: Cleaned, start: int, end: int, tokens: list[Token], messages: Messages) -> int:
    """Where a word ends, with ``mm-2`` in ``5 mm-2 mm`` read as ``mm``."""
    unit, hyphen, _ = cleaned.text[start:end].partition("-")
    if not hyphen or unit not in UNITS or not tokens or tokens[-1].kind != "NUMBER":
        return end
    number, name = grammar().patterns["NUMBER"], grammar().patterns["NAME"]
    behind = re.compile(rf"(?:{number})(?:\s*(?:{'|'.join(UNITS)}))?|{name}")
    subtracted = behind.match(cleaned.text, start + len(unit) + 1)
    rest_end = subtracted.end() if subtracted is not None else end
    span = Span(cleaned.source, tokens[-1].start, cleaned.ends[rest_end - 1])
    rest = cleaned.text[start + len(unit) + 1 : rest_end]
    messages.add(
        reading_faults.minus_behind_a_unit(span, cleaned.text[start:end], f"{tokens[-1].text} {unit} - {rest}")
    )
    return start + len(unit)
