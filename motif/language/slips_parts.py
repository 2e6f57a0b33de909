"""Slips in grids and forms, and with braces, told where the text does not go on."""

from __future__ import annotations

from motif.language.scanner import END, Token
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


def grid_without_columns(stuck: Stuck) -> Slip | None:
    """``grid rows near 22 mm``, with no columns behind."""
    if stuck.token.text != "rows" or stuck.expected != {"COLUMNS"}:
        return None
    return stuck.slip(
        "The grid does not say its columns.",
        stuck.span(stuck.at - 1, stuck.at),
        "Write 'grid columns 12 rows …' for twelve all round, or 'grid columns near 25 mm rows …'.",
        Edit(stuck.at, stuck.at, put(["columns", "1"], stuck.token.start)),
    )


def columns_by_steps(stuck: Stuck) -> Slip | None:
    """``columns every 22 mm``."""
    if stuck.token.text != "every" or stuck.before is None or stuck.before.text != "columns":
        return None
    size = stuck.written(stuck.at + 1, stuck.at + max(1, stuck.measure(stuck.at + 1)))
    return stuck.slip(
        "Columns go all round the pot, which whole steps of a size seldom do.",
        stuck.span(stuck.at - 1, stuck.at),
        f"Write 'columns near {size}': the whole number of columns whose width comes nearest.",
        Edit(stuck.at, stuck.at + 1, stuck.meaning("near")),
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


# ------------------------------------------------------------------------------------------ forms


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


# ------------------------------------------------------------------------------------------- braces


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
