"""Printed sheets, read back from the PDF: lengths, boxes, letters, and what the print dialogue is asked for."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from motif.language.record import changed
from motif.laying.piece import LaidPiece
from motif.outputs.printed import letters
from motif.outputs.printed.book import document
from motif.outputs.printed.joins import OVERLAP, cut, letter
from motif.outputs.printed.paper import PAPERS, PaperName, paper_of
from tests.outputs.pdf_reader import Leaf, leaves
from tests.outputs.pieces import TURN, beaker, caddy, canister, cylinder, piece, tufted_band
from tests.reference import record

#: What the sheets promise, mm: the printed place of a mark against its computed place.
TRUE = 0.01
STRIP_WIDE = 17.0


def cone(start: float = 0.3) -> LaidPiece:
    """40 mm to 70 mm radius over a height of 150 mm: 2π r is known at every tape."""
    wall = beaker()
    return piece(wall, tufted_band(wall, columns=7, rows=4, low=30.0, high=130.0, start=start), name="beaker")


# ------------------------------------------------------------------------- the file


@pytest.mark.parametrize("name", PAPERS)
def test_pages_are_the_paper(name: PaperName) -> None:
    width, height = record(f"7.{name}")["expected"]  # ISO 216; ANSI/ASME Y14.1
    made = pypdfium2.PdfDocument(document(canister(), paper=name))
    for page in made:
        assert page.get_mediabox() == page.get_cropbox()
        assert np.array(page.get_mediabox()) / 72 * 25.4 == pytest.approx([0, 0, width, height], abs=1e-4)
        assert page.get_rotation() == 0


def test_the_print_dialogue_is_asked_not_to_scale() -> None:
    made = pypdfium2.PdfDocument(document(canister()))
    assert not pdfium.FPDF_VIEWERREF_GetPrintScaling(made)  # ISO 32000-1, table 150: PrintScaling None
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
    assert "Jar (of) \\tea\\ o [U+8336]" in words.replace("\r\n", " ")
    assert "茶" not in words


def test_letters_are_embedded() -> None:
    made = pypdfium2.PdfDocument(document(canister()))
    for page in made:
        for thing in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]):
            font = pdfium.FPDFTextObj_GetFont(thing)
            assert pdfium.FPDFFont_GetIsEmbedded(font) == 1


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
    width, height = record(f"7.{name}")["expected"]
    for page in leaves(document(made_by(), paper=name)):
        points = np.concatenate([line.points for line in page.lines])
        assert points.min() >= 10.0 - TRUE
        assert np.all(points.max(axis=0) <= [width - 10.0 + TRUE, height - 10.0 + TRUE])


def test_bars_to_check_the_print_by() -> None:
    pages = leaves(document(canister()))
    for words, long in (("100 mm", 100.0), ("4 in", 4 * record("7.inch")["expected"]), ("50 mm", 50.0)):
        for page in pages if words == "50 mm" else pages[:1]:
            x, y = page.word(words).start
            near = [line.points for line in page.lines if np.abs(line.points - [x, y]).max() < 130]
            bars = [p for p in near if len(p) == 2 and abs(p[0, 1] - p[1, 1]) < 1e-6 and abs(p[0, 1] - y) < 6]
            assert any(abs(np.ptp(p[:, 0]) - long) < 1e-3 for p in bars)
    for n, page in enumerate(pages, 1):
        assert page.word(f"sheet {n} of {len(pages)}")


# ------------------------------------------------------------------------- girth strips


def strip_pieces(pages: list[Leaf]) -> list[tuple[Leaf, float, float, float]]:
    """The pieces of girth strips: page, left edge, upper end, lower end. They run up the page."""
    found = []
    for page in pages:
        for line in page.lines:
            wide, tall = np.ptp(line.points, axis=0)
            if line.closed and len(line.points) in (4, 5) and abs(wide - STRIP_WIDE) < 1e-3 and tall > 20:
                left, top = line.points.min(axis=0)
                found.append((page, float(left), float(top), float(top + tall)))
    return found


def ticks_of(piece_: tuple[Leaf, float, float, float], edge: float) -> dict[int, float]:
    """Distance of each numbered tick from the start of its piece, by number; ``edge`` is the ticked edge."""
    page, left, top, bottom = piece_
    at = [
        float(line.points[0, 1])
        for line in page.lines
        if len(line.points) == 2
        and abs(line.weight - 0.35) < 1e-3
        and not line.dashed
        and np.ptp(line.points[:, 1]) < 1e-6
        and np.abs(line.points[:, 0] - edge).min() < 1e-3
        and abs(np.ptp(line.points[:, 0]) - 6.0) < 1e-3
        and top - TRUE <= line.points[0, 1] <= bottom + TRUE
    ]
    numbers = [
        (int(text.words), text.middle[1])
        for text in page.texts
        if text.words.isdigit() and left < text.middle[0] < left + STRIP_WIDE and top - 1 < text.middle[1] < bottom + 1
    ]
    assert len(at) >= len(numbers)
    return {n: bottom - min(at, key=lambda y, m=middle: abs(y - m)) for n, middle in numbers}


@pytest.mark.parametrize("start", [0.0, 0.3, 6.1])
def test_every_tick_of_a_girth_strip(start: float) -> None:
    """Circumference arithmetic: u = r × angle, with the cone's r = 40 + 30 s / √(150² + 30²)."""
    radius = 40.0 + 30.0 * 130.0 / math.hypot(150.0, 30.0)
    pages = leaves(document(cone(start), rings=(4,)))
    pieces = sorted(strip_pieces(pages), key=lambda p: p[2] - p[3])
    assert len(pieces) == 2
    # The long piece ends in an overlap of 12 mm, over which the short one is laid.
    joined = [0.0, pieces[0][3] - pieces[0][2] - OVERLAP]
    expected = {k + 1: radius * ((start + k * TURN / 7) % TURN) for k in range(7)}
    seen: dict[int, list[float]] = {n: [] for n in expected}
    for one, offset in zip(pieces, joined, strict=True):
        for n, u in ticks_of(one, one[1]).items():
            seen[n].append(u + offset)
    for n, u in expected.items():
        assert seen[n], n
        for found in seen[n]:
            assert min(abs(found - u), abs(found - u - TURN * radius)) < TRUE
    closing = pieces[1][3] - pieces[1][2] - OVERLAP + joined[1]
    assert closing == pytest.approx(TURN * radius, abs=TRUE)


def test_a_ring_near_the_foot_has_its_strip_standing_on_it() -> None:
    wall = cylinder(30.0)
    low = piece(wall, tufted_band(wall, columns=6, rows=2, low=5.0, high=120.0))
    for ring, edge_is_left in ((0, False), (2, True)):
        (one,) = strip_pieces(leaves(document(low, rings=(ring,))))
        edge = one[1] if edge_is_left else one[1] + STRIP_WIDE
        found = ticks_of(one, edge)
        for k in range(1, 6):
            assert found[k + 1] == pytest.approx(TURN * 30.0 * k / 6, abs=TRUE)


def test_rings_alike_share_a_strip() -> None:
    assert len({p[1:] for p in strip_pieces(leaves(document(canister(), rings=())))}) == len(
        cut(TURN * 60.0, paper_of("a4").height, [], 12.0)
    )


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
        ("ő Ž", "o Ž"),
        ("1′ 2″ −3", "1' 2\" −3"),
        ("a\u200bb\tc\x07", "ab c"),
        ("Ж壺", "[U+0416][U+58FA]"),
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
