"""Flat patterns against Snyder's printed values, PROJ, and sheet-metal drafting."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pyproj
import pytest

from motif.wall import (
    ConeSheet,
    build_wall,
    cone_misfit,
    fewest_cones,
    fewest_gores,
    gore_misfit,
    polyconic,
    rollout,
)
from motif.wall.profile import Station
from tests.reference import record, records
from tests.wall.shapes import catenoid, cone, cylinder, pot, sphere, spheroid, through


def test_rollout_is_a_rectangle() -> None:
    x, y = rollout([[0.0], [np.pi]], [0.0, 50.0], 400)
    assert x.tolist() == [[0, 0], [200, 200]]
    assert y.tolist() == [[0, 50], [0, 50]]


def test_polyconic_of_a_sphere_is_snyders() -> None:
    entry = record("4.poly.sphere")
    given = entry["inputs"]
    wall = sphere(100, -np.pi / 3, np.pi / 3, 240)
    tape = 100 * (np.radians([given["lat0"], given["lat"]]) + np.pi / 3)
    x, y = polyconic(wall, tape[0], np.radians(given["lon"] - given["lon0"]), tape[1])
    assert (x / 100, y / 100) == (
        pytest.approx(entry["expected"][0], abs=entry["tolerance"][0] + 1e-8),
        pytest.approx(entry["expected"][1], abs=entry["tolerance"][1] + 1e-8),
    )


def test_polyconic_of_a_spheroid_is_projs() -> None:
    """PROJ's poly on an oblate spheroid of pot size; geographic latitude from the parametric one."""
    a, c = 90.0, 80.0
    wall = spheroid(a, c, -1.2, 1.2, 300)
    beta = np.linspace(-1.1, 1.1, 9)
    tape = wall.tape_at_height(c * np.sin(beta), 0, wall.length)
    origin = wall.tape_at_height(0.0, 0, wall.length)
    latitude = np.degrees(np.arctan2(a * np.sin(beta), c * np.cos(beta)))
    plane = pyproj.Proj(proj="poly", a=a, b=c, lat_0=0, lon_0=0)
    for angle in (0.05, 0.4, 1.0):
        x, y = polyconic(wall, float(origin), angle, tape)
        want_x, want_y = plane(np.full(9, np.degrees(angle)), latitude)
        np.testing.assert_allclose(x, want_x, rtol=0, atol=2e-6)
        np.testing.assert_allclose(y, want_y, rtol=0, atol=2e-6)


def test_polyconic_is_the_exact_sector_of_a_cone_and_rectangle_of_a_cylinder() -> None:
    wall = cone(40, 70, 40)
    sheet = ConeSheet.of(wall, 0, wall.length)
    angle, tape = np.meshgrid(np.linspace(-np.pi, np.pi, 9), np.linspace(0, 50, 5))
    for got, want in zip(polyconic(wall, 0, angle, tape), sheet.chart(angle, tape), strict=True):
        np.testing.assert_allclose(got, want, rtol=0, atol=1e-10)
    x, y = polyconic(cylinder(60, 200), 20, angle, tape)
    np.testing.assert_allclose(x, 60 * angle, rtol=0, atol=1e-12)
    np.testing.assert_allclose(y, tape - 20, rtol=0, atol=1e-12)


@pytest.mark.parametrize("key", ["4.gore12.lat0", "4.gore12.lat30", "4.gore12.lat60"])
def test_gore_of_a_globe(key: str) -> None:
    """Half-widths of a globe's gore along its rings, which the polyconic keeps true as arcs."""
    entry = record(key)
    wall = sphere(100, -1.4, 1.4, 240)
    tape = 100 * (np.radians(entry["inputs"]["lat"]) + 1.4)
    across = np.linspace(0, np.pi / entry["inputs"]["gores"], 2001)
    x, y = polyconic(wall, 140, across, np.full(2001, tape))
    assert np.hypot(np.diff(x), np.diff(y)).sum() / 100 == pytest.approx(entry["expected"][0], abs=1e-7)
    assert y[0] / 100 == pytest.approx(entry["expected"][1], abs=1e-7)


