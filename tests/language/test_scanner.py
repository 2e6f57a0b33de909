"""Tokens and their places."""

from __future__ import annotations

from pathlib import Path

import pytest

from motif.language.cleanup import clean
from motif.language.messages import Messages
from motif.language.scanner import END, Token, scan
from motif.language.source import Source
from tests.language.helpers import CASES


def tokens(text: str) -> list[Token]:
    return scan(clean(Source("s", text), Messages()), Messages())


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_tokens_and_gaps_make_up_the_text(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    at = 0
    for token in tokens(text):
        gap = text[at : token.start]
        assert gap.strip("\ufeff") == "" or gap.isspace() or "#" in gap, gap
        if text.isascii() and token.kind != END:
            assert token.joined == (gap == "" and at > 0)
            written = text[token.start : token.end]
            assert token.text == (written if token.kind == "TEXT" else written.lower())
        at = token.end
    assert at == len(text)


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("tooth.deep", ["WORD", "PERIOD", "WORD"]),
        (
            "a<=b<>c>=d<e>f=g",
            [
                "WORD",
                "LESS_OR_EQUAL",
                "WORD",
                "UNEQUAL",
                "WORD",
                "MORE_OR_EQUAL",
                "WORD",
                "LESS",
                "WORD",
                "MORE",
                "WORD",
                "EQUAL",
                "WORD",
            ],
        ),
        ("3:1", ["NUMBER", "COLON", "NUMBER"]),
        ("2mm", ["NUMBER", "WORD"]),
        ("k2", ["WORD"]),
        ("left-right", ["WORD"]),
        ("a -b", ["WORD", "MINUS", "WORD"]),
        ('x"y"z', ["WORD", "TEXT", "WORD"]),
        ("größe-2", ["WORD"]),
        ("हिन्दी", ["WORD"]),
        ("# all of it", []),
    ],
)
def test_kinds(text: str, kinds: list[str]) -> None:
    assert [t.kind for t in tokens(text)] == [*kinds, END]


def test_places_count_what_was_cleaned_away() -> None:
    text = "\ufefflet\u00a0x = “Ä”\r\n  − 1½\u00ad mm"
    assert [text[t.start : t.end] for t in tokens(text)] == ["let", "x", "=", "“Ä”", "−", "1½", "mm", ""]
