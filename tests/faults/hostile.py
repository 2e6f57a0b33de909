"""Texts that ask for more than any pot: what each is, the code it is refused with, and the words it is refused in.

Run as a program, it lays them all in one process of no more than a gigabyte and prints what became of each."""

from __future__ import annotations

import json
import sys

CAN = "form can { profile straight { at 0 mm around 360 mm at 200 mm around 360 mm } }"
CELLS = "columns 12 rows 8"
ONE = "columns 1 rows 1"
DOT = "impress dot at (0, 0)"


def text(body: str, grid: str = CELLS, form: str = CAN, before: str = "", rule: str = "each cell") -> str:
    return f"{form} {before} motif m {{ grid {grid} {rule} {{ {body} }} }} piece p {{ form {form.split()[1]} band m }}"


def profile(stations: str, how: str = "straight") -> str:
    return f"form can {{ profile {how} {{ {stations} }} }}"


def figures(inside: str, depth: int) -> str:
    """Figures in figures: ``inside`` draws the one below, called ``{0}``."""
    return f"figure f0 {{ {DOT} }} " + " ".join(
        f"figure f{i} {{ {inside.format(f'f{i - 1}')} }}" for i in range(1, depth)
    )


_LINE = "path a = from (0, 0) line to (1, 1)"
_NEST = "".join(f"repeat 1000 as {k} {{ " for k in "ijk") + DOT + " } } }"

#: name → text, code, a part of the words
REFUSED: dict[str, tuple[str, str, str]] = {
    # places, multiplied out
    "repeats in repeats": (text(_NEST, ONE), "too-many-marks", "1 000 000 000 places"),
    "a repeat of 10^9": (text(f"repeat 1000000000 as i {{ {DOT} }}"), "too-many-marks", "96 000 000 000 places"),
    "copies of copies": (
        text("draw { " * 90 + DOT + " } rotated 2 times" * 90, ONE),
        "too-many-marks",
        "endlessly many places",
    ),
    "ten figures × 10": (
        text("draw f10 from (0, 0) to (1, 1)", before=figures("draw {0} from (0, 0) to (1, 1) rotated 10 times", 11)),
        "too-many-marks",
        "960 000 000 000 places",
    ),
    "figures drawn twice each": (
        text("draw f30 from (0, 0) to (1, 1)", ONE, before=figures("draw {0} from (0, 0) to (1, 1) " * 2, 31)),
        "too-many-marks",
        "Repeats and copies",
    ),
    "repeats that make nothing": (
        text(f"repeat 1000 as i {{ repeat 1000 as j {{ if i = 2000 {{ {DOT} }} }} }}"),
        "too-many-marks",
        "96 000 000 places",
    ),
    "a repeat of 10^80 digits": (text(f"repeat {'9' * 80} as i {{ {DOT} }}"), "too-many-marks", "endlessly many"),
    # the grid
    "columns 10^9": (text(DOT, "columns 1000000000 rows 8"), "too-many-marks", "columns are more"),
    "narrow columns": (text(DOT, "columns near 0.00001 mm rows 8"), "too-many-marks", "Columns as narrow"),
    "rows every 0.0001 mm": (text(DOT, "columns 12 rows every 0.0001 mm"), "too-many-marks", "Rows as low"),
    "rows near nothing": (text(DOT, f"columns 12 rows near 0.{'0' * 90}1 mm"), "too-many-marks", "Rows as low"),
    "rows out of proportion": (text(DOT, "columns 12 rows proportional 100000000 : 1"), "too-many-marks", "Rows as"),
    "columns out of proportion": (text(DOT, "columns proportional 1 : 99999999 rows 8"), "too-many-marks", "Columns"),
    "a large multiple": (text(DOT, "columns near 20 mm multiple of 1000000000 rows 1"), "too-many-marks", "Columns"),
    "rows of their own": (text(DOT, "columns near 0.0001 mm each row rows 9"), "too-many-marks", "Columns"),
    # long and many lines
    "a line 10^6 times round": (
        text("carve from (0, 0) line to (1000000, 1)", ONE),
        "too-many-marks",
        "short straight",
    ),
    "a line 10^40 cells long": (text(f"carve from (0, 0) line to (1{'0' * 40}, 1)"), "out-of-range", "cells away"),
    "a curve that swings wide": (
        text("carve from (0, 0) curve to (1, 1) leaving (900000, 900000) arriving (-900000, 5)"),
        "too-many-marks",
        "short straight",
    ),
    "a circle 10^6 cells across": (text("carve circle at (0, 0) across 1000000"), "too-many-marks", "short straight"),
    "200 000 circles on the clay": (
        text("repeat 400 as i { repeat 490 as j { carve circle at (i/400, j/490) across 0.0001 mm } }", ONE),
        "too-many-marks",
        "short straight",
    ),
    "marks every 0.001 mm": (
        text(f"{_LINE} impress dot along a every 0.001 mm across 1 mm"),
        "too-many-marks",
        "3 748 920 marks",
    ),
    "marks every 10^-60 mm": (
        text(f"{_LINE} impress dot along a every 0.{'0' * 60}1 mm"),
        "too-many-marks",
        "endlessly many marks",
    ),
    "a string 10^6 times round": (text("carve from (0, 0) taut to (900000, 1)", ONE), "out-of-range", "900000 times"),
    # sizes
    "a dot of 1 km": (text(f"{DOT} across 1000000 mm"), "out-of-range", "This dot is 1000 m"),
    "a circle of 1 km": (text("carve circle at (0, 0) across 1000000 mm"), "out-of-range", "This circle is 1000 m"),
    "a parallel at 1 km": (text(f"{_LINE} carve offset a by 1000000 mm"), "out-of-range", "1000 m"),
    "clear by 1 km": (
        text(f"{_LINE} carve from (1, 0) line to (0, 1) clear of a by 1000000 mm"),
        "out-of-range",
        "1000 m",
    ),
    "an arc that rises 1 km": (text("carve from (0, 0) arc to (1, 1) rise 1000000 mm"), "out-of-range", "1000 m"),
    "a point 1 km away": (text("impress dot at (1000000 mm, 0)"), "out-of-range", "1000 m"),
    "a tool of 1 km": (
        text("attach t at (0, 0)", before="tool t { wide 1000000 mm }"),
        "out-of-range",
        "'t' is 1000 m",
    ),
    "an angle of 10^30 turns": (text(f"impress dot at (1{'0' * 30} turn, 0)"), "out-of-range", "times round"),
    # forms
    "a form of 1 km": (
        text(DOT, form=profile("at 0 mm across 80 mm at 1000000 mm across 80 mm")),
        "bad-profile",
        "1000 m",
    ),
    "2000 stations": (
        text(DOT, form=profile(" ".join(f"at {i / 10} mm across {80 + i % 2} mm" for i in range(2000)))),
        "bad-profile",
        "2000 stations",
    ),
    "a curve that overshoots": (
        text(
            DOT,
            form=profile(
                "at 0 mm across 10 mm at 1 mm across 1000 mm at 2 mm across 10 mm at 500 mm across 9 mm", "smooth"
            ),
        ),
        "bad-profile",
        "",
    ),
    "a form of nothing": (
        text(DOT, form=profile("at 0 mm across 0.0000001 mm at 0.0000001 mm across 0.0000001 mm")),
        "bad-profile",
        "",
    ),
    # definitions and values
    "a chain of lets": (
        " ".join(f"let a{i} = a{i + 1} + 1" for i in range(10000)) + " let a10000 = 1",
        "out-of-range",
        "by way of too many others",
    ),
    "a chain of figures": (figures("draw {0} from (0, 0) to (1, 1)", 600), "out-of-range", "by way of too many others"),
    "10 000 brackets": (f"let a = {'(' * 10000}1{')' * 10000}", "syntax", "brackets and braces"),
    "10 000 braces": (f"motif m {{ once {'{ draw ' * 10000}{'}' * 10000}", "syntax", "brackets and braces"),
    "10 000 sums": (f"let a = {' + '.join('1' * 10000)}", "syntax", "packed into this one value"),
    "10 000 denials": (f"let a = {'not ' * 10000} 1 = 1", "syntax", "packed into this one value"),
    "a number of 100 000 digits": (f"let a = {'9' * 100_000}", "out-of-range", "too many digits"),
    "a million characters": (f'note "{"x" * 1_000_000}"', "syntax", "more than a million characters"),
}

