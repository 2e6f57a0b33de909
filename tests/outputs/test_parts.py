"""Flat sheets in parts, and where they are cut, read back from the printed pages and held against plain geometry."""

from __future__ import annotations

import math
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from motif.cli import main
from motif.language.record import changed
from motif.laying.piece import LaidPiece
from motif.outputs.openings import SMALL, Openings
from motif.outputs.printed.book import document
from motif.outputs.printed.paper import paper_of
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import Box, Sketch, TextMark
from motif.outputs.printed.tiles import tile
from motif.outputs.sheets import lay_out
from motif.wall import build_wall
from motif.wall.profile import Station
from tests.outputs import pieces
from tests.outputs.pdf_reader import Leaf, leaves
from tests.outputs.pieces import TURN, beaker, cylinder, tufted_band

#: What the sheets promise, mm.
TRUE = 0.01


def conical(columns: int = 7, panels: tuple[tuple[float, float], ...] = ()) -> LaidPiece:
    """40 mm to 70 mm radius over a height of 150 mm, one cone, too long for the paper."""
    wall = beaker()
    band = tufted_band(wall, columns=columns, rows=4, low=30.0, high=130.0)
    if panels:
        band = changed(band, panels=panels, paths=(), points=pieces.points(wall, [], []))
    return pieces.piece(wall, band, name="beaker")


def cut_lines(pages: list[Leaf]) -> list[Any]:
    """The outlines that flat sheets are cut along: closed, solid, not filled, 0.35 mm, longer than any mark."""
    return [
        line.points
        for page in pages
        for line in page.lines
        if line.closed and not line.dashed and not line.filled and abs(line.weight - 0.35) < 1e-3
        if np.ptp(line.points, axis=0).max() > 50.0
    ]


def sides(outline: Any) -> tuple[list[float], list[float]]:
    """The lengths of the straight ends of a ring's part, and of the bent edges between them, mm.

    Its corners are where it turns by more than 45 degrees."""
    points = outline[:-1] if np.allclose(outline[0], outline[-1], atol=1e-9) else outline
    steps = np.roll(points, -1, axis=0) - points
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    turn = np.abs((heading - np.roll(heading, 1) + math.pi) % TURN - math.pi)
    (corners,) = np.nonzero(turn > math.pi / 4)
    assert len(corners) == 4
    long = np.hypot(*steps.T)
    ends = np.roll(corners, -1)
    lengths = [float(np.roll(long, -a)[: (b - a) % len(long)].sum()) for a, b in zip(corners, ends, strict=True)]
    one, other = lengths[::2], lengths[1::2]
    return (one, other) if np.ptp(one) < np.ptp(other) else (other, one)


def test_the_parts_of_a_cone_go_once_round() -> None:
    """Slant and girths of a cone by Pythagoras and 2π r: the ends of all parts are the slant, and together their edges
    are as long as the pot is round."""
    (sheet,) = lay_out(conical(), "fewest").sheets
    low, high = sheet.window.from_tape, sheet.window.to_tape
    outlines = cut_lines(leaves(document(conical())))
    assert len(outlines) == 2
    edges = []
    for outline in outlines:
        ends, bent = sides(outline)
        assert ends == pytest.approx([high - low] * 2, abs=TRUE)  # on a cone tape is the slant itself
        edges.append(sorted(bent))
    slope = 30.0 / math.hypot(30.0, 150.0)
    girths = [math.tau * (40.0 + slope * tape) for tape in (low, high)]
    # chords of the arcs are 0.01 mm at most inside them: over a part that is no more than 0.005 mm of its length
    assert np.sum(edges, axis=0) == pytest.approx(girths, abs=TRUE)


def test_only_panels_get_paper() -> None:
    """Two panels of two columns in twelve: two parts, each a sixth of the way round and named by its verticals."""
    step = TURN / 12
    panels = ((step, 3 * step), (7 * step, 9 * step))
    pages = leaves(document(conical(12, panels)))
    outlines = cut_lines(pages)
    assert len(outlines) == 2
    slope = 30.0 / math.hypot(30.0, 150.0)
    for outline in outlines:
        _, bent = sides(outline)
        assert sorted(bent) == pytest.approx([math.tau * (40 + slope * tape) / 6 for tape in (30, 130)], abs=TRUE)
    words = " ".join(t.words for page in pages for t in page.texts)
    assert "From vertical 2 to 4." in words
    assert "From vertical 8 to 10." in words
    assert "closes to a ring" not in words


def test_gores_without_anything_are_left_out_and_named() -> None:
    """A slim candlestick with rings, worked in one panel only."""
    stations = [Station(10.0 * k, 17.0 if k % 2 else 15.0) for k in range(16)]
    wall = build_wall(stations, smooth=True)
    band = tufted_band(wall, columns=24, rows=6, low=2.0, high=wall.length - 2.0)
    step = TURN / 24
    kept = [p for p in band.paths if p.points[:, 0].min() >= 0.0 and p.points[:, 0].max() <= 4 * step + 1e-9]
    line = np.column_stack([np.full(30, step), np.linspace(10.0, wall.length - 10.0, 30)])
    kept.append(pieces.path(pieces.work("carve"), line))
    half = changed(band, panels=((0.0, 4 * step),), paths=tuple(kept), points=pieces.points(wall, [], []))
    piece = pieces.piece(wall, half, name="ball")
    layout = lay_out(piece, "fewest")
    assert layout.flat == "gores"
    pages = leaves(document(piece))
    words = " ".join(t.words for page in pages for t in page.texts)
    printed = {int(n) for n in re.findall(r"ball: flat sheet (\d+) of", words)}
    carrying = {s.number for s in layout.sheets if s.window.from_angle < step < s.window.to_angle}
    carrying |= {s.number for s in layout.sheets if abs(s.window.to_angle - step) < 1e-9}
    carrying |= {s.number for s in layout.sheets if abs(s.window.from_angle - step) < 1e-9}
    assert printed == carrying
    assert re.search(r"Flat sheets .* would carry nothing and are left out\.", words)


