"""Draws: turned, mirrored, reversed and moved drawings, figures in their boxes, repeats and ifs.

The can has 12 columns of 30 mm (30°) and 6 rows of 20 mm, so that cells and millimetres tell apart; the cell
looked at is column 4, row 3: 90–120°, 40–60 mm, its middle at (105°, 50 mm).
"""

from __future__ import annotations

from math import degrees, hypot, pi, radians

import numpy as np
import pytest

from motif.laying.piece import LaidBand
from tests.laying.bench import CONE, ends, errors, lay_band, lengths, marks, paths, source, the_error
from tests.reference import records

GRID = "grid columns 12 rows 6"
REACH = "from foot to tape 120 mm"
CELL = "each cell where column = 4 and row = 3"


def cell(drawing: str, before: str = "", place: str = CELL) -> LaidBand:
    return lay_band(f"{GRID} {place} {{ {drawing} }}", REACH, before=before)


def at(a: float, b: float) -> tuple[float, float]:
    """(angle, tape) of cell coordinates in the cell looked at."""
    return (round((90 + 30 * a) % 360, 6), round(40 + 20 * b, 6))


def dots(drawing: str, before: str = "", place: str = CELL) -> list[tuple[float, float]]:
    return marks(cell(drawing, before, place))


# ---------------------------------------------------------------- one move


@pytest.mark.parametrize(("move", "images"), [
    ("", [(3/4, 5/8)]),
    ("rotated 4 times", [(3/4, 5/8), (3/8, 3/4), (1/4, 3/8), (5/8, 1/4)]),      # counter-clockwise
    ("rotated 2 times", [(3/4, 5/8), (1/4, 3/8)]),
    ("rotated 1 times", [(3/4, 5/8)]),
    ("rotated 0 times", []),
    ("rotated 90 deg", [(3/8, 3/4)]),
    ("rotated -90 deg", [(5/8, 1/4)]),
    ("rotated 1/2 turn", [(1/4, 3/8)]),
    ("mirrored left-right", [(3/4, 5/8), (1/4, 5/8)]),
    ("mirrored top-bottom", [(3/4, 5/8), (3/4, 3/8)]),
    ("mirrored both ways", [(3/4, 5/8), (1/4, 5/8), (3/4, 3/8), (1/4, 3/8)]),
    ("reversed left-right", [(1/4, 5/8)]),
    ("reversed top-bottom", [(3/4, 3/8)]),
    ("moved by (1/2, -1)", [(5/4, -3/8)]),
    ("moved by (3 mm, 5 mm)", [(3/4 + 3/30, 5/8 + 5/20)]),
    ("moved by (6 deg, 0)", [(3/4 + 6/30, 5/8)]),
    ("moved by (1, 0) + (3 mm, 5 mm)", [(7/4 + 3/30, 5/8 + 5/20)]),
])  # fmt: skip
def test_one_move(move: str, images: list[tuple[float, float]]) -> None:
    assert sorted(dots(f"draw {{ guide dot at (3/4, 5/8) }} {move}")) == sorted(at(*p) for p in images)


def test_any_number_of_turns_lies_on_a_circle_in_cells() -> None:
    got = dots("draw { guide dot at (1, 1/2) } rotated 5 times")
    angles = radians(72) * np.arange(5)
    wanted = [at(0.5 + 0.5 * np.cos(x), 0.5 + 0.5 * np.sin(x)) for x in angles]
    assert got == [pytest.approx(w, abs=1e-5) for w in wanted]


# ---------------------------------------------------------------- in the order written


