"""Points, lines, arcs, curves, outlines: where they run, how long they are and what they enclose.

``SQUARE`` has cells of 30 mm by 30 mm on a can 360 mm round, so grid circles are circles on the clay there.
Lengths and areas are closed forms, published values (with their records) or quadrature by scipy.
"""

from __future__ import annotations

from collections.abc import Callable
from math import asin, cos, degrees, hypot, pi, radians, sin, sqrt

import numpy as np
import pytest
from scipy.integrate import quad

import motif
from motif.laying.piece import LaidBand, LaidPath
from tests.laying.bench import CONE, ends, lay_band, lengths, marks, source, the_error, total
from tests.reference import record, records

SQUARE = "grid columns 12 rows 6"
REACH = "from foot to tape 180 mm"


def once(drawing: str, grid: str = SQUARE, reach: str = REACH, form: str | None = None, before: str = "") -> LaidBand:
    return lay_band(f"{grid} once {{ {drawing} }}", reach, before=before, **({} if form is None else {"form": form}))


def one(drawing: str, **kw: str) -> LaidPath:
    (path,) = once(drawing, **kw).paths
    return path


# ---------------------------------------------------------------- points


@pytest.mark.parametrize(("point", "angle", "tape"), [
    ("(1/2, 3/2)", 15, 45),
    ("(7 mm, 20 mm)", 7, 20),                      # lengths are from that place
    ("(1/2, 20 mm)", 15, 20),
    ("(7 mm, 1/2)", 7, 15),
    ("(20 deg, 1/2)", 20, 15),
    ("(1/4 turn, 20 mm)", 90, 20),
    ("(1, 2) + (5 mm, 7 mm)", 35, 67),
    ("(1, 2) + (-5 mm, -7 mm)", 25, 53),
    ("(-1, 2)", 330, 60),                          # the pot is round
    ("(13, 2)", 30, 60),
    ("(-1/4 turn, 0)", 270, 0),
])  # fmt: skip
def test_points(point: str, angle: float, tape: float) -> None:
    assert marks(once(f"guide dot at {point}")) == [pytest.approx((angle, tape), abs=1e-6)]


def test_a_length_goes_first_up_the_wall_then_along_the_ring_so_reached() -> None:
    # cone: 25 mm up is radius 40; 10 mm along that ring is a quarter of a radian
    for point in ("(0, 0) + (10 mm, 25 mm)", "(10 mm, 25 mm)", "(10 mm, 1/2)"):
        band = once(f"guide dot at {point}", "grid columns 12 rows 1", "from foot to rim", CONE)
        assert marks(band) == [pytest.approx((degrees(0.25), 25), abs=1e-6)]


def test_lengths_are_from_the_place() -> None:
    grid = "grid columns 3 rows 2"
    assert marks(lay_band(f"{grid} each cell where column = 2 {{ guide dot at (5 mm, 7 mm) }}")) == [
        (125, 7),
        (125, 107),
    ]
    assert marks(
        lay_band(f"{grid} each crossing where vertical = 2 and ring > 0 {{ guide dot at (-5 mm, -7 mm) }}")
    ) == [(115, 93), (115, 193)]
    assert marks(lay_band(f"{grid} each ring where ring > 0 {{ guide dot at (5 mm, -7 mm) }}")) == [(5, 93), (5, 193)]
    assert marks(lay_band(f"{grid} each vertical {{ guide dot at (5 mm, 7 mm) }}")) == [(5, 7), (125, 7), (245, 7)]


@pytest.mark.parametrize(("point", "underlined"), [
    ("(0, 10 deg)", "10 deg"),            # up the wall there are no angles
    ("(0, 0) + (1, 2 mm)", "1"),          # lengths come after the cells
    ("(0, 0) + (2 mm, 1/2)", "1/2"),
    ("(5 mm, 0) + (1 mm, 1 mm)", "5 mm"),  # cells come first
    ("(\"a\", 0)", "\"a\""),
    ("(1 mm * 1 mm, 0)", "1 mm * 1 mm"),
    ("(1 tsp, 0)", "1 tsp"),
])  # fmt: skip
def test_points_of_the_wrong_kind(point: str, underlined: str) -> None:
    found = the_error(source(f"{SQUARE} once {{ guide dot at {point} }}", REACH))
    assert (found.code, found.underlined) == ("wrong-kind", underlined)


# ---------------------------------------------------------------- flowing lines


def test_a_line_joins_its_points() -> None:
    path = one("carve from (1, 1) line to (4, 5) line to (5, 5) line to (5, 1)")
    assert path.length == pytest.approx(150 + 30 + 120, abs=1e-9)
    assert ends(path) == (30, 30, 150, 30) and not path.closed and path.area == 0


