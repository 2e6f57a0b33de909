"""What has true size on the clay: circles, arcs and taut lines, marks along a line, parallels, what is clear of or
within something.

On a can and a cone the wall unrolls flat, so plane geometry is the answer there; on a ball spherical trigonometry,
and elsewhere scipy's integration of the geodesic equations (Clairaut).
"""

from __future__ import annotations

from math import acos, asin, cos, degrees, hypot, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

import motif
from motif.laying.piece import LaidBand, LaidPath
from tests.laying.bench import (
    CAN,
    CONE,
    PLATE,
    WAIST,
    ball,
    ends,
    errors,
    lay_band,
    lengths,
    marks,
    paths,
    source,
    the_error,
    total,
    warnings,
)
from tests.reference import record

SQUARE = "grid columns 12 rows 6"
REACH = "from foot to tape 180 mm"


def once(drawing: str, grid: str = SQUARE, reach: str = REACH, form: str = CAN, before: str = "") -> LaidBand:
    return lay_band(f"{grid} once {{ {drawing} }}", reach, form, before)


def one(drawing: str, **kw: str) -> LaidPath:
    (path,) = once(drawing, **kw).paths
    return path


# ---------------------------------------------------------------- circles by length


def test_a_circle_on_a_can_is_a_circle() -> None:
    path = one("carve circle at (3, 3) across 50 mm")
    assert path.closed
    assert path.length == pytest.approx(50 * pi, rel=1e-6) and path.area == pytest.approx(625 * pi, rel=2e-6)
    flat = np.column_stack([np.degrees(path.points[:, 0]) - 90, path.points[:, 1] - 90])
    assert np.hypot(*flat.T) == pytest.approx([25] * len(flat), abs=1e-4)


def test_a_circle_does_not_stretch_with_the_cell() -> None:
    for grid in ("grid columns 3 rows 6", "grid columns 36 rows 2"):
        assert one("paint circle at (1, 1) across 20 mm", grid=grid).area == pytest.approx(100 * pi, abs=1e-3)


def test_a_circle_on_a_cone_is_one_when_unrolled() -> None:
    """Distance from the middle in the unrolled sector is the radius all round."""
    path = one("carve circle at (3, 2) across 24 mm", grid="grid columns 12 rows 4", reach="", form=CONE)
    assert path.length == pytest.approx(24 * pi, abs=1e-4) and path.area == pytest.approx(144 * pi, abs=1e-2)
    slant = 75 - path.points[:, 1]  # the tip is 75 mm up the wall from the foot: r = 0.8 × slant
    turn = (path.points[:, 0] - pi / 2) * 0.8
    x, y = slant * np.sin(turn), slant * np.cos(turn) - 50
    assert np.hypot(x, y) == pytest.approx([12] * len(x), abs=1e-4)


@pytest.mark.parametrize("lat", [-30, 0, 20, 55])
def test_a_circle_on_a_ball_is_a_small_circle(lat: float) -> None:
    """Cap of angular radius ρ: edge 2π R sin ρ, area 2π R² (1 − cos ρ)."""
    tape = 75 * radians(lat + 70)
    path = one(
        f"carve circle at (0, {tape:.9f} mm) across 30 mm",
        grid="grid columns 12 rows 1",
        reach="",
        form=ball(75, -70, 70, 160),
    )
    rho = 15 / 75
    assert path.length == pytest.approx(2 * pi * 75 * sin(rho), abs=1e-3)
    assert path.area == pytest.approx(2 * pi * 75**2 * (1 - cos(rho)), abs=1e-2)


def test_a_circle_about_the_middle_of_a_plate() -> None:
    path = one("carve circle at (0, 0) across 60 mm", grid="grid columns 12 rows 1", reach="", form=PLATE)
    assert path.length == pytest.approx(60 * pi, abs=1e-3)
    assert path.area == pytest.approx(900 * pi, abs=1e-2)


def test_a_circle_over_the_middle_of_a_plate() -> None:
    """Its middle 20 mm off the plate's, 30 mm in radius: the plate's middle lies inside it."""
    path = one("paint circle at (0, 20 mm) across 60 mm", grid="grid columns 12 rows 1", reach="", form=PLATE)
    assert path.area == pytest.approx(900 * pi, rel=5e-7)


def test_a_circle_over_a_corner_keeps_its_diameters() -> None:
    """Waist: two cones. Across the corner straight up, 2 × 10 mm by tape; the middle is on the corner."""
    path = one("carve circle at (3, 1) across 20 mm", grid="grid columns 12 rows 2", reach="", form=WAIST)
    assert (np.min(path.points[:, 1]), np.max(path.points[:, 1])) == pytest.approx((19, 39), abs=0.02)


