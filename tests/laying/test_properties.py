"""What holds for every pattern, tried on many: nothing depends on where a band starts, grids close, clay scales,
texts of quantities read back, and no small motif breaks the laying.
"""

from __future__ import annotations

from collections import Counter
from math import pi

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

import motif
from motif.laying.piece import LaidBand
from tests.laying.bench import CAN, CONE, PLATE, WAIST, ball, lay, lay_band, said, source

QUICK = settings(deadline=None, derandomize=True, max_examples=25, suppress_health_check=[HealthCheck.too_slow])

JAR = (
    "form jar { profile smooth { at 0 mm across 84 mm at 40 mm across 122 mm at 95 mm around 471 mm"
    " at 150 mm across 80 mm at 182 mm across 110 mm } }"
)
FORMS = {"can": CAN, "cone": CONE, "waist": WAIST, "jar": JAR, "ball": ball(75, -50, 60, 48)}

# ---------------------------------------------------------------- texts, made at random

number = st.sampled_from(["0", "1/4", "1/3", "1/2", "0.7", "3/4", "1"])
length = st.sampled_from(["2 mm", "-3 mm", "5 mm", "1/4 in", "0 mm"])
coordinate = st.one_of(number, number, length)
point = st.builds("({}, {})".format, coordinate, coordinate)
cells_point = st.builds("({}, {})".format, number, number)
segment = st.one_of(
    st.builds("line to {}".format, point),
    st.builds("taut to {}".format, point),
    st.builds("arc to {} rise {}".format, point, st.sampled_from(["1/4", "-1/5", "0.6", "2 mm", "chord / 2"])),
    st.builds("curve to {} leaving {} arriving {}".format, point, point, point),
)
line = st.builds(
    "from {} {}{}".format,
    point,
    st.lists(segment, min_size=1, max_size=3).map(" ".join),
    st.sampled_from(["", "", " close"]),
)
outline = st.one_of(
    st.builds("circle at {} across {}".format, point, st.sampled_from(["1/2", "0.9", "8 mm", "15 mm"])),
    st.builds("rectangle from {} to {}".format, cells_point, st.sampled_from(["(2, 2)", "(1.2, 1/5)", "(-1/2, 3/2)"])),
)
technique = st.sampled_from(["guide", "incise", "carve", "trail", "paint", "impress", "attach"])
mark = st.one_of(
    st.builds("impress dot at {}{}".format, point, st.sampled_from(["", " across 3 mm"])),
    st.builds("attach nib at {} tilted {} deg".format, point, st.integers(-180, 180)),
)
work = st.one_of(mark, st.builds("{} {}".format, technique, st.one_of(line, outline)))
move = st.sampled_from(
    [
        "",
        " rotated 3 times",
        " mirrored left-right",
        " mirrored both ways",
        " reversed top-bottom",
        " rotated 90 deg",
        " moved by (1/2, -1/4)",
        " rotated 2 times moved by (3 mm, 0 mm)",
    ]
)
statement = st.one_of(
    work,
    st.builds("draw {{ {} }}{}".format, work, move),
    st.builds("if even(column + row) {{ {} }} otherwise {{ {} }}".format, work, work),
    st.builds("repeat 2 as k {{ {} }}".format, work),
)
body = st.lists(statement, min_size=1, max_size=3).map(" ".join)
columns = st.sampled_from(["columns 6", "columns 6 spaced 3 : 1", "columns near 40 mm multiple of 2"])
rows = st.sampled_from(["rows 3", "rows every 15 mm", "rows 4 spaced 1 : 2", "rows proportional 1 : 1"])
shift = st.sampled_from(["", "", " shifted 1/2 each row", " shifted 1/2 each column"])
grid = st.builds("grid {} {}{}".format, columns, rows, shift)
NIB = "tool nib { outline from (-2 mm, 0 mm) line to (2 mm, 0 mm) line to (0 mm, 8 mm) close }"


def measured(band: LaidBand) -> dict[str, float]:
    """Totals of a band: lengths, areas, marks by technique."""
    found: Counter[str] = Counter()
    for p in band.paths:
        found[f"{p.work.technique} length"] += 0.0 if p.worked_over else p.length  # type: ignore[assignment]
        found[f"{p.work.technique} area"] += p.area  # type: ignore[assignment]
    for w in band.points.work:
        found[f"{band.points.works[int(w)].technique} marks"] += 1
    return dict(found)


