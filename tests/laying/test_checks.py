"""Warnings of what would spoil the pot, and the limits that refuse too much.

Bounds come from the language's own statement of each warning; "a third of the wall" is common practice, no source.
"""

from __future__ import annotations

from math import atan, hypot, pi

import pytest

import motif
from tests.laying.bench import CAN, CONE, Said, ball, errors, lay, source, the_error, warnings

GRID = "grid columns 12 rows 6"  # 30 mm by 30 mm
REACH = "from foot to tape 180 mm"
THICK = CAN.replace("form can {", "form can { thickness 6 mm")


def warned(
    code: str, rules: str, grid: str = GRID, reach: str = REACH, form: str = CAN, before: str = ""
) -> list[Said]:
    return [w for w in warnings(source(f"{grid} {rules}", reach, form, before)) if w.code == code]


# ---------------------------------------------------------------- depths


@pytest.mark.parametrize(("technique", "depth", "told"), [
    ("carve", 2, False), ("carve", 2.01, True), ("incise", 3, True), ("impress", 3, True), ("paint", 3, False),
    ("trail", 3, False),
    ("attach", 3, False),
])  # fmt: skip
def test_deeper_than_a_third_of_the_wall(technique: str, depth: float, told: bool) -> None:
    line = "circle at (3, 3) across 1" if technique in ("impress", "paint", "attach") else "from (0, 1) line to (2, 1)"
    found = warned("too-deep", f"once {{ {technique} {line} depth {depth} mm }}", form=THICK)
    assert bool(found) == told
    if found:
        assert "6.0 mm" in found[0].words and f"{depth:.1f} mm" in found[0].words


def test_no_thickness_no_word_about_depth() -> None:
    assert not warned("too-deep", "once { carve from (0, 1) line to (2, 1) depth 9 mm }")


def test_dots_and_the_pieces_own_lines_are_looked_at_too() -> None:
    assert warned("too-deep", "once { impress dot at (1, 1) depth 3 mm }", form=THICK)
    found = warnings(source(GRID, REACH, THICK, piece="carve ring at tape 190 mm depth 3 mm"))
    assert [(w.code, w.line) for w in found] == [("too-deep", 4)]


def test_the_wall_shrinks_too() -> None:
    """6 mm wet is 5.4 mm fired, a third of it 1.8 mm; 1.9 mm as meant at the stage of decorating is too deep."""
    form = THICK.replace("thickness", "measured at wet clay buff thickness")
    body = f"{GRID} once {{ carve from (0, 1) line to (2, 1) depth 1.9 mm }}"
    before = "clay buff { shrinks 10 % by fired }"
    said = warnings(source(body, "from foot to tape 150 mm decorated at fired dimensions at fired", form, before))
    assert [w.code for w in said] == ["too-deep"]
    assert not warnings(source(body, "from foot to tape 150 mm", form, before))


def test_deeper_than_the_tool_should_go() -> None:
    tool = "tool loop { cuts 2 mm deep 3 mm }"
    assert not warned("tool-too-deep", "once { carve from (0, 1) line to (2, 1) depth 3 mm with loop }", before=tool)
    found = warned("tool-too-deep", "once { carve from (0, 1) line to (2, 1) depth 3.1 mm with loop }", before=tool)
    assert len(found) == 1 and "loop" in found[0].words


# ---------------------------------------------------------------- pitches


@pytest.mark.parametrize(("pitch", "length", "told"), [
    (3, 30, False), (10, 15, True),      # two of 7.5 mm: 25 % off
    (10, 18.1, False), (10, 17.9, True),  # 2 × 9.05 is 9.5 % off, 2 × 8.95 is 10.5 % off
    (100, 30, True),
])  # fmt: skip
def test_pitches_that_come_out_far_off(pitch: float, length: float, told: bool) -> None:
    found = warned(
        "pitch-off", f"once {{ roulette from (1, 3) line to (1, 3) + ({length} mm, 0 mm) pitch {pitch} mm }}"
    )
    assert bool(found) == told


