"""Where rules work: cells, groups, crossings, rings, verticals; how they are numbered, moved and counted downward.

On the can a column of 12 is 30 mm (30°) wide and a row of 8 is 25 mm high.
"""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from motif.laying.piece import LaidBand
from tests.laying.bench import CONE, PLATE, ends, errors, lay_band, lengths, marks, paths, source, the_error

UP, DOWN = "from foot to rim", "from rim to foot"


def numbered(band: LaidBand) -> list[tuple[int, int, float, float]]:
    """(column, row, angle, tape) of the point marks."""
    return [(int(c), int(r), *m) for c, r, m in zip(band.points.column, band.points.row, marks(band), strict=True)]


def crossed(band: LaidBand) -> list[tuple[int, int, float, float]]:
    """(vertical, ring, angle, tape) of the point marks."""
    return [(int(v), int(r), *m) for v, r, m in zip(band.points.vertical, band.points.ring, marks(band), strict=True)]


# ---------------------------------------------------------------- plain grids


def test_cells_come_row_by_row_column_by_column() -> None:
    band = lay_band("grid columns 3 rows 2 each cell { guide dot at (0, 0) }")
    assert numbered(band) == [(c, r, 120.0 * (c - 1), 100.0 * (r - 1)) for r in (1, 2) for c in (1, 2, 3)]


def test_downward_rows_are_counted_from_above_and_drawings_stay_upright() -> None:
    """(0, 0) of a cell is its lower left also in a band counted downward."""
    band = lay_band("grid columns 3 rows 2 each cell { guide dot at (1/4, 1/4) }", DOWN)
    assert numbered(band) == [(c, r, 120.0 * (c - 1) + 30, 125.0 - 100 * (r - 1)) for r in (1, 2) for c in (1, 2, 3)]


def test_rings_and_crossings() -> None:
    band = lay_band("grid columns 3 rows 2 each crossing { guide dot at (0, 0) }")
    assert crossed(band) == [(v, r, 120.0 * (v - 1), 100.0 * r) for r in (0, 1, 2) for v in (1, 2, 3)]
    band = lay_band("grid columns 3 rows 2 each crossing { guide dot at (0, 0) }", DOWN)
    assert crossed(band) == [(v, r, 120.0 * (v - 1), 200 - 100.0 * r) for r in (0, 1, 2) for v in (1, 2, 3)]


def test_once_is_the_lower_left_corner_of_the_grid() -> None:
    for band in (UP, DOWN):
        laid = lay_band("grid columns 3 rows 2 once { guide dot at (1/2, 1/2) }", f"{band} starting at 10 deg")
        assert marks(laid) == [(70.0, 50.0)]
        assert laid.points.column.tolist() == laid.points.row.tolist() == [-1]
        assert laid.points.vertical.tolist() == laid.points.ring.tolist() == [-1]


def test_rings_and_verticals_as_whole_lines() -> None:
    grid = "grid columns 4 rows 2 each ring { carve along } each vertical { incise along }"
    for reach in (UP, DOWN):
        band = lay_band(grid, reach, form=CONE)
        assert sorted(lengths(band, "carve")) == pytest.approx([2 * pi * r for r in (20, 40, 60)], abs=1e-6)
        assert all(p.closed for p in paths(band, "carve"))
        assert lengths(band, "incise") == pytest.approx([50] * 4, abs=1e-6)
        assert [ends(p)[1::2] for p in paths(band, "incise")] == [
            (0.0, 50.0)
        ] * 4  # up, also in a band counted downward


