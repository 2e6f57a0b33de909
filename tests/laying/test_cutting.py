"""What bands' ends, panels and reserves leave of lines, outlines and marks.

The can is 360 mm round and 200 mm tall: 1° is 1 mm. Cut lengths and areas are plane geometry there; on the cone
they are exact integrals.
"""

from __future__ import annotations

from math import acos, pi, radians, sqrt

import numpy as np
import pytest

from motif.laying.piece import LaidBand
from tests.laying.bench import (
    CAN,
    CONE,
    ball,
    ends,
    errors,
    lay,
    lay_band,
    lengths,
    marks,
    paths,
    source,
    the_error,
    total,
    warnings,
)

GRID = "grid columns 12 rows 4"  # cells of 30 mm by 50 mm on the whole can


def drawn(
    rules: str, band: str = "from foot to rim", piece: str = "", form: str = CAN, grid: str = GRID, before: str = ""
) -> LaidBand:
    return lay_band(f"{grid} {rules}", band, form, before, piece)


def segment_area(r: float, d: float) -> float:
    """Area of a circle of radius r on the far side of a line at distance d from its middle (0 ≤ d ≤ r)."""
    return r * r * acos(d / r) - d * sqrt(r * r - d * d)


# ---------------------------------------------------------------- band ends


def test_lines_are_cut_at_the_band_ends() -> None:
    band = drawn(
        "once { carve from (2, -1) line to (2, 5) incise from (4, -1) line to (8, 5) }",
        "from tape 40 mm to tape 160 mm",
    )
    assert [ends(p) for p in paths(band, "carve")] == [(60, 40, 60, 160)]
    # four rows of 30 mm: six rows for four columns; the line enters at b = 0 and leaves at b = 4
    assert ends(paths(band, "incise")[0]) == pytest.approx((140, 40, 220, 160), abs=1e-6)


def test_a_line_on_the_edge_is_inside() -> None:
    assert lengths(
        drawn("once { carve from (0, 0) line to (3, 0) carve from (0, 4) line to (3, 4) }")
    ) == pytest.approx([90, 90])


def test_what_rows_every_leaves_over_stays_plain() -> None:
    band = drawn(
        "once { carve from (2, 0) line to (2, 5) impress dot at (2, 4.1) impress dot at (2, 4) }",
        grid="grid columns 12 rows every 45 mm",
    )
    assert lengths(band) == pytest.approx([180], abs=1e-6)
    assert marks(band) == [(60, 180)]
    assert band.skipped == {("impress", None, None): 1}


def test_a_stroke_that_leaves_and_comes_back_is_two() -> None:
    band = drawn(
        "once { carve from (0, 3) arc to (4, 3) rise 1/2 }", "from foot to tape 200 mm", grid="grid columns 12 rows 5"
    )
    # grid cells 30 by 40: half an ellipse of axes 60 and 80 mm about (60, 120): 120 + 80 just touches the end
    assert len(band.paths) == 1
    band = drawn(
        "once { carve from (0, 3) arc to (4, 3) rise 1/2 }", "from foot to tape 180 mm", grid="grid columns 12 rows 6"
    )
    # cells of 30 by 30: the circle of 60 mm about (60, 90) stays below 150
    assert lengths(band) == pytest.approx([60 * pi], abs=1e-6)
    band = drawn(
        "once { carve circle at (2, 3) across 4 }", "from tape 60 mm to tape 180 mm", grid="grid columns 12 rows 4"
    )
    # rows of 30 mm: the circle of 60 mm about (60, 150) is cut at 180: 30 above the middle, so 240° of it stay
    assert lengths(band) == pytest.approx([60 * radians(240)], abs=1e-5)
    assert [(p.closed, p.area) for p in band.paths] == [(False, 0)]  # an edge that was cut open has no area


@pytest.mark.parametrize("b", ["-1/4", "4.25"])
def test_what_only_touches_the_band_from_outside_is_not_made(b: str) -> None:
    assert not drawn(f"once {{ carve circle at (1, {b}) across 1/2 }}").paths
    assert not drawn(f"once {{ paint circle at (1, {b}) across 1/2 }}").paths


