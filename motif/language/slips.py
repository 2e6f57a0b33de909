"""Slips that potters make, each with its own words, and what was meant instead.

A slip is found where the parser is stuck. Where it is plain what was meant, the slip carries an edit of
the tokens; the parser takes it if the text then goes on, so that one slip gives one message and what
follows is read as meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from motif.language.grammar import grammar
from motif.language.messages import Message
from motif.language.reserved import FUNCTIONS, RESERVED, TECHNIQUES, UNITS
from motif.language.scanner import END, WORD, Token
from motif.language.source import Source, Span
from motif.language.spelling import nearest
from motif.language.stuck import Edit, Slip, Stuck
from motif.language.wording import COMPARING, WORDS, spellings

_LENGTHS = frozenset(name for name, unit in UNITS.items() if unit.dimension == (1, 0))
_MODIFIERS = frozenset({"depth", "width", "pitch", "with", "colour", "color", "unbroken"})
#: How many tokens back a slip is looked for that shows only later: ``circel at (0, 0) across``.
_FAR = 12
_BEFORE_NAMES = frozenset({"let", "path", "given", "as", "take", ",", "tool", "figure"})
_DOUBLED = {"==": "=", "=<": "<=", "=>": ">="}
#: Signs and words that are put in where nothing else fits: those that only join what is there.
_PUT_IN = frozenset(
    {
        "TO",
        "OF",
        "AT",
        "BY",
        "AS",
        "FROM",
        "CELLS",
        "RISE",
        "THROUGH",
        "LEAVING",
        "ARRIVING",
        "FACING",
        "WIDE",
        "ACROSS",
        "EVERY",
        "WHERE",
        "COLUMNS",
        "ROWS",
        "LINE",
        "LEFT_BRACE",
        "RIGHT_BRACKET",
        "EQUAL",
        "COLON",
        "COMMA",
    }
)


def plain_slips(source: Source, tokens: list[Token]) -> Iterator[Slip]:
    """Slips that read as correct text and are told from the tokens alone, the last first."""
    defined = _defined(tokens)
    for i in range(len(tokens) - 4, -1, -1):
        slip = _fraction_by_minus(source, tokens, i) or _minus_in_name(source, tokens, i, defined)
        if slip is not None:
            yield slip


def find(stuck: Stuck) -> Slip | None:
    """The slip that explains why the text does not go on, if one of them does."""
    for look in (
        _decimal_comma,
        _doubled_sign,
        _minus_before_length,
        _comparison_chain,
        _rotated_footprint,
        _name_of_the_language,
        _unknown_function,
        _nothing_worked,
        _split_word,
        _misspelt,
        _left_out,
    ):
        slip = look(stuck)
        if slip is not None and (slip.edit is None or stuck.helps(slip.edit)):
            return slip
    return None


# ------------------------------------------------------------------------------------- told from tokens


def _fraction_by_minus(source: Source, tokens: list[Token], i: int) -> Slip | None:
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


def _minus_in_name(source: Source, tokens: list[Token], i: int, defined: frozenset[str] | None) -> Slip | None:
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


# ------------------------------------------------------------------------------ told where it does not fit


def _decimal_comma(stuck: Stuck) -> Slip | None:
    """``2,5 mm``."""
    for i in range(min(stuck.at + 1, len(stuck.tokens) - 2), max(stuck.begin, stuck.at - _FAR) - 1, -1):
        if i < 1:
            break
        whole, comma, rest = stuck.tokens[i - 1 : i + 2]
        if (
            comma.kind == "COMMA"
            and comma.joined
            and rest.joined
            and whole.kind == rest.kind == "NUMBER"
            and whole.text.isdigit()
            and rest.text.isdigit()
        ):
            number = f"{whole.text}.{rest.text}"
            edit = Edit(i - 1, i + 2, (replace(whole, text=number, end=rest.end),))
            if stuck.helps(edit):
                return Slip(
                    Message(
                        "syntax",
                        "A decimal number is written with a point, not with a comma.",
                        stuck.span(i - 1, i + 1),
                        f"Write '{number}'.",
                    ),
                    edit,
                )
    return None


def _minus_before_length(stuck: Stuck) -> Slip | None:
    """``gap-2 mm``, ``k-1.5``: ``gap-2`` is a name."""
    token, name = stuck.token, stuck.before
    if name is None or name.kind != WORD:
        return None
    first, hyphen, number = name.text.rpartition("-")
    goes_on = token.text in UNITS or (token.kind == "NUMBER" and token.joined)
    if not (hyphen and number.isdigit() and goes_on):
        return None
    cut = name.start + len(first)
    space = "" if token.joined else " "
    return Slip(
        Message(
            "syntax",
            f"A minus behind a name needs spaces: '{name.text}' is read as one name.",
            stuck.span(stuck.at - 1, stuck.at),
            f"Write '{first} - {number}{space}{token.text}'.",
        ),
        Edit(
            stuck.at - 1,
            stuck.at + (token.kind == "NUMBER"),
            (
                replace(name, text=first, end=cut),
                Token("MINUS", "-", cut, cut + 1, True),
                Token(
                    "NUMBER",
                    number + token.text if token.kind == "NUMBER" else number,
                    cut + 1,
                    token.end if token.kind == "NUMBER" else name.end,
                    True,
                ),
            ),
        ),
    )


def _doubled_sign(stuck: Stuck) -> Slip | None:
    """``==``, and ``<=`` and ``>=`` the wrong way round."""
    token, before = stuck.token, stuck.before
    if before is None or not token.joined or before.text + token.text not in _DOUBLED:
        return None
    meant = _DOUBLED[before.text + token.text]
    return Slip(
        Message(
            "syntax",
            f"'{before.text}{token.text}' is not a sign of the language.",
            stuck.span(stuck.at - 1, stuck.at),
            f"Write '{meant}'.",
        ),
        Edit(stuck.at - 1, stuck.at + 1, (replace(before, kind=grammar().signs[meant], text=meant, end=token.end),)),
    )


def _comparison_chain(stuck: Stuck) -> Slip | None:
    """``a < b < c``."""
    if stuck.token.kind not in COMPARING:
        return None
    depth, i = 0, stuck.at - 1
    while i > stuck.begin:
        kind = stuck.tokens[i].kind
        depth += (kind == "RIGHT_BRACKET") - (kind == "LEFT_BRACKET")
        if depth < 0 or kind in ("AND", "OR", "LEFT_BRACE"):
            return None
        if depth == 0 and kind in COMPARING:
            break
        i -= 1
    else:
        return None
    middle = tuple(stuck.tokens[i + 1 : stuck.at])
    between = stuck.written(i + 1, stuck.at - 1)
    first, second = stuck.tokens[i].text, stuck.token.text
    end = stuck.token.start
    return Slip(
        Message(
            "syntax",
            "Two things are compared at a time.",
            stuck.span(i, stuck.at),
            f"Write '… {first} {between} and {between} {second} …'.",
        ),
        Edit(stuck.at, stuck.at, (Token(WORD, "and", end, end, False), *middle)),
    )


def _rotated_footprint(stuck: Stuck) -> Slip | None:
    """``attach leaf at (0, 0) rotated 30 deg``."""
    if stuck.token.text != "rotated" or stuck.tokens[stuck.begin].text not in TECHNIQUES:
        return None
    if "TILTED" in stuck.expected:
        return Slip(
            Message(
                "syntax",
                "A footprint is not 'rotated', it is 'tilted'.",
                stuck.span(stuck.at),
                "Write 'tilted' and the angle; only 'draw' takes 'rotated'.",
            ),
            Edit(stuck.at, stuck.at + 1, (replace(stuck.token, text="tilted"),)),
        )
    technique = stuck.tokens[stuck.begin].text
    return Slip(
        Message(
            "syntax",
            f"'rotated' goes with 'draw', not with '{technique}'.",
            stuck.span(stuck.at),
            f"Write 'draw {{ {technique} … }} rotated …'.",
        )
    )


def _name_of_the_language(stuck: Stuck) -> Slip | None:
    """``let ring = …``."""
    token = stuck.token
    if token.kind != WORD or token.text not in RESERVED or "NAME" not in stuck.expected:
        return None
    return Slip(
        Message(
            "syntax",
            f"'{token.text}' is a word of the language and cannot be a name.",
            stuck.span(stuck.at),
            f"Choose another name, such as 'my-{token.text}'.",
        ),
        Edit(stuck.at, stuck.at + 1, (replace(token, kind="NAME"),)),
    )


def _unknown_function(stuck: Stuck) -> Slip | None:
    """``maximum(2, 3)``."""
    name = stuck.before
    if stuck.token.kind != "LEFT_BRACKET" or name is None or name.kind != WORD or name.text in RESERVED:
        return None
    if not stuck.expected & {"PLUS", "STAR"}:
        return None
    near = nearest(name.text, FUNCTIONS, 1)
    return Slip(
        Message(
            "unknown-name",
            f"There is no function '{name.text}'.",
            stuck.span(stuck.at - 1),
            f"Did you mean '{near[0]}'?" if near else "The functions are " + ", ".join(FUNCTIONS) + ".",
        ),
        Edit(stuck.at - 1, stuck.at, (replace(name, text=near[0]),)) if near else None,
    )


def _nothing_worked(stuck: Stuck) -> Slip | None:
    """``incise depth 1 mm``: the depth is read as the name of a path."""
    i = stuck.at - 1
    if i != stuck.begin + 1 or stuck.tokens[i].text not in _MODIFIERS:
        return None
    technique = stuck.tokens[stuck.begin].text
    if technique not in TECHNIQUES:
        return None
    return Slip(
        Message(
            "syntax",
            f"Nothing is named that '{technique}' could work.",
            stuck.span(stuck.begin, i),
            f"Put the path, circle, dot or tool between '{technique}' and '{stuck.tokens[i].text}'.",
        )
    )


def _split_word(stuck: Stuck) -> Slip | None:
    """``leather hard``."""
    token, behind = stuck.token, stuck.behind
    if token.kind != WORD or behind.kind != WORD:
        return None
    word = f"{token.text}-{behind.text}"
    if not set(grammar().terminals_of(word)) & stuck.expected:
        return None
    return Slip(
        Message(
            "syntax",
            f"'{stuck.written(stuck.at, stuck.at + 1)}' is one word with a hyphen.",
            stuck.span(stuck.at, stuck.at + 1),
            f"Write '{word}'.",
        ),
        Edit(stuck.at, stuck.at + 2, (replace(token, text=word, end=behind.end),)),
    )


def _misspelt(stuck: Stuck) -> Slip | None:
    """``cloumns 12``, and ``columns naer 25 mm``, which is read as a name and shows one word later."""
    for i in range(stuck.at, max(stuck.begin, stuck.at - _FAR) - 1, -1):
        token = stuck.tokens[i]
        if token.kind != WORD or len(token.text) < 3 or (i < stuck.at and token.text in RESERVED):
            continue
        known = spellings(stuck.expected if i == stuck.at else WORDS)
        for word in nearest(token.text, set(known) - {token.text}):
            edit = Edit(i, i + 1, (replace(token, text=word),))
            if stuck.helps(edit):
                return Slip(
                    Message(
                        "syntax",
                        f"'{stuck.written(i)}' is not a word of the language here.",
                        stuck.span(i),
                        f"Did you mean '{word}'?",
                    ),
                    edit,
                )
    return None


def _left_out(stuck: Stuck) -> Slip | None:
    """A word or sign that is missing: ``line (1, 1)``, ``incise rising falling``."""
    at, before = stuck.at, stuck.before
    if before is None or stuck.token.kind == END:
        return None
    fitting = _PUT_IN & stuck.expected
    if "PLUS" in stuck.expected:
        fitting -= {"EQUAL"}  # behind a value it compares
    edits = {}
    for terminal in fitting:
        edit = Edit(at, at, (_token_of(terminal, before.end),))
        if stuck.helps(edit):
            edits[terminal] = edit
    likely = next((t for t in ("COMMA", "LINE", *edits) if t in edits), None)
    if likely is None or (likely not in ("COMMA", "LINE") and len(edits) > 1):
        return None
    edit = edits[likely]
    word = edit.by[0].text
    behind = f" {stuck.written(at)}" if stuck.token.kind in (WORD, "NUMBER") else ""
    if likely == "COMMA" and stuck.tokens[stuck.begin].text in TECHNIQUES:
        problem = "A comma is missing between two paths."
    else:
        problem = f"'{word}' is missing between {stuck.shown(at - 1)} and {stuck.shown(at)}."
    if before.kind in (WORD, "NUMBER"):
        meant = f"{stuck.written(at - 1)}{'' if word in ',)' else ' '}{word}{behind}"
    else:
        meant = word + behind
    return Slip(Message("syntax", problem, stuck.span(at), f"Write '{meant} …'."), edit)


def _token_of(terminal: str, at: int) -> Token:
    """A word or sign that the potter left out; it takes no room."""
    word = next((sign for sign, name in grammar().signs.items() if name == terminal), None)
    if word is not None:
        return Token(terminal, word, at, at, False)
    return Token(WORD, re.split("[' ]", WORDS[terminal])[1], at, at, False)
