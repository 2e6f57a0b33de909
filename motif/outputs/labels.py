"""Names on drawings: numbers at the ends of rings and verticals, the names of patches, the starting mark.

Where a name goes is worked out in paper millimetres, y up, so that a sheet knows how much room it takes before
it has a place on a page.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from motif.language.record import changed, record
from motif.laying.piece import LaidPiece
from motif.outputs.drawn import DrawnLine, DrawnSheet, Floats, Sheet
from motif.outputs.pen import Pen
from motif.outputs.styles import FAINT

#: Size of type of names and other words (mm); capitals and figures are 0.72 of it, at least 2.5 mm high.
BODY = 3.6
#: Width of an average letter in parts of the size, on the wide side so that nothing runs over.
LETTER = 0.56
#: Half the height of figures in parts of the size: from the middle of a name down to its baseline.
_HALF_FIGURE = 0.36
#: Names on one another: nearer than this in parts of the size.
_LINE = 1.1
#: How far (mm) a name that was moved aside stands off further, for the line that leads to it.
_LEADER = 2.5
#: Width of the white drawn round a name that lies on the pattern (mm).
_HALO = 1.2
_PAPER = "#ffffff"
#: A tick at the starting mark sticks out by this, and its name stands below the numbers (mm).
_TICK, _BELOW_NUMBERS = 2.0, 4.4
_START = "start"

Place = Callable[[Floats], Floats]


@record
class Label:
    """``words`` about the middle (x, y), ``turned`` degrees clockwise; ``leader`` goes from what is named to it.

    ``on_pattern`` names have white round them."""

    words: str
    x: float
    y: float
    turned: float = 0.0
    leader: Floats | None = None
    on_pattern: bool = False

    @property
    def box(self) -> Floats:
        """Its lower left and upper right corners, (2, 2)."""
        half = np.array([LETTER * len(self.words), _LINE]) * BODY / 2
        if self.turned % 180:
            half = half[::-1]
        return np.array([[self.x, self.y] - half, [self.x, self.y] + half])

    def covers(self, other: Label) -> bool:
        """Whether the two stand on one another, or so close that they read as one."""
        wide = BODY * (LETTER * (len(self.words) + len(other.words)) / 2 + 0.3)
        return abs(self.x - other.x) < wide and abs(self.y - other.y) < BODY * _LINE


def write(pen: Pen, labels: Sequence[Label], place: Place) -> None:
    """Leaders, then the white round names on the pattern, then all names."""
    pen.lines(
        [place(label.leader) for label in labels if label.leader is not None],
        stroke=FAINT,
        stroke_width=0.2,
        fill="none",
    )
    for label in labels:
        if label.on_pattern:
            _write(pen, label, place, fill=_PAPER, stroke=_PAPER, stroke_width=_HALO, stroke_linejoin="round")
    for label in labels:
        _write(pen, label, place)


def _write(pen: Pen, label: Label, place: Place, **style: Any) -> None:
    x, y = place(np.array([label.x, label.y])).tolist()
    down = _HALF_FIGURE * BODY
    turned = math.radians(label.turned)
    pen.text(
        x - down * math.sin(turned),
        y + down * math.cos(turned),
        label.words,
        BODY,
        anchor="middle",
        turned=label.turned,
        **style,
    )


# ---------------------------------------------------------------- rings and verticals


def beyond(lines: Sequence[DrawnLine], names: Callable[[DrawnLine], str], off: float = 3.0) -> list[tuple[int, Label]]:
    """A name ``off`` mm beyond the first point of each line, with the line's number."""
    found: list[tuple[int, Label]] = []
    for line in lines:
        name = names(line)
        way = line.line[0] - line.line[1]
        long = math.hypot(*way)
        # A ring round the middle of a closed end is a point; its name stands to the left.
        way = way / long if long > 0 else np.array([-1.0, 0.0])
        x, y = (line.line[0] + way * (off + 0.25 * BODY * len(name) * abs(way[0]))).tolist()
        found.append((line.number, Label(name, x, y)))
    return found


def thinned(labels: Sequence[tuple[int, Label]]) -> list[Label]:
    """The names without those that would stand on others.

    Where all would crowd, every second, fifth, tenth … is kept, and always the first. Where a sheet closes on
    itself, as a disc does, the vertical of the cut is named once."""
    first = {label.words: label for _, label in reversed(labels)}
    labels = [(n, label) for n, label in labels if label is first[label.words] or not label.covers(first[label.words])]
    step = next(
        (
            step
            for step in _STEPS
            if not any(a.covers(b) for a, b in pairwise(label for number, label in labels if number % step == 0))
        ),
        _STEPS[-1],
    )
    taken: list[Label] = []
    for number, label in labels:
        if (number % step == 0 or number == 1) and not any(label.covers(other) for other in taken):
            taken.append(label)
    return taken


