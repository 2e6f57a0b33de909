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
    and CSV, and with ``printed`` from the name of the paper, too. The module is imported when it is run."""

    file: str
    module: str
    function: str
    printed: bool = False

    def run(self, piece: LaidPiece, unit: Unit = "mm", paper: PaperName = "a4") -> bytes:
        make = cast("Callable[..., str | bytes]", getattr(import_module(self.module), self.function))
        made = make(piece, unit, paper) if self.printed else make(piece, unit)
        return made if isinstance(made, bytes) else made.encode("utf-8")


BACKENDS: tuple[Backend, ...] = (
    Backend("sheets.pdf", "motif.outputs.printed.book", "document", printed=True),
    Backend("unroll.svg", "motif.outputs.unroll", "fewest_document"),
    Backend("rollout.svg", "motif.outputs.unroll", "rollout_document"),
    Backend("pot.svg", "motif.outputs.view", "pot_document"),
    Backend("round.svg", "motif.outputs.view", "round_document"),
    Backend("marks.csv", "motif.outputs.marks", "csv_document"),
    Backend("counts.csv", "motif.outputs.counts", "csv_document"),
    Backend("method.md", "motif.outputs.method.written", "markdown"),
    Backend("piece.json", "motif.outputs.data", "json_document"),
)


def file_names() -> frozenset[str]:
    """Every name that ``prepare`` may write."""
    return frozenset(b.file for b in BACKENDS)


def prepare(piece: LaidPiece, unit: Unit = "mm", paper: PaperName = "a4") -> dict[str, bytes]:
    """All files of a piece, name → content, in memory. Raises ``sheets.CannotUnrollError``."""
    with one_run():
        return {b.file: b.run(piece, unit, paper) for b in BACKENDS}