def test_a_line_runs_the_way_the_coordinates_say() -> None:
    path = one("carve from (0, 0) line to (30, 6)")  # two and a half times round
    assert path.length == pytest.approx(hypot(900, 180), abs=1e-6)
    assert ends(path) == (0, 0, 900, 180)
    assert one("carve from (0, 1) line to (-18, 1)").length == pytest.approx(540, abs=1e-6)


def test_a_flowing_line_on_a_cone() -> None:
    """∫ √(1 + (r dθ/ds)²) ds with r = 60 − 0.8 s, by scipy's quadrature."""
    band = once("carve from (0, 0) line to (5, 4)", "grid columns 12 rows 4", "from foot to rim", CONE)
    turn = 2 * pi * 5 / 12 / 50
    wanted, _ = quad(lambda s: sqrt(1 + ((60 - 0.8 * s) * turn) ** 2), 0, 50, epsabs=1e-12)
    assert band.paths[0].length == pytest.approx(wanted, abs=1e-7)


def test_a_line_passes_each_ring_at_an_even_division() -> None:
    band = once("carve from (0, 0) line to (6, 3)", "grid columns 12 rows 3 spaced 3 : 1 : 2", "from foot to rim")
    points = np.degrees(band.paths[0].points[:, 0]), band.paths[0].points[:, 1]
    assert np.interp(band.rings.tape, points[1], points[0]) == pytest.approx([0, 60, 120, 180], abs=1e-6)


def test_chords_stay_near_the_wall() -> None:
    """No chord of a path leaves the wall by more than 0.05 mm: the sagitta r (1 − cos Δ/2) of every step."""
    for form in (None, CONE):
        band = once(
            "carve from (0, 0) line to (12, 1) carve from (0, 0) arc to (6, 1) rise 1/3 carve circle at (3, "
            "1/2)"
            " across 1",
            "grid columns 12 rows 1",
            "from foot to rim",
            form,
        )
        for path in band.paths:
            step = np.abs(np.diff(path.points[:, 0]))
            radius = 180 / pi if form is None else 60 - 0.8 * np.minimum(path.points[1:, 1], path.points[:-1, 1])
            assert np.max(radius * (1 - np.cos(step / 2))) <= 0.05


@pytest.mark.parametrize(
    "line",
    [
        "from (1, 1) line to (1, 1)",
        "from (1, 1) taut to (1, 1)",
        "from (5 mm, 1) taut to (5 mm, 1)",
        "from (1, 1) curve to (1, 1) leaving (1, 1) arriving (1, 1)",
    ],
)
def test_a_line_of_no_length_is_refused_or_makes_nothing(line: str) -> None:
    """Where the language is silent: nothing that a hand could not make comes out as a stroke of no length."""
    document = motif.loads(source(f"{SQUARE} once {{ carve {line} guide dot at (2, 2) }}", REACH))
    laid = document.lay("p")
    assert laid is None or all(p.length > 0 for p in laid.bands[0].paths)


@pytest.mark.parametrize(
    "line",
    [
        "from (1, 1) line to (1, 1) line to (3, 1)",
        "from (1, 1) line to (3, 1) line to (3, 1)",
        "from (1, 1) line to (2, 1) line to (2, 1) line to (3, 1)",
    ],
)
def test_a_corner_said_twice_changes_nothing(line: str) -> None:
    band = once(f"carve {line} carve from (3, 1) line to (5, 1)")
    assert lengths(band) == pytest.approx([120], abs=1e-6)  # and the stroke still goes on from it


# ---------------------------------------------------------------- arcs


def test_an_arc_rises_to_the_left_of_travel() -> None:
    right = one("carve from (1, 3) arc to (3, 3) rise 1/4")
    assert np.max(right.points[:, 1]) == pytest.approx(90 + 15, abs=0.05) and np.min(right.points[:, 1]) >= 90 - 1e-9
    left = one("carve from (3, 3) arc to (1, 3) rise 1/4")
    assert np.min(left.points[:, 1]) == pytest.approx(90 - 15, abs=0.05) and np.max(left.points[:, 1]) <= 90 + 1e-9
    up = one("carve from (3, 1) arc to (3, 3) rise 1/4")
    assert np.degrees(np.min(up.points[:, 0])) == pytest.approx(90 - 15, abs=0.05)
    below = one("carve from (1, 3) arc to (3, 3) rise -1/4")
    assert np.min(below.points[:, 1]) == pytest.approx(90 - 15, abs=0.05)


