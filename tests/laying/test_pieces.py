"""Pieces: bands and their places on the wall, what they set, stages and shrinkage, forms as measured.

Shrinkage is ASTM C326's: linear, from the wet length. Solids' areas and volumes are published or closed forms.
"""

from __future__ import annotations

from math import asin, degrees, pi, radians, sinh, sqrt

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import CubicSpline

from motif.laying.piece import LaidPiece
from tests.laying.bench import CAN, CONE, PLATE, WAIST, ball, errors, lay, lay_band, lengths, marks, source, the_error
from tests.reference import record, records

GRID = "grid columns 12 rows 4"
CAN_PROFILE = CAN.removeprefix("form can { ").removesuffix(" }")
DOT = "each cell { guide dot at (1/2, 1/2) }"

#: measured like a potter's jar; its belly and neck are where the spline says
JAR = (
    "form jar { profile smooth { at 0 mm across 84 mm at 40 mm across 122 mm at 95 mm around 471 mm"
    " at 150 mm across 80 mm at 182 mm across 110 mm } }"
)


def reach(band: str, form: str = CAN) -> tuple[float, float]:
    laid = lay_band(GRID, band, form)
    return laid.from_tape, laid.to_tape


# ---------------------------------------------------------------- places on the wall


@pytest.mark.parametrize(("band", "tapes"), [
    ("", (0, 200)),
    ("from foot to rim", (0, 200)),
    ("from rim to foot", (200, 0)),
    ("from foot + 10 mm to rim - 20 mm", (10, 180)),
    ("from foot + 10 mm - 4 mm to rim - 1 cm", (6, 190)),
    ("from tape 25 mm to tape 5 cm", (25, 50)),
    ("from height 1 in to rim", (25.4, 200)),
    ("from foot + 2 * 5 mm to rim", (10, 200)),
])  # fmt: skip
def test_places_on_a_can(band: str, tapes: tuple[float, float]) -> None:
    assert reach(band) == pytest.approx(tapes, abs=1e-9)


def test_heights_on_a_slanting_wall() -> None:
    assert reach("from height 6 mm to height 27 mm", CONE) == pytest.approx((10, 45), abs=1e-6)  # height 3/5 of tape
    assert reach("from foot + 10 mm to rim", CONE) == pytest.approx((10, 50), abs=1e-6)  # landmarks go by tape


def test_landmarks_of_a_waist() -> None:
    """The belly is the widest level, of equals the lowest: the foot. The neck is the narrowest level above it
    with wider wall on both sides: the corner."""
    assert reach("from belly to neck", WAIST) == pytest.approx((0, 29), abs=1e-6)
    assert reach("from neck + 4 mm to rim", WAIST) == pytest.approx((33, 58), abs=1e-6)


def test_belly_and_neck_of_a_smooth_jar() -> None:
    """Against scipy's not-a-knot spline of (radius, height) over cumulative chord length."""
    r = np.array([42, 61, 471 / (2 * pi), 40, 55])
    h = np.array([0.0, 40, 95, 150, 182])
    t = np.concatenate([[0], np.cumsum(np.hypot(np.diff(r), np.diff(h)))])
    spline_r, spline_h = CubicSpline(t, r), CubicSpline(t, h)
    fine = np.linspace(t[0], t[-1], 200001)
    belly = fine[np.argmax(spline_r(fine))]
    above = fine[fine > belly]
    neck = above[np.argmin(spline_r(above))]
    wanted = [
        quad(lambda x: float(np.hypot(spline_r(x, 1), spline_h(x, 1))), 0, end, limit=200, points=t[1:-1])[0]
        for end in (belly, neck)
    ]
    got = reach("from belly to neck", JAR)
    assert got == pytest.approx(wanted, abs=0.01)  # flat maxima: 0.01 mm of tape is 1e-6 mm of radius
    band = lay_band(GRID, "from belly to neck", JAR)
    assert band.rings.radius[[0, -1]] == pytest.approx([float(spline_r(belly)), float(spline_r(neck))], abs=1e-5)


