"""The order of work: what is told is what the language says is made, worked out by hand on a plain can.

The can is 240 mm round and 120 mm high; with 12 columns and 4 rows its cells are 20 by 30 mm, so that every
place and length below follows from the text of the pattern and plane geometry."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import motif
from motif.cli import main
from motif.laying.piece import LaidBand, LaidPiece
from motif.model.techniques import TECHNIQUES
from motif.outputs.method import Chapter, chapters
from motif.outputs.method.families import Family, families, point_families
from motif.outputs.method.making import TITLES
from motif.outputs.method.places import BandGrid, grid_of
from motif.outputs.method.strokes import VERBS
from motif.outputs.method.written import markdown
from motif.outputs.tables import people_cell
from tests.outputs import pieces
from tests.outputs.told import CAN, all_cautions, laid, told
from tests.reference import record

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.motif"))


def test_straight_diagonals_join_the_dots() -> None:
    # up one row and to the right one column, four times: four times the diagonal of a cell
    long = 4 * math.hypot(20, 30)
    assert told("each cell { incise from (0, 0) line to (1, 1) }") == [
        "Incise vertical 1 ring 0 → vertical 2 ring 1 → vertical 3 ring 2 → vertical 4 ring 3 → vertical 5 ring 4 "
        f"({long:.1f} mm long).",
        "12 such lines in all, each starting one vertical to the right of the last.",
    ]


def test_rows_counted_from_the_top_begin_at_the_top() -> None:
    # a cell's own corners stay lower left and upper right, so from ring 0 above the line goes down to the left
    steps = told("each cell where row = 1 { incise from (0, 0) line to (1, 1) }", band="from rim to foot")
    assert steps[0].startswith("Incise vertical 1 ring 0 → vertical 12 ring 1 (")


def test_lines_that_are_cut_to_size_have_their_lengths() -> None:
    assert told("each cell where row = 2 { incise from (0, 0) line to (1/2, 1) }") == [
        f"Incise vertical 1 ring 1 → vertical 1 1/2 ring 2 ({math.hypot(10, 30):.1f} mm long).",
        "12 such lines in all, each starting one vertical to the right of the last.",
    ]


def test_a_zigzag_all_round_is_one_stroke() -> None:
    steps = told("each cell where row = 1 { incise from (0, 0) line to (1/2, 1) line to (1, 0) unbroken }")
    assert steps == [
        "Incise vertical 1 ring 0 → vertical 1 1/2 ring 1 → vertical 2 ring 0 → and so on all round, back to the start "
        f"({24 * math.hypot(10, 30):.1f} mm long)."
    ]


def test_bricks_start_half_a_column_on_in_every_second_row() -> None:
    steps = told("each cell { incise from (0, 0) line to (0, 1) }", grid="columns 12 rows 4 shifted 1/2 each row")
    assert steps == [
        "Incise upright strokes at every vertical, from rings 0 and 2 to the next: 12 on each (30 mm long).",
        "Incise upright strokes half-way between the verticals, from rings 1 and 3 to the next: 12 on each (30 mm "
        "long).",
    ]


def test_half_drop_marks() -> None:
    steps = told(
        "each cell { impress dot at (1/2, 1/2) across 4 mm }",
        "Impress",
        grid="columns 12 rows 4 shifted 1/2 each column",
    )
    # the even columns are half a row higher: their marks lie on rings, those of the odd ones in the middle of rows
    assert sorted(steps) == [
        "Press a dot at tapes 15, 45, 75 and 105 mm (half-way between rings), at vertical 1 1/2 and every 2nd vertical "
        "from there, all round: 6 on each.",
        "Press a dot on rings 1 to 4, at vertical 2 1/2 and every 2nd vertical from there, all round: 6 on each.",
    ]


def test_dots_at_crossings_between_and_off_the_grid() -> None:
    body = (
        "each crossing { impress dot at (0, 0) across 2 mm } each cell where row = 2 { "
        "impress dot at (1/4, 1/3) across 3 mm  impress dot at (0, 0) + (7 mm, 4 mm) across 5 mm }"
    )
    assert told(body, "Impress") == [
        # columns are 20 mm, rows 30 mm: a quarter of the one, a third of the other above ring 1
        "1/4 of a column by soft tape is 5 mm; or halve it with dividers, and halve again.",
        "Press a dot on rings 0 to 4, at every vertical: 12 on each.",
        "Press a dot at tape 40 mm (1/3 of the way from ring 1 to ring 2), 1/4 of the way from every vertical to the "
        "next: 12.",
        "Press a dot at tape 34 mm, 7 mm right of every vertical: 12.",
    ]


def test_circles_are_drawn_with_compasses() -> None:
    (step,) = told("each cell where row = 2 { incise circle at (1/2, 1/2) across 10 mm }")
    # compasses measure straight through the clay: between 5 mm up the wall and the chord of 5 mm round a can
    radius = 120 / math.pi
    assert 2 * radius * math.sin(5 / 2 / radius) == pytest.approx(5.0, abs=0.01)
    assert step == (
        "Set compasses to 5 mm and incise a circle about each middle at tape 45 mm (half-way between rings 1 and 2), "
        "half-way between the verticals: 12."
    )


def test_circles_through_crossings_are_told_by_them() -> None:
    """Ellipses on the clay, 20 by 30 mm half across, so no compasses draw them."""
    steps = told("each crossing where ring = 2 and vertical = 3 { incise circle at (0, 0) across 2 }")
    # farthest from the chord where the tangent runs along it, which is (√2 − 1) / 2 of the diamond's height over a side
    across = math.hypot(20, 30)
    rise = (math.sqrt(2) - 1) * 20 * 30 / across
    chain = " → ".join(f"vertical {v} ring {r}" for v, r in ((3, 1), (4, 2), (3, 3), (2, 2), (3, 1)))
    assert steps[0] == (
        "Cut card A to the curve from mark to mark, traced from flat sheet 1: "
        f"{across:.1f} mm across, {rise:.1f} mm deep."
    )
    assert steps[1].startswith(f"Incise {chain}, bulging {rise:.1f} mm outward between the marks, along card A (")


BOWL = "form bowl { decorated inside  profile straight by tape { at 0 mm around 120 mm  at 120 mm around 240 mm } }"


def test_a_curve_that_changes_from_ring_to_ring_has_a_card_for_each() -> None:
    """Around it grows from 120 to 240 mm over 120 mm of tape, so columns of 12 are 10, 12.5, 15 and 17.5 mm."""
    piece = laid(
        f"{BOWL} motif m {{ grid columns 12 rows 4  each cell {{ incise from (0, 0) arc to (1, 0) rise 1/4 }} }} "
        "piece p { form bowl  band m }"
    )
    (chapter,) = [c for c in chapters(piece) if c.title.startswith("Incise")]
    assert chapter.steps[0].startswith("Cut cards A to D of the table “Cards”")
    (table,) = chapter.tables
    assert [row[0] for row in table.rows] == ["A", "B", "C", "D"]
    assert [row[1] for row in table.rows] == [f"on ring {k}" for k in range(4)]
    assert [row[2] for row in table.rows] == pytest.approx([10, 12.5, 15, 17.5], abs=1e-6)
    # a quarter of a row of 30 mm, as the wall is straight
    assert [row[3] for row in table.rows] == pytest.approx([7.5] * 4, abs=0.05)
    assert [row[4] for row in table.rows] == [12] * 4


@pytest.mark.parametrize(
    ("line", "side"),
    [
        ("(0, 0) arc to (1, 0) rise 1/4", "toward the rim"),
        ("(1, 0) arc to (0, 0) rise 1/4", "toward the foot"),
        ("(0, 0) arc to (0, 1) rise 1/4", "to the left"),
        ("(0, 1) arc to (0, 0) rise 1/4", "to the right"),
    ],
)
def test_bends_are_told_by_where_they_bulge_on_the_pot(line: str, side: str) -> None:
    """An arc rises to the left of its way, as the language says."""
    assert f" {side} between the marks, along card A (" in " ".join(
        told(f"each cell where row = 2 {{ incise from {line} }}")
    )


def test_outlines_are_shapes_and_come_back_to_their_start() -> None:
    steps = told("each cell where row = 1 { paint from (0, 0) line to (1, 0) line to (1/2, 1) close }", "Paint")
    assert steps == [
        "Paint the shape vertical 1 ring 0 → vertical 2 ring 0 → vertical 1 1/2 ring 1 → vertical 1 ring 0 "
        f"({20 + 2 * math.hypot(10, 30):.1f} mm round its edge).",
        "12 such shapes in all, each starting one vertical to the right of the last.",
    ]


def test_what_marks_cannot_tell_is_pricked_through() -> None:
    loop = "incise from (0, 1/2) curve to (1, 1/2) leaving (2, 2) arriving (-1, 2)"
    steps = told(f"each cell where row = 1 {{ {loop} }}")
    # the can, 240 mm round, is one sheet of paper
    assert re.match(r"Prick (one line|12 lines) through flat sheet 1: (it|the first) begins at vertical 1 ", steps[0])
    assert steps[-1] in ("Incise it.", "Incise them.")


def test_guide_lines_are_the_rings_and_verticals_drawn_already() -> None:
    piece = laid(
        f"{CAN} motif m {{ grid columns 12 rows 4  each ring {{ guide along }} each vertical {{ guide along }} }} "
        "piece p { form can  band m }"
    )
    (guide,) = [c for c in chapters(piece) if c.title == "Draw the guide lines"]
    assert list(guide.steps) == [
        "Keep the lines drawn on rings 0 to 4.",
        "Keep the lines drawn at every vertical, from ring 0 to ring 4: 12.",
    ]


def test_lines_that_stop_short_are_told_to_their_marks() -> None:
    body = (
        "each crossing { path spot = dot at (0, 0) across 8 mm  impress spot } "
        "each cell where row = 2 { path spot = dot at (0, 0) across 8 mm  path far = dot at (1, 1) across 8 mm "
        "incise from (0, 0) line to (1, 1) clear of spot by 2 mm clear of far by 2 mm }"
    )
    steps = told(body)
    # half of 8 mm and 2 mm more are left free at both ends
    assert steps[0] == (
        "Incise vertical 1 ring 1 → vertical 2 ring 2, leaving 6 mm free at both marks "
        f"({math.hypot(20, 30) - 12:.1f} mm long)."
    )


def test_panels_cut_lines_and_each_is_told_from_start_to_end() -> None:
    steps = told("each cell { incise from (0, 0) line to (1, 1) }", band="only columns 1 to 3")
    assert "From ring 0 to ring 3: verticals 1 → 4." in steps
    assert "From ring 1 to ring 4: verticals 1 → 4." in steps
    assert "From ring 3 to ring 4: verticals 1 → 2." in steps
    assert "From ring 0 to ring 1: verticals 3 → 4." in steps
    piece = laid(f"{CAN} motif m {{ grid columns 12 rows 4 }} piece p {{ form can  band m only columns 11 to 2 }}")
    (divided,) = [c for c in chapters(piece) if c.title.startswith("Divide")]
    assert divided.steps[-1].startswith("Work m only from vertical 11 to vertical 3;")


def test_a_row_with_a_patch_kept_free_says_what_is_lacking() -> None:
    free = 'reserve "name" from height 50 mm to height 70 mm facing 90 deg wide 30 mm'
    steps = told("each crossing { impress dot at (0, 0) across 2 mm }", "Impress", more=free)
    # 90° lies at vertical 4 of 12; 30 mm are 15 to either side, columns are 20
    assert "Press a dot on ring 2, at every vertical, but not at vertical 4: 11." in steps
    assert "Press a dot on rings 0, 1, 3 and 4, at every vertical: 12 on each." in steps


def test_prints_that_reach_into_a_patch_are_named() -> None:
    """The patch reaches from 43 to 77 mm round; the print 16 mm wide at 40 reaches to 48, that at 80 from 72 on."""
    free = 'reserve "name" from height 40 mm to height 80 mm facing 90 deg wide 34 mm'
    piece = laid(
        f"{CAN} tool pad {{ wide 16 mm tall 10 mm }} motif m {{ grid columns 12 rows 4  "
        f"each crossing where ring = 2 {{ impress pad at (0, 0) }} }} piece p {{ form can  band m  {free} }}"
    )
    (chapter,) = [c for c in chapters(piece) if c.title.startswith("Impress")]
    assert chapter.steps[0].endswith("11 prints.")
    assert (
        "2 of these prints reach into the patch “name”: vertical 3 ring 2 (5 mm), vertical 5 ring 2 (5 mm). "
        "Leave them out, or move the patch."
    ) in chapter.steps


def test_how_prints_meet_is_told_without_signs() -> None:
    def met(wide: str) -> str:
        body = f"tool pad {{ wide {wide} tall 10 mm }} motif m {{ grid columns 12 rows 4  each cell {{ impress pad at"
        piece = laid(f"{CAN} {body} (1/2, 1/2) }} }} piece p {{ form can  band m }}")
        (chapter,) = [c for c in chapters(piece) if c.title.startswith("Impress")]
        return " ".join(chapter.steps)

    # columns of 20 mm
    assert "Beside its neighbour “pad” overlaps by 1.5 mm everywhere." in met("21.5 mm")
    assert "Beside its neighbour “pad” lacks 1 mm everywhere. Join by hand what is lacking." in met("19 mm")
    assert "Beside its neighbour “pad” just meets everywhere." in met("20 mm")


def test_a_line_along_the_edge_of_a_patch_is_told_by_its_size_and_middle() -> None:
    piece = laid(
        f'{CAN} piece p {{ form can  reserve "free" from height 20 mm to height 60 mm facing 90 deg wide 34 mm  '
        'incise edge of "free" 3 mm outside }'
    )
    (chapter,) = [c for c in chapters(piece) if c.title.startswith("Incise")]
    assert chapter.steps[1] == (
        "Incise round the patch “free”, 3 mm outside its edge: from tape 17 mm to 63 mm, 20 mm by soft tape to left "
        "and right of its middle half-way up. Its middle is 60 mm to the right of the starting mark (90°), 40 mm of "
        "tape from the foot."
    )


def test_spaced_columns_are_told_by_their_verticals() -> None:
    grid = "columns 8 spaced 3 : 1 rows 4"
    steps = told("each cell where row = 1 and odd(column) { incise from (0, 0) line to (1, 1) }", grid=grid)
    assert steps == [
        f"Incise vertical 1 ring 0 → vertical 2 ring 1 ({math.hypot(45, 30):.1f} mm long).",
        "4 such lines in all, each starting 2 verticals to the right of the last.",
    ]


def test_rows_with_columns_of_their_own_are_told_row_by_row() -> None:
    form = "form cone { profile straight { at 0 mm around 200 mm  at 80 mm around 400 mm } }"
    piece = laid(
        f"{form} motif m {{ grid columns near 25 mm each row rows 2  "
        "each cell { impress dot at (0, 1/2) across 3 mm } } piece p { form cone  band m }"
    )
    (divide,) = [c for c in chapters(piece) if c.title.startswith("Divide")]
    (table,) = divide.tables
    # widest in each row: 300 and 400 mm round
    assert [(row[0], row[1], row[2]) for row in table.rows] == [(1, 12, 1), (2, 16, 2)]
    assert [row[3] for row in table.rows] == pytest.approx([300 / 12, 400 / 16], abs=1e-6)
    (impress,) = [c for c in chapters(piece) if c.title.startswith("Impress")]
    slant = math.hypot(80, (400 - 200) / math.tau)
    assert impress.steps[1:] == (
        f"Row 1: Press a dot at tape {slant / 4:.1f} mm (half-way between rings 0 and 1), at every vertical: 12.",
        f"Row 2: Press a dot at tape {3 * slant / 4:.1f} mm (half-way between rings 1 and 2), at every vertical: 16.",
    )


def test_lines_through_rows_of_their_own_columns_are_left_to_the_sheets() -> None:
    steps = told("each cell { incise from (0, 0) line to (1, 1) }", grid="columns near 20 mm each row rows 4")
    assert steps == ["12 lines through several rows: prick them through flat sheet 1.", "Incise them."]


@pytest.mark.parametrize("rows", ["rows 4 stepped by height", "rows proportional 1 : 1", "rows every 20 mm", "rows 3"])
def test_lines_flow_straight_whatever_the_rows_grow_by(rows: str) -> None:
    """From ring to ring a line of the grid passes even divisions, on any wall: the language says so."""
    form = "form pot { profile smooth { at 0 mm across 60 mm  at 40 mm across 110 mm  at 90 mm across 70 mm } }"
    piece = laid(
        f"{form} motif m {{ grid columns 12 {rows}  each cell {{ incise from (0, 0) line to (1, 1) }} }} "
        "piece p { form pot  band m }"
    )
    (steps,) = [c.steps for c in chapters(piece) if c.title.startswith("Incise")]
    chain = " → ".join(f"vertical {k + 1} ring {k}" for k in range(min(piece.bands[0].rows + 1, 3)))
    assert steps[1].startswith(f"Incise {chain}")
    assert steps[2] == "12 such lines in all, each starting one vertical to the right of the last."
    heights = "height" in rows
    (rings,) = [c for c in chapters(piece) if c.title == "Mark the rings"]
    assert any("level or height gauge" in s for s in rings.steps) == heights


# ------------------------------------------------------------ the whole of a piece


@cache
def example(path: Path) -> tuple[LaidPiece, ...]:
    document = motif.load(path)
    made = tuple(document.lay(name) for name in document.pieces)
    assert None not in made
    return tuple(piece for piece in made if piece is not None)


def bands() -> Iterator[tuple[LaidPiece, LaidBand, BandGrid]]:
    for piece in (piece for path in EXAMPLES for piece in example(path)):
        for band in piece.bands:
            if band.row_columns is None:
                yield piece, band, grid_of(band, piece.form.wall)


def test_every_stroke_and_mark_is_in_one_family_and_starts_where_it_is_told() -> None:
    for piece, band, grid in bands():
        made = families(band.paths, grid)
        pieces = [p for f in made for cut in f.cut for p in cut.paths]
        assert sum(f.count for f in made) + len(pieces) == len(band.paths), piece.name
        assert sum(len(row.a) for f in made for row in f.rows) == sum(f.count for f in made)
        assert math.fsum(f.length for f in made) + math.fsum(p.length for p in pieces) == pytest.approx(
            math.fsum(p.length for p in band.paths), abs=1e-6
        )
        assert sum(m.count for m in point_families(band.points, grid)) == len(band.points)


def test_told_marks_lie_on_their_lines() -> None:
    """Every mark of a chain, put on the wall again, lies on one of the strokes (nearer than a pencil line is wide)."""
    for piece, band, grid in bands():
        wall = piece.form.wall
        for family in families(band.paths, grid):
            chain = family.chain
            if any(chain.short) or not chain.nodes:
                continue
            a, b = (np.array([getattr(n, c) for n in chain.nodes]) for c in "ab")
            angle, tape = grid.angle(a), grid.tape(b)
            marks = np.column_stack([angle, tape])
            like = (p for p in band.paths if p.work is family.work and _may_be(p.length, family))
            assert any(_farthest(marks, p.points, wall) < 0.2 for p in like), (piece.name, chain)


def _may_be(length: float, family: Family) -> bool:
    return family.lengths[0] - 1e-6 <= length <= family.lengths[1] + 1e-6


def _farthest(marks: np.ndarray, line: np.ndarray, wall: object) -> float:
    """How far the farthest of some places lies from a line, in the plane of arc and tape, mm."""
    radius = float(wall.radius(marks[:, 1]).mean())  # type: ignore[attr-defined]
    shift = math.tau * np.round((marks[0, 0] - line[0, 0]) / math.tau)
    best = math.inf
    for turn in (shift - math.tau, shift, shift + math.tau):
        start = (line[:-1] + [turn, 0]) * [radius, 1]
        step = np.diff(line, axis=0) * [radius, 1]
        place = marks * [radius, 1]
        along = np.einsum("mnk,nk->mn", place[:, None] - start, step) / np.maximum((step**2).sum(axis=1), 1e-12)
        nearest = start + np.clip(along, 0, 1)[:, :, None] * step
        best = min(best, float(np.linalg.norm(place[:, None] - nearest, axis=2).min(axis=1).max()))
    return best


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_examples_are_told_in_short_lines(path: Path) -> None:
    for piece in example(path):
        made = chapters(piece)
        assert [c.title for c in made][:2] == ["Have ready", "Mark the rings"]
        assert all(c.steps for c in made)
        assert max(len(s) for c in made for s in c.steps) < 420
        assert len({c.title for c in made}) == len(made)
        for table in (t for c in made for t in c.tables):
            assert len(table.columns) <= 8


def test_techniques_come_in_the_order_the_clay_asks() -> None:
    works = ["paint", "attach", "trail", "pierce", "carve", "incise", "roulette", "impress", "guide"]
    lines = {
        "attach": "attach ball at (1/2, 1/2)",
        "pierce": "pierce dot at (1/4, 1/4) across 3 mm",
        "impress": "impress dot at (3/4, 3/4) across 3 mm",
        "roulette": "roulette from (0, 0) line to (1, 0) pitch 3 mm",
    }
    body = " ".join(lines.get(w, f"{w} from (0, 0) line to (1, 1)") for w in works)
    piece = laid(
        f"{CAN} tool ball {{ wide 8 mm }} motif m {{ grid columns 12 rows 4  each cell {{ {body} }} }} "
        "piece p { form can  band m }"
    )
    titles = [c.title.split(",")[0] for c in chapters(piece)]
    assert titles == [
        "Have ready",
        "Mark the rings",
        "Divide the pot into 12 for m",
        "Draw the guide lines",
        "Impress",
        "Roll the stitches",
        "Incise",
        "Carve",
        "Pierce",
        "Trail the slip",
        "Join on",
        "Clean up",
        "Paint",
        "Dry and fire",
    ]


def test_every_technique_has_a_verb_and_a_heading() -> None:
    assert set(VERBS) == set(TITLES) == set(TECHNIQUES)


def test_the_piece_of_it_in_the_readme_is_what_the_program_says() -> None:
    """As in the kept example, which ``prepare`` writes."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    quoted = re.sub(r"\n> ?", " ", readme.partition("\n> 4")[2].partition("\n\n")[0])
    steps = [s.strip() for s in re.split(r"^|\s\d+(?=\\\. )", quoted) if s.strip()]
    kept = (ROOT / "examples" / "tufted-bottle" / "method.md").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert len(steps) == 2
    assert all(step.removeprefix("\\. ") in kept for step in steps)


