"""Printed sheets, read back from the PDF: lengths, boxes, letters, and what the print dialogue is asked for."""

from __future__ import annotations

import ctypes
import math
import re
from itertools import combinations, pairwise
from typing import Any, NamedTuple

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from motif.language.record import changed
from motif.laying.piece import LaidPiece
from motif.outputs.numbers import Unit
from motif.outputs.printed import letters, pdf
from motif.outputs.printed.book import document
from motif.outputs.printed.flow import Flow
from motif.outputs.printed.girths import girths
from motif.outputs.printed.grids import set_table
from motif.outputs.printed.joins import OVERLAP, cut, letter
from motif.outputs.printed.outlines import shapes
from motif.outputs.printed.packing import pack
from motif.outputs.printed.pages import SMALL
from motif.outputs.printed.paper import PAPERS, PaperName, paper_of
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import Box, Sketch, TextMark
from motif.outputs.printed.tiles import tile
from motif.outputs.tables import Column, Table
from motif.wall import Station, build_wall
from tests.outputs.pdf_reader import MM, Leaf, leaves
from tests.outputs.pieces import TURN, beaker, caddy, canister, cylinder, path, piece, tufted_band, work
from tests.reference import record

#: What the sheets promise, mm: the printed place of a mark against its computed place.
TRUE = 0.01
STRIP_WIDE = 17.0
PUBLISHED: dict[PaperName, str] = {"a4": "7.a4", "letter": "7.letter"}


def cone(start: float = 0.3) -> LaidPiece:
    """40 mm to 70 mm radius over a height of 150 mm: 2π r is known at every tape."""
    wall = beaker()
    return piece(wall, tufted_band(wall, columns=7, rows=4, low=30.0, high=130.0, start=start), name="beaker")


# ------------------------------------------------------------------------- the file


@pytest.mark.parametrize("name", PAPERS)
def test_pages_are_the_paper(name: PaperName) -> None:
    width, height = record(PUBLISHED[name])["expected"]  # ISO 216; ANSI/ASME Y14.1
    point, _ = record("7.pt")["expected"]
    made = pypdfium2.PdfDocument(document(canister(), paper=name))
    for page in made:
        assert page.get_mediabox() == page.get_cropbox()
        assert np.array(page.get_mediabox()) * point == pytest.approx([0, 0, width, height], abs=1e-4)
        assert page.get_rotation() == 0


def test_a_page_on_the_screen_is_as_large_as_its_paper() -> None:
    """At 96 px an inch, in whole pixels: PDFium rounds up what is begun."""
    _, px = record("7.pt")["expected"]
    page = pypdfium2.PdfDocument(document(canister(), paper="a4"))[0]
    seen = page.render(scale=px)
    assert [seen.width, seen.height] == [math.ceil(v) for v in record("7.a4.px")["expected"]]


def test_the_print_dialogue_is_asked_not_to_scale() -> None:
    made = pypdfium2.PdfDocument(document(canister()))
    assert not pdfium.FPDF_VIEWERREF_GetPrintScaling(made)  # ISO 32000-1, table 150: PrintScaling None
    assert made.get_version() == 17  # the first version with all of these
    assert pdfium.FPDF_VIEWERREF_GetDuplex(made) == pdfium.Simplex


def test_the_same_bytes_twice() -> None:
    assert document(caddy()) == document(caddy())


def test_the_title_is_the_piece_whatever_its_letters() -> None:
    named = changed(caddy(), description="Jar (of) \\tea\\ ő 茶")
    made = pypdfium2.PdfDocument(document(named))
    assert made.get_metadata_value("Title") == "Jar (of) \\tea\\ ő 茶, sheets"
    assert made.get_metadata_value("CreationDate") == pypdfium2.PdfDocument(document(canister())).get_metadata_value(
        "CreationDate"
    )
    words = made[0].get_textpage().get_text_range()
    assert "Jar (of) \\tea\\ ő [U+8336]" in words.replace("\r\n", " ")
    assert "茶" not in words


def test_letters_are_embedded() -> None:
    made = pypdfium2.PdfDocument(document(canister()))
    for page in made:
        for thing in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]):
            font = pdfium.FPDFTextObj_GetFont(thing)
            assert pdfium.FPDFFont_GetIsEmbedded(font) == 1