def test_what_touches_the_band_from_inside_is_whole() -> None:
    band = drawn("once { carve circle at (1, 1/4) across 1/2 carve circle at (3, 15/4) across 1/2 }")
    assert [p.closed for p in band.paths] == [True, True]


def test_an_outline_is_cut_at_the_band_ends() -> None:
    band = drawn(
        "once { paint circle at (2, 3) across 4 }", "from tape 60 mm to tape 180 mm", grid="grid columns 12 rows 4"
    )
    assert [p.area for p in band.paths] == pytest.approx([pi * 3600 - segment_area(60, 30)], rel=5e-6)


def test_an_outline_may_be_cut_in_two() -> None:
    # a U of paint whose bottom lies below the band
    u = (
        "paint from (1, -1) line to (4, -1) line to (4, 2) line to (3, 2) line to (3, -1/2) line to (2, -1/2)"
        " line to (2, 2) line to (1, 2) close"
    )
    band = drawn(f"once {{ {u} }}")
    assert [p.area for p in band.paths] == pytest.approx([3000, 3000], abs=1e-3)


def test_point_marks_are_whole_or_not_at_all() -> None:
    """A dot whose point is on the edge is inside, however far it reaches over."""
    text = source(
        f"{GRID} each crossing where vertical = 1 {{ impress dot at (0, 0) across 30 mm }}"
        " once { impress dot at (3, -1/100) attach dot at (3, 4.01) attach dot at (4, 4.01) }"
    )
    laid = lay(text)
    assert len(laid.bands[0].points) == 5
    assert laid.bands[0].skipped == {("impress", None, None): 1, ("attach", None, None): 2}
    found = [w for w in warnings(text) if w.code == "past-the-band"]
    assert len(found) == 2 and "2 marks" in found[1].words and "1 mark " in found[0].words


def test_what_is_asked_for_twice_is_skipped_once() -> None:
    """Neighbours ask for the same dot, in row 4 12.5 mm above the band: 12 are skipped, as 12 would have been made."""
    band = drawn("each cell { impress dot at (0, 5/4), dot at (1, 5/4) }")
    assert len(band.points) == 3 * 12 and band.skipped == {("impress", None, None): 12}


def test_a_point_within_rounding_of_the_edge_is_inside() -> None:
    band = drawn("once { impress dot at (0, 0.1 + 0.2 - 0.3) impress dot at (1, 4 * (1/3 + 1/3 + 1/3)) }")
    assert len(band.points) == 2 and not band.skipped


# ---------------------------------------------------------------- panels


def test_panels_hold_whole_cells() -> None:
    band = drawn("each cell { impress dot at (1/2, 1/2) }", "from foot to rim only columns 2 to 4, 8")
    assert sorted({int(c) for c in band.points.column}) == [2, 3, 4, 8]
    assert len(band.points) == 16
    assert [tuple(np.degrees(p)) for p in band.panels] == [pytest.approx((30, 120)), pytest.approx((210, 240))]


def test_a_panel_may_go_on_past_the_last_column() -> None:
    band = drawn(
        "each cell { impress dot at (1/2, 1/2) } each ring { carve along }", "from foot to rim only columns 11 to 2"
    )
    assert sorted({int(c) for c in band.points.column}) == [1, 2, 11, 12]
    assert lengths(band) == pytest.approx([120] * 5, abs=1e-6)


def test_panels_that_touch_are_one() -> None:
    for panels in ("1 to 3, 4 to 6", "4 to 6, 1 to 3", "1 to 4, 3 to 6", "1, 2, 3, 4, 5, 6"):
        band = drawn("each ring { carve along } once { impress dot at (1/2, 1/2) }", f"only columns {panels}")
        assert lengths(band) == pytest.approx([180] * 5, abs=1e-6)
        assert marks(band) == [(15, 25)]  # once, from the first vertical of the one panel


def test_panels_that_touch_over_the_closing_vertical_are_one() -> None:
    band = drawn("each ring { carve along } once { impress dot at (1/2, 1/2) }", "only columns 12, 1 to 2")
    assert lengths(band) == pytest.approx([90] * 5, abs=1e-6)
    assert marks(band) == [(345, 25)]


def test_panels_all_round_are_no_panels() -> None:
    for panels in ("1 to 12", "1 to 6, 7 to 12", "5 to 4"):
        band = drawn("each ring { carve along } each crossing { impress dot at (0, 0) }", f"only columns {panels}")
        assert [p.closed for p in band.paths] == [True] * 5 and len(band.points) == 60


