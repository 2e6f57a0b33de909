"""The library and the examples: that they check, that they are complete, that their numbers are right.

Numbers come from the published values in ``tests/reference/values.json`` (``record``), from what the
pattern's own words say, worked out by hand beside each check, or from plain arithmetic on measured radii.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache
from math import pi, sqrt
from pathlib import Path

import numpy as np
import pytest

from motif.api import Document, improvised, load, loads
from motif.language import nodes
from motif.language.messages import Messages
from motif.language.parser import parse
from motif.language.source import Source
from motif.laying.piece import LaidBand, LaidPath, LaidPiece
from motif.outputs.totals import count
from tests.reference import record

ROOT = Path(__file__).resolve().parent.parent
LIBRARY = sorted((ROOT / "library").rglob("*.motif"))
EXAMPLES = sorted((ROOT / "examples").glob("*.motif"))
ALL = [*LIBRARY, *EXAMPLES]

#: The warnings that belong to an example; its note says why. All other files give none.
WARNINGS = {
    "checked-mug": {"in-reserve"},
    "pointed-jar": {"tool-gap"},
    "pointed-vase": {"tool-gap"},
    "tea-jar": {"in-reserve"},
}


def _name(path: Path) -> str:
    return path.relative_to(ROOT).with_suffix("").as_posix()


def _parsed(path: Path) -> nodes.File:
    return parse(Source(_name(path), path.read_text(encoding="utf-8")), Messages())


def _laid(document: Document, piece: str) -> LaidPiece:
    laid = document.lay(piece)
    assert laid is not None, [(m.code, m.text) for m in document.messages.sorted()]
    return laid


@cache
def _example(name: str) -> LaidPiece:
    """The one piece of an example file, which goes by the file's name."""
    return _laid(load(ROOT / "examples" / f"{name}.motif"), name)


# ------------------------------------------------------------------------------------- every file


@pytest.mark.parametrize("path", ALL, ids=_name)
def test_checks_and_warns_only_of_what_it_says(path: Path) -> None:
    document = load(path)
    for piece in document.pieces:
        _laid(document, piece)
    assert {m.code for m in document.messages.sorted()} == WARNINGS.get(path.stem, set())


def test_every_warning_kept_is_named_in_its_file() -> None:
    for name, codes in WARNINGS.items():
        notes = " ".join(
            i.text.value for i in _parsed(ROOT / "examples" / f"{name}.motif").items if isinstance(i, nodes.Note)
        )
        for code in codes:
            assert code in notes, (name, code)


@pytest.mark.parametrize("path", ALL, ids=_name)
def test_headers_and_notes(path: Path) -> None:
    items = _parsed(path).items
    headers = {i.word: i.value.value for i in items if isinstance(i, nodes.Header)}
    assert headers["title"]
    assert headers["by"] == ("motif library" if path in LIBRARY else "the six-bench studio")
    assert headers["licence"] == "CC0-1.0"
    assert any(isinstance(i, nodes.Note) for i in items)


def _describable(items: Iterable[object]) -> Iterator[nodes.Node]:
    """Definitions and their givens; the lets of a motif are its working, not its face."""
    for item in items:
        if isinstance(item, nodes.Clay | nodes.Form | nodes.Tool | nodes.Piece | nodes.Let):
            yield item
        elif isinstance(item, nodes.Motif):
            yield item
            yield from (i for i in item.items if isinstance(i, nodes.Given))
        elif isinstance(item, nodes.Figure):
            yield item
            yield from item.givens


@pytest.mark.parametrize("path", ALL, ids=_name)
def test_every_definition_and_given_is_described(path: Path) -> None:
    silent = [n.name.text for n in _describable(_parsed(path).items) if n.description is None]  # type: ignore[attr-defined]
    assert silent == []


@pytest.mark.parametrize("folder", ["library", "grammar"])
def test_data_folders_hold_no_programs(folder: str) -> None:
    """A Python file there would be taken for a package where the project is installed for editing."""
    assert list((ROOT / folder).rglob("*.py")) == []