def laid_or_none(text: str) -> LaidBand | None:
    """The first band, None where the text has errors; whatever else goes wrong is raised."""
    document = motif.loads(text)
    piece = document.lay(document.pieces[0])
    return None if piece is None else piece.bands[0]


def agree(a: dict[str, float], b: dict[str, float], tolerance: float = 1e-4) -> None:
    keys = {k for k in a | b if a.get(k, 0) > 0.02 or b.get(k, 0) > 0.02}
    assert {k: a.get(k, 0) for k in keys} == pytest.approx({k: b.get(k, 0) for k in keys}, rel=tolerance, abs=0.02)


# ---------------------------------------------------------------- nothing breaks


@settings(QUICK, max_examples=120)
@given(
    st.sampled_from(sorted(FORMS)),
    grid,
    body,
    st.sampled_from(["each cell", "each 2 by 1 cells"]),
    st.sampled_from(["from foot to rim", "from rim to foot", "only columns 2 to 4", "starting at 40 deg"]),
    st.sampled_from(["", 'reserve "r" from foot + 10 mm to rim - 10 mm facing 30 deg wide 25 mm']),
)
def test_no_small_motif_breaks_the_laying(form: str, grid: str, body: str, place: str, band: str, piece: str) -> None:
    """It is laid, or told in messages what is wrong; never another exception, never a number that is none."""
    laid = laid_or_none(source(f"{grid} {place} {{ {body} }}", band, FORMS[form], NIB, piece))
    if laid is None:
        return
    low, high = sorted((laid.from_tape, laid.to_tape))
    for p in laid.paths:
        assert np.all(np.isfinite(p.points)) and np.isfinite(p.length) and p.area >= 0 and len(p.points) >= 2
        if p.work.technique != "attach":
            assert np.all((p.points[:, 1] >= low - 1e-6) & (p.points[:, 1] <= high + 1e-6))
    assert np.all(np.isfinite(laid.points.angle)) and np.all((laid.points.angle >= 0) & (laid.points.angle < 2 * pi))


@settings(QUICK, max_examples=30)
@given(grid, body)
def test_a_plate_from_its_middle_does_not_break_it_either(grid: str, body: str) -> None:
    laid = laid_or_none(source(f"{grid} each cell {{ {body} }}", "from foot to rim", PLATE, NIB))
    assert laid is None or all(np.all(np.isfinite(p.points)) for p in laid.paths)


# ---------------------------------------------------------------- where a band starts


@settings(QUICK, max_examples=40)
@given(st.sampled_from(sorted(FORMS)), grid, body, st.integers(-400, 400))
def test_totals_do_not_depend_on_the_start(form: str, grid: str, body: str, start: int) -> None:
    rule = f"{grid} each cell {{ {body} }}"
    at_0 = laid_or_none(source(rule, "starting at 0 deg", FORMS[form], NIB))
    assume(at_0 is not None)
    turned = laid_or_none(source(rule, f"starting at {start} deg", FORMS[form], NIB))
    assert at_0 is not None and turned is not None
    agree(measured(at_0), measured(turned))


SYMMETRIC = [
    "carve circle at (1/2, 1/2) across 0.8",
    "paint circle at (1/2, 1/2) across 0.7",
    "impress dot at (1/2, 1/2)",
    "carve rectangle from (1/4, 1/4) to (3/4, 3/4)",
    "paint rectangle from (0, 1/3) to (1, 2/3)",
    "carve from (0, 1/2) line to (1, 1/2)",
    "carve from (1/2, 0) line to (1/2, 1)",
    "draw { trail from (0, 0) arc to (1/2, 1/2) rise 1/4 } mirrored both ways",
    "draw { incise from (0, 0) line to (1, 1) } mirrored left-right",
    "carve circle at (1/2, 1/2) across 9 mm",
]


@settings(QUICK)
@given(
    st.sampled_from(["can", "cone", "jar"]),
    st.sampled_from(["rows 3", "rows 4", "rows proportional 1 : 1"]),
    st.lists(st.sampled_from(SYMMETRIC), min_size=1, max_size=3, unique=True),
)
def test_symmetric_motifs_are_the_same_from_above(form: str, rows: str, drawings: list[str]) -> None:
    rule = f"grid columns 8 {rows} each cell {{ {' '.join(drawings)} }}"
    agree(
        measured(lay_band(rule, "from foot to rim", FORMS[form])),
        measured(lay_band(rule, "from rim to foot", FORMS[form])),
    )


