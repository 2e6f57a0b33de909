"""Names on drawings: they stand apart, say what they name, and can be read on the pattern."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from scipy.optimize import isotonic_regression

from motif.language.record import changed
from motif.outputs.cutout import Cutout
from motif.outputs.drawn import Drawer, DrawnLine
from motif.outputs.labels import BODY, spread, starting_mark
from motif.outputs.sheets import Layout, gores_needed, lay_out
from motif.outputs.unroll import as_svg
from tests.outputs import pieces
from tests.outputs.path_reader import polylines
from tests.outputs.pieces import TURN


def rings(levels: list[float]) -> list[DrawnLine]:
    """Straight rings to the right of the line x = 0."""
    return [DrawnLine(1, k, y, np.array([[0.0, y], [100.0, y]])) for k, y in enumerate(levels)]


def number(line: DrawnLine) -> str:
    return str(line.number)


@given(st.lists(st.floats(0, 200), min_size=2, max_size=30))
def test_names_of_near_rings_are_moved_apart_as_little_as_may_be(levels: list[float]) -> None:
    """Least squares: scipy's isotonic regression on the levels less what they must lie apart."""
    levels = sorted(levels)
    labels = spread(rings(levels), number)
    if len(labels) < len(levels):
        return  # too many to name them all
    apart = BODY * 1.1
    steps = apart * np.arange(len(levels))
    expected = isotonic_regression(np.array(levels) - steps).x + steps
    # a name that would move by less than 0.05 mm stays
    assert [label.y for label in labels] == pytest.approx(expected, abs=0.051)
    for label, level in zip(labels, levels, strict=True):
        assert (label.leader is None) == (abs(label.y - level) < 0.05)
        if label.leader is not None:
            assert label.leader[0, 1] == level
            assert label.leader[1, 0] > label.box[1, 0]


def test_many_rings_are_named_by_every_second_or_fifth() -> None:
    named = [label.words for label in spread(rings(np.arange(0, 100, 2.0).tolist()), number)]
    assert named == [str(k) for k in range(0, 50, 2)]
    named = [label.words for label in spread(rings(np.arange(0, 50, 1.0).tolist()), number)]
    assert named == [str(k) for k in range(0, 50, 5)]


@pytest.mark.parametrize(("flat", "more"), [("gores", {"gores": 12}), ("cones", {}), ("gores", {"gores": 1})])
def test_no_two_names_of_a_sheet_stand_on_one_another(flat: str, more: dict) -> None:
    piece = pieces.caddy()
    for sheet in lay_out(piece, flat, **more).sheets:  # type: ignore[arg-type]
        cutout = Cutout.of(piece, Drawer(piece).sheet(sheet))
        for one, other in combinations(cutout.names, 2):
            apart = np.maximum(one.box[0], other.box[0]) - np.minimum(one.box[1], other.box[1])
            assert apart.max() > -0.05 * BODY or "middle" in (one.words, other.words)
        for name in cutout.names:
            assert np.all(name.box[0] >= cutout.low)
            assert np.all(name.box[1] <= cutout.high)


def texts(svg: str, group: str) -> list[etree._Element]:
    root = etree.fromstring(svg.encode())
    return root.xpath(f"//*[@id='{group}']/*[local-name()='text']")


def test_names_on_the_pattern_have_white_under_them() -> None:
    piece = pieces.caddy()
    found = texts(as_svg(piece, lay_out(piece, "rollout")), "reserve-names")
    assert [t.text for t in found] == ["handle", "handle"]
    below, above = found
    assert below.get("stroke") == "#ffffff"
    assert float(below.get("stroke-width")) >= 1
    assert above.get("stroke") is None
    assert (below.get("x"), below.get("y")) == (above.get("x"), above.get("y"))


def named(piece: pieces.LaidPiece, layout: Layout, word: str) -> list[int]:
    drawer = Drawer(piece)
    return [
        sheet.number
        for sheet in layout.sheets
        for label in Cutout.of(piece, drawer.sheet(sheet)).names
        if label.words == word
    ]