def test_library_names_are_told_apart() -> None:
    """``prepare --motif NAME`` finds a definition by its name alone."""
    names = Counter(i.name.text for p in LIBRARY for i in _parsed(p).items if isinstance(i, nodes.Definition))
    assert [n for n, times in names.items() if times > 1] == []


MOTIFS = sorted(i.name.text for p in LIBRARY for i in _parsed(p).items if isinstance(i, nodes.Motif))


@pytest.mark.parametrize("form", ["canister", "moon-jar"])
@pytest.mark.parametrize("motif", MOTIFS)
def test_every_motif_lies_on_every_form_as_it_comes(motif: str, form: str) -> None:
    """With nothing set, on eight centimetres of a wall that is straight and of one that is nearly a ball.
    Only the folded points, whose number round the pot depends on the pot, may leave gaps."""
    document = improvised(None, motif, form, "height 40 mm", "height 120 mm")
    laid = _laid(document, document.pieces[0])
    assert len(laid.bands[0].points) + len(laid.bands[0].paths) > 0
    allowed = {"tool-gap"} if motif == "folded-points" else set()
    assert {m.code for m in document.messages.sorted()} <= allowed


# ---------------------------------------------------------------------- the three patterns, counted


def _paths(band: LaidBand, technique: str, tool: str | None = None, colour: str | None = None) -> list[LaidPath]:
    return [
        p
        for p in band.paths
        if p.work.technique == technique
        and (tool is None or (p.work.tool is not None and p.work.tool.name == tool))
        and (colour is None or p.work.colour == colour)
    ]


def _marks(band: LaidBand) -> Counter[tuple[str, str | None]]:
    works = [band.points.works[k] for k in band.points.work]
    return Counter((w.technique, w.tool.name if w.tool else None) for w in works)


@pytest.mark.parametrize(("name", "verticals"), [("tufted-bottle", 6), ("tufted-jar", 8)])
def test_tufting_counts(name: str, verticals: int) -> None:
    """One diagonal each way from every vertical, so 2 v diagonals. They cross at five levels (0, 1/4, 1/2,
    3/4 and the whole of the height), v crossings on each: 5 v hollows and buttons. Between five hollows
    a diagonal has four stitched lengths: 8 v. Four steps have five rings; with the verticals 5 + v guides."""
    band = _example(name).bands[0]
    assert (band.columns, band.rows) == (verticals, 4)
    assert _marks(band) == {("impress", None): 5 * verticals, ("attach", "pellet"): 5 * verticals}
    assert len(_paths(band, "roulette", "stitch-wheel")) == 8 * verticals
    assert len(_paths(band, "guide")) == 5 + verticals


def test_tufting_crossings_close_round_the_pot() -> None:
    """On the bottle: an inch from ring to ring, buttons on the verticals and half-way between by turns."""
    band = _example("tufted-bottle").bands[0]
    assert np.diff(band.rings.tape) == pytest.approx([-record("7.inch")["expected"]] * 4, abs=1e-6)
    for k, tape in enumerate(band.rings.tape[::-1]):
        here = np.abs(band.points.tape - tape) < 1e-6
        degrees = np.unique(np.round(np.degrees(band.points.angle[here]) % 360, 6))
        assert degrees == pytest.approx(np.arange(6) * 60 + (30 if k % 2 else 0), abs=1e-6)


def test_button_clay_is_an_eighth_of_a_teaspoon_each() -> None:
    """30 buttons of an eighth of a US customary teaspoon (record 7.eighth_tsp): 18.48 ml to weigh out."""
    clay = {t.tool: t.volume for t in count(_example("tufted-bottle")).totals if t.technique == "attach"}
    assert clay == {"pellet": pytest.approx(30 * record("7.eighth_tsp")["expected"], rel=1e-6)}


