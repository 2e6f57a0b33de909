"""The data that comes with the program is found in a checkout and in an installed program."""

from __future__ import annotations

from pathlib import Path

import pytest

from motif import resources


def test_in_this_checkout() -> None:
    assert (resources.data_folder("grammar") / "motif.lark").is_file()
    assert resources.data_folder("library").is_dir()


@pytest.mark.parametrize("inside", [True, False])
def test_inside_the_package_comes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, inside: bool) -> None:
    package = tmp_path / "motif"
    package.mkdir()
    (tmp_path / "grammar").mkdir()
    if inside:
        (package / "grammar").mkdir()
    monkeypatch.setattr(resources, "__file__", str(package / "resources.py"))
    assert resources.data_folder("grammar") == ((package if inside else tmp_path) / "grammar").resolve()


def test_neither(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(resources, "__file__", str(tmp_path / "motif" / "resources.py"))
    with pytest.raises(FileNotFoundError, match="library"):
        resources.data_folder("library")
