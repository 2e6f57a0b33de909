"""What a motif lays at true size: circles, footprints, arcs, parallels, what is clear of or within, spacings."""

from __future__ import annotations

from math import pi

import numpy as np
from scipy.optimize import minimize_scalar

from motif.laying.piece import LaidPath
from tests.accuracy.checks import Check, Floats, from_line, great_circle, largest
from tests.accuracy.forms import (
    BALL,
    EQUATOR,
    LEAN,
    RADIUS,
    SLANT,
    ball_tape,
    band,
    can_flat,
    cone_flat,
    latitude,
    piece,
)
from tests.laying.bench import CAN, CONE, PLATE, WAIST

#: latitudes (degrees) and radii (mm) of what is drawn on the ball
LATITUDES, RADII = (-30.0, 0.0, 20.0, 50.0), (3.0, 15.0)


def _from_middle(path: LaidPath, run: float, lat: float) -> Floats:
    """Distances on the ball from a place (radians) to a path's points."""
    return great_circle(RADIUS, lat, latitude(path.points[:, 1]), path.points[:, 0] - run)


def _ball_circles(radius: float) -> list[tuple[float, LaidPath]]:
    found = []
    for lat in LATITUDES:
        tape = ball_tape(lat)
        (path,) = band(f"carve circle at (3, {tape:.12f} mm) across {2 * radius} mm", BALL).paths
        found.append((float(np.radians(lat)), path))
    return found


def circles_on_a_ball() -> float:
    return largest(*(_from_middle(p, pi / 2, lat) - r for r in RADII for lat, p in _ball_circles(r)))


def circles_measured() -> float:
    """Edge, and area over edge, of the cap: 2π R sin ρ and 2π R² (1 − cos ρ)."""
    found = []
    for r in RADII:
        edge, area = 2 * pi * RADIUS * np.sin(r / RADIUS), 2 * pi * RADIUS**2 * (1 - np.cos(r / RADIUS))
        for _, path in _ball_circles(r):
            found += [path.length - edge, (path.area - area) / edge]
    return largest(found)


def circle_on_a_plate() -> float:
    """Off the plate's middle, which lies outside the one circle, inside the other, and on the edge of the last but for
    what is told."""
    found: list[float | Floats] = []
    for off, radius in ((50.0, 30.0), (20.0, 30.0), (32.0, 30.0), (29.9, 30.0), (30.001, 30.0), (30.0, 30.0)):
        (path,) = band(f"carve circle at (0, {off} mm) across {2 * radius} mm", PLATE).paths
        angle, tape = path.points.T
        # Of the plate's middle, seen from above, angle and tape are polar coordinates.
        found += [np.hypot(tape * np.cos(angle) - off, tape * np.sin(angle)) - radius]
        found += [path.length - 2 * pi * radius, (path.area - pi * radius**2) / (2 * pi * radius)]
    return largest(*found)


def circle_over_a_corner() -> float:
    """On the waist, its middle on the corner: straight up and down the distance is tape."""
    (path,) = band("carve circle at (3, 29 mm) across 20 mm", WAIST, "columns 12 rows 2").paths
    return largest(path.points[:, 1].min() - 19, path.points[:, 1].max() - 39)


FOOT = "tool foot { outline from (-6 mm, -4 mm) line to (6 mm, -4 mm) line to (0 mm, 9 mm) close }"
CORNERS = np.array([(-6.0, -4.0), (6.0, -4.0), (0.0, 9.0)])


def footprints() -> float:
    """A triangle's corners on ball and can: each in its own direction at its own distance."""
    found = []
    far, way = np.hypot(*CORNERS.T), np.arctan2(CORNERS[:, 1], CORNERS[:, 0]) + np.radians(20)
    for lat in LATITUDES:
        tape = ball_tape(lat)
        marks = band(f"attach foot at (3, {tape:.12f} mm) tilted 20 deg", BALL, before=FOOT).points
        outline = marks.shapes[marks.shape[0]]
        a, d = np.radians(lat), far / RADIUS
        up = np.arcsin(np.sin(a) * np.cos(d) + np.cos(a) * np.sin(d) * np.sin(way))
        run = np.arctan2(np.cos(way) * np.sin(d) * np.cos(a), np.cos(d) - np.sin(a) * np.sin(up))
        apart = great_circle(RADIUS, latitude(outline[:, None, 1]), up, outline[:, None, 0] - run)
        found.append(apart.min(axis=0))
    marks = band("attach foot at (3, 90 mm) tilted 20 deg", CAN, before=FOOT).points
    outline = can_flat(marks.shapes[marks.shape[0]]) - [0.0, 90.0]
    want = np.column_stack([far * np.cos(way), far * np.sin(way)])
    found.append(np.hypot(*(outline[:, None] - want).transpose(2, 0, 1)).min(axis=0))
    return largest(*found)


