"""Files: the only place, with the writer of outputs, that opens any."""

from __future__ import annotations

import os
import posixpath
import re
import stat
from codecs import BOM_UTF8
from functools import cached_property
from pathlib import Path, PurePosixPath

from motif.language.names import BadInput, Unreadable
from motif.language.source import Source
from motif.resources import data_folder

#: larger files than this are not read, bytes
_LARGEST = 1_000_000
_SUFFIX = ".motif"
_LIBRARY = "library: "
_PLAIN_TEXT = "Save it as plain text with the encoding UTF-8; most editors ask for it under 'Save as'."
#: a definition at the start of a line of a library file, for finding who defines a name without parsing all
_DEFINES = re.compile(
    r"^\s*(clay|form|tool|figure|motif|piece|pace|let)\s+([^\W\d][\w-]*)", re.MULTILINE | re.IGNORECASE
)


def read_source(path: Path, name: str | None = None, below: Path | None = None) -> Source:
    """The text of a file. Raises ``Unreadable`` where there is none, or it is not text.

    With ``below`` the path must be a resolved one in that folder, and no link is followed on the way: what was
    a folder when the path was looked at and is a link now leads nowhere."""
    shown = name or str(path)
    try:
        data = _content(_opened(path, below), shown)
    except FileNotFoundError:
        raise Unreadable(f"There is no file '{shown}'.", _alike(path)) from None
    except PermissionError as e:
        # A system that opens no folders says so in this way.
        if path.is_dir():
            raise Unreadable(f"'{shown}' is a folder.", "Name a motif file in it.") from None
        raise Unreadable(f"'{shown}' cannot be read: {(e.strerror or 'no permission').lower()}.") from None
    except (OSError, ValueError) as e:  # ValueError: a NUL in the name
        reason = (getattr(e, "strerror", None) or "the system knows no such name").lower()
        raise Unreadable(f"'{shown}' cannot be read: {reason}.") from None
    try:
        data = data.removeprefix(BOM_UTF8)
        text = data.decode("utf-8")
    except UnicodeDecodeError as e:
        raise BadInput(*_not_utf8(shown, data, e.start)) from None
    if "\0" in text:
        raise BadInput(f"'{shown}' is not text.", _PLAIN_TEXT)
    return Source(shown, text)


def _opened(path: Path, below: Path | None) -> int:
    """A descriptor of a file to read. A pipe does not make it wait, and what is opened is what was looked at."""
    ready = os.O_RDONLY | _flags("O_BINARY", "O_CLOEXEC", "O_NONBLOCK", "O_NOCTTY")
    if below is None or os.open not in os.supports_dir_fd:
        return os.open(path, ready)
    folder = os.open(below, os.O_RDONLY | _flags("O_DIRECTORY", "O_CLOEXEC"))
    try:
        *folders, last = path.relative_to(below).parts
        for part in folders:
            inner = os.open(part, os.O_RDONLY | _flags("O_DIRECTORY", "O_NOFOLLOW", "O_CLOEXEC"), dir_fd=folder)
            os.close(folder)
            folder = inner
        return os.open(last, ready | _flags("O_NOFOLLOW"), dir_fd=folder)
    finally:
        os.close(folder)


def _flags(*names: str) -> int:
    """Those of the flags of ``os.open`` that this system has."""
    return sum(getattr(os, name, 0) for name in names)


def _content(descriptor: int, shown: str) -> bytes:
    mode = os.fstat(descriptor).st_mode
    if not stat.S_ISREG(mode):
        os.close(descriptor)
        if stat.S_ISDIR(mode):
            raise Unreadable(f"'{shown}' is a folder.", "Name a motif file in it.")
        raise Unreadable(f"'{shown}' is a device or a pipe, not a file.", "Save the text in a file and name that.")
    with open(descriptor, "rb") as file:
        data = file.read(_LARGEST + 1)
    if len(data) > _LARGEST:
        raise Unreadable(
            f"'{shown}' is larger than a motif file may be ({_LARGEST // 1000} kB).",
            "Share it out over several files and join them with 'take'.",
        )
    return data


def _not_utf8(shown: str, data: bytes, at: int) -> tuple[str, str]:
    """What to say of a file that is not UTF-8 from byte ``at``: reason and advice."""
    if b"\0" in data:  # a picture, the document of a word processor, a text in UTF-16
        return f"'{shown}' is not plain text in UTF-8.", _PLAIN_TEXT
    before = data[:at].decode("utf-8")
    line, column = before.count("\n") + 1, len(before) - before.rfind("\n")
    written = before[before.rfind("\n") + 1 :].split()
    near = f", after '{written[-1]}'" if written else ""
    return (
        f"'{shown}' is not in UTF-8: line {line}, column {column}{near}, holds a letter written otherwise.",
        _PLAIN_TEXT,
    )


