"""Whole outputs in inches against exact fractions: the international inch is 25.4 mm (record 7.inch)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

import motif
from motif.laying.piece import LaidPiece
from motif.outputs import counts, mark_tables, marks, summary
from motif.outputs.method import chapters
from motif.outputs.tables import Phrase, Table, people_cell, remarks
from tests.reference import record

ROOT = Path(__file__).resolve().parents[2]
INCH = Fraction(str(record("7.inch")["expected"]))
HALF = Fraction(1, 64) + Fraction(1, 10**6)
NAMES = ("tufted-bottle", "ringed-moon-jar", "pointed-vase", "tea-jar")


def inches(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))


@cache
def example(name: str) -> LaidPiece:
    document = motif.load(ROOT / "examples" / f"{name}.motif")
    piece = document.lay(name)
    assert piece is not None
    return piece


def all_tables(piece: LaidPiece) -> Iterator[Table]:
    yield from mark_tables.tables(piece, "in")
    yield from counts.tables(piece, "in")
    yield summary.table(piece, "in")
    yield from (table for chapter in chapters(piece, "in") for table in chapter.tables)


@pytest.mark.parametrize("name", NAMES)
def test_every_length_of_every_table_is_within_half_of_a_thirty_second(name: str) -> None:
    looked_at = 0
    for table in all_tables(example(name)):
        most = Fraction(0)
        for row in table.rows:
            for cell, column in zip(row, table.columns, strict=True):
                if column.kind == "length" and isinstance(cell, float):
                    off = abs(inches(people_cell(cell, "length", "in")) - Fraction(cell) / INCH)
                    most = max(most, off)
                    looked_at += 1
                    assert off <= HALF, (table.title, column.heading, cell)
                    assert people_cell(cell, "length", "in") != "0" or cell < 0.02
        said = [
            float(m[1]) for r in remarks(table, "in") if (m := re.search(r"largest rounding here is (0\.\d+) in", r))
        ]
        assert len(said) <= 1
        assert not said or said[0] >= float(most) - 0.0005, "what is said covers every cell"
        assert said or most * INCH < Fraction(6, 1000)
    assert looked_at > 20


@pytest.mark.parametrize("name", NAMES)
def test_marks_along_a_ring_are_listed_each_at_its_own_place(name: str) -> None:
    """Places, or steps so near that the last is off by no more than a quarter of a millimetre."""
    piece = example(name)
    true = {
        round(float(along) / 25.4, 4)
        for band in piece.bands
        for along in marks.along_ring(band, band.points.angle, band.points.radius).tolist()
    }
    nearest = sorted(true)
    listed = 0
    for table in mark_tables.tables(piece, "in"):
        for cell in (c for row in table.rows for c in row if isinstance(c, Phrase)):
            text = cell.text("in")
            if not re.fullmatch(r"[\d/ ,.]+", text):
                continue
            for place in text.split(", "):
                assert min(abs(float(inches(place)) - t) for t in nearest) <= 1 / 64 + 2e-4, place
                listed += 1
    assert listed > 10 or name == "tufted-bottle"