def round_footprints() -> float:
    """Area over edge of a round footprint on the ball: the cap's."""
    found = []
    for wide in (6.0, 14.0):
        edge, area = 2 * pi * RADIUS * np.sin(wide / 2 / RADIUS), 2 * pi * RADIUS**2 * (1 - np.cos(wide / 2 / RADIUS))
        for lat in LATITUDES:
            tape = ball_tape(lat)
            marks = band(f"attach pad at (3, {tape:.12f} mm)", BALL, before=f"tool pad {{ wide {wide} mm }}").points
            found.append((float(marks.area[0]) - area) / edge)
    return largest(found)


def _arc(points: Floats, start: Floats, end: Floats, rise: float) -> Floats:
    """Distances of places of a plane from the circle through two of them that rises so much left of the chord."""
    chord = float(np.hypot(*(end - start)))
    radius = (chord**2 + 4 * rise**2) / (8 * rise)  # signed; Machinery's Handbook, segments of circles
    left = np.array([-(end - start)[1], (end - start)[0]]) / chord
    middle = (start + end) / 2 + left * (rise - radius)
    return np.asarray(np.hypot(*(points - middle).T) - abs(radius))


def arcs() -> float:
    """Places and lengths of arcs of a rise in mm, and of half circles on the chord, on can and cone unrolled."""
    found: list[Floats] = []
    for form, flat, ends in (
        (CAN, can_flat, "(3, 60 mm) arc to (5, 90 mm)"),
        (CONE, cone_flat, "(0, 10 mm) arc to (1, 25 mm)"),
    ):
        for rise in (4.0, -7.0, None):
            (path,) = band(f"carve from {ends} rise {'chord / 2' if rise is None else f'{rise} mm'}", form).paths
            places = flat(path.points)
            chord = float(np.hypot(*(places[-1] - places[0])))
            h = chord / 2 if rise is None else rise
            found.append(_arc(places, places[0], places[-1], h))
            radius, half = (chord**2 + 4 * h**2) / (8 * abs(h)), 2 * np.arctan2(2 * abs(h), chord)
            found.append(np.asarray(path.length - 2 * radius * half))
    return largest(*found)


def arcs_on_a_ball() -> float:
    """Half circles on the chord: all places as far from the taut line's middle as its ends."""
    found = []
    for lat, run in ((20.0, 40.0), (-45.0, 25.0)):
        tape = ball_tape(lat)
        (path,) = band(f"carve from (0, {tape:.12f} mm) arc to ({run} deg, {tape:.12f} mm) rise chord / 2", BALL).paths
        a, half = np.radians(lat), np.radians(run / 2)
        top = np.arctan2(np.tan(a), np.cos(half))  # the great circle's latitude half-way, Napier's rule
        chord = great_circle(RADIUS, a, a, 2 * half)
        found.append(_from_middle(path, float(half), float(top)) - chord / 2)
    return largest(*found)


def parallels_of_circles() -> float:
    """Outward and inward on the ball: circles about the same middle."""
    found = []
    for lat in LATITUDES:
        tape = ball_tape(lat)
        for side, radius in (("outward", 19.0), ("inward", 11.0)):
            drawing = f"path a = circle at (3, {tape:.12f} mm) across 30 mm carve offset a {side} by 4 mm"
            (path,) = band(drawing, BALL).paths
            found += [_from_middle(path, pi / 2, float(np.radians(lat))) - radius,
                      np.asarray(path.length - 2 * pi * RADIUS * np.sin(radius / RADIUS))]  # fmt: skip
    return largest(*found)


def parallels_of_lines() -> float:
    """Straight lines of the unrolled can and cone: straight and 4 mm off, to the left of travel."""
    found = []
    for form, flat, ends in (
        (CAN, can_flat, "(1, 40 mm) taut to (5, 120 mm)"),
        (CONE, cone_flat, "(0, 10 mm) taut to (2, 35 mm)"),
    ):
        laid = band(f"path a = from {ends} incise a carve offset a by 4 mm", form).paths
        line, moved = ([flat(p.points) for p in laid if p.work.technique == t] for t in ("incise", "carve"))
        found.append(from_line(moved[0], line[0][0], line[0][-1]) - 4)
        found.append(np.asarray(np.hypot(*(moved[0][-1] - moved[0][0])) - np.hypot(*(line[0][-1] - line[0][0]))))
    return largest(*found)