def test_stitches_stop_short_of_the_hollows() -> None:
    """Hollows are 16 mm wide and stitches stay 1 mm clear of them: no stitch nearer than 9 mm to a middle.
    Distances as on a plane at the mean radius: on 9 mm of a wall of 50 mm radius off by less than 0.05 mm."""
    band = _example("tufted-bottle").bands[0]
    seats = np.unique(np.round(np.column_stack([band.points.angle, band.points.tape, band.points.radius]), 6), axis=0)
    for path in _paths(band, "roulette"):
        ends = path.points[[0, -1]]
        for angle, tape in ends:
            turn = (seats[:, 0] - angle + pi) % (2 * pi) - pi
            assert np.hypot(turn * seats[:, 2], seats[:, 1] - tape).min() == pytest.approx(9, abs=0.25)


@pytest.mark.parametrize("name", ["tufted-bottle", "tufted-jar"])
def test_stitches_run_along_a_stick_bent_to_the_clay(name: str) -> None:
    """Clairaut's relation: along a shortest line, radius times the sine of its angle to the vertical is constant
    (do Carmo, Differential Geometry of Curves and Surfaces, section 4-4; from memory)."""
    laid = _example(name)
    strokes = _paths(laid.bands[0], "roulette", "stitch-wheel")
    assert strokes
    for path in strokes:
        radius = laid.form.wall.radius(path.points[:, 1])
        angle, tape = np.diff(path.points, axis=0).T
        middle = (radius[1:] + radius[:-1]) / 2
        held = middle**2 * angle / np.hypot(middle * angle, tape)
        # chords leave the curve by up to 0.05 mm in stretches of a few mm: sines are off by a few hundredths of 1 %
        assert np.ptp(held) < 2e-3 * np.abs(held).mean()


@pytest.mark.parametrize(("name", "columns", "rows"), [("ringed-vase", 8, 8), ("ringed-moon-jar", 12, 8)])
def test_interlocking_rings_counts(name: str, columns: int, rows: int) -> None:
    """On each of the two worked sides, m = columns/2 by n = rows/2 groups.

    Arms: each family of diagonals has one line for every difference of group column and row,
    m + n − 1; two families. Rings stand on the grid points whose coordinates add up to an odd number:
    those inside the side are whole and closed, those on its edge half. Dots: m n middles and
    (m + 1)(n + 1) corners."""
    band = _example(name).bands[0]
    m, n = columns // 2, rows // 2
    assert len(band.panels) == 2
    assert band.rows == rows
    assert _marks(band) == {("paint", None): 2 * (m * n + (m + 1) * (n + 1))}
    assert len(_paths(band, "carve", "needle")) == 2 * 2 * (m + n - 1)
    inside = sum((i + j) % 2 for i in range(1, columns) for j in range(1, rows))
    on_edge = sum((i + j) % 2 for i in range(columns + 1) for j in range(rows + 1)) - inside
    rings = _paths(band, "carve", "small-loop")
    assert Counter(p.closed for p in rings) == {True: 2 * inside, False: 2 * on_edge}


def test_blank_sides_stay_blank() -> None:
    """Columns 1 to 8 and 17 to 24 of 32: two quarters of the pot, opposite one another."""
    band = _example("ringed-vase").bands[0]
    assert np.degrees(band.panels) == pytest.approx(np.array([[0, 90], [180, 270]]), abs=1e-9)
    everywhere = np.concatenate([band.points.angle, *(p.points[:, 0] for p in band.paths)])
    degrees = np.degrees(everywhere) % 180
    assert ((degrees < 90 + 1e-6) | (degrees > 180 - 1e-6)).all()


@pytest.mark.parametrize(("name", "around", "rows"), [("pointed-vase", 15, 11), ("pointed-jar", 22, 4)])
def test_folded_points_counts(name: str, around: int, rows: int) -> None:
    """As many teeth as columns in every row, and a guide ring after every row and before the first."""
    band = _example(name).bands[0]
    assert (band.columns, band.rows) == (around, rows)
    assert _marks(band) == {("impress", "tooth"): around * rows}
    assert len(_paths(band, "guide")) == rows + 1