@pytest.mark.parametrize("half_width", [np.pi, np.pi / 3, np.pi / 8])
@pytest.mark.parametrize("shape", ["ball", "waist", "bottle"])
def test_gore_misfit_is_the_edges_measured_length(shape: str, half_width: float) -> None:
    """Measured on the drawn edge itself, as with a wheel: a polyline of many points, Richardson-refined."""
    wall = {"ball": sphere(75, -1.2, 1.2), "waist": catenoid(40, -1, 1), "bottle": pot("bottle")}[shape]
    lo, hi = 5.0, wall.length - 3.0

    def excess(n: int) -> np.ndarray:
        s = np.linspace(lo, hi, 64 * n + 1)
        x, y = polyconic(wall, lo, half_width, s)
        return (np.concatenate(([0], np.cumsum(np.hypot(np.diff(x), np.diff(y))))) - (s - lo))[::n]

    measured = (4 * excess(256) - excess(128)) / 3
    assert gore_misfit(wall, half_width, lo, hi) == pytest.approx(np.abs(measured).max(), abs=2e-3, rel=1e-4)


def test_gore_misfit_counts_the_gap_at_a_corner() -> None:
    """Two cones that meet at 3-4-5 slopes: the ring's two arcs lie apart by hand computation."""
    wall = build_wall([Station(0, 50), Station(30, 90), Station(60, 50)], smooth=False)
    half = np.pi / 6
    z, r = half * 0.8, 90.0
    sag = r / 0.8 * (1 - np.cos(z))
    assert gore_misfit(wall, half, 0, wall.length) == pytest.approx(2 * sag, abs=1e-9)


def test_cones_and_cylinders_fit_without_misfit() -> None:
    for wall in (cone(40, 70, 150), cylinder(50, 100)):
        assert gore_misfit(wall, np.pi, 0, wall.length) == pytest.approx(0, abs=1e-11)
        assert fewest_gores(wall, 0, wall.length, 0.01) == 1
        assert fewest_cones(wall, 0, wall.length, 0.01) == (0, wall.length)


def test_fewest_gores_is_the_smallest_that_fits() -> None:
    wall = sphere(75, -1.0, 1.1)
    count = fewest_gores(wall, 0, wall.length, 0.5)
    assert count is not None
    fits, fits_not = (gore_misfit(wall, np.pi / n, 0, wall.length) for n in (count, count - 1))
    assert fits <= 0.5 < fits_not
    assert fewest_gores(wall, 0, wall.length, 0.5, choices=(2, 3, 4, 6, 12, 24, 48)) == min(
        n for n in (2, 3, 4, 6, 12, 24, 48) if n >= count
    )
    assert fewest_gores(wall, 0, wall.length, 0.5, choices=(1, 2, 3)) is None


def frustum(d_small: float, d_large: float, height: float) -> ConeSheet:
    wall = cone(d_large / 2, d_small / 2, height)
    return ConeSheet.of(wall, 0, wall.length)


def test_frustum_patterns_of_sheet_metal_drafting() -> None:
    first = record("2.frustum.ex1")
    sheet = frustum(50, 80, 40)
    got = (sheet.inner_radius / 10, sheet.outer_radius / 10, np.degrees(sheet.angle))
    for value, want, tolerance in zip(got, first["expected"], first["tolerance"], strict=True):
        assert value == pytest.approx(want, abs=tolerance)
    second = record("2.frustum.ex2")
    sheet = frustum(30, 60, 30)
    assert sheet.slant / 10 == pytest.approx(second["expected"][0], abs=1e-9)
    assert sector(sheet) / 100 == pytest.approx(second["expected"][1], abs=1e-9)
    right_angle = record("2.cone.angle90")
    angle = np.degrees(frustum(0, 100, 50).angle)
    assert angle == pytest.approx(right_angle["expected"], abs=right_angle["tolerance"])


def sector(sheet: ConeSheet) -> float:
    """Area of the paper (mm²)."""
    return sheet.angle / 2 * (sheet.outer_radius**2 - sheet.inner_radius**2)


@pytest.mark.parametrize("key", ["2.cone.lateral", "2.sector.area", "2.frustum.olda"])
def test_published_areas_of_cones(key: str) -> None:
    """Worked examples of drafting and mensuration, paper and wall alike; one of the record's units is 10 mm. A sector
    is a cone of that girth and slant. The last is printed to a whole foot with π as 22/7, 0.04 % too large."""
    entry = record(key)
    given = entry["inputs"]
    small, large = given.get("d1", 0), given.get("d2", given.get("d", given.get("arc", 0) / np.pi))
    slant = given.get("slant", given.get("radius"))
    height = 10 * np.sqrt(slant**2 - ((large - small) / 2) ** 2)
    wall = cone(5 * large, 5 * small, height)
    for area in (sector(frustum(10 * small, 10 * large, height)), wall.area):
        assert area / 100 == pytest.approx(entry["expected"], abs=entry["tolerance"] + 1e-9)