def test_drawings_at_rings_and_verticals_start_at_their_left_and_lower_ends() -> None:
    body = "grid columns 4 rows 2 each ring { guide dot at (1/2, 1/4) } each vertical { guide dot at (1/4, 1/2) }"
    for reach, rings in ((UP, (0, 1)), (DOWN, (1, 2))):
        band = lay_band(body, reach)
        at = {(r, v): m for (v, r, *m) in crossed(band)}
        assert (
            [at[r, -1] for r in rings] == [[45.0, 25.0], [45.0, 125.0]]
            if reach == UP
            else [[45.0, 125.0], [45.0, 25.0]]
        )
        assert [at[-1, v] for v in (1, 2, 3, 4)] == [[22.5 + 90 * k, 50.0] for k in range(4)]
        assert band.skipped == {("guide", None, None): 1}  # the dot a quarter row above the topmost ring


# ---------------------------------------------------------------- groups


def test_groups_start_at_their_first_cell() -> None:
    band = lay_band("grid columns 6 rows 4 each 3 by 2 cells { guide dot at (3/2, 1) }")
    assert numbered(band) == [(c, r, 60.0 * (c - 1) + 90, 50.0 * (r - 1) + 50) for r in (1, 3) for c in (1, 4)]


def test_groups_downward_are_counted_from_above() -> None:
    # five rows of 40 mm: groups of two take rows 1–2 and 3–4 from the top, the lowest row stays plain
    band = lay_band("grid columns 6 rows 5 each 3 by 2 cells { guide dot at (0, 0) }", DOWN)
    assert numbered(band) == [(c, r, 60.0 * (c - 1), 200 - 40.0 * (r + 1)) for r in (1, 3) for c in (1, 4)]


def test_groups_must_divide_the_columns() -> None:
    found = the_error(source("grid columns 7 rows 4 each 2 by 1 cells { guide dot at (0, 0) }"))
    assert found.code == "does-not-close" and "7" in found.words and "2" in found.words
    assert found.underlined.startswith("each 2 by 1 cells")


@pytest.mark.parametrize(
    ("group", "code"),
    [("0 by 1", "out-of-range"), ("1 by -1", "out-of-range"), ("3/2 by 1", "wrong-kind"), ("2 mm by 1", "wrong-kind")],
)
def test_group_sizes_are_whole_and_above_0(group: str, code: str) -> None:
    assert the_error(source(f"grid columns 6 rows 4 each {group} cells {{ guide dot at (0, 0) }}")).code == code


def test_a_group_may_be_the_whole_band() -> None:
    band = lay_band("grid columns 6 rows 4 each columns by rows cells { guide dot at (3, 2) }")
    assert numbered(band) == [(1, 1, 180.0, 100.0)]


def test_a_group_taller_than_the_band_makes_nothing() -> None:
    text = source("grid columns 6 rows 4 each 1 by 5 cells { guide dot at (0, 0) }")
    assert not errors(text)
    assert len(lay_band("grid columns 6 rows 4 each 1 by 5 cells { guide dot at (0, 0) }").points) == 0


# ---------------------------------------------------------------- brickwork


def test_brickwork() -> None:
    band = lay_band("grid columns 4 rows 3 shifted 1/2 each row each cell { guide dot at (0, 0) }")
    assert numbered(band) == [
        (c, r, (90.0 * (c - 1) + (45 if r == 2 else 0)), round(200 / 3 * (r - 1), 6))
        for r in (1, 2, 3)
        for c in (1, 2, 3, 4)
    ]


def test_a_third_each_row_keeps_columns_over_one_another() -> None:
    """Row k is moved (k − 1)/3 columns; a cell is numbered by where its lower left lies, so row 4, moved by one
    whole column, stands like row 1."""
    band = lay_band("grid columns 4 rows 4 shifted 1/3 each row each cell { guide dot at (0, 0) }")
    assert numbered(band) == [
        (c, r, 90.0 * (c - 1) + (0, 30, 60, 0)[r - 1], 50.0 * (r - 1)) for r in (1, 2, 3, 4) for c in (1, 2, 3, 4)
    ]


def test_a_shift_to_the_left() -> None:
    # −1/4 of a column: cell c of row 2 begins at 3/4 of the column before
    band = lay_band("grid columns 4 rows 2 shifted -1/4 each row each cell { guide dot at (0, 0) }")
    assert numbered(band)[4:] == [(c, 2, 90.0 * (c - 1) + 67.5, 100.0) for c in (1, 2, 3, 4)]


