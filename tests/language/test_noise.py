"""Whatever the text: a file and messages, never an exception."""

from __future__ import annotations

import sys

from hypothesis import given, settings
from hypothesis import strategies as st

from motif.language import nodes
from motif.language.messages import Messages
from motif.language.parser import parse
from motif.language.source import Source
from tests.language.helpers import CASES, every_node, plain, read

TEXTS = [path.read_text(encoding="utf-8")[:6000] for path in CASES]
PIECES = [
    *sorted({word for text in TEXTS for word in text.split()}),
    "{",
    "}",
    "(",
    ")",
    '"',
    "#",
    "\n",
    ",",
    "-",
    "1/2",
    "½",
    "–",
    "°",
    "=",
    "<",
    "→",
    "\ufeff",
    "2,5",
    '3"',
    "_",
]

#: No clock decides whether a test passes.
UNTIMED = settings(deadline=None)
LONGER = settings(deadline=None, max_examples=300)


def check(text: str) -> None:
    messages = Messages()
    file = parse(Source("noise", text), messages)
    assert isinstance(file, nodes.File)
    for message in messages.sorted():
        assert message.span is not None
        for span in (message.span, *(place for place, _ in message.others)):
            assert 0 <= span.start <= span.end <= len(text)
            span.begin_position, span.end_position  # noqa: B018
        assert message.text[0].isupper() or not message.text[0].isalpha()
        assert message.text.endswith((".", "…"))
    for node in every_node(file):
        assert 0 <= node.span.start <= node.span.end <= len(text)
    if file.items == () and text.split() and not file.spoiled and file.language is None:
        # nothing was read: then something was said, unless there was nothing but comments and ignored signs
        assert messages.sorted() or not any(c.isalnum() for c in text.split("#")[0])


@UNTIMED
@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    check(text)


@LONGER
@given(st.lists(st.sampled_from(PIECES), max_size=60).map(" ".join))
def test_words_of_the_language_in_any_order(text: str) -> None:
    check(text)


@LONGER
@given(st.data())
def test_mutations(data: st.DataObject) -> None:
    text = data.draw(st.sampled_from(TEXTS))
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        end = min(len(text), start + data.draw(st.integers(0, 30)))
        text = text[:start] + data.draw(st.sampled_from(["", *PIECES])) + text[end:]
    check(text)


@UNTIMED
@given(st.data())
def test_truncated(data: st.DataObject) -> None:
    text = data.draw(st.sampled_from(TEXTS))
    check(text[: data.draw(st.integers(0, len(text)))])


@UNTIMED
@given(st.data())
def test_the_same_text_gives_the_same(data: st.DataObject) -> None:
    text = " ".join(data.draw(st.lists(st.sampled_from(PIECES), max_size=40)))
    first, second = read(text), read(text)
    assert plain(first[0].items) == plain(second[0].items)
    assert [(m.text, m.advice) for m in first[1]] == [(m.text, m.advice) for m in second[1]]
    assert first[0].spoiled == second[0].spoiled


def test_no_recursion_near_the_limit() -> None:
    """The deepest texts that are read leave most of the stack to later stages."""
    limit = sys.getrecursionlimit()
    deep = "motif m { once { " + "draw { " * 90 + "let a = " + "(1 + " * 8 + "1" + ")" * 8 + " }" * 90 + " } }"
    depth, frame = 0, sys._getframe()
    while frame is not None:
        depth, frame = depth + 1, frame.f_back  # type: ignore[assignment]
    sys.setrecursionlimit(depth + 500)
    try:
        assert read(deep)[1] == []
    finally:
        sys.setrecursionlimit(limit)
