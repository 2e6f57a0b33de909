"""Messages for texts that do not read: the place, the words, the advice, next to the text that causes them.

``⟦ ⟧`` mark the place in the text and are taken out before it is read. Every text here has one error.
"""

from __future__ import annotations

import re

import pytest

from motif.language.messages import Message
from motif.language.wording import MOST_LISTED, WORDS, either, expected, listing
from tests.language.helpers import read

RULE = "motif m { grid columns 6 rows 4 each cell { %s } }"

ONE_ERROR: list[tuple[str, str, str, str | None]] = [
    (
        RULE % "carve p depth ⟦2,5⟧ mm",
        "syntax",
        "A decimal number is written with a point, not with a comma.",
        "Write '2.5'.",
    ),
    (
        RULE % "carve dot at (1/2, ⟦2,5⟧ mm)",
        "syntax",
        "A decimal number is written with a point, not with a comma.",
        "Write '2.5'.",
    ),
    (
        RULE % "impress dot at (0, 0) across ⟦2,5⟧ mm",
        "syntax",
        "A decimal number is written with a point, not with a comma.",
        "Write '2.5'.",
    ),
    (
        RULE % "incise rising ⟦falling⟧ depth 1 mm",
        "syntax",
        "A comma is missing between two paths.",
        "Write 'rising, falling …'.",
    ),
    (
        RULE % "carve dot at (0, 0) ⟦circle⟧ at (1, 1) across 3 mm",
        "syntax",
        "A comma is missing between two paths.",
        "Write ', circle …'.",
    ),
    (
        RULE % "attach leaf at (0, 0) ⟦rotated⟧ 30 deg",
        "syntax",
        "A footprint is not 'rotated', it is 'tilted'.",
        "Write 'tilted' and the angle; only 'draw' takes 'rotated'.",
    ),
    (
        RULE % "carve p ⟦rotated⟧ 4 times",
        "syntax",
        "'rotated' goes with 'draw', not with 'carve'.",
        "Write 'draw { carve … } rotated …'.",
    ),
    (RULE % "if a ⟦< b <⟧ c { carve p }", "syntax", "Two things are compared at a time.", "Write '… < b and b < …'."),
    (RULE % "if a ⟦= b =⟧ c { carve p }", "syntax", "Two things are compared at a time.", "Write '… = b and b = …'."),
    (RULE % "if a ⟦==⟧ b { carve p }", "syntax", "'==' is not a sign of the language.", "Write '='."),
    (RULE % "if a ⟦=>⟧ b { carve p }", "syntax", "'=>' is not a sign of the language.", "Write '>='."),
    (
        RULE % "let ⟦ring⟧ = 3",
        "syntax",
        "'ring' is a word of the language and cannot be a name.",
        "Choose another name, such as 'my-ring'.",
    ),
    (
        RULE % "path ⟦carve⟧ = q",
        "syntax",
        "'carve' is a word of the language and cannot be a name.",
        "Choose another name, such as 'my-carve'.",
    ),
    (
        RULE % "repeat 3 as ⟦row⟧ { carve p }",
        "syntax",
        "'row' is a word of the language and cannot be a name.",
        "Choose another name, such as 'my-row'.",
    ),
    (
        RULE % "let k = 1 let q = ⟦k-1/2⟧ * 3",
        "syntax",
        "A minus behind a name needs spaces: 'k-1' is read as one name.",
        "Write 'k - 1/2'.",
    ),
    (
        RULE % "carve p depth ⟦columns-1/2⟧",
        "syntax",
        "A minus behind a name needs spaces: 'columns-1' is read as one name.",
        "Write 'columns - 1/2'.",
    ),
    (
        RULE % "let w = ⟦1-1/2 in⟧",
        "wrong-kind",
        "'1-1/2 in' takes a length from a plain number.",
        "For a mixed number write '1 1/2 in'.",
    ),
    (
        RULE % "let w = ⟦5 mm-2 mm⟧",
        "syntax",
        "A minus needs spaces: 'mm-2' is read as one name.",
        "Write '5 mm - 2 mm'.",
    ),
    (
        RULE % "let w = ⟦5 mm-gap⟧",
        "syntax",
        "A minus needs spaces: 'mm-gap' is read as one name.",
        "Write '5 mm - gap'.",
    ),
    (
        RULE % "let gap = 3 mm let w = ⟦gap-2 mm⟧",
        "syntax",
        "A minus behind a name needs spaces: 'gap-2' is read as one name.",
        "Write 'gap - 2 mm'.",
    ),
    (
        RULE % "let k = 3 let w = ⟦k-1.5⟧",
        "syntax",
        "A minus behind a name needs spaces: 'k-1' is read as one name.",
        "Write 'k - 1.5'.",
    ),
    (
        RULE % "carve from (0, 0) line ⟦(⟧1, 1)",
        "syntax",
        "'to' is missing between 'line' and '('.",
        "Write 'line to …'.",
    ),
    (RULE % "carve from (0, 0) ⟦to⟧ (1, 1)", "syntax", "'line' is missing between ')' and 'to'.", "Write 'line to …'."),
    (
        RULE % "carve ⟦(⟧0, 0) line to (1, 1)",
        "syntax",
        "'from' is missing between 'carve' and '('.",
        "Write 'carve from …'.",
    ),
    (RULE % "let k ⟦3⟧", "syntax", "'=' is missing between 'k' and '3'.", "Write 'k = 3 …'."),
    (
        RULE % "carve from (0, 0 ⟦line⟧ to (1, 1)",
        "syntax",
        "')' is missing between '0' and 'line'.",
        "Write '0) line …'.",
    ),
    (RULE % "repeat 3 ⟦k⟧ { carve p }", "syntax", "'as' is missing between '3' and 'k'.", "Write '3 as k …'."),
    (RULE % "repeat 3 as k ⟦carve⟧ p }", "syntax", "'{' is missing between 'k' and 'carve'.", "Write 'k { carve …'."),
    (
        RULE % "carve ⟦circel⟧ at (0, 0) across 3",
        "syntax",
        "'circel' is not a word of the language here.",
        "Did you mean 'circle'?",
    ),
    (RULE % "carve p ⟦wdth⟧ 3 mm", "syntax", "'wdth' is not a word of the language here.", "Did you mean 'width'?"),
    (
        RULE % "draw petal ⟦rotate⟧ 4 times",
        "syntax",
        "'rotate' is not a word of the language here.",
        "Did you mean 'rotated'?",
    ),
    (
        RULE % "draw petal mirrored ⟦left right⟧",
        "syntax",
        "'left right' is one word with a hyphen.",
        "Write 'left-right'.",
    ),
    (
        RULE % "let w = ⟦maximum⟧(2, 3)",
        "unknown-name",
        "There is no function 'maximum'.",
        "The functions are min, max, abs, round, floor, ceil, sqrt, sin, cos, tan, even, odd, remainder, chance.",
    ),
    (RULE % "let w = ⟦maxx⟧(2, 3)", "unknown-name", "There is no function 'maxx'.", "Did you mean 'max'?"),
    (
        RULE % "⟦incise depth⟧ 1 mm",
        "syntax",
        "Nothing is named that 'incise' could work.",
        "Put the path, circle, dot or tool between 'incise' and 'depth'.",
    ),
    (RULE % "draw { carve p, ⟦}⟧", "syntax", "'}' does not fit here: after ',' comes a path or a mark.", None),
    (RULE % "draw { let w = ⟦}⟧", "syntax", "'}' does not fit here: after '=' comes a value.", None),
    (
        RULE % "carve p ⟦)⟧",
        "syntax",
        "')' does not fit here.",
        "After 'p' may come 'at', ',', 'along', 'clear of', 'within' …; a new statement begins with a "
        "technique such as 'carve', 'path', 'draw', 'if', 'repeat' ….",
    ),
    (RULE % "carve ⟦5⟧ mm", "syntax", "'5' does not fit here: after 'carve' comes a path or a mark.", None),
    (RULE % "paint dot at ⟦1/2⟧, 1/2", "syntax", "'1/2' does not fit here: after 'at' comes '('.", None),
    (RULE % "carve p clear ⟦q⟧ by 2 mm", "syntax", "'of' is missing between 'clear' and 'q'.", "Write 'clear of q …'."),
    (
        RULE % "carve offset p ⟦outwards⟧ by 3 mm",
        "syntax",
        "'outwards' is not a word of the language here.",
        "Did you mean 'outward'?",
    ),
    (
        RULE % "⟦otherwise⟧ { carve p }",
        "syntax",
        "'otherwise' does not fit here.",
        "'otherwise' stands right behind the '}' of an 'if'.",
    ),
    (RULE % "⟦grid⟧ columns 3", "syntax", "'grid' does not fit here.", "'grid' stands in a motif."),
    (
        RULE % "⟦offset⟧ p by 3 mm",
        "syntax",
        "'offset' does not fit here.",
        "A statement begins with a technique such as 'carve', 'path', 'draw', 'if', 'repeat' ….",
    ),
    (RULE % "carve p⟦;⟧ carve q", "syntax", "';' has no meaning here.", "Nothing needs to stand between statements."),
    (RULE % "let w = ⟦[⟧3", "syntax", "'[' has no meaning here.", "Use '(' and ')'."),
    (
        RULE % "carve p⟦_⟧q",
        "syntax",
        "The words of a name are joined by a hyphen, not by '_'.",
        "Write '-', as in button-row.",
    ),
    (
        "motif m { grid ⟦cloumns⟧ 6 rows 4 }",
        "syntax",
        "'cloumns' is not a word of the language here.",
        "Did you mean 'columns'?",
    ),
    (
        "motif m { grid columns ⟦naer⟧ 25 mm rows 4 }",
        "syntax",
        "'naer' is not a word of the language here.",
        "Did you mean 'near'?",
    ),
    (
        "motif m { each ⟦cel⟧ { carve p } }",
        "syntax",
        "'cel' is not a word of the language here.",
        "Did you mean 'cell'?",
    ),
    (
        "motif m { grid columns 6 rows 4 each cell ⟦even⟧(row) { carve p } }",
        "syntax",
        "'where' is missing between 'cell' and 'even'.",
        "Write 'cell where even …'.",
    ),
    (
        "motif m { given k ⟦cuont⟧ = 3 }",
        "syntax",
        "'cuont' is not a word of the language here.",
        "Did you mean 'count'?",
    ),
    (
        "motif m { given k ⟦=⟧ 3 }",
        "syntax",
        "'=' does not fit here: after 'k' comes what kind of value it is (such as 'count' or 'length').",
        None,
    ),
    (
        "motif m { grid columns 6 ⟦each row⟧ rows 4 }",
        "syntax",
        "'each row' goes with 'columns near …' only.",
        "Each row then has the number of columns nearest that width.",
    ),
    (
        "motif m { grid columns 6 multiple of 2 ⟦multiple of 3⟧ rows 4 }",
        "defined-twice",
        "'multiple of 3' says again what was said before.",
        "Leave one of them out.",
    ),
    (
        "motif m { grid columns 6⟦,⟧ rows 4 }",
        "syntax",
        "',' does not fit here: after '6' comes 'rows', 'multiple of' or 'spaced'.",
        None,
    ),
    ("motif m { grid ⟦rows⟧ 4 columns 6 }", "syntax", "'rows' does not fit here: after 'grid' comes 'columns'.", None),
    (
        "form f { measured at ⟦leather hard⟧ }",
        "syntax",
        "'leather hard' is one word with a hyphen.",
        "Write 'leather-hard'.",
    ),
    (
        "form f { profile smooth { at ⟦12,5⟧ mm across 3 mm } }",
        "syntax",
        "A decimal number is written with a point, not with a comma.",
        "Write '12.5'.",
    ),
    (
        "form f { profile smooth { at 1 mm⟦,⟧ across 3 mm } }",
        "syntax",
        "',' does not fit here: after '1 mm' comes 'across' or 'around'.",
        None,
    ),
    (
        'tool t { wide 3⟦"⟧ }',
        "syntax",
        'The sign " opens a text; it does not mean inches.',
        "Write 'in' for inches, as in '1 1/2 in'.",
    ),
    (
        'tool t { wide 1 1/2⟦"⟧ deep 2 mm }',
        "syntax",
        'The sign " opens a text; it does not mean inches.',
        "Write 'in' for inches, as in '1 1/2 in'.",
    ),
    (
        "tool t { wide 1½⟦″⟧ }",
        "syntax",
        "The sign ″ opens a text; it does not mean inches.",
        "Write 'in' for inches, as in '1 1/2 in'.",
    ),
    (
        'form can ⟦"⟧Canister { thickness 3 mm }',
        "syntax",
        "The text that opens here is never closed.",
        'Put a closing " where it ends.',
    ),
    ('take a ⟦b⟧ from "x"', "syntax", "',' is missing between 'a' and 'b'.", "Write 'a, b …'."),
    ("take a from ⟦x⟧", "syntax", "'x' does not fit here: after 'from' comes a text in quotes.", None),
    ('take ⟦"x"⟧', "syntax", "The text \"x\" does not fit here: after 'take' comes a name or 'all'.", None),
    ("piece p { form x band m(a = 3 ⟦b⟧ = 4) }", "syntax", "',' is missing between '3' and 'b'.", "Write '3, b …'."),
    ("piece p { form ⟦band⟧ m }", "syntax", "'band' does not fit here: after 'form' comes a name.", None),
    (
        "piece p { band m from foot to rim ⟦from foot to rim⟧ }",
        "defined-twice",
        "'from foot to rim' says again what was said before.",
        "Leave one of them out.",
    ),
    (
        "piece p { carve ring at ⟦hight⟧ 3 mm }",
        "syntax",
        "'hight' is not a word of the language here.",
        "Did you mean 'height'?",
    ),
    (
        "piece p { reserve ⟦x⟧ from foot to rim facing 0 deg wide 3 mm }",
        "syntax",
        "'x' does not fit here: after 'reserve' comes a text in quotes.",
        None,
    ),
    ("⟦language 2⟧", "syntax", "Version 2 of the language is not known.", "This program reads 'language 1'."),
    ("language 1 ⟦language 1⟧", "defined-twice", "A file says once in which language it is.", "Keep one of the two."),
    ("title ⟦Pots⟧", "syntax", "'Pots' does not fit here: after 'title' comes a text in quotes.", None),
    ('⟦titel⟧ "Pots"', "syntax", "'titel' is not a word of the language here.", "Did you mean 'title'?"),
    ("form ⟦{⟧ }", "syntax", "'{' does not fit here: after 'form' comes a name.", None),
    ("let⟦⟧", "syntax", "The text ends too early: after 'let' comes a name.", None),
    ("let a = (1 + 2⟦⟧", "syntax", "The text ends too early: after '2' comes ')'.", None),
    ("note⟦⟧", "syntax", "The text ends too early: after 'note' comes a text in quotes.", None),
    (
        "⟦carve⟧ p",
        "syntax",
        "'carve' does not fit here.",
        "'carve' stands between the braces of 'each …' or 'once', in a figure, or in a piece.",
    ),
    ("⟦}⟧", "syntax", "This '}' closes nothing.", "Take it out, or look for one too many before it."),
    (
        "let a = 3 mm ⟦foo⟧",
        "syntax",
        "'foo' does not fit here.",
        "After '3 mm' may come a text in quotes; a new definition begins with 'motif', 'piece', "
        "'form', 'tool', 'figure' ….",
    ),
    (
        "let a = 2 %⟦%⟧ 3",
        "syntax",
        "'%' does not fit here.",
        "After '2 %' may come a text in quotes; a new definition begins with 'motif', 'piece', "
        "'form', 'tool', 'figure' ….",
    ),
    ("figure step ⟦{⟧ carve p", "syntax", "A '}' is missing at the end of the text.", "Every '{' needs its '}'."),
    (
        "clay c { shrinks 4 % by ⟦ferid⟧ }",
        "syntax",
        "'ferid' is not a word of the language here.",
        "Did you mean 'fired'?",
    ),
    (
        'motif m "M" ⟦grid⟧ columns 6 rows 4 }',
        "syntax",
        "'{' is missing between the text \"M\" and 'grid'.",
        "Write '{ grid …'.",
    ),
    (
        "let a = 3 mm⟦²⟧ + 2",
        "syntax",
        "'²' has no meaning here.",
        "Write the factor as often as it is meant, as in a * a.",
    ),
]


