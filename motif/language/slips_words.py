"""Slips with words and names, told where the text does not go on."""

from __future__ import annotations

import re
from dataclasses import replace

from motif.language.foreign import foreign_words
from motif.language.grammar import grammar
from motif.language.messages import Message
from motif.language.reserved import FUNCTIONS, RESERVED, TECHNIQUES, UNITS
from motif.language.scanner import END, WORD, Token
from motif.language.spelling import nearest
from motif.language.stuck import Edit, Slip, Stuck, put
from motif.language.wording import WORDS, either, spellings

#: How many tokens back a misspelt word is looked for that shows only later: ``circel at (0, 0) across``.
_FAR = 12
_DEFINES = frozenset({"motif", "form", "tool", "figure", "clay", "piece", "pace", "let", "path", "given", "as"})
_BEFORE_NAMES = _DEFINES | {"band", "draw"}
#: Words that add nothing, where nothing else fits.
_IDLE = frozenset(
    [
        "a",
        "an",
        "the",
        "of",
        "at",
        "is",
        "height",
        "with",
        "then",
        "do",
        "for",
        "to",
        "from",
        "by",
        "close",
        "=",
        ":",
        ".",
    ]
)
#: Words that join others in a phrase, and so are hardly meant as part of a name.
_JOINING = frozenset({"at", "to", "of", "as", "with", "on", "in", "and", "across", "depth", "width", "pitch"})
_GEOMETRY = frozenset({"from", "circle", "rectangle", "dot", "offset", "along"})
_NAME = re.compile(r"[^\W\d_]+(?:[ -][^\W_]+)*")


def name_of_the_language(stuck: Stuck) -> Slip | None:
    """``let ring = …``."""
    token = stuck.token
    if token.kind != WORD or token.text not in RESERVED or "NAME" not in stuck.expected:
        return None
    if stuck.before is None or stuck.before.text not in _DEFINES:
        return None
    return stuck.slip(
        f"'{token.text}' is a word of the language and cannot be a name.",
        stuck.span(stuck.at),
        f"Choose another name, such as 'my-{token.text}'.",
        Edit(stuck.at, stuck.at + 1, (replace(token, kind="NAME"),)),
    )


def name_of_several_words(stuck: Stuck) -> Slip | None:
    """``motif my quilted``, ``band my quilted``."""
    at = stuck.at
    if not (stuck.is_name(at) and stuck.is_name(at - 1)) or stuck.tokens[at - 2].text not in _BEFORE_NAMES:
        return None
    end = at + 1
    while stuck.is_name(end):
        end += 1
    if any(t.text in _JOINING for t in stuck.tokens[at - 1 : end]):
        return None  # 'band quilted at rim'
    words = stuck.tokens[at - 1 : end]
    meant = "-".join(t.text for t in words)
    return stuck.slip(
        f"A name is one word, and '{stuck.written(at - 1, end - 1)}' is more.",
        stuck.span(at - 1, end - 1),
        f"Join them with a hyphen: '{stuck.written(at - 2)} {meant}'.",
        Edit(at - 1, end, (replace(words[0], text=meant, end=words[-1].end),)),
    )


def name_with_a_number_first(stuck: Stuck) -> Slip | None:
    """``motif 2quilted``."""
    number, name = stuck.token, stuck.behind
    if number.kind != "NUMBER" or "NAME" not in stuck.expected or stuck.before is None:
        return None
    if not number.text.isdigit() or stuck.before.text not in _BEFORE_NAMES:
        return None
    if name.kind == WORD and name.joined:
        meant, last = f"{name.text.lstrip('-')}-{number.text}", stuck.at + 1
    else:
        meant, last = f"my-{number.text}", stuck.at
    return stuck.slip(
        "A name begins with a letter.",
        stuck.span(stuck.at, last),
        f"Write '{meant}', for example, wherever it is meant.",
        Edit(stuck.at, last + 1, (Token(WORD, meant, number.start, stuck.tokens[last].end, False),)),
    )


def name_in_quotes(stuck: Stuck) -> Slip | None:
    """``motif "quilted"``."""
    token = stuck.token
    if token.kind != "TEXT" or "NAME" not in stuck.expected or stuck.before is None:
        return None
    if stuck.before.text not in _BEFORE_NAMES:
        return None
    inner = token.text[1:-1].strip()
    if not _NAME.fullmatch(inner):
        return None
    meant = inner.casefold().replace(" ", "-")
    return stuck.slip(
        "A name stands without quotes; quotes hold what is said about it.",
        stuck.span(stuck.at),
        f"Write '{stuck.written(stuck.at - 1)} {meant}'.",
        Edit(stuck.at, stuck.at + 1, (replace(token, kind=WORD, text=meant),)),
    )


