"""``take`` reads motif files in the folder of the file that was opened, and in the library, and nothing else."""

from __future__ import annotations

import os
import threading
from pathlib import Path

import pytest

import motif
from motif.language.messages import Message
from motif.language.names import MOST_DEEP, MOST_FILES
from motif.reading import read_source

SECRET = "root:x:0:0:secret:/root:/bin/sh\n"


def taking(folder: Path, wanted: str, name: str = "job.motif") -> list[Message]:
    """The messages of a file that takes from ``wanted``."""
    file = folder / name
    file.write_text(f'take all from "{wanted}"', encoding="utf-8")
    return motif.load(file).messages.sorted()


def the_refusal(folder: Path, wanted: str) -> Message:
    (message,) = taking(folder, wanted)
    assert message.code == "take-failed"
    shown = f"{message.text} {message.advice} {message.others}"
    assert "root:" not in shown
    assert "secret" not in shown
    return message


@pytest.fixture
def studio(tmp_path: Path) -> Path:
    """A folder with files, beside another with a secret."""
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "private.motif").write_text(SECRET)
    (tmp_path / "elsewhere" / "passwd").write_text(SECRET)
    folder = tmp_path / "studio"
    (folder / "tools").mkdir(parents=True)
    (folder / "tools" / "own.motif").write_text("let gap = 3 mm")
    return folder


@pytest.mark.parametrize(
    "wanted", ["./tools/own", "./tools/own.motif", "./tools/../tools/own", "././tools/own", "./tools/own/"]
)
def test_files_in_the_folder_are_read(studio: Path, wanted: str) -> None:
    assert taking(studio, wanted) == []


@pytest.mark.parametrize(
    "wanted",
    [
        *("../elsewhere/private", "../elsewhere/passwd", "./../elsewhere/private.motif"),
        *("./tools/../../elsewhere/private", "quilting/../../motif/__init__", "./proc/self/environ"),
        *("/etc/passwd", "//etc/passwd", "~/private", "file:///etc/passwd", "./%2e%2e/elsewhere/private"),
        *("C:/private.motif", "C:\\private.motif", "..\\elsewhere\\private", "./..\\elsewhere\\private", "./a\\b"),
        *("\\\\server\\share\\private", "./con", "./NUL.motif", "./tools/own.MOTIF.txt", "./tools"),
        *("./", "../", ".", "..", "./.", "", " ", "./\u202eown", "./own\x1b[31m", "./" + "x" * 5000),
        *("../../../../../../../../../../etc/passwd", "./tools/own.motif/x", "\u2025/elsewhere/private"),
        *("\uff0e\uff0e/elsewhere/private", "library: quilting/rings", "quilting/../rings"),
    ],
)  # fmt: skip
def test_nothing_else_is(studio: Path, wanted: str) -> None:
    the_refusal(studio, wanted)


def test_names_that_no_file_has(studio: Path) -> None:
    from motif.reading import FileReader

    reader = FileReader(studio)
    source = reader.first(studio / "tools" / "own.motif")
    for wanted in ("./own\0", "./own\n", "./own\\x"):
        with pytest.raises(motif.Unreadable, match="no name of a file"):
            reader.read(wanted, source)


def test_a_library_file_takes_from_the_library_only() -> None:
    from motif.language.source import Source
    from motif.reading import FileReader

    for wanted in ("../../../../etc/passwd", "../../motif/api", "./../../x"):
        with pytest.raises(motif.Unreadable):
            FileReader(None).read(wanted, Source("library: quilting/rings", ""))


@pytest.mark.skipif(not hasattr(os, "symlink") or os.name != "posix", reason="no links")
def test_links_out_of_the_folder_are_not_followed(studio: Path) -> None:
    (studio / "out.motif").symlink_to(studio.parent / "elsewhere" / "private.motif")
    (studio / "passwd.motif").symlink_to(studio.parent / "elsewhere" / "passwd")
    (studio / "folder").symlink_to(studio.parent / "elsewhere")
    (studio / "round.motif").symlink_to(studio / "round.motif")
    (studio / "dangling.motif").symlink_to(studio / "nothing.motif")
    (studio / "device.motif").symlink_to("/dev/zero")
    (studio / "tools" / "text.motif").symlink_to(studio / "tools" / "own.motif")
    for wanted in ("./out", "./passwd", "./folder/private", "./round", "./dangling", "./device"):
        the_refusal(studio, wanted)
    assert taking(studio, "./tools/text") == []  # a link that stays inside


