"""Names: where they reach, what may be made again, what leads back to itself, what is proposed."""

from __future__ import annotations

import pytest

from tests.laying.bench import CAN, errors, lay, lay_band, marks, source, the_error

GRID = "grid columns 12 rows 4"


def dots(body: str, before: str = "") -> list[tuple[float, float]]:
    """Places of the dots of one motif; a column is 30°, a row 50 mm."""
    return marks(lay_band(f"{GRID} {body}", before=before))


# ---------------------------------------------------------------- the nearest


def test_names_mean_the_nearest() -> None:
    before = "let x = 1"
    assert dots("once { guide dot at (x, 0) }", before) == [(30, 0)]
    assert marks(lay_band(f"given x number = 2 {GRID} once {{ guide dot at (x, 0) }}", before=before)) == [(60, 0)]
    assert dots("once { let x = 3 guide dot at (x, 0) }", before) == [(90, 0)]
    assert marks(lay_band(f"given x number = 2 {GRID} once {{ let x = 3 guide dot at (x, 0) }}", before=before)) == [
        (90, 0)
    ]
    assert dots("once { repeat 1 as x { guide dot at (x + 3, 0) } guide dot at (x + 4, 0) }", before) == [
        (120, 0),
        (150, 0),
    ]


def test_a_let_may_use_the_name_it_covers() -> None:
    assert dots("once { let x = x + 1 guide dot at (x, 0) }", "let x = 1") == [(60, 0)]


def test_names_reach_to_the_end_of_their_braces() -> None:
    assert dots("once { if 1 < 2 { let x = 3 guide dot at (x, 0) } guide dot at (x, 0) }", "let x = 1") == [
        (90, 0),
        (30, 0),
    ]
    assert dots("once { draw { let x = 3 guide dot at (x, 0) } guide dot at (x, 0) }", "let x = 1") == [
        (90, 0),
        (30, 0),
    ]
    found = the_error(source(f"{GRID} once {{ if 1 < 2 {{ let y = 3 }} guide dot at (y, 0) }}"))
    assert (found.code, found.underlined) == ("unknown-name", "y")


def test_a_name_is_not_known_before_it_is_made() -> None:
    found = the_error(source(f"{GRID} once {{ guide dot at (y, 0) let y = 3 }}"))
    assert (found.code, found.underlined) == ("unknown-name", "y")


def test_rules_do_not_share_names() -> None:
    found = the_error(source(f"{GRID} once {{ let y = 3 guide dot at (y, 0) }} once {{ guide dot at (y, 1) }}"))
    assert (found.code, found.underlined) == ("unknown-name", "y")


def test_motifs_do_not_see_one_another() -> None:
    text = (
        f"{CAN} motif a {{ let y = 3 {GRID} }} motif b {{ {GRID} once {{ guide dot at (y, 0) }} }}"
        " piece p { form can band a }"
    )
    assert [(e.code, e.underlined) for e in errors(text)] == [("unknown-name", "y")]


def test_a_figure_does_not_see_the_names_around_its_draw() -> None:
    text = source(f"{GRID} each cell {{ let y = 3 draw f }}", before="figure f { guide dot at (y, 0) }")
    assert [(e.code, e.underlined) for e in errors(text)] == [("unknown-name", "y")]


def test_a_path_is_known_by_its_name() -> None:
    assert len(lay_band(f"{GRID} once {{ path a = from (0, 0) line to (1, 1) carve a incise a }}").paths) == 2
    for body, underlined in (("carve b", "b"), ("let b = 3 carve b", "b")):
        found = the_error(source(f"{GRID} once {{ {body} }}"))
        assert found.underlined == underlined and found.code in ("unknown-name", "wrong-kind")
    found = the_error(source(f"{GRID} once {{ path a = from (0, 0) line to (1, 1) guide dot at (a, 0) }}"))
    assert (found.code, found.underlined) == ("wrong-kind", "a")


def test_letter_case_means_nothing() -> None:
    assert dots("ONCE { LET Gap = 2 Guide DOT at (gAP, 0) }") == [(60, 0)]
    found = the_error(source(f"{GRID} once {{ let gap = 2 let GAP = 3 guide dot at (gap, 0) }}"))
    assert (found.code, found.underlined) == ("defined-twice", "GAP")