def test_folded_points_start_at_the_tips_of_the_row_before() -> None:
    """Rows hang by the height of a tooth; the corners of a row's roots lie under the tips above it."""
    points = _example("pointed-vase").bands[0].points
    step = 2 * pi / 15
    for row in range(2, 12):
        above, here = points.angle[points.row == row - 1], points.angle[points.row == row]
        off = np.remainder(here[:, None] - above[None, :], step)
        assert off == pytest.approx(step / 2, abs=1e-9)
        assert points.tape[points.row == row - 1].mean() - points.tape[points.row == row].mean() == pytest.approx(10)


def test_the_gaps_are_told_row_by_row() -> None:
    """A row's gap is its part of the circumference less the tooth's 20 mm; told above 0.5 mm."""
    document = load(ROOT / "examples" / "pointed-vase.motif")
    band = _laid(document, "pointed-vase").bands[0]
    told = next(m.text for m in document.messages.sorted() if m.code == "tool-gap")
    for row in range(1, 12):
        gap = 2 * pi * band.rings.radius[row - 1] / 15 - 20
        assert (f"{gap:.1f} mm at row {row}" in told) == (gap > 0.5)


# ------------------------------------------------- other examples, what their words say


def test_patches_stay_free() -> None:
    """No line, outline or mark of the mug's check inside the handle's patch: 30 mm of tape round 90°."""
    laid = _example("checked-mug")
    patch = laid.reserves[0]
    points = np.concatenate([p.points for p in laid.bands[0].paths])
    level = (points[:, 1] > patch.from_tape + 1e-6) & (points[:, 1] < patch.to_tape - 1e-6)
    off = np.abs((points[:, 0] - pi / 2 + pi) % (2 * pi) - pi) * laid.form.wall.radius(points[:, 1])
    assert (off[level] > 15 - 0.05).all()


def test_dimensions_at_fired_come_out_larger_on_the_clay() -> None:
    """The clay shrinks 4 % by leather-hard and 12 % by fired of its wet length (as ASTM C326 measures),
    so a fired length is 0.96/0.88 as long on the leather-hard pot."""
    laid = _example("tiled-canister")
    assert laid.scale == pytest.approx(0.96 / 0.88, rel=1e-12)
    assert laid.bands[0].rings.height[[0, -1]] == pytest.approx(np.array([12, 132]) * 0.96 / 0.88, abs=1e-6)


def test_plate_is_laid_by_tape_from_its_middle() -> None:
    """Where the well is flat the radius is the tape itself."""
    rays = _example("geese-plate").bands[1]
    assert rays.rings.radius == pytest.approx([20, 36], abs=1e-9)
    assert rays.rings.height == pytest.approx([0, 0], abs=1e-9)


# ------------------------------------------------------------ traditional patterns, counted by hand


def test_key_is_one_line_round_the_pot() -> None:
    """One closed stroke for the key, whatever its corners, and two border rings."""
    band = _on_cylinder('take greek-key from "stonework/greek-key"', "greek-key", 400, 24)
    assert band.columns == 20  # 400 mm round, 24 mm high, cells 5 : 6
    strokes = _paths(band, "carve")
    assert [p.closed for p in strokes] == [True] * 3
    # Per turn of 20 by 24 mm in parts of 4 mm: 4 + 3 + 2 + 1 + 1 + 1 + 2 + 3 + 4 + 4 = 25 parts.
    assert _close(max(p.length for p in strokes), 20 * 25 * 4)


def test_plait_passes_over_and_under() -> None:
    """Each band's two cuts break once in every column, where it passes under: two strokes a column."""
    band = _on_cylinder('take guilloche from "metal/guilloche"', "guilloche(size = 30 mm)", 360, 30)
    assert len(_paths(band, "incise")) == 2 * 12
    assert _marks(band) == {("attach", "bead"): 12}


def test_log_cabin_pieces() -> None:
    """A middle square and four logs for each of three rounds: 13 pieces that cover the block."""
    band = _on_cylinder('take log-cabin from "quilting/log-cabin"', "log-cabin(size = 49 mm)", 8 * 49, 4 * 49)
    pieces = _paths(band, "paint")
    assert len(pieces) == 13 * 8 * 4
    assert _close(sum(p.area for p in pieces), 8 * 49 * 4 * 49)


