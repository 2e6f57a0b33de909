"""Setting off along geodesics: published lines, scipy's DOP853, closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from motif.wall import Station, Wall, bearing_and_distance, build_wall, set_off, travel
from tests.reference import record
from tests.wall.shapes import POTS, catenoid, cone, cylinder, pot, sphere, spheroid, torus


def followed(wall: Wall, tape: float, bearing: float, distance: float) -> np.ndarray:
    """(angle, tape, bearing) by scipy's eighth-order Runge–Kutta on dβ/dℓ = r′ cos β / r, stopped at every
    corner and begun again on its other side."""
    breaks = sorted({0.0, wall.length, *wall.corners.tolist()})
    state, gone = np.array([0.0, tape, bearing]), 0.0
    while gone < distance - 1e-13:
        up = np.sin(state[2]) > 0
        stops = [b for b in breaks if (b > state[1] + 1e-11 if up else b < state[1] - 1e-11)]
        side = "above" if up else "below"
        low = max((b for b in breaks if b <= state[1] + (1e-11 if up else -1e-11)), default=-np.inf)
        high = min((b for b in breaks if b >= state[1] + (1e-11 if up else -1e-11)), default=np.inf)

        def rule(_: float, y: np.ndarray, low: float = low, high: float = high, side: str = side) -> list[float]:
            inside = float(np.clip(y[1], low + 1e-12, high - 1e-12))
            r = float(wall.radius(y[1]))
            return [np.cos(y[2]) / r, np.sin(y[2]), float(wall.radius_slope(inside, side)) * np.cos(y[2]) / r]

        def leaves(_: float, y: np.ndarray, low: float = low, high: float = high) -> float:
            return min(y[1] - low, high - y[1]) + 1e-13

        leaves.terminal, leaves.direction = True, -1  # type: ignore[attr-defined]
        assert stops or high == np.inf or low == -np.inf
        path = solve_ivp(rule, (gone, distance), state, "DOP853", events=leaves, rtol=1e-12, atol=1e-12, max_step=2.0)
        state, gone = path.y[:, -1], float(path.t[-1])
        nearest = min(breaks, key=lambda b, s=state: abs(b - s[1]))
        if abs(nearest - state[1]) < 1e-9:
            state[1] = nearest
    return state


@pytest.mark.parametrize("shape", ["ball", "waist", "ring", "bottle", "jar", "vase", "bowl"])
def test_geodesics_are_scipys(shape: str) -> None:
    known = {"ball": sphere(75, -1.2, 1.2), "waist": catenoid(40, -1, 1), "ring": torus(80, 30, -2, 2)}
    wall = known[shape] if shape in known else pot(shape)
    rng = np.random.default_rng(7)
    tape, bearing = rng.uniform(1, wall.length - 1, 10), rng.uniform(-np.pi, np.pi, 10)
    distance = rng.uniform(1, 100, 10)
    angle, reached, arriving = travel(wall, 0.0, tape, bearing, distance)
    for i in range(10):
        want = followed(wall, tape[i], bearing[i], distance[i])
        assert (angle[i] - want[0]) * float(wall.radius(want[1])) == pytest.approx(0, abs=1e-5)
        assert reached[i] == pytest.approx(want[1], abs=1e-5)
        assert np.cos(arriving[i] - want[2]) == pytest.approx(1, abs=1e-10)


def globe(f: float) -> tuple[Wall, float]:
    """A whole spheroid of equatorial radius 100 and the tape of its equator."""
    wall = spheroid(100, 100 * (1 - f), -np.pi / 2, np.pi / 2, 600)
    return wall, float(wall.tape_at_height(0.0, 0, wall.length))


def tape_of(wall: Wall, f: float, latitude: float) -> float:
    """Tape of a geographic latitude in degrees."""
    reduced = np.arctan((1 - f) * np.tan(np.radians(latitude)))
    return float(wall.tape_at_height(100 * (1 - f) * np.sin(reduced), 0, wall.length))


def test_karneys_direct_problem() -> None:
    """Azimuths are clockwise from the north, bearings counter-clockwise from the east."""
    entry = record("3.karney.table2")
    f = 1 / 298.257223563
    wall, _ = globe(f)
    given = entry["inputs"]
    angle, tape, bearing = travel(
        wall, 0, tape_of(wall, f, given["lat1"]), np.radians(90 - given["azi1"]), given["s12"] * 100 / given["a"]
    )
    lat2, lon2, azi2 = entry["expected"]
    # 157 mm on this globe; a hundred-thousandth of a millimetre is 6e-6 degrees.
    assert np.degrees(angle) == pytest.approx(lon2, abs=6e-6)
    assert tape == pytest.approx(tape_of(wall, f, lat2), abs=1e-5)
    assert 90 - np.degrees(bearing) == pytest.approx(azi2, abs=6e-6)


def test_arc_of_the_auxiliary_sphere() -> None:
    """GeographicLib's GeodSolve28, flattening 0.1. Karney (2013), equation 11: on the sphere of reduced latitudes β the
    line lies at tan σ = tan β ÷ cos α, with α its azimuth, which is the same on both bodies."""
    entry = record("3.oblate.gs28")
    given = entry["inputs"]
    wall, _ = globe(given["f"])
    start, course = tape_of(wall, given["f"], given["lat1"]), np.radians(90 - given["azi1"])
    _, tape, bearing = travel(wall, 0, start, course, given["s12"] * 100 / given["a"])

    def sigma(tape: float, bearing: float) -> float:
        radius, height = wall.point(tape)
        return float(np.degrees(np.arctan2(height / (1 - given["f"]), radius * np.sin(bearing))))

    # as above: a hundred-thousandth of a millimetre is 6e-6 degrees
    assert sigma(tape, bearing) - sigma(start, course) == pytest.approx(entry["expected"], abs=6e-6)


def test_aviators_great_circle() -> None:
    entry, middle = record("3.sphere.gc"), record("3.sphere.gc.mid")
    wall = sphere(100, -np.pi / 2, np.pi / 2, 300)
    lat, lon = np.radians(33 + 57 / 60), np.radians(-(118 + 24 / 60))
    distance, course = entry["expected"]
    far = distance * middle["inputs"]["fraction"]
    angle, tape = set_off(wall, lon, 100 * (lat + np.pi / 2), np.pi / 2 - course, 100 * far)
    assert tape / 100 - np.pi / 2 == pytest.approx(middle["expected"][0], abs=1e-7)
    assert angle == pytest.approx(middle["expected"][1], abs=1e-7)


@pytest.mark.parametrize(("turn", "stays"), [(1e-3, True), (-1e-3, False)])
def test_geodesics_of_a_torus_stay_in_its_outer_half(turn: float, stays: bool) -> None:
    """From the outermost ring at angle θ to it, iff cos θ ≥ a/(a + b) (Woodward and Bolton)."""
    limit = record("3.clairaut.torus.stay")["expected"]
    wall = torus(60, 20, -np.pi, np.pi, 400)
    bearing = np.arccos(limit) - turn
    _, tape = set_off(wall, 0.0, wall.length / 2, bearing, np.arange(0.0, 300.0, 5.0))
    outer = 20 * np.pi / 2
    assert bool(np.all(np.abs(tape - wall.length / 2) < outer)) is stays


def test_cylinder_and_cone_unroll() -> None:
    rng = np.random.default_rng(2)
    bearing, distance = rng.uniform(-np.pi, np.pi, 50), rng.uniform(0, 300, 50)
    angle, tape = set_off(cylinder(50, 200), 1.0, 70.0, bearing, distance)
    np.testing.assert_allclose(angle, 1 + distance * np.cos(bearing) / 50, rtol=0, atol=1e-12)
    np.testing.assert_allclose(tape, 70 + distance * np.sin(bearing), rtol=0, atol=1e-11)
    wall = cone(40, 70, 40)  # 3-4-5: r = 40 + 0.6 s, its point 40/0.6 below the foot; past foot and rim it goes on
    start = 40 / 0.6 + 20
    # In the developed sector "up" points away from the cone's point, and "right" along the ring.
    flat = complex(0, start) + distance * np.exp(1j * bearing)
    angle, tape = set_off(wall, 0.0, 20.0, bearing, distance)
    np.testing.assert_allclose(tape, np.abs(flat) - 40 / 0.6, rtol=0, atol=1e-10)
    turned = np.angle(flat / 1j)
    np.testing.assert_allclose(np.cos(0.6 * angle), np.cos(turned), rtol=0, atol=1e-9)
    np.testing.assert_allclose(np.sin(0.6 * angle), -np.sin(turned), rtol=0, atol=1e-9)


def test_a_corner_is_crossed_as_if_unfolded() -> None:
    """Cylinder into cone at the same bearing: both parts in closed form."""
    wall = build_wall([Station(0, 60), Station(50, 60), Station(90, 30)], smooth=False)  # slope −0.6
    bearing = 0.9
    first = 20 / np.sin(bearing)
    angle, tape, arriving = travel(wall, 0.0, 30.0, bearing, first + 25)
    flat = complex(0, -60 / 0.6) + 25 * np.exp(1j * bearing)  # developed about the cone's point, above
    assert tape == pytest.approx(50 + 60 / 0.6 - abs(flat), abs=1e-10)
    assert angle == pytest.approx(first * np.cos(bearing) / 60 + np.angle(flat / -1j) / 0.6, abs=1e-11)
    assert np.cos(arriving) * float(wall.radius(tape)) == pytest.approx(60 * np.cos(bearing), abs=1e-10)


def test_along_a_ridge_and_along_rings() -> None:
    ridge = build_wall([Station(0, 50), Station(30, 90), Station(60, 50)], smooth=False)
    angle, tape = set_off(ridge, 0.0, 50.0, [0.0, np.pi, 1e-7], 90.0)
    assert tape.tolist() == pytest.approx([50, 50, 50], abs=1e-6)
    assert angle.tolist() == pytest.approx([1, -1, 1], abs=1e-6)
    ball = sphere(75, -1.2, 1.2)
    assert set_off(ball, 0.0, 90.0, 0.0, 75.0)[1] == pytest.approx(90, abs=1e-5)  # the equator is a geodesic


def test_through_a_closed_end() -> None:
    """Over the pole of a ball the line comes down on the far side: half a turn."""
    ball = sphere(75, -np.pi / 2, np.pi / 2, 240)
    angle, tape = set_off(ball, 0.0, ball.length - 20, np.pi / 2, 50.0)
    assert angle == pytest.approx(np.pi, abs=1e-4)
    assert tape == pytest.approx(ball.length - 30, abs=1e-5)
    # Just past it, half a turn too, the other way round on the other side.
    angle, tape = set_off(ball, 0.0, ball.length - 20, np.pi / 2 + np.array([-1e-4, 1e-4]), 50.0)
    assert angle.tolist() == pytest.approx([np.pi, -np.pi], abs=2e-3)
    plate = build_wall([Station(0, 0), Station(100, 100)], smooth=False, by_tape=True)
    # The plate is the plane itself: on its axis of reals up is outward, and right is along the imaginary.
    far = complex(30, 0) + 80 * np.exp(1j * np.array([1.0, 2.0, -2.5, 3.0]))
    angle, tape = set_off(plate, 0.0, 30.0, -np.angle((far - 30) / 1j), 80.0)
    np.testing.assert_allclose(tape, np.abs(far), rtol=0, atol=1e-10)
    np.testing.assert_allclose(np.cos(angle), far.real / np.abs(far), rtol=0, atol=1e-10)


@pytest.mark.parametrize("name", sorted(POTS))
@pytest.mark.parametrize("smooth", [True, False])
def test_back_again(name: str, smooth: bool) -> None:
    wall = pot(name, smooth)
    rng = np.random.default_rng(11)
    tape, bearing = rng.uniform(0, wall.length, 60), rng.uniform(-np.pi, np.pi, 60)
    angle, reached, arriving = travel(wall, 0.5, tape, bearing, 100.0)
    back, start = set_off(wall, angle, reached, arriving + np.pi, 100.0)
    np.testing.assert_allclose(back, 0.5, rtol=0, atol=1e-6)
    np.testing.assert_allclose(start, tape, rtol=0, atol=2e-5)


def test_nothing_travelled_is_nothing_moved() -> None:
    angle, tape, bearing = travel(pot("jar"), 0.3, [[1.0, 2.0]], 1.2, 0.0)
    assert (angle.tolist(), tape.tolist()) == ([[0.3, 0.3]], [[1.0, 2.0]])
    np.testing.assert_allclose(bearing, 1.2, rtol=0, atol=1e-15)


@pytest.mark.parametrize("name", sorted(POTS))
def test_bearing_and_distance_is_the_inverse(name: str) -> None:
    wall = pot(name)
    rng = np.random.default_rng(4)
    start, bearing = rng.uniform(10, wall.length - 10, 40), rng.uniform(-np.pi, np.pi, 40)
    distance = rng.uniform(0.5, 30, 40)
    angle, tape = set_off(wall, 0.2, start, bearing, distance)
    toward, far = bearing_and_distance(wall, 0.2, start, angle, tape)
    back, level = set_off(wall, 0.2, start, toward, far)
    np.testing.assert_allclose(back, angle, rtol=0, atol=1e-8)
    np.testing.assert_allclose(level, tape, rtol=0, atol=1e-7)
    assert np.all(far <= distance + 1e-6)


def test_steep_shoulders_to_a_closed_end_do_not_catch_a_line() -> None:
    """Inputs that once ran for ever or off the wall: a spline's shallow tip, a cone's point met head on."""
    tip = [(0, 90.25), (17.1, 66.3), (22.6, 90.25), (70.8, 70.2), (75.4, 0)]
    wall = build_wall([Station(h, r) for h, r in tip], smooth=True)
    _, tape = set_off(wall, 0.0, 119.5, np.pi / 2, 100.0)
    assert tape == pytest.approx(2 * wall.length - 219.5, abs=1e-3)
    hat = cone(80, 40, 30)  # 3-4-5, narrowing by 0.8: its point lies 50 mm beyond the rim
    angle, tape = set_off(hat, 0.0, 50.0, np.pi / 2, 70.0)
    assert tape == pytest.approx(80, abs=1e-9)
    assert angle == pytest.approx(np.pi / 0.8, abs=1e-9)
