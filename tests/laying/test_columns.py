"""How many columns a band has, where its verticals stand, and what is refused.

Every expected value is plain arithmetic on a can 360 mm round, written beside the check.
"""

from __future__ import annotations

import itertools
from math import cos, pi, radians, sin

import numpy as np
import pytest

from tests.laying.bench import CAN_RADIUS, CONE, ball, errors, lay_band, marks, source, the_error
from tests.reference import record, records

DOT = "each cell { guide dot at (0, 0) }"


def columns(law: str, form: str | None = None, band: str = "from foot to rim", rows: str = "rows 4") -> int | None:
    extra = {} if form is None else {"form": form}
    return lay_band(f"grid columns {law} {rows}", band, **extra).columns


@pytest.mark.parametrize(("law", "count"), [
    ("12", 12),
    ("24/2", 12),
    ("12 + 1/10000000000", 12),  # whole to 1e-9
    ("near 25 mm", 14),          # 360/14 is 0.71 off, 360/15 is 1.00 off
    ("near 2.5 cm", 14),
    ("near 1 in", 14),           # 360/14 = 25.71 against 25.4
    ("near 80.5 mm", 5),         # by size: 90 is 9.5 off, 72 is 8.5 off, though 360/80.5 = 4.47
    ("near 150 mm", 3),          # 180 and 120 are equally near: the larger number
    ("near 42.5 mm", 9),         # 45 and 40
    ("near 81 mm", 5),           # 90 and 72
    ("near 42.5001 mm", 8),
    ("near 1000 mm", 1),         # at least one
    ("near 360 mm", 1),
    ("near 25 mm multiple of 4", 16),    # 12 → 30 is 5 off, 16 → 22.5 is 2.5 off
    ("near 67.5 mm multiple of 4", 8),   # 90 and 45 are equally near
    ("near 1000 mm multiple of 4", 4),   # at least one multiple
    ("12 multiple of 4", 12),
    ("12 multiple of 12", 12),
])  # fmt: skip
def test_number_of_columns(law: str, count: int) -> None:
    assert columns(law) == count


@pytest.mark.parametrize("size", [7.3, 11.9, 23.77, 31.0, 52.5, 140.0, 200.0, 359.9])
@pytest.mark.parametrize("multiple", [1, 2, 3, 5])
def test_near_is_the_nearest_of_all(size: float, multiple: int) -> None:
    """Against trying every number there is."""
    tried = range(multiple, 400, multiple)
    best = min(abs(360 / n - size) for n in tried)
    wanted = max(n for n in tried if abs(360 / n - size) <= best + 1e-9)
    assert columns(f"near {size} mm multiple of {multiple}") == wanted


def test_near_looks_at_the_widest_place_of_the_band() -> None:
    # 2π·60 at the cone's foot, 2π·40 half-way up
    assert columns(f"near {2 * pi * 60 / 10:.6f} mm", CONE) == 10
    assert columns(f"near {2 * pi * 40 / 10:.6f} mm", CONE, "from tape 25 mm to rim") == 10
    assert columns(f"near {2 * pi * 40 / 10:.6f} mm", CONE, "from rim to tape 25 mm") == 10


def test_the_widest_place_may_be_between_the_ends() -> None:
    # a ball's ends at 40° are only cos 40° as wide as its middle
    form = ball(75, -40, 40)
    assert columns(f"near {2 * pi * 75 / 24:.6f} mm", form) == 24
    assert round(24 * cos(radians(40))) == 18  # what the ends would have given


def test_equal_columns_stand_evenly() -> None:
    band = lay_band(f"grid columns 7 rows 1 {DOT}")
    assert np.degrees(band.verticals) == pytest.approx([k * 360 / 7 for k in range(7)], abs=1e-9)
    assert marks(band) == [(round(k * 360 / 7, 6), 0.0) for k in range(7)]