def test_once_and_rings_are_done_once_per_panel() -> None:
    band = drawn(
        "once { impress dot at (1/2, 1/2) carve from (0, 1) line to (5, 1) } each ring where ring = 2"
        " { paint dot at (1, 1/2) }",
        "only columns 2 to 4, 8 to 9",
    )
    assert marks(band) == [(45, 25), (225, 25), (60, 125), (240, 125)]
    assert sorted(lengths(band)) == pytest.approx([60, 90], abs=1e-6)  # cut at the panel's edge


def test_what_is_drawn_once_in_each_panel_stays_in_its_own() -> None:
    """Columns of 30 mm, rows of 50. From 60° and from 210° one line each, rising 50 mm in 240°: by 12.5 mm over the
    first panel of 60° and by 6.25 over the second of 30°, where the first, 31.25 mm up, comes by as well."""
    panels = "only columns 3 to 4, 8"
    for place in ("once", "each ring where ring = 0"):
        band = drawn(f"{place} {{ carve from (0, 0) line to (8, 1) }}", panels)
        assert [ends(p) for p in band.paths] == [(60, 0, 120, 12.5), (210, 0, 240, 6.25)]
    areas = drawn("once { paint rectangle from (0, 0) to (8, 1) }", panels).paths
    assert [p.area for p in areas] == pytest.approx([60 * 50, 30 * 50], abs=1e-3)
    level = drawn("once { guide from (0, 1) line to (8, 1) }", panels)  # from 60 to 300° and from 210 to 450°
    assert lengths(level) == pytest.approx([60, 30], abs=1e-6)


def test_crossings_and_verticals_on_a_panels_edge_are_worked() -> None:
    band = drawn("each crossing { impress dot at (0, 0) } each vertical { carve along }", "only columns 2 to 4, 8")
    assert sorted({int(v) for v in band.points.vertical}) == [2, 3, 4, 5, 8, 9]
    assert sorted(p.vertical for p in band.paths) == [2, 3, 4, 5, 8, 9]
    assert lengths(band) == pytest.approx([200] * 6, abs=1e-6)


def test_lines_are_cut_at_panels() -> None:
    band = drawn("each cell { carve from (0, 1/2) line to (3, 1/2) }", "only columns 2 to 4")
    # each cell's line of 90 mm, made once where it lies on its neighbours': columns 2–4 hold 30–120
    assert total(lengths(band)) <= 4 * (90 + 60 + 30) + 1e-6
    band = drawn("once { carve from (-1, 1) line to (7, 1) }", "only columns 2 to 4")
    assert [ends(p) for p in band.paths] == [pytest.approx((30, 50, 120, 50), abs=1e-6)]


def test_outlines_are_cut_at_panels() -> None:
    # a disc of 30 mm radius (cells of 30 by 30) whose middle lies 15 mm inside the panel's right edge
    band = lay_band(
        "grid columns 12 rows 6 once { paint circle at (5/2, 3) across 2 }",
        "from foot to tape 180 mm only columns 2 to 4",
    )
    assert [p.area for p in band.paths] == pytest.approx([pi * 900 - segment_area(30, 15)], rel=5e-6)


def test_point_marks_outside_a_panel_are_not_made() -> None:
    text = source(f"{GRID} each cell {{ impress dot at (5/4, 1/2) }}", "only columns 2 to 3")
    band = lay(text).bands[0]
    assert marks(band) == [(67.5, s) for s in (25, 75, 125, 175)]  # column 3's lie in column 4
    assert not [w for w in warnings(text) if w.code == "past-the-band"]


def test_moved_cells_are_worked_if_part_of_them_lies_in_a_panel() -> None:
    """Brickwork: cells of row 2 hang over both edges of the panel; their lines are cut there."""
    band = drawn(
        "each cell { carve from (0, 1/2) line to (1, 1/2) }",
        "only columns 2 to 3",
        grid="grid columns 12 rows 4 shifted 1/2 each row",
    )
    assert sorted(lengths(band)) == pytest.approx([60] * 4, abs=1e-6)
    dots = drawn(
        "each cell { impress dot at (0, 1/2) impress dot at (1/2, 1/2) }",
        "only columns 2 to 3",
        grid="grid columns 12 rows 4 shifted 1/2 each row",
    )
    row2 = sorted(a for a, s in marks(dots) if s == 75)
    assert row2 == [30, 45, 60, 75, 90]  # the dot at 30 is the middle of the cell that began at 15