def _alike(path: Path) -> str | None:
    if not path.name:
        return None
    try:
        with_suffix = path.with_name(path.name + _SUFFIX)
        if with_suffix.is_file():
            return f"Did you mean '{with_suffix}'?"
        here = sorted(p.name for p in path.parent.glob("*" + _SUFFIX))
    except OSError:
        return None
    return f"In that folder: {', '.join(here[:6])}." if here else None


class Library:
    """The motif files that come with the program."""

    @cached_property
    def folder(self) -> Path:
        return data_folder("library")

    @cached_property
    def entries(self) -> list[str]:
        """Names as a ``take`` gives them, sorted: ``quilting/rings``."""
        return sorted(p.relative_to(self.folder).with_suffix("").as_posix() for p in self.folder.rglob("*" + _SUFFIX))

    def read(self, name: str) -> Source:
        """A library file. Raises ``Unreadable``."""
        plain = name.removesuffix(_SUFFIX)
        if plain not in self.entries:
            raise Unreadable(
                f"The library has no '{name}'.", self._meant(plain) or "What there is: motif library lists it."
            )
        return read_source(self.folder / (plain + _SUFFIX), _LIBRARY + plain)

    def _meant(self, name: str) -> str | None:
        """The entry that a wrong name may mean: of another folder, or spelled otherwise."""
        from motif.language.spelling import suggestion

        last = name.rpartition("/")[2].casefold()
        found = [e for e in self.entries if e.rpartition("/")[2] == last] or self.holders(last)
        return f'Write "{found[0]}".' if found else suggestion(name, self.entries)

    @cached_property
    def _definitions(self) -> list[tuple[str, str, str]]:
        """Name, the word it is defined with, and entry of every definition, by entry."""
        return [
            (name.lower(), word.lower(), entry)
            for entry in self.entries
            for word, name in _DEFINES.findall((self.folder / (entry + _SUFFIX)).read_text(encoding="utf-8"))
        ]

    def holders(self, name: str, word: str | None = None) -> list[str]:
        """The entries that define a name, as a ``word`` if one is given."""
        return [entry for n, w, entry in self._definitions if n == name and word in (None, w)]

    def offered(self, word: str) -> list[str]:
        """All names that are defined as a ``word``, sorted."""
        return sorted({n for n, w, _ in self._definitions if w == word})


class FileReader:
    """Reads what a file takes: beside it, below the folder of the first file; all else from the library."""

    def __init__(self, root: Path | None) -> None:
        self._root = None if root is None else root.resolve()
        self._library = Library()
        self._paths: dict[str, Path] = {}

    def first(self, path: Path) -> Source:
        """The file named by the user. Raises ``Unreadable``."""
        source = read_source(path)
        self._paths[source.name] = path.resolve()
        return source

    def read(self, wanted: str, asking: Source) -> Source:
        if not wanted.startswith(("./", "../")):
            try:
                return self._library.read(wanted)
            except Unreadable as e:
                own = (
                    ""
                    if asking.name.startswith(_LIBRARY)
                    else f' A file of your own begins with ./ as in "./{wanted}".'
                )
                raise Unreadable(e.reason, (e.advice or "") + own) from None
        if asking.name.startswith(_LIBRARY):
            parent = PurePosixPath(asking.name.removeprefix(_LIBRARY)).parent
            return self._library.read(posixpath.normpath(str(parent / wanted)))
        base = self._paths.get(asking.name)
        if base is None or self._root is None:
            raise Unreadable(
                f"'{wanted}' cannot be found, since this text is not in a file.", "Take from the library instead."
            )
        if any(c == "\\" or not c.isprintable() for c in wanted):
            raise Unreadable(
                f"'{wanted}' is no name of a file.", 'Write / between a folder and a file, as in "./tools/wheels".'
            )
        path = base.parent / wanted
        if path.name and not path.suffix:
            path = path.with_name(path.name + _SUFFIX)
        try:
            path = Path(os.path.realpath(path))  # unlike resolve, no error for links in a ring: they are not found
        except OSError:  # what was a link is none any more
            raise Unreadable(f"'{wanted}' cannot be found.", "Try again: it is being changed just now.") from None
        if self._root not in path.parents:
            raise Unreadable(
                f"'{wanted}' lies outside the folder of the file that was opened.",
                "Keep the files together, the opened one in the outermost folder.",
            )
        if path.suffix != _SUFFIX:
            raise Unreadable(f"'{wanted}' is not a motif file.", "Motif files end in .motif")
        opened = next(iter(self._paths))  # other files are called as seen from the folder of the one opened
        source = read_source(path, (Path(opened).parent / path.relative_to(self._root)).as_posix(), self._root)
        self._paths[source.name] = path
        return source

    def holders(self, name: str, word: str | None = None) -> list[str]:
        return self._library.holders(name, word)

    def offered(self, word: str) -> list[str]:
        return self._library.offered(word)
