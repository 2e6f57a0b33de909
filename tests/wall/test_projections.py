"""Radius, tape, σ, swept area, cones, gores and geodesics of a wall against published points of map projections.

A globe is a pot. What a projection keeps true is something the wall knows: equidistant ones its tape and radius,
conformal ones its σ, equal-area ones its swept area. Points are Snyder's examples (USGS Professional Paper 1395,
1987, Appendix A) and those of PROJ's test suite; the records say which were read and which are from memory.
"""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np
import pyproj
import pytest

from motif.wall import ConeSheet, Station, Wall, build_wall, polyconic, set_off
from tests.reference import record
from tests.wall.test_compass import globe, tape_of


class Plane(NamedTuple):
    """A record's projection on a wall: tapes of its latitudes, and the point's angle to the right of the middle."""

    wall: Wall
    #: units of the record in a millimetre of the wall
    scale: float
    equator: float
    origin: float
    standard: list[float]
    angle: float
    tape: float


def plane(entry: dict) -> Plane:
    """The record's own words for PROJ say the globe, the standard parallels and the middle."""
    given = entry["inputs"]
    said = dict(re.findall(r"\+(\w+)=([\w.-]+)", given.get("proj") or given["pyproj"]))
    a, f = (float(said["R"]), 0.0) if "R" in said else _ellipsoid(said["ellps"])
    wall, equator = globe(f)
    standard = [tape_of(wall, f, float(said[k])) for k in ("lat_1", "lat_2") if k in said]
    origin, tape = (tape_of(wall, f, latitude) for latitude in (float(said.get("lat_0", 0)), given["lat"]))
    angle = np.radians(given["lon"] - float(said.get("lon_0", 0)))
    return Plane(wall, a / 100, equator, origin, standard, float(angle), tape)


def _ellipsoid(name: str) -> tuple[float, float]:
    body = pyproj.Geod(ellps=name)
    return body.a, body.f


def check(point: tuple[float, float], entry: dict, on: Plane) -> None:
    """Within the record's tolerance: Snyder's last digit, or 0.1 mm of the earth, which is 1.6e-9 mm of the globe."""
    assert [float(v) * on.scale for v in point] == pytest.approx(entry["expected"][:2], abs=entry["tolerance"])


@pytest.mark.parametrize("key", ["4.mercator.sphere", "4.merc.ellipsoid", "4.gie.merc"])
def test_sigma_is_mercators_ordinate(key: str) -> None:
    """The girth of the equator across, σ times its radius up."""
    on = plane(record(key))
    radius = float(on.wall.radius(on.equator))
    low, high = on.wall.sigma([on.equator, on.tape])
    check((radius * on.angle, radius * (high - low)), record(key), on)


def test_sigma_grows_by_the_secant() -> None:
    """Mercator's scale h = k = sec φ: how fast σ grows with the tape, as a difference over 0.02 mm of it."""
    entry = record("4.mercator.scale")
    wall, _ = globe(0.0)
    at = tape_of(wall, 0.0, entry["inputs"]["lat"])
    low, high = wall.sigma([at - 0.01, at + 0.01])
    assert (high - low) / 0.02 * 100 == pytest.approx(entry["expected"], abs=entry["tolerance"])


@pytest.mark.parametrize("key", ["4.sinu.sphere", "4.sinu.ellipsoid", "4.gie.sinu"])
def test_places_by_tape_are_sinusoidal(key: str) -> None:
    """Tape along the ring from the middle vertical, and up the wall: as the mark table says where a mark is."""
    on = plane(record(key))
    check((float(on.wall.radius(on.tape)) * on.angle, on.tape - on.equator), record(key), on)


@pytest.mark.parametrize("key", ["4.poly.ellipsoid", "4.gie.poly"])
def test_gores_are_polyconic(key: str) -> None:
    on = plane(record(key))
    x, y = polyconic(on.wall, on.origin, on.angle, on.tape)
    check((float(x), float(y)), record(key), on)


def conic(on: Plane) -> tuple[ConeSheet, float]:
    """The cone whose rings are as long as the wall's at both standard parallels, with the tape between them as its
    slant, as one sheet; and the tape of its lower edge."""
    low, high = min(on.origin, on.tape, *on.standard), max(on.origin, on.tape, *on.standard)
    below, above = on.standard
    taper = (on.wall.radius(above) - on.wall.radius(below)) / (above - below)
    ends = on.wall.radius(below) + taper * (np.array([low, high]) - below)
    height = (high - low) * np.sqrt(1 - taper**2)
    cone = build_wall([Station(0.0, float(ends[0])), Station(float(height), float(ends[1]))], smooth=False)
    return ConeSheet.of(cone, 0, cone.length), low


@pytest.mark.parametrize("key", ["4.eqdc.sphere", "4.eqdc.ellipsoid", "4.gie.eqdc"])
def test_cones_are_equidistant_conics(key: str) -> None:
    on = plane(record(key))
    sheet, low = conic(on)
    x, y = sheet.chart([on.angle, 0.0], np.array([on.tape, on.origin]) - low)
    check((x[0], y[0] - y[1]), record(key), on)


def test_the_constants_of_a_conic_are_a_cones() -> None:
    """Snyder's n (part of a turn), G and ρ (distances from the point, G that of the equator) and k (paper to wall)."""
    entry = record("4.eqdc.sphere")
    on = plane(entry)
    sheet, low = conic(on)
    n = sheet.angle / (2 * np.pi)
    rho = sheet.outer_radius - (on.tape - low)
    found = (n, (rho + on.tape - on.equator) / 100, rho / 100, n * rho / float(on.wall.radius(on.tape)))
    assert found == pytest.approx(tuple(entry["expected"][2:]), abs=entry["tolerance"])


@pytest.mark.parametrize("key", ["4.aea.sphere", "4.aea.ellipsoid", "4.gie.aea"])
def test_swept_area_is_that_of_albers(key: str) -> None:
    """The conic true at two rings that keeps areas (Snyder's equations 14-3 to 14-6): with A(s) = ∫ r ds of the wall,
    n = (r₁² − r₂²) ÷ 2 (A₂ − A₁) and ρ² = (r₁ ÷ n)² − 2 (A − A₁) ÷ n."""
    on = plane(record(key))
    first, second = on.standard
    r1, r2 = on.wall.radius([first, second])
    a1, a2, *swept = on.wall.swept([first, second, on.tape, on.origin])
    n = (r1**2 - r2**2) / (2 * (a2 - a1))
    rho, rho0 = np.sqrt((r1 / n) ** 2 - 2 * (np.array(swept) - a1) / n)
    check((rho * np.sin(n * on.angle), rho0 - rho * np.cos(n * on.angle)), record(key), on)


def test_setting_off_is_cassinis() -> None:
    """So far up the middle vertical, then so far at right angles to it along a great circle."""
    entry = record("4.gie.cass")
    on = plane(entry)
    x, y = (v / on.scale for v in entry["expected"])
    angle, tape = set_off(on.wall, 0.0, on.equator + y, 0.0, x)
    # the record's tolerance is 1.6e-9 mm of the globe
    assert 100 * (float(angle) - on.angle) == pytest.approx(0, abs=1e-9)
    assert float(tape) == pytest.approx(on.tape, abs=1e-9)
