"""Lines past the middle of closed ends: discs by the law of cosines, cones by their developed sector (plane
geometry), balls by geographiclib with f = 0, plates by scipy's minimiser over the places on the corner."""

from __future__ import annotations

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from scipy.optimize import minimize

from motif.wall import Station, Wall, bearing_and_distance, build_wall, set_off, taut
from motif.wall.rings import enclosed
from tests.wall.shapes import pot, sphere

Floats = np.ndarray

#: Straight walls with a point, by foot or by rim, their slope m = |dr/ds| about it, and how far that goes, mm.
TIPS = {
    "disc": ([(0, 0), (0, 100)], 1.0, 100.0),
    "disc-at-the-rim": ([(0, 100), (0, 0)], 1.0, 100.0),
    "wide-cone": ([(0, 0), (60, 80)], 0.8, 100.0),
    "steep-cone": ([(0, 0), (90, 40)], 40 / np.hypot(90, 40), np.hypot(90, 40)),
    "lid": ([(0, 70), (30, 70), (48, 0)], 70 / np.hypot(18, 70), np.hypot(18, 70)),
    "plate": ([(0, 0), (0, 100), (20, 130)], 1.0, 100.0),
}


def tip(name: str) -> tuple[Wall, float, float]:
    stations, slope, far = TIPS[name]
    return build_wall([Station(h, r) for h, r in stations], smooth=False), slope, far


def past_the_middle(rng: np.random.Generator, n: int, far: float) -> tuple[Floats, Floats, Floats, Floats]:
    """Distances of two places from the point, the developed angle between them, and by how much the chord misses the
    point: 1e-9 … 10 mm, exactly 0 for some, beyond it (the chord would be on the other side) for some."""
    a, b = rng.uniform(0.01, far, (2, n))
    miss = 10 ** rng.uniform(-9, 1, n)
    miss[::10] = 0.0
    short = np.arcsin(np.clip(miss * (a + b) / (a * b), 0, 1))
    short[::7] *= -1
    return a, b, np.pi - short, miss


def developed(a: Floats, b: Floats, angle: Floats) -> Floats:
    """The shortest way over a developed cone, straight through its point from a half-turn on; the law of cosines in
    a form without cancellation."""
    return np.sqrt((a - b) ** 2 + 4 * a * b * np.sin(np.minimum(angle, np.pi) / 2) ** 2)


@pytest.mark.parametrize("name", TIPS)
def test_lengths_past_the_middle(name: str) -> None:
    wall, slope, far = tip(name)
    a, b, angle, _ = past_the_middle(np.random.default_rng(1), 6000, far * 0.98)
    tapes = (a, b) if wall.radius(0.0) < 1 else (wall.length - a, wall.length - b)
    lines = taut(wall, 0.0, tapes[0], angle / slope, tapes[1])
    np.testing.assert_allclose(lines.length, developed(a, b, angle), rtol=0, atol=1e-6)


@pytest.mark.parametrize("name", TIPS)
def test_the_lines_themselves_are_straight(name: str) -> None:
    wall, slope, far = tip(name)
    a, b, angle, _ = past_the_middle(np.random.default_rng(2), 200, far * 0.98)
    at_foot = wall.radius(0.0) < 1
    tapes = (a, b) if at_foot else (wall.length - a, wall.length - b)
    lines = taut(wall, 0.0, tapes[0], angle / slope, tapes[1])
    for i in np.flatnonzero(angle <= np.pi):
        turned, tape, bearing = lines.polyline(i, 0.01)
        from_point = tape if at_foot else wall.length - tape
        x, y = from_point * np.cos(slope * turned), from_point * np.sin(slope * turned)
        end = b[i] * np.array([np.cos(angle[i]), np.sin(angle[i])]) - [a[i], 0]
        ahead = end / np.hypot(*end)
        assert np.abs((x - a[i]) * ahead[1] - y * ahead[0]).max() < 2e-5
        assert turned[-1] == pytest.approx(angle[i] / slope, abs=1e-12)
        # The bearing, turned into the developed plane, is that of the chord.
        up = slope * turned + (np.pi / 2 - bearing) * (1 if at_foot else -1) + (0 if at_foot else np.pi)
        far_off = from_point > 0.1
        off = np.angle(np.exp(1j * (up - np.arctan2(ahead[1], ahead[0]))))[far_off]
        assert np.abs(off).max(initial=0.0) < 1e-4


def test_bearing_and_distance_past_the_middle() -> None:
    """Setting off by them leads to the place, in the plane: past the middle of a disc, however near."""
    disc, _, _ = tip("disc")
    a, b, angle, miss = past_the_middle(np.random.default_rng(3), 2000, 98.0)
    near = miss > 1e-6
    bearing, distance = bearing_and_distance(disc, 0.0, a, angle, b)
    there, tape = set_off(disc, 0.0, a, bearing, distance)
    off = np.abs(tape * np.exp(1j * there) - b * np.exp(1j * angle))
    assert off[near & (angle < np.pi)].max() < 1e-6