# ---------------------------------------------------------------- footprints side by side


def strip(wide: float, tall: float = 5) -> str:
    return f"tool strip {{ wide {wide} mm tall {tall} mm }}"


@pytest.mark.parametrize(("wide", "code"), [
    (30, None), (29.5, None), (29.4, "tool-gap"), (22.6, "tool-gap"), (22.4, None),  # less than three quarters of 30 mm
    (30.5, None), (30.6, "tool-overlap"),
])  # fmt: skip
def test_footprints_meant_to_meet(wide: float, code: str | None) -> None:
    found = warnings(
        source(f"{GRID} each cell where row = 2 {{ impress strip at (1/2, 1/2) }}", REACH, before=strip(wide))
    )
    assert [w.code for w in found if w.code.startswith("tool-")] == ([code] if code else [])


def test_gaps_are_told_row_by_row() -> None:
    """Cone, 12 columns, three rows: cells at the middles are 2π r / 12 = 27.9, 20.9, 14.0 mm wide.

    The cone unrolled is a plane in which the strip's ends lie straight to the side of its middle, L from the apex
    (L = r / 0.8): at √(L² + (w/2)²) from it and, round the pot, arctan(w / 2L) / 0.8 to the side."""
    found = warned(
        "tool-gap", "each cell { impress strip at (1/2, 1/2) }", "grid columns 12 rows 3", "", CONE, strip(21.5)
    )
    slant = 75 - 25 / 3
    end, aside = hypot(slant, 21.5 / 2), atan(21.5 / 2 / slant) / 0.8
    assert len(found) == 1 and "row 1" in found[0].words
    assert (
        f"{0.8 * end * (2 * pi / 12 - 2 * aside):.1f} mm at row 1" in found[0].words and "row 2" not in found[0].words
    )
    over = warned(
        "tool-overlap", "each cell { impress strip at (1/2, 1/2) }", "grid columns 12 rows 3", "", CONE, strip(21.5)
    )
    assert len(over) == 1 and "row 2" not in over[0].words and "row 3" in over[0].words  # row 2: 0.24 mm


@pytest.mark.parametrize("rule", ["each 2 by 1 cells where row = 2", "each cell where row = 2 and odd(column)"])
def test_footprints_two_columns_apart_do_not_overlap(rule: str) -> None:
    """40 mm wide, every 60 mm: wider than a cell of 30 mm, but no neighbour is touched."""
    for code in ("tool-overlap", "marks-overlap"):
        assert not warned(code, f"{rule} {{ impress strip at (1/2, 1/2) }}", before=strip(40))


def test_footprints_half_a_column_apart_overlap() -> None:
    said = {
        w.code
        for w in warnings(
            source(
                f"{GRID} each cell where row = 2 {{ impress strip at (1/4, 1/2) impress strip at (3/4, 1/2) }}",
                REACH,
                before=strip(18),
            )
        )
    }
    assert said & {"tool-overlap", "marks-overlap"}


# ---------------------------------------------------------------- marks and lines on one another


def test_dots_that_overlap() -> None:
    assert warned(
        "marks-overlap", "once { impress dot at (1, 1) across 10 mm impress dot at (1, 1) + (9 mm, 0 mm) across 10 mm }"
    )
    assert not warned(
        "marks-overlap",
        "once { impress dot at (1, 1) across 10 mm impress dot at (1, 1) + (11 mm, 0 mm) across 10 mm }",
    )
    assert not warned("marks-overlap", "once { impress dot at (1, 1) across 10 mm pierce dot at (1, 1) across 4 mm }")


def test_dots_that_overlap_over_the_closing_vertical() -> None:
    assert warned(
        "marks-overlap",
        "once { impress dot at (0, 1) across 10 mm impress dot at (12, 1) + (-9 mm, 0 mm) across 10 mm }",
    )


