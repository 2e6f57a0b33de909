"""The order of work as printed pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import chain

from motif.language.record import changed
from motif.laying.piece import LaidPiece
from motif.outputs.method import Chapter, chapters
from motif.outputs.method.where import named
from motif.outputs.method.written import key
from motif.outputs.numbers import Unit
from motif.outputs.printed.flow import Flow
from motif.outputs.printed.grids import set_table
from motif.outputs.printed.pages import BODY, LEADING, SMALL, Page
from motif.outputs.printed.paper import Paper
from motif.outputs.sheets import MISFIT

TITLE = "order of work"

#: Steps stand so far to the right of their column's edge, numbers before them (mm).
_STEPS = 7.0


#: Sizes of type (mm) and leadings, the first of which is taken that leaves no scrap on the last page.
_SETTINGS = ((BODY, LEADING), (BODY, 1.26), (SMALL, 1.26), (BODY, 1.5))
#: Less than this of a page is a scrap.
_SCRAP = 0.3


def pages(
    piece: LaidPiece, paper: Paper, unit: Unit, where: Mapping[str, Sequence[int]], misfit: float = MISFIT
) -> list[Page]:
    """The whole order of work, in two columns. ``where`` says on which sheets what it speaks of is."""
    told = [
        changed(
            chapter,
            intro=tuple(_with_numbers(words, where) for words in chapter.intro),
            steps=tuple(_with_numbers(words, where) for words in chapter.steps),
        )
        for chapter in chapters(piece, unit, misfit)
    ]
    said = key(piece, unit), told
    ways = (_set(*said, paper, unit, size, leading) for size, leading in _SETTINGS)
    first = next(ways)
    for flow in chain([first], ways):
        if len(flow.pages) == 1 or flow.filled >= _SCRAP:
            return flow.pages
    return first.pages


def _with_numbers(words: str, where: Mapping[str, Sequence[int]]) -> str:
    """``words`` with the numbers of the sheets, in place of the name of the file that they are in."""
    for title, numbers in where.items():
        words = words.replace(f"{title} of sheets.pdf", f"{title} ({named('sheet', numbers)})")
    if "turntable disc" in where:
        return words.replace("disc if there is one", f"disc ({named('sheet', where['turntable disc'])})")
    return words.replace(", and so does its turntable disc if there is one", "")


def _set(
    words_key: Sequence[str], all_chapters: Sequence[Chapter], paper: Paper, unit: Unit, size: float, leading: float
) -> Flow:
    flow = Flow(paper, TITLE, columns=2, leading=leading)
    flow.title("Order of work")
    for words in words_key:
        flow.words(words, SMALL, wide=paper.width)
    flow.rule()
    flow.begin_columns()
    for k, chapter in enumerate(all_chapters, 1):
        flow.heading(f"{k}. {chapter.title}")
        for words in chapter.intro:
            flow.words(words, size)
        for n, step in enumerate(chapter.steps, 1):
            flow.words(step, size, indent=_STEPS, hang=str(n))
        for table in chapter.tables:
            set_table(flow, table, unit)
        flow.boxed([f"Take care: {words}" for words in chapter.cautions], SMALL)
    return flow
