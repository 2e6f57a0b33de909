"""Sheets: what is cut where, and that paper carries what the wall carries."""

from __future__ import annotations

import json
import math
import re
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from lxml import etree

from motif import improvised
from motif.language.record import changed
from motif.outputs import json_text, unroll
from motif.outputs.cuts import LOWEST_SHEET
from motif.outputs.drawn import Drawer
from motif.outputs.sheets import CannotUnrollError, lay_out, reach, shortfall
from motif.wall import Station, Wall, build_wall, cone_misfit, fewest_cones, fewest_gores, taut
from tests.outputs import pieces
from tests.outputs.pieces import TURN
from tests.reference import record


def sheets(piece: pieces.LaidPiece, flat: str, **more: object) -> dict:
    return json.loads(json_text.dumps(unroll.as_json(piece, lay_out(piece, flat, **more))))  # type: ignore[arg-type]


def length(line: list[list[float]]) -> float:
    return float(np.hypot(*np.diff(np.array(line), axis=0).T).sum())


def test_a_cylinder_is_one_rectangle() -> None:
    """In closed form: circumference by height, buttons of 14 mm on the first and last ring included."""
    drawing = sheets(pieces.canister(), "fewest")
    (sheet,) = drawing["sheets"]
    assert drawing["misfit"] == 0
    around = TURN * 60
    assert np.ptp(np.array(sheet["outline"]), axis=0) == pytest.approx([around, 150 + 14], abs=1e-3)
    assert sheet["inner_radius"] is None
    assert (sheet["radius_below"], sheet["slant"], sheet["angle"]) == (60, 164, 0)
    helix = math.hypot(around, 150)  # each stroke goes once round
    strokes = [p for p in sheet["paths"] if p["technique"] == "incise"]
    assert sum(length(p["line"]) for p in strokes) == pytest.approx(12 * helix, abs=0.01)


def test_a_cone_sheet_has_the_published_pattern() -> None:
    """The frustum of a duct transition, 5 in to 8 in across, 4 in apart."""
    known = record("2.frustum.ex1")
    i = known["inputs"]
    wall = build_wall([Station(0.0, i["d_large"] / 2), Station(i["height"], i["d_small"] / 2)], smooth=False)
    (sheet,) = sheets(pieces.piece(wall), "cones")["sheets"]
    got = [sheet["inner_radius"], sheet["outer_radius"], sheet["angle"]]
    for value, expected, tolerance in zip(got, known["expected"], known["tolerance"], strict=True):
        assert value == pytest.approx(expected, abs=tolerance)


def test_a_cone_sheet_is_a_sector() -> None:
    """Plane geometry: its corners lie on two circles about one point, as far apart as the slant."""
    drawing = sheets(pieces.piece(pieces.beaker()), "fewest")
    (sheet,) = drawing["sheets"]
    assert drawing["flat"] == "cones"
    slant = math.hypot(30, 150)
    inner = 40 * slant / 30
    assert sheet["slant"] == pytest.approx(slant, abs=1e-6)
    assert sheet["angle"] == pytest.approx(360 * 30 / slant, abs=1e-6)
    middle = np.array([0.0, -inner])  # the middle line meets the lower circle at the origin
    radii = np.hypot(*(np.array(sheet["outline"]) - middle).T)
    assert {round(r, 2) for r in radii} == {round(inner, 2), round(inner + slant, 2)}