def test_starting_at_turns_vertical_1_and_its_panels() -> None:
    band = drawn(
        "each cell where row = 1 { impress dot at (1/2, 1/2) } each ring where ring = 0 { carve along }",
        "only columns 1 to 2 starting at 100 deg",
    )
    assert marks(band) == [(115, 25), (145, 25)]
    assert np.degrees(band.verticals)[0] == pytest.approx(100)
    ((a, _, b, _),) = (ends(p) for p in band.paths)
    assert (a % 360, b - a) == pytest.approx((100, 60), abs=1e-6)


@pytest.mark.parametrize(("panels", "code", "underlined"), [
    ("0 to 3", "out-of-range", "0"), ("1 to 13", "out-of-range", "13"), ("-1", "out-of-range", "-1"),
    ("3/2", "wrong-kind", "3/2"), ("2 mm", "wrong-kind", "2 mm"),
])  # fmt: skip
def test_panels_name_columns_that_are_there(panels: str, code: str, underlined: str) -> None:
    found = the_error(source(f"{GRID} each cell {{ impress dot at (0, 0) }}", f"only columns {panels}"))
    assert (found.code, found.underlined) == (code, underlined)


# ---------------------------------------------------------------- reserves

PATCH = 'reserve "sign" from tape 60 mm to tape 140 mm facing 100 deg wide 40 mm'  # 80–120°, 60–140 mm


def test_a_reserve_cuts_lines() -> None:
    band = drawn("each ring { carve along }", piece=PATCH)
    # rings at 0, 50, 100, 150, 200: only that at 100 passes through
    assert sorted(lengths(band)) == pytest.approx([320, 360, 360, 360, 360], abs=1e-5)
    cut = next(p for p in band.paths if not p.closed)
    assert ends(cut) == pytest.approx((120, 100, 440, 100), abs=1e-5)


def test_a_stroke_cut_by_a_reserve_is_two() -> None:
    band = drawn("each vertical where vertical = 4 { carve along }", piece=PATCH)  # at 90°
    assert sorted(lengths(band)) == pytest.approx([60, 60], abs=1e-5)


@pytest.mark.parametrize("inside", [0.05, 0.5, 1.0])
def test_a_line_may_pass_just_over_a_corner(inside: float) -> None:
    """At 45° over the corner (80°, 60 mm), in at (80, 60 + d) and out at (80 + d, 60): 10 √2 mm stay on one side and
    (10 − d) √2 on the other."""
    band = drawn(f"once {{ carve from (70 deg, {70 + inside} mm) line to (90 deg, {50 + inside} mm) }}", piece=PATCH)
    assert lengths(band) == pytest.approx([10 * 2**0.5, (10 - inside) * 2**0.5], abs=1e-5)


def test_the_edge_of_a_reserve_is_outside_it() -> None:
    """Dots and lines on the very edge are made."""
    band = drawn(
        "once { impress dot at (100 deg, 60 mm) impress dot at (80 deg, 100 mm)"
        " impress dot at (95 deg, 60.001 mm)"
        " impress dot at (100 deg, 140 mm) carve from (80 deg, 140 mm) line to (120 deg, 140 mm)"
        " incise from (120 deg, 60 mm) line to (120 deg, 140 mm) }",
        piece=PATCH,
    )
    assert marks(band) == [(100, 60), (80, 100), (100, 140)]
    assert lengths(band) == pytest.approx([40, 80], abs=1e-5)
    assert band.skipped == {("impress", None, None): 1}


def test_an_outline_worked_over_its_area_loses_the_part_inside() -> None:
    # rectangle 90–150° by 50–100 mm, reserve 80–120° by 60–140: 30 by 40 of 60 by 50 go
    band = drawn("once { paint rectangle from (3, 1) to (5, 2) }", piece=PATCH)
    assert [p.area for p in band.paths] == pytest.approx([3000 - 1200], abs=1e-3)


