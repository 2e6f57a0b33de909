"""Messages for texts that do not read: limits, and how words are put. The texts with their messages are
in tests/cases/reading.txt, which tests/test_messages.py runs."""

from __future__ import annotations

import pytest

from motif.language.wording import MOST_LISTED, WORDS, either, expected, listing
from tests.language.helpers import read

RULE = "motif m { grid columns 6 rows 4 each cell { %s } }"


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