@given(
    st.floats(20, 80), st.floats(-60, 60), st.floats(20, 150),
    st.floats(0, 1), st.floats(0, 1), st.floats(0, 1), st.floats(0, 1),
)  # fmt: skip
def test_a_ruler_on_a_cone_sheet_measures_the_wall(
    below: float, spread: float, height: float, u0: float, u1: float, a0: float, a1: float
) -> None:
    """A cone unrolls without stretch: where the straight line between two marks stays on the paper it is as long as
    the string pulled tight between them on the wall."""
    assume(below + spread > 5)
    wall = build_wall([Station(0, below), Station(height, below + spread)], smooth=False)
    (sheet,) = lay_out(pieces.piece(wall), "cones").sheets
    marks = np.array([[a0 * TURN, u0 * wall.length], [a1 * TURN, u1 * wall.length]])
    paper = sheet.place(marks)
    assert sheet.cone is not None
    assume(abs(a0 - a1) < 0.5)
    if sheet.cone.inner_radius is not None:  # else it is a can, and all of the line stays on the paper
        apex = np.array([0.0, -below * sheet.cone.slant / spread])
        along = paper[0] + np.linspace(0, 1, 200)[:, None] * (paper[1] - paper[0])
        assume(np.hypot(*(along - apex).T).min() >= sheet.cone.inner_radius)
    ruler = float(np.hypot(*(paper[1] - paper[0])))
    string = taut(wall, marks[0, 0], marks[0, 1], marks[1, 0], marks[1, 1]).length
    assert ruler == pytest.approx(float(string), abs=1e-4)


def test_gores_are_cut_on_verticals() -> None:
    piece = pieces.canister()
    for count in (1, 2, 3, 6, 12):
        layout = lay_out(piece, "gores", gores=count)
        assert len(layout.sheets) == count
        edges = np.array([s.window.from_angle for s in layout.sheets])
        on_vertical = np.isclose((edges[:, None] - piece.bands[0].verticals) % TURN, 0, atol=1e-9).any(axis=1)
        assert on_vertical.sum() == min(count, 6)
        assert layout.sheets[-1].window.to_angle == pytest.approx(edges[0] + TURN, abs=1e-12)


def test_gores_follow_spaced_and_turned_verticals() -> None:
    """Columns 3 : 1, the first vertical at 350 degrees: two gores a pair, cut unevenly on verticals."""
    wall = pieces.cylinder()
    band = pieces.tufted_band(wall, columns=8)
    verticals = np.radians(np.array([350.0, 57.5, 80.0, 147.5, 170.0, 237.5, 260.0, 327.5]))
    piece = pieces.piece(wall, changed(band, verticals=verticals))
    edges = [math.degrees(s.window.from_angle) for s in lay_out(piece, "gores", gores=8).sheets]
    assert edges == pytest.approx([350, 417.5, 440, 507.5, 530, 597.5, 620, 687.5])
    wide = lay_out(piece, "gores", gores=4).sheets
    assert [math.degrees(s.window.to_angle - s.window.from_angle) for s in wide] == pytest.approx([90] * 4)


@pytest.mark.parametrize("flat", ["gores", "cones", "fewest"])
@pytest.mark.parametrize("misfit", [2.0, 0.5])
def test_the_misfit_asked_for_is_kept(flat: str, misfit: float) -> None:
    piece = pieces.caddy()
    layout = lay_out(piece, flat, misfit=misfit)  # type: ignore[arg-type]
    assert layout.misfit <= misfit


def test_gores_are_chosen_to_be_cut_on_verticals_where_that_costs_little() -> None:
    """A ball: with 97 columns no number near the fewest gores divides them, with 8 or 16 one does."""
    wall = pieces.cylinder()
    ball = build_wall([Station(h, 10 + math.sqrt(60**2 - (h - 55) ** 2)) for h in range(5, 106, 5)], smooth=True)
    for columns, expected in ((8, 0), (16, 0), (97, None)):
        piece = pieces.piece(ball, pieces.tufted_band(ball, columns=columns))
        count = len(lay_out(piece, "gores").sheets)
        least = fewest_gores(ball, *reach(piece), 0.5)
        assert least is not None
        if expected is None:
            assert count == least
        else:
            assert count % columns == 0 or columns % count == 0
            assert least <= count <= 1.5 * least
    assert len(lay_out(pieces.piece(wall, pieces.tufted_band(wall)), "gores").sheets) == 1


