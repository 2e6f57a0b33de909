"""``motif check --rows``: how the pattern sits on the pot, row by row."""

from __future__ import annotations

import csv
import io
import json
from math import pi
from pathlib import Path

import pytest
from markdown_it import MarkdownIt

import motif
from motif import cli
from motif.outputs import json_text, rows, tables
from motif.outputs.numbers import Unit
from tests.laying.bench import CAN, CONE, lay, source

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
DOT = "each cell { guide dot at (1/2, 1/2) }"


def test_cells_of_a_cone() -> None:
    """Cone from radius 60 to 20 over 50 mm of tape: the middles of five rows have radius 56, 48, 40, 32, 24."""
    piece = lay(source(f"grid columns 12 rows 5 {DOT}", form=CONE))
    for k, row in enumerate(piece.bands[0].fit):
        radius = 56 - 8 * k
        assert (row.row, row.ring, row.columns) == (k + 1, None, 12)
        assert (row.from_tape, row.to_tape) == pytest.approx((10 * k, 10 * k + 10))
        assert row.cell_width == pytest.approx(2 * pi * radius / 12)
        assert row.cell_height == pytest.approx(10)
        assert row.proportion == pytest.approx(2 * pi * radius / 120)
        assert row.against_first == pytest.approx(radius / 56)
        assert ("stretched-cells" in row.warnings) == (radius / 56 < 2 / 3)


def test_rows_know_their_heights() -> None:
    """The cone's wall rises 30 mm in 50 mm of tape (a 3-4-5 triangle): a row of 10 mm of tape is 6 mm of height."""
    piece = lay(source(f"grid columns 12 rows 5 {DOT}", form=CONE))
    (band,) = json.loads(json_text.dumps(rows.as_json(piece)))["bands"]
    assert [r["from_height"] for r in band["rows"]] == pytest.approx([0, 6, 12, 18, 24])
    assert [r["to_height"] for r in band["rows"]] == pytest.approx([6, 12, 18, 24, 30])
    (*_, last) = csv.DictReader(io.StringIO(tables.to_csv([rows.records([piece])], "cm")))
    assert (float(last["from_height_cm"]), float(last["to_height_cm"])) == (2.4, 3)


def test_counted_downward_the_first_row_is_the_upper() -> None:
    """The same cone from the rim: radius 24 first, so the last row is 56/24 of its shape."""
    piece = lay(source(f"grid columns 12 rows 5 {DOT}", "from rim to foot", CONE))
    fit = piece.bands[0].fit
    assert (fit[0].from_tape, fit[0].to_tape) == pytest.approx((50, 40))
    assert [r.against_first for r in fit] == pytest.approx([(24 + 8 * k) / 24 for k in range(5)])
    assert [bool(r.warnings) for r in fit] == [False, False, True, True, True]


def test_overlaps_side_by_side_and_up_and_down() -> None:
    """Discs 22 mm wide on a can 360 mm round: 16 columns are 22.5 mm, so 0.5 mm is lacking; 9 rows of 20 mm overlap
    by 2 mm. The last row has none above it. 17 columns are 21.18 mm: they overlap by 14/17 mm."""
    for columns, words in ((16, "lacks 0.5"), (17, "over 0.8")):
        body = f"grid columns {columns} rows 9 each cell {{ impress disc at (1/2, 1/2) }}"
        piece = lay(source(body, "from foot to tape 180 mm", before="tool disc { wide 22 mm }"))
        fit = piece.bands[0].fit
        assert [r.gap for r in fit] == pytest.approx([360 / columns - 22] * 9, abs=1e-3)
        assert [r.marks_overlap for r in fit[:-1]] == pytest.approx([2] * 8, abs=1e-3)
        assert fit[-1].marks_overlap is None
        assert all("marks-overlap" in r.warnings for r in fit[:-1])
        text = tables.to_text(rows.tables(piece))
        assert text.count(words) == 9 and "Overlap" in text and "Look at" in text
        found = rows.as_json(piece, "cm")["bands"]
        assert isinstance(found, list) and isinstance(found[0], dict)
        assert found[0]["rows"][0]["marks_overlap"] == pytest.approx(0.2, abs=1e-4)


def test_every_row_its_own_columns() -> None:
    """Columns near 20 mm: 2π r / 20 mm is 17.6, 15.1, 12.6, 10.05, 7.5; the widest place of a row is its lower ring."""
    piece = lay(source(f"grid columns near 20 mm each row rows 5 {DOT}", form=CONE))
    fit = piece.bands[0].fit
    assert [r.columns for r in fit] == [round(2 * pi * (60 - 8 * k) / 20) for k in range(5)]
    assert [r.cell_width for r in fit] == pytest.approx([2 * pi * (56 - 8 * k) / r.columns for k, r in enumerate(fit)])


def test_spaced_rows_are_compared_with_their_like() -> None:
    """Rows spaced 3 : 1 on a can have 45 and 15 mm by turns, and keep to their own shape."""
    piece = lay(source(f"grid columns 12 rows 6 spaced 3 : 1 {DOT}", "from foot to tape 180 mm"))
    fit = piece.bands[0].fit
    assert [r.cell_height for r in fit] == pytest.approx([45, 15] * 3)
    assert [r.against_first for r in fit] == pytest.approx([1] * 6)
    assert not any(r.warnings for r in fit)