@pytest.mark.parametrize(("moves", "images"), [
    ("rotated 90 deg moved by (1/2, 0)", [(1, 3/4)]),
    ("moved by (1/2, 0) rotated 90 deg", [(1/2, 5/4)]),
    ("reversed left-right moved by (1/2, 0)", [(3/4, 1/2)]),
    ("moved by (1/2, 0) reversed left-right", [(-1/4, 1/2)]),
    ("moved by (1/4, 0) mirrored left-right", [(1, 1/2), (0, 1/2)]),
    ("mirrored left-right moved by (1/4, 0)", [(1, 1/2), (1/2, 1/2)]),
    ("rotated 90 deg reversed top-bottom", [(1/2, 1/4)]),
    ("reversed top-bottom rotated 90 deg", [(1/2, 3/4)]),
    ("rotated 2 times moved by (0, 1/4)", [(3/4, 3/4), (1/4, 3/4)]),
    ("moved by (0, 1/4) rotated 2 times", [(3/4, 3/4), (1/4, 1/4)]),
    ("rotated 2 times rotated 4 times", [(3/4, 1/2), (1/2, 3/4), (1/4, 1/2), (1/2, 1/4)]),  # twice over, made once
    ("moved by (5 mm, 0 mm) rotated 90 deg", [(1/2, 3/4 + 5/20)]),      # lengths are turned for themselves
    ("rotated 90 deg moved by (5 mm, 0 mm)", [(1/2 + 5/30, 3/4)]),
    ("moved by (6 deg, 0) reversed left-right", [(1/4 - 6/30, 1/2)]),
    ("moved by (6 deg, 0) rotated 180 deg", [(1/4 - 6/30, 1/2)]),
])  # fmt: skip
def test_moves_in_the_order_written(moves: str, images: list[tuple[float, float]]) -> None:
    assert sorted(dots(f"draw {{ guide dot at (3/4, 1/2) }} {moves}")) == sorted(at(*p) for p in images)


def test_an_angle_cannot_be_turned_out_of_level() -> None:
    text = source(f"{GRID} {CELL} {{ draw {{ guide dot at (6 deg, 1/2) }} rotated 90 deg }}", REACH)
    assert [e.code for e in errors(text)] == ["wrong-kind"]


def test_draws_within_draws() -> None:
    drawing = "draw { draw { guide dot at (3/4, 5/8) } reversed left-right } rotated 90 deg"
    assert dots(drawing) == [at(3 / 8, 1 / 4)]  # (1/4, 5/8), then a quarter turn


# ---------------------------------------------------------------- cells and lengths each for themselves


@pytest.mark.parametrize(("move", "x", "y"), [
    ("rotated 90 deg", -3, 5), ("rotated 180 deg", -5, -3), ("reversed left-right", -5, 3),
    ("reversed top-bottom", 5, -3),
])  # fmt: skip
def test_lengths_are_turned_for_themselves(move: str, x: float, y: float) -> None:
    """(1/2, 1/2) + (5 mm, 3 mm): cells turn about the middle, the millimetres turn as millimetres."""
    assert dots(f"draw {{ guide dot at (1/2, 1/2) + (5 mm, 3 mm) }} {move}") == [at(1 / 2 + x / 30, 1 / 2 + y / 20)]


def test_a_turned_line_keeps_its_cells_not_its_length() -> None:
    # half a column is 15 mm, turned a quarter it is half a row, 10 mm
    band = cell("draw { carve from (1/2, 1/2) line to (1, 1/2) } rotated 90 deg")
    assert lengths(band) == pytest.approx([10], abs=1e-9)
    band = cell("draw { carve from (1/2, 1/2) line to (1/2, 1/2) + (8 mm, 0 mm) } rotated 90 deg")
    assert lengths(band) == pytest.approx([8], abs=1e-9)
    assert ends(band.paths[0]) == (105, 50, 105, 58)


# ---------------------------------------------------------------- about what


def test_moves_act_about_the_middle_of_a_group() -> None:
    # group of columns 5–8, rows 3–4: its middle is (180°, 60 mm)
    place = "each 4 by 2 cells where column = 5 and row = 3"
    assert dots("draw { guide dot at (0, 0) } rotated 2 times", place=place) == [(120, 40), (240, 80)]


def test_moves_act_about_a_crossing() -> None:
    place = "each crossing where vertical = 4 and ring = 3"
    assert sorted(dots("draw { guide dot at (1/2, 1/4) } mirrored both ways", place=place)) == [
        (75, 55),
        (75, 65),
        (105, 55),
        (105, 65),
    ]


@pytest.mark.parametrize(
    ("place", "image"),
    [("each ring where ring = 3", (330, 55)), ("each vertical where vertical = 4", (60, 5)), ("once", (330, 5))],
)
def test_moves_act_about_the_first_end_of_a_line(place: str, image: tuple[float, float]) -> None:
    """The first end of ring 3 is (0°, 60 mm), of vertical 4 (90°, 0 mm)."""
    b = "-1/4" if place != "each ring where ring = 3" else "1/4"
    assert dots(f"draw {{ guide dot at (1, {b}) }} rotated 180 deg", place=place) == [image]


