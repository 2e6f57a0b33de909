"""Areas, volumes, tape lengths, σ, levels and landmarks against published and closed-form values."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from motif.wall import Station, build_wall
from tests.reference import record, records
from tests.wall.shapes import POTS, catenoid, cone, cylinder, pot, sphere, spheroid, through, torus
from tests.wall.test_compass import globe, tape_of


def close(got: float, entry: dict, index: int | None = None, scale: float = 1.0) -> None:
    """Within the record's own tolerance, plus 1e-8 of the value for the spline through many stations."""
    want, tolerance = entry["expected"], entry["tolerance"]
    if index is not None:
        want = want[index]
        tolerance = tolerance[index] if isinstance(tolerance, list) else tolerance
    assert got / scale == pytest.approx(want, abs=tolerance, rel=1e-8)


@pytest.mark.parametrize("key", ["5.torus.mh", "5.torus.pappus.mh", "5.torus.openstax1", "5.torus.openstax2"])
def test_torus(key: str) -> None:
    entry = record(key)
    given = entry["inputs"]
    tube = given.get("r", given.get("d_tube", 0) / 2)
    centre = given.get("R", given.get("D_centre_circle", 0) / 2)
    # The tube's section closes on itself, so it is walked once round from its outermost point.
    wall = torus(10 * centre, 10 * tube, 0, 2 * np.pi, 240)
    volume = {"5.torus.mh": 0, "5.torus.pappus.mh": 1}.get(key)
    close(wall.volume, entry, volume, 1e3)
    if volume is not None:
        close(wall.area, entry, 1 - volume, 1e2)


def test_revolved_curves() -> None:
    """OpenStax, Calculus Volume 2, section 2.4: areas of surfaces of revolution."""
    t = np.linspace(0, 1, 201)
    close(through(lambda t: (np.sqrt(1 + 3 * t), 1 + 3 * t), t).area, record("5.revsurf.sqrtx"))
    close(through(lambda t: (np.sqrt(1 - t / 2), t / 2), t).area, record("5.revsurf.sqrt1mx"))
    close(through(lambda t: ((2 * t) ** 3 / 3, 2 * t), t[1:]).area, record("5.revsurf.cubic"))


def test_zones_of_a_sphere() -> None:
    entry = record("5.zone.openstax")
    wall = sphere(30, 0, np.arcsin(2 / 3))
    close(wall.area, entry, None, 100)
    entry = record("5.zone.mh")  # c1 and c2 are the diameters of the zone's circles
    radius = entry["expected"][1]
    lats = sorted(np.sign(d) * np.arccos(1.0 / 2 * c / radius) for d, c in ((-1, 3), (1, 4)))
    heights = radius * np.sin(lats)
    if not np.isclose(heights[1] - heights[0], 1.5):  # both circles on one side of the middle
        lats = sorted(np.arccos(c / 2 / radius) for c in (3, 4))
    wall = sphere(10 * radius, *lats)
    close(wall.area, entry, 2, 100)
    close(wall.volume, entry, 0, 1000)


def test_straight_solids() -> None:
    entry = record("5.cone.mh")
    wall = cone(30, 0, 40)
    close(wall.volume, entry, 0, 1e3)
    close(wall.area, entry, 1, 1e2)
    close(cone(40, 20, 50).volume, record("5.frustum.mh"), None, 1e3)
    entry = record("5.cylinder.mh")
    close(cylinder(12.5, 200).volume, entry, 0, 1e3)
    close(cylinder(12.5, 200).area, entry, 1, 1e2)


def test_round_solids() -> None:
    entry = record("5.sphere.mh")
    wall = sphere(32.5, -np.pi / 2, np.pi / 2)
    close(wall.volume, entry, 0, 1e3)
    close(wall.area, entry, 1, 1e2)
    entry = record("5.cap.mh")
    h, c = entry["inputs"]["h"], entry["inputs"]["c"]
    r = (c**2 / 4 + h**2) / (2 * h)
    close(sphere(r, np.arcsin(1 - h / r), np.pi / 2).volume, entry)
    close(through(lambda t: (62.5 * t, 300 * t**2), np.linspace(0, 1, 161)).volume, record("5.paraboloid.mh"))


