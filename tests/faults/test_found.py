"""Texts that the noise found, each as it was: what they ask for is refused where once it ran out of time or memory,
or divided by nothing."""

from __future__ import annotations

import warnings

import pytest

import motif

#: what each is about, the text, the code it gets, and what its message says
_FOUND = (
    (
        "spacing",
        "form pot { profile straight { at 0 mm across 30 mm at 25 mm across 30 mm } } tool stamp { wide 6 mm tall "
        "4 mm } tool loop { cuts 1.5 mm deep 2 mm } tool tooth { outline from (-3 mm, 0 mm) line to (3 mm, 0 mm) "
        "line to (0 mm, 5 mm) close } figure leaf { pierce stamp at (0, 1/4) } motif m { given size length = 4 mm "
        "let part = 1/3 grid columns 4 spaced 1 : 4 rows 4 spaced "
        "999999999999999999999999999999999999999999999999999999999999 : 2 each crossing { roulette circle at (2, "
        "3/4) + (0.01 mm, 1/4 in) across 1 pitch 3 mm depth 0.4 mm width size pierce dot at (max(0.5 mm, -1 mm), "
        "1/4 * -1 mm) across 5 mm draw { draw { impress tooth at (0.5 mm, part * 1 mm) tilted 720 deg path path1 "
        "= from (rows, abs(3/4)) curve to (0.01 mm, size) leaving (min(3/4, 1/4), sin(0 deg)) arriving (part, 0) "
        "close }  attach circle at (-3/4, 0) across 1 unbroken } rotated 1/4 turn moved by (sqrt(part), ring) "
        "paint from (2 mm / 12 mm, (2 + ring)) line to (0.01 mm / 0.5 mm, vertical) width size } } piece p { form "
        'pot reserve "free" from tape 1/4 in to tape 6 mm facing 720 deg wide 15 mm band m from rim - 3 mm to '
        "tape 1/4 in carve ring at height 5 mm } ",
        "out-of-range",
        "One part of 'spaced'",
    ),
    (
        "loops",
        "form pot { profile smooth { at 0 mm across 30 mm at 15 mm across 45 mm at 30 mm across 25 mm } } tool "
        "stamp { wide 6 mm tall 4 mm } tool loop { cuts 1.5 mm deep 2 mm } tool tooth { outline from (-3 mm, 0 "
        "mm) line to (3 mm, 0 mm) line to (0 mm, 5 mm) close } figure leaf { guide from (2, (3/4 / 1/2)) line to "
        "(1/2 * 0.5 mm, 1/4 * 0.5 mm) curve to (1/4 in / 1/4 in, 1/2) leaving (3/4, 1/2) arriving ((-1 mm / 5 mm "
        "- 2), sin(1 * 10 deg)) width 3 mm } motif m { given size length = 4 mm let part = 1/3 grid columns 4 "
        "rows 2 once { draw { path path1 = from (3/4, sin(-45 deg)) curve to (0, 1) leaving (1/4, 1/4 in / 5 mm) "
        "arriving (0, 3/4) + (size, 2 mm) line to (2, round(3/4)) } mirrored left-right draw leaf from (2 mm, 1/4 "
        "* 0.5 mm) to (remainder(abs(part), abs(rows)), round(1/4))  } each cell { attach from (sqrt((part + "
        "columns)), 0.3) arc to (column, 0) rise 12 mm / -1 mm curve to (max(cell-width, 12 mm), 5 mm) leaving "
        "(rows, sin(-45 deg)) arriving (2, abs(3/4)) depth 0.4 mm draw leaf from (1, 2) + (cell-width, 0.01 mm) "
        "to (rows, row) mirrored left-right path path2 = rectangle from (0 deg, round((part + 0.3))) to (3/4, "
        "rows) + (max(cell-width, 0.01 mm), -1 mm) draw leaf mirrored both ways } each cell { trail circle at (-1 "
        "mm, -1 mm) across 0.3 path path3 = from (columns, (column / part)) + (2 mm, 0.01 mm) line to (columns, "
        "part) curve to ((rows + round(column)), (chance(floor(column)) * -columns)) leaving (columns, 1) "
        "arriving (abs(0.3), 3/4) + (1 mm, cell-width) curve to (part, chance(floor(2))) leaving (1/2, (3/4 / "
        "row)) arriving (1/2, 0) pierce dot along path3 every 3 mm across 1 mm width 1/8 in trail offset path3 "
        "both by 2 mm, path3 width 3 mm with loop } } piece p { form pot band m (size = 5 mm) starting at 0 deg "
        "band m (size = 1 mm) } ",
        "too-many-marks",
        "crosses itself",
    ),
    (
        "near itself",
        "form pot { profile straight { at 0 mm across 40 mm at 20 mm across 15 mm } } tool stamp { wide 6 mm tall "
        "4 mm } tool loop { cuts 1.5 mm deep 2 mm } tool tooth { outline from (-3 mm, 0 mm) line to (3 mm, 0 mm) "
        "line to (0 mm, 5 mm) close } figure leaf { let v1 = max(-1 mm, 12 mm) } motif m { given size length = 4 "
        "mm let part = 1/3 grid columns near 12 mm each row rows 3 each cell { pierce from (1/2, columns) line to "
        "(1/4, min((0.3 / column), 0)) unbroken path path2 = from (sqrt(column), --column) line to (1, "
        "round(-0.3)) curve to ((columns / chance(floor(1/4))), 1/4) + (5 mm, 1 * cell-height) leaving (720 deg, "
        "1) arriving (column, 1) + (5 mm, 1 mm) roulette path2 clear of path2 by 5 mm pitch 1 mm width 2 mm "
        "unbroken guide from (((2 + part) * column), row) arc to (min((1 - 1), 2), (sin(0 deg) * (3/4 / rows))) "
        "through (0, part) line to (-sqrt(0), sin(2 * 10 deg)) curve to (1/2, chance(1)) leaving (1/4, column) "
        "arriving (--0.3, column) } } piece p { form pot band m starting at 0 deg band m from tape 1/4 in to "
        "belly } ",
        "too-many-marks",
        "has to be measured at",
    ),
    (
        "near another",
        "FORM POT { PROFILE STRAIGHT { AT 0 MM ACROSS 30 MM AT 25 MM ACROSS 30 MM } } TOOL STAMP { WIDE 6 MM TALL "
        "4 MM } TOOL LOOP { CUTS 1.5 MM DEEP 2 MM } TOOL TOOTH { OUTLINE FROM (-3 MM, 0 MM) LINE TO (3 MM, 0 MM) "
        "LINE TO (0 MM, 5 MM) CLOSE } FIGURE LEAF { ATTACH TOOTH AT (2, 3/4) TILTED 720 DEG WIDTH 1 MM CARVE FROM "
        "((0 - 0), 1/4) + (2 MM, (5 MM + 0.5 MM)) ARC TO (2, 1/4) RISE CHORD / 2, FROM (ROUND(2), 1/4) ARC TO "
        "(-(3/4 - 1/4), 0.3) THROUGH (1/4, MIN(SQRT(2), 0.3)) + (12 MM, -1 MM) LINE TO (0.3, MIN(SIN(90 DEG), 1)) "
        "+ (1/4 IN, MAX(1 MM, 12 MM)) DEPTH 2 MM WIDTH 1 MM } MOTIF M { GIVEN SIZE LENGTH = 4 MM LET PART = 1/3 "
        "GRID COLUMNS NEAR 25 MM MULTIPLE OF 1 ROWS 4 STEPPED BY HEIGHT EACH VERTICAL { DRAW { IMPRESS CIRCLE AT "
        "(0.5 MM / SIZE, COLUMNS) + (1/4 IN, MAX(0.5 MM, 0.5 MM)) ACROSS 1/2 DEPTH 2 MM ATTACH TOOTH AT (0, 1/4) "
        "+ (0.01 MM, 1/4 IN) TILTED 90 DEG WITH LOOP } TRAIL FROM ((COLUMNS * 2), MIN(2, 1/2)) ARC TO (1/4, PART) "
        "RISE CHORD / 2 } EACH CELL { DRAW LEAF FROM ((1/2 * 3/4), -ROWS) TO (0, (MIN(ROW, ROW) + (ROW / 0.3))) "
        "MIRRORED BOTH WAYS REPEAT 2 AS K1 { DRAW { PATH PATH2 = FROM ((-1/4 + 0), ROWS) LINE TO ((0.3 * 0.3), "
        "1/4) LINE TO (SIN(1/4 TURN), 1/4) CURVE TO (MIN(3/4, REMAINDER(COLUMN, ROWS)), SQRT(K1)) LEAVING (3/4, "
        "ROW) ARRIVING (SQRT(2), ROUND((3/4 / COLUMNS))) CARVE FROM (SIZE, MAX(CELL-WIDTH, SIZE)) CURVE TO (K1, "
        "ROW) LEAVING ((0.5 MM + CELL-HEIGHT), MAX(0.01 MM, 1 MM)) ARRIVING (5 MM, 5 MM) TAUT TO (PART, COLUMNS) "
        "CLOSE CLEAR OF PATH2 BY 1/8 IN } MIRRORED BOTH WAYS LET V3 = ROUND(K1) } DRAW { ATTACH STAMP AT (1, 3/4) "
        "WIDTH 1/8 IN UNBROKEN DRAW { PIERCE STAMP AT (MIN(PART, (1 + 1/4)), 1/2) DEPTH 1 MM WITH LOOP } } "
        "ROTATED 90 DEG MIRRORED LEFT-RIGHT } } PIECE P { FORM POT BAND M FROM HEIGHT 5 MM TO TAPE 1/4 IN } ",
        "too-many-marks",
        "has to be measured at",
    ),
)


