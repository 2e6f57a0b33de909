"""Views: what is drawn of a piece against rays cast at its wall, ellipses of rings, areas, facing and tilt."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
import shapely
from lxml import etree

from motif.language.record import changed
from motif.laying.piece import LaidBand, LaidPath, LaidPiece
from motif.outputs import view
from motif.outputs.seen import look
from motif.wall import Station, Wall, build_wall
from tests.outputs import pieces
from tests.outputs.path_reader import polylines
from tests.wall.ray import before

#: Coordinates are written to a thousandth, and lines lose points that lie 0.005 mm off.
DRAWN = 0.006
TURN = 2 * math.pi


@cache
def wall(name: str) -> Wall:
    stations = {
        "jar": ((0, 42), (40, 61), (95, 75), (150, 59), (182, 48)),
        "gourd": ((0, 35), (40, 70), (80, 30), (110, 50), (150, 15), (170, 20)),
        "rolled": ((0, 40), (60, 75), (110, 55), (128, 65), (134, 73), (130, 78), (122, 76)),
        "bowl": ((0, 30), (10, 50), (40, 80), (80, 100)),
        "plate": ((0, 0), (0.5, 40), (2, 78), (12, 92), (27, 132)),
    }[name]
    return build_wall([Station(h, r) for h, r in stations], smooth=True)


def band(on: Wall, points: list[tuple[float, float]], across: float = math.nan, *paths: LaidPath) -> LaidBand:
    """Dots at (angle, tape), and paths."""
    rows = [(0, False, 1, 1, -1, -1, angle % TURN, tape, across, 0.0, -1) for angle, tape in points]
    laid = pieces.tufted_band(on, low=0.1 * on.length, high=0.9 * on.length)
    return changed(laid, points=pieces.points(on, [pieces.work("impress")], rows), paths=paths)


def piece(on: Wall, laid: LaidBand, inside: bool = False) -> LaidPiece:
    made = pieces.piece(on, laid)
    return changed(made, form=changed(made.form, side="inside" if inside else "outside"))


def group(svg: str, name: str) -> list[np.ndarray]:
    """The polylines of a group's paths, in mm of the page."""
    root = etree.fromstring(svg.encode())
    found = root.xpath(f"//*[@id='{name}']//*[local-name()='path']")
    return [np.array(points) for p in found for points, _ in polylines(p.get("d"))]


def origin(svg: str, seen: LaidPiece, facing: float, tilt: float) -> np.ndarray:
    """Where on the page a view has its origin: the outline's box is where ``SeenPiece.box`` says."""
    points = np.concatenate(group(svg, "view-1-pot"))
    low, _ = look(seen, facing, tilt).box
    return np.array([points[:, 0].min() - low[0], points[:, 1].max() + low[1]])


def projected(on: Wall, psi: np.ndarray, tape: np.ndarray, tilt: float) -> np.ndarray:
    """Parallel projection of (r sin ψ, r cos ψ, h): right is right, and up is square to the line of sight."""
    radius, height = on.point(tape)
    right = np.array([1.0, 0.0, 0.0])
    up = np.array([0.0, -np.sin(tilt), np.cos(tilt)])
    at = np.stack([radius * np.sin(psi), radius * np.cos(psi), height], axis=-1)
    return np.stack([at @ right, at @ up], axis=-1)


def toward(on: Wall, psi: np.ndarray, tape: np.ndarray, tilt: float, inside: bool) -> np.ndarray:
    """The cosine between the decorated face's normal and the line of sight, the normal by differences."""
    step = 1e-5
    (r0, h0), (r1, h1) = on.point(tape - step), on.point(tape + step)
    along = ((h1 - h0) * np.cos(psi) * np.cos(tilt) - (r1 - r0) * np.sin(tilt)) / (2 * step)
    return -along if inside else along


