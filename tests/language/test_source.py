"""Lines and columns."""

from __future__ import annotations

import pytest

from motif.language.source import Source, Span

# Offsets counted by hand; a line ends at LF, CR LF or a lone CR, a column is a character.
POSITIONS = [
    ("", 0, (1, 1)),
    ("ab", 2, (1, 3)),
    ("a\nb", 1, (1, 2)),
    ("a\nb", 2, (2, 1)),
    ("a\n", 2, (2, 1)),
    ("a\r\nb", 3, (2, 1)),
    ("a\r\n\r\nb", 5, (3, 1)),
    ("a\rb", 2, (2, 1)),
    ("\t\tx", 2, (1, 3)),
    ("é è x", 4, (1, 5)),
    ("e\u0301x", 2, (1, 3)),
    ("🏺🏺x", 2, (1, 3)),
    ("🏺\n🏺x", 3, (2, 2)),
    ("\ufeffx", 1, (1, 2)),
]


@pytest.mark.parametrize(("text", "offset", "position"), POSITIONS)
def test_line_and_column(text: str, offset: int, position: tuple[int, int]) -> None:
    assert Source("s", text).position(offset) == position


@pytest.mark.parametrize(
    ("text", "number", "line"),
    [
        ("a\nbc\n", 2, "bc"),
        ("a\r\nbc\r\nd", 2, "bc"),
        ("a\n", 2, ""),
        ("a\rb", 1, "a"),
        ("", 1, ""),
    ],
)
def test_text_of_a_line(text: str, number: int, line: str) -> None:
    assert Source("s", text).line(number) == line


def test_spans_join_from_the_start_of_one_to_the_end_of_the_other() -> None:
    source = Source("s", "one two three")
    joined = Span(source, 0, 3).to(Span(source, 8, 13))
    assert (joined.text, joined.begin_position, joined.end_position) == ("one two three", (1, 1), (1, 14))
