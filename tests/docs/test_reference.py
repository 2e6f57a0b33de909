"""The reference says what the program does: its blocks run, its pictures are the program's, no word is missing.

The checks against the grammar, the tables of words and the codes compare two parts of the project that are
written apart; the geometry itself is checked elsewhere, against sources outside the project.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lxml import etree

from motif.language.grammar import grammar
from motif.language.messages import CODES, Message
from motif.language.reserved import (
    FUNCTIONS,
    KINDS,
    LANDMARKS,
    NAMES_IN_SCOPE,
    RESERVED,
    SPELLINGS,
    STAGES,
    TECHNIQUES,
    UNITS,
)
from motif.language.wording import WORDS, spellings
from tests.docs import strip
from tests.docs.blocks import PICTURES, REFERENCE, ROOT, Block, blocks
from tests.docs.pictures import laid, picture, wanted

BLOCKS = blocks()
TEXT = REFERENCE.read_text(encoding="utf-8")
PICTURED = re.findall(r"!\[([^\]]*)\]\(pictures/([a-z0-9-]+)\.svg\)", TEXT)
LARGEST = 12_000


def chapter(title: str) -> str:
    """The text of a chapter, from its heading to the next."""
    found = re.search(rf"^## \d+\. {title}\n(.*?)(?=^## |\Z)", TEXT, re.MULTILINE | re.DOTALL)
    assert found is not None, title
    return found[1]


def in_code(text: str) -> str:
    """All that stands between backticks, and the blocks."""
    return "\n".join([*re.findall(r"`([^`\n]+)`", text), *(b.text for b in BLOCKS)])


def stands_in(word: str, text: str) -> bool:
    return re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text) is not None


# ---------------------------------------------------------------- the blocks


def test_every_fence_is_a_block() -> None:
    assert TEXT.count("\n```motif") == len(BLOCKS) > 60
    assert TEXT.count("\n```") == 2 * len(BLOCKS)


@pytest.mark.parametrize("block", [b for b in BLOCKS if b.wrong is None], ids=str)
def test_block_is_free_of_errors(block: Block) -> None:
    pieces, messages = laid(block)
    assert [f"{m.code}: {m.text}" for m in messages if m.severity == "error"] == []
    if block.picture is not None:
        assert pieces, "a block with a picture makes a piece"
        assert any(len(b.points) + len(b.paths) for p in pieces for b in p.bands) or not pieces[-1].bands


def test_every_code_is_shown_going_wrong() -> None:
    """Except that a file cannot be read, which no text can show."""
    assert {b.wrong for b in BLOCKS if b.wrong is not None} == set(CODES) - {"file"}


@pytest.mark.parametrize("block", [b for b in BLOCKS if b.wrong is not None], ids=str)
def test_block_goes_wrong_as_it_says(block: Block) -> None:
    _, messages = laid(block)
    assert block.wrong in {m.code for m in messages}
    assert {m.code for m in messages if m.severity == "error"} <= {block.wrong}, "and nothing else is wrong"


def test_the_first_block_is_a_whole_file() -> None:
    first = BLOCKS[0]
    assert (first.frame, first.wrong) == ("", None)
    assert first.text.count("\n") <= 10
    assert first.picture is not None


def slips() -> list[tuple[str, str]]:
    """What is written by a slip, and what the reference says to write (empty where that is in words)."""
    table = TEXT.partition("| not | but |")[2].partition("\n\n")[0]
    found: list[tuple[str, str]] = []
    for not_so, but in re.findall(r"^\| (`.+`) \| (.+) \|$", table, re.MULTILINE):
        wrong, right = (re.findall(r"`([^`]+)`", cell) for cell in (not_so, but))
        found += zip(wrong, right if len(right) == len(wrong) and but[0] == "`" else [""] * len(wrong), strict=True)
    return found


@pytest.mark.parametrize(("slip", "instead"), slips())
def test_slip_is_known_and_what_it_says_instead_is_right(slip: str, instead: str) -> None:
    def statement(words: str) -> str:
        if words.partition(" ")[0] in (*TECHNIQUES, "let"):
            return words
        if "<" in words:
            return f"if {words} {{ incise from (0, 0) line to (1, 1) }}"
        if re.search(r'mm|in|"', words):
            return f"attach dot at (1/2, 1/2) across {words} depth 1 mm"
        return f"incise from (0, 0) line to ({words}, 1)"

    def messages(words: str) -> list[Message]:
        text = f"let step = 2\nlet k = 2\n{statement(words)}\n"
        return [m for m in laid(Block(0, "statements", None, (), text, None))[1] if m.severity == "error"]

    assert len(messages(slip)) == 1
    if instead:
        assert messages(instead) == []
        operators = re.findall(r"\D[-+*<] | \bin\b|tilted|and|\.", instead)
        advice = messages(slip)[0].advice or ""
        assert operators and all(sign.strip() in advice for sign in operators), advice


# ---------------------------------------------------------------- the pictures


@pytest.mark.parametrize("name", sorted(wanted()))
def test_picture_is_up_to_date(name: str) -> None:
    """If not: ``python -m tests.docs.pictures``, and look at what changed."""
    path = PICTURES / f"{name}.svg"
    assert path.read_text(encoding="utf-8") == picture(wanted()[name])
    assert path.stat().st_size <= LARGEST


def test_the_strip_of_the_readme_is_up_to_date() -> None:
    """If not: ``python -m tests.docs.pictures``."""
    assert strip.PATH.read_text(encoding="utf-8") == strip.girth_strip()
    assert f"]({strip.PATH.relative_to(ROOT).as_posix()})" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_pictures_and_blocks_belong_together() -> None:
    names = [name for _, name in PICTURED]
    assert len(set(names)) == len(names)
    assert sorted(names) == sorted(wanted()), "a picture stands right below its block"
    assert sorted(p.stem for p in PICTURES.glob("*")) == sorted(names)
    assert all(len(words) > 7 for words, _ in PICTURED), "words for those who cannot see it"


@pytest.mark.parametrize("path", [*sorted(PICTURES.glob("*.svg")), strip.PATH], ids=lambda p: p.stem)
def test_picture_is_valid_svg(path: Path) -> None:
    """Against the SVG 1.1 DTD of the World Wide Web Consortium, which lies in tests/reference/svg11."""
    dtd = etree.DTD(str(Path(__file__).parents[1] / "reference" / "svg11" / "svg11.dtd"))
    tree = etree.fromstring(path.read_bytes())
    assert dtd.validate(tree), dtd.error_log.filter_from_errors()


# ---------------------------------------------------------------- the words


def test_every_code_has_one_line() -> None:
    lines = re.findall(r"^\| `([a-z-]+)` \| .+ \| .+ \|$", chapter("The messages"), re.MULTILINE)
    assert sorted(lines) == sorted(CODES)


def test_the_index_lists_every_word_of_the_grammar_and_no_other() -> None:
    words = set(re.findall(r"^\| `([^`]+)` \|", chapter("Index of words"), re.MULTILINE))
    grammar_words = {t.pattern.value for t in grammar().lark.terminals if type(t.pattern).__name__ == "PatternStr"}
    of_letters = {w for w in grammar_words if w[0].isalpha()} | set(spellings(WORDS)) | set(UNITS)
    assert words == of_letters


@pytest.mark.parametrize("family", [
    TECHNIQUES, tuple(UNITS), tuple(FUNCTIONS), LANDMARKS, STAGES, KINDS, NAMES_IN_SCOPE, tuple(SPELLINGS),
    tuple(sorted(RESERVED)),
], ids=lambda f: f[0])  # fmt: skip
def test_every_word_of_a_family_is_explained(family: tuple[str, ...]) -> None:
    told = in_code(TEXT.partition("## 16. The messages")[0])
    assert [w for w in family if not stands_in(w, told) and w != "%"] == []
    assert "%" not in family or "`%`" in TEXT


def test_every_word_that_may_not_be_a_name_is_marked_in_the_index() -> None:
    marked = set(re.findall(r"^\| `([^`]+)` \|[^|]*\| never \|$", chapter("Index of words"), re.MULTILINE))
    assert marked == RESERVED


def test_every_chapter_is_listed() -> None:
    listed = re.findall(r"^(\d+)\. \[(.+)\]\(#(.+)\)$", TEXT, re.MULTILINE)
    headings = re.findall(r"^## (\d+)\. (.+)$", TEXT, re.MULTILINE)
    assert [(n, t) for n, t, _ in listed] == headings
    anchors = {f"{n}-{t.lower().replace(',', '').replace(' ', '-')}" for n, t in headings}
    assert set(re.findall(r"\]\(#([^)]+)\)", TEXT)) <= anchors