@pytest.mark.parametrize(("band", "code", "underlined", "words"), [
    ("from foot to height 240 mm", "off-the-form", "height 240 mm", "240.0 mm"),
    ("from foot to height -1 mm", "off-the-form", "height -1 mm", "no wall"),
    ("from foot - 5 mm to rim", "off-the-form", "foot - 5 mm", "5.0 mm below the foot"),
    ("from foot to rim + 7 mm", "off-the-form", "rim + 7 mm", "7.0 mm above the rim"),
    ("from foot to tape 201 mm", "off-the-form", "tape 201 mm", "1.0 mm above the rim"),
    ("from foot to neck", "off-the-form", "neck", "no neck"),
    ("from foot to tape 20", "wrong-kind", "20", "number"),
    ("from foot + 3 deg to rim", "wrong-kind", "3 deg", "angle"),
    ("from foot to rim starting at 20 mm", "wrong-kind", "20 mm", "length"),
])  # fmt: skip
def test_places_off_the_wall(band: str, code: str, underlined: str, words: str) -> None:
    found = the_error(source(f"{GRID} {DOT}", band))
    assert (found.code, found.line, found.underlined) == (code, 4, underlined)
    assert words in found.words


def test_a_height_passed_more_than_once() -> None:
    """A bowl whose rim rolls down again: 50 mm of tape up to 40 mm, then 30 mm of tape down to 16 mm."""
    form = (
        "form rolled { profile straight { at 0 mm across 100 mm at 40 mm across 160 mm corner"
        " at 16 mm across 196 mm } }"
    )
    found = the_error(source(f"{GRID} {DOT}", "from foot to height 24 mm", form))
    assert (found.code, found.underlined) == ("ambiguous-height", "height 24 mm")
    assert "30.0" in found.words and "70.0 mm" in found.words and "twice" in found.words
    assert reach("from foot to height 40 mm", form) == pytest.approx((0, 50), abs=1e-4)  # the turn itself, passed once
    assert reach("from foot to height 10 mm", form) == pytest.approx((0, 12.5), abs=1e-6)


# ---------------------------------------------------------------- what a band sets


def test_arguments_are_named_and_ordered_as_one_likes() -> None:
    body = (
        'given around count given step length = 25 mm given lean angle = 10 deg given word text = "red"'
        " let half = step / 2 grid columns around rows every step"
        " each cell { paint dot at (0, half) colour word }"
    )
    band = lay_band(body, "(step = 2 in, around = 6) from foot to rim")
    assert (band.columns, band.rows) == (6, 3) and marks(band)[0] == (0, 25.4)
    assert band.points.works[0].colour == "red"
    assert lay_band(body, '(around = 3 * 2, word = "blue")').points.works[0].colour == "blue"


def test_defaults_may_use_the_givens_before() -> None:
    body = (
        "given step length given half length = step / 2 given third length = half * 2/3 grid columns 6 rows every third"
    )
    assert lay_band(body, "(step = 60 mm)").rings.tape[1] == pytest.approx(20, abs=1e-9)
    assert lay_band(body, "(step = 60 mm, half = 15 mm)").rings.tape[1] == pytest.approx(10, abs=1e-9)


def test_a_default_may_not_use_a_given_after_it() -> None:
    body = "given half length = step / 2 given step length = 10 mm grid columns 6 rows 2"
    found = the_error(source(body))
    assert (found.code, found.underlined) == ("unknown-name", "step")


def test_a_tool_may_be_given() -> None:
    tools = "tool bead { wide 8 mm } tool pearl { wide 5 mm }"
    body = "given button tool = bead grid columns 6 rows 2 each cell { attach button at (1/2, 1/2) }"
    assert lay_band(body, before=tools).points.works[0].tool.name == "bead"  # type: ignore[union-attr]
    assert lay_band(body, "(button = pearl)", before=tools).points.works[0].tool.name == "pearl"  # type: ignore[union-attr]
    found = the_error(source(body, "(button = 3 mm)", before=tools))
    assert (found.code, found.underlined) == ("wrong-kind", "3 mm")


@pytest.mark.parametrize(("band", "code", "words"), [
    ("", "no-value", "'around'"),
    ("(around = 6, wide = 3 mm)", "unknown-name", "'wide'"),
    ("(around = 6, around = 7)", "defined-twice", "'around'"),
    ("(around = 6 mm)", "wrong-kind", "length"),
    ("(around = 13/2)", "wrong-kind", "6.5"),
])  # fmt: skip
def test_arguments_that_do_not_fit(band: str, code: str, words: str) -> None:
    found = the_error(source("given around count grid columns around rows 2", band))
    assert found.code == code and words in found.words and found.line == 4