def test_brickwork_downward_leaves_the_top_row() -> None:
    band = lay_band("grid columns 4 rows 2 shifted 1/2 each row each cell { guide dot at (0, 0) }", DOWN)
    assert numbered(band) == (
        [(c, 1, 90.0 * (c - 1), 100.0) for c in (1, 2, 3, 4)] + [(c, 2, 90.0 * (c - 1) + 45, 0.0) for c in (1, 2, 3, 4)]
    )


def test_a_crossing_goes_with_the_row_it_begins() -> None:
    """Ring k is the lower edge of row k + 1, and above the last ring row rows + 1 would be moved on."""
    band = lay_band("grid columns 4 rows 2 shifted 1/2 each row each crossing { guide dot at (0, 0) }")
    assert crossed(band) == [
        (v, r, 90.0 * (v - 1) + (45 if r == 1 else 0), 100.0 * r) for r in (0, 1, 2) for v in (1, 2, 3, 4)
    ]


def test_a_crossing_downward_goes_with_the_row_below_it() -> None:
    band = lay_band("grid columns 4 rows 2 shifted 1/2 each row each crossing { guide dot at (0, 0) }", DOWN)
    assert crossed(band) == [
        (v, r, 90.0 * (v - 1) + (45 if r == 1 else 0), 200 - 100.0 * r) for r in (0, 1, 2) for v in (1, 2, 3, 4)
    ]


def test_verticals_in_brickwork_are_a_line_a_row() -> None:
    band = lay_band("grid columns 4 rows 2 shifted 1/2 each row each vertical { carve along }")
    assert sorted(ends(p) for p in paths(band)) == sorted(
        (90.0 * k + (45 if r else 0), 100.0 * r, 90.0 * k + (45 if r else 0), 100.0 * (r + 1))
        for k in range(4)
        for r in (0, 1)
    )


def test_rings_in_brickwork_stay_whole() -> None:
    band = lay_band("grid columns 4 rows 2 shifted 1/2 each row each ring { carve along }")
    assert lengths(band) == pytest.approx([360] * 3, abs=1e-6)


def test_all_else_in_verticals_is_not_moved() -> None:
    band = lay_band(
        "grid columns 4 rows 2 shifted 1/2 each row each vertical { guide dot at (0, 3/2) } once { "
        "guide dot at (1, 3/2) }"
    )
    assert marks(band) == [(90.0 * k, 150.0) for k in range(4)]  # the dot of 'once' is the second of these, made once


def test_groups_move_with_their_first_cell() -> None:
    # groups of two rows: the second group's first cell is in row 3, moved 2 × 1/2 columns
    band = lay_band("grid columns 4 rows 4 shifted 1/2 each row each 2 by 2 cells { guide dot at (0, 0) }")
    assert numbered(band) == [(1, 1, 0.0, 0.0), (3, 1, 180.0, 0.0), (2, 3, 90.0, 100.0), (4, 3, 270.0, 100.0)]


def test_a_drawing_is_moved_never_sheared() -> None:
    band = lay_band("grid columns 4 rows 2 shifted 1/2 each row each cell { carve from (0, 0) line to (0, 1) }")
    assert sorted(ends(p) for p in paths(band))[:2] == [(0.0, 0.0, 0.0, 100.0), (45.0, 100.0, 45.0, 200.0)]


# ---------------------------------------------------------------- half-drop


def test_half_drop() -> None:
    """Column 2 is moved half a row up; the half that leaves above comes in below."""
    band = lay_band("grid columns 4 rows 2 shifted 1/2 each column each cell { guide dot at (0, 1/4) }")
    # cell (2, 2) reaches from 150 to 250: its dot at 175 stays; none is lost
    assert sorted(numbered(band)) == sorted(
        (c, r, 90.0 * (c - 1), 100.0 * (r - 1) + 25 + (50 if c % 2 == 0 else 0)) for c in (1, 2, 3, 4) for r in (1, 2)
    )


