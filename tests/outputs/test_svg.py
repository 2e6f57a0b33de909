"""Path data, ids and text of drawings; the SVG 1.1 DTD of the W3C is the yardstick for structure."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from lxml import etree

from motif.api import loads
from motif.language.record import changed
from motif.language.reserved import TECHNIQUES
from motif.outputs import notebook, view
from motif.outputs.backends import BACKENDS
from motif.outputs.pen import xml_id
from motif.outputs.sheets import lay_out
from motif.outputs.styles import STYLES, looks
from motif.outputs.svg import Drawing, path_data
from motif.outputs.unroll import as_svg
from tests.outputs import pieces
from tests.outputs.path_reader import NotPathDataError, commands, polylines
from tests.reference import record, records

LINES = st.integers(1, 12).flatmap(lambda n: arrays(float, (n, 2), elements=st.floats(-1e4, 1e4)))


@pytest.mark.parametrize("known", records("8.path."), ids=lambda r: r["id"])
def test_the_reader_of_these_tests_follows_the_grammar(known: dict) -> None:
    d, expected = known["inputs"]["d"], known["expected"]
    if expected["valid"]:
        assert [n for _, numbers in commands(d) for n in numbers] == expected["numbers"]
    else:
        with pytest.raises(NotPathDataError):
            commands(d)


@given(st.lists(LINES, min_size=1, max_size=3))
def test_path_data_reads_back_to_a_thousandth(lines: list[np.ndarray]) -> None:
    """A long line is as true at its end as at its start: rounding does not add up."""
    read = polylines(path_data(lines))
    assert len(read) == len(lines)
    for line, (points, closed) in zip(lines, read, strict=True):
        assert not closed
        # 0.0005 for rounding to a thousandth, 1e-6 for the reader's sums
        assert points[0] == pytest.approx(tuple(line[0]), abs=0.000501)
        assert points[-1] == pytest.approx(tuple(line[-1]), abs=0.000501)
        for x, y in line.tolist():
            assert min(max(abs(x - u), abs(y - v)) for u, v in points) <= 0.000501


def test_path_data_is_short() -> None:
    square = np.array([[0, 0], [10, 0], [10, -0.5], [0, 0]])
    assert path_data([square], closed=True) == "M0 0l10 0 0-0.5z"
    assert path_data([np.array([[1.0, 2.0]])]) == "M1 2l0 0"
    assert path_data([]) == ""


@given(st.lists(st.one_of(st.text(), st.integers()), min_size=1, max_size=3))
def test_ids_are_names(words: list[object]) -> None:
    document = ElementTree.Element("g", {"id": xml_id(*words)})
    dtd = etree.DTD(  # an attribute of type ID must be a Name, says XML 1.0
        __import__("io").StringIO("<!ELEMENT g EMPTY><!ATTLIST g id ID #REQUIRED>")
    )
    assert dtd.validate(etree.fromstring(ElementTree.tostring(document, encoding="utf-8")))
    assert ":" not in xml_id(*words)


@given(st.text())
def test_any_text_can_be_drawn(words: str) -> None:
    drawing = Drawing()
    drawing.text(1, 2, words, 4)
    root = etree.fromstring(drawing.tostring(10, 10).encode())
    (text,) = root
    kept = re.sub(r"[\r\n]", "\n", words)
    assert len(text.text or "") == len(kept)
    assert not len(text)


def test_groups_without_content_are_left_out() -> None:
    drawing = Drawing()
    drawing.group("empty").group("emptier")
    assert len(etree.fromstring(drawing.tostring(10, 10).encode())) == 0


# ---------------------------------------------------------------- whole drawings


def hostile() -> pieces.LaidPiece:
    """Every text of a motif file that reaches a drawing, trying to get out of it."""

    bad = '"><script>alert(1)</script><!-- & ]]> \x07 \u202e'
    piece = pieces.caddy()
    works = tuple(changed(w, colour=bad) for w in piece.bands[0].points.works)
    band = changed(piece.bands[0], motif="é-тест", description=bad, points=changed(piece.bands[0].points, works=works))
    reserve = changed(piece.reserves[0], name=bad)
    return changed(piece, description=bad, bands=(band, piece.bands[1]), reserves=(reserve,))


def inside() -> pieces.LaidPiece:
    """A bowl decorated on its inner face."""
    piece = pieces.piece(pieces.beaker(), pieces.tufted_band(pieces.beaker()))
    return changed(piece, form=changed(piece.form, side="inside"))


DRAWINGS = {
    "rollout": lambda: as_svg(pieces.caddy(), lay_out(pieces.caddy(), "rollout")),
    "gores": lambda: as_svg(pieces.caddy(), lay_out(pieces.caddy(), "gores", gores=12), "in"),
    "cones": lambda: as_svg(pieces.caddy(), lay_out(pieces.caddy(), "cones")),
    "cylinder": lambda: as_svg(pieces.canister(), lay_out(pieces.canister(), "fewest")),
    "bare": lambda: as_svg(pieces.piece(pieces.beaker()), lay_out(pieces.piece(pieces.beaker()), "fewest")),
    "pot": lambda: view.svg(pieces.caddy(), "cm", 0.4, far_side=True),
    "bowl": lambda: view.svg(inside()),
    "round": lambda: view.round_document(pieces.caddy(), "in"),
    "hostile-pot": lambda: view.svg(hostile()),
    "hostile-rollout": lambda: as_svg(hostile(), lay_out(hostile(), "rollout")),
    "hostile-gores": lambda: as_svg(hostile(), lay_out(hostile(), "gores", gores=6)),
}


@cache
def drawn(name: str) -> str:
    return DRAWINGS[name]()


@cache
def svg_dtd() -> etree.DTD:
    return etree.DTD(file=str(Path(__file__).parents[1] / "reference" / "svg11" / "svg11.dtd"))


@pytest.mark.parametrize("name", DRAWINGS)
def test_drawings_are_valid_svg(name: str) -> None:
    root = etree.fromstring(drawn(name).encode())
    assert svg_dtd().validate(root), svg_dtd().error_log.filter_from_errors()


def test_the_dtd_refuses_what_is_wrong() -> None:
    root = etree.fromstring(drawn("cylinder").replace("<svg ", '<svg role="img" ', 1).encode())
    assert not svg_dtd().validate(root)


@pytest.mark.parametrize("name", DRAWINGS)
def test_drawings_hold_only_what_they_may(name: str) -> None:
    root = etree.fromstring(drawn(name).encode())
    tags = {etree.QName(e).localname for e in root.iter()}
    assert tags <= {"svg", "g", "path", "polyline", "circle", "text"}
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    text = drawn(name)
    assert "href" not in text
    assert "url(" not in text
    assert text.count("://") == 1  # the name of the SVG namespace


@pytest.mark.parametrize("name", DRAWINGS)
def test_one_user_unit_is_one_millimetre(name: str) -> None:
    """CSS: 96 px an inch; SVG: the scale is the size in px over that of the viewBox."""
    root = etree.fromstring(drawn(name).encode())
    px_per_mm = record("7.px")["expected"] / record("7.inch")["expected"]
    for size, box in zip((root.get("width"), root.get("height")), root.get("viewBox").split()[2:], strict=True):
        scale = float(size.removesuffix("mm")) * px_per_mm / float(box)
        assert scale == pytest.approx(record("8.viewbox.scale")["expected"], abs=1e-12)
        assert scale == pytest.approx(record("7.mm.px")["expected"], abs=1e-12)
        assert 1 / scale == pytest.approx(record("7.px.mm")["expected"], abs=1e-14)


@pytest.mark.parametrize("name", DRAWINGS)
def test_nothing_is_drawn_off_the_page_and_no_text_is_too_small(name: str) -> None:
    root = etree.fromstring(drawn(name).encode())
    width, height = (float(v) for v in root.get("viewBox").split()[2:])
    for element in root.iter("{*}path"):
        for points, _ in polylines(element.get("d")):
            assert all(0 <= x <= width and 0 <= y <= height for x, y in points)
    for element in root.iter("{*}text"):
        # capitals and figures are about 0.72 of the size in sans-serif faces (from memory)
        assert float(element.get("font-size")) * 0.72 >= 2.5
        assert 0 <= float(element.get("x")) <= width
        assert 0 <= float(element.get("y")) <= height


@pytest.mark.parametrize("name", ["gores", "cones", "cylinder"])
def test_check_bars_are_as_long_as_they_say(name: str) -> None:
    root = etree.fromstring(drawn(name).encode())
    (group,) = root.xpath("//*[@id='check']")
    bars = [polylines(p.get("d"))[0][0] for p in group.iter("{*}path")]
    lengths = [abs(bar[-1][0] - bar[0][0]) for bar in bars]
    assert lengths == pytest.approx([100.0, 4 * record("7.inch")["expected"]], abs=1e-9)


def test_every_band_and_technique_has_its_group() -> None:
    root = etree.fromstring(drawn("rollout").encode())
    ids = {e.get("id") for e in root.iter() if e.get("id")}
    assert {f"band-1-tufting-{t}" for t in ("incise", "impress", "roulette", "attach")} <= ids
    assert {"band-2-leaves-paint", "band-2-leaves-impress", "piece-carve"} <= ids


_DIGEST = """
import hashlib
from motif.outputs.backends import prepare
from tests.outputs import pieces
for name, content in prepare(pieces.caddy()).items():
    print(name, hashlib.sha256(content).hexdigest())