def text_without_quotes(stuck: Stuck) -> Slip | None:
    """``title Two borders``, ``reserve handle from``, ``take all from quilting/tufting``, ``colour cobalt blue``."""
    at = stuck.at
    if stuck.before is None:
        return None
    if stuck.tokens[at - 2].text in ("colour", "color") and stuck.is_name(at - 1) and stuck.is_name(at):
        at -= 1
    elif "TEXT" not in stuck.expected or stuck.expected - {"TEXT", "ALL"}:
        return None
    end = at
    path = stuck.before.text == "from"
    while end < len(stuck.tokens):
        token = stuck.tokens[end]
        if not (token.kind == WORD and (end == at or path or stuck.is_name(end))) and not (path and token.joined):
            break
        if path and end > at and not token.joined:
            break
        end += 1
    if end == at:
        return None
    text = stuck.written(at, end - 1)
    return stuck.slip(
        f"After '{stuck.written(at - 1)}' comes a text, and texts stand in quotes.",
        stuck.span(at, end - 1),
        f"Write '{stuck.written(at - 1)} \"{text}\"'.",
        Edit(at, end, (Token("TEXT", f'"{text}"', stuck.tokens[at].start, stuck.tokens[end - 1].end, False),)),
    )


def unknown_function(stuck: Stuck) -> Slip | None:
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


def function_without_brackets(stuck: Stuck) -> Slip | None:
    """``where even column``, ``if odd row``."""
    before = stuck.before
    if before is None:
        return None
    asked = stuck.at + (stuck.token.text == "is" or stuck.token.kind == "EQUAL")
    if before.kind == WORD and stuck.tokens[asked].text in ("even", "odd"):
        word = stuck.tokens[asked].text
        return stuck.slip(
            f"What '{word}' is asked of stands in brackets behind it.",
            stuck.span(stuck.at - 1, asked),
            f"Write '{word}({before.text})'.",
            Edit(stuck.at - 1, asked + 1, (*stuck.meaning(f"{word} ("), before, *stuck.meaning(")"))),
        )
    if before.text not in FUNCTIONS or stuck.expected != {"LEFT_BRACKET"} or stuck.token.kind not in (WORD, "NUMBER"):
        return None
    end = stuck.at + max(1, stuck.measure(stuck.at))
    of = stuck.tokens[stuck.at : end]
    return stuck.slip(
        f"What '{before.text}' is asked of stands in brackets.",
        stuck.span(stuck.at - 1, end - 1),
        f"Write '{before.text}({stuck.written(stuck.at, end - 1)})'.",
        Edit(stuck.at, end, (*put(["("], of[0].start), *of, *put([")"], of[-1].end))),
    )


def split_word(stuck: Stuck) -> Slip | None:
    """``leather hard``."""
    token, behind = stuck.token, stuck.behind
    if token.kind != WORD or behind.kind != WORD:
        return None
    word = f"{token.text}-{behind.text}"
    if not set(grammar().terminals_of(word)) & stuck.expected:
        return None
    return stuck.slip(
        f"'{stuck.written(stuck.at, stuck.at + 1)}' is one word with a hyphen.",
        stuck.span(stuck.at, stuck.at + 1),
        f"Write '{word}'.",
        Edit(stuck.at, stuck.at + 2, (replace(token, text=word, end=behind.end),)),
    )


def other_word(stuck: Stuck) -> Slip | None:
    """``3 millimetres``, ``stamp dot at …``, ``diameter 4 mm``, ``from bottom to top``, ``else``."""
    for i in (stuck.at, stuck.at - 1):
        token = stuck.tokens[i]
        if i < stuck.begin or token.kind != WORD or (i < stuck.at and token.text in RESERVED):
            continue
        for meant in foreign_words().get(token.text, ()):
            words = put(meant.split(" "), token.start)
            edit = Edit(i, i + 1, (*words[:-1], replace(words[-1], end=token.end)))
            if not stuck.helps(edit):
                continue
            before, size = stuck.tokens[i - 1], stuck.measure(i + 1)
            number = f"{stuck.written(i - 1)} " if meant in UNITS and before.kind == "NUMBER" else ""
            measure = f" {stuck.written(i + 1, i + size)}" if size == 2 else ""
            return stuck.slip(
                f"'{stuck.written(i)}' is not a word of the language here.",
                stuck.span(i),
                f"Write '{number}{meant}{measure}'.",
                edit,
            )
    return None


def misspelt(stuck: Stuck) -> Slip | None:
    """``cloumns 12``, and ``columns naer 25 mm``, which is read as a name and shows one word later."""
    for i in range(stuck.at, max(stuck.begin, stuck.at - _FAR) - 1, -1):
        token = stuck.tokens[i]
        if token.kind != WORD or len(token.text) < 3 or (i < stuck.at and token.text in RESERVED):
            continue
        known = spellings(stuck.expected if i == stuck.at else WORDS)
        for word in nearest(token.text, set(known) - {token.text}):
            edit = Edit(i, i + 1, (replace(token, text=word),))
            if stuck.helps(edit):
                return stuck.slip(
                    f"'{stuck.written(i)}' is not a word of the language here.",
                    stuck.span(i),
                    f"Did you mean '{word}'?",
                    edit,
                )
    return None


