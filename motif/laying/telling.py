"""The words of the checks: one message for each statement and code, with the number that decides, the first place,
how often, and the worst."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from motif.language.messages import Message
from motif.laying.findings import Finding, by_statement, worst_of
from motif.laying.grid import take

Group = Sequence[Finding]

#: so many rows are listed one by one
_LISTED = 12


def tell(findings: Iterable[Finding], piece: str | None = None) -> list[Message]:
    """The messages that findings come to; they name the piece where there are several."""
    on = "" if piece is None else f"On '{piece}': "
    found = []
    for group in by_statement(findings):
        words, advice = _WORDS[group[0].code](group)
        other = next((f.other for f in group if f.other is not None), None)
        found.append(
            Message(
                group[0].code, f"{on}{words}", group[0].span, advice, () if other is None else ((other, "and this"),)
            )
        )
    return found


def _mm(value: float, bound: float | None = None) -> str:
    """A length to a tenth of a millimetre; finer where it would read as its bound."""
    if bound is not None and abs(value - bound) > 1e-6:
        for digits in (1, 2, 3):
            if round(value, digits) != round(bound, digits):
                return f"{value:.{digits}f} mm"
    return f"{value:.1f} mm"


def _count(group: Group) -> int:
    return sum(f.count for f in group)


def _many(n: int, one: str, more: str) -> str:
    return f"1 {one}" if n == 1 else f"{n} {more}"


def _where(group: Group, worst: str | None = None, in_all: str | None = None) -> str:
    """``first at …``, and where it is worst if that is another place."""
    f, w = group[0], worst_of(group)
    words = f"in {f.first.words}" if in_all is None else f"in {in_all}, first in {f.first.words}"
    if worst is not None and w.worst.words != f.first.words:
        words += f", {worst} in {w.worst.words}"
    return words


def _in_rows(group: Group, noun: str = "row") -> str | None:
    return None if len(group) == 1 else f"{len(group)} {noun}s"


def _stretched(group: Group) -> tuple[str, str]:
    f, w = group[0], worst_of(group)
    by_band: dict[int, int] = {}
    for g in group:
        by_band[g.first.band] = by_band.get(g.first.band, 0) + 1
    of = {g.first.band: g.of for g in group}
    rows = " and ".join(f"{n} of {of[k]} rows" for k, n in by_band.items())
    words = (
        f"Cells change shape in {rows}, first in {f.first.words}: width : height is {f.value:.2f} there against "
        f"{f.bound:.2f} in row 1, less than two thirds or more than one and a half times that"
    )
    if w is not f:
        words += f"; worst is {w.worst_value:.2f} in {w.worst.words}"
    return f"{words}.", "Rows proportional keep the cells' shape; or let the pattern thin out with cell-width."


def _tool(group: Group) -> tuple[str, str]:
    short = group[0].code == "tool-gap"
    noun = "ring" if group[0].ring >= 0 else "row"
    several = len({f.first.band for f in group}) > 1
    listed = ", ".join(
        f"{f.value:.1f} in {f'band {f.first.band}, ' if several else ''}"
        f"{f'ring {f.ring}' if f.ring >= 0 else f'row {f.rows[0]}'}"
        for f in group[:_LISTED]
    )
    if len(group) > _LISTED:
        w = worst_of(group)
        listed += f" and {len(group) - _LISTED} more, {w.worst_value:.1f} at worst in {w.worst.words}"
    words = (
        f"The tool {group[0].about} {'falls short of' if short else 'overlaps'} its neighbour by more than 0.5 mm, "
        f"{_where(group, None, _in_rows(group, noun))}: by (mm) {listed}."
    )
    if short:
        return words, "Join the ends by hand, take more columns, or a wider tool. motif check --rows shows every row."
    return words, "Take fewer columns, or a narrower tool. motif check --rows shows every row."


def _overlap(group: Group) -> tuple[str, str]:
    words, advice = [], []
    lines = [f for f in group if f.kind == "lines"]
    marks = [f for f in group if f.kind != "lines"]
    if marks:
        n, w = _count(marks), worst_of(marks)
        much = _mm(w.worst_value) if w.kind == "discs" else f"{max(100 * w.worst_value, 1):.0f} % of the smaller"
        by = f"by {much}, in" if n == 1 else f"by up to {much}, first in"
        least = "" if all(f.of == 0 for f in marks) else "At least "
        many = "Two marks run" if n == 1 else f"{least}{n} pairs of marks run"
        worst = "" if w.worst.words == marks[0].first.words else f", worst in {w.worst.words}"
        words.append(f"{many} into one another {by} {marks[0].first.words}{worst}.")
        advice.append("Set them farther apart, take smaller ones, or leave some out with 'where'.")
    if lines:
        n, w = _count(lines), worst_of(lines)
        more = f"; at {n} places in all" if n > 1 else ""
        worst = "" if w is lines[0] else f", {_mm(w.worst_value)} in {w.worst.words}"
        words.append(f"Lines lie on one another over {_mm(lines[0].value)} in {lines[0].first.words}{worst}{more}.")
        advice.append("Draw lines as one, or let one end where the other begins.")
    return " ".join(words), " ".join(advice)


def _close(group: Group) -> tuple[str, str]:
    n, f, w = _count(group), group[0], worst_of(group)

    def left(land: float) -> str:
        return f"only {_mm(land, f.bound)}" if land > 0.05 else "nothing"

    words = (
        f"Between cut lines {left(f.value)} of clay stays, less than the {_mm(f.bound)} of the wider cut, "
        f"{_where(group, left(w.worst_value))}"
    )
    if n > 1:
        words += f"; so between {n} pairs of lines in all"
    return (
        f"{words}.",
        "So thin a wall of clay breaks out, and its edge is sharp. Set the lines farther apart, or cut them finer.",
    )


def _deep(group: Group) -> tuple[str, str]:
    f, w = group[0], worst_of(group)
    thick = 3 * w.bound
    words = (
        f"{_mm(f.value, f.bound)} deep in a wall of {_mm(thick)} is more than a third of it ({_mm(f.bound)}), "
        f"{_where(group, _mm(w.worst_value, w.bound))}"
    )
    if _count(group) > 1:
        words += f"; {_count(group)} marks in all"
    return (
        f"{words}.",
        "A deep cut can crack in drying or firing, and its edge can be sharp. Cut shallower, or throw a thicker wall; "
        "local codes and licensed practice come first.",
    )


def _past_tool(group: Group) -> tuple[str, str]:
    f, w = group[0], worst_of(group)
    words = (
        f"{_mm(f.value, f.bound)} is deeper than the tool '{f.about}' should go ({_mm(f.bound)}), "
        f"{_where(group, _mm(w.worst_value, w.bound))}"
    )
    if _count(group) > 1:
        words += f"; {_count(group)} marks in all"
    return f"{words}.", "Cut shallower, or take another tool."


def _pitch(group: Group) -> tuple[str, str]:
    f, w = group[0], worst_of(group)
    n, of = _count(group), sum(g.of for g in group)
    strokes = "The one stroke has" if of == 1 else f"{n} of {of} strokes have"
    words = (
        f"{strokes} a pitch more than 10 % off the {f.bound:.2f} mm asked for: {f.value:.2f} mm "
        f"{_where(group, f'{w.worst_value:.2f} mm')}."
    )
    return (
        words,
        "A stroke takes whole impressions only, and a short one few. Change the pitch, or lengthen the stroke.",
    )


def _reserve(group: Group) -> tuple[str, str]:
    parts = []
    for kind, one, more in (
        (
            "out",
            "1 mark is left out, since its point lies there",
            "{n} marks are left out, since their points lie there",
        ),
        ("cut", "1 line is cut", "{n} lines are cut"),
        ("reaches", "1 mark stays whole and reaches in", "{n} marks stay whole and reach in"),
    ):
        some = [f for f in group if f.kind == kind]
        if some:
            n, w = _count(some), worst_of(some)
            by = "" if w.worst_value == 0 else f" by {'' if n == 1 else 'up to '}{_mm(w.worst_value)}"
            place = f"{'' if n == 1 else 'first in '}{some[0].first.words}"
            parts.append(f"{one if n == 1 else more.format(n=n)}{by} ({place})")
    names = " and ".join(dict.fromkeys(f.about for f in group))
    return (
        f"Where {names} is kept free, {'; '.join(parts)}.",
        "Nothing to mend if that is meant; else move the reserve or the pattern.",
    )


def _past(group: Group) -> tuple[str, str]:
    n, w = _count(group), worst_of(group)
    by = f"{_mm(w.worst_value)} outside the band" if n == 1 else f"up to {_mm(w.worst_value)} outside the band"
    many = "1 mark is left out: its point lies" if n == 1 else f"{n} marks are left out: their points lie"
    return (
        f"{many} {by} ({'' if n == 1 else 'first in '}{group[0].first.words}).",
        "Move the point inward, make the band taller, or leave the place out with 'where'.",
    )


def _left_over(group: Group) -> tuple[str, str]:
    parts = [
        f"{f.count} of {f.of} rows of band {f.first.band} plain, {_mm(f.value)} of tape from {_mm(f.first.tape)} on"
        for f in group
    ]
    up = int(group[0].bound)
    return f"Groups of {up} rows leave {' and '.join(parts)}.", take(group[0].of, "rows", lambda k: k % up == 0)


def _hollow(f: Finding) -> str:
    low, high = f"{f.first.tape:.0f}", f"{f.bound:.0f}"
    return f"band {f.first.band}, " + (f"tape {low} mm" if low == high else f"tape {low} to {high} mm")


def _lifts(group: Group) -> tuple[str, str]:
    n, w = _count(group), worst_of(group)
    many = f"{n} taut lines" if n > 1 else "1 taut line"
    places = "; ".join(dict.fromkeys(_hollow(f) for f in group))
    longest = f", over {_mm(w.worst_value)} of tape at most" if w.worst_value >= 1 else ""
    return (
        f"A string along {many} lifts off the hollow of the wall{longest} ({places}).",
        "Press it to the clay there, or mark with a stick that bends; or let the line flow: line to.",
    )


_WORDS: dict[str, Callable[[Group], tuple[str, str]]] = {
    "stretched-cells": _stretched,
    "tool-gap": _tool,
    "tool-overlap": _tool,
    "marks-overlap": _overlap,
    "lines-too-close": _close,
    "too-deep": _deep,
    "tool-too-deep": _past_tool,
    "pitch-off": _pitch,
    "in-reserve": _reserve,
    "past-the-band": _past,
    "rows-left-over": _left_over,
    "string-lifts": _lifts,
}
