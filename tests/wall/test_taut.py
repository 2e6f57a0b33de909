"""Taut lines: published geodesics, quadratures, geographiclib, scipy's minimiser, closed forms, properties."""

from __future__ import annotations

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import minimize

from motif.wall import Station, Wall, build_wall, lifts, normal_curvature, set_off, taut
from tests.reference import record, records
from tests.wall.shapes import POTS, catenoid, cone, cylinder, pot, sphere, spheroid, torus
from tests.wall.test_compass import globe, tape_of


def test_string_round_a_cylinder() -> None:
    """TIMSS: four turns of circumference 4 over a length of 12."""
    entry = record("3.cylinder.timss")
    turns, around, length = (entry["inputs"][k] for k in ("turns", "circumference", "length"))
    wall = cylinder(10 * around / (2 * np.pi), 10 * length)
    line = taut(wall, 0, 0, 2 * np.pi * turns, 10 * length)
    assert line.length / 10 == pytest.approx(entry["expected"], abs=1e-12)
    assert np.tan(line.leaving) == pytest.approx(length / (turns * around), abs=1e-12)


def test_fly_on_a_cone() -> None:
    """AIME 2004 II, problem 11; scaled to a tenth, point up."""
    entry = record("3.cone.aime")
    height = 20 * np.sqrt(7)
    wall = build_wall([Station(0, 60), Station(height, 0)], smooth=False)
    far = [12.5, 37.5 * np.sqrt(2)]
    line = taut(wall, 0, wall.length - far[0], np.pi, wall.length - far[1])
    assert 10 * line.length == pytest.approx(entry["expected"], abs=1e-5)


@pytest.mark.parametrize("entry", records("3.vincenty"), ids=lambda r: r["id"])
def test_vincentys_lines(entry: dict) -> None:
    """Table II of 1975. (d) and (e) end within a degree of the far side of the globe: there a millionth of the
    length moves the azimuth by degrees, and only the length is compared."""
    given_ = entry["inputs"]
    f = 1 / given_["inv_f"]
    wall, _ = globe(f)
    line = taut(wall, 0, tape_of(wall, f, given_["lat1"]), np.radians(given_["L"]), tape_of(wall, f, given_["lat2"]))
    length, azimuth1, azimuth2 = entry["expected"]
    assert line.length * given_["a"] / 100 == pytest.approx(length, rel=1e-7)
    if entry["id"][-1] in "abc":
        assert 90 - np.degrees(line.leaving) == pytest.approx(azimuth1, abs=5e-4)
        assert 90 - np.degrees(line.arriving) == pytest.approx(azimuth2, abs=5e-4)


def test_karneys_short_line() -> None:
    """Places five metres of the earth apart, 7.8e-5 mm on this globe, to the 1e-9 mm by which lines are told apart."""
    entry = record("3.karney.table3")
    given_ = entry["inputs"]
    f = 1 / 298.257223563
    wall, _ = globe(f)
    tapes = (tape_of(wall, f, given_["lat1"]), tape_of(wall, f, given_["lat2"]))
    line = taut(wall, 0, tapes[0], np.radians(given_["lon12"]), tapes[1])
    length, azimuth1, azimuth2 = entry["expected"]
    assert line.length == pytest.approx(length * 100 / given_["a"], abs=1e-9)
    assert 90 - np.degrees(line.leaving) == pytest.approx(azimuth1, abs=np.degrees(1e-9 / 7.75e-5))
    assert 90 - np.degrees(line.arriving) == pytest.approx(azimuth2, abs=np.degrees(1e-9 / 7.75e-5))


def test_karneys_nearly_antipodal_line() -> None:
    entry = record("3.karney.table6")
    f = 1 / 298.257223563
    wall, _ = globe(f)
    line = taut(wall, 0, tape_of(wall, f, -30), np.radians(179.8), tape_of(wall, f, 29.9))
    assert line.length * 6378137 / 100 == pytest.approx(entry["expected"][0], rel=1e-7)
    assert 90 - np.degrees(line.leaving) == pytest.approx(entry["expected"][1], abs=0.05)


