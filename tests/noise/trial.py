"""One input: read, checked, all its pieces laid, and for some everything written, with what must hold of each."""

from __future__ import annotations

import csv
import io
import json
import xml.etree.ElementTree as ElementTree

import numpy as np

import motif
from motif.language.messages import CODES, Message
from motif.laying.limits import LIMIT
from motif.laying.piece import LaidPiece
from motif.outputs import backends, report
from motif.outputs.sheets import CannotUnrollError


def try_text(text: str, *, outputs: bool) -> str:
    """What came of it: ``refused`` or ``laid``. Raises whatever goes wrong, ``AssertionError`` for what must hold."""
    document = motif.loads(text)
    pieces = [document.lay(name) for name in document.pieces]
    messages = document.messages.sorted()
    _check_messages(messages, text)
    for piece in pieces:
        if piece is None:
            assert document.messages.has_errors, "a piece is missing, and nothing says why"
            continue
        check_piece(piece)
        if outputs:
            check_outputs(piece)
    return "laid" if any(p is not None for p in pieces) else "refused"


def _check_messages(messages: list[Message], text: str) -> None:
    for m in messages:
        assert m.code in CODES
        assert m.text.strip(), m
        for span in (m.span, *(place for place, _ in m.others)):
            if span is not None:
                assert 0 <= span.start <= span.end <= len(span.source.text), m
    for drawn in (report.to_lines(messages), report.to_terminal(messages, colour=False)):
        assert not any((ord(c) < 32 and c != "\n") or 127 <= ord(c) < 160 for c in drawn), "a control is shown"
    json.dumps(report.to_json(messages), allow_nan=False)
    report.table(messages)


def check_piece(piece: LaidPiece) -> None:
    """Everything laid has a place on the wall, and there is not too much of it."""
    length = piece.form.wall.length
    assert np.isfinite(length)
    assert length > 0
    made = 0
    for band in piece.bands:
        p = band.points
        made += len(p)
        for values in (p.angle, p.tape, p.height, p.radius, p.lean, p.area):
            assert np.all(np.isfinite(values)), "a mark has no place"
        assert np.all((p.angle >= 0) & (p.angle < 2 * np.pi))
        assert np.all((p.tape >= 0) & (p.tape <= length))
        tapes = band.rings.tape
        assert np.all(np.isfinite(tapes))
        step = np.diff(tapes)
        assert np.all(step > 0) or np.all(step < 0), "rings do not follow one another"
    for path in (*piece.paths, *(p for band in piece.bands for p in band.paths)):
        assert np.all(np.isfinite(path.points)), "a line has no place"
        assert np.isfinite(path.length), "a line has no length"
        assert path.length >= 0
        assert np.isfinite(path.area)
        assert path.area >= 0
        assert np.all((path.points[:, 1] > -1e-3) & (path.points[:, 1] < length + 1e-3)), "a line leaves the wall"
    assert made <= LIMIT


def check_outputs(piece: LaidPiece) -> None:
    """Whatever ``prepare`` writes can be read."""
    try:
        files = backends.prepare(piece)
    except CannotUnrollError:
        return
    for name, content in files.items():
        if name.endswith(".svg"):
            ElementTree.fromstring(content)
        elif name.endswith(".json"):
            json.loads(content, parse_constant=_no_number)
        elif name.endswith(".csv"):
            rows = list(csv.reader(io.StringIO(content.decode())))
            for row in rows:
                for cell in row:
                    assert not cell.startswith(("=", "+", "@", "\t", "\r")), cell
                    assert not cell.startswith("-") or _is_number(cell), cell


def _no_number(text: str) -> float:
    raise AssertionError(f"{text} in JSON")


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