def test_a_gore_says_on_which_verticals_it_is_cut() -> None:
    text = unroll.as_svg(pieces.canister(), lay_out(pieces.canister(), "gores", gores=3))
    for words in ("From vertical 1 to 3.", "From vertical 3 to 5.", "From vertical 5 to 1."):
        assert words in text
    text = unroll.as_svg(pieces.canister(), lay_out(pieces.canister(), "gores", gores=5))
    assert "From vertical" not in text
    for words in ("From 0° to 72°.", "From 72° to 144°.", "From 288° to 0°."):
        assert words in text
    # verticals at 0, 60 … degrees; of 21 gores of 17.14 degrees the second and third hold none of them
    root = etree.fromstring(unroll.as_svg(pieces.canister(), lay_out(pieces.canister(), "gores", gores=21)).encode())
    text = " ".join(" ".join(root.itertext()).split())
    assert text.count("It lies between verticals 1 and 2.") == 2
    assert "It lies between verticals 6 and 1." in text


def test_a_disc_need_not_be_cut_and_a_nearly_flat_plate_has_no_room_for_a_tab() -> None:
    for rise, words in ((0, "need not be made"), (8, "no room for a tab"), (60, None)):
        wall = build_wall([Station(0, 20), Station(rise, 100)], smooth=False)
        piece = pieces.piece(wall, pieces.tufted_band(wall, columns=12, rows=2, low=0.0, high=wall.length))
        text = unroll.as_svg(piece, lay_out(piece, "cones"))
        for one in ("need not be made", "no room for a tab"):
            assert (one in text) == (one == words)
        assert ("leave the tab" in text) == (words is None)
        root = etree.fromstring(text.encode())
        names = [t.text for t in root.xpath("//*[@id='sheet-1-numbers']")[0].iter("{*}text")]
        assert {str(k) for k in range(1, 13)} <= set(names)


def test_a_band_from_the_middle_of_a_plate() -> None:
    """Its first ring is a point, in cones and in gores; nothing is undefined there."""
    wall = build_wall([Station(0, 0), Station(0, 80)], smooth=False)
    band = changed(
        pieces.tufted_band(wall, columns=12, rows=40, low=0.0, high=80.0), points=pieces.points(wall, [], [])
    )
    piece = pieces.piece(wall, band)
    for flat in ("gores", "cones"):
        text = unroll.as_svg(piece, lay_out(piece, flat, gores=6))  # type: ignore[arg-type]
        assert "nan" not in text


def test_crowded_numbers_are_thinned_and_the_first_is_kept() -> None:
    wall = pieces.cylinder(radius=100 / math.pi)  # 200 mm round: 100 columns of 2 mm
    band = pieces.tufted_band(wall, columns=100, rows=2, low=0.0, high=wall.length)
    piece = pieces.piece(wall, changed(band, points=pieces.points(wall, [], [])))  # no marks: cut on vertical 1
    root = etree.fromstring(unroll.as_svg(piece, lay_out(piece, "fewest")).encode())
    (labels,) = root.xpath("//*[@id='sheet-1-numbers']")
    texts = [t for t in labels if t.tag.endswith("text")]
    bottom = max(float(t.get("y")) for t in texts)
    row = [t for t in texts if float(t.get("y")) == bottom]
    row.sort(key=lambda t: float(t.get("x")))
    assert [t.text for t in row][:3] == ["1", "5", "10"]
    assert row[-1].text == "1"
    places = sorted((float(t.get("x")), len(t.text)) for t in row)
    for (x0, n0), (x1, n1) in pairwise(places):
        # figures are 0.64 of the size wide in the widest common sans-serif (from memory)
        assert x1 - x0 > 3.6 * 0.64 * (n0 + n1) / 2 - 0.6


def test_rings_are_true_on_every_gore() -> None:
    """The polyconic construction: each ring on paper as long as on the wall, the middle line too."""
    piece = pieces.caddy()
    drawing = sheets(piece, "gores", gores=16)
    wall = piece.form.wall
    for ring, tape in enumerate(piece.bands[0].rings.tape.tolist()):
        total = sum(
            length(r["line"]) for s in drawing["sheets"] for r in s["rings"] if (r["band"], r["ring"]) == (1, ring)
        )
        # chords of arcs sampled to 0.01 mm
        assert total == pytest.approx(TURN * float(wall.radius(tape)), abs=0.2)
    low, high = reach(piece)
    tape = np.linspace(low, high, 20)
    for sheet in lay_out(piece, "gores", gores=16).sheets:
        middle = np.full(20, (sheet.window.from_angle + sheet.window.to_angle) / 2)
        placed = sheet.place(np.column_stack([middle, tape]))
        assert placed == pytest.approx(np.column_stack([np.zeros(20), tape - low]), abs=1e-9)


