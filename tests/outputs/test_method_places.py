"""Places in words, read back by a reader of their own: what a potter makes of them is what is made."""

from __future__ import annotations

import math
import random
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

import motif
from motif.laying.piece import LaidBand, LaidPiece
from motif.outputs.method import chapters
from motif.outputs.method.families import Row
from motif.outputs.method.places import BandGrid, grid_of
from motif.outputs.method.where import at_verticals
from tests.outputs import bench_reader
from tests.outputs.told import CAN, laid

ROOT = Path(__file__).resolve().parents[2]
PIECES = sorted((ROOT / "examples").glob("*.motif"))


def can_grid(columns: int) -> BandGrid:
    piece = laid(f"{CAN} motif m {{ grid columns {columns} rows 4 }} piece p {{ form can  band m }}")
    return grid_of(piece.bands[0], piece.form.wall)


def sets_of_places() -> Iterator[tuple[int, list[float]]]:
    """Patterns as motifs make them: some of each column or of every few, with gaps, in panels, at random."""
    dice = random.Random(5)
    fractions = [0.0, 0.125, 0.2, 0.25, 0.3, 1 / 3, 0.5, 0.6, 2 / 3, 0.75, 0.875]
    for _ in range(400):
        columns = dice.choice([5, 7, 8, 12, 15, 16, 18, 24])
        period = dice.choice([p for p in range(1, columns + 1) if columns % p == 0])
        once = dice.sample([c + f for c in range(min(period, 4)) for f in fractions], dice.choice([1, 1, 2, 3, 4]))
        places = sorted({round((x + k) % columns, 6) for k in range(0, columns, period) for x in once})
        if dice.random() < 0.4:
            places = sorted(dice.sample(places, max(1, len(places) - dice.choice([1, 2, 3, 6]))))
        if dice.random() < 0.2:
            low = dice.randrange(columns)
            places = [a for a in places if low <= a <= low + columns // 2] or places
        yield columns, places


def test_words_for_places_mean_those_places() -> None:
    told = 0
    for columns, places in sets_of_places():
        words = at_verticals(Row(1.0, np.array(places)), can_grid(columns), "mm")
        if words is None:
            assert len(places) > 16, places
            continue
        told += 1
        read = bench_reader.verticals(words, columns, 240 / columns)
        assert len(read) == len(places), (words, places)
        # half a millimetre on columns 240 mm / n wide
        assert np.allclose(read, places, atol=0.5 * columns / 240), (words, places)
    assert told > 300


#: ``Press a dot on rings 0 and 2 and at tape 31 mm (…), at every vertical: 6 on each``: levels, verticals.
_LEVELS = r"(?:on rings? \d+(?:(?:, | and | to )\d+)*)?(?: and )?(?:at tapes? [\d., and]+ mm(?: \([^)]*\))?)?"
_MARK = re.compile(rf"(?:Press|Set|Pierce|Paint) (?:a dot|“[^”]+”) ({_LEVELS}), (.+): \d+(?: on each)?(?:, .+)?\.")
_TECHNIQUES = {"Impress": "impress", "Join": "attach", "Pierce": "pierce", "Paint": "paint"}


@pytest.mark.parametrize("path", PIECES, ids=lambda p: p.stem)
def test_marks_told_are_the_marks_made(path: Path) -> None:
    """Every dot and footprint that the order of work of an example tells in words lies where it says, and where it
    sends nobody to the mark table all are told."""
    document = motif.load(path)
    for name in document.pieces:
        piece = document.lay(name)
        assert piece is not None
        for chapter in chapters(piece):
            technique = _TECHNIQUES.get(chapter.title.split(",")[0].split()[0])
            if technique is not None:
                _check_marks(piece, technique, chapter.steps)


def _check_marks(piece: LaidPiece, technique: str, steps: tuple[str, ...]) -> None:
    band = piece.bands[0]
    told = 0
    for step in steps:
        if m := re.match(r"Band (\d+), ", step):
            band = piece.bands[int(m[1]) - 1]
        if m := _MARK.fullmatch(step):
            for tape in bench_reader.tapes(m[1], band.rings.tape):
                told += _found(piece, band, technique, tape, m[2])
    made = sum(
        band.points.works[work].technique == technique for band in piece.bands for work in band.points.work.tolist()
    )
    elsewhere = any("mark table" in step or "the table “Where" in step for step in steps)
    assert told == made or (elsewhere and told < made), (piece.name, technique, told, made)


def _found(piece: LaidPiece, band: LaidBand, technique: str, tape: float, words: str) -> int:
    """How many places ``words`` name on a level, on each of which a mark lies."""
    grid = grid_of(band, piece.form.wall)
    around = math.tau * float(piece.form.wall.radius(tape))
    of_it = np.array([band.points.works[w].technique == technique for w in band.points.work.tolist()])
    # tapes are told to a tenth of a millimetre, places less than half beside a ring as on it
    made = grid.a(band.points.angle[of_it & (np.abs(band.points.tape - tape) < 0.55)])
    named = bench_reader.verticals(words, grid.columns, around / grid.columns)
    for a in named:
        away = np.abs(np.mod(made - a + grid.columns / 2, grid.columns) - grid.columns / 2)
        assert away.min() * around / grid.columns < 0.55, (words, tape)
    return len(named)
