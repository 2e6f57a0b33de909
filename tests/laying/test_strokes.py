"""Strokes: which lines are joined, which are made once, and what a stroke is as a whole.

``SQUARE`` has 12 columns and 6 rows of 30 mm by 30 mm on a can 360 mm round.
"""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin, sqrt, tan

import numpy as np
import pytest

from motif.laying.piece import LaidBand
from tests.laying.bench import CONE, PLATE, WAIST, ends, lay, lay_band, lengths, marks, paths, source, total

SQUARE = "grid columns 12 rows 6"
REACH = "from foot to tape 180 mm"


def drawn(rules: str, grid: str = SQUARE, reach: str = REACH, before: str = "") -> LaidBand:
    return lay_band(f"{grid} {rules}", reach, before=before)


def once(drawing: str, **kw: str) -> LaidBand:
    return drawn(f"once {{ {drawing} }}", **kw)


# ---------------------------------------------------------------- going on


def test_lines_that_go_on_are_one_stroke() -> None:
    assert lengths(once("carve from (0, 1) line to (1, 2) carve from (1, 2) line to (3, 4)")) == pytest.approx(
        [90 * sqrt(2)]
    )


@pytest.mark.parametrize(("bend", "strokes"), [(0, 1), (9.9, 1), (9.99, 1), (10.1, 2), (30, 2), (90, 2), (170, 2)])
def test_they_go_on_within_ten_degrees(bend: float, strokes: int) -> None:
    x, y = 3 + 2 * cos(radians(bend)), 3 + 2 * sin(radians(bend))
    for second in (
        f"from (3, 3) line to ({x!r}, {y!r})",
        f"from ({x!r}, {y!r}) line to (3, 3)",
    ):  # whichever way it is drawn
        assert len(once(f"carve from (1, 3) line to (3, 3) carve {second}").paths) == strokes


def test_unbroken_joins_whatever_the_angle() -> None:
    zigzag = "carve from (0, 1) line to (1, 2) unbroken carve from (1, 2) line to (2, 1) unbroken"
    assert lengths(once(zigzag)) == pytest.approx([60 * sqrt(2)], abs=1e-6)
    # both lines must be so
    assert len(once(zigzag.replace("(2, 1) unbroken", "(2, 1)")).paths) == 2


def test_unbroken_prefers_what_goes_on() -> None:
    """Three lines at one point: the two that go straight on are joined, the third stands alone."""
    band = once(
        "carve from (1, 3) line to (3, 3) unbroken carve from (3, 3) line to (3, 5) unbroken"
        " carve from (3, 3) line to (4, 3) unbroken"
    )
    assert sorted(lengths(band)) == pytest.approx([60, 90], abs=1e-6)


@pytest.mark.parametrize("gap", [0.0, 0.009, 0.018, 1.0])
def test_ends_meet_within_a_hundredth(gap: float) -> None:
    band = once(
        f"carve from (0 mm, 90 mm) line to (60 mm, 90 mm) carve from ({60 + gap} mm, 90 mm) line to (90 mm, 90 mm)"
    )
    assert len(band.paths) == (1 if gap <= 0.01 else 2)


@pytest.mark.parametrize(("first", "second", "strokes"), [
    ("", "", 1),
    ("depth 1 mm", "depth 1 mm", 1),
    ("depth 1 mm", "depth 0.1 cm", 1),
    ("depth 1 mm", "depth 2 mm", 2),
    ("depth 1 mm", "", 2),
    ("width 1 mm", "width 2 mm", 2),
    ("colour \"red\"", "colour \"blue\"", 2),
    ("colour \"red\"", "color “red”", 1),
    ("with nib", "with loop", 2),
    ("with nib", "", 2),
])  # fmt: skip
def test_only_lines_made_alike_are_one_stroke(first: str, second: str, strokes: int) -> None:
    tools = "tool nib { cuts 2 mm } tool loop { cuts 2 mm }"
    band = once(f"carve from (0, 3) line to (1, 3) {first} carve from (1, 3) line to (2, 3) {second}", before=tools)
    assert len(band.paths) == strokes


