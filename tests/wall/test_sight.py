"""What is seen of a wall: against rays cast at it, and against known outlines of known solids."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely

from motif.wall import Station, Wall, build_wall
from motif.wall.sight import Sight
from motif.wall.visible import Visible, visible
from tests.wall.ray import before
from tests.wall.shapes import POTS, cone, pot, sphere, torus

TILTS = (0, 15, 35, 60, 90)
#: Points a wall and tilt; 13 walls and 5 tilts.
POINTS = 80


@cache
def wall(name: str) -> Wall:
    if name in POTS:
        return pot(name)
    return {
        "faceted": lambda: pot("bowl", smooth=False),
        "ring": lambda: torus(60, 25, -2.8, 2.8, 40),
        "ring open below": lambda: torus(60, 25, -np.pi / 2, 3.5, 40),
        "rim rolled out": lambda: build_wall([Station(h, r) for h, r in _ROLLED_OUT], smooth=True),
        "rim rolled in": lambda: build_wall([Station(h, r) for h, r in _ROLLED_IN], smooth=True),
        "beaker": lambda: cone(30, 60, 80),
        "narrowing": lambda: cone(60, 30, 80),
        "plate": lambda: build_wall([Station(0, 0), Station(0, 78), Station(10, 92), Station(18, 132)], smooth=False),
    }[name]()


_ROLLED_OUT = ((0, 40), (60, 70), (120, 60), (140, 66), (143, 72), (138, 75), (132, 72))
_ROLLED_IN = ((0, 40), (60, 70), (120, 60), (127, 56), (124, 52), (117, 54))
WALLS = (*POTS, "faceted", "ring", "ring open below", "rim rolled out", "rim rolled in", "beaker", "narrowing", "plate")


@cache
def seen(name: str, tilt: int, inside: bool = False) -> tuple[Sight, Visible]:
    sight = Sight(wall(name), np.radians(tilt), inside)
    return sight, visible(sight)


@pytest.mark.parametrize("tilt", TILTS)
@pytest.mark.parametrize("name", WALLS)
def test_what_is_hidden_is_what_rays_meet_clay_from(name: str, tilt: int) -> None:
    """Points whose cos ψ is within 0.005 of a change are not judged, for frusta
    are not the wall and the rays' start is a hair off it."""
    sight, _ = seen(name, tilt)
    draw = np.random.default_rng(1)
    tape, psi = draw.uniform(0, sight.wall.length, POINTS), draw.uniform(-np.pi, np.pi, POINTS)
    low, high = sight.unhidden(tape)
    u = np.cos(psi)[:, None]
    free = np.any((u > low) & (u < high), axis=1)
    edges = np.concatenate([np.abs(u - low), np.abs(u - high), np.abs(u[:, 0] - sight.contour(tape))[:, None]], axis=1)
    clear = np.nanmin(edges, axis=1) > 0.005
    assert clear.sum() > 0.6 * POINTS
    met = before(sight.wall, sight.tilt, psi, tape)
    assert not np.any((free == met) & clear)


@pytest.mark.parametrize("inside", [False, True], ids=["outside", "inside"])
@pytest.mark.parametrize("tilt", TILTS)
@pytest.mark.parametrize("name", WALLS)
def test_areas_seen_are_where_the_face_looks_at_the_eye_and_no_ray_meets_clay(
    name: str, tilt: int, inside: bool
) -> None:
    """Those within 0.3 mm of an edge of the area are not judged. The normal is by differences."""
    sight, found = seen(name, tilt, inside)
    whole = area(found)
    draw = np.random.default_rng(2)
    tape, angle = draw.uniform(0, sight.wall.length, POINTS), draw.uniform(-np.pi, np.pi, POINTS)
    psi = np.pi - angle if inside else angle
    step = 1e-5
    (r0, h0), (r1, h1) = sight.wall.point(tape - step), sight.wall.point(tape + step)
    toward = (h1 - h0) * np.cos(psi) * np.cos(sight.tilt) - (r1 - r0) * np.sin(sight.tilt)
    toward = -toward if inside else toward
    expected = (toward > 0) & ~before(sight.wall, sight.tilt, psi, tape)
    scale = np.maximum(sight.wall.radius(tape), 1.0)
    edge = shapely.transform(whole.boundary, lambda at: at * [scale.min(), 1.0])
    apart = shapely.distance(edge, shapely.points(angle * scale.min(), tape))
    clear = ~(apart < 0.3) & (np.abs(toward) > 0.02 * 2 * step)
    assert clear.sum() > 0.3 * POINTS
    answer = shapely.contains_xy(whole, angle, tape)
    assert not np.any((answer != expected) & clear)


def area(found: Visible) -> shapely.Geometry:
    """What is seen, in angles −π … π."""
    parts = [shapely.box(-np.pi, low, np.pi, high) for low, high in found.belts]
    for ring in found.patches:
        parts += [shapely.make_valid(shapely.Polygon(ring + [k * 2 * np.pi, 0.0])) for k in (-1, 0, 1)]
    return shapely.union_all(parts).intersection(shapely.box(-np.pi, -1, np.pi, 1e4))


