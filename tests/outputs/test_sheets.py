"""Sheets: what is cut where, and that paper carries what the wall carries."""

from __future__ import annotations

import json
import math
from itertools import pairwise

import numpy as np
import pytest
from lxml import etree

from motif.language.record import changed
from motif.outputs import json_text, unroll
from motif.outputs.sheets import CannotUnrollError, lay_out, reach
from motif.wall import Station, build_wall, fewest_gores
from tests.outputs import pieces
from tests.outputs.pieces import TURN
from tests.reference import record


def sheets(piece: pieces.LaidPiece, flat: str, **more: object) -> dict:
    return json.loads(json_text.dumps(unroll.as_json(piece, lay_out(piece, flat, **more))))  # type: ignore[arg-type]


def length(line: list[list[float]]) -> float:
    return float(np.hypot(*np.diff(np.array(line), axis=0).T).sum())


def test_a_cylinder_is_one_rectangle() -> None:
    """In closed form: circumference by height, nothing stretched."""
    drawing = sheets(pieces.canister(), "fewest")
    (sheet,) = drawing["sheets"]
    assert drawing["misfit"] == 0
    around = TURN * 60
    assert np.ptp(np.array(sheet["outline"]), axis=0) == pytest.approx([around, 150], abs=1e-3)
    assert sheet["inner_radius"] is None
    assert (sheet["radius_below"], sheet["slant"], sheet["angle"]) == (60, 150, 0)
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
    assert "From vertical" not in unroll.as_svg(pieces.canister(), lay_out(pieces.canister(), "gores", gores=5))


def test_a_disc_has_no_room_for_a_tab() -> None:
    wall = build_wall([Station(0, 20), Station(0, 100)], smooth=False)
    piece = pieces.piece(wall)
    assert "no room for a tab" in unroll.as_svg(piece, lay_out(piece, "cones"))
    assert "no room for a tab" not in unroll.as_svg(pieces.caddy(), lay_out(pieces.caddy(), "cones"))


def test_crowded_numbers_are_thinned_and_the_first_is_kept() -> None:
    wall = pieces.cylinder(radius=100 / math.pi)  # 200 mm round: 100 columns of 2 mm
    piece = pieces.piece(wall, pieces.tufted_band(wall, columns=100, rows=2, low=0.0, high=wall.length))
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
    from motif.outputs.drawn import Drawer

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
    assert reach(pieces.caddy()) == (10.0, 175.0)
    wall = pieces.cylinder()
    assert reach(pieces.piece(wall)) == (0.0, 200.0)
    assert reach(pieces.piece(wall, pieces.tufted_band(wall), lines=(5.0,))) == (5.0, 180.0)