@pytest.mark.parametrize("rise", [0.01, 0.1, 0.207106781187, 0.5, 0.8, 1.5, -0.3, -0.5])
def test_length_of_an_arc(rise: float) -> None:
    """Radius from chord and rise r = (c² + 4h²) / 8h (record 1.segment.radius); arc = r × angle."""
    chord, h = hypot(60, 30), abs(rise) * hypot(60, 30)
    r = (chord**2 + 4 * h**2) / (8 * h)
    angle = 2 * asin(chord / 2 / r) if abs(rise) <= 0.5 else 2 * pi - 2 * asin(chord / 2 / r)
    assert one(f"carve from (4, 2) arc to (6, 3) rise {rise}").length == pytest.approx(r * angle, abs=1e-6)


def test_a_rise_of_0_is_the_straight_line() -> None:
    assert one("carve from (1, 1) arc to (5, 4) rise 0").length == pytest.approx(150, abs=1e-9)
    assert one("carve from (1, 1) arc to (5, 4) rise 1/1000000000").length == pytest.approx(150, abs=1e-6)


def test_published_segments() -> None:
    """Machinery's Handbook segments of circles: chord from radius and rise; arc and area of a segment."""
    known = record("1.segment.full")
    r, h = known["inputs"]["r"], known["inputs"]["rise"]
    chord, angle, arc, area = known["expected"]
    c = 2 * sqrt(h * (2 * r - h))
    assert c == pytest.approx(chord, abs=known["tolerance"][0])
    line = one(f"carve from (1, 2) arc to ({1 + c / 30!r}, 2) rise {h / c!r}")
    assert line.length == pytest.approx(arc, abs=known["tolerance"][2])
    assert degrees(line.length / r) == pytest.approx(angle, abs=known["tolerance"][1])
    segment = one(f"paint from (1, 2) arc to ({1 + c / 30!r}, 2) rise {h / c!r} close")
    assert segment.area == pytest.approx(area, abs=known["tolerance"][3])
    known = record("1.segment.chord")
    r, h, c = known["inputs"]["r"], known["inputs"]["h"], known["expected"]
    # a chord of 59.86 mm with a rise of 8 mm belongs to radius 60: arc = 2 r asin(c / 2r)
    line = one(f"carve from (1, 2) arc to ({1 + c / 30!r}, 2) rise {h / c!r}")
    assert line.length == pytest.approx(2 * r * asin(c / 2 / r), abs=known["tolerance"])


@pytest.mark.parametrize("key", ["1.segment.radius", "1.segment.radius2"])
def test_published_radius_from_chord_and_rise(key: str) -> None:
    known = record(key)
    c, h, r = known["inputs"]["c"], known["inputs"]["h"], known["expected"]
    line = one(f"carve from (1, 2) arc to ({1 + c / 30!r}, 2) rise {h / c!r}")
    assert line.length == pytest.approx(2 * r * asin(c / 2 / r), abs=1e-6)  # h < c/2: less than half round


def test_an_arc_in_grid_units_stretches_with_the_cell() -> None:
    """Half a circle of one cell's radius in cells of 30 mm by 10 mm is half an ellipse; length by quadrature."""
    path = one(
        "carve from (0, 1) arc to (2, 1) rise 1/2", grid="grid columns 12 rows 2", reach="from foot to tape 20 mm"
    )
    wanted, _ = quad(lambda t: hypot(30 * sin(t), 10 * cos(t)), 0, pi, epsabs=1e-12)
    assert path.length == pytest.approx(wanted, abs=1e-6)


def test_an_arc_through_a_point() -> None:
    """Through the ends of a diameter and any point of the circle (Thales): radius 30 mm."""
    for at in (10, 45, 90, 123, 179):
        q = f"({2 + cos(radians(at))!r}, {3 + sin(radians(at))!r})"
        over = one(f"carve from (3, 3) arc to (1, 3) through {q}")
        assert over.length == pytest.approx(30 * pi, abs=1e-6)
        assert np.max(over.points[:, 1]) == pytest.approx(120, abs=0.05)
    under = one("carve from (3, 3) arc to (1, 3) through (2, 2)")
    assert np.min(under.points[:, 1]) == pytest.approx(60, abs=0.05)


def test_the_long_way_round_through_a_point() -> None:
    # from 0° to 90° of a circle of 30 mm, through its lowest point: 270° of it
    assert one("carve from (3, 3) arc to (2, 4) through (2, 2)").length == pytest.approx(30 * 1.5 * pi, abs=1e-6)


