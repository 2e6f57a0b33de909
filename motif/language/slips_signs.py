"""Slips with signs and numbers, told where the text does not go on."""

from __future__ import annotations

import re
from dataclasses import replace

from motif.language.grammar import grammar
from motif.language.reserved import LANDMARKS, TECHNIQUES, UNITS
from motif.language.scanner import WORD, Token
from motif.language.stuck import Edit, Slip, Stuck, put
from motif.language.wording import COMPARING

#: How many tokens back a decimal comma is looked for: in ``(1/2, 2,5 mm)`` it shows only behind the unit.
_FAR = 12
_MEASURE = re.compile(rf"(\d+)({'|'.join(unit for unit in UNITS if unit.isalpha())})?")
_DOUBLED = {"==": "=", "=<": "<=", "=>": ">=", ":=": "="}


def decimal_comma(stuck: Stuck) -> Slip | None:
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
                return stuck.slip(
                    "A decimal number is written with a point, not with a comma.",
                    stuck.span(i - 1, i + 1),
                    f"Write '{number}'.",
                    edit,
                )
    return None


def minus_in_name(stuck: Stuck) -> Slip | None:
    """``gap-2 mm``, ``k-1.5``, ``rim-8 mm``, ``rim-8mm``, ``rim-gap``: all that is joined by hyphens is one name."""
    place = "LANDMARK" in stuck.expected and stuck.token.kind == WORD
    at = stuck.at if place else stuck.at - 1
    name, behind = stuck.tokens[at], stuck.tokens[at + 1]
    first, hyphen, rest = name.text.partition("-") if place else name.text.rpartition("-")
    if name.kind != WORD or not hyphen or (place and first not in LANDMARKS):
        return None
    measure = _MEASURE.fullmatch(rest)
    joined = behind.kind == "NUMBER" and behind.joined
    last = at
    if measure is not None and (joined or behind.text in UNITS) and not measure[2]:
        last = at + 1
        parts = [("NUMBER", rest + behind.text if joined else rest)]
        shown = f"{rest}{'' if behind.joined else ' '}{behind.text}"
    elif place and measure is not None and measure[2]:
        parts, shown = [("NUMBER", measure[1]), (WORD, measure[2])], f"{measure[1]} {measure[2]}"
    elif place and measure is None:
        parts, shown = [(WORD, rest)], rest
    else:
        return None
    cut, end = name.start + len(first), stuck.tokens[at + joined].end
    meant = [Token(kind, text, cut + 1, end, True) for kind, text in parts]
    return stuck.slip(
        f"A minus behind a name needs spaces: '{name.text}' is read as one name.",
        stuck.span(at, last),
        f"Write '{first} - {shown}'.",
        Edit(
            at, at + 1 + joined, (replace(name, text=first, end=cut), Token("MINUS", "-", cut, cut + 1, True), *meant)
        ),
    )


def doubled_sign(stuck: Stuck) -> Slip | None:
    """``==``, and ``<=`` and ``>=`` the wrong way round."""
    for i in (stuck.at - 1, stuck.at):
        first, second = stuck.tokens[i], stuck.tokens[i + 1]
        meant = _DOUBLED.get(first.text + second.text)
        if meant is not None and second.joined:
            return stuck.slip(
                f"'{first.text}{second.text}' is not a sign of the language.",
                stuck.span(i, i + 1),
                f"Write '{meant}'.",
                Edit(i, i + 2, (replace(first, kind=grammar().signs[meant], text=meant, end=second.end),)),
            )
    return None


def comparison_chain(stuck: Stuck) -> Slip | None:
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
    left = stuck.written(_first_of_value(stuck, i - 1), i - 1)
    right = stuck.written(stuck.at + 1, stuck.at + max(1, stuck.measure(stuck.at + 1)))
    end = stuck.token.start
    return stuck.slip(
        "Two things are compared at a time.",
        stuck.span(i, stuck.at),
        f"Write '{left} {first} {between} and {between} {second} {right}'.",
        Edit(stuck.at, stuck.at, (*put(["and"], end), *middle)),
    )


def colon_for_equals(stuck: Stuck) -> Slip | None:
    """``band tufting(around: 8)``."""
    if stuck.token.kind != "COLON" or "EQUAL" not in stuck.expected or stuck.before is None:
        return None
    return stuck.slip(
        f"A value is set with '=', not with '{stuck.token.text}'.",
        stuck.span(stuck.at),
        f"Write '{stuck.written(stuck.at - 1)} = {stuck.written(stuck.at + 1)}'.",
        Edit(stuck.at, stuck.at + 1, (replace(stuck.token, kind="EQUAL", text="="),)),
    )


