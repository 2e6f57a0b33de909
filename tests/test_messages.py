"""Every message next to the text that gives it: see ``tests.messages`` for how the files read.

The words are judged by reading them; what is checked besides is that none is missing, none is said twice, and that
no word of a compiler writer gets out.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from motif.language import plain_slips, slips
from motif.language.messages import CODES, Message
from motif.language.slips import SLIPS
from motif.outputs import report
from motif.outputs.numbers import Unit
from tests.messages import FILES, Block, beginners, blocks, lay_all, read_only, told

BLOCKS = [block for file in FILES for block in blocks(file)]
READING = blocks("reading.txt")
#: Words of those who write compilers, which say nothing to a potter.
FOREIGN = re.compile(
    r"\b(?i:token|unexpected|expression|identifier|parse[rd]?|syntax|terminal|argument|parameter|operand|operator|"
    r"literal|keyword|undefined|invalid|null|exception|node|lexer|grammar|integer|float)s?\b"
    r"|[A-Z]{4,}|__|\$"
)


def words_of(message: Message) -> str:
    return " ".join((message.text, message.advice or "", *(words for _, words in message.others)))


@pytest.mark.parametrize("block", BLOCKS, ids=str)
def test_the_text_gives_these_words_at_these_places(block: Block) -> None:
    assert block.shown() == block.expected


@pytest.mark.parametrize("path", beginners(), ids=lambda p: p.stem)
def test_what_a_beginner_is_told(path: Path) -> None:
    assert told(path) == path.with_suffix(".txt").read_text(encoding="utf-8")


def test_a_beginner_is_always_told_what_to_write() -> None:
    assert len(beginners()) >= 20
    for path in beginners():
        messages = lay_all(path.read_text(encoding="utf-8"))
        assert [m.text for m in messages if not m.advice] == [], path.stem


@pytest.mark.parametrize("block", BLOCKS, ids=str)
def test_no_words_of_the_compiler(block: Block) -> None:
    for message in block.messages():
        said = re.sub(r"'[^']*'|\"[^\"]*\"|“[^”]*”", "", words_of(message))
        assert not FOREIGN.search(said), said


@pytest.mark.parametrize("block", BLOCKS, ids=str)
def test_nothing_is_said_twice(block: Block) -> None:
    said = [(m.text, m.span and (m.span.start, m.span.end)) for m in block.messages()]
    assert len(set(said)) == len(said)


@pytest.mark.parametrize("block", READING, ids=str)
def test_the_same_place_whatever_was_cleaned_away_before_it(block: Block) -> None:
    places = [(m.span.start, m.span.end) for m in block.messages() if m.span]
    if block.about == "version" or block.text.startswith("language"):
        return
    for before in ("\ufeff", 'note "ä — ö"\r\n', "# ½\n"):
        moved = [(m.span.start, m.span.end) for m in read_only(before + block.whole) if m.span]
        assert moved == [(a + len(before), b + len(before)) for a, b in places]


def test_every_slip_has_its_text() -> None:
    shown = {block.about for block in READING}
    named = {look.__name__ for look in SLIPS} | {plain_slips.fraction_by_minus.__name__}
    assert named - shown == set()


def test_the_slip_that_a_text_is_about_is_the_one_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each slip's texts give other messages, or more of them, when that slip alone is taken away."""
    for look in SLIPS:
        texts = [b for b in READING if b.about == look.__name__]
        with monkeypatch.context() as patch:
            for name in ("SLIPS", "PLAIN"):
                left = tuple(s for s in getattr(slips, name) if s is not look)
                patch.setattr(slips, name, left)
            assert any(b.shown() != b.expected for b in texts), look.__name__


def test_all_forms_of_a_message_say_the_same() -> None:
    for block in BLOCKS:
        for message in block.messages():
            line = report.to_lines([message])
            assert line.count("\n") == 1
            assert message.text in line and (message.advice or "") in line and message.code in line


@pytest.mark.parametrize("block", blocks("laying.txt"), ids=str)
@pytest.mark.parametrize("unit", ["cm", "in"])
def test_millimetres_are_said_only_where_the_text_says_them(block: Block, unit: Unit) -> None:
    """With another unit asked for, a length in mm is one that the text itself has."""
    for message in block.messages():
        says = report.to_json([message], unit)["messages"][0]["message"]  # type: ignore[index, call-overload]
        assert isinstance(says, str)
        assert {m[0] for m in re.finditer(r"[\d.]+ mm", says)} <= set(re.findall(r"[\d.]+ mm", block.whole))


def test_every_code_has_its_text() -> None:
    """Except that a file cannot be read, which no text can show."""
    assert {b.about for b in blocks("laying.txt")} | {"comment-swallows", "syntax", "file"} == set(CODES)
    for block in blocks("laying.txt"):
        assert {m.code for m in block.messages()} == {block.about}


#: The slips that the reference names beside one another in its second chapter, and some more that it need not.
KNOWN = [
    "depth 1.5", "depth 2,5 mm", '1 1/2"', "1-1/2 in", "step-1", "k-1/2", "5 mm-2 mm", "let ring = 3", "rising falling",
    "rotated 30 deg", "a < b < c", "k/2 mm", "2 millimetres", "1/2 inch", "colour blue", "rim-8 mm", "my quilted",
    "2quilted", "incise line from", "(0; 0)", "(O, 1/2)", "diameter 4 mm", "4 mm, depth", "dot across 4 mm at",
    "rows near 22 mm columns 10", "along every 11 mm",
]  # fmt: skip


@pytest.mark.parametrize("slip", KNOWN)
def test_a_slip_that_everybody_makes_has_one_message_with_advice(slip: str) -> None:
    texts = [b for b in BLOCKS if slip in b.text]
    assert texts
    for block in texts:
        messages = block.messages()
        assert len(messages) == 1 or block.about in ("point_without_brackets", "place_in_words")
        assert all(m.advice for m in messages)