def test_an_outline_round_a_reserve_has_a_hole() -> None:
    band = drawn("once { paint rectangle from (2, 1) to (5, 3) }", piece=PATCH)  # 60–150° by 50–150 mm
    assert [p.area for p in band.paths] == pytest.approx([90 * 100 - 40 * 80], abs=1e-3)
    assert [len(p.holes) for p in band.paths] == [1]


@pytest.mark.parametrize(
    ("band", "rules"),
    [
        ("from tape 40 mm to tape 90 mm", "once { paint rectangle from (1, -1) to (7, 5) }"),
        ("from foot to rim only columns 2 to 9", "once { paint rectangle from (-1, 1) to (12, 3) }"),
        ("from foot to rim", "once { paint rectangle from (1, 1/2) to (9, 7/2) }"),
        (
            "from foot to rim",
            "once { path p = rectangle from (5, 1) to (7, 3) paint circle at (6, 2) across 5 within p}",
        ),
        (
            "from foot to rim",
            "once { path p = from (1, 3/2) line to (11, 3/2) paint rectangle from (1, 1) to (9, 3) clear of p by 3mm }",
        ),
    ],
)
def test_what_is_left_of_an_outline_bends_with_the_wall(band: str, rules: str) -> None:
    """On a ball a chord is farthest inside at its middle. The bound is that of the language's outputs, 0.05 mm."""
    radius, low = 60.0, radians(-60.0)
    patch = 'reserve "name" from tape 50 mm to tape 80 mm facing 150 deg wide 40 mm'
    laid = drawn(rules, band, patch, ball(60, -60, 60))
    rings = [ring for path in laid.paths for ring in (path.points, *path.holes)]
    assert rings
    for angle, tape in (ring.T for ring in rings):
        height = low + tape / radius  # as a latitude
        across = np.cos(height)
        places = radius * np.stack([across * np.cos(angle), across * np.sin(angle), np.sin(height)], axis=1)
        inside = radius - np.linalg.norm((places[1:] + places[:-1]) / 2, axis=1)
        assert inside.max() < 0.05


def test_an_outline_within_a_reserve_is_gone() -> None:
    text = source(f"{GRID} once {{ paint rectangle from (90 deg, 70 mm) to (110 deg, 130 mm) }}", piece=PATCH)
    assert not lay(text).bands[0].paths
    assert [w.code for w in warnings(text)] == ["in-reserve"]


def test_an_outline_worked_along_its_edge_is_cut_open() -> None:
    band = drawn("once { carve rectangle from (3, 1) to (5, 2) }", piece=PATCH)
    # of the edge of 220 mm the reserve takes 30 along the top and 40 up the left side: one stroke is left
    assert lengths(band) == pytest.approx([220 - 70], abs=1e-5)
    assert [(p.closed, p.area) for p in band.paths] == [(False, 0)]


def test_attached_outlines_are_whole_or_skipped() -> None:
    """An attached outline whose middle is inside is skipped and counted; one that only reaches in stays whole."""
    band = drawn(
        "once { attach rectangle from (3, 1) to (5, 2) attach rectangle from (3, 3/2) to (4, 2) }", piece=PATCH
    )
    # middles: (120°, 75), on the edge, so outside; (105°, 87.5), inside
    assert [p.area for p in band.paths] == pytest.approx([3000], abs=1e-3)
    assert band.skipped == {("attach", None, None): 1}


def test_marks_in_a_reserve_are_skipped_and_told() -> None:
    text = source(f"{GRID} each cell {{ impress dot at (1/2, 1/2) }}", piece=PATCH)
    band = lay(text).bands[0]
    # middles at 15 + 30 k and 25 + 50 k: (105, 75) and (105, 125) are inside
    assert len(band.points) == 46 and band.skipped == {("impress", None, None): 2}
    found = [w for w in warnings(text) if w.code == "in-reserve"]
    assert len(found) == 1 and "2" in found[0].words and found[0].line == 3


def test_footprints_are_judged_by_their_placing_point() -> None:
    tool = "tool nib { wide 30 mm }"
    band = drawn("once { impress nib at (125 deg, 100 mm) impress nib at (119 deg, 100 mm) }", piece=PATCH, before=tool)
    assert marks(band) == [(125, 100)]