def unknown_technique(stuck: Stuck) -> Slip | None:
    """``decorate from (0, 0) line to (1, 1)``: a word that is none of the nine, where a technique begins a line."""
    if not stuck.is_name(stuck.at) or "TECHNIQUE" not in stuck.expected or "DRAW" not in stuck.expected:
        return None
    behind = stuck.behind
    if behind.text == "at" and stuck.ahead(2).kind == "LEFT_BRACKET":
        name = stuck.written(stuck.at)
        return stuck.slip(
            f"It is not said how '{name}' is set there.",
            stuck.span(stuck.at),
            f"Begin with a technique: 'impress {name} at …', 'attach {name} at …'.",
            Edit(stuck.at, stuck.at, stuck.meaning("impress")),
        )
    named = stuck.is_name(stuck.at + 1) and stuck.ahead(2).text in (",", "at", "}", *TECHNIQUES)
    if behind.text not in _GEOMETRY and not named:
        return None
    return stuck.slip(
        f"'{stuck.written(stuck.at)}' is not a technique.",
        stuck.span(stuck.at),
        f"A line of work begins with {either(TECHNIQUES)}.",
        Edit(stuck.at, stuck.at + 1, (replace(stuck.token, text="guide"),)),
    )


def idle_word(stuck: Stuck) -> Slip | None:
    """A word or sign too many: ``depth of 1 mm``, ``at height 40 mm across``, ``pitch = 3 mm``, ``= 2 then {``."""
    for i in (stuck.at, stuck.at - 1):
        if stuck.token.kind == END or stuck.tokens[i - 1].text in ("take", ",", *_BEFORE_NAMES):
            continue
        edit = Edit(i, i + 1, ())
        if i > stuck.begin and stuck.tokens[i].text in _IDLE and stuck.helps(edit):
            before = stuck.written(i - 1)
            behind = stuck.written(i + 1, i + max(1, stuck.measure(i + 1)))
            goes_on = stuck.tokens[i + 1].kind in (WORD, "NUMBER", "TEXT", "LEFT_BRACE")
            advice = f"Write '{before} {behind}'." if goes_on else "Leave it out."
            return stuck.slip(f"'{stuck.written(i)}' is not needed here.", stuck.span(i), advice, edit)
    return None


#: Signs and words that are put in where nothing else fits: those that only join what is there.
_PUT_IN = frozenset(
    [
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
    ]
)


_BEFORE_POINTS = frozenset({"from", "to", "at", "by", "through", "leaving", "arriving", "+"})


def left_out(stuck: Stuck) -> Slip | None:
    """A word or sign that is missing: ``line (1, 1)``, ``incise rising falling``."""
    at, before = stuck.at, stuck.before
    if before is None or stuck.token.kind == END:
        return None
    fitting = _PUT_IN & stuck.expected
    if "PLUS" in stuck.expected:
        fitting -= {"EQUAL"}  # behind a value it compares
    edits = {}
    for terminal in sorted(fitting):
        edit = Edit(at, at, put([_word_of(terminal)], before.end))
        if stuck.helps(edit):
            edits[terminal] = edit
    likely = next((t for t in ("COMMA", "LINE", *edits) if t in edits), None)
    if likely is None or (likely not in ("COMMA", "LINE") and len(edits) > 1):
        return None
    edit = edits[likely]
    word = edit.by[0].text
    behind = f" {stuck.written(at)}" if stuck.token.kind in (WORD, "NUMBER") else ""
    if likely == "COMMA" and _in_point(stuck):
        problem = "A comma is missing between the two numbers of a point."
    elif likely == "COMMA" and stuck.tokens[stuck.begin].text in TECHNIQUES:
        problem = "A comma is missing between two lines or marks."
    else:
        problem = f"'{word}' is missing between {stuck.shown(at - 1)} and {stuck.shown(at)}."
    first = stuck.opening(at - 1)
    if before.kind in (WORD, "NUMBER") or first < at - 1:
        meant = f"{stuck.written(first, at - 1)}{'' if word in ',)' else ' '}{word}{behind}"
    else:
        meant = word + behind
    return stuck.slip(problem, stuck.span(at), f"Write '{meant} …'.", edit)


def _in_point(stuck: Stuck) -> bool:
    """Whether the bracket last opened is that of a point, and not closed."""
    for i in range(stuck.at - 1, stuck.begin, -1):
        if stuck.tokens[i].kind in ("LEFT_BRACKET", "RIGHT_BRACKET"):
            return stuck.tokens[i].kind == "LEFT_BRACKET" and stuck.tokens[i - 1].text in _BEFORE_POINTS
    return False


def _word_of(terminal: str) -> str:
    """How a word or sign that the potter left out is written."""
    sign = next((sign for sign, name in grammar().signs.items() if name == terminal), None)
    return sign or re.split("[' ]", WORDS[terminal])[1]