# ------------------------------------------------------------ setting out


def test_dividers_are_set_to_the_published_chord() -> None:
    """Chords of a circle 1 across, Machinery's Handbook; a can 100 mm across."""
    for key in ("1.chord.N07", "1.chord.N12"):
        n = record(key)["inputs"]["N"]
        piece = laid(
            "form can { profile straight { at 0 mm across 1000 mm  at 90 mm across 1000 mm } } "
            f"motif m {{ grid columns {n} rows 1 }} piece p {{ form can  band m }}"
        )
        (divide,) = [c for c in chapters(piece) if c.title.startswith("Divide")]
        (step,) = [s for s in divide.steps if s.startswith("Check")]
        found = re.search(r"dividers to ([\d.]+) mm", step)
        assert found is not None
        assert float(found[1]) == pytest.approx(1000 * record(key)["expected"], abs=0.05 + 1e-3)
        assert f"Step {n} must come back" in step


def test_readings_in_inches_are_each_rounded_from_their_own_place() -> None:
    piece = laid(
        "form can { profile straight { at 0 mm around 500 mm  at 90 mm around 500 mm } } "
        "motif m { grid columns 37 rows 1 } piece p { form can  band m }"
    )
    (divide,) = [c for c in chapters(piece, "in") if c.title.startswith("Divide")]
    (table,) = divide.tables
    readings: dict[int, Fraction] = {}
    for row in table.rows:
        for number, tape in zip(row[0::2], row[1::2], strict=True):
            if isinstance(number, int) and isinstance(tape, float):
                readings[number] = sum((Fraction(p) for p in people_cell(tape, "length", "in").split()), Fraction(0))
    assert sorted(readings) == list(range(1, 38))
    for k, reading in readings.items():
        exact = Fraction(k - 1) * 500 / 37 / Fraction(254, 10)
        assert abs(reading - exact) <= Fraction(1, 64) + Fraction(1, 10**6)


