"""Taut lines and setting off."""

from __future__ import annotations

import numpy as np
from geographiclib.geodesic import Geodesic
from scipy.integrate import solve_ivp

from motif.wall import build_wall, set_off, taut, travel
from motif.wall.profile import Station
from tests.accuracy.checks import Check, great_circle, largest
from tests.accuracy.forms import BALL, EQUATOR, RADIUS, ball_tape, band, latitude
from tests.laying.bench import CAN, CONE
from tests.reference import record
from tests.wall.shapes import catenoid, cone, cylinder, pot, sphere, spheroid, torus
from tests.wall.test_compass import followed


def spheroids() -> tuple[float, float]:
    """Lengths, and how far beside the far end lines lead that leave at our bearings, on three mild forms."""
    lengths, beside = [], []
    for f in (0.02, 0.05, -0.05):
        a = RADIUS
        wall, earth = spheroid(a, a * (1 - f), -1.3, 1.3, 400), Geodesic(a, f)
        rng = np.random.default_rng(9)
        reduced, around = rng.uniform(-0.9, 0.9, (2, 200)), rng.uniform(-1.5, 1.5, 200)
        tape = wall.tape_at_height(a * (1 - f) * np.sin(reduced), 0, wall.length)
        lines = taut(wall, 0, tape[0], around, tape[1])
        lat = np.degrees(np.arctan(np.tan(reduced) / (1 - f)))
        for i in np.flatnonzero(lines.held == 0):  # the spheroid knows of neither foot nor rim
            want = earth.Inverse(lat[0, i], 0, lat[1, i], float(np.degrees(around[i])), Geodesic.ALL)
            lengths.append(lines.length[i] - want["s12"])
            beside.append(np.sin(lines.leaving[i] - np.radians(90 - want["azi1"])) * want["m12"])
    return largest(lengths), largest(beside)


def reached(a: float, flattening: float, latitude: float, azimuth: float, length: float) -> np.ndarray:
    """Parametric latitude and angle at the end of a geodesic of the exact spheroid: scipy's DOP853.

    With m = √(a² sin² β + c² cos² β): β′ = cos α/m, θ′ = sin α/(a cos β), and by Clairaut α′ = sin α tan β/m."""
    c = a * (1 - flattening)

    def rates(_: float, at: np.ndarray) -> list[float]:
        beta, _, heading = at
        m = np.hypot(a * np.sin(beta), c * np.cos(beta))
        return [np.cos(heading) / m, np.sin(heading) / (a * np.cos(beta)), np.sin(heading) * np.tan(beta) / m]

    return solve_ivp(rates, (0, length), [latitude, 0.0, azimuth], method="DOP853", rtol=1e-13, atol=1e-13).y[:2, -1]


def pot_shaped() -> float:
    """How far from where they should lines end that leave as found and are as long as found, on an onion, a bun and
    an egg, where the series of geographiclib and PROJ no longer hold."""
    a, found = RADIUS, []
    for f in (0.2, 0.4, -0.5):
        c = a * (1 - f)
        wall, rng = spheroid(a, c, -1.3, 1.3, 400), np.random.default_rng(4)
        beta, around = rng.uniform(-0.9, 0.9, (2, 25)), rng.uniform(-1.8, 1.8, 25)
        tape = wall.tape_at_height(c * np.sin(beta), 0, wall.length)
        lines = taut(wall, 0, tape[0], around, tape[1])
        for i in np.flatnonzero(lines.held == 0):  # the spheroid knows of neither foot nor rim
            end = reached(a, f, beta[0, i], np.pi / 2 - lines.leaving[i], lines.length[i])
            found += [(end[0] - beta[1, i]) * a, (end[1] - around[i]) * a]
    return largest(found)


def great_circles() -> float:
    """Lengths of lines in a laid piece."""
    rng = np.random.default_rng(3)
    found = []
    for lat0, lat1, run in np.column_stack([rng.uniform(-50, 50, (12, 2)), rng.uniform(5, 100, 12)]).tolist():
        a, b = ball_tape(lat0), ball_tape(lat1)
        (path,) = band(f"carve from (0, {a:.12f} mm) taut to ({run!r} deg, {b:.12f} mm)", BALL).paths
        found.append(path.length - great_circle(RADIUS, *np.radians([lat0, lat1, run])))
    return largest(*found)


def on_the_great_circle() -> float:
    """Places of a laid line beside the plane through its ends and the ball's middle."""
    (path,) = band(f"carve from (0, {EQUATOR - 40:.12f} mm) taut to (80 deg, {EQUATOR + 60:.12f} mm)", BALL).paths
    lat, run = latitude(path.points[:, 1]), path.points[:, 0]
    at = np.stack((np.cos(lat) * np.cos(run), np.cos(lat) * np.sin(run), np.sin(lat)), axis=1)
    normal = np.cross(at[0], at[-1])
    return largest(RADIUS * at @ (normal / np.linalg.norm(normal)))


def unrolled() -> float:
    """Lines on can and cone, many turns round the can, and over the corner between a can and a cone."""
    (helix,) = band("carve from (0, 10 mm) taut to (30, 160 mm)", CAN).paths
    (chord,) = band("carve from (0, 0) taut to (5/2, 1)", CONE).paths
    turn = np.radians(75) * 0.8
    found = [helix.length - np.hypot(900, 150), chord.length - np.sqrt(75**2 + 25**2 - 2 * 75 * 25 * np.cos(turn))]
    given = record("3.cylinder.timss")["inputs"]
    line = taut(cylinder(10 * given["circumference"] / (2 * np.pi), 120), 0, 0, 2 * np.pi * given["turns"], 120)
    found.append(line.length - 10 * record("3.cylinder.timss")["expected"])
    hat = cone(60, 0, 20 * np.sqrt(7))
    line = taut(hat, 0, hat.length - 12.5, np.pi, hat.length - 37.5 * np.sqrt(2))
    found.append(line.length - record("3.cone.aime")["expected"] / 10)
    return largest(*found)