@pytest.mark.parametrize(("arc", "words"), [
    ("from (1, 1) arc to (3, 3) through (2, 2)", "line"),
    ("from (1, 1) arc to (1, 1) through (2, 2)", "begins"),
    ("from (1, 1) arc to (1, 1) rise 1/2", "begins"),
])  # fmt: skip
def test_arcs_that_are_none(arc: str, words: str) -> None:
    found = the_error(source(f"{SQUARE} once {{ carve {arc} }}", REACH))
    assert found.code == "out-of-range" and words in found.words


def test_a_rise_is_a_number_or_a_length() -> None:
    for rise, kind in (("30 deg", "angle"), ('"a"', "text")):
        found = the_error(source(f"{SQUARE} once {{ carve from (1, 1) arc to (2, 1) rise {rise} }}", REACH))
        assert (found.code, found.underlined) == ("wrong-kind", rise) and kind in found.words


# ---------------------------------------------------------------- curves


def test_a_curve_is_a_cubic_bezier() -> None:
    p, q, r, s = (np.array(x, dtype=float) * 30 for x in ((1, 1), (2, 4), (4, 0), (5, 3)))
    path = one("carve from (1, 1) curve to (5, 3) leaving (2, 4) arriving (4, 0)")

    def speed(t: float) -> float:
        d = 3 * (1 - t) ** 2 * (q - p) + 6 * t * (1 - t) * (r - q) + 3 * t**2 * (s - r)
        return float(np.hypot(*d))

    assert path.length == pytest.approx(quad(speed, 0, 1, epsabs=1e-11)[0], abs=1e-6)
    middle = (p + 3 * q + 3 * r + s) / 8
    flat = np.column_stack([np.degrees(path.points[:, 0]), path.points[:, 1]])
    assert np.min(np.hypot(*(flat - middle).T)) < 3  # a drawn point near t = 1/2
    assert ends(path) == (30, 30, 150, 90)


def test_control_points_may_be_lengths() -> None:
    a = one("carve from (1, 1) curve to (5, 3) leaving (2, 4) arriving (4, 0)")
    b = one("carve from (30 mm, 30 mm) curve to (5, 3) leaving (2, 120 mm) arriving (120 mm, 0)")
    assert b.length == pytest.approx(a.length, abs=1e-6)


# ---------------------------------------------------------------- outlines


def test_close_adds_the_last_side() -> None:
    path = one("paint from (1, 1) line to (4, 1) line to (4, 5) close")
    assert path.closed and path.area == pytest.approx(90 * 120 / 2, abs=1e-4)
    assert one("carve from (1, 1) line to (4, 1) line to (4, 5) close").length == pytest.approx(
        90 + 120 + 150, abs=1e-6
    )


def test_close_on_the_first_point_adds_nothing() -> None:
    path = one("carve from (1, 1) line to (4, 1) line to (4, 5) line to (1, 1) close")
    assert path.closed and path.length == pytest.approx(360, abs=1e-6)
    assert path.area == pytest.approx(5400, abs=1e-4)  # counted either way


def test_an_area_does_not_depend_on_the_way_of_travel() -> None:
    assert one("paint from (4, 5) line to (4, 1) line to (1, 1) close").area == pytest.approx(5400, abs=1e-4)


def test_a_line_that_comes_back_without_close_has_no_area() -> None:
    path = one("paint from (1, 1) line to (4, 1) line to (4, 5) line to (1, 1)")
    assert path.area == 0 and path.length == pytest.approx(360, abs=1e-6)


def test_a_rectangle_runs_counter_clockwise_from_its_lower_left() -> None:
    for corners in ("(1, 1) to (4, 5)", "(4, 5) to (1, 1)", "(1, 5) to (4, 1)", "(4, 1) to (1, 5)"):
        path = one(f"carve rectangle from {corners}")
        corner = [tuple(x) for x in np.round(np.column_stack([np.degrees(path.points[:, 0]), path.points[:, 1]]), 6)]
        turns = [corner.index(c) for c in ((30, 30), (120, 30), (120, 150), (30, 150))]
        assert turns == sorted(turns) and turns[0] == 0
        assert (path.length, path.area) == (pytest.approx(420, abs=1e-6), pytest.approx(10800, abs=1e-4))


def test_a_rectangle_on_a_cone_is_a_piece_of_a_ring_sector() -> None:
    """Area ∫ r Δθ ds, edges r₀ Δθ, r₁ Δθ and twice the tape."""
    band = once("carve rectangle from (0, 1) to (3, 4)", "grid columns 12 rows 5", "from foot to rim", CONE)
    turn = 2 * pi / 4
    assert band.paths[0].area == pytest.approx(turn * (52 + 28) / 2 * 30, abs=1e-6)
    assert band.paths[0].length == pytest.approx(turn * (52 + 28) + 60, abs=1e-6)


