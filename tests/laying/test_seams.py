"""Nothing happens at the closing vertical: what lies across it, near it or all round is as anywhere else.

Each case is laid where vertical 1 is far away and where it runs through the middle of things; in the second the
reserves, which stay in the form's frame, are turned along.
"""

from __future__ import annotations

from math import cos, pi, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from motif.laying.piece import LaidBand
from tests.laying.bench import CONE, ball, lay_band, lengths, marks, paths, total
from tests.laying.test_properties import FORMS, QUICK, agree, measured

SQUARE = "grid columns 12 rows 6"
REACH = "from foot to tape 180 mm"

#: drawings about the point (P, 90 mm), P in place of a column
DRAWINGS = {
    "line": "carve from ({p} - 1, 3) line to ({p} + 1, 4)",
    "arc": "carve from ({p} - 1, 3) arc to ({p} + 1, 3) rise 1/4",
    "circle": "carve circle at ({p}, 3) across 1.5",
    "painted circle": "paint circle at ({p}, 3) across 1.5",
    "true circle": "carve circle at ({p}, 3) across 40 mm",
    "painted true circle": "paint circle at ({p}, 3) across 40 mm",
    "taut": "carve from ({p} - 1, 3) taut to ({p} + 2, 5)",
    "arc by length": "carve from ({p} - 1, 3) arc to ({p} + 1, 3) rise chord / 2",
    "rectangle": "paint rectangle from ({p} - 1, 2) to ({p} + 1, 4)",
    "offset": "path a = rectangle from ({p} - 1, 2) to ({p} + 1, 4) carve offset a outward by 5 mm",
    "offset of a line": "path a = from ({p} - 1, 1) line to ({p} + 1, 5) carve offset a both by 5 mm",
    "along": "path a = circle at ({p}, 3) across 40 mm impress dot along a every 6 mm",
    "clear of": "path a = circle at ({p}, 3) across 30 mm carve from ({p} - 3, 3) line to ({p} + 3, 3) clear of a"
    " by 4 mm",
    "ring clear of": "path a = circle at ({p}, 3) across 30 mm carve from (0, 3) line to (12, 3) clear of a by 4 mm",
    "clear of a dot": "path a = dot at ({p}, 3) carve from ({p} - 3, 3) line to ({p} + 3, 3.2) clear of a by 9 mm",
    "area clear of": "path a = circle at ({p}, 3) across 30 mm paint rectangle from ({p} - 1, 2) to ({p} + 1, 4)"
    " clear of a by 2 mm",
    "within": "path a = circle at ({p}, 3) across 60 mm carve from ({p} - 3, 3) line to ({p} + 3, 3) within a",
    "ring within": "path a = circle at ({p}, 3) across 60 mm carve from (0, 3) line to (12, 3) within a",
    "area within": "path a = circle at ({p}, 3) across 60 mm paint rectangle from ({p}, 2) to ({p} + 2, 4) within a",
    "drawn twice": "paint circle at ({p}, 3) across 1.5 paint circle at ({p} + 12, 3) across 1.5 carve from ({p},"
    " 1) line to ({p} + 1, 2)"
    " carve from ({p} - 11, 2) line to ({p} - 12, 1)",
    "joined": "carve from ({p} - 2, 3) line to ({p}, 3) carve from ({p} + 12, 3) line to ({p} + 14, 3)",
}


@pytest.mark.parametrize("form", ["can", "cone", "jar"])
@pytest.mark.parametrize("name", sorted(DRAWINGS))
def test_a_drawing_across_the_closing_vertical(name: str, form: str) -> None:
    rows = "rows 6"
    far, near = (
        lay_band(f"grid columns 12 {rows} once {{ {DRAWINGS[name].format(p=p)} }}", form=FORMS[form])
        for p in ("6", "12")
    )
    also = lay_band(f"grid columns 12 {rows} once {{ {DRAWINGS[name].format(p='0')} }}", form=FORMS[form])
    assert len(far.paths) == len(near.paths) == len(also.paths) and len(far.points) == len(near.points)
    assert sorted(lengths(near)) == pytest.approx(sorted(lengths(far)), rel=1e-6, abs=1e-4)
    assert sorted(lengths(also)) == pytest.approx(sorted(lengths(far)), rel=1e-6, abs=1e-4)
    assert sorted(p.area for p in near.paths) == pytest.approx(sorted(p.area for p in far.paths), rel=1e-6, abs=1e-4)