def test_starting_at_says_how_far_from_the_starting_mark() -> None:
    piece = laid(f"{CAN} motif m {{ grid columns 12 rows 4 }} piece p {{ form can  band m starting at 15 deg }}")
    (divide,) = [c for c in chapters(piece) if c.title.startswith("Divide")]
    assert divide.steps[0] == "Mark vertical 1 on ring 0: 10 mm to the right of the starting mark (15°)."


def test_bands_divided_alike_share_their_division() -> None:
    motifs = "motif m { grid columns 12 rows 1 } motif n { grid columns 12 rows 2 } motif o { grid columns 9 rows 1 }"
    piece = laid(
        f"{CAN} {motifs} piece p {{ form can  band m from foot to tape 30 mm  band n from tape 40 mm to tape 80 mm  "
        "band o from tape 90 mm to rim }"
    )
    titles = [c.title for c in chapters(piece) if c.title.startswith("Divide")]
    assert titles == ["Divide the pot into 12 for band 1, m and band 2, n", "Divide the pot into 9 for band 3, o"]


def test_a_patch_is_measured_out_from_the_starting_mark() -> None:
    piece = laid(
        f'{CAN} piece p {{ form can  reserve "handle" from height 20 mm to height 60 mm facing 90 deg wide 34 mm }}'
    )
    (patches,) = [c for c in chapters(piece) if c.title.startswith("Draw the patches")]
    assert patches.steps[:2] == (
        "“handle”: mark its middle 60 mm to the right of the starting mark (90°), 40 mm of tape from the foot.",
        "Draw it from tape 20 mm to 60 mm, 17 mm by soft tape to either side of its middle at every height.",
    )


