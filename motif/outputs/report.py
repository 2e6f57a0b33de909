"""Messages drawn: for a terminal, one a line for other programs, and as JSON.

A terminal gets the line of the text with the culprit underlined:

    error: There is no path "risng" here.  [unknown-name]
      tufting.motif, line 6, column 11
        6 │     carve risng
          │           ▔▔▔▔▔
      → Did you mean "rising"?

Lengths that were worked out are said in the unit asked for; what quotes the text stays as it is written.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence

from motif.language.messages import Message
from motif.language.source import Span
from motif.language.words import Length, Words, in_millimetres
from motif.outputs import numbers
from motif.outputs.json_text import Json
from motif.outputs.numbers import Unit
from motif.outputs.tables import Cell, Column, Table, printable

_RED, _YELLOW, _CYAN, _BOLD, _PLAIN = "\x1b[31m", "\x1b[33m", "\x1b[36m", "\x1b[1m", "\x1b[0m"
_TAB = 4
#: A line is never cut to less than this, whatever the terminal says.
_NARROWEST = 30


def to_terminal(messages: Iterable[Message], unit: Unit = "mm", *, width: int = 100, colour: bool = True) -> str:
    """The messages one below the other with an empty line between, each with its line shown."""
    return "\n".join(_block(m, unit, width, colour) for m in messages)


def to_lines(messages: Iterable[Message], unit: Unit = "mm") -> str:
    """One line a message: ``file:line:column: severity: words [code] (other places) Advice``."""
    return "".join(_line(m, unit) + "\n" for m in messages)


def to_json(messages: Iterable[Message], unit: Unit = "mm") -> dict[str, Json]:
    """The object of ``motif check --as json``: lines and columns from 1, the end exclusive."""
    return {"messages": [_json(m, unit) for m in messages]}


def table(messages: Iterable[Message], unit: Unit = "mm") -> Table:
    """A row each message, for CSV and Markdown."""
    columns = (
        Column("file", "File"),
        Column("line", "Line", "count"),
        Column("column", "Column", "count"),
        Column("severity", "Severity"),
        Column("code", "Code"),
        Column("message", "Message"),
        Column("advice", "Advice"),
    )
    rows: list[tuple[Cell, ...]] = []
    for m in messages:
        place: tuple[Cell, ...] = (m.span.source.name, *m.span.begin_position) if m.span else (None, None, None)
        rows.append((*place, m.severity, m.code, _said(m.says, unit), _advice(m, unit)))
    return Table("Messages", columns, rows)


def summary(messages: Iterable[Message]) -> str:
    """``2 errors, 1 warning``; empty when there are none."""
    severities = [m.severity for m in messages]
    parts = []
    for severity in ("error", "warning"):
        n = severities.count(severity)
        if n:
            parts.append(f"{n} {severity}{'' if n == 1 else 's'}")
    return ", ".join(parts)


def pointer(messages: Iterable[Message]) -> str:
    """The command that tells more about messages: one line, or nothing where there are none."""
    codes = list(dict.fromkeys(m.code for m in messages))
    return f"More about these messages: motif explain {' '.join(codes)}\n" if codes else ""


def _said(what: str | Words, unit: Unit) -> str:
    """Words as those read them who want lengths in ``unit``."""
    return what if isinstance(what, str) else what.said(lambda length: _shown_length(length, unit))


def _advice(m: Message, unit: Unit) -> str | None:
    return None if m.remedy is None else _said(m.remedy, unit)


#: How many decimals more a length needs in a larger unit to be as fine as it is in mm.
_MORE = {"mm": 0, "cm": 1, "in": 2}
_INCHES_IN_A_FOOT = 12


def _shown_length(length: Length, unit: Unit) -> str:
    if unit == "mm" or (length.way == "long" and unit == "cm"):
        return in_millimetres(length)
    if length.way == "long":
        return f"{numbers.in_unit(length.mm, unit) / _INCHES_IN_A_FOOT:.6g} ft"
    if length.way == "plain":
        return f"{numbers.in_unit(length.mm, unit):.6g} {unit}"
    if length.way == "reading":
        return numbers.length_with_unit(length.mm, unit)
    return f"{numbers.number(numbers.in_unit(length.mm, unit), length.decimals + _MORE[unit])} {unit}"


def _block(m: Message, unit: Unit, width: int, colour: bool) -> str:
    tint = _RED if m.severity == "error" else _YELLOW
    head = _paint(f"{m.severity}:", _BOLD + tint, colour)
    lines = [f"{head} {_paint(printable(_said(m.says, unit)), _BOLD, colour)}  [{m.code}]"]
    elsewhere = list(m.others)
    if m.span is not None:
        here = [(span, words) for span, words in m.others if _beside(span, m.span)]
        excerpt = _excerpt(m.span, width, tint, colour, here)
        if excerpt is None:
            excerpt = _excerpt(m.span, width, tint, colour) or []
        else:
            elsewhere = [other for other in m.others if other not in here]
        lines += excerpt
    for span, words in elsewhere:
        lines.append(f"  {printable(words)}:")
        lines += _excerpt(span, width, _CYAN, colour) or []
    if advice := _advice(m, unit):
        lines.append(f"  {_paint('→', _BOLD, colour)} {printable(advice)}")
    return "\n".join(lines) + "\n"


def _beside(span: Span, main: Span) -> bool:
    """Whether a span lies within the line that is shown for ``main``."""
    line = main.begin_position[0]
    return span.source is main.source and span.begin_position[0] == span.end_position[0] == line


def _excerpt(
    span: Span, width: int, tint: str, colour: bool, beside: Sequence[tuple[Span, str]] = ()
) -> list[str] | None:
    """Where a span is, its first line, and marks under its characters; below them those of places ``beside`` it,
    with their words. None where the line must be cut and one of those might not be seen."""
    line, column = span.begin_position
    end_line, end_column = span.end_position
    text = span.source.line(line)
    start = min(column - 1, len(text))
    end = len(text) if end_line > line else min(end_column - 1, len(text))
    margin = len(str(line)) + 4
    room = max(width - margin - 4, _NARROWEST)
    if beside and len(text) > room:
        return None
    gutter = " " * (margin - 1) + " │ "
    text, start, end = _cut(text, start, max(end, start), room)
    lines = [
        f"  {printable(span.source.name)}, line {line}, column {column}",
        f"{line:>{margin - 1}} │ {_shown(text)}".rstrip(),
        gutter + _under(text, start, end, tint, colour),
    ]
    for other, words in sorted(beside, key=lambda b: b[0].start):
        first, last = other.begin_position[1] - 1, other.end_position[1] - 1
        lines.append(f"{gutter}{_under(text, first, last, _CYAN, colour)} {printable(words)}")
    return lines


def _under(text: str, start: int, end: int, tint: str, colour: bool) -> str:
    """Marks under the characters of [start, end), at least one."""
    marks = "▔" * max(_width(_shown(text[start:end])), 1)
    return " " * _width(_shown(text[:start])) + _paint(marks, tint, colour)


def _cut(text: str, start: int, end: int, room: int) -> tuple[str, int, int]:
    """At most ``room`` characters of ``text`` with [start, end) in view, and where that then lies.

    A text that lost its line breaks is one very long line."""
    if len(text) <= room:
        return text, start, end
    first = max(0, min(start - room // 3, len(text) - room))
    last = min(len(text), first + room)
    left, right = "…" if first else "", "…" if last < len(text) else ""
    shift = len(left) - first
    return left + text[first:last] + right, start + shift, min(end, last) + shift


def _shown(text: str) -> str:
    return printable(text.replace("\t", " " * _TAB))


def _width(text: str) -> int:
    """Columns that ``text`` takes on a terminal."""
    return sum(
        0
        if unicodedata.combining(c) or unicodedata.category(c) == "Cf"
        else 2
        if unicodedata.east_asian_width(c) in "WF"
        else 1
        for c in text
    )


def _paint(text: str, codes: str, colour: bool) -> str:
    return f"{codes}{text}{_PLAIN}" if colour else text


def _place(span: Span) -> str:
    line, column = span.begin_position
    return f"{printable(span.source.name)}:{line}:{column}"


def _line(m: Message, unit: Unit) -> str:
    place = f"{_place(m.span)}: " if m.span is not None else ""
    others = "".join(f" ({printable(words)}: {_place(span)})" for span, words in m.others)
    advice = _advice(m, unit)
    remedy = f" {printable(advice)}" if advice else ""
    return f"{place}{m.severity}: {printable(_said(m.says, unit))} [{m.code}]{others}{remedy}"


def _json(m: Message, unit: Unit) -> dict[str, Json]:
    place: dict[str, Json] = {
        "file": None,
        "line": None,
        "column": None,
        "end_line": None,
        "end_column": None,
    }
    if m.span is not None:
        place = _json_place(m.span)
    entry: dict[str, Json] = {
        "code": m.code,
        "severity": m.severity,
        "message": _said(m.says, unit),
        **place,
        "advice": _advice(m, unit),
    }
    if m.others:
        entry["others"] = [{"message": words, **_json_place(span)} for span, words in m.others]
    return entry


def _json_place(span: Span) -> dict[str, Json]:
    (line, column), (end_line, end_column) = span.begin_position, span.end_position
    return {
        "file": span.source.name,
        "line": line,
        "column": column,
        "end_line": end_line,
        "end_column": end_column,
    }