@pytest.mark.parametrize("key", ["3.prolate.gs12", "3.prolate.gs100", "3.prolate.gs33"])
def test_tall_spheroids(key: str) -> None:
    """GeographicLib's own tests; between opposite places of a tall form the line goes round its side."""
    entry = record(key)
    given_ = entry["inputs"]
    f = -1 / 300 if key.endswith("gs33") else given_["f"]
    wall, _ = globe(f)
    tapes = (tape_of(wall, f, given_["lat1"]), tape_of(wall, f, given_["lat2"]))
    line = taut(wall, 0, tapes[0], np.radians(given_["lon12"]), tapes[1])
    tolerance = entry["tolerance"]
    azimuth, length = entry["expected"][0], entry["expected"][-1]
    assert line.length * given_["a"] / 100 == pytest.approx(length, abs=tolerance[-1], rel=1e-7)
    # With two equally short lines, either side of the pole may be the printed one; the almost round globe
    # of gs33 leaves the azimuth to a far place loose.
    got = 90 - np.degrees(line.leaving)
    assert min(abs(got - azimuth), abs(180 - got - azimuth)) < (0.1 if key.endswith("gs33") else 0.01)


def test_great_circles_of_the_navigator() -> None:
    wall = sphere(100, -np.pi / 2, np.pi / 2, 300)
    for key in ("3.sphere.bowditch1208.1", "3.sphere.bowditch1208.2"):
        entry = record(key)
        given_ = entry["inputs"]
        east = (given_["lon2"] - given_["lon1"] + 180) % 360 - 180
        tapes = 100 * (np.radians([given_["lat1"], given_["lat2"]]) + np.pi / 2)
        line = taut(wall, 0, tapes[0], np.radians(east), tapes[1])
        assert np.degrees(line.length / 100) * 60 == pytest.approx(entry["expected"][0], abs=entry["tolerance"][0])
        course = (90 - np.degrees(line.leaving)) % 360
        assert course == pytest.approx(entry["expected"][1], abs=entry["tolerance"][1])


@pytest.mark.parametrize("key", ["3.clairaut.oblate", "3.clairaut.prolate", "3.clairaut.torus", "3.clairaut.catenoid"])
def test_clairaut_quadratures(key: str) -> None:
    """Between the records' two levels the wall goes a little beyond both."""
    entry = record(key)
    wall, levels, c = {
        "3.clairaut.oblate": (spheroid(50, 25, -1.0, 1.2, 300), 25 * np.sin(np.radians([-20, 50])), 0.5),
        "3.clairaut.prolate": (spheroid(50, 100, -1.0, 1.2, 300), 100 * np.sin(np.radians([-30, 40])), 0.6),
        "3.clairaut.torus": (torus(150, 50, -1.2, 1.4, 300), 50 * np.sin(np.radians([-40, 60])), 2.0),
        "3.clairaut.catenoid": (catenoid(50, -1, 1.5, 300), 50 * np.array([-0.5, 1.0]), 0.8),
    }[key]
    tape = wall.tape_at_height(levels, 0, wall.length)
    angle, length = entry["expected"]
    line = taut(wall, 0, tape[0], angle, tape[1])
    assert line.length / 50 == pytest.approx(length, abs=2e-7)
    assert float(wall.radius(tape[0])) * np.cos(line.leaving) / 50 == pytest.approx(c, abs=2e-6)
    assert float(wall.radius(tape[1])) * np.cos(line.arriving) / 50 == pytest.approx(c, abs=2e-6)


@pytest.mark.parametrize("f", [0.05, 0.2, -0.2])
def test_geographiclib_on_mild_spheroids(f: float) -> None:
    """Its series is good to 5e-7 mm there at pot size."""
    a = 75.0
    wall = spheroid(a, a * (1 - f), -1.3, 1.3, 300)
    earth = Geodesic(a, f)
    rng = np.random.default_rng(9)
    reduced = rng.uniform(-0.9, 0.9, (2, 60))
    tape = wall.tape_at_height(a * (1 - f) * np.sin(reduced), 0, wall.length)
    around = rng.uniform(-1.5, 1.5, 60)
    lines = taut(wall, 0, tape[0], around, tape[1])
    latitude = np.degrees(np.arctan(np.tan(reduced) / (1 - f)))
    checked = 0
    for i in range(60):
        if lines.held[i]:
            continue  # foot or rim is in the way, and the spheroid knows of neither
        want = earth.Inverse(latitude[0, i], 0, latitude[1, i], np.degrees(around[i]))
        assert lines.length[i] == pytest.approx(want["s12"], abs=1e-5)
        assert np.cos(lines.leaving[i] - np.radians(90 - want["azi1"])) == pytest.approx(1, abs=1e-9)
        assert np.cos(lines.arriving[i] - np.radians(90 - want["azi2"])) == pytest.approx(1, abs=1e-9)
        checked += 1
    assert checked > 50


