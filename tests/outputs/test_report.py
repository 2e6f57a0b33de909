"""Messages drawn: the culprit is underlined, whatever stands before it; nothing steers the terminal."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from motif.language.messages import Message
from motif.language.source import Source, Span
from motif.language.words import Length, words
from motif.outputs import report


def message(text: str, culprit: str, **more: object) -> Message:
    source = Source("pot.motif", text)
    start = text.index(culprit)
    return Message("unknown-name", 'There is no path "risng" here.', Span(source, start, start + len(culprit)), **more)  # type: ignore[arg-type]


TEXT = "motif m {\n\tcarve risng\n}\n"


def test_a_block_for_the_terminal() -> None:
    m = message(TEXT, "risng", remedy='Did you mean "rising"?')
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
    assert report.to_json([message(TEXT, "risng", remedy="Look again.")]) == {
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


@pytest.mark.parametrize("culprit", ["risng", "壺模様", "nai\u0308ve", "tab\tbed"])
@pytest.mark.parametrize(
    ("before", "after"), [("\t壺 e\u0301 ", " x"), ("", "\r\nnext"), ("first\r\n  ", ""), ("a\rb ", "\rc")]
)
def test_the_underline_is_as_wide_as_the_culprit(before: str, culprit: str, after: str) -> None:
    lines = report.to_terminal([message(before + culprit + after, culprit)], colour=False).splitlines()
    shown, under = lines[2], lines[3]
    drawn = culprit.replace("\t", " " * 4)
    assert cells(under[: under.index("▔")]) == cells(shown[: shown.index(drawn)])
    assert under.count("▔") == cells(drawn)
    assert "\r" not in shown


def test_a_culprit_longer_than_the_line_is_underlined_as_far_as_it_is_seen() -> None:
    culprit = "word " * 100
    lines = report.to_terminal([message(f"before {culprit}after", culprit)], width=60, colour=False).splitlines()
    assert max(map(len, lines)) <= 60 and lines[3].rstrip().endswith("▔▔▔")


def test_places_of_one_line_are_shown_below_one_another() -> None:
    source = Source("pot.motif", "let\ta = 4 mm + 1\n")
    places = ((Span(source, 15, 16), "this is a number"), (Span(source, 8, 12), "this is a length"))
    m = Message("wrong-kind", "These do not go together.", Span(source, 8, 16), "Add the unit.", places)
    assert report.to_terminal([m], colour=False).splitlines()[1:] == [
        "  pot.motif, line 1, column 9",
        "   1 │ let    a = 4 mm + 1",
        "     │            ▔▔▔▔▔▔▔▔",
        "     │            ▔▔▔▔ this is a length",
        "     │                   ▔ this is a number",
        "  → Add the unit.",
    ]
    narrow = report.to_terminal([m], colour=False, width=12).splitlines()
    assert "  this is a number:" not in narrow, "thirty characters are always shown"


def test_places_of_a_line_that_is_cut_are_shown_by_themselves() -> None:
    text = "let a = " + "1 + " * 100 + "4 mm"
    source = Source("pot.motif", text)
    m = Message("wrong-kind", "No.", Span(source, len(text) - 4, len(text)), None, ((Span(source, 4, 5), "this too"),))
    lines = report.to_terminal([m], colour=False, width=60).splitlines()
    assert "  this too:" in lines and max(map(len, lines)) <= 60


def test_lengths_are_said_in_the_unit_asked_for() -> None:
    """25.4 mm are an inch (international inch, 1959). What is compared is as fine as in mm, what is read off a tape is
    in the parts of one: 41.3 mm are 1.62598 in, of which 1 5/8 is the nearest 1/32."""
    says = words("Only ", Length(0.7), " stay of ", Length(2.5, 2), ", at tape ", Length(41.3, way="reading"), ".")
    m = Message("lines-too-close", says, None, words("Leave ", Length(25.4), "."))
    assert report.to_lines([m]) == (
        "warning: Only 0.7 mm stay of 2.50 mm, at tape 41.3 mm. [lines-too-close] Leave 25.4 mm.\n"
    )
    said = {
        "cm": "Only 0.07 cm stay of 0.25 cm, at tape 4.13 cm.",
        "in": "Only 0.028 in stay of 0.0984 in, at tape 1 5/8 in.",
    }
    advice = {"cm": "Leave 2.54 cm.", "in": "Leave 1 in."}
    for unit in ("cm", "in"):
        assert report.to_lines([m], unit) == f"warning: {said[unit]} [lines-too-close] {advice[unit]}\n"
        assert said[unit] in report.to_terminal([m], unit, colour=False)
        drawn = report.to_json([m], unit)["messages"][0]  # type: ignore[index, call-overload]
        assert (drawn["message"], drawn["advice"]) == (said[unit], advice[unit])  # type: ignore[index, call-overload]
        assert report.table([m], unit).rows[0][-2:] == (said[unit], advice[unit])
