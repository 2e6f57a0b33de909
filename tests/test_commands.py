"""The program as a whole: texts in, files and streams out, in a process of its own."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

CANISTER = """language 1
form can "Straight-sided canister" { profile straight { at 0 mm across 120 mm at 200 mm across 120 mm } }
motif dots "Dots" {
  given step length = 25 mm
  grid columns 6 rows every step
  each cell { impress dot at (1/2, 1/2) across 8 mm }
  each ring { incise along }
}
piece canister { form can band dots from height 20 mm to height 190 mm }
piece tall { form can band dots(step = 17 mm) from foot to rim }
"""


def run(*args: object, **more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "motif", *map(str, args)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=ROOT,
        env=os.environ | more,
        check=False,
    )


@pytest.fixture
def text(tmp_path: Path) -> Path:
    path = tmp_path / "canister.motif"
    path.write_text(CANISTER, encoding="utf-8")
    return path


def test_from_text_to_marks(text: Path) -> None:
    """Rings every 25 mm of a 170 mm band: six rows, 20 mm over, and dots half-way."""
    done = run("marks", text, "canister", "--as", "json")
    assert done.returncode == 0
    band = json.loads(done.stdout)["bands"][0]
    assert [r["tape"] for r in band["rings"]] == [20, 45, 70, 95, 120, 145, 170]
    assert band["left_over"] == pytest.approx(20)
    assert {p["tape"] for p in band["points"]} == {32.5, 57.5, 82.5, 107.5, 132.5, 157.5}


def test_prepare_is_the_same_everywhere(text: Path, tmp_path: Path) -> None:
    found = set()
    for seed, language in (("0", "C"), ("123", "C.UTF-8")):
        out = tmp_path / seed
        done = run("prepare", text, "--out", out, PYTHONHASHSEED=seed, LC_ALL=language)
        assert done.returncode == 0, done.stderr
        found.add(
            tuple(
                (str(p.relative_to(out)), hashlib.sha256(p.read_bytes()).hexdigest())
                for p in sorted(out.rglob("*.*"))
                if p.is_file()
            )
        )
    assert len(found) == 1


def test_a_motif_on_a_form_without_a_piece(text: Path, tmp_path: Path) -> None:
    done = run(
        "prepare",
        text,
        "--motif",
        "dots",
        "--form",
        "can",
        "--from",
        "foot + 10 mm",
        "--to",
        "rim",
        "--given",
        "step=19mm",
        "--out",
        tmp_path / "out",
    )
    assert done.returncode == 0, done.stderr
    data = json.loads((tmp_path / "out" / "dots-on-can" / "piece.json").read_text(encoding="utf-8"))
    assert data["bands"][0]["rows"] == 10


@pytest.mark.parametrize("bytes_", [b"\x89PNG\r\n\x00\x01", "motif é".encode("latin-1")])
def test_a_file_that_is_not_text(tmp_path: Path, bytes_: bytes) -> None:
    path = tmp_path / "picture.motif"
    path.write_bytes(bytes_)
    for command in ("marks", "prepare", "check", "data", "unroll", "counts"):
        done = run(command, path)
        assert (done.returncode, "is not" in done.stderr and "UTF-8" in done.stderr) == (1, True)
        assert "Traceback" not in done.stderr


def test_no_file_and_a_folder(tmp_path: Path) -> None:
    for path in (tmp_path / "nothing.motif", tmp_path):
        done = run("counts", path)
        assert done.returncode == 2
        assert done.stderr.startswith("motif counts: ")
        assert len(done.stderr.splitlines()) == 1
    found = json.loads(run("check", tmp_path, "--as", "json").stdout)["messages"]
    assert [m["code"] for m in found] == ["file"]


def test_an_unknown_piece(text: Path) -> None:
    done = run("marks", text, "teapot")
    assert (done.returncode, done.stdout) == (2, "")
    assert "teapot" in done.stderr
    assert "canister" in done.stderr


def test_errors_have_their_place(tmp_path: Path) -> None:
    path = tmp_path / "wrong.motif"
    path.write_text(CANISTER.replace("rows every step", "rows every stop"), encoding="utf-8")
    done = run("check", path)
    assert done.returncode == 1
    assert done.stderr.startswith(f"{path}:5:29: error: ")
    assert done.stdout == "0 pieces laid (not laid: canister, tall), 1 error.\n"


def test_whoever_reads_may_stop_reading(text: Path) -> None:
    # far more than a pipe holds
    text.write_text(CANISTER.replace("columns 6", "columns 60").replace("25 mm", "2 mm"), encoding="utf-8")
    process = subprocess.Popen(
        [sys.executable, "-m", "motif", "data", str(text)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
    )
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.read(1)
    process.stdout.close()
    said = process.stderr.read()
    assert b"Traceback" not in said
    assert b"pipe" not in said.lower()
    process.stderr.close()
    assert process.wait() == 0


def test_check_imports_nothing_heavy(text: Path) -> None:
    probe = (
        "import sys; from motif.cli import main; status = main(['check', sys.argv[1]]); "
        "print(sorted({'shapely', 'svgwrite', 'rich', 'scipy', 'xml'} & set(sys.modules))); sys.exit(status)"
    )
    done = subprocess.run(
        [sys.executable, "-c", probe, str(text)], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout == "2 pieces laid, nothing to mend.\n[]\n"


def test_the_library_is_listed_and_shown() -> None:
    done = run("library", "--as", "json")
    assert done.returncode == 0
    found = json.loads(done.stdout)["library"]
    assert all(entry["definitions"] for entry in found)
    shown = run("library", found[0]["path"])
    assert shown.stdout == (ROOT / "library" / f"{found[0]['path']}.motif").read_text(encoding="utf-8")
    nothing = run("library", "xyzzy")
    assert (nothing.returncode, nothing.stdout) == (1, "")
    assert "xyzzy" in nothing.stderr
