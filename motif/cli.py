"""The command line: what to read, which back end to run, where the result goes.

Results go to standard output, messages to standard error. Exit status 0: done, warnings allowed;
1: errors in the text or nothing could be written; 2: wrong use of the command.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

import motif
from motif.outputs.numbers import MM_PER_UNIT, UNITS

if TYPE_CHECKING:
    from motif.api import Document
    from motif.language.messages import Message
    from motif.laying.piece import LaidPiece
    from motif.outputs.json_text import Json
    from motif.outputs.tables import Table

OK, ERRORS, WRONG_USE, INTERRUPTED = 0, 1, 2, 130

_TABLE_FORMS = ("table", "csv", "json", "markdown")
#: The most marks a piece may have unless ``--limit`` says otherwise.
_LIMIT = 200_000
#: Tables for files and pipes are this wide.
_PAPER_WIDTH = 110


class _WrongUseError(Exception):
    """The command was given something it cannot work with: status 2."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status. ``argv`` is without the program's name."""
    for stream in (sys.stdout, sys.stderr):
        _write_utf8(stream)
    parser = _parser()
    args = parser.parse_args(argv)
    try:
        status: int = args.run(args)
        sys.stdout.flush()
    except _WrongUseError as error:
        print(f"motif {args.command}: {error}", file=sys.stderr)
        return WRONG_USE
    except motif.Unreadable as error:
        print(f"motif {args.command}: {error.reason} {error.advice or ''}".rstrip(), file=sys.stderr)
        return ERRORS
    except BrokenPipeError:
        # Whoever read us has seen enough. Python would complain again when it flushes at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return OK
    except KeyboardInterrupt:
        return INTERRUPTED
    return status


# ---------------------------------------------------------------- commands


def _check(args: argparse.Namespace) -> int:
    from motif.language.messages import Message
    from motif.outputs import report

    laid = 0
    messages: list[Message] = []
    for file in args.files:
        try:
            document = motif.load(file)
        except motif.Unreadable as error:
            messages.append(Message("file", error.reason, None, error.advice))
            continue
        for name in document.pieces:
            laid += _lay(document, name, args) is not None
        messages += document.messages.sorted()
    if args.as_ == "json":
        _put(_json(report.to_json(messages)))
    elif args.as_ == "table":
        _show(messages)
        pieces = f"{laid} piece{'' if laid == 1 else 's'} laid"
        _put(f"{pieces}, {report.summary(messages) or 'nothing to complain of'}.\n")
    else:
        _put_tables([report.table(messages)], args)
    return _status(messages, args)


def _marks(args: argparse.Namespace) -> int:
    from motif.outputs import marks

    return _tabled(args, lambda p: marks.as_json(p, args.unit), lambda p: marks.tables(p, args.unit), marks.records)


def _counts(args: argparse.Namespace) -> int:
    from motif.outputs import counts

    return _tabled(args, lambda p: counts.as_json(p, args.unit), lambda p: counts.tables(p, args.unit), counts.records)


def _data(args: argparse.Namespace) -> int:
    from motif.outputs import data

    return _each(args, lambda pieces: _put(_json(_one_or_all([data.as_json(p) for p in pieces], args))))


def _unroll(args: argparse.Namespace) -> int:
    from motif.outputs import unroll
    from motif.outputs.sheets import CannotUnrollError, lay_out

    def run(pieces: list[LaidPiece]) -> None:
        if args.as_ == "svg" and len(pieces) > 1:
            names = ", ".join(p.name for p in pieces)
            raise _WrongUseError(f"a drawing is of one piece; name one of: {names}")
        try:
            layouts = [lay_out(p, args.flat, gores=args.gores, misfit=args.misfit) for p in pieces]
        except CannotUnrollError as error:
            raise _WrongUseError(f"{error.reason} {error.advice}") from error
        if args.as_ == "svg":
            for piece, layout in zip(pieces, layouts, strict=True):
                _put(unroll.as_svg(piece, layout, args.unit))
        else:
            drawings = [unroll.as_json(p, layout) for p, layout in zip(pieces, layouts, strict=True)]
            _put(_json(_one_or_all(drawings, args)))

    return _each(args, run)


def _prepare(args: argparse.Namespace) -> int:
    from motif.outputs import backends, files, summary
    from motif.outputs.sheets import CannotUnrollError

    document = _improvised(args) if args.motif or args.form else motif.load(args.file)
    pieces, complete = _laid(document, args.pieces, args)
    _show(document.messages.sorted())
    written: list[tuple[LaidPiece, list[Path]]] = []
    try:
        made = []
        for piece in pieces:
            folder = args.out / piece.name
            files.check_folder(folder, backends.file_names(), force=args.force)
            with _progress(f"drawing {piece.name}"):
                made.append((piece, folder, backends.prepare(piece, args.unit)))
        for piece, folder, contents in made:
            written.append((piece, files.write_files(folder, contents)))
    except (files.CannotWriteError, CannotUnrollError) as error:
        print(f"motif prepare: {error.reason} {error.advice}", file=sys.stderr)
        return ERRORS
    if written:
        _put_tables(summary.tables([piece for piece, _ in written]), args)
        _put("".join(f"{path}\n" for _, paths in written for path in paths))
    return _status(document.messages.sorted(), args) if complete else ERRORS