@pytest.mark.parametrize(("name", "text", "code", "says"), _FOUND, ids=[f[0] for f in _FOUND])
def test_refused_in_words(name: str, text: str, code: str, says: str) -> None:
    document = motif.loads(text)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for piece in document.pieces:
            assert document.lay(piece) is None
    assert any(m.code == code and says in m.text for m in document.messages.sorted())


def test_parts_of_a_spacing_may_differ_much() -> None:
    text = (
        "form can { profile straight { at 0 mm across 80 mm at 100 mm across 80 mm } } "
        "motif m { grid columns 4 rows 2 spaced 1 : {n} each crossing { impress dot at (0, 0) across 1 mm } } "
        "piece p { form can band m from foot to rim }"
    )
    assert motif.loads(text.replace("{n}", "1000000")).lay("p") is not None
    assert motif.loads(text.replace("{n}", "1000001")).lay("p") is None


def test_an_outline_that_folds_to_a_line_somewhere_is_cut() -> None:
    """Its polygon made valid is a mixture of areas and lines, which GEOS lays over nothing."""
    text = (
        "form pot { profile straight { at 0 mm across 40 mm at 20 mm across 15 mm } } tool stamp { wide 6 mm "
        "tall 4 mm } tool loop { cuts 1.5 mm deep 2 mm } tool tooth { outline from (-3 mm, 0 mm) line to (3 "
        "mm, 0 mm) line to (0 mm, 5 mm) close } figure leaf { trail rectangle from (round(chance(1)), "
        "chance(1)) to (remainder(abs(1/2), 2), 2.5) impress stamp at ((1/4 * 0), 3/4) + (1/4 in, -1 mm) "
        "unbroken } motif m { given size length = 4 mm let part = 1/3 grid columns near 25 mm rows near 25 mm"
        " each vertical { carve from ((-1 mm + 0.01 mm), 2 mm) curve to (2 mm, 2 mm) leaving ((min(3/4, part)"
        " + round(1/2)), sqrt(2)) arriving (3/4, ((0.3 / part) + min(vertical, 1/2))) + (2 mm, -1 mm) taut to"
        " (1/2, 0) + (5 mm, 1/4 in) repeat columns as k1 { draw { let v2 = chance(floor(2)) paint from "
        "(vertical, min((3/4 * 2), 0)) line to (remainder(0.5 mm / 5 mm, abs(3/4)), vertical) close, from (30"
        " deg, round(abs(k1))) arc to (1/2, k1) rise chord / 2 close } reversed top-bottom moved by "
        "(chance(2), part) paint circle at (1/2, 0) across 3 mm, from (720 deg, part) line to (1 mm, 0.5 mm) "
        "arc to (vertical, 0.3) rise 3/4 } attach circle at (round(columns), min(0, 3/4)) across 1 mm let v3 "
        "= (chance(2) * 3/4) } each 2 by 1 cells { } } piece p { form pot band m (size = 15 mm) band m from "
        "rim to tape 1/4 in only columns 1 }"
    )
    document = motif.loads(text)
    assert document.lay("p") is not None or document.messages.has_errors
