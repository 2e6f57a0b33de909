"""The same text gives the same bytes, wherever and however it is run; and nothing is said by the interpreter itself."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

TEXT = """language 1 title "Straße =1+1 | `x`" by "İpek Ünlü"
take pressing-dot as knob, small-loop from "./kit"
form pot "Grüße <b>" { profile smooth { at 0 mm across 60 mm at 30 mm across 75 mm at 60 mm across 66 mm } }
motif İNCE "größer" { given n count = 6
  grid columns n rows near 15 mm shifted 1/2 each row
  each cell { carve from (0, 0) line to (1, 1) with small-loop  paint circle at (1/2, 1/2) across 6 mm colour "blau" }
  each crossing where chance(1) < 1/2 { attach knob at (0, 0) } }
piece ilk "1" { form pot band İNCE reserve "x" from height 20 mm to height 30 mm facing 45 deg wide 20 mm }
piece zweite { form pot band İNCE(n = 5) from rim to foot + 5 mm }
"""
KIT = "tool pressing-dot { wide 5 mm volume 1/8 tsp } tool small-loop { cuts 1.5 mm deep 2 mm }"

#: what is set for a run: environment, options of the interpreter, and from where it is run
WAYS: dict[str, tuple[dict[str, str], list[str], str]] = {
    "another hash seed": ({"PYTHONHASHSEED": "4242"}, [], "."),
    "Turkish": ({"LC_ALL": "tr_TR.UTF-8", "LANG": "tr_TR.UTF-8"}, [], "."),
    "no locale": ({"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}, [], "."),
    "Latin 1": ({"PYTHONIOENCODING": "latin-1", "PYTHONUTF8": "0"}, [], "."),
    "UTF-8 mode": ({"PYTHONUTF8": "1"}, [], "."),
    "another time zone": ({"TZ": "Pacific/Kiritimati", "SOURCE_DATE_EPOCH": "1"}, [], "."),
    "a date that is none": ({"SOURCE_DATE_EPOCH": "yesterday"}, [], "."),
    "another folder": ({}, [], "/"),
    "without asserts and docstrings": ({"PYTHONDONTWRITEBYTECODE": "1"}, ["-OO"], "."),
    "one thread": ({"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}, [], "."),
    "a narrow window": ({"COLUMNS": "40", "LINES": "10", "NO_COLOR": "1", "FORCE_COLOR": "1"}, [], "."),
}


def studio(folder: Path) -> Path:
    folder.mkdir()
    (folder / "kit.motif").write_text(KIT, encoding="utf-8")
    (folder / "job.motif").write_text(TEXT, encoding="utf-8")
    return folder / "job.motif"


def environment(**more: str) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("LC_", "LANG", "PYTHON", "TZ"))}
    return {**kept, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": "0", **more}


def digests(job: Path, way: tuple[dict[str, str], list[str], str]) -> dict[str, str]:
    """What ``prepare`` writes and says, and what ``marks`` prints, as hashes by name."""
    more, options, folder = way
    out = job.parent / "out"
    shutil.rmtree(out, ignore_errors=True)
    found = {}
    for command in (["prepare", str(job), "--out", str(out)], ["marks", str(job), "--as", "markdown"]):
        ended = subprocess.run(
            [sys.executable, *options, "-m", "motif", *command],
            check=False,
            capture_output=True,
            timeout=300,
            cwd=job.parent / folder,
            env=environment(**more),
        )
        assert ended.returncode == 0, ended.stderr.decode()
        said = ended.stdout + ended.stderr
        found[command[0]] = said.replace(os.fsencode(str(job.parent)), b"").decode("utf-8")
    for path in sorted(out.rglob("*")):
        if path.is_file():
            found[path.relative_to(out).as_posix()] = hashlib.sha256(path.read_bytes()).hexdigest()
    return found


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, str]]:
    job = studio(tmp_path_factory.mktemp("bytes") / "studio")
    found = digests(job, ({}, [], "."))
    assert len(found) > 10
    return job, found


@pytest.mark.parametrize("way", WAYS)
def test_the_same_bytes(way: str, plain: tuple[Path, dict[str, str]]) -> None:
    job, expected = plain
    assert digests(job, WAYS[way]) == expected


#: these have nothing to complain of
EXAMPLES = ["first-beaker", "ringed-vase"]


@pytest.mark.parametrize(
    "command",
    [
        *(["check", "--as", form] for form in ("table", "json", "csv", "markdown")),
        *(["prepare", "--out"], ["marks"], ["counts"], ["data"], ["unroll", "--flat", "gores"], ["library", "tufting"]),
    ],
    ids=" ".join,
)
def test_nothing_is_said_by_the_interpreter(command: list[str], tmp_path: Path) -> None:
    """Development mode, all warnings errors, comparisons of bytes with text too: files left open, names that go out
    of use, escapes that are none, numbers that run over."""
    for example in EXAMPLES:
        arguments = [command[0], str(ROOT / "examples" / f"{example}.motif"), *command[1:]]
        if command[0] == "library":
            arguments = command
        if command[-1] == "--out":
            arguments.append(str(tmp_path / example))
        ended = subprocess.run(
            [sys.executable, "-X", "dev", "-bb", "-W", "error", "-m", "motif", *arguments],
            check=False,
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=300,
            cwd=tmp_path,
            env=environment(),
        )
        assert ended.returncode == 0, ended.stderr
        assert ended.stderr == ""


@pytest.mark.parametrize(
    "what",
    [*sorted((ROOT / "examples").glob("*.motif")), *sorted(path for path in (ROOT / "library").iterdir())],
    ids=lambda path: path.stem,
)
def test_nothing_is_said_of_all_that_comes_along(what: Path, tmp_path: Path) -> None:
    """The same for every command on every example, and ``prepare`` for every motif of the library, many in one
    process."""
    ended = subprocess.run(
        [sys.executable, "-X", "dev", "-bb", "-W", "error", "-m", "tests.faults.quietly", str(tmp_path)]
        + [str(what) if what.suffix else what.name],
        check=False,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=600,
        cwd=tmp_path,
        env=environment(),
    )
    assert ended.returncode == 0, ended.stdout + ended.stderr
    assert ended.stderr == ""