def test_no_tape_goes_round_a_wall_inside() -> None:
    """A can 240 mm round inside: straight steps between its verticals are chords, and 7 lies opposite 1 of 12."""
    inside = CAN.replace("thickness", "decorated inside thickness")
    piece = laid(
        f'{inside} motif m {{ grid columns 12 rows 4 }} piece p {{ form can  band m  reserve "free" from height 20 mm '
        "to height 60 mm facing 270 deg wide 34 mm }"
    )
    radius = 120 / math.pi
    ready, rings, divide, patches, *_ = chapters(piece)
    assert ready.steps[1].endswith(f" anywhere: {2 * radius:.1f} mm.")
    assert "not above the table" in rings.intro[0]
    chord = 2 * radius * math.sin(math.pi / 12)
    # stepped twelve times over, a tenth of a mm would not do
    assert divide.steps[1].startswith(f"Set dividers to {chord:.2f} mm and step round")
    assert "1/12 of the gap" in divide.steps[2]
    (table,) = divide.tables
    assert len(table.rows) == 6  # the other six beside them
    assert [row[k] for k in (1, 3) for row in table.rows] == pytest.approx(
        [abs(2 * radius * math.sin(k * math.pi / 12)) for k in range(12)], abs=1e-9
    )
    assert table.rows[0][2:] == (7, pytest.approx(240 / math.pi))
    # three quarters round to the right is a quarter round to the left: a chord of √2 radii
    straight = re.search(r"([\d.]+) mm straight across from the starting mark's line, on its left", patches.steps[0])
    assert straight is not None
    assert float(straight[1]) == pytest.approx(math.sqrt(2) * radius, abs=0.05 + 1e-9)
    words = " ".join(s for c in chapters(piece) for s in c.steps)
    assert "Wrap" not in words
    assert "tape round" not in words


