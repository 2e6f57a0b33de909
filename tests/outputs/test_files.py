"""Files are written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from motif.outputs.files import CannotWriteError, check_folder, write_files

OURS = {"a.svg": b"<svg", "b.csv": b"piece,"}


def test_a_new_folder_and_again(tmp_path: Path) -> None:
    folder = tmp_path / "out" / "caddy"
    for content in (b"<svg one", b"<svg two"):
        check_folder(folder, OURS)
        assert write_files(folder, {"a.svg": content, "b.csv": b"piece,band"}) == [folder / "a.svg", folder / "b.csv"]
        assert (folder / "a.svg").read_bytes() == content
    assert sorted(p.name for p in folder.iterdir()) == ["a.svg", "b.csv"]


def test_a_folder_with_other_files_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "diary.txt").write_text("mine")
    with pytest.raises(CannotWriteError, match=r"diary\.txt") as caught:
        check_folder(tmp_path, OURS)
    assert "--force" in caught.value.advice
    check_folder(tmp_path, OURS, force=True)


@pytest.mark.parametrize("mine", [b"", b"glaze,price\n", "\N{ZERO WIDTH NO-BREAK SPACE}piece,band".encode()])
def test_a_file_of_our_name_that_somebody_else_wrote_is_left_alone(tmp_path: Path, mine: bytes) -> None:
    (tmp_path / "b.csv").write_bytes(mine)
    with pytest.raises(CannotWriteError, match=r"did not write \(b\.csv\)"):
        check_folder(tmp_path, OURS)
    check_folder(tmp_path, OURS, force=True)
    assert (tmp_path / "b.csv").read_bytes() == mine


def test_a_file_where_a_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("")
    with pytest.raises(CannotWriteError, match="is a file"):
        check_folder(tmp_path / "out", OURS, force=True)
    with pytest.raises(CannotWriteError, match="Nothing was written"):
        write_files(tmp_path / "out" / "caddy", {"a.svg": b""})


def test_a_folder_under_our_name_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "a.svg").mkdir()
    with pytest.raises(CannotWriteError, match="is a folder"):
        check_folder(tmp_path, OURS, force=True)


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_folder_that_may_not_be_written_to(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(CannotWriteError, match="Nothing was written"):
        write_files(tmp_path, {"a.svg": b""})
