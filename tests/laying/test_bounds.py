"""Every warning with a text that just passes and one that just fails, on walls and grids of every kind.

On ``CAN`` a millimetre of tape round the pot is a degree. Each expected figure is worked out here, by plane geometry on
the unrolled wall; the formula stands beside it.
"""

from __future__ import annotations

from math import asin, cos, pi, radians, sin, tan

import pytest

from tests.laying.bench import CAN, CONE, PLATE, Said, ball, lay, source, warnings

REACH = "from foot to tape 180 mm"
GRID = "grid columns 12 rows 6"  # 30 mm by 30 mm on the can


def warned(code: str, body: str, reach: str = REACH, form: str = CAN, before: str = "", piece: str = "") -> list[Said]:
    return [w for w in warnings(source(body, reach, form, before, piece)) if w.code == code]


def one(code: str, body: str, reach: str = REACH, form: str = CAN, before: str = "", piece: str = "") -> Said:
    """The one warning of a code: there is no more than one a statement."""
    found = warned(code, body, reach, form, before, piece)
    assert len(found) == 1, found
    return found[0]


# ---------------------------------------------------------------- land


def carved(*lines: str) -> str:
    return f"{GRID} once {{ {' '.join(f'carve {line}' for line in lines)} }}"


@pytest.mark.parametrize(
    ("apart", "told"), [(4.0, False), (3.96, False), (3.94, True), (3, True), (1.5, True), (0.2, True)]
)
def test_land_between_equal_cuts(apart: float, told: bool) -> None:
    """Middles d apart, cuts 2 mm wide: land d − 2, told below 2 (a twentieth of a millimetre is let pass)."""
    body = carved(
        "from (1, 30 mm) line to (5, 30 mm) width 2 mm",
        f"from (1, {30 + apart} mm) line to (5, {30 + apart} mm) width 2 mm",
    )
    found = warned("lines-too-close", body)
    assert bool(found) == told
    if told:
        left = "nothing" if apart < 2 else f"only {apart - 2:.1f} mm"
        assert left in found[0].words


@pytest.mark.parametrize(("apart", "told"), [(5.05, False), (4.9, True)])
def test_land_between_different_cuts(apart: float, told: bool) -> None:
    """Cuts 3 mm and 1 mm wide: land d − 2, to be no less than the wider, 3."""
    body = carved(
        "from (1, 30 mm) line to (5, 30 mm) width 3 mm",
        f"from (1, {30 + apart} mm) line to (5, {30 + apart} mm) width 1 mm",
    )
    assert bool(warned("lines-too-close", body)) == told


def test_a_finer_pair_is_judged_by_its_own_width() -> None:
    """A cut 5 mm wide elsewhere does not make 1.5 mm of land between cuts of 1 mm too little."""
    body = carved(
        "from (1, 30 mm) line to (5, 30 mm) width 1 mm", "from (1, 32.5 mm) line to (5, 32.5 mm) width 1 mm",
        "from (1, 120 mm) line to (5, 120 mm) width 5 mm",
    )  # fmt: skip
    assert not warned("lines-too-close", body)


@pytest.mark.parametrize("lines", [
    ("from (0, 0) line to (2, 2)", "from (0, 0) + (3 mm, 0 mm) line to (2, 2) + (3 mm, 0 mm)"),       # slanting
    ("from (2, 0) line to (2, 6)", "from (2, 0) + (3 mm, 0 mm) line to (2, 6) + (3 mm, 0 mm)"),       # upright
    ("from (11, 1) line to (13, 1)", "from (-1, 1) + (0 mm, 3 mm) line to (1, 1) + (0 mm, 3 mm)"),    # over vertical 1
    ("from (0, 1) line to (12, 1)", "from (3, 1) + (0 mm, 3 mm) line to (15, 1) + (0 mm, 3 mm)"),     # all round
    ("rectangle from (1, 1) to (4, 4)", "rectangle from (1, 1) + (3 mm, 3 mm) to (4, 4) + (-3 mm, -3 mm)"),
    ("from (0, 0) line to (24, 1/5)",),                                                               # a thread
    ("from (1, 1) line to (5, 1) line to (5, 1) + (0 mm, 3 mm) line to (1, 1) + (0 mm, 3 mm)",),      # there and back
])  # fmt: skip
def test_thin_land_wherever_it_is(lines: tuple[str, ...]) -> None:
    """Cuts 2 mm wide, 3 mm apart or less: told; the same lines cut 1 mm wide: not."""
    assert one("lines-too-close", carved(*(f"{line} width 2 mm" for line in lines)))
    assert not warned("lines-too-close", carved(*(f"{line} width 1 mm" for line in lines)))


