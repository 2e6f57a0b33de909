"""Writing files whole or not at all."""

from __future__ import annotations

import os
import time
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path

_TEMPORARY = ".motif-"
#: a temporary file so old belongs to no run any more, seconds
_STALE = 3600.0
#: names of devices in every folder of Windows (Microsoft, "Naming Files, Paths, and Namespaces"; from memory)
_DEVICES = frozenset({"con", "prn", "aux", "nul"} | {f"{port}{n}" for port in ("com", "lpt") for n in range(10)})


class CannotWriteError(Exception):
    """Files could not be written; nothing was. ``advice`` says what to do about it."""

    def __init__(self, reason: str, advice: str) -> None:
        super().__init__(reason)
        self.reason = reason
        self.advice = advice


def folder_name(piece: str) -> str:
    """The name of a piece's folder: its own. One that is a device on Windows gets a hyphen behind it, which no
    piece's name ends in."""
    return f"{piece}-" if piece in _DEVICES else piece


def check_folder(folder: Path, ours: Mapping[str, bytes], *, force: bool = False) -> None:
    """Raise ``CannotWriteError`` unless files named in ``ours`` may be written into ``folder``.

    A folder that does not exist yet may; one that holds anything whose name is not in ``ours``, or a file of such
    a name that begins otherwise than ``ours`` says, may only with ``force``, and one where a folder stands under
    one of our names never.
    """
    try:
        _check_way(folder)
        if not folder.exists():
            return
        present = sorted(folder.iterdir())
        foreign = [p.name for p in present if not (p.name.startswith(_TEMPORARY) or _is_ours(p, ours))]
    except OSError as error:
        raise _explained(folder, error) from error
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


def _check_way(folder: Path) -> None:
    """Raise ``CannotWriteError`` if a file stands where a folder, or one that it lies in, is needed."""
    for place in (folder, *folder.parents):
        if place.exists():
            if not place.is_dir():
                raise CannotWriteError(
                    f"{place} is a file, and a folder is needed there.", "Give another folder with --out."
                )
            return


def check_file(path: Path, kind: bytes) -> None:
    """Raise ``CannotWriteError`` unless ``path`` may be written: it is not there, or a file that begins with ``kind``,
    as those do that were written there before."""
    try:
        _check_way(path.parent)
        if not path.exists():
            return
        if path.is_dir():
            raise CannotWriteError(f"{path} is a folder, and a file is to be written there.", "Name a file with --out.")
        same = _begins(path, kind)
    except OSError as error:
        raise _explained(path, error) from error
    if not same:
        raise CannotWriteError(
            f"{path} is there and is no file of this kind, so it is left alone.", "Give another file with --out."
        )


def _is_ours(path: Path, ours: Mapping[str, bytes]) -> bool:
    """Whether something in a folder goes by one of our names and, if it is a file, begins as ours do."""
    return path.name in ours and (not path.is_file() or _begins(path, ours[path.name]))


def _begins(path: Path, kind: bytes) -> bool:
    with path.open("rb") as file:
        return file.read(len(kind)) == kind


def write_files(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write ``files`` (name → content) into ``folder`` and return their paths, in the order given.

    Everything is written under temporary names first and renamed at the end, so a reader never sees half a file,
    and whatever goes wrong (a full disk, a key pressed to stop) leaves what was there. Raises ``CannotWriteError``.
    Nothing is forced on the disk: should the power fail, the text the files come from makes them again.
    """
    made: list[Path] = []
    temporary: list[Path] = []
    replaced: list[tuple[Path, bool, Path | None]] = []
    try:
        made = _missing(folder)
        folder.mkdir(parents=True, exist_ok=True)
        _sweep(folder)
        targets = [folder / name for name in files]
        for content in files.values():
            _write(_fresh(folder, temporary), content)
        for source, target in zip(temporary[:], targets, strict=True):
            replaced.append((target, os.path.lexists(target), _kept(target, temporary)))
            source.replace(target)
    except BaseException as error:
        for target, was_there, before in reversed(replaced):
            with suppress(OSError):
                if before is not None:
                    before.replace(target)
                elif not was_there:
                    target.unlink(missing_ok=True)
        _remove(temporary, made)
        if isinstance(error, OSError):
            raise _explained(folder, error) from error
        raise
    _remove(temporary, ())
    return targets


def _fresh(folder: Path, temporary: list[Path]) -> Path:
    """A temporary name that no other run, and no other call of this one, has; it is noted before it is used, so that
    what is written there goes whatever happens."""
    path = folder / f"{_TEMPORARY}{os.getpid()}-{id(temporary):x}-{len(temporary)}"
    with suppress(OSError):
        path.unlink()  # of a run that was killed, or a link put there: not to be written through
    temporary.append(path)
    return path


def _write(path: Path, content: bytes) -> None:
    with path.open("xb") as file:
        file.write(content)


def _kept(target: Path, temporary: list[Path]) -> Path | None:
    """A second name for what is at ``target``, to put it back by; None where nothing is, or there are no such names."""
    path = _fresh(target.parent, temporary)
    try:
        os.link(target, path, follow_symlinks=False)
    except (OSError, NotImplementedError):
        return None
    return path


def _remove(files: Iterable[Path], folders: Iterable[Path]) -> None:
    for path in files:
        with suppress(OSError):
            path.unlink(missing_ok=True)
    for path in folders:
        with suppress(OSError):
            path.rmdir()


def _sweep(folder: Path) -> None:
    """Remove what runs that were killed left behind; younger files may be those of a run beside this one."""
    for path in folder.glob(_TEMPORARY + "*"):
        with suppress(OSError):
            if path.lstat().st_mtime < time.time() - _STALE:
                path.unlink()


def _missing(folder: Path) -> list[Path]:
    """The folders that have to be made for ``folder``, innermost first."""
    return [p for p in (folder, *folder.parents) if not p.exists()]


def _explained(folder: Path, error: OSError) -> CannotWriteError:
    reason = (error.strerror or "the system refused").lower()
    return CannotWriteError(
        f"Nothing was written to {folder}: {reason}.",
        "Check that the folder can be written to and that there is room, or give another with --out.",
    )