def test_letters_of_any_script() -> None:
    body = "once { let größe = 2 let 間隔 = 3 guide dot at (größe, 0) guide dot at (間隔, 0) }"
    assert dots(body) == [(60, 0), (90, 0)]


def test_hyphens_belong_to_names() -> None:
    lets = "let button-row = 3 let button = 2"
    assert dots(f"once {{ {lets} guide dot at (button-row, 0) guide dot at (button - 1, 0) }}") == [(90, 0), (30, 0)]
    found = the_error(source(f"{GRID} once {{ let step = 3 guide dot at (step-1, 0) }}"))
    assert (found.code, found.underlined) == ("unknown-name", "step-1") and "step - 1" in found.advice + found.words


# ---------------------------------------------------------------- made twice


@pytest.mark.parametrize(("body", "underlined"), [
    ("once { let a = 1 let a = 2 }", "a"),
    ("once { path a = from (0, 0) line to (1, 1) path a = from (0, 0) line to (1, 0) }", "a"),
    ("once { let a = 1 path a = from (0, 0) line to (1, 1) }", "a"),
])  # fmt: skip
def test_a_name_is_made_once_in_its_braces(body: str, underlined: str) -> None:
    text = source(f"{GRID} {body}")
    found = the_error(text)
    assert (found.code, found.underlined) == ("defined-twice", underlined)
    assert found.column == text.split("\n")[2].rindex(f" {underlined} = ") + 2  # the second one


def test_where_a_name_reaches_it_is_not_made_again() -> None:
    found = the_error(source(f"{GRID} once {{ let a = 1 if 1 < 2 {{ let a = 2 }} guide dot at (a, 0) }}"))
    assert (found.code, found.underlined) == ("defined-twice", "a")


def test_in_other_braces_it_may_be_made_again() -> None:
    assert dots("once { if 1 < 2 { let a = 2 guide dot at (a, 0) } let a = 1 guide dot at (a, 0) }") == [
        (60, 0),
        (30, 0),
    ]
    assert dots("once { repeat 2 as k { let a = k guide dot at (a, 0) } }") == [(30, 0), (60, 0)]


@pytest.mark.parametrize(
    "second",
    [
        "let x = 2",
        "tool x { wide 3 mm }",
        "figure x { guide dot at (0, 0) }",
        "clay x { shrinks 3 % by fired }",
        CAN.replace("form can", "form x"),
        f"motif x {{ {GRID} }}",
        "piece x { form can }",
    ],
)
def test_all_definitions_share_one_set_of_names(second: str) -> None:
    found = errors(f"{CAN} let x = 1 {second}")
    assert [(e.code, e.underlined) for e in found] == [("defined-twice", "x")]


def test_both_places_are_named() -> None:
    import motif

    document = motif.loads("let x = 1\nlet x = 2\n")
    (message,) = document.messages.sorted()
    assert message.span is not None and message.span.begin_position == (2, 5)
    assert [s.begin_position for s, _ in message.others] == [(1, 5)]


def test_givens_and_lets_of_a_motif_share_names() -> None:
    found = the_error(source(f"given a number = 1 let a = 2 {GRID}"))
    assert (found.code, found.underlined) == ("defined-twice", "a")


# ---------------------------------------------------------------- leading back


@pytest.mark.parametrize(("text", "ring"), [
    ("let a = a + 1", ("a → a",)),
    ("let a = b let b = a", ("a → b → a", "b → a → b")),
    ("let a = b let b = c let c = a", ("a → b → c → a", "b → c → a → b", "c → a → b → c")),
    ("figure a { draw b } figure b { draw a }", ("a → b → a", "b → a → b")),
    ("figure a { draw a }", ("a → a",)),
    ("tool a { wide b } let b = a.wide", ("a → b → a", "b → a → b")),
])  # fmt: skip
def test_what_leads_back_to_itself(text: str, ring: tuple[str, ...]) -> None:
    found = errors(text)
    assert [e.code for e in found] == ["defined-by-itself"]
    assert any(r in found[0].words for r in ring)


# ---------------------------------------------------------------- what is proposed


