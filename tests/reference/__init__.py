"""Published values with their sources (``values.json``), for the tests of every package."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any


@cache
def _records() -> dict[str, dict[str, Any]]:
    path = Path(__file__).with_name("values.json")
    return {r["id"]: r for r in json.loads(path.read_text(encoding="utf-8"))}


def record(key: str) -> dict[str, Any]:
    """One record: ``inputs``, ``expected``, ``tolerance``, ``source``, ``how_known``."""
    return _records()[key]


def records(prefix: str) -> list[dict[str, Any]]:
    """All records whose id begins with ``prefix``, in the order of the file."""
    found = [r for r in _records().values() if r["id"].startswith(prefix)]
    if not found:
        raise KeyError(prefix)
    return found
