"""What is wrong with a definition is told though no piece uses it."""

from __future__ import annotations

import pytest

import motif
from tests.laying.bench import CAN, said

WALL = "profile straight { at 0 mm across 90 mm at 50 mm across 80 mm }"


def alone(text: str) -> list[tuple[str, str]]:
    """Code and underlined words of what is wrong with a text, its pieces laid and all else worked out."""
    document = motif.loads(text)
    for name in document.pieces:
        document.lay(name)
    document.work_out()
    return [(s.code, s.underlined) for s in said(document)]


@pytest.mark.parametrize(("definition", "code", "underlined"), [
    ("let gap = 3 mm / 0", "no-value", "0"),
    ("let root = sqrt(1 - 2)", "no-value", "1 - 2"),
    ("clay c { shrinks 4 % by leather-hard shrinks 112 % by fired }", "out-of-range", "112 %"),
    ("tool t { wide 4 mm deep 0 mm }", "out-of-range", "0 mm"),
    ("form f { profile straight { at 0 mm across 90 mm } }", "bad-profile", "at 0 mm across 90 mm"),
    (f"form f {{ thickness 0 mm {WALL} }}", "out-of-range", "0 mm"),
    (f'form f {{ {WALL} reserve "r" from foot to rim + 1 mm facing 0 deg wide 9 mm }}', "off-the-form", "rim + 1 mm"),
    ("figure f 0 by 1 { guide dot at (0, 0) }", "out-of-range", "0"),
    ("pace p { attach 0 each hour }", "out-of-range", "0"),
])  # fmt: skip
def test_unused_definitions_are_worked_out(definition: str, code: str, underlined: str) -> None:
    assert alone(definition) == [(code, underlined)]
    assert alone(f"{CAN} {definition} piece q {{ form can incise ring at foot }}") == [(code, underlined)]


def test_what_is_told_where_it_is_used_is_not_told_again() -> None:
    """The rim lies at 50.25 mm of tape when measured, and lower when fired."""
    text = (
        "clay c { shrinks 4 % by leather-hard shrinks 12 % by fired }"
        f' form f {{ clay c {WALL} reserve "r" from foot to rim + 1 mm facing 0 deg wide 9 mm }}'
        " piece p { form f decorated at fired incise ring at foot }"
    )
    assert alone(text) == [("off-the-form", "rim + 1 mm")]


def test_what_could_not_be_read_is_not_missed() -> None:
    assert [
        code for code, _ in alone("form f { profile straight { at 0 mm across 10 mm ad 10 mm across 10 mm } }")
    ] == ["syntax"]


def test_sound_definitions_say_nothing() -> None:
    text = f'clay c {{ shrinks 4 % by leather-hard }} form f {{ clay c {WALL} }} tool t {{ wide 4 mm }} let x = "red"'
    assert alone(text) == []
