"""Cleaned text → tokens.

A token is a word, a number, a text or a sign; which word of the language a word is, if any, is decided
where it stands, by the parser.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import SupportsIndex, overload

from motif.language.cleanup import MEANINGLESS, Cleaned
from motif.language.grammar import grammar
from motif.language.messages import Message, Messages
from motif.language.reserved import UNITS
from motif.language.source import Source, Span

WORD = "WORD"
END = "$END"

_NO_COMMENT = re.compile(r"//[^\n]*|/\*.*?(?:\*/|\Z)", re.DOTALL)
_POWER = re.compile(r"\^\s*[0-9]*|[²³]")
#: Signs of other languages → the word or sign that says the same.
_OTHER_SIGNS = {"!=": "<>", "&&": "and", "&": "and", "||": "or", "|": "or"}
_SQUARE = re.compile(r"\[[^\[\]{}]*\]")

_SINGLE_QUOTES = re.compile(r"""['‘’]([^'‘’"{}\n]*)['‘’]""")

_INSTEAD = {
    "[": "Use '(' and ')'.",
    "]": "Use '(' and ')'.",
    "'": 'A text stands between double quotes: "…".',
    "‘": 'A text stands between double quotes: "…".',
    "’": 'A text stands between double quotes: "…".',
    "÷": "Write '/'.",
    "^": "Write the factor as often as it is meant, as in a * a.",
    "²": "Write the factor as often as it is meant, as in a * a.",
}


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
            meant, end = _sign_meant(cleaned, at, tokens, squares, messages)
            if meant is None and text[at] == ";":
                idle.append(at)
                at, joined = at + 1, False
                continue
            if meant is None:
                measured = joined and tokens[-1].kind == "NUMBER"
                at, joined = _meaningless(cleaned, at, messages, measured), False
                continue
            kind = "TEXT" if meant[0] == '"' else grammar().signs.get(meant, WORD)
            tokens.append(Token(kind, meant, cleaned.starts[at], cleaned.ends[end - 1], joined))
            at, joined = end, True
            continue
        end = match.end()
        if text[at] == "/" and (comment := _NO_COMMENT.match(text, at)) is not None:
            at, joined = comment.end(), False
            _say_how_to_comment(cleaned.span(comment.start(), at), messages)
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
        more = f" ({len(idle)} of them in this text)" if len(idle) > 1 else ""
        messages.add(
            Message(
                "syntax",
                f"';' has no meaning here{more}.",
                cleaned.span(idle[0], idle[0] + 1),
                "Nothing needs to stand between statements.",
            )
        )
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
    cleaned: Cleaned, at: int, tokens: list[Token], squares: set[int], messages: Messages
) -> tuple[str | None, int]:
    """The sign or word meant by a sign that is not of the language, after saying so, and where it ends; None where
    none is plain."""
    sign = cleaned.text[at]
    if sign == "[" and (pair := _SQUARE.match(cleaned.text, at)) is not None:
        squares.add(pair.end() - 1)
        span = cleaned.span(at, pair.end())
        inner = " ".join(span.text[1:-1].split())
        messages.add(Message("syntax", "Brackets are round.", span, f"Write '({inner})'."))
        return "(", at + 1
    if (quoted := _SINGLE_QUOTES.match(cleaned.text, at)) is not None:
        span = cleaned.span(at, quoted.end())
        messages.add(Message("syntax", "A text stands between double quotes.", span, f"Write '\"{quoted[1]}\"'."))
        return f'"{quoted[1]}"', quoted.end()
    if sign == "]" and at in squares:
        return ")", at + 1
    if sign == ";" and _in_brackets(tokens):
        messages.add(
            Message("syntax", "In brackets a comma parts one from the next.", cleaned.span(at, at + 1), "Write ','.")
        )
        return ",", at + 1
    for other in (cleaned.text[at : at + 2], sign):
        if (meant := _OTHER_SIGNS.get(other)) is not None:
            end = at + len(other)
            text = f"'{other}' is not a sign of the language."
            messages.add(Message("syntax", text, cleaned.span(at, end), f"Write '{meant}'."))
            return meant, end
    return None, at


def _in_brackets(tokens: list[Token]) -> bool:
    for token in reversed(tokens):
        if token.kind in ("LEFT_BRACKET", "RIGHT_BRACKET", "LEFT_BRACE", "RIGHT_BRACE"):
            return token.kind == "LEFT_BRACKET"
    return False


def _say_how_to_comment(span: Span, messages: Messages) -> None:
    messages.add(
        Message(
            "syntax",
            f"'{span.text[:2]}' does not begin a comment.",
            span,
            "Begin it with '#'; a remark that others should read is note \"…\".",
        )
    )


def _meaningless(cleaned: Cleaned, at: int, messages: Messages, measured: bool) -> int:
    """Report a run of signs that mean nothing, ``measured`` where a number stands right before it; where it ends."""
    end = at + 1
    if (power := _POWER.match(cleaned.text, at)) is not None:
        end = power.end()
    while end < len(cleaned.text) and cleaned.text[end] == cleaned.text[at] == MEANINGLESS:
        end += 1
    span = cleaned.span(at, end)
    if measured and span.text in _FEET:
        says, remedy = f"The sign {span.text} does not mean feet.", "Write inches: a foot is 12 in."
    else:
        says, remedy = (
            f"'{span.text}' has no meaning here.",
            _INSTEAD.get(span.text[:1], "Leave it out, or put it in quotes."),
        )
    messages.add(Message("syntax", says, span, remedy))
    return end


#: behind a number, feet to those who measure in them
_FEET = frozenset("'’‘′")


def _check_comment(cleaned: Cleaned, start: int, end: int, messages: Messages) -> None:
    brace = re.search("[{}]", cleaned.text[start:end])
    if brace is not None:
        messages.add(
            Message(
                "comment-swallows",
                f"This comment swallows a '{brace.group()}'.",
                cleaned.span(start, end),
                "A '#' hides everything to the end of its line. If line breaks were lost on the way, write "
                'remarks with the word note and a text: note "…".',
            )
        )


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
        Message(
            "syntax",
            f"A minus needs spaces: '{cleaned.text[start:end]}' is read as one name.",
            span,
            f"Write '{tokens[-1].text} {unit} - {rest}'.",
        )
    )
    return start + len(unit)