def test_true_circles_are_cut_like_others() -> None:
    band = once("carve circle at (3, 0) across 60 mm paint circle at (8, 0) across 60 mm")
    assert lengths(band, "carve") == pytest.approx([30 * pi], abs=1e-4)
    assert [p.area for p in paths(band, "paint")] == pytest.approx([450 * pi], rel=5e-7)


def test_true_circles_drawn_twice_are_made_once() -> None:
    band = lay_band(
        f"{SQUARE} each cell {{ carve circle at (0, 0) across 20 mm carve circle at (1, 1) across 20 mm }}", REACH
    )
    assert sum(p.closed for p in band.paths) == 60 and len(band.paths) == 84  # halves at the two edge rings


def test_a_turned_true_circle_keeps_its_size() -> None:
    place = "each cell where column = 4 and row = 3"
    band = lay_band(
        f"grid columns 12 rows 9 {place} {{ draw {{ carve circle at (1, 1/2) across 9 mm }} rotated 4 times }}", REACH
    )
    assert lengths(band) == pytest.approx([9 * pi] * 4, abs=1e-4)


# ---------------------------------------------------------------- taut lines


def test_a_taut_line_on_a_can_is_straight() -> None:
    path = one("carve from (1, 1) taut to (5, 4)")
    assert path.length == pytest.approx(hypot(120, 90), abs=1e-5)


def test_a_taut_line_on_a_cone_is_straight_in_the_sector() -> None:
    """From (r 60, slant 75) to (r 20, slant 25) over 72°: law of cosines with 0.8 × 72°."""
    path = one("carve from (0, 0) taut to (12/5, 1)", grid="grid columns 12 rows 1", reach="", form=CONE)
    turn = radians(72) * 0.8
    assert path.length == pytest.approx(sqrt(75**2 + 25**2 - 2 * 75 * 25 * cos(turn)), abs=1e-5)


def test_a_taut_line_goes_as_far_round_as_its_ends_say() -> None:
    # 300° round the can, not the short 60°
    path = one("carve from (1, 1) taut to (11, 4)")
    assert path.length == pytest.approx(hypot(300, 90), abs=1e-5)
    assert ends(path) == pytest.approx((30, 30, 330, 120), abs=1e-6)
    assert one("carve from (0, 1) taut to (30, 4)").length == pytest.approx(hypot(900, 90), abs=1e-4)


@pytest.mark.parametrize(
    ("lat0", "lat1", "run"), [(-30, 40, 50), (10, 10, 80), (-50, 50, 100), (0, 0, 90), (20, 60, 5)]
)
def test_taut_lines_on_a_ball_are_great_circles(lat0: float, lat1: float, run: float) -> None:
    """Law of cosines for sides on the sphere."""
    a, b = (75 * radians(x + 70) for x in (lat0, lat1))
    path = one(
        f"carve from (0, {a:.9f} mm) taut to ({run} deg, {b:.9f} mm)",
        grid="grid columns 12 rows 1",
        reach="",
        form=ball(75, -70, 70, 160),
    )
    p, q, d = radians(lat0), radians(lat1), radians(run)
    wanted = 75 * acos(sin(p) * sin(q) + cos(p) * cos(q) * cos(d))
    assert path.length == pytest.approx(wanted, abs=1e-4)


def test_a_taut_line_over_a_corner_is_unfolded() -> None:
    """Waist, foot to rim, 60° round: both sides unfolded about the corner point; least of all corner points."""

    def leg(turn: float) -> float:  # one cone: radii 60 and 40, slants 87 and 58, opening 20/29
        return sqrt(87**2 + 58**2 - 2 * 87 * 58 * cos(turn * 20 / 29))

    path = one("carve from (0, 0) taut to (2, 2)", grid="grid columns 12 rows 2", reach="", form=WAIST)
    assert path.length == pytest.approx(2 * leg(radians(30)), abs=1e-5)  # by symmetry it passes at half the way


def test_an_oblique_taut_line_over_a_corner() -> None:
    """Can below, cone above: the corner point minimises the sum, found by root finding."""
    form = (
        "form shoulder { profile straight { at 0 mm across 120 mm at 30 mm across 120 mm corner"
        " at 60 mm across 40 mm } }"
    )

    def length(x: float) -> float:
        return hypot(60 * x, 30) + sqrt(75**2 + 25**2 - 2 * 75 * 25 * cos((radians(60) - x) * 0.8))

    def slope(x: float) -> float:
        return (length(x + 1e-6) - length(x - 1e-6)) / 2e-6

    best = length(brentq(slope, 0.01, radians(59)))
    path = one("carve from (0, 0) taut to (2, 1)", grid="grid columns 12 rows 1", reach="", form=form)
    assert path.length == pytest.approx(best, abs=1e-5)


