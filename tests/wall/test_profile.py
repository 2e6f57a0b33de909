"""Profiles against scipy's spline and quadrature, and the stations that make no wall."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from motif.wall import ProfileError, Station, build_wall
from tests.wall.shapes import POTS, pot


class Section:
    """A smooth stretch worked out by scipy: CubicSpline(bc_type="not-a-knot") against chord length, and
    its arc length by adaptive quadrature. For two and three points scipy gives the line and the parabola."""

    def __init__(self, stations: list[tuple[float, float, bool]]) -> None:
        points = np.array([(r, h) for h, r, _ in stations], dtype=float)
        self.t = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
        self.curve = CubicSpline(self.t, points, bc_type="not-a-knot")
        self.velocity = self.curve.derivative()

    def speed(self, t: float) -> float:
        return float(np.hypot(*self.velocity(t)))

    def tape(self, t: float) -> float:
        joints = [*(k for k in self.t if k < t), t]
        return sum(quad(self.speed, a, b, epsabs=1e-11, epsrel=1e-12)[0] for a, b in pairwise(joints))

    def at_tape(self, s: float) -> float:
        end = float(self.t[-1])
        return float(brentq(lambda t: self.tape(t) - s, 0.0, end, xtol=1e-12)) if s > 0 else 0.0


def sections(name: str) -> list[Section]:
    stations = POTS[name]
    corners = [0, *(i for i in range(1, len(stations) - 1) if stations[i][2]), len(stations) - 1]
    return [Section(stations[a : b + 1]) for a, b in pairwise(corners)]


@pytest.mark.parametrize("name", sorted(POTS))
def test_smooth_profile_is_scipys_spline_by_arc_length(name: str) -> None:
    wall, start = pot(name), 0.0
    for section in sections(name):
        length = section.tape(float(section.t[-1]))
        for part in (0.0, 0.013, 0.3, 0.5, 0.77, 0.991):
            t = section.at_tape(part * length)
            s = start + part * length
            r, h = section.curve(t)
            assert float(wall.radius(s)) == pytest.approx(r, abs=2e-8)
            assert float(wall.height(s)) == pytest.approx(h, abs=2e-8)
            dr, dh = section.velocity(t) / section.speed(t)
            assert float(wall.radius_slope(s)) == pytest.approx(dr, abs=2e-8)
            assert float(wall.height_slope(s)) == pytest.approx(dh, abs=2e-8)
            second = section.curve.derivative(2)(t)
            along = float(second @ section.velocity(t)) / section.speed(t)
            bend = (second - np.array([dr, dh]) * along) / section.speed(t) ** 2
            assert float(wall.radius_bend(s)) == pytest.approx(bend[0], abs=2e-6)
            assert float(wall.height_bend(s)) == pytest.approx(bend[1], abs=2e-6)
        start += length
    assert wall.length == pytest.approx(start, abs=1e-8)


@pytest.mark.parametrize("name", sorted(POTS))
def test_area_and_volume_are_scipys(name: str) -> None:
    area = volume = 0.0
    for section in sections(name):
        for a, b in pairwise(section.t):
            area += quad(lambda t, s=section: 2 * np.pi * s.curve(t)[0] * s.speed(t), a, b, epsrel=1e-12)[0]
            volume += quad(lambda t, s=section: np.pi * s.curve(t)[0] ** 2 * s.velocity(t)[1], a, b)[0]
    wall = pot(name)
    assert wall.area == pytest.approx(area, rel=1e-9)
    assert wall.volume == pytest.approx(abs(volume), rel=1e-9)


@pytest.mark.parametrize("name", sorted(POTS))
@pytest.mark.parametrize("smooth", [True, False])
def test_stations_lie_on_the_wall(name: str, smooth: bool) -> None:
    wall = pot(name, smooth)
    radius, height = wall.point(wall.station_tapes)
    np.testing.assert_allclose(radius, [r for _, r, _ in POTS[name]], rtol=0, atol=1e-10)
    np.testing.assert_allclose(height, [h for h, _, _ in POTS[name]], rtol=0, atol=1e-10)


@pytest.mark.parametrize("name", sorted(POTS))
def test_tape_is_the_length_of_the_curve(name: str) -> None:
    """dr/ds and dh/ds are a unit vector: the definition of tape as arc length."""
    wall = pot(name)
    s = np.linspace(0, wall.length, 5001)
    np.testing.assert_allclose(np.hypot(wall.radius_slope(s), wall.height_slope(s)), 1, rtol=0, atol=1e-7)


def test_corners_are_the_marked_stations_or_all_of_a_straight_profile() -> None:
    smooth, straight = pot("jar"), pot("jar", smooth=False)
    assert smooth.corners.tolist() == smooth.station_tapes[3:4].tolist()
    assert straight.corners.tolist() == straight.station_tapes[1:-1].tolist()


def test_sides_of_a_corner() -> None:
    wall = build_wall([Station(0, 50), Station(30, 90), Station(60, 50)], smooth=False)
    assert float(wall.radius_slope(50.0, "below")) == pytest.approx(0.8, abs=1e-15)  # 3-4-5 triangles
    assert float(wall.radius_slope(50.0)) == pytest.approx(-0.8, abs=1e-15)
    assert float(wall.height_slope(50.0)) == pytest.approx(0.6, abs=1e-15)


def test_beyond_its_ends_the_wall_goes_on_as_a_cone_to_its_point() -> None:
    wall = build_wall([Station(0, 40), Station(40, 70)], smooth=False)  # 3-4-5: dr/ds = 0.6, dh/ds = 0.8
    assert wall.point([60, -10])[0].tolist() == pytest.approx([76, 34])
    assert wall.point([60, -10])[1].tolist() == pytest.approx([48, -8])
    assert wall.reach == (pytest.approx(-40 / 0.6), np.inf)
    assert wall.point(-1000.0)[0] == pytest.approx(0, abs=1e-12)
    assert wall.point(-1000.0)[1] == pytest.approx(-0.8 * 40 / 0.6)


def test_by_tape_radius_is_scipys_spline_and_height_the_integral() -> None:
    tape, radius = np.array([0, 35, 80, 130, 170.0]), np.array([40, 52, 60, 41, 38.0])
    wall = build_wall([Station(t, r) for t, r in zip(tape, radius, strict=True)], smooth=True, by_tape=True)
    curve = CubicSpline(tape, radius, bc_type="not-a-knot")
    for s in (0.0, 11.0, 35.0, 66.6, 129.0, 170.0):
        assert float(wall.radius(s)) == pytest.approx(float(curve(s)), abs=1e-10)
        rise = quad(lambda u: np.sqrt(1 - curve(u, 1) ** 2), 0, s, points=[35, 80, 130], epsabs=1e-11)[0]
        assert float(wall.height(s)) == pytest.approx(rise, abs=1e-7)
    assert wall.station_tapes.tolist() == tape.tolist()


def test_a_flat_disc_by_tape_stays_level() -> None:
    wall = build_wall([Station(0, 0), Station(100, 100)], smooth=False, by_tape=True)
    s = np.linspace(0, 100, 7)
    assert wall.height(s).tolist() == [0] * 7
    assert wall.radius(s).tolist() == pytest.approx(s.tolist(), abs=1e-12)
    assert wall.area == pytest.approx(np.pi * 100**2)
    assert wall.volume == 0


def test_three_stations_by_tape_are_a_parabola() -> None:
    """The unique quadratic through (0, 30), (50, 45), (100, 40): r = 30 + 0.5 s − 0.004 s²."""
    wall = build_wall([Station(0, 30), Station(50, 45), Station(100, 40)], smooth=True, by_tape=True)
    s = np.linspace(0, 100, 41)
    np.testing.assert_allclose(wall.radius(s), 30 + 0.5 * s - 0.004 * s**2, rtol=0, atol=1e-11)
    assert wall.belly == pytest.approx(62.5)


@pytest.mark.parametrize(
    ("stations", "options", "words", "culprits"),
    [
        ([(0, 40)], {}, "at least two", (0,)),
        ([], {}, "at least two", ()),
        ([(0, 40), (50, float("nan"))], {}, "not a number", (1,)),
        ([(0, 40), (float("inf"), 30)], {}, "not a number", (1,)),
        ([(0, 40), (50, -1)], {}, "less than nothing", (1,)),
        ([(0, 0), (50, 0)], {}, "no width", (0, 1)),
        ([(0, 40), (50, 0), (90, 40)], {}, "closes between its ends", (1,)),
        ([(0, 40), (50, 60), (50, 60), (90, 40)], {}, "one spot", (1, 2)),
        ([(0, 40), (50, 60), (50, 62)], {"by_tape": True}, "one spot", (1, 2)),
        ([(5, 40), (50, 60)], {"by_tape": True}, "begins at 0", (0,)),
        ([(0, 40), (50, 60), (40, 55)], {"by_tape": True}, "backwards", (1, 2)),
        ([(0, 40), (50, 91)], {"by_tape": True, "smooth": False}, "more than the tape allows", (0, 1)),
        ([(0, 40), (50, 45), (60, 40), (80, 21)], {"by_tape": True}, "the smooth curve would change", (2, 3)),
        ([(0, 60), (60, 2), (120, 2), (180, 60)], {}, "cross the middle", (1, 2)),
    ],
)
def test_stations_that_make_no_wall(stations, options, words, culprits) -> None:
    with pytest.raises(ProfileError, match=words) as caught:
        build_wall([Station(*s) for s in stations], **{"smooth": True, **options})
    assert caught.value.stations == culprits
    assert caught.value.advice


def test_a_curve_that_doubles_back_is_refused() -> None:
    """A needle: the spline's tip turns back on itself, found by its speed falling to nothing."""
    needle = [(0, 50), (10, 50), (0, 50.00001), (10, 50.00001)]
    with pytest.raises(ProfileError, match="doubles back"):
        build_wall([Station(h, r) for h, r in needle], smooth=True)


@pytest.mark.parametrize("name", sorted(POTS))
def test_scaling_scales_lengths_areas_volumes(name: str) -> None:
    wall, small = pot(name), pot(name).scaled(0.88)
    s = np.linspace(-5, wall.length + 5, 301)
    np.testing.assert_allclose(small.radius(0.88 * s), 0.88 * wall.radius(s), rtol=0, atol=1e-9)
    np.testing.assert_allclose(small.height(0.88 * s), 0.88 * wall.height(s), rtol=0, atol=1e-9)
    np.testing.assert_allclose(small.sigma(0.88 * s), wall.sigma(s), rtol=0, atol=1e-9)
    np.testing.assert_allclose(small.radius_bend(0.88 * s[9:-9]) * 0.88, wall.radius_bend(s[9:-9]), atol=1e-7)
    assert small.area == pytest.approx(0.88**2 * wall.area)
    assert small.volume == pytest.approx(0.88**3 * wall.volume)
    assert small.belly == pytest.approx(0.88 * wall.belly)