def test_unequal_columns_inside_are_stepped_with_their_own_settings() -> None:
    inside = CAN.replace("thickness", "decorated inside thickness")
    piece = laid(f"{inside} motif m {{ grid columns 8 spaced 3 : 1 rows 4 }} piece p {{ form can  band m }}")
    (table,) = next(c for c in chapters(piece) if c.title.startswith("Divide")).tables
    settings = [2 * 120 / math.pi * math.sin(w / 240 * math.pi) for w in (45, 15)]
    assert [row[k] for k in (2, 5) for row in table.rows] == [None, *(pytest.approx(settings[k % 2]) for k in range(7))]


def test_what_is_put_out_is_what_the_steps_use() -> None:
    def put_out(body: str) -> str:
        piece = laid(f"{CAN} tool ball {{ wide 8 mm }} motif m {{ grid columns 12 rows 4 {body} }} "
                     "piece p { form can  band m }")  # fmt: skip
        (step,) = [s for s in chapters(piece)[0].steps if s.startswith("Put out")]
        return step

    plain = put_out("each cell { incise from (0, 0) line to (1, 1) }")
    assert "a pointed tool" in plain
    for thing, body in (
        ("compasses", "incise circle at (1/2, 1/2) across 10 mm"),
        ("thin card", "incise from (0, 0) arc to (1, 0) rise 1/4"),
        ("slip and a brush", "attach ball at (1/2, 1/2)"),
        ("a round hole cutter", "pierce dot at (1/2, 1/2) across 5 mm"),
        ("a slip trailer", "trail from (0, 0) line to (1, 1)"),
        ("damp cloths", "attach ball at (1/2, 1/2)"),
    ):
        assert thing not in plain
        assert thing in put_out(f"each cell {{ {body} }}")