def test_a_taut_line_between_places_of_one_ring_below_the_waist() -> None:
    """On the cone a string between two places of the foot ring climbs: the chord of the sector."""
    path = one("carve from (0, 0) taut to (3, 0)", grid="grid columns 12 rows 1", reach="", form=CONE)
    assert path.length == pytest.approx(2 * 75 * sin(pi / 2 * 0.8 / 2), abs=1e-5)
    assert np.max(path.points[:, 1]) > 5


def test_a_taut_line_along_the_rim() -> None:
    """Between two places of the rim of the cone the straight line would leave the wall: it is held at the rim."""
    path = one("carve from (0, 1) taut to (3, 1)", grid="grid columns 12 rows 1", reach="", form=CONE)
    # in the sector the ring of slant 25 bulges toward the foot: its chord lies above the rim, off the wall
    assert path.length == pytest.approx(20 * pi / 2, abs=1e-4)
    assert np.min(path.points[:, 1]) == pytest.approx(50, abs=1e-3)


def test_a_taut_line_is_cut_at_the_bands_ends() -> None:
    """A string between two places of a band's lower ring on a ball's northern half climbs; on its southern
    half it dips below the band and is cut away."""
    form = ball(75, -70, 70, 160)
    low, high = (75 * radians(x + 70) for x in (20, 60))
    band = once(
        "carve from (0, 0) taut to (2, 0)",
        "grid columns 12 rows 1",
        f"from tape {low:.9f} mm to tape {high:.9f} mm",
        form,
    )
    p = radians(20)
    assert total(lengths(band)) == pytest.approx(75 * acos(sin(p) ** 2 + cos(p) ** 2 * cos(radians(60))), abs=1e-4)
    low, high = (75 * radians(x + 70) for x in (-20, 20))
    text = source(
        "grid columns 12 rows 1 once { carve from (0, 0) taut to (2, 0) }",
        f"from tape {low:.9f} mm to tape {high:.9f} mm",
        form,
    )
    assert not errors(text)


def test_a_taut_line_on_a_jar_obeys_clairaut() -> None:
    """On any surface of revolution r cos(bearing) is the same all along a taut line."""
    form = (
        "form jar { profile smooth { at 0 mm across 84 mm at 40 mm across 122 mm at 95 mm around 471 mm"
        " at 150 mm across 118 mm at 182 mm across 96 mm } }"
    )
    band = once("carve from (0, 0) taut to (3, 1)", "grid columns 12 rows 1", "from tape 20 mm to tape 170 mm", form)
    from tests.laying.bench import lay

    wall = lay(source("grid columns 12 rows 1", form=form)).form.wall
    p = band.paths[0].points
    middle = (p[1:, 1] + p[:-1, 1]) / 2
    r = np.asarray(wall.radius(middle))
    step = np.column_stack([r * np.diff(p[:, 0]), np.diff(p[:, 1])])
    clairaut = r * step[:, 0] / np.hypot(*step.T)
    assert np.ptp(clairaut) < 0.1 and np.mean(clairaut) > 5
    # and its length is that of the geodesic with this constant: ∫ r ds / √(r² − c²), the angle likewise
    c = float(np.mean(clairaut))

    def turn(k: float) -> float:
        return quad(
            lambda s: k / (float(wall.radius(s)) * sqrt(float(wall.radius(s)) ** 2 - k * k)), 20, 170, limit=200
        )[0]

    exact = brentq(lambda k: turn(k) - pi / 2, c - 1, c + 1)
    length = quad(
        lambda s: float(wall.radius(s)) / sqrt(float(wall.radius(s)) ** 2 - exact * exact), 20, 170, limit=200
    )[0]
    assert band.paths[0].length == pytest.approx(length, abs=1e-3)


def test_a_string_over_a_hollow_lifts() -> None:
    found = warnings(source("grid columns 12 rows 2 once { carve from (0, 0) taut to (1/2, 2) }", form=WAIST))
    assert "string-lifts" in [w.code for w in found]
    found = warnings(source("grid columns 12 rows 2 once { carve from (0, 0) taut to (1/2, 2) }", form=CONE))
    assert "string-lifts" not in [w.code for w in found]


# ---------------------------------------------------------------- arcs by length


@pytest.mark.parametrize("rise", [5, 12.5, -7, 25, 40])
def test_an_arc_of_a_rise_on_a_can(rise: float) -> None:
    chord = hypot(60, 30)
    r = (chord**2 + 4 * rise**2) / (8 * abs(rise))
    angle = 2 * asin(chord / 2 / r)
    angle = angle if abs(rise) <= chord / 2 else 2 * pi - angle
    assert one(f"carve from (3, 2) arc to (5, 3) rise {rise} mm").length == pytest.approx(r * angle, abs=1e-4)


