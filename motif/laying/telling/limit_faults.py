"""What asks for more than can be looked at. Where no text is at hand the message goes without a place."""

from __future__ import annotations

from motif.language.messages import Message
from motif.language.source import Span

_CODE = "too-many-marks"
_FEWER = "Use fewer columns, rows, repeats or copies, or set another limit with --limit."


def places(at: Span | None, count: float) -> Message:
    return Message(_CODE, f"This comes to {_spaced(count)} places, more than can be looked at.", at, _FEWER)


def copies(at: Span | None) -> Message:
    return Message(_CODE, "Repeats and copies come to more places than can be looked at.", at, _FEWER)


def marks(at: Span, count: int, most: int) -> Message:
    return Message(
        _CODE,
        f"This comes to {count} marks and more; the limit is {most}.",
        at,
        "Use fewer columns or rows, leave places out with 'where', or set another limit with --limit.",
    )


def marks_along(at: Span | None, count: float, most: int) -> Message:
    return Message(
        _CODE,
        f"This comes to {_spaced(count)} marks; the limit is {most}.",
        at,
        "Set them farther apart, or set another limit with --limit.",
    )


def stretches(at: Span | None, count: float, most: float) -> Message:
    return Message(
        _CODE,
        "The lines here are so many or so long that they cannot be followed: in short straight steps they "
        f"come to {_spaced(count)} and more, and {_spaced(most)} is the limit.",
        at,
        "Draw fewer or shorter lines, or set another limit with --limit.",
    )


def distances(count: int, most: int) -> Message:
    return Message(
        _CODE,
        "What keeps clear of lines here, or runs beside them, has to be measured at "
        f"{_spaced(count)} distances and more; {_spaced(most)} is the limit.",
        None,
        "Keep clear or offset by less, draw fewer or shorter lines, or draw in fewer cells.",
    )


def discs(count: int, most: int) -> Message:
    return Message(
        _CODE,
        f"What these areas keep clear of takes {_spaced(count)} small steps and more to go along; "
        f"{_spaced(most)} is the limit.",
        None,
        "Keep clear of fewer or shorter lines, or draw in fewer cells.",
    )


def crossed(count: int, most: int) -> Message:
    return Message(
        _CODE,
        f"A parallel here crosses itself, and is too long to be disentangled: in short steps it comes to "
        f"{_spaced(count)} points, and {_spaced(most)} is the limit.",
        None,
        "Offset a shorter line, or by less, so that no loops come of it.",
    )


def overlaid(count: int, most: int) -> Message:
    return Message(
        _CODE,
        f"A parallel here crosses itself, and lies on itself in too many places to be disentangled: {_spaced(count)} "
        f"pairs of short steps of it meet, and {_spaced(most)} is the limit.",
        None,
        "Offset a shorter line, or by less, so that no loops come of it.",
    )


def memory(at: Span, piece: str) -> Message:
    return Message(
        _CODE,
        f"The piece '{piece}' needs more memory than there is.",
        at,
        "Use fewer columns, rows, repeats or copies, or shorter lines.",
    )


def _spaced(count: float) -> str:
    """A count in groups of three digits."""
    return f"{count:,.0f}".replace(",", " ") if count < 1e15 else "endlessly many"
