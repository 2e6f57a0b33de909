"""How many rows a band has, where its rings lie, and what is refused.

Expected values are arithmetic on shapes with exact walls: a can, cones, a plate; the rest says its source.
"""

from __future__ import annotations

from math import asin, atan, degrees, hypot, log, pi, radians, sin, sqrt, tan

import numpy as np
import pytest

from motif.laying.piece import LaidBand
from tests.laying.bench import CAN, CONE, PLATE, WAIST, ball, errors, lay, lay_band, marks, source, the_error, warnings
from tests.reference import record, records

DOT = "each cell { guide dot at (1/2, 1/2) }"

#: a can below, a cone above: 30 mm of upright wall, then 50 mm of tape that climbs 30 mm
SHOULDER = (
    "form shoulder { profile straight { at 0 mm across 120 mm at 30 mm across 120 mm corner at 60 mm across 40 mm } }"
)
#: a bowl whose rim rolls over: up 40 mm, then 30 mm of tape down by 24 mm
ROLLED = (
    "form rolled { profile straight { at 0 mm across 100 mm at 40 mm across 160 mm corner at 16 mm across 196 mm } }"
)


def rings(law: str, band: str = "from foot to rim", form: str = CAN, columns: str = "columns 12") -> LaidBand:
    return lay_band(f"grid {columns} rows {law}", band, form)


# ---------------------------------------------------------------- by tape


@pytest.mark.parametrize(("law", "count"), [
    ("8", 8),
    ("every 25 mm", 8),
    ("every 30 mm", 6),
    ("every 1 in", 7),                      # 177.8 of 200
    ("every 30 mm multiple of 4", 4),       # the largest multiple that fits
    ("every 30 mm multiple of 6", 6),
    ("every 200 mm", 1),
    ("near 30 mm", 7),                      # 28.57 against 33.33
    ("near 45 mm", 5),                      # 50 and 40 are equally near: the larger number
    ("near 45.001 mm", 4),
    ("near 1000 mm", 1),
    ("near 1000 mm multiple of 3", 3),
    ("near 75 mm multiple of 2", 4),        # 100 and 50 are equally near
    ("near 30 mm multiple of 3", 6),        # 33.3 against 22.2
    ("12 multiple of 4", 12),
])  # fmt: skip
def test_number_of_rows(law: str, count: int) -> None:
    assert rings(law).rows == count


def test_rows_of_a_number_fill_the_band() -> None:
    band = rings("8")
    assert band.rings.tape == pytest.approx(np.arange(9) * 25.0, abs=1e-9)
    assert (band.left_over, band.proportion) == (None, None)


def test_rows_every_leave_the_rest_plain() -> None:
    band = rings("every 30 mm")
    assert band.rings.tape == pytest.approx(np.arange(7) * 30.0, abs=1e-9)
    assert band.left_over == pytest.approx(20, abs=1e-9)
    assert rings("every 30 mm multiple of 4").left_over == pytest.approx(80, abs=1e-9)
    assert rings("every 25 mm").left_over == pytest.approx(0, abs=1e-9)


def test_rows_every_downward_leave_the_rest_below() -> None:
    band = rings("every 30 mm", "from rim to foot")
    assert band.rings.tape == pytest.approx(200 - np.arange(7) * 30.0, abs=1e-9)
    assert band.left_over == pytest.approx(20, abs=1e-9)


@pytest.mark.parametrize(("step", "rows", "last"), [
    ("25.001 mm", 8, 200.0),    # the eighth step is 0.008 short: whole, and ends at the band's end
    ("25.0012 mm", 8, 200.0),   # 0.0096
    ("25.0013 mm", 7, 175.0091),  # 0.0104 short: not whole
    ("24.9999 mm", 8, 199.9992),
    ("200.009 mm", 1, 200.0),
])  # fmt: skip
def test_a_step_short_by_a_hundredth_is_whole(step: str, rows: int, last: float) -> None:
    band = rings(f"every {step}")
    assert band.rows == rows
    assert band.rings.tape[-1] == pytest.approx(last, abs=1e-9)
    assert band.left_over == pytest.approx(200 - last, abs=1e-9)
    down = rings(f"every {step}", "from rim to foot")
    assert down.rows == rows and down.rings.tape[-1] == pytest.approx(200 - last, abs=1e-9)


