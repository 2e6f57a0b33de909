"""The book of messages: every code has its section, its texts give what it says, and a command shows it."""

from __future__ import annotations

import re

import pytest

from motif.cli import main
from motif.language.messages import CODES
from motif.outputs import report
from motif.outputs.explained import as_text, sections
from motif.resources import data_folder
from tests.messages import lay_all

BOOK = sections(data_folder("grammar"))
TEXTS = {code: re.findall(r"^```motif( wrong)?\n(.*?)^```", body, re.M | re.S) for code, body in BOOK.items()}


def test_every_code_has_a_section() -> None:
    assert sorted(BOOK) == sorted(CODES)
    for code, body in BOOK.items():
        assert body.startswith(f"A{'n' if CODES[code] == 'error' else ''} {CODES[code]}. "), code
        assert "**What to do.**" in body


@pytest.mark.parametrize("code", [c for c in BOOK if c != "file"])  # that a file cannot be read no text can show
def test_the_wrong_text_gives_this_code_alone_and_the_mended_none(code: str) -> None:
    (wrong, bad), (right, good) = TEXTS[code]
    assert wrong and not right
    assert {m.code for m in lay_all(bad)} == {code}
    assert [m.text for m in lay_all(good)] == []


@pytest.mark.parametrize("code", BOOK)
def test_the_mended_text_differs_by_little(code: str) -> None:
    for (_, bad), (_, good) in zip(TEXTS[code][::2], TEXTS[code][1::2], strict=True):
        changed = set(bad.splitlines()) ^ set(good.splitlines())
        assert 0 < len(changed) <= 6


def test_explain_shows_a_section(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "too-deep"]) == 0
    shown = capsys.readouterr().out
    assert shown == as_text("too-deep", BOOK["too-deep"])
    assert shown.startswith("too-deep (warning)\n\nA cut is deeper than a third of the wall")
    assert "\n    motif lines { grid columns 8 rows 4\n" in shown and "```" not in shown and "**" not in shown
    assert max(len(line) for line in shown.splitlines() if not line.startswith("    ")) <= 96


def test_explain_without_a_code_lists_them(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == list(BOOK)
    assert all(line.endswith(".") and len(line) <= 130 for line in lines)


def test_explain_proposes_the_nearest_code(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "to-deep"]) == 2
    assert "Did you mean 'too-deep'" in capsys.readouterr().err


def test_the_terminal_names_the_command() -> None:
    messages = lay_all("let a = 1 let a = b let c = b")
    assert report.pointer(messages) == "More about these messages: motif explain defined-twice unknown-name\n"
    assert report.pointer([]) == ""
