"""What cannot be drawn, or not worked so."""

from __future__ import annotations

from motif.language.messages import Message
from motif.language.source import Span
from motif.language.words import Length, words

_CORNERS = "Give two opposite corners."

# ---------------------------------------------------------------- points


def point_too_far(at: Span, cells: float, most: int) -> Message:
    return Message(
        "out-of-range",
        f"This point lies {cells:.6g} cells away, and no more than {most} can be reckoned with.",
        at,
        "Give a point nearer by.",
    )


def angle_too_far(at: Span, most: int) -> Message:
    return Message("out-of-range", f"This angle goes more than {most} times round.", at, "Take off the whole turns.")


def angle_out_of_level(at: Span) -> Message:
    return Message(
        "wrong-kind",
        "An angle round the pot cannot be turned out of level.",
        at,
        "Give this point in cells or lengths.",
    )


def length_too_far(at: Span | None, what: str, length: float, most: float, wall: float) -> Message:
    """``what`` has a length (mm) beyond ``most``; the wall is ``wall`` mm of tape."""
    return Message(
        "out-of-range",
        words(
            f"{what} is ",
            Length(length, way="long"),
            ", and no more than ",
            Length(round(most), way="long"),
            " can be set off on this form.",
        ),
        at,
        words("The wall is ", Length(wall, 0), " of tape. Is the unit right?"),
    )


# ---------------------------------------------------------------- lines and outlines


def taut_round_and_round(at: Span, turns: float, most: int) -> Message:
    return Message(
        "out-of-range",
        f"This taut line goes {turns:.6g} times round, and a string goes no more than {most} times.",
        at,
        "Let it flow: line to. Or bring its ends nearer.",
    )


def arc_without_chord(at: Span) -> Message:
    return Message(
        "out-of-range",
        "This arc ends where it begins.",
        at,
        "For a whole circle write: circle at … across …",
    )


def arc_through_a_line(at: Span) -> Message:
    return Message(
        "out-of-range",
        "These three points lie in a line, so no arc goes through them.",
        at,
        "Move the middle point off the line, or write line to.",
    )


def flat_rectangle(at: Span) -> Message:
    return Message("out-of-range", "This rectangle has no width or no height.", at, _CORNERS)


def flat_box(at: Span) -> Message:
    return Message("out-of-range", "This box has no width or no height.", at, _CORNERS)


def marks_given_a_name(at: Span) -> Message:
    return Message(
        "wrong-kind",
        "Marks along a path cannot be named.",
        at,
        "Write them behind the technique: impress dot along wave every 8 mm",
    )


def not_drawn(at: Span, path: str) -> Message:
    return Message("no-value", f"'{path}' is not drawn here.", at, "Make the path in the same braces.")


def mark_for_a_line(at: Span) -> Message:
    return Message(
        "wrong-kind",
        "This is a point mark, and a line is asked for here.",
        at,
        "Name a line or a circle: path eye = circle at (1/2, 1/2) across 8 mm",
    )


def parallel_at_no_distance(at: Span) -> Message:
    return Message("out-of-range", "A parallel at no distance is the path itself.", at, "Give a distance above 0.")


def parallel_of_an_open_path(at: Span, side: str) -> Message:
    return Message(
        "wrong-kind",
        f"'{side}' asks for a closed path or a circle.",
        at,
        "Close the path, or take the parallel to the left of travel: offset … by",
    )


def within_nothing(at: Span) -> Message:
    return Message(
        "out-of-range",
        "This path encloses nothing, so nothing lies within it.",
        at,
        "Draw a shape with an inside.",
    )


def within_an_open_path(at: Span) -> Message:
    return Message(
        "wrong-kind",
        "'within' asks for a closed path, a circle or a footprint.",
        at,
        "End the path with 'close', or use a rectangle or a circle.",
    )


# ---------------------------------------------------------------- figures and techniques


def less_than_no_times(at: Span, what: str, times: int) -> Message:
    return Message(
        "out-of-range",
        f"{what} cannot be done {times} times.",
        at,
        "Give 0 or more; with max(0, …) a count never falls below.",
    )


def no_pitch(at: Span) -> Message:
    return Message(
        "no-value",
        "This roulette has neither a pitch nor a tool that has one.",
        at,
        "Write 'pitch 3 mm' behind the lines, or give its tool a pitch.",
    )
