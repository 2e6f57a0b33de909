"""Values that cannot be worked out, or not used where they stand."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi

from motif.language.kinds import Kind
from motif.language.messages import Message
from motif.language.source import Span
from motif.language.words import Length, Part, words

#: What says at which place something is wrong: ``{"column": 3, "row": 1}``, empty where it is wrong everywhere.
Spot = Mapping[str, int]

_LEAVE_OUT = "Leave such places out with 'where' or 'if'."
#: Advice on the word ``chord``.
_CHORD = "Write it behind 'rise', as in: arc to (1, 0) rise chord / 2"


def not_worked_out(at: Span, name: str) -> Message:
    return Message("no-value", f"'{name}' could not be worked out.", at, "Mend the line that makes it.")


def not_known_at_this_place(at: Span, name: str) -> Message:
    return Message(
        "unknown-name",
        f"'{name}' is not known here.",
        at,
        "This figure is drawn where there is none: 'column' and 'row' belong to cells, 'vertical' and 'ring' "
        "to crossings and lines, cell sizes to neither 'each vertical' nor 'once'.",
    )


def no_chord(at: Span) -> Message:
    return Message("unknown-name", "'chord' is known only in the rise of an arc.", at, _CHORD)


def size_unsaid(at: Span, tool: str, size: str) -> Message:
    return Message("no-value", f"The tool '{tool}' does not say '{size}'.", at, f"Give it in the tool: {size} …")


def division_by_zero(at: Span, spot: Spot) -> Message:
    return Message("no-value", f"This divides by zero{_first(spot)}.", at, _LEAVE_OUT)


def remainder_by_zero(at: Span, spot: Spot) -> Message:
    return Message("no-value", f"The remainder of a division by zero{_first(spot)}.", at, _LEAVE_OUT)


def root_of_a_negative(at: Span, value: float, spot: Spot) -> Message:
    return Message(
        "no-value",
        f"The root of a negative value{_first(spot)}: {value:g}.",
        at,
        "Leave such places out with 'where' or 'if', or take abs(…).",
    )


def no_tangent(at: Span, spot: Spot) -> Message:
    return Message("no-value", f"A quarter turn has no tangent{_first(spot)}.", at, _LEAVE_OUT)


def beyond_all_bounds(at: Span) -> Message:
    return Message("no-value", "This grows beyond all bounds.", at, "Check the numbers it comes from.")


def not_whole(at: Span, what: str, value: float, spot: Spot) -> Message:
    return Message(
        "wrong-kind",
        f"{what[0].upper()}{what[1:]} asks for a whole number, and this is {value:.10g}{_first(spot)}.",
        at,
        "Use round, floor or ceil, or change the numbers it comes from.",
    )


def not_above_zero(at: Span, what: str, value: float, kind: Kind, spot: Spot) -> Message:
    """``value`` in mm, radians or mm³, as its kind is."""
    return Message(
        "out-of-range",
        words(f"{what} must be above 0, and is ", _measured(value, kind), f"{_first(spot)}."),
        at,
        "Give a size above 0, or leave such places out with 'where' or 'if'.",
    )


def shrinks_beyond_the_whole(at: Span, part: float) -> Message:
    return Message(
        "out-of-range",
        f"A shrinkage lies between 0 and 100 %, and this is {100 * part:.6g} %.",
        at,
        "Write how much shorter the bar has become, as in: shrinks 12 % by fired",
    )


def tool_without_size(at: Span, tool: str, size: str) -> Message:
    return Message(
        "out-of-range",
        f"'{size}' of the tool '{tool}' must be above 0.",
        at,
        f"Give the size you measured, or leave '{size}' out.",
    )


def outline_of_nothing(at: Span) -> Message:
    return Message("out-of-range", "This outline encloses nothing.", at, "Draw a shape with an inside.")


def _first(spot: Spot) -> str:
    return " (first at " + ", ".join(f"{name} {number}" for name, number in spot.items()) + ")" if spot else ""


def _measured(value: float, kind: Kind) -> Part:
    match kind.dimension:
        case (1, 0):
            return Length(value, way="plain")
        case (0, 1):
            return f"{value / (pi / 180):.6g} deg"
        case (3, 0):
            return f"{value / 1000:.6g} ml"
    return f"{value:.6g}"