def test_column_widths_are_soft_tape_and_chords_are_dividers() -> None:
    """outputs: column_width is circumference ÷ columns, chord = 2 r sin(width ÷ 2r)."""
    band = lay_band("grid columns 9 rows 2", form=CONE)
    assert band.rings.column_width is not None and band.rings.chord is not None
    for ring, radius in enumerate((60, 40, 20)):
        assert band.rings.circumference[ring] == pytest.approx(2 * pi * radius, abs=1e-9)
        assert band.rings.column_width[ring] == pytest.approx(2 * pi * radius / 9, abs=1e-9)
        assert band.rings.chord[ring] == pytest.approx(2 * radius * sin(pi / 9), abs=1e-9)


@pytest.mark.parametrize("known", [r for r in records("1.chord.") if "chord" not in r["inputs"]], ids=lambda r: r["id"])
def test_chords_for_dividing_a_circle(known: dict) -> None:
    """Machinery's Handbook and others, each record with its source and how it is known. The can is 100 times as
    large as the published circle, so that the wall's own arithmetic is far below the printed digits."""
    given = known["inputs"]
    across = 100 * given.get("diameter", 2 * given.get("radius", 0))
    form = f"form can {{ profile straight {{ at 0 mm across {across} mm at 50 mm across {across} mm }} }}"
    band = lay_band(f"grid columns {given['N']} rows 1", form=form)
    assert band.rings.chord is not None
    assert band.rings.chord / 100 == pytest.approx(known["expected"], abs=known["tolerance"])


def test_a_diameter_from_its_divider_step() -> None:
    known = record("1.chord.ex1")
    across = known["expected"]
    form = f"form can {{ profile straight {{ at 0 mm across {across} mm at 50 mm across {across} mm }} }}"
    band = lay_band(f"grid columns {known['inputs']['N']} rows 1", form=form)
    assert band.rings.chord is not None
    # the published diameter is rounded to 0.0005, which is 0.00003 on the chord
    assert band.rings.chord == pytest.approx(known["inputs"]["chord"], abs=known["tolerance"] * sin(pi / 56) + 1e-9)


# ---------------------------------------------------------------- spaced


def test_spaced_columns() -> None:
    # 3 : 1 three times over is twelve parts of 30 mm
    band = lay_band(f"grid columns 6 spaced 3 : 1 rows 1 {DOT} each cell {{ paint dot at (1/2, 1/2) }}")
    assert np.degrees(band.verticals) == pytest.approx([0, 90, 120, 210, 240, 330], abs=1e-9)
    assert marks(band)[6:] == [(a, 100.0) for a in (45, 105, 165, 225, 285, 345)]
    assert band.rings.column_width is not None and band.rings.chord is not None
    assert band.rings.column_width == pytest.approx([90, 90], abs=1e-9)  # the widest column
    assert band.rings.chord == pytest.approx(2 * CAN_RADIUS * sin(radians(45)), abs=1e-9)


def test_a_line_bends_where_the_width_changes() -> None:
    # (0, 0) to (2, 1): half the height over 90 mm, half over 30 mm; then to the next pair
    band = lay_band("grid columns 6 spaced 3 : 1 rows 1 once { carve from (0, 0) line to (2, 1) line to (6, 1) }")
    assert band.paths[0].length == pytest.approx(np.hypot(90, 100) + np.hypot(30, 100) + 240, abs=1e-6)


def test_a_coordinate_runs_on_past_the_closing_vertical() -> None:
    band = lay_band(
        "grid columns 4 spaced 3 : 1 rows 1 once { guide dot at (-1/2, 1/2) guide dot at (4.5, 1/2) "
        "guide dot at (9, 1/2) }"
    )  # parts: 135, 45, 135, 45
    assert [a for a, _ in marks(band)] == pytest.approx([360 - 22.5, 67.5, 135], abs=1e-6)


def test_spacing_parts_may_be_any_numbers() -> None:
    # 1 : √2 : 1, the octagon star's edge (11.star8): corner square 1 / (2 + √2) of the block
    band = lay_band("grid columns 3 spaced 1 : sqrt(2) : 1 rows 1")
    edge = 0.292893218813452 * 360
    assert np.degrees(band.verticals) == pytest.approx([0, edge, 360 - edge], abs=1e-9)


# ---------------------------------------------------------------- proportional to the rows