def test_the_largest_multiple_may_lean_on_the_hundredth() -> None:
    band = rings("every 25.001 mm multiple of 8")
    assert (band.rows, band.rings.tape[-1]) == (8, 200.0)


def test_spaced_rows_may_stop_anywhere() -> None:
    # 3 + 1 + 3 + 1 + 3 = 11 parts of 200 mm
    band = rings("5 spaced 3 : 1")
    assert band.rings.tape == pytest.approx(np.array([0, 3, 4, 7, 8, 11]) * 200 / 11, abs=1e-9)


def test_spaced_rows_downward_begin_at_the_top() -> None:
    band = rings("2 spaced 3 : 1", "from rim to foot")
    assert band.rings.tape == pytest.approx([200, 50, 0], abs=1e-9)


def test_inside_a_spaced_row_the_coordinate_runs_evenly() -> None:
    band = lay_band(
        "grid columns 12 rows 2 spaced 3 : 1 each cell where column = 1 { guide dot at (0, 1/2) }"
        " once { carve from (0, 0) line to (6, 2) }"
    )
    assert marks(band) == [(0.0, 75.0), (0.0, 175.0)]
    assert band.paths[0].length == pytest.approx(hypot(90, 150) + hypot(90, 50), abs=1e-6)


def test_rings_know_their_height_and_radius() -> None:
    band = rings("2", form=CONE)
    assert band.rings.height == pytest.approx([0, 15, 30], abs=1e-9)
    assert band.rings.radius == pytest.approx([60, 40, 20], abs=1e-9)
    assert band.rings.circumference == pytest.approx(2 * pi * np.array([60, 40, 20]), abs=1e-9)


# ---------------------------------------------------------------- by height


def test_rows_by_height() -> None:
    band = rings("4 stepped by height", form=SHOULDER)
    assert band.rings.height == pytest.approx([0, 15, 30, 45, 60], abs=1e-6)
    assert band.rings.tape == pytest.approx([0, 15, 30, 55, 80], abs=1e-6)


def test_between_rings_height_runs_evenly_too() -> None:
    # row 2 of 2 reaches from height 20 to 60 over the corner at 30; half-way is height 40
    band = lay_band(
        "grid columns 12 rows 2 stepped by height each cell where column = 1 { guide dot at (0, 1/2) }",
        "from tape 20 mm to rim",
        SHOULDER,
    )
    assert [s for _, s in marks(band)] == pytest.approx([30.0, 30 + 20 / 0.6], abs=1e-6)
    # heights 20, 40, 60: the corner (30) is the middle of row 1, 50 the middle of row 2


@pytest.mark.parametrize(("law", "band", "heights"), [
    ("every 25 mm stepped by height", "from foot to rim", [0, 25, 50]),
    ("every 25 mm stepped by height", "from rim to foot", [60, 35, 10]),
    ("near 25.01 mm stepped by height", "from foot to rim", [0, 30, 60]),
    ("near 25 mm stepped by height", "from foot to rim", [0, 20, 40, 60]),  # 30 and 20 are equally near
    ("3 spaced 1 : 2 stepped by height", "from foot to rim", [0, 15, 45, 60]),
    ("every 20 mm multiple of 2 stepped by height", "from foot to rim", [0, 20, 40]),
])  # fmt: skip
def test_laws_by_height(law: str, band: str, heights: list[float]) -> None:
    laid = rings(law, band, SHOULDER)
    assert laid.rings.height == pytest.approx(heights, abs=1e-6)
    tapes = [h if h <= 30 else 30 + (h - 30) / 0.6 for h in heights]
    assert laid.rings.tape == pytest.approx(tapes, abs=1e-6)


def test_what_height_steps_leave_over_is_told_in_tape() -> None:
    assert rings("every 25 mm stepped by height", form=SHOULDER).left_over == pytest.approx(10 / 0.6, abs=1e-6)
    assert rings("every 25 mm stepped by height", "from rim to foot", SHOULDER).left_over == pytest.approx(10, abs=1e-6)


