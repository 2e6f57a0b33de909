"""Names that mean nothing where they stand, or mean two things."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from motif.language.messages import Message
from motif.language.source import Span
from motif.language.spelling import suggestion
from motif.language.wording import listing

_ANOTHER = "Give one of the two another name."
_KEEP_ONE = "Keep one of the two."

#: How to make what a name is wanted for.
_MADE = {
    "path": "Make it before it is used: path {0} = from (0, 0) line to (1, 1)",
    "value": "Make it before it is used: let {0} = 3 mm",
    "motif": "Write it, motif {0} {{ … }}, or take one from the library: motif library lists them.",
    "form": "Write it, form {0} {{ … }}, or take one from the library: motif library lists them.",
    "tool": "Write it: tool {0} {{ wide 10 mm }}",
    "clay": "Write it: clay {0} {{ shrinks 12 % by fired }}",
    "figure": "Write it: figure {0} {{ … }}",
    "pace": "Write it: pace {0} {{ carve 40 cm each minute }}",
}

# ---------------------------------------------------------------- unknown


def unknown(at: Span, name: str, what: str, remedy: str) -> Message:
    """``what`` a name is wanted for: a value, a path, a motif …"""
    return Message("unknown-name", f"There is no {what} called '{name}' here.", at, remedy)


def minus_without_spaces(stem: str, rest: str) -> str:
    """The remedy for ``step-1``."""
    return f"A minus needs spaces: {stem} - {rest}."


def letter_for_a_figure(name: str) -> str:
    """The remedy for ``o`` and ``l``."""
    said, figure = ("nought", "0") if name == "o" else ("one", "1")
    return f"For {said} write the figure {figure}, not a letter."


def number_in_letters(figure: str) -> str:
    """The remedy for ``two``."""
    return f"Write numbers in figures: {figure}"


def take_it(name: str, entry: str) -> str:
    """The remedy for a name that an entry of the library has."""
    return f"The library has it: put 'take {name} from \"{entry}\"' at the top of the file."


def take_near(name: str, entry: str) -> str:
    """The remedy for a name near one that an entry of the library has."""
    return f"Did you mean '{name}'? {take_it(name, entry)}"


def make_it(name: str, what: str, known: Sequence[str]) -> str:
    """The remedy for a name near no other: how it is made, and what there is."""
    if what not in _MADE:
        return f"Known are {listing(known)}."
    there = f"This file has {listing(known)}. " if known and what not in ("path", "value") else ""
    return there + _MADE[what].format(name)


def not_in_scope(at: Span, name: str, known: Iterable[str]) -> Message:
    """A name such as ``column`` where there is none; ``known`` are those that there are."""
    listed = ", ".join(sorted(known))
    return Message(
        "unknown-name",
        f"'{name}' is not known here.",
        at,
        f"Known here: {listed}." if listed else "It is known inside the rules of a motif.",
    )


def no_such_field(at: Span, field: str, known: Iterable[str]) -> Message:
    """What stands after the dot in ``tooth.deep``."""
    fields = list(known)
    return Message(
        "unknown-name",
        f"A tool has no '{field}'.",
        at,
        suggestion(field, fields) or f"A tool has {', '.join(fields)}.",
    )


def no_such_given(at: Span, what: str, name: str, known: Sequence[str]) -> Message:
    remedy = f"It takes {listing(known)}." if known else "It takes none: leave it out."
    return Message("unknown-name", f"The {what} has no given called '{name}'.", at, suggestion(name, known) or remedy)


def bare_colour(at: Span, colour: str) -> Message:
    return Message(
        "unknown-name",
        f"There is no value called '{colour}' here.",
        at,
        f'A colour stands in quotes: colour "{colour}"',
    )


def no_such_piece(piece: str, file: str, known: Sequence[str]) -> Message:
    return Message(
        "unknown-name",
        f"There is no piece called '{piece}' in '{file}'.",
        None,
        suggestion(piece, known) or (f"It has {', '.join(known)}." if known else "It has no pieces."),
    )


def no_such_pace(pace: str, file: str, known: Sequence[str]) -> Message:
    likely = "Write one: pace mine { carve 40 cm each minute }"
    return Message(
        "unknown-name",
        f"There is no pace called '{pace}' in '{file}'.",
        None,
        suggestion(pace, known) or (f"It has {', '.join(known)}." if known else likely),
    )


# ---------------------------------------------------------------- twice, or in a ring


def made_again(at: Span, name: str, first: Span) -> Message:
    return Message("defined-twice", f"'{name}' is already made here.", at, _ANOTHER, ((first, "made here first"),))


def set_again(at: Span, name: str, first: Span) -> Message:
    return Message("defined-twice", f"'{name}' is set twice.", at, _KEEP_ONE, ((first, "first here"),))


def said_again(at: Span, what: str, word: str, first: Span) -> Message:
    """A word that stands once in a definition, ``what``, stands there again."""
    return Message("defined-twice", f"A {what} says '{word}' once.", at, _KEEP_ONE, ((first, "first here"),))


def stage_again(at: Span, stage: str, first: Span) -> Message:
    return Message(
        "defined-twice", f"'{stage}' is stated twice for this clay.", at, _KEEP_ONE, ((first, "first here"),)
    )


def grid_again(at: Span, first: Span) -> Message:
    return Message("defined-twice", "A motif has one grid.", at, _KEEP_ONE, ((first, "first here"),))


def rate_again(at: Span, technique: str, first: Span) -> Message:
    return Message(
        "defined-twice",
        f"This pace says twice how fast it goes to {technique}.",
        at,
        "Keep one of the two, or say with which tool each is.",
        ((first, "first here"),),
    )


def leads_back(at: Span, ring: Sequence[str], made: Span) -> Message:
    """``ring`` names the whole round, the first name once more at its end."""
    return Message(
        "defined-by-itself",
        f"'{ring[0]}' leads back to itself: {' → '.join(ring)}.",
        at,
        "One of these must be said without the others.",
        ((made, f"'{ring[0]}' is made here"),),
    )


def too_many_steps(at: Span, name: str, most: int) -> Message:
    return Message(
        "out-of-range",
        f"'{name}' is said by way of too many others, one behind the other; {most} is the limit.",
        at,
        "Say some of them without the others.",
    )