def test_a_reserve_is_as_wide_by_soft_tape_at_every_height() -> None:
    """Cone, a patch 20 mm wide over the whole wall: rings lose 20 mm each whatever their radius."""
    band = drawn(
        "each ring { carve along }", form=CONE, piece='reserve "strip" from foot to rim facing 180 deg wide 20 mm'
    )
    # the end rings lie on the patch's edge, which is outside
    inner = sorted(lengths(band))
    assert inner == pytest.approx(
        sorted([2 * pi * 60, 2 * pi * 20] + [2 * pi * (60 - 0.8 * s) - 20 for s in (12.5, 25, 37.5)]), abs=1e-5
    )


def test_a_reserve_takes_its_area_on_a_cone() -> None:
    band = drawn(
        "once { paint rectangle from (0, 0) to (12, 4) }",
        form=CONE,
        piece='reserve "strip" from tape 10 mm to tape 40 mm facing 180 deg wide 20 mm',
    )
    assert total(p.area for p in band.paths) == pytest.approx(2 * pi * 40 * 50 - 600, abs=0.05)


def test_reserves_over_the_starting_mark() -> None:
    patch = 'reserve "sign" from tape 60 mm to tape 140 mm facing -5 deg wide 40 mm'  # 335–375°
    band = drawn(
        "each ring where ring = 2 { carve along } each crossing where ring = 2 { impress dot at (0, 0) }", piece=patch
    )
    assert lengths(band) == pytest.approx([320], abs=1e-5)
    assert len(band.points) == 11  # the crossing at 0° lies inside


def test_a_reserve_wider_than_the_wall_takes_it_all() -> None:
    band = drawn(
        "each ring { carve along }", piece='reserve "sign" from tape 60 mm to tape 140 mm facing 0 deg wide 400 mm'
    )
    assert lengths(band) == pytest.approx([360] * 4, abs=1e-5)


def test_reserves_that_overlap() -> None:
    two = PATCH + ' reserve "more" from tape 90 mm to tape 190 mm facing 130 deg wide 40 mm'  # 110–150°
    assert sorted(lengths(drawn("each ring { carve along }", piece=two))) == pytest.approx(
        [290, 320, 360, 360, 360], abs=1e-5
    )


def test_reserves_of_the_form_hold_for_every_piece() -> None:
    form = CAN.replace("} }", '} reserve "handle" from tape 60 mm to tape 140 mm facing 100 deg wide 40 mm }')
    assert sorted(lengths(drawn("each ring { carve along }", form=form))) == pytest.approx(
        [320, 360, 360, 360, 360], abs=1e-5
    )


def test_facing_is_in_the_forms_frame() -> None:
    """Turning the band's vertical 1 does not turn the reserve."""
    band = drawn("each ring where ring = 2 { carve along }", "starting at 33 deg", piece=PATCH)
    a, _, b, _ = ends(band.paths[0])
    assert (a % 360, b % 360) == pytest.approx((120, 80), abs=1e-5)


def test_a_circle_cut_by_a_reserves_side() -> None:
    # cells 30 by 30: a circle of 30 mm about (130°, 90 mm); the reserve's right side is the vertical at 120°
    grid, band = "grid columns 12 rows 6", "from foot to tape 180 mm"
    patch = 'reserve "sign" from tape 0 mm to tape 180 mm facing 100 deg wide 40 mm'
    cut = lay_band(f"{grid} once {{ carve circle at (130/30, 3) across 2 }}", band, piece=patch)
    assert lengths(cut) == pytest.approx([30 * (2 * pi - 2 * acos(1 / 3))], abs=1e-5)
    left = lay_band(f"{grid} once {{ paint circle at (130/30, 3) across 2 }}", band, piece=patch)
    assert [p.area for p in left.paths] == pytest.approx([pi * 900 - segment_area(30, 10)], rel=5e-6)