@pytest.mark.parametrize(("flat", "more"), [("rollout", {}), ("gores", {"gores": 12}), ("cones", {}), ("fewest", {})])
def test_every_mark_is_on_one_sheet(flat: str, more: dict) -> None:
    piece = pieces.caddy()
    drawing = sheets(piece, flat, **more)
    assert sum(len(s["points"]) for s in drawing["sheets"]) == sum(len(b.points) for b in piece.bands)


@pytest.mark.parametrize(("flat", "more"), [("gores", {"gores": 16}), ("cones", {"misfit": 0.1})])
def test_strokes_keep_their_length_on_paper(flat: str, more: dict) -> None:
    """What is cut at the sheets' edges adds up again, within what the misfit allows."""
    piece = pieces.caddy()
    drawing = sheets(piece, flat, **more)
    wall = piece.form.wall
    expected = 0.0
    for path in piece.bands[0].paths:
        if path.work.technique == "incise":
            # three-dimensional chords of a line sampled every 0.6 mm of tape
            angle, tape = path.points.T
            r, h = wall.radius(tape), wall.height(tape)
            space = np.column_stack([r * np.cos(angle), r * np.sin(angle), h])
            expected += float(np.linalg.norm(np.diff(space, axis=0), axis=1).sum())
    total = sum(length(p["line"]) for s in drawing["sheets"] for p in s["paths"] if p["technique"] == "incise")
    assert total == pytest.approx(expected, rel=0.01)


def test_a_mark_on_the_cut_is_drawn_on_both_sheets_and_owned_by_one() -> None:
    piece = pieces.canister()
    layout = lay_out(piece, "gores", gores=6)
    drawer = Drawer(piece)
    for sheet in layout.sheets:
        marks = drawer.sheet(sheet).bands[0].marks
        halves = [o for o in marks.outlines if o is not None]
        # seven buttons on each of the two cuts, of which the left-hand ones belong here, and six dots inside
        assert len(halves) == 14
        assert len(marks.index) == 20
        assert marks.owned.sum() == 13


def test_the_rollout_is_as_wide_as_the_wall_at_its_widest() -> None:
    piece = pieces.caddy()
    drawing = sheets(piece, "rollout")
    wall = piece.form.wall
    _, widest = wall.widest(0, wall.length)
    outline = np.array(drawing["sheets"][0]["outline"])
    assert np.ptp(outline, axis=0) == pytest.approx([TURN * widest, wall.length], abs=1e-3)
    assert drawing["misfit"] is None
    assert drawing["stretched"] == pytest.approx(widest / 42.0, abs=1e-5)


def test_the_origin_of_a_rollout_is_the_foot_end_of_its_middle_line() -> None:
    """A rectangle round a middle line at half a turn: x grows with the angle, y is the tape."""
    piece = pieces.caddy()
    (sheet,) = sheets(piece, "rollout")["sheets"]
    _, widest = piece.form.wall.widest(0, piece.form.wall.length)
    assert np.array(sheet["outline"]).min(axis=0) == pytest.approx([-TURN / 2 * widest, 0], abs=1e-3)
    laid = [mark for band in piece.bands for mark in zip(band.points.angle, band.points.tape, strict=True)]
    at = np.array([p["at"] for p in sheet["points"]])
    expected = np.array([((a % TURN - TURN / 2) * widest, t) for a, t in laid])
    at, expected = (found[np.lexsort(np.round(found.T, 2))] for found in (at, expected))
    assert at == pytest.approx(expected, abs=1e-3)


