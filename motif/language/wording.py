"""What the words and signs of the grammar are called in messages, and lists of them for people."""

from __future__ import annotations

from collections.abc import Iterable, Sequence, Set

from motif.language.reserved import FUNCTIONS, KINDS, LANDMARKS, SPELLINGS, STAGES, TECHNIQUES, UNITS

#: At most so many things are listed where something else was expected.
MOST_LISTED = 5

#: Every terminal of the grammar, in the order in which a person would like to be told of them.
WORDS: dict[str, str] = {
    # what joins the words of one phrase
    "TO": "'to'",
    "OF": "'of'",
    "AT": "'at'",
    "BY": "'by'",
    "AS": "'as'",
    "FROM": "'from'",
    "WAYS": "'ways'",
    "CELLS": "'cells'",
    "RISE": "'rise'",
    "THROUGH": "'through'",
    "LEAVING": "'leaving'",
    "ARRIVING": "'arriving'",
    "FACING": "'facing'",
    # signs
    "LEFT_BRACE": "'{'",
    "RIGHT_BRACE": "'}'",
    "RIGHT_BRACKET": "')'",
    "LEFT_BRACKET": "'('",
    "EQUAL": "'='",
    "COLON": "':'",
    "COMMA": "','",
    # what is filled in
    "NAME": "a name",
    "NUMBER": "a number",
    "TEXT": "a text in quotes",
    "TECHNIQUE": "a technique such as 'carve'",
    "FUNCTION": "a function such as 'max'",
    "UNIT": "a unit such as 'mm'",
    "KIND": "its kind, such as 'count' or 'length'",
    "STAGE": "a stage such as 'leather-hard'",
    "LANDMARK": "a landmark such as 'foot' or 'rim'",
    # the grid
    "COLUMNS": "'columns'",
    "ROWS": "'rows'",
    "EVERY": "'every'",
    "NEAR": "'near'",
    "PROPORTIONAL": "'proportional'",
    "MULTIPLE": "'multiple of'",
    "SPACED": "'spaced'",
    "STEPPED": "'stepped by height'",
    "SHIFTED": "'shifted'",
    # places of a motif
    "CELL": "'cell'",
    "CROSSING": "'crossing'",
    "RING": "'ring'",
    "VERTICAL": "'vertical'",
    "ROW": "'row'",
    "COLUMN": "'column'",
    "WHERE": "'where'",
    # drawing
    "LINE": "'line to'",
    "TAUT": "'taut to'",
    "ARC": "'arc to'",
    "CURVE": "'curve to'",
    "CLOSE": "'close'",
    "ACROSS": "'across'",
    "AROUND": "'around'",
    "TILTED": "'tilted'",
    "RECTANGLE": "'rectangle'",
    "CIRCLE": "'circle'",
    "DOT": "'dot'",
    "OFFSET": "'offset'",
    "ALONG": "'along'",
    "CLEAR": "'clear of'",
    "WITHIN": "'within'",
    "BOTH": "'both'",
    "OUTWARD": "'outward'",
    "INWARD": "'inward'",
    "DEPTH": "'depth'",
    "WIDTH": "'width'",
    "PITCH": "'pitch'",
    "WITH": "'with'",
    "COLOUR": "'colour'",
    "UNBROKEN": "'unbroken'",
    "ROTATED": "'rotated'",
    "TIMES": "'times'",
    "MIRRORED": "'mirrored'",
    "REVERSED": "'reversed'",
    "MOVED": "'moved by'",
    "LEFT_RIGHT": "'left-right'",
    "TOP_BOTTOM": "'top-bottom'",
    # what begins a statement, a part of a definition, a definition
    "OTHERWISE": "'otherwise'",
    "PATH": "'path'",
    "DRAW": "'draw'",
    "IF": "'if'",
    "REPEAT": "'repeat'",
    "GRID": "'grid'",
    "EACH": "'each'",
    "ONCE": "'once'",
    "GIVEN": "'given'",
    "BAND": "'band'",
    "ONLY": "'only columns'",
    "STARTING": "'starting at'",
    "EDGE": "'edge of'",
    "DIMENSIONS": "'dimensions at'",
    "MEASURED": "'measured at'",
    "DECORATED": "'decorated'",
    "THICKNESS": "'thickness'",
    "PROFILE": "'profile'",
    "STRAIGHT": "'straight'",
    "SMOOTH": "'smooth'",
    "CORNER": "'corner'",
    "RESERVE": "'reserve'",
    "HEIGHT": "'height'",
    "TAPE": "'tape'",
    "OUTSIDE": "'outside'",
    "INSIDE": "'inside'",
    "SHRINKS": "'shrinks'",
    "WIDE": "'wide'",
    "TALL": "'tall'",
    "CUTS": "'cuts'",
    "DEEP": "'deep'",
    "VOLUME": "'volume'",
    "OUTLINE": "'outline'",
    "MOTIF": "'motif'",
    "PIECE": "'piece'",
    "SPARE": "'spare'",
    "MINUTE": "'minute'",
    "HOUR": "'hour'",
    "FORM": "'form'",
    "TOOL": "'tool'",
    "FIGURE": "'figure'",
    "CLAY": "'clay'",
    "PACE": "'pace'",
    "LET": "'let'",
    "NOTE": "'note'",
    "TAKE": "'take'",
    "ALL": "'all'",
    "LANGUAGE": "'language'",
    "TITLE": "'title'",
    "LICENCE": "'licence'",
    # reckoning
    "PLUS": "'+'",
    "MINUS": "'-'",
    "STAR": "'*'",
    "SLASH": "'/'",
    "PERIOD": "'.'",
    "LESS": "'<'",
    "LESS_OR_EQUAL": "'<='",
    "MORE": "'>'",
    "MORE_OR_EQUAL": "'>='",
    "UNEQUAL": "'<>'",
    "AND": "'and'",
    "OR": "'or'",
    "NOT": "'not'",
    "CHORD": "'chord'",
    "CELL_WIDTH": "'cell-width'",
    "CELL_HEIGHT": "'cell-height'",
    "$END": "the end of the text",
}

