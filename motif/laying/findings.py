"""What the checks find, as data: a number, the bound it passes, and where. Words are made of it in ``telling``."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from motif.language.record import record
from motif.language.source import Span
from motif.laying.piece import Floats, Ints, LaidBand, LaidPath, Points


@record
class Place:
    """Where something is on the pot: −1 for what does not apply, band 0 for a line of the piece itself, tape in mm."""

    band: int
    column: int
    row: int
    vertical: int
    ring: int
    tape: float

    @property
    def numbers(self) -> tuple[tuple[str, int], ...]:
        """What is said of a place besides its tape: ``(("band", 1), ("column", 3), ("row", 2))``."""
        named = (
            ("band", self.band or -1),
            ("column", self.column),
            ("row", self.row),
            ("vertical", self.vertical),
            ("ring", self.ring),
        )
        return tuple((name, number) for name, number in named if number >= 0)

    def reads_like(self, other: Place) -> bool:
        """Whether two places are one to those who read of them."""
        return self.numbers == other.numbers and round(self.tape, 1) == round(other.tape, 1)


@record
class Finding:
    """What one statement does amiss in one row of a band (or in all, where rows do not matter).

    ``first`` is the first place of ``count``, ``value`` the number that decides there; ``worst`` and ``worst_value``
    the same where it is worst, by ``excess``: how many times the bound it is, 1 being at the bound. Where one
    code stands for several things, ``kind`` says which; ``about`` is the name of the tool, ``reserves`` the names of
    reserves, ``of`` how many there are in all, ``size`` how wide that tool is (mm; 0: unsaid), ``other`` the other
    statement with part in it."""

    code: str
    span: Span
    first: Place
    value: float
    worst: Place
    worst_value: float
    excess: float
    count: int = 1
    bound: float = 0.0
    kind: str = ""
    about: str = ""
    reserves: tuple[str, ...] = ()
    of: int = 0
    size: float = 0.0
    other: Span | None = None
    #: the rows of the band's table that it belongs to, and the ring, where footprints meet on one (−1: none)
    rows: tuple[int, ...] = ()
    ring: int = -1


class Findings:
    """What is found while one band is laid."""

    def __init__(self, band: int) -> None:
        self.band = band
        self.items: list[Finding] = []

    def place(self, tape: float, column: int = -1, row: int = -1, vertical: int = -1, ring: int = -1) -> Place:
        """A place in this band."""
        return Place(self.band, column, row, vertical, ring, tape)

    def add(self, finding: Finding) -> None:
        self.items.append(finding)


def one_place(code: str, span: Span, place: Place, value: float, excess: float, **more: object) -> Finding:
    """A finding at one place alone."""
    return Finding(code, span, place, value, place, value, excess, **more)  # type: ignore[arg-type]


def span_key(span: Span) -> tuple[str, int, int]:
    """What tells one place of the text from another."""
    return span.source.name, span.start, span.end


def by_statement(findings: Iterable[Finding]) -> list[list[Finding]]:
    """The findings of each code and statement together, as they come."""
    groups: dict[tuple[str, str, int, int], list[Finding]] = {}
    for f in findings:
        groups.setdefault((f.code, *span_key(f.span)), []).append(f)
    return list(groups.values())


def worst_of(findings: Iterable[Finding]) -> Finding:
    """The worst finding; of equals the first."""
    return max(findings, key=lambda f: round(f.excess, 6))


def rows_at(ring_tapes: Floats, tape: Floats) -> Ints:
    """The rows (from 1) in which tapes lie, rings given from the band's start; what is on a ring goes with the row
    after it, on the last ring with the last row."""
    up = ring_tapes[-1] >= ring_tapes[0]
    marks, at = (ring_tapes, tape) if up else (-ring_tapes, -np.asarray(tape))
    return np.clip(np.searchsorted(marks, at + 1e-6, side="right"), 1, len(ring_tapes) - 1).astype(np.int64)


def place_of_point(band: int, points: Points, i: int) -> Place:
    """Where a point mark is."""
    return Place(
        band,
        int(points.column[i]),
        int(points.row[i]),
        int(points.vertical[i]),
        int(points.ring[i]),
        float(points.tape[i]),
    )


def place_of_path(band: int, path: LaidPath, tape: float | None = None) -> Place:
    """Where a path begins, or where it passes a tape."""
    at = float(path.points[0, 1]) if tape is None else tape
    return Place(band, path.column, path.row, path.vertical, path.ring, at)


def places_in_band(band: LaidBand, angle: Floats, tape: Floats) -> list[Place]:
    """The cells of the unmoved grid in which points (n,) of the wall lie."""
    rows = rows_at(band.rings.tape, tape)
    start = float(band.verticals[0])
    turn = np.mod(angle - start + 1e-9, 2 * np.pi)
    if band.row_columns is not None:
        columns = (turn / (2 * np.pi) * band.row_columns[rows - 1]).astype(np.int64) + 1
    else:
        columns = np.searchsorted(np.mod(band.verticals - start, 2 * np.pi), turn, side="right")
    return [
        Place(band.number, column, row, -1, -1, at)
        for column, row, at in zip(columns.tolist(), rows.tolist(), tape.tolist(), strict=True)
    ]
