"""Walls that the tests of geometry share: known solids through many stations, and pots as measured."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from motif.wall import Station, Wall, build_wall


def through(curve: Callable[[np.ndarray], tuple[np.ndarray, np.ndarray]], t: np.ndarray) -> Wall:
    """The smooth wall through points (radius, height) of a curve."""
    radius, height = curve(t)
    return build_wall([Station(float(h), float(r)) for r, h in zip(radius, height, strict=True)], smooth=True)


def spheroid(a: float, c: float, lat0: float, lat1: float, n: int = 160) -> Wall:
    """Equatorial radius a, polar radius c, between parametric latitudes (rad); height 0 at the equator."""

    def curve(t: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return np.where(np.isclose(np.abs(t), np.pi / 2), 0.0, a * np.cos(t)), c * np.sin(t)

    return through(curve, np.linspace(lat0, lat1, n + 1))


def sphere(r: float, lat0: float, lat1: float, n: int = 160) -> Wall:
    return spheroid(r, r, lat0, lat1, n)


def torus(centre: float, tube: float, t0: float, t1: float, n: int = 160) -> Wall:
    return through(lambda t: (centre + tube * np.cos(t), tube * np.sin(t)), np.linspace(t0, t1, n + 1))


def catenoid(a: float, t0: float, t1: float, n: int = 160) -> Wall:
    return through(lambda t: (a * np.cosh(t), a * t), np.linspace(t0, t1, n + 1))


def cone(r0: float, r1: float, height: float) -> Wall:
    return build_wall([Station(0, r0), Station(height, r1)], smooth=False)


def cylinder(r: float, height: float) -> Wall:
    return cone(r, r, height)


#: Pots as a potter measures them: height, radius, corner. Shapes of our own.
POTS: dict[str, list[tuple[float, float, bool]]] = {
    "jar": [(0, 42, False), (40, 61, False), (95, 75, False), (150, 59, True), (182, 48, False)],
    "bottle": [(0, 50, False), (60, 80, False), (120, 70, False), (180, 25, False), (240, 22, False),
               (290, 35, False)],
    "bowl": [(0, 30, True), (12, 34, True), (20, 60, False), (50, 95, False), (90, 118, False),
             (95, 121, True), (92, 124, False)],
    "vase": [(0, 40, False), (30, 52, True), (80, 90, False), (140, 70, True), (170, 30, False),
             (200, 28, False), (240, 44, False), (300, 60, False)],
}  # fmt: skip


def pot(name: str, smooth: bool = True) -> Wall:
    return build_wall([Station(*s) for s in POTS[name]], smooth=smooth)
