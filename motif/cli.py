"""The command line: what to read, which back end to run, where the result goes.

Results go to standard output, messages to standard error. Exit status 0: done, warnings allowed;
1: errors in the text, a file that is not text, a motif or form that no file has, or nothing could be written;
2: wrong use of the command, which is also a file, piece or place that is named on it and is not there.
"""

from __future__ import annotations

import math
import os
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

import motif
from motif.options import parser

if TYPE_CHECKING:
    from argparse import Namespace

    from motif.api import Document
    from motif.language.messages import Message
    from motif.laying.piece import LaidPiece
    from motif.outputs.json_text import Json
    from motif.outputs.tables import Table

OK, ERRORS, WRONG_USE, INTERRUPTED = 0, 1, 2, 130

#: Tables for files and pipes are this wide.
_PAPER_WIDTH = 110


class _WrongUseError(Exception):
    """The command was given something it cannot work with: status 2."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status. ``argv`` is without the program's name.

    Raises SystemExit where argparse ends the run itself: after help, and with status 2 for options it cannot read."""
    args = parser().parse_args(argv)
    try:
        status = _COMMANDS[args.command](args)
        sys.stdout.flush()
    except _WrongUseError as error:
        _complain(f"motif {args.command}: {error}")
        return WRONG_USE
    except BrokenPipeError:
        return OK  # whoever read us has seen enough
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        _complain(f"motif {args.command}: the result could not be written: {reason}.")
        return ERRORS
    except KeyboardInterrupt:
        return INTERRUPTED
    except MemoryError:
        _complain(f"motif {args.command}: This needs more memory than there is. Lay fewer marks.")
        return ERRORS
    except motif.Unreadable as error:
        from motif.language.names import BadInput

        _complain(f"motif {args.command}: {error.reason} {error.advice or ''}".rstrip())
        return ERRORS if isinstance(error, BadInput) else WRONG_USE
    return status


# ---------------------------------------------------------------- commands


def _check(args: Namespace) -> int:
    from motif.language.messages import Message
    from motif.language.names import BadInput
    from motif.outputs import report, rows

    laid: list[LaidPiece] = []
    not_laid: list[str] = []
    messages: list[Message] = []
    not_text: list[Message] = []
    for file in args.files:
        try:
            document = motif.load(file)
        except motif.Unreadable as error:
            messages.append(Message("file", error.reason, None, error.advice))
            not_text += messages[-1:] if isinstance(error, BadInput) else []
            continue
        if document.is_empty:
            nothing = f"There is nothing in '{file}', so there is nothing to lay."
            advice = "Write a form, a motif and a piece; 'motif library' shows some."
            messages.append(Message("file", nothing, None, advice))
        for name in document.pieces:
            piece = _lay(document, name, args)
            if piece is None:
                not_laid.append(name)
            else:
                laid.append(piece)
        document.work_out()
        messages += document.messages.sorted()
    if args.as_ == "json":
        found = report.to_json(messages, args.unit)
        _put(_json({**found, "pieces": [rows.as_json(p, args.unit) for p in laid]} if args.rows else found))
    elif args.as_ == "table":
        _show(messages, args)
        if args.rows:
            _put_tables([table for piece in laid for table in rows.tables(piece, args.unit)], args)
        pieces = f"{len(laid)} piece{'' if len(laid) == 1 else 's'} laid"
        if not_laid:
            pieces += f" (not laid: {', '.join(not_laid)})"
        doubts = report.summary(messages)
        if not laid and not doubts:
            _put("There is no piece here, so nothing is laid; what is defined can be read.\n")
        else:
            _put(f"{pieces}, {doubts or 'nothing to mend'}.\n")
    elif args.as_ == "csv" and args.rows:  # one table a file, as who reads it expects
        _show(messages, args)
        _put_tables([rows.records(laid)], args)
    else:
        shown = [table for piece in laid for table in rows.tables(piece, args.unit)] if args.rows else []
        _put_tables([report.table(messages, args.unit), *shown], args)
    status = _status([m for m in messages if m not in not_text], args)
    return max(status, ERRORS) if not_text else status


def _fits(args: Namespace) -> int:
    from motif.outputs import fits

    document = motif.load(args.file)
    wanted = [args.piece] if args.piece else document.pieces
    found = []
    for name in wanted:
        try:
            with _progress(f"trying ways to divide {name}"):
                bands = document.fits(name, args.band, args.limit) if args.limit else document.fits(name, args.band)
        except IndexError as error:
            raise _WrongUseError(str(error)) from None
        if bands is not None:
            found.append((name, bands))
    if not wanted:
        _say_no_piece(document, args.file, "nothing to try")
    messages = document.messages.sorted()
    _show(messages, args)
    for name, bands in found:
        if not bands:
            _complain(f"motif fits: '{name}' has no bands, so there is nothing to try.")
    if len(found) < len(wanted) or not any(bands for _, bands in found):
        return _failed(messages)
    if args.as_ == "json":
        _put(_json(_one_or_all([fits.as_json(name, bands, args.unit) for name, bands in found], args)))
    elif args.as_ == "csv":
        _put_tables([fits.records(found)], args)
    else:
        _put_tables([table for name, bands in found for table in fits.tables(name, bands)], args)
    return _status(messages, args)


