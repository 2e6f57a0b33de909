"""The words of the checks: one message for each statement and code, with the number that decides, the first place,
how often, and the worst."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from motif.language.messages import Message
from motif.language.words import Length, Words, joined, words
from motif.laying.findings import Finding, Place, by_statement, worst_of
from motif.laying.telling.grid_faults import take

Group = Sequence[Finding]
#: what is wrong, and the remedy
Told = tuple[Words, str]

#: so many rows are listed one by one
_LISTED = 12


def tell(findings: Iterable[Finding], piece: str | None = None) -> list[Message]:
    """The messages that findings come to; they name the piece where there are several."""
    on = "" if piece is None else f"On '{piece}': "
    found = []
    for group in by_statement(findings):
        says, remedy = _WORDS[group[0].code](group)
        other = next((f.other for f in group if f.other is not None), None)
        others = () if other is None else ((other, "and this"),)
        found.append(Message(group[0].code, words(on, says), group[0].span, remedy, others))
    return found


def _against(mm: float, bound: float) -> Length:
    """A length to a tenth of a millimetre; finer where it would read as its bound."""
    if abs(mm - bound) > 1e-6:
        for decimals in (1, 2, 3):
            if round(mm, decimals) != round(bound, decimals):
                return Length(mm, decimals)
    return Length(mm)


def _count(group: Group) -> int:
    return sum(f.count for f in group)


def _at(place: Place) -> Words:
    """``band 1, column 3, row 2, tape 41.0 mm``."""
    return words(
        *(f"{name} {number}, " for name, number in place.numbers),
        "tape ",
        Length(place.tape, way="reading"),
    )


def _where(group: Group, worst: Words | None = None, in_all: str | None = None) -> Words:
    """``at …``, and where it is worst if that is another place."""
    f, w = group[0], worst_of(group)
    said = words("at " if in_all is None else f"in {in_all}, first at ", _at(f.first))
    if worst is not None and not w.worst.reads_like(f.first):
        said = words(said, ", ", worst, " at ", _at(w.worst))
    return said


def _in_rows(group: Group, noun: str = "row") -> str | None:
    return None if len(group) == 1 else f"{len(group)} {noun}s"


def _stretched(group: Group) -> Told:
    f, w = group[0], worst_of(group)
    by_band: dict[int, int] = {}
    for g in group:
        by_band[g.first.band] = by_band.get(g.first.band, 0) + 1
    of = {g.first.band: g.of for g in group}
    rows = " and ".join(f"{n} of {of[k]} rows" for k, n in by_band.items())
    said = words(
        f"Cells change shape in {rows}, first at ", _at(f.first), f": width : height is {f.value:.2f} there against "
        f"{f.bound:.2f} in row 1, less than two thirds or more than one and a half times that",
    )  # fmt: skip
    if w is not f:
        said = words(said, f"; worst is {w.worst_value:.2f} at ", _at(w.worst))
    return words(said, "."), "Rows proportional keep the cells' shape; or let the pattern thin out with cell-width."


def _tool(group: Group) -> Told:
    short = group[0].code == "tool-gap"
    noun = "ring" if group[0].ring >= 0 else "row"
    several = len({f.first.band for f in group}) > 1
    listed = joined(
        ", ",
        (
            words(
                Length(f.value),
                f" at {f'band {f.first.band}, ' if several else ''}"
                f"{f'ring {f.ring}' if f.ring >= 0 else f'row {f.rows[0]}'}",
            )
            for f in group[:_LISTED]
        ),
    )
    if len(group) > _LISTED:
        w = worst_of(group)
        listed = words(
            listed, f" and {len(group) - _LISTED} more, ", Length(w.worst_value), " at worst at ", _at(w.worst)
        )
    said = words(
        f"The tool '{group[0].about}'",
        *((", ", Length(group[0].size), " wide,") if group[0].size else ()),
        f" {'falls short of' if short else 'overlaps'} its neighbour by more than ",
        Length(group[0].bound),
        ", ",
        _where(group, None, _in_rows(group, noun)),
        ": by ",
        listed,
        ".",
    )
    if short:
        return said, "Join the ends by hand, take more columns, or a wider tool. motif check --rows shows every row."
    return said, "Take fewer columns, or a narrower tool. motif check --rows shows every row."


def _overlap(group: Group) -> Told:
    said: list[Words] = []
    remedies = []
    lines = [f for f in group if f.kind == "lines"]
    marks = [f for f in group if f.kind != "lines"]
    if marks:
        n, w = _count(marks), worst_of(marks)
        much = Length(w.worst_value) if w.kind == "discs" else f"{max(100 * w.worst_value, 1):.0f} % of the smaller"
        least = "" if all(f.of == 0 for f in marks) else "At least "
        many = "Two marks run" if n == 1 else f"{least}{n} pairs of marks run"
        elsewhere = not w.worst.reads_like(marks[0].first)
        said.append(
            words(
                f"{many} into one another by {'' if n == 1 else 'up to '}",
                much,
                " at " if n == 1 else ", first at ",
                _at(marks[0].first),
                *((", worst at ", _at(w.worst)) if elsewhere else ()),
                ".",
            )
        )
        remedies.append("Set them farther apart, take smaller ones, or leave some out with 'where'.")
    if lines:
        n, w = _count(lines), worst_of(lines)
        said.append(
            words(
                "Lines lie on one another over ",
                Length(lines[0].value),
                " at ",
                _at(lines[0].first),
                *(() if w is lines[0] else (", ", Length(w.worst_value), " at ", _at(w.worst))),
                f"; at {n} places in all." if n > 1 else ".",
            )
        )
        remedies.append("Draw lines as one, or let one end where the other begins.")
    return joined(" ", said), " ".join(remedies)


def _close(group: Group) -> Told:
    n, f, w = _count(group), group[0], worst_of(group)

    def left(land: float) -> Words:
        return words("only ", _against(land, f.bound)) if land > 0.05 else words("nothing")

    said = words(
        "Between cut lines ", left(f.value), " of clay stays, less than the ", Length(f.bound), " of the wider cut, ",
        _where(group, left(w.worst_value)), f"; so between {n} pairs of lines in all." if n > 1 else ".",
    )  # fmt: skip
    return (
        said,
        "So thin a wall of clay breaks out, and its edge is sharp. Set the lines farther apart, or cut them finer.",
    )


def _in_all(group: Group) -> str:
    return f"; {_count(group)} marks in all." if _count(group) > 1 else "."


def _deep(group: Group) -> Told:
    f, w = group[0], worst_of(group)
    said = words(
        _against(f.value, f.bound), " deep in a wall of ", Length(3 * w.bound), " is more than a third of it (",
        Length(f.bound), "), ", _where(group, words(_against(w.worst_value, w.bound))), _in_all(group),
    )  # fmt: skip
    return (
        said,
        "A deep cut can crack in drying or firing, and its edge can be sharp. Cut shallower, or throw a thicker wall; "
        "local codes and licensed practice come first.",
    )


def _past_tool(group: Group) -> Told:
    f, w = group[0], worst_of(group)
    said = words(
        _against(f.value, f.bound), f" is deeper than the tool '{f.about}' should go (", Length(f.bound), "), ",
        _where(group, words(_against(w.worst_value, w.bound))), _in_all(group),
    )  # fmt: skip
    return said, "Cut shallower, or take another tool."


def _pitch(group: Group) -> Told:
    f, w = group[0], worst_of(group)
    n, of = _count(group), sum(g.of for g in group)
    strokes = "The one stroke has" if of == 1 else f"{n} of {of} strokes have"
    said = words(
        f"{strokes} a pitch more than 10 % off the ", Length(f.bound, 2), " asked for: ", Length(f.value, 2), " ",
        _where(group, words(Length(w.worst_value, 2))), ".",
    )  # fmt: skip
    return said, "A stroke takes whole impressions only, and a short one few. Change the pitch, or lengthen the stroke."


def _reserve(group: Group) -> Told:
    kinds = (
        ("out", "1 mark is left out, since its point lies there", "marks are left out, since their points lie there"),
        ("cut", "1 line is cut", "lines are cut"),
        ("reaches", "1 mark stays whole and reaches in", "marks stay whole and reach in"),
    )
    told: dict[tuple[str, ...], list[Words]] = {}
    for kind, one, more in kinds:
        some = [f for f in group if f.kind == kind]
        if some:
            n, w = _count(some), worst_of(some)
            by = () if w.worst_value == 0 else (f" by {'' if n == 1 else 'up to '}", Length(w.worst_value))
            place = words(" (", "" if n == 1 else "first at ", _at(some[0].first), ")")
            names = tuple(sorted({name for f in some for name in f.reserves}))
            told.setdefault(names, []).append(words(one if n == 1 else f"{n} {more}", *by, place))
    free = (
        words(f"{'where' if k else 'Where'} {_kept_free(names)}, ", joined("; ", parts))
        for k, (names, parts) in enumerate(told.items())
    )
    return (
        words(joined("; ", free), "."),
        "Nothing to mend if that is meant; else move the reserve or the pattern.",
    )


def _kept_free(names: tuple[str, ...]) -> str:
    quoted = [f"“{name}”" for name in names]
    if len(quoted) == 1:
        return f"{quoted[0]} is kept free"
    return f"{', '.join(quoted[:-1])} and {quoted[-1]} are kept free"


def _past(group: Group) -> Told:
    n, w = _count(group), worst_of(group)
    many = "1 mark is left out: its point lies " if n == 1 else f"{n} marks are left out: their points lie up to "
    place = words(" outside the band (", "" if n == 1 else "first at ", _at(group[0].first), ").")
    return (
        words(many, Length(w.worst_value), place),
        "Move the point inward, make the band taller, or leave the place out with 'where'.",
    )


def _nowhere(group: Group) -> Told:
    n = _count(group)
    first = words("" if n == 1 else "first at ", _at(group[0].first), ").")
    if group[0].kind == "parallel":
        many = "1 path has no place" if n == 1 else f"{n} paths have no place"
        return (
            words(f"Nothing is left of this parallel: {many} so far away on this side (", first),
            "Give a smaller distance, or take the other side.",
        )
    many = "1 line ends where it begins, and makes" if n == 1 else f"{n} lines end where they begin, and make"
    return (
        words(f"{many} no mark (", first),
        "Give it another end, set a dot there, or leave the place out with 'where'.",
    )


def _left_over(group: Group) -> Told:
    parts = (
        words(
            f"{f.count} of {f.of} rows of band {f.first.band} plain, ",
            Length(f.value),
            " of tape from ",
            Length(f.first.tape, way="reading"),
            " on",
        )
        for f in group
    )
    up = int(group[0].bound)
    return (
        words(f"Groups of {up} rows leave ", joined(" and ", parts), "."),
        take(group[0].of, "rows", lambda k: k % up == 0),
    )


def _hollow(f: Finding) -> Words:
    low, high = Length(f.first.tape, 0, way="reading"), Length(f.bound, 0, way="reading")
    both = () if str(words(low)) == str(words(high)) else (" to ", high)
    return words(f"band {f.first.band}, tape ", low, *both)


def _lifts(group: Group) -> Told:
    n, w = _count(group), worst_of(group)
    many = f"{n} taut lines" if n > 1 else "1 taut line"
    places = {str(hollow): hollow for hollow in map(_hollow, group)}
    longest = (", over ", Length(w.worst_value), " of tape at most") if w.worst_value >= 1 else ()
    return (
        words(
            f"A string along {many} lifts off the hollow of the wall",
            *longest,
            " (",
            joined("; ", places.values()),
            ").",
        ),
        "Press it to the clay there, or mark with a stick that bends; or let the line flow: line to.",
    )


_WORDS: dict[str, Callable[[Group], Told]] = {
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
    "leads-nowhere": _nowhere,
    "rows-left-over": _left_over,
    "string-lifts": _lifts,
}