def pulled(wall: Wall, low: float, high: float, around: float, by: float) -> float:
    """The length of a polyline of 120 chords, evenly round, pulled tight from a first course by way of tape
    ``by`` with scipy's bounded minimiser."""
    part = around / 120

    def length(inner: np.ndarray) -> tuple[float, np.ndarray]:
        s = np.concatenate(([low], inner, [high]))
        middle, ds = (s[1:] + s[:-1]) / 2, np.diff(s)
        r = wall.radius(middle)
        chord = np.hypot(ds, r * part)
        swing, pull = r * wall.radius_slope(middle) * part**2 / chord / 2, ds / chord
        return float(chord.sum()), (pull + swing)[:-1] + (swing - pull)[1:]

    x = np.linspace(0, 1, 121)[1:-1]
    course = np.interp(x, [0, 0.15, 0.85, 1], [low, by, by, high])
    bounds, most = [(0.0, wall.length)] * 119, {"maxiter": 400, "ftol": 1e-12}
    return float(minimize(length, course, jac=True, method="L-BFGS-B", bounds=bounds, options=most).fun)


@pytest.mark.parametrize(
    ("name", "smooth", "low", "high", "around"),
    [
        ("bottle", True, 30, 138, 6.0),
        ("bottle", True, 152, 51, 9.0),
        ("vase", True, 138, 182, 2.5),
        ("vase", True, 260, 337, 12.0),
        ("vase", False, 10, 243, 6.0),
        ("jar", True, 5, 188, 6.0),
        ("bowl", True, 43, 106, 6.0),
    ],
)
def test_no_pulled_string_is_shorter(name: str, smooth: bool, low: float, high: float, around: float) -> None:
    """Through waists, over bellies and corners, held at foot and rim: of strings pulled tight from three
    courses by scipy the shortest is as long as ours, to what 120 chords can tell (second order)."""
    wall = pot(name, smooth)
    ours = float(taut(wall, 0, low, around, high).length)
    best = min(pulled(wall, low, high, around, by) for by in np.linspace(0, wall.length, 3))
    assert ours <= best + 1e-4
    assert best - ours < 1e-5 * around**2 * ours + 1e-2


def test_held_at_the_foot_in_closed_form() -> None:
    """A cone that widens upward, far round: down along a tangent to the foot's arc, along it, and up again; in
    the developed sector a tangent of length √(ρ² − ρ₀²) that sweeps arccos(ρ₀/ρ)."""
    wall = cone(40, 70, 40)  # slope 0.6
    rho0, rho = 40 / 0.6, 40 / 0.6 + 30
    around = 2.5 * np.pi
    line = taut(wall, 0, 30, around, 30)
    along = around - 2 * np.arccos(rho0 / rho) / 0.6
    assert line.held == pytest.approx(along, abs=1e-5)
    assert line.length == pytest.approx(2 * np.sqrt(rho**2 - rho0**2) + 40 * along, abs=1e-5)


def test_held_in_a_corner_waist_in_closed_form() -> None:
    """Two cones that meet in a narrow ring: both ends a tangent's length from it, whichever side they are on."""
    wall = build_wall([Station(0, 70), Station(40, 40), Station(80, 70)], smooth=False)
    rho0, rho, around = 40 / 0.6, 40 / 0.6 + 30, 3 * np.pi
    along = around - 2 * np.arccos(rho0 / rho) / 0.6
    want = 2 * np.sqrt(rho**2 - rho0**2) + 40 * along
    for tapes in ((20, 80), (20, 20), (80, 80)):
        line = taut(wall, 0, tapes[0], around, tapes[1])
        assert line.length == pytest.approx(want, abs=1e-5)
        assert line.held == pytest.approx(along, abs=1e-5)


