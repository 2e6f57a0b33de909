"""What a piece takes: clay to make ahead, with spares, and time by somebody's own pace."""

from __future__ import annotations

import math
from collections.abc import Iterable

from motif.language.record import record
from motif.laying.piece import LaidPace, LaidPiece, LaidRate
from motif.outputs.totals import Total

#: A part of a piece by which a number of spares is not yet one more.
_ROUNDING = 1e-9


@record
class Amounts:
    """What one total takes.

    ``spares`` are pieces to make beyond need, None for what is not joined on. ``wet_volume`` is the clay of all
    pieces with the spares (ml), at the wet stage: the volume at the stage of decorating times the cube of the
    linear shrinkage, ASTM C326 bases. None where the text does not say. ``minutes`` by the pace, None where it
    says nothing of this work; ``unpaced`` names the parts of it that no rate covers: marks, lines, shapes."""

    spares: int | None
    wet_volume: float | None
    minutes: float | None
    unpaced: tuple[str, ...]


def amounts(total: Total, piece: LaidPiece) -> Amounts:
    """What a total of the whole piece takes."""
    spares = None
    wet = None
    if total.technique == "attach":
        spares = 0 if piece.pace is None else math.ceil(total.count * piece.pace.spare - _ROUNDING)
        if total.volume and piece.wet_scale is not None:
            wet = total.volume * (1 + spares / total.count) * piece.wet_scale**3
    minutes, unpaced = (None, ()) if piece.pace is None else _time(total, piece.pace)
    return Amounts(spares, wet, minutes, unpaced)


def _time(total: Total, pace: LaidPace) -> tuple[float | None, tuple[str, ...]]:
    """Lines go by length, shapes by area, marks by number; where there is no such rate, all by number."""
    rates = {r.measure: r for r in _rates(total, pace)}
    parts: tuple[tuple[str, int, float, str], ...] = (
        ("marks", total.points, float(total.points), "count"),
        ("lines", total.strokes, total.length, "length"),
        ("shapes", total.outlines, total.worked, "area"),
    )
    minutes: float | None = None
    unpaced = []
    for name, number, amount, measure in parts:
        if not number:
            continue
        if measure in rates:
            minutes = (minutes or 0.0) + amount / rates[measure].per_minute
        elif "count" in rates:
            minutes = (minutes or 0.0) + number / rates["count"].per_minute
        else:
            unpaced.append(name)
    return minutes, tuple(unpaced)


def _rates(total: Total, pace: LaidPace) -> Iterable[LaidRate]:
    """The rates for a total, those for its tool last, so that they count."""
    fitting = [r for r in pace.rates if r.technique == total.technique and r.tool in (None, total.tool)]
    return sorted(fitting, key=lambda r: r.tool is not None)


def whole_minutes(minutes: float) -> int:
    """The next whole minute: times are added up as they are shown."""
    return math.ceil(minutes - _ROUNDING)


def time_words(minutes: float) -> str:
    """``25 min``, ``2 h 10 min``: to the next whole minute."""
    hours, rest = divmod(whole_minutes(minutes), 60)
    return " ".join([*([f"{hours} h"] if hours else []), *([f"{rest} min"] if rest or not hours else [])])


def unpaced_words(totals: Iterable[Total], piece: LaidPiece) -> list[str]:
    """What a pace says nothing of: ``impress (marks)``."""
    found = []
    for total in totals:
        unpaced = amounts(total, piece).unpaced
        if unpaced:
            with_tool = f" with {total.tool}" if total.tool else ""
            found.append(f"{total.technique}{with_tool} ({', '.join(unpaced)})")
    return list(dict.fromkeys(found))