def test_techniques_and_pitches_tell_strokes_apart() -> None:
    assert len(once("carve from (0, 3) line to (1, 3) incise from (1, 3) line to (2, 3)").paths) == 2
    assert (
        len(once("roulette from (0, 3) line to (1, 3) pitch 3 mm roulette from (1, 3) line to (2, 3) pitch 2 mm").paths)
        == 2
    )
    joined = once("roulette from (0, 3) line to (1, 3) pitch 4 mm roulette from (1, 3) line to (2, 3) pitch 4 mm")
    assert [p.impressions for p in joined.paths] == [15]  # 60 mm at 4 mm; two strokes of 30 mm would have 8 each


def test_strokes_join_over_all_the_rules_of_a_band() -> None:
    band = drawn(
        "each cell where row = 3 and odd(column) { carve from (0, 1/2) line to (1, 1/2) }"
        " each cell where row = 3 and even(column) { carve from (0, 1/2) line to (1, 1/2) }"
    )
    assert [(p.closed, p.length) for p in band.paths] == [(True, pytest.approx(360, abs=1e-6))]


def test_but_not_from_band_to_band() -> None:
    piece = lay(
        "form can { profile straight { at 0 mm around 360 mm at 200 mm around 360 mm } }"
        " motif m { grid columns 4 rows 1 each vertical { carve along } }"
        " piece p { form can band m from foot to tape 100 mm band m from tape 100 mm to rim }"
    )
    assert [lengths(b) for b in piece.bands] == [pytest.approx([100] * 4)] * 2


def test_a_path_is_one_line_however_many_corners_it_has() -> None:
    band = once("carve from (0, 0) line to (1, 1) line to (2, 0) line to (3, 1) line to (3, 5)")
    assert lengths(band) == pytest.approx([90 * sqrt(2) + 120], abs=1e-6)


def test_each_end_is_used_once() -> None:
    """Two lines that both go on from a third: the straighter one is taken, the other stands alone."""
    y = 3 + 2 * tan(radians(4))
    band = once(
        f"carve from (1, 3) line to (3, 3) carve from (3, 3) line to (5, {y!r}) carve from (3, 3) line to (6, 3)"
    )
    assert sorted(lengths(band)) == pytest.approx([hypot(60, 60 * tan(radians(4))), 150], abs=1e-5)


def test_of_equals_the_one_drawn_first() -> None:
    """Equally bent to either side: the pair drawn first is made."""
    y = 2 * tan(radians(5))
    band = once(
        f"carve from (1, 3) line to (3, 3) carve from (3, 3) line to (5, {3 + y!r})"
        f" carve from (3, 3) line to (5.5, {3 - y * 1.25!r})"
    )
    long, short = hypot(75, 37.5 * y), hypot(60, 30 * y)
    assert sorted(lengths(band)) == pytest.approx(sorted([60 + short, long]), abs=1e-5)


def test_the_straighter_pair_to_a_tenth_of_a_degree() -> None:
    """First by the angle rounded to a tenth of a degree: 0.0° against 0.2°; the bends come second."""
    y = 2 * tan(radians(0.2))
    band = once(
        f"carve from (1, 3) line to (3, 3) carve from (3, 3) line to (5, {3 + y!r}) carve from (3, 3) arc "
        f"to (5, 3)"
        " rise 1/1000"
    )
    # the arc leaves at 4·0.001 rad = 0.23°: 0.2° rounded too; the line bends less, so line goes with line
    assert sorted(lengths(band)) == pytest.approx([60.00016, 60 + hypot(60, 30 * y)], abs=1e-3)


# ---------------------------------------------------------------- lattices and circles


def test_a_lattice_joins_straight_across() -> None:
    """Diagonals of square cells: twelve strokes each way from edge to edge, none that turns at a crossing."""
    band = drawn("each cell { carve from (0, 0) line to (1, 1) carve from (1, 0) line to (0, 1) }")
    assert lengths(band) == pytest.approx([180 * sqrt(2)] * 24, abs=1e-5)
    assert all(abs(abs(ends(p)[2] - ends(p)[0]) - 180) < 1e-6 for p in band.paths)


def test_a_lattice_that_returns_to_its_start_still_ends_at_the_edges() -> None:
    band = drawn(
        "each cell { carve from (0, 0) line to (1, 1) carve from (1, 0) line to (0, 1) }",
        "grid columns 12 rows 12",
        "from foot to rim",
    )
    assert len(band.paths) == 24 and not any(p.closed for p in band.paths)


def test_a_cross_of_rings_and_verticals() -> None:
    band = drawn("each cell { carve from (0, 0) line to (1, 0) carve from (0, 0) line to (0, 1) }")
    assert sorted(lengths(band)) == pytest.approx([180] * 12 + [360] * 6, abs=1e-6)
    assert sum(p.closed for p in band.paths) == 6