_STEPS = (1, 2, 5, 10, 20, 50, 100)


def spread(lines: Sequence[DrawnLine], names: Callable[[DrawnLine], str], off: float = 3.0) -> list[Label]:
    """Names beyond the first points of rings, moved apart along the sheet's side where rings are near, with a
    line that leads from the ring to its name. Where there are more than there is room for, every second,
    fifth, tenth … is named."""
    lines = sorted(lines, key=lambda line: (line.where, line.band, line.number))
    if not lines:
        return []
    ends = np.array([line.line[0] for line in lines])
    side = ends[-1] - ends[0]
    room = float(math.hypot(*side))
    up = side / room if room > 0 else np.array([0.0, 1.0])
    longest = max(len(names(line)) for line in lines)
    apart = min(BODY * (LETTER * longest + 0.3) / max(abs(up[0]), 1e-9), BODY * _LINE / max(abs(up[1]), 1e-9))
    step = next((s for s in _STEPS if _count(lines, s) * apart <= room + 4 * apart), _STEPS[-1])
    chosen = [line for line in lines if line.number % step == 0]
    labels = [label for _, label in beyond(chosen, names, off)]
    level = np.array([[label.x, label.y] for label in labels]) @ up
    result: list[Label] = []
    for line, label, moved in zip(chosen, labels, (_apart(level, apart) - level).tolist(), strict=True):
        if abs(moved) < 0.05:
            result.append(label)
            continue
        end = line.line[0]
        out = np.array([label.x, label.y]) - end
        out = out / math.hypot(*out)
        middle = np.array([label.x, label.y]) + up * moved + out * _LEADER
        touch = middle - out * (BODY * LETTER * len(label.words) / 2 * abs(out[0]) + BODY * 0.5 * abs(out[1]) + 0.4)
        leader = np.array([end + out * 0.5, touch])
        result.append(changed(label, x=float(middle[0]), y=float(middle[1]), leader=leader))
    return result


def at_far_end(lines: Sequence[DrawnLine]) -> list[DrawnLine]:
    """The same lines run the other way, so that their names go to their other ends."""
    return [changed(line, line=line.line[::-1]) for line in lines]


def _count(lines: Sequence[DrawnLine], step: int) -> int:
    return sum(line.number % step == 0 for line in lines)


def _apart(level: Floats, apart: float) -> Floats:
    """Rising ``level`` (n,) moved as little as may be, by least squares, so that no two are nearer than ``apart``.

    Pool adjacent violators (Ayer et al., Annals of Mathematical Statistics 26, 1955, from memory) on the levels
    less what they must lie apart."""
    offsets = apart * np.arange(len(level))
    pools: list[tuple[float, int]] = []
    for value in (level - offsets).tolist():
        mean, count = value, 1
        while pools and pools[-1][0] > mean:
            before, many = pools.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        pools.append((mean, count))
    return np.repeat([mean for mean, _ in pools], [count for _, count in pools]) + offsets


# ---------------------------------------------------------------- patches and the starting mark


def reserve_names(drawn: DrawnSheet) -> list[Label]:
    """The name of every patch kept free, in the middle of what of it is on the sheet."""
    return [
        Label(patch.reserve.name, float(patch.middle[0]), float(patch.middle[1]), on_pattern=True)
        for patch in drawn.reserves
        if patch.middle is not None
    ]


def turned_from_start(piece: LaidPiece) -> bool:
    """Whether some band's vertical 1 lies elsewhere than the starting mark."""
    return any(len(b.verticals) and abs(math.remainder(float(b.verticals[0]), math.tau)) > 1e-9 for b in piece.bands)


def starting_mark(sheet: Sheet) -> tuple[list[Floats], list[Label]]:
    """Ticks below the foot end of a sheet where the pot's starting mark lies, and their names."""
    ticks: list[Floats] = []
    names: list[Label] = []
    w = sheet.window
    for turn in range(math.ceil(w.from_angle / math.tau - 1e-9), math.floor(w.to_angle / math.tau + 1e-9) + 1):
        foot, above = sheet.place(np.array([[turn * math.tau, w.from_tape], [turn * math.tau, w.from_tape + 1.0]]))
        out = (foot - above) / (math.hypot(*(foot - above)) or 1.0)
        ticks.append(np.array([foot, foot + out * _TICK]))
        # Beside a number, not below it, the word needs room for its length.
        off = 3.0 + _BELOW_NUMBERS + LETTER * BODY * len(_START) / 2 * abs(float(out[0]))
        x, y = (foot + out * off).tolist()
        names.append(Label(_START, x, y))
    return ticks, names