def test_land_and_depth() -> None:
    """Two lines 3 mm apart, cut 2 mm wide, 2.5 mm deep in a wall of 6 mm: 1 mm of land, five twelfths of the wall."""
    line = "carve from (1, {a} mm) line to (5, {a} mm) width 2 mm depth 2.5 mm"
    body = f"grid columns 12 rows 6 once {{ {line.format(a=40)} {line.format(a=43)} }}"
    form = CAN.replace("form can {", "form can { thickness 6 mm")
    fit = lay(source(body, "from foot to tape 180 mm", form)).bands[0].fit
    assert [r.row for r in fit if r.warnings] == [2]
    assert fit[1].land == pytest.approx(1, abs=1e-6) and fit[1].cut == 2
    assert fit[1].depth == 2.5 and fit[1].depth_part == pytest.approx(5 / 12)
    assert set(fit[1].warnings) == {"lines-too-close", "too-deep"}
    assert all(r.land is None and r.depth is None for r in fit if r.row != 2)


def test_footprints_on_rings_have_lines_of_their_own() -> None:
    """Strips 28 mm wide at crossings of a grid of 30 mm lack 2 mm on each of the four rings of three rows."""
    body = "grid columns 12 rows 3 each crossing { impress strip at (0, 0) }"
    fit = lay(source(body, "from foot to tape 180 mm", before="tool strip { wide 28 mm tall 5 mm }")).bands[0].fit
    assert [(r.row, r.ring) for r in fit] == [
        (None, 0),
        (1, None),
        (None, 1),
        (2, None),
        (None, 2),
        (3, None),
        (None, 3),
    ]
    assert [r.gap for r in fit if r.ring is not None] == pytest.approx([2] * 4, abs=1e-5)
    assert all(r.warnings == ("tool-gap",) for r in fit if r.ring is not None)
    assert not any(r.warnings for r in fit if r.row is not None)


def test_the_table_agrees_with_the_warnings() -> None:
    document = motif.load(EXAMPLES / "pointed-vase.motif")
    piece = document.lay("pointed-vase")
    assert piece is not None
    told = next(m.text for m in document.messages.sorted() if m.code == "tool-gap")
    for r in piece.bands[0].fit:
        assert (f"{r.gap:.1f} mm at row {r.row}" in told) == ("tool-gap" in r.warnings)
    table = rows.tables(piece)[0]
    assert table.rows[0][0] == "1" and table.rows[1][0] == "2 !"
    assert table.remarks[0] == "10 rows break a bound (!). The worst is row 11: 'tooth' lacks 6.6 mm."


def run(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, str, str]:
    status = cli.main(args)
    out, err = capsys.readouterr()
    return status, out, err


def test_forms_of_the_table(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(EXAMPLES / "pointed-vase.motif")
    status, out, err = run(capsys, "check", file, "--rows", "--as", "json")
    found = json.loads(out)
    assert (status, err) == (0, "") and [m["code"] for m in found["messages"]] == ["tool-gap"]
    band = found["pieces"][0]["bands"][0]
    assert (found["pieces"][0]["piece"], band["worst_row"], len(band["rows"])) == ("pointed-vase", 11, 11)
    assert [r["row"] for r in band["rows"] if r["warnings"]] == list(range(2, 12))

    status, out, err = run(capsys, "check", file, "--rows", "--as", "csv", "--unit", "cm")
    lines = list(csv.DictReader(io.StringIO(out)))
    assert len(lines) == 12 and "[tool-gap]" in err
    assert float(lines[10]["gap_cm"]) == pytest.approx(band["rows"][10]["gap"] / 10)
    assert [r["warnings"] for r in lines[:3]] == ["", "tool-gap", "tool-gap"]

    _, out, _ = run(capsys, "check", file, "--rows", "--as", "markdown")
    assert MarkdownIt().enable("table").render(out).count("<table>") == 3  # the messages, and a table a band
    _, out, _ = run(capsys, "check", file, "--rows")
    assert "2 !" in out and "The worst is row 11" in out and out.endswith("1 piece laid, 1 warning.\n")
    assert max(map(len, out.splitlines())) <= 110


def test_inches() -> None:
    """Lengths in the unit asked for; ratios have none."""
    piece = lay(source(f"grid columns 12 rows 6 {DOT}", "from foot to tape 180 mm"))
    inch = rows.as_json(piece, "in")["bands"][0]["rows"][0]  # type: ignore[index,call-overload]
    assert inch["cell_width"] == pytest.approx(30 / 25.4) and inch["proportion"] == pytest.approx(1)
    assert "1 3/16" in tables.to_text(rows.tables(piece, "in"), "in")


WIDE = """form jar {
  thickness 7 mm
  profile smooth { at 0 mm across 84 mm at 60 mm across 130 mm at 160 mm across 70 mm }
}
tool tile { wide 24 mm tall 18 mm }
motif m {
  grid columns 12 rows 6
  each cell { impress tile at (1/2, 1/2) depth 3 mm  impress dot at (1/2, 1/2) across 30 mm }
}
piece p { form jar band m }
"""


@pytest.mark.parametrize("unit", ["mm", "cm", "in"])
def test_a_row_is_a_line_of_paper_width(unit: Unit) -> None:
    """Gaps, overlaps and three bounds broken in one row, the widest table there is; a depth that all rows have is said
    once below. 3 mm of a wall of 7 mm are 0.43 of it, 1/8 in to the nearest 1/32."""
    document = motif.loads(WIDE)
    piece = document.lay("p")
    assert piece is not None
    lines = tables.to_text(rows.tables(piece, unit), unit, width=110).split("\n")
    table = lines[3:9]
    assert [line.split()[0] for line in table] == ["1", "2", "3", "4", "5", "6"]
    assert max(map(len, lines[1:9])) <= 110
    assert table[0].endswith("marks, gap, depth")
    deep = {"mm": "3 mm", "cm": "0.3 cm", "in": "1/8 in"}[unit]
    assert f"Depth in every row: {deep}, 0.43 of the wall." in lines