def test_bands_are_numbered_in_the_order_written() -> None:
    piece = lay(
        f"{CAN} motif a {{ grid columns 3 rows 1 }} motif b {{ grid columns 5 rows 2 }}"
        " piece p { form can band b from tape 100 mm to rim carve ring at tape 50 mm"
        " band a from foot to tape 50 mm }"
    )
    assert [(b.number, b.motif, b.columns, b.rows) for b in piece.bands] == [(1, "b", 5, 2), (2, "a", 3, 1)]


def test_an_error_in_one_band_does_not_hide_another() -> None:
    text = (
        f"{CAN}\nmotif a {{ grid columns 3 rows 1 }}\npiece p {{ form can\nband a from foot to height 300 mm\n"
        "band a from foot to tape 900 mm }"
    )
    assert [(e.code, e.line) for e in errors(text)] == [("off-the-form", 4), ("off-the-form", 5)]


def test_what_is_wrong_in_the_text_does_not_hide_what_is_wrong_on_the_wall() -> None:
    """Every error in one run: names, kinds, values of a statement, a band past the rim, a ring past it, no neck."""
    text = (
        f"{CAN} let wrong = 2 mm + 1"
        " motif m { grid columns 4 rows 2 each cell { carve nope guide dot at (1 / 0, 0) guide dot at (wrong, 0) } }"
        " motif n { given step length = 3 grid columns 4 rows every step each cell { guide dot at (0, 0) } }"
        " piece p { form can band m band m from foot to rim + 1 mm incise ring at height 900 mm band n }"
        " piece q { form can incise ring at neck }"
    )
    assert [(e.code, e.underlined) for e in errors(text)] == [
        ("wrong-kind", "2 mm + 1"),
        ("unknown-name", "nope"),
        ("no-value", "0"),
        ("wrong-kind", "3"),
        ("off-the-form", "rim + 1 mm"),
        ("off-the-form", "height 900 mm"),
        ("off-the-form", "neck"),
    ]


def test_what_follows_from_what_could_not_be_read_is_not_told() -> None:
    """The band may have meant the motif's other grid, and the rows are not known."""
    text = f"{CAN} motif m {{ grid columns 4 rows every 3 mmm each cell {{ }} }} piece p {{ form can band m to rim }}"
    assert {e.code for e in errors(text)} == {"syntax"}


@pytest.mark.parametrize(("piece", "code"), [
    ("piece q { band m }", "syntax"),
    ("piece q { form can form can band m }", "defined-twice"),
    ("piece q { form pot band m }", "unknown-name"),
    ("piece q { form m band m }", "wrong-kind"),
    ("piece q { form can band can }", "wrong-kind"),
    ("piece q { form can band n }", "unknown-name"),
    ("piece q { form can decorated at leather-hard decorated at wet band m }", "defined-twice"),
])  # fmt: skip
def test_pieces_that_lack_something(piece: str, code: str) -> None:
    assert [e.code for e in errors(f"{CAN} motif m {{ {GRID} }} {piece}")] == [code]


# ---------------------------------------------------------------- stages


def clay(**shrinks: str) -> str:
    return "clay buff { " + " ".join(f"shrinks {v} by {k.replace('_', '-')}" for k, v in shrinks.items()) + " }"


def staged(
    stages: str,
    measured: str = "measured at leather-hard",
    length: str = "22 mm",
    shrink: str = clay(leather_hard="4 %", bone_dry="6 %", fired="12 %"),
) -> LaidPiece:
    form = f"form can {{ {measured} clay buff thickness 6 mm {CAN_PROFILE} }}"
    return lay(
        f"{shrink} {form} motif m {{ given step length = {length} grid columns 6 rows every step"
        f" each cell {{ impress dot at (1/2, 1/2) across step depth 1 mm }} }} piece p {{ form can {stages} "
        f"band m }}"
    )


