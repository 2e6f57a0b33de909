"""The public steps: load a text, see what is wrong with it, lay its pieces, read the outputs."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from motif.language.cleanup import known_name
from motif.language.messages import Messages, Problem
from motif.language.names import BadInput, Entry, FileNames, Loader, Unreadable
from motif.language.record import changed
from motif.language.source import Source
from motif.language.spelling import suggestion
from motif.laying.lay import lay_piece
from motif.laying.limits import LIMIT
from motif.laying.piece import LaidPiece
from motif.model import things
from motif.model.build import Builder
from motif.model.telling import name_faults
from motif.reading import FileReader

if TYPE_CHECKING:
    from motif.fits.ways import BandFits

#: What messages call the text that is made of ``--motif``, ``--form``, ``--from``, ``--to`` and ``--given``.
COMMAND_LINE = "command line"


class Piece(LaidPiece):
    """A laid piece that shows itself in a notebook."""

    def _repr_svg_(self) -> str:
        from motif.outputs.notebook import pot_svg

        return pot_svg(self)

    def _repr_html_(self) -> str:
        from motif.outputs.notebook import counts_html

        return self._repr_svg_() + counts_html(self)


class Document:
    """A motif file with all it takes, checked. ``messages`` grow as pieces are laid.

    ``improvised`` is a text of its own with one piece, which may use all that the file knows; the document
    then has that piece and no other."""

    def __init__(self, source: Source, reader: FileReader, improvised: Source | None = None) -> None:
        self.source = source
        self.messages = Messages()
        self._reader = reader
        loader = Loader(reader, self.messages)
        self._names: FileNames = loader.load(source)
        self._builder = Builder(self.messages, reader)
        self._builder.build_all(self._names)
        self._laid = self._names
        if improvised is not None:
            self._laid = loader.load(improvised)
            known = {name: entry for name in self._names.known() if (entry := self._names.find(name)) is not None}
            self._laid.taken = {**known, **self._laid.taken}
            self._builder.build_all(self._laid)
        self._sound = not self.messages.has_errors
        self._legible = not any(m.code in ("syntax", "take-failed") for m in self.messages.sorted())

    @property
    def is_empty(self) -> bool:
        """Whether the file holds nothing: no definition, no note, and nothing that could not be read."""
        return not self._names.tree.items and not self.messages.has_errors

    def _is_one_band(self, givens: int) -> bool:
        """Whether what is laid is one piece of one band, on all of its columns, with so many givens set."""
        from motif.language import nodes

        *_, piece = self._laid.tree.items
        if len(self.pieces) != 1 or not isinstance(piece, nodes.Piece):
            return False
        match piece.items:
            case (nodes.UsesForm(), nodes.Band() as band):
                return len(band.arguments) == givens and not band.panels and band.starting is None
        return False

    @property
    def title(self) -> str | None:
        return self._names.header("title")

    @property
    def names(self) -> FileNames:
        return self._names

    @property
    def pieces(self) -> list[str]:
        """The file's own pieces in the order written; of an improvised document, the improvised one."""
        from motif.language import nodes

        return [n for n, d in self._laid.own.items() if isinstance(d, nodes.Piece)]

    @property
    def motifs(self) -> list[str]:
        """The file's own motifs in the order written."""
        from motif.language import nodes

        return [n for n, d in self._names.own.items() if isinstance(d, nodes.Motif)]

    def lay(self, piece: str, limit: int = LIMIT, pace: str | None = None) -> Piece | None:
        """Lay a piece of the file; None when errors stop it, which the messages then tell. ``pace`` names the one
        to reckon its time by, in place of the piece's own.

        An error in what is written stops all pieces of the file, since it may be meant for any of them; what can be
        made out is laid all the same, for what else is wrong with it. What goes wrong where a piece is laid stops that
        piece alone."""
        made = self._piece(piece)
        if made is None:
            return None
        if not self._sound:
            if self._legible:  # what is left of the text where some could not be read may not be what was meant
                said = Messages()
                lay_piece(made, said, limit=limit)
                self.messages.extend(m for m in said.sorted() if m.severity == "error")
            return None
        if pace is not None:
            found = self._pace(pace)
            if found is None:
                return None
            made = changed(made, pace=found)
        header = self._names.header
        laid = lay_piece(
            made,
            self.messages,
            limit=limit,
            title=header("title"),
            by=header("by"),
            licence=header("licence"),
            one_of_several=len(self.pieces) > 1,
        )
        return None if laid is None else Piece(**vars(laid))

    def work_out(self) -> None:
        """Work out the values, clays, tools, forms and paces of the file, whether a piece uses them or not; what is
        wrong with one, and has not been told where it is used, goes to the messages."""
        from motif.laying.alone import work_out

        told = [m.span for m in self.messages.sorted() if m.severity == "error" and m.span is not None]
        for node in self._names.own.values():
            if self._names.has_gap(node.span):  # what it seems to lack may be what could not be read
                continue
            if not any(s.source is self.source and node.span.start <= s.start < node.span.end for s in told):
                work_out(self._builder.build(Entry(node, self._names), node.name.span), self.messages)

    def fits(self, piece: str, band: int | None = None, limit: int = LIMIT) -> list[BandFits] | None:
        """The ways to divide the bands of a piece (one band's, from 1) that fit best, tried on copies of it; None
        when errors stop the piece, which the messages then tell. Raises ``IndexError`` for a band it does not have."""
        from motif.fits.ways import band_fits

        made = self._piece(piece)
        if made is None or not self._sound:
            return None
        bands = len(made.bands)
        if band is not None and not 1 <= band <= bands:
            raise IndexError(f"'{piece}' has {bands} band{'' if bands == 1 else 's'}, and no band {band}")
        said = Messages()
        lay_piece(made, said, limit=limit)
        if said.has_errors:  # what cannot be laid as it is written has no ways to compare it with
            self.messages.extend(m for m in said.sorted() if m.severity == "error")
            return None
        others = [self._piece(name) for name in self.pieces if name != made.name]
        pieces = [made, *(p for p in others if p is not None)]
        try:
            return [band_fits(made, k, limit, pieces) for k in ([band] if band is not None else range(1, bands + 1))]
        except Problem as problem:
            self.messages.add(problem.message)
            return None

    def _piece(self, piece: str) -> things.Piece | None:
        """A piece of the file, checked but not laid."""
        from motif.language import nodes

        name = known_name(piece)
        entry = self._laid.find(name)
        if entry is None or not isinstance(entry.node, nodes.Piece):
            tree = self._laid.tree
            written = {item.name.text for item in tree.items if isinstance(item, nodes.Piece)} | tree.spoiled
            if name not in written:  # else it is there, and what is wrong with it is told
                self.messages.add(name_faults.no_such_piece(piece, self.source.name, self.pieces))
            return None
        return self._builder.build(Entry(entry.node, entry.file), entry.node.name.span)

    def _pace(self, name: str) -> things.Pace | None:
        """A pace of the file by its name; None after saying why there is none."""
        from motif.language import nodes

        paces = {n: e for n in self._names.known() if (e := self._names.find(n)) and isinstance(e.node, nodes.Pace)}
        entry = paces.get(known_name(name))
        if entry is None:
            self.messages.add(name_faults.no_such_pace(name, self.source.name, list(paces)))
            return None
        made: things.Pace | None = self._builder.build(entry, entry.node.name.span)
        return made


