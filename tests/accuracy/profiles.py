"""The profile, areas and volumes, proportional rows, and flat patterns."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pyproj
from scipy.integrate import quad
from scipy.interpolate import CubicSpline

from motif.wall import ConeSheet, Station, build_wall, polyconic
from tests.accuracy.checks import Check, largest
from tests.accuracy.forms import BALL, EQUATOR, RADIUS
from tests.laying.bench import lay_band
from tests.reference import record, records
from tests.wall.shapes import POTS, catenoid, cone, pot, sphere, spheroid, torus


def profile() -> float:
    """Radius and height at tapes measured by quadrature along scipy's splines, restarted at every corner."""
    found = []
    for name, stations in POTS.items():
        wall = pot(name)
        height, radius = (np.array([s[k] for s in stations]) for k in (0, 1))
        ends = [0, *(i for i in range(1, len(stations) - 1) if stations[i][2]), len(stations) - 1]
        begun = 0.0
        for first, last in pairwise(ends):
            part = slice(first, last + 1)
            chord = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(radius[part]), np.diff(height[part])))))
            curve = CubicSpline(chord, np.column_stack([radius[part], height[part]]), bc_type="not-a-knot")
            rate = curve.derivative()
            for low, high in pairwise(chord):
                for t in np.linspace(low, high, 5)[1:]:
                    gone = quad(lambda x, rate=rate: float(np.hypot(*rate(x))), low, t, epsabs=1e-12, epsrel=1e-12)[0]
                    found.append(np.hypot(*(np.array(wall.point(begun + gone)) - curve(t))))
                begun += gone
        found.append(np.asarray(begun - wall.length))
    return largest(found)


def areas() -> float:
    """Differences of area, spread along the widest ring."""
    half = np.pi / 2
    walls = {
        "5.oblate.2.1": (spheroid(100, 50, -half, half, 300), 50.0),
        "5.prolate.1.2": (spheroid(50, 100, -half, half, 300), 50.0),
        "5.catenoid": (catenoid(50, -1, 1, 300), 50.0),
        "5.zone.openstax": (sphere(75, 0, np.arcsin(2 / 3), 300), 25.0),
    }
    return largest(
        [
            (wall.area - record(key)["expected"] * scale**2) / (2 * np.pi * wall.widest(0, wall.length)[1])
            for key, (wall, scale) in walls.items()
        ]
    )


def volumes() -> float:
    """Differences of volume, spread over the wall."""
    walls = {"5.torus.openstax1": (torus(80, 40, 0, 2 * np.pi, 400), 20.0),
             "5.torus.openstax2": (torus(90, 30, 0, 2 * np.pi, 400), 30.0)}  # fmt: skip
    return largest(
        [(wall.volume - record(key)["expected"] * scale**3) / wall.area for key, (wall, scale) in walls.items()]
    )


def tapes() -> float:
    """Half the perimeter of an ellipse with an axis of 100 mm, the other no more than 5 times shorter."""
    found = []
    for entry in records("5.ellipse.exact"):
        a, b = entry["inputs"]["a"], entry["inputs"]["b"]
        if a <= 5 * b:
            scale = 100 / a
            wall = spheroid(a * scale, b * scale, -np.pi / 2, np.pi / 2, 400)
            found.append(wall.length - entry["expected"] * scale / 2)
    return largest(found)


def mercator() -> float:
    """σ at the latitudes of the records, as a distance on the ball there."""
    wall = sphere(RADIUS, -1.45, 1.45, 400)
    found = []
    for entry in records("12.sphere."):
        at = np.radians(entry["inputs"]["lat"])
        low, high = wall.sigma(RADIUS * (1.45 + np.array([0.0, at])))
        found.append((high - low - entry["expected"] * np.pi / 10800) * RADIUS * np.cos(at))
    return largest(found)


def proportional_rows() -> float:
    """The rings of a laid band stand at equal steps of Mercator's ordinate, by the inverse of PROJ's merc."""
    band = lay_band("grid columns 24 rows proportional 1 : 1 each cell { impress dot at (0, 0) }", form=BALL)
    plane = pyproj.Proj(proj="merc", R=1)
    _, top = plane(0, 70)
    _, latitude = plane(np.zeros(band.rows + 1), np.linspace(-top, top, band.rows + 1), inverse=True)
    return largest(band.rings.tape - EQUATOR - RADIUS * np.radians(latitude))