def test_sizes_meant_fired_are_larger_at_leather_hard() -> None:
    piece = staged("dimensions at fired")
    assert piece.bands[0].rings.tape[1] == pytest.approx(22 * (1 - 0.04) / (1 - 0.12), abs=1e-9)  # 24 mm
    assert piece.bands[0].points.across[0] == pytest.approx(24, abs=1e-9)
    assert (piece.stage, piece.dimensions_stage) == ("leather-hard", "fired")
    assert piece.scale == pytest.approx(24 / 22, abs=1e-12)
    assert piece.form.wall.length == pytest.approx(200, abs=1e-9)  # the form was measured at this stage


def test_the_form_shrinks_to_the_stage_of_decorating() -> None:
    piece = staged("decorated at bone-dry dimensions at fired")
    factor = (1 - 0.06) / (1 - 0.04)
    assert piece.form.wall.length == pytest.approx(200 * factor, abs=1e-9)
    assert piece.form.thickness == pytest.approx(6 * factor, abs=1e-9)
    assert piece.bands[0].rings.tape[1] == pytest.approx(22 * (1 - 0.06) / (1 - 0.12), abs=1e-9)


def test_without_a_word_everything_is_as_measured() -> None:
    piece = staged("")
    assert (piece.stage, piece.dimensions_stage, piece.scale) == ("leather-hard", "leather-hard", 1)
    assert staged("", measured="").form.stage == "leather-hard"
    assert staged("", measured="measured at wet").stage == "wet"


def test_wet_is_where_shrinkage_is_counted_from() -> None:
    piece = staged("decorated at wet dimensions at leather-hard", length="24 mm")
    assert piece.bands[0].rings.tape[1] == pytest.approx(25, abs=1e-9)  # 24 / 0.96
    assert piece.form.wall.length == pytest.approx(200 / 0.96, abs=1e-9)


@pytest.mark.parametrize("known", records("6.c326.") + records("6.bar10"), ids=lambda r: r["id"])
def test_published_shrinkage(known: dict) -> None:
    """ASTM C326 bases and worked examples (records): firing shrinkage is on the dry length, so it is given to the clay
    as what both make of the wet length."""
    given = known["inputs"]
    if known["id"] == "6.c326.firing":
        shrink = clay(bone_dry=f"{100 - given['Ld']} %", fired=f"{100 - given['Lf']} %")
        piece = staged("decorated at fired dimensions at bone-dry", "measured at bone-dry", "20 mm", shrink)
    else:
        after = given.get("Ld", given.get("Lf"))
        shrink = clay(fired=f"{(given['Lp'] - after) / given['Lp'] * 100!r} %")
        piece = staged("decorated at fired dimensions at wet", "measured at wet", "20 mm", shrink)
    assert (1 - piece.scale) * 100 == pytest.approx(known["expected"], abs=1e-9)


def test_drying_and_firing_shrinkage_do_not_add() -> None:
    """6.25 % by bone-dry, then 6.66 % of the dry length, is 12.5 % of the wet one (record 6.compose, within 0.05)."""
    known = record("6.compose")
    drying, firing = (known["inputs"][k] / 100 for k in ("drying_pct", "firing_pct_of_dry"))
    shrink = clay(bone_dry=f"{drying * 100} %", fired=f"{known['expected']} %")
    piece = staged("decorated at fired dimensions at bone-dry", "measured at bone-dry", "20 mm", shrink)
    assert 1 - piece.scale == pytest.approx(firing, abs=known["tolerance"] / 100)


def test_an_eighth_of_shrinkage() -> None:
    known = record("6.eighth")  # wet 8 in at 12.5 % is 7 in fired; the other way by record 6.inverse
    shrink = clay(fired=f"{known['inputs']['total_pct']} %")
    piece = staged("decorated at fired dimensions at wet", "measured at wet", "1 in", shrink)
    assert piece.bands[0].points.across[0] / 25.4 * 8 == pytest.approx(7, abs=1e-9)
    assert piece.scale * 8 == pytest.approx(known["expected"], abs=1e-12)
    inverse = record("6.inverse")
    piece = staged("decorated at wet dimensions at fired", "measured at wet", "1 in", shrink)
    assert piece.scale * inverse["inputs"]["fired"] == pytest.approx(inverse["expected"], abs=1e-9)


def test_areas_and_volumes_shrink_by_their_powers() -> None:
    shrink = clay(fired="12.5 %")
    piece = staged("decorated at fired", "measured at wet", "20 mm", shrink)
    whole = staged("", "measured at wet", "20 mm", shrink)
    area, volume = record("6.area")["expected"], record("6.volume")["expected"]
    assert piece.form.wall.area / whole.form.wall.area == pytest.approx(area, abs=1e-9)
    assert piece.form.wall.volume / whole.form.wall.volume == pytest.approx(volume, abs=1e-9)