def test_a_dot_over_a_footprint() -> None:
    tool = "tool bead { wide 12 mm }"
    assert warned(
        "marks-overlap", "once { impress bead at (1, 1) impress dot at (1, 1) + (8 mm, 0 mm) across 6 mm }", before=tool
    )


def test_lines_of_which_parts_coincide() -> None:
    found = warned("marks-overlap", "once { carve from (1, 1) line to (4, 1) carve from (3, 1) line to (6, 1) }")
    assert len(found) == 1
    assert not warned("marks-overlap", "once { carve from (1, 1) line to (4, 1) carve from (4, 1) line to (6, 1) }")
    assert not warned("marks-overlap", "once { carve from (1, 1) line to (4, 1) carve from (2, 0) line to (2, 3) }")
    assert not warned(
        "marks-overlap", "once { carve from (1, 1) line to (4, 1) carve from (1, 1) line to (4, 1) }"
    )  # made once


def test_lines_too_close() -> None:
    """2 mm wide cuts 3 mm apart leave 1 mm of land, less than the wider cut; 5 mm apart leave 3 mm."""
    line = "carve from (1, {b} mm) line to (5, {b} mm) width 2 mm"
    assert warned("lines-too-close", f"once {{ {line.format(b=30)} {line.format(b=33)} }}")
    assert not warned("lines-too-close", f"once {{ {line.format(b=30)} {line.format(b=35)} }}")


def test_lines_that_cross_or_meet_are_not_too_close() -> None:
    for second in ("from (1, 3) line to (5, 4)", "from (1, 3) line to (5, 3)", "from (1, 1) line to (1, 5)"):
        rule = f"once {{ carve from (1, 1) line to (5, 5) width 2 mm carve {second} width 2 mm }}"
        assert not warned("lines-too-close", rule)


def test_a_lattice_is_not_too_close() -> None:
    rule = "each cell { carve from (0, 0) line to (1, 1) width 2 mm carve from (1, 0) line to (0, 1) width 2 mm }"
    assert warnings(source(f"{GRID} {rule}", REACH)) == []


def test_a_quiet_pattern_says_nothing() -> None:
    """A sound pattern gives no warning at all, on a can, a cone and a ball."""
    for form in (CAN, ball(75, -30, 30)):
        rule = "each cell { carve circle at (1/2, 1/2) across 1/2 width 1 mm depth 1 mm }"
        assert warnings(source(f"grid columns 12 rows proportional 1 : 1 {rule}", form=form)) == []


# ---------------------------------------------------------------- the limit of marks


def test_too_many_marks() -> None:
    text = source("grid columns 500 rows 500 each cell { guide dot at (1/2, 1/2) }")
    found = the_error(text)
    assert found.code == "too-many-marks" and "200000" in found.words.replace(" ", "").replace(",", "")


def test_marks_are_counted_after_where_and_if() -> None:
    grid, few, dot = "grid columns 500 rows 500", "remainder(column, 100) = 0", "guide dot at (1/2, 1/2)"
    assert not errors(source(f"{grid} each cell where {few} {{ {dot} }}"))
    assert not errors(source(f"{grid} each cell {{ if {few} {{ {dot} }} }}"))


def test_a_limit_of_ones_own() -> None:
    text = source("grid columns 10 rows 10 each cell { guide dot at (1/2, 1/2) }")
    for limit, fits in ((99, False), (100, True)):
        document = motif.loads(text)
        assert (document.lay("p", limit=limit) is not None) == fits
        assert fits or [m.code for m in document.messages.sorted()] == ["too-many-marks"]


def test_the_limit_is_for_the_whole_piece() -> None:
    text = source(
        "grid columns 10 rows 10 each cell { guide dot at (1/2, 1/2) }",
        "from foot to tape 90 mm",
        piece="band m from tape 100 mm to rim",
    )
    assert motif.loads(text).lay("p", limit=199) is None
    assert motif.loads(text).lay("p", limit=200) is not None