def test_rows_by_height_on_a_ball() -> None:
    """Archimedes: on a sphere height is R sin(latitude), tape R × latitude."""
    band = rings("6 stepped by height", form=ball(75, -40, 40))
    lat = np.array([asin(x) for x in np.linspace(-sin(radians(40)), sin(radians(40)), 7)])
    assert band.rings.tape == pytest.approx(75 * (lat + radians(40)), abs=1e-4)


@pytest.mark.parametrize(
    ("form", "reach"),
    [(ROLLED, "from foot to rim"), (ROLLED, "from tape 40 mm to tape 60 mm"), (PLATE, "from tape 20 mm to rim")],
)
def test_height_may_not_turn_back(form: str, reach: str) -> None:
    found = the_error(source(f"grid columns 12 rows 3 stepped by height {DOT}", reach, form))
    assert (found.code, found.underlined) == ("height-turns-back", "rows 3 stepped by height")


def test_height_steps_below_and_above_the_turn() -> None:
    # the rolled bowl: 50 mm of tape up to height 40, then 30 mm down to height 16
    assert rings("2 stepped by height", "from foot to tape 50 mm", ROLLED).rings.tape == pytest.approx([0, 25, 50])
    assert rings("2 stepped by height", "from tape 50 mm to rim", ROLLED).rings.tape == pytest.approx([50, 65, 80])
    assert rings("2 stepped by height", "from rim to tape 50 mm", ROLLED).rings.tape == pytest.approx([80, 65, 50])


def test_height_steps_where_height_falls_hold_drawings() -> None:
    band = lay_band(
        "grid columns 12 rows 2 stepped by height each cell where column = 1 { guide dot at (1/2, 1/4) }",
        "from tape 50 mm to rim",
        ROLLED,
    )
    assert [s for _, s in marks(band)] == pytest.approx([50 + 15 / 4, 65 + 15 / 4], abs=1e-6)


# ---------------------------------------------------------------- proportional


@pytest.mark.parametrize(("law", "count", "reached"), [
    # columns of 30 mm; n rows are 0.15 n times as wide as high
    ("proportional 1 : 1", 7, 1.05),
    ("proportional 2 : 1", 13, 1.95),
    ("proportional 39 : 40", 7, 1.05),      # 0.975 is half-way between 0.90 and 1.05: the larger number
    ("proportional 38.9 : 40", 6, 0.90),
    ("proportional 1 : 1 multiple of 4", 8, 1.2),
    ("proportional 1 : 100", 1, 0.15),
    ("proportional 1 : 100 multiple of 3", 3, 0.45),
])  # fmt: skip
def test_proportional_rows_on_a_can(law: str, count: int, reached: float) -> None:
    band = rings(law)
    assert band.rows == count
    assert band.proportion == pytest.approx(reached, abs=1e-9)
    assert band.rings.tape == pytest.approx(np.linspace(0, 200, count + 1), abs=1e-6)


def test_proportional_rows_with_spaced_columns_look_at_the_widest() -> None:
    # 3 : 1 twelve columns: the widest is 45 mm, 0.225 n
    band = rings("proportional 1 : 1", columns="columns 12 spaced 3 : 1")
    assert (band.rows, band.proportion) == (4, pytest.approx(0.9, abs=1e-9))


def test_proportional_rows_on_a_cone_shrink_in_one_ratio() -> None:
    """σ = ∫ ds/r = ln(r₀/r) / 0.8 on this cone, so equal steps of σ are equal ratios of the radius."""
    band = rings("proportional 1 : 1", form=CONE)
    sigma = log(3) / 0.8
    assert band.rows == 3  # 2π/12 ÷ σ/n = 0.3813 n
    assert band.proportion == pytest.approx(2 * pi / 12 / (sigma / 3), abs=1e-9)
    assert band.rings.radius == pytest.approx([60 * 3 ** (-k / 3) for k in range(4)], abs=1e-6)


