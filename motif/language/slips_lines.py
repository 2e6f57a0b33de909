"""Slips in statements: lines, marks and what is done with them, told where the text does not go on."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from motif.language.foreign import COLOURS, CORNERS
from motif.language.reserved import TECHNIQUES
from motif.language.scanner import END
from motif.language.stuck import Edit, Slip, Stuck, put

_MODIFIERS = frozenset({"depth", "width", "pitch", "with", "colour", "color", "unbroken"})
_SEGMENTS = frozenset({"line", "arc", "curve", "taut"})
_GEOMETRY = frozenset({"from", "circle", "rectangle", "dot", "offset"})
#: ``2 mm deep`` → ``depth 2 mm``
_BEHIND_MEASURES = {
    "deep": ("depth", "deep"),
    "wide": ("width", "wide"),
    "broad": ("width", "wide"),
    "across": ("across",),
    "around": ("around",),
    "round": ("around",),
    "tall": ("tall",),
    "high": ("tall",),
    "thick": ("thickness", "width"),
    "columns": ("columns",),
    "rows": ("rows",),
    "apart": ("every", "pitch"),
}


# ------------------------------------------------------------------------------------ lines and marks


def rotated_footprint(stuck: Stuck) -> Slip | None:
    """``attach leaf at (0, 0) rotated 30 deg``."""
    if stuck.token.text != "rotated" or stuck.tokens[stuck.begin].text not in TECHNIQUES:
        return None
    if "TILTED" in stuck.expected:
        return stuck.slip(
            "A footprint is not 'rotated', it is 'tilted'.",
            stuck.span(stuck.at),
            "Write 'tilted' and the angle; only 'draw' takes 'rotated'.",
            Edit(stuck.at, stuck.at + 1, stuck.meaning("tilted")),
        )
    technique = stuck.tokens[stuck.begin].text
    return stuck.slip(
        f"'rotated' goes with 'draw', not with '{technique}'.",
        stuck.span(stuck.at),
        f"Write 'draw {{ {technique} … }} rotated …'.",
    )


def draw_for_a_technique(stuck: Stuck) -> Slip | None:
    """``draw from (0, 0) line to (1, 1)``, ``draw circle at …``."""
    before = stuck.before
    if before is None or before.text != "draw" or stuck.token.text not in _GEOMETRY | {"line"}:
        return None
    return stuck.slip(
        "'draw' takes a figure, or statements in braces; a line or mark begins with how it is made.",
        stuck.span(stuck.at - 1),
        f"Write 'incise {stuck.written(stuck.at)} …', or another technique.",
        Edit(stuck.at - 1, stuck.at, put(["incise"], before.start)),
    )


def kind_of_line_first(stuck: Stuck) -> Slip | None:
    """``incise line from (0, 0) to (1, 1)``."""
    at = stuck.at - (stuck.token.text == "from")
    kind = stuck.tokens[at]
    if kind.text not in _SEGMENTS or stuck.tokens[at + 1].text != "from":
        return None
    end = stuck.closing(at + 2)
    if end is None or stuck.tokens[end + 1].text != "to":
        return None
    point = stuck.tokens[at + 1 : end + 1]
    to = stuck.closing(end + 2)
    meant = f"{stuck.written(at + 1, end)} {kind.text} {stuck.written(end + 1, to or end + 1)}"
    return stuck.slip(
        f"A line begins with 'from', and '{kind.text}' comes right before 'to'.",
        stuck.span(at, to or end + 1),
        f"Write '{meant}'.",
        Edit(at, end + 1, (*point, *put([kind.text], stuck.tokens[end + 1].start))),
    )


def size_before_place(stuck: Stuck) -> Slip | None:
    """``dot across 4 mm at (1/2, 1/2)``."""
    mark = stuck.before
    if mark is None or mark.text not in ("dot", "circle") or stuck.token.text != "across":
        return None
    size = stuck.measure(stuck.at + 1)
    at = stuck.at + 1 + size
    end = stuck.closing(at + 1) if size and stuck.tokens[at].text == "at" else None
    if end is None:
        return None
    across, place = stuck.tokens[stuck.at : at], stuck.tokens[at : end + 1]
    return stuck.slip(
        f"The place of a {mark.text} comes before its size.",
        stuck.span(stuck.at, end),
        f"Write '{mark.text} {stuck.written(at, end)} {stuck.written(stuck.at, at - 1)}'.",
        Edit(stuck.at, end + 1, (*place, *across)),
    )


def word_behind_measure(stuck: Stuck) -> Slip | None:
    """``2 mm deep``, ``4 mm across``, ``grid 10 columns``."""
    size = stuck.measure(stuck.at)
    word = stuck.tokens[stuck.at + size] if size else stuck.token
    for meant in _BEHIND_MEASURES.get(word.text, ()) if size else ():
        edit = Edit(stuck.at, stuck.at + size + 1, (*stuck.meaning(meant), *stuck.tokens[stuck.at : stuck.at + size]))
        if stuck.helps(edit):
            number = stuck.written(stuck.at, stuck.at + size - 1)
            return stuck.slip(
                "The word comes before its number.",
                stuck.span(stuck.at, stuck.at + size),
                f"Write '{meant} {number}'.",
                edit,
            )
    return None


def radius(stuck: Stuck) -> Slip | None:
    """``radius 40 mm``: sizes are said from side to side."""
    edit = Edit(stuck.at, stuck.at + 1, stuck.meaning("across"))
    if stuck.token.text not in ("radius", "rad") or not stuck.helps(edit):
        return None
    number, unit = stuck.behind, stuck.written(stuck.at + 2) if stuck.measure(stuck.at + 1) == 2 else ""
    double = f"{2 * float(number.text):g} {unit}".strip() if re.fullmatch(r"[\d.]+", number.text) else "… twice as much"
    return stuck.slip(
        "A size is said from side to side, not from the middle.",
        stuck.span(stuck.at),
        f"Write 'across {double}'.",
        edit,
    )


def marks_along_nothing(stuck: Stuck) -> Slip | None:
    """``impress dot along every 11 mm``."""
    if stuck.token.text != "every" or stuck.before is None or stuck.before.text != "along":
        return None
    return stuck.slip(
        "Marks are set along a line that has a name.",
        stuck.span(stuck.at - 1, stuck.at),
        "Name the line first, as in 'path edge = from (0, 0) line to (1, 0)', then write 'along edge every …'. "
        "In 'each ring' and 'each vertical' the whole line is 'path edge = along'.",
    )


def place_in_words(stuck: Stuck) -> Slip | None:
    """``dot at centre``, ``from bottom left line to top right``."""
    if stuck.expected != {"LEFT_BRACKET"}:
        return None
    for words, point in CORNERS.items():
        if tuple(t.text for t in stuck.tokens[stuck.at : stuck.at + len(words)]) == words:
            end = stuck.at + len(words)
            return stuck.slip(
                "A place in a cell is a point: so far across, so far up.",
                stuck.span(stuck.at, end - 1),
                f"Write '{point}'.",
                Edit(stuck.at, end, stuck.meaning("( 0 , 0 )")),
            )
    return None


def side_of_a_parallel(stuck: Stuck) -> Slip | None:
    """``offset wave left by 3 mm``."""
    if stuck.token.text not in ("left", "right") or not {"BOTH", "OUTWARD"} <= stuck.expected:
        return None
    minus = "-" if stuck.token.text == "right" else ""
    return stuck.slip(
        "A parallel lies to the left of the way of travel, with a minus to the right.",
        stuck.span(stuck.at),
        f"Write 'by {minus}{stuck.written(stuck.at + 2, stuck.at + 1 + max(1, stuck.measure(stuck.at + 2)))}'.",
        Edit(stuck.at, stuck.at + 1, ()),
    )


def bare_colour(stuck: Stuck) -> Slip | None:
    """``paint dot at (1/2, 1/2) blue``, ``… in blue``, ``paint blue dot at …``."""
    if stuck.tokens[stuck.begin].text not in TECHNIQUES:
        return None
    before = stuck.before is not None and stuck.before.text in COLOURS and stuck.at == stuck.begin + 2
    at = stuck.at - before
    word = at + (stuck.tokens[at].text in ("in", "with") and not before)
    colour = stuck.tokens[word]
    if colour.text not in COLOURS or stuck.tokens[at - 2].text in ("colour", "color"):
        return None
    behind = " behind the lines and marks" if before else ""
    edit = Edit(at, word + 1, () if before else (*stuck.meaning("colour"), replace(colour, kind="TEXT", text='"x"')))
    return stuck.slip(
        "A colour is said by 'colour' and a text.",
        stuck.span(at, word),
        f"Write 'colour \"{colour.text}\"'{behind}.",
        edit,
    )


def copies_without_rotated(stuck: Stuck) -> Slip | None:
    """``draw petal 4 times``."""
    if "ROTATED" not in stuck.expected or stuck.token.kind != "NUMBER" or stuck.behind.text != "times":
        return None
    number = stuck.token.text
    return stuck.slip(
        "It is not said where the copies go.",
        stuck.span(stuck.at, stuck.at + 1),
        f"Write 'rotated {number} times' for copies all round, or 'repeat {number} as k {{ draw … }}'.",
        Edit(stuck.at, stuck.at, stuck.meaning("rotated")),
    )


def how_before_what(stuck: Stuck) -> Slip | None:
    """``carve depth 2 mm from (0, 0) line to (1, 1)``."""
    if stuck.at != stuck.begin + 2 or stuck.tokens[stuck.begin].text not in TECHNIQUES:
        return None
    what = stuck.at - 1
    while stuck.tokens[what].text in _MODIFIERS and (size := stuck.measure(what + 1)):
        what += 1 + size
    if what < stuck.at or stuck.tokens[what].text not in _GEOMETRY:
        return None
    end = _end_of_statement(stuck, what)
    how, line = stuck.tokens[stuck.at - 1 : what], stuck.tokens[what:end]
    technique = stuck.tokens[stuck.begin].text
    return stuck.slip(
        "What is worked comes first, then how.",
        stuck.span(stuck.begin, what - 1),
        f"Write '{technique} {stuck.written(what, end - 1)} {stuck.written(stuck.at - 1, what - 1)}'.",
        Edit(stuck.at - 1, end, (*line, *how)),
    )


def _end_of_statement(stuck: Stuck, at: int) -> int:
    """Where the next statement begins, or the braces around this one close."""
    while stuck.tokens[at].kind not in ("RIGHT_BRACE", "LEFT_BRACE", END) and stuck.tokens[at].text not in _STATEMENTS:
        at += 1
    return at


_STATEMENTS = frozenset({*TECHNIQUES, "path", "let", "note", "if", "repeat", "draw"})


def nothing_worked(stuck: Stuck) -> Slip | None:
    """``incise depth 1 mm``: the depth is read as the name of a path."""
    i = stuck.at - 1
    if i != stuck.begin + 1 or stuck.tokens[i].text not in _MODIFIERS:
        return None
    technique = stuck.tokens[stuck.begin].text
    if technique not in TECHNIQUES:
        return None
    return stuck.slip(
        f"Nothing is named that '{technique}' could work.",
        stuck.span(stuck.begin, i),
        f"Put the path, circle, dot or tool between '{technique}' and '{stuck.tokens[i].text}'.",
    )


def unit_of_other_trades(stuck: Stuck) -> Slip | None:
    """``22 m``, ``2 feet``, ``1/4 cup``, ``2 fl oz``, ``5 g``."""
    number, word = stuck.before, stuck.token.text
    if number is None or number.kind != "NUMBER":
        return None
    end = stuck.at + 1
    if word == "fl" and stuck.tokens[end].text in ("oz", "ounce", "ounces"):
        word, end = "floz", end + 1
    if word in _WEIGHTS:
        said, unit = "Clay is told by its volume here, not by its weight: in ml, tsp or tbsp.", "ml"
        advice = "Press one into a measuring spoon, or see how much water it pushes up"
    elif word in _OTHER_VOLUMES:
        times, unit = _OTHER_VOLUMES[word]
        said = "Volumes are in ml, tsp or tbsp."
        advice = f"Write '{_times(number.text, times)} {unit}'"
    elif word in _OTHER_LENGTHS:
        times, unit = _OTHER_LENGTHS[word]
        said = "Lengths are in mm, cm or in."
        advice = f"Write '{_times(number.text, times)} {unit}'; or write '{number.text} mm', if that is meant"
        unit = "mm"
    else:
        return None
    return stuck.slip(said, stuck.span(stuck.at - 1, end - 1), f"{advice}.", Edit(stuck.at, end, stuck.meaning(unit)))


def _times(number: str, times: int) -> str:
    """``1/4`` 16 times: ``4``; a part of a whole stays one, as the language writes it."""
    *whole, last = number.split()
    product = times * sum(map(Fraction, (*whole, last)), Fraction(0))
    if "/" not in number or product.denominator == 1:
        return f"{float(product):g}"
    whole_part, rest = divmod(product, 1)
    return f"{whole_part} {rest}" if whole_part else str(rest)


#: word → how many of which unit of the language it is; a US customary cup is 16 tablespoons, a fluid ounce 2
#: (NIST Handbook 44, Appendix C)
_OTHER_LENGTHS = {
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), (100, "cm")),
    **dict.fromkeys(("dm", "decimetre", "decimetres", "decimeter", "decimeters"), (10, "cm")),
    **dict.fromkeys(("ft", "feet"), (12, "in")),
    **dict.fromkeys(("yd", "yard", "yards"), (36, "in")),
}
_OTHER_VOLUMES = {
    **dict.fromkeys(("cup", "cups"), (16, "tbsp")),
    **dict.fromkeys(("floz", "fl-oz"), (2, "tbsp")),
    **dict.fromkeys(("pint", "pints", "pt"), (32, "tbsp")),
    **dict.fromkeys(("cc", "ccm"), (1, "ml")),
    **dict.fromkeys(("cl", "centilitre", "centilitres", "centiliter", "centiliters"), (10, "ml")),
    **dict.fromkeys(("dl", "decilitre", "decilitres", "deciliter", "deciliters"), (100, "ml")),
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), (1000, "ml")),
}
_WEIGHTS = frozenset({
    "g", "gr", "gram", "grams", "gramme", "grammes", "kg", "kilo", "kilos", "kilogram", "kilograms",
    "oz", "ounce", "ounces", "lb", "lbs", "pound", "pounds",
})  # fmt: skip


# ----------------------------------------------------------------------------------------- statements


def work_without_place(stuck: Stuck) -> Slip | None:
    """``motif m { grid …  incise … }``: not said where."""
    word = stuck.token.text
    if not {"GRID", "ONCE"} <= stuck.expected or word not in {*TECHNIQUES, "draw", "path", "repeat", "if"}:
        return None
    end, depth = stuck.at, 0
    while stuck.tokens[end].kind != END and (depth or not _ends_work(stuck, end)):
        kind = stuck.tokens[end].kind
        depth += (kind == "LEFT_BRACE") - (kind == "RIGHT_BRACE")
        end += 1
    return stuck.slip(
        "It is not said where this is to be made.",
        stuck.span(stuck.at),
        f"Write 'each cell {{ {word} … }}'; there are also 'each crossing', 'each ring', 'each vertical', 'once'.",
        Edit(
            stuck.at,
            end,
            (*stuck.meaning("each cell {"), *stuck.tokens[stuck.at : end], *put(["}"], stuck.tokens[end - 1].end)),
        ),
    )


def where_in_the_braces(stuck: Stuck) -> Slip | None:
    """``each cell { where odd(row) … }``."""
    if stuck.token.text != "where" or "DRAW" not in stuck.expected:
        return None
    end = _end_of_statement(stuck, stuck.at + 1)
    if end == stuck.at + 1:
        return None
    condition = stuck.written(stuck.at, end - 1)
    return stuck.slip(
        "'where' stands before the brace, right after the place.",
        stuck.span(stuck.at, end - 1),
        f"Write 'each cell {condition} {{ … }}'; within the braces it is 'if', with braces of its own.",
        Edit(stuck.at, end, ()),
    )


def _ends_work(stuck: Stuck, at: int) -> bool:
    token = stuck.tokens[at]
    if token.text == "each":
        return stuck.tokens[at + 1].text not in ("row", "column")
    return token.kind in ("RIGHT_BRACE", END) or token.text in ("once", "given", "grid")


def value_without_let(stuck: Stuck) -> Slip | None:
    """``gap = 3 mm``, ``wave = from …``."""
    if not stuck.is_name(stuck.at) or stuck.behind.kind != "EQUAL":
        return None
    word = "path" if stuck.ahead(2).text in _GEOMETRY | {"along"} and "PATH" in stuck.expected else "let"
    if word.upper() not in stuck.expected:
        return None
    what = "line" if word == "path" else "value"
    return stuck.slip(
        f"A {what} is named with '{word}'.",
        stuck.span(stuck.at),
        f"Write '{word} {stuck.written(stuck.at)} = …'.",
        Edit(stuck.at, stuck.at, put([word], stuck.token.start)),
    )


def repeat_without_name(stuck: Stuck) -> Slip | None:
    """``repeat 3 { … }``, ``repeat 3 times { … }``."""
    times = stuck.token.text in ("times", "x")
    if stuck.expected & {"AS", "NAME"} != {"AS"} or not (times or stuck.token.kind == "LEFT_BRACE"):
        return None
    if stuck.tokens[stuck.begin].text != "repeat":
        return None
    return stuck.slip(
        "A repeat gives its turns a name, so that each can differ.",
        stuck.span(stuck.begin, stuck.at - (not times)),
        f"Write '{stuck.written(stuck.begin, stuck.at - 1)} as k {{ … }}'; k is then 1, 2, 3 ….",
        Edit(stuck.at, stuck.at + times, stuck.meaning("as k")),
    )


def loop(stuck: Stuck) -> Slip | None:
    """``for k in 1 to 3 { … }``, ``repeat k from 1 to 3 { … }``."""
    at = stuck.at
    if stuck.tokens[stuck.begin].text == "repeat" and stuck.token.text in ("from", "in", "="):
        at = stuck.begin
    elif stuck.token.text not in ("for", "while", "loop", "foreach") or "REPEAT" not in stuck.expected:
        return None
    brace = next((i for i in range(at, len(stuck.tokens)) if stuck.tokens[i].kind == "LEFT_BRACE"), None)
    if brace is None or brace - at > 12:
        return None
    name = stuck.tokens[at + 1].text if stuck.is_name(at + 1) else "k"
    # Read as done once, so that what stands in the braces is read too.
    return stuck.slip(
        "What is done several times is 'repeat', how often, and a name for the turn.",
        stuck.span(at, brace - 1),
        f"Write 'repeat 3 as {name} {{ … }}'; {name} is then 1, 2, 3.",
        Edit(at, brace, stuck.meaning(f"repeat 1 as {name}")),
    )