def test_rectangles_in_lengths() -> None:
    assert one("paint rectangle from (1, 1) to (1, 1) + (20 mm, 7 mm)").area == pytest.approx(140, abs=1e-4)
    assert one("paint rectangle from (5 mm, 5 mm) to (25 mm, 12 mm)").area == pytest.approx(140, abs=1e-4)


@pytest.mark.parametrize("corners", ["(1, 1) to (1, 4)", "(1, 1) to (4, 1)", "(1, 1) to (1, 1)"])
def test_a_rectangle_has_a_width_and_a_height(corners: str) -> None:
    assert the_error(source(f"{SQUARE} once {{ paint rectangle from {corners} }}", REACH)).code == "out-of-range"


@pytest.mark.parametrize("known", records("5.ellipse.exact."), ids=lambda r: r["id"])
def test_a_circle_in_grid_units_is_an_ellipse_of_the_cell(known: dict) -> None:
    """Perimeter 4 a E(m) (record), area π a b: cells of 2a by 2b, scaled to a = 100 mm."""
    scale = 100 / known["inputs"]["a"]
    a, b = 100.0, known["inputs"]["b"] * scale
    form = f"form can {{ profile straight {{ at 0 mm around {8 * a} mm at {6 * b} mm around {8 * a} mm }} }}"
    path = one("carve circle at (3/2, 3/2) across 1", grid="grid columns 4 rows 3", reach="", form=form)
    assert path.closed
    assert path.length == pytest.approx(known["expected"] * scale, abs=1e-5)
    assert path.area == pytest.approx(pi * a * b, abs=1e-3)


def test_a_published_ellipse() -> None:
    """Machinery's Handbook: area, and a perimeter by π √(2 (a² + b²)), which is 0.5 % too long (see the record)."""
    known = record("5.ellipse.mh")
    a, b = known["inputs"]["a"], known["inputs"]["b"]
    form = f"form can {{ profile straight {{ at 0 mm around {8 * a} mm at {6 * b} mm around {8 * a} mm }} }}"
    path = one("paint circle at (3/2, 3/2) across 1", grid="grid columns 4 rows 3", reach="", form=form)
    area, around = known["expected"]
    assert path.area == pytest.approx(area, abs=known["tolerance"][0])
    assert around / path.length == pytest.approx(1.005, abs=0.0005)


def test_a_circle_is_across_not_radius() -> None:
    path = one("paint circle at (3, 3) across 2")
    assert path.area == pytest.approx(pi * 30**2, abs=1e-4)
    assert (np.min(path.points[:, 1]), np.max(path.points[:, 1])) == pytest.approx((60, 120), abs=0.05)


@pytest.mark.parametrize("size", ["0", "-1", "0 mm", "-2 mm"])
def test_a_circle_has_a_size(size: str) -> None:
    found = the_error(source(f"{SQUARE} once {{ paint circle at (3, 3) across {size} }}", REACH))
    assert (found.code, found.underlined) == ("out-of-range", size)


def test_an_outline_all_round_encloses_the_ring_between() -> None:
    """A rectangle from vertical 1 round to vertical 1 again: the whole ring of wall between two tapes."""
    assert one("paint rectangle from (0, 1) to (12, 3)").area == pytest.approx(360 * 60, abs=1e-3)


# ---------------------------------------------------------------- dots and footprints

TOOTH = "tool tooth { outline from (-10 mm, 0 mm) line to (10 mm, 0 mm) line to (0 mm, 20 mm) close volume 1/4 tsp }"
BEAD = "tool bead { wide 8 mm deep 2 mm pitch 3 mm cuts 1 mm volume 1 ml }"


def test_dots() -> None:
    band = once("impress dot at (1, 1) impress dot at (2, 1) across 3 mm")
    assert np.isnan(band.points.across[0]) and band.points.across[1] == 3
    assert not band.points.is_footprint.any() and band.points.area.tolist() == [0, 0]


def test_a_dot_takes_a_length_only() -> None:
    found = the_error(source(f"{SQUARE} once {{ impress dot at (1, 1) across 1/2 }}", REACH))
    assert (found.code, found.underlined) == ("wrong-kind", "1/2")


