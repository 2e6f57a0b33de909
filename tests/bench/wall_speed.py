"""How long the wall's geometry takes, and how exact it is: ``python -m tests.bench.wall_speed``. It only prints.

Yardsticks run in the same minute, since a ratio says more than seconds on a machine that does other things:
geographiclib (Python) and PROJ (compiled, through pyproj) for taut lines, numpy's sine for the rest. Processor time."""

from __future__ import annotations

from collections.abc import Callable
from time import process_time

import numpy as np
from geographiclib.geodesic import Geodesic
from pyproj import Geod

from motif.wall import Station, build_wall, fewest_cones, fewest_gores, set_off, taut
from tests.accuracy.lines import reached
from tests.wall.shapes import pot, sphere, spheroid

#: Radius at the equator, mm, and flattenings: a mild one, an onion, a bun, an egg on its end.
RADIUS, FLATTENINGS = 75.0, (0.02, 0.2, 0.4, -0.5)
#: The walls go as far as the first parametric latitude, the lines whose ends are looked at as far as the second.
WALL, LINES = 1.2, 0.9
COUNT, LOOKED_AT = 10_000, 60


def timed(words: str, work: Callable[[], object], best_of: int = 3, sine: float = 0.0) -> float:
    """Milliseconds, printed; with the ratio to a million sines if their time is given."""
    taken = []
    for _ in range(best_of):
        start = process_time()
        work()
        taken.append(process_time() - start)
    least = min(taken) * 1000
    print(f"{least:9.2f} ms  {words}" + (f": {least / sine:.2f} × a million sines" if sine else ""))
    return least


def exactness(flattening: float) -> None:
    """How far from where it should lines end that leave at the azimuth found and are as long as found, mm."""
    a, c = RADIUS, RADIUS * (1 - flattening)
    wall, python, compiled = spheroid(a, c, -WALL, WALL, 400), Geodesic(a, flattening), Geod(a=a, f=flattening)
    rng = np.random.default_rng(5)
    beta, around = rng.uniform(-LINES, LINES, (2, LOOKED_AT)), rng.uniform(-2.0, 2.0, LOOKED_AT)
    tape = wall.tape_at_height(c * np.sin(beta), 0, wall.length)
    lines = taut(wall, 0, tape[0], around, tape[1])
    lat, lon = np.degrees(np.arctan(np.tan(beta) / (1 - flattening))), np.degrees(around)
    theirs = [python.Inverse(lat[0, i], 0, lat[1, i], lon[i]) for i in range(LOOKED_AT)]
    azimuth, _, length = compiled.inv(np.zeros(LOOKED_AT), lat[0], lon, lat[1])
    found = {
        "ours": (np.pi / 2 - lines.leaving, lines.length),
        "geographiclib": (np.radians([x["azi1"] for x in theirs]), np.array([x["s12"] for x in theirs])),
        "PROJ": (np.radians(azimuth), np.asarray(length)),
    }
    free = np.flatnonzero(lines.held == 0)  # the spheroid knows of neither foot nor rim
    metre = np.hypot(a * np.sin(beta[1]), c * np.cos(beta[1]))
    words = []
    for name, (leaving, far) in found.items():
        missed = []
        for i in free.tolist():
            end = reached(a, flattening, beta[0, i], leaving[i], far[i])
            missed.append(np.hypot(metre[i] * (end[0] - beta[1, i]), a * np.cos(beta[1, i]) * (end[1] - around[i])))
        words.append(f"{name} {max(missed):.0e}")
    print(f"{'':14}flattening {flattening:+.2f}, end missed by at most, mm: " + ", ".join(words))