def test_words_are_filled_and_only_white_ones_are_outlined() -> None:
    """White round a name must not leave its outline on the names that follow."""
    made = pypdfium2.PdfDocument(document(canister()))
    for page in made:
        for thing in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]):
            red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
            assert pdfium.FPDFPageObj_GetFillColor(thing, red, green, blue, alpha)
            outlined = pdfium.FPDFTextObj_GetTextRenderMode(thing) != pdfium.FPDF_TEXTRENDERMODE_FILL
            assert outlined == (red.value == green.value == blue.value == 255)


# ------------------------------------------------------------------------- what prints


@pytest.mark.parametrize("made_by", [caddy, canister, cone])
def test_nothing_too_small_or_too_thin(made_by: type) -> None:
    pages = leaves(document(made_by()))
    for page in pages:
        assert min(text.size for text in page.texts) >= 7.0
    weights = [line.weight for page in pages[1:] for line in page.lines if line.weight]
    assert min(weights) >= 0.25 - 1e-6


@pytest.mark.parametrize("made_by", [caddy, canister, cone])
@pytest.mark.parametrize("name", PAPERS)
def test_nothing_where_a_printer_does_not_reach(made_by: type, name: PaperName) -> None:
    """Pixels of a quarter of a millimetre: all white within 10 mm of the paper's edge, but for half a line's width."""
    for page in pypdfium2.PdfDocument(document(made_by(), paper=name)):
        pixels = page.render(scale=4 * MM, grayscale=True).to_numpy().squeeze()
        inner = np.full(pixels.shape, False)
        inner[39:-39, 39:-39] = True
        assert pixels[~inner].min() == 255
        assert pixels[inner].min() < 60


@pytest.mark.parametrize(
    ("unit", "foot", "foot_long"), [("mm", "50 mm", 50.0), ("cm", "5 cm", 50.0), ("in", "2 in", 50.8)]
)
def test_bars_to_check_the_print_by(unit: Unit, foot: str, foot_long: float) -> None:
    pages = leaves(document(canister(), unit))
    for words, long in (("100 mm", 100.0), ("4 in", 4 * record("7.inch")["expected"]), (foot, foot_long)):
        for page in pages if words == foot else pages[:1]:
            x, y = page.word(words).start
            near = [line.points for line in page.lines if np.abs(line.points - [x, y]).max() < 130]
            bars = [p for p in near if len(p) == 2 and abs(p[0, 1] - p[1, 1]) < 1e-6 and abs(p[0, 1] - y) < 6]
            assert any(abs(np.ptp(p[:, 0]) - long) < 1e-3 for p in bars)
    for n, page in enumerate(pages, 1):
        assert page.word(f"sheet {n} of {len(pages)}")


# ------------------------------------------------------------------------- girth strips


class Strip(NamedTuple):
    """A piece of a girth strip on a page: its corner nearest to the start and ``lying`` where it runs up the page."""

    page: Leaf
    corner: tuple[float, float]
    long: float
    lying: bool

    def local(self, points: Any) -> Any:
        """Points of the page, (…, 2), as distance along the strip and across it."""
        x, y = np.asarray(points, dtype=float)[..., 0], np.asarray(points, dtype=float)[..., 1]
        if self.lying:
            return np.stack([self.corner[1] - y, x - self.corner[0]], axis=-1)
        return np.stack([x - self.corner[0], y - self.corner[1]], axis=-1)


def strip_pieces(pages: list[Leaf]) -> list[Strip]:
    """The pieces of girth strips, the longest first."""
    found = []
    for page in pages:
        for line in page.lines:
            if not line.closed or len(line.points) not in (4, 5) or abs(line.weight - 0.25) > 1e-3:
                continue
            (left, top), (wide, tall) = line.points.min(axis=0).tolist(), np.ptp(line.points, axis=0).tolist()
            if abs(wide - STRIP_WIDE) < 1e-3 and tall > 20:
                found.append(Strip(page, (left, top + tall), tall, True))
            elif abs(tall - STRIP_WIDE) < 1e-3 and wide > 20:
                found.append(Strip(page, (left, top), wide, False))
    return sorted(found, key=lambda strip: -strip.long)


