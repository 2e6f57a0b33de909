"""The options of every command, and what may be given for them. Reading them costs next to nothing."""

from __future__ import annotations

import argparse
import math
import re
from pathlib import Path
from typing import Any

from motif import __version__
from motif.outputs.numbers import MM_PER_UNIT, UNITS
from motif.outputs.printed.paper import PAPERS

#: A right angle written in degrees or turns is one up to this, radians.
_ROUNDING = 1e-9
_TABLE_FORMS = ("table", "csv", "json", "markdown")


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line: ``command`` in what it reads is the command's name."""
    whole = argparse.ArgumentParser(
        prog="motif",
        description="Lays patterns on round pots: a text in, marks, counts and drawings for the bench out.",
        epilog="Start with: motif prepare tea-jar.motif",
        formatter_class=_Help,
    )
    whole.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    commands = whole.add_subparsers(dest="command", metavar="COMMAND", required=True, parser_class=_AnyOrder)

    p = _command(
        commands,
        "prepare",
        "make everything for the bench: printed sheets, drawings, mark table, counts, data",
        "motif prepare tea-jar.motif --out bench\n"
        "  motif prepare tea-jar.motif --motif scales --form moon-jar --given size=20mm",
    )
    p.add_argument("file", metavar="FILE", type=Path)
    p.add_argument("pieces", metavar="PIECE", nargs="*", default=[], help="which pieces; all of them without a name")
    p.add_argument("--out", metavar="DIR", type=Path, default=Path("out"), help="where to write (default: out)")
    p.add_argument("--force", action="store_true", help="write into a folder that holds other files, too")
    p.add_argument("--motif", metavar="NAME", help="lay this motif on --form without a piece")
    p.add_argument("--form", metavar="NAME", help="the form for --motif; both may come from the library")
    p.add_argument("--from", dest="from_", metavar="PLACE", help="where the rows start, as in --from 'height 20 mm'")
    p.add_argument("--to", metavar="PLACE", help="where they end, as in --to 'rim - 10 mm'")
    _pace(p)
    p.add_argument("--given", metavar="NAME=VALUE", action="append", default=[], help="set a given of the motif")

    _paper(p)

    p = _command(
        commands,
        "sheets",
        "sheets to print in real size: strips, turntable disc, templates, outlines, as one PDF",
        "motif sheets tea-jar.motif --paper letter --rings 0,3,5",
    )
    _file_and_piece(p, "a file each of all of them without a name; --out takes one")
    _paper(p)
    p.add_argument(
        "--rings",
        metavar="N,N,…",
        type=_rings,
        help="which rings get a girth strip, or all (without it the start, the end and the widest of each band)",
    )
    _misfit(p)
    p.add_argument("--out", metavar="FILE.pdf", type=Path, help="where to write (default: PIECE-sheets.pdf)")

    p = _command(
        commands,
        "check",
        "say what is wrong or doubtful in texts; writes nothing",
        "motif check tea-jar.motif --strict\n  motif check tea-jar.motif --rows",
    )
    p.add_argument("files", metavar="FILE", type=Path, nargs="+")
    p.add_argument(
        "--rows", action="store_true", help="show row by row how the pattern sits: cells, tools, land, depth"
    )
    _as(p, _TABLE_FORMS)

    p = _command(
        commands,
        "fits",
        "try other columns and rows for a band, and say which fit best; changes nothing",
        "motif fits tea-jar.motif tea-jar --band 1",
    )
    _file_and_piece(p)
    p.add_argument("--band", metavar="N", type=_positive, help="which band; all of them without a number")
    _as(p, _TABLE_FORMS)

    for name, words in (
        ("marks", "the mark table: rings, verticals and point marks"),
        ("counts", "how many of each mark, and how much"),
    ):
        p = _command(commands, name, words, f"motif {name} tea-jar.motif --as csv")
        _file_and_piece(p)
        if name == "counts":
            _pace(p)
        _as(p, _TABLE_FORMS)

    p = _command(
        commands,
        "unroll",
        "the wall drawn flat, in real size",
        "motif unroll tea-jar.motif --flat gores --gores 12 > tea-jar.svg",
    )
    _file_and_piece(p, "a drawing needs it where the file has several; JSON takes all without it")
    p.add_argument(
        "--flat",
        choices=("rollout", "gores", "cones", "fewest"),
        help="rollout (a picture), gores, cones, or whichever takes fewest sheets (default; gores with --gores)",
    )
    p.add_argument("--gores", metavar="N", type=_positive, help="how many gores; may leave more misfit than --misfit")
    _misfit(p)
    _as(p, ("svg", "json"), default="svg")

    p = _command(
        commands,
        "method",
        "the order of work, step by step, with this pot's numbers",
        "motif method tea-jar.motif --unit in",
    )
    _file_and_piece(p)
    _pace(p)
    _as(p, ("markdown", "json"), default="markdown")

    p = _command(
        commands,
        "view",
        "the pot as it will look from any side, hidden lines removed",
        "motif view tea-jar.motif --facing 30deg --tilt 20deg > tea-jar.svg\n"
        "  motif view tea-jar.motif --from-above > above.svg",
    )
    _file_and_piece(p, "needed where the file has several")
    p.add_argument(
        "--facing",
        metavar="ANGLE",
        type=_angle,
        default=0.0,
        help="what faces you: so far to the right of the starting mark, as one looks at the decorated wall "
        "(default: 0deg, the starting mark itself; to the left as in --facing=-30deg)",
    )
    height = p.add_mutually_exclusive_group()
    height.add_argument(
        "--tilt",
        metavar="ANGLE",
        type=_tilt,
        help="how far above the level you stand, 0deg to 90deg (default: 15deg; 50deg for a wall decorated inside)",
    )
    height.add_argument("--from-above", action="store_true", help="from straight above, the same as --tilt 90deg")
    p.add_argument("--all-round", action="store_true", help="four views in half size, a quarter turn apart")
    p.add_argument("--far-side", action="store_true", help="show what is hidden of the pattern, too, faint and dashed")

    p = _command(commands, "data", "the laid piece as JSON, all of it", "motif data tea-jar.motif > tea-jar.json")
    _file_and_piece(p)

    p = _command(
        commands,
        "explain",
        "say more about a message: what it means, an example, the remedy",
        "motif explain unknown-name",
        lays=False,
    )
    p.add_argument("codes", metavar="CODE", nargs="*", help="the word in brackets behind a message; all without one")

    p = _command(
        commands,
        "library",
        "list or show what comes with the program",
        "motif library quilting\n  motif library tufting",
        lays=False,
    )
    p.add_argument(
        "words", metavar="WORD", nargs="*", help="words to look for; when one file is left its text is shown"
    )
    _as(p, _TABLE_FORMS)
    return whole