def test_what_half_drop_cuts_off_above_comes_in_below() -> None:
    band = lay_band("grid columns 4 rows 2 shifted 1/2 each column each cell { guide dot at (0, 3/4) }")
    assert sorted(marks(band)) == sorted(
        (90.0 * k, s) for k in range(4) for s in ((75, 175) if k % 2 == 0 else (25, 125))
    )
    assert not band.skipped


def test_lines_of_a_half_drop_are_cut_and_filled_in() -> None:
    band = lay_band(
        "grid columns 4 rows 2 shifted 1/2 each column each cell { carve from (1/2, 0.1) line to (1/2, 0.9) }"
    )
    got = sorted((ends(p)[0], ends(p)[1], ends(p)[3]) for p in paths(band))
    wanted = [(45.0 + 90 * k, 10.0, 90.0) for k in (0, 2)] + [(45.0 + 90 * k, 110.0, 190.0) for k in (0, 2)]
    for k in (1, 3):  # cells from 50 to 150 and from 150 to 250; of the latter 160–200 stays, 200–240 comes in at 0–40
        wanted += [(45.0 + 90 * k, 60.0, 140.0), (45.0 + 90 * k, 160.0, 200.0), (45.0 + 90 * k, 0.0, 40.0)]
    assert got == sorted(wanted)
    assert sum(lengths(band)) == pytest.approx(8 * 80, abs=1e-6)


def test_outlines_of_a_half_drop_keep_their_area() -> None:
    band = lay_band(
        "grid columns 4 rows 2 shifted 1/2 each column each cell { paint rectangle from (0.2, 0.1) to (0.8, 0.9) }"
    )
    assert sum(p.area for p in band.paths) == pytest.approx(8 * 54 * 80, abs=1e-3)
    assert len(band.paths) == 10  # two of the eight are in two parts


def test_a_third_drop_of_three_columns_closes() -> None:
    band = lay_band("grid columns 3 rows 2 shifted 1/3 each column each cell { guide dot at (0, 0) }")
    assert sorted(numbered(band)) == sorted(
        (c, r, 120.0 * (c - 1), round(100.0 * (r - 1) + 100 / 3 * (c - 1), 6)) for c in (1, 2, 3) for r in (1, 2)
    )


@pytest.mark.parametrize(("columns", "shift"), [(5, "1/2"), (4, "1/3"), (7, "0.3")])
def test_a_drop_that_does_not_come_back(columns: int, shift: str) -> None:
    found = the_error(
        source(f"grid columns {columns} rows 2 shifted {shift} each column each cell {{ guide dot at (0, 0) }}")
    )
    assert (found.code, found.underlined) == ("does-not-close", f"shifted {shift} each column")


def test_crossings_of_a_half_drop_go_with_the_column_to_their_right() -> None:
    band = lay_band("grid columns 4 rows 2 shifted 1/2 each column each crossing { guide dot at (0, 0) }")
    assert sorted(marks(band)) == sorted(
        (90.0 * k, s) for k in range(4) for s in ((0, 100, 200) if k % 2 == 0 else (50, 150))
    )


def test_rings_of_a_half_drop_are_a_line_a_column() -> None:
    band = lay_band("grid columns 4 rows 2 shifted 1/2 each column each ring { carve along }")
    got = sorted((ends(p)[0], ends(p)[1], p.length) for p in paths(band))
    wanted = [(90.0 * k, s, 90.0) for k in range(4) for s in ((0.0, 100.0, 200.0) if k % 2 == 0 else (50.0, 150.0))]
    assert [g[:2] for g in got] == [w[:2] for w in sorted(wanted)]
    assert [g[2] for g in got] == pytest.approx([90] * len(wanted), abs=1e-6)