def test_held_in_a_corner_above_a_narrower_foot() -> None:
    """The same two cones stand on a third that narrows to the foot: held in the corner a line is a waiting place of
    its own, though farther down, over the belly, there are narrower rings."""
    stations = [(0, 45), (60, 90), (100, 60), (140, 90)]
    wall = build_wall([Station(h, r) for h, r in stations], smooth=False)
    corner, slope, around = 75 + 50, 0.6, 8.0
    rho0, rho = 60 / slope, 60 / slope + 12
    along = around - 2 * np.arccos(rho0 / rho) / slope
    line = taut(wall, 0, corner + 12, around, corner + 12)
    assert line.length == pytest.approx(2 * np.sqrt(rho**2 - rho0**2) + 60 * along, abs=1e-5)
    assert line.held == pytest.approx(along, abs=1e-5)


def test_chords_of_an_unrolled_cone_between_places_on_one_ring() -> None:
    """In the developed sector such a line is a chord, 2 ρ sin(m Δθ/2); it turns within the layer it sets out in."""
    wall = cone(40, 70, 80)
    slope = 30 / np.hypot(30, 80)
    rng = np.random.default_rng(11)
    tape, around = rng.uniform(15, wall.length, 300), rng.uniform(0, 0.9, 300)
    rho = 40 / slope + tape
    lines = taut(wall, 0, tape, around, tape)
    np.testing.assert_allclose(lines.length, 2 * rho * np.sin(slope * around / 2), rtol=0, atol=1e-5)
    np.testing.assert_allclose(lines.leaving, -slope * around / 2, rtol=0, atol=1e-4)


def test_round_a_smooth_waist_many_times() -> None:
    """A catenoid's waist holds a line for as many turns as it likes: the length grows by 2π a each turn."""
    wall = catenoid(40, -1, 1, 200)
    turns = np.array([3, 4, 5, 6])
    lines = taut(wall, 0, 5.0, 2 * np.pi * turns, wall.length - 5)
    np.testing.assert_allclose(np.diff(lines.length), 2 * np.pi * 40, rtol=0, atol=1e-5)


def test_through_a_closed_end() -> None:
    """More than half a turn round a ball's pole is no longer than straight over it."""
    wall = sphere(75, 0, np.pi / 2, 160)
    lines = taut(wall, 0, wall.length - 30, [3.2, 4.0, 5.0], wall.length - 20)
    np.testing.assert_allclose(lines.length, 50, rtol=0, atol=1e-4)
    angle, tape, _ = lines.polyline(1)
    assert tape.max() == pytest.approx(wall.length, abs=1e-4)
    assert (angle[0], angle[-1]) == (0, pytest.approx(4.0))


def test_of_two_equally_short_the_lower() -> None:
    """Round a ball from equator to equator by less than half a turn there is one line; where foot and rim are
    alike and the line leaves the equator, it goes below."""
    wall = sphere(75, -1.0, 1.0)
    line = taut(wall, 0, wall.length / 2, 5.0, wall.length / 2)
    assert line.leaving < 0 < line.arriving
    _, tape, _ = line.polyline(0)
    assert tape.max() <= wall.length / 2 + 1e-9


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(sorted(POTS)),
    st.booleans(),
    st.floats(0, 1),
    st.floats(0, 1),
    st.floats(-9, 9),
    st.floats(-7, 7),
)
def test_properties(name: str, smooth: bool, part0: float, part1: float, around: float, start: float) -> None:
    wall = pot(name, smooth)
    s0, s1 = part0 * wall.length, part1 * wall.length
    line = taut(wall, start, s0, start + around, s1)
    back = taut(wall, start + around, s1, start, s0)
    mirror = taut(wall, -start, s0, -start - around, s1)
    assert line.length == pytest.approx(back.length, abs=1e-7)
    assert line.length == pytest.approx(mirror.length, abs=1e-7)
    # Never longer than the line straight in (angle, tape), which passes each ring at an even division.
    rise = s1 - s0
    joints = [float(np.clip((c - s0) / rise, 0, 1)) for c in wall.station_tapes] if abs(rise) > 1e-6 else []
    straight = quad(
        lambda t: np.hypot(float(wall.radius(s0 + t * rise)) * around, rise), 0, 1, points=joints, limit=200
    )[0]
    assert line.length <= straight + 1e-4
    assert line.length >= abs(rise) - 1e-6
    angle, tape, bearing = line.polyline(0)
    assert (angle[0], tape[0]) == (pytest.approx(start, abs=1e-9), pytest.approx(s0, abs=1e-5))
    assert (angle[-1], tape[-1]) == (pytest.approx(start + around, abs=1e-9), pytest.approx(s1, abs=1e-5))
    # Clairaut: r cos β is the same all along.
    clairaut = wall.radius(tape) * np.cos(bearing)
    assert np.ptp(clairaut) <= 1e-3
    assert (tape.min(), tape.max()) >= (-1e-9, -1e-9)
    assert tape.max() <= wall.length + 1e-9
    # Back to front it is the same line.
    other = back.polyline(0)
    np.testing.assert_allclose(other[1][::-1], tape, rtol=0, atol=1e-6)