def test_land_over_the_corner_of_nested_corners() -> None:
    """Parallels 3 mm apart round a corner: the land is 1 mm along both arms, and the corner itself is no meeting."""
    body = carved(
        "from (1, 1) line to (4, 1) line to (4, 4) width 2 mm",
        "from (1, 1) + (0 mm, 3 mm) line to (4, 1) + (-3 mm, 3 mm) line to (4, 4) + (-3 mm, 0 mm) width 2 mm",
    )
    assert "only 1.0 mm" in one("lines-too-close", body).words


@pytest.mark.parametrize("angle", [12, 20, 30, 60, 90])
def test_lines_that_cross_are_no_thin_land(angle: float) -> None:
    rise = 60 * tan(radians(angle) / 2)
    body = carved(
        f"from (1, {90 - rise} mm) line to (5, {90 + rise} mm) width 2 mm",
        f"from (1, {90 + rise} mm) line to (5, {90 - rise} mm) width 2 mm",
    )
    assert not warned("lines-too-close", body)


def test_lines_that_meet_at_an_end_are_no_thin_land() -> None:
    for second in ("from (1, 1) line to (5, 2)", "from (1, 1) line to (1, 5)", "from (3, 1) line to (5, 4)"):
        assert not warned("lines-too-close", carved("from (1, 1) line to (5, 1) width 2 mm", f"{second} width 2 mm"))


def test_lines_that_meet_and_then_run_on_side_by_side() -> None:
    """Two lines from one point that part to 3 mm and stay so for 90 mm: that is thin land all the same."""
    body = carved(
        "from (1, 1) line to (5, 1) width 2 mm",
        "from (1, 1) line to (3/2, 1) + (0 mm, 3 mm) line to (5, 1) + (0 mm, 3 mm) width 2 mm",
    )
    assert one("lines-too-close", body)


def test_verticals_that_come_together() -> None:
    """Plate, radius = tape: 60 verticals cut 1 mm wide lie 2π s / 60 apart at tape s; land below 1 mm for s < 19.1."""
    body = "grid columns 60 rows 1 each vertical { carve along width 1 mm }"
    assert not warned("lines-too-close", body, "from tape 19.2 mm to rim", PLATE)
    found = one("lines-too-close", body, "from tape 17 mm to rim", PLATE)
    assert f"{2 * pi * 17 / 60 - 1:.1f} mm" in found.words and "60 pairs" in found.words


@pytest.mark.parametrize(("across", "told"), [("26 mm", False), ("27.2 mm", True)])
def test_circles_beside_one_another(across: str, told: bool) -> None:
    """Circles with middles 30 mm apart, cut 2 mm wide: the land is 30 − across − 2, 2 at 26 mm across."""
    body = f"{GRID} each cell {{ carve circle at (1/2, 1/2) across {across} width 2 mm }}"
    found = warned("lines-too-close", body)
    assert bool(found) == told and len(found) <= 1
    if told:
        assert f"{30 - 27.2 - 2:.1f} mm" in found[0].words


def test_a_parallel_just_as_far_as_the_cut_is_wide() -> None:
    """A parallel 4 mm outside a circle, both cut 2 mm wide, leaves 2 mm: exactly enough, on a can and on a ball."""
    for form, reach in ((CAN, REACH), (ball(75, -30, 30), "")):
        for across, by, told in ((9, 4, False), (20, 4, False), (20, 3.8, True)):
            body = (
                f"grid columns 6 rows 2 each cell {{ path c = circle at (1/2, 1/2) across {across} mm "
                f"carve c, offset c outward by {by} mm width 2 mm }}"
            )
            assert bool(warned("lines-too-close", body, reach, form)) == told


