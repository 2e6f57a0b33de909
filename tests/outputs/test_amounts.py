"""Spares, wet clay, what colours cover, time: against exact fractions and the shrinkage of ASTM C326."""

from __future__ import annotations

import json
import math
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

import motif
from motif.cli import main
from motif.laying.piece import LaidPiece
from motif.outputs import amounts, counts, tables
from motif.outputs.json_text import dumps
from motif.outputs.method.written import markdown
from motif.outputs.numbers import number
from tests.docs.blocks import REFERENCE, blocks, whole
from tests.docs.pictures import bench

POT = """
clay test-clay { shrinks 4 % by leather-hard  shrinks 12 % by fired }
form can { clay test-clay  profile straight { at 0 mm around 240 mm  at 120 mm around 240 mm } }
tool ball { wide 8 mm  volume 1/4 ml }
tool gouge { cuts 2 mm }
"""
PACE = """
pace mine "slowly" {
  carve 40 cm each minute
  carve 50 mm each minute with gouge
  attach 30 each hour
  paint 2 cm by 5 cm each minute
  paint 7 each hour
  spare 10 %
}
"""
PATTERN = """
motif all-of-it {
  grid columns 12 rows 4
  each cell {
    carve from (0, 1/4) line to (1, 1/4) unbroken
    carve from (0, 3/4) line to (1, 3/4) with gouge unbroken
    attach ball at (1/2, 1/2)
    paint rectangle from (1/4, 1/8) to (3/4, 5/8) colour "red"
    paint dot at (1/2, 7/8) across 3 mm colour "blue"
    paint from (0, 1/2) line to (1, 1/2) width 2 mm colour "green" unbroken
  }
}
"""


def laid(text: str, name: str = "p", pace: str | None = None) -> LaidPiece:
    document = motif.loads(text)
    piece = document.lay(name, pace=pace)
    assert [m.text for m in document.messages.sorted() if m.severity == "error"] == []
    assert piece is not None
    return piece


def totals(piece: LaidPiece) -> dict[tuple[str, str | None, str | None], dict[str, Any]]:
    found = json.loads(dumps(counts.as_json(piece)))["totals"]
    return {(t["technique"], t["tool"], t["colour"]): t for t in found}


@pytest.fixture(scope="module")
def can() -> LaidPiece:
    return laid(POT + PACE + PATTERN + "piece p { form can  pace mine  band all-of-it }")


def near(value: Fraction) -> Any:
    return pytest.approx(float(value), abs=1e-5)


def test_time_is_amount_over_rate(can: LaidPiece) -> None:
    """A can 240 mm round and 120 mm high, cells 20 by 30 mm: everything is known exactly."""
    found = totals(can)
    assert found["carve", None, None]["minutes"] == near(Fraction(4 * 240, 400))
    assert found["carve", "gouge", None]["minutes"] == near(Fraction(4 * 240, 50))
    assert found["attach", "ball", None]["minutes"] == near(Fraction(48, 30) * 60)
    # 48 rectangles of 10 by 15 mm at 1000 mm² a minute; 48 dots at 7 an hour; four lines, of which no length is given
    assert found["paint", None, "red"]["minutes"] == near(Fraction(48 * 150, 1000))
    assert found["paint", None, "blue"]["minutes"] == near(Fraction(48 * 60, 7))
    assert found["paint", None, "green"]["minutes"] == near(Fraction(4 * 60, 7))
    assert all(t["unpaced"] == [] for t in found.values())


def test_colours_cover_shapes_dots_and_the_width_of_lines(can: LaidPiece) -> None:
    found = totals(can)
    assert found["paint", None, "red"]["covered"] == near(Fraction(48 * 150))
    assert found["paint", None, "blue"]["covered"] == pytest.approx(48 * math.pi * 1.5**2, abs=1e-5)
    assert found["paint", None, "green"]["covered"] == near(Fraction(4 * 240 * 2))
    assert found["carve", None, None]["covered"] == 0


def test_wet_clay_has_the_cube_of_the_linear_shrinkage(can: LaidPiece) -> None:
    """Linear shrinkage from the wet length as in ASTM C326: leather-hard lengths are 96/100 of the wet ones."""
    attach = totals(can)["attach", "ball", None]
    assert attach["spares"] == 5  # a tenth of 48, rounded up
    assert attach["wet_volume"] == near((48 + 5) * Fraction(1, 4) / Fraction(96, 100) ** 3)


@pytest.mark.parametrize(("count", "spare", "spares"), [(30, "10 %", 3), (30, "1/7", 5), (35, "1/7", 5), (31, "0 %", 0),
                                                        (3, "1 %", 1), (48, "100 %", 48)])  # fmt: skip
def test_spares_are_rounded_up(count: int, spare: str, spares: int) -> None:
    motif_text = f"motif m {{ grid columns {count} rows 1  each cell {{ attach ball at (1/2, 1/2) }} }}"
    piece = laid(POT + f"pace mine {{ spare {spare} }} {motif_text} piece p {{ form can  pace mine  band m }}")
    (total,) = totals(piece).values()
    assert (total["count"], total["spares"]) == (count, spares)
    assert total["minutes"] is None
    assert total["unpaced"] == ["marks"]


