"""The library's contents: what is in each of its files, as tables and as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from pathlib import Path

from motif.language import nodes
from motif.language.messages import Messages
from motif.language.parser import parse
from motif.language.record import record
from motif.language.source import Source
from motif.outputs.json_text import Json
from motif.outputs.tables import Cell, Column, Table


@record
class Definition:
    """A definition in a library file. ``givens`` as the potter writes them: ``step = 25 mm``."""

    kind: str
    name: str
    description: str | None
    givens: tuple[str, ...]


@record
class Entry:
    """A file of the library. ``path`` is what ``take … from`` calls it, its first part the craft."""

    path: str
    title: str | None
    text: str
    definitions: tuple[Definition, ...]

    @property
    def craft(self) -> str:
        return self.path.split("/", maxsplit=1)[0] if "/" in self.path else ""

    def has(self, word: str) -> bool:
        """Whether ``word`` stands in its path, its title, or a definition's name or description."""
        texts = [self.path, self.title or ""]
        texts += [t for d in self.definitions for t in (d.name, d.description or "")]
        return any(word in t.casefold() for t in texts)


def entries(folder: Path) -> list[Entry]:
    """The files of the library in ``folder``, by path."""
    return [_entry(folder, path) for path in sorted(folder.rglob("*.motif"))]


def find(all_entries: Sequence[Entry], words: Sequence[str]) -> list[Entry]:
    """The entries in which every word occurs; a word that names a file or a definition decides alone."""
    wanted = [w.casefold() for w in words]
    if len(wanted) == 1:
        named = [e for e in all_entries if wanted[0] in {e.path.casefold(), *(d.name for d in e.definitions)}]
        if named:
            return named
    return [e for e in all_entries if all(e.has(w) for w in wanted)]


def nearest(all_entries: Sequence[Entry], words: Sequence[str]) -> list[str]:
    """Names in the library that look like one of the words."""
    names = sorted({n for e in all_entries for n in (e.path, *(d.name for d in e.definitions))})
    return [n for w in words for n in get_close_matches(w.casefold(), names, n=3, cutoff=0.6)]


def records(found: Sequence[Entry]) -> Table:
    """For CSV: a row a definition."""
    columns = (Column("craft", "Craft"), Column("path", "Take from"), *_COLUMNS)
    rows = [(e.craft, e.path, *row) for e in found for row in _rows(e)]
    return Table("Library", columns, rows)


def tables(found: Sequence[Entry]) -> list[Table]:
    """For people: a table a file, under what ``take`` calls it."""
    return [Table(f"{e.path}: {e.title}" if e.title else e.path, _COLUMNS, list(_rows(e))) for e in found]


_COLUMNS = (
    Column("kind", "Kind"),
    Column("name", "Name"),
    Column("description", "Description"),
    Column("givens", "You may set"),
)


def _rows(entry: Entry) -> Iterator[tuple[Cell, ...]]:
    for d in entry.definitions:
        yield d.kind, d.name, d.description, ", ".join(d.givens)


def as_json(found: Sequence[Entry]) -> dict[str, Json]:
    return {
        "library": [
            {
                "path": entry.path,
                "craft": entry.craft,
                "title": entry.title,
                "definitions": [
                    {"kind": d.kind, "name": d.name, "description": d.description, "givens": list(d.givens)}
                    for d in entry.definitions
                ],
            }
            for entry in found
        ]
    }


def _entry(folder: Path, path: Path) -> Entry:
    name = path.relative_to(folder).with_suffix("").as_posix()
    text = path.read_text(encoding="utf-8")
    file = parse(Source(f"library: {name}", text), Messages())
    title = next((i.value.value for i in file.items if isinstance(i, nodes.Header) and i.word == "title"), None)
    return Entry(name, title, text, tuple(_definitions(file)))


def _definitions(file: nodes.File) -> Iterator[Definition]:
    for item in file.items:
        if not isinstance(item, nodes.Header | nodes.Note | nodes.Take | nodes.Let):
            givens: tuple[nodes.Given, ...] = ()
            if isinstance(item, nodes.Motif):
                givens = tuple(i for i in item.items if isinstance(i, nodes.Given))
            elif isinstance(item, nodes.Figure):
                givens = item.givens
            description = item.description.value if item.description else None
            yield Definition(type(item).__name__.lower(), item.name.text, description, tuple(_given(g) for g in givens))


def _given(given: nodes.Given) -> str:
    if given.default is None:
        return f"{given.name.text} (a {given.kind.text})"
    return f"{given.name.text} = {' '.join(given.default.span.text.split())}"