def test_between_rings_proportion_runs_evenly_too() -> None:
    dot = "each cell where column = 1 { guide dot at (0, 1/2) }"
    band = lay_band(f"grid columns 12 rows proportional 1 : 1 {dot}", form=CONE)
    assert band.points.radius == pytest.approx([60 * 3 ** (-(k + 0.5) / 3) for k in range(3)], abs=1e-6)


def test_a_flowing_line_over_proportional_rows_is_a_spiral_of_one_angle() -> None:
    """dθ/dσ is constant along it, so it cuts every vertical at the same angle (logarithmic spiral of the
    unrolled cone): its length is tape × √(1 + (dθ/dσ)²)."""
    band = lay_band("grid columns 12 rows proportional 1 : 1 once { carve from (0, 0) line to (2, 3) }", form=CONE)
    slope = (2 * 2 * pi / 12) / (log(3) / 0.8)
    assert band.paths[0].length == pytest.approx(50 * sqrt(1 + slope**2), abs=1e-5)


def test_proportional_rows_downward() -> None:
    band = rings("proportional 1 : 1", "from rim to foot", CONE)
    assert band.rings.radius == pytest.approx([20 * 3 ** (k / 3) for k in range(4)], abs=1e-6)


def test_proportional_rows_over_a_corner() -> None:
    # waist: ln(60/40) / (20/29) each side, so the corner is a ring with an even number of rows
    band = rings("proportional 1 : 1 multiple of 2", form=WAIST)
    half = log(1.5) / (20 / 29)
    assert band.rows == 2  # 2π/12 ÷ 2·half/n = 0.445 n
    assert band.rings.tape == pytest.approx([0, 29, 58], abs=1e-6)
    assert band.proportion == pytest.approx(2 * pi / 12 / half, abs=1e-9)


@pytest.mark.parametrize("known", records("12.sphere."), ids=lambda r: r["id"])
def test_proportional_rows_on_a_ball_are_mercators(known: dict) -> None:
    """Meridional parts of the sphere. With 360 columns a column is 60 minutes of arc, so 60 × rows ÷ proportion
    is the meridional part of the band's end. 0.01′ is what 1e-6 mm in the spline's radius and tape amount to near
    80°, where the ball is narrow."""
    lat = known["inputs"]["lat"]
    tape = 75 * radians(lat + 30)
    band = rings("proportional 1 : 1", f"from belly to tape {tape:.9f} mm", ball(75, -30, 85, 240), "columns 360")
    assert band.proportion is not None
    assert 60 * band.rows / band.proportion == pytest.approx(known["expected"], abs=0.01)


@pytest.mark.parametrize("known", [r for r in records("12.old.") if r["inputs"]["lat"] <= 80], ids=lambda r: r["id"])
def test_proportional_rows_against_an_old_table(known: dict) -> None:
    """A 17th-century table of meridional parts, sums of secants in whole minutes (see the record)."""
    tape = 75 * radians(known["inputs"]["lat"] + 30)
    band = rings("proportional 1 : 1", f"from belly to tape {tape:.9f} mm", ball(75, -30, 85, 240), "columns 360")
    assert band.proportion is not None
    assert 60 * band.rows / band.proportion == pytest.approx(known["expected"], abs=known["tolerance"])


def test_rings_on_a_ball_lie_on_mercators_parallels() -> None:
    """Gudermann: latitude = atan sinh ψ for equal steps of ψ."""
    band = rings("proportional 1 : 1", f"from belly to tape {75 * radians(90):.9f} mm", ball(75, -30, 70), "columns 24")
    psi = np.linspace(0, np.arcsinh(tan(radians(60))), band.rows + 1)
    assert band.rings.tape - 75 * radians(30) == pytest.approx([75 * atan(np.sinh(x)) for x in psi], abs=1e-4)


# ---------------------------------------------------------------- rhumb lines


def rhumb(lat0: float, lat1: float, run: float, form: str = "") -> LaidBand:
    """The straight flowing line from latitude to latitude over ``run`` radians of longitude (east), on a ball of
    75 mm with proportional rows."""
    low, high = (75 * radians(x + 30) for x in (lat0, lat1))
    line = f"carve from (0, 0) line to ({run * 36 / (2 * pi)!r}, rows)"
    return lay_band(
        f"grid columns 36 rows proportional 1 : 1 once {{ {line} }}",
        f"from tape {low:.9f} mm to tape {high:.9f} mm",
        form or ball(75, -30, 75, 200),
    )


