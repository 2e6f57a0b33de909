"""The order of work as printed pages."""

from __future__ import annotations

from motif.laying.piece import LaidPiece
from motif.outputs.method import chapters
from motif.outputs.method.written import key
from motif.outputs.numbers import Unit
from motif.outputs.printed.flow import Flow
from motif.outputs.printed.grids import set_table
from motif.outputs.printed.pages import BODY, SMALL, Page
from motif.outputs.printed.paper import Paper

TITLE = "order of work"

#: Steps stand so far to the right of their column's edge, numbers before them (mm).
_STEPS = 7.0


def pages(piece: LaidPiece, paper: Paper, unit: Unit) -> list[Page]:
    """The whole order of work, in two columns."""
    flow = Flow(paper, TITLE, columns=2)
    flow.title("Order of work")
    for words in key(unit):
        flow.words(words, SMALL, wide=paper.width)
    flow.rule()
    flow.begin_columns()
    for k, chapter in enumerate(chapters(piece, unit), 1):
        flow.heading(f"{k}. {chapter.title}")
        for words in chapter.intro:
            flow.words(words)
        for n, step in enumerate(chapter.steps, 1):
            flow.words(step, BODY, indent=_STEPS, hang=str(n))
        for table in chapter.tables:
            set_table(flow, table, unit)
        flow.boxed([f"Take care: {words}" for words in chapter.cautions], SMALL)
    return flow.pages