def test_lines_of_the_piece_are_told_by_tape_and_broken_by_patches() -> None:
    piece = laid(
        f'{CAN} piece p {{ form can  reserve "free" from height 20 mm to height 60 mm facing 90 deg wide 34 mm  '
        "carve ring at height 40 mm depth 2 mm  carve ring at height 90 mm depth 2 mm }"
    )
    (carve,) = [c for c in chapters(piece) if c.title.startswith("Carve")]
    assert carve.steps == (
        f"Take a carving tool: 2 mm deep. 2 lines, {2 * 240 - 34} mm in all.",
        "Carve all round at 40 mm of tape from the foot, leaving out the patches kept free.",
        "Carve all round at 90 mm of tape from the foot.",
    )


# ------------------------------------------------------------ cautions


def test_figures_in_cautions_are_the_published_ones() -> None:
    words = all_cautions(f"{CAN} piece p {{ form can  carve ring at height 40 mm depth 1 mm  paint ring at rim }}")
    # IEC 60825-1, class 2 (10.laser.class2)
    assert f"up to {record('10.laser.class2')['expected']} mW" in words
    # OSHA, 29 CFR 1910.1053 (10.silica)
    limit, action = record("10.silica")["expected"]
    assert f"{limit} micrograms a cubic metre over eight hours" in words
    assert f"measures from {action}" in words
    # FDA Food Code 4-101.13 (10.lead): flatware, small and large hollowware, cups
    plates, *_, cups = record("10.lead")["expected"]
    assert f"{cups:g} mg/L for cups and mugs and {plates:g} mg/L for plates" in words
    assert words.count("local codes") >= 3


