"""What outputs share is worked out once in a run, and nothing holds a piece when the run is over."""

from __future__ import annotations

import gc
import weakref

import motif
from motif.outputs import backends, view
from motif.outputs.method.chapters import chapters
from motif.outputs.once import one_run
from motif.outputs.sheets import lay_out
from tests.test_project import README, block


def laid() -> motif.Piece:
    document = motif.loads(block(README, "motif"))
    piece = document.lay(document.pieces[0])
    assert piece is not None
    return piece


def test_a_run_works_nothing_out_twice() -> None:
    piece = laid()
    with one_run():
        first = lay_out(piece, "fewest"), chapters(piece)
        with one_run():
            assert (lay_out(piece, "fewest"), chapters(piece)) == first
        assert (lay_out(piece, "fewest"), chapters(piece)) == first
        assert lay_out(piece, "fewest", misfit=0.1) != first[0]
    assert lay_out(piece, "fewest") != first[0]  # records are equal when they are one


def test_nothing_holds_a_piece_after_its_outputs() -> None:
    piece = laid()
    backends.prepare(piece)
    view.svg(piece, all_round=True)
    gone = [weakref.ref(piece), weakref.ref(piece.form.wall), weakref.ref(piece.bands[0])]
    del piece
    gc.collect()
    assert [one() for one in gone] == [None, None, None]