def ticks_of(strip: Strip, edge: float = 0.0) -> dict[int, float]:
    """Distance of each numbered tick from the start of its piece, by number; ``edge`` is the ticked edge, across."""
    at = []
    for line in strip.page.lines:
        if len(line.points) == 2 and abs(line.weight - 0.35) < 1e-3 and not line.dashed:
            (u0, v0), (u1, v1) = strip.local(line.points).tolist()
            if abs(u1 - u0) < 1e-3 and abs(v0 - edge) < 1e-3 and abs(abs(v1 - v0) - 6.0) < 1e-3:
                at.append(u0)
    numbers = []
    for text in strip.page.texts:
        u, v = strip.local(text.middle).tolist()
        if text.words.isdigit() and -1 < u < strip.long + 1 and 0 < v < STRIP_WIDE:
            numbers.append((int(text.words), u))
    return {n: min(at, key=lambda u, m=middle: abs(u - m)) for n, middle in numbers}


@pytest.mark.parametrize("start", [0.0, 0.3, 6.1])
def test_every_tick_of_a_girth_strip(start: float) -> None:
    """Circumference arithmetic: u = r × angle, with the cone's r = 40 + 30 s / √(150² + 30²)."""
    radius = 40.0 + 30.0 * 130.0 / math.hypot(150.0, 30.0)
    pages = leaves(document(cone(start), rings=(4,)))
    pieces = strip_pieces(pages)
    assert len(pieces) == 2
    # The long piece ends in an overlap of 12 mm, over which the short one is laid.
    joined = [0.0, pieces[0].long - OVERLAP]
    expected = {k + 1: radius * ((start + k * TURN / 7) % TURN) for k in range(7)}
    seen: dict[int, list[float]] = {n: [] for n in expected}
    for one, offset in zip(pieces, joined, strict=True):
        for n, u in ticks_of(one).items():
            seen[n].append(u + offset)
    for n, u in expected.items():
        assert seen[n], n
        for found in seen[n]:
            assert min(abs(found - u), abs(found - u - TURN * radius)) < TRUE
    assert joined[1] + pieces[1].long - OVERLAP == pytest.approx(TURN * radius, abs=TRUE)


def test_a_ring_near_the_foot_has_its_strip_standing_on_it() -> None:
    wall = cylinder(30.0)
    low = piece(wall, tufted_band(wall, columns=6, rows=2, low=5.0, high=120.0))
    for ring, edge in ((0, STRIP_WIDE), (2, 0.0)):
        (one,) = strip_pieces(leaves(document(low, rings=(ring,))))
        found = ticks_of(one, edge)
        for k in range(1, 6):
            assert found[k + 1] == pytest.approx(TURN * 30.0 * k / 6, abs=TRUE)


def within(outside: LaidPiece) -> LaidPiece:
    """The same wall decorated inside."""
    return changed(outside, form=changed(outside.form, side="inside"))


def test_inside_a_wall_that_opens_the_strip_stands_on_its_ring() -> None:
    """Below the ring the cone is narrower, and paper as long as the ring would not go in."""
    (one, *_) = strip_pieces(leaves(document(within(cone()), rings=(2,))))
    assert len(ticks_of(one, STRIP_WIDE)) >= 5
    (one, *_) = strip_pieces(leaves(document(cone(), rings=(2,))))
    assert len(ticks_of(one, 0.0)) >= 5


def test_the_cover_of_a_wall_decorated_inside_says_what_is_done_there() -> None:
    bowl = build_wall([Station(0.0, 0.0), Station(60.0, 20.0), Station(100.0, 70.0)], smooth=True)
    inside = within(piece(bowl, tufted_band(bowl, columns=8, rows=3, low=40.0, high=100.0), name="bowl"))
    pages = leaves(document(inside))
    said = " ".join(t.words for t in pages[0].texts)
    assert "inside the pot, against the wall" in said
    assert "the lowest end at the middle" in said
    assert "the wall’s own lowest point" in said
    everything = said + " ".join(t.words for page in pages for t in page.texts)
    for untrue in ("round the pot with", "heavy circle", "Heavy circle", "above the foot", "foot 0"):
        assert untrue not in everything
    # A bowl is widest at its rim, which is then called that alone.
    names = {t.words for page in pages for t in page.texts}
    assert "rim" in names and not {"belly", "belly, rim"} & names


def test_rings_alike_share_a_strip() -> None:
    """Seven rings of a cylinder are one strip, whose pieces together are as long as it is round."""
    pieces = strip_pieces(leaves(document(canister(), rings=())))
    assert sum(one.long - OVERLAP for one in pieces) == pytest.approx(TURN * 60.0, abs=TRUE)