def test_land_between_rows_and_between_bands() -> None:
    """A ring 1.5 mm above each row's foot and one as far below its head: 3 mm apart across the ring between rows, and
    across the end of one band and the start of the next."""
    row = (
        "each cell { carve from (0, 0) + (0 mm, 1.5 mm) line to (1, 0) + (0 mm, 1.5 mm), "
        "from (0, 1) + (0 mm, -1.5 mm) line to (1, 1) + (0 mm, -1.5 mm) width 2 mm }"
    )
    assert one("lines-too-close", f"{GRID} {row}")
    body = f"grid columns 12 rows 1 {row}"
    assert not warned("lines-too-close", body, "from foot to tape 60 mm")
    found = one("lines-too-close", body, "from foot to tape 60 mm", piece="band m from tape 60 mm to tape 120 mm")
    assert "tape 58.5 mm" in found.words or "tape 61.5 mm" in found.words


def test_land_beside_the_pieces_own_line() -> None:
    body = carved("from (0, 30 mm) line to (12, 30 mm) width 2 mm")
    assert one("lines-too-close", body, piece="carve ring at tape 33 mm width 2 mm")
    assert not warned("lines-too-close", body, piece="carve ring at tape 34 mm width 2 mm")
    assert not warned("lines-too-close", body, piece="guide ring at tape 33 mm width 2 mm")


# ---------------------------------------------------------------- shapes of cells


@pytest.mark.parametrize(("rows", "told"), [(4, True), (3, True), (2, False)])
@pytest.mark.parametrize("reach", ["from foot to tape 25 mm", "from tape 25 mm to foot"])
def test_shape_on_a_cone(rows: int, told: bool, reach: str) -> None:
    """Cone, radius 60 − 0.8 s: between 0 and 25 mm of tape middles of the end rows have radii 60 − 10/n and
    40 + 10/n; told where the one is less than two thirds of the other: n = 4 gives 42.5/57.5 = 0.74, so nothing; up to
    tape 40 mm (radius 28) it is (28 + 16/n)/(60 − 16/n)."""
    dot = "each cell { guide dot at (1/2, 1/2) }"
    assert not warned("stretched-cells", f"grid columns 12 rows {rows} {dot}", reach, CONE)
    farther = reach.replace("25", "40")
    ratio = (28 + 16 / rows) / (60 - 16 / rows)
    assert (ratio < 2 / 3) == told
    assert bool(warned("stretched-cells", f"grid columns 12 rows {rows} {dot}", farther, CONE)) == told


@pytest.mark.parametrize(("start", "told"), [(29.9, False), (30, False), (30.1, True)])
def test_shape_just_at_the_bound(start: float, told: bool) -> None:
    """Cone of radius 80 − 0.8 s, two rows of 20 mm from tape t: the middles are at t + 10 and t + 30, and
    (56 − 0.8 t) / (72 − 0.8 t) is 2/3 at t = 30. From above it is the inverse, 3/2."""
    form = "form cone { profile straight { at 0 mm across 160 mm at 48 mm across 32 mm } }"
    body = "grid columns 12 rows 2 each cell { guide dot at (1/2, 1/2) }"
    for reach in (f"from tape {start} mm to tape {start + 40} mm", f"from tape {start + 40} mm to tape {start} mm"):
        assert bool(warned("stretched-cells", body, reach, form)) == told


# ---------------------------------------------------------------- tools


def strip(wide: float, tall: float = 5) -> str:
    return f"tool strip {{ wide {wide} mm tall {tall} mm }}"