#: The words of terminals that stand for a family of words.
FAMILIES: dict[str, tuple[str, ...]] = {
    "TECHNIQUE": TECHNIQUES,
    "FUNCTION": tuple(FUNCTIONS),
    "UNIT": tuple(UNITS),
    "KIND": KINDS,
    "STAGE": (*STAGES, *(s for s, folded in SPELLINGS.items() if folded in STAGES)),
    "LANDMARK": LANDMARKS,
    "COLOUR": ("colour", "color"),
    "LICENCE": ("licence", "license"),
}

COMPARING = frozenset({"LESS", "LESS_OR_EQUAL", "MORE", "MORE_OR_EQUAL", "EQUAL", "UNEQUAL"})

_RECKONING = COMPARING - {"EQUAL"} | {"PLUS", "MINUS", "STAR", "SLASH", "PERIOD", "AND", "OR"}
_BEGINS_VALUE = frozenset(
    {
        "NUMBER",
        "TEXT",
        "FUNCTION",
        "CHORD",
        "LEFT_BRACKET",
        "MINUS",
        "NOT",
        "NAME",
        "COLUMNS",
        "ROWS",
        "COLUMN",
        "ROW",
        "VERTICAL",
        "RING",
        "CELL_WIDTH",
        "CELL_HEIGHT",
    }
)
_BEGINS_GEOMETRY = frozenset({"FROM", "RECTANGLE", "CIRCLE", "DOT", "OFFSET", "ALONG", "NAME"})