def stage_text(body: str, piece: str, stated: str, before: str = "", measured: str = "measured at leather-hard") -> str:
    """A can of a clay that shrinks, with one motif in a piece that says more."""
    return (
        f"{stated} {before} form can {{ {measured} clay buff {CAN_PROFILE} }} motif m {{ {body} }}"
        f" piece p {{ form can {piece} }}"
    )


BUFF = clay(leather_hard="4 %", bone_dry="6 %", fired="12 %")


def test_a_tools_lengths_are_never_scaled() -> None:
    """Real at the stage of decorating, also when a motif reads them."""
    body = (
        "grid columns 4 rows 2 each cell { impress dot at (1/2, 1/2) across nib.wide"
        " impress dot at (1/4, 1/2) across 9 mm incise from (0, 0) line to (1/2, 1/2) with nib }"
    )
    band = lay(
        stage_text(
            body,
            "dimensions at fired band m",
            clay(fired="10 %"),
            "tool nib { wide 9 mm cuts 2 mm }",
            "measured at wet",
        )
    ).bands[0]
    assert sorted(set(np.round(band.points.across, 9))) == [9, 10]
    assert {p.work.width for p in band.paths} == {2}


def test_a_let_takes_the_stage_of_its_user() -> None:
    text = (
        f"{BUFF} let size = 90 mm tool nib {{ wide size }}"
        " form can { measured at fired clay buff profile straight { at 0 mm across size at size across size } }"
        " motif m { grid columns 4 rows 1 each cell { impress dot at (1/2, 1/2) across size impress nib at (0, "
        "1/4) } }"
        " piece p { form can decorated at leather-hard dimensions at fired band m from foot to tape size }"
    )
    piece = lay(text)
    grown = 90 * 0.96 / 0.88
    assert piece.form.wall.length == pytest.approx(grown, abs=1e-9)
    assert piece.bands[0].to_tape == pytest.approx(grown, abs=1e-9)
    assert piece.bands[0].points.across[0] == pytest.approx(grown, abs=1e-9)
    assert piece.bands[0].points.works[1].tool.wide == 90  # type: ignore[union-attr]


def test_lengths_are_scaled_where_they_are_written_never_results() -> None:
    """cell-width is the wall's own, so a dot as wide as the cell is not scaled again."""
    body = (
        "grid columns 4 rows 1 each cell { impress dot at (1/2, 1/2) across cell-width"
        " impress dot at (1/4, 1/2) across cell-width / 2 + 11 mm }"
    )
    band = lay(stage_text(body, "dimensions at fired band m", BUFF)).bands[0]
    assert band.points.across[:2] == pytest.approx([90, 45 + 12], abs=1e-9)


def test_wall_places_of_a_piece_are_scaled() -> None:
    piece = lay(
        stage_text(
            "grid columns 4 rows 1",
            "dimensions at fired band m from tape 11 mm to rim - 22 mm"
            " carve ring at height 110 mm"
            ' reserve "r" from tape 33 mm to tape 55 mm facing 0 deg wide 44 mm',
            BUFF,
        )
    )
    assert (piece.bands[0].from_tape, piece.bands[0].to_tape) == pytest.approx((12, 176), abs=1e-9)
    assert piece.lines[0].height == pytest.approx(120, abs=1e-9)
    (r,) = piece.reserves
    assert (r.from_tape, r.to_tape, r.wide) == pytest.approx((36, 60, 48), abs=1e-9)


@pytest.mark.parametrize(("stages", "underlined"), [
    ("decorated at bisque", "bisque"), ("dimensions at biscuit", "biscuit"),
    ("dimensions at bisque decorated at bone-dry", "bisque"),
])  # fmt: skip
def test_a_stage_the_clay_does_not_state(stages: str, underlined: str) -> None:
    found = the_error(stage_text(GRID, f"{stages} band m", BUFF))
    assert (found.code, found.underlined) == ("stage-unknown", underlined)


