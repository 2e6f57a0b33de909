"""Marks, counts and data of pieces whose numbers are known in closed form."""

from __future__ import annotations

import csv
import io
import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import motif
from motif.language.record import changed
from motif.laying.piece import Meeting
from motif.outputs import backends, counts, data, mark_tables, marks, tables, totals
from motif.outputs.json_text import dumps
from tests.outputs import pieces
from tests.outputs.pieces import TURN
from tests.reference import record

EXAMPLES = Path(__file__).parents[2] / "examples"


def read(value: Any) -> Any:
    return json.loads(dumps(value))


def test_marks_of_a_canister() -> None:
    """A cylinder of radius 60: circle geometry."""
    band = read(marks.as_json(pieces.canister()))["bands"][0]
    assert set(band) == {
        "band",
        "motif",
        "columns",
        "rows",
        "from_tape",
        "to_tape",
        "left_over",
        "proportion",
        "rings",
        "verticals",
        "points",
        "fits",
    }
    ring = band["rings"][3]
    assert ring == {
        "ring": 3,
        "tape": 95,
        "height": 95,
        "radius": 60,
        "circumference": pytest.approx(TURN * 60, abs=1e-6),
        "column_width": pytest.approx(20 * math.pi, abs=1e-6),
        "chord": 60,
    }
    assert [v["angle"] for v in band["verticals"]] == [0, 60, 120, 180, 240, 300]
    assert band["points"][1] == {
        "technique": "attach",
        "tool": "pellet",
        "colour": None,
        "column": None,
        "row": None,
        "vertical": 2,
        "ring": 0,
        "angle": 60,
        "tape": 20,
        "height": 20,
        "radius": 60,
        "along_ring": pytest.approx(20 * math.pi, abs=1e-6),
        "across": None,
        "depth": None,
        "lean": 0,
    }
    last = band["points"][-1]
    assert (last["column"], last["row"], last["vertical"], last["angle"]) == (6, 6, None, 330)
    assert (last["across"], last["depth"], last["lean"]) == (9, 2, None)


def test_keys_of_the_whole_object() -> None:
    found = read(marks.as_json(pieces.caddy()))
    assert {k: found[k] for k in ("piece", "form", "stage", "unit")} == {
        "piece": "caddy",
        "form": "jar",
        "stage": "leather-hard",
        "unit": "mm",
    }
    (line,) = found["lines"]
    assert line["technique"] == "carve"
    assert line["circumference"] == pytest.approx(TURN * line["radius"], abs=1e-5)


def test_inches_are_decimals_in_data() -> None:
    found = read(marks.as_json(pieces.canister(), "in"))
    assert found["unit"] == "in"
    assert found["bands"][0]["rings"][0]["tape"] == pytest.approx(20 / record("7.inch")["expected"], abs=1e-6)
    totals = read(counts.as_json(pieces.canister(), "in"))["totals"]
    (total,) = (t for t in totals if t["technique"] == "incise")
    assert total["length"] == pytest.approx(12 * math.hypot(TURN * 60, 150) / 25.4, abs=1e-3)


def test_angles_run_from_0_up_to_360() -> None:
    assert marks.round_degrees(np.array([0.0, TURN, -1e-13, 2 * TURN + 1e-13, math.pi, -math.pi / 2])) == [
        0,
        0,
        0,
        0,
        180,
        270,
    ]


def test_along_the_ring_from_a_turned_vertical() -> None:
    wall = pieces.cylinder()
    band = pieces.tufted_band(wall, columns=6, start=math.radians(350))
    points = read(marks.as_json(pieces.piece(wall, band)))["bands"][0]["points"]
    assert points[0]["angle"] == pytest.approx(350)
    assert [p["along_ring"] for p in points[:6]] == pytest.approx([20 * math.pi * k for k in range(6)], abs=1e-5)


def test_rows_with_their_own_columns() -> None:
    wall = pieces.cylinder()
    band = pieces.tufted_band(wall, rows=2)
    band = changed(
        band,
        columns=None,
        row_columns=np.array([8, 7]),
        verticals=np.empty(0),
        rings=changed(band.rings, column_width=None, chord=None),
    )
    piece = pieces.piece(wall, band)
    found = read(marks.as_json(piece))["bands"][0]
    assert found["columns"] is None
    assert found["row_columns"] == [8, 7]
    assert [r["column_width"] for r in found["rings"]] == [None] * 3
    assert "Columns in the row above it" in tables.to_text(mark_tables.tables(piece))
    for backend in backends.BACKENDS:
        assert backend.run(piece).startswith(backend.begins)