def _ends(path: LaidPath) -> Floats:
    return np.asarray(path.points[[0, -1]])


def clear_on_a_can() -> float:
    """Lines past a circle, a dot and a rectangle's corner: where they end."""
    found = []
    for what, want in (
        ("circle at (3, 90 mm) across 30 mm", 17.0),
        ("dot at (3, 90 mm)", 2.0),
        ("dot at (3, 90 mm) across 10 mm", 7.0),
    ):
        drawing = f"path a = {what} carve from (1, 80 mm) line to (5, 100 mm) clear of a by 2 mm"
        for path in band(drawing, CAN).paths:
            gone = np.hypot(*(can_flat(_ends(path)) - [90, 90]).T)
            found.append(gone.min() - want)
    box = "path a = rectangle from (2, 30 mm) to (4, 90 mm) carve from (0, 93 mm) line to (6, 93 mm) clear of a by 5 mm"
    # 3 mm above the box's top and 5 mm clear of its corner: √(5² − 3²) = 4 mm beyond it.
    found += [np.abs(can_flat(_ends(path))[:, 0] - 90).min() - 34 for path in band(box, CAN).paths]
    return largest(found)


def _clear_on_a_ball(what: str, edge: float, ways: tuple[float, ...]) -> float:
    """Where sloping lines end; ``edge`` is the radius of what they pass."""
    found = []
    for lat in LATITUDES:
        tape = ball_tape(lat)
        for by in ways:
            drawing = (
                f"path a = {what.format(tape=f'{tape:.12f} mm')}"
                f" carve from (0, {tape - 12:.12f} mm) line to (6, {tape + 12:.12f} mm) clear of a by {by} mm"
            )
            for path in band(drawing, BALL).paths:
                gone = great_circle(RADIUS, np.radians(lat), latitude(_ends(path)[:, 1]), _ends(path)[:, 0] - pi / 2)
                found.append(gone.min() - edge - by)
    return largest(found)


def clear_of_circles_on_a_ball() -> float:
    return _clear_on_a_ball("circle at (3, {tape}) across 24 mm", 12.0, (1.0, 3.0, 10.0))


def clear_of_dots_on_a_ball() -> float:
    return _clear_on_a_ball("dot at (3, {tape})", 0.0, (1.0, 3.0, 10.0, 30.0))


def within_on_a_ball() -> float:
    """A line within a circle of the ball ends on it."""
    found = []
    for lat in LATITUDES:
        tape = ball_tape(lat)
        drawing = (
            f"path a = circle at (3, {tape:.12f} mm) across 30 mm"
            f" carve from (1, {tape - 12:.12f} mm) line to (5, {tape + 12:.12f} mm) within a"
        )
        (path,) = band(drawing, BALL).paths
        ends = _ends(path)
        found.append(great_circle(RADIUS, np.radians(lat), latitude(ends[:, 1]), ends[:, 0] - pi / 2) - 15)
    return largest(*found)


def along_a_helix() -> float:
    """On the can: even steps of the helix, and the first and last mark at its ends."""
    marks = band("path a = from (0, 10 mm) line to (30, 160 mm) impress dot along a every 7 mm", CAN).points
    length = np.hypot(900, 150)
    count = min(range(1, 400), key=lambda n: (abs(length / n - 7), -n))
    if len(marks) != count + 1:
        return float("nan")
    order = np.argsort(marks.tape)
    share = np.arange(count + 1) / count
    around = np.mod(np.degrees(marks.angle[order]) - 900 * share + 180, 360) - 180
    return largest(marks.tape[order] - 10 - 150 * share, around)


def along_a_circle_on_a_ball() -> float:
    """Even steps round a true circle, by the angle at its middle."""
    found = []
    for lat in LATITUDES:
        tape = ball_tape(lat)
        drawing = f"path a = circle at (3, {tape:.12f} mm) across 30 mm impress dot along a every 6 mm"
        marks = band(drawing, BALL).points
        a, b, run = np.radians(lat), latitude(marks.tape), marks.angle - pi / 2
        way = np.arctan2(np.cos(a) * np.sin(b) - np.sin(a) * np.cos(b) * np.cos(run), np.sin(run) * np.cos(b))
        turn = np.sort(np.mod(way, 2 * pi))
        steps = np.diff(np.append(turn, turn[0] + 2 * pi))
        found.append((steps - 2 * pi / len(marks)) * RADIUS * np.sin(15 / RADIUS))
        found.append(great_circle(RADIUS, a, b, run) - 15)
    return largest(*found)


