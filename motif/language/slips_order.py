"""Slips in the order of things: what stands in the wrong place, or is missing, or is said the other way about."""

from __future__ import annotations

import re

from motif.language.grammar import grammar
from motif.language.messages import Message
from motif.language.reserved import TECHNIQUES
from motif.language.scanner import END, WORD, Token
from motif.language.stuck import Edit, Slip, Stuck, put
from motif.language.wording import WORDS

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
_BETWEEN_STATIONS = frozenset(
    {"AT", "NOTE", "RIGHT_BRACE", "CORNER", "PLUS", "MINUS", "STAR", "SLASH", "PERIOD", "UNIT", "LEFT_BRACKET"}
)
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


# ------------------------------------------------------------------------------------ lines and marks


def rotated_footprint(stuck: Stuck) -> Slip | None:
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
            Edit(stuck.at, stuck.at + 1, stuck.meaning("tilted")),
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


def draw_for_a_technique(stuck: Stuck) -> Slip | None:
    """``draw from (0, 0) line to (1, 1)``, ``draw circle at …``."""
    before = stuck.before
    if before is None or before.text != "draw" or stuck.token.text not in _GEOMETRY | {"line"}:
        return None
    return Slip(
        Message(
            "syntax",
            "'draw' takes a figure, or statements in braces; a line or mark begins with how it is made.",
            stuck.span(stuck.at - 1),
            f"Write 'incise {stuck.written(stuck.at)} …', or another technique.",
        ),
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
    return Slip(
        Message(
            "syntax",
            f"A line begins with 'from', and '{kind.text}' comes right before 'to'.",
            stuck.span(at, to or end + 1),
            f"Write '{meant}'.",
        ),
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
    return Slip(
        Message(
            "syntax",
            f"The place of a {mark.text} comes before its size.",
            stuck.span(stuck.at, end),
            f"Write '{mark.text} {stuck.written(at, end)} {stuck.written(stuck.at, at - 1)}'.",
        ),
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
            return Slip(
                Message(
                    "syntax",
                    "The word comes before its number.",
                    stuck.span(stuck.at, stuck.at + size),
                    f"Write '{meant} {number}'.",
                ),
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
    return Slip(
        Message(
            "syntax",
            "A size is said from side to side, not from the middle.",
            stuck.span(stuck.at),
            f"Write 'across {double}'.",
        ),
        edit,
    )


def marks_along_nothing(stuck: Stuck) -> Slip | None:
    """``impress dot along every 11 mm``."""
    if stuck.token.text != "every" or stuck.before is None or stuck.before.text != "along":
        return None
    return Slip(
        Message(
            "syntax",
            "Marks are set along a line that has a name.",
            stuck.span(stuck.at - 1, stuck.at),
            "Name the line first, as in 'path edge = from (0, 0) line to (1, 0)', then write 'along edge every …'. "
            "In 'each ring' and 'each vertical' the whole line is 'path edge = along'.",
        )
    )


def nothing_worked(stuck: Stuck) -> Slip | None:
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


# ----------------------------------------------------------------------------------------- statements


def work_without_place(stuck: Stuck) -> Slip | None:
    """``motif m { grid …  incise … }``: not said where."""
    word = stuck.token.text
    if not {"GRID", "ONCE"} <= stuck.expected or word not in {*TECHNIQUES, "draw", "path", "repeat", "if"}:
        return None
    end, depth = stuck.at, 0
    while depth or not _ends_work(stuck, end):
        kind = stuck.tokens[end].kind
        depth += (kind == "LEFT_BRACE") - (kind == "RIGHT_BRACE")
        end += 1
    return Slip(
        Message(
            "syntax",
            "It is not said where this is to be made.",
            stuck.span(stuck.at),
            f"Write 'each cell {{ {word} … }}'; there are also 'each crossing', 'each ring', 'each vertical', 'once'.",
        ),
        Edit(
            stuck.at,
            end,
            (*stuck.meaning("each cell {"), *stuck.tokens[stuck.at : end], *put(["}"], stuck.tokens[end - 1].end)),
        ),
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
    return Slip(
        Message(
            "syntax",
            f"A {what} is named with '{word}'.",
            stuck.span(stuck.at),
            f"Write '{word} {stuck.written(stuck.at)} = …'.",
        ),
        Edit(stuck.at, stuck.at, put([word], stuck.token.start)),
    )


def repeat_without_name(stuck: Stuck) -> Slip | None:
    """``repeat 3 { … }``, ``repeat 3 times { … }``."""
    times = stuck.token.text in ("times", "x")
    if stuck.expected & {"AS", "NAME"} != {"AS"} or not (times or stuck.token.kind == "LEFT_BRACE"):
        return None
    if stuck.tokens[stuck.begin].text != "repeat":
        return None
    return Slip(
        Message(
            "syntax",
            "A repeat gives its turns a name, so that each can differ.",
            stuck.span(stuck.begin, stuck.at - (not times)),
            f"Write '{stuck.written(stuck.begin, stuck.at - 1)} as k {{ … }}'; k is then 1, 2, 3 ….",
        ),
        Edit(stuck.at, stuck.at + times, stuck.meaning("as k")),
    )


def loop(stuck: Stuck) -> Slip | None:
    """``for k in 1 to 3 { … }``: read as a repeat, so that what stands in it is read too."""
    if stuck.token.text not in ("for", "while", "loop", "foreach") or "REPEAT" not in stuck.expected:
        return None
    brace = next((i for i in range(stuck.at, len(stuck.tokens)) if stuck.tokens[i].kind == "LEFT_BRACE"), None)
    if brace is None or brace - stuck.at > 12:
        return None
    name = stuck.behind.text if stuck.is_name(stuck.at + 1) else "k"
    return Slip(
        Message(
            "syntax",
            f"'{stuck.written(stuck.at)}' is not a word of the language; what is done again begins with 'repeat'.",
            stuck.span(stuck.at, brace - 1),
            f"Write 'repeat 3 as {name} {{ … }}'; {name} is then 1, 2, 3.",
        ),
        Edit(stuck.at, brace, stuck.meaning(f"repeat 1 as {name}")),
    )


# ------------------------------------------------------------------------------------------ the grid


def rows_before_columns(stuck: Stuck) -> Slip | None:
    """``grid rows 4 columns 10``."""
    if stuck.token.text != "rows" or stuck.expected != {"COLUMNS"}:
        return None
    columns = _next(stuck, stuck.at, "columns")
    if columns is None:
        return None
    end = columns + 1
    while not _ends_grid(stuck, end):
        end += 1
    rows, all_columns = stuck.tokens[stuck.at : columns], stuck.tokens[columns:end]
    meant = f"grid {stuck.written(columns, end - 1)} {stuck.written(stuck.at, columns - 1)}"
    return Slip(
        Message(
            "syntax",
            "A grid names its columns first, then its rows.",
            stuck.span(stuck.at, end - 1),
            f"Write '{meant}'.",
        ),
        Edit(stuck.at, end, (*all_columns, *rows)),
    )


def _ends_grid(stuck: Stuck, at: int) -> bool:
    token, behind = stuck.tokens[at], stuck.tokens[min(at + 1, len(stuck.tokens) - 1)]
    if token.text == "each":
        return behind.text != "row"
    return token.kind in ("RIGHT_BRACE", END) or token.text in ("once", "given", "let", "note", "shifted", "grid")


def _next(stuck: Stuck, at: int, word: str) -> int | None:
    """Where ``word`` stands before the grid ends."""
    while not _ends_grid(stuck, at):
        if stuck.tokens[at].text == word:
            return at
        at += 1
    return None


def numbers_of_the_grid(stuck: Stuck) -> Slip | None:
    """``grid 10 columns 4 rows``, ``grid 10 x 4``, ``grid 10 by 4``."""
    if stuck.expected != {"COLUMNS"} or not (first := stuck.measure(stuck.at)):
        return None
    at = stuck.at + first
    while stuck.tokens[at].text in ("columns", "column", "by", "x", "*", ",", "and"):
        at += 1
    second = stuck.measure(at)
    columns, rows = stuck.tokens[stuck.at : stuck.at + first], tuple(stuck.tokens[at : at + second])
    end = at + second + (stuck.tokens[at + second].text in ("rows", "row"))
    shown = f"rows {stuck.written(at, at + second - 1)}" if second else "rows every 20 mm"
    meant = f"grid columns {stuck.written(stuck.at, stuck.at + first - 1)} {shown}"
    by = (*put(["columns"], columns[0].start), *columns, *put(["rows"], columns[0].start))
    return Slip(
        Message(
            "syntax",
            "In a grid the words come before their numbers.",
            stuck.span(stuck.at, end - 1),
            f"Write '{meant}'.",
        ),
        Edit(stuck.at, end, (*by, *(rows or put(["1"], columns[0].start)))),
    )


def grid_without_rows(stuck: Stuck) -> Slip | None:
    """``grid columns 10 each cell { … }``, where 'each' is read as that of 'each row'."""
    each = stuck.before is not None and stuck.before.text == "each" and stuck.expected == {"ROW"}
    if not each and ("ROWS" not in stuck.expected or not _ends_grid(stuck, stuck.at)):
        return None
    if stuck.token.kind == END:
        return None
    at = stuck.at - each
    return Slip(
        Message(
            "syntax",
            "The grid does not say its rows.",
            stuck.span(stuck.begin, at - 1),
            f"Write '{stuck.written(stuck.begin, at - 1)} rows 4', or 'rows every 20 mm'.",
        ),
        Edit(at, at, put(["rows", "1"], stuck.tokens[at].start)),
    )


# ------------------------------------------------------------------------------------ forms and pieces


def kind_of_profile(stuck: Stuck) -> Slip | None:
    """``profile { … }``."""
    if stuck.before is None or stuck.before.text != "profile" or stuck.token.kind != "LEFT_BRACE":
        return None
    return Slip(
        Message(
            "syntax",
            "A profile says how its stations are joined.",
            stuck.span(stuck.at - 1),
            "Write 'profile smooth {' for an even curve, 'profile straight {' for straight walls.",
        ),
        Edit(stuck.at, stuck.at, stuck.meaning("smooth")),
    )


def stations_as_pairs(stuck: Stuck) -> Slip | None:
    """``profile smooth { (0 mm, 62 mm) (90 mm, 74 mm) }``, in brackets or without."""
    if "AT" not in stuck.expected or stuck.expected - _BETWEEN_STATIONS:
        return None
    by: list[Token] = []
    end, shown = stuck.at, ""
    while (pair := _pair(stuck, end)) is not None:
        height, size, behind = pair
        meant = f"at {_words(stuck, height)} across {_words(stuck, size)}"
        shown = shown or meant
        start = stuck.tokens[end].start
        by += (*put(["at"], start), *stuck.tokens[height], *put(["across"], start), *stuck.tokens[size])
        end = behind
    if not by:
        return None
    return Slip(
        Message(
            "syntax",
            "A station says its height after 'at' and its size after 'across' or 'around'.",
            stuck.span(stuck.at, end - 1),
            f"Write '{shown}'" + (", and so on." if len(by) > 6 else "."),
        ),
        Edit(stuck.at, end, tuple(by)),
    )


def _pair(stuck: Stuck, at: int) -> tuple[slice, slice, int] | None:
    """Two measures with a comma or colon between them, in brackets or not, and where what follows begins."""
    bracket = stuck.tokens[at].kind == "LEFT_BRACKET"
    first = slice(at + bracket, at + bracket + stuck.measure(at + bracket))
    parted = first.stop + (stuck.tokens[first.stop].kind in ("COMMA", "COLON"))
    second = slice(parted, parted + stuck.measure(parted))
    if first.start == first.stop or second.start == second.stop:
        return None
    if bracket and stuck.tokens[second.stop].kind != "RIGHT_BRACKET":
        return None
    return first, second, second.stop + bracket


def _words(stuck: Stuck, part: slice) -> str:
    return stuck.written(part.start, part.stop - 1)


def place_without_word(stuck: Stuck) -> Slip | None:
    """``band quilted from 10 mm to 80 mm``, ``carve ring at 40 mm``."""
    if not {"LANDMARK", "HEIGHT"} <= stuck.expected or not (size := stuck.measure(stuck.at)):
        return None
    measure = stuck.written(stuck.at, stuck.at + size - 1)
    return Slip(
        Message(
            "syntax",
            "A place on the wall says from where it is measured.",
            stuck.span(stuck.at, stuck.at + size - 1),
            f"Write 'height {measure}' above the table, 'tape {measure}' up the wall, or 'foot + {measure}'.",
        ),
        Edit(stuck.at, stuck.at, stuck.meaning("height")),
    )


def reach_without_band(stuck: Stuck) -> Slip | None:
    """``piece p { form cup from foot to rim  band quilted }``."""
    if stuck.token.text not in ("from", "only", "starting") or not {"BAND", "RESERVE"} <= stuck.expected:
        return None
    if stuck.token.text == "from" and stuck.is_name(stuck.at + 1) and not _is_place(stuck.behind):
        return None
    ends = {*TECHNIQUES, "band", "form", "pace", "decorated", "dimensions", "reserve", "note"}
    end = stuck.at + 1
    while stuck.tokens[end].kind not in ("RIGHT_BRACE", "LEFT_BRACE", END) and stuck.tokens[end].text not in ends:
        end += 1
    words = stuck.written(stuck.at, end - 1)
    return Slip(
        Message(
            "syntax",
            f"'{stuck.token.text} …' belongs to a band, right after its motif.",
            stuck.span(stuck.at, end - 1),
            f"Write 'band {_motif_of_piece(stuck)} {words}'.",
        ),
        Edit(stuck.at, end, ()),
    )


def _is_place(token: Token) -> bool:
    return token.text in ("foot", "rim", "belly", "neck", "height", "tape", "top", "bottom")


def _motif_of_piece(stuck: Stuck) -> str:
    """The motif of the nearest band, before or behind; else of the file."""
    for i in (*range(stuck.at, -1, -1), *range(stuck.at, len(stuck.tokens) - 1)):
        if stuck.tokens[i].text in ("band", "motif") and stuck.tokens[i + 1].kind == WORD:
            return stuck.written(i + 1)
    return "NAME"


def motif_without_band(stuck: Stuck) -> Slip | None:
    """``piece p { form cup  quilted from foot to rim }``."""
    if not stuck.is_name(stuck.at) or not {"BAND", "RESERVE"} <= stuck.expected:
        return None
    for before, token in zip(stuck.tokens, stuck.tokens[1:], strict=False):
        if token.text == stuck.token.text and before.text in ("motif", "take", "as", ","):
            name = stuck.written(stuck.at)
            return Slip(
                Message("syntax", "A motif on a piece is a band.", stuck.span(stuck.at), f"Write 'band {name} …'."),
                Edit(stuck.at, stuck.at, stuck.meaning("band")),
            )
    return None


def given_without_name(stuck: Stuck) -> Slip | None:
    """``band tufting(8)``."""
    if not {"NAME", "RIGHT_BRACKET"} <= stuck.expected or not (size := stuck.measure(stuck.at)):
        return None
    if stuck.before is None or stuck.before.kind not in ("LEFT_BRACKET", "COMMA"):
        return None
    measure = stuck.written(stuck.at, stuck.at + size - 1)
    owner = stuck.tokens[stuck.opening(stuck.at - 1) - 1 if stuck.before.kind == "LEFT_BRACKET" else stuck.begin]
    given = _first_given(stuck, owner.text)
    return Slip(
        Message(
            "syntax",
            "What is given to a motif or figure is called by its name.",
            stuck.span(stuck.at, stuck.at + size - 1),
            f"Write '{given} = {measure}'" + ("." if given != "name" else ", with the name of the given."),
        )
    )


def _first_given(stuck: Stuck, owner: str) -> str:
    """The first given of a motif or figure of this file; ``name`` where it is not known."""
    for i in range(len(stuck.tokens) - 2):
        if stuck.tokens[i].text in ("motif", "figure") and stuck.tokens[i + 1].text == owner:
            for j in range(i + 2, len(stuck.tokens) - 1):
                if stuck.tokens[j].text in ("motif", "figure", "piece", "each", "grid"):
                    break
                if stuck.tokens[j].text == "given":
                    return stuck.written(j + 1)
    return "name"


# ------------------------------------------------------------------------------- what was left out


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
    if likely == "COMMA" and stuck.tokens[stuck.begin].text in TECHNIQUES:
        problem = "A comma is missing between two lines or marks."
    else:
        problem = f"'{word}' is missing between {stuck.shown(at - 1)} and {stuck.shown(at)}."
    first = stuck.opening(at - 1)
    if before.kind in (WORD, "NUMBER") or first < at - 1:
        meant = f"{stuck.written(first, at - 1)}{'' if word in ',)' else ' '}{word}{behind}"
    else:
        meant = word + behind
    return Slip(Message("syntax", problem, stuck.span(at), f"Write '{meant} …'."), edit)


def _word_of(terminal: str) -> str:
    """How a word or sign that the potter left out is written."""
    sign = next((sign for sign, name in grammar().signs.items() if name == terminal), None)
    return sign or re.split("[' ]", WORDS[terminal])[1]