def test_touching_circles_stay_circles() -> None:
    """Four half circles that touch at one point, drawn as halves: a stroke keeps its own bend."""
    band = drawn(
        "each cell where row < 3 and column < 3 { carve from (1/2, 0) arc to (1/2, 1) rise 1/2"
        " carve from (1/2, 0) arc to (1/2, 1) rise -1/2 }"
    )
    assert [(p.closed, p.length) for p in band.paths] == [(True, pytest.approx(30 * pi, abs=1e-5))] * 4


def test_circles_that_touch_side_by_side_drawn_as_quarters() -> None:
    """The quarters of 16 touching circles, all 64 of one technique: at every point of touch two bends part."""
    quarter = " ".join(
        f"carve from ({a}) arc to ({b}) rise -0.207106781186548"
        for a, b in (("1, 1/2", "1/2, 1"), ("1/2, 1", "0, 1/2"), ("0, 1/2", "1/2, 0"), ("1/2, 0", "1, 1/2"))
    )
    band = drawn(f"each cell where row < 5 and column < 5 {{ {quarter} }}")
    assert [(p.closed, p.length) for p in band.paths] == [(True, pytest.approx(30 * pi, abs=1e-5))] * 16


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (0, 3, 1, 2), (3, 0, 2, 1), (2, 1, 3, 0), (1, 2, 0, 3)])
def test_bends_decide_before_the_order_of_drawing(order: tuple[int, ...]) -> None:
    """Quarters of two circles that touch at (3, 3), all leaving it straight up or down: whichever are drawn first,
    those of one circle are joined, and no stroke goes over from one circle into the other."""
    q = "0.207106781186548"
    quarters = (
        f"carve from (3, 3) arc to (4, 4) rise {q}",  # right circle, above
        f"carve from (3, 3) arc to (4, 2) rise -{q}",  # right circle, below
        f"carve from (3, 3) arc to (2, 4) rise -{q}",  # left circle, above
        f"carve from (3, 3) arc to (2, 2) rise {q}",  # left circle, below
    )
    band = once(" ".join(quarters[k] for k in order))
    assert lengths(band) == pytest.approx([30 * pi] * 2, abs=1e-5)
    reach = sorted((np.degrees(p.points[:, 0].min()), np.degrees(p.points[:, 0].max())) for p in band.paths)
    assert [x for pair in reach for x in pair] == pytest.approx([60, 90, 90, 120], abs=1e-6)


def test_interlocking_rings_are_rings() -> None:
    """Circles of radius √2/2 about all cells' middles, drawn as quarter arcs between the corners: at each crossing
    two circles cross at right angles, and each goes on as itself."""
    f = "0.207106781186548"
    arcs = " ".join(
        f"carve from ({a}) arc to ({b}) rise -{f}"
        for a, b in (("1, 0", "1, 1"), ("1, 1", "0, 1"), ("0, 1", "0, 0"), ("0, 0", "1, 0"))
    )
    band = drawn(f"each cell where 1 < row and row < 6 {{ {arcs} }}")
    whole = [p for p in band.paths if p.closed]
    assert len(whole) == len(band.paths) == 48
    assert [p.length for p in whole] == pytest.approx([2 * pi * 30 / sqrt(2)] * 48, abs=1e-4)


def test_waves_go_over_into_one_another() -> None:
    """An arc up, an arc down: tangents agree, bends differ; with nothing else there they are one stroke."""
    band = drawn(
        "each cell where row = 3 and odd(column) { carve from (0, 1/2) arc to (1, 1/2) rise 1/4 }"
        " each cell where row = 3 and even(column) { carve from (0, 1/2) arc to (1, 1/2) rise -1/4 }"
    )
    r = (30**2 + 4 * 7.5**2) / (8 * 7.5)
    assert [(p.closed, p.length) for p in band.paths] == [
        (True, pytest.approx(12 * 2 * r * np.arcsin(15 / r), abs=1e-5))
    ]


# ---------------------------------------------------------------- closed strokes


def test_a_ring_round_the_pot_is_closed() -> None:
    band = drawn("each cell where row = 1 { carve from (0, 1/2) line to (1, 1/2) }")
    assert [(p.closed, p.length, p.area) for p in band.paths] == [(True, pytest.approx(360, abs=1e-6), 0)]
    path = band.paths[0]
    assert path.points[-1, 0] - path.points[0, 0] == pytest.approx(2 * pi, abs=1e-9)


