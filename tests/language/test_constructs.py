"""Every construct of the language and the node it makes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.language.helpers import CASES, definition, every_node, items, read, statement, value


def name(word: str) -> Any:
    return ("Name", word)


def number(n: float, unit: str | None = None) -> Any:
    return ("Number", float(n), unit)


def point(a: float, b: float) -> Any:
    return ("Point", number(a), number(b), None)


def text(words: str) -> Any:
    return ("Text", words)


def reference(word: str) -> Any:
    return ("Reference", word)


ORIGIN, CORNER = point(0, 0), point(1, 1)
A, B = reference("a"), reference("b")


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_cases_are_read_without_a_word(path: Path) -> None:
    file, messages = read(path.read_text(encoding="utf-8"))
    assert messages == []
    assert file.items and file.spoiled == frozenset()


# ---------------------------------------------------------------------------------------------- values


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("a + b * 2", ("Arithmetic", "+", A, ("Arithmetic", "*", B, number(2)))),
        ("(a + b) * 2", ("Arithmetic", "*", ("Arithmetic", "+", A, B), number(2))),
        ("a - b - 2", ("Arithmetic", "-", ("Arithmetic", "-", A, B), number(2))),
        ("a / b / 2", ("Arithmetic", "/", ("Arithmetic", "/", A, B), number(2))),
        ("-a * b", ("Arithmetic", "*", ("Negate", A), B)),
        ("a - -b", ("Arithmetic", "-", A, ("Negate", B))),
        ("tooth.deep", ("Field", name("tooth"), name("deep"))),
        ("tooth.path", ("Field", name("tooth"), name("path"))),
        ("tooth . mm", ("Field", name("tooth"), name("mm"))),
        ("max(a, b, 2 mm)", ("Call", name("max"), (A, B, number(2, "mm")))),
        ("chord / 2", ("Arithmetic", "/", reference("chord"), number(2))),
        ("columns", reference("columns")),
        ("cell-width", reference("cell-width")),
        ('"Blue"', text("Blue")),
        ("a < b", ("Comparison", "<", A, B)),
        ("a <> b", ("Comparison", "<>", A, B)),
        ("a = b", ("Comparison", "=", A, B)),
        ("not a = b", ("Not", ("Comparison", "=", A, B))),
        ("a or b and not a", ("Logic", "or", A, ("Logic", "and", B, ("Not", A)))),
        ("(a or b) and a", ("Logic", "and", ("Logic", "or", A, B), A)),
        ("a + 1 >= b", ("Comparison", ">=", ("Arithmetic", "+", A, number(1)), B)),
        (
            "around + depth + tape",
            ("Arithmetic", "+", ("Arithmetic", "+", reference("around"), reference("depth")), reference("tape")),
        ),
    ],
)
def test_values(written: str, expected: Any) -> None:
    assert value(written) == expected


# ------------------------------------------------------------------------------------------- geometry

LINE = ("PathFrom", ORIGIN, (("LineTo", CORNER),), False)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("from (0, 0) line to (1, 1)", LINE),
        ("from (0, 0) taut to (1, 1) close", ("PathFrom", ORIGIN, (("TautTo", CORNER),), True)),
        ("from (0, 0) arc to (1, 1) rise -a", ("PathFrom", ORIGIN, (("ArcRise", CORNER, ("Negate", A)),), False)),
        (
            "from (0, 0) arc to (1, 1) through (1, 0)",
            ("PathFrom", ORIGIN, (("ArcThrough", CORNER, point(1, 0)),), False),
        ),
        (
            "from (0, 0) curve to (1, 1) leaving (1, 0) arriving (0, 1)",
            ("PathFrom", ORIGIN, (("CurveTo", CORNER, point(1, 0), point(0, 1)),), False),
        ),
        ("rectangle from (0, 0) to (1, 1)", ("Rectangle", ORIGIN, CORNER)),
        ("circle at (0, 0) across 9 mm", ("Circle", ORIGIN, number(9, "mm"))),
        ("dot at (0, 0)", ("Dot", ORIGIN, None)),
        ("dot at (0, 0) across 2 mm", ("Dot", ORIGIN, number(2, "mm"))),
        ("dot along p every 5 mm", ("DotsAlong", name("p"), number(5, "mm"), None)),
        ("dot along p every 5 mm across 2 mm", ("DotsAlong", name("p"), number(5, "mm"), number(2, "mm"))),
        ("leaf at (0, 0)", ("Footprint", name("leaf"), ORIGIN, None)),
        ("leaf at (0, 0) tilted 30 deg", ("Footprint", name("leaf"), ORIGIN, number(30, "deg"))),
        ("leaf along p every 5 mm", ("FootprintsAlong", name("leaf"), name("p"), number(5, "mm"))),
        ("p", ("NamedPath", "p")),
        ("depth", ("NamedPath", "depth")),
        ("at at (0, 0)", ("Footprint", name("at"), ORIGIN, None)),
        ("offset p by -3 mm", ("Offset", name("p"), "left", ("Negate", number(3, "mm")))),
        ("offset p both by 3 mm", ("Offset", name("p"), "both", number(3, "mm"))),
        ("offset p outward by 3 mm", ("Offset", name("p"), "outward", number(3, "mm"))),
        ("offset both inward by 3 mm", ("Offset", name("both"), "inward", number(3, "mm"))),
        ("along", ("Along",)),
        ("p clear of q by 2 mm", ("ClearOf", ("NamedPath", "p"), name("q"), number(2, "mm"))),
        ("p within q", ("Within", ("NamedPath", "p"), name("q"))),
        (
            "p clear of q by 2 mm within r clear of s by 1",
            (
                "ClearOf",
                ("Within", ("ClearOf", ("NamedPath", "p"), name("q"), number(2, "mm")), name("r")),
                name("s"),
                number(1),
            ),
        ),
        (
            "from (0, 0) + (1 mm, -2 mm) line to (1, 1)",
            (
                "PathFrom",
                ("Point", number(0), number(0), (number(1, "mm"), ("Negate", number(2, "mm")))),
                (("LineTo", CORNER),),
                False,
            ),
        ),
    ],
)
def test_geometry(written: str, expected: Any) -> None:
    assert statement(f"path x = {written}") == ("PathDefinition", name("x"), expected)
    assert statement(f"carve {written}, p depth 1") == (
        "Work",
        name("carve"),
        (expected, ("NamedPath", "p")),
        (("Modifier", "depth", number(1)),),
    )


# ----------------------------------------------------------------------------------------- statements

NOTE = ("Note", text("so"))


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ('note "so"', NOTE),
        ('let k = 1 "one"', ("Let", name("k"), number(1), text("one"))),
        ('let k "one" = 1', ("Let", name("k"), number(1), text("one"))),
        (
            'paint p color "blue" unbroken with pen width 2 mm pitch 3 mm',
            (
                "Work",
                name("paint"),
                (("NamedPath", "p"),),
                (
                    ("Modifier", "colour", text("blue")),
                    ("Modifier", "unbroken", None),
                    ("Modifier", "with", reference("pen")),
                    ("Modifier", "width", number(2, "mm")),
                    ("Modifier", "pitch", number(3, "mm")),
                ),
            ),
        ),
        ('if a { note "so" }', ("If", (("Branch", A, (NOTE,)),), None)),
        (
            'if a { } otherwise if b { note "so" } otherwise { }',
            ("If", (("Branch", A, ()), ("Branch", B, (NOTE,))), ()),
        ),
        ('repeat a as k { note "so" }', ("Repeat", A, name("k"), (NOTE,))),
        ("draw petal", ("DrawFigure", name("petal"), (), None, ())),
        ("draw petal()", ("DrawFigure", name("petal"), (), None, ())),
        (
            "draw petal(full = 0.3, wide = a)",
            (
                "DrawFigure",
                name("petal"),
                (("Argument", name("full"), number(0.3)), ("Argument", name("wide"), A)),
                None,
                (),
            ),
        ),
        (
            "draw petal from (0, 0) to (1, 1) rotated 4 times",
            ("DrawFigure", name("petal"), (), (ORIGIN, CORNER), (("RotatedTimes", number(4)),)),
        ),
        (
            'draw { note "so" } rotated a times rotated 90 deg',
            ("DrawGroup", (NOTE,), (("RotatedTimes", A), ("Rotated", number(90, "deg")))),
        ),
        (
            "draw { } mirrored left-right mirrored top-bottom mirrored both ways",
            ("DrawGroup", (), (("Mirrored", "left-right"), ("Mirrored", "top-bottom"), ("Mirrored", "both ways"))),
        ),
        (
            "draw moved moved by (1, 1) reversed left-right reversed top-bottom",
            (
                "DrawFigure",
                name("moved"),
                (),
                None,
                (("Moved", CORNER), ("Reversed", "left-right"), ("Reversed", "top-bottom")),
            ),
        ),
    ],
)
def test_statements(written: str, expected: Any) -> None:
    assert statement(written) == expected


# ---------------------------------------------------------------------------------- motifs and figures


def rule(written: str) -> Any:
    (only,) = definition(f"motif m {{ {written} {{ }} }}")[3]
    return only[1:4]


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("each cell", ("cell", None, None)),
        ("each crossing where a", ("crossing", None, A)),
        ("each ring", ("ring", None, None)),
        ("each ring where ring > 2", ("ring", None, ("Comparison", ">", reference("ring"), number(2)))),
        ("each vertical", ("vertical", None, None)),
        ("once where a", ("once", None, A)),
        ("each 2 by 3 cells", ("group", (number(2), number(3)), None)),
        ("each a * 2 by b cells where a", ("group", (("Arithmetic", "*", A, number(2)), B), A)),
        ("each ring by row cells", ("group", (reference("ring"), reference("row")), None)),
    ],
)
def test_places(written: str, expected: Any) -> None:
    assert rule(written) == expected


def grid(written: str) -> Any:
    ((_, *parts),) = definition(f"motif m {{ grid {written} }}")[3]
    return parts


COLUMNS = ("Columns", "number", (number(6),), None, (), False)
ROWS = ("Rows", "number", (number(4),), None, (), False)


@pytest.mark.parametrize(
    ("written", "columns", "rows", "shift"),
    [
        ("columns 6 rows 4", COLUMNS, ROWS, None),
        (
            "columns near 25 mm rows near 9 mm",
            ("Columns", "near", (number(25, "mm"),), None, (), False),
            ("Rows", "near", (number(9, "mm"),), None, (), False),
            None,
        ),
        ("columns near 25 mm each row rows 4", ("Columns", "near", (number(25, "mm"),), None, (), True), ROWS, None),
        (
            "columns near 25 mm multiple of 2 each row rows 4",
            ("Columns", "near", (number(25, "mm"),), number(2), (), True),
            ROWS,
            None,
        ),
        (
            "columns 6 spaced 3 : 1 multiple of 2 rows 4 spaced 1 : 2 : 3",
            ("Columns", "number", (number(6),), number(2), (number(3), number(1)), False),
            ("Rows", "number", (number(4),), None, (number(1), number(2), number(3)), False),
            None,
        ),
        (
            "columns proportional 4 : 3 rows 4",
            ("Columns", "proportional", (number(4), number(3)), None, (), False),
            ROWS,
            None,
        ),
        (
            "columns 6 rows every a multiple of 2 stepped by height",
            COLUMNS,
            ("Rows", "every", (A,), number(2), (), True),
            None,
        ),
        (
            "columns 6 rows proportional 1 : 1",
            COLUMNS,
            ("Rows", "proportional", (number(1), number(1)), None, (), False),
            None,
        ),
        ("columns 6 rows 4 shifted 1/2 each row", COLUMNS, ROWS, ("Shift", number(0.5), "row")),
        ("columns 6 rows 4 shifted a each column", COLUMNS, ROWS, ("Shift", A, "column")),
    ],
)
def test_grids(written: str, columns: Any, rows: Any, shift: Any) -> None:
    assert grid(written) == [columns, rows, shift]


def test_a_motif_keeps_the_order_of_its_parts() -> None:
    motif = definition(
        'motif m "M" { note "n" let a = 1 given k count = 2 "K" given l length '
        "grid columns 6 rows 4 once { } let b = 2 }"
    )
    assert motif[:3] == ("Motif", name("m"), text("M"))
    assert [part[0] for part in motif[3]] == ["Note", "Let", "Given", "Given", "Grid", "Rule", "Let"]
    assert motif[3][2:4] == (
        ("Given", name("k"), name("count"), number(2), text("K")),
        ("Given", name("l"), name("length"), None, None),
    )


@pytest.mark.parametrize(
    ("written", "size", "description"),
    [
        ("", None, None),
        ('"F"', None, text("F")),
        ("2 by 3", (number(2), number(3)), None),
        ('2 by 3 "F"', (number(2), number(3)), text("F")),
        ("a by b", (A, B), None),
    ],
)
def test_figures(written: str, size: Any, description: Any) -> None:
    assert definition(f'figure f {written} {{ note "so" given k number let a = k carve p }}') == (
        "Figure",
        name("f"),
        size,
        description,
        (("Given", name("k"), name("number"), None, None),),
        (NOTE, ("Let", name("a"), reference("k"), None), ("Work", name("carve"), (("NamedPath", "p"),), ())),
    )


# --------------------------------------------------------------------------- forms, tools, clay, pieces


def test_clay() -> None:
    assert definition('clay buff "Buff" { shrinks 4 % by leather-hard note "so" shrinks 6 % by biscuit }') == (
        "Clay",
        name("buff"),
        text("Buff"),
        (("Shrinkage", number(4, "%"), ("Stage", "leather-hard")), ("Shrinkage", number(6, "%"), ("Stage", "bisque"))),
        (NOTE,),
    )


def place(origin: str, *terms: Any) -> Any:
    return ("WallPlace", origin, terms)


def test_form() -> None:
    assert definition(
        'form jar { measured at wet clay buff thickness 7 mm decorated inside note "so" '
        'profile smooth { note "so" at 0 mm across 84 mm at 95 mm around a corner } '
        'reserve "handle" from height 60 mm to rim - 10 mm facing 90 deg wide 34 mm }'
    ) == (
        "Form",
        name("jar"),
        None,
        (
            ("Measured", ("Stage", "wet")),
            ("UsesClay", name("buff")),
            ("Thickness", number(7, "mm")),
            ("DecoratedSide", "inside"),
            NOTE,
            (
                "Profile",
                "smooth",
                False,
                (
                    ("Station", number(0, "mm"), "across", number(84, "mm"), False),
                    ("Station", number(95, "mm"), "around", A, True),
                ),
                (NOTE,),
            ),
            (
                "Reserve",
                text("handle"),
                place("height", ("+", number(60, "mm"))),
                place("rim", ("-", number(10, "mm"))),
                number(90, "deg"),
                number(34, "mm"),
            ),
        ),
    )
    profile = definition("form f { profile straight by tape { } }")[3][0]
    assert profile == ("Profile", "straight", True, (), ())


def test_words_that_fit_twice() -> None:
    assert definition("form form2 { clay profile profile straight { } }")[3][0] == ("UsesClay", name("profile"))


def test_tool() -> None:
    assert definition(
        'tool t "T" { wide 14 mm tall 2 mm cuts 2 mm deep 3 mm pitch 1 mm volume 1/8 tsp note "so" '
        "outline from (0, 0) line to (1, 1) }"
    ) == (
        "Tool",
        name("t"),
        text("T"),
        (
            ("ToolSize", "wide", number(14, "mm")),
            ("ToolSize", "tall", number(2, "mm")),
            ("ToolSize", "cuts", number(2, "mm")),
            ("ToolSize", "deep", number(3, "mm")),
            ("ToolSize", "pitch", number(1, "mm")),
            ("ToolSize", "volume", number(0.125, "tsp")),
            NOTE,
            ("ToolOutline", LINE),
        ),
    )


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("form jar", ("UsesForm", name("jar"))),
        ("decorated at bone-dry", ("DecoratedAt", ("Stage", "bone-dry"))),
        ("dimensions at fired", ("DimensionsAt", ("Stage", "fired"))),
        ('note "so"', NOTE),
        ("band m", ("Band", name("m"), (), None, (), None)),
        (
            "band m(a = 1) from foot to rim",
            ("Band", name("m"), (("Argument", name("a"), number(1)),), (place("foot"), place("rim")), (), None),
        ),
        (
            "band m starting at 15 deg only columns 1 to 4, 9 from tape 20 mm to belly + a - 2 * b",
            (
                "Band",
                name("m"),
                (),
                (
                    place("tape", ("+", number(20, "mm"))),
                    place("belly", ("+", A), ("-", ("Arithmetic", "*", number(2), B))),
                ),
                (("ColumnRange", number(1), number(4)), ("ColumnRange", number(9), None)),
                number(15, "deg"),
            ),
        ),
        ("band m only columns 3", ("Band", name("m"), (), None, (("ColumnRange", number(3), None),), None)),
        (
            "carve ring at neck depth 2 mm",
            ("RingWork", name("carve"), place("neck"), (("Modifier", "depth", number(2, "mm")),)),
        ),
        ('carve edge of "x"', ("EdgeWork", name("carve"), text("x"), None, None, ())),
        (
            'carve edge of "x" 3 mm outside depth 1 mm',
            (
                "EdgeWork",
                name("carve"),
                text("x"),
                number(3, "mm"),
                "outside",
                (("Modifier", "depth", number(1, "mm")),),
            ),
        ),
        ('carve edge of "x" a inside', ("EdgeWork", name("carve"), text("x"), A, "inside", ())),
        ('reserve "x" from foot to rim facing a wide b', ("Reserve", text("x"), place("foot"), place("rim"), A, B)),
    ],
)
def test_pieces(written: str, expected: Any) -> None:
    assert definition(f'piece p "P" {{ {written} }}') == ("Piece", name("p"), text("P"), (expected,))


# ----------------------------------------------------------------------------------------------- files


def test_headers_and_takes() -> None:
    text_ = 'let a = 1 title "T" by "B" license "L" take x, y as z from "f" take all from "g" language 1'
    assert items(text_) == (
        ("Let", name("a"), number(1), None),
        ("Header", "title", text("T")),
        ("Header", "by", text("B")),
        ("Header", "licence", text("L")),
        ("Take", (("Taken", name("x"), name("x")), ("Taken", name("y"), name("z"))), text("f")),
        ("Take", None, text("g")),
    )
    assert read(text_)[0].language == 1
    assert read("let a = 1")[0].language is None


def test_an_empty_text_is_a_file() -> None:
    file, messages = read(" \n")
    assert (file.items, messages) == ((), [])


# ---------------------------------------------------------------------------------------------- places


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_every_node_lies_within_the_node_it_belongs_to(path: Path) -> None:
    file, _ = read(path.read_text(encoding="utf-8"))
    for node in every_node(file):
        for child in every_node(tuple(v for k, v in node.__dict__.items() if k != "span")):
            assert node.span.start <= child.span.start < child.span.end <= node.span.end


@pytest.mark.parametrize(
    ("written", "spans"),
    [
        ("let gap = (a + 1) * 2", {"Let": "let gap = (a + 1) * 2", "Arithmetic": "(a + 1) * 2", "Name": "gap"}),
        ("let x = 1½ mm", {"Number": "1½ mm"}),
        ("tool t { wide 3 mm }", {"ToolSize": "wide 3 mm", "Tool": "tool t { wide 3 mm }"}),
        (
            "piece p { band m(a = 1)\n from foot + 1 mm to rim }",
            {"Band": "band m(a = 1)\n from foot + 1 mm to rim", "Argument": "a = 1"},
        ),
        ("motif m { once { carve p , q } }", {"Rule": "once { carve p , q }", "Work": "carve p , q"}),
    ],
)
def test_spans_cover_what_was_written(written: str, spans: dict[str, str]) -> None:
    file, _ = read(written)
    found: dict[str, str] = {}
    for node in every_node(file):
        text_ = node.span.text
        if len(text_) > len(found.get(type(node).__name__, "")):
            found[type(node).__name__] = text_
    assert {k: found[k] for k in spans} == spans