def test_bearing_and_distance_of_single_places() -> None:
    """Through the middle, and held: numbers in, numbers out."""
    disc, _, _ = tip("disc")
    bearing, distance = bearing_and_distance(disc, 0.0, 20.0, 3.14159265, 25.0)
    assert (float(bearing), float(distance)) == (pytest.approx(-np.pi / 2, abs=1e-6), pytest.approx(45, abs=1e-6))
    cup = build_wall([Station(0, 40), Station(90, 50)], smooth=False)
    bearing, distance = bearing_and_distance(cup, 0.0, 1.0, 1.5, 1.0)
    there, tape = set_off(cup, 0.0, 1.0, bearing, distance)
    assert (float(there), float(tape)) == (pytest.approx(1.5, abs=1e-6), pytest.approx(1.0, abs=1e-4))


@pytest.mark.parametrize("at_foot", [True, False])
def test_over_the_pole_of_a_ball(at_foot: bool) -> None:
    """geographiclib, f = 0; the wall itself is a spline through 160 stations of the ball."""
    radius = 75.0
    ball = sphere(radius, -np.pi / 2, 1.2) if at_foot else sphere(radius, -1.2, np.pi / 2)
    globe = Geodesic(radius, 0.0)
    rng = np.random.default_rng(4)
    a, b, angle, _ = past_the_middle(rng, 1500, 100.0)
    tapes = (a, b) if at_foot else (ball.length - a, ball.length - b)
    lines = taut(ball, 0.0, tapes[0], np.abs(angle), tapes[1])
    apart = np.minimum(np.abs(angle), np.pi)
    lats = [90 - np.degrees(s / radius) for s in (a, b)]
    exact = [globe.Inverse(p, 0, q, d)["s12"] for p, q, d in zip(*lats, np.degrees(apart).tolist(), strict=True)]
    np.testing.assert_allclose(lines.length, exact, rtol=0, atol=2e-5)


@pytest.mark.parametrize("flange", [(20.0, 130.0), (70.0, 120.0), (5.0, 101.0)])
def test_over_the_corner_and_past_the_middle(flange: tuple[float, float]) -> None:
    """A disc of radius 100 mm and a flange round it: the shortest way by the two places at which the corner is
    crossed, or on the flange alone; scipy's minimiser from the best of a grid."""
    rise, rim = flange
    wall = build_wall([Station(0, 0), Station(0, 100), Station(rise, rim)], smooth=False)
    m = (rim - 100) / np.hypot(rim - 100, rise)
    rng = np.random.default_rng(5)
    for _ in range(40):
        high = 100 + rng.uniform(0.5, wall.length - 100, 2)
        around = np.pi - 10 ** rng.uniform(-6, 0)
        out = 100 / m + high - 100

        def flat(places: Floats, out: Floats = out, around: float = around) -> Floats:
            p, q = places
            first = developed(out[0], np.array(100 / m), m * np.abs(p))
            last = developed(out[1], np.array(100 / m), m * np.abs(around - q))
            return first + developed(np.array(100.0), np.array(100.0), np.abs(q - p)) + last

        grid = np.array(np.meshgrid(np.linspace(0, around, 161), np.linspace(0, around, 161))).reshape(2, -1)
        best = grid[:, np.argmin(flat(grid))]
        shortest = minimize(flat, best, method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-11}).fun
        chord = developed(out[0], out[1], m * around)
        nearest = out[0] * out[1] * np.sin(m * around) / chord
        # In the sector the way stays on the flange if its nearest place to the point lies outside the corner.
        foot = (out**2 - nearest**2) ** 0.5
        if nearest > 100 / m or abs(foot[0] - foot[1]) > 0.999 * chord:
            shortest = min(shortest, chord)
        line = taut(wall, 0.0, high[0], around, high[1])
        assert line.length == pytest.approx(shortest, abs=2e-5)


def forms() -> dict[str, Wall]:
    walls = {name: tip(name)[0] for name in TIPS} | {"bowl": pot("bowl"), "ball": sphere(60, -np.pi / 2, 1.0)}
    walls["dish"] = build_wall([Station(0, 0), Station(6, 60), Station(50, 90)], smooth=True)
    walls["upright"] = build_wall([Station(0, 0), Station(0, 50), Station(60, 52)], smooth=False)
    return walls


@pytest.mark.parametrize("name", sorted(forms()))
def test_lengths_grow_with_the_angle_and_no_faster_than_round_the_widest_ring(name: str) -> None:
    """The triangle inequality, with the way along the ring as the third side."""
    wall = forms()[name]
    widest = wall.widest(0.0, wall.length)[1]
    rng = np.random.default_rng(6)
    around = np.linspace(0, 3 * np.pi, 1501)
    for _ in range(8):
        s0, s1 = rng.uniform(0, wall.length, 2)
        gained = np.diff(taut(wall, 0.0, s0, around, s1).length)
        assert gained.min() > -1e-6
        assert gained.max() < widest * (around[1] - around[0]) + 1e-6


def test_from_the_middle_itself() -> None:
    """From the point every line is a meridian, whichever way round is asked for."""
    for name in TIPS:
        wall, _, far = tip(name)
        point = 0.0 if wall.radius(0.0) < 1 else wall.length
        there = abs(point - far * np.array([0.0, 1e-6, 0.3, 0.9]))
        lines = taut(wall, 0.0, point, [0.5, 2.0, 3.0, 20.0], there)
        np.testing.assert_allclose(lines.length, abs(there - point), rtol=0, atol=1e-6)


def test_a_ring_without_points_encloses_nothing() -> None:
    assert enclosed(tip("disc")[0], np.zeros((0, 2))) == 0.0