def test_an_arc_by_length_rises_to_the_left() -> None:
    path = one("carve from (3, 3) arc to (5, 3) rise 12 mm")
    assert np.max(path.points[:, 1]) == pytest.approx(102, abs=0.02)
    path = one("carve from (3, 3) arc to (5, 3) rise -12 mm")
    assert np.min(path.points[:, 1]) == pytest.approx(78, abs=0.02)


def test_published_segment_on_the_clay() -> None:
    known = record("1.segment.full")
    r, h = known["inputs"]["r"], known["inputs"]["rise"]
    c = 2 * sqrt(h * (2 * r - h))
    path = one(f"carve from (3, 3) arc to (3, 3) + ({c!r} mm, 0 mm) rise {h} mm")
    assert path.length == pytest.approx(known["expected"][2], abs=known["tolerance"][2])


def test_chord_is_the_taut_distance() -> None:
    assert one("carve from (3, 2) arc to (5, 3) rise chord / 2").length == pytest.approx(
        pi / 2 * hypot(60, 30), abs=1e-4
    )
    # on the cone the chord of the foot ring's quarter is that of the sector
    path = one("carve from (0, 1) arc to (1, 1) rise chord / 2", grid="grid columns 12 rows 4", reach="", form=CONE)
    slant = 75 - 12.5
    chord = 2 * slant * sin(radians(30) * 0.8 / 2)
    assert path.length == pytest.approx(pi / 2 * chord, abs=1e-4)


def test_an_arc_on_a_ball_is_set_off_about_the_middle_of_the_taut_line() -> None:
    """rise chord/2: every point is chord/2 from the middle, half of a small circle: π R sin(chord / 2R)."""
    form = ball(75, -70, 70, 160)
    a = 75 * radians(20 + 70)
    path = one(
        f"carve from (0, {a:.9f} mm) arc to (40 deg, {a:.9f} mm) rise chord / 2",
        grid="grid columns 12 rows 1",
        reach="",
        form=form,
    )
    chord = 75 * 2 * asin(cos(radians(20)) * sin(radians(20)))
    assert path.length == pytest.approx(pi * 75 * sin(chord / 2 / 75), abs=1e-3)


def test_arcs_by_length_in_images() -> None:
    place = "each cell where column = 4 and row = 3"
    for move, top in (("reversed left-right", True), ("reversed top-bottom", False)):
        band = lay_band(
            f"{SQUARE} {place} {{ draw {{ carve from (0, 1/2) arc to (1, 1/2) rise 6 mm }} {move} }}", REACH
        )
        tape = band.paths[0].points[:, 1]
        assert (np.max(tape) > 80) == top and (np.min(tape) < 70) != top


def test_chord_belongs_to_the_rise() -> None:
    found = the_error(source(f"{SQUARE} once {{ carve from (0, 0) line to (chord, 1) }}", REACH))
    assert found.underlined == "chord" and found.code in ("unknown-name", "syntax", "wrong-kind")


# ---------------------------------------------------------------- marks along a line

BEAD = "tool bead { wide 4 mm }"


@pytest.mark.parametrize(("every", "marks_made"), [
    (30, 5), (35, 4),        # 120/4 = 30 (5 off), 120/3 = 40 (5 off): the larger number of gaps, and one mark more
    (60, 3), (50, 3),        # 120/2 = 60, 120/3 = 40: equally near: three gaps, four marks
    (120, 2), (500, 2), (7, 18),
])  # fmt: skip
def test_along_an_open_line_both_ends_have_one(every: float, marks_made: int) -> None:
    gaps = min(range(1, 200), key=lambda n: (round(abs(120 / n - every), 9), -n))
    band = once(f"path a = from (1, 3) line to (5, 3) impress bead along a every {every} mm", before=BEAD)
    assert [x for x, _ in marks(band)] == pytest.approx([30 + 120 * k / gaps for k in range(gaps + 1)], abs=1e-5)
    if every not in (35, 50):
        assert len(band.points) == marks_made


def test_along_a_closed_line_there_are_as_many_as_gaps() -> None:
    band = once("path a = circle at (3, 3) across 30 mm impress dot along a every 10 mm")
    assert len(band.points) == 9  # 94.25 / 9 = 10.47 against 94.25 / 10 = 9.42: 0.47 off, 0.58 off
    x, y = np.array(marks(band)).T
    assert np.hypot(x - 90, y - 90) == pytest.approx([15] * 9, abs=1e-3)
    gaps = np.diff(np.unwrap(np.arctan2(y - 90, x - 90)))
    assert np.abs(gaps) == pytest.approx([2 * pi / 9] * 8, abs=1e-4)


