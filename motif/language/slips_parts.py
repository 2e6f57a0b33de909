"""Slips in grids, forms and pieces, told where the text does not go on."""

from __future__ import annotations

from itertools import pairwise

from motif.language.reserved import TECHNIQUES
from motif.language.scanner import END, WORD, Token
from motif.language.stuck import Edit, Slip, Stuck, put

_BETWEEN_STATIONS = frozenset(
    {"AT", "NOTE", "RIGHT_BRACE", "CORNER", "PLUS", "MINUS", "STAR", "SLASH", "PERIOD", "UNIT", "LEFT_BRACKET"}
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
    return stuck.slip(
        "A grid names its columns first, then its rows.",
        stuck.span(stuck.at, end - 1),
        f"Write '{meant}'.",
        Edit(stuck.at, end, (*all_columns, *rows)),
    )


def _ends_grid(stuck: Stuck, at: int) -> bool:
    token, behind = stuck.tokens[at], stuck.tokens[at + 1]
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
    return stuck.slip(
        "In a grid the words come before their numbers.",
        stuck.span(stuck.at, end - 1),
        f"Write '{meant}'.",
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
    return stuck.slip(
        "The grid does not say its rows.",
        stuck.span(stuck.begin, at - 1),
        f"Write '{stuck.written(stuck.begin, at - 1)} rows 4', or 'rows every 20 mm'.",
        Edit(at, at, put(["rows", "1"], stuck.tokens[at].start)),
    )


def grid_without_its_word(stuck: Stuck) -> Slip | None:
    """``motif m { columns 10 rows 4 }``."""
    if "GRID" not in stuck.expected or stuck.token.text not in ("columns", "rows"):
        return None
    return stuck.slip(
        "How the wall is divided begins with 'grid'.",
        stuck.span(stuck.at),
        f"Write 'grid {stuck.token.text} …'.",
        Edit(stuck.at, stuck.at, stuck.meaning("grid")),
    )


def some_of_each(stuck: Stuck) -> Slip | None:
    """``each other cell``, ``each second column``."""
    if stuck.before is None or stuck.before.text not in _SOME or "BY" not in stuck.expected:
        return None
    place = stuck.token.text
    picked = {"column": "cell where odd(column)", "row": "cell where odd(row)"}.get(
        place, "cell where odd(column + row)"
    )
    return stuck.slip(
        "Which of them are worked is said by 'where'.",
        stuck.span(stuck.at - 1, stuck.at),
        f"Write 'each {picked}', for example.",
        Edit(stuck.at - 1, stuck.at + 1, stuck.meaning("cell")),
    )


_SOME = frozenset({"other", "second", "third", "alternate", "next", "odd", "even"})


# ------------------------------------------------------------------------------------ forms and pieces


def kind_of_profile(stuck: Stuck) -> Slip | None:
    """``profile { … }``."""
    if stuck.before is None or stuck.before.text != "profile" or stuck.token.kind != "LEFT_BRACE":
        return None
    return stuck.slip(
        "A profile says how its stations are joined.",
        stuck.span(stuck.at - 1),
        "Write 'profile smooth {' for an even curve, 'profile straight {' for straight walls.",
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
    return stuck.slip(
        "A station says its height after 'at' and its size after 'across' or 'around'.",
        stuck.span(stuck.at, end - 1),
        f"Write '{shown}'" + (", and so on." if len(by) > 6 else "."),
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
    return stuck.slip(
        "A place on the wall says from where it is measured.",
        stuck.span(stuck.at, stuck.at + size - 1),
        f"Write 'height {measure}' above the table, 'tape {measure}' up the wall, or 'foot + {measure}'.",
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
    return stuck.slip(
        f"'{stuck.token.text} …' belongs to a band, right after its motif.",
        stuck.span(stuck.at, end - 1),
        f"Write 'band {_motif_of_piece(stuck)} {words}'.",
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


def name_without_its_word(stuck: Stuck) -> Slip | None:
    """``piece p { form cup  quilted from foot to rim }``, ``each cell { petal }``: what it is is not said."""
    words = _IN_PIECES if {"BAND", "RESERVE"} <= stuck.expected else _IN_RULES if "DRAW" in stuck.expected else {}
    made = {token.text: before.text for before, token in pairwise(stuck.tokens) if before.text in words}
    end, by, written = stuck.at, [], []
    while stuck.is_name(end) and (what := made.get(stuck.tokens[end].text)) is not None:
        by += [*put([words[what]], stuck.tokens[end].start), stuck.tokens[end]]
        written.append(f"{words[what]} {stuck.written(end)}")
        end += 1
    if not by:
        return None
    name = stuck.written(stuck.at)
    return stuck.slip(
        f"'{name}' is a {made[stuck.token.text]}, and it is not said what to do with it.",
        stuck.span(stuck.at, end - 1),
        f"Write '{' '.join(written)} …'.",
        Edit(stuck.at, end, tuple(by)),
    )


#: What a name was defined as → the word before it where it is used.
_IN_PIECES = {"motif": "band", "form": "form", "pace": "pace"}
_IN_RULES = {"figure": "draw", "tool": "impress", "path": "incise"}


def form_without_profile(stuck: Stuck) -> Slip | None:
    """``form cup { height 90 mm  across 80 mm }``."""
    if not {"PROFILE", "THICKNESS"} <= stuck.expected or stuck.token.text not in _MEASURED:
        return None
    return stuck.slip(
        "A form is measured in its profile, at two heights or more.",
        stuck.span(stuck.at),
        "Write 'profile smooth { at 0 mm across 62 mm  at 90 mm across 74 mm }', with your own measures.",
    )


_MEASURED = frozenset({"height", "high", "tall", "across", "around", "diameter", "wide", "width", "at", "foot", "rim"})


def outline_of_a_circle(stuck: Stuck) -> Slip | None:
    """``tool cap { outline circle across 8 mm }``."""
    if stuck.before is None or stuck.before.text != "outline" or stuck.token.text not in ("circle", "rectangle", "dot"):
        return None
    return stuck.slip(
        "An outline is drawn from point to point.",
        stuck.span(stuck.at),
        "For a round tool write only how wide it is: 'wide 8 mm'. For any other write "
        "'outline from (0 mm, 0 mm) line to (8 mm, 0 mm) line to (4 mm, 6 mm) close'.",
    )


def given_without_name(stuck: Stuck) -> Slip | None:
    """``band tufting(8)``."""
    if not {"NAME", "RIGHT_BRACKET"} <= stuck.expected or not (size := stuck.measure(stuck.at)):
        return None
    if stuck.before is None or stuck.before.kind not in ("LEFT_BRACKET", "COMMA"):
        return None
    measure = stuck.written(stuck.at, stuck.at + size - 1)
    owner = stuck.tokens[stuck.opening(stuck.at - 1) - 1 if stuck.before.kind == "LEFT_BRACKET" else stuck.begin]
    given = _first_given(stuck, owner.text)
    return stuck.slip(
        "What is given to a motif or figure is called by its name.",
        stuck.span(stuck.at, stuck.at + size - 1),
        f"Write '{given} = {measure}'" + ("." if given != "name" else ", with the name of the given."),
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


# ---------------------------------------------------------------------------------- braces and takes


def take_from_nowhere(stuck: Stuck) -> Slip | None:
    """``take tufting``."""
    if stuck.tokens[stuck.begin].text != "take" or not {"FROM", "COMMA"} <= stuck.expected or stuck.is_name(stuck.at):
        return None
    names = stuck.written(stuck.begin, stuck.at - 1)
    return stuck.slip(
        "It is not said from where to take it.",
        stuck.span(stuck.begin, stuck.at - 1),
        f"Write '{names} from \"…\"'; 'motif library' lists what there is and where.",
    )


def round_for_braces(stuck: Stuck) -> Slip | None:
    """``each cell ( … )``: what belongs together stands in braces."""
    if stuck.token.kind != "LEFT_BRACKET" or "LEFT_BRACE" not in stuck.expected:
        return None
    depth = 0
    for end in range(stuck.at, len(stuck.tokens)):
        kind = stuck.tokens[end].kind
        depth += (kind == "LEFT_BRACKET") - (kind == "RIGHT_BRACKET")
        if depth == 0:
            inner = stuck.tokens[stuck.at + 1 : end]
            return stuck.slip(
                "What belongs together stands in braces.",
                stuck.span(stuck.at),
                "Write '{' here, and '}' where it ends.",
                Edit(stuck.at, end + 1, (*stuck.meaning("{"), *inner, *put(["}"], stuck.tokens[end].end))),
            )
    return None