@settings(QUICK, max_examples=12)
@given(st.sampled_from(sorted(FORMS)), body)
def test_order_of_rules_does_not_change_totals(form: str, body: str) -> None:
    first, second = f"each cell {{ {body} }}", "each ring { carve along }"
    a = laid_or_none(source(f"grid columns 6 rows 3 {first} {second}", form=FORMS[form], before=NIB))
    b = laid_or_none(source(f"grid columns 6 rows 3 {second} {first}", form=FORMS[form], before=NIB))
    assert (a is None) == (b is None)
    if a is not None and b is not None:
        ta, tb = measured(a), measured(b)
        # strokes are paired in drawing order, but all of a line is always there
        agree({k: v for k, v in ta.items() if "length" in k}, {k: v for k, v in tb.items() if "length" in k}, 1e-3)


# ---------------------------------------------------------------- grids close


@QUICK
@given(st.integers(1, 60), st.lists(st.sampled_from([1, 2, 3, 5, 7]), min_size=2, max_size=4), st.integers(-360, 360))
def test_a_grid_closes(repeats: int, ratio: list[int], start: int) -> None:
    """Columns add up to one turn; the last column ends where the first begins."""
    n = repeats * len(ratio)
    band = lay_band(
        f"grid columns {n} spaced {' : '.join(map(str, ratio))} rows 1 each cell {{ impress dot at (1, 0) }}",
        f"starting at {start} deg",
        CONE,
    )
    width = np.diff(np.append(band.verticals, band.verticals[0] + 2 * pi))
    wanted = np.tile(ratio, repeats) / (repeats * sum(ratio)) * 2 * pi
    assert width == pytest.approx(wanted, abs=1e-9)
    assert width.sum() * 60 == pytest.approx(band.rings.circumference[0], abs=1e-7)
    assert np.mod(band.points.angle[-1] - band.verticals[0] + 1e-9, 2 * pi) == pytest.approx(1e-9, abs=1e-8)


@QUICK
@given(st.sampled_from(sorted(FORMS)), st.floats(8, 90), st.sampled_from(["every", "near"]), st.booleans())
def test_rings_climb_and_stay_in_the_band(form: str, size: float, law: str, down: bool) -> None:
    band = lay_band(
        f"grid columns 5 rows {law} {size:.3f} mm" if size < 45 else f"grid columns 5 rows near {size:.3f} mm",
        "from rim to foot" if down else "from foot to rim",
        FORMS[form],
    )
    step = np.diff(band.rings.tape) * (-1 if down else 1)
    assert np.all(step > 0) and len(step) == band.rows
    assert step == pytest.approx([step[0]] * band.rows, abs=0.011)
    reached = abs(band.rings.tape[-1] - band.from_tape)
    assert reached + (band.left_over or 0) == pytest.approx(abs(band.to_tape - band.from_tape), abs=1e-9)


@QUICK
@given(st.integers(2, 14), st.integers(2, 8), st.sampled_from(sorted(FORMS)))
def test_cells_cover_the_band_once(columns: int, rows: int, form: str) -> None:
    """All cells painted is all the band's wall painted: area ∫ 2π r ds."""
    band = lay_band(
        f"grid columns {columns} rows {rows} each cell {{ paint rectangle from (0, 0) to (1, 1) }}", form=FORMS[form]
    )
    whole = lay(source("grid columns 3 rows 1", form=FORMS[form])).form.wall.area
    assert sum(p.area for p in band.paths) == pytest.approx(float(whole), rel=1e-7)


# ---------------------------------------------------------------- clay scales


@QUICK
@given(st.sampled_from(["cone", "waist", "jar"]), body, st.integers(1, 30))
def test_shrinkage_scales_all_lengths(form: str, body: str, shrinks: int) -> None:
    """Decorated wet or fired: with the dimensions meant at the form's stage, the drawing shrinks with the pot."""
    shape = FORMS[form].replace(" { ", " { measured at wet clay buff ", 1)
    text = source(
        f"grid columns 6 rows 3 each cell {{ {body} }}",
        form=shape,
        before=f"clay buff {{ shrinks {shrinks} % by fired }} tool dummy {{ wide 3 mm }}",
    )
    assume("nib" not in text)  # a tool is never scaled
    wet = laid_or_none(text)
    assume(wet is not None)
    fired = laid_or_none(text.replace("band m", "decorated at fired band m"))
    assert wet is not None and fired is not None
    k = 1 - shrinks / 100
    a = measured(wet)
    scaled = {key: v * (k * k if "area" in key else k if "length" in key else 1) for key, v in a.items()}
    agree(scaled, measured(fired), 1e-3)


