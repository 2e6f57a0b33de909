"""Geometry of the text, worked out over all the places where it is drawn at once."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np

from motif.language.messages import Problem
from motif.language.record import record
from motif.language.source import Span
from motif.laying.clay import ARC, ROUND, arcs, circles, taut_chains, taut_middles
from motif.laying.curves import Segments, conics, cubics, lines
from motif.laying.findings import Finding, Findings
from motif.laying.frames import Frame, Surveyor
from motif.laying.limits import MOST_TAUT_TURNS, Limits, check_length
from motif.laying.piece import Floats, Ints
from motif.laying.telling import drawing_faults
from motif.model import geometry as geo
from motif.model.expressions import Expr, above_zero, mentions_chord
from motif.model.flat import arc_by_rise, arc_through, bezier_coefficients
from motif.model.values import Env, Slot, ToolSizes, over
from motif.wall.rings import closed_ends


@record
class Strand:
    """One line or outline at each of n places: ``parts`` are its segments in order of travel, each n long.

    ``encloses``: it has an area (made by ``close``, ``rectangle`` or ``circle``)."""

    parts: tuple[Segments, ...]
    encloses: bool

    @property
    def segment_count(self) -> int:
        return len(self.parts) * len(self.parts[0]) if self.parts else 0

    def at(self, chosen: Ints) -> Strand:
        return Strand(tuple(p.at(chosen) for p in self.parts), self.encloses)

    def flat(self) -> tuple[Segments, Ints]:
        """All segments line by line, and how many each line has."""
        k = len(self.parts)
        n = len(self.parts[0]) if k else 0
        index = (np.arange(n)[:, None] + n * np.arange(k)[None, :]).ravel()
        return Segments.joined(list(self.parts)).at(index), np.full(n, k)


@record
class Chains:
    """Lines of any number of segments each, line by line; ``count`` (n,) segments."""

    segments: Segments
    count: Ints
    encloses: bool = False

    @property
    def segment_count(self) -> int:
        return len(self.segments)

    def flat(self) -> tuple[Segments, Ints]:
        return self.segments, self.count


@record
class Marks:
    """One dot (``tool`` None) or footprint at each of n places; ``lean`` and ``across`` (n,), radians and mm."""

    angle: Floats
    tape: Floats
    tool: ToolSizes | None
    across: Floats
    lean: Floats

    def at(self, chosen: Ints) -> Marks:
        return Marks(self.angle[chosen], self.tape[chosen], self.tool, self.across[chosen], self.lean[chosen])


@record
class Parallel:
    """The parallels of a path, worked out where it is made, since its strokes are those of the places there."""

    source: tuple[Drawn, ...]
    side: str
    by: Floats
    span: Span

    def at(self, chosen: Ints) -> Parallel:
        return Parallel(tuple(d.at(chosen) for d in self.source), self.side, self.by[chosen], self.span)


@record
class Trimmed:
    """What is left of a drawing: clear of paths by (n,) mm, and within the outlines of the same place."""

    drawn: Strand | Marks | Parallel
    clears: tuple[tuple[Slot, Floats], ...]
    withins: tuple[tuple[tuple[Drawn, ...], Span], ...]

    def at(self, chosen: Ints) -> Trimmed:
        return Trimmed(
            self.drawn.at(chosen),
            tuple((slot, by[chosen]) for slot, by in self.clears),
            tuple((tuple(d.at(chosen) for d in ds), span) for ds, span in self.withins),
        )


Drawn: TypeAlias = Strand | Marks | Parallel | Trimmed


def segments_of(drawn: Drawn) -> int:
    """How many segments a drawing has at each place, those of a parallel counted as its path's."""
    match drawn:
        case Strand():
            return len(drawn.parts)
        case Marks():
            return 1
        case Parallel():
            return sum(segments_of(d) for d in drawn.source)
    return segments_of(drawn.drawn)


