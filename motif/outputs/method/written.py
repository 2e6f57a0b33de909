"""The order of work as Markdown and as JSON."""

from __future__ import annotations

from collections.abc import Sequence

from motif.laying.piece import LaidPiece
from motif.outputs.json_text import Json
from motif.outputs.method.chapters import Chapter, chapters
from motif.outputs.numbers import ML_PER_TEASPOON, Unit, length_with_unit, number
from motif.outputs.sheets import MISFIT
from motif.outputs.tables import Table, escaped, markdown_table, people_cell, people_heading, remarks
from motif.outputs.totals import tools

_KEY = (
    "Vertical 2 1/2 is half-way from vertical 2 to vertical 3. Column 2 lies between verticals 2 and 3, row 2 between "
    "rings 1 and 2. A height such as “tape {height}” is read up the wall on the tape that marked the rings. An arrow "
    "joins two marks."
)
_SOME_HEIGHT = 31.0


#: Said first where lengths are in inches.
_INCHES = (
    "Lengths are to the nearest 1/32 in, so at most 1/64 in off. Readings along a tape are each rounded from their own "
    "true place: take them from one zero, and nothing adds up. Dividers that are stepped round do add up, so their "
    "setting is closer, with decimals beside it, and the last step shows whether it is right."
)
#: And where clay is told.
_SPOONS = (
    f"Clay is in US teaspoons ({number(ML_PER_TEASPOON, 2)} ml) and tablespoons (3 teaspoons), to the nearest eighth."
)


def key(piece: LaidPiece, unit: Unit) -> list[str]:
    """How the words of the order of work are read."""
    said = _KEY.format(height=length_with_unit(_SOME_HEIGHT, unit))
    if unit != "in":
        return [said]
    with_clay = any(tool.volume for tool in tools(piece))
    return [said, f"{_INCHES} {_SPOONS}" if with_clay else _INCHES]


def markdown(piece: LaidPiece, unit: Unit = "mm") -> str:
    """The order of work as a page of Markdown."""
    blocks = [f"# {escaped(piece.name)}: order of work", *key(piece, unit)]
    for k, chapter in enumerate(chapters(piece, unit, MISFIT), 1):
        blocks += _chapter(k, chapter, unit)
    return "\n\n".join(blocks) + "\n"


def _chapter(k: int, chapter: Chapter, unit: Unit) -> list[str]:
    blocks = [f"## {k}. {escaped(chapter.title)}"]
    blocks += [escaped(words) for words in chapter.intro]
    blocks.append("\n".join(f"{n}. {escaped(step)}" for n, step in enumerate(chapter.steps, 1)))
    blocks += [f"**{escaped(t.title)}**\n\n{markdown_table(t, unit)}" for t in chapter.tables]
    blocks += [f"> Take care: {escaped(words)}" for words in chapter.cautions]
    return [b for b in blocks if b]


def as_json(piece: LaidPiece, unit: Unit = "mm") -> dict[str, Json]:
    """The object of ``motif method --as json``: words and cells as people read them, lengths in ``unit``."""
    return {
        "piece": piece.name,
        "unit": unit,
        "key": key(piece, unit),
        "chapters": [
            {
                "title": c.title,
                "intro": list(c.intro),
                "steps": list(c.steps),
                "tables": [_table(t, unit) for t in c.tables],
                "cautions": list(c.cautions),
            }
            for c in chapters(piece, unit, MISFIT)
        ],
    }


def _table(table: Table, unit: Unit) -> dict[str, Json]:
    rows: Sequence[Sequence[Json]] = [
        [people_cell(cell, c.kind, unit) for cell, c in zip(row, table.columns, strict=True)] for row in table.rows
    ]
    return {
        "title": table.title,
        "headings": [people_heading(c, unit) for c in table.columns],
        "rows": list(rows),
        "remarks": list(remarks(table, unit)),
    }