@pytest.mark.parametrize(("wide", "code"), [(29.4, "tool-gap"), (29.6, None), (30.4, None), (30.6, "tool-overlap")])
@pytest.mark.parametrize(("body", "reach"), [
    (f"{GRID} each cell where row = 2 {{ impress strip at (1/2, 1/2) }}", REACH),
    (f"{GRID} each crossing where ring = 2 {{ impress strip at (0, 0) }}", REACH),
    (f"{GRID} shifted 1/2 each row each cell where row = 2 {{ impress strip at (1/2, 1/2) }}", REACH),
    (f"{GRID} each cell where row = 2 {{ impress strip at (1/2, 1/2) }}", "from tape 180 mm to foot"),
    (f"{GRID} each cell where row = 2 {{ impress strip at (1/2, 1/2) }}", f"{REACH} only columns 3 to 6"),
    ("grid columns near 30 mm each row rows 6 each cell where row = 2 { impress strip at (1/2, 1/2) }", REACH),
    (f"{GRID} each cell where row = 2 {{ impress strip at (1/2, 1/2) tilted 90 deg }}", REACH),
])  # fmt: skip
def test_tools_that_meet(wide: float, code: str | None, body: str, reach: str) -> None:
    """Columns of 30 mm on the can: the strip lacks 30 − wide, told beyond half a millimetre. Tilted by a right angle
    its height is what meets."""
    tool = strip(5, wide) if "tilted" in body else strip(wide)
    found = [
        w for w in warnings(source(body, reach, before=tool)) if w.code in ("tool-gap", "tool-overlap", "marks-overlap")
    ]
    assert [w.code for w in found] == ([code] if code else [])
    if code:
        assert f"by {abs(30 - wide):.1f} mm at" in found[0].words


def tile(wide: float, tall: float = 20) -> str:
    """A tool with upright sides."""
    x, y = wide / 2, tall / 2
    corners = " line to ".join(f"({a} mm, {b} mm)" for a, b in ((-x, -y), (x, -y), (x, y), (-x, y)))
    return f"tool tile {{ outline from {corners} close }}"


@pytest.mark.parametrize(("wide", "code"), [(29.4, "tool-gap"), (29.6, None), (30.4, None), (30.6, "tool-overlap")])
@pytest.mark.parametrize("body", [
    f"{GRID} shifted 1/2 each column each cell {{ impress tile at (1/2, 1/2) }}",
    f"{GRID} shifted 1/3 each column each cell {{ impress tile at (1/2, 1/2) }}",
    "grid columns 24 rows 6 each 2 by 1 cells { impress tile at (1, 1/2) }",
    "grid columns 36 rows 12 shifted 1/2 each row each 3 by 2 cells { impress tile at (3/2, 1) }",
    "grid columns 24 rows 12 shifted 1/2 each column each 2 by 2 cells { impress tile at (1, 1) }",
    f"{GRID} shifted 1/2 each column each crossing {{ impress tile at (0, 0) }}",
])  # fmt: skip
def test_tools_that_meet_in_half_drops_and_groups(wide: float, code: str | None, body: str) -> None:
    """Tiles 30 mm apart on the can, the next of them higher or lower by no more than their 20 mm, or one in each group
    of cells: they lack 30 mm less their width, and what one tool overlaps is told once."""
    found = [
        w
        for w in warnings(source(body, REACH, before=tile(wide)))
        if w.code in ("tool-gap", "tool-overlap", "marks-overlap")
    ]
    assert [w.code for w in found] == ([code] if code else [])
    if code:
        assert f"by {abs(30 - wide):.1f} mm at" in found[0].words


@pytest.mark.parametrize("body", [
    f"{GRID} shifted 1/2 each column each cell {{ impress tile at (1/2, 1/2) }}",
    f"{GRID} each cell where even(column + row) {{ impress tile at (1/2, 1/2) }}",
])  # fmt: skip
def test_tools_that_pass_one_another_are_not_meant_to_meet(body: str) -> None:
    """Tiles 14 mm tall, 15 mm higher or 60 mm away in their row: none has another at its side."""
    assert not warned("tool-gap", body, before=tile(28, 14)) and not warned("tool-overlap", body, before=tile(32, 14))