def outline(sight: Sight, found: Visible) -> np.ndarray:
    """Points of the outline as drawn, (k, 2)."""
    lines = [shapely.segmentize(shapely.LineString(line), 0.01) for line in found.outline]
    points = np.concatenate([np.asarray(line.coords) for line in lines])
    return np.column_stack(sight.project(points[:, 0], points[:, 1]))


# ------------------------------------------------------------------------- known outlines


@pytest.mark.parametrize("tilt", [5, 20, 45, 70])
def test_a_ball_is_a_circle_from_everywhere(tilt: int) -> None:
    """Its radius whatever the tilt; 0.01 mm for a ball through 161 stations, followed to a hair."""
    ball = sphere(50.0, -np.pi / 2, np.pi / 2)
    sight = Sight(ball, np.radians(tilt))
    points = outline(sight, visible(sight))
    assert np.abs(np.hypot(*points.T) - 50.0).max() < 0.01
    turned = np.sort(np.arctan2(points[:, 1], points[:, 0]))
    assert np.diff(turned).max() < 0.05  # all the way round


@pytest.mark.parametrize("tilt", [0, 20, 45])
@pytest.mark.parametrize(("below", "above", "height"), [(40.0, 40.0, 90.0), (30.0, 60.0, 80.0), (60.0, 30.0, 80.0)])
def test_a_cone_has_straight_sides_that_touch_its_rings(below: float, above: float, height: float, tilt: int) -> None:
    """Tangents common to the ellipses of foot and rim: sin of the bearing's complement is tan t (R − r) / H
    (descriptive geometry, from memory), so that cos ψ is the same all the way up."""
    sight = Sight(cone(below, above, height), np.radians(tilt))
    found = visible(sight)
    sides = [line for line in found.outline if np.ptp(line[:, 1]) > 1]
    assert len(sides) == 2
    for side in sides:
        angle = np.pi / 2 - np.arcsin(np.tan(np.radians(tilt)) * (above - below) / height)
        assert np.abs(side[:, 0]) == pytest.approx(np.full(len(side), angle), abs=2e-6)
        assert [side[:, 1].min(), side[:, 1].max()] == pytest.approx([0, sight.wall.length], abs=1e-6)


def test_a_cone_flatter_than_the_line_of_sight_has_no_sides() -> None:
    sight = Sight(cone(30.0, 60.0, 10.0), np.radians(45))
    assert all(np.ptp(line[:, 1]) == 0 for line in visible(sight).outline)


@pytest.mark.parametrize("tilt", [20, 35, 50, 70])
def test_a_ring_is_outlined_by_the_parallels_of_an_ellipse(tilt: int) -> None:
    """A torus is a ball of radius r led along a circle of radius R, so its outline is the curve at the distance
    r on both sides of that circle's ellipse, R by R sin t (apparent contour of a canal surface: E. Hartmann,
    Geometry and Algorithms for Computer Aided Design, 2003, from memory). Every point of ours must lie r from
    the ellipse, or be on one of the two open ends."""
    big, small = 60.0, 25.0
    sight = Sight(torus(big, small, -3.0, 3.0), np.radians(tilt))
    found = visible(sight)
    points = outline(sight, Visible((), (), tuple(x for x in found.outline if np.ptp(x[:, 1]) > 1e-3), (), ()))[::3]
    t = np.linspace(0, 2 * np.pi, 4001)
    ellipse = shapely.LineString(np.column_stack([big * np.cos(t), big * np.sin(np.radians(tilt)) * np.sin(t)]))
    apart = shapely.distance(ellipse, shapely.points(points))
    outer = np.hypot(points[:, 0] / big, points[:, 1] / (big * np.sin(np.radians(tilt)))) > 1
    assert np.abs(apart[outer] - small).max() < 0.01
    # Inside, the curve goes on past where it meets the other side's, nearer than r to that: never farther.
    assert apart[~outer].max(initial=0.0) < small + 0.01


@pytest.mark.parametrize("tilt", [25, 30, 35])
def test_the_inner_outline_of_a_ring_ends_in_the_cusp_of_its_parallel(tilt: int) -> None:
    """The parallel at distance r of an ellipse with axes a, b has a cusp where the ellipse's radius of curvature
    is r, (a² sin² + b² cos²)^(3/2) / (a b) (Gray, Modern Differential Geometry of Curves and Surfaces, 1997, from
    memory). There the contour of the hole's far lip ends in our drawing, unless clay before it hides the cusp."""
    big, small = 60.0, 25.0
    a, b = big, big * np.sin(np.radians(tilt))
    u = np.arcsin(np.sqrt(((small * a * b) ** (2 / 3) - b * b) / (a * a - b * b)))
    bend = np.sqrt(a * a * np.sin(u) ** 2 + b * b * np.cos(u) ** 2)
    cusp = np.array([a * np.cos(u) - small * b * np.cos(u) / bend, b * np.sin(u) - small * a * np.sin(u) / bend])
    sight = Sight(torus(big, small, -3.0, 3.0), np.radians(tilt))
    found = visible(sight)
    ends = np.concatenate([line[[0, -1]] for line in (*found.outline, *found.creases) if np.ptp(line[:, 1]) > 1e-3])
    drawn = np.column_stack(sight.project(ends[:, 0], ends[:, 1]))
    # A cusp is approached as a square root: a hair in the bearing is 0.05 mm here.
    assert np.hypot(*(np.abs(drawn) - np.abs(cusp)).T).min() < 0.05