def _library(args: argparse.Namespace) -> int:
    from motif.outputs import catalogue
    from motif.resources import data_folder

    everything = catalogue.entries(data_folder("library"))
    found = catalogue.find(everything, args.words)
    if not found:
        words = " ".join(args.words)
        near = catalogue.nearest(everything, args.words)
        advice = f"Did you mean {' or '.join(near)}?" if near else "motif library lists all there is."
        print(f"motif library: nothing in the library goes by {words!r}. {advice}", file=sys.stderr)
        return ERRORS
    if args.as_ == "json":
        _put(_json(catalogue.as_json(found)))
    elif args.words and len(found) == 1 and args.as_ == "table":
        _put(found[0].text)
    else:
        _put_tables([catalogue.records(found)] if args.as_ == "csv" else catalogue.tables(found), args)
    return OK


# ---------------------------------------------------------------- reading and laying


def _improvised(args: argparse.Namespace) -> Document:
    if not (args.motif and args.form):
        raise _WrongUseError("--motif and --form go together")
    if args.pieces:
        raise _WrongUseError("--motif and --form lay a motif without a piece; leave out the names of pieces")
    givens: dict[str, str] = {}
    for given in args.given:
        name, equals, value = given.partition("=")
        if not (equals and name.strip() and value.strip()):
            raise _WrongUseError(f"--given takes NAME=VALUE, as in --given step=20mm, not {given!r}")
        givens[name.strip()] = value.strip()
    return motif.improvised(args.file, args.motif, args.form, args.from_, args.to, givens)


def _lay(document: Document, name: str, args: argparse.Namespace) -> LaidPiece | None:
    with _progress(f"laying {name}"):
        laid: LaidPiece | None = document.lay(name, limit=args.limit)
    return laid


def _laid(document: Document, names: Sequence[str], args: argparse.Namespace) -> tuple[list[LaidPiece], bool]:
    """The pieces asked for (all, when none is named) as far as they can be laid, and whether all could."""
    from motif.language.messages import Message

    wanted = names or document.pieces
    if not wanted and not document.messages.has_errors:
        document.messages.add(
            Message(
                "file",
                f"There is no piece in '{args.file}', so there is nothing to lay.",
                None,
                "Write one, or name a motif and a form: motif prepare FILE --motif NAME --form NAME",
            )
        )
    laid = [piece for name in wanted if (piece := _lay(document, name, args)) is not None]
    return laid, bool(laid) and len(laid) == len(wanted)


def _each(args: argparse.Namespace, run: Callable[[list[LaidPiece]], None]) -> int:
    """Lay what is asked for, show the messages, and run only if everything asked for could be laid."""
    document = motif.load(args.file)
    pieces, complete = _laid(document, [args.piece] if args.piece else [], args)
    messages = document.messages.sorted()
    _show(messages)
    if not complete:
        return ERRORS
    run(pieces)
    return _status(messages, args)