class _AnyOrder(argparse.ArgumentParser):
    """The parser of one command, which takes options before, between and behind its words."""

    _taking_apart = False

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        if self._taking_apart:  # argparse comes back here twice: for the options, and for the words
            return super().parse_known_args(args, namespace)
        self._taking_apart = True
        try:
            # Behind a -- all are words, in one go.
            take = super().parse_known_args if "--" in args else self.parse_known_intermixed_args
            found, beyond = take(args, namespace)
        finally:
            self._taking_apart = False
        if beyond:
            self.error(f"unrecognized arguments: {' '.join(beyond)}")
        return found, beyond


class _Help(argparse.RawDescriptionHelpFormatter):
    """As wide as paper, not as the window, so that help is the same everywhere."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=100)


def _command(commands: Any, name: str, words: str, example: str, *, lays: bool = True) -> argparse.ArgumentParser:
    """A command; ``lays`` says whether it has the options of those that lay pieces."""
    one: argparse.ArgumentParser = commands.add_parser(
        name,
        help=words,
        description=words[0].upper() + words[1:] + ".",
        epilog=f"example:\n  {example}",
        formatter_class=_Help,
    )
    one.set_defaults(unit="mm")
    if lays:
        one.add_argument("--unit", type=str.lower, choices=UNITS, default="mm", help="unit of lengths (default: mm)")
        one.add_argument("--strict", action="store_true", help="end with status 1 on warnings, too")
        one.add_argument(
            "--limit", metavar="N", type=_positive, help="the most marks a piece may have (200000 without it)"
        )
    return one


def _file_and_piece(parser: argparse.ArgumentParser, words: str = "all of them without a name") -> None:
    """``words`` say which piece it is when none is named."""
    parser.add_argument("file", metavar="FILE", type=Path)
    parser.add_argument("piece", metavar="PIECE", nargs="?", help=f"which piece; {words}")


def _misfit(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--misfit",
        metavar="LENGTH",
        type=_length,
        help="how far paper and wall may part (0.5mm without it)",
    )


def _paper(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--paper", type=str.lower, choices=PAPERS, default="a4", help="paper of the printed sheets (default: a4)"
    )


def _pace(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--pace", metavar="NAME", help="reckon the time by this pace of the file")


def _as(parser: argparse.ArgumentParser, forms: tuple[str, ...], default: str = "table") -> None:
    parser.add_argument("--as", dest="as_", choices=forms, default=default, help=f"default: {default}")


def _positive(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,12}", text) or int(text) == 0:
        raise argparse.ArgumentTypeError(f"a whole number above 0 is needed, not {text!r}")
    return int(text)


def _rings(text: str) -> tuple[int, ...]:
    """Numbers of rings; none for all of them."""
    if text.strip() == "all":
        return ()
    if not re.fullmatch(r"\s*[0-9]{1,6}(\s*,\s*[0-9]{1,6})*\s*", text):
        raise argparse.ArgumentTypeError(f"numbers of rings are needed, as in 0,3,5, or all, not {text!r}")
    return tuple(sorted({int(n) for n in text.split(",")}))


def _measure(text: str, units: str) -> tuple[float, str | None] | None:
    """A number, which may be a fraction of two, and its unit, one of ``units`` or none; None for anything else."""
    figure = r"(?:[0-9]{1,12}(?:\.[0-9]+)?|\.[0-9]+)"
    found = re.fullmatch(rf"\s*([+-]?{figure})(?:\s*/\s*({figure}))?\s*({units})?\s*", text)
    if not found or (found[2] and float(found[2]) == 0.0):
        return None
    return float(found[1]) / float(found[2] or 1), found[3]


def _length(text: str) -> float:
    """A length with or without unit, in mm."""
    measure = _measure(text, "|".join(UNITS))
    if measure is None or measure[0] <= 0.0:
        raise argparse.ArgumentTypeError(f"a length above 0 is needed, as in 0.5mm or '1/32 in', not {text!r}")
    return measure[0] * next((MM_PER_UNIT[unit] for unit in UNITS if unit == measure[1]), 1.0)


def _angle(text: str) -> float:
    """An angle in degrees, or in turns, in radians."""
    measure = _measure(text, "deg|°|turn")
    if measure is None:
        raise argparse.ArgumentTypeError(f"an angle is needed, as in 30deg or '1/4 turn', not {text!r}")
    return measure[0] * (math.tau if measure[1] == "turn" else math.radians(1.0))


def _tilt(text: str) -> float:
    angle = _angle(text)
    if not 0.0 <= angle <= math.pi / 2 + _ROUNDING:
        raise argparse.ArgumentTypeError(
            f"an angle from 0deg (level) to 90deg (straight above) is needed, not {text!r}"
        )
    return min(angle, math.pi / 2)