# ------------------------------------------------------------------------- wall strip, disc, outlines


def test_every_ring_on_the_wall_strip() -> None:
    """Six rings of a cylinder every 25 mm from 20 mm up: the strip's ticks lie so far above its lower end."""
    (page,) = [p for p in leaves(document(canister())) if any("wall strip ·" in t.words for t in p.texts)]
    strips = [p.points for p in page.lines if p.closed and abs(p.weight - 0.25) < 1e-3 and len(p.points) in (4, 5)]
    (strip,) = [p for p in strips if np.isclose(sorted(np.ptp(p, axis=0)), [66.0, 200.0], atol=TRUE).all()]
    left, bottom = strip[:, 0].min(), strip[:, 1].max()
    assert np.ptp(strip[:, 1]) == pytest.approx(200.0, abs=TRUE)
    long = [p.points for p in page.lines if len(p.points) == 2 and abs(p.weight - 0.35) < 1e-3]
    ticks = [p for p in long if abs(p[0, 0] - left) < 1e-3 and abs(np.ptp(p[:, 0]) - 8.0) < 1e-3]
    found = sorted(bottom - float(p[0, 1]) for p in ticks)
    assert found == pytest.approx([20.0 + 25.0 * k for k in range(7)], abs=TRUE)
    for k, tape in enumerate(found):
        names = [t for t in page.texts if t.words == str(k) and abs(bottom - t.middle[1] - tape) < 0.6]
        assert names, k


def test_lines_and_circles_of_the_disc() -> None:
    """Six columns, so lines every 60 degrees, counted against the clock from the one that points down; foot 120 mm."""
    (page,) = [p for p in leaves(document(canister())) if any("turntable disc, seen" in t.words for t in p.texts)]
    (foot,) = [p.points for p in page.lines if abs(p.weight - 0.6) < 1e-3]
    middle = (foot.min(axis=0) + foot.max(axis=0)) / 2
    assert np.ptp(foot, axis=0) == pytest.approx([120.0, 120.0], abs=TRUE)
    lines = [p.points for p in page.lines if len(p.points) == 2 and abs(p.weight - 0.35) < 1e-3]
    spokes = [p - middle for p in lines if np.hypot(*(p - middle).T).max() > 70]
    spokes = [p[np.argsort(np.hypot(*p.T))] for p in spokes if abs(np.linalg.det(p)) < 0.05]
    assert len(spokes) == 6
    for k in range(6):
        angle = k * TURN / 6
        way = np.array([math.sin(angle), math.cos(angle)])
        (spoke,) = [p for p in spokes if np.hypot(*(p[1] / np.hypot(*p[1]) - way)) < 1e-3]
        # 0.01 mm at the end of every line
        assert np.abs(np.linalg.det(np.array([way, spoke[1]]))) < TRUE
        beyond = [t for t in page.texts if t.words == str(k + 1)]
        assert any(np.hypot(*(np.array(t.middle) - middle - spoke[1])) < 5.0 for t in beyond)
    circles = [p.points for p in page.lines if p.dashed and p.closed and len(p.points) > 20]
    round_ = sorted(round(float(np.ptp(p[:, 0])), 2) for p in circles)
    assert round_ == [100.0, 110.0, 130.0, 140.0]


def test_no_disc_where_nothing_divides_the_pot() -> None:
    wall = cylinder()
    pages = leaves(document(piece(wall, lines=(50.0,), name="plain")))
    words = " ".join(t.words for page in pages for t in page.texts)
    assert "turntable disc" not in words and "girth strips" not in words
    assert "wall strip" in words


def test_outlines_at_both_stages() -> None:
    """A pellet of 14 mm is cut 4 % larger where clay shrinks so that 1 mm was 1.04 mm when wet."""
    pages = leaves(document(changed(canister(), wet_scale=1.04)))
    (page,) = [page for page in pages if any(t.words == "pellet: attach, 42 times" for t in page.texts)]
    said = [t for t in page.texts if t.words.startswith(("leather-hard (full", "wet (dashed"))]
    assert {t.words.rpartition(": ")[2] for t in said} == {"9 × 9 mm", "14 × 14 mm", "14.6 × 14.6 mm"}
    drawn = [p for p in page.lines if p.closed and len(p.points) > 40 and abs(p.weight - 0.35) < 1e-3]
    sizes = {(round(float(np.ptp(p.points[:, 1])), 3), p.dashed) for p in drawn}
    assert (14.0, False) in sizes
    assert (14.56, True) in sizes


