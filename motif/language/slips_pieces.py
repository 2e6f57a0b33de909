"""Slips in pieces, and with what is given and taken, told where the text does not go on."""

from __future__ import annotations

from itertools import pairwise

from motif.language.reserved import RESERVED, TECHNIQUES, UNITS
from motif.language.scanner import END, WORD, Token
from motif.language.stuck import Edit, Slip, Stuck, put

# ------------------------------------------------------------------------------------------ pieces


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
    return token.text in _PLACES or token.text in ("top", "bottom")


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


def several_motifs(stuck: Stuck) -> Slip | None:
    """``band quilted, dotted from foot to rim``."""
    if stuck.tokens[stuck.begin].text != "band" or stuck.token.text not in (",", "and", "+"):
        return None
    if stuck.at != stuck.begin + 2 or not stuck.is_name(stuck.at + 1):
        return None
    end = stuck.at + 2
    while stuck.tokens[end].text in (",", "and", "+") and stuck.is_name(end + 1):
        end += 2
    return stuck.slip(
        "A band is of one motif.",
        stuck.span(stuck.at - 1, end - 1),
        f"Write a band for each: 'band {stuck.written(stuck.at - 1)} …  band {stuck.written(stuck.at + 1)} …'.",
        Edit(stuck.at, end, ()),
    )


def band_at_a_place(stuck: Stuck) -> Slip | None:
    """``band quilted at height 20 mm``."""
    if stuck.tokens[stuck.begin].text != "band" or stuck.token.text != "at" or "FROM" not in stuck.expected:
        return None
    end = stuck.at + 1
    while stuck.tokens[end].text in (*_PLACES, *UNITS, "+", "-") or stuck.tokens[end].kind == "NUMBER":
        end += 1
    place = stuck.written(stuck.at + 1, end - 1) if end > stuck.at + 1 else "height 20 mm"
    reach = f"from foot to {place}" if place.startswith("rim") else f"from {place} to rim"
    return stuck.slip(
        "A band lies between two places on the wall.",
        stuck.span(stuck.at, max(end - 1, stuck.at)),
        f"Write '{reach}', for example; one line round the pot is 'carve ring at {place}'.",
        Edit(stuck.at, end, ()),
    )


_PLACES = frozenset({"foot", "rim", "belly", "neck", "height", "tape"})


def reserve_without_facing(stuck: Stuck) -> Slip | None:
    """``reserve "handle" from foot to rim wide 30 mm``."""
    if stuck.tokens[stuck.begin].text != "reserve" or stuck.token.text != "wide" or "FACING" not in stuck.expected:
        return None
    wide = stuck.written(stuck.at, stuck.at + max(1, stuck.measure(stuck.at + 1)))
    return stuck.slip(
        "A reserve says which way its middle faces.",
        stuck.span(stuck.at),
        f"Write 'facing 90 deg {wide}': the angle is from the starting mark, growing to the right.",
        Edit(stuck.at, stuck.at, put(["facing", "0", "deg"], stuck.token.start)),
    )


# -------------------------------------------------------------------------------- givens and takes


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


def word_of_the_language_set(stuck: Stuck) -> Slip | None:
    """``band quilted(columns = 12)``."""
    token = stuck.token
    if token.kind != WORD or token.text not in RESERVED or stuck.behind.kind != "EQUAL":
        return None
    if stuck.before is None or stuck.before.kind not in ("LEFT_BRACKET", "COMMA") or "NAME" not in stuck.expected:
        return None
    end = stuck.at + 2 + max(1, stuck.measure(stuck.at + 2))
    start = stuck.at - (stuck.before.kind == "COMMA" and stuck.tokens[end].kind == "RIGHT_BRACKET")
    end += stuck.tokens[end].kind == "COMMA"
    of_grid = token.text in ("columns", "rows")
    set_ = stuck.written(stuck.at, stuck.at + 1 + max(1, stuck.measure(stuck.at + 2)))
    return stuck.slip(
        f"'{token.text}' is a word of the language, so no given is called that.",
        stuck.span(stuck.at),
        "Write it in the motif's grid; to set it here, make a given of it, as in "
        f"'given my-{token.text} count = 8', and write '(my-{set_})'."
        if of_grid
        else "Name a given of the motif or figure; 'given' in its text shows what they are called.",
        Edit(start, end, ()),
    )


def given_without_kind(stuck: Stuck) -> Slip | None:
    """``given stitch = 3 mm``."""
    if stuck.tokens[stuck.begin].text != "given" or stuck.at != stuck.begin + 2 or stuck.token.kind != "EQUAL":
        return None
    value, unit = stuck.behind, stuck.ahead(2).text
    kind = "text" if value.kind == "TEXT" else "count" if value.text.isdigit() else "number"
    if value.kind == "NUMBER" and unit in UNITS:
        kind = _KINDS.get(UNITS[unit].dimension, "number")
    shown = stuck.written(stuck.at, stuck.at + max(1, stuck.measure(stuck.at + 1)))
    return stuck.slip(
        "A given says of what kind it is, right after its name.",
        stuck.span(stuck.begin, stuck.at - 1),
        f"Write '{stuck.written(stuck.begin, stuck.at - 1)} {kind} {shown}'.",
        Edit(stuck.at, stuck.at, stuck.meaning(kind)),
    )


_KINDS = {(1, 0): "length", (0, 1): "angle", (3, 0): "volume"}


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


def take_from_nowhere(stuck: Stuck) -> Slip | None:
    """``take tufting``."""
    if stuck.tokens[stuck.begin].text != "take" or not {"FROM", "COMMA"} <= stuck.expected or stuck.is_name(stuck.at):
        return None
    names = stuck.written(stuck.begin, stuck.at - 1)
    if stuck.token.kind == "TEXT":
        return stuck.slip(
            "'from' is missing before the file.",
            stuck.span(stuck.at),
            f"Write '{names} from {stuck.written(stuck.at)}'.",
            Edit(stuck.at, stuck.at, stuck.meaning("from")),
        )
    return stuck.slip(
        "It is not said from where to take it.",
        stuck.span(stuck.begin, stuck.at - 1),
        f"Write '{names} from \"…\"'; 'motif library' lists what there is and where.",
    )