def test_marks_along_a_ring_of_the_pot() -> None:
    band = lay_band(
        f"{SQUARE} each cell where row = 3 {{ path a = from (0, 1/2) line to (1, 1/2) impress dot along"
        f" a every 20 mm }}",
        REACH,
    )
    assert len(band.points) == 18  # the strokes of a: one closed ring of 360 mm
    # one every 20°, at 0° and 20° in column 1, at 40° in column 2, at 60° on vertical 3 and so in column 3
    assert sorted(band.points.column.tolist()) == sorted([*range(1, 13), 1, 3, 5, 7, 9, 11])


def test_marks_along_are_even_by_length_on_the_wall() -> None:
    """On the cone: equal lengths of a sloping line, by quadrature."""
    band = once(
        "path a = from (0, 0) line to (6, 1) impress dot along a every 15 mm", "grid columns 12 rows 1", "", CONE
    )
    turn = pi / 50

    def length(s: float) -> float:
        return quad(lambda x: sqrt(1 + ((60 - 0.8 * x) * turn) ** 2), 0, s)[0]

    got = [length(s) for _, s in marks(band)]
    assert np.diff(got) == pytest.approx([got[-1] / (len(got) - 1)] * (len(got) - 1), abs=1e-3)


def test_a_mark_along_turns_its_up_along_the_stroke() -> None:
    """Travelling right, up the mark's up is turned 90° clockwise; up the wall it is straight up."""
    for line, lean in (
        ("from (1, 3) line to (5, 3)", -90),
        ("from (5, 3) line to (1, 3)", 90),
        ("from (3, 1) line to (3, 5)", 0),
        ("from (1, 1) line to (5, 5)", -45),
    ):
        band = once(f"path a = {line} impress bead along a every 30 mm", before=BEAD)
        off = [(degrees(x) - lean + 180) % 360 - 180 for x in band.points.lean]
        assert len(off) >= 5 and max(map(abs, off)) < 1e-3


def test_marks_along_know_the_cell_in_which_they_fall() -> None:
    band = once("path a = from (0.5, 0.5) line to (0.5, 5.5) impress dot along a every 30 mm")
    assert [(int(c), int(r)) for c, r in zip(band.points.column, band.points.row, strict=True)] == [
        (1, k) for k in range(1, 7)
    ]


def test_dots_along_may_have_a_size() -> None:
    band = once("path a = from (1, 3) line to (5, 3) impress dot along a every 30 mm across 2 mm")
    assert band.points.across.tolist() == [2] * 5


@pytest.mark.parametrize(("every", "code"), [("0 mm", "out-of-range"), ("-3 mm", "out-of-range"), ("3", "wrong-kind")])
def test_a_spacing_is_above_0(every: str, code: str) -> None:
    found = the_error(
        source(f"{SQUARE} once {{ path a = from (1, 3) line to (5, 3) impress dot along a every {every} }}", REACH)
    )
    assert (found.code, found.underlined) == (code, every)


def test_marks_along_each_stroke_of_the_rule() -> None:
    """The strokes are those of all the places: verticals of six rows are one stroke of 180 mm each."""
    band = lay_band(
        f"{SQUARE} each cell {{ path a = from (0, 0) line to (0, 1) impress dot along a every 60 mm }}", REACH
    )
    assert len(band.points) == 12 * 4


# ---------------------------------------------------------------- parallels


def test_a_parallel_to_the_left() -> None:
    path = one("path a = from (1, 3) line to (5, 3) carve offset a by 4 mm")
    assert ends(path) == pytest.approx((30, 94, 150, 94), abs=1e-5)
    path = one("path a = from (1, 3) line to (5, 3) carve offset a by -4 mm")
    assert ends(path) == pytest.approx((30, 86, 150, 86), abs=1e-5)


def test_both_parallels() -> None:
    band = once("path a = from (1, 3) line to (5, 3) carve offset a both by 4 mm")
    assert sorted(round(p.points[0, 1], 4) for p in band.paths) == [86, 94]


@pytest.mark.parametrize(("bend", "mitred"), [(30, True), (90, True), (150, True), (152, False), (170, False)])
def test_corners_of_a_parallel(bend: float, mitred: bool) -> None:
    """On the outside of a corner sides run on until they meet, up to a mitre of 4 (1 / sin(inner angle / 2), inner
    angle 28.96°, a bend of 151.04°); sharper ones get a round of the distance."""
    x, y = 5 + 3 * cos(radians(bend)), 1 + 3 * sin(radians(bend))
    path = one(
        f"path a = from (1, 1) line to (5, 1) line to ({x!r}, {y!r}) carve offset a by -4 mm",
        reach="from foot to tape 180 mm",
    )
    legs = 120 + 90
    extra = 2 * 4 * tan(radians(bend / 2)) if mitred else 4 * radians(bend)
    assert path.length == pytest.approx(legs + extra, abs=1e-2)