def _marks(args: Namespace) -> int:
    from motif.outputs import mark_tables, marks

    return _tabled(
        args, lambda p: marks.as_json(p, args.unit), lambda p: mark_tables.tables(p, args.unit), marks.records
    )


def _counts(args: Namespace) -> int:
    from motif.outputs import counts

    return _tabled(
        args,
        lambda p: counts.as_json(p, args.unit),
        lambda p: counts.tables(p, args.unit),
        lambda p: counts.records(p, args.unit),
    )


def _data(args: Namespace) -> int:
    from motif.outputs import data

    return _each(args, lambda pieces: _put(_json(_one_or_all([data.as_json(p) for p in pieces], args))))


def _method(args: Namespace) -> int:
    from motif.outputs.method import written

    def run(pieces: list[LaidPiece]) -> None:
        if args.as_ == "json":
            _put(_json(_one_or_all([written.as_json(p, args.unit) for p in pieces], args)))
        else:
            _put("\n".join(written.markdown(p, args.unit) for p in pieces))

    return _each(args, run)


def _unroll(args: Namespace) -> int:
    from motif.outputs import unroll
    from motif.outputs.sheets import MISFIT, CannotUnrollError, Flat, lay_out, shortfall
    from motif.wall.charts import MOST_GORES

    if args.gores and args.gores > MOST_GORES:
        raise _WrongUseError(f"more than {MOST_GORES} gores are of no use")
    flat: Flat = args.flat or ("gores" if args.gores else "fewest")

    def run(pieces: list[LaidPiece]) -> None:
        if args.as_ == "svg":
            _only_one(pieces)
        try:
            layouts = [lay_out(p, flat, gores=args.gores, misfit=args.misfit or MISFIT) for p in pieces]
        except CannotUnrollError as error:
            raise _WrongUseError(f"{error.reason} {error.advice}") from error
        if args.gores and flat != "gores":
            _complain(f"motif unroll: --gores is for --flat gores, and changes nothing for {flat}.")
        for piece, layout in zip(pieces, layouts, strict=True):
            if short := shortfall(piece, layout, args.unit):
                _complain(f"motif unroll: {piece.name}: {short}")
        if args.as_ == "svg":
            for piece, layout in zip(pieces, layouts, strict=True):
                _put(unroll.as_svg(piece, layout, args.unit))
        else:
            drawings = [unroll.as_json(p, layout) for p, layout in zip(pieces, layouts, strict=True)]
            _put(_json(_one_or_all(drawings, args)))

    return _each(args, run)


def _view(args: Namespace) -> int:
    from motif.outputs import view

    def run(pieces: list[LaidPiece]) -> None:
        tilt = math.pi / 2 if args.from_above else args.tilt
        _put(
            view.svg(_only_one(pieces), args.unit, args.facing, tilt, all_round=args.all_round, far_side=args.far_side)
        )

    return _each(args, run)


def _prepare(args: Namespace) -> int:
    from motif.outputs import backends, files, summary
    from motif.outputs.once import one_run
    from motif.outputs.sheets import CannotUnrollError
    from motif.outputs.tables import printable

    if not (args.motif or args.form) and (args.from_ or args.to or args.given):
        raise _WrongUseError("--from, --to and --given go with --motif and --form")
    document = _improvised(args) if args.motif or args.form else motif.load(args.file)
    pieces, complete = _laid(document, args.pieces, args)
    _show(document.messages.sorted(), args)
    written: list[tuple[Table, list[Path]]] = []
    try:
        made = []
        for piece in pieces:
            folder = args.out / files.folder_name(piece.name)
            files.check_folder(folder, backends.files(), force=args.force)
            with _progress(f"drawing {piece.name}"), one_run():
                contents = backends.prepare(piece, args.unit, args.paper)
                made.append((summary.table(piece, args.unit), folder, contents))
        for table, folder, contents in made:
            written.append((table, files.write_files(folder, contents)))
    except (files.CannotWriteError, CannotUnrollError) as error:
        _complain(f"motif prepare: {error.reason} {error.advice}")
        complete = False  # what was written before is told all the same
    if written:
        _put_tables([table for table, _ in written], args)
        _put("".join(f"{printable(str(path))}\n" for _, paths in written for path in paths))
    messages = document.messages.sorted()
    return _status(messages, args) if complete else _failed(messages)