def test_a_wide_tool_set_upright_is_not_meant_to_meet() -> None:
    """25 mm wide, 5 mm tall, tilted by a right angle: it takes up 5 mm of a 30 mm column."""
    body = f"{GRID} each cell where row = 2 {{ impress strip at (1/2, 1/2) tilted 90 deg }}"
    assert not warned("tool-gap", body, before=strip(25))


def test_tools_in_spaced_columns() -> None:
    """Columns of 45 and 15 mm by turns: strips 30 mm wide in all of them stand 30 mm apart and meet, though a narrow
    column is half of it; 29 mm wide they lack 1 mm beside every narrow one, which they more than fill."""
    body = "grid columns 12 spaced 3 : 1 rows 6 each cell where row = 2 { impress strip at (1/2, 1/2) }"
    assert not warned("tool-gap", body, before=strip(30)) and not warned("tool-overlap", body, before=strip(30))
    assert "by 1.0 mm at row 2" in one("tool-gap", body, before=strip(29)).words


def test_tools_on_a_swelling_wall() -> None:
    """Ball of radius 75 mm, a strip 40 mm wide with its middle at latitude φ: its ends lie on a great circle at right
    angles to the meridian, 20 mm off. So sin φ' = sin φ cos (20/75) is their latitude and
    sin λ = sin (20/75) / cos φ' their longitude; what is lacking there is 75 cos φ' (2π/12 − 2 λ)."""
    form = ball(75, -30, 30)
    body = "grid columns 12 rows 3 each cell { impress strip at (1/2, 1/2) }"
    found = {w.code: w.words for w in warnings(source(body, "", form, strip(40, 0.01)))}
    for row, middle in ((1, -20), (2, 0), (3, 20)):
        off = 20 / 75
        end = asin(sin(radians(middle)) * cos(off))
        aside = asin(sin(off) / cos(end))
        gap = 75 * cos(end) * (2 * pi / 12 - 2 * aside)
        told = found.get("tool-gap" if gap > 0 else "tool-overlap", "")
        assert (f"{abs(gap):.1f} mm at row {row}" in told) == (abs(gap) > 0.5)
    assert found


# ---------------------------------------------------------------- marks


@pytest.mark.parametrize(("tall", "told"), [(29.9, False), (30.5, True)])
def test_tall_marks_over_one_another(tall: float, told: bool) -> None:
    """Oval marks 10 mm wide in rows of 30 mm touch the rows beside them where they are taller than 30 mm."""
    found = warned(
        "marks-overlap", f"{GRID} each cell {{ impress strip at (1/2, 1/2) }}", before=strip(10, tall + told)
    )
    assert bool(found) == told


def test_flat_marks_do_not_overlap_those_above() -> None:
    """40 mm wide, 5 mm tall, 30 mm above one another, every second column: nothing touches."""
    body = f"{GRID} each cell where odd(column) {{ impress strip at (1/2, 1/2) }}"
    assert not warned("marks-overlap", body, before=strip(40))


@pytest.mark.parametrize(("across", "told"), [(15, False), (15.2, True)])
def test_dots_of_two_bands(across: float, told: bool) -> None:
    """Dots on the two sides of a seam, 7.5 mm from it: 15 mm apart."""
    body = f"grid columns 12 rows 4 each cell {{ impress dot at (1/2, 1/2) across {across} mm }}"
    found = warned("marks-overlap", body, "from foot to tape 60 mm", piece="band m from tape 60 mm to tape 120 mm")
    assert bool(found) == told


def test_overlaps_of_a_statement_are_one_message() -> None:
    """Dots 32 mm across every 30 mm overlap by 2 mm: 12 × 6 pairs side by side and 12 × 5 above one another."""
    found = one("marks-overlap", f"{GRID} each cell {{ impress dot at (1/2, 1/2) across 32 mm }}")
    assert (
        "132 pairs" in found.words
        and "2.0 mm" in found.words
        and "band 1, column 1, row 1, tape 15.0 mm" in found.words
    )


# ---------------------------------------------------------------- pitch, reserves, edges, what is left over