def test_footprints_keep_their_area() -> None:
    """On a can the wall is flat when unrolled: a triangle 20 by 20 mm, a disc 8 mm across."""
    band = once(
        "impress tooth at (1, 1) attach bead at (2, 2) impress tooth at (4, 1) tilted 30 deg", before=TOOTH + BEAD
    )
    assert band.points.is_footprint.all()
    assert band.points.area == pytest.approx([200, pi * 16, 200], abs=1e-3)
    assert band.points.lean == pytest.approx([0, 0, radians(30)], abs=1e-12)


@pytest.mark.parametrize(("edge", "area"), [
    ("line to (5 mm, 0 mm) arc to (-5 mm, 0 mm) rise chord / 2", pi * 25 / 2),  # half a disc of radius 5
    ("line to (5 mm, 0 mm) arc to (-5 mm, 0 mm) through (0 mm, 5 mm)", pi * 25 / 2),
    # a cubic Bézier: y = 30 t (1 − t), dx = 60 t (1 − t) dt, and ∫ y dx from 0 to 1 is 1800 B(3, 3) = 1800 / 30
    ("curve to (5 mm, 0 mm) leaving (-5 mm, 10 mm) arriving (5 mm, 10 mm)", 60),
])  # fmt: skip
def test_the_area_of_a_bent_footprint_is_that_of_its_curve(edge: str, area: float) -> None:
    band = once("attach leaf at (2, 2)", before=f"tool leaf {{ outline from (-5 mm, 0 mm) {edge} close }}")
    assert band.points.area == pytest.approx([area], abs=1e-3)


def test_a_tilt_is_counter_clockwise_from_straight_up() -> None:
    band = once("impress tooth at (3, 3) tilted 30 deg", before=TOOTH)
    shape = band.points.shapes[int(band.points.shape[0])]
    x, y = np.degrees(shape[:, 0]), shape[:, 1] - 90
    tip = int(np.argmax(np.hypot(x, y)))
    assert (x[tip], y[tip]) == pytest.approx((-20 * sin(radians(30)), 20 * cos(radians(30))), abs=1e-4)


def test_an_outline_has_its_size_of_itself() -> None:
    band = once("impress dot at (1, 1) across tooth.wide impress dot at (2, 1) across tooth.tall / 2", before=TOOTH)
    assert band.points.across == pytest.approx([20, 10], abs=1e-9)


def test_a_footprint_takes_a_tool() -> None:
    for text, code in (
        ("impress nib at (1, 1)", "unknown-name"),
        ("let nib = 3 mm impress nib at (1, 1)", "wrong-kind"),
    ):
        found = the_error(source(f"{SQUARE} once {{ {text} }}", REACH))
        assert (found.code, found.underlined) == (code, "nib")


@pytest.mark.parametrize("technique", ["roulette", "trail"])
@pytest.mark.parametrize("mark", ["dot at (1, 1)", "bead at (1, 1)"])
def test_what_works_lines_makes_no_points(technique: str, mark: str) -> None:
    pitch = " pitch 3 mm" if technique == "roulette" else ""
    found = the_error(source(f"{SQUARE} once {{ {technique} {mark}{pitch} }}", REACH, before=BEAD))
    assert (found.code, found.underlined) == ("wrong-kind", mark)


# ---------------------------------------------------------------- techniques


@pytest.mark.parametrize("technique", ["guide", "incise", "carve", "roulette", "trail"])
def test_techniques_that_work_along_the_edge(technique: str) -> None:
    path = one(f"{technique} circle at (3, 3) across 2" + (" pitch 3 mm" if technique == "roulette" else ""))
    assert not path.worked_over and path.length == pytest.approx(60 * pi, abs=1e-6)
    assert path.area == pytest.approx(900 * pi, abs=1e-4)  # counted either way


@pytest.mark.parametrize("technique", ["impress", "pierce", "attach", "paint"])
def test_techniques_that_work_over_the_area(technique: str) -> None:
    path = one(f"{technique} circle at (3, 3) across 2")
    assert path.worked_over and path.area == pytest.approx(900 * pi, abs=1e-4)


def test_a_tool_gives_what_the_line_leaves_out() -> None:
    work = one("incise from (0, 0) line to (1, 1) with bead depth 1 mm", before=BEAD).work
    assert (work.width, work.pitch, work.depth, work.tool and work.tool.name) == (1, 3, 1, "bead")
    work = one("incise from (0, 0) line to (1, 1) with bead width 2 mm pitch 5 mm", before=BEAD).work
    assert (work.width, work.pitch, work.depth) == (2, 5, None)