#: Where a word that begins something belongs, for one that stands elsewhere.
HOMES: dict[str, str] = {
    "grid": "in a motif",
    "each": "in a motif",
    "once": "in a motif",
    "given": "in a motif or a figure",
    "band": "in a piece",
    "dimensions": "in a piece",
    "profile": "in a form",
    "measured": "in a form",
    "thickness": "in a form, before or behind its profile",
    "reserve": "in a form or a piece",
    "shrinks": "in a clay",
    "outline": "in a tool",
    "spare": "in a pace",
    "path": "between the braces of 'each …' or 'once', or in a figure",
    "draw": "between the braces of 'each …' or 'once', or in a figure",
    "if": "between the braces of 'each …' or 'once', or in a figure",
    "repeat": "between the braces of 'each …' or 'once', or in a figure",
    "otherwise": "right behind the '}' of an 'if'",
    **dict.fromkeys(TECHNIQUES, "between the braces of 'each …' or 'once', in a figure, or in a piece"),
    **dict.fromkeys(("take", "clay", "form", "tool", "figure", "motif", "piece"), "outside all braces"),
    **dict.fromkeys(("title", "licence", "language"), "outside all braces"),
}


def either(things: Sequence[str]) -> str:
    """``a, b or c``."""
    return " or ".join((", ".join(things[:-1]), things[-1])) if len(things) > 1 else things[0]


def spellings(terminals: Iterable[str]) -> list[str]:
    """The words that terminals are written with, in the order of ``WORDS``; signs and patterns have none."""
    wanted = set(terminals)
    words: list[str] = []
    for terminal, phrase in WORDS.items():
        if terminal in wanted:
            word = phrase[1:-1].split(" ")[0]
            words += FAMILIES.get(terminal, (word,) if phrase[0] == "'" and word[0].isalpha() else ())
    return words


def expected(terminals: Set[str], beginnings: Set[str]) -> list[str]:
    """What may stand in a place, for people, the likeliest first.

    ``beginnings`` are the terminals that begin the next statement (or part, or definition); they are left
    out unless nothing else may stand there. So are the signs of reckoning, which fit behind every value.
    """
    left = set(terminals)
    if "PLUS" in left:
        left.discard("EQUAL")  # behind a value it compares
    found: list[str] = []
    if {"NUMBER", "LEFT_BRACKET"} <= left:
        found.append("a value")
        left -= _BEGINS_VALUE
    if {"RECTANGLE", "NAME"} <= left:
        found.append("a line or a mark")
        left -= _BEGINS_GEOMETRY
    for less_telling in (_RECKONING, beginnings | {"RIGHT_BRACE"}, {"UNIT"}):
        if found or left - less_telling:
            left -= less_telling
    return found + [phrase for terminal, phrase in WORDS.items() if terminal in left]


#: What helps where one of these is expected and something else stands there.
_EXAMPLES: dict[str, str] = {
    "a line or a mark": "A line is 'from (0, 0) line to (1, 1)'; a mark is 'dot at (1/2, 1/2)', or a tool at a point.",
    "a value": "A value is a number, with its unit where it measures something: 3, 1/2, 4 mm, 30 deg.",
    "a name": "A name is a word of your own; several words are joined by hyphens, as in button-row.",
    "a text in quotes": 'Write it between quotes: "…".',
    "a landmark such as 'foot' or 'rim'": "A place is 'foot', 'belly', 'neck', 'rim', 'height 40 mm' or 'tape 40 mm'.",
    "a stage such as 'leather-hard'": "The stages are " + ", ".join(STAGES) + ".",
    "its kind, such as 'count' or 'length'": "The kinds are " + ", ".join(KINDS) + ".",
    "'('": "A point is written with brackets and a comma, as in (1/2, 1/2): so far across, so far up.",
}


def example(fitting: Sequence[str]) -> str | None:
    """Advice where one of ``fitting`` is expected, for the first that has any; without any, the only one itself."""
    first = fitting[0] if fitting else ""
    if len(fitting) == 1 or (first[:1] == "'" and not first[1].isalpha() and first not in _EXAMPLES):
        return _EXAMPLES.get(first) or (f"Write {first} here." if first[:1] == "'" else None)
    return next((_EXAMPLES[f] for f in fitting if f in _EXAMPLES), "Write one of them here." if fitting else None)


def listing(things: Sequence[str]) -> str:
    """At most ``MOST_LISTED`` things as ``a, b or c``; a longer list says that there are more."""
    if len(things) > MOST_LISTED:
        return ", ".join(things[:MOST_LISTED]) + " …"
    return either(things)