def test_gores_of_uneven_columns_keep_the_misfit() -> None:
    """Columns 3 : 1 on a ball: cut on verticals, the wide gores would lie three times as badly as equal ones."""
    ball = build_wall([Station(h, 10 + math.sqrt(60**2 - (h - 55) ** 2)) for h in range(5, 106, 5)], smooth=True)
    band = pieces.tufted_band(ball, columns=8)
    verticals = np.radians(np.array([0.0, 67.5, 90.0, 157.5, 180.0, 247.5, 270.0, 337.5]))
    piece = pieces.piece(ball, changed(band, verticals=verticals))
    for misfit in (2.0, 1.0, 0.5, 0.3):
        layout = lay_out(piece, "gores", misfit=misfit)
        least = fewest_gores(ball, *reach(piece), misfit)
        assert least is not None and least <= len(layout.sheets) <= 1.5 * least
        assert layout.misfit <= misfit
        asked = lay_out(piece, "gores", gores=8, misfit=misfit)
        needed = int(re.findall(r"([0-9]+) gores would keep it", shortfall(piece, asked) or "")[0])
        assert lay_out(piece, "gores", gores=needed, misfit=misfit).misfit <= misfit


def test_plain_wall_between_bands_is_unrolled_where_that_saves_a_sheet() -> None:
    """A wall that bulges by 0.3 mm between two bands near its ends, as a parabola: one cone lies on it within that
    everywhere. Where it saves no sheet, the middle gets no paper."""
    wall = build_wall([Station(0, 50), Station(60, 50.3), Station(120, 50)], smooth=True)
    ends = [pieces.tufted_band(wall, number=n, low=low, high=low + 20) for n, low in ((1, 10), (2, 90))]
    piece = pieces.piece(wall, *ends)
    (one,) = sheets(piece, "fewest")["sheets"]
    assert (one["from_tape"], one["to_tape"]) == pytest.approx((3, 117.0))
    # over 114 of its 120 mm a parabola bulges by (114 / 120)² of it, the chord being as much lower
    assert one["misfit"] == pytest.approx(0.3 * 0.95**2, abs=1e-3)
    two = sheets(piece, "fewest", misfit=0.2)["sheets"]
    assert [v for s in two for v in (s["from_tape"], s["to_tape"])] == pytest.approx([3, 37, 83, 117])


def test_a_wall_that_comes_to_a_point() -> None:
    wall = build_wall([Station(0, 0), Station(40, 50), Station(120, 60)], smooth=True)
    piece = pieces.piece(wall, pieces.tufted_band(wall, low=0.0, high=wall.length))
    assert sheets(piece, "rollout")["stretched"] is None
    for flat in ("gores", "cones"):
        assert sheets(piece, flat, misfit=1.0)["sheets"]
        assert unroll.as_svg(piece, lay_out(piece, flat, misfit=1.0)).endswith("</svg>\n")  # type: ignore[arg-type]


def test_a_flat_plate_is_one_ring_of_paper() -> None:
    """A plane is its own pattern: the sector is the whole turn, the radii are the plate's."""
    wall = build_wall([Station(0, 20), Station(0, 100)], smooth=False)
    (sheet,) = sheets(pieces.piece(wall), "fewest")["sheets"]
    assert (sheet["inner_radius"], sheet["outer_radius"], sheet["angle"]) == (20, 100, 360)


def test_a_misfit_that_cannot_be_kept_is_said() -> None:
    with pytest.raises(CannotUnrollError, match="misfit") as caught:
        lay_out(pieces.caddy(), "cones", misfit=1e-9)
    assert "--misfit" in caught.value.advice


def test_only_what_is_decorated_is_unrolled() -> None:
    # the lowest ring of buttons, 14 mm across, lies at tape 10; the upper band ends with its last ring
    assert reach(pieces.caddy()) == pytest.approx((10.0 - 7.0, 175.0))
    wall = pieces.cylinder()
    assert reach(pieces.piece(wall)) == (0.0, 200.0)
    assert reach(pieces.piece(wall, pieces.tufted_band(wall), lines=(5.0,))) == pytest.approx((5.0, 180.0 + 7.0))