class Drafter:
    """Works geometry out in given frames on one band."""

    def __init__(self, survey: Surveyor, inside: bool, limits: Limits, found: Findings) -> None:
        self.survey = survey
        self.law = survey.law
        self._limits = limits
        self._inside = inside
        self._found = found

    def draw(self, g: geo.Geometry, frame: Frame, env: Env) -> Drawn:
        """The geometry at every place of ``env``. Raises ``Problem``."""
        match g:
            case geo.Path():
                return self._path(g, frame, env)
            case geo.Rectangle():
                return self._rectangle(g, frame, env)
            case geo.Circle():
                return self._circle(g, frame, env)
            case geo.Dot():
                angle, tape = self.survey.on_wall(g.at, frame, env)
                return Marks(angle, tape, None, self.dot_size(g.across, env), np.zeros(env.count))
            case geo.Footprint():
                return self._footprint(g, frame, env)
            case geo.MarksAlong():
                raise Problem(drawing_faults.marks_given_a_name(g.span))
        raise AssertionError(g)

    def dot_size(self, across: Expr | None, env: Env) -> Floats:
        """How far dots (n,) are across, mm, NaN for those without a size."""
        if across is None:
            return np.full(env.count, np.nan)
        size = over(above_zero(across, env, "A dot's size"), env.count)
        check_length(size, self.survey.wall, "This dot", across.span)
        return size

    def tool(self, e: Expr, env: Env) -> ToolSizes:
        """The tool that is meant, if its footprint goes on the wall."""
        tool = e.value(env)
        assert isinstance(tool, ToolSizes)
        sizes = [v for v in (tool.wide, tool.tall) if v is not None]
        if tool.outline is not None:
            sizes.append(float(np.abs(tool.outline).max()))
        check_length(np.array(sizes), self.survey.wall, f"The footprint of '{tool.name}'", e.span)
        return tool

    def whole_ring(self, frame: Frame) -> Strand:
        """The ring through each frame's origin, once round to the right."""
        wide = self.law.units / np.hypot(frame.cells[:, 0, 0], frame.cells[:, 1, 0])
        zero = np.zeros(len(wide))
        return Strand(
            (lines(frame.to_grid(np.stack([zero, zero], axis=1)), frame.to_grid(np.stack([wide, zero], axis=1))),),
            False,
        )

    def across(self, frame: Frame) -> Strand:
        """Lines from each frame's origin one column to the right."""
        zero = np.zeros(len(frame.turn))
        return Strand(
            (lines(frame.to_grid(np.stack([zero, zero], axis=1)), frame.to_grid(np.stack([zero + 1, zero], axis=1))),),
            False,
        )

    def upright(self, frame: Frame, rows: Floats) -> Strand:
        """Lines from each frame's origin straight up so many rows."""
        zero = np.zeros(len(rows))
        return Strand(
            (lines(frame.to_grid(np.stack([zero, zero], axis=1)), frame.to_grid(np.stack([zero, rows], axis=1))),),
            False,
        )

    # ------------------------------------------------------------ kinds of geometry

    def _path(self, g: geo.Path, frame: Frame, env: Env) -> Strand:
        first = here = self.survey.on_grid(g.start, frame, env)
        parts: list[Segments] = []
        for s in g.segments:
            to = self.survey.on_grid(s.to, frame, env)
            parts.extend(self._segment(s, here, to, frame, env))
            here = to
        if g.closed and not self._back_again(first, here):
            parts.append(lines(here, first))
        return Strand(tuple(parts), g.closed)

    def _back_again(self, first: Floats, here: Floats) -> bool:
        """Whether places of the grid are those where their paths began; on a wall with a closed end, also once round
        it."""
        if np.allclose(first, here, rtol=0, atol=1e-9) or not closed_ends(self.survey.wall):
            return np.allclose(first, here, rtol=0, atol=1e-9)
        (from_angle, from_tape), (angle, tape) = self._on_wall(first), self._on_wall(here)
        once = np.abs(np.abs(angle - from_angle) - 2 * np.pi) < 1e-9
        return bool(np.all(once & (np.abs(tape - from_tape) < 1e-9)))

    def _segment(self, s: geo.Segment, here: Floats, to: Floats, frame: Frame, env: Env) -> tuple[Segments, ...]:
        match s:
            case geo.Line():
                return (lines(here, to),)
            case geo.Taut():
                return self._taut(s, here, to)
            case geo.Arc():
                return self._arc(s, here, to, frame, env)
            case geo.ArcThrough():
                through = self.survey.on_grid(s.through, frame, env)
                p, m, q = (frame.to_local(x) for x in (here, through, to))
                self._apart(p, q, s)
                centre, u, v, start, turn = arc_through(p, m, q)
                if not np.all(np.isfinite(centre)):
                    raise Problem(drawing_faults.arc_through_a_line(s.span))
                return (conics(frame.to_grid(centre), frame.carried(u), frame.carried(v), start, turn),)
            case geo.Curve():
                leaving = self.survey.on_grid(s.leaving, frame, env)
                arriving = self.survey.on_grid(s.arriving, frame, env)
                return (cubics(bezier_coefficients(here, leaving, arriving, to)),)
        raise AssertionError(s)

    def _on_wall(self, grid: Floats) -> tuple[Floats, Floats]:
        return self.law.angle(grid[:, 0]), self.law.levels.tape(grid[:, 1])

    def _taut(self, s: geo.Segment, here: Floats, to: Floats) -> tuple[Segments, ...]:
        start, end = self._on_wall(here), self._on_wall(to)
        self._check_turns(start[0], end[0], s)
        segments, hollows, count = taut_chains(self.survey.wall, start, end, self._limits, self._inside)
        if count:
            lowest, longest = hollows[np.argmin(hollows[:, 0])], hollows[np.argmax(hollows[:, 1] - hollows[:, 0])]
            self._found.add(
                Finding(
                    "string-lifts",
                    s.span,
                    self._found.place(float(lowest[0])),
                    float(lowest[1] - lowest[0]),
                    self._found.place(float(longest[0])),
                    float(longest[1] - longest[0]),
                    float(1 + longest[1] - longest[0]),
                    count,
                    float(hollows[:, 1].max()),
                )
            )
        return segments

    def _arc(self, s: geo.Arc, here: Floats, to: Floats, frame: Frame, env: Env) -> tuple[Segments, ...]:
        p, q = frame.to_local(here), frame.to_local(to)
        self._apart(p, q, s)
        on_clay = s.rise.kind.dimension == (1, 0)
        if on_clay or mentions_chord(s.rise):
            ends = self._on_wall(here), self._on_wall(to)
            self._check_turns(ends[0][0], ends[1][0], s)
            chord, *middle = taut_middles(self.survey.wall, *ends)
            env = env.with_chord(chord)
            if on_clay:
                rise = over(s.rise.value(env), env.count) * np.where(frame.reverses, -1.0, 1.0)
                angle, tape, bearing = middle
                if not np.any(rise):
                    return self._taut(s, here, to)
                check_length(rise, self.survey.wall, "The rise of this arc", s.rise.span)
                check_length(chord, self.survey.wall, "The chord of this arc", s.span)
                self._limits.check_stretches(float(env.count * ARC))
                return arcs(self.survey.wall, angle, tape, bearing, chord, rise)
        part = over(s.rise.value(env), env.count)
        if not np.any(part):
            return (lines(here, to),)
        chord = np.hypot(*(q - p).T)
        # Without any rise the arc's radius would be endless; a millionth of a micron stands for it.
        rise = np.where(np.abs(part) < 1e-9, 1e-9, part) * chord
        centre, u, v, start, turn = arc_by_rise(p, q, rise)
        return (conics(frame.to_grid(centre), frame.carried(u), frame.carried(v), start, turn),)

    @staticmethod
    def _check_turns(start: Floats, end: Floats, s: geo.Segment) -> None:
        turns = np.abs(end - start).max(initial=0.0) / (2 * np.pi)
        if turns > MOST_TAUT_TURNS:
            raise Problem(drawing_faults.taut_round_and_round(s.span, float(turns), MOST_TAUT_TURNS))

    @staticmethod
    def _apart(p: Floats, q: Floats, s: geo.Segment) -> None:
        if np.any(np.hypot(*(q - p).T) < 1e-9):
            raise Problem(drawing_faults.arc_without_chord(s.span))

    def _rectangle(self, g: geo.Rectangle, frame: Frame, env: Env) -> Strand:
        p = frame.to_local(self.survey.on_grid(g.start, frame, env))
        q = frame.to_local(self.survey.on_grid(g.to, frame, env))
        low, high = np.minimum(p, q), np.maximum(p, q)
        if np.any(high - low < 1e-9):
            raise Problem(drawing_faults.flat_rectangle(g.span))
        corners = [
            frame.to_grid(np.stack([x[:, 0], y[:, 1]], axis=1))
            for x, y in ((low, low), (high, low), (high, high), (low, high))
        ]
        return Strand(tuple(lines(corners[i], corners[(i + 1) % 4]) for i in range(4)), True)

    def _circle(self, g: geo.Circle, frame: Frame, env: Env) -> Strand:
        across = over(above_zero(g.across, env, "A circle's size"), env.count)
        if g.across.kind.dimension == (1, 0):
            return self._clay_circle(g, across, frame, env)
        centre = self.survey.on_grid(g.at, frame, env)
        zero = np.zeros(env.count)
        u = frame.carried(np.stack([across / 2, zero], axis=1))
        v = frame.carried(np.stack([zero, across / 2], axis=1))
        return Strand((conics(centre, u, v, zero, np.full(env.count, 2 * np.pi)),), True)

    def _clay_circle(self, g: geo.Circle, across: Floats, frame: Frame, env: Env) -> Strand:
        check_length(across, self.survey.wall, "This circle", g.across.span)
        self._limits.check_stretches(float(env.count * ROUND))
        angle, tape = self.survey.on_wall(g.at, frame, env)
        return Strand(circles(self.survey.wall, angle, tape, across / 2, frame.reverses), True)

    def _footprint(self, g: geo.Footprint, frame: Frame, env: Env) -> Marks:
        tool = self.tool(g.tool, env)
        angle, tape = self.survey.on_wall(g.at, frame, env)
        tilt = np.zeros(env.count) if g.tilted is None else over(g.tilted.value(env), env.count)
        up = np.stack([-np.sin(tilt), np.cos(tilt)], axis=1)
        image = (frame.lengths[:, :, :2] @ up[..., None])[..., 0]
        lean = np.arctan2(-image[:, 0], image[:, 1])
        return Marks(angle, tape, tool, np.full(env.count, np.nan), lean)