@pytest.mark.parametrize(
    ("depth", "words"),
    [("1.9 mm", "4.1 mm is left"), ("2.1 mm", "more than a third of it")],
)
def test_depth_is_told_against_the_wall(depth: str, words: str) -> None:
    """A third of a wall 6 mm thick: common practice, no source."""
    assert words in all_cautions(f"{CAN} piece p {{ form can  carve ring at height 40 mm depth {depth} }}")


def test_joined_pieces_say_how_thick_they_are() -> None:
    # 1 ml on a disc 10 mm across
    thick = 1000 / (math.pi * 25)
    words = all_cautions(
        f"{CAN} tool ball {{ wide 10 mm  volume 1 ml }} motif m {{ grid columns 4 rows 1  each cell {{ attach ball at "
        "(1/2, 1/2) } } piece p { form can  band m }"
    )
    assert f"about {thick:.1f} mm thick on a wall of 6 mm" in words


# ------------------------------------------------------------ written


def test_the_command_writes_both_forms(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "can.motif"
    file.write_text(f"{CAN} piece p {{ form can  carve ring at height 40 mm }}", encoding="utf-8")
    assert main(["method", str(file)]) == 0
    text = capsys.readouterr().out
    assert text.startswith("# p: order of work\n")
    assert main(["method", str(file), "--as", "json", "--unit", "in"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [c["title"] for c in found["chapters"]] == re.findall(r"^## \d+\. (.+)$", text, re.MULTILINE)
    assert "1/64" in found["key"][1]


def test_text_of_the_file_does_no_harm() -> None:
    piece = pieces.piece(pieces.cylinder(), pieces.tufted_band(pieces.cylinder()), description="<b>*bold* | `x`\n# no")
    text = markdown(piece)
    assert "<b>" not in text.replace("\\<b\\>", "")
    assert "\n# no" not in text


def test_pieces_made_by_hand_are_told() -> None:
    for piece in (pieces.caddy(), pieces.canister(), pieces.piece(pieces.beaker())):
        made = chapters(piece)
        assert all(isinstance(c, Chapter) for c in made)
        assert markdown(piece, "in").count("\n## ") == len(made)