def test_a_patch_is_named_where_enough_of_it_lies() -> None:
    """34 mm of a girth of about 470, in gores of 118 mm: on the one sheet, or on the greater part of two."""
    wall = pieces.jar()
    for facing, expected in ((45.0, [1]), (90.0, [1, 2]), (87.0, [1]), (93.0, [2]), (0.0, [1, 4])):
        patch = pieces.handle(wall, 60.0, 110.0, facing=math.radians(facing))
        piece = pieces.piece(wall, pieces.tufted_band(wall, low=10.0, high=130.0), reserves=(patch,))
        assert named(piece, lay_out(piece, "gores", gores=4), "handle") == expected
    # so narrow that it fills three of 72 gores
    patch = pieces.handle(wall, 60.0, 110.0, facing=math.radians(2.5))
    piece = pieces.piece(wall, pieces.tufted_band(wall, low=10.0, high=130.0), reserves=(patch,))
    assert len(named(piece, lay_out(piece, "gores", gores=72), "handle")) >= 3
    assert "kept free" in as_svg(piece, lay_out(piece, "cones"))
    assert "kept free" not in as_svg(pieces.canister(), lay_out(pieces.canister(), "cones"))


def test_gores_have_a_middle_line_with_its_name() -> None:
    """Straight, in the middle of the sheet, as long as the tape is (the polyconic construction)."""
    piece = pieces.caddy()
    layout = lay_out(piece, "gores", gores=12)
    svg = as_svg(piece, layout)
    root = etree.fromstring(svg.encode())
    for sheet in layout.sheets:
        (line,) = root.xpath(f"//*[@id='sheet-{sheet.number}-middle']/*")
        (points, _), *_ = polylines(line.get("d"))
        assert abs(points[-1][1] - points[0][1]) == pytest.approx(
            sheet.window.to_tape - sheet.window.from_tape, abs=2e-3
        )
        assert points[0][0] == pytest.approx(points[-1][0], abs=1e-9)
        (cut, _), *_ = polylines(root.xpath(f"//*[@id='sheet-{sheet.number}-cut']/*")[0].get("d"))
        x = [p[0] for p in cut]
        assert points[0][0] == pytest.approx((min(x) + max(x)) / 2, abs=0.01)
        assert "middle" in [t.text for t in texts(svg, f"sheet-{sheet.number}-numbers")]
    assert "-middle" not in as_svg(piece, lay_out(piece, "cones"))
    assert "-middle" not in as_svg(pieces.canister(), lay_out(pieces.canister(), "gores", gores=1))


def turned(degrees: float) -> pieces.LaidPiece:
    wall = pieces.cylinder()
    return pieces.piece(wall, pieces.tufted_band(wall, columns=6, start=math.radians(degrees)), name="turned")


def test_the_starting_mark_is_ticked_where_a_band_begins_elsewhere() -> None:
    piece = turned(30.0)
    layout = lay_out(piece, "gores", gores=3)
    # gores from 30 degrees on, 120 each: the mark lies on the third, 90 degrees along
    assert named(piece, layout, "start") == [3]
    (sheet,) = [s for s in layout.sheets if s.number == 3]
    (tick,), _ = starting_mark(sheet)
    assert tick[0, 0] == pytest.approx(60.0 * math.radians(30.0), abs=1e-9)
    assert tick[1, 1] < tick[0, 1] == pytest.approx(0.0, abs=1e-9)
    assert "starting mark" in as_svg(piece, layout)
    rollout = etree.fromstring(as_svg(piece, lay_out(piece, "rollout")).encode())
    starts = [t for t in rollout.iter("{*}text") if t.text == "start"]
    (frame,) = (p for p in rollout.xpath("//*[@id='wall']/*[1]"))
    (outline, _), *_ = polylines(frame.get("d"))
    left, right = min(x for x, _ in outline), max(x for x, _ in outline)
    assert [float(t.get("x")) for t in starts] == pytest.approx([left, right], abs=0.01)


def test_without_a_turned_band_vertical_1_is_the_mark() -> None:
    for flat in ("gores", "rollout", "cones"):
        assert "start" not in [
            t.text for t in etree.fromstring(as_svg(turned(0.0), lay_out(turned(0.0), flat)).encode()).iter("{*}text")
        ]


def test_a_long_radius_is_not_for_a_compass() -> None:
    """A hair's cone: radii 60 and 61 over 100 mm. Its arc's rise is R (1 − cos(a/2)), which the outline shows."""
    wall = pieces.beaker(below=61.0, above=60.0, height=100.0)
    piece = pieces.piece(wall)
    (sheet,) = lay_out(piece, "cones").sheets
    drawn = Drawer(piece).sheet(sheet)
    words = " ".join(Cutout.of(piece, drawn).words())
    assert "compass" not in words
    assert "more than 1500 mm" in words
    rise = float(np.ptp(drawn.bottom[:, 1]))
    slant = math.hypot(1, 100)
    assert rise == pytest.approx(61 * slant * (1 - math.cos(math.pi * 1 / slant)), abs=1e-3)
    assert f"bend by {rise:.1g} mm" in words  # 3 mm
    assert "With a compass" in " ".join(
        Cutout.of(
            pieces.piece(pieces.beaker()),
            Drawer(pieces.piece(pieces.beaker())).sheet(lay_out(pieces.piece(pieces.beaker()), "cones").sheets[0]),
        ).words()
    )