def test_clay_of_hollow_solids() -> None:
    """Machinery's Handbook: what is between an outer and an inner wall."""
    entry = record("5.hollow.mh")
    outside, thick = entry["inputs"]["D_outside"], entry["inputs"]["thickness"]
    outer, inner = (sphere(5 * d, -np.pi / 2, np.pi / 2) for d in (outside, outside - 2 * thick))
    close(outer.volume - inner.volume, entry, None, 1e3)
    entry = record("5.shell.mh")
    outside, thick, height = (entry["inputs"][k] for k in ("D_outside", "thickness", "h"))
    outer, inner = (cylinder(5 * d, 10 * height) for d in (outside, outside - 2 * thick))
    close(outer.volume - inner.volume, entry, None, 1e3)


def test_a_cap_on_a_point() -> None:
    """Machinery's Handbook, spherical sector: a cone with its point in the middle of the ball, and the cap on it."""
    entry = record("5.sector.mh")
    r, h = entry["inputs"]["r"], entry["inputs"]["h"]
    whole = sphere(10 * r, -np.pi / 2, np.pi / 2)
    edge = whole.tape_at_height(10 * (r - h), 0, whole.length)
    close(2 * float(whole.radius(edge)), entry, 1, 10)
    lats = np.linspace(np.arcsin(1 - h / r), np.pi / 2, 161)
    cap = [Station(float(10 * r * np.sin(t)), float(10 * r * np.cos(t)), corner=t == lats[0]) for t in lats[:-1]]
    close(build_wall([Station(0.0, 0.0), *cap, Station(10 * r, 0.0)], smooth=True).volume, entry, 0, 1e3)


@pytest.mark.parametrize("key", [r["id"] for r in records("5.ellipse.exact")])
def test_tape_round_an_ellipse(key: str) -> None:
    """The tape from pole to pole of a spheroid is half the perimeter of its section."""
    entry = record(key)
    a, b = entry["inputs"]["a"], entry["inputs"]["b"]
    scale = 100 / a
    for x, z in ((a, b), (b, a)):
        wall = spheroid(x * scale, z * scale, -np.pi / 2, np.pi / 2, 400)
        assert 2 * wall.length / scale == pytest.approx(entry["expected"], rel=1e-6 if a > 5 * b else 1e-8)


@pytest.mark.parametrize("entry", records("5.ellipse.ramanujan2."), ids=lambda r: r["id"])
def test_ramanujans_perimeters(entry: dict) -> None:
    """His second approximation of 1914 is too small by the part that the record gives; the spline through the
    stations of the longest ellipse is good to 1e-6 of it, of the others to 1e-8."""
    a, b, short = (entry["inputs"][k] for k in ("a", "b", "relative_error"))
    wall = spheroid(100, 100 * b / a, -np.pi / 2, np.pi / 2, 400)
    assert entry["expected"] / (2 * wall.length * a / 100) - 1 == pytest.approx(short, abs=1e-6 if a > 5 * b else 1e-8)


@pytest.mark.parametrize("entry", records("5.ellipe."), ids=lambda r: r["id"])
def test_complete_elliptic_integrals(entry: dict) -> None:
    """A quarter round an ellipse with axes 1 and √(1 − m) is E(m) (Abramowitz and Stegun, Table 17.1)."""
    wall = spheroid(100, 100 * np.sqrt(1 - entry["inputs"]["m"]), -np.pi / 2, np.pi / 2, 400)
    assert wall.length / 2 / 100 == pytest.approx(entry["expected"], rel=1e-8)


def test_spheroids_and_catenoid() -> None:
    close(spheroid(200, 100, -np.pi / 2, np.pi / 2, 300).area, record("5.oblate.2.1"), None, 1e4)
    close(spheroid(100, 200, -np.pi / 2, np.pi / 2, 300).area, record("5.prolate.1.2"), None, 1e4)
    entry = record("5.grs80")
    a = entry["inputs"]["a"]
    c = a * (1 - 1 / entry["inputs"]["inv_f"])
    wall = spheroid(100, 100 * c / a, -np.pi / 2, np.pi / 2, 300)
    close(wall.area, entry, 0, (100 / a) ** 2)
    close(wall.volume, entry, 1, (100 / a) ** 3)
    close(wall.length / 2, entry, 2, 100 / a)
    close(catenoid(50, -1, 1).area, record("5.catenoid"), None, 2500)
    close(catenoid(100, -1.5, 1.5).length, record("5.catenary1"), None, 10)
    close(catenoid(150, -4 / 3, 4 / 3).length, record("5.catenary2"), None, 10)