@pytest.mark.parametrize("name", sorted(DRAWINGS))
def test_a_reserve_across_the_closing_vertical(name: str) -> None:
    """The same reserve over the same drawing, half a turn away."""

    def cut(p: str, facing: int) -> LaidBand:
        return lay_band(
            f"{SQUARE} once {{ {DRAWINGS[name].format(p=p)} }}",
            REACH,
            piece=f'reserve "r" from tape 60 mm to tape 100 mm facing {facing} deg wide 30 mm',
        )

    far, near = cut("6", 190), cut("12", 10)
    assert total(lengths(near)) == pytest.approx(total(lengths(far)), rel=1e-6, abs=1e-3)
    assert total(p.area for p in near.paths) == pytest.approx(total(p.area for p in far.paths), rel=1e-5, abs=1e-3)
    assert len(near.points) == len(far.points)


@pytest.mark.parametrize("name", sorted(DRAWINGS))
def test_a_panel_across_the_closing_vertical(name: str) -> None:
    """Panels of 60° whose middle is the drawing's: the same, half a turn away."""
    rule = "each vertical where vertical = {v} {{ {d} }}"
    drawing = (
        DRAWINGS[name].replace("(0, ", "(-1, ").replace("(12, ", "(1, ") if name.startswith("ring") else DRAWINGS[name]
    )
    here = drawing.format(p="0")
    far = lay_band(f"{SQUARE} {rule.format(v=7, d=here)}", f"{REACH} only columns 6 to 7")
    near = lay_band(f"{SQUARE} {rule.format(v=1, d=here)}", f"{REACH} only columns 12 to 1")
    assert total(lengths(near)) == pytest.approx(total(lengths(far)), rel=1e-6, abs=1e-3)
    assert total(p.area for p in near.paths) == pytest.approx(total(p.area for p in far.paths), rel=1e-5, abs=1e-3)
    assert len(near.points) == len(far.points)


USES = [d.format(p="3/2") for n, d in sorted(DRAWINGS.items()) if not n.startswith("ring")]


@settings(QUICK, max_examples=16)
@given(
    st.sampled_from(["can", "cone", "jar", "ball"]),
    st.sampled_from(USES),
    st.integers(1, 359),
    st.sampled_from(["each 3 by 3 cells"]),
)
def test_totals_of_clay_do_not_depend_on_the_start(form: str, drawing: str, start: int, place: str) -> None:
    rule = f"{SQUARE} {place} {{ {drawing.replace(', 3)', ', 3/2)').replace(', 3.2)', ', 1.7)')} }}"
    a, b = (lay_band(rule, f"starting at {x} deg", FORMS[form]) for x in (0, start))
    agree(measured(a), measured(b), 1e-4)


# ---------------------------------------------------------------- distances on walls that are not flat


def test_what_is_left_on_a_cone_is_clear_by_the_unrolled_distance() -> None:
    """A lattice round a dot: every point left is at least 12 mm away in the unrolled sector, every end just so."""
    band = lay_band(
        "grid columns 12 rows 5 each cell { path a = dot at (6, 2) carve from (0, 0) line to (1, 1) }", form=CONE
    )
    assert band.paths
    rule = "once {{ path a = dot at (6, 5/2) {} }}"
    lines = " ".join(f"carve from ({k}, 0) line to ({k} + 3, 5) clear of a by 12 mm" for k in range(2, 8))
    band = lay_band(f"grid columns 12 rows 5 {rule.format(lines)}", form=CONE)

    def away(points: np.ndarray) -> np.ndarray:
        turn = (points[:, 0] - pi) * 0.8
        slant = 75 - points[:, 1]
        return np.sqrt(slant**2 + 50**2 - 2 * slant * 50 * np.cos(turn))

    least = [float(away(p.points).min()) for p in band.paths]
    assert min(least) >= 12 - 2e-3
    cut_ends = [float(away(p.points)[i]) for p in band.paths for i in (0, -1) if 0.1 < p.points[i, 1] < 49.9]
    assert len(cut_ends) >= 4 and cut_ends == pytest.approx([12] * len(cut_ends), abs=5e-3)