def test_the_bench_table_groups_marks_and_says_even_gaps() -> None:
    text = tables.to_text(mark_tables.tables(pieces.canister()))
    assert "first at 0, then every 62.8, all round" in " ".join(text.split())
    assert "first at 31.4, then every 62.8, all round" in " ".join(text.split())
    assert "points: attach, with pellet\n" in text
    assert "points: impress, 9 mm across, 2 mm deep\n" in text
    _, points = text.split("points:", 1)
    assert len([line for line in points.splitlines() if line.startswith(("row", "ring"))]) == 7 + 6


def test_the_bench_table_keeps_sizes_and_depths_apart() -> None:
    """Two sizes at one tape distance are two lines, and where sizes differ they have a column."""
    wall = pieces.cylinder()
    rows = [
        (w, False, k, 1, -1, -1, k * TURN / 4 + w, 50.0, across, 0.0, -1)
        for w, across in ((0, 4.0), (0, 6.0), (1, 6.0))
        for k in range(4)
    ]
    works = [pieces.work("impress", depth=1.0), pieces.work("impress", depth=3.0)]
    band = changed(pieces.tufted_band(wall), points=pieces.points(wall, works, rows))
    (table,) = mark_tables.tables(pieces.piece(wall, band))[2:]
    assert table.title.endswith("points: impress")
    at = [c.key for c in table.columns]
    assert [(r[at.index("across")], r[at.index("depth")], r[at.index("count")]) for r in table.rows] == [
        (4.0, 1.0, 4),
        (6.0, 1.0, 4),
        (6.0, 3.0, 4),
    ]


def test_how_tools_meet_is_said_row_by_row() -> None:
    """Fifteen teeth 20 mm wide on a vase: each row lacks the circumference's fifteenth less the tooth. The corners of
    a tooth, set off level from its middle, come to lie a hair beside that ring, where the pot is a hair wider."""
    document = motif.load(EXAMPLES / "pointed-vase.motif")
    piece = document.lay("pointed-vase")
    assert piece is not None
    band = read(marks.as_json(piece))["bands"][0]
    assert len(band["fits"]) == band["rows"]
    for fit, ring in zip(band["fits"], band["rings"], strict=False):
        assert (fit["tool"], fit["row"], fit["ring"]) == ("tooth", ring["ring"] + 1, None)
        assert fit["gap"] == pytest.approx(ring["circumference"] / 15 - 20, abs=0.03)
    rows = list(csv.DictReader(io.StringIO(tables.to_csv([marks.records([piece])]))))
    fits = [r for r in rows if r["mark"] == "fit"]
    expected = [f["gap"] for f in band["fits"]]
    assert [float(r["gap_mm"]) for r in fits] == pytest.approx(expected, abs=1e-5)
    # a column of the rings, too: each row's figure stands at the ring where the row begins, counted downward
    rings = [r for r in rows if r["mark"] == "ring" and r["band"] == "1"]
    assert [float(r["gap_mm"]) for r in rings[:-1]] == pytest.approx(expected, abs=1e-5)
    assert rings[-1]["gap_mm"] == ""
    table = mark_tables.tables(piece)[0]
    assert table.columns[-1].heading == "tooth beside its neighbour in the row below it, mm"
    said = [row[-1].text("mm") for row in table.rows[:-1]]
    assert [w.rpartition(" ")[0] for w in said] == ["lacks" if gap > 0 else "overlaps by" for gap in expected]
    assert [float(w.rpartition(" ")[2]) for w in said] == pytest.approx([abs(g) for g in expected], abs=0.05 + 1e-6)
    assert table.rows[-1][-1] is None
    assert not any("meets its neighbour" in t.title for t in mark_tables.tables(piece))