def test_a_stroke_that_closes_has_no_area_and_is_worked_along_its_line() -> None:
    band = once(
        "paint from (1, 1) line to (3, 1) unbroken paint from (3, 1) line to (3, 3) unbroken"
        " paint from (3, 3) line to (1, 1) unbroken"
    )
    assert len(band.paths) == 1
    path = band.paths[0]
    assert path.closed and not path.worked_over and path.area == 0
    assert path.length == pytest.approx(120 + 60 * sqrt(2), abs=1e-6)


def test_a_line_once_round_is_closed() -> None:
    assert [p.closed for p in once("carve from (0, 1) line to (12, 1)").paths] == [True]
    assert [p.closed for p in once("carve from (0, 1) line to (12, 2)").paths] == [False]
    assert [p.closed for p in once("carve from (3, 1) line to (-9, 1)").paths] == [True]


def test_a_stroke_over_the_closing_vertical_runs_on() -> None:
    band = drawn("each cell where row = 3 and (column > 10 or column < 3) { carve from (0, 1/2) line to (1, 1/2) }")
    assert lengths(band) == pytest.approx([120], abs=1e-6)
    step = np.diff(band.paths[0].points[:, 0])
    assert np.all(np.abs(step) < 1) and abs(band.paths[0].points[-1, 0] - band.paths[0].points[0, 0]) == pytest.approx(
        radians(120), abs=1e-9
    )


def test_outlines_are_never_joined() -> None:
    band = drawn("each cell where row = 1 { carve rectangle from (0, 0) to (1, 1) }")
    assert lengths(band) == pytest.approx([120] * 12, abs=1e-6)
    assert total(p.area for p in band.paths) == pytest.approx(360 * 30, abs=1e-3)


# ---------------------------------------------------------------- made once


@pytest.mark.parametrize("second", [
    "from (1, 1) line to (3, 2)",                 # the same
    "from (3, 2) line to (1, 1)",                 # the other way
    "from (13, 1) line to (15, 2)",               # once round
    "from (30 mm, 30 mm) line to (90 mm, 60 mm)",
    "from (1, 1) + (0.004 mm, 0 mm) line to (3, 2)",  # within a hundredth
    "from (1, 1) line to (2, 3/2) line to (3, 2)",
    "from (1, 1) arc to (3, 2) rise 0",
    "from (1, 1) curve to (3, 2) leaving (5/3, 4/3) arriving (7/3, 5/3)",
])  # fmt: skip
def test_lines_drawn_twice_are_made_once(second: str) -> None:
    assert lengths(once(f"carve from (1, 1) line to (3, 2) carve {second}")) == pytest.approx([30 * sqrt(5)], abs=1e-3)


@pytest.mark.parametrize("second", [
    "incise from (1, 1) line to (3, 2)", "carve from (1, 1) line to (3, 2) depth 1 mm",
    "carve from (1, 1) line to (3, 2) colour \"red\"", "carve from (1, 1) + (0.02 mm, 0 mm) line to (3, 2)",
    "carve from (1, 1) arc to (3, 2) rise 1/100",
])  # fmt: skip
def test_what_differs_is_made_twice(second: str) -> None:
    assert len(once(f"carve from (1, 1) line to (3, 2) {second}").paths) == 2


def test_shared_sides_of_cells_are_made_once() -> None:
    """All four sides of every cell: 7 rings and 12 verticals."""
    band = drawn(
        "each cell { carve from (0, 0) line to (1, 0) carve from (1, 0) line to (1, 1)"
        " carve from (1, 1) line to (0, 1) carve from (0, 1) line to (0, 0) }"
    )
    assert sorted(lengths(band)) == pytest.approx([180] * 12 + [360] * 7, abs=1e-6)


@pytest.mark.parametrize("technique", ["carve", "paint"])
def test_a_circle_drawn_from_four_corners_is_made_once(technique: str) -> None:
    """A circle about every crossing, drawn by each of the four cells that meet there."""
    rules = (
        f"each cell {{ {technique} circle at (0, 0) across 1/2 {technique} circle at (1, 0) across 1/2"
        f" {technique} circle at (0, 1) across 1/2 {technique} circle at (1, 1) across 1/2 }}"
    )
    band = drawn(rules, reach="from tape 10 mm to tape 190 mm", grid=SQUARE)
    inner = [p for p in band.paths if p.closed and p.area > 170]
    assert len(inner) == 5 * 12
    assert total(p.area for p in band.paths if p.worked_over or p.closed) == pytest.approx(
        (60 + (12 if technique == "paint" else 0)) * pi * 7.5**2, rel=5e-5
    )  # halves on the two edge rings, cut as polygons