def test_blocks_beside_one_another_keep_their_headings_whole_and_their_figures_apart() -> None:
    """Thirty-two readings in four blocks would be too wide for a column of the page: they come in fewer."""
    columns = (Column("vertical", "Vertical", "count"), Column("tape", "Tape", "length"))
    readings = [(k + 1, 25.4 * (k * 19 / 16 + 1 / 32)) for k in range(32)]
    rows = [tuple(cell for j in range(4) for cell in readings[k + 8 * j]) for k in range(8)]
    flow = Flow(paper_of("letter"), "order of work", columns=2)
    flow.begin_columns()
    set_table(flow, Table("Readings", columns * 4, rows), "in")
    (leaf,) = leaves(pdf.document(flow.pages, "readings", None))
    heads = [t for t in leaf.texts if t.words.startswith("Vert")]
    assert {t.words for t in heads} == {"Vertical"}
    assert 1 < len(heads) < 4
    figures = [t for t in leaf.texts if re.fullmatch(r"[\d /\u00a0]+", t.words)]
    assert {t.words for t in figures} >= {str(k + 1) for k in range(32)}
    for one, other in combinations(figures, 2):
        if abs(one.start[1] - other.start[1]) < 0.1:
            halves = abs(one.middle[0] - one.start[0]) + abs(other.middle[0] - other.start[0])
            assert abs(one.middle[0] - other.middle[0]) - halves > 1.5, (one.words, other.words)


def test_decimal_points_in_a_printed_table_stand_below_one_another() -> None:
    flow = Flow(paper_of("a4"), "table", columns=2)
    shown = ("120.6", "19", "44.4")
    columns = (Column("ring", "Ring", "count"), Column("tape", "Tape", "length"))
    set_table(flow, Table("Rings", columns, [(k, float(text)) for k, text in enumerate(shown, 4)]), "mm")
    (page,) = leaves(pdf.document(flow.pages, "table", None))
    points = [page.word(text).start[0] + letters.width(text.partition(".")[0], SMALL) for text in shown]
    assert np.ptp(points) < 0.02


def test_without_a_clay_there_is_nothing_wet() -> None:
    pages = leaves(document(canister()))
    words = " ".join(t.words for page in pages for t in page.texts)
    assert "does not say how the clay has shrunk" in words
    assert "wet (dashed" not in words


def test_shapes_joined_on_over_their_area_are_laid_flat() -> None:
    """On a cylinder the wall unrolls exactly: a slab of 40 by 25 mm set off in angle and tape is 40 by 25 mm."""
    wall = cylinder(60.0)
    slabs = [
        path(
            work("attach"),
            np.array([[a, 50.0], [a + 40 / 60, 50.0], [a + 40 / 60, 75.0], [a, 75.0], [a, 50.0]]),
            worked_over=True,
            closed=True,
        )
        for a in (0.0, 1.0, 2.0)
    ]
    band = changed(tufted_band(wall, columns=6, rows=2), paths=tuple(slabs))
    (one,) = [s for s in shapes(piece(wall, band)) if s.kind == "shape"]
    assert one.count == 3
    assert one.size == pytest.approx((40.0, 25.0), abs=1e-9)


# ------------------------------------------------------------------------- tiles and packing


def crosses(page: Leaf) -> dict[str, list[tuple[float, float]]]:
    """Middles of the match marks of each letter: the one upright cross whose middle lies near the letter."""
    bars = [p.points for p in page.lines if len(p.points) == 2 and abs(p.weight - 0.3) < 1e-3 and not p.dashed]
    middles = [tuple(b.mean(axis=0)) for b in bars if np.ptp(b[:, 0]) < 1e-6]
    found: dict[str, list[tuple[float, float]]] = {}
    for text in page.texts:
        if text.words.isalpha() and text.words.isupper():
            near = [m for m in middles if math.dist(m, text.start) < 4.5]
            if near:
                found.setdefault(text.words, []).append(min(near, key=lambda m, t=text: math.dist(m, t.start)))
    return found