def test_too_few_gores_are_told_with_how_many_would_do() -> None:
    piece = pieces.caddy()
    needed = gores_needed(piece, 0.5)
    assert needed is not None
    flat = " ".join(etree.fromstring(as_svg(piece, lay_out(piece, "gores", gores=8)).encode()).itertext())
    words = " ".join(flat.split())
    assert f"8 gores leave a misfit of {lay_out(piece, 'gores', gores=8).misfit:.2f} mm, more than the 0.5 mm" in words
    assert f"{needed} gores would keep it." in words
    assert lay_out(piece, "gores", gores=needed).misfit <= 0.5 < lay_out(piece, "gores", gores=needed - 1).misfit
    enough = " ".join(as_svg(piece, lay_out(piece, "gores", gores=needed)).split())
    assert "asked for" not in enough
    # said once, the figure on every sheet
    assert words.count("Fix the middle line first") == 1
    assert words.count("Misfit ") == 8


def test_a_sheet_on_which_nothing_is_made_says_so() -> None:
    piece = pieces.piece(pieces.beaker())
    assert "Nothing is made on this sheet" in as_svg(piece, lay_out(piece, "cones"))
    assert "Nothing is made" not in as_svg(pieces.caddy(), lay_out(pieces.caddy(), "cones"))


def test_numbers_at_the_ends_are_those_of_the_nearest_band() -> None:
    wall = pieces.cylinder()
    low = pieces.tufted_band(wall, number=1, columns=4, low=20.0, high=60.0)
    middle = pieces.tufted_band(wall, number=2, columns=5, low=80.0, high=120.0)
    high = pieces.tufted_band(wall, number=3, columns=6, low=140.0, high=180.0)
    # Without marks the sheet is cut on vertical 1.
    low, middle, high = (changed(band, points=pieces.points(wall, [], [])) for band in (low, middle, high))
    piece = pieces.piece(wall, low, middle, high)
    (sheet,) = lay_out(piece, "cones").sheets
    drawn = Drawer(piece).sheet(sheet)
    names = [label for label in Cutout.of(piece, drawn).names if "·" not in label.words]
    below = sorted((n.x, n.words) for n in names if n.y < drawn.outline[:, 1].min())
    above = sorted((n.x, n.words) for n in names if n.y > drawn.outline[:, 1].max())
    inside = sorted((n.x, n.words) for n in names if n.on_pattern)
    assert [w for _, w in below] == ["1", "2", "3", "4", "1"]
    assert [w for _, w in above] == ["1", "2", "3", "4", "5", "6", "1"]
    assert [w for _, w in inside] == ["2", "3", "4", "5"]
    for (x, _), (x1, _) in pairwise(inside):
        assert x1 - x == pytest.approx(60.0 * TURN / 5, abs=1e-6)
    alike = pieces.piece(wall, low, changed(middle, verticals=low.verticals), high)
    names = [label for label in Cutout.of(alike, Drawer(alike).sheet(sheet)).names if label.on_pattern]
    assert not names


def test_a_narrow_gore_is_told_between_which_verticals_it_lies() -> None:
    """Four columns below, forty above, in gores of 15 degrees: numbers at an end are always those of one band."""
    wall = pieces.cylinder()
    low = pieces.tufted_band(wall, number=1, columns=4, low=20.0, high=60.0)
    high = pieces.tufted_band(wall, number=2, columns=40, low=80.0, high=180.0)
    piece = pieces.piece(wall, low, high)
    layout = lay_out(piece, "gores", gores=24)
    for sheet in layout.sheets:
        cutout = Cutout.of(piece, Drawer(piece).sheet(sheet))
        below = [n.words for n in cutout.names if n.y < -1.0 and "·" not in n.words]
        words = " ".join(cutout.words())
        if sheet.number in (1, 6, 7, 12, 13, 18, 19, 24):  # beside 0, 90, 180 and 270 degrees
            assert below == [str({1: 1, 6: 2, 7: 2, 12: 3, 13: 3, 18: 4, 19: 4, 24: 1}[sheet.number])]
            assert "between" not in words
        else:
            k = (sheet.number - 1) // 6 + 1
            assert below == []
            assert f"It lies between verticals {k} and {k % 4 + 1} of band 1." in words
