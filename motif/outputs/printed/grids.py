"""Tables on a printed page: as wide as their words, or as the column, their longest words broken into lines."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import zip_longest

import numpy as np

from motif.language.record import changed, record
from motif.outputs.numbers import Unit
from motif.outputs.pen import SANS, SERIF
from motif.outputs.printed import letters
from motif.outputs.printed.flow import Flow
from motif.outputs.printed.pages import SMALL
from motif.outputs.styles import INK
from motif.outputs.tables import Cell, Kind, Table, lack, people_cell, people_heading, remarks

#: Between two columns of a table, where there is room and where there is little (mm).
_GAP, _LEAST_GAP = 2.2, 1.0
#: So many rows of a table stay together.
_TOGETHER = 8
#: Size of type of its heading: 7 points and a little (mm).
_HEAD = 2.5


@record
class _Column:
    """A column as printed: its ``width`` and the ``gap`` to the next, whether its cells stand to the right, their
    lines, heading first, and the room behind each of them, so that decimal points stand below one another."""

    width: float
    gap: float
    right: bool
    cells: tuple[list[str], ...]
    behind: tuple[float, ...]


def set_table(flow: Flow, table: Table, unit: Unit) -> None:
    """The table under its title, with its heading again wherever it goes on in another column, and its remarks."""
    flow.space(1.5)
    table = _folded(table, unit, flow.width)
    flow.keep((4 + min(len(table.rows), _TOGETHER)) * SMALL * flow.leading)
    flow.words(table.title, SMALL, bold=True)
    columns = _columns(table, unit, flow.width)
    if columns is None:
        _set_records(flow, table, unit)
        return
    rows = range(1, len(table.rows) + 1)
    _row(flow, columns, 0)
    for k in rows:
        place = (flow.left, flow.y)
        flow.keep(_tall(flow, columns, k))
        if (flow.left, flow.y) != place:
            _row(flow, columns, 0)
        _row(flow, columns, k)
    for words in remarks(table, unit):
        flow.words(words, SMALL)


def _folded(table: Table, unit: Unit, room: float) -> Table:
    """The table with no more blocks beside one another than there is ``room`` for (mm), headings whole and figures
    well apart."""
    while (period := _period(table)) < len(table.columns) and _least_wide(table, unit) > room:
        blocks = len(table.columns) // period
        rows = [row[k * period : (k + 1) * period] for k in range(blocks) for row in table.rows]
        rows = [row for row in rows if any(cell is not None for cell in row)]
        each = math.ceil(len(rows) / (blocks - 1))
        parts = [rows[k : k + each] for k in range(0, len(rows), each)]
        empty = (None,) * period
        beside = [tuple(cell for row in abreast for cell in row) for abreast in zip_longest(*parts, fillvalue=empty)]
        table = changed(table, columns=table.columns[:period] * len(parts), rows=beside)
    return table


def _period(table: Table) -> int:
    """After how many columns the headings begin again."""
    headings = [column.heading for column in table.columns]
    whole = len(headings)
    return next((n for n in range(1, whole) if whole % n == 0 and headings == headings[:n] * (whole // n)), whole)


def _least_wide(table: Table, unit: Unit) -> float:
    """How wide a table is whose headings are broken between words only (mm)."""
    heads = [max(_wide(word, 0) for word in people_heading(c, unit).split(" ")) for c in table.columns]
    cells = [
        max((_wide(_cell(row[k], column.kind, unit), 1) for row in table.rows), default=0.0)
        for k, column in enumerate(table.columns)
    ]
    return sum(map(max, heads, cells)) + _GAP * (len(table.columns) - 1)


def _columns(table: Table, unit: Unit, room: float) -> list[_Column] | None:
    """The columns in so much ``room`` (mm); None where words that may be broken would stand in columns narrower than
    their longest word."""
    texts = [
        [people_heading(column, unit), *(_cell(row[k], column.kind, unit) for row in table.rows)]
        for k, column in enumerate(table.columns)
    ]
    behind = [_behind(cells, column.kind) for cells, column in zip(texts, table.columns, strict=True)]
    natural = [
        max(_wide(text, k) + back[k] for k, text in enumerate(column))
        for column, back in zip(texts, behind, strict=True)
    ]
    heads = [max(_wide(word, 0) for word in column[0].split(" ")) for column in texts]
    least = [
        max(
            [_wide(word, 1) + b for text, b in zip(column[1:], back[1:], strict=True) for word in text.split(" ")],
            default=0.0,
        )
        for column, back in zip(texts, behind, strict=True)
    ]
    whole = [max(pair) for pair in zip(heads, least, strict=True)]
    gap = min(_GAP, max(_LEAST_GAP, (room - sum(whole)) / max(len(whole) - 1, 1)))
    room -= gap * (len(whole) - 1)
    if sum(whole) > room and any(column.kind == "text" for column in table.columns[1:]):
        return None
    # Words of headings are broken before numbers are.
    low, high = (whole, natural) if sum(whole) <= room else (least, whole)
    share = (room - sum(low)) / max(sum(high) - sum(low), 1e-9)
    widths = [n + min(max(share, 0.0), 1.0) * (w - n) for n, w in zip(low, high, strict=True)]
    return [
        _Column(
            width,
            gap,
            column.kind != "text",
            tuple(letters.lines_of(text, width - back[k] + 1e-6, *_type(k)) for k, text in enumerate(cells)),
            back,
        )
        for column, cells, width, back in zip(table.columns, texts, widths, behind, strict=True)
    ]


def _behind(cells: Sequence[str], kind: Kind) -> tuple[float, ...]:
    """The room behind each of a column's ``cells``, heading first, mm."""
    if kind == "text":
        return (0.0,) * len(cells)
    return (0.0, *(_wide(decimals, 1) for decimals in lack(cells[1:])))