def _sheets(args: Namespace) -> int:
    from motif.outputs import files
    from motif.outputs.once import one_run
    from motif.outputs.printed import book
    from motif.outputs.sheets import MISFIT, CannotUnrollError
    from motif.outputs.tables import printable

    def run(pieces: list[LaidPiece]) -> None:
        if args.out and len(pieces) > 1:
            names = ", ".join(p.name for p in pieces)
            raise _WrongUseError(f"one file takes the sheets of one piece; name one of: {names}")
        most = max((band.rows for piece in pieces for band in piece.bands), default=0)
        beyond = [str(n) for n in args.rings or () if n > most]
        if beyond:
            raise _WrongUseError(f"no band has a ring {', '.join(beyond)}; the last is {most}")
        made: list[tuple[Path, bytes]] = []
        for piece in pieces:
            path = args.out or Path(f"{piece.name}-sheets.pdf")
            files.check_file(path, b"%PDF-")
            with _progress(f"drawing {piece.name}"), one_run():
                made.append((path, book.document(piece, args.unit, args.paper, args.rings, args.misfit or MISFIT)))
        for path, content in made:
            files.write_files(path.parent, {path.name: content})
            _put(f"{printable(str(path))}\n")

    try:
        return _each(args, run)
    except (files.CannotWriteError, CannotUnrollError) as error:
        _complain(f"motif sheets: {error.reason} {error.advice}")
        return ERRORS


def _explain(args: Namespace) -> int:
    from motif.language.spelling import suggestion
    from motif.outputs import explained
    from motif.resources import data_folder

    book = explained.sections(data_folder("grammar"))
    for code in args.codes:
        if code not in book:
            advice = suggestion(code, book) or "motif explain lists them all."
            _complain(f"motif explain: no message has the code {code!r}. {advice}")
            return WRONG_USE
    _put("\n".join(explained.as_text(code, book[code]) for code in args.codes) or explained.listing(book))
    return OK


def _library(args: Namespace) -> int:
    from motif.outputs import catalogue
    from motif.resources import data_folder

    everything = catalogue.entries(data_folder("library"))
    found = catalogue.find(everything, args.words)
    if not found:
        words = " ".join(args.words)
        near = catalogue.nearest(everything, args.words)
        advice = f"Did you mean {' or '.join(near)}?" if near else "motif library lists all there is."
        _complain(f"motif library: nothing in the library goes by {words!r}. {advice}")
        return ERRORS
    if args.as_ == "json":
        _put(_json(catalogue.as_json(found)))
    elif args.words and len(found) == 1 and args.as_ == "table":
        _put(found[0].text)
    else:
        _put_tables([catalogue.records(found)] if args.as_ == "csv" else catalogue.tables(found), args)
    return OK


# ---------------------------------------------------------------- reading and laying


def _improvised(args: Namespace) -> Document:
    from motif.language.cleanup import known_name

    if not (args.motif and args.form):
        raise _WrongUseError("--motif and --form go together")
    if args.pieces:
        raise _WrongUseError("--motif and --form lay a motif without a piece; leave out the names of pieces")
    givens: dict[str, str] = {}
    for given in args.given:
        name, equals, value = given.partition("=")
        if not (equals and name.strip() and value.strip()):
            raise _WrongUseError(f"--given takes NAME=VALUE, as in --given step=20mm, not {given!r}")
        if known_name(name) in givens:
            raise _WrongUseError(f"{name.strip()} is given twice")
        givens[known_name(name)] = value.strip()
    return motif.improvised(args.file, args.motif, args.form, args.from_, args.to, givens)


def _lay(document: Document, name: str, args: Namespace) -> LaidPiece | None:
    with _progress(f"laying {name}"):
        pace = getattr(args, "pace", None)
        return document.lay(name, args.limit, pace) if args.limit else document.lay(name, pace=pace)


def _say_no_piece(document: Document, file: Path, nothing: str, advice: str = "Write one.") -> None:
    from motif.language.messages import Message

    if not document.messages.has_errors:
        text = f"There is no piece in '{file}', so there is {nothing}."
        document.messages.add(Message("file", text, None, advice))


def _laid(document: Document, names: Sequence[str], args: Namespace) -> tuple[list[LaidPiece], bool]:
    """The pieces asked for (all, when none is named) as far as they can be laid, and whether all could."""
    wanted = names or document.pieces
    if not wanted:
        _say_no_piece(
            document,
            args.file,
            "nothing to lay",
            "Write one, or name a motif and a form: motif prepare FILE --motif NAME --form NAME",
        )
    laid = [piece for name in wanted if (piece := _lay(document, name, args)) is not None]
    return laid, bool(laid) and len(laid) == len(wanted)


