"""Drawings of many places worked out as lines, parallels, obstacles and outlines on the wall."""

from __future__ import annotations

import numpy as np

from motif.language.messages import Problem
from motif.language.source import Span
from motif.laying.collect import Collection, Lines, Made, lines_of
from motif.laying.curves import Segments, Tracer
from motif.laying.drawing import Chains, Drawn, Marks, Parallel, Strand, Trimmed
from motif.laying.limits import MOST_PLACES
from motif.laying.obstacles import Shape, finely
from motif.laying.parallels import counter_clockwise, parallels, shapes_of, trails
from motif.laying.piece import Floats, Ints
from motif.laying.places import Numbers
from motif.laying.region import Region
from motif.laying.shapes import ShapeBook
from motif.laying.strokes import Strokes, join, once_only_lines
from motif.laying.telling import drawing_faults

#: a parallel nearer than this is its path, mm
_TOO_NEAR = 1e-6
#: the polygon of a round mark that lines keep clear of, or within, falls short of it by no more than this, mm
_SHORT = 1e-3


class Shaper:
    """Works drawings out on one band."""

    def __init__(self, tracer: Tracer, region: Region) -> None:
        self._tracer = tracer
        self._region = region

    def lines(self, drawn: tuple[Drawn, ...], span: Span, n: int, panel: Ints | None = None) -> tuple[Lines, Ints]:
        """The lines that a drawing makes at n places, each once (in each ``panel``, where that is given), and the
        place of each. Raises ``wrong-kind``."""
        scratch = Collection(MOST_PLACES, self._tracer.limits)
        for copy, d in enumerate(drawn):
            what = d.drawn if isinstance(d, Trimmed) else d
            if isinstance(what, Marks):
                raise Problem(drawing_faults.mark_for_a_line(span))
            numbers = bare_numbers(n)
            made: Strand | Chains
            if isinstance(what, Parallel):
                made, leader = self.parallels(what, n)
                numbers = numbers.at(leader)
            else:
                made = what
            # Lines of two panels are neither one line nor one stroke, though the ring is the same.
            work = np.zeros(len(numbers), dtype=np.int64) if panel is None else panel[numbers.column] + 1
            scratch.add(Made(0, numbers, (copy,), work, made, False, False), span)
        lines = once_only_lines(lines_of(scratch), self._tracer)
        return lines, lines.column

    def parallels(self, p: Parallel, n: int) -> tuple[Chains, Ints]:
        """The parallels of the joined strokes of a path, and the place of each."""
        lines, place = self.lines(p.source, p.span, n)
        strokes = join(lines, self._tracer)
        leader = place[strokes.leader]
        by = p.by[leader]
        if np.any(np.abs(by) < _TOO_NEAR):
            raise Problem(drawing_faults.parallel_at_no_distance(p.span))
        followed = trails(lines, strokes, self._tracer, float(np.abs(by).max(initial=0.0)))
        if p.side in ("outward", "inward"):
            if not lines.encloses.all():
                raise Problem(drawing_faults.parallel_of_an_open_path(p.span, p.side))
            left_is_in = np.array([counter_clockwise(t, self._tracer.wall) for t in followed], dtype=np.bool_)
            by = np.where(left_is_in == (p.side == "inward"), by, -by)
        sides = [by, -by] if p.side == "both" else [by]
        made = [parallels(followed, b, self._tracer, self._region) for b in sides]
        chains = Chains(Segments.joined([c.segments for c, _ in made]), np.concatenate([c.count for c, _ in made]))
        return chains, leader[np.concatenate([o for _, o in made])]

    def shapes(self, drawn: tuple[Drawn, ...], n: int, span: Span) -> list[Shape]:
        """What a drawing makes at n places, as shapes to keep clear of."""
        found: list[Shape] = []
        for d in drawn:
            what = d.drawn if isinstance(d, Trimmed) else d
            found.extend(self._mark_shapes(what) if isinstance(what, Marks) else self._line_shapes(what, n, span))
        return found

    def _line_shapes(self, what: Drawn, n: int, span: Span) -> list[Shape]:
        lines, _ = self.lines((what,), span, n)
        none = np.arange(len(lines))
        alone = Strokes(np.arange(len(lines) + 1), none, np.zeros(len(lines), dtype=np.bool_), lines.encloses, none)
        return shapes_of(trails(lines, alone, self._tracer), self._tracer.wall)

    def _mark_shapes(self, marks: Marks) -> list[Shape]:
        book = ShapeBook(self._tracer.wall, _SHORT)
        # A dot that is drawn again in a turned drawing is the same dot.
        lean = np.zeros_like(marks.lean) if marks.tool is None else marks.lean
        number, _ = book.of(marks.tool, marks.across, marks.tape, lean)
        found = []
        for i, k in enumerate(number.tolist()):
            centre = np.array([[marks.angle[i], marks.tape[i]]])
            found.append(
                Shape(centre, False)
                if k < 0
                else Shape(finely(self._tracer.wall, book.shapes[k] + [marks.angle[i], 0.0]), True)
            )
        return found

    def polygons(self, drawn: tuple[Drawn, ...], span: Span) -> tuple[Floats, ...]:
        """The outline of each place as a fine polygon. Raises ``wrong-kind`` for what has no inside."""
        what = drawn[0].drawn if isinstance(drawn[0], Trimmed) else drawn[0]
        if isinstance(what, Marks):
            shapes = self._mark_shapes(what)
        elif isinstance(what, Strand):
            n = len(what.parts[0]) if what.parts else 0
            scratch = Collection(MOST_PLACES, self._tracer.limits)
            scratch.add(Made(0, bare_numbers(n), (), np.zeros(n, dtype=np.int64), what, False, False), span)
            lines = lines_of(scratch)
            if len(lines) < n or not n:
                raise Problem(drawing_faults.within_nothing(span))
            each = np.arange(n)
            alone = Strokes(np.arange(n + 1), each, np.zeros(n, dtype=np.bool_), lines.encloses, each)
            shapes = shapes_of(trails(lines, alone, self._tracer), self._tracer.wall)
        else:
            shapes = []
        if not shapes or not all(s.closed for s in shapes):
            raise Problem(drawing_faults.within_an_open_path(span))
        return tuple(s.points for s in shapes)


def bare_numbers(n: int) -> Numbers:
    """Numbers that only say which of n places a thing comes from, as its column."""
    none = np.full(n, -1, dtype=np.int64)
    return Numbers(np.arange(n), none, none, none, np.arange(n), np.zeros(n, dtype=np.bool_), none)