def test_the_inside_of_a_corner_is_shortened() -> None:
    path = one("path a = from (1, 1) line to (5, 1) line to (5, 4) carve offset a by 4 mm")
    assert path.length == pytest.approx(116 + 86, abs=1e-3)


@pytest.mark.parametrize(("side", "length"), [("outward", 2 * (68 + 98)), ("inward", 2 * (52 + 82))])
def test_parallels_of_a_closed_path(side: str, length: float) -> None:
    """A parallel is a line: only what ``close``, ``rectangle`` and ``circle`` draw has an area."""
    for corners in ("(2, 1) to (4, 4)", "(4, 4) to (2, 1)"):
        for technique in ("carve", "paint"):
            path = one(f"path a = rectangle from {corners} {technique} offset a {side} by 4 mm")
            assert path.closed and path.length == pytest.approx(length, abs=1e-3) and path.area == 0
    clockwise = one(
        f"path a = from (2, 1) line to (2, 4) line to (4, 4) line to (4, 1) close carve offset a {side} by 4 mm"
    )
    assert clockwise.length == pytest.approx(length, abs=1e-3)  # outward whichever way it is drawn


@pytest.mark.parametrize(("side", "radius"), [("outward", 19), ("inward", 11)])
def test_parallels_of_circles(side: str, radius: float) -> None:
    for across in ("1", "30 mm"):
        path = one(f"path a = circle at (3, 3) across {across} carve offset a {side} by 4 mm")
        assert path.length == pytest.approx(2 * pi * radius, abs=1e-2)


def test_a_parallel_moves_the_joined_strokes() -> None:
    band = lay_band(
        f"{SQUARE} each cell where row = 3 {{ path a = from (0, 1/2) line to (1, 1/2) carve offset a by 4 mm }}", REACH
    )
    assert [(p.closed, p.length) for p in band.paths] == [(True, pytest.approx(360, abs=1e-3))]


def test_a_parallel_on_a_cone_is_at_right_angles() -> None:
    """Of a ring: the ring 4 mm farther up; of a vertical: straight in the sector, 4 mm to the left."""
    band = lay_band(
        "grid columns 12 rows 4 each cell where row = 2 { path a = from (0, 0) line to (1, 0) carve offset a by 4 mm }",
        form=CONE,
    )
    assert total(lengths(band)) == pytest.approx(2 * pi * (60 - 0.8 * 16.5), abs=1e-2)


def test_loops_of_a_parallel_are_left_out() -> None:
    """A half circle of radius 10 mm moved 15 mm inward leaves nothing of itself."""
    band = once("path a = from (2, 3) arc to (2, 3) + (20 mm, 0 mm) rise chord / 2 carve offset a by -15 mm")
    assert total(lengths(band)) < 1


def test_a_parallel_on_the_inner_side_of_a_short_arm() -> None:
    """Down 3 mm, then 60 mm to the right; 10 mm to the left nothing stands beside the short arm, and beside the long
    one what is 10 mm from the arm's upper end: from √(10² − 7²) mm on."""
    path = one(
        "path a = from (1, 1) + (0 mm, 3 mm) line to (1, 1) line to (1, 1) + (60 mm, 0 mm) carve offset a by 10 mm"
    )
    assert path.length == pytest.approx(60 - 51**0.5, abs=0.02)


def test_a_parallel_by_nothing_is_refused() -> None:
    for by, code in (("3", "wrong-kind"), ("3 deg", "wrong-kind")):
        text = source(f"{SQUARE} once {{ path a = from (1, 3) line to (5, 3) carve offset a by {by} }}", REACH)
        assert the_error(text).code == code


def test_an_end_on_the_bands_edge_runs_on() -> None:
    """A slanting line from edge to edge: its parallel reaches both edges too."""
    band = once("path a = from (1, 0) line to (4, 6) carve offset a by 10 mm")
    path = band.paths[0]
    assert sorted((path.points[0, 1], path.points[-1, 1])) == pytest.approx([0, 180], abs=1e-3)
    assert path.length == pytest.approx(hypot(90, 180), abs=1e-2)


# ---------------------------------------------------------------- clear of and within


def test_a_line_clear_of_a_circle() -> None:
    band = once("path hole = circle at (3, 3) across 30 mm carve from (1, 3) line to (5, 3) clear of hole by 2 mm")
    assert sorted(lengths(band)) == pytest.approx([60 - 17, 60 - 17], abs=1e-2)


