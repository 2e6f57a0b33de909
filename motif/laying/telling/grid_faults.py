"""What a grid, its groups and its panels cannot be."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Literal

from motif.language.messages import Message
from motif.language.source import Span
from motif.language.words import Length, words

Line = Literal["columns", "rows"]

#: how far off a count that closes is looked for
_LOOKED_AT = 1000
#: ``2-5``, which takes five from two
_RANGE = re.compile(r"(\d+)\s*[-–]\s*(\d+)")


def take(n: int, word: str, closes: Callable[[int], bool]) -> str:
    """Advice for a count that does not close: the nearest below and above ``n`` that do, not farther than
    ``_LOOKED_AT`` away."""
    below = next((k for k in range(n - 1, max(0, n - _LOOKED_AT), -1) if closes(k)), None)
    above = next((k for k in range(n + 1, n + _LOOKED_AT) if closes(k)), None)
    found = " or ".join(str(k) for k in (below, above) if k is not None)
    return f"Take {found} {word}." if found else f"Take another number of {word}."


# ---------------------------------------------------------------- rows and columns


def no_height(at: Span) -> Message:
    return Message("no-rows", "This band has no height.", at, "Let it reach from one place to another.")


def less_than_one(at: Span, word: str, n: int) -> Message:
    return Message("out-of-range", f"'{word}' must be above 0, and is {n}.", at, "Give 1 or more.")


def too_many(at: Span, line: Line, n: int | None, most: int) -> Message:
    """``n`` rows or columns as they are written, or None where their size makes so many."""
    small = {"columns": "Columns as narrow as this", "rows": "Rows as low as this"}
    return Message(
        "too-many-marks",
        f"{small[line] if n is None else f'{n} {line}'} are more than can be looked at; {most} is the limit.",
        at,
        "Make them larger, or take fewer.",
    )


def not_a_multiple(at: Span, line: Line, n: int, multiple: int) -> Message:
    return Message(
        "does-not-close",
        f"{n} {line} are not a multiple of {multiple}.",
        at,
        take(n, line, lambda k: k % multiple == 0),
    )


def spaced_too_unevenly(at: Span, line: Line, most: float) -> Message:
    return Message(
        "out-of-range",
        f"One part of 'spaced' is more than {most} times another, which leaves nothing to see of that.",
        at,
        f"Let the {line} be more alike.",
    )


def spacing_cut_short(at: Span, columns: int, parts: int) -> Message:
    return Message(
        "does-not-close",
        f"{columns} columns cannot repeat a spacing of {parts} parts.",
        at,
        take(columns, "columns", lambda k: k % parts == 0),
    )


def height_turns_back(at: Span) -> Message:
    return Message(
        "height-turns-back",
        "In this band the wall turns back in height, so that no level belongs to one ring alone.",
        at,
        "Step the rows by tape, or let the band end where the wall turns.",
    )


def no_row_fits(at: Span, room: float, step: float, multiple: int) -> Message:
    """``room`` and ``step`` in mm of tape or height; ``multiple`` rows are the fewest."""
    return Message(
        "no-rows",
        words(
            "The band is ",
            Length(room),
            f" and does not hold {'one row' if multiple == 1 else f'{multiple} rows'} of ",
            Length(step),
            ".",
        ),
        at,
        "Make the band taller or the step smaller.",
    )


def proportion_by_rows(at: Span) -> Message:
    return Message(
        "wrong-kind",
        "Rows by proportion need a number of columns that is the same in every row.",
        at,
        "Leave 'each row' out, or give the rows a size: rows near 20 mm",
    )


def proportion_at_a_closed_end(at: Span) -> Message:
    return Message(
        "no-rows",
        "Rows that keep their proportion never reach the middle of a closed end, where the radius is 0.",
        at,
        "Let the band end a little before it.",
    )


# ---------------------------------------------------------------- what is moved, grouped or left out


def shift_does_not_close(at: Span, columns: int, by: float, closes: Callable[[int], bool]) -> Message:
    """Columns each moved ``by`` of a row, of which ``closes`` knows what numbers come back whole."""
    return Message(
        "does-not-close",
        f"{columns} columns each moved {by:g} of a row come back {columns * by:g} rows up, which is not whole.",
        at,
        take(columns, "columns", closes),
    )


def empty_group(at: Span, n: int) -> Message:
    return Message(
        "out-of-range",
        f"A group has at least one cell, and this is {n}.",
        at,
        "Write how many columns by how many rows: each 2 by 2 cells",
    )


def group_over_uneven_rows(at: Span) -> Message:
    return Message(
        "does-not-close",
        "Groups of several rows need the same columns in every row.",
        at,
        "Leave out 'each row', or use groups one row high.",
    )


def groups_across(at: Span, across: int, columns: int) -> Message:
    return Message(
        "does-not-close",
        f"Groups of {across} columns do not divide {columns} columns.",
        at,
        take(columns, "columns", lambda k: k % across == 0),
    )


def groups_up(at: Span, up: int, rows: int) -> Message:
    return Message(
        "does-not-close",
        f"Groups of {up} rows, moved column by column, do not close in {rows} rows.",
        at,
        take(rows, "rows", lambda k: k % up == 0),
    )


def groups_out_of_step(at: Span, up: int, columns: int, rest: float, closes: Callable[[int], bool]) -> Message:
    """Groups ``up`` rows high that come back ``rest`` rows off; ``closes`` knows what columns bring them back."""
    return Message(
        "does-not-close",
        f"Groups of {up} rows come back {rest:g} rows out of step after {columns} columns.",
        at,
        take(columns, "columns", closes),
    )


def verticals_of_uneven_rows(at: Span) -> Message:
    return Message(
        "does-not-close",
        "With 'each row' every row has verticals of its own, so none runs the whole band.",
        at,
        "Draw them cell by cell: from (0, 0) line to (0, 1)",
    )


def panels_of_uneven_rows(at: Span) -> Message:
    return Message(
        "does-not-close", "Panels need the same columns in every row.", at, "Leave out 'each row' or 'only columns'."
    )


def no_such_column(at: Span, k: int, columns: int) -> Message:
    """What stands ``at`` the place may be a range with a hyphen, which reckons to one number."""
    between = _RANGE.fullmatch(at.text)
    return Message(
        "out-of-range",
        f"There is no column {k}; the band has {columns}.",
        at,
        f"Columns are numbered 1 to {columns} from the starting mark to the right."
        if between is None
        else f"Write '{between[1]} to {between[2]}'.",
    )