def _each(args: Namespace, run: Callable[[list[LaidPiece]], None]) -> int:
    """Lay what is asked for, show the messages, and run only if everything asked for could be laid."""
    document = motif.load(args.file)
    pieces, complete = _laid(document, [args.piece] if args.piece else [], args)
    messages = document.messages.sorted()
    _show(messages, args)
    if not complete:
        return _failed(messages)
    run(pieces)
    return _status(messages, args)


def _tabled(
    args: Namespace,
    as_json: Callable[[LaidPiece], dict[str, Json]],
    tables: Callable[[LaidPiece], list[Table]],
    records: Callable[[Sequence[LaidPiece]], Table],
) -> int:
    def run(pieces: list[LaidPiece]) -> None:
        if args.as_ == "json":
            _put(_json(_one_or_all([as_json(p) for p in pieces], args)))
        elif args.as_ == "csv":
            _put_tables([records(pieces)], args)
        else:
            _put_tables([table for piece in pieces for table in tables(piece)], args)

    return _each(args, run)


def _only_one(pieces: Sequence[LaidPiece]) -> LaidPiece:
    """The piece of a drawing. Raises _WrongUseError for several."""
    if len(pieces) > 1:
        names = ", ".join(p.name for p in pieces)
        raise _WrongUseError(f"a drawing is of one piece; name one of: {names}")
    return pieces[0]


def _one_or_all(objects: list[dict[str, Json]], args: Namespace) -> dict[str, Json]:
    return objects[0] if args.piece or len(objects) == 1 else {"pieces": objects}


def _status(messages: Iterable[Message], args: Namespace) -> int:
    """The exit status for what was said, when all that could be made is made."""
    found = list(messages)
    if any(m.severity == "error" for m in found):
        return _failed(found)
    return ERRORS if args.strict and found else OK


def _failed(messages: Iterable[Message]) -> int:
    """The exit status for errors: those without a place in a file are about what the command was given."""
    from motif.api import COMMAND_LINE

    errors = [m for m in messages if m.severity == "error"]
    wrong = any(m.span is None or m.span.source.name == COMMAND_LINE for m in errors)
    return WRONG_USE if wrong else ERRORS


# ---------------------------------------------------------------- writing


def _put(text: str) -> None:
    sys.stdout.write(text)


def _json(value: Json) -> str:
    from motif.outputs.json_text import dumps

    return dumps(value)


def _put_tables(tables: Sequence[Table], args: Namespace) -> None:
    from motif.outputs.tables import to_csv, to_markdown, to_text

    form = getattr(args, "as_", "table")
    if form == "csv":
        _put(to_csv(tables, args.unit))
    elif form == "markdown":
        _put(to_markdown(tables, args.unit))
    else:
        on_screen = sys.stdout.isatty()
        width = shutil.get_terminal_size((_PAPER_WIDTH, 24)).columns if on_screen else _PAPER_WIDTH
        _put(to_text(tables, args.unit, width=width, colour=on_screen and _colour_wanted()))


def _show(messages: Sequence[Message], args: Namespace) -> None:
    from motif.outputs import report

    if sys.stderr.isatty():
        width = shutil.get_terminal_size((100, 24)).columns
        sys.stderr.write(report.to_terminal(messages, args.unit, width=width, colour=_colour_wanted()))
        sys.stderr.write(report.pointer(messages))
    else:
        sys.stderr.write(report.to_lines(messages, args.unit))


def _colour_wanted() -> bool:
    # The custom that a set NO_COLOR means none.
    return not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


@contextmanager
def _progress(words: str) -> Iterator[None]:
    """Say what is being done while it lasts, on a terminal only."""
    if not sys.stderr.isatty():
        yield
        return
    sys.stderr.write(f"{words} …")
    sys.stderr.flush()
    try:
        yield
    finally:
        sys.stderr.write("\r\x1b[K")


def _complain(text: str) -> None:
    """One line to standard error; what names of files hold does not steer the terminal."""
    from motif.outputs.tables import printable

    with suppress(OSError):  # a full disk that takes no complaint either
        sys.stderr.write(printable(text) + "\n")


_COMMANDS: dict[str, Callable[[Namespace], int]] = {
    "prepare": _prepare,
    "sheets": _sheets,
    "check": _check,
    "fits": _fits,
    "marks": _marks,
    "counts": _counts,
    "method": _method,
    "unroll": _unroll,
    "view": _view,
    "data": _data,
    "explain": _explain,
    "library": _library,
}