@pytest.mark.parametrize("shrinks", ["100 %", "120 %"])
def test_a_clay_keeps_some_size(shrinks: str) -> None:
    text = stage_text(GRID, "decorated at fired band m", clay(fired=shrinks), measured="measured at wet")
    assert [e.code for e in errors(text)] == ["out-of-range"]


def test_a_stage_without_a_clay() -> None:
    found = the_error(f"{CAN} motif m {{ {GRID} }} piece p {{ form can dimensions at fired band m }}")
    assert (found.code, found.underlined) == ("stage-unknown", "fired")


# ---------------------------------------------------------------- forms: solids with published areas and volumes


def straight(*stations: tuple[float, float]) -> str:
    """A straight profile through (height, across) in mm."""
    return "form s { profile straight { " + " ".join(f"at {h!r} mm across {d!r} mm" for h, d in stations) + " } }"


def smooth(radius: np.ndarray, height: np.ndarray) -> str:
    levels = " ".join(f"at {h:.9f} mm across {2 * r:.9f} mm" for r, h in zip(radius, height, strict=True))
    return f"form s {{ profile smooth {{ {levels} }} }}"


def wall(form: str) -> tuple[float, float, float]:
    """Tape length (mm), area (mm²) and volume (mm³)."""
    laid = lay(f"{form} motif m {{ {GRID} }} piece p {{ form s }}").form.wall
    return float(laid.length), float(laid.area), float(laid.volume)


def test_published_solids_with_straight_walls() -> None:
    """Machinery's Handbook worked examples (records 5.*), 10 times as large so that they are pots in mm."""
    cone = record("5.cone.mh")
    d, h = cone["inputs"]["d"] * 10, cone["inputs"]["h"] * 10
    _, area, volume = wall(straight((0, d), (h, 0.0)))
    assert volume / 1000 == pytest.approx(cone["expected"][0], abs=cone["tolerance"][0])
    assert area / 100 == pytest.approx(cone["expected"][1], abs=cone["tolerance"][1])
    frustum = record("5.frustum.mh")
    i = frustum["inputs"]
    _, _, volume = wall(straight((0, i["D"] * 10), (i["h"] * 10, i["d"] * 10)))
    assert volume / 1000 == pytest.approx(frustum["expected"], abs=frustum["tolerance"])
    cylinder = record("5.cylinder.mh")
    i = cylinder["inputs"]
    _, area, volume = wall(straight((0, i["d"] * 10), (i["h"] * 10, i["d"] * 10)))
    assert volume / 1000 == pytest.approx(cylinder["expected"][0], abs=cylinder["tolerance"][0])
    assert area / 100 == pytest.approx(cylinder["expected"][1], abs=cylinder["tolerance"][1])


def test_published_zones_and_spheres() -> None:
    zone = record("5.zone.openstax")  # sphere of radius 3, 0 ≤ y ≤ 2: 2π R h
    lat = np.linspace(0, asin(2 / 3), 65)
    _, area, _ = wall(smooth(30 * np.cos(lat), 30 * np.sin(lat)))
    assert area / 100 == pytest.approx(zone["expected"], abs=1e-6)
    slice_ = record("5.zone.mh")
    volume, radius, over = slice_["expected"]
    low, high = (asin(h / radius) for h in _zone_heights(slice_["inputs"], radius))
    lat = np.linspace(low, high, 65)
    _, area, vol = wall(smooth(10 * radius * np.cos(lat), 10 * radius * (np.sin(lat) - np.sin(low))))
    assert (vol / 1000, area / 100) == (
        pytest.approx(volume, abs=slice_["tolerance"][0]),
        pytest.approx(over, abs=1e-6),
    )
    sphere = record("5.sphere.mh")
    lat = np.linspace(-pi / 2, pi / 2, 129)
    r = np.where(np.abs(np.abs(lat) - pi / 2) < 1e-12, 0.0, np.cos(lat))
    _, area, vol = wall(smooth(32.5 * r, 32.5 * (np.sin(lat) + 1)))
    assert vol / 1000 == pytest.approx(sphere["expected"][0], abs=sphere["tolerance"][0])
    assert area / 100 == pytest.approx(sphere["expected"][1], abs=sphere["tolerance"][1])


