"""Tables, and the three ways of writing them: for a screen or a sheet of paper, CSV, Markdown.

A table holds values, never text made of values: the writer decides on digits and units, so a length
is a fraction of an inch on paper and a decimal in CSV.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence, Set
from typing import TYPE_CHECKING, Literal, TypeAlias

from motif.language.record import record
from motif.outputs import numbers
from motif.outputs.numbers import Unit, number

if TYPE_CHECKING:
    from motif.outputs.json_text import Json

#: What a column holds: lengths in mm, angles in degrees, areas in mm², volumes in ml. Whole numbers in a
#: column of these are written as they stand.
Kind = Literal["text", "count", "length", "angle", "area", "volume", "ratio"]

Cell: TypeAlias = "str | int | float | Phrase | None"


@record
class Phrase:
    """Words with lengths in mm among them: ``Phrase(("first at ", 31.4, ", then every ", Step(62.8, 7)))``.

    ``places`` say the same one by one, and are said instead where steps as they are shown would go astray."""

    parts: tuple[str | float | Step, ...]
    places: tuple[str | float, ...] = ()

    def said(self, unit: Unit) -> tuple[str | float | Step, ...]:
        """The parts that are said in ``unit``."""
        astray = any(isinstance(p, Step) and p.text(unit) is None for p in self.parts)
        return self.places if astray and self.places else self.parts

    def text(self, unit: Unit) -> str:
        return "".join(
            p if isinstance(p, str) else p.text(unit) or "" if isinstance(p, Step) else numbers.length(p, unit)
            for p in self.said(unit)
        )


@record
class Step:
    """A length that is stepped off ``times`` over, so that what is rounded away adds up."""

    length: float
    times: int

    def text(self, unit: Unit) -> str | None:
        """The length with as many decimals as bring the last mark near its place; None where the unit has none."""
        shown = numbers.shown_length(self.length, unit)
        if self._strays(float(shown) * numbers.MM_PER_UNIT[unit]) <= ASTRAY:
            return numbers.length(self.length, unit)
        if unit == "in":
            return None
        value = numbers.in_unit(self.length, unit)
        texts = (number(value, digits) for digits in range(1, numbers.DATA_DIGITS + 1))
        return next((t for t in texts if self._strays(float(t) * numbers.MM_PER_UNIT[unit]) <= ASTRAY), None)

    def _strays(self, shown: float) -> float:
        return abs(shown - self.length) * self.times


@record
class Column:
    """``key`` heads the column in CSV, ``heading`` for people; both get the unit added."""

    key: str
    heading: str
    kind: Kind = "text"


def cells_json(columns: Sequence[Column], cells: Sequence[Cell], unit: Unit) -> dict[str, Json]:
    """A row of plain values as an object: lengths in ``unit``, all else as it is."""
    found: dict[str, Json] = {}
    for column, value in zip(columns, cells, strict=True):
        assert not isinstance(value, Phrase)
        if column.kind == "length" and isinstance(value, float):
            found[column.key] = numbers.in_unit(value, unit)
        else:
            found[column.key] = value
    return found


def telling(
    columns: Sequence[Column], rows: Sequence[Sequence[Cell]], silent: Set[str] = frozenset()
) -> tuple[tuple[Column, ...], list[tuple[Cell, ...]]]:
    """For people: the columns that say something, but for those whose keys are ``silent``, and the rows of them, with
    ratios to a hundredth."""
    used = [
        (i, column)
        for i, column in enumerate(columns)
        if column.key not in silent and any(row[i] is not None for row in rows)
    ]
    return tuple(c for _, c in used), [
        tuple(round(cell, 2) if c.kind == "ratio" and isinstance(cell := row[i], float) else row[i] for i, c in used)
        for row in rows
    ]


@record
class Table:
    """``rows`` hold one cell a column; None is an empty cell. ``remarks`` stand below the table."""

    title: str
    columns: tuple[Column, ...]
    rows: Sequence[Sequence[Cell]]
    remarks: tuple[str, ...] = ()


#: Less is no rounding, mm.
_EXACT = 0.005
#: Marks stepped off one from the other may end up so far from their places, mm.
ASTRAY = 0.25

#: Unit and decimals by kind, as data and for people. Lengths go by ``--unit``.
_DATA_UNITS: dict[Kind, str] = {"angle": "deg", "area": "mm2", "volume": "ml"}
_PEOPLE_UNITS: dict[Kind, str] = {"angle": "°"}
#: Areas for people: the unit, and how many mm² it has.
_AREAS: dict[Unit, tuple[str, float]] = {"mm": ("cm²", 100.0), "cm": ("cm²", 100.0), "in": ("in²", 25.4**2)}
#: Columns grow narrow by breaking lines between words, never within words up to this long.
_LONGEST_WORD = 24

#: What a spreadsheet takes for the start of a formula, or skips before it looks for one.
_FORMULA = re.compile(r"^[\s\x00-\x1f]*[=+\-@＝＋－＠]")
#: Spaces of any sort at the end of a cell would be cut off before it is set to the right; this is none.
_PADDING = "\N{BRAILLE PATTERN BLANK}"
#: Between a whole number and its fraction, which must not come apart at the end of a line.
_MIXED = re.compile(r"(?<=\d) (?=\d+/\d)")
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>#|~!&$])")


def printable(text: str) -> str:
    """``text`` on one line and without characters that steer a terminal or turn its direction."""
    return _CONTROL.sub(
        lambda m: " " if m[0] in "\t\n\r\x0b\x0c\x85\u2028\u2029" else "\N{REPLACEMENT CHARACTER}", text
    )


def to_csv(tables: Iterable[Table], unit: Unit = "mm") -> str:
    """The tables as CSV (RFC 4180 with plain line feeds), an empty line between two of them.

    Decimals with a point, lengths in ``unit``. A text that a spreadsheet would take for a formula
    gets an apostrophe in front.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for i, table in enumerate(tables):
        if i:
            out.write("\n")
        writer.writerow([_csv_heading(c, unit) for c in table.columns])
        cells = zip(*table.rows, strict=True)
        columns = [_csv_cells(cell, c.kind, unit) for cell, c in zip(cells, table.columns, strict=False)]
        writer.writerows(zip(*columns, strict=True))
    return out.getvalue()