#: texts that are odd, but ask for little
LAID: dict[str, str] = {
    "lets that use one another twice": " ".join(
        [
            "let a0 = 1",
            *(f"let a{i} = a{i - 1} / 2 + a{i - 1} / 2" for i in range(1, 45)),
            text("impress dot at (a44, 0)"),
        ]
    ),
    "a pitch of 10^-6 mm": text("roulette from (0, 0) line to (1, 1) pitch 0.000001 mm"),
    "a note of 900 kB": f'note "{"x" * 900_000}" ' + text(DOT),
    "10 000 definitions": " ".join(f"let a{i} = {i}" for i in range(10000)) + text(DOT),
    "a name of 100 000 letters": text(DOT).replace("piece p", f"piece {'p' * 100_000}"),
    "a small tool": text("attach t at (0, 0)", before="tool t { wide 0.0000001 mm }"),
    "a helix of 200 turns": text("guide from (0, 0) line to (200, 1)", ONE, rule="once"),
}


def _lay_all() -> dict[str, list[list[str]]]:
    import motif

    told = {}
    for name, source in [*((n, t) for n, (t, _, _) in REFUSED.items()), *LAID.items()]:
        document = motif.loads(source)
        laid = [document.lay(p) is not None for p in document.pieces]
        messages = [[m.code, m.text] for m in document.messages.sorted() if m.severity == "error"]
        told[name] = messages if messages else [["laid" if all(laid) and laid else "nothing", ""]]
    return told


if __name__ == "__main__":
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (1 << 30, 1 << 30))
    json.dump(_lay_all(), sys.stdout)
