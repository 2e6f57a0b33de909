"""The back ends: what ``motif prepare`` writes for every piece. A new one is a module and a line here."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING, cast

from motif.language.record import record
from motif.outputs.numbers import Unit
from motif.outputs.once import one_run
from motif.outputs.printed.paper import PaperName

if TYPE_CHECKING:
    from motif.laying.piece import LaidPiece


@record
class Backend:
    """``function`` of ``module`` makes the text or bytes of ``file`` from a piece and the unit for lengths in words
    and CSV, and with ``printed`` from the name of the paper, too. The module is imported when it is run.

    Every file that it makes begins with ``begins``, by which it is known for one of ours."""

    file: str
    begins: bytes
    module: str
    function: str
    printed: bool = False

    def run(self, piece: LaidPiece, unit: Unit = "mm", paper: PaperName = "a4") -> bytes:
        make = cast("Callable[..., str | bytes]", getattr(import_module(self.module), self.function))
        made = make(piece, unit, paper) if self.printed else make(piece, unit)
        return made if isinstance(made, bytes) else made.encode("utf-8")


_SVG = b'<?xml version="1.0" encoding="UTF-8"?>\n<svg '

BACKENDS: tuple[Backend, ...] = (
    Backend("sheets.pdf", b"%PDF-", "motif.outputs.printed.book", "document", printed=True),
    Backend("unroll.svg", _SVG, "motif.outputs.unroll", "fewest_document"),
    Backend("rollout.svg", _SVG, "motif.outputs.unroll", "rollout_document"),
    Backend("pot.svg", _SVG, "motif.outputs.view", "pot_document"),
    Backend("round.svg", _SVG, "motif.outputs.view", "round_document"),
    Backend("marks.csv", b"piece,band,motif,mark,", "motif.outputs.marks", "csv_document"),
    Backend("counts.csv", b"piece,band,technique,", "motif.outputs.counts", "csv_document"),
    Backend("method.md", b"# ", "motif.outputs.method.written", "markdown"),
    Backend("piece.json", b'{\n "version": ', "motif.outputs.data", "json_document"),
)


def files() -> dict[str, bytes]:
    """Every name that ``prepare`` may write, and what such a file begins with."""
    return {b.file: b.begins for b in BACKENDS}


def prepare(piece: LaidPiece, unit: Unit = "mm", paper: PaperName = "a4") -> dict[str, bytes]:
    """All files of a piece, name → content, in memory. Raises ``sheets.CannotUnrollError``."""
    with one_run():
        return {b.file: b.run(piece, unit, paper) for b in BACKENDS}