def lines_of_a_spheroid(flattening: float) -> None:
    a, c = RADIUS, RADIUS * (1 - flattening)
    rng = np.random.default_rng(0)
    beta, around = rng.uniform(-WALL, WALL, (2, COUNT)), rng.uniform(-2.5, 2.5, COUNT)
    wall = spheroid(a, c, -WALL, WALL)
    low, high = wall.tape_at_height(c * np.sin(beta), 0, wall.length)
    lat, lon, zero = np.degrees(np.arctan(np.tan(beta) / (1 - flattening))), np.degrees(around), np.zeros(COUNT)
    python, compiled = Geodesic(a, flattening), Geod(a=a, f=flattening)
    print(f"{COUNT} different lines on a spheroid of flattening {flattening:+.2f}: length and both bearings")
    first = timed("ours, the first time, with the wall's tables", lambda: taut(wall, 0, low, around, high), 1)
    ours = timed("ours, again", lambda: taut(wall, 0, low, around, high))
    proj = timed("PROJ", lambda: compiled.inv(zero, lat[0], lon, lat[1]))
    triples = list(zip(lat[0].tolist(), lat[1].tolist(), lon.tolist(), strict=True))
    geo = timed("geographiclib", lambda: [python.Inverse(p, 0.0, q, r) for p, q, r in triples], 1)
    print(f"{'':14}÷ geographiclib: {ours / geo:.2f}, the first time {first / geo:.2f}")
    print(f"{'':14}÷ PROJ: {ours / proj:.1f}, the first time {first / proj:.1f}")
    some = taut(wall, 0, low[:100], around[:100], high[:100])
    places = sum(len(some.polyline(i)[0]) for i in range(100))
    timed(f"ours: the polylines of 100 of them, {places} places", lambda: [some.polyline(i) for i in range(100)])

    def positions() -> None:
        for p, q, r in triples[:100]:
            line = python.InverseLine(p, 0.0, q, r)
            for k in range(places // 100):
                line.Position(line.s13 * k / (places // 100))

    timed("geographiclib: as many places on them", positions, 1)
    few_low, few_high, same = low[:20, None], high[:20, None], np.full(500, 1.0)
    timed("ours: the same 20 lines 500 times", lambda: taut(wall, 0, few_low, same, few_high))


def main() -> None:
    x = np.random.default_rng(1).uniform(-3, 3, 1_000_000)
    sine = timed("a million sines", lambda: np.sin(x), 5)
    level = np.linspace(-1.3, 1.3, 100)
    stations = [Station(float(75 * np.sin(t)), float(75 * np.cos(t))) for t in level]
    timed("a smooth wall of 100 stations", lambda: build_wall(stations, smooth=True), sine=sine)
    wall, bottle, vase = build_wall(stations, smooth=True), pot("bottle"), pot("vase")
    rng = np.random.default_rng(0)
    tape = rng.uniform(0, wall.length, 1_000_000)
    sigma, height = wall.sigma(tape), wall.height(tape)
    timed("a million tapes to (radius, height)", lambda: wall.point(tape), sine=sine)
    timed("a million tapes to sigma", lambda: wall.sigma(tape), sine=sine)
    timed("a million sigmas to tape", lambda: wall.tape_at_sigma(sigma), sine=sine)
    timed("a million heights to tape", lambda: wall.tape_at_height(height, 0, wall.length), sine=sine)
    timed("fewest gores within 0.5 mm", lambda: fewest_gores(bottle, 0, bottle.length, 0.5), sine=sine)
    timed("fewest cones within 0.5 mm", lambda: fewest_cones(bottle, 0, bottle.length, 0.5), 1, sine)
    few, bearing = tape[:COUNT], rng.uniform(-np.pi, np.pi, COUNT)
    ball = sphere(75, -WALL, WALL)
    timed("10 000 places set off 5 mm", lambda: set_off(ball, 0, few % ball.length, bearing, 5.0), sine=sine)
    timed("10 000 places set off 100 mm", lambda: set_off(ball, 0, few % ball.length, bearing, 100.0), 1, sine)
    # A leaf 20 mm by 12, of 40 places, at 10 000 levels of a vase with corners.
    turn = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    out, up = 10 * np.cos(turn), 6 * np.sin(turn)
    levels, way, far = rng.uniform(15, vase.length - 15, (COUNT, 1)), np.arctan2(up, out), np.hypot(out, up)
    timed("10 000 footprints of 40 places", lambda: set_off(vase, 0, levels, way, far), 1, sine)
    lines_of_a_spheroid(0.2)
    for flattening in FLATTENINGS:
        exactness(flattening)


if __name__ == "__main__":
    main()