@pytest.mark.parametrize(("first", "second", "made"), [
    ("rectangle from (1, 1) to (2, 2)", "rectangle from (2, 2) to (1, 1)", 1),
    ("rectangle from (1, 1) to (2, 2)", "from (2, 1) line to (2, 2) line to (1, 2) line to (1, 1) close", 1),
    # begins elsewhere
    ("rectangle from (1, 1) to (2, 2)", "from (1, 1) line to (1, 2) line to (2, 2) line to (2, 1) close", 1),
    # the other way
    ("rectangle from (1, 1) to (2, 2)",
     "from (3/2, 1) line to (2, 1) line to (2, 2) line to (1, 2) line to (1, 1) close", 1),
    ("circle at (3/2, 3/2) across 1", "from (2, 3/2) arc to (1, 3/2) rise -1/2 arc to (2, 3/2) rise -1/2 close", 1),
    ("rectangle from (1, 1) to (2, 2)", "circle at (3/2, 3/2) across 1", 2),
    ("rectangle from (1, 1) to (2, 2)", "rectangle from (1, 1) to (2, 2.001)", 2),
    ("circle at (3/2, 3/2) across 1", "circle at (3/2, 3/2) across 1.01", 2),
])  # fmt: skip
def test_outlines_drawn_twice_are_made_once(first: str, second: str, made: int) -> None:
    assert len(once(f"paint {first} paint {second}").paths) == made


def test_a_square_and_the_square_turned_are_not_the_same() -> None:
    """Same length, same area, same middle, same spread: a square turned by 45° is another square."""
    turned = "draw { paint rectangle from (1, 1) to (2, 2) } rotated 45 deg moved by (3/2, 3/2) moved by (0, 0)"
    h = repr(sqrt(0.5))
    diamond = (
        f"paint from (3/2 + {h}, 3/2) line to (3/2, 3/2 + {h}) line to (3/2 - {h}, 3/2) line to (3/2, 3/2 - {h}) close"
    )
    band = once(f"paint rectangle from (1, 1) to (2, 2) {diamond}")
    assert [p.area for p in band.paths] == pytest.approx([900, 900], abs=1e-3)
    assert len(drawn(f"each cell where column = 2 and row = 2 {{ {turned} }}").paths) == 1
    eight = drawn(
        "each cell where column = 2 and row = 2 { draw { carve rectangle from (0, 0) to (1, 1) } rotated 8 times }"
    )
    assert [p.length for p in eight.paths] == pytest.approx([120, 120], abs=1e-6)


def test_a_circle_turned_is_the_same_circle() -> None:
    place = "each cell where column = 2 and row = 2"
    assert len(drawn(f"{place} {{ draw {{ carve circle at (1/2, 1/2) across 1/2 }} rotated 7 times }}").paths) == 1
    assert len(drawn(f"{place} {{ draw {{ carve circle at (3/4, 1/2) across 1/2 }} rotated 7 times }}").paths) == 7


def test_three_alike_in_everything_but_place() -> None:
    """A hexagon's star of three rectangles: equal length, middle and spread is not equal place; twice each."""
    place = "each cell where column = 2 and row = 2"
    band = drawn(f"{place} {{ draw {{ carve rectangle from (0, 1/4) to (1, 3/4) }} rotated 6 times }}")
    assert lengths(band) == pytest.approx([90] * 3, abs=1e-6)


def test_dots_drawn_twice_are_made_once() -> None:
    band = drawn(
        "each cell { impress dot at (0, 0) impress dot at (1, 0) impress dot at (0, 1) impress dot at (1, 1) }"
    )
    assert len(band.points) == 12 * 7
    assert (
        len(
            once(
                "impress dot at (1, 1) across 2 mm impress dot at (1, 1) across 3 mm impress dot at (13, 1) across 2 mm"
            ).points
        )
        == 2
    )
    assert len(once("impress dot at (1, 1) impress dot at (1, 1) + (0.009 mm, 0 mm)").points) == 1
    assert len(once("impress dot at (1, 1) impress dot at (1, 1) + (0.018 mm, 0 mm)").points) == 2