def held() -> float:
    """Far round a cone that widens upward, along its foot, in closed form: two tangents and the arc between."""
    wall, around = cone(40, 70, 40), 2.5 * np.pi
    rho0, rho = 40 / 0.6, 40 / 0.6 + 30
    line = taut(wall, 0, 30, around, 30)
    along = around - 2 * np.arccos(rho0 / rho) / 0.6
    return largest(line.length - 2 * np.sqrt(rho**2 - rho0**2) - 40 * along)


def clairaut() -> float:
    """Published quadratures between two levels, of which the wall goes a little beyond both."""
    walls = {
        "3.clairaut.oblate": (spheroid(50, 25, -1.0, 1.2, 400), 25 * np.sin(np.radians([-20, 50]))),
        "3.clairaut.prolate": (spheroid(50, 100, -1.0, 1.2, 400), 100 * np.sin(np.radians([-30, 40]))),
        "3.clairaut.torus": (torus(150, 50, -1.2, 1.4, 400), 50 * np.sin(np.radians([-40, 60]))),
        "3.clairaut.catenoid": (catenoid(50, -1, 1.5, 400), 50 * np.array([-0.5, 1.0])),
    }
    found = []
    for key, (wall, levels) in walls.items():
        angle, length = record(key)["expected"]
        tape = wall.tape_at_height(levels, 0, wall.length)
        found.append(taut(wall, 0, tape[0], angle, tape[1]).length - 50 * length)
    return largest(found)


def integrated() -> float:
    """Up to 100 mm on pots, over their corners."""
    found = []
    for name, wall in (("ring", torus(80, 30, -2, 2)), *((n, pot(n)) for n in ("bottle", "jar", "bowl"))):
        rng = np.random.default_rng(len(name))
        tape, bearing = rng.uniform(1, wall.length - 1, 4), rng.uniform(-np.pi, np.pi, 4)
        distance = rng.uniform(20, 100, 4)
        angle, reached, _ = travel(wall, 0.0, tape, bearing, distance)
        for i in range(4):
            want = followed(wall, tape[i], bearing[i], distance[i])
            found += [(angle[i] - want[0]) * float(wall.radius(want[1])), reached[i] - want[1]]
    return largest(found)


def set_off_in_closed_form() -> float:
    """On a ball the distance gone and the meridian's triangle; on a cone the unrolled plane."""
    rng = np.random.default_rng(2)
    bearing, distance = rng.uniform(-np.pi, np.pi, 100), rng.uniform(1, 60, 100)
    ball = sphere(RADIUS, -1.4, 1.4, 400)
    lat = 0.3
    angle, tape = set_off(ball, 0.0, RADIUS * (1.4 + lat), bearing, distance)
    far = distance / RADIUS
    want = np.arcsin(np.sin(lat) * np.cos(far) + np.cos(lat) * np.sin(far) * np.sin(bearing))
    run = np.arctan2(np.cos(bearing) * np.sin(far) * np.cos(lat), np.cos(far) - np.sin(lat) * np.sin(want))
    found = [tape - RADIUS * (1.4 + want), np.sin(angle - run) * RADIUS * np.cos(want)]
    wall = build_wall([Station(0, 40), Station(40, 70)], smooth=False)
    flat = complex(0, 40 / 0.6 + 20) + distance * np.exp(1j * bearing)
    angle, tape = set_off(wall, 0.0, 20.0, bearing, distance)
    found += [tape + 40 / 0.6 - np.abs(flat), np.sin(0.6 * angle + np.angle(flat / 1j)) * np.abs(flat)]
    return largest(*found)


def past_the_middle() -> float:
    """Chords that pass the middle of a disc 1e-9 … 10 mm away, or go through it."""
    disc = build_wall([Station(0, 0), Station(0, 100)], smooth=False)
    rng = np.random.default_rng(5)
    a, b = rng.uniform(5, 95, (2, 4000))
    short = np.arcsin(np.minimum(10 ** rng.uniform(-9, 1, 4000) * (a + b) / (a * b), 1.0))
    short[::10] = 0.0
    chord = np.sqrt((a - b) ** 2 + 4 * a * b * np.cos(short / 2) ** 2)
    return largest(taut(disc, 0.0, a, np.pi - short, b).length - chord)


CHECKS = (
    Check("taut lines: length", "geographiclib, flattening −0.05 … 0.05", lambda: spheroids()[0], 1e-6),
    Check("taut lines: beside the far end", "geographiclib, the same", lambda: spheroids()[1], 2e-5),
    Check("taut lines on pot-shaped spheroids: far end", "scipy DOP853, flattening −0.5 … 0.4", pot_shaped, 2e-5),
    Check("taut lines laid on a ball: length", "great circles, spherical trigonometry", great_circles, 1e-4),
    Check("taut lines laid on a ball: places", "plane through the ball's middle", on_the_great_circle, 1e-3),
    Check("taut lines on can and cone", "unrolled plane (records 3.cylinder, 3.cone)", unrolled, 1e-5),
    Check("taut line held at the foot", "tangents and arc in the unrolled cone", held, 1e-5),
    Check("taut lines past the middle of a disc", "law of cosines in the plane", past_the_middle, 1e-6),
    Check("taut lines on round forms", "Clairaut's quadratures (records 3.clairaut)", clairaut, 2e-5),
    Check("set off", "scipy DOP853, pots with corners", integrated, 1e-5),
    Check("set off on ball and cone", "spherical trigonometry, unrolled plane", set_off_in_closed_form, 1e-5),
)