@pytest.mark.parametrize("degrees", [0, 12, 30, 55, 90])
@pytest.mark.parametrize("name", ["jar", "gourd", "rolled", "bowl", "plate"])
def test_the_dots_drawn_are_those_from_which_a_ray_meets_no_clay(name: str, degrees: int) -> None:
    """300 dots. Not judged: those turned to the eye, or from it, by less than 0.03, and those that a view from
    half a degree higher, lower, or to either side would show otherwise."""
    on, inside, tilt, facing = wall(name), name in ("bowl", "plate"), math.radians(degrees), 0.7
    draw = np.random.default_rng(3)
    angle, tape = draw.uniform(0, TURN, 300), draw.uniform(0.5, on.length - 0.5, 300)
    made = piece(on, band(on, list(zip(angle.tolist(), tape.tolist(), strict=True))), inside)
    svg = view.svg(made, facing=facing, tilt=tilt)
    dots = [line for line in group(svg, "view-1-band-1-tufting-impress") if np.ptp(line, axis=0).max() == 0]
    drawn = np.array([line[0] for line in dots]).reshape(-1, 2) - origin(svg, made, facing, tilt)
    drawn *= [1.0, -1.0]
    psi = np.pi - (angle - facing) if inside else angle - facing
    expected = projected(on, psi, tape, tilt)
    apart = np.hypot(*(drawn[:, None, :] - expected).transpose(2, 0, 1))
    shown = apart.min(axis=0, initial=np.inf) < DRAWN
    assert np.all(apart.min(axis=1) < DRAWN), "a dot is drawn where none is"
    turned = toward(on, psi, tape, tilt, inside)
    nearby = [
        before(on, min(max(tilt + up, 0.0), math.pi / 2), psi + side, tape)
        for up, side in ((0, 0), (0.01, 0), (-0.01, 0), (0, 0.01), (0, -0.01))
    ]
    clear = (np.abs(turned) > 0.03) & np.all(np.array(nearby) == nearby[0], axis=0)
    assert clear.sum() > 200 or (degrees == 0 and name == "plate")
    assert np.array_equal(shown[clear], ((turned > 0) & ~nearby[0])[clear])


@pytest.mark.parametrize("degrees", [0, 20, 50])
@pytest.mark.parametrize("name", ["gourd", "rolled"])
def test_a_line_is_drawn_as_far_as_it_is_seen_and_dashed_beyond(name: str, degrees: int) -> None:
    """A line twice round the pot, followed in 3000 steps: what of it is plain and what dashed, and that a change is
    drawn to 0.05 mm (the steps are 0.3 mm at most, and lie on both sides of it)."""
    on, tilt = wall(name), math.radians(degrees)
    t = np.linspace(0, 1, 3001)
    angle, tape = 2 * TURN * t, on.length * (0.02 + 0.96 * t)
    made = piece(on, band(on, [], math.nan, pieces.path(pieces.work("incise"), np.column_stack([angle, tape]))))
    svg = view.svg(made, tilt=tilt, far_side=True)
    at = origin(svg, made, 0.0, tilt)
    page = projected(on, angle, tape, tilt) * [1.0, -1.0] + at
    seen = (toward(on, angle, tape, tilt, False) > 0) & ~before(on, tilt, angle, tape)
    for found, wanted in (("view-1-band-1-tufting-incise", seen), ("view-1-far-side", ~seen)):
        drawn = shapely.MultiLineString([line for line in group(svg, found) if len(line) > 1])
        apart = shapely.distance(drawn, shapely.points(page[wanted]))
        # Within a step or two of a change the eye of the test may be wrong.
        settled = (wanted == np.roll(wanted, 3)) & (wanted == np.roll(wanted, -3))
        assert apart[settled[wanted]].max() < DRAWN + 0.005
    steps = np.hypot(*np.diff(page, axis=0).T)
    changes = np.count_nonzero(np.diff(seen.astype(int)))
    length = sum(float(np.hypot(*np.diff(x, axis=0).T).sum()) for x in group(svg, "view-1-band-1-tufting-incise"))
    assert length == pytest.approx(steps[seen[1:] & seen[:-1]].sum(), abs=2 * changes * steps.max() + 0.05)


