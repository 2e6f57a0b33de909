"""Several errors in one text: a message each, nothing said twice, and the rest is read."""

from __future__ import annotations

from typing import Any

import pytest

from motif.language import nodes
from motif.language.messages import Message
from tests.language.helpers import every_node, plain, read


def told(messages: list[Message]) -> list[tuple[str, str]]:
    """The words and what is underlined."""
    return [(m.text, m.span.text if m.span is not None else "") for m in messages]


def names(file: nodes.File) -> list[str]:
    return [plain(item)[1][1] for item in file.items]


def test_a_message_for_each_of_several_errors() -> None:
    file, messages = read("""
        form can { profile straight { at 0 mm acros 120 mm  at 200 mm across 120 mm } }
        motif m {
          grid columns 6 rows 4
          each cell {
            carve from (0, 0) line (1, 1)
            incise rising falling depth 1 mm
            let ring = 2
            carve 5
            carve p
          }
          each crossing { attach pellet at (0, 0) rotated 30 deg }
        }
        let gap = 2,5 mm
        piece p { form can band m from foot to rim }
    """)
    assert told(messages) == [
        ("'acros' is not a word of the language here.", "acros"),
        ("'to' is missing between 'line' and '('.", "("),
        ("A comma is missing between two lines or marks.", "falling"),
        ("'ring' is a word of the language and cannot be a name.", "ring"),
        ("'5' does not fit here: after 'carve' comes a line or a mark.", "5"),
        ("A footprint is not 'rotated', it is 'tilted'.", "rotated"),
        ("A decimal number is written with a point, not with a comma.", "2,5"),
    ]
    assert names(file) == ["can", "m", "gap", "p"]


def test_what_was_meant_is_read() -> None:
    file, _ = read("motif m { once { attach a at (0, 0) rotated 3,5 deg carve p q let a = 1-1/2 in - 5 mm-k } }")
    meant, messages = read(
        "motif m { once { attach a at (0, 0) tilted 3.5 deg carve p, q let a = 1 1/2 in - 5 mm - k } }"
    )
    assert messages == []
    assert plain(file.items) == plain(meant.items)


def test_statements_before_and_behind_an_error_stay() -> None:
    file, messages = read("motif m { once { carve p carve 5 mm 6 path carve q let a = } each ring { carve along } }")
    assert [what for _, what in told(messages)] == ["5", "carve", "}"]
    (motif,) = plain(file.items)
    assert [rule[4] for rule in motif[3]] == [
        (
            ("Work", ("Name", "carve"), (("NamedPath", "p"),), ()),
            ("Work", ("Name", "carve"), (("NamedPath", "q"),), ()),
        ),
        (("Work", ("Name", "carve"), (("Along",),), ()),),
    ]


def test_a_whole_statement_stays_when_something_stands_behind_it() -> None:
    file, messages = read("motif m { once { carve p, q, r ! carve s, t ) carve u } }")
    assert len(messages) == 2
    works = [n for n in every_node(file) if isinstance(n, nodes.Work)]
    assert sorted(len(w.geometries) for w in works) == [1, 2, 3]


@pytest.mark.parametrize(
    "bad",
    [
        "let = 3",
        "carve from (0, 0) curve to (1, 1) leaving",
        "repeat { carve x }",
        "draw { carve x } rotated",
        "if { carve x }",
        "incise offset by 3 mm, b, c",
        "carve 5",
        "grid columns 3 rows 4 shifted 1/2 each row",
        "each cell { carve x }",
        "where",
        "= = =",
        ") ) )",
        "path x = from (0, 0)",
    ],
)
def test_lists_hold_nothing_twice_after_an_error(bad: str) -> None:
    file, messages = read(f"motif m {{ once {{ carve a, b, c {bad} carve d, e {bad} carve f }} }} let z = 1")
    assert messages
    works = [n for n in every_node(file) if isinstance(n, nodes.Work)]
    paths = [n.name for w in works for n in w.geometries if isinstance(n, nodes.NamedPath)]
    assert sorted(set(paths) & set("abcdef")) == list("abcdef")
    assert len(works) == 3 and len(paths) == 6
    assert isinstance(file.items[-1], nodes.Let)


def test_names_in_skipped_text_are_spoiled() -> None:
    file, _ = read("clay tufting { shrinks rising + carve by deep } let gap = ")
    assert {"rising", "deep", "gap"} <= file.spoiled
    assert "carve" not in file.spoiled
    file, _ = read("motif { grid columns 6 rows 4 } motif other { }")
    assert names(file) == ["other"]


def test_a_definition_that_cannot_be_built_spoils_its_names() -> None:
    file, _ = read("let far = near-by + " + "1 + " * 200 + "1")
    assert file.items == () and file.spoiled == {"far", "near-by"}


# --------------------------------------------------------------------------------------------- braces


def others(messages: list[Message]) -> list[list[tuple[int, int]]]:
    return [[place.begin_position for place, _ in m.others] for m in messages]