def test_a_patch_kept_free_is_not_covered() -> None:
    """One rectangle 120 mm wide and 60 mm high, a patch 30 by 20 mm cut out of it."""
    piece = laid(
        POT
        + "motif m { grid columns 2 rows 2  each cell where column = 1 and row = 1 { paint rectangle from (0, 0) to "
        '(1, 1) colour "red" } } piece p { form can  band m  reserve "free" from tape 10 mm to tape 30 mm facing 60 mm '
        "* 1 turn / 240 mm wide 30 mm }"
    )
    (total,) = totals(piece).values()
    assert total["covered"] == pytest.approx(120 * 60 - 30 * 20, abs=0.01)


def test_a_clay_that_does_not_say_has_no_wet_volume() -> None:
    piece = laid(
        "form bare { profile straight { at 0 mm around 240 mm  at 120 mm around 240 mm } } "
        "tool ball { wide 8 mm  volume 1 ml } "
        "motif m { grid columns 4 rows 1  each cell { attach ball at (1/2, 1/2) } } piece p { form bare  band m }"
    )
    (total,) = totals(piece).values()
    assert (total["wet_volume"], total["spares"], total["minutes"]) == (None, 0, None)


def test_without_a_pace_there_is_no_time() -> None:
    piece = laid(POT + PACE + PATTERN + "piece p { form can  band all-of-it }")
    assert {t["minutes"] for t in totals(piece).values()} == {None}
    assert "pace" not in tables.to_text(counts.tables(piece))
    paced = laid(POT + PACE + PATTERN + "piece p { form can  band all-of-it }", pace="mine")
    assert totals(paced)["carve", None, None]["minutes"] == near(Fraction(960, 400))


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0.2, "1 min"), (59.5, "1 h"), (60.0, "1 h"), (61.0, "1 h 1 min"), (150.4, "2 h 31 min"), (0.0, "0 min")],
)
def test_time_in_words_goes_to_the_next_minute(minutes: float, words: str) -> None:
    assert amounts.time_words(minutes) == words


@pytest.mark.parametrize(
    ("pace", "code", "underlined", "words"),
    [
        ("carve 0 mm each minute", "out-of-range", "0 mm", "above 0"),
        ("carve 30 deg each minute", "wrong-kind", "30 deg", "an angle"),
        ("paint 10 cm by 3 each minute", "wrong-kind", "3", "a length"),
        ("spare 3", "out-of-range", "3", "300 %"),
        ("spare 2 mm", "wrong-kind", "2 mm", "a number"),
        ("carve 1 mm each hour carve 2 mm each hour", "defined-twice", "carve 2 mm each hour", "twice"),
        ("carve 1 mm each hour with gauge", "unknown-name", "gauge", "gauge"),
        ("spare 10 % spare 20 %", "defined-twice", "spare 20 %", "once"),
        ("carve 40 cm each day", "syntax", "day", "'minute' or 'hour'"),
    ],
)
def test_what_goes_wrong_in_a_pace(pace: str, code: str, underlined: str, words: str) -> None:
    document = motif.loads(POT + f"pace mine {{ {pace} }} piece p {{ form can  pace mine  carve ring at rim }}")
    document.lay("p")
    (message,) = document.messages.sorted()
    assert message.code == code
    assert message.span is not None
    assert message.span.text == underlined
    assert words in f"{message.text} {message.advice}"


def test_pace_and_its_words_may_still_be_names() -> None:
    piece = laid(
        POT + "let pace = 3 mm  let spare = 2 mm  let minute = 1  let hour = 60 mm "
        "motif m { given pace length = 4 mm  grid columns 8 rows 1  each cell { carve from (0, 0) line to (minute, 1) "
        "depth pace } } piece p { form can  band m(pace = pace) from foot to tape hour carve ring at rim depth spare }"
    )
    assert {p.work.depth for b in piece.bands for p in b.paths} == {3.0}


def test_the_command_takes_a_pace(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "can.motif"
    file.write_text(POT + PACE + PATTERN + "piece p { form can  band all-of-it }", encoding="utf-8")
    assert main(["counts", str(file), "--pace", "mine", "--as", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["pace"] == "mine"
    assert main(["counts", str(file), "--pace", "mime"]) == 2
    assert "mine" in capsys.readouterr().err


def test_the_order_of_work_tells_what_to_make_ahead(can: LaidPiece) -> None:
    text = markdown(can)
    each = Fraction(1, 4) / Fraction(96, 100) ** 3
    whole, all_of_them = number(float(each), 2), number(float(53 * each), 1)
    # 2.4 min by hand and 19.2 with the gouge are shown as 3 and 20, and the sum is of what is shown
    carve, attach = 3 + 20, 96
    paint = 8 + math.ceil(48 * 60 / 7) + math.ceil(4 * 60 / 7)
    hours, rest = divmod(carve + attach + paint, 60)
    assert f"Allow {hours} h {rest} min at the pace “mine”: carve {carve} min, attach 1 h 36 min, paint" in text
    assert f"{hours} h {rest} min in all" in tables.to_text(counts.tables(can))
    assert "Not in it: setting out and cleaning up." in text
    made = "Make 53 pieces with “ball” (48, and 5 to spare)"
    assert f"{made}: {whole} ml of wet clay each, {all_of_them} ml in all." in text


def test_the_table_of_the_reference_is_what_the_program_says() -> None:
    (block,) = [b for b in blocks() if "pace mine" in b.text]
    piece = laid(whole(block, bench()), "timed")
    table = tables.to_markdown(counts.tables(piece)).partition("what it takes\n\n")[2].partition("\n\n")[0]
    assert table in REFERENCE.read_text(encoding="utf-8")