def test_footprints_are_told_apart_by_their_lean() -> None:
    nib = "tool nib { wide 4 mm tall 8 mm }"
    assert len(once("impress nib at (1, 1) impress nib at (1, 1) tilted 360 deg", before=nib).points) == 1
    assert len(once("impress nib at (1, 1) impress nib at (1, 1) tilted 1 turn", before=nib).points) == 1
    assert len(once("impress nib at (1, 1) impress nib at (1, 1) tilted 90 deg", before=nib).points) == 2
    assert (
        len(once("impress nib at (1, 1) tilted -30 deg impress nib at (1, 1) tilted 330 deg", before=nib).points) == 1
    )


def test_the_first_drawn_is_the_one_that_stays() -> None:
    band = drawn(
        "each crossing where vertical = 2 and ring = 1 { impress dot at (0, 0) }"
        " each cell where column = 2 and row = 2 { impress dot at (0, 0) }"
    )
    assert (band.points.vertical.tolist(), band.points.column.tolist()) == ([2], [-1])


# ---------------------------------------------------------------- over corners and poles


def test_a_line_over_a_corner_of_the_wall_is_one_stroke() -> None:
    band = lay_band("grid columns 12 rows 2 each cell { carve from (0, 0) line to (0, 1) }", form=WAIST)
    assert lengths(band) == pytest.approx([58] * 12, abs=1e-6)


def test_lines_through_the_middle_of_a_plate() -> None:
    """On a flat disc two opposite rays go straight on through the middle: six rays are three strokes."""
    band = lay_band("grid columns 6 rows 1 each cell { carve from (0, 0) line to (0, 1) }", form=PLATE)
    assert lengths(band) == pytest.approx([200] * 3, abs=1e-6)
    odd = lay_band("grid columns 5 rows 1 each cell { carve from (0, 0) line to (0, 1) }", form=PLATE)
    assert lengths(odd) == pytest.approx([100] * 5, abs=1e-6)


def test_dots_in_the_middle_of_a_plate_are_one() -> None:
    assert len(lay_band("grid columns 6 rows 1 each cell { guide dot at (0, 0) }", form=PLATE).points) == 1


def test_circles_on_a_plate() -> None:
    """Rings of a plate are circles of radius tape."""
    band = lay_band("grid columns 6 rows 2 each ring { carve along }", form=PLATE)
    assert sorted(lengths(band)) == pytest.approx([100 * pi, 200 * pi], abs=1e-6)  # ring 0 is a point: no stroke


def test_a_stroke_has_the_place_of_its_first_line() -> None:
    band = drawn("each cell where column > 3 and column < 7 and row = 2 { carve from (0, 1/2) line to (1, 1/2) }")
    assert [(p.column, p.row) for p in band.paths] == [(4, 2)]


# ---------------------------------------------------------------- the same whatever the way it is written


def test_strokes_do_not_depend_on_the_start_of_the_band() -> None:
    rules = "each cell { carve from (0, 0) line to (1, 1) carve from (1, 0) line to (0, 1) }"
    for start in ("0 deg", "17 deg", "-190 deg", "1/2 turn"):
        band = drawn(rules, reach=f"{REACH} starting at {start}")
        assert lengths(band) == pytest.approx([180 * sqrt(2)] * 24, abs=1e-5)


def test_laying_twice_gives_the_same() -> None:
    text = source(f"{SQUARE} each cell {{ carve from (0, 0) arc to (1, 1) rise 1/5 impress dot at (1/2, 1/2) }}", REACH)
    a, b = lay(text).bands[0], lay(text).bands[0]
    assert all(np.array_equal(p.points, q.points) for p, q in zip(a.paths, b.paths, strict=True))
    assert marks(a) == marks(b) and lengths(a) == lengths(b)


def test_a_cones_lattice_joins_from_edge_to_edge() -> None:
    """On a cone the diagonals of equal rows bend at no ring (b runs in tape): twelve strokes each way."""
    band = lay_band(
        "grid columns 12 rows 5 each cell { carve from (0, 0) line to (1, 1) carve from (1, 0) line to (0, 1) }",
        form=CONE,
    )
    assert len(paths(band)) == 24
    assert total(lengths(band)) == pytest.approx(24 * lengths(band)[0], abs=1e-5)