def to_markdown(tables: Iterable[Table], unit: Unit = "mm") -> str:
    """The tables as Markdown with pipes, each under a heading. Text is escaped."""
    return "\n".join(f"## {escaped(table.title)}\n\n{markdown_table(table, unit)}\n" for table in tables)


def markdown_table(table: Table, unit: Unit = "mm") -> str:
    """One table as Markdown with pipes and its remarks, without its title. Text is escaped."""
    lines = [
        _markdown_row(escaped(people_heading(c, unit)) for c in table.columns),
        _markdown_row("---" if c.kind == "text" else "--:" for c in table.columns),
    ]
    lines += [
        _markdown_row(escaped(people_cell(cell, c.kind, unit)) for cell, c in zip(row, table.columns, strict=True))
        for row in table.rows
    ]
    below = remarks(table, unit)
    if below:
        lines += ["", *(f"- {escaped(r)}" for r in below)]
    return "\n".join(lines)


def to_text(tables: Iterable[Table], unit: Unit = "mm", *, width: int = 110, colour: bool = False) -> str:
    """The tables for a screen ``width`` characters wide, or for paper. ``colour`` allows bold and dim."""
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table as RichTable
    from rich.text import Text

    out = io.StringIO()
    console = Console(
        file=out,
        width=width,
        force_terminal=colour,
        no_color=not colour,
        color_system="standard" if colour else None,
        legacy_windows=False,
        highlight=False,
        markup=False,
        emoji=False,
        _environ={},
    )
    for i, table in enumerate(tables):
        if i:
            console.print()
        console.print(Text(printable(table.title), style="bold"))
        if table.rows:
            grid = RichTable(box=SIMPLE_HEAD, show_edge=False, pad_edge=False, header_style="bold")
            cells = [
                _aligned([_MIXED.sub(_PADDING, people_cell(row[i], c.kind, unit)) for row in table.rows], c.kind)
                for i, c in enumerate(table.columns)
            ]
            for c, column in zip(table.columns, cells, strict=True):
                # Words may go onto another line, numbers may not; headings may, between words.
                whole = [word for cell in column for word in cell.split()] if c.kind == "text" else column
                heading = people_heading(c, unit)
                longest = max(len(part) for part in [*whole, *heading.split()])
                grid.add_column(
                    Text(heading),
                    justify="left" if c.kind == "text" else "right",
                    overflow="fold",
                    min_width=min(longest, _LONGEST_WORD),
                )
            for row in zip(*cells, strict=True):
                grid.add_row(*(Text(cell) for cell in row))
            console.print(grid)
        for remark in remarks(table, unit):
            console.print(Text(_MIXED.sub(_PADDING, printable(remark)), style="dim"))
    # Padding at the ends of lines is noise in a file.
    return "\n".join(line.replace(_PADDING, " ").rstrip() for line in out.getvalue().split("\n"))


