"""Rings and verticals that crowd: a drawing leaves out what paper cannot show and says so, data leave out nothing.

A can 360 mm round and 200 mm tall: distances are those of plane geometry."""

from __future__ import annotations

import json

import numpy as np
import pytest

import motif
from motif.laying.piece import LaidPiece
from motif.outputs import json_text, unroll, view
from motif.outputs.grid_lines import NEAREST, grid_of
from motif.outputs.seen import look
from motif.outputs.sheets import lay_out

TEXT = """
form can {{ profile straight {{ at 0 mm around 360 mm at 200 mm around 360 mm }} }}
motif m {{ grid columns {columns} rows {rows} once {{ paint dot at (0, 0) }} }}
piece p {{ form can {bands} }}
"""
SAID = "only some are drawn"


def piece(columns: int, rows: int, bands: str = "band m from foot to rim") -> LaidPiece:
    document = motif.loads(TEXT.format(columns=columns, rows=rows, bands=bands))
    laid = document.lay("p")
    assert laid is not None, document.messages.sorted()
    return laid


def test_what_there_is_room_for_is_drawn() -> None:
    """0.36 mm and 0.4 mm from one to the next."""
    roomy = piece(1000, 500)
    grid = grid_of(roomy, NEAREST)
    assert grid.whole
    assert (len(grid.rings), len(grid.verticals)) == (501, 1000)
    for flat in ("rollout", "fewest"):
        assert SAID not in unroll.as_svg(roomy, lay_out(roomy, flat))  # type: ignore[arg-type]


@pytest.mark.parametrize("columns", [1201, 5000, 20_000])
def test_verticals_that_crowd(columns: int) -> None:
    crowded = piece(columns, 2)
    grid = grid_of(crowded, NEAREST)
    assert not grid.whole
    assert len(grid.rings) == 3
    apart = np.diff(np.sort(grid.verticals.at)) * 360 / (2 * np.pi)
    # The first and the last stay, wherever the others are.
    assert NEAREST <= np.median(apart) < 3 * NEAREST
    assert {1, columns} <= set(grid.verticals.number.tolist())
    for flat in ("rollout", "fewest"):
        layout = lay_out(crowded, flat)  # type: ignore[arg-type]
        assert SAID in unroll.as_svg(crowded, layout)
    data = json.loads(json_text.dumps(unroll.as_json(crowded, lay_out(crowded, "fewest"))))
    assert len({v["vertical"] for sheet in data["sheets"] for v in sheet["verticals"]}) == columns


def test_rings_that_crowd() -> None:
    grid = grid_of(piece(4, 10_000), NEAREST)
    assert grid.rings.number.tolist() == [*range(0, 10_000, 20), 10_000]
    assert np.median(np.diff(grid.rings.at)) == pytest.approx(0.4)


def test_bands_on_one_another_have_the_lines_of_the_first() -> None:
    one = grid_of(piece(100, 60), NEAREST)
    many = grid_of(piece(100, 60, "band m from foot to rim " * 30), NEAREST)
    assert many.verticals.at.tolist() == one.verticals.at.tolist()
    assert many.rings.at.tolist() == one.rings.at.tolist()
    assert set(many.rings.band.tolist()) == {1}
    assert one.whole
    assert not many.whole


def test_bands_beside_one_another_do_not_crowd() -> None:
    """The ring between two bands belongs to both."""
    both = piece(600, 300, "band m from foot to foot + 100 mm band m from foot + 100 mm to rim")
    assert grid_of(both, NEAREST).whole
    assert len(grid_of(both, NEAREST).rings) == 2 * 301


def test_views_leave_out_what_crowds_in_their_own_size() -> None:
    """A view all round is in half size: 0.5 mm from one to the next are 0.25 mm there."""
    laid = piece(720, 2)
    assert SAID not in view.svg(laid)
    assert SAID in view.svg(laid, all_round=True)


@pytest.mark.parametrize("turns", [1, 2, 3, 40])
def test_of_a_line_round_and_round_a_can_half_is_seen(turns: int) -> None:
    """Seen level a can shows what lies within a quarter turn of the middle, to either side."""
    text = TEXT.format(columns=1, rows=1, bands="band m from foot to rim")
    document = motif.loads(text.replace("paint dot at (0, 0)", f"carve from (0, 0) line to ({turns}, 1)"))
    laid = document.lay("p")
    assert laid is not None
    seen = look(laid, 0.0, 0.0)
    (path,) = seen.bands[0].paths
    across = 360 / np.pi
    # The first and the last part are halves: the line begins and ends in the middle.
    assert len(path.lines) == turns + 1
    wide = [np.ptp(line[:, 0]) for line in path.lines]
    assert wide == pytest.approx([across / 2, *([across] * (turns - 1)), across / 2], abs=0.02)
    tall = sum(np.ptp(line[:, 1]) for line in path.lines)
    assert tall == pytest.approx(100, abs=0.02)
