"""What word processors, phones and web pages do to a text.

The Unicode Character Database (as in Python's ``unicodedata``) says what is a space, what a fraction is
worth and what composes with what.
"""

from __future__ import annotations

import sys
import unicodedata
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from motif.language.cleanup import MEANINGLESS, QUOTES, Cleaned, clean
from motif.language.messages import Messages
from motif.language.source import Source
from tests.language.helpers import EVERYTHING, items, plain, read, value


def cleaned(text: str) -> Cleaned:
    return clean(Source("s", text), Messages())


def words(text: str) -> list[str]:
    return cleaned(text).text.split()


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Columns TWELVE", "columns twelve"),
        ("a–b", "a-b"),
        ("a\u2011b", "a-b"),
        ("a\u2010b", "a-b"),
        ("a−b", "a-b"),
        ("k\u20111", "k-1"),
        ("step–1", "step - 1"),
        ("step−1", "step - 1"),
        ("−3 mm", "- 3 mm"),
        ("(0,−3 mm)", "(0, - 3 mm)"),
        ("2 × 3", "2 * 3"),
        ("1⁄2", "1/2"),
        ("90°", "90 deg"),
        ("90º", "90 deg"),
        ("1½ in", "1 1/2 in"),
        ("½", "1/2"),
        ("\ufeffform", "form"),
        ("for\u00adm", "form"),
        ("fo\u200brm", "form"),
        ("a \u200b– b", "a - b"),
        ("a\u200d-b", "a-b"),
        ("a <= b ≤ c ≥ d ≠ e", "a <= b <= c >= d <> e"),
        ("ÄHRE", "ähre"),
        ("A\u0308HRE", "ähre"),
        ("STRASSE straße", "strasse strasse"),
        ("\u1112\u1161\u11ab", "한"),
        ("٣ mm", "3 mm"),
        ("e\u0301\u0323", "ẹ\u0301"),
    ],
)
def test_words(text: str, expected: str) -> None:
    assert words(text) == expected.split()


def test_every_unicode_space_is_a_space() -> None:
    spaces = [c for c in map(chr, range(sys.maxunicode + 1)) if unicodedata.category(c) in ("Zs", "Zl", "Zp")]
    assert len(spaces) > 15
    for space in spaces:
        assert words(f"columns{space}12") == ["columns", "12"], f"U+{ord(space):04X}"


def test_every_vulgar_fraction_has_its_worth() -> None:
    fractions = [
        c
        for c in map(chr, range(sys.maxunicode + 1))
        if unicodedata.decomposition(c).startswith("<fraction>") and unicodedata.numeric(c, 2) < 1
    ]
    assert len(fractions) >= 18
    for c in fractions:
        if unicodedata.normalize("NFKC", c).endswith("⁄"):
            continue  # U+215F is a numerator alone
        (word,) = words(c)
        assert abs(Fraction(word) - Fraction(unicodedata.numeric(c)).limit_denominator(100)) == 0, c


@pytest.mark.parametrize("opening", QUOTES)
@pytest.mark.parametrize("closing", QUOTES)
def test_any_quote_opens_and_any_closes(opening: str, closing: str) -> None:
    (note,) = items(f"note {opening}As written, Ümlaut – ½{closing}")
    assert note == ("Note", ("Text", "As written, Ümlaut – ½"))


@pytest.mark.parametrize("line_break", ["\n", "\r\n", "\r", "\u2028", "\x0b", "\n\n", " \n   "])
def test_a_line_break_in_a_text_is_one_space(line_break: str) -> None:
    assert items(f'note "two{line_break}lines"') == (("Note", ("Text", "two lines")),)


def test_a_comment_keeps_its_quotes_to_itself() -> None:
    assert items('# don\'t open a " text\nlet a = 1 # 2"\n') == items("let a = 1")


def test_a_sign_without_meaning_stays_one_sign() -> None:
    assert cleaned("a → b").text == f"a {MEANINGLESS} b"


@pytest.mark.parametrize("separator", [" ", "\u00a0", "\u2028", "\t", "\r\n", "\u3000", "\x0c"])
def test_line_breaks_and_indentation_mean_nothing(separator: str) -> None:
    text = EVERYTHING.read_text(encoding="utf-8")
    assert items(separator.join(text.split("\n"))) == items(text)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (" - ", " − "),
        ("leather-hard", "Leather–hard"),
        ("-3 mm", "–3 mm"),
        (" * ", " × "),
        ("1 1/2", "1½"),
        ("1/2", "½"),
        ("90 deg", "90°"),
        ('"', "„"),
        ("tufting", "\u200btuf\u00adting\ufeff"),
        ("each", "EACH"),
    ],
)
def test_a_mangled_text_says_the_same(before: str, after: str) -> None:
    text = EVERYTHING.read_text(encoding="utf-8")
    assert before in text
    quoted = '"' if before != '"' else "\0"
    parts = text.split(quoted)
    # Texts keep their letters: mangle what stands outside them.
    mangled = quoted.join(p.replace(before, after) if i % 2 == 0 else p for i, p in enumerate(parts))
    assert mangled != text
    assert items(mangled) == items(text)


def test_a_name_is_the_same_however_its_accents_are_stored() -> None:
    assert value("größe + gro\u0308ße + GRÖSSE") == (
        "Arithmetic",
        "+",
        ("Arithmetic", "+", ("Reference", "grösse"), ("Reference", "grösse")),
        ("Reference", "grösse"),
    )


@pytest.mark.parametrize(
    ("text", "marked"),
    [
        ("let x = ½ in", "½"),
        ("let x = \u00ad1\u00ad½ in", "1\u00ad½"),
        ("let x = ٣", "٣"),
    ],
)
def test_numbers_are_found_again_in_the_text_as_written(text: str, marked: str) -> None:
    file, _ = read(text)
    (let,) = file.items
    span = let.value.span  # type: ignore[union-attr]
    assert span.text.startswith(marked)


ODD = st.text(st.sampled_from('aZß é\u0301½°–−-"„»#{}\n\r\u2028\u00ad\ufeff\u200b1/2″→º٣ﬁ한\u1112\u1161'), max_size=40)


@settings(deadline=None)
@given(ODD)
def test_every_cleaned_character_knows_its_original(text: str) -> None:
    c = cleaned(text)
    assert len(c.starts) == len(c.ends) == len(c.text)
    assert c.starts == sorted(c.starts)
    assert all(0 <= start <= end <= len(text) for start, end in zip(c.starts, c.ends, strict=True))
    for cleaned_char, start, end in zip(c.text, c.starts, c.ends, strict=True):
        if cleaned_char.isascii() and cleaned_char.isalpha() and end - start == 1 and text[start].isascii():
            # the letter itself; only an inch sign becomes other letters ("in")
            assert text[start].lower() == cleaned_char.lower() or text[start] == '"'


@settings(deadline=None)
@given(ODD)
def test_cleaning_is_done_once(text: str) -> None:
    once = cleaned(text).text
    assert plain(read(once)[0].items) == plain(read(cleaned(once).text)[0].items)
