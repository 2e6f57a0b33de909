"""No published value is kept unread: every record is named by a test, or stands below with the reason.

A test names a record by its whole id, or a family by ``records("...")``; what it does with it is its own affair."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

from tests.reference import records

#: Records that say nothing the program does, and why.
NOT_OURS = {
    "3.geodtest.short": "a test set of 10 000 lines, too large to keep here; the other records 3.* judge taut lines",
    "5.cylinder.cut": "a can cut off aslant is no surface of revolution",
    "7.a3": "no paper of --paper",
    "7.tabloid": "no paper of --paper",
    "7.pt.printer": "a PDF's point is 1/72 in (record 7.pt)",
    "7.q": "no output is in quarter millimetres",
    "7.tsp.label": "spoons of food labels; those of the language are the customary ones (records 7.tsp, 7.tbsp)",
    "10.cadmium": "the cautions give figures for lead only",
    "10.hollow": "the cautions name cups, mugs and plates, not depths and litres",
    "10.laser.class3R": "the cautions ask for a laser of class 2 and name no other",
}

TESTS = Path(__file__).parents[1]


@cache
def _trees() -> list[tuple[Path, ast.Module]]:
    found = sorted(p for p in TESTS.rglob("*.py") if p != Path(__file__))
    return [(p, ast.parse(p.read_text(encoding="utf-8"))) for p in found]


def _calls(name: str) -> list[tuple[Path, ast.Call]]:
    return [
        (path, node)
        for path, tree in _trees()
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name
    ]


def test_every_record_is_read_by_a_test_or_has_a_reason() -> None:
    everything = {r["id"] for r in records("")}
    written = {n.value for _, tree in _trees() for n in ast.walk(tree) if isinstance(n, ast.Constant)}
    families = [ast.literal_eval(call.args[0]) for _, call in _calls("records")]
    named = {key for key in everything if key in written or any(key.startswith(f) for f in families)}
    assert not everything - named - set(NOT_OURS)
    assert not set(NOT_OURS) - (everything - named)


def test_keys_are_written_whole() -> None:
    """A key put together of parts would hide which records it names from the test above."""
    hidden = [f"{p}:{c.lineno}" for p, c in _calls("record") if isinstance(c.args[0], ast.JoinedStr | ast.BinOp)]
    hidden += [f"{p}:{c.lineno}" for p, c in _calls("records") if not isinstance(c.args[0], ast.Constant)]
    assert not hidden