def marked(text: str) -> tuple[str, int, int]:
    start, end = text.index("⟦"), text.index("⟧") - 1
    return text.replace("⟦", "").replace("⟧", ""), start, end


@pytest.mark.parametrize(("text", "code", "words", "advice"), ONE_ERROR)
def test_one_error_gives_one_message(text: str, code: str, words: str, advice: str | None) -> None:
    bare, start, end = marked(text)
    _, (message,) = read(bare)
    assert (message.code, message.text, message.advice) == (code, words, advice)
    assert message.span is not None
    assert (message.span.start, message.span.end) == (start, end)


@pytest.mark.parametrize("text", [t for t, *_ in ONE_ERROR])
def test_the_same_place_after_a_mangling(text: str) -> None:
    """Places are those of the text as written, whatever was cleaned away before it."""
    bare, start, end = marked(text)
    for before in ("\ufeff", 'note "ä — ö"\r\n', "# ½\n"):
        _, messages = read(before + bare)
        if not bare.startswith("language"):
            assert [m.span and (m.span.start, m.span.end) for m in messages] == [
                (start + len(before), end + len(before))
            ]


def all_words(message: Message) -> str:
    return message.text + (message.advice or "") + "".join(words for _, words in message.others)


@pytest.mark.parametrize("text", [t for t, *_ in ONE_ERROR])
def test_no_words_of_the_parser(text: str) -> None:
    _, messages = read(marked(text)[0])
    for message in messages:
        assert not re.search(r"[A-Z]{4,}|Token|__|\$|None|terminal|token|parse|grammar", all_words(message))