@pytest.mark.parametrize("entry", records("12.sphere."), ids=lambda r: r["id"])
def test_sigma_on_a_sphere_is_mercators_ordinate(entry: dict) -> None:
    wall = sphere(75, -np.pi / 2, np.pi / 2, 240)
    s = 75 * (np.pi / 2 + np.radians([0, entry["inputs"]["lat"]]))
    low, high = wall.sigma(s)
    assert (high - low) * 10800 / np.pi == pytest.approx(entry["expected"], abs=entry["tolerance"] + 1e-3)
    assert wall.tape_at_sigma(high) == pytest.approx(s[1], abs=1e-9)


@pytest.mark.parametrize(
    "entry", records("12.bowditch.") + records("12.table6.") + records("12.bow45"), ids=lambda r: r["id"]
)
def test_sigma_on_a_spheroid_is_the_navigators(entry: dict) -> None:
    """Bowditch's table of meridional parts and his formula for it are for WGS 72, of flattening 1/298.26."""
    f = 1 / 298.26
    wall, equator = globe(f)
    degrees, minutes = (float(v) for v in f"{entry['inputs']['lat']} 0".split()[:2])
    low, high = wall.sigma([equator, tape_of(wall, f, degrees + minutes / 60)])
    assert (high - low) * 10800 / np.pi == pytest.approx(entry["expected"], abs=entry["tolerance"])


def test_sigma_is_infinite_at_a_point_and_comes_back() -> None:
    wall = sphere(75, -np.pi / 2, np.pi / 2, 120)
    assert wall.sigma([0, wall.length]).tolist() == [-np.inf, np.inf]
    assert wall.tape_at_sigma([-np.inf, np.inf]).tolist() == [0, wall.length]
    s = np.array([1e-8, 1e-4, 0.1, 2, 100, wall.length - 0.1])
    np.testing.assert_allclose(wall.tape_at_sigma(wall.sigma(s)), s, rtol=1e-8)
    # Close to the point the wall is a flat disc: σ grows like log s.
    assert np.diff(wall.sigma([1e-7, 1e-3]))[0] == pytest.approx(np.log(1e4), abs=1e-6)


def test_sigma_of_a_cone_is_a_logarithm() -> None:
    wall = cone(40, 70, 40)  # dr/ds = 0.6
    assert wall.sigma(50.0) == pytest.approx(np.log(70 / 40) / 0.6, rel=1e-14)
    beyond = wall.sigma(80.0) - wall.sigma(-20.0)
    assert beyond == pytest.approx(np.log((70 + 18) / (40 - 12)) / 0.6, rel=1e-14)
    assert wall.tape_at_sigma(wall.sigma([-20.0, 80.0])).tolist() == pytest.approx([-20, 80])
    assert wall.sigma(-1000.0) == -np.inf


@pytest.mark.parametrize("name", sorted(POTS))
def test_swept_and_sigma_by_scipys_quadrature(name: str) -> None:
    wall = pot(name)
    rng = np.random.default_rng(5)
    for low, high in np.sort(rng.uniform(0, wall.length, (6, 2)), axis=1):
        points = [p for p in wall.station_tapes if low < p < high]
        options = {"points": points or None, "epsabs": 1e-11, "epsrel": 1e-12, "limit": 200}
        area = quad(lambda s: float(wall.radius(s)), low, high, **options)[0]
        ratio = quad(lambda s: 1 / float(wall.radius(s)), low, high, **options)[0]
        assert float(wall.swept(high) - wall.swept(low)) == pytest.approx(area, abs=1e-8)
        assert float(wall.sigma(high) - wall.sigma(low)) == pytest.approx(ratio, abs=1e-9)
    s = np.linspace(-3, wall.length + 3, 999)
    np.testing.assert_allclose(wall.tape_at_sigma(wall.sigma(s)), s, rtol=0, atol=1e-9)


def test_crossings_of_a_wall_that_turns_back() -> None:
    wall = through(lambda t: (80 + 30 * np.cos(t), 30 * np.sin(t)), np.linspace(-np.pi / 2, 1.2 * np.pi, 161))
    assert wall.crossings(0.0).tolist() == pytest.approx([30 * np.pi / 2, 30 * 1.5 * np.pi], abs=1e-6)
    assert wall.crossings(15.0).tolist() == pytest.approx([20 * np.pi, 40 * np.pi], abs=1e-6)
    assert wall.crossings(-29.0).size == 1
    assert wall.crossings(31.0).size == 0
    assert wall.crossings(-31.0).size == 0
    assert not wall.height_is_monotone(0, wall.length)
    assert wall.height_is_monotone(0, 30 * np.pi - 1e-5)
    assert wall.height_is_monotone(30 * np.pi + 0.01, wall.length)


