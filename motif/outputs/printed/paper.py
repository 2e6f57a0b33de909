"""Paper, and what of it a printer reaches."""

from __future__ import annotations

from typing import Literal, get_args

from motif.language.record import record

PaperName = Literal["a4", "letter"]

#: The papers of ``--paper``, in the order in which help lists them.
PAPERS: tuple[PaperName, ...] = get_args(PaperName)

#: What a printer is taken not to reach at any edge (mm; common practice, no source).
MARGIN = 10.0
#: Room at the foot of every page for its name, its number and a bar to check it by (mm).
FOOT = 10.0


@record
class Paper:
    """A sheet of paper, upright, in mm. ``width`` and ``height`` of the room for drawing exclude margins and foot."""

    name: PaperName
    full_width: float
    full_height: float

    @property
    def width(self) -> float:
        return self.full_width - 2 * MARGIN

    @property
    def height(self) -> float:
        return self.full_height - 2 * MARGIN - FOOT


#: ISO 216 A4; ANSI/ASME Y14.1 size A, 8.5 × 11 in.
_PAPERS: dict[PaperName, Paper] = {
    "a4": Paper("a4", 210.0, 297.0),
    "letter": Paper("letter", 8.5 * 25.4, 11 * 25.4),
}


def paper_of(name: PaperName) -> Paper:
    return _PAPERS[name]