@pytest.mark.skipif(os.name != "posix", reason="no pipes with names")
def test_pipes_and_devices_are_no_files(studio: Path) -> None:
    os.mkfifo(studio / "pipe.motif")
    assert "a device or a pipe" in the_refusal(studio, "./pipe").text
    (studio / "tools" / "sub.motif").mkdir()
    assert "is a folder" in the_refusal(studio, "./tools/sub").text
    for path in (studio / "pipe.motif", Path("/dev/zero"), Path("/dev/null")):
        with pytest.raises(motif.Unreadable, match="a device or a pipe"):
            motif.load(path)


def test_files_that_are_no_text_show_nothing_of_themselves(studio: Path) -> None:
    (studio / "picture.motif").write_bytes(b"\x89PNG\r\n\x1a\n\0\0\0secret\xff")
    the_refusal(studio, "./picture")
    (studio / "large.motif").write_bytes(b"secret\n" * 200_000)
    assert "larger than" in the_refusal(studio, "./large").text


@pytest.mark.skipif(os.open not in os.supports_dir_fd, reason="the system opens no files from a folder")
def test_a_link_put_there_after_the_look_is_not_followed(studio: Path) -> None:
    """Between the look at a path and its opening someone puts a link in its place."""
    resolved = studio / "tools" / "own.motif"
    resolved.unlink()
    resolved.symlink_to(studio.parent / "elsewhere" / "private.motif")
    with pytest.raises(motif.Unreadable):
        read_source(resolved, "own.motif", studio)
    (studio / "tools").rename(studio / "moved")
    (studio / "tools").symlink_to(studio.parent / "elsewhere")
    with pytest.raises(motif.Unreadable):
        read_source(studio / "tools" / "private.motif", "own.motif", studio)


@pytest.mark.skipif(os.open not in os.supports_dir_fd, reason="the system opens no files from a folder")
def test_a_race_for_the_file_never_lets_the_secret_out(studio: Path) -> None:
    """A file is swapped for a link out and back, as fast as it goes, while it is taken again and again."""
    target, aside = studio / "swap.motif", studio / "aside.motif"
    link = studio / "link.motif"
    over = threading.Event()

    def swap() -> None:
        while not over.is_set():
            link.symlink_to(studio.parent / "elsewhere" / "private.motif")
            link.replace(target)
            aside.write_text("let gap = 3 mm")
            aside.replace(target)

    thread = threading.Thread(target=swap)
    thread.start()
    try:
        for _ in range(200):
            for message in taking(studio, "./swap"):
                assert message.code == "take-failed", message
                assert "root:" not in message.text
    finally:
        over.set()
        thread.join()


def test_rings_chains_and_crowds_of_files_end(tmp_path: Path) -> None:
    for n in range(MOST_FILES + 50):
        (tmp_path / f"f{n}.motif").write_text(f'take all from "./f{n + 1}" let v{n} = {n}')
    (message,) = motif.load(tmp_path / "f0.motif").messages.sorted()
    assert (message.code, str(MOST_DEEP) in message.text) == ("take-failed", True)
    for n in range(MOST_FILES + 50):
        (tmp_path / f"g{n}.motif").write_text(f"let w{n} = {n}")
    many = "\n".join(f'take w{n} from "./g{n}"' for n in range(MOST_FILES + 50))
    (tmp_path / "many.motif").write_text(many)
    codes = [m.code for m in motif.load(tmp_path / "many.motif").messages.sorted()]
    assert set(codes) == {"take-failed"}
    (tmp_path / "a.motif").write_text('take all from "./b"')
    (tmp_path / "b.motif").write_text('take all from "./a"')
    assert [m.code for m in motif.load(tmp_path / "a.motif").messages.sorted()] == ["defined-by-itself"]
