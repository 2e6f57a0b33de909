"""Messages drawn: the culprit is underlined, whatever stands before it; nothing steers the terminal."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from motif.language.messages import Message
from motif.language.source import Source, Span
from motif.outputs import report


def message(text: str, culprit: str, **more: object) -> Message:
    source = Source("pot.motif", text)
    start = text.index(culprit)
    return Message("unknown-name", 'There is no path "risng" here.', Span(source, start, start + len(culprit)), **more)  # type: ignore[arg-type]


TEXT = "motif m {\n\tcarve risng\n}\n"


def test_a_block_for_the_terminal() -> None:
    m = message(TEXT, "risng", advice='Did you mean "rising"?')
    assert report.to_terminal([m], colour=False) == (
        'error: There is no path "risng" here.  [unknown-name]\n'
        "  pot.motif, line 2, column 8\n"
        "   2 │     carve risng\n"
        "     │           ▔▔▔▔▔\n"
        '  → Did you mean "rising"?\n'
    )


def test_second_places_are_shown() -> None:
    source = Source("pot.motif", "let a = 1\nlet a = 2\n")
    m = Message(
        "defined-twice",
        "a is defined twice.",
        Span(source, 14, 15),
        None,
        ((Span(source, 4, 5), "first defined here"),),
    )
    lines = report.to_terminal([m], colour=False).splitlines()
    assert lines[4:] == [
        "  first defined here:",
        "  pot.motif, line 1, column 5",
        "   1 │ let a = 1",
        "     │     ▔",
    ]
    assert report.to_lines([m]) == (
        "pot.motif:2:5: error: a is defined twice. [defined-twice] (first defined here: pot.motif:1:5)\n"
    )


def test_colour_only_when_asked_for() -> None:
    m = message(TEXT, "risng")
    assert "\x1b" not in report.to_terminal([m], colour=False)
    assert "\x1b[31m" in report.to_terminal([m], colour=True)


def cells(text: str) -> int:
    """Columns on a terminal, by East Asian Width (Unicode Standard Annex 11)."""
    return sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)


@pytest.mark.parametrize("before", ["", "\t", "naïve ", "壺 壺 ", "e\u0301 ", "🏺 ", " " * 40])
def test_the_underline_is_below_the_culprit(before: str) -> None:
    lines = report.to_terminal([message(f"{before}risng after", "risng")], colour=False).splitlines()
    shown, under = lines[2], lines[3]
    assert cells(under[: under.index("▔")]) == cells(shown[: shown.index("risng")])
    assert under.count("▔") == 5


@pytest.mark.parametrize("at", [0, 500, 3000, 5990])
def test_a_text_that_lost_its_line_breaks_is_cut_to_size(at: int) -> None:
    text = "word " * 1200
    text = text[:at] + "risng" + text[at:]
    lines = report.to_terminal([message(text, "risng")], width=72, colour=False).splitlines()
    shown, under = lines[2], lines[3]
    assert len(shown) <= 72
    assert shown[under.index("▔") :].startswith("risng")


def test_the_end_of_the_file_and_spans_of_several_lines() -> None:
    source = Source("pot.motif", "motif m {\n  grid")
    for span in (Span(source, 16, 16), Span(source, 6, 16)):
        lines = report.to_terminal([Message("syntax", "Something is missing.", span)], colour=False).splitlines()
        assert "▔" in lines[3]


def test_no_place_at_all() -> None:
    m = Message("file", "No such file.", None, "Look where it is.")
    assert report.to_lines([m]) == "error: No such file. [file] Look where it is.\n"
    assert report.to_terminal([m], colour=False) == "error: No such file.  [file]\n  → Look where it is.\n"
    assert report.to_json([m])["messages"][0]["line"] is None  # type: ignore[index]


def test_json() -> None:
    assert report.to_json([message(TEXT, "risng", advice="Look again.")]) == {
        "messages": [
            {
                "code": "unknown-name",
                "severity": "error",
                "message": 'There is no path "risng" here.',
                "file": "pot.motif",
                "line": 2,
                "column": 8,
                "end_line": 2,
                "end_column": 13,
                "advice": "Look again.",
            }
        ]
    }


@given(st.text(min_size=1), st.text())
def test_nothing_steers_the_terminal(text: str, words: str) -> None:
    source = Source("\x1b[2Jpot.motif", text)
    m = Message(
        "syntax",
        f"\x1b[31m{words}",
        Span(source, len(text) // 2, len(text)),
        words,
        ((Span(source, 0, 1), words),),
    )
    for drawn in (report.to_terminal([m], colour=False), report.to_lines([m])):
        assert not {c for c in drawn if c != "\n" and (ord(c) < 32 or 127 <= ord(c) < 160)}
    assert report.to_lines([m]).count("\n") == 1


def test_summary() -> None:
    error = message(TEXT, "risng")
    warning = Message("pitch-off", "The pitch is off.", None)
    assert report.summary([]) == ""
    assert report.summary([error]) == "1 error"
    assert report.summary([warning, error, warning]) == "1 error, 2 warnings"