def test_half_of_a_houndstooth_is_dark() -> None:
    """In eight by eight places 16 standing and 16 lying dark threads lie on top: half of them."""
    band = _on_cylinder('take houndstooth from "weaving/houndstooth"', "houndstooth(thread = 5 mm)", 64 * 5, 16 * 5)
    assert (band.columns, band.rows) == (64, 16)
    assert len(_paths(band, "paint")) == 64 * 16 // 2


def test_twill_runs_over_two_and_under_two() -> None:
    """A strand on top for two cells in four, two edges each: 2/4 · 2/2 strokes a cell, both ways."""
    band = _on_cylinder(
        'take over-two-under-two from "basketry/over-two-under-two"', "over-two-under-two(strand = 10 mm)", 320, 80
    )
    strokes = _paths(band, "carve")
    lying = [p for p in strokes if np.ptp(p.points[:, 1]) < 1e-6]
    assert len(lying) == 32 * 8 * 2 // 4
    for p in lying:
        assert _close(p.length, 20)


def test_flutes_keep_their_lands() -> None:
    """Nowhere on the moon jar do two flutes of 5 mm leave less than 6 mm between them, half-way up a row."""
    document = improvised(None, "gadroons", "moon-jar", "foot + 5 mm", "rim - 5 mm")
    laid = _laid(document, document.pieces[0])
    band = laid.bands[0]
    flutes = _paths(band, "carve", "broad-loop")
    assert len(flutes) == 48
    for low, high in zip(band.rings.tape[:-1], band.rings.tape[1:], strict=True):
        middle = (low + high) / 2
        angles = np.sort([p.points[0, 0] for p in flutes if p.points[:, 1].min() < middle < p.points[:, 1].max()])
        step = np.diff(np.append(angles, angles[0] + 2 * pi)).min()
        # Half-way up a proportional row is not quite half its tape: 0.1 mm of width at most.
        assert step * float(laid.form.wall.radius(np.array([middle]))[0]) > 11 - 0.1


# ---------------------------------------------------- block geometry against published values


def _on_cylinder(take: str, band: str, around_mm: float, high_mm: float) -> LaidBand:
    """A band from foot to rim of a straight cylinder, on which nothing stretches."""
    text = f"""{take}
      form can {{ profile straight {{ at 0 mm around {around_mm!r} mm at {high_mm!r} mm around {around_mm!r} mm }} }}
      piece p {{ form can band {band} }}"""
    return _laid(loads(text), "p").bands[0]


def _flat(band: LaidBand, path: LaidPath) -> np.ndarray:
    """The path's points unrolled: along the ring and up the wall, mm."""
    return path.points * [band.rings.radius[0], 1.0]


def _whole(band: LaidBand, paths: list[LaidPath]) -> list[LaidPath]:
    """Those that touch neither edge of the band, so were not cut there."""
    low, high = sorted((band.from_tape, band.to_tape))
    return [p for p in paths if p.points[:, 1].min() > low + 1e-6 and p.points[:, 1].max() < high - 1e-6]


def _close(value: float, expected: float) -> bool:
    """The curve's own length or area: to 1e-6 of itself."""
    return value == pytest.approx(expected, rel=1e-6)


def test_rings_11() -> None:
    """Circles through the corners of square cells. The motif's groups stand on their corners: its rings'
    middles are √2 of a 12 mm space apart, which is the record's pitch."""
    radius, arc, lens_length, lens_width, *_ = record("11.rings")["expected"]
    pitch = 12 * sqrt(2)
    band = _on_cylinder('take wedding-rings from "quilting/rings"', "wedding-rings(around = 32, step = 12 mm)", 384, 96)
    rings = _paths(band, "carve", "small-loop")
    closed = [p for p in rings if p.closed]
    # Eight rows all round: rings on the 32 × 7 inner points whose coordinates add up to odd, half of them.
    assert len(closed) == 112
    middles = []
    for p in closed:
        assert _close(p.length, 4 * arc * pitch)
        flat = _flat(band, p)
        middle = (flat.min(axis=0) + flat.max(axis=0)) / 2
        assert np.hypot(*(flat - middle).T) == pytest.approx(radius * pitch, abs=0.01)
        middles.append(middle)
    near = np.sort([np.hypot(*(m - middles[0])) for m in middles[1:]])[0]
    # Two neighbours overlap in a lens: twice the radius less the distance of the middles.
    assert 2 * radius * pitch - near == pytest.approx(lens_width * pitch, abs=0.02)
    # An arm of the X runs the length of one lens; eight rows of them make one line.
    arms = _paths(band, "carve", "needle")
    assert _close(sum(p.length for p in arms), 4 * 16 * 4 * lens_length * pitch)