@pytest.mark.parametrize("entry", records("2.cone.rule"), ids=lambda r: r["id"])
def test_sector_angle_rule_of_the_tinsmith(entry: dict) -> None:
    slant = 10 * entry["inputs"]["slant_over_base_radius"]
    sheet = frustum(0, 20, np.sqrt(slant**2 - 100))
    assert np.degrees(sheet.angle) == pytest.approx(entry["expected"], abs=1e-9)
    assert sheet.inner_radius == 0


def test_cone_of_a_sphere_is_the_equidistant_conic() -> None:
    """A frustum tangent at its middle in the limit: PROJ's eqdc with one standard parallel, record
    4.simpleconic.tangent, checked through ``polyconic`` of the tangent cone itself."""
    entry = record("4.simpleconic.tangent")
    lat, d = np.radians(40), np.radians(10)
    r, slope = 100 * np.cos(lat), -np.sin(lat)
    # The cone that touches the sphere of 100 at 40°, as far as 50° by tape above and 10 mm below.
    up = 100 * d
    wall = build_wall(
        [Station(-10 * np.cos(lat), r - 10 * slope), Station(up * np.cos(lat), r + up * slope)], smooth=False
    )
    sheet = ConeSheet.of(wall, 0, wall.length)
    x, y = sheet.chart(np.radians(20), wall.length)
    assert (x / 100, (y - 10) / 100) == pytest.approx(tuple(entry["expected"]), abs=1e-12)


def test_chart_of_a_cone_keeps_lengths() -> None:
    """Both circles at true length and the slant straight: the polyline's length is the circumference."""
    for wall in (cone(40, 70, 150), cone(70, 40, 150), cylinder(50, 100)):
        sheet = ConeSheet.of(wall, 0, wall.length)
        angle = np.linspace(-np.pi, np.pi, 20_001)
        for tape, radius in ((0.0, sheet.radius_below), (wall.length, sheet.radius_above)):
            x, y = sheet.chart(angle, tape)
            assert np.hypot(np.diff(x), np.diff(y)).sum() == pytest.approx(2 * np.pi * radius, rel=1e-8)
        x, y = sheet.chart(1.0, np.array([0, wall.length]))
        assert np.hypot(x[1] - x[0], y[1] - y[0]) == pytest.approx(sheet.slant)
        x, y = sheet.chart(0.0, np.array([0, wall.length]))
        assert (x.tolist(), y.tolist()) == ([0, 0], [0, pytest.approx(sheet.slant)])


def test_cone_misfit_of_a_ball_is_the_arcs_rise() -> None:
    """On a circle of radius R an arc of 2a leaves its chord by R (1 − cos a) and is 2R (a − sin a) longer."""
    wall = sphere(75, -0.6, 0.6, 200)
    for half in (0.1, 0.3, 0.6):
        rise, longer = 75 * (1 - np.cos(half)), 150 * (half - np.sin(half))
        got = cone_misfit(wall, wall.length / 2 - 75 * half, wall.length / 2 + 75 * half)
        assert got == pytest.approx(max(rise, longer), abs=1e-6)


def test_fewest_cones_are_even_and_within_the_bound() -> None:
    """n equal arcs of a circle: the fewest with R (1 − cos(a/n)) within the bound, by the closed form."""
    wall = sphere(75, -1.0, 1.0, 200)
    cuts = fewest_cones(wall, 0, wall.length, 0.5)
    assert cuts is not None
    assert len(cuts) - 1 == int(np.ceil(1.0 / np.arccos(1 - 0.5 / 75)))
    np.testing.assert_allclose(np.diff(cuts), wall.length / (len(cuts) - 1), rtol=2e-3)
    assert max(cone_misfit(wall, a, b) for a, b in pairwise(cuts)) <= 0.5
    corner = pot("jar", smooth=False)
    cuts = fewest_cones(corner, 0, corner.length, 0.01)
    assert cuts == pytest.approx(corner.station_tapes.tolist(), abs=0.2)


def test_a_rolled_rim_needs_more_than_one_cone() -> None:
    wall = through(lambda t: (80 + 30 * np.cos(t), 30 * np.sin(t)), np.linspace(-np.pi / 2, np.pi, 161))
    cuts = fewest_cones(wall, 0, wall.length, 1.0)
    assert cuts is not None
    assert max(cone_misfit(wall, a, b) for a, b in pairwise(cuts)) <= 1.0