def test_overlaps_are_called_so_and_every_tool_has_its_column() -> None:
    wall = pieces.cylinder()
    band = pieces.tufted_band(wall)
    work = band.points.works[0]
    tooth = pieces.work("impress", pieces.TOOTH)
    met = (Meeting(work, 2, False, -1.5), Meeting(work, 3, True, 0.25), Meeting(tooth, 3, True, -2.0))
    table = mark_tables.tables(pieces.piece(wall, changed(band, meetings=met)))[0]
    assert [c.heading for c in table.columns[-3:]] == [
        "pellet beside its neighbour, mm",
        "pellet beside its neighbour in the row above it, mm",
        "tooth beside its neighbour in the row above it, mm",
    ]
    assert [[c and c.text("cm") for c in row[-3:]] for row in table.rows[1:4]] == [
        [None] * 3,
        ["overlaps by 0.15", "lacks 0.03", "overlaps by 0.2"],
        [None] * 3,
    ]
    rows = list(
        csv.DictReader(io.StringIO(tables.to_csv([marks.records([pieces.piece(wall, changed(band, meetings=met))])])))
    )
    assert [r["gap_mm"] for r in rows if r["mark"] == "ring"] == ["", "", "-2", "", "", ""]


def test_a_tool_that_meets_in_two_ways_in_a_row_gets_a_table() -> None:
    wall = pieces.cylinder()
    band = pieces.tufted_band(wall)
    work = band.points.works[0]
    met = (Meeting(work, 2, False, -1.5), Meeting(work, 3, True, 0.25), Meeting(work, 3, True, -0.75))
    found = mark_tables.tables(pieces.piece(wall, changed(band, meetings=met)))
    assert [row[-1] and row[-1].text("cm") for row in found[0].rows] == [
        None,
        None,
        "overlaps by 0.08",
        None,
        None,
        None,
    ]
    table = next(t for t in found if "meets" in t.title)
    assert list(table.rows) == [
        ("ring 2", "pellet", None, 1.5),
        ("row 3", "pellet", 0.25, None),
        ("row 3", "pellet", None, 0.75),
    ]


def test_the_starting_mark_is_found_again() -> None:
    """A cylinder 60 mm in radius: 15 degrees are 5 pi mm along any ring."""
    wall = pieces.cylinder()
    turned = pieces.piece(wall, pieces.tufted_band(wall, start=math.radians(15)))
    text = tables.to_text(mark_tables.tables(turned))
    assert "Vertical 1 lies 15° to the right of the starting mark: 15.7 mm along ring 0." in text
    turned = pieces.piece(wall, pieces.tufted_band(wall, start=math.radians(-15)))
    text = tables.to_text(mark_tables.tables(turned))
    assert "Vertical 1 lies 15° to the left of the starting mark: 15.7 mm along ring 0." in text
    assert "starting mark" not in tables.to_text(mark_tables.tables(pieces.canister()))


def test_marks_of_a_line_are_listed_panel_by_panel() -> None:
    """200 mm round; one panel goes on past vertical 1, and its marks are told in the order they are met."""
    wall = pieces.cylinder(radius=100 / math.pi)
    at = [180, 190, 0, 10, 100, 110]
    rows = [(0, False, k, 1, -1, -1, a * TURN / 200, 50.0, math.nan, 0.0, -1) for k, a in enumerate(at)]
    panels = ((0.85 * TURN, 1.15 * TURN), (0.5 * TURN, 0.6 * TURN))
    band = changed(pieces.tufted_band(wall), points=pieces.points(wall, [pieces.work("guide")], rows), panels=panels)
    table = mark_tables.tables(pieces.piece(wall, band))[2]
    assert [c.key for c in table.columns][1] == "panel"
    assert [(row[1], row[-1].text("mm")) for row in table.rows] == [
        (1, "first at 180, then every 10, up to number 4"),
        (2, "100, 110"),
    ]


def test_panels_are_told_by_their_verticals() -> None:
    wall = pieces.cylinder()
    step = TURN / 8
    band = changed(pieces.tufted_band(wall), panels=((0.0, 2 * step), (6 * step, 9 * step)))
    text = " ".join(tables.to_text(mark_tables.tables(pieces.piece(wall, band))).split())
    assert "Worked are the panels 1, from vertical 1 to 3; 2, from vertical 7 to 2." in text


def test_the_bench_table_lists_uneven_places() -> None:
    wall = pieces.cylinder(radius=100 / math.pi)  # 200 mm round
    rows = [(0, False, k, 1, -1, -1, a * TURN / 200, 50.0, math.nan, 0.0, -1) for k, a in enumerate([10, 30, 90, 120])]
    band = changed(pieces.tufted_band(wall), points=pieces.points(wall, [pieces.work("guide")], rows))
    text = tables.to_text(mark_tables.tables(pieces.piece(wall, band)))
    assert "10, 30, 90, 120" in text