def test_tumbling_11() -> None:
    """Diamonds of 60°: a cell √3 sides wide and 3/2 sides high."""
    long, short, area, _, _ = record("11.tumbling")["expected"]
    side = 20.0
    band = _on_cylinder(
        'take tumbling-blocks from "marquetry/tumbling-blocks"',
        f"tumbling-blocks(size = {sqrt(3) * side!r} mm)",
        10 * sqrt(3) * side,
        6 * 1.5 * side,
    )
    assert (band.columns, band.rows) == (10, 6)
    whole = _whole(band, _paths(band, "paint"))
    # The tops of rows 1 to 5 and the sides of rows 2 to 5 lie inside the band; row 6's tops are cut,
    # the sides of rows 1 and 6 touch its edges.
    assert len(whole) == 10 * 5 + 10 * 4 * 2
    for p in whole:
        assert _close(p.area, area * side**2)
        assert _close(p.length, 4 * side)
    for p in (p for p in whole if p.work.colour == "cream"):
        assert np.ptp(_flat(band, p), axis=0) == pytest.approx([long * side, short * side], abs=1e-6)


def test_star8_11() -> None:
    """Blocks of 48 mm, divided 1 : √2 : 1 along every edge by the tips of the diamonds."""
    corner, triangle, rhombus = record("11.star8")["expected"]
    block = 48.0
    band = _on_cylinder(
        'take eight-pointed-star from "quilting/eight-pointed-star"',
        "eight-pointed-star(size = 48 mm)",
        8 * block,
        3 * block,
    )
    diamonds = _paths(band, "paint")
    assert len(diamonds) == 8 * 8 * 3
    for p in diamonds:
        assert _close(p.length, 4 * rhombus * block)
    points = np.concatenate([_flat(band, p) for p in diamonds])
    tips = np.unique(np.round(points[np.abs(points[:, 1]) < 1e-9, 0] % block, 6))
    assert tips == pytest.approx([corner * block, (corner + triangle) * block], abs=1e-6)


def test_octagon_11() -> None:
    """Octagons as wide as their 40 mm squares, and the small squares on the cut corners."""
    side, leg = record("11.octagon")["expected"]
    square = 40.0
    band = _on_cylinder(
        'take octagons-and-squares from "tile/octagons-and-squares"',
        "octagons-and-squares(size = 40 mm)",
        9 * square,
        4 * square,
    )
    octagons = _paths(band, "paint", colour="cream")
    assert len(octagons) == 9 * 4
    for p in octagons:
        assert _close(p.length, 8 * side * square)
        assert _close(p.area, (1 - 2 * leg**2) * square**2)
    small = _whole(band, _paths(band, "paint", colour="cobalt blue"))
    assert len(small) == 9 * 3
    for p in small:
        assert _close(p.length, 4 * side * square)
        assert np.ptp(_flat(band, p), axis=0) == pytest.approx([2 * leg * square] * 2, abs=1e-6)