def _tabled(
    args: argparse.Namespace,
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


def _one_or_all(objects: list[dict[str, Json]], args: argparse.Namespace) -> dict[str, Json]:
    return objects[0] if args.piece or len(objects) == 1 else {"pieces": objects}


def _status(messages: Iterable[Message], args: argparse.Namespace) -> int:
    severities = {m.severity for m in messages}
    return ERRORS if "error" in severities or (args.strict and "warning" in severities) else OK


# ---------------------------------------------------------------- writing


def _put(text: str) -> None:
    sys.stdout.write(text)


def _json(value: Json) -> str:
    from motif.outputs.json_text import dumps

    return dumps(value)


def _put_tables(tables: Sequence[Table], args: argparse.Namespace) -> None:
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


def _show(messages: Sequence[Message]) -> None:
    from motif.outputs import report

    if sys.stderr.isatty():
        width = shutil.get_terminal_size((100, 24)).columns
        sys.stderr.write(report.to_terminal(messages, width=width, colour=_colour_wanted()))
    else:
        sys.stderr.write(report.to_lines(messages))


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


def _write_utf8(stream: TextIO) -> None:
    """The same bytes on every machine: UTF-8 and plain line feeds, except on a terminal of its own mind."""
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is None:
        return
    if stream.isatty():
        reconfigure(errors="replace")
    else:
        reconfigure(encoding="utf-8", errors="replace", newline="\n")


# ---------------------------------------------------------------- options


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="motif",
        description="Lays patterns on round pots: a text in, marks, counts and drawings for the bench out.",
        epilog="Start with: motif prepare caddy.motif",
        formatter_class=_Help,
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)

    p = _command(
        commands,
        _prepare,
        "prepare",
        "make everything for the bench: drawings, mark table, counts, data",
        "motif prepare caddy.motif --out bench\n"
        "  motif prepare caddy.motif --motif tufting --form jar --given step=20mm",
    )
    p.add_argument("file", metavar="FILE", type=Path)
    p.add_argument("pieces", metavar="PIECE", nargs="*", help="which pieces; all of them without a name")
    p.add_argument("--out", metavar="DIR", type=Path, default=Path("out"), help="where to write (default: out)")
    p.add_argument("--force", action="store_true", help="write into a folder that holds other files, too")
    p.add_argument("--motif", metavar="NAME", help="lay this motif on --form without a piece")
    p.add_argument("--form", metavar="NAME", help="the form for --motif; both may come from the library")
    p.add_argument("--from", dest="from_", metavar="PLACE", help="where the rows start, as in --from 'height 20 mm'")
    p.add_argument("--to", metavar="PLACE", help="where they end, as in --to 'rim - 10 mm'")
    p.add_argument("--given", metavar="NAME=VALUE", action="append", default=[], help="set a given of the motif")

    p = _command(
        commands,
        _check,
        "check",
        "say what is wrong or doubtful in texts; writes nothing",
        "motif check caddy.motif --strict",
    )
    p.add_argument("files", metavar="FILE", type=Path, nargs="+")
    _as(p, _TABLE_FORMS)

    for run, name, words in (
        (_marks, "marks", "the mark table: rings, verticals and point marks"),
        (_counts, "counts", "how many of each mark, and how much"),
    ):
        p = _command(commands, run, name, words, f"motif {name} caddy.motif --as csv")
        _file_and_piece(p)
        _as(p, _TABLE_FORMS)

    p = _command(
        commands,
        _unroll,
        "unroll",
        "the wall drawn flat, in real size",
        "motif unroll caddy.motif --flat gores --gores 12 > caddy.svg",
    )
    _file_and_piece(p)
    p.add_argument(
        "--flat",
        choices=("rollout", "gores", "cones", "fewest"),
        default="fewest",
        help="rollout (a picture), gores, cones, or whichever takes fewest sheets (default)",
    )
    p.add_argument("--gores", metavar="N", type=_gores, help="how many gores")
    p.add_argument(
        "--misfit",
        metavar="LENGTH",
        type=_length,
        default=0.5,
        help="how far paper and wall may part (default: 0.5mm)",
    )
    _as(p, ("svg", "json"), default="svg")

    p = _command(commands, _data, "data", "the laid piece as JSON, all of it", "motif data caddy.motif > caddy.json")
    _file_and_piece(p)

    p = _command(
        commands,
        _library,
        "library",
        "list or show what comes with the program",
        "motif library quilting\n  motif library tufting",
        lays=False,
    )
    p.add_argument(
        "words", metavar="WORD", nargs="*", help="words to look for; when one file is left its text is shown"
    )
    _as(p, _TABLE_FORMS)
    return parser


class _Help(argparse.RawDescriptionHelpFormatter):
    """As wide as paper, not as the window, so that help is the same everywhere."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=100)


def _command(
    commands: Any,
    run: Callable[[argparse.Namespace], int],
    name: str,
    words: str,
    example: str,
    *,
    lays: bool = True,
) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = commands.add_parser(
        name,
        help=words,
        description=words[0].upper() + words[1:] + ".",
        epilog=f"example:\n  {example}",
        formatter_class=_Help,
    )
    parser.set_defaults(run=run, unit="mm")
    if not lays:
        return parser
    parser.add_argument("--unit", choices=UNITS, default="mm", help="unit of lengths (default: mm)")
    parser.add_argument("--strict", action="store_true", help="end with status 1 on warnings, too")
    parser.add_argument(
        "--limit",
        metavar="N",
        type=_positive,
        default=_LIMIT,
        help=f"the most marks a piece may have (default: {_LIMIT})",
    )
    return parser


def _file_and_piece(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", type=Path)
    parser.add_argument("piece", metavar="PIECE", nargs="?", help="which piece; all of them without a name")


def _as(parser: argparse.ArgumentParser, forms: tuple[str, ...], default: str = "table") -> None:
    parser.add_argument("--as", dest="as_", choices=forms, default=default, help=f"default: {default}")


def _positive(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,12}", text) or int(text) == 0:
        raise argparse.ArgumentTypeError(f"a whole number above 0 is needed, not {text!r}")
    return int(text)


def _gores(text: str) -> int:
    most = 720
    count = _positive(text)
    if count > most:
        raise argparse.ArgumentTypeError(f"more than {most} gores are of no use")
    return count


def _length(text: str) -> float:
    """A length with or without unit, in mm."""
    found = re.fullmatch(r"\s*([0-9]+(?:\.[0-9]+)?|\.[0-9]+)\s*(mm|cm|in)?\s*", text)
    if not found or float(found[1]) == 0:
        raise argparse.ArgumentTypeError(f"a length above 0 is needed, as in 0.5mm, not {text!r}")
    for unit in UNITS:
        if unit == found[2]:
            return float(found[1]) * MM_PER_UNIT[unit]
    return float(found[1])