def _aligned(cells: list[str], kind: Kind) -> list[str]:
    """Numbers with room behind them so that, set to the right, their points stand below one another."""
    return (
        cells
        if kind == "text"
        else [c + _PADDING * len(lacking) for c, lacking in zip(cells, lack(cells), strict=True)]
    )


def lack(cells: Sequence[str]) -> list[str]:
    """What each of a column's numbers has less behind its point than the one with most: ``.0`` for 19 below 44.4.

    Set to the right with so much room behind them, their points stand below one another."""
    decimals = [c[c.index(".") :] if "." in c else "" for c in cells]
    most = max(map(len, decimals), default=0)
    return [("." + "0" * (most - 1))[len(d) :] if most else "" for d in decimals]


def people_cell(cell: Cell, kind: Kind, unit: Unit) -> str:
    """A cell as people read it; an empty cell is an empty text."""
    if cell is None:
        return ""
    if isinstance(cell, Phrase):
        return printable(cell.text(unit))
    if isinstance(cell, str):
        return printable(cell)
    match kind:
        case "length":
            return numbers.length(cell, unit)
        case "angle":
            return numbers.angle(cell)
        case "area":
            return number(cell / _AREAS[unit][1], 1)
        case "volume":
            return numbers.volume(cell, unit)
        case "ratio":
            return number(cell, 3)
        case _:
            return number(cell, numbers.DATA_DIGITS)


def people_heading(column: Column, unit: Unit) -> str:
    """The heading with its unit: ``Tape, mm``."""
    by_unit = {"length": unit, "area": _AREAS[unit][0], "volume": numbers.volume_unit(unit)}
    suffix = by_unit.get(column.kind) or _PEOPLE_UNITS.get(column.kind)
    return f"{column.heading}, {suffix}" if suffix else column.heading


def remarks(table: Table, unit: Unit) -> tuple[str, ...]:
    """The remarks for people; of inches, also by how much they are rounded in this table."""
    if unit != "in":
        return table.remarks
    most = max((numbers.rounding(mm, unit) for mm in _lengths(table, unit)), default=0.0)
    if most < _EXACT:
        return table.remarks
    words = f"{number(numbers.in_unit(most, unit), 3)} in ({number(most, 2)} mm)"
    return (*table.remarks, f"Inches are to the nearest 1/32; the largest rounding here is {words}.")


def _lengths(table: Table, unit: Unit) -> Iterator[float]:
    """Every length in mm that the table shows."""
    for row in table.rows:
        for cell, column in zip(row, table.columns, strict=True):
            if isinstance(cell, Phrase):
                for part in cell.said(unit):
                    if not isinstance(part, str):
                        yield part.length if isinstance(part, Step) else part
            elif column.kind == "length" and isinstance(cell, float):
                yield cell


def _csv_heading(column: Column, unit: Unit) -> str:
    suffix = unit if column.kind == "length" else _DATA_UNITS.get(column.kind)
    return f"{column.key}_{suffix}" if suffix else column.key


def _csv_cells(column: Sequence[Cell], kind: Kind, unit: Unit) -> list[str]:
    """A column as CSV shows it; maybe a million cells, so floats are written in bulk, the rest once each."""
    digits = numbers.ANGLE_DIGITS if kind == "angle" else numbers.DATA_DIGITS
    per_unit = numbers.MM_PER_UNIT[unit] if kind == "length" else 1.0
    floats = iter(numbers.numbers([c / per_unit for c in column if isinstance(c, float)], digits))
    known = {c: _csv_cell(c, unit) for c in set(column) if not isinstance(c, float)}
    return [next(floats) if isinstance(c, float) else known[c] for c in column]


def _csv_cell(cell: str | int | Phrase | None, unit: Unit) -> str:
    if cell is None:
        return ""
    if isinstance(cell, Phrase):
        return cell.text(unit)
    if isinstance(cell, int):
        return str(cell)
    text = printable(cell)
    return "'" + text if _FORMULA.match(text) else text


def escaped(text: str) -> str:
    """Text as Markdown shows it, on one line."""
    return _MARKDOWN.sub(r"\\\1", _MIXED.sub("\N{NO-BREAK SPACE}", printable(text)))


def _markdown_row(cells: Iterable[str]) -> str:
    return "| " + " | ".join(cells) + " |"