def test_clamshell_11() -> None:
    """Scales of 15 mm radius: a half circle above, two hollow quarter circles below."""
    area, around, height, row_pitch, column_pitch, offset = record("11.clamshell")["expected"]
    r = 15.0
    band = _on_cylinder('take scales from "metal/scales"', "scales(size = 30 mm)", 12 * 2 * r, 8 * r)
    assert (band.columns, band.rows) == (12, 8)
    assert np.diff(band.rings.tape) == pytest.approx(row_pitch * r, abs=1e-6)
    assert np.diff(band.verticals) * band.rings.radius[0] == pytest.approx(column_pitch * r, abs=1e-6)
    # The first row is cut at the band's lower edge, the last row's tops reach just to its upper edge.
    scales = [p for p in _paths(band, "paint") if p.row >= 2]
    assert len(scales) == 12 * 7
    for p in scales:
        assert _close(p.area, area * r**2)
        assert _close(p.length, around * r)
        # Between the points of a path the wall may be 0.05 mm off, as the laid piece promises.
        assert np.ptp(_flat(band, p)[:, 1]) == pytest.approx(height * r, abs=0.05)
    # The shapes of a row stand half a scale beside those of the row below.
    lefts = {row: min(_flat(band, p)[:, 0].min() for p in scales if p.row == row and p.column == 3) for row in (4, 5)}
    assert abs(lefts[5] - lefts[4]) == pytest.approx(offset * r, abs=1e-3)


@pytest.mark.parametrize("side", [12.0, 40.0])
def test_hexagon_11(side: float) -> None:
    """Columns three quarters of a tile apart, rows as far as its flat sides. 40 mm is the size in
    Machinery's Handbook (record 11.hexagon.mh), whose figures are rounded there to 0.1 and 0.01."""
    flats, corners, area, _, _ = record("11.hexagon")["expected"]
    band = _on_cylinder(
        'take hexagons from "tile/hexagons"', f"hexagons(size = {1.5 * side!r} mm)", 12 * 1.5 * side, 3 * sqrt(3) * side
    )
    assert (band.columns, band.rows) == (12, 3)
    tiles = [p for p in _paths(band, "paint") if p.column % 2]
    assert len(tiles) == 6 * 3
    for p in tiles:
        assert _close(p.area, area * side**2)
        assert _close(p.length, 6 * side)
        assert np.ptp(_flat(band, p), axis=0) == pytest.approx([corners * side, flats * side], abs=1e-6)
    if side == 40.0:
        mh_area, mh_inscribed = record("11.hexagon.mh")["expected"]
        assert tiles[0].area == pytest.approx(mh_area, abs=0.3)
        assert np.ptp(_flat(band, tiles[0])[:, 1]) / 2 == pytest.approx(mh_inscribed, abs=0.005)


def test_every_third_hexagon_stands_apart() -> None:
    """No two accented tiles share a side: their middles are at least three sides apart (√3 · √3)."""
    side = 12.0
    band = _on_cylinder(
        'take hexagons from "tile/hexagons"', f"hexagons(size = {1.5 * side!r} mm)", 12 * 1.5 * side, 6 * sqrt(3) * side
    )
    around = 12 * 1.5 * side
    whole = _whole(band, _paths(band, "paint", colour="iron red"))
    middles = [(f.min(axis=0) + f.max(axis=0)) / 2 for f in (_flat(band, p) for p in whole)]
    assert len(middles) > 12
    for i, a in enumerate(middles):
        for b in middles[:i]:
            dx = (a[0] - b[0] + around / 2) % around - around / 2
            assert np.hypot(dx, a[1] - b[1]) > 3 * side - 1e-6


def test_folded_square_11() -> None:
    """The tooth is a square of 20 mm folded twice over its diagonals."""
    base, height, _, area, _ = record("11.foldedsquare")["expected"]
    text = """take folded-points from "quilting/folded-points"
      form can { profile straight { at 0 mm around 400 mm at 100 mm around 400 mm } }
      piece p { form can band folded-points(around = 20) from rim to foot }"""
    band = _laid(loads(text), "p").bands[0]
    assert len(band.points) == 20 * 10
    assert band.points.area == pytest.approx(area * 20**2, rel=1e-6)
    shape = band.points.shapes[band.points.shape[0]] * [band.rings.radius[0], 1.0]
    assert np.ptp(shape, axis=0) == pytest.approx([base * 20, height * 20], abs=1e-4)