def test_a_comment_that_swallows_a_brace() -> None:
    text = "let a = 1 # once } more\nlet b = 2 # fine"
    file, (message,) = read(text)
    assert (message.code, message.severity) == ("comment-swallows", "warning")
    assert message.text == "This comment swallows a '}'."
    assert message.span is not None and message.span.text == "# once } more"
    assert len(file.items) == 2


def test_a_text_too_long() -> None:
    file, (message,) = read("#" + "x" * 1_000_000)
    assert message.text == "The text has more than a million characters."
    assert file.items == ()
    assert read("#" + "x" * 999_999)[1] == []


@pytest.mark.parametrize("opening", ["(", "draw { ", "max(", "(a, "])
def test_nested_too_deep(opening: str) -> None:
    _, (message,) = read(RULE % ("let w = " + opening * 2000))
    assert message.text == "More than 100 brackets and braces are open here."


@pytest.mark.parametrize("value", ["1" + " + 1" * 5000, "- " * 5000 + "1", "(" * 98 + "- " * 90 + "1" + ")" * 98])
def test_packed_too_full(value: str) -> None:
    file, (message,) = read(f"let a = 1 let w = {value} let b = 2")
    assert message.text == "More than 100 steps are packed into this one value."
    assert len(file.items) == 2


def test_a_long_chain_of_otherwise_is_not_deep() -> None:
    file, messages = read(RULE % ("if a { carve p } " + "otherwise if a { carve p } " * 2000))
    assert messages == [] and len(file.items) == 1


def test_too_many_errors() -> None:
    file, messages = read("let a = 1 " + "let = 2 " * 200 + "let b = 3")
    assert messages[-1].text == "There are too many errors; the rest of the text was not read."
    assert len(messages) == 51
    assert len(file.items) == 1 and "b" in file.spoiled


# ------------------------------------------------------------------------------------------- wording


def test_lists_are_short_and_in_order() -> None:
    assert either(["a"]) == "a"
    assert either(["a", "b", "c"]) == "a, b or c"
    assert listing([str(n) for n in range(MOST_LISTED)]).count(",") == MOST_LISTED - 2
    assert listing([str(n) for n in range(MOST_LISTED + 1)]) == "0, 1, 2, 3, 4 …"


def test_a_value_is_named_as_a_whole() -> None:
    values = {"NUMBER", "NAME", "LEFT_BRACKET", "MINUS", "TEXT", "FUNCTION"}
    assert expected(values | {"EVERY"}, frozenset()) == ["a value", "'every'"]
    assert expected({"PLUS", "EQUAL", "COMMA"}, frozenset()) == ["','"]
    assert expected({"PLUS", "MINUS"}, frozenset()) == ["'+'", "'-'"]
    assert expected(set(WORDS), frozenset())[0] == "a value"