def test_the_worst_pitch_is_told() -> None:
    """Strokes 5 k mm long, pitch 4 mm: whole impressions nearest to it come to 5, 3.33, 3.75, 4, 4.17 mm."""
    body = f"{GRID} once {{ repeat 5 as k {{ roulette from (0, k) line to (0, k) + (k * 5 mm, 0 mm) pitch 4 mm }} }}"
    found = one("pitch-off", body)
    assert "2 of 5 strokes" in found.words and "5.00 mm" in found.words and "3.33" not in found.words


RESERVE = 'reserve "name" from tape 60 mm to tape 120 mm facing 180 deg wide 60 mm'


@pytest.mark.parametrize(("at", "words"), [
    (55, None), (56, None), (57, "reaches in by 1.0 mm"), (59, "reaches in by 3.0 mm"), (60, "reaches in by 4.0 mm"),
    (60.5, "left out"),
])  # fmt: skip
def test_marks_beside_a_reserve(at: float, words: str | None) -> None:
    """A dot 8 mm across below a patch that begins at tape 60 mm reaches (at + 4) − 60 into it."""
    body = f"{GRID} once {{ impress dot at (180 deg, {at} mm) across 8 mm }}"
    found = warned("in-reserve", body, piece=RESERVE)
    assert bool(found) == (words is not None)
    if words:
        assert words in found[0].words and "“name”" in found[0].words


def test_an_area_round_a_reserve_is_told_too() -> None:
    body = f"{GRID} once {{ paint rectangle from (3, 1) to (9, 5) }}"
    assert "1 line is cut" in one("in-reserve", body, piece=RESERVE).words


def test_attached_outlines_are_whole_or_left_out() -> None:
    bodies = {at: f"{GRID} once {{ attach circle at (180 deg, {at} mm) across 20 mm }}" for at in (45, 55, 70)}
    assert "left out" in one("in-reserve", bodies[70], piece=RESERVE).words
    assert "stays whole" in one("in-reserve", bodies[55], piece=RESERVE).words
    assert not warned("in-reserve", bodies[45], piece=RESERVE)


@pytest.mark.parametrize(("above", "told"), [(0, False), (0.1, True)])
def test_marks_past_the_band(above: float, told: bool) -> None:
    """Twelve points above the last ring, the farthest told."""
    body = f"{GRID} each cell where row = 6 {{ guide dot at (1/2, 1) + (0 mm, {above} mm * column) }}"
    found = warned("past-the-band", body)
    assert bool(found) == told
    if told:
        assert "12 marks" in found[0].words and "1.2 mm outside" in found[0].words


@pytest.mark.parametrize("reach", [REACH, "from tape 180 mm to foot"])
def test_rows_left_over(reach: str) -> None:
    """Groups of 4 rows in 6 rows of 30 mm: 2 stay plain, 60 mm of tape, those farthest from the start."""
    found = one("rows-left-over", f"{GRID} each 1 by 4 cells {{ guide dot at (1/2, 1/2) }}", reach)
    assert "2 of 6 rows" in found.words and "60.0 mm of tape" in found.words
    assert ("from 120.0 mm on" if reach == REACH else "from 60.0 mm on") in found.words


def test_strings_over_a_hollow() -> None:
    """A waisted wall: a string from wide to wide lifts off, one that stays above the waist does not."""
    form = "form waist { profile smooth { at 0 mm across 120 mm at 40 mm across 70 mm at 80 mm across 120 mm } }"
    body = "grid columns 6 rows 4 once {{ guide from (0, {a}) taut to (1/4, 4) }}"
    found = one("string-lifts", body.format(a=0), "", form)
    assert "1 taut line" in found.words and "of tape" in found.words
    straight = "form can { profile straight { at 0 mm across 120 mm at 80 mm across 120 mm } }"
    assert not warned("string-lifts", body.format(a=0), "", straight)


# ---------------------------------------------------------------- once a statement