def _zone_heights(inputs: dict[str, float], radius: float) -> tuple[float, float]:
    """Heights over the sphere's middle of the two cuts of chord c1, c2 a distance h apart."""
    far = sqrt(radius**2 - (inputs["c1"] / 2) ** 2)
    near = sqrt(radius**2 - (inputs["c2"] / 2) ** 2)
    return (near, far) if abs((far - near) - inputs["h"]) < 1e-6 else (-near, far)


def test_published_surfaces_of_revolution() -> None:
    catenoid = record("5.catenoid")  # r = cosh z, −1 ≤ z ≤ 1: π (2 + sinh 2)
    z = np.linspace(-1, 1, 129)
    length, area, _ = wall(smooth(30 * np.cosh(z), 30 * (z + 1)))
    assert area / 900 == pytest.approx(catenoid["expected"], abs=1e-6)
    assert length / 30 == pytest.approx(2 * sinh(1), abs=1e-7)
    paraboloid = record("5.paraboloid.seg.mh")  # D 5, d 3, h 6: r² falls evenly with height
    i = paraboloid["inputs"]
    y = np.linspace(0, i["h"], 129)
    r = np.sqrt((i["D"] / 2) ** 2 + y / i["h"] * ((i["d"] / 2) ** 2 - (i["D"] / 2) ** 2))
    _, _, volume = wall(smooth(10 * r, 10 * y))
    assert volume / 1000 == pytest.approx(paraboloid["expected"], abs=paraboloid["tolerance"])


@pytest.mark.parametrize(("key", "a", "c"), [("5.oblate.2.1", 40, 20), ("5.prolate.1.2", 20, 40)])
def test_published_spheroids(key: str, a: float, c: float) -> None:
    t = np.linspace(-pi / 2, pi / 2, 193)
    r = np.where(np.abs(np.abs(t) - pi / 2) < 1e-12, 0.0, np.cos(t))
    _, area, volume = wall(smooth(a * r, c * (np.sin(t) + 1)))
    assert area / 400 == pytest.approx(record(key)["expected"], abs=1e-5)
    assert volume == pytest.approx(4 / 3 * pi * a * a * c, rel=1e-6)


@pytest.mark.parametrize(("profile", "code"), [
    ("profile straight { at 0 mm across 90 mm }", "bad-profile"),
    ("profile straight { at 0 mm across 90 mm at 0 mm across 90 mm at 9 mm across 80 mm }", "bad-profile"),
    ("profile straight { at 0 mm across 90 mm at 20 mm across 0 mm at 40 mm across 90 mm }", "bad-profile"),
    ("profile straight by tape { at 0 mm across 20 mm at 10 mm across 60 mm }", "bad-profile"),
    ("profile straight { at 0 mm across -90 mm at 10 mm across 60 mm }", "bad-profile"),
    ("profile straight { at 0 mm across 90 at 10 mm across 60 mm }", "wrong-kind"),
])  # fmt: skip
def test_profiles_that_are_no_walls(profile: str, code: str) -> None:
    assert [e.code for e in errors(f"form s {{ {profile} }} motif m {{ {GRID} }} piece p {{ form s band m }}")] == [
        code
    ]


def test_by_tape_radius_is_measured_along_the_wall() -> None:
    """Straight by tape from 60 to 20 mm over 50 mm: the cone of height 30 mm."""
    form = "form s { profile straight by tape { at 0 mm across 120 mm at 50 mm across 40 mm } }"
    laid = lay(f"{form} motif m {{ {GRID} }} piece p {{ form s band m }}")
    assert laid.form.wall.length == pytest.approx(50, abs=1e-9)
    assert laid.bands[0].rings.height == pytest.approx([0, 7.5, 15, 22.5, 30], abs=1e-6)
    plate = lay(f"{PLATE} motif m {{ {GRID} }} piece p {{ form plate band m }}")
    assert plate.bands[0].rings.height == pytest.approx([0] * 5, abs=1e-6)


def test_a_ring_on_a_ball_is_a_circle_of_latitude() -> None:
    piece = lay(source("grid columns 4 rows 4 each ring { carve along }", form=ball(75, -60, 60)))
    got = sorted(lengths(piece.bands[0]))
    assert got == pytest.approx(sorted(2 * pi * 75 * np.cos(radians(x)) for x in (-60, -30, 0, 30, 60)), abs=1e-4)
    assert degrees(piece.form.wall.length / 75) == pytest.approx(120, abs=1e-5)