@pytest.mark.parametrize(("body", "wrong", "right"), [
    ("once { let spacing = 1 guide dot at (spacin, 0) }", "spacin", "spacing"),
    ("once { path rising = from (0, 0) line to (1, 1) carve risng }", "risng", "rising"),
    ("each cell { guide dot at (colunm, 0) }", "colunm", "column"),
    ("each cell { impress pelet at (0, 0) }", "pelet", "pellet"),
    ("each cell { draw pettal }", "pettal", "petal"),
    ("each cell { guide dot at (flor(2), 0) }", "flor", "floor"),
])  # fmt: skip
def test_the_nearest_name_is_proposed(body: str, wrong: str, right: str) -> None:
    before = "tool pellet { wide 3 mm } figure petal { guide dot at (0, 0) }"
    found = errors(source(f"{GRID} {body}", before=before))
    assert len(found) == 1 and found[0].underlined == wrong
    assert right in found[0].advice + found[0].words


def test_every_error_of_a_run_is_told_in_order() -> None:
    text = (
        f"{CAN}\nmotif m {{\n{GRID}\neach cell {{ guide dot at (foo, 0)\nguide dot at (0, bar)\ncarve baz }} }}\n"
        "let q = 1 mm + 2\npiece p { form can band m band n }"
    )
    assert [(e.code, e.line) for e in errors(text)] == [
        ("unknown-name", 4),
        ("unknown-name", 5),
        ("unknown-name", 6),
        ("wrong-kind", 7),
        ("unknown-name", 8),
    ]


# ---------------------------------------------------------------- tools read by a motif


def test_tool_fields() -> None:
    tool = "tool nib { wide 8 mm tall 12 mm cuts 2 mm deep 3 mm pitch 4 mm volume 1/2 ml }"
    for field, size in (("wide", 8), ("tall", 12), ("cuts", 2), ("deep", 3), ("pitch", 4)):
        band = lay_band(f"{GRID} once {{ impress dot at (1, 1) across nib.{field} }}", before=tool)
        assert band.points.across.tolist() == [size]
    band = lay_band(f"{GRID} once {{ impress dot at (1, 1) across nib.volume / (1 ml) * 1 mm }}", before=tool)
    assert band.points.across.tolist() == pytest.approx([0.5])


@pytest.mark.parametrize(
    ("expression", "code"),
    [
        ("nib.tall", ""),
        ("nib.cuts", "no-value"),
        ("nib.long", "unknown-name"),
        ("nob.wide", "unknown-name"),
        ("x.wide", "wrong-kind"),
    ],
)
def test_tool_fields_that_are_not_there(expression: str, code: str) -> None:
    """Without an outline ``tall`` is ``wide``; what a tool does not say has no value."""
    found = errors(
        source(
            f"{GRID} once {{ impress dot at (1, 1) across {expression} }}", before="tool nib { wide 8 mm } let x = 1 mm"
        )
    )
    assert [e.code for e in found] == ([code] if code else [])


def test_titles_and_descriptions_are_kept() -> None:
    piece = lay(
        'language 1 title "A book" by "A potter" licence "CC0-1.0" '
        + CAN.replace("form can", 'form can "Tea can"')
        + f' motif m "Dots" {{ {GRID} note "keep" }} piece p "One" {{ form can band m note "dry slowly" }}'
    )
    assert (piece.title, piece.by, piece.licence) == ("A book", "A potter", "CC0-1.0")
    assert (piece.description, piece.form.description, piece.bands[0].description) == ("One", "Tea can", "Dots")
    assert "dry slowly" in piece.notes and piece.bands[0].notes == ("keep",)


@pytest.mark.parametrize(
    "word", ["band", "carve", "circle", "near", "mm", "sqrt", "chord", "column", "cell-width", "repeat"]
)
def test_reserved_words_are_no_names(word: str) -> None:
    found = errors(f"let {word} = 3")
    assert [e.code for e in found] == ["syntax"] and word in found[0].words


@pytest.mark.parametrize("word", ["around", "depth", "width", "pitch", "step", "wide", "close", "rise", "at", "foot"])
def test_other_words_may_be_names(word: str) -> None:
    assert dots(f"once {{ let {word} = 2 guide dot at ({word}, 0) }}") == [(60, 0)]