def test_one_message_for_all_bands() -> None:
    """One statement in two bands: one message that counts both."""
    body = f"{GRID} each cell {{ impress strip at (1/2, 1/2) }}"
    found = one(
        "tool-gap", body, "from foot to tape 60 mm", before=strip(28), piece="band m from tape 60 mm to tape 120 mm"
    )
    assert "band 1" in found.words and "band 2" in found.words and "in 12 rows" in found.words


def test_of_several_pieces_each_is_named() -> None:
    """The same statement on two pots of a file: two messages, each with its pot; on one pot alone it is not named."""
    body = f"{GRID} each cell {{ impress strip at (1/2, 1/2) }}"
    text = source(body, REACH, before=strip(28))
    assert not [w for w in warnings(text) if w.words.startswith("On")]
    found = warnings(text + "piece q { form can band m from foot to tape 90 mm }\n")
    assert sorted(w.words[:7] for w in found if w.code == "tool-gap") == ["On 'p':", "On 'q':"]


def test_decorated_inside_is_checked_alike() -> None:
    """The inner face of a bowl is a wall like any other."""
    inside = CAN.replace("form can {", "form can { thickness 6 mm decorated inside")
    body = carved(
        "from (1, 30 mm) line to (5, 30 mm) width 2 mm depth 3 mm",
        "from (1, 33 mm) line to (5, 33 mm) width 2 mm depth 3 mm",
    )
    assert {w.code for w in warnings(source(body, REACH, inside))} == {"lines-too-close", "too-deep"}


def test_deep_cuts_in_some_rows_only() -> None:
    """Depth 0.5 mm × row in a wall of 6 mm: rows 5 and 6 are deeper than 2 mm, 24 marks."""
    form = CAN.replace("form can {", "form can { thickness 6 mm")
    body = f"{GRID} each cell {{ impress dot at (1/2, 1/2) across 4 mm depth 0.5 mm * row }}"
    found = one("too-deep", body, form=form)
    assert "2.5 mm deep" in found.words and "3.0 mm at" in found.words and "24 marks" in found.words
    assert "row 5" in found.words and "licensed" in found.advice
    fit = lay(source(body, REACH, form)).bands[0].fit
    assert [r.depth for r in fit] == pytest.approx([0.5 * k for k in range(1, 7)])
    assert [bool(r.warnings) for r in fit] == [False] * 4 + [True] * 2


def test_the_slant_of_a_cone_and_the_land_on_it() -> None:
    """Unrolled, the cone is a plane: rings 3 mm of tape apart are 3 mm apart, verticals at slant L from the apex
    2π r / n apart by tape, or 2 L sin (π r / (n L)) straight across."""
    body = "grid columns 60 rows 1 each vertical { carve along width 1.2 mm }"
    assert not warned("lines-too-close", body, "from foot to tape 43 mm", CONE)  # radius 25.6: 2.68 − 1.2
    found = one("lines-too-close", body, "from foot to rim", CONE)  # radius 20: 2.09 − 1.2 = 0.89
    assert "0.9 mm" in found.words


def test_lines_that_an_edge_cuts_just_before_they_meet() -> None:
    """Half circles 30 mm wide touch where they begin, at tape 60 mm. A patch kept free up to 61.4 mm takes that away:
    there they are 30 (1 - sqrt(1 - (1.4 / 15)²)) = 0.13 mm apart, a fifteenth of their cuts, and would have met.
    Lines 2.5 mm apart never do, and leave 0.5 mm of land up to the patch and beyond."""
    arcs = f"{GRID} each cell {{ carve from (0, 0) arc to (1, 0) rise 1/2 width 2 mm }}"
    patch = 'reserve "low" from tape 50 mm to tape 61.4 mm facing 60 deg wide 20 mm'
    assert not warned("lines-too-close", arcs)
    assert not warned("lines-too-close", arcs, piece=patch)
    pair = "from (0, 0) line to (0, 1), from (0, 0) + (2.5 mm, 0 mm) line to (0, 1) + (2.5 mm, 0 mm)"
    found = one("lines-too-close", f"grid columns 6 rows 1 each cell {{ carve {pair} width 2 mm }}", piece=patch)
    assert "only 0.5 mm" in found.words