@pytest.mark.parametrize(("pitch", "length", "count"), [
    (3, 30, 10), (3, 31, 10), (4, 30, 8),   # 30/8 = 3.75 is 0.25 off, 30/7 = 4.29 is 0.29 off
    (40, 30, 1), (100, 30, 1),
    (24, 36, 2),                            # 36 is 12 off, 18 is 6 off
    (27, 36, 2),                            # 36 and 18 are both 9 off: the larger number
])  # fmt: skip
def test_a_roulette_makes_whole_impressions(pitch: float, length: float, count: int) -> None:
    path = one(f"roulette from (0, 1) line to ({length} mm, 1) pitch {pitch} mm")
    assert path.impressions == count
    assert path.pitch_reached == pytest.approx(length / count, abs=1e-9)


def test_a_roulette_needs_a_pitch() -> None:
    found = the_error(source(f"{SQUARE} once {{ roulette from (0, 0) line to (1, 1) }}", REACH))
    assert found.code == "no-value"
    nib = "tool nib { wide 3 mm }"
    found = the_error(source(f"{SQUARE} once {{ roulette from (0, 0) line to (1, 1) with nib }}", REACH, before=nib))
    assert found.code == "no-value"


@pytest.mark.parametrize(("modifier", "code"), [
    ("depth 0 mm", "out-of-range"), ("width -1 mm", "out-of-range"), ("pitch 0 mm", "out-of-range"),
    ("depth 2", "wrong-kind"), ("width 10 deg", "wrong-kind"), ("colour 3", "wrong-kind"), ("with 3 mm", "wrong-kind"),
    ("depth 1 mm depth 2 mm", "defined-twice"),
])  # fmt: skip
def test_modifiers_are_checked(modifier: str, code: str) -> None:
    assert the_error(source(f"{SQUARE} once {{ carve from (0, 0) line to (1, 1) {modifier} }}", REACH)).code == code


def test_modifiers_may_differ_from_place_to_place() -> None:
    band = lay_band("grid columns 4 rows 1 each cell { carve from (1/4, 1/2) line to (3/4, 1/2) depth column * 1 mm }")
    assert [p.work.depth for p in band.paths] == [1, 2, 3, 4]


def test_along_is_for_rings_and_verticals() -> None:
    for place in ("each cell", "each crossing", "once", "each 2 by 2 cells"):
        found = the_error(source(f"{SQUARE} {place} {{ carve along }}", REACH))
        assert (found.code, found.underlined) == ("wrong-kind", "along")


# ---------------------------------------------------------------- traditional blocks, drawn as motifs


def test_interlocking_rings() -> None:
    """Record 11.rings: circles about the cells through the cells' corners; here a cell is 30 mm."""
    radius, arc, lens_length, lens_width, lens_area, star = (x * 30 for x in record("11.rings")["expected"])
    assert one("carve circle at (3, 3) across sqrt(2)").length == pytest.approx(2 * pi * radius, abs=1e-5)
    rise = record("11.rings")["expected"][3] / 2  # half a lens's width over the lens's length
    line = one(f"carve from (1, 1) arc to (1, 2) rise {rise!r}")
    assert line.length == pytest.approx(arc, abs=1e-6)
    lens = one(f"paint from (1, 1) arc to (1, 2) rise {rise!r} arc to (1, 1) rise {rise!r} close")
    assert lens.area == pytest.approx(lens_area * 30, abs=1e-3)
    assert np.ptp(np.degrees(lens.points[:, 0])) == pytest.approx(lens_width, abs=0.05)
    centre = one(
        f"paint from (1, 1) arc to (2, 1) rise {rise!r} arc to (2, 2) rise {rise!r} arc to (1, 2) rise "
        f"{rise!r}"
        f" arc to (1, 1) rise {rise!r} close"
    )
    assert centre.area == pytest.approx(star * 30, abs=1e-3)
    assert lens_length == 30


def test_a_hexagon_of_unit_side() -> None:
    """Record 11.hexagon (side 1: row pitch 3/2, column pitch √3), side 20 mm by lengths."""
    flats, corners, area, *_ = record("11.hexagon")["expected"]
    x, y = flats / 2 * 20, corners / 2 * 20
    corner = [(0, y), (-x, y / 2), (-x, -y / 2), (0, -y), (x, -y / 2), (x, y / 2)]
    path = one("paint from " + " line to ".join(f"({a!r} mm, {90 + b!r} mm)" for a, b in corner) + " close")
    assert path.area == pytest.approx(area * 400, abs=1e-3)