def gores() -> float:
    """Against PROJ's poly on an oblate form and on a ball, and the ball's printed example."""
    found = []
    for a, c in ((90.0, 80.0), (75.0, 75.0)):
        wall = spheroid(a, c, -1.2, 1.2, 300)
        reduced = np.linspace(-1.1, 1.1, 23)
        tape = wall.tape_at_height(c * np.sin(reduced), 0, wall.length)
        origin = float(wall.tape_at_height(0.0, 0, wall.length))
        plane = pyproj.Proj(proj="poly", a=a, b=c, lat_0=0, lon_0=0)
        latitude = np.degrees(np.arctan2(a * np.sin(reduced), c * np.cos(reduced)))
        for angle in (0.05, 0.4, 1.0):
            x, y = polyconic(wall, origin, angle, tape)
            want = plane(np.full(len(tape), np.degrees(angle)), latitude)
            found.append(np.hypot(x - want[0], y - want[1]))
    return largest(*found)


def snyder() -> float:
    entry = record("4.poly.sphere")
    given, want = entry["inputs"], entry["expected"]
    wall = sphere(RADIUS, -1.2, 1.2, 300)
    tape = RADIUS * (np.radians([given["lat0"], given["lat"]]) + 1.2)
    x, y = polyconic(wall, tape[0], np.radians(given["lon"] - given["lon0"]), tape[1])
    return largest(x - RADIUS * want[0], y - RADIUS * want[1])


def conic() -> float:
    """The cone that touches a ball at a latitude, unrolled, is PROJ's equidistant conic with that parallel."""
    found = []
    for lat in (15.0, 40.0, 65.0):
        r, lean, rise = (RADIUS * np.cos(np.radians(lat)), -np.sin(np.radians(lat)), np.cos(np.radians(lat)))
        wall = build_wall([Station(s * rise, r + s * lean) for s in (-15.0, 15.0)], smooth=False)
        sheet = ConeSheet.of(wall, 0, wall.length)
        plane = pyproj.Proj(proj="eqdc", R=RADIUS, lat_1=lat, lat_2=lat, lat_0=lat)
        run, tape = np.meshgrid(np.linspace(-60, 60, 13), np.linspace(0, 30, 7))
        x, y = sheet.chart(np.radians(run), tape)
        want = plane(run, lat + np.degrees((tape - 15) / RADIUS))
        found.append(np.hypot(x - want[0], y - 15 - want[1]))
    return largest(*found)


def frusta() -> float:
    """Slant, area over slant, and the tinsmith's rule as the arc it is short of, on a radius of the slant."""
    second = record("2.frustum.ex2")
    wall = cone(30, 15, 30)
    sheet = ConeSheet.of(wall, 0, wall.length)
    assert sheet.inner_radius is not None and sheet.outer_radius is not None
    area = sheet.angle / 2 * (sheet.outer_radius**2 - sheet.inner_radius**2)
    found = [sheet.slant - 10 * second["expected"][0], (area - 100 * second["expected"][1]) / sheet.slant]
    for entry in records("2.cone.rule"):
        slant = 10 * entry["inputs"]["slant_over_base_radius"]
        wall = cone(0, 10, np.sqrt(slant**2 - 100))
        found.append((ConeSheet.of(wall, 0, wall.length).angle - np.radians(entry["expected"])) * slant)
    return largest(found)


CHECKS = (
    Check("profile: radius, height, tape", "scipy CubicSpline and quad", profile, 1e-6),
    Check("tape round an ellipse", "exact perimeters (records 5.ellipse)", tapes, 1e-5),
    Check("area ÷ girth", "closed forms (records 5.oblate, prolate, catenoid, zone)", areas, 1e-5),
    Check("volume ÷ area", "Pappus (records 5.torus)", volumes, 1e-5),
    Check("σ, by which rows keep proportion", "meridional parts of the sphere (records 12.sphere)", mercator, 1e-5),
    Check("`rows proportional` on a ball", "PROJ merc", proportional_rows, 1e-5),
    Check("gores", "PROJ poly, ball and oblate form", gores, 1e-5),
    Check("gores, printed example", "Snyder 1987 (record 4.poly, seven places)", snyder, 1e-5),
    Check("cones", "PROJ eqdc", conic, 1e-9),
    Check("cones: slant, area, sector", "sheet-metal drafting (records 2.frustum, 2.cone)", frusta, 1e-7),
)