def reserve_edges() -> float:
    """The parallel 3 mm outside a reserve on the ball: every place of its sides 3 mm from the reserve's side, found by
    scipy's minimiser over great circles; its ends by tape."""
    more = f'reserve "r" from tape {EQUATOR - 10} mm to tape {EQUATOR + 50} mm facing 90 deg wide 40 mm'
    laid = piece("", BALL, more=f'{more} carve edge of "r" 3 mm outside')
    (path,) = laid.paths
    low, high = EQUATOR - 10, EQUATOR + 50
    found = []
    for angle, tape in path.points[:: max(1, len(path.points) // 60)]:
        if not low + 2 < tape < high - 2:
            continue
        side = np.sign(angle - pi / 2)

        def apart(s: float, angle: float = angle, tape: float = tape, side: float = side) -> float:
            edge = pi / 2 + side * 20 / (RADIUS * np.cos((s - EQUATOR) / RADIUS))
            return float(great_circle(RADIUS, (s - EQUATOR) / RADIUS, (tape - EQUATOR) / RADIUS, angle - edge))

        best = minimize_scalar(apart, bounds=(tape - 6, tape + 6), method="bounded", options={"xatol": 1e-9})
        found.append(float(best.fun) - 3)
    ends = [path.points[:, 1].min() - low + 3, path.points[:, 1].max() - high - 3]
    return largest(found, ends)


def clear_on_a_cone() -> float:
    """Lines past a dot: where they end, unrolled."""
    found = []
    for by in (2.0, 6.0):
        drawing = f"path a = dot at (2, 20 mm) carve from (0, 15 mm) line to (4, 27 mm) clear of a by {by} mm"
        spot = cone_flat(np.array([[2 * pi / 6, 20.0]]))[0]
        ends = [cone_flat(_ends(path)) for path in band(drawing, CONE).paths]
        found += [np.hypot(*(e - spot).T).min() - by for e in ends]
    return largest(found)


def circle_on_a_cone() -> float:
    (path,) = band("carve circle at (3, 25 mm) across 24 mm", CONE).paths
    middle = np.array([(SLANT - 25) * np.sin(LEAN * pi / 2), -(SLANT - 25) * np.cos(LEAN * pi / 2)])
    places = np.hypot(*(cone_flat(path.points) - middle).T) - 12
    return largest(places, path.length - 24 * pi, (path.area - 144 * pi) / (24 * pi))


CHECKS = (
    Check("`circle` by length on a ball: places", "spherical trigonometry", circles_on_a_ball, 1e-3),
    Check("`circle` by length on a ball: edge, area ÷ edge", "spherical caps", circles_measured, 1e-3),
    Check("`circle` by length on a cone", "unrolled plane", circle_on_a_cone, 1e-3),
    Check("`circle` by length on a flat plate, also past its middle", "the plane itself", circle_on_a_plate, 1e-3),
    Check("`circle` by length over a corner", "unfolded, top and bottom", circle_over_a_corner, 1e-3),
    Check("footprints on ball and can: corners", "spherical trigonometry, unrolled plane", footprints, 1e-4),
    Check("round footprints on a ball: area ÷ edge", "spherical caps", round_footprints, 1e-3),
    Check("`arc` by length and chord on can and cone", "circles of the unrolled plane", arcs, 1e-3),
    Check("`arc … rise chord / 2` on a ball", "small circles", arcs_on_a_ball, 1e-3),
    Check("`offset` of circles on a ball", "circles about the same middle", parallels_of_circles, 1e-2),
    Check("`offset` of lines on can and cone", "parallels of the unrolled plane", parallels_of_lines, 1e-2),
    Check("`clear of` on a can", "plane geometry", clear_on_a_can, 1e-2),
    Check("`clear of` a dot on a cone", "unrolled plane", clear_on_a_cone, 1e-2),
    Check("`clear of` a dot on a ball", "great circles", clear_of_dots_on_a_ball, 1e-2),
    Check("`clear of` a circle on a ball", "great circles", clear_of_circles_on_a_ball, 1e-2),
    Check("`within` a circle on a ball", "great circles", within_on_a_ball, 1e-2),
    Check("`along … every` on a helix", "plane geometry", along_a_helix, 1e-3),
    Check("`along … every` round a circle on a ball", "spherical trigonometry", along_a_circle_on_a_ball, 1e-3),
    Check("`edge of` a reserve, 3 mm outside, on a ball", "scipy minimiser over great circles", reserve_edges, 1e-2),
)
