"""What asks for more than a machine has is refused before memory or time is spent on it."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

from tests.faults.hostile import LAID, REFUSED

pytestmark = pytest.mark.skipif(os.name != "posix", reason="bounds on memory as POSIX has them")


@pytest.fixture(scope="module")
def told() -> dict[str, list[list[str]]]:
    """What became of all the texts in one process of no more than a gigabyte; a text that asked for it would end it."""
    ended = subprocess.run(
        [sys.executable, "-W", "error", "-m", "tests.faults.hostile"], capture_output=True, timeout=600, check=False
    )
    assert ended.returncode == 0, ended.stderr.decode()[-3000:]
    found: dict[str, list[list[str]]] = json.loads(ended.stdout)
    return found


@pytest.mark.parametrize("name", REFUSED)
def test_refused(name: str, told: dict[str, list[list[str]]]) -> None:
    _, code, words = REFUSED[name]
    assert {c for c, _ in told[name]} == {code}
    assert any(words in said for _, said in told[name]), told[name][:2]
    assert not any("more memory than there is" in said for _, said in told[name])


@pytest.mark.parametrize("name", LAID)
def test_laid(name: str, told: dict[str, list[list[str]]]) -> None:
    assert told[name] == [["laid", ""]]
