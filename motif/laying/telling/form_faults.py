"""What a form, its clay and the places on its wall cannot be."""

from __future__ import annotations

from collections.abc import Sequence

from motif.language.messages import Message
from motif.language.source import Span
from motif.language.words import Length, joined, words
from motif.wall import ProfileError

# ---------------------------------------------------------------- clay


def clay_not_named(at: Span | None, form: str, start: str, to: str) -> Message:
    return Message(
        "stage-unknown",
        f"From {start} to {to} the clay shrinks, and the form '{form}' names no clay.",
        at,
        "Name it in the form, as in 'clay buff', and say how it shrinks: clay buff { shrinks 12 % by fired }",
    )


def stage_not_stated(at: Span | None, clay: str, made: Span, stage: str) -> Message:
    return Message(
        "stage-unknown",
        f"The clay '{clay}' does not say how far it has shrunk by {stage}.",
        at,
        f"Add to the clay: shrinks … % by {stage}",
        ((made, "the clay"),),
    )


# ---------------------------------------------------------------- profiles


def too_many_stations(at: Span, stations: int, most: int) -> Message:
    return Message(
        "bad-profile",
        f"This profile has {stations} stations, and {most} is the limit.",
        at,
        "A few dozen describe any pot.",
    )


def less_than_nothing(at: Span) -> Message:
    return Message("bad-profile", "A pot cannot be less than 0 across.", at, "Give the measured size.")


def too_large(at: Span, size: float, most: float) -> Message:
    """Sizes in mm."""
    return Message(
        "bad-profile",
        words("This is ", Length(size, way="long"), "; forms up to ", Length(most, way="long"), " can be laid."),
        at,
        "Is the unit right?",
    )


def no_wall(error: ProfileError, profile: Span, stations: Sequence[Span]) -> Message:
    """What the wall says of its stations, at the last of the culprits."""
    places = [stations[i] for i in error.stations]
    return Message(
        "bad-profile",
        _sentence(error.reason),
        places[-1] if places else profile,
        _sentence(error.advice),
        tuple((p, "and this") for p in places[:-1]),
    )


def curve_strays(below: Span, above: Span, tape: float, there: float, beside: tuple[float, float]) -> Message:
    """Lengths round the curve at ``tape`` and at the stations below and above, mm."""
    way, than = ("in", "narrower") if there < min(beside) else ("out", "wider")
    return Message(
        "curve-strays",
        words(
            f"Between these two stations the smooth curve swings {way} to ", Length(there), " round at tape ",
            Length(tape, way="reading"), f", {than} than both (", Length(beside[0]), " and ", Length(beside[1]), ").",
        ),
        above,
        "Measure the pot there and add a station; or part the curve with 'corner' where the wall turns sharply.",
        ((below, "from here"),),
    )  # fmt: skip


def too_long(at: Span, length: float) -> Message:
    """A wall of so much tape, mm."""
    return Message(
        "bad-profile",
        words("This wall is ", Length(length, way="long"), " of tape, more than can be laid."),
        at,
        "Are the units right? In a smooth profile, stations that jump to and fro make the curve swing wide.",
    )


def _sentence(clause: str) -> str:
    return clause[0].upper() + clause[1:] + "."


# ---------------------------------------------------------------- places on the wall


def no_landmark(at: Span, form: str, landmark: str) -> Message:
    return Message(
        "off-the-form",
        f"The form '{form}' has no {landmark}.",
        at,
        "A neck is the narrowest level above the belly with wider wall on both sides. "
        "Give a height or a tape distance.",
    )


def off_the_wall(at: Span, form: str, tape: float, length: float) -> Message:
    """``tape``, mm, lies below 0 or above the wall's ``length``."""
    side = "below the foot" if tape < 0 else "above the rim"
    beyond = -tape if tape < 0 else tape - length
    return Message(
        "off-the-form",
        words("This lies ", Length(beyond), f" {side} of '{form}', whose wall is ", Length(length), " of tape."),
        at,
        words("Tape distances run from 0 at the foot to ", Length(length), " at the rim."),
    )


def no_such_height(at: Span, form: str, height: float, low: float, high: float) -> Message:
    """Heights above the table, mm."""
    return Message(
        "off-the-form",
        words(f"'{form}' has no wall at height ", Length(height), "."),
        at,
        words("Its wall lies between ", Length(low), " and ", Length(high), " above the table."),
    )


def ambiguous_height(at: Span, form: str, height: float, tapes: Sequence[float]) -> Message:
    """The wall passes a height (mm) at several tapes (mm)."""
    listed = words(joined(", ", map(Length, tapes[:-1])), " and ", Length(tapes[-1]))
    often = "twice" if len(tapes) == 2 else f"{len(tapes)} times"
    return Message(
        "ambiguous-height",
        words(f"The wall of '{form}' passes height ", Length(height), f" {often}, at tape ", listed, "."),
        at,
        words("Say which by tape: ", joined(" or ", (words("'tape ", Length(t), "'") for t in tapes)), "."),
    )


# ---------------------------------------------------------------- reserves


def reserve_without_height(at: Span, name: str) -> Message:
    return Message("out-of-range", f"The reserve “{name}” has no height.", at, "Give two different places.")


def two_reserves(at: Span, name: str, first: Span) -> Message:
    return Message(
        "defined-twice",
        f"There are two reserves called “{name}”.",
        at,
        "Give one of the two another name.",
        ((first, "first here"),),
    )


def unknown_reserve(at: Span, name: str, known: Sequence[str]) -> Message:
    listed = ", ".join(f"“{n}”" for n in known)
    return Message(
        "unknown-name",
        f"There is no reserve called “{name}” here.",
        at,
        f"There is {listed}." if listed else 'Make one: reserve "…" from … to … facing … wide …',
    )


def nothing_left_inside(at: Span, name: str, by: float) -> Message:
    """The parallel ``by`` mm inside a reserve."""
    return Message(
        "out-of-range",
        words(Length(by), f" inside the edge of “{name}” nothing is left of it."),
        at,
        "Give a smaller distance, or work the edge 'outside'.",
    )


def reserve_meets_itself(at: Span, name: str, wide: float, tape: float, round_there: float) -> Message:
    """``wide`` and the length round the wall at ``tape``, mm."""
    return Message(
        "reserve-overlap",
        words(
            f"“{name}” is ", Length(wide), " wide, and the wall is only ", Length(round_there), " round at tape ",
            Length(tape, way="reading"), ": it is kept free all round there.",
        ),
        at,
        "Make it narrower; or if a whole belt is to stay free, end the band below it and begin another above.",
    )  # fmt: skip


def reserves_overlap(at: Span, before: Span, one: str, other: str, over: float, tape: float) -> Message:
    """``over`` mm round the wall at ``tape``, where it is most."""
    return Message(
        "reserve-overlap",
        words(
            f"“{one}” and “{other}” lie over one another, by up to ", Length(over), " round the wall (tape ",
            Length(tape, way="reading"), ").",
        ),
        at,
        "Nothing to mend if that is meant; else move one, or make one of the two.",
        ((before, "the other"),),
    )  # fmt: skip


# ---------------------------------------------------------------- paces


def spare_beyond_the_whole(at: Span, spare: float) -> Message:
    """``spare`` as a part."""
    return Message(
        "out-of-range",
        f"'spare' is a part of what is needed, from 0 to 100 %, and this is {100 * spare:.6g} %.",
        at,
        "For one more in every ten write: spare 10 %",
    )