@pytest.mark.parametrize("body", [
    "grid columns 10000 rows 10000 each cell where 1 > 2 { guide dot at (0, 0) }",       # a hundred million places
    "grid columns 1000 rows 1000 each cell { repeat 1000000 as k { guide dot at (0, 0) } }",
    "grid columns 1000 rows 1000 each cell { draw { guide dot at (0, 0) } rotated 1000000 times }",
    "grid columns 100 rows 100 each cell { repeat 1000 as i { repeat 1000 as k { repeat 1000 as l { if 1 > 2"
    " { guide dot at (0, 0) } } } } }",
    "grid columns 1000000 rows 1000000 once { guide dot at (0, 0) } each crossing { guide dot at (0, 0) }",
    "grid columns near 1/1000000 mm rows 1", "grid columns 1 rows every 1/1000000000 mm",
    "grid columns 3 rows near 1/1000000000 mm",
    "grid columns 100000000 rows proportional 1 : 1", "grid columns proportional 1 : 100000000000 rows 3",
])  # fmt: skip
def test_too_many_places_are_refused_before_any_is_looked_at(body: str) -> None:
    assert [e.code for e in errors(source(body))] == ["too-many-marks"]


def test_figures_that_multiply_are_refused() -> None:
    """Ten figures, each drawing the next a thousand times."""
    figures = " ".join(f"figure f{k} {{ draw f{k + 1} rotated 1000 times }}" for k in range(10))
    last = "figure f10 { guide dot at (1/3, 1/7) }"
    text = source("grid columns 10 rows 10 each cell { draw f0 }", before=f"{figures} {last}")
    assert [e.code for e in errors(text)] == ["too-many-marks"]


def test_comments_that_swallow_a_brace() -> None:
    text = f"{CAN}\nmotif m {{ grid columns 3 rows 1 # the grid }}\n}}\npiece p {{ form can band m }}\n"
    found = warnings(text)
    assert [(w.code, w.line) for w in found] == [("comment-swallows", 2)]


# ---------------------------------------------------------------- how near is one place


@pytest.mark.parametrize(("x", "y", "once"), [
    (0.0099, 0, True), (0.0101, 0, False), (0, 0.0101, False), (0.007, 0.007, True), (0.0072, 0.0072, False),
])  # fmt: skip
def test_marks_nearer_than_a_hundredth_are_one(x: float, y: float, once: bool) -> None:
    """√(x² + y²) to 0.01 mm, whichever way: 0.0072 both ways is 0.0102."""
    body = f"{GRID} once {{ guide dot at (1, 1), dot at (1, 1) + ({x} mm, {y} mm) }}"
    assert len(lay(source(body, REACH)).bands[0].points) == 2 - once


def test_a_row_of_near_marks_is_thinned_from_its_start() -> None:
    """0.006 mm apart: the second is one with the first; the third, 0.012 mm from it, is not."""
    body = f"{GRID} once {{ repeat 5 as k {{ guide dot at (1, 1) + (k * 0.006 mm, 0 mm) }} }}"
    assert len(lay(source(body, REACH)).bands[0].points) == 3


@pytest.mark.parametrize(("x", "y", "joined"), [(0.007, 0.007, True), (0.0072, 0.0072, False), (0.0099, 0, True)])
def test_ends_nearer_than_a_hundredth_meet(x: float, y: float, joined: bool) -> None:
    line = f"guide from (1, 1) line to (3, 1), from (3, 1) + ({x} mm, {y} mm) line to (5, 1) + (0 mm, {y} mm)"
    assert len(lay(source(f"{GRID} once {{ {line} }}", REACH)).bands[0].paths) == 2 - joined


def test_footprints_of_rings_have_none_beside_them_in_a_half_drop() -> None:
    """They belong to a ring and to no vertical: no columns beside one another to be judged."""
    text = source(
        "grid columns 4 rows 2 shifted 1/2 each column each ring { paint stamp at (1/3, 0) }",
        before="tool stamp { wide 6 mm tall 4 mm }",
    )
    assert [w for w in warnings(text) if w.code in ("tool-gap", "tool-overlap")] == []