@pytest.mark.parametrize(("law", "rows", "count", "reached"), [
    # rows of 25 mm: n columns are 14.4 / n times as wide as high
    ("proportional 4 : 3", "rows 8", 11, 14.4 / 11),      # 1.309 against 1.440
    ("proportional 1 : 1", "rows 8", 14, 14.4 / 14),      # 1.029 against 0.960
    ("proportional 302.4 : 220", "rows 8", 11, 14.4 / 11),  # half-way between 14.4/10 and 14.4/11: the larger
    ("proportional 4 : 3 multiple of 4", "rows 8", 12, 1.2),
    ("proportional 100 : 1", "rows 8", 1, 14.4),
    ("proportional 100 : 1 multiple of 3", "rows 8", 3, 4.8),
])  # fmt: skip
def test_columns_proportional(law: str, rows: str, count: int, reached: float) -> None:
    band = lay_band(f"grid columns {law} {rows}")
    assert band.columns == count
    assert band.proportion == pytest.approx(reached, abs=1e-9)


def test_columns_proportional_at_the_widest_place() -> None:
    # cone, five rows of 10 mm: 2π·60 / 10 / n is nearest 1 for 38
    band = lay_band("grid columns proportional 1 : 1 rows 5", form=CONE)
    assert (band.columns, band.proportion) == (38, pytest.approx(2 * pi * 6 / 38, abs=1e-9))


def test_columns_proportional_to_spaced_rows_take_the_row_at_the_widest_place() -> None:
    # rows of 3 : 1 on the cone: 37.5 mm and 12.5 mm; the widest place is the foot, in the row of 37.5 mm
    band = lay_band("grid columns proportional 1 : 1 rows 2 spaced 3 : 1", form=CONE)
    assert band.columns == 10  # 2π·60 / 37.5 = 10.05


# ---------------------------------------------------------------- its own number in each row

ROW_WISE = "columns near 20 mm each row"


def test_each_row_has_its_own_number() -> None:
    """Cone, two rows: the widest places have radius 60 and 40 mm; 376.99 / 19 = 19.84, 251.33 / 13 = 19.33."""
    band = lay_band(f"grid {ROW_WISE} rows 2 {DOT}", form=CONE)
    assert band.columns is None and band.rings.column_width is None and band.rings.chord is None
    assert band.row_columns is not None and band.row_columns.tolist() == [19, 13]
    assert marks(band) == (
        [(round(k * 360 / 19, 6), 0.0) for k in range(19)] + [(round(k * 360 / 13, 6), 25.0) for k in range(13)]
    )
    assert band.points.column.tolist() == [*range(1, 20), *range(1, 14)]


def test_each_row_downward_begins_at_the_top() -> None:
    band = lay_band(f"grid {ROW_WISE} rows 2 {DOT}", "from rim to foot", form=CONE)
    assert band.row_columns is not None and band.row_columns.tolist() == [13, 19]
    assert [s for _, s in marks(band)] == [25.0] * 13 + [0.0] * 19


def test_each_row_takes_multiples() -> None:
    # 376.99 / 20 = 18.85 (16 → 23.6), 251.33 / 12 = 20.94 (16 → 15.7)
    band = lay_band(f"grid {ROW_WISE} multiple of 4 rows 2", form=CONE)
    assert band.row_columns is not None and band.row_columns.tolist() == [20, 12]


def test_the_widest_place_of_a_row_may_be_inside_it() -> None:
    band = lay_band(f"grid columns near {2 * pi * 75 / 24:.6f} mm each row rows 1", form=ball(75, -40, 40))
    assert band.row_columns is not None and band.row_columns.tolist() == [24]


def test_each_row_shifts_by_its_own_columns() -> None:
    band = lay_band(f"grid {ROW_WISE} rows 2 shifted 1/2 each row {DOT}", form=CONE)
    assert marks(band)[19:] == [(round((k + 0.5) * 360 / 13, 6), 25.0) for k in range(13)]


def test_crossings_of_each_row_go_with_the_row_they_begin() -> None:
    """A crossing on ring k goes with row k + 1, at the last ring with the row that ends there."""
    band = lay_band(f"grid {ROW_WISE} rows 2 each crossing {{ guide dot at (0, 0) }}", form=CONE)
    assert [sum(1 for r in band.points.ring if r == k) for k in range(3)] == [19, 13, 13]