def test_moves_in_a_figure_act_about_its_box() -> None:
    figure = "figure f 2 by 1 { draw { guide dot at (0, 0) } rotated 2 times }"
    assert dots("draw f from (0, 0) to (1, 1/2)", figure) == [at(0, 0), at(1, 1 / 2)]


def test_moves_of_a_figure_act_about_the_cell() -> None:
    figure = "figure f { guide dot at (0, 0) }"
    assert dots("draw f from (0, 0) to (1/2, 1/2) rotated 2 times", figure) == [at(0, 0), at(1, 1)]


# ---------------------------------------------------------------- leans and rises

NIB = "tool nib { outline from (-2 mm, 0 mm) line to (2 mm, 0 mm) line to (0 mm, 8 mm) close }"


@pytest.mark.parametrize(("move", "lean"), [
    ("", 20), ("rotated 90 deg", 110), ("reversed left-right", -20), ("reversed top-bottom", 160),
    ("rotated 180 deg", 200), ("rotated -45 deg", -25), ("moved by (1/4, 0)", 20),
    ("reversed left-right rotated 90 deg", 70), ("rotated 90 deg reversed left-right", -110),
])  # fmt: skip
def test_place_and_lean_of_a_footprint_are_mirrored(move: str, lean: float) -> None:
    band = cell(f"draw {{ impress nib at (1/2, 1/2) tilted 20 deg }} {move}", NIB)
    assert (degrees(float(band.points.lean[0])) - lean + 180) % 360 - 180 == pytest.approx(0, abs=1e-9)


def test_a_footprint_itself_is_never_mirrored() -> None:
    """A lopsided tool: its mirror image would point the other way."""
    flag = "tool flag { outline from (0 mm, 0 mm) line to (6 mm, 6 mm) line to (0 mm, 9 mm) close }"
    band = cell("draw { impress flag at (1/4, 1/4) } reversed left-right", flag)
    shape = band.points.shapes[int(band.points.shape[0])]
    assert np.degrees(np.max(shape[:, 0])) == pytest.approx(6, abs=1e-3) and np.min(shape[:, 0]) >= -1e-9


@pytest.mark.parametrize(
    ("move", "top"),
    [("", True), ("reversed left-right", True), ("reversed top-bottom", False), ("rotated 180 deg", False)],
)
def test_rises_are_those_of_the_image(move: str, top: bool) -> None:
    """An arc that bulges upward still does in its left-right image, though that one runs the other way."""
    band = cell(f"draw {{ carve from (0, 1/2) arc to (1, 1/2) rise 1/4 }} {move}")
    tape = band.paths[0].points[:, 1]
    assert (np.max(tape) > 52) == top and (np.min(tape) < 48) != top


def test_images_of_arcs_and_curves_are_as_long() -> None:
    drawing = (
        "carve from (0, 1/4) arc to (1/2, 1/2) rise 1/3 carve from (1/2, 0) arc to (1, 1/4) through (3/4, 1/4)"
        " carve from (0, 0) curve to (1, 1) leaving (1, 0) arriving (1, 1/2)"
    )
    whole = lengths(cell(drawing))
    for move in ("reversed left-right", "reversed top-bottom", "rotated 180 deg"):
        assert lengths(cell(f"draw {{ {drawing} }} {move}")) == pytest.approx(whole, abs=1e-6)


# ---------------------------------------------------------------- figures


def test_a_figure_fills_the_cell_or_group() -> None:
    figure = "figure f { guide dot at (0, 0) guide dot at (1, 1) guide dot at (1/2, 1/4) }"
    assert dots("draw f", figure) == [at(0, 0), at(1, 1), at(1 / 2, 1 / 4)]
    group = "each 2 by 3 cells where column = 3 and row = 4"
    assert dots("draw f", figure, group) == [(60, 60), (120, 120), (90, 75)]


def test_a_figure_has_a_box_of_its_own() -> None:
    figure = "figure f 3 by 3/2 { guide dot at (0, 0) guide dot at (3, 3/2) guide dot at (1, 1/2) guide dot at (4, 2) }"
    assert dots("draw f", figure) == [
        at(0, 0),
        at(1, 1),
        at(1 / 3, 1 / 3),
        at(4 / 3, 4 / 3),
    ]  # it may reach out of its box