def course(band: LaidBand) -> np.ndarray:
    """Course east of north along the first path, in degrees."""
    p = band.paths[0].points
    lat = p[:, 1] / 75 - radians(30)
    middle = (lat[1:] + lat[:-1]) / 2
    return np.degrees(np.arctan2(np.diff(p[:, 0]) * np.cos(middle), np.diff(lat)))


def degrees_of(text: str) -> float:
    d, m, side = text.split()
    return (float(d) + float(m) / 60) * (-1 if side in "WS" else 1)


def test_a_flowing_line_over_proportional_rows_on_a_ball_is_a_rhumb_line() -> None:
    known = record("13.rhumb.unit")  # course 45° from the equator to 60°: R·Δφ/cos, and tan·Δψ
    length, run = known["expected"]
    band = rhumb(0, 60, run)
    assert band.paths[0].length == pytest.approx(75 * length, abs=1e-4)
    assert course(band) == pytest.approx(45, abs=0.05)  # chords of the drawn line


@pytest.mark.parametrize("key", ["13.rhumb.laxjfk", "13.rhumb.bowditch.sphere"])
def test_published_rhumb_lines(key: str) -> None:
    known = record(key)
    at = {k: degrees_of(v) for k, v in known["inputs"].items() if k != "meridional_parts"}
    band = rhumb(at["lat1"], at["lat2"], radians(at["lon2"] - at["lon1"]))
    if key == "13.rhumb.laxjfk":
        wanted, distance = degrees(known["expected"][0]), known["expected"][1]
    else:  # a course of 302° is 58° west of north; miles are minutes of arc
        wanted, distance = known["expected"][1] - 360, radians(known["expected"][2] / 60)
    assert band.paths[0].length == pytest.approx(75 * distance, abs=1e-4)
    assert np.mean(course(band)) == pytest.approx(wanted, abs=0.01)


def test_a_published_rhumb_line_on_a_spheroid() -> None:
    """Bowditch's example with the parts of his table, which is for WGS 72, flattening 1/298.26. His distance counts
    every minute of latitude as a mile, which is no length on a spheroid: the record of the ball has that."""
    known = record("13.rhumb.bowditch")
    given, f = known["inputs"], 1 / 298.26
    c = 75 * (1 - f)
    t = np.radians(np.linspace(20, 50, 121))  # reduced latitudes
    levels = " ".join(
        f"at {h:.9f} mm across {2 * r:.9f} mm"
        for h, r in zip(c * (np.sin(t) - np.sin(t[0])), 75 * np.cos(t), strict=True)
    )
    form = f"form globe {{ profile smooth {{ {levels} }} }}"
    reduced = np.arctan((1 - f) * np.tan(np.radians([degrees_of(given["lat1"]), degrees_of(given["lat2"])])))
    low, high = c * (np.sin(reduced) - np.sin(t[0]))
    east = degrees_of(given["lon2"]) - degrees_of(given["lon1"])
    piece = lay(
        source(
            f"grid columns 36 rows proportional 1 : 1 once {{ carve from (0, 0) line to ({east / 10!r}, rows) }}",
            f"from height {low:.9f} mm to height {high:.9f} mm",
            form,
        )
    )
    (band,) = piece.bands
    parts, wanted, _ = known["expected"]
    assert band.proportion is not None
    assert 600 * band.rows / band.proportion == pytest.approx(parts, abs=known["tolerance"][0])  # a column is 600′
    angle, tape = band.paths[0].points.T
    across = np.diff(angle) * piece.form.wall.radius((tape[1:] + tape[:-1]) / 2)
    course = np.degrees(np.arctan2(across, np.diff(tape))) % 360
    assert np.mean(course) == pytest.approx(wanted, abs=known["tolerance"][1])


