"""Pieces on a plain can, 240 mm round and 120 mm high, and what the order of work tells of them: with 12 columns and
4 rows its cells are 20 by 30 mm, so that every place and length follows from the text and plane geometry."""

from __future__ import annotations

import motif
from motif.laying.piece import LaidPiece
from motif.outputs.method import chapters

CAN = "form can { thickness 6 mm  profile straight { at 0 mm around 240 mm  at 120 mm around 240 mm } }"


def laid(text: str) -> LaidPiece:
    document = motif.loads(text)
    piece = document.lay(document.pieces[-1])
    assert piece is not None, [m.text for m in document.messages.sorted()]
    return piece


def told(
    body: str, technique: str = "Incise", *, grid: str = "columns 12 rows 4", band: str = "", more: str = ""
) -> list[str]:
    """The steps of a technique for a motif on the can, but for taking the tool."""
    piece = laid(f"{CAN} motif m {{ grid {grid} {body} }} piece p {{ form can  band m {band} {more} }}")
    (chapter,) = [c for c in chapters(piece) if c.title.startswith(technique)]
    assert sum(step.startswith("Take ") for step in chapter.steps) == 1
    return [step for step in chapter.steps if not step.startswith("Take ")]


def all_cautions(text: str) -> str:
    return " ".join(words for c in chapters(laid(text)) for words in c.cautions)
