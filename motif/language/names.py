"""The names of a file: what it defines, what it takes from other files.

A definition keeps the file it was written in, so what a taken definition needs comes with it unseen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Protocol

from motif.language import nodes, reading_faults
from motif.language.messages import Messages
from motif.language.record import changed
from motif.language.source import Source, Span

#: files that take from one another in a chain, and files in all, beyond which no more are read
MOST_DEEP, MOST_FILES = 20, 200


class Unreadable(Exception):
    """A file that cannot be read: the reason, and what to do about it."""

    def __init__(self, reason: str, advice: str | None = None) -> None:
        super().__init__(reason)
        self.reason = reason
        self.advice = advice


class BadInput(Unreadable):
    """What was named rightly and is of no use: a file that is not text, a name that no file has."""


class Reader(Protocol):
    """Where taken files come from. The language itself opens none."""

    def read(self, wanted: str, asking: Source) -> Source:
        """The file that ``wanted`` means in ``asking``; the same file always has the same source name.

        Raises ``Unreadable``."""

    def holders(self, name: str, word: str | None = None) -> list[str]:
        """Library files (as a ``take`` would name them) that define ``name``, as a ``word`` if given."""

    def offered(self, word: str) -> list[str]:
        """All names that the library defines as a ``word``, sorted."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A definition and the file whose names it uses."""

    node: nodes.Definition
    file: FileNames


@dataclass(slots=True, eq=False)
class FileNames:
    """The names known in one file."""

    source: Source
    tree: nodes.File
    own: dict[str, nodes.Definition] = field(default_factory=dict)
    taken: dict[str, Entry] = field(default_factory=dict)

    def find(self, name: str) -> Entry | None:
        if name in self.own:
            return Entry(self.own[name], self)
        return self.taken.get(name)

    def is_spoiled(self, name: str) -> bool:
        """Whether the name stood in text that could not be read, so that nothing should be said of it."""
        return name in self.tree.spoiled

    def has_gap(self, within: Span) -> bool:
        """Whether some of a definition could not be read, so that what it seems to lack may stand there."""
        return any(within.start <= gap.start < within.end for gap in self.tree.gaps)

    def has_lost(self, word: str) -> bool:
        """Whether a whole definition that begins with ``word`` could not be read."""
        return any(gap.text.casefold().startswith(word + " ") for gap in self.tree.gaps)

    def known(self) -> Iterable[str]:
        yield from self.own
        yield from self.taken

    def header(self, word: str) -> str | None:
        for item in self.tree.items:
            if isinstance(item, nodes.Header) and item.word == word:
                return item.value.value
        return None


class Loader:
    """Reads a file and all it takes, each once."""

    def __init__(self, reader: Reader, messages: Messages) -> None:
        self._reader = reader
        self._messages = messages
        self._files: dict[str, FileNames] = {}
        self._open: list[str] = []

    @property
    def reader(self) -> Reader:
        return self._reader

    @property
    def files(self) -> list[FileNames]:
        return list(self._files.values())

    def load(self, source: Source) -> FileNames:
        """The names of a file; problems go to the messages."""
        from motif.language.parser import parse

        tree = parse(source, self._messages)
        names = FileNames(source, tree)
        self._files[source.name] = names
        self._open.append(source.name)
        self._define(names)
        self._open.pop()
        return names

    def _define(self, names: FileNames) -> None:
        places: dict[str, Span] = {}
        headers: dict[str, Span] = {}

        def claim(name: nodes.Name, what: str) -> bool:
            before = places.setdefault(name.text, name.span)
            if before is name.span:
                return True
            self._messages.add(reading_faults.name_again(name.span, name.text, what, before))
            return False

        for item in names.tree.items:
            if isinstance(item, nodes.Header):
                before = headers.setdefault(item.word, item.span)
                if before is not item.span:
                    self._messages.add(reading_faults.header_again(item.span, item.word, before))
            elif isinstance(item, nodes.Take):
                self._take(names, item, claim)
            elif not isinstance(item, nodes.Note) and claim(item.name, "defined"):
                names.own[item.name.text] = item

    def _take(self, names: FileNames, take: nodes.Take, claim: Callable[[nodes.Name, str], bool]) -> None:
        try:
            source = self._reader.read(take.file.value, names.source)
        except Unreadable as e:
            self._messages.add(reading_faults.cannot_be_taken(take.file.span, e.reason, self._held(take) or e.advice))
            for taken in take.names or ():
                names.tree = _with_spoiled(names.tree, taken.alias.text)
            return
        if source.name in self._open:
            ring = [*self._open[self._open.index(source.name) :], source.name]
            self._messages.add(reading_faults.takes_in_a_ring(take.file.span, ring))
            return
        if source.name not in self._files and (len(self._open) > MOST_DEEP or len(self._files) >= MOST_FILES):
            self._messages.add(reading_faults.too_many_files(take.file.span, MOST_DEEP, MOST_FILES))
            for taken in take.names or ():
                names.tree = _with_spoiled(names.tree, taken.alias.text)
            return
        other = self._files.get(source.name) or self.load(source)
        if take.names is None:
            for name in other.own:
                if claim(nodes.Name(take.span, name), "taken or defined"):
                    names.taken[name] = Entry(other.own[name], other)
            return
        for taken in take.names:
            entry = other.find(taken.name.text)
            if entry is None:
                if not other.is_spoiled(taken.name.text):
                    self._messages.add(
                        reading_faults.not_in_the_file(taken.name.span, take.file.value, taken.name.text, other.own)
                    )
                names.tree = _with_spoiled(names.tree, taken.alias.text)
            elif claim(taken.alias, "taken or defined"):
                names.taken[taken.alias.text] = entry

    def _held(self, take: nodes.Take) -> str | None:
        """Where the library has what is taken from a file that is not there; None where it is of the user's own."""
        if take.names is None or take.file.value.startswith("."):
            return None
        name = take.names[0].name.text
        holders = self._reader.holders(name)
        return reading_faults.take_it_there(name, holders[0]) if holders else None


def _with_spoiled(tree: nodes.File, name: str) -> nodes.File:
    return changed(tree, spoiled=tree.spoiled | {name})
