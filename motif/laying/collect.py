"""What the rules of a band make, gathered before strokes are joined and cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from motif.language.messages import Problem
from motif.language.record import changed, record
from motif.language.source import Span
from motif.laying.curves import Segments
from motif.laying.drawing import Chains, Marks, Strand
from motif.laying.limits import Limits
from motif.laying.obstacles import Trim
from motif.laying.piece import Floats, Ints, Work
from motif.laying.places import Numbers
from motif.laying.telling import limit_faults
from motif.model.values import ToolSizes

Bools = NDArray[np.bool_]


@record
class Made:
    """What one line of the text makes at many places: ``numbers`` where it belongs, ``work`` numbers in the
    collection, ``keys`` the order in which a potter would make them at one place."""

    rule: int
    numbers: Numbers
    keys: tuple[Ints | int, ...]
    work: Ints
    drawn: Strand | Chains | Marks
    unbroken: bool
    over_area: bool
    trim: Trim | None = None


@dataclass
class Collection:
    """All that is made on a band; refuses to grow past ``limit`` marks, or lines too many to be followed."""

    limit: int
    limits: Limits
    works: list[Work] = field(default_factory=list)
    made: list[Made] = field(default_factory=list)
    count: int = 0
    segments: int = 0
    #: work, numbers and tape of the places of statements whose parallels leave nothing
    nothing_left: list[tuple[Ints, Numbers, Floats]] = field(default_factory=list)
    _known: dict[tuple[object, ...], int] = field(default_factory=dict)

    def add(self, made: Made, span: Span) -> None:
        """Take in what a line makes. Raises ``too-many-marks``."""
        self.count += len(made.numbers)
        if self.count > self.limit:
            raise Problem(limit_faults.marks(span, self.count, self.limit))
        if not isinstance(made.drawn, Marks):
            self.segments += made.drawn.segment_count
            self.limits.check_stretches(self.segments, span)
        self.made.append(made)

    def work(
        self,
        technique: str,
        tool: ToolSizes | None,
        colour: str | None,
        depth: float | None,
        width: float | None,
        pitch: float | None,
        span: Span,
    ) -> int:
        """The number of a way of working; equal ways have one number."""
        key = (
            technique,
            tool and tool.name,
            colour,
            *(None if v is None else round(v, 9) for v in (depth, width, pitch)),
        )
        number = self._known.get(key)
        if number is None:
            number = self._known[key] = len(self.works)
            self.works.append(Work(technique, tool, colour, depth, width, pitch, span))
        return number


@record
class Lines:
    """All lines and outlines of a band in drawing order: line i has segments ``first[i]`` … ``first[i + 1]``.

    ``panel`` numbers the panel that a line drawn once in each belongs to (−1: to none). ``trim`` numbers what is left
    of it in ``trims`` (−1: all), as which ``entry`` of that."""

    segments: Segments
    first: Ints
    work: Ints
    encloses: Bools
    over_area: Bools
    unbroken: Bools
    column: Ints
    row: Ints
    vertical: Ints
    ring: Ints
    panel: Ints
    trim: Ints
    entry: Ints
    trims: tuple[Trim, ...] = ()

    def __len__(self) -> int:
        return len(self.work)

    def at(self, chosen: Ints) -> Lines:
        """Some of the lines, in the order given."""
        counts = np.diff(self.first)[chosen]
        first = np.concatenate([[0], np.cumsum(counts)])
        index = np.repeat(self.first[:-1][chosen] - first[:-1], counts) + np.arange(first[-1])
        return Lines(
            self.segments.at(index),
            first,
            self.work[chosen],
            self.encloses[chosen],
            self.over_area[chosen],
            self.unbroken[chosen],
            self.column[chosen],
            self.row[chosen],
            self.vertical[chosen],
            self.ring[chosen],
            self.panel[chosen],
            self.trim[chosen],
            self.entry[chosen],
            self.trims,
        )


@record
class Spots:
    """All point marks of a band in drawing order. ``home`` and ``image`` as in ``Places``, ``home`` made to
    tell apart the marks of one line at one place."""

    angle: Floats
    tape: Floats
    across: Floats
    lean: Floats
    is_footprint: Bools
    work: Ints
    column: Ints
    row: Ints
    vertical: Ints
    ring: Ints
    image: Bools
    home: Ints
    panel: Ints

    def __len__(self) -> int:
        return len(self.angle)

    def at(self, chosen: Ints | Bools) -> Spots:
        return changed(self, **{name: column[chosen] for name, column in vars(self).items()})


def _order(batches: list[Made]) -> Ints:
    """Drawing order over all the batches laid end to end: rule, place, then the keys in turn."""
    rule = np.repeat([m.rule for m in batches], [len(m.numbers) for m in batches])
    return np.lexsort([rule, _numbers(batches, "home"), *_keys(batches)][::-1])


def _keys(batches: list[Made]) -> list[Ints]:
    """The keys in turn over all the batches laid end to end; 0 for those that a batch lacks."""
    return [
        np.concatenate([np.broadcast_to(m.keys[k] if k < len(m.keys) else 0, (len(m.numbers),)) for m in batches])
        for k in range(max(len(m.keys) for m in batches))
    ]


def _numbers(batches: list[Made], name: str) -> Ints:
    return np.concatenate([getattr(m.numbers, name) for m in batches])


def lines_of(collection: Collection) -> Lines:
    """The lines and outlines that were made, in drawing order."""
    batches = [m for m in collection.made if not isinstance(m.drawn, Marks)]
    none = np.zeros(0, dtype=np.int64)
    if not batches:
        no = none.astype(np.bool_)
        first = np.zeros(1, dtype=np.int64)
        return Lines(Segments.joined([]), first, none, no, no, no, none, none, none, none, none, none, none)
    parts: list[Segments] = []
    counts: list[Ints] = []
    for m in batches:
        assert not isinstance(m.drawn, Marks)
        segments, number = m.drawn.flat()
        parts.append(segments)
        counts.append(number)
    count = np.concatenate(counts)
    sizes = [len(m.numbers) for m in batches]
    trims = [m.trim for m in batches if m.trim is not None]
    trim = np.repeat([-1 if m.trim is None else trims.index(m.trim) for m in batches], sizes)
    entry = np.concatenate([np.arange(n) for n in sizes])

    def each(values: list[bool]) -> Bools:
        return np.repeat(np.array(values), sizes)

    segments = Segments.joined(parts)
    moves = segments.moves()
    if not moves.all():
        count = np.bincount(np.repeat(np.arange(len(count)), count)[moves], minlength=len(count))
        segments = segments.at(moves)
    lines = Lines(
        segments,
        np.concatenate([[0], np.cumsum(count)]),
        np.concatenate([m.work for m in batches]),
        each([m.drawn.encloses for m in batches if not isinstance(m.drawn, Marks)]),
        each([m.over_area for m in batches]),
        each([m.unbroken for m in batches]),
        _numbers(batches, "column"),
        _numbers(batches, "row"),
        _numbers(batches, "vertical"),
        _numbers(batches, "ring"),
        _numbers(batches, "panel"),
        trim,
        entry,
        tuple(trims),
    )
    order = _order(batches)
    return lines.at(order[count[order] > 0])


def led_nowhere(collection: Collection) -> Iterator[tuple[Ints, Numbers, Segments]]:
    """The lines made that stay where they begin, and so are none: their work, where they belong, and their starts."""
    for m in collection.made:
        if isinstance(m.drawn, Marks):
            continue
        segments, number = m.drawn.flat()
        ends = np.cumsum(number)
        moves = np.concatenate([[0], np.cumsum(segments.moves())])
        still = np.flatnonzero((number > 0) & (moves[ends] == moves[ends - number]))
        if len(still):
            yield m.work[still], m.numbers.at(still), segments.at((ends - number)[still])


def spots_of(collection: Collection) -> Spots:
    """The point marks that were made, in drawing order."""
    batches = [m for m in collection.made if isinstance(m.drawn, Marks)]
    if not batches:
        none, nought = np.zeros(0, dtype=np.int64), np.zeros(0)
        no = none.astype(np.bool_)
        return Spots(nought, nought, nought, nought, no, none, none, none, none, none, no, none, none)
    drawn = [m.drawn for m in batches if isinstance(m.drawn, Marks)]
    sizes = [len(m.numbers) for m in batches]
    number = np.repeat(np.arange(len(batches)), sizes)
    home = np.concatenate([m.numbers.home for m in batches])
    image = np.concatenate([m.numbers.image for m in batches])
    if image.any():  # one number for a mark and its image
        home = np.unique(np.stack([number, home, *_keys(batches)]), axis=1, return_inverse=True)[1].reshape(-1)
    spots = Spots(
        np.concatenate([d.angle for d in drawn]),
        np.concatenate([d.tape for d in drawn]),
        np.concatenate([d.across for d in drawn]),
        np.concatenate([d.lean for d in drawn]),
        np.repeat(np.array([d.tool is not None for d in drawn]), sizes),
        np.concatenate([m.work for m in batches]),
        _numbers(batches, "column"),
        _numbers(batches, "row"),
        _numbers(batches, "vertical"),
        _numbers(batches, "ring"),
        image,
        home,
        _numbers(batches, "panel"),
    )
    return spots if len(batches) == 1 and len(batches[0].keys) == 1 else spots.at(_order(batches))