def test_a_figure_may_be_drawn_over_any_box() -> None:
    figure = "figure f { guide dot at (0, 0) guide dot at (1/2, 1/4) }"
    assert dots("draw f from (0, 0) to (2, 1)", figure) == [at(0, 0), at(1, 1 / 4)]
    assert dots("draw f from (2, 1) to (0, 0)", figure) == [at(0, 0), at(1, 1 / 4)]  # two opposite corners
    assert dots("draw f from (1/2, -1) to (1, 0)", figure) == [at(1 / 2, -1), at(3 / 4, -3 / 4)]
    assert dots("draw f from (3 mm, 4 mm) to (15 mm, 12 mm)", figure) == [at(3 / 30, 4 / 20), at(9 / 30, 6 / 20)]


def test_lengths_in_a_figure_are_clay_from_where_it_is_drawn() -> None:
    figure = "figure f 2 by 2 { guide dot at (3 mm, 4 mm) guide dot at (1, 1) + (3 mm, 4 mm) }"
    assert dots("draw f from (1/2, 1/2) to (1, 1)", figure) == [
        at(1 / 2 + 3 / 30, 1 / 2 + 4 / 20),
        at(3 / 4 + 3 / 30, 3 / 4 + 4 / 20),
    ]


def test_figures_in_figures() -> None:
    figure = (
        "figure spot { given x number = 0 guide dot at (x, 0) }"
        " figure pair 2 by 1 { draw spot draw spot(x = 1/2) from (1, 0) to (2, 1) }"
    )
    assert dots("draw pair", figure) == [at(0, 0), at(3 / 4, 0)]


def test_givens_of_a_figure() -> None:
    figure = (
        'figure f { given a number given b number = a / 2 "half of a" let c = a + b'
        " guide dot at (a, b) guide dot at (c, 0) }"
    )
    assert dots("draw f(a = 1/2)", figure) == [at(1 / 2, 1 / 4), at(3 / 4, 0)]
    assert dots("draw f(b = 1, a = 1/2)", figure) == [at(1 / 2, 1), at(3 / 2, 0)]
    assert dots("draw f(a = column / 8)", figure) == [at(1 / 2, 1 / 4), at(3 / 4, 0)]


@pytest.mark.parametrize(("call", "code", "words"), [
    ("draw f", "no-value", "'a'"),
    ("draw f(a = 1, d = 2)", "unknown-name", "'d'"),
    ("draw f(a = 1 mm)", "wrong-kind", "length"),
    ("draw f(a = 1, a = 2)", "defined-twice", "'a'"),
    ("draw g(a = 1)", "unknown-name", "'g'"),
    ("draw m", "wrong-kind", "motif"),
])  # fmt: skip
def test_calls_that_do_not_fit(call: str, code: str, words: str) -> None:
    figure = "figure f { given a number guide dot at (a, 0) }"
    found = the_error(source(f"{GRID} {CELL} {{ {call} }}", REACH, before=figure))
    assert found.code == code and words in found.words and found.line == 3


@pytest.mark.parametrize("place", ["each crossing", "each ring", "each vertical", "once"])
def test_without_a_cell_there_is_nothing_to_fill(place: str) -> None:
    figure = "figure f { guide dot at (1/2, 1/2) }"
    found = the_error(source(f"{GRID} {place} {{ draw f }}", REACH, before=figure))
    assert (found.code, found.underlined, found.line) == ("nothing-to-fill", "draw f", 3)
    assert not errors(source(f"{GRID} {place} {{ draw f from (0, 0) to (1, 1) }}", REACH, before=figure))


def test_inside_a_figure_there_is_always_a_box_to_fill() -> None:
    figure = "figure spot { guide dot at (1/2, 1/2) } figure f { draw spot }"
    assert dots("draw f from (0, 0) to (1, 1)", figure, "once") == [(15, 10)]


@pytest.mark.parametrize("box", ["from (0, 0) to (0, 1)", "from (0, 0) to (1, 0)"])
def test_a_box_has_a_size(box: str) -> None:
    figure = "figure f { guide dot at (1/2, 1/2) }"
    assert the_error(source(f"{GRID} {CELL} {{ draw f {box} }}", REACH, before=figure)).code == "out-of-range"


@pytest.mark.parametrize(
    ("size", "code"), [("0 by 1", "out-of-range"), ("1 by -1", "out-of-range"), ("2 mm by 1", "wrong-kind")]
)
def test_a_figure_has_a_size(size: str, code: str) -> None:
    figure = f"figure f {size} {{ guide dot at (1/2, 1/2) }}"
    assert [e.code for e in errors(source(f"{GRID} {CELL} {{ draw f }}", REACH, before=figure))] == [code]