def test_names_in_scope_are_the_rows_own() -> None:
    dot = "each cell where column = columns { guide dot at (1/2, 1/2) across cell-width }"
    band = lay_band(f"grid {ROW_WISE} rows 2 {dot}", form=CONE)
    assert band.points.column.tolist() == [19, 13]
    assert band.points.across == pytest.approx([2 * pi * 50 / 19, 2 * pi * 30 / 13], abs=1e-9)


@pytest.mark.parametrize(("grid", "rule", "band", "code"), [
    (f"grid {ROW_WISE} rows 2", DOT, "only columns 1 to 3", "does-not-close"),
    (f"grid {ROW_WISE} rows 2", "each 1 by 2 cells { guide dot at (0, 0) }", "", "does-not-close"),
    (f"grid {ROW_WISE} rows 2", "each 2 by 1 cells { guide dot at (0, 0) }", "", "does-not-close"),  # 19 is odd
    (f"grid {ROW_WISE} rows 2 shifted 1/2 each column", DOT, "", "wrong-kind"),
    (f"grid {ROW_WISE} rows proportional 1 : 1", DOT, "", "wrong-kind"),
])  # fmt: skip
def test_what_each_row_cannot_do(grid: str, rule: str, band: str, code: str) -> None:
    assert [e.code for e in errors(source(f"{grid} {rule}", band, CONE))] == [code]


def test_each_row_goes_with_near_only() -> None:
    found = the_error(source(f"grid columns 12 each row rows 2 {DOT}", "", CONE))
    assert found.code in ("wrong-kind", "syntax") and "near" in found.words


# ---------------------------------------------------------------- what is refused


@pytest.mark.parametrize(("law", "code", "underlined", "words"), [
    ("columns 7 multiple of 2", "does-not-close", "columns 7 multiple of 2", "7"),
    ("columns 5 spaced 3 : 1", "does-not-close", "columns 5 spaced 3 : 1", "5"),
    ("columns 0", "out-of-range", "0", "above 0"),
    ("columns -3", "out-of-range", "-3", "-3"),
    ("columns 7/2", "wrong-kind", "7/2", "3.5"),
    ("columns 12 mm", "wrong-kind", "12 mm", "length"),
    ("columns near 25", "wrong-kind", "25", "number"),
    ("columns near 0 mm", "out-of-range", "0 mm", "above 0"),
    ("columns near -4 mm", "out-of-range", "-4 mm", "-4 mm"),
    ("columns 6 spaced 3 : 0", "out-of-range", "0", "above 0"),
    ("columns 6 multiple of 0", "out-of-range", "0", "above 0"),
    ("columns near 20 mm spaced 2 : 1", "wrong-kind", "columns near 20 mm spaced 2 : 1", "spaced"),
    ("columns proportional 4 : 0", "out-of-range", "0", "above 0"),
    ("columns 2 / 0", "no-value", "0", "zero"),
])  # fmt: skip
def test_refused_columns(law: str, code: str, underlined: str, words: str) -> None:
    found = the_error(source(f"grid {law} rows 4 {DOT}"))
    assert (found.code, found.line, found.underlined) == (code, 3, underlined)
    assert words in found.words
    assert found.column == source(f"grid {law} rows 4").split("\n")[2].index(law) + 1 + law.rindex(underlined)


def test_advice_names_the_numbers_that_close() -> None:
    assert "6 or 8" in the_error(source(f"grid columns 7 multiple of 2 rows 4 {DOT}")).advice


def test_proportional_columns_need_a_number_of_rows() -> None:
    for rows in ("rows every 20 mm", "rows near 20 mm", "rows proportional 1 : 1"):
        assert the_error(source(f"grid columns proportional 1 : 1 {rows} {DOT}")).code == "wrong-kind"


def test_columns_of_a_given() -> None:
    text = source("given around count = 6 grid columns around rows 1", "from foot to rim")
    for count, written in itertools.product((5,), ("5", "10/2", "2 + 3", "4.9999999999")):
        assert (
            lay_band(
                "given around count = 6 grid columns around rows 1", f"(around = {written}) from foot to rim"
            ).columns
            == count
        )
    assert the_error(text.replace("band m", "band m(around = 5/2)")).code == "wrong-kind"