@pytest.mark.parametrize("name", sorted(POTS))
def test_polylines_lie_on_the_geodesic_and_near_the_wall(name: str) -> None:
    wall = pot(name)
    rng = np.random.default_rng(6)
    s0, s1 = rng.uniform(0, wall.length, (2, 8))
    lines = taut(wall, 0.0, s0, rng.uniform(-2, 2, 8), s1)
    for i in range(8):
        angle, tape, bearing = lines.polyline(i)
        space = in_space(wall, angle, tape)
        middle = in_space(wall, (angle[1:] + angle[:-1]) / 2, (tape[1:] + tape[:-1]) / 2)
        sag = np.linalg.norm(middle - (space[1:] + space[:-1]) / 2, axis=1)
        assert sag.max() < 0.03
        chords = np.linalg.norm(np.diff(space, axis=0), axis=1).sum()
        assert lines.length[i] - 0.1 < chords <= lines.length[i] + 1e-9
        if not lines.held[i] and lines.length[i] > 0:
            # The same line by set_off, from its leaving bearing, at the distance of a node half-way.
            k = len(angle) // 2
            gone = refined(wall, angle[: k + 1], tape[: k + 1], bearing[: k + 1])
            reached = set_off(wall, 0.0, s0[i], lines.leaving[i], gone)
            assert reached[1] == pytest.approx(tape[k], abs=2e-3)


def in_space(wall: Wall, angle: np.ndarray, tape: np.ndarray) -> np.ndarray:
    radius, height = wall.point(tape)
    return np.stack((radius * np.cos(angle), radius * np.sin(angle), height), axis=-1)


def refined(wall: Wall, angle: np.ndarray, tape: np.ndarray, bearing: np.ndarray) -> float:
    """Length of a line by its chords on the wall's metric at mean radius and mean bearing."""
    middle = wall.radius((tape[1:] + tape[:-1]) / 2)
    return float(np.hypot(np.diff(angle) * middle, np.diff(tape)).sum())


def test_many_lines_at_once_are_the_lines_one_by_one() -> None:
    wall = pot("vase")
    rng = np.random.default_rng(8)
    s0, s1, around = rng.uniform(0, wall.length, 1500), rng.uniform(0, wall.length, 1500), rng.uniform(-8, 8, 1500)
    many = taut(wall, 0, s0, around, s1)
    for i in range(0, 1500, 97):
        one = taut(wall, 0, s0[i], around[i], s1[i])
        assert many.length[i] == pytest.approx(float(one.length), abs=1e-9)
        assert many.leaving[i] == pytest.approx(float(one.leaving), abs=1e-6)


def test_shapes_and_nothing() -> None:
    wall = pot("jar")
    assert taut(wall, [[0.0], [1.0]], 10.0, 0.5, [20.0, 30.0, 40.0]).length.shape == (2, 3)
    assert taut(wall, 0.3, 20.0, 0.3, 20.0).length == 0
    assert taut(wall, np.zeros(0), 1.0, 2.0, 3.0).length.shape == (0,)
    angle, tape, _ = taut(wall, 0.3, 20.0, 0.3, 20.0).polyline(0)
    assert (set(angle.tolist()), set(np.round(tape, 9).tolist())) == ({0.3}, {20.0})