def test_clear_of_counts_the_inside_of_what_is_closed() -> None:
    """Also a small line wholly within the circle goes."""
    band = once(
        "path hole = circle at (3, 3) across 60 mm carve from (3, 3) line to (3.1, 3) clear of hole by 2 mm"
        " carve from (1, 5) line to (2, 5) clear of hole by 2 mm"
    )
    assert lengths(band) == pytest.approx([30], abs=1e-2)


def test_clear_of_a_line_and_a_dot() -> None:
    band = once("path bar = from (3, 1) line to (3, 5) carve from (1, 3) line to (5, 3) clear of bar by 5 mm")
    assert sorted(lengths(band)) == pytest.approx([55, 55], abs=1e-2)
    band = once("path spot = dot at (3, 3) carve from (1, 3) line to (5, 3) clear of spot by 5 mm")
    assert sorted(lengths(band)) == pytest.approx([55, 55], abs=1e-2)
    band = once("path spot = dot at (3, 3) across 10 mm carve from (1, 3) line to (5, 3) clear of spot by 5 mm")
    assert sorted(lengths(band)) == pytest.approx([50, 50], abs=1e-2)
    band = once("path spot = bead at (3, 3) carve from (1, 3) line to (5, 3) clear of spot by 5 mm", before=BEAD)
    assert sorted(lengths(band)) == pytest.approx([53, 53], abs=1e-2)


@pytest.mark.parametrize("mark", ["dot at (3, 3) across 30 mm", "disc at (3, 3)"])
@pytest.mark.parametrize("aside", [0, 4, 11])
def test_a_round_mark_is_round_for_what_keeps_clear_of_it(mark: str, aside: float) -> None:
    """A line ``aside`` mm beside the middle of a disc of radius 15 stops √(17² − aside²) mm short of it on each side,
    and within it runs for twice √(15² − aside²) mm."""
    line = f"from (1, 3) + (0 mm, {aside} mm) line to (5, 3) + (0 mm, {aside} mm)"
    disc = "tool disc { wide 30 mm }"
    outside = once(f"path spot = {mark} carve {line} clear of spot by 2 mm", before=disc)
    assert lengths(outside) == pytest.approx([60 - (17**2 - aside**2) ** 0.5] * 2, abs=2e-3)
    inside = once(f"path spot = {mark} carve {line} within spot", before=disc)
    assert lengths(inside) == pytest.approx([2 * (15**2 - aside**2) ** 0.5], abs=4e-3)


def test_clear_of_passes_the_corners_of_what_it_leaves_round() -> None:
    """A line 3 mm above a rectangle's top and 5 mm to be clear of it: the corner's circle cuts √(5² − 3²) farther."""
    band = once(
        "path box = rectangle from (2, 1) to (4, 3) carve from (0, 93 mm) line to (6, 93 mm) clear of box by 5 mm"
    )
    assert sorted(lengths(band)) == pytest.approx([56, 56], abs=1e-2)


def test_every_copy_of_the_rule_counts() -> None:
    """A line across all cells is clear of every cell's circle."""
    band = lay_band(
        f"{SQUARE} each cell where row = 3 {{ path hole = circle at (1/2, 1/2) across 10 mm"
        " carve from (0, 1/2) line to (1, 1/2) clear of hole by 2 mm }",
        REACH,
    )
    assert lengths(band) == pytest.approx([16] * 12, abs=1e-2)


def test_clear_of_on_a_ball_goes_by_the_wall() -> None:
    """Along the equator past a dot on it: 10 mm of arc each side."""
    form = ball(75, -70, 70, 160)
    tape = 75 * radians(70)
    band = once(
        f"path spot = dot at (90 deg, {tape:.9f} mm) carve from (0, {tape:.9f} mm) line to (180 deg,"
        f" {tape:.9f} mm)"
        " clear of spot by 10 mm",
        "grid columns 12 rows 1",
        "",
        form,
    )
    assert sorted(lengths(band)) == pytest.approx([75 * pi / 2 - 10] * 2, abs=0.02)


def test_an_outline_clear_of_another() -> None:
    band = once("path box = rectangle from (2, 2) to (3, 3) paint rectangle from (1, 1) to (4, 4) clear of box by 2 mm")
    hole = 30 * 30 + 4 * 30 * 2 + pi * 4  # grown by 2 mm with round corners
    assert total(p.area for p in band.paths) == pytest.approx(8100 - hole, abs=0.5)


