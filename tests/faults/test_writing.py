"""What is left in a folder when writing goes wrong: whole files, the old ones wherever that can be."""

from __future__ import annotations

import errno
import gc
import io
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from motif.cli import main
from motif.outputs.files import CannotWriteError, folder_name, write_files

OLD = {"a.svg": b"old a" * 1000, "b.csv": b"old b", "c.json": b"old c" * 500}
NEW = {"a.svg": b"new a" * 1200, "b.csv": b"new b", "c.json": b"new c" * 400}

posix = pytest.mark.skipif(os.name != "posix", reason="signals and limits of POSIX")


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir() if not p.name.startswith(".motif-")}


@contextmanager
def failing(number: int, error: BaseException) -> Iterator[list[str]]:
    """The n-th of the calls that change a folder, or of the writes to a file, raises an error; all made are listed."""
    made: list[str] = []
    kept = {"open": Path.open, "replace": Path.replace, "unlink": Path.unlink, "mkdir": Path.mkdir}

    def count(name: str) -> None:
        made.append(name)
        if len(made) == number:
            raise error

    class Writer:
        def __init__(self, file: Any) -> None:
            self.file = file

        def __enter__(self) -> Writer:
            return self

        def __exit__(self, *what: object) -> None:
            self.file.close()

        def write(self, data: bytes) -> int:
            self.file.write(data[: len(data) // 2])  # a full disk takes a part
            count("write")
            return int(self.file.write(data[len(data) // 2 :]))

    def patched(name: str) -> Any:
        def call(path: Path, *values: Any, **named: Any) -> Any:
            count(name)
            result = kept[name](path, *values, **named)
            return Writer(result) if name == "open" else result

        return call

    with pytest.MonkeyPatch.context() as patch:
        for name in kept:
            if name != "unlink":  # tidying up meets no trouble here; killed runs are another test
                patch.setattr(Path, name, patched(name))
        yield made


def test_every_call_that_fails_leaves_the_old_files(tmp_path: Path) -> None:
    """A full disk at the n-th call, for every n: all old files are back, and no others."""
    number = 0
    while True:
        number += 1
        folder = tmp_path / str(number)
        write_files(folder, OLD)
        with failing(number, OSError(28, "No space left on device")) as made:
            try:
                write_files(folder, NEW)
            except CannotWriteError as error:
                assert "no space left" in error.reason
            else:
                break
        assert {p.name: p.read_bytes() for p in folder.iterdir()} == OLD, made
    assert contents(folder) == NEW
    assert number > 3 * len(NEW)  # opened, written and renamed


def test_every_call_that_fails_leaves_no_new_folder(tmp_path: Path) -> None:
    for number in range(1, 11):
        with failing(number, OSError(28, "No space left on device")), pytest.raises(CannotWriteError):
            write_files(tmp_path / "out" / "cup", NEW)
        assert not (tmp_path / "out").exists(), number


def test_a_key_pressed_to_stop_leaves_the_old_files(tmp_path: Path) -> None:
    for number in range(1, 11):
        folder = tmp_path / str(number)
        write_files(folder, OLD)
        with failing(number, KeyboardInterrupt()), pytest.raises(KeyboardInterrupt):
            write_files(folder, NEW)
        assert {p.name: p.read_bytes() for p in folder.iterdir()} == OLD


_KILLED = """
import os, sys
from pathlib import Path
from motif.outputs.files import write_files
left = int(sys.argv[2])
def fatal(name):
    real = getattr(os, name)
    def call(*values, **named):
        global left
        left -= 1
        if left == 0:
            os._exit(9)  # as a kill does: nothing is tidied up
        return real(*values, **named)
    return call
for name in ("replace", "link", "unlink", "mkdir"):
    setattr(os, name, fatal(name))
write_files(Path(sys.argv[1]), {"a.svg": b"new a" * 1200, "b.csv": b"new b", "c.json": b"new c" * 400})
"""


@posix
def test_killed_at_every_call(tmp_path: Path) -> None:
    """Each file is the old or the new one, whole; what is left lying about does not stand in the next run's way."""
    number = 0
    while True:
        number += 1
        folder = tmp_path / str(number)
        write_files(folder, OLD)
        ended = subprocess.run([sys.executable, "-c", _KILLED, str(folder), str(number)], check=False, timeout=60)
        found = contents(folder)
        assert found.keys() == OLD.keys()
        assert all(found[name] in (OLD[name], NEW[name]) for name in found)
        write_files(folder, NEW)
        assert contents(folder) == NEW
        if ended.returncode == 0:
            break
        assert ended.returncode == 9
    assert number > len(NEW)


def test_what_killed_runs_left_is_swept_away_after_a_while(tmp_path: Path) -> None:
    for name, age in ((".motif-1-0", 7200.0), (".motif-2-0", 10.0)):
        (tmp_path / name).write_bytes(b"half")
        os.utime(tmp_path / name, (time.time() - age,) * 2)
    write_files(tmp_path, NEW)
    assert sorted(p.name for p in tmp_path.iterdir()) == [".motif-2-0", *sorted(NEW)]


def test_two_runs_into_one_folder(tmp_path: Path) -> None:
    """Whichever wins, every file is one of theirs, whole, at any time."""
    failures: list[BaseException] = []
    over = threading.Event()

    def write(files: dict[str, bytes]) -> None:
        try:
            for _ in range(60):
                write_files(tmp_path, files)
        except BaseException as error:
            failures.append(error)

    def watch() -> None:
        try:
            while not over.is_set():
                for name in NEW:
                    if (tmp_path / name).exists():
                        assert (tmp_path / name).read_bytes() in (OLD[name], NEW[name])
        except BaseException as error:
            failures.append(error)

    write_files(tmp_path, OLD)
    threads = [threading.Thread(target=write, args=(files,)) for files in (OLD, NEW, OLD)]
    watcher = threading.Thread(target=watch)
    watcher.start()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    over.set()
    watcher.join()
    assert failures == []
    assert all(content in (OLD[name], NEW[name]) for name, content in contents(tmp_path).items())
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(NEW)


@posix
def test_a_planted_link_is_not_written_through(tmp_path: Path) -> None:
    """A link in the place of a file, or of a temporary one, is replaced or passed by; what it shows to stays."""
    victim = tmp_path / "victim"
    victim.write_bytes(b"mine")
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "a.svg").symlink_to(victim)
    (folder / ".motif-1-0").symlink_to(victim)
    write_files(folder, NEW)
    assert victim.read_bytes() == b"mine"
    assert (folder / "a.svg").read_bytes() == NEW["a.svg"]
    assert not (folder / "a.svg").is_symlink()


def test_names_of_devices() -> None:
    """Piece names are letters of any case, digits and inner hyphens; none ends in a hyphen."""
    assert [folder_name(n) for n in ("con", "com1", "console", "tea-jar")] == ["con-", "com1-", "console", "tea-jar"]


# ------------------------------------------------------------------------------ whole commands

POT = """form pot { profile straight { at 0 mm across 60 mm at 50 mm across 60 mm } }
motif m { grid columns 4 rows 2 each cell { impress dot at (1/2, 1/2) across 3 mm incise from (0, 0) line to (1, 1) } }
piece first { form pot band m }
piece second { form pot band m }
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.motif"
    path.write_text(POT)
    return path


def run(*arguments: str | Path, **options: Any) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-m", "motif", *map(str, arguments)]
    return subprocess.run(command, check=False, timeout=120, **{"capture_output": True, **options})


@posix
def test_a_disk_that_is_full(job: Path, tmp_path: Path) -> None:
    """A bound on the size of files stands for it: the system refuses the first byte beyond (EFBIG)."""
    import resource

    assert main(["prepare", str(job), "first", "--out", str(tmp_path / "out")]) == 0
    before = contents(tmp_path / "out" / "first")
    job.write_text(POT.replace("3 mm", "4 mm"))

    def limit() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (6000, 6000))

    ended = run("prepare", job, "first", "--out", tmp_path / "out", preexec_fn=limit)
    assert ended.returncode == 1
    assert b"Nothing was written" in ended.stderr
    assert b"Traceback" not in ended.stderr
    assert contents(tmp_path / "out" / "first") == before
    assert not [p for p in (tmp_path / "out" / "first").iterdir() if p.name.startswith(".motif-")]


def test_the_second_piece_cannot_be_written(job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What was written before it is told, and the status says that not all was."""
    out = tmp_path / "out"
    (out / "second").mkdir(parents=True)
    (out / "second" / "diary.txt").write_text("mine")
    assert main(["prepare", str(job), "--out", str(out)]) == 1
    assert not (out / "first").exists()  # found out before anything is written
    assert "diary.txt" in capsys.readouterr().err


@pytest.mark.parametrize("stream", ["stdout", "stderr"])
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_stream_that_is_full(job: Path, stream: str) -> None:
    job.write_text(POT.replace("columns 4", "columns 40"))  # dots that overlap: there is something to tell
    with Path("/dev/full").open("wb") as full:
        ended = run(
            "marks",
            job,
            **{"capture_output": False, "stdout": subprocess.DEVNULL, "stderr": subprocess.PIPE, stream: full},
        )
    assert ended.returncode == 1
    assert b"Traceback" not in (ended.stderr or b"")
    if stream == "stdout":
        assert ended.stderr == b"motif marks: the result could not be written: no space left on device.\n"


@posix
@pytest.mark.parametrize("closed", ["<&-", ">&-", "2>&-", ">&- 2>&-", "<&- >&- 2>&-"])
def test_streams_that_are_closed(job: Path, tmp_path: Path, closed: str) -> None:
    command = f'"{sys.executable}" -m motif prepare "{job}" first --out "{tmp_path / "out"}" {closed}'
    ended = subprocess.run(["sh", "-c", command], check=False, timeout=120, capture_output=True)
    assert ended.returncode == 0
    assert b"Traceback" not in ended.stderr
    assert (tmp_path / "out" / "first" / "marks.csv").read_text().startswith("piece,band,")


def read_screen(screen: int) -> bytes:
    """What a terminal has shown since; nothing when the program behind it has ended."""
    try:
        return os.read(screen, 4096)
    except OSError as error:
        if error.errno == errno.EIO:  # so Linux says that nobody writes any more
            return b""
        raise


@posix
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_stopped_from_outside(tmp_path: Path, number: signal.Signals) -> None:
    """A long job stopped half-way says nothing of its insides, and leaves no files."""
    job = tmp_path / "long.motif"
    body = "repeat 40 as i { repeat 40 as j { carve circle at (i / 40, j / 40) across 2 mm } }"
    job.write_text(POT.replace("impress dot at (1/2, 1/2) across 3 mm", body))
    import pty  # which only POSIX has

    screen, told_to = pty.openpty()  # on a terminal the command says what it does while it does it
    process = subprocess.Popen(
        [sys.executable, "-m", "motif", "prepare", str(job), "first", "--out", str(tmp_path / "out")],
        stdout=subprocess.DEVNULL,
        stderr=told_to,
    )
    os.close(told_to)
    told = b""
    while b"laying first" not in told:
        more = read_screen(screen)
        assert more, told
        told += more
    process.send_signal(number)
    while more := read_screen(screen):
        told += more
    os.close(screen)
    assert process.wait(timeout=120) == (130 if number == signal.SIGINT else -signal.SIGTERM)
    assert b"Traceback" not in told
    assert not (tmp_path / "out").exists()


@posix
@pytest.mark.parametrize("module", ["motif.cli", "motif.options", "motif.api", "numpy", "motif.laying.lay"])
def test_stopped_while_starting(job: Path, tmp_path: Path, module: str) -> None:
    """The interrupt key while a module is looked for: the signal is raised there, whatever the clock says."""
    program = """
import runpy, signal, sys

class Interrupt:
    @staticmethod
    def find_spec(name, path=None, target=None):
        if name == MODULE:
            signal.raise_signal(signal.SIGINT)

sys.meta_path.insert(0, Interrupt)
sys.argv = ["motif", *sys.argv[1:]]
runpy.run_module("motif", run_name="__main__")
"""
    ended = subprocess.run(
        [sys.executable, "-c", f"MODULE = {module!r}{program}", "prepare", str(job), "--out", str(tmp_path / "out")],
        check=False,
        timeout=120,
        capture_output=True,
    )
    assert (ended.returncode, ended.stderr) == (130, b"")
    assert not (tmp_path / "out").exists()


def test_a_caller_keeps_its_streams_and_its_collector(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out, told = io.TextIOWrapper(io.BytesIO(), "utf-16"), io.StringIO()
    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr(sys, "stderr", told)
    before = gc.get_threshold()
    assert main(["counts", str(job), "first"]) == 0
    assert (sys.stdout, sys.stderr) == (out, told)
    assert out.encoding == "utf-16"
    assert gc.get_threshold() == before