"""


def test_the_same_bytes_whatever_the_hash_seed_locale_and_zone() -> None:
    found = set()
    for seed, language, zone in (
        ("0", "C", "UTC"),
        ("1", "de_DE.UTF-8", "Asia/Kolkata"),
        ("77", "tr_TR", ""),
    ):
        surroundings = os.environ | {"PYTHONHASHSEED": seed, "LC_ALL": language, "TZ": zone}
        done = subprocess.run(
            [sys.executable, "-c", _DIGEST],
            env=surroundings,
            capture_output=True,
            text=True,
            check=True,
            cwd=Path(__file__).parents[2],
        )
        found.add(done.stdout)
    assert len(found) == 1
    assert len(found.pop().splitlines()) == len(BACKENDS)


def test_every_technique_has_its_style() -> None:
    assert set(STYLES) == set(TECHNIQUES)
    looks = [(s.weight, s.dash) for s in STYLES.values()]
    assert len(set(looks)) == len(looks), "two techniques look the same in black and white"


def test_every_colour_of_a_technique_looks_its_own() -> None:
    """By colour on a screen, and by dash on a black-and-white print, whether or not we know the colour's name."""
    names = [None, "blue", "cobalt", "cobalt blue", "pale blue", "dark blue", "glaze A", "glaze B", "=x", '"><script>']
    found = looks((technique, colour) for technique in STYLES for colour in names)
    assert len(found) == len(STYLES) * len(names)
    printed = [(s.weight, s.dash) for s in found.values()]
    assert len(set(printed)) == len(printed)
    for technique, own in STYLES.items():
        on_screen = [found[technique, c].colour for c in names[:8]]
        assert len(set(on_screen)) == len(on_screen)
        assert (found[technique, None].colour, found[technique, None].dash) == (own.colour, own.dash)
    assert all(re.fullmatch("#[0-9a-fA-F]{6}", s.colour) and 0 < s.fill <= 1 for s in found.values())
    # a name that we know is drawn so: its middle of red, green and blue is the largest where the word says so
    for name, strongest in (("iron red", 0), ("pale green", 1), ("dark blue", 2)):
        (look,) = looks([("paint", name)]).values()
        parts = [int(look.colour[i : i + 2], 16) for i in (1, 3, 5)]
        assert parts.index(max(parts)) == strongest
    # and a single colour has the technique's own dash
    assert looks([("paint", "blue")])["paint", "blue"].dash == STYLES["paint"].dash