def test_a_parallel_on_a_ball_is_everywhere_as_far() -> None:
    """Of the equator's arc: a parallel of latitude; of a meridian: the small circle 10 mm beside it."""
    form = ball(75, -70, 70, 160)
    tape = 75 * radians(70)
    band = lay_band(
        f"grid columns 12 rows 1 once {{ path a = from (0, {tape:.9f} mm) line to (90 deg, {tape:.9f} mm)"
        " carve offset a by 10 mm }",
        form=form,
    )
    assert band.paths[0].points[:, 1] == pytest.approx([tape + 10] * len(band.paths[0].points), abs=0.01)
    assert lengths(band) == pytest.approx([75 * pi / 2 * cos(10 / 75)], abs=0.02)
    low, high = (75 * radians(x + 70) for x in (-30, 30))
    band = lay_band(
        f"grid columns 12 rows 1 once {{ path a = from (1, {low:.9f} mm) line to (1, {high:.9f} mm)"
        " carve offset a by 10 mm }",
        form=form,
    )
    # points at angular distance 10/75 from the meridian's plane: cos(lat) sin(Δlon) = sin(10/75)
    p = band.paths[0].points
    lat, turn = p[:, 1] / 75 - radians(70), radians(30) - p[:, 0]
    assert np.cos(lat) * np.sin(turn) == pytest.approx([sin(10 / 75)] * len(p), abs=2e-4)


def test_a_lattices_parallel_on_a_can() -> None:
    """Both parallels of a lattice one way: strokes as long as the lattice's own, all from edge to edge."""
    band = lay_band(f"{SQUARE} each cell {{ path a = from (0, 0) line to (1, 1) carve offset a both by 5 mm }}", REACH)
    assert lengths(band) == pytest.approx([180 * sqrt(2)] * 24, abs=1e-2)


def test_marks_along_rings_all_round_begin_anywhere_but_are_even() -> None:
    band = lay_band(
        f"{SQUARE} each ring {{ path a = along impress dot along a every 29 mm }}", f"{REACH} starting at 50 deg"
    )
    for k in range(7):
        angle = sorted(a for a, s in marks(band) if s == 30 * k)
        assert len(angle) == 12 and np.diff(angle) == pytest.approx([30] * 11, abs=1e-4)


def test_marks_along_in_a_reserve_are_skipped() -> None:
    band = lay_band(
        f"{SQUARE} each ring where ring = 3 {{ path a = along impress dot along a every 30 mm }}",
        REACH,
        piece='reserve "r" from tape 60 mm to tape 120 mm facing 45 deg wide 40 mm',
    )
    assert len(band.points) == 10 and sum(band.skipped.values()) == 2  # those at 30° and 60°


def test_roulettes_are_counted_on_what_is_left() -> None:
    """A ring of 360 mm of which a reserve takes 40: 320 mm at 4 mm are 80 impressions, 360 would be 90."""
    band = lay_band(
        f"{SQUARE} each ring where ring = 3 {{ roulette along pitch 4 mm }}",
        REACH,
        piece='reserve "r" from tape 60 mm to tape 120 mm facing 0 deg wide 40 mm',
    )
    assert [p.impressions for p in paths(band)] == [80]


def test_half_drop_images_of_true_sizes() -> None:
    """A circle of 20 mm cut off at the top comes in below: whole areas stay."""
    band = lay_band(
        "grid columns 4 rows 2 shifted 1/2 each column each cell { paint circle at (1/2, 1/2) across 20 mm }"
    )
    assert total(p.area for p in band.paths) == pytest.approx(8 * 100 * pi, rel=1e-5)
    band = lay_band(
        "grid columns 4 rows 2 shifted 1/2 each column each cell { path a = circle at (1/2, 1/2) across"
        " 20 mm"
        " carve a incise offset a outward by 5 mm }"
    )
    assert total(lengths(band, "carve")) == pytest.approx(8 * 20 * pi, rel=1e-5)
    assert total(lengths(band, "incise")) == pytest.approx(8 * 30 * pi, rel=1e-4)


def test_every_copy_counts_over_the_closing_vertical() -> None:
    """Cell 12's line reaches into cell 1 and keeps clear of the circle there."""
    band = lay_band(
        f"{SQUARE} each cell where row = 3 {{ path hole = circle at (1/2, 1/2) across 10 mm"
        " carve from (0, 0.4) line to (3/2, 0.4) clear of hole by 2 mm }",
        REACH,
    )
    gone = 2 * sqrt(7**2 - 3**2)  # the chord of the circle of 7 mm, 3 mm off its middle
    spans = lay_band(f"{SQUARE} each cell where row = 3 {{ carve from (0, 0.4) line to (3/2, 0.4) }}", REACH)
    assert total(lengths(band)) <= total(lengths(spans)) - 12 * gone + 0.1
    for p in band.paths:
        x = np.degrees(p.points[:, 0]) % 30 - 15
        assert np.all(np.hypot(x, 3) >= 7 - 0.01)