@pytest.mark.parametrize(("flat", "more"), [("gores", {"gores": 6}), ("cones", {}), ("fewest", {})])
def test_marks_on_the_first_and_last_ring_are_whole(flat: str, more: dict) -> None:
    """A disc's outline on paper has its whole area wherever no cut between sheets takes a part of it."""
    piece = pieces.canister()
    drawer = Drawer(piece)
    layout = lay_out(piece, flat, **more)  # type: ignore[arg-type]
    found = 0
    for sheet in layout.sheets:
        marks = drawer.sheet(sheet).bands[0].marks
        buttons = marks.points.work[marks.index] == 0
        ends = np.isin(marks.points.ring[marks.index], (0, piece.bands[0].rows))
        middle = sheet.window.from_angle + 0.2 < marks.points.angle[marks.index]
        for i in np.flatnonzero(buttons & ends & middle):
            cut = marks.outlines[i]
            assert (
                cut is None or not cut.lines or np.ptp(cut.area[:, 1]) == pytest.approx(14.0, abs=0.05)
            )  # sampled to 0.01
            found += 1
    assert found >= 10  # two rings of six, some on the cuts


def test_marks_stop_where_the_wall_does() -> None:
    wall = pieces.cylinder()
    piece = pieces.piece(wall, pieces.tufted_band(wall, low=0.0, high=wall.length))
    assert reach(piece) == (0.0, wall.length)


def test_plain_wall_between_two_bands_gets_no_cone() -> None:
    """Bands at 10 … 40 and 100 … 130 of a cone: two sheets, the plain wall between them none."""
    wall = pieces.beaker()
    low = pieces.leaf_band(wall, number=1, low=10.0, high=40.0)
    high = pieces.leaf_band(wall, number=2, low=100.0, high=130.0)
    drawing = sheets(pieces.piece(wall, low, high), "cones")
    assert [(s["from_tape"], s["to_tape"]) for s in drawing["sheets"]] == [(10, 40), (100, 130)]
    near = pieces.leaf_band(wall, number=2, low=55.0, high=130.0)
    (one,) = sheets(pieces.piece(wall, low, near), "cones")["sheets"]
    assert (one["from_tape"], one["to_tape"]) == (10, 130)


def test_a_line_by_itself_gets_a_sheet_that_can_be_held() -> None:
    wall = pieces.cylinder()
    (sheet,) = sheets(pieces.piece(wall, lines=(100.0,)), "cones")["sheets"]
    assert (sheet["from_tape"], sheet["to_tape"]) == (96, 104)
    (sheet,) = sheets(pieces.piece(wall, lines=(wall.length - 1.0,)), "cones")["sheets"]
    assert (sheet["from_tape"], sheet["to_tape"]) == (192, 200)


BALL = build_wall([Station(h, 10 + math.sqrt(60**2 - (h - 55) ** 2)) for h in range(5, 106, 5)], smooth=True)


def cuts_of(piece: pieces.LaidPiece, misfit: float) -> list[float]:
    layout = lay_out(piece, "cones", misfit=misfit)
    assert layout.misfit <= misfit
    # no more sheets than are needed
    low, high = reach(piece)
    fewest = fewest_cones(piece.form.wall, low, high, misfit)
    assert fewest is not None
    assert len(layout.sheets) == len(fewest) - 1
    return [s.window.from_tape for s in layout.sheets[1:]]


def test_cones_are_cut_along_rings_where_no_marks_lie() -> None:
    piece = pieces.piece(BALL, pieces.leaf_band(BALL, number=1, low=5.0, high=60.0))
    many = changed(piece.bands[0], rings=pieces.rings(BALL, np.arange(5.0, 61.0, 5.0), 12))
    many = changed(many, points=pieces.points(BALL, [], []))
    cuts = cuts_of(changed(piece, bands=(many,)), 1.0)
    assert len(cuts) >= 2
    for cut in cuts:
        assert cut % 5 == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("misfit", [0.5, 1.0, 1.5, 2.5])