def test_a_sheet_is_cut_open_beside_the_marks() -> None:
    """Pellets 14 mm across on every vertical: by plain arithmetic no cut comes nearer than half of that."""
    wall = cylinder()
    piece = pieces.piece(wall, tufted_band(wall, columns=6, rows=6, low=20.0, high=170.0))
    (sheet,) = lay_out(piece, "fewest").sheets
    off = np.remainder(piece.bands[0].points.angle - sheet.window.from_angle + math.pi, TURN) - math.pi
    assert np.abs(off * 60.0).min() > 14.0 / 2 - 0.5 - 1e-6
    plain = changed(piece.bands[0], points=pieces.points(wall, [], []))
    (sheet,) = lay_out(pieces.piece(wall, plain), "fewest").sheets
    assert sheet.window.from_angle == 0.0  # on vertical 1 where nothing lies


def test_where_every_place_is_taken_small_marks_are_cut_and_not_large_ones() -> None:
    """Marks of 4 mm at 24 places and of 20 mm at 6 places, as angles round a pot of 60 mm radius."""
    wall = cylinder()
    work = [pieces.work("impress"), pieces.work("pierce")]
    assert 4.0 < SMALL < 20.0
    rows: list[tuple[Any, ...]] = [(0, False, 1, 1, -1, -1, k * TURN / 6, 100.0, 20.0, 0.0, -1) for k in range(6)]
    rows += [(1, False, 1, 1, -1, -1, k * TURN / 94, 60.0, 4.0, 0.0, -1) for k in range(94)]
    band = changed(tufted_band(wall, columns=6), points=pieces.points(wall, work, rows), paths=())
    openings = Openings.of(pieces.piece(wall, band), 20.0, 180.0)
    best = openings.best(0.0)
    large = np.remainder(np.arange(6) * TURN / 6 - best + math.pi, TURN) - math.pi
    assert np.abs(large * 60.0).min() >= 10.0 - 0.5
    assert openings.best(best + 1e-3, within=1e-6) == best + 1e-3  # no better place so near


def candlestick(*flutes: int, columns: int = 12) -> LaidPiece:
    """A slim candlestick with rings, a flute up the middle of each of the columns numbered, from 0."""
    wall = build_wall([Station(10.0 * k, 17.0 if k % 2 else 15.0) for k in range(16)], smooth=True)
    step = TURN / columns
    up = np.linspace(10.0, wall.length - 10.0, 60)
    lines = [
        pieces.path(pieces.work("carve", depth=1.0), np.column_stack([np.full(60, (k + 0.5) * step), up]))
        for k in flutes
    ]
    band = tufted_band(wall, columns=columns, rows=6, low=5.0, high=wall.length - 5.0)
    band = changed(band, paths=tuple(lines), points=pieces.points(wall, [], []))
    return pieces.piece(wall, band, name="candlestick")


def test_gores_that_carry_the_same_are_named() -> None:
    """A flute in every column, and in every second: by the pattern's own symmetry."""
    count = len(lay_out(candlestick(), "gores").sheets)
    assert 12 % count == 0
    each = 12 // count
    said = words_of(document(candlestick(*range(12))))
    assert f"Flat sheets 1 to {count} carry the same" in said
    # the flutes of the first sheet only: no other sheet is like it, and the others are left out
    said = words_of(document(candlestick(*range(each))))
    assert "carry the same" not in said
    assert f"Flat sheets 2 to {count} would carry nothing" in said


def words_of(content: bytes) -> str:
    return " ".join(" ".join(t.words for t in page.texts) for page in leaves(content))


def test_match_marks_and_joins_keep_clear_of_numbers() -> None:
    """Numbers every 9 mm down a part that is twice as tall as the paper: no join and no cross on any of them."""
    sketch = Sketch()
    for n in range(60):
        sketch.text(8.0, 9.0 * n, str(n), 3.6, anchor="middle")
    part = Part("column", (sketch,), Box(0.0, -4.0, 90.0, 536.0))
    tiling = tile(part, paper_of("a4"), [], [part.box])
    assert len(tiling.windows) > 1
    numbers = [mark.box for mark in sketch.marks if isinstance(mark, TextMark)]
    for join in tiling.joins:
        level = float(join.line[0][1])
        assert not any(box.top < level < box.bottom for box in numbers)
        for x, y in join.marks:
            assert not any(Box(x - 3.4, y - 3.4, x + 3.4, y + 3.4).meets(box) for box in numbers)
    for one, other in pairwise(tiling.windows):
        assert one.bottom - other.top == pytest.approx(12.0, abs=1e-9)  # every overlap is as wide as it should be
        assert max(one.height, other.height) <= paper_of("a4").height + 1e-9


def test_a_smaller_misfit_gives_more_and_lower_rings(tmp_path: Path) -> None:
    """The misfit of a cone falls with the square of its height: a quarter of it takes about twice as many cones."""
    counts = []
    for misfit in ("0.8mm", "0.2mm"):
        path = tmp_path / f"{misfit}.pdf"
        assert main(["sheets", "examples/netted-moon-jar.motif", "--misfit", misfit, "--out", str(path)]) == 0
        (count,) = set(re.findall(r"flat sheet \d+ of (\d+)", words_of(path.read_bytes())))
        counts.append(int(count))
    assert 1.6 <= counts[1] / counts[0] <= 2.4