def test_half_drops_still_move_up_in_a_band_counted_downward() -> None:
    band = lay_band(
        "grid columns 4 rows 2 shifted 1/2 each column each cell where row = 1 { guide dot at (0, 0) }", DOWN
    )
    # row 1 is the upper one, 100 to 200; column 2 is moved up to begin at 150
    assert sorted(marks(band)) == [(0.0, 100.0), (90.0, 150.0), (180.0, 100.0), (270.0, 150.0)]


@pytest.mark.parametrize(("reach", "numbers"), [
    # 4 rows of 50 mm; groups two rows high, in even columns one row higher: lower ends at 50 and 150, the last one's
    # upper cell filled in below. Counted from the foot they begin in rows 1, 3 and 2, 4.
    (UP, [(1, 1), (3, 1), (2, 2), (4, 2), (1, 3), (3, 3), (2, 4), (4, 4)]),
    # Counted from the rim the first cell is the upper one: at 150 (row 1) and 50 (row 3); at 100 (row 2) and, filled
    # in below, 0 (row 4).
    (DOWN, [(1, 1), (3, 1), (2, 2), (4, 2), (1, 3), (3, 3), (2, 4), (4, 4)]),
])  # fmt: skip
def test_high_groups_of_a_half_drop_are_numbered_by_their_first_cells_row_by_row(
    reach: str, numbers: list[tuple[int, int]]
) -> None:
    band = lay_band("grid columns 4 rows 4 shifted 1 each column each 1 by 2 cells { guide dot at (0, 1/4) }", reach)
    assert [(c, r) for c, r, _, _ in numbered(band)] == numbers


def test_a_first_cell_filled_in_at_the_other_end_has_the_size_it_has_there() -> None:
    """On the cone, radius 60 to 20 mm over 50 mm of wall in 4 rows, from the rim: groups as above, so the first cell of
    column 2, row 4 lies at the foot, and half-way up it the radius is 55 mm: a quarter of the way round is 86.39."""
    widths = scope("each 1 by 2 cells", "cell-width", CONE, DOWN, "columns 4 rows 4 shifted 1 each column")
    assert widths == pytest.approx([np.pi / 2 * r for r in (25, 25, 35, 35, 45, 45, 55, 55)], abs=1e-6)


def test_verticals_of_a_half_drop_stay_whole() -> None:
    assert lengths(
        lay_band("grid columns 4 rows 2 shifted 1/2 each column each vertical { carve along }")
    ) == pytest.approx([200] * 4, abs=1e-6)


# ---------------------------------------------------------------- names in scope


def scope(where: str, name: str, form: str = CONE, band: str = UP, grid: str = "columns 6 rows 2") -> list[float]:
    """What a name means at each place where a dot is made, read off the dots' sizes (mm)."""
    unit = "" if name.startswith("cell") else " * 1 mm"
    laid = lay_band(f"grid {grid} {where} {{ impress dot at (0, 0) across {name}{unit} }}", band, form)
    return [float(x) for x in laid.points.across]


def test_counts_in_scope() -> None:
    assert set(scope("each cell", "columns")) == {6.0}
    assert set(scope("each ring", "rows")) == {2.0}
    assert set(scope("once", "(columns + rows)")) == {8.0}
    assert scope("each vertical", "vertical") == [1, 2, 3, 4, 5, 6]
    assert scope("each ring", "(ring + 1)") == [1, 2, 3]
    assert scope("each cell", "(column + 10 * row)") == [c + 10 * r for r in (1, 2) for c in range(1, 7)]
    assert scope("each crossing", "(vertical + 10 * (ring + 1))") == [
        v + 10 * r for r in (1, 2, 3) for v in range(1, 7)
    ]


def test_cell_width_is_taken_half_way_up_the_cell() -> None:
    # middles of the two rows have radius 50 and 30 mm
    assert scope("each cell where column = 1", "cell-width") == pytest.approx(
        [2 * pi * 50 / 6, 2 * pi * 30 / 6], abs=1e-9
    )
    assert scope("each cell where column = 1", "cell-width", band=DOWN) == pytest.approx(
        [2 * pi * 30 / 6, 2 * pi * 50 / 6]
    )
    assert scope("each cell where column = 1", "cell-height") == pytest.approx([25, 25], abs=1e-9)