@pytest.mark.parametrize(("by", "left"), [(11.1, 72), (11.3, 0)])
def test_marks_clear_of(by: float, left: int) -> None:
    """A cell's middle is 15 √2 = 21.21 mm from its corners, 11.21 mm from the circle about each."""
    rule = f"path spot = circle at (1, 1) across 20 mm impress dot at (1/2, 1/2) clear of spot by {by} mm"
    assert len(lay_band(f"{SQUARE} each cell {{ {rule} }}", REACH).points) == left


def test_within_a_closed_path() -> None:
    band = once("path hole = circle at (3, 3) across 60 mm carve from (1, 3) line to (5, 3) within hole")
    assert lengths(band) == pytest.approx([60], abs=1e-2)
    band = once("path box = rectangle from (2, 1) to (4, 5) paint circle at (4, 3) across 60 mm within box")
    assert total(p.area for p in band.paths) == pytest.approx(450 * pi, rel=5e-4)
    band = once(
        "path box = rectangle from (2, 1) to (4, 5) impress dot at (3, 3) within box impress dot at (5, 3) within box"
    )
    assert marks(band) == [(90, 90)]


def test_within_asks_for_something_closed() -> None:
    text = source(
        f"{SQUARE} once {{ path a = from (1, 1) line to (3, 3) carve from (0, 0) line to (3, 2) within a }}", REACH
    )
    assert [e.code for e in errors(text)] == ["wrong-kind"]


@pytest.mark.parametrize(
    "use",
    [
        "carve offset b by 3 mm",
        "carve from (0, 0) line to (1, 1) clear of b by 2 mm",
        "carve from (0, 0) line to (1, 1) within b",
        "impress dot along b every 3 mm",
    ],
)
def test_paths_must_be_known(use: str) -> None:
    found = the_error(source(f"{SQUARE} once {{ {use} }}", REACH))
    assert (found.code, found.underlined) == ("unknown-name", "b")


# ---------------------------------------------------------------- paths that are hardly there, or cross themselves

EMPTY = [
    "from (0, 0) line to (0, 0)",
    "from (2 mm, 1/4) line to (2 mm, 1/4)",
    "from (0 mm, 5 mm) line to (0 mm, 5 mm) close",
    "from (1, 1) taut to (1, 1)",
    "from (0, 0) line to (0, 0) line to (0, 0)",
]
CROSSED = [
    "from (1/4, 5 mm) taut to (3/4, 1/4) line to (-3 mm, 1/4 in) taut to (0.7, 5 mm) close",
    "from (0, 1/4 in) curve to (0, 1/2) leaving (3/4, 3/4) arriving (1/4 in, 2 mm) close",
    "from (0, 0) line to (1, 1) line to (1, 0) line to (0, 1) close",
    "from (0, 0) curve to (1, 0) leaving (3, 2) arriving (-2, 2) close",
]
USES = [
    "carve a",
    "paint a",
    "carve offset a by 1 mm",
    "carve offset a both by 2 mm",
    "impress dot along a every 3 mm",
    "paint rectangle from (0, 0) to (1, 1) clear of a by 2 mm",
    "carve from (0, 0) line to (2, 1) clear of a by 1 mm",
    "carve offset a outward by 2 mm",
    "carve offset a inward by 2 mm",
    "paint rectangle from (0, 0) to (1, 1) within a",
    "paint a clear of a by 1 mm",
    "impress dot at (1/2, 1/2) within a",
]


@pytest.mark.parametrize("use", USES)
@pytest.mark.parametrize("path", EMPTY + CROSSED)
def test_odd_paths_are_laid_or_told(path: str, use: str) -> None:
    """Whatever is done with a path of no length or one that crosses itself ends in a piece or in messages."""
    for form, grid in ((CONE, "grid columns 6 rows 3"), (PLATE, "grid columns 6 spaced 3 : 1 rows 3")):
        rule = f"each 2 by 1 cells where column * row = 1 {{ path a = {path} {use} }}"
        found = motif.loads(source(f"{grid} {rule}", "from tape 10 mm to rim", form))
        laid = found.lay("p")
        if laid is None:
            assert {m.code for m in found.messages.sorted() if m.severity == "error"} <= {"wrong-kind", "out-of-range"}
        else:
            assert all(p.length > 0 and np.all(np.isfinite(p.points)) for p in laid.bands[0].paths)


def test_a_bow_tie_has_the_area_of_its_two_halves() -> None:
    """Painted it covers two triangles of a quarter cell each, whichever way round they are drawn."""
    path = "from (1, 1) line to (2, 2) line to (2, 1) line to (1, 2) close"
    band = once(f"paint {path}")
    assert total(p.area for p in band.paths) == pytest.approx(450, rel=1e-3)
    band = once(f"path far = circle at (8, 3) across 1 paint {path} clear of far by 1 mm")
    assert total(p.area for p in band.paths) == pytest.approx(450, rel=1e-3)