def test_normal_curvature_of_known_surfaces() -> None:
    """Sphere 1/R every way; torus 1/tube up the wall, cos t/(R + tube cos t) round it; cylinder 0 up, 1/R round."""
    bearing = np.array([0.0, 0.7, np.pi / 2])
    np.testing.assert_allclose(normal_curvature(sphere(75, -1, 1), 70.0, bearing), 1 / 75, rtol=1e-5)
    ring = torus(80, 30, -2, 2.5)
    t = 2.2
    tape = 30 * (t + 2)
    np.testing.assert_allclose(normal_curvature(ring, tape, np.pi / 2), 1 / 30, rtol=1e-4)
    np.testing.assert_allclose(normal_curvature(ring, tape, 0.0), np.cos(t) / (80 + 30 * np.cos(t)), rtol=1e-6)
    can = normal_curvature(cylinder(50, 100), 30.0, bearing)
    np.testing.assert_allclose(can, np.cos(bearing) ** 2 / 50, rtol=0, atol=1e-15)


def test_where_a_string_lifts() -> None:
    """Up a catenoid a string lifts off all the way, round it nowhere; the asymptotic lines are at 45°."""
    wall = catenoid(40, -1, 1)
    s = np.linspace(5, wall.length - 5, 50)
    assert lifts(wall, s, np.full(50, np.pi / 2)).tolist() == [[pytest.approx(5), pytest.approx(wall.length - 5)]]
    assert lifts(wall, s, np.full(50, np.radians(30))).size == 0
    assert lifts(wall, s, np.full(50, np.radians(60))).shape == (1, 2)
    assert lifts(wall, s, np.full(50, np.radians(30)), inside=True).shape == (1, 2)
    # Up a torus's outer half and on over its top: hollow nowhere outside, everywhere inside.
    ring = torus(80, 30, -1, 1.4)
    line = taut(ring, 0, 2.0, 0.4, ring.length - 2)
    _, tape, bearing = line.polyline(0)
    assert lifts(ring, tape, bearing).size == 0
    assert lifts(ring, tape, bearing, inside=True).shape == (1, 2)


def test_a_string_lifts_at_a_hollow_corner() -> None:
    waist = build_wall([Station(0, 70), Station(40, 40), Station(80, 70)], smooth=False)
    _, tape, bearing = taut(waist, 0, 10.0, 0.3, 90.0).polyline(0)
    assert lifts(waist, tape, bearing).tolist() == [[50, 50]]
    ridge = build_wall([Station(0, 40), Station(40, 70), Station(80, 40)], smooth=False)
    _, tape, bearing = taut(ridge, 0, 10.0, 0.3, 90.0).polyline(0)
    assert lifts(ridge, tape, bearing).size == 0
    assert lifts(ridge, tape, bearing, inside=True).tolist()[0] == pytest.approx([10, 90])


@pytest.mark.parametrize("sides", [(0.0, 97.0, 44.0, 75.0), (97.0, 44.0, 75.0, 0.0)])
def test_polylines_towards_a_closed_end(sides: tuple[float, ...]) -> None:
    """Rising and dipping lines past a point of the wall: their own places measure their length."""
    stations = [Station(40.0 * i, r, corner=i == 2) for i, r in enumerate(sides)]
    wall = build_wall(stations, smooth=True)
    rng = np.random.default_rng(1)
    s0, s1 = rng.uniform(0, wall.length, (2, 40))
    lines = taut(wall, 0.0, s0, rng.uniform(-8, 8, 40), s1)
    for i in range(40):
        angle, tape, bearing = lines.polyline(i)
        assert refined(wall, angle, tape, bearing) == pytest.approx(lines.length[i], abs=0.02, rel=2e-4)
        assert tape[0] == pytest.approx(s0[i], abs=2e-5)
        assert tape[-1] == pytest.approx(s1[i], abs=2e-5)