def test_cones_are_cut_through_as_few_rings_of_marks_as_can_be(misfit: float) -> None:
    """Buttons of 14 mm on rings 22 mm apart: 8 mm of every row are free. Against all ways to cut on a 1 mm grid."""
    band = pieces.tufted_band(BALL, columns=8, rows=5, low=10.0, high=120.0)
    band = changed(band, points=_only(band.points, 0))
    piece = pieces.piece(BALL, band)
    cuts = cuts_of(piece, misfit)

    def through(tape: float) -> bool:
        return bool(np.abs(band.rings.tape - tape).min() < 7.0 - 0.5)

    low, high = reach(piece)
    places = [low, *np.arange(np.ceil(low) + 8, high - 8).tolist()]
    best = {low: 0}
    for _ in cuts:
        best = {
            b: min(n for a, n in best.items() if a < b and cone_misfit(BALL, a, b) <= misfit) + through(b)
            for b in places
            if any(a < b and cone_misfit(BALL, a, b) <= misfit for a in best)
        }
    least = min(n for a, n in best.items() if cone_misfit(BALL, a, high) <= misfit)
    assert sum(through(cut) for cut in cuts) <= least


def _only(points: pieces.Points, work: int) -> pieces.Points:
    chosen = points.work == work
    columns = {k: v[chosen] for k, v in vars(points).items() if isinstance(v, np.ndarray)}
    return changed(points, **columns)


def test_cones_are_cut_at_the_corners_of_the_wall() -> None:
    """A plate of a disc and two frusta: every sheet is exact."""
    wall = build_wall([Station(0, 20), Station(0, 78), Station(15, 92), Station(35, 132)], smooth=False)
    corner, rim = (float(c) for c in wall.corners)
    drawing = sheets(pieces.piece(wall, pieces.leaf_band(wall, number=1, low=2.0, high=rim + 20)), "cones")
    assert [s["to_tape"] for s in drawing["sheets"]] == pytest.approx([corner, rim, rim + 20])
    assert drawing["misfit"] == pytest.approx(0, abs=1e-9)


def test_a_strip_past_a_corner_goes_on_over_plain_clay() -> None:
    """Bands that end 3 mm past a corner, on either side of it: 8 mm of paper, as far as there is wall."""
    wall = build_wall([Station(0, 20), Station(0, 78), Station(30, 118)], smooth=False)
    (corner,) = wall.corners

    def ends(wall: Wall, low: float, high: float) -> list[float]:
        drawing = sheets(pieces.piece(wall, pieces.leaf_band(wall, number=1, low=low, high=high)), "cones")
        return [end for s in drawing["sheets"] for end in (s["from_tape"], s["to_tape"])]

    assert ends(wall, 2.0, corner + 3) == pytest.approx([2.0, corner, corner, corner + 8])
    assert ends(wall, corner - 3, wall.length) == pytest.approx([corner - 8, corner, corner, wall.length])
    low = build_wall([Station(0, 20), Station(0, 78), Station(3, 82)], smooth=False)
    assert ends(low, 2.0, low.length)[-1] == pytest.approx(low.length)


def test_cones_of_a_plate_with_marks_on_every_ring() -> None:
    """The library's plate turns at tape 78 and 98 mm, where no other cut would do for three exact sheets."""
    document = improvised(None, "tufting", "plate", "foot + 12 mm", "rim - 6 mm", {})
    piece = document.lay(document.pieces[0])
    assert piece is not None
    drawing = sheets(piece, "cones")
    assert [s["to_tape"] for s in drawing["sheets"][:-1]] == pytest.approx([78.0, 98.0], abs=1e-9)
    assert drawing["misfit"] == pytest.approx(0, abs=1e-9)


def test_no_strip_is_cut_off_to_follow_a_ring() -> None:
    """Two sheets are needed, and a ring 4 mm from the end would do as the cut; the ring at 30 mm is taken instead."""
    band = pieces.leaf_band(BALL, number=1, low=5.0, high=60.0)
    band = changed(band, rings=pieces.rings(BALL, [5.0, 9.0, 30.0, 60.0], 12), points=pieces.points(BALL, [], []))
    bound = cone_misfit(BALL, 9.0, 60.0) + 1e-6
    assert cuts_of(pieces.piece(BALL, band), bound) == [30.0]
    without = changed(band, rings=pieces.rings(BALL, [5.0, 9.0, 60.0], 12))
    (cut,) = cuts_of(pieces.piece(BALL, without), bound)
    assert cut >= 5.0 + LOWEST_SHEET
