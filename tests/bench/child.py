"""One program run as a child, with what it cost."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

#: ``ru_maxrss`` is in bytes on macOS and in kilobytes elsewhere
_RSS_UNIT = 1 if sys.platform == "darwin" else 1024


@dataclass(frozen=True)
class Cost:
    """Seconds by the clock, seconds of all processors, and the most memory held at once, in bytes."""

    wall: float
    cpu: float
    peak: int


def run(args: Sequence[str], byte_code: Path) -> Cost:
    """Run this Python with ``args`` from the project's folder; its output is thrown away.

    Compiled modules are kept in the folder ``byte_code``, so that every run but the first starts as an
    installed program does, whatever the settings of the shell. Raises ``RuntimeError``, with what the
    program wrote to standard error, when it ends with a status above 0."""
    settings = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    settings["PYTHONPYCACHEPREFIX"] = str(byte_code)
    with tempfile.TemporaryFile() as errors:
        begun = time.perf_counter()
        child = subprocess.Popen(
            [sys.executable, *args], cwd=ROOT, env=settings, stdout=subprocess.DEVNULL, stderr=errors
        )
        _, status, used = os.wait4(child.pid, 0)
        wall = time.perf_counter() - begun
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode:
            errors.seek(0)
            raise RuntimeError(f"{' '.join(args)} ended with {child.returncode}: {errors.read().decode()}")
    return Cost(wall, used.ru_utime + used.ru_stime, used.ru_maxrss * _RSS_UNIT)