def _cell(cell: Cell, kind: Kind, unit: Unit) -> str:
    """A cell as it is printed; a number and its fraction stay on one line."""
    text = people_cell(cell, kind, unit)
    return text if kind == "text" else text.replace(" ", "\N{NO-BREAK SPACE}")


def _type(row: int) -> tuple[float, str]:
    """Size and face of a row; row 0 is the heading."""
    return (SMALL, letters.PLAIN) if row else (_HEAD, letters.BOLD)


def _wide(text: str, row: int) -> float:
    size, face = _type(row)
    return letters.width(letters.printable(text, face), size, face)


def _set_records(flow: Flow, table: Table, unit: Unit) -> None:
    """A row a paragraph, every cell with its heading before it: for tables of more words than a column has room for."""
    for row in table.rows:
        cells = [
            (people_heading(column, unit), people_cell(cell, column.kind, unit))
            for column, cell in zip(table.columns, row, strict=True)
        ]
        flow.keep(2 * SMALL * flow.leading)
        flow.words(cells[0][1], SMALL, bold=True)
        flow.words("; ".join(f"{heading}: {text}" for heading, text in cells[1:] if text), SMALL, indent=_GAP)
    for words in remarks(table, unit):
        flow.words(words, SMALL)


def _tall(flow: Flow, columns: Sequence[_Column], k: int) -> float:
    return max(len(column.cells[k]) for column in columns) * SMALL * flow.leading


def _row(flow: Flow, columns: Sequence[_Column], k: int) -> None:
    """The k-th row; row 0 is the heading, with a line below it."""
    x = flow.left
    for column in columns:
        for n, line in enumerate(column.cells[k]):
            base = flow.y + SMALL + n * SMALL * flow.leading
            at = x + column.width - column.behind[k] if column.right else x
            anchor = "end" if column.right else "start"
            flow.pen.text(at, base, line, _type(k)[0], anchor=anchor, font_family=SANS if k else SERIF)
        x += column.width + column.gap
    flow.y += _tall(flow, columns, k)
    if k == 0:
        line_at = np.array([[flow.left, flow.y + 0.4], [x - columns[-1].gap, flow.y + 0.4]])
        flow.pen.lines([line_at], stroke=INK, stroke_width=0.25, fill="none")
        flow.y += 0.9
