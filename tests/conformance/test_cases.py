"""Cases with independently computed answers: a text, the commands to run on it, and what must come out.

Each case is NAME.motif with NAME.json: ``{"about", "runs": [{"args", "status", "checks"}]}``, a check being
``[expression, expected, tolerance, why]``. In ``args``, ``{file}`` is the case's text and ``{out}`` a fresh
folder. An expression sees ``d`` (the JSON on standard output), ``text`` (standard output), ``err`` (standard
error) and ``out`` (that folder). Numbers must agree within the tolerance, all else exactly.
"""

from __future__ import annotations

import json
import math
import pathlib
import re
from pathlib import Path
from typing import Any

import pytest

from motif.cli import main

CASES = Path(__file__).with_name("cases")
NAMES = sorted(p.stem for p in CASES.glob("*.motif"))

SEEN: dict[str, Any] = {
    f.__name__: f for f in (len, sum, abs, min, max, sorted, round, any, all, bool, set, list, dict, str, int,
                            float, zip, range, enumerate)
} | {"math": math, "re": re, "json": json, "pathlib": pathlib}  # fmt: skip


def same(got: Any, want: Any, tolerance: float) -> bool:
    if isinstance(want, list):
        return (
            isinstance(got, list | tuple)
            and len(got) == len(want)
            and all(same(g, w, tolerance) for g, w in zip(got, want, strict=True))
        )
    if isinstance(want, int | float) and not isinstance(want, bool):
        return isinstance(got, int | float) and not isinstance(got, bool) and abs(got - want) <= tolerance
    return bool(got == want)


def spec(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((CASES / f"{name}.json").read_text(encoding="utf-8"))
    return found


def test_every_text_has_its_answers() -> None:
    assert sorted(p.stem for p in CASES.glob("*.json")) == NAMES
    assert all(spec(name)["runs"] for name in NAMES)


@pytest.mark.parametrize(
    ("name", "run"), [pytest.param(n, i, id=f"{n}-{i + 1}") for n in NAMES for i in range(len(spec(n)["runs"]))]
)
def test_case(name: str, run: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wanted = spec(name)["runs"][run]
    args = [a.replace("{file}", str(CASES / f"{name}.motif")).replace("{out}", str(tmp_path)) for a in wanted["args"]]
    try:
        status = main(args)
    except SystemExit as left:
        status = left.code
    text, err = capsys.readouterr()
    assert "Traceback" not in err
    assert status == wanted.get("status", 0), err or text
    try:
        d = json.loads(text)
    except ValueError:
        d = None
    wrong = []
    for expression, want, tolerance, why in wanted.get("checks", []):
        got = eval(expression, {"__builtins__": {}, **SEEN, "d": d, "text": text, "err": err, "out": str(tmp_path)})
        if not same(got, want, tolerance or 0):
            wrong.append(f"{expression} = {got!r:.200}, expected {want!r:.200} within {tolerance} ({why})")
    assert not wrong, "\n".join(wrong)