@pytest.mark.parametrize("degrees", [40, 60, 90])
def test_rings_are_ellipses(degrees: int) -> None:
    """A ring of radius r seen from the tilt t is an ellipse with semi-axes r and r sin t (descriptive geometry)."""
    on, tilt = wall("bowl"), math.radians(degrees)
    tape = 0.75 * on.length
    ring = pieces.path(pieces.work("carve"), [[a, tape] for a in np.linspace(0, TURN, 361)], closed=True)
    made = piece(on, band(on, [], math.nan, ring), inside=True)
    svg = view.svg(made, tilt=tilt)
    line = np.concatenate(group(svg, "view-1-band-1-tufting-carve"))
    radius, height = (float(v) for v in on.point(tape))
    x, y = ((line - origin(svg, made, 0.0, tilt)) * [1.0, -1.0] - [0.0, height * math.cos(tilt)]).T
    off = np.hypot(x / radius, y / (radius * math.sin(tilt))) - 1
    assert np.abs(off).max() * radius < 2 * DRAWN
    assert np.ptp(x) == pytest.approx(2 * radius, abs=0.05)


@pytest.mark.parametrize("degrees", [0, 25, 60])
def test_areas_are_as_large_as_their_shadow(degrees: int) -> None:
    """A can of radius R painted over the height H: its near half is seen, as large as 2 R H cos t (the area of a
    projection is that of the upright section through the axis)."""
    tilt = math.radians(degrees)
    on = pieces.cylinder(50.0, 120.0)
    low, high = 20.0, 100.0
    corners = [[0.0, low], [TURN, low], [TURN, high], [0.0, high], [0.0, low]]
    patch = pieces.path(pieces.work("paint"), corners, worked_over=True, closed=True, area=TURN * 50 * 80)
    made = piece(on, band(on, [], math.nan, patch))
    svg = view.svg(made, facing=1.0, tilt=tilt)
    root = etree.fromstring(svg.encode())
    filled = root.xpath("//*[@id='view-1-band-1-tufting-paint']/*[@fill-rule]")
    found = sum(shapely.Polygon(points).area for p in filled for points, _ in polylines(p.get("d")))
    assert found == pytest.approx(2 * 50 * 80 * math.cos(tilt), rel=2e-4)


def test_a_disc_on_the_edge_is_cut_there_and_has_no_line_along_the_cut() -> None:
    """Seen level, a can of 50 mm has its edge at a quarter turn: a disc there is seen to half, of no width but
    50 (1 − cos(10 / 50)), and its outline is open."""
    on = pieces.cylinder(50.0, 120.0)
    made = piece(on, band(on, [(math.pi / 2, 60.0)], 20.0))
    svg = view.svg(made, tilt=0.0)
    lines = group(svg, "view-1-band-1-tufting-impress")
    points = np.concatenate(lines) - origin(svg, made, 0.0, 0.0)
    assert points[:, 0].max() == pytest.approx(50.0, abs=DRAWN)
    assert np.ptp(points[:, 0]) == pytest.approx(50 * (1 - math.cos(0.2)), abs=0.02)
    (edge,) = [line for line in lines if np.abs(line[0] - line[-1]).max() > 1]
    # 0.01 mm between the disc's outline and its corners, at both ends
    assert np.abs(edge[0] - edge[-1]) == pytest.approx([0.0, 20.0], abs=0.05)


def test_an_area_round_the_middle_of_a_plate_is_filled_to_the_middle() -> None:
    """A painted disc of radius r in a level well, from straight above: π r² less the corners of its polygon."""
    on = build_wall([Station(0, 0), Station(0, 80), Station(20, 130)], smooth=False)
    circle = [[a, 30.0] for a in np.linspace(0, TURN, 361)]
    patch = pieces.path(pieces.work("paint"), circle, worked_over=True, closed=True, area=math.pi * 900)
    svg = view.svg(piece(on, band(on, [], math.nan, patch), inside=True), tilt=math.pi / 2)
    root = etree.fromstring(svg.encode())
    filled = root.xpath("//*[@id='view-1-band-1-tufting-paint']/*[@fill-rule]")
    found = sum(shapely.Polygon(points).area for p in filled for points, _ in polylines(p.get("d")))
    assert found == pytest.approx(math.pi * 900, rel=2e-3)


