"""Tables: digits and units per kind, and texts of a motif file that must do no harm where they land."""

from __future__ import annotations

import csv
import io
import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from motif.outputs.numbers import Unit
from motif.outputs.tables import Column, Phrase, Step, Table, people_cell, printable, to_csv, to_markdown, to_text

COLUMNS = (
    Column("name", "Name"),
    Column("tape", "Tape", "length"),
    Column("angle", "Angle", "angle"),
    Column("area", "Area", "area"),
    Column("count", "Marks", "count"),
    Column("along", "Along"),
)
TABLE = Table(
    "Marks",
    COLUMNS,
    [("ring", 31.75, 22.5, 1234.0, 8, Phrase(("first at ", 25.4))), (None, 10.0, 0.0, 0.0, 0, None)],
    ("A remark.",),
)


def test_csv_has_decimals_and_units_in_its_head() -> None:
    assert to_csv([TABLE], "in") == (
        "name,tape_in,angle_deg,area_mm2,count,along\nring,1.25,22.5,1234,8,first at 1\n,0.393701,0,0,0,\n"
    )


def test_text_has_fractions_and_lines_up_its_points() -> None:
    assert to_text([TABLE], "in").splitlines()[3].split()[:6] == ["ring", "1", "1/4", "22.5", "1.9", "8"]
    lines = to_text([Table("T", (Column("t", "Tape", "length"),), [(10.0,), (131.75,)])]).splitlines()
    assert lines[-2].index("10") == lines[-1].index("31.8")


def test_remarks_and_titles_stand_in_text() -> None:
    text = to_text([TABLE])
    assert text.startswith("Marks\n")
    assert text.endswith("A remark.\n")
    assert not any(line.endswith(" ") for line in text.splitlines())


#: What spreadsheets take for formulas: the list of the OWASP page "CSV Injection" (from memory).
@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "\n-2", "＝1"])
def test_a_cell_never_starts_a_formula(text: str) -> None:
    table = Table("T", (Column("a", "A"),), [(text,)])
    (_, (cell,)) = list(csv.reader(io.StringIO(to_csv([table]))))
    assert cell.startswith("'")


@given(st.text())
def test_csv_reads_back_as_one_cell(text: str) -> None:
    table = Table("T", (Column("a", "A"), Column("n", "N", "count")), [(text, -1)])
    rows = list(csv.reader(io.StringIO(to_csv([table]))))
    assert len(rows) == 2
    assert rows[1] == [rows[1][0], "-1"]
    assert rows[1][0] in (printable(text), "'" + printable(text))


@given(st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), min_size=1))
def test_markdown_shows_the_text_and_nothing_else(text: str) -> None:
    """Read with a CommonMark reader: one table, one row, and in its cell plain text alone."""
    table = Table("T", (Column("a", "A"),), [(text,)])
    tokens = MarkdownIt("commonmark", {"html": True}).enable("table").parse(to_markdown([table]))
    assert sum(t.type == "tr_open" for t in tokens) == 2
    cell = [t for t in tokens if t.type == "inline"][-1]
    assert {c.type for c in cell.children or []} <= {"text", "text_special"}
    assert "".join(c.content for c in cell.children or []).split() == printable(text).split()


def test_nothing_steers_the_terminal() -> None:
    table = Table("T\x1b[2J", (Column("a", "A"),), [("\x1b]0;gone\x07 \u202eabc [red]x[/red]",)], ("\x9b1m",))
    text = to_text([table])
    assert not {c for c in text if ord(c) < 32 or 127 <= ord(c) < 160 or c == "\u202e"} - {"\n"}
    assert "[red]x[/red]" in text


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_numbers_are_never_cut_off_and_headings_keep_their_units(unit: Unit) -> None:
    """Eight columns of lengths with long headings, on paper that they do not fit in one line."""
    columns = tuple(Column(f"c{k}", f"length of the part that is numbered {k}", "length") for k in range(8))
    rows = [tuple(25.4 * (10 * k + r) + 17.4625 for k in range(8)) for r in range(12)]
    text = to_text([Table("wide", columns, rows)], unit, width=90)
    for row, line in zip(rows, text.rstrip().splitlines()[-len(rows) :], strict=True):
        assert [people_cell(cell, "length", unit) for cell in row] == re.split(r"\s{2,}", line.strip())
    assert len(re.findall(rf"\b{unit}\b", text)) == 8
    assert max(len(line) for line in text.splitlines()) <= 90


INCH = Fraction(254, 10)  # mm, exactly (international inch, 1959)


def rounded(table: Table) -> float:
    """The largest rounding that a table says it makes, mm."""
    (said,) = re.findall(r"the largest rounding here is 0\.\d+ in \((.+) mm\)", to_text([table], "in"))
    return float(said)


@given(st.lists(st.floats(0.1, 1e4), min_size=1, max_size=9))
def test_inches_say_the_largest_rounding_of_their_table(sizes: list[float]) -> None:
    table = Table("T", (Column("tape", "Tape", "length"), Column("at", "At")), [(s, Phrase(("at ", s))) for s in sizes])
    rows = to_markdown([table], "in").split("\n")[4 : 4 + len(sizes)]
    shown = [sum((Fraction(p) for p in row.split("|")[1].split()), Fraction(0)) for row in rows]
    most = max(abs(f * INCH - Fraction(s)) for f, s in zip(shown, sizes, strict=True))
    if most > Fraction(1, 100):
        assert rounded(table) == pytest.approx(float(most), abs=0.006)


def test_no_rounding_is_said_of_tables_without_any() -> None:
    table = Table("T", (Column("tape", "Tape", "length"),), [(25.4,), (12.7,), (25.4 / 32,)])
    assert "rounding" not in to_text([table], "in")
    assert "rounding" not in to_text([Table("T", (Column("tape", "Tape", "length"),), [(1.234,)])], "mm")


@pytest.mark.parametrize("unit", ["mm", "cm", "in"])
@pytest.mark.parametrize(("step", "times"), [(12.374, 40), (62.832, 7), (25.4, 100), (0.93, 199), (7.0, 3)])
def test_steps_end_where_they_should(step: float, times: int, unit: Unit) -> None:
    """As many decimals as bring the last mark within a quarter of a millimetre; of inches, places instead."""
    text = Phrase(("every ", Step(step, times)), ("places",)).text(unit)
    if text == "places":
        assert unit == "in"
        shown = Fraction(round(Fraction(step) / INCH * 32), 32) * INCH
        assert abs(shown - Fraction(step)) * times > Fraction(24, 100)
    else:
        mm = sum((Fraction(p) for p in text.split()[1:]), Fraction(0)) * {"mm": 1, "cm": 10, "in": INCH}[unit]
        assert abs(mm - Fraction(step)) * times <= Fraction(1, 4)
        assert mm == Fraction(step) or len(text) <= len("every 123.4567")


def test_a_fraction_stays_with_its_whole_number() -> None:
    table = Table("T", (Column("at", "At"),), [(Phrase(tuple(x for k in range(40) for x in (31.75 + k, ", "))),)])
    lines = to_text([table], "in", width=30).partition("Inches")[0].split("\n")
    assert len(lines) > 10
    # every value is above an inch, so every fraction has a whole number before it
    assert all(len(re.findall(r"\d+/\d+", line)) == len(re.findall(r"\d+ \d+/\d+", line)) for line in lines[3:])
