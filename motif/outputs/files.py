"""Writing files whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Collection, Mapping
from contextlib import suppress
from pathlib import Path

_TEMPORARY = ".motif-"


class CannotWriteError(Exception):
    """Files could not be written; nothing was. ``advice`` says what to do about it."""

    def __init__(self, reason: str, advice: str) -> None:
        super().__init__(reason)
        self.reason = reason
        self.advice = advice


def check_folder(folder: Path, ours: Collection[str], *, force: bool = False) -> None:
    """Raise ``CannotWriteError`` unless files named in ``ours`` may be written into ``folder``.

    A folder that does not exist yet may; one that holds anything whose name is not in ``ours`` may
    only with ``force``, and one where a folder stands under one of our names never.
    """
    try:
        if not folder.exists():
            return
        if not folder.is_dir():
            raise CannotWriteError(
                f"{folder} is a file, and a folder is needed there.", "Give another folder with --out."
            )
        present = sorted(folder.iterdir())
    except OSError as error:
        raise _explained(folder, error) from error
    foreign = [p.name for p in present if p.name not in ours and not p.name.startswith(_TEMPORARY)]
    if foreign and not force:
        named = ", ".join(foreign[:3]) + (" …" if len(foreign) > 3 else "")
        raise CannotWriteError(
            f"{folder} holds files that motif did not write ({named}), so it is left alone.",
            "Give another folder with --out, or write there all the same with --force.",
        )
    for p in present:
        if p.name in ours and p.is_dir():
            raise CannotWriteError(
                f"{p} is a folder, and a file is to be written there.",
                "Move it away, or give another folder with --out.",
            )


def check_file(path: Path, kind: bytes) -> None:
    """Raise ``CannotWriteError`` unless ``path`` may be written: it is not there, or a file that begins with ``kind``,
    as those do that were written there before."""
    try:
        if not path.exists():
            return
        if path.is_dir():
            raise CannotWriteError(f"{path} is a folder, and a file is to be written there.", "Name a file with --out.")
        with path.open("rb") as file:
            found = file.read(len(kind))
    except OSError as error:
        raise _explained(path, error) from error
    if found != kind:
        raise CannotWriteError(
            f"{path} is there and is no file of this kind, so it is left alone.", "Give another file with --out."
        )


def write_files(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write ``files`` (name → content) into ``folder`` and return their paths, in the order given.

    Everything is written under temporary names first and renamed at the end, so a reader never sees
    half a file, and a full disk leaves what was there. Raises ``CannotWriteError``.
    """
    # The process number keeps two runs that write to one folder apart.
    temporary = [folder / f"{_TEMPORARY}{os.getpid()}-{name}" for name in files]
    made = _missing(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, content in zip(temporary, files.values(), strict=True):
            path.write_bytes(content)
        targets = [folder / name for name in files]
        for source, target in zip(temporary, targets, strict=True):
            source.replace(target)
    except OSError as error:
        raise _explained(folder, error) from error
    else:
        made = []
        return targets
    finally:
        for path in temporary:
            with suppress(OSError):
                path.unlink(missing_ok=True)
        for path in made:
            if path.is_dir() and not any(path.iterdir()):
                path.rmdir()


def _missing(folder: Path) -> list[Path]:
    """The folders that have to be made for ``folder``, innermost first."""
    return [p for p in (folder, *folder.parents) if not p.exists()]


def _explained(folder: Path, error: OSError) -> CannotWriteError:
    reason = (error.strerror or "the system refused").lower()
    return CannotWriteError(
        f"Nothing was written to {folder}: {reason}.",
        "Check that the folder can be written to and that there is room, or give another with --out.",
    )
