"""Statements written again on one line: the words as they were, remarks left out."""

from __future__ import annotations

from motif.fits.rewriting import Words
from motif.language.source import Source, Span


def words_of(text: str, start: int = 0) -> Words:
    source = Source("a text", text)
    return Words(Span(source, start, len(text)))


def part(words: str, of: str) -> Span:
    at = of.index(words)
    return Span(Source("a text", of), at, at + len(words))


def test_remarks_go_and_quoted_texts_stay() -> None:
    text = 'incise edge of # two  blanks\n  "two  blanks # and a sign"   3 mm outside # (so'
    assert words_of(text).line == 'incise edge of "two  blanks # and a sign" 3 mm outside'


def test_brackets_and_signs_stand_as_they_did() -> None:
    assert words_of("a( # one\n n = 1 ,\n m=-2 * (k + 1)\n) to x - y").line == "a(n = 1, m=-2 * (k + 1)) to x - y"


def test_parts_are_replaced() -> None:
    text = "near(20 mm)rows near 3 * # thrice\n k"
    words = words_of(text)
    words.replace([(part("(20 mm)", text), "21 mm"), (part("3 * # thrice\n k", text), "8 mm")])
    assert words.line == "near 21 mm rows near 8 mm"


def test_texts_are_put_behind() -> None:
    for text, expected in (("q(a)", "q(n, a)"), ("q( )", "q(n,)"), ("q(# no\n a)", "q(n, a)")):
        words = words_of(text)
        words.append(1, "n,")
        assert words.line == expected
