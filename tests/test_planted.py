"""Three errors planted in one text: all three are told of, each at its place, and nothing else is.

The text is the README's cup with more in it. Every plant replaces something of it that reads well. Syntax, names and
kinds are mixed; the plants are independent of one another, so none may hide or beget another message.
"""

from __future__ import annotations

from itertools import combinations

import pytest

import motif
from tests.messages import lay_all

TEXT = """language 1
title "Two cups"
take scales from "metal/scales"
let gap = 3 mm
clay buff { shrinks 4 % by leather-hard  shrinks 12 % by fired }
tool arrow { wide 4 mm  tall 8 mm }
form cup {
  clay buff  thickness 5 mm
  profile smooth { at 0 mm across 62 mm  at 45 mm across 80 mm  at 90 mm across 74 mm }
}
figure petal { given full number = 0.3  incise from (0, 0) arc to (1, 1) rise full }
motif quilted "Stitched diamonds" {
  given around count = 10
  grid columns around rows near 22 mm
  each cell where odd(column) {
    path wave = from (0, 1/2) line to (1, 1/2)
    roulette wave pitch 3 mm
    impress dot at (1/2, 1/2) across 4 mm depth 1 mm
    draw petal(full = 0.2) rotated 2 times
  }
  each crossing { impress arrow at (0, 0) tilted 30 deg }
}
piece first-cup {
  form cup  band quilted(around = 12) from foot + 8 mm to rim - 8 mm
  carve ring at rim - 4 mm depth 1 mm
}
"""

#: What is replaced, what by, the code of the message, and what is underlined.
PLANTS: list[tuple[str, str, str, str]] = [
    ('title "Two cups"', "title Two cups", "syntax", "Two cups"),
    ("metal/scales", "metal/scale", "take-failed", '"metal/scale"'),
    ("shrinks 4 % by leather-hard", "shrinks 4 % by leather hard", "syntax", "leather hard"),
    ("wide 4 mm", "wide 4", "wrong-kind", "4"),
    ("clay buff  thickness", "clay bluff  thickness", "unknown-name", "bluff"),
    ("across 62 mm", "62 mm across", "syntax", "62 mm across"),
    ("across 80 mm", "radius 40 mm", "syntax", "radius"),
    ("rise full", "rise fool", "unknown-name", "fool"),
    ("given around count = 10", "given around count = 10 mm", "wrong-kind", "10 mm"),
    ("columns around rows near 22 mm", "rows 4 columns around", "syntax", "rows 4 columns around"),
    ("odd(column)", "odd column", "syntax", "odd column"),
    ("line to (1, 1/2)", "line to 1, 1/2", "syntax", "1, 1/2"),
    ("roulette wave", "roulette wafe", "unknown-name", "wafe"),
    ("across 4 mm depth", "across 4,5 mm depth", "syntax", "4,5"),
    ("depth 1 mm\n    draw", "depth of 1 mm\n    draw", "syntax", "of"),
    ("rotated 2 times", "rotated 30", "wrong-kind", "30"),
    ("impress arrow", "stamp arrow", "syntax", "stamp"),
    ("tilted 30 deg", "rotated 30 deg", "syntax", "rotated"),
    ("(around = 12)", "(round-about = 12)", "unknown-name", "round-about"),
    ("to rim - 8 mm", "to top", "syntax", "top"),
    ("rim - 4 mm depth", "rim-4 mm depth", "syntax", "rim-4 mm"),
    ("carve ring", "carve ringg", "syntax", "ringg"),
]  # fmt: skip


def planted(chosen: tuple[int, ...]) -> tuple[str, list[tuple[str, str]]]:
    text = TEXT
    for i in chosen:
        good, bad, _, _ = PLANTS[i]
        assert text.count(good) == 1, good
        text = text.replace(good, bad)
    return text, sorted((PLANTS[i][2], PLANTS[i][3]) for i in chosen)


def test_the_text_itself_is_free_of_errors() -> None:
    assert [m.text for m in lay_all(TEXT) if m.severity == "error"] == []


#: Every plant with others of another sort, more than sixty texts; the step spreads them over all sets of three.
THREES = list(combinations(range(len(PLANTS)), 3))[::23]


@pytest.mark.parametrize("chosen", THREES, ids=str)
def test_three_errors_give_three_messages(chosen: tuple[int, ...]) -> None:
    text, wanted = planted(chosen)
    errors = [m for m in lay_all(text) if m.severity == "error"]
    assert sorted((m.code, m.span.text) for m in errors if m.span) == wanted
    assert [m.span.start for m in errors if m.span] == sorted(m.span.start for m in errors if m.span)


def test_all_at_once() -> None:
    everything = tuple(i for i in range(len(PLANTS)))
    text, wanted = planted(everything)
    assert sorted((m.code, m.span.text) for m in lay_all(text) if m.span and m.severity == "error") == wanted


@pytest.mark.parametrize("name", ["scales", "tufting", "over-two-under-two"])
def test_a_proposed_take_makes_the_text_work(name: str) -> None:
    form = "form can { profile straight { at 0 mm across 90 mm at 120 mm across 90 mm } }"
    text = f"{form}\npiece p {{ form can band {name} }}\n"
    document = motif.loads(text)
    (message,) = document.messages.sorted()
    assert message.code == "unknown-name" and message.advice is not None
    take = message.advice.split("'")[1]
    mended = motif.loads(f"{take}\n{text}")
    assert mended.lay("p") is not None and not mended.messages.has_errors


LAID = """form can { profile straight { at 0 mm across 60 mm at 80 mm across 60 mm } }
motif four { grid columns 10 multiple of 4 rows 4  each cell { incise from (0, 0) line to (1, 1) } }
motif dotted {
  grid columns 9 rows 4
  each cell {
    impress dot at (1/2, 1/2) across (column - 1) * 2 mm
    incise from (0, 0) line to (1 / (row - 1), 1)
  }
  each 2 by 2 cells { incise from (0, 0) line to (2, 2) }
  each crossing { incise from (0, 0) arc to (0, 0) rise 1 }
}
form flat { profile straight { at 0 mm across 80 mm } }
piece one {
  form can
  reserve "x" from foot to foot facing 0 deg wide 3 mm
  reserve "y" from foot to height 200 mm facing 0 deg wide 3 mm
  band four
  band dotted
  band four from foot to height 99 mm
  carve ring at rim + 3 mm
  carve edge of "x" 2 mm outside
  carve edge of "z"
}
piece two { form can  dimensions at fired  carve ring at foot }
piece three { form flat  carve ring at foot }
piece four-and-more { form can  carve ring at neck }
"""


def test_what_goes_wrong_in_laying_is_told_all_at_once() -> None:
    errors = [(m.code, m.span.text) for m in lay_all(LAID) if m.span and m.severity == "error"]
    assert errors == [
        ("does-not-close", "columns 10 multiple of 4"),
        ("out-of-range", "(column - 1) * 2 mm"),
        ("no-value", "row - 1"),
        ("does-not-close", "each 2 by 2 cells { incise from (0, 0) line to (2, 2) }"),
        ("out-of-range", "arc to (0, 0) rise 1"),
        ("bad-profile", "at 0 mm across 80 mm"),
        ("out-of-range", 'reserve "x" from foot to foot facing 0 deg wide 3 mm'),
        ("off-the-form", "height 200 mm"),
        ("off-the-form", "height 99 mm"),
        ("off-the-form", "rim + 3 mm"),
        ("unknown-name", '"z"'),
        ("stage-unknown", "fired"),
        ("off-the-form", "neck"),
    ]
