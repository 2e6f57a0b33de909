"""How long the wall's geometry takes: ``python -m tests.bench.wall_speed``. Prints; asserts nothing."""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

import numpy as np
from geographiclib.geodesic import Geodesic

from motif.wall import Station, build_wall, fewest_cones, fewest_gores, set_off, taut
from tests.wall.shapes import pot, sphere, spheroid


def timed(words: str, work: Callable[[], object], best_of: int = 3) -> None:
    taken = []
    for _ in range(best_of):
        start = perf_counter()
        work()
        taken.append(perf_counter() - start)
    print(f"{min(taken) * 1000:9.2f} ms  {words}")


def main() -> None:
    level = np.linspace(-1.3, 1.3, 100)
    stations = [Station(float(75 * np.sin(t)), float(75 * np.cos(t))) for t in level]
    timed("a smooth wall of 100 stations", lambda: build_wall(stations, smooth=True))
    wall, bottle = build_wall(stations, smooth=True), pot("bottle")
    rng = np.random.default_rng(0)
    tape = rng.uniform(0, wall.length, 1_000_000)
    sigma, height = wall.sigma(tape), wall.height(tape)
    timed("a million tapes to (radius, height)", lambda: wall.point(tape))
    timed("a million tapes to sigma", lambda: wall.sigma(tape))
    timed("a million sigmas to tape", lambda: wall.tape_at_sigma(sigma))
    timed("a million heights to tape", lambda: wall.tape_at_height(height, 0, wall.length))
    timed("fewest gores within 0.5 mm", lambda: fewest_gores(bottle, 0, bottle.length, 0.5))
    timed("fewest cones within 0.5 mm", lambda: fewest_cones(bottle, 0, bottle.length, 0.5), 1)
    few, bearing = tape[:10_000], rng.uniform(-np.pi, np.pi, 10_000)
    ball = sphere(75, -1.2, 1.2)
    timed("10 000 places set off 5 mm", lambda: set_off(ball, 0, few % ball.length, bearing, 5.0))
    timed("10 000 places set off 100 mm", lambda: set_off(ball, 0, few % ball.length, bearing, 100.0), 1)
    round_form = spheroid(75, 60, -1.2, 1.2)
    low, high = rng.uniform(0, round_form.length, (2, 10_000))
    around = rng.uniform(-2.5, 2.5, 10_000)
    timed("10 000 different taut lines on a spheroid", lambda: taut(round_form, 0, low, around, high), 1)
    few_low, few_high, same = low[:20, None], high[:20, None], np.full(500, 1.0)
    timed("the same 20 taut lines 500 times", lambda: taut(round_form, 0, few_low, same, few_high))
    lines = taut(round_form, 0, low[:100], around[:100], high[:100])
    timed("the polylines of 100 of them", lambda: [lines.polyline(i) for i in range(100)])
    earth = Geodesic(75, 0.2)

    def inverse() -> None:
        for a, b, d in zip(low, high, around, strict=True):
            earth.Inverse(a - 70, 0, b - 70, float(np.degrees(d)))

    timed("geographiclib: 10 000 inverse problems on it", inverse, 1)


if __name__ == "__main__":
    main()