TWO_COLOURS = """form can { profile straight { at 0 mm across 90 mm at 100 mm across 90 mm } }
motif m { grid columns 6 rows 2 each cell {
  paint from (0, 0) line to (1, 1) colour "sea foam" paint from (1, 0) line to (0, 1) colour "winter sky" } }
piece p { form can band m }"""


@pytest.mark.parametrize("draw", [
    lambda piece: as_svg(piece, lay_out(piece, "rollout")),
    lambda piece: as_svg(piece, lay_out(piece, "gores", gores=3)),
    view.svg,
], ids=["rollout", "gores", "pot"])  # fmt: skip
def test_colours_are_told_apart_in_drawing_and_legend(draw: Callable[[pieces.LaidPiece], str]) -> None:
    """Two colours of paint, neither known, have two dashes and two colours; the legend shows the same two."""
    piece = loads(TWO_COLOURS).lay("p")
    assert piece is not None
    root = etree.fromstring(draw(piece).encode())

    def looks_in(group: etree._Element) -> set[tuple[str, str]]:
        lines = [e for e in group.iter("{*}path") if e.get("fill") != "none" or e.get("stroke") != "none"]
        own = ("stroke", "stroke-dasharray")
        return {tuple(e.get(key) or group.get(key) or "" for key in own) for e in lines}  # type: ignore[misc]

    drawn = set().union(*(looks_in(g) for g in root.iter("{*}g") if (g.get("id") or "").endswith("-paint")))
    assert len({colour for colour, _ in drawn}) == len({dash for _, dash in drawn}) == len(drawn) == 2
    (legend,) = root.xpath("//*[@id='legend']")
    assert drawn <= looks_in(legend)


def test_a_notebook_shows_the_pot_and_escaped_counts() -> None:
    assert notebook.pot_svg(pieces.caddy()).startswith("<svg")
    html = notebook.counts_html(hostile())
    assert "<script" not in html
    assert "&lt;script&gt;" in html
