"""Definitions and statements whose parts are missing, or do not go together."""

from __future__ import annotations

from motif.language.messages import Message
from motif.language.source import Span

# ---------------------------------------------------------------- what is missing


def no_grid(at: Span, motif: str) -> Message:
    return Message(
        "syntax",
        f"The motif '{motif}' has no grid.",
        at,
        "Say how the wall is divided, for example: grid columns 12 rows every 20 mm",
    )


def no_profile(at: Span, form: str) -> Message:
    return Message(
        "bad-profile",
        f"The form '{form}' has no profile.",
        at,
        "Measure it at two heights or more: profile smooth { at 0 mm across 90 mm  at 80 mm across 75 mm }",
    )


def no_form(at: Span, piece: str, likely: str) -> Message:
    """``likely``: a form that the piece may be meant for."""
    return Message(
        "syntax",
        f"The piece '{piece}' has no form.",
        at,
        f"Name the pot it is for: piece {piece} {{ form {likely} … }}",
    )


def open_outline(at: Span) -> Message:
    return Message("wrong-kind", "A tool's outline is a closed shape.", at, "End it with 'close'.")


# ---------------------------------------------------------------- grids


def proportion_without_rows(at: Span) -> Message:
    return Message(
        "wrong-kind",
        "Columns by proportion need a number of rows.",
        at,
        "Write 'rows' with a number, or give the columns a number and the rows the proportion.",
    )


def spaced_without_number(at: Span, line: str) -> Message:
    """``line``: columns or rows."""
    return Message(
        "wrong-kind",
        f"'spaced' goes with a number of {line}.",
        at,
        f"Write '{line}' with a number before 'spaced'.",
    )


def proportion_by_height(at: Span) -> Message:
    return Message(
        "wrong-kind",
        "Rows are either proportional or stepped by height.",
        at,
        "Leave 'stepped by height' out, or give a number of rows.",
    )


def uneven_rows_shifted(at: Span) -> Message:
    return Message(
        "wrong-kind",
        "Columns of each row's own number cannot be shifted column by column.",
        at,
        "Shift each row instead, or give all rows the same columns.",
    )


# ---------------------------------------------------------------- statements


def no_cell_to_fill(at: Span, figure: str) -> Message:
    return Message(
        "nothing-to-fill",
        f"There is no cell here for '{figure}' to fill.",
        at,
        f"Say where it goes: draw {figure} from (0, 0) to (1, 1)",
    )


def line_technique_on_a_mark(at: Span, technique: str) -> Message:
    return Message(
        "wrong-kind",
        f"'{technique}' works lines and edges, and this is a point mark.",
        at,
        "Dots and tools are impressed, attached, pierced or painted.",
    )


def no_spacing(at: Span) -> Message:
    return Message(
        "no-value",
        "This roulette has neither pitch nor tool, so the marks it leaves have no spacing.",
        at,
        "Write 'pitch 3 mm' behind the lines, or 'with' and a tool that has a pitch.",
    )


def along_nothing(at: Span) -> Message:
    return Message(
        "wrong-kind",
        "'along' means a whole ring or vertical, and there is none here.",
        at,
        "Use it in 'each ring' or 'each vertical', or draw the line: from … line to …",
    )