def test_tumbling_blocks_from_rhombi() -> None:
    """Record 11.tumbling: rhombus of side 1 with 60°; the figure's own box is √3 by 2, a cell 30 mm per unit."""
    long, short, area, _, _ = record("11.tumbling")["expected"]
    round_ = f"around {12 * 30 * sqrt(3)!r} mm"
    form = f"form can {{ profile straight {{ at 0 mm {round_} at 120 mm {round_} }} }}"
    figure = (
        "figure cube sqrt(3) by 2 { path top = from (0, 3/2) line to (sqrt(3) / 2, 1) line to (sqrt(3), 3/2)"
        " line to (sqrt(3) / 2, 2) close  paint top carve top }"
    )
    band = lay_band("grid columns 12 rows 2 each cell where column * row = 1 { draw cube }", form=form, before=figure)
    over, edge = band.paths
    assert over.area == pytest.approx(area * 900, abs=1e-3)
    assert edge.length == pytest.approx(4 * 30, abs=1e-6)
    assert np.ptp(edge.points[:, 0]) * 360 * sqrt(3) / (2 * pi) == pytest.approx(long * 30, abs=1e-6)
    assert np.ptp(edge.points[:, 1]) == pytest.approx(short * 30, abs=1e-6)


def test_folded_square_and_its_kin() -> None:
    base, height, leg, area, _ = record("11.foldedsquare")["expected"]
    path = one("carve from (1, 1) line to (2, 1) line to (3/2, 3/2) close")
    assert path.length == pytest.approx(30 * (base + 2 * leg), abs=1e-6)
    assert path.area == pytest.approx(900 * area, abs=1e-4) and height == 0.5


@pytest.mark.parametrize(("key", "corner", "around"), [
    ("11.halfsquare", "(1, 2)", lambda leg, hypotenuse: 2 * leg + hypotenuse),
    ("11.quartersquare", "(3/2, 3/2)", lambda hypotenuse, leg: hypotenuse + 2 * leg),
])  # fmt: skip
def test_halves_and_quarters_of_a_square(key: str, corner: str, around: Callable[[float, float], float]) -> None:
    first, second, *_, area = record(key)["expected"]
    path = one(f"paint from (1, 1) line to (2, 1) line to {corner} close")
    assert path.length == pytest.approx(30 * around(first, second), abs=1e-6)
    assert path.area == pytest.approx(900 * area, abs=1e-4)


def test_an_octagon_on_the_middles_of_a_squares_sides() -> None:
    """Record 11.octagon.row: Sundara Row folds it, with its corners on a circle as wide as the square."""
    side, across, area = record("11.octagon.row")["expected"]
    corners = [f"({1.5 + cos(k * pi / 4) / 2!r}, {1.5 + sin(k * pi / 4) / 2!r})" for k in range(8)]
    path = one(f"carve from {' line to '.join(corners)} close")
    assert path.length == pytest.approx(8 * 30 * side, abs=1e-6)
    assert path.area == pytest.approx(900 * area, abs=1e-4)
    flat = np.column_stack((np.degrees(path.points[:, 0]), path.points[:, 1]))
    assert np.ptp(flat @ [cos(pi / 8), sin(pi / 8)]) == pytest.approx(30 * across, abs=1e-6)


def test_an_octagon_in_a_square() -> None:
    side, corner = record("11.octagon")["expected"]
    c = repr(corner)
    path = one(
        f"carve from ({c}, 0) line to (1 - {c}, 0) line to (1, {c}) line to (1, 1 - {c}) line to (1 - {c}, 1)"
        f" line to ({c}, 1) line to (0, 1 - {c}) line to (0, {c}) close"
    )
    assert path.length == pytest.approx(8 * 30 * side, abs=1e-6)
    assert path.area == pytest.approx(900 * (1 - 2 * corner**2), abs=1e-4)


def test_clamshells_are_twice_the_square_of_their_radius() -> None:
    """Record 11.clamshell: upper half circle, lower edge two quarter circles of the row below; area 2 r²."""
    area, round_, *_ = record("11.clamshell")["expected"]
    shell = "from (1, 3) arc to (3, 3) rise 1/2 arc to (2, 2) rise -{q} arc to (1, 3) rise -{q} close".format(
        q="0.207106781186548"
    )
    path = one(f"carve {shell}", grid="grid columns 12 rows 6")
    assert path.length == pytest.approx(30 * round_, abs=1e-5)
    assert path.area == pytest.approx(900 * area, abs=1e-3)


def test_totals_of_a_repeat_are_so_many_of_one() -> None:
    band = lay_band(f"{SQUARE} each cell {{ carve from (1/4, 1/4) line to (3/4, 3/4) }}", REACH)
    assert total(lengths(band)) == pytest.approx(72 * 15 * sqrt(2), abs=1e-6)