def test_a_level_just_touched_counts_once() -> None:
    wall = build_wall([Station(0, 40), Station(50, 80), Station(10, 110)], smooth=False)
    assert wall.crossings(50.0).tolist() == pytest.approx([wall.corners[0]])
    assert wall.crossings(10.0).size == 2
    smooth = through(lambda t: (80 + 30 * np.cos(t), 30 * np.sin(t)), np.linspace(-1, 2, 161))
    top = float(smooth.height(smooth.crossings(30.0 - 1e-9))[0])
    assert smooth.crossings(top).size == 1


def test_a_level_stretch_gives_its_ends() -> None:
    wall = build_wall([Station(0, 40), Station(30, 60), Station(30, 90), Station(60, 95)], smooth=False)
    assert wall.crossings(30.0).tolist() == pytest.approx(wall.station_tapes[1:3].tolist())
    assert not wall.height_is_monotone(0, wall.length)
    assert wall.height_is_monotone(0, float(wall.corners[0]))
    plate = build_wall([Station(0, 0), Station(100, 100)], smooth=False, by_tape=True)
    assert plate.crossings(0.0).tolist() == [0, 100]
    assert not plate.height_is_monotone(0, 100)


@pytest.mark.parametrize("name", ["jar", "bottle", "vase"])
def test_tape_at_height_is_the_inverse(name: str) -> None:
    wall = pot(name)
    heights = np.linspace(0, POTS[name][-1][0], 400).reshape(20, 20)
    tapes = wall.tape_at_height(heights, 0, wall.length)
    assert tapes.shape == heights.shape
    np.testing.assert_allclose(wall.height(tapes), heights, rtol=0, atol=1e-10)
    assert float(wall.tape_at_height(heights[3, 3], 0, wall.length)) == tapes[3, 3]


def test_tape_at_height_on_a_falling_stretch() -> None:
    wall = through(lambda t: (80 + 30 * np.cos(t), 30 * np.sin(t)), np.linspace(np.pi / 2, np.pi, 81))
    assert float(wall.tape_at_height(15.0, 0, wall.length)) == pytest.approx(30 * np.pi / 3, abs=1e-6)


def test_widest_and_narrowest_are_exact() -> None:
    """Sphere of 75: the equator; torus: its inner equator. Closed forms, no sampling."""
    ball = sphere(75, -1.0, 1.2)
    assert ball.widest(0, ball.length) == (pytest.approx(75, abs=1e-4), pytest.approx(75, abs=1e-8))
    assert ball.widest(100, 120)[0] == 100
    assert ball.narrowest(0, ball.length)[0] == ball.length
    ring = torus(80, 30, np.pi / 2, 1.5 * np.pi)
    tape, radius = ring.narrowest(0, ring.length)
    assert (tape, radius) == (pytest.approx(15 * np.pi, abs=1e-4), pytest.approx(50, abs=1e-8))
    can = cylinder(60, 200)
    assert can.widest(0, 200) == (0, 60)
    assert can.belly == 0
    assert can.neck is None


def test_belly_and_neck() -> None:
    bottle = pot("bottle")
    s = np.linspace(0, bottle.length, 200_001)
    r = bottle.radius(s)
    above = s > bottle.belly
    assert bottle.belly == pytest.approx(s[np.argmax(r)], abs=2e-3)
    assert bottle.neck == pytest.approx(s[above][np.argmin(r[above])], abs=2e-3)
    assert pot("jar").neck is None  # the rim is the narrowest, but has no wider wall above it
    stations = [(0, 50), (40, 80), (80, 30), (100, 30), (120, 45)]
    straight = build_wall([Station(h, r) for h, r in stations], smooth=False)
    assert straight.neck == pytest.approx(straight.station_tapes[2])  # of equals the lowest
    assert straight.belly == pytest.approx(straight.station_tapes[1])
    double = build_wall([Station(h, r) for h, r in [(0, 50), (40, 40), (80, 80), (120, 50)]], smooth=False)
    assert double.neck is None  # its waist is below the belly