@pytest.mark.parametrize(("reserve", "code"), [
    ('reserve "a" from tape 60 mm to tape 60 mm facing 0 deg wide 40 mm', "out-of-range"),
    ('reserve "a" from tape 60 mm to tape 90 mm facing 0 deg wide 0 mm', "out-of-range"),
    ('reserve "a" from tape 60 mm to tape 900 mm facing 0 deg wide 10 mm', "off-the-form"),
    ('reserve "a" from tape 60 mm to tape 90 mm facing 10 mm wide 10 mm', "wrong-kind"),
    ('reserve "a" from foot to rim facing 0 deg wide 9 mm reserve "a" from foot to rim facing 9 deg wide 9 mm',
     "defined-twice"),
])  # fmt: skip
def test_refused_reserves(reserve: str, code: str) -> None:
    assert the_error(source(f"{GRID} each cell {{ impress dot at (0, 0) }}", piece=reserve)).code == code


# ---------------------------------------------------------------- edges of reserves


def test_the_edge_of_a_reserve_is_its_outline() -> None:
    piece = lay(source(GRID, piece=PATCH + ' carve edge of "sign" depth 1 mm'))
    assert lengths(piece) == pytest.approx([2 * (40 + 80)], abs=1e-4)
    assert [(p.closed, p.work.technique, p.work.depth) for p in piece.paths] == [(True, "carve", 1)]
    assert piece.paths[0].area == pytest.approx(3200, abs=1e-2)


def test_a_parallel_inside_has_sharp_corners() -> None:
    piece = lay(source(GRID, piece=PATCH + ' carve edge of "sign" 5 mm inside'))
    assert lengths(piece) == pytest.approx([2 * (30 + 70)], abs=1e-3)


def test_a_parallel_outside() -> None:
    """Where the language is silent about the corners outside: square (mitred) ones, since corners run on until
    they meet (as 'offset' does)."""
    piece = lay(source(GRID, piece=PATCH + ' carve edge of "sign" 5 mm outside'))
    assert lengths(piece) == pytest.approx([2 * (50 + 90)], abs=1e-3)


def test_other_reserves_cut_an_edge() -> None:
    more = 'reserve "more" from tape 90 mm to tape 190 mm facing 120 deg wide 40 mm'  # 100–140°
    piece = lay(source(GRID, piece=f'{PATCH} {more} carve edge of "sign"'))
    # of the outline the right side from 90 to 140 (50 mm) and the top from 100° to 120° (20 mm) go
    assert lengths(piece) == pytest.approx([240 - 70], abs=1e-3)


def test_an_edge_of_no_reserve() -> None:
    found = the_error(source(GRID, piece=PATCH + ' carve edge of "sing"'))
    assert (found.code, found.underlined) == ("unknown-name", '"sing"') and "sign" in found.advice


def test_the_edge_of_a_forms_reserve() -> None:
    form = CAN.replace("} }", '} reserve "handle" from tape 60 mm to tape 140 mm facing 100 deg wide 40 mm }')
    assert lengths(lay(source(GRID, form=form, piece='carve edge of "handle"'))) == pytest.approx([240], abs=1e-4)


def test_an_edge_too_far_inside_leaves_nothing() -> None:
    text = source(GRID, piece=PATCH + ' carve edge of "sign" 25 mm inside')
    found = errors(text)
    assert [e.code for e in found] in ([], ["out-of-range"])
    assert found or not lay(text).paths


# ---------------------------------------------------------------- the piece's own rings


def test_a_ring_of_the_piece() -> None:
    piece = lay(source(GRID, piece="carve ring at tape 146 mm depth 2 mm guide ring at height 20 mm"))
    assert [(r.work.technique, r.tape, r.work.depth) for r in piece.lines] == [("carve", 146, 2), ("guide", 20, None)]
    assert piece.lines[0].radius == pytest.approx(180 / pi)
    assert [(p.closed, p.length) for p in piece.paths] == [(True, pytest.approx(360, abs=1e-6))] * 2


def test_a_ring_of_the_piece_is_cut_by_reserves() -> None:
    piece = lay(source(GRID, piece=PATCH + " carve ring at tape 100 mm"))
    assert lengths(piece) == pytest.approx([320], abs=1e-5)


def test_a_ring_on_a_ball() -> None:
    """A parallel of latitude: 2π R cos(latitude)."""
    piece = lay(source(GRID, form=ball(75, -40, 40), piece=f"carve ring at tape {75 * radians(60)!r} mm"))
    assert lengths(piece) == pytest.approx([2 * pi * 75 * np.cos(radians(20))], abs=1e-4)