def load(path: str | Path) -> Document:
    """Load a motif file.

    Raises ``motif.Unreadable`` (with a reason and advice) for a file that is not there or is not text;
    what is wrong in the text is in the document's messages."""
    where = Path(path)
    reader = FileReader(where.parent)
    return Document(reader.first(where), reader)


def loads(text: str, name: str = "text") -> Document:
    """Load a text that is in no file; it may take from the library."""
    return Document(Source(name, text), FileReader(None))


def improvised(
    document: str | Path | None,
    motif: str,
    form: str,
    start: str | None = None,
    to: str | None = None,
    givens: Mapping[str, str] | None = None,
) -> Document:
    """A document with one piece: a motif laid on a form, both from a file or the library.

    ``start`` and ``to`` are places on the wall as a piece writes them, ``givens`` values as it writes them. What
    says more than that is refused. Raises ``Unreadable``."""
    where = None if document is None else Path(document)
    reader = FileReader(None if where is None else where.parent)
    source = Source("nothing", "") if where is None else reader.first(where)
    own = Loader(reader, Messages()).load(source)
    more = Unreadable("A place or a given says more than one place or one value.", "For more than that, write a piece.")
    if any({"{", "}"} & set(words) for words in (start or "", to or "", *(givens or {}).values())):
        raise more
    lines: list[str] = []
    for name, word in ((motif, "motif"), (form, "form")):
        if own.find(known_name(name)) is not None:
            continue
        holders = reader.holders(known_name(name), word)
        if not holders:
            raise BadInput(
                f"Neither the file nor the library has a {word} called '{name}'.",
                suggestion(name, [*own.known(), *reader.offered(word)]) or "List the library with: motif library",
            )
        lines.append(f'take {name} from "{holders[0]}"')
    setting = ", ".join(f"{k} = {v}" for k, v in (givens or {}).items())
    reach = f" from {start or 'foot'} to {to or 'rim'}" if start or to else ""
    lines.append(f"piece {motif}-on-{form} {{ form {form} band {motif}{f'({setting})' if setting else ''}{reach} }}")
    made = Document(source, reader, Source(COMMAND_LINE, "\n".join(lines)))
    if not made.messages.has_errors and not made._is_one_band(len(givens or {})):
        raise more
    return made


__all__ = ["Document", "Piece", "Unreadable", "improvised", "load", "loads"]