@pytest.mark.parametrize("inside", [False, True], ids=["outside", "inside"])
def test_what_is_asked_for_faces_the_viewer_and_right_is_right(inside: bool) -> None:
    """On the outer wall and on the inner, which one sees at the far side, angles grow to the right as seen."""
    on, facing, tilt = wall("bowl"), math.radians(30), math.radians(60)
    radius = float(on.radius(70.0))
    for angle, expected in ((30, 0.0), (60, 0.5), (10, -math.sin(math.radians(20)))):
        made = piece(on, band(on, [(math.radians(angle), 70.0)]), inside)
        svg = view.svg(made, facing=facing, tilt=tilt if inside else math.radians(20))
        (dot,) = [line for line in group(svg, "view-1-band-1-tufting-impress") if np.ptp(line, axis=0).max() == 0]
        at = dot[0] - origin(svg, made, facing, tilt if inside else math.radians(20))
        assert at[0] == pytest.approx(radius * expected, abs=DRAWN)


def test_four_sides_are_a_quarter_turn_apart_and_half_as_large() -> None:
    """A dot on the starting mark is seen in front in the first view, at the left edge in the second (as one has
    walked to the right), not in the third, at the right edge in the fourth."""
    on = wall("jar")
    made = piece(on, band(on, [(0.001, 80.0), (TURN - 0.001, 80.0)]))
    svg = view.svg(made, tilt=0.0, all_round=True)
    counts, places = [], []
    for n in (1, 2, 3, 4):
        outline = np.concatenate(group(svg, f"view-{n}-pot"))
        middle = (outline[:, 0].min() + outline[:, 0].max()) / 2
        assert np.ptp(outline[:, 0]) == pytest.approx(on.widest(0.0, on.length)[1], abs=0.02)
        dots = group(svg, f"view-{n}-band-1-tufting-impress")
        counts.append(len(dots))
        places.append(np.sign(round(float(np.mean([d[0, 0] for d in dots]) - middle), 1)) if dots else None)
    assert counts == [2, 1, 0, 1]
    assert places == [0, -1, None, 1]


def test_a_ring_is_one_line_wherever_it_begins() -> None:
    """Seen from in front, a ring whose first point is in front is not cut there."""
    on = wall("jar")
    ring = pieces.path(pieces.work("carve"), [[a, 80.0] for a in np.linspace(0, TURN, 181)], closed=True)
    made = piece(on, band(on, [], math.nan, ring))
    assert len(group(view.svg(made, tilt=math.radians(15)), "view-1-band-1-tufting-carve")) == 1


def test_a_line_that_crosses_itself_stays_one_line_where_the_edge_cuts_it() -> None:
    """A loop on a can's near side whose ends run over the edges: one line, as long as the loop."""
    t = np.linspace(-1, 1, 401)
    loop = np.column_stack([1.8 * (2 * t**3 - t) / 1.0, 60 + 40 * (1 - t**2)])
    on = pieces.cylinder(50.0, 120.0)
    made = piece(on, band(on, [], math.nan, pieces.path(pieces.work("incise"), loop)))
    assert not shapely.LineString(loop).is_simple
    assert len(group(view.svg(made, tilt=0.0), "view-1-band-1-tufting-incise")) == 1


def test_hidden_lines_are_dashed_not_only_grey() -> None:
    made = pieces.caddy()
    root = etree.fromstring(view.svg(made, far_side=True).encode())
    (far,) = root.xpath("//*[@id='view-1-far-side']")
    assert far.get("stroke-dasharray")
    assert not etree.fromstring(view.svg(made).encode()).xpath("//*[@id='view-1-far-side']")


@pytest.mark.parametrize("tilt", [-0.1, 1.6, math.nan])
def test_one_cannot_look_from_below_or_from_behind_the_zenith(tilt: float) -> None:
    with pytest.raises(ValueError, match="tilt"):
        view.svg(pieces.canister(), tilt=tilt)