def motion(one: np.ndarray, other: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The turn and shift that lay the pair of points ``one`` on the pair ``other``; paper is not stretched."""
    a, b = one[1] - one[0], other[1] - other[0]
    assert np.hypot(*a) == pytest.approx(np.hypot(*b), abs=TRUE)
    turn = math.atan2(b[1], b[0]) - math.atan2(a[1], a[0])
    matrix = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    return matrix, other[0] - one[0] @ matrix


def test_tiles_laid_on_one_another_by_their_crosses_agree() -> None:
    """A cylinder 377 mm round and 300 mm tall in tiles: laid cross on cross, all of the sheet's outline lies in one
    place."""
    wall = cylinder(height=300.0)
    pages = leaves(document(piece(wall, tufted_band(wall, columns=6, low=5.0, high=295.0))))
    joins: dict[str, list[tuple[Leaf, np.ndarray]]] = {}
    for page in pages:
        for name, at in crosses(page).items():
            joins.setdefault(name, []).append((page, np.array(at)))
    assert joins
    for (one, marks), (other, same_marks) in joins.values():
        matrix, shift = motion(marks, same_marks)
        ours, theirs = (max((p.points for p in leaf.lines if p.closed), key=np.ptp) for leaf in (one, other))
        assert np.ptp(ours, axis=0).max() > 300  # the data of both tiles holds the whole sheet
        assert np.abs(ours @ matrix + shift - theirs).max() < TRUE


def test_no_number_is_cut_through_where_tiles_meet_and_none_is_lost() -> None:
    sketch = Sketch()
    for n in range(120):
        sketch.text(4.0 * n, 50.0, str(n), 3.2, anchor="middle")
    part = Part("ruler", (sketch,), Box(-5.0, 0.0, 485.0, 100.0))
    tiles = tile(part, paper_of("a4"), [], [part.box]).tiles(0)
    assert len(tiles) > 1
    whole: set[str] = set()
    for one in tiles:
        there = [m for m in one.layers[0].marks if isinstance(m, TextMark) and m.box.meets(one.box)]
        for mark in there:
            assert one.box.left <= mark.box.left and mark.box.right <= one.box.right, mark.words
        whole |= {mark.words for mark in there}
    assert whole == {str(n) for n in range(120)}


def numbers_in(words: str) -> set[int]:
    """``sheets 4, 5 and 7``, ``sheets 5 to 8``."""
    runs = re.findall(r"(\d+)(?: to (\d+))?", words)
    return {n for low, high in runs for n in range(int(low), int(high or low) + 1)}


def test_the_order_of_work_names_the_sheets_that_it_speaks_of() -> None:
    """What stands on the pages themselves tells which have strips and which a disc."""
    pages = leaves(document(caddy(), paper="letter"))
    said = " ".join(t.words for page in pages for t in page.texts)
    assert "sheets.pdf" not in said

    signs = {
        "girth strips": r"start →|tab",  # of a strip in two parts each has one of these
        "wall strip": r".* · wall strip.*",
        "turntable disc": r".*turntable disc, seen from above.*",
    }
    for name, sign in signs.items():
        showing = {k for k, page in enumerate(pages, 1) if any(re.fullmatch(sign, t.words) for t in page.texts)}
        (told,) = set(re.findall(rf"{name} \((sheets? [\d, and to]+)\)", said))
        assert numbers_in(told) == showing, name
    for k, page in enumerate(pages, 1):
        foot = next(t.words for t in page.texts if t.words.startswith("caddy: ") and t.middle[1] > page.height - 20)
        shown = {int(n) for t in page.texts for n in re.findall(r"flat sheet (\d+) of", t.words)}
        if shown:
            assert numbers_in(foot[foot.index("flat sheet") :]) == shown, k


def test_joins_are_lettered_in_the_order_of_the_pages() -> None:
    """Parts are packed the longest first, whichever ring they are for."""
    wall = beaker()
    twelve = piece(wall, tufted_band(wall, columns=12, rows=4, low=30.0, high=130.0), name="beaker")
    seen = []
    for page in leaves(document(twelve, rings=())):
        lines = [t for t in page.texts if re.fullmatch("line [A-Z]", t.words)]
        seen += [t.words for t in sorted(lines, key=lambda t: t.start[0])]
    assert len(seen) >= 3
    assert seen == sorted(seen)


def test_the_map_of_a_great_many_sheets_fits_its_page() -> None:
    """A wall of nearly a metre in many cones, all of them in parts: the map names the page of every part."""
    stations = ((0.0, 90.0), (180.0, 126.0), (420.0, 75.0), (660.0, 144.0), (900.0, 90.0))
    wall = build_wall([Station(h, r) for h, r in stations], smooth=True)
    pages = leaves(document(piece(wall, tufted_band(wall, columns=4, rows=4), name="tall")))
    (guide,) = [p for p in pages if any(t.words.startswith("The little pictures") for t in p.texts)]
    named = {int(t.words.split()[2]) for t in guide.texts if re.fullmatch(r"flat sheet \d+", t.words)}
    assert len(named) > 12
    numbers = {int(text.words) for text in guide.texts if text.words.isdigit()}
    assert set(range(pages.index(guide) + 2, len(pages) + 1)) <= numbers


def test_no_more_strips_than_anyone_prints() -> None:
    wall = beaker()
    found, remarks = girths(piece(wall, tufted_band(wall, columns=3, rows=300)), ())
    assert len(found) == 200
    assert any("first 200 of 301" in words for words in remarks)


def test_parts_on_a_page_do_not_meet() -> None:
    """Of 60 parts of all sizes every one is on one page, whole, and apart from the others."""
    paper = paper_of("a4")
    rng = np.random.default_rng(7)
    sizes = [*rng.uniform(8.0, 180.0, (40, 2)), *np.column_stack([np.full(20, 17.0), rng.uniform(40.0, 267.0, 20)])]
    parts = [Part("p", (Sketch(),), Box(0.0, 0.0, float(w), float(h))) for w, h in sizes]
    packed = pack([parts], paper)
    assert sorted(map(id, parts)) == sorted(id(part) for one in packed for part in one.parts)
    area = 0.0
    for one in packed:
        corners = []
        for part, placed in zip(one.parts, one.page.placed, strict=True):
            wide, tall = part.box.width, part.box.height
            wide, tall, top = (tall, wide, placed.y - wide) if placed.turned else (wide, tall, placed.y)
            corners.append((placed.x, top, placed.x + wide, top + tall))
            area += wide * tall
        x0, y0, x1, y1 = np.array(corners).T
        assert min(x0.min(), y0.min()) >= 10 - 1e-6
        assert x1.max() <= 200 + 1e-6 and y1.max() <= 277 + 1e-6
        clear = (x0[:, None] >= x1 + 2.99) | (y0[:, None] >= y1 + 2.99)
        assert np.all(clear | clear.T | np.eye(len(x0), dtype=bool))
    assert len(packed) <= 1.5 * area / (paper.width * paper.height) + 1


# ------------------------------------------------------------------------- joins and letters


@pytest.mark.parametrize(
    ("long", "most"), [(10.0, 267.0), (255.0, 267.0), (255.1, 267.0), (900.0, 267.0), (1e4, 249.4)]
)
def test_pieces_follow_on_one_another_and_fit(long: float, most: float) -> None:
    pieces = cut(long, most, [k * 7.0 for k in range(2000)], 12.0)
    assert pieces[0].start == 0.0 and pieces[-1].end == long
    for one, following in pairwise(pieces):
        assert one.end == following.start and one.after == following.before
    assert all(p.end - p.start + p.over <= most + 1e-6 for p in pieces)
    assert len(pieces) == max(1, math.ceil((long + 12.0 - OVERLAP) / (most - OVERLAP) - 1e-9))


def test_letters_of_joins() -> None:
    assert [letter(k) for k in (0, 1, 25, 26, 51, 52, 701, 702)] == ["A", "B", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]


@pytest.mark.parametrize(
    ("words", "printed"),
    [
        ("ő Ž αγγείο Сосуд", "ő Ž αγγείο Сосуд"),
        ("1′ 2″ −3", "1′ 2″ −3"),
        ("Ⓐ", "A"),
        ("a\u200bb\tc\x07", "ab c"),
        ("Ж壺", "Ж[U+58FA]"),
        ("½ ﬁ", "½ ﬁ"),
        ("1 → 2", "1 → 2"),
    ],
)
def test_letters_the_faces_lack(words: str, printed: str) -> None:
    assert letters.printable(words) == printed


def test_lines_of_words_fit() -> None:
    words = "lay the strip round the pot andaverylongwordthatmustbebrokensomewhere then mark"
    for wide in (12.0, 30.0, 80.0):
        lines = letters.lines_of(words, wide, 3.2)
        assert "".join(lines).replace(" ", "") == words.replace(" ", "")
        assert all(letters.width(line, 3.2) <= wide for line in lines)