def test_departure_along_a_parallel() -> None:
    known = record("13.parallel")  # in miles, which are minutes of arc, to 0.05
    run = known["inputs"]["dlon_arcmin"] / 60
    tape = 75 * radians(known["inputs"]["lat"] + 30)
    band = lay_band(
        f"grid columns 36 rows 1 once {{ carve from (0, 0) line to ({run / 10}, 0) }}",
        f"from tape {tape:.9f} mm to rim",
        ball(75, -30, 75, 200),
    )
    assert degrees(band.paths[0].length / 75) * 60 == pytest.approx(known["expected"], abs=known["tolerance"])


# ---------------------------------------------------------------- what is refused


@pytest.mark.parametrize(("law", "code", "underlined", "words"), [
    ("rows 0", "out-of-range", "0", "above 0"),
    ("rows -1", "out-of-range", "-1", "-1"),
    ("rows 5/2", "wrong-kind", "5/2", "2.5"),
    ("rows 7 multiple of 2", "does-not-close", "rows 7 multiple of 2", "7"),
    ("rows every 25", "wrong-kind", "25", "number"),
    ("rows every 0 mm", "out-of-range", "0 mm", "above 0"),
    ("rows every 201 mm", "no-rows", "rows every 201 mm", "200.0 mm"),
    ("rows every 30 mm multiple of 7", "no-rows", "rows every 30 mm multiple of 7", "7 rows"),
    ("rows near 0 mm", "out-of-range", "0 mm", "above 0"),
    ("rows proportional 0 : 1", "out-of-range", "0", "above 0"),
    ("rows 3 spaced 1 : -1", "out-of-range", "-1", "above 0"),
    ("rows every 20 mm spaced 1 : 2", "wrong-kind", "rows every 20 mm spaced 1 : 2", "spaced"),
    ("rows proportional 1 : 1 stepped by height", "wrong-kind", "rows proportional 1 : 1 stepped by height", "height"),
])  # fmt: skip
def test_refused_rows(law: str, code: str, underlined: str, words: str) -> None:
    found = the_error(source(f"grid columns 12 {law} {DOT}"))
    assert (found.code, found.line, found.underlined) == (code, 3, underlined)
    assert words in found.words


def test_proportional_rows_never_reach_a_radius_of_0() -> None:
    found = the_error(source(f"grid columns 12 rows proportional 1 : 1 {DOT}", form=PLATE))
    assert (found.code, found.underlined) == ("no-rows", "rows proportional 1 : 1")
    assert rings("proportional 1 : 1", "from tape 1 mm to rim", PLATE).rows == 9  # ln 100 = 4.605, 2π/12 = 0.524


def test_a_band_without_height_has_no_rows() -> None:
    assert the_error(source(f"grid columns 12 rows 3 {DOT}", "from tape 50 mm to tape 50 mm")).code == "no-rows"


def test_both_proportional_have_nothing_to_go_by() -> None:
    grid = f"grid columns proportional 1 : 1 rows proportional 1 : 1 {DOT}"
    assert [e.code for e in errors(source(grid))] == ["wrong-kind"]


# ---------------------------------------------------------------- warnings of the grid


def test_rows_that_no_whole_group_covers_are_reported() -> None:
    found = warnings(source("grid columns 12 rows 8 each 2 by 3 cells { guide dot at (0, 0) }"))
    assert [(w.code, w.line) for w in found] == [("rows-left-over", 3)]
    assert "2 of 8" in found[0].words


def test_cells_that_change_shape() -> None:
    """A row's width : height leaves 2/3 … 3/2 of the first row's. Cone, 5 rows of 10 mm: middles have radius
    56, 48, 40, 32, 24; 32/56 = 0.571 is the first below 2/3."""
    found = [w for w in warnings(source(f"grid columns 12 rows 5 {DOT}", form=CONE)) if w.code == "stretched-cells"]
    assert len(found) == 1
    assert "2 of 5 rows" in found[0].words and "row 4" in found[0].words
    for grid in ("columns 12 rows proportional 1 : 1", "columns near 20 mm each row rows 5"):
        assert not [w for w in warnings(source(f"grid {grid} {DOT}", form=CONE)) if w.code == "stretched-cells"]