@pytest.mark.parametrize(
    ("places", "words"),
    [
        ([0, 50, 100, 150], "first at 0, then every 50, all round"),
        ([5, 55, 155], "first at 5, then every 50, all round, but not at 105"),
        ([0, 20, 40, 60], "first at 0, then every 20, up to number 4"),
        ([0, 10, 25, 60], "0, 10, 25, 60"),
        ([0, 10, 180], "0, 10, 180"),
        ([30, 90], "30, 90"),
        ([40, 40, 40], "40, 40, 40"),
    ],
)
def test_places_along_a_ring_200_mm_round(places: list[float], words: str) -> None:
    wall = pieces.cylinder(radius=100 / math.pi)
    rows = [(0, False, k, 1, -1, -1, a * TURN / 200, 50.0, math.nan, 0.0, -1) for k, a in enumerate(places)]
    band = changed(pieces.tufted_band(wall), points=pieces.points(wall, [pieces.work("guide")], rows))
    (row,) = csv.reader(io.StringIO(tables.to_csv([mark_tables.tables(pieces.piece(wall, band))[2]]).split("\n", 1)[1]))
    assert row[-1] == words


def test_csv_has_a_row_a_mark() -> None:
    piece = pieces.caddy()
    rows = list(csv.DictReader(io.StringIO(tables.to_csv([marks.records([piece])]))))
    kinds = [r["mark"] for r in rows]
    assert {k: kinds.count(k) for k in set(kinds)} == {
        "ring": 6 + 2,
        "vertical": 8 + 12,
        "point": 48 + 40 + 24,
        "line": 1,
    }
    (line,) = [r for r in rows if r["mark"] == "line"]
    assert line["depth_mm"] == "2"
    point = next(r for r in rows if r["mark"] == "point" and r["technique"] == "impress")
    assert (point["column"], point["row"], point["angle_deg"]) == ("1", "1", "22.5")
    assert (point["across_mm"], point["depth_mm"], point["lean_deg"]) == ("9", "2", "")


# ---------------------------------------------------------------- counts


def test_counts_of_a_canister() -> None:
    found = read(counts.as_json(pieces.canister()))
    by_technique = {t["technique"]: t for t in found["totals"]}
    assert list(by_technique) == ["impress", "roulette", "incise", "attach"]
    attach = by_technique["attach"]
    assert set(attach) == {
        "technique",
        "tool",
        "colour",
        "count",
        "length",
        "area",
        "volume",
        "impressions",
        "skipped",
        "sizes",
        "widths",
        "depths",
        "covered",
        "spares",
        "wet_volume",
        "minutes",
        "unpaced",
    }
    assert (by_technique["impress"]["sizes"], by_technique["impress"]["depths"]) == ([9], [2])
    assert (attach["sizes"], attach["depths"]) == ([], [])
    # an eighth of a US teaspoon each
    assert attach["volume"] == pytest.approx(42 * record("7.eighth_tsp")["expected"], abs=1e-6)
    assert (attach["count"], attach["skipped"], attach["length"]) == (42, 2, 0)
    assert attach["area"] == pytest.approx(42 * math.pi * 49, abs=1e-5)
    assert by_technique["incise"]["length"] == pytest.approx(12 * math.hypot(TURN * 60, 150), abs=0.01)
    (totals,) = (band["totals"] for band in found["bands"])
    assert [t | {"spares": None, "wet_volume": None} for t in found["totals"]] == totals


def test_own_lines_are_in_the_totals_alone() -> None:
    piece = pieces.caddy()
    found = read(counts.as_json(piece))
    (carve,) = [t for t in found["totals"] if t["technique"] == "carve"]
    assert carve["count"] == 1
    assert carve["length"] == pytest.approx(TURN * float(piece.form.wall.radius(135.0)), abs=1e-5)
    assert not any(t["technique"] == "carve" for b in found["bands"] for t in b["totals"])


def test_totals_are_the_sum_of_bands_and_own_lines() -> None:
    found = totals.count(pieces.caddy())
    for field in ("count", "length", "area", "volume", "impressions", "skipped"):
        bands = sum(getattr(t, field) for b in found.bands for t in b)
        own = sum(getattr(t, field) for t in found.totals if t.technique == "carve")
        assert sum(getattr(t, field) for t in found.totals) == pytest.approx(bands + own)


def test_an_outline_worked_over_counts_its_area_not_its_edge() -> None:
    (paint,) = [t for t in totals.count(pieces.caddy()).totals if t.technique == "paint"]
    assert (paint.count, paint.length, paint.area, paint.colour) == (12, 0.0, 1200.0, "cobalt")