def marks_in_space(form: str) -> np.ndarray:
    """Marks of every construct that sets something off or draws a line over the wall, in space, (n, 3) mm."""
    body = """grid columns 9 rows every 14 mm each cell {
      path string = from (0, 0) taut to (2, 1) path bow = from (0, 0) arc to (1, 1) rise chord / 4
      path spot = circle at (1/2, 1/2) across 12 mm path beside = offset string by 2 mm
      guide dot along string every 7 mm across 1 mm impress dot along bow every 5 mm across 1 mm
      pierce dot along spot every 4 mm across 1 mm incise dot along beside every 6 mm across 1 mm
      attach nib at (1/3, 2/3) + (4 mm, 3 mm) tilted 20 deg }"""
    points = lay_band(body, "from foot + 8 mm to rim - 8 mm", form, "tool nib { wide 3 mm }").points
    return np.column_stack([points.radius * np.cos(points.angle), points.radius * np.sin(points.angle), points.height])


def test_more_readings_of_the_same_pot_move_no_mark() -> None:
    """A ball of 120 mm read at 49 levels, and at twice and four times as many: the spline of each leaves the sphere by
    less than a thousandth of a millimetre (its error falls with the fourth power of the step), and so do the marks."""
    coarse, fine, finest = (marks_in_space(ball(60, -60, 60, steps)) for steps in (48, 96, 192))
    assert len(coarse) > 1000
    assert np.linalg.norm(coarse - finest, axis=1).max() < 1e-3
    assert np.linalg.norm(fine - finest, axis=1).max() < 1e-3


# ---------------------------------------------------------------- quantities read back


@settings(QUICK, max_examples=60)
@given(st.fractions(min_value=0, max_value=90, max_denominator=64), st.sampled_from(["mm", "cm", "in"]))
def test_fractions_read_back(x: object, unit: str) -> None:
    from fractions import Fraction

    assert isinstance(x, Fraction)
    whole, rest = divmod(x, 1)
    text = f"{whole} {rest.numerator}/{rest.denominator}" if rest else f"{whole}"
    assume(x > 0)
    band = lay_band(f"grid columns 4 rows 1 once {{ impress dot at (1, 1/2) across {text} {unit} }}")
    assert float(band.points.across[0]) == pytest.approx(float(x) * {"mm": 1, "cm": 10, "in": 25.4}[unit], rel=1e-12)


@settings(QUICK, max_examples=60)
@given(st.floats(1e-3, 199, allow_nan=False), st.sampled_from(["mm", "cm", "in"]))
def test_decimals_read_back(x: float, unit: str) -> None:
    text = f"{x:.6f}"
    band = lay_band(f"grid columns 4 rows 1 once {{ impress dot at (1, 1/2) across {text} {unit} }}")
    assert float(band.points.across[0]) == pytest.approx(float(text) * {"mm": 1, "cm": 10, "in": 25.4}[unit], rel=1e-12)


@settings(QUICK, max_examples=40)
@given(st.text(alphabet="{}()\"'#,:.=<>+-*/ \n0123456789abcdefmotifgridpiece½°−“”", max_size=60))
def test_nonsense_is_told_in_messages(text: str) -> None:
    document = motif.loads(text)
    for name in document.pieces:
        document.lay(name)
    assert isinstance(said(document), list)


@settings(QUICK, max_examples=60)
@given(st.integers(0, 400), st.sampled_from(["", "}", "{", '"', "(", "mm", "12", "each", " "]))
def test_a_damaged_text_is_told_in_messages(at: int, put: str) -> None:
    """A sound text with something put in, or a piece cut out, at any place."""
    text = source(
        "grid columns 6 rows 3 each cell { carve from (0, 0) line to (1, 1) impress dot at (1/2, 1/2)"
        " across 3 mm }"
        " each ring where ring > 1 { guide along }",
        "from foot + 10 mm to rim only columns 1 to 3",
    )
    at %= len(text)
    for damaged in (text[:at] + put + text[at:], text[:at] + put + text[at + 7 :]):
        document = motif.loads(damaged)
        for name in document.pieces:
            document.lay(name)
        for m in document.messages.sorted():
            assert m.text and (m.span is None or 0 <= m.span.start <= m.span.end <= len(damaged))