def letter_for_figure(stuck: Stuck) -> Slip | None:
    """``1O mm``: the letter for the figure 0, or ``l`` for 1."""
    number = stuck.before
    token = stuck.token
    if number is None or number.kind != "NUMBER" or token.kind != WORD or not token.joined:
        return None
    if not set(token.text) <= set("ol0123456789"):
        return None
    meant = number.text + token.text.replace("o", "0").replace("l", "1")
    return stuck.slip(
        f"A letter stands in the number '{stuck.written(stuck.at - 1, stuck.at)}'.",
        stuck.span(stuck.at - 1, stuck.at),
        f"Write '{meant}', with the figures 0 and 1.",
        Edit(stuck.at - 1, stuck.at + 1, (replace(number, text=meant, end=token.end),)),
    )


def point_without_brackets(stuck: Stuck) -> Slip | None:
    """``from 0, 0 line to 1, 1``, with the comma or without."""
    if stuck.expected != {"LEFT_BRACKET"}:
        return None
    first = stuck.measure(stuck.at)
    comma = stuck.tokens[stuck.at + first].kind == "COMMA"
    second = stuck.measure(stuck.at + first + comma)
    if not (first and second):
        return None
    end = stuck.at + first + comma + second
    across, up = stuck.written(stuck.at, stuck.at + first - 1), stuck.written(end - second, end - 1)
    here = stuck.tokens[stuck.at : end]
    inner = (*here[:first], *put([","], here[0].start), *here[first + comma :])
    return stuck.slip(
        "A point stands in brackets, with a comma between its two numbers.",
        stuck.span(stuck.at, end - 1),
        f"Write '({across}, {up})'.",
        Edit(stuck.at, end, (*put(["("], here[0].start), *inner, *put([")"], here[-1].end))),
    )


def point_read_as_mixed(stuck: Stuck) -> Slip | None:
    """``(1 1/2)``: one and a half, and no second number."""
    number = stuck.before
    if number is None or number.kind != "NUMBER" or " " not in number.text or stuck.token.kind != "RIGHT_BRACKET":
        return None
    if "COMMA" not in stuck.expected:
        return None
    across, up = number.text.split()
    by = (replace(number, text=across), *put([","], number.start), replace(number, text=up))
    return stuck.slip(
        f"'{number.text}' is read as one number.",
        stuck.span(stuck.at - 1),
        f"For a point write '({across}, {up})'.",
        Edit(stuck.at - 1, stuck.at, by),
    )


def per_cent_for_remainder(stuck: Stuck) -> Slip | None:
    """``column % 2``: what is left of a division has a function."""
    before = stuck.before
    if stuck.token.text != "%" or before is None or before.kind not in (WORD, "RIGHT_BRACKET"):
        return None
    size = stuck.measure(stuck.at + 1)
    first = stuck.opening(stuck.at - 1)
    if not size or first < stuck.at - 1:
        return None
    end = stuck.at + 1 + size
    name, number = stuck.written(stuck.at - 1), stuck.written(stuck.at + 1, end - 1)
    by = (
        *stuck.meaning("remainder ("),
        before,
        *stuck.meaning(","),
        *stuck.tokens[stuck.at + 1 : end],
        *stuck.meaning(")"),
    )
    return stuck.slip(
        "'%' means hundredths.",
        stuck.span(stuck.at - 1, end - 1),
        f"What is left of a division is 'remainder({name}, {number})'.",
        Edit(stuck.at - 1, end, by),
    )


def comma_too_many(stuck: Stuck) -> Slip | None:
    """``grid columns 8, rows 4``, ``across 4 mm, depth 1 mm``, ``line to (1, 1), line to (2, 0)``."""
    for i in (stuck.at, stuck.at - 2):
        if i <= stuck.begin or stuck.tokens[i].kind != "COMMA":
            continue
        behind = stuck.tokens[i + 1]
        edit = Edit(i, i + 1, ())
        if not (behind.kind == WORD and grammar().terminals_of(behind.text) and stuck.helps(edit)):
            continue
        before = stuck.written(_first_of_value(stuck, i - 1), i - 1)
        part = "A comma stands only between lines or marks that are made alike."
        rest = "No comma is needed here."
        return stuck.slip(
            part if stuck.tokens[stuck.begin].text in TECHNIQUES else rest,
            stuck.span(i),
            f"Write '{before} {stuck.written(i + 1)} …'.",
            edit,
        )
    return None


def _first_of_value(stuck: Stuck, at: int) -> int:
    """Where what ends at ``at`` begins, as far as messages show it: its number, or its opening bracket."""
    if stuck.tokens[at].kind == "RIGHT_BRACKET":
        return stuck.opening(at)
    return at - 1 if stuck.tokens[at].text in UNITS and stuck.tokens[at - 1].kind == "NUMBER" else at