def test_half_way_up_is_half_way_in_b() -> None:
    """Proportional rows: half-way in b is half-way in σ, so the radius there is the geometric mean."""
    got = scope("each cell where column = 1", "cell-width", grid="columns 12 rows proportional 1 : 1")
    assert got == pytest.approx([2 * pi / 12 * 60 * 3 ** (-(k + 0.5) / 3) for k in range(3)], abs=1e-6)


def test_cells_at_crossings_and_rings() -> None:
    """The column to the right at that ring, the row above; at the last ring the row below."""
    grid = "columns 4 spaced 3 : 1 rows 2 spaced 3 : 1"  # columns 3/8 and 1/8 of the way round, rows 37.5 and 12.5 mm
    wide = [2 * pi * r * k for r in (60, 30, 20) for k in (3 / 8, 1 / 8, 3 / 8, 1 / 8)]
    assert scope("each crossing", "cell-width", grid=grid) == pytest.approx(wide, abs=1e-9)
    assert scope("each crossing where vertical = 1", "cell-height", grid=grid) == pytest.approx(
        [37.5, 12.5, 12.5], abs=1e-9
    )
    assert scope("each ring", "cell-width", grid=grid) == pytest.approx(
        [2 * pi * r * 3 / 8 for r in (60, 30, 20)], abs=1e-9
    )
    assert scope("each ring", "cell-height", grid=grid) == pytest.approx([37.5, 12.5, 12.5], abs=1e-9)


def test_a_group_reads_its_first_cell() -> None:
    grid = "columns 4 spaced 3 : 1 rows 4"
    assert scope("each 2 by 2 cells where column = 1", "cell-width", grid=grid) == pytest.approx(
        [2 * pi * r * 3 / 8 for r in (55, 35)], abs=1e-9
    )
    # downward the first cell is the upper one: rows 1 and 3 have their middles at radius 25 and 45
    assert scope("each 2 by 2 cells where column = 1", "cell-width", grid=grid, band=DOWN) == pytest.approx(
        [2 * pi * r * 3 / 8 for r in (25, 45)], abs=1e-9
    )


@pytest.mark.parametrize(("where", "name"), [
    ("each vertical", "cell-width"), ("once", "cell-height"), ("each cell", "ring"), ("each crossing", "row"),
    ("once", "column"), ("each vertical", "ring"), ("each ring", "vertical"),
])  # fmt: skip
def test_names_that_a_place_does_not_have(where: str, name: str) -> None:
    unit = "" if name.startswith("cell") else " * 1 mm"
    found = the_error(source(f"grid columns 6 rows 2 {where} {{ impress dot at (0, 0) across {name}{unit} }}"))
    assert (found.code, found.underlined, found.line) == ("unknown-name", name, 3)


def test_where_leaves_places_out() -> None:
    band = lay_band("grid columns 6 rows 4 each cell where odd(column + row) and row > 2 { guide dot at (0, 0) }")
    assert [(c, r) for c, r, *_ in numbered(band)] == [(2, 3), (4, 3), (6, 3), (1, 4), (3, 4), (5, 4)]


def test_a_ring_of_radius_0_has_one_crossing() -> None:
    band = lay_band("grid columns 6 rows 2 each crossing { guide dot at (0, 0) }", form=PLATE)
    assert [sum(1 for r in band.points.ring if r == k) for k in (0, 1, 2)] == [1, 6, 6]


def test_positions_are_numpy_floats_in_the_band() -> None:
    band = lay_band("grid columns 6 rows 4 each cell { guide dot at (1/2, 1/2) }", "from tape 20 mm to tape 120 mm")
    assert np.all((band.points.tape > 20) & (band.points.tape < 120)) and np.all(band.points.angle < 2 * pi)
