"""The order of work: how families of strokes, circles, waves and pieces of strokes are told, and with which tools.

Expected values are worked out by hand on a can 240 mm round whose cells are 20 by 30 mm."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from pathlib import Path

import pytest

import motif
from motif.outputs.method import chapters
from motif.outputs.numbers import length
from tests.outputs import bench_reader
from tests.outputs.told import CAN, all_cautions, laid, told

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.motif"))

# ------------------------------------------------------------ a weave, row by row


WEAVE = (
    "each cell where even(column + row) { repeat 3 as k { carve from (1/8, k/4) line to (7/8, k/4) depth 1 mm } } "
    "each cell where odd(column + row) { repeat 3 as k { carve from (k/4, 1/8) line to (k/4, 7/8) depth 1 mm } }"
)


def test_a_weave_is_told_row_by_row_with_its_heights_by_tape() -> None:
    """Rows of 30 mm from 0, columns of 20: quarters of a row are 7.5 mm, eighths 3.75."""
    piece = laid(f"{CAN} motif m {{ grid columns 12 rows 4 {WEAVE} }} piece p {{ form can  band m }}")
    (carve,) = [c for c in chapters(piece) if c.title.startswith("Carve")]
    lying, standing = carve.tables
    assert [row[0] for row in lying.rows] == [1, 2, 3, 4] == [row[0] for row in standing.rows]
    for k in range(4):
        tapes = [float(t) for t in str(lying.rows[k][1]).split(", ")]
        assert tapes == pytest.approx([30 * k + 7.5 * n for n in (1, 2, 3)], abs=0.051)
        ends = [float(t) for t in str(standing.rows[k][1]).split(" to ")]
        assert ends == pytest.approx([30 * k + 3.75, 30 * k + 26.25], abs=0.051)
        # row 1 has lying strokes in columns 1, 3, …, so standing ones in 2, 4, …; row 2 the other way round
        first = k % 2
        assert bench_reader.verticals(str(lying.rows[k][2]), 12) == [c + 1 / 8 for c in range(first, 12, 2)]
        assert bench_reader.verticals(str(standing.rows[k][2]), 12) == [
            c + n / 4 for c in range(1 - first, 12, 2) for n in (1, 2, 3)
        ]
        assert (lying.rows[k][3], standing.rows[k][3]) == ("3 × 6", "18")
    words = " ".join(carve.steps)
    assert "mark table" not in words
    assert "1/8 of a column by soft tape is 2.5 mm" in words
    assert "Carve level from vertical 1 1/8 to vertical 1 7/8, at tape 7.5 mm (15 mm long)." in words
    assert "Carve upright strokes where the table" in words


def test_strokes_never_send_to_the_mark_table() -> None:
    """It has no strokes in it."""
    for document in map(motif.load, EXAMPLES):
        for piece in (document.lay(name) for name in document.pieces):
            assert piece is not None
            for step in (step for chapter in chapters(piece) for step in chapter.steps):
                assert not ("mark table" in step and re.search(r"\b(lines?|strokes?|shapes?)\b", step)), step


# ------------------------------------------------------------ circles, ovals, waves, cards


def test_every_circle_has_its_setting_and_its_middles_in_one_line() -> None:
    """Two rings about every middle, 20 and 12 mm across: compasses measure the chord, shorter by under 0.1 mm."""
    steps = told(
        "each crossing where ring = 2 { path link = circle at (0, 0) across 20 mm  "
        "path inner = offset link inward by 4 mm  incise link, inner }"
    )
    assert steps == [
        "Set compasses to 10 mm and incise a circle about each middle on ring 2, at every vertical: 12.",
        "Set compasses to 6 mm and incise a circle about each middle on ring 2, at every vertical: 12.",
    ]


def test_what_the_band_leaves_of_a_circle_is_still_told_by_compasses() -> None:
    steps = told("each crossing where ring = 0 { incise circle at (0, 0) across 20 mm }")
    assert steps == [
        "Set compasses to 10 mm and incise what the band and the patches leave of a circle about each middle on ring "
        "0, at every vertical: 12."
    ]


def test_an_oval_is_told_by_its_size_and_where_its_ends_lie() -> None:
    """3/2 of a cell of 20 by 30 mm: 30 mm wide and 45 tall about ring 2 at tape 60."""
    piece = laid(
        f"{CAN} motif m {{ grid columns 12 rows 4  each crossing where ring = 2 and odd(vertical) {{ "
        "incise circle at (0, 0) across 3/2 } } piece p { form can  band m }"
    )
    (incise,) = [c for c in chapters(piece) if c.title.startswith("Incise")]
    assert incise.steps[0] == "Cut card A to the whole oval, traced from flat sheet 1: 30 mm wide, 45 mm tall."
    # Ramanujan's second formula for the edge of an ellipse 15 and 22.5 mm half across (good to 1e-9 here)
    a, b = 15.0, 22.5
    h = ((a - b) / (a + b)) ** 2
    edge = math.pi * (a + b) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h)))
    assert incise.steps[2:] == (
        "Incise round card A, its middle line on vertical 1, its ends at tape 37.5 mm and tape 82.5 mm, widest at ring "
        f"2 ({length(edge)} mm long).",
        "6 such lines in all, each starting 2 verticals to the right of the last.",
    )


def test_a_wave_is_told_by_where_it_crosses_its_middle_line() -> None:
    """Up for half a column, down for the other: one card draws both, turned over."""
    wave = "incise from (0, 1/2) curve to (1, 1/2) leaving (1/3, 1) arriving (2/3, 0)"
    steps = told(f"each cell where row = 1 {{ {wave} }}")
    # the curve's ordinate is 3/2 t (1 − t) (1 − 2 t) of a row of 30 mm; greatest where 1 − 6 t + 6 t² = 0
    t = (1 - math.sqrt(1 / 3)) / 2
    deep = 30 * 1.5 * t * (1 - t) * (1 - 2 * t)
    assert steps[0] == (
        f"Cut card A to the curve from mark to mark, traced from flat sheet 1: 10 mm across, {deep:.1f} mm deep."
    )
    assert steps[1].startswith(
        f"Incise vertical 1 tape 15 mm → (bulging {deep:.1f} mm toward the rim) vertical 1 1/2 tape 15 mm → "
        f"(bulging {deep:.1f} mm toward the foot) vertical 2 tape 15 mm → and so on all round, back to the start, "
        "along card A ("
    )


def test_mirror_images_share_their_cards_and_their_steps() -> None:
    steps = told(
        "each cell where row = 2 { incise from (1/2, 0) curve to (1/2, 1) leaving (1, 1/4) arriving (1, 3/4), "
        "from (1/2, 0) curve to (1/2, 1) leaving (0, 1/4) arriving (0, 3/4) }"
    )
    # 3/4 of half a column of 20 mm, as of any cubic with both handles at one distance
    assert steps[0].endswith("30 mm across, 7.5 mm deep.")
    assert steps[1].startswith(
        "Incise vertical 1 1/2 ring 1 → vertical 1 1/2 ring 2, and its mirror image vertical 1 1/2 ring 1 → vertical "
        "1 1/2 ring 2, bulging 7.5 mm to the "
    )
    assert "along card A (" in steps[1]
    assert steps[2:] == ["24 such lines in all, 12 of each, each starting one vertical to the right of the last."]


def test_cards_of_two_techniques_have_letters_of_their_own() -> None:
    arcs = "incise from (0, 0) arc to (1, 0) rise 1/4  carve from (0, 0) arc to (1, 0) rise 1/3"
    piece = laid(f"{CAN} motif m {{ grid columns 12 rows 4  each cell {{ {arcs} }} }} piece p {{ form can  band m }}")
    words = [" ".join(c.steps) for c in chapters(piece) if c.title.startswith(("Incise", "Carve"))]
    assert ["card A" in w and "card B" not in w for w in words] == [True, False]
    assert "Cut card B" in words[1]


# ------------------------------------------------------------ what is cut short


FREE = 'reserve "name" from height 40 mm to height 50 mm facing 105 deg wide 30 mm'


def test_strokes_cut_by_a_patch_are_told_with_those_they_are_pieces_of() -> None:
    """The patch is 55 to 85 mm round, from 40 to 50 mm up: it meets the upright strokes at 60 and 80 mm, verticals 4
    and 5, and covers none from end to end."""
    steps = told("each cell where row = 2 { incise from (0, 0) line to (0, 1) }", more=FREE)
    assert steps == [
        "Incise upright strokes at every vertical, but not at verticals 4 and 5, from ring 1 to ring 2: 10 (30 mm "
        "long).",
        "2 more such lines are cut short by the patch “name”: incise only what lies outside it. They would start on "
        "ring 1, at verticals 4 and 5.",
    ]


def test_rings_cut_by_a_patch_go_round_it() -> None:
    steps = told(
        "each ring { incise along }", more='reserve "name" from height 40 mm to height 80 mm facing 0 deg wide 30 mm'
    )
    assert steps == [
        "Incise all round, on rings 0, 1, 3 and 4.",
        "On ring 2 incise only what lies outside the patch “name”.",
    ]


def test_free_ends_that_differ_are_told_apart() -> None:
    body = (
        "each cell where row = 2 { path below = dot at (0, 0) across 8 mm  path above = dot at (1, 1) across 12 mm "
        "incise from (0, 0) line to (1, 1) clear of below by 2 mm clear of above by 4 mm }"
    )
    # 8 / 2 + 2 and 12 / 2 + 4
    assert told(body)[0] == (
        "Incise vertical 1 ring 1 → vertical 2 ring 2, leaving 6 mm free at the first mark and 10 mm at the last "
        f"({math.hypot(20, 30) - 16:.1f} mm long)."
    )


# ------------------------------------------------------------ dividers


@pytest.mark.parametrize("columns", [7, 12, 20, 32, 37])
def test_dividers_in_inches_come_back(columns: int) -> None:
    """What is rounded from a setting adds up step by step, so it is told to a thousandth of an inch, or as a 32nd that
    is near enough; a hair is which side of the 64th named the true chord lies on (chord: 2 r sin π/n)."""
    across = 3.25
    piece = laid(
        f"form can {{ profile straight {{ at 0 in across {across} in  at 4 in across {across} in }} }} "
        f"motif m {{ grid columns {columns} rows 1 }} piece p {{ form can  band m }}"
    )
    (divide,) = [c for c in chapters(piece, "in") if c.title.startswith("Divide")]
    (step,) = [s for s in divide.steps if s.startswith("Check")]
    found = re.search(r"dividers to (?:a hair (over|under) )?((?:\d+ )?\d+/\d+|\d+) in(?: \(([\d.]+) in\))? and", step)
    assert found is not None, step
    chord = across * math.sin(math.pi / columns)
    named = float(sum(Fraction(part) for part in found[2].split()))
    assert abs(named - chord) <= 1 / 128 + 1e-9 or found[3] is None
    setting = float(found[3]) if found[3] else named
    assert abs(setting - chord) * columns < 0.02
    if found[1]:
        assert (named < chord) == (found[1] == "over")
    assert f"open the dividers by 1/{columns} of the gap" in step


# ------------------------------------------------------------ the pot, the tools, the stage


def test_the_neck_is_measured_too() -> None:
    vase = "form vase { profile straight { at 0 mm across 80 mm  at 60 mm across 120 mm  at 120 mm across 60 mm  "
    piece = laid(f"{vase} at 150 mm across 90 mm }} }} piece p {{ form vase  carve ring at height 40 mm }}")
    ready = chapters(piece)[0]
    # two slant heights up to it: √(60² + 20²) + √(60² + 30²)
    tape = math.hypot(60, 20) + math.hypot(60, 30)
    assert f"Wrap it round the neck, {tape:.1f} mm of tape from the foot: {60 * math.pi:.1f} mm." in ready.steps
    can = laid(f"{CAN} piece p {{ form can  carve ring at height 40 mm }}")
    assert "Wrap a soft tape round it anywhere: 240 mm." in chapters(can)[0].steps


def test_impressing_asks_for_softer_clay_than_carving() -> None:
    """Common practice, no source: leather-hard goes from soft, which takes a print, to firm, which takes an edge."""
    both = "impress dot at (1/2, 1/2) across 4 mm  carve from (0, 0) line to (1, 0)"
    piece = laid(f"{CAN} motif m {{ grid columns 12 rows 4  each cell {{ {both} }} }} piece p {{ form can  band m }}")
    titles = [c.title for c in chapters(piece)]
    assert "Impress, soft leather-hard" in titles
    assert "Carve, leather-hard" in titles
    assert chapters(piece)[0].steps[0].startswith("Have the pot at soft leather-hard, so that it takes a print")
    carved = laid(f"{CAN} piece p {{ form can  carve ring at height 40 mm }}")
    assert chapters(carved)[0].steps[0].startswith("Have the pot at leather-hard. ")


def test_tools_keep_the_names_that_the_text_gives_them() -> None:
    outline = "outline from (-9 mm, 0 mm) line to (9 mm, 0 mm) line to (0 mm, 16 mm) close"
    piece = laid(
        f"{CAN} tool leaf {{ {outline} volume 1 ml }} motif m {{ grid columns 12 rows 4  each cell where row = 1 {{ "
        "attach leaf at (1/2, 0) } } piece p { form can  band m }"
    )
    words = " ".join(s for c in chapters(piece) for s in c.steps)
    assert "Make 12 pieces with “leaf”" in words
    assert "Take “leaf”: " in words
    assert "Set “leaf” on ring 0, " in words
    assert "leafs" not in words


@pytest.mark.parametrize(
    ("tool", "sharp"),
    [
        ('"square stamp of plaster"', False),
        ('"leaf cut from slab"', False),
        ('"triangle of brass strip"', True),
        ('"cut from a tin"', True),
    ],
)
def test_sharp_edges_are_warned_of_where_the_text_says_metal(tool: str, sharp: bool) -> None:
    outline = "outline from (-5 mm, 0 mm) line to (5 mm, 0 mm) line to (0 mm, 9 mm) close"
    words = all_cautions(
        f"{CAN} tool stamp {tool} {{ {outline} }} motif m {{ grid columns 12 rows 4  each cell {{ "
        "impress stamp at (1/2, 0) } } piece p { form can  band m }"
    )
    assert ("file the burr off" in words) == sharp


def test_joined_pieces_are_scored_and_slipped_whatever_they_weigh() -> None:
    words = all_cautions(
        f"{CAN} tool leaf {{ wide 10 mm }} motif m {{ grid columns 4 rows 1  each cell {{ attach leaf at (1/2, 1/2) }} "
        "} piece p { form can  band m }"
    )
    assert "score and slip both faces" in words


def test_more_rows_than_a_table_holds_are_told_as_what_they_have_in_common() -> None:
    """50 rows of 2.4 mm on the can: nobody reads fifty heights."""
    body = "impress dot at (1/2, 1/2) across 1 mm  incise from (0, 1/4) line to (1/2, 3/4)"
    piece = laid(f"{CAN} motif m {{ grid columns 12 rows 50  each cell {{ {body} }} }} piece p {{ form can  band m }}")
    words = [s for c in chapters(piece) if c.title.startswith(("Impress", "Incise")) for s in c.steps]
    assert (
        "Press a dot half-way between rings, from ring 0 to ring 50, half-way between the verticals: 12 on each."
        in words
    )
    assert "600 such lines in all, in the same way in rows 1 to 50: they start at every vertical: 12 on each." in words