def test_a_brace_missing_before_the_next_definition() -> None:
    file, messages = read("motif m {\n grid columns 6 rows 4\n each cell {\n  carve p }\npiece x { form f }\nlet a = 1")
    assert told(messages) == [("A '}' is missing before 'piece'.", "piece")]
    assert others(messages) == [[(1, 9)]]
    assert names(file) == ["m", "x", "a"]


def test_two_braces_missing_before_the_next_definition() -> None:
    file, messages = read("motif m {\n grid columns 6 rows 4\n each cell {\n  carve p\npiece x { form f }")
    assert told(messages) == [("2 '}' are missing before 'piece'.", "piece")]
    assert others(messages) == [[(1, 9), (3, 12)]]
    assert names(file) == ["m", "x"]


def test_a_brace_missing_before_a_definition_whose_word_also_fits_inside() -> None:
    file, messages = read("piece p { form jar\nform jar { thickness 3 mm }\nform pot { clay buff\nclay buff { }")
    assert told(messages) == [("A '}' is missing before 'form'.", "form"), ("A '}' is missing before 'clay'.", "clay")]
    assert names(file) == ["p", "jar", "pot", "buff"]


def test_a_definition_written_inside_another() -> None:
    file, messages = read("motif m { grid columns 6 rows 4 tool t { wide 3 mm } once { carve p } } let a = 1")
    assert [words for words, _ in told(messages)] == ["A tool is made outside all braces, not inside a motif."]
    assert names(file) == ["m", "a", "t"]


def test_braces_missing_at_the_end() -> None:
    file, messages = read("let a = 1 motif m {\n grid columns 6 rows 4\n each cell {\n  carve p")
    assert told(messages) == [("2 '}' are missing at the end of the text.", "{")]
    assert messages[0].span is not None and messages[0].span.begin_position == (3, 12)
    assert others(messages) == [[(1, 19)]]
    assert names(file) == ["a", "m"]


def test_the_text_ends_in_the_middle_of_something() -> None:
    file, messages = read("motif m {\n once {\n  carve from (0, 0) line to")
    assert told(messages) == [("The text ends too early: after 'to' comes '('.", "")]
    assert others(messages) == [[(1, 9), (2, 7)]]
    assert names(file) == ["m"]


def test_a_brace_too_many() -> None:
    file, messages = read("motif m { } }\nlet a = 1")
    assert told(messages) == [("This '}' closes nothing.", "}")]
    assert messages[0].span is not None and messages[0].span.begin_position == (1, 13)
    assert names(file) == ["m", "a"]


# ---------------------------------------------------------------------------------------------- texts


@pytest.mark.parametrize(
    ("text", "place", "found"),
    [
        ('form can "Canister { thickness 3 mm }', (1, 10), ["can"]),
        ('form can "Canister\n{ thickness 3 mm }', (1, 10), ["can"]),
        ('form can "Canister { thickness 3 mm }\nmotif m "One" { }\nmotif n "Two" { }', (1, 10), ["can", "m", "n"]),
        ('motif m "One" { }\nmotif n "Two { }\nmotif o "Three" { }', (2, 9), ["m", "n", "o"]),
        ('motif m "One" { }\nlet a = 3 "last', (2, 11), ["m", "a"]),
    ],
)
def test_a_text_that_never_closes(text: str, place: tuple[int, int], found: list[str]) -> None:
    file, messages = read(text)
    assert [(m.text, m.span and m.span.begin_position) for m in messages] == [
        ("The text that opens here is never closed.", place)
    ]
    assert names(file) == found


@pytest.mark.parametrize("written", ['8" wide', '8"', '1 1/2" deep 3 mm', '8") + (3'])
def test_an_inch_sign_is_one(written: str) -> None:
    _, messages = read(f"let a = ({written}")
    assert messages[0].text == 'The sign " opens a text; it does not mean inches.'


def test_a_text_right_behind_a_number_is_a_text() -> None:
    file, messages = read('motif m { given k count = 8"divisions" }')
    assert messages == []
    assert [n.value for n in every_node(file) if isinstance(n, nodes.Text)] == ["divisions"]


# ------------------------------------------------------------------------------------------- no slips


@pytest.mark.parametrize(
    "text",
    [
        "let x = max(2,5 mm)",
        "motif m { once { carve dot at (2,5 mm) } }",
        "piece p { band m only columns 1,3 to 5 }",
        "let k-1 = 2 let x = k-1/2",
        'take all from "x" let x = k-1/2',
        "let a = 2 in let x = a*1-1/2 in",
        "let x = 1 - 1/2",
        "let x = 1-1/2",
        "motif m { once { carve at at (0, 0) } }",
        "motif m { once { draw { attach a at (0, 0) } rotated 4 times } }",
        "let x = a < b and b < c",
        "motif m { once { carve circel } }",
        "let wdth = 3",
        "let x = tooth.row + tooth.mm",
    ],
)
def test_correct_texts_that_look_like_slips(text: str) -> None:
    assert read(text)[1] == []


def test_a_message_is_never_given_twice() -> None:
    _, messages = read("motif m { once { if a { let = 3 } othrwise { let = 4 } } }")
    shown: list[Any] = [(m.text, m.span and m.span.start) for m in messages]
    assert len(shown) == len(set(shown)) == 3