def test_a_figure_may_not_lead_back_to_itself() -> None:
    found = errors(source(f"{GRID} {CELL} {{ draw f }}", REACH, before="figure f { draw g } figure g { draw f }"))
    assert [e.code for e in found] == ["defined-by-itself"]
    assert "f → g → f" in found[0].words or "g → f → g" in found[0].words


def test_a_figure_reads_the_names_of_the_place_where_it_is_drawn() -> None:
    figure = "figure f { if column = 4 { guide dot at (0, 0) } otherwise { impress dot at (0, 0) } }"
    band = lay_band(f"{GRID} each cell where row = 3 {{ draw f }}", REACH, before=figure)
    assert {w.technique for w in band.points.works} == {"guide", "impress"}
    guides = [i for i, w in enumerate(band.points.works) if w.technique == "guide"]
    assert [int(c) for c, w in zip(band.points.column, band.points.work, strict=True) if w in guides] == [4]


def test_a_figure_on_a_form_that_narrows() -> None:
    """Stretched over cells of a cone's two rows: box corners on the rings' own radii."""
    band = lay_band(
        "grid columns 12 rows 2 each cell where column = 2 { draw f }",
        form=CONE,
        before="figure f 4 by 2 { carve from (0, 2) line to (4, 2) }",
    )
    assert lengths(band) == pytest.approx([2 * pi * 40 / 12, 2 * pi * 20 / 12], abs=1e-6)


# ---------------------------------------------------------------- repeats and ifs


def test_repeats_count_from_1() -> None:
    assert dots("repeat 3 as k { guide dot at (k / 4, 0) }") == [at(k / 4, 0) for k in (1, 2, 3)]
    assert dots("repeat 0 as k { guide dot at (k / 4, 0) }") == []
    assert dots("repeat 2 as i { repeat 2 as k { guide dot at (i / 4, k / 4) } }") == [
        at(i / 4, k / 4) for i in (1, 2) for k in (1, 2)
    ]


def test_counts_may_differ_from_place_to_place() -> None:
    band = lay_band("grid columns 4 rows 1 each cell { repeat column - 1 as k { guide dot at (k / 4, 1/2) } }")
    assert [int(c) for c in band.points.column] == [2, 3, 3, 4, 4, 4]
    assert marks(band)[-3:] == [(270 + 22.5 * k, 100) for k in (1, 2, 3)]
    band = lay_band("grid columns 4 rows 1 each cell { draw { guide dot at (3/4, 1/2) } rotated column times }")
    assert sorted(int(c) for c in band.points.column) == [1, 2, 2, 3, 3, 3, 4, 4, 4, 4]


@pytest.mark.parametrize(("statement", "code", "underlined"), [
    ("repeat -1 as k { guide dot at (0, 0) }", "out-of-range", "-1"),
    ("repeat 3/2 as k { guide dot at (0, 0) }", "wrong-kind", "3/2"),
    ("repeat 2 mm as k { guide dot at (0, 0) }", "wrong-kind", "2 mm"),
    ("draw { guide dot at (0, 0) } rotated -2 times", "out-of-range", "-2"),
    ("draw { guide dot at (0, 0) } rotated 5/2 times", "wrong-kind", "5/2"),
    ("draw { guide dot at (0, 0) } rotated 90", "wrong-kind", "90"),
    ("draw { guide dot at (0, 0) } rotated 90 mm", "wrong-kind", "90 mm"),
    ("if 3 { guide dot at (0, 0) }", "wrong-kind", "3"),
])  # fmt: skip
def test_counts_and_conditions_are_checked(statement: str, code: str, underlined: str) -> None:
    found = the_error(source(f"{GRID} {CELL} {{ {statement} }}", REACH))
    assert (found.code, found.underlined) == (code, underlined)


def test_ifs_part_the_places() -> None:
    body = (
        "if column < 4 { guide dot at (0, 0) } otherwise if column < 9 { impress dot at (0, 0) }"
        " otherwise if column = 10 { pierce dot at (0, 0) } otherwise { paint dot at (0, 0) }"
    )
    band = lay_band(f"{GRID} each cell where row = 1 {{ {body} }}", REACH)
    made = {band.points.works[int(w)].technique: [] for w in band.points.work}
    for c, w in zip(band.points.column, band.points.work, strict=True):
        made[band.points.works[int(w)].technique].append(int(c))
    assert made == {"guide": [1, 2, 3], "impress": [4, 5, 6, 7, 8], "pierce": [10], "paint": [9, 11, 12]}