def test_only_what_is_joined_on_is_clay_of_its_own() -> None:
    wall = pieces.cylinder()
    rows = [(0, True, 1, 1, -1, -1, 0.0, 50.0, 14.0, 0.0, -1)]
    band = changed(pieces.tufted_band(wall), points=pieces.points(wall, [pieces.work("impress", pieces.PELLET)], rows))
    (total,) = [t for t in totals.count(pieces.piece(wall, band)).totals if t.technique == "impress"]
    assert total.volume == 0.0


def test_what_was_only_skipped_has_a_row() -> None:
    wall = pieces.cylinder()
    band = changed(pieces.tufted_band(wall), skipped={("pierce", None, None): 3, ("guide", None, None): 0})
    found = totals.count(pieces.piece(wall, band)).totals
    assert [(t.technique, t.count, t.skipped) for t in found if t.technique in ("pierce", "guide")] == [
        ("pierce", 0, 3)
    ]


def test_counts_for_people_leave_out_empty_columns() -> None:
    text = tables.to_text(counts.tables(pieces.canister()))
    assert "Colour" not in text
    assert "9 mm across, 2 mm deep" in " ".join(tables.to_markdown(counts.tables(pieces.canister())).split())
    assert "Impressions" in text


def test_measures_of_one_kind_of_mark_are_gathered() -> None:
    wall = pieces.cylinder()
    works = [pieces.work("impress", depth=d) for d in (2.0, 1.0)]
    rows = [(k % 2, False, k, 1, -1, -1, float(k), 50.0, 4.0 + k, 0.0, -1) for k in range(6)]
    band = changed(pieces.tufted_band(wall), points=pieces.points(wall, works, rows))
    piece = pieces.piece(wall, band)
    (total,) = (t for t in read(counts.as_json(piece))["totals"] if t["technique"] == "impress")
    assert (total["count"], total["sizes"], total["depths"]) == (6, [4, 5, 6, 7, 8, 9], [1, 2])
    assert "4 to 9 mm across, 1 and 2 mm deep" in " ".join(tables.to_markdown(counts.tables(piece)).split())
    row = next(iter(csv.DictReader(io.StringIO(counts.csv_document(piece, "in")))))
    assert row["depths_in"] == "0.03937 0.07874"


# ---------------------------------------------------------------- data


def test_data_hold_marks_and_paths() -> None:
    piece = pieces.caddy()
    found = read(data.as_json(piece))
    wall = piece.form.wall
    assert found["form"]["tape_length"] == pytest.approx(wall.length, abs=1e-6)
    assert found["form"]["volume"] == pytest.approx(wall.volume / 1000, abs=1e-6)
    assert found["form"]["landmarks"]["belly"]["radius"] == pytest.approx(float(wall.radius(wall.belly)), abs=1e-6)
    assert found["bands"][0]["points"] == read(marks.as_json(piece))["bands"][0]["points"]
    path = found["bands"][0]["paths"][0]
    assert {"technique", "tool", "colour", "closed", "length", "area", "column", "row", "points"} <= set(path)
    angle, tape, height, radius = np.array(path["points"]).T
    # four decimals are kept
    assert np.radians(angle) == pytest.approx(piece.bands[0].paths[0].points[:, 0], abs=1e-6)
    assert radius == pytest.approx(wall.radius(tape), abs=2e-4)
    assert height == pytest.approx(wall.height(tape), abs=2e-4)
    assert len(found["bands"][1]["paths"][0]["holes"]) == 1
    assert [p["technique"] for p in found["paths"]] == ["carve"]
    assert found["reserves"][0]["facing"] == 90


def test_the_volume_of_a_cylinder() -> None:
    form = read(data.as_json(pieces.canister()))["form"]
    assert form["volume"] == pytest.approx(math.pi * 36 * 20, abs=1e-5)
    assert form["area"] == pytest.approx(TURN * 60 * 200, abs=1e-5)


def test_a_piece_without_bands() -> None:
    piece = pieces.piece(pieces.beaker())
    assert read(marks.as_json(piece))["bands"] == []
    assert read(counts.as_json(piece))["totals"] == []
    assert "nothing to mark" in tables.to_text(mark_tables.tables(piece))
    for backend in backends.BACKENDS:
        assert backend.run(piece).startswith(backend.begins)