def test_marks_of_one_place_come_in_the_order_written() -> None:
    body = "draw { guide dot at (1/4, 0) guide dot at (1/2, 0) } mirrored top-bottom guide dot at (3/4, 0)"
    band = lay_band("grid columns 2 rows 1 each cell { " + body + " }", "from tape 10 mm to tape 110 mm")
    one = [(45, 10), (90, 10), (45, 110), (90, 110), (135, 10)]
    assert marks(band) == [*one, *((a + 180, s) for a, s in one)]


# ---------------------------------------------------------------- the seven friezes

#: a lopsided drawing: no move but the identity brings it onto itself
FLAG = "figure flag { guide dot at (0.2, 0.1) guide dot at (0.2, 0.8) across 2 mm guide dot at (0.6, 0.7) across 5 mm }"

#: IUCr name → how one cell is drawn
FRIEZES = {
    "p1": "draw flag",
    "p11g": "draw flag from (0, 0) to (1/2, 1) draw flag from (1/2, 0) to (1, 1) reversed top-bottom",
    "p1m1": "draw flag from (0, 0) to (1/2, 1) mirrored left-right",
    "p211": "draw flag from (0, 0) to (1/2, 1) rotated 2 times",
    "p2mg": (
        "draw { draw flag from (0, 0) to (1/4, 1) draw flag from (0, 0) to (1/4, 1) reversed left-right"
        " moved by (-1/2, 0) }"
        " draw { draw flag from (0, 0) to (1/4, 1) draw flag from (0, 0) to (1/4, 1) reversed left-right"
        " moved by (-1/2, 0) } reversed top-bottom moved by (1/2, 0)"
    ),
    "p11m": "draw flag from (0, 1/2) to (1, 1) mirrored top-bottom",
    "p2mm": "draw flag from (0, 1/2) to (1/2, 1) mirrored both ways",
}


def symmetries(band: LaidBand, columns: int) -> dict[str, bool]:
    """What brings the marks onto themselves, found by trying: each is (angle, tape, size)."""
    size = np.nan_to_num(band.points.across, nan=0.0)
    spots = [(a, s, float(x)) for (a, s), x in zip(marks(band), size, strict=True)]
    here = {(round(a * 1e3) % 360000, round(s * 1e3), x) for a, s, x in spots}
    top = 200.0

    def holds(turn: int, flip: bool, shift: float) -> bool:
        image = {
            (round((turn * a + shift) * 1e3) % 360000, round((top - s if flip else s) * 1e3), x) for a, s, x in spots
        }
        return image == here

    first = spots[0]
    axes = [(a + first[0]) % 360 for a, _, x in spots if x == first[2]]
    mirror = any(holds(-1, False, c) for c in axes)
    half_turn = any(holds(-1, True, c) for c in axes)
    level = holds(1, True, 0)
    glide = holds(1, True, 180 / columns)
    return {
        "transverse_mirror": mirror,
        "longitudinal_mirror": level,
        "glide_without_mirror": glide and not level,
        "half_turn": half_turn,
    }


@pytest.mark.parametrize("known", records("9.frieze."), ids=lambda r: r["inputs"]["IUCr"])
def test_friezes(known: dict) -> None:
    """Each of the seven frieze groups, drawn with the moves, has the symmetries that its record lists and no other."""
    band = lay_band(f"grid columns 6 rows 1 each cell {{ {FRIEZES[known['inputs']['IUCr']]} }}", before=FLAG)
    assert symmetries(band, 6) == known["expected"]


def test_all_seven_friezes_are_drawn() -> None:
    assert sorted(FRIEZES) == sorted(r["inputs"]["IUCr"] for r in records("9.frieze."))


def test_a_petal_four_times_round_the_middle_of_a_cell() -> None:
    petal = "figure petal { carve from (1/2, 1/2) arc to (1, 1) rise 1/5 arc to (1/2, 1/2) rise 1/5 close }"
    band = cell("draw petal rotated 4 times", petal)
    assert len(paths(band)) == 4
    # in the cell of 30 by 20 mm petals 1 and 3 (2 and 4) are images of one another in the middle
    long = lengths(band)
    assert long[0] == pytest.approx(long[2], abs=1e-6) and long[1] == pytest.approx(long[3], abs=1e-6)
    assert long[0] > 2 * hypot(15, 10)
