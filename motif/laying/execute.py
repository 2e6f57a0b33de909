"""Runs the rules of a motif, each statement once over all its places."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from motif.language.messages import FollowsError, Messages, Problem
from motif.language.record import changed, record
from motif.language.source import Span
from motif.laying.ahead import Ahead
from motif.laying.along import along_strokes
from motif.laying.collect import Collection, Lines, Made
from motif.laying.curves import Tracer
from motif.laying.drawing import Drafter, Drawn, Marks, Parallel, Strand, Trimmed, segments_of
from motif.laying.frames import Frame, about, compose, plain
from motif.laying.limits import check_length
from motif.laying.obstacles import Obstacles, Trim, Within, distinct_shapes
from motif.laying.piece import Floats, Ints
from motif.laying.places import Numbers, Places, Shifting, cells_at
from motif.laying.region import Region
from motif.laying.shaper import Shaper
from motif.laying.strokes import join
from motif.laying.telling import drawing_faults, limit_faults
from motif.model import geometry as geo
from motif.model import rules
from motif.model.expressions import Expr, above_zero, whole_numbers
from motif.model.techniques import TECHNIQUES
from motif.model.telling import definition_faults
from motif.model.values import Env, Slot, ToolSizes, over, truths

#: what a statement costs however few places it has, in places, and what all may cost, so that nests of drawings
#: end too
_LEAST_COST, _MOST_COST = 3_000, 60_000_000
#: what a place takes in frames while it is held, moved about, and for each name, key and segment, bytes
_HELD, _MOVED, _NAMED, _SEGMENT = 200, 600, 8, 70

_MIRRORS = {
    "left-right": [np.diag([-1.0, 1.0])],
    "top-bottom": [np.diag([1.0, -1.0])],
    "both ways": [np.diag([-1.0, 1.0]), np.diag([1.0, -1.0]), np.diag([-1.0, -1.0])],
}


@record
class Spot:
    """Where a run of statements is worked out: frames and names over n places of a rule.

    ``place`` are numbers in the rule's places; ``keys`` order what is made at one place."""

    env: Env
    frame: Frame
    place: Ints
    keys: tuple[Ints | int, ...] = ()
    paths: dict[Slot, tuple[geo.Geometry, tuple[Drawn, ...]]] = {}  # noqa: RUF012 — never changed in place

    def at(self, chosen: Ints) -> Spot:
        keys = tuple(k[chosen] if isinstance(k, np.ndarray) else k for k in self.keys)
        paths = {s: (g, tuple(d.at(chosen) for d in ds)) for s, (g, ds) in self.paths.items()}
        return Spot(self.env.at(chosen), self.frame.at(chosen), self.place[chosen], keys, paths)

    def key(self, k: Ints | int) -> Spot:
        return changed(self, keys=(*self.keys, k))

    @property
    def bytes_each(self) -> int:
        """About how much room a place of this spot takes."""
        segments = sum(segments_of(d) for _, drawn in self.paths.values() for d in drawn)
        return _HELD + _NAMED * (len(self.keys) + len(self.env.values)) + _SEGMENT * segments


class Executor:
    """Runs rules on one band into a collection; problems of a statement do not stop the others."""

    def __init__(
        self,
        drafter: Drafter,
        tracer: Tracer,
        shift: Shifting | None,
        region: Region,
        collection: Collection,
        messages: Messages,
    ) -> None:
        self._drafter = drafter
        self._tracer = tracer
        self._limits = tracer.limits
        self._ahead = Ahead()
        self._shaper = Shaper(self._tracer, region)
        self._law = drafter.law
        self._shift = shift
        self._collection = collection
        self._messages = messages
        self._cost = 0
        self._rule = 0
        self._kind: rules.Place = "cell"
        self._places: Places
        self._waiting: list[tuple[Span, Made, Trimmed]] = []
        self._used: dict[Slot, list[tuple[tuple[Drawn, ...], Spot]]] = {}
        self._clear_of: dict[bytes, Obstacles] = {}

    def run(self, number: int, rule: rules.Rule, places: Places, env: Env) -> None:
        """Run one rule. Raises ``Problem`` for a condition that cannot be worked out, or too many marks."""
        self._rule, self._places, self._kind = number, places, rule.place
        spot = Spot(changed(env, places=places.table, count=len(places)), places.frame, np.arange(len(places)))
        if rule.condition is not None and len(places):
            chosen = np.flatnonzero(truths(rule.condition.value(spot.env), len(places)))
            spot = spot.at(chosen)
        self._check_copies(spot, rule.body, rule.span)
        self._used = {}
        self._clear_of = {}
        self._waiting = []
        self._body(rule.body, spot)
        for span, made, trimmed in self._waiting:
            try:
                self._collection.add(self._trim(made, trimmed, span), span)
            except Problem as problem:
                self._say(problem, span)

    def _body(self, body: tuple[rules.Statement, ...], spot: Spot) -> None:
        for number, statement in enumerate(body):
            if not len(spot.place):
                return
            self._charge(len(spot.place), statement.span)
            try:
                spot = self._statement(statement, spot, number)
            except Problem as problem:
                self._say(problem, statement.span)

    def _say(self, problem: Problem, span: Span) -> None:
        """Say what is wrong with a statement; when there is too much of it, the rest is not worked out."""
        if isinstance(problem, FollowsError):
            return
        placed = problem.placed(span)
        if placed.message.code == "too-many-marks":
            raise placed from None
        self._messages.add(placed.message)

    def _charge(self, places: int, span: Span) -> None:
        self._cost += max(places, _LEAST_COST)
        if self._cost > _MOST_COST * self._limits.share:
            raise Problem(limit_faults.copies(span))

    def _check_copies(self, spot: Spot, body: Iterable[rules.Statement], span: Span) -> None:
        """Refuse what the repeats and copies in a body come to, multiplied out, before any is made."""
        self._limits.check_places(len(spot.place) * self._ahead.copies(body), 0, span)

    def _statement(self, s: rules.Statement, spot: Spot, number: int) -> Spot:
        """Run a statement; the spot that comes back knows the names it makes."""
        match s:
            case rules.Let():
                return changed(spot, env=spot.env.with_value(s.slot, s.value.value(spot.env)))
            case rules.PathName():
                return changed(spot, paths={**spot.paths, s.slot: (s.geometry, self._drawn(s.geometry, spot))})
            case rules.Work():
                self._work(s, spot.key(number))
            case rules.If():
                self._if(s, spot.key(number))
            case rules.Repeat():
                self._repeat(s, spot.key(number))
            case rules.Draw():
                self._draw(s, spot.key(number))
        return spot

    def _if(self, s: rules.If, spot: Spot) -> None:
        for condition, body in s.branches:
            n = len(spot.place)
            holds = np.ones(n, dtype=np.bool_) if condition is None else truths(condition.value(spot.env), n)
            self._body(body, spot.at(np.flatnonzero(holds)))
            spot = spot.at(np.flatnonzero(~holds))
            if not len(spot.place):
                return

    def _expanded(self, spot: Spot, counts: Floats, span: Span, more: int = 0) -> tuple[Spot, Ints, Ints]:
        """Each place so many times over, with the number of each copy from 0 and of what it is a copy of; ``more``
        bytes are needed for each."""
        self._limits.check_places(float(counts.sum()), spot.bytes_each + more, span)
        n = counts.astype(np.int64)
        total = int(n.sum())
        self._charge(total, span)
        parent = np.repeat(np.arange(len(n)), n)
        copy = np.arange(total) - np.repeat(np.cumsum(n) - n, n)
        return spot.at(parent).key(copy), copy, parent

    def _counts(self, e: Expr, spot: Spot, what: str) -> Floats:
        counts = over(whole_numbers(e.value(spot.env), e, spot.env, what), len(spot.place))
        if np.any(counts < 0):
            raise Problem(drawing_faults.less_than_no_times(e.span, what, int(counts.min())))
        return counts

    def _repeat(self, s: rules.Repeat, spot: Spot) -> None:
        inner, copy, _ = self._expanded(spot, self._counts(s.count, spot, "'repeat'"), s.span)
        self._check_copies(inner, s.body, s.span)
        self._body(s.body, changed(inner, env=inner.env.with_value(s.slot, copy.astype(np.float64) + 1)))

    # ------------------------------------------------------------ drawings

    def _draw(self, s: rules.Draw, spot: Spot) -> None:
        outer = spot
        spot, cells, lengths, turn, parent = self._moves(s.moves, spot)
        if not len(spot.place):
            return
        moved = self._moved(spot, spot.frame.then(cells, lengths, turn)) if s.moves else spot
        self._check_copies(moved, (s.body or ()) if s.figure is None else s.figure.body, s.span)
        if s.body is not None:
            self._body(s.body, moved)
        elif s.figure is not None:
            self._figure(s, s.figure, outer, moved, parent)

    def _moved(self, spot: Spot, frame: Frame) -> Spot:
        """The spot in another frame: paths made outside the drawing move with it when they are used in it."""
        moved = changed(spot, frame=frame, paths={})
        for slot, (geometry, _) in spot.paths.items():
            moved = changed(moved, paths={**moved.paths, slot: (geometry, self._drawn(geometry, moved))})
        return moved

    def _moves(self, moves: tuple[rules.Move, ...], spot: Spot) -> tuple[Spot, Floats, Floats, Floats, Ints]:
        """The copies of a drawing and, for each, the affine maps that move it (cells, lengths and angle) and
        which of the places it is a copy of."""
        cells = lengths = np.broadcast_to(np.eye(2, 3), (len(spot.place), 2, 3))
        turn = np.zeros(len(spot.place))
        of = np.arange(len(spot.place))
        centre = spot.frame.centre
        for move in moves:
            n = len(spot.place)
            match move:
                case rules.Turns():
                    counts = self._counts(move.count, spot, "'rotated … times'")
                    spot, copy, parent = self._expanded(spot, counts, move.span, _MOVED)
                    angle = 2 * np.pi * copy / np.repeat(counts, counts.astype(np.int64))
                    matrix = _rotation(angle)
                    cells, lengths, turn, of = cells[parent], lengths[parent], turn[parent], of[parent]
                case rules.Turn():
                    matrix = _rotation(over(move.angle.value(spot.env), n))
                case rules.Mirror():
                    images = _MIRRORS[move.axis]
                    if move.keeps:
                        images = [np.eye(2), *images]
                        counts = np.full(n, float(len(images)))
                        spot, copy, parent = self._expanded(spot, counts, move.span, _MOVED)
                        cells, lengths, turn, of = cells[parent], lengths[parent], turn[parent], of[parent]
                        matrix = np.array(images)[copy]
                    else:
                        matrix = np.broadcast_to(images[0], (n, 2, 2))
                case rules.Shift():
                    by, clay, angle, _ = self._drafter.survey.parts(move.by, spot.env)
                    one = np.broadcast_to(np.eye(2), (n, 2, 2))
                    step = np.concatenate([one, by[:, :, None]], axis=2)
                    clay_step = np.concatenate([one, clay[:, :, None]], axis=2)
                    cells, lengths, turn = compose(step, cells), compose(clay_step, lengths), turn + angle
                    continue
            cells = compose(about(matrix, centre), cells)
            lengths = compose(plain(matrix), lengths)
            turn = turn * matrix[:, 0, 0]
        return spot, cells, lengths, turn, of

    def _figure(self, s: rules.Draw, figure: rules.Figure, outer: Spot, spot: Spot, parent: Ints) -> None:
        wide, tall = (
            1.0 if e is None else float(np.asarray(above_zero(e, Env(1.0), "A figure's size")))
            for e in (figure.width, figure.height)
        )
        frame = spot.frame
        n = len(spot.place)
        if s.box is None:
            if frame.box is None:
                raise Problem(definition_faults.no_cell_to_fill(s.span, figure.name))
            low, high = np.zeros((n, 2)), np.broadcast_to(np.array(frame.box), (n, 2))
        else:
            low, high, on_clay = self._box(s.box, outer)
            low, high = low[parent], high[parent]
            if on_clay:
                frame = changed(frame, lengths=plain(frame.lengths[:, :, :2]), turn=np.zeros(n))
        placed = np.zeros((n, 2, 3))
        placed[:, 0, 0], placed[:, 1, 1] = (high - low)[:, 0] / wide, (high - low)[:, 1] / tall
        placed[:, :, 2] = low
        inner = frame.then(placed, np.broadcast_to(np.eye(2, 3), (n, 2, 3)))
        env = bind(figure.givens, s.arguments, spot.env, changed(spot.env, values={}))
        self._body(
            figure.body, Spot(env, changed(inner, box=(wide, tall), centre=(wide / 2, tall / 2)), spot.place, spot.keys)
        )

    def _box(self, box: tuple[geo.Point, geo.Point], spot: Spot) -> tuple[Floats, Floats, bool]:
        """Lower left and upper right of a figure's box in local coordinates, and whether clay lengths set it."""
        survey = self._drafter.survey
        ends = []
        on_clay = False
        for p in box:
            cells, _, _, off_grid = survey.parts(p, spot.env)
            on_clay |= off_grid
            ends.append(cells)
        if on_clay:
            ends = [spot.frame.to_local(survey.on_grid(p, spot.frame, spot.env)) for p in box]
        low, high = np.minimum(*ends), np.maximum(*ends)
        if np.any(high - low < 1e-9):
            raise Problem(drawing_faults.flat_box(box[1].span))
        return low, high, on_clay

    # ------------------------------------------------------------ making

    def _drawn(self, g: geo.Geometry, spot: Spot) -> tuple[Drawn, ...]:
        if isinstance(g, geo.NamedPath):
            if g.path not in spot.paths:
                raise Problem(drawing_faults.not_drawn(g.span, g.path.name))
            self._use(g.path, spot)
            return spot.paths[g.path][1]
        if isinstance(g, geo.WholeLine):
            return self._whole_lines(spot)
        if isinstance(g, geo.Offset):
            source = self._drawn(geo.NamedPath(g.span, g.path), spot)
            by = g.by.value(spot.env) if g.side == "left" else above_zero(g.by, spot.env, "The distance of a parallel")
            check_length(np.asarray(by), self._tracer.wall, "The distance of this parallel", g.by.span)
            return (Parallel(source, g.side, over(by, spot.env.count), g.span),)
        if isinstance(g, geo.ClearOf):
            by = over(above_zero(g.by, spot.env, "'clear of'"), spot.env.count)
            check_length(by, self._tracer.wall, "This distance", g.by.span)
            self._use(g.path, spot)
            return tuple(_trimmed(d, ((g.path, by),), ()) for d in self._drawn(g.geometry, spot))
        if isinstance(g, geo.Within):
            outline = self._drawn(geo.NamedPath(g.span, g.path), spot)
            return tuple(_trimmed(d, (), ((outline, g.span),)) for d in self._drawn(g.geometry, spot))
        return (self._drafter.draw(g, spot.frame, spot.env),)

    def _use(self, path: Slot, spot: Spot) -> None:
        """Keep the copies of a path that a line uses: what keeps clear of it keeps clear of all of them."""
        if path in spot.paths:
            self._used.setdefault(path, []).append((spot.paths[path][1], spot))

    def _whole_lines(self, spot: Spot) -> tuple[Strand, ...]:
        """The ring or vertical of each place; in a moved grid one line a column or row."""
        law, shift, drafter, n = self._law, self._shift, self._drafter, len(spot.place)
        if self._kind == "vertical":
            if shift is None or shift.each == "column":
                return (drafter.upright(spot.frame, np.full(n, float(law.rows))),)
            one = np.ones(n)
            made = []
            for row in range(law.rows):
                b = law.ring_b(np.array([row + 1.0 if law.downward else float(row)]))[0]
                step = np.array([[[1.0, 0.0, shift.of(np.array([row]), 1)[0]], [0.0, 1.0, b]]])
                made.append(drafter.upright(spot.frame.then(step, np.eye(2, 3)[None]), one))
            return tuple(made)
        if shift is None or shift.each == "row":
            return (drafter.whole_ring(spot.frame),)
        assert law.columns is not None
        made = []
        for column, up in enumerate(shift.of(np.arange(law.columns), 1)):
            frame = spot.frame
            cells = frame.cells.copy()
            cells[:, 0, 2] = column
            cells[:, 1, 2] += up
            cells[:, 1, 2] = np.where(cells[:, 1, 2] > law.rows + 1e-9, cells[:, 1, 2] - law.rows, cells[:, 1, 2])
            made.append(drafter.across(changed(frame, cells=cells)))
        return tuple(made)

    def _work(self, s: rules.Work, spot: Spot) -> None:
        tool = self._tool(s, spot.env)
        for number, g in enumerate(s.geometries):
            try:
                if isinstance(g, geo.MarksAlong):
                    self._along(s, g, spot.key(number))
                    continue
                for copy, d in enumerate(self._drawn(g, spot)):
                    self._make(s, d, tool, spot.key(number).key(copy))
            except Problem as problem:
                self._say(problem, g.span)

    @staticmethod
    def _tool(s: rules.Work, env: Env) -> ToolSizes | None:
        tool = None if s.how.tool is None else s.how.tool.value(env)
        assert tool is None or isinstance(tool, ToolSizes)
        return tool

    def _make(self, s: rules.Work, drawn: Drawn, tool: ToolSizes | None, spot: Spot) -> None:
        trimmed = drawn if isinstance(drawn, Trimmed) else None
        what = drawn.drawn if isinstance(drawn, Trimmed) else drawn
        if isinstance(what, Marks):
            tool = what.tool or tool
            if not TECHNIQUES[s.technique].makes_points:
                raise Problem(definition_faults.line_technique_on_a_mark(s.span, s.technique))
        work = self._works(s, tool, spot)
        numbers = self._places.numbers.at(spot.place)
        if isinstance(what, Parallel):
            chains, leader = self._shaper.parallels(what, len(spot.place))
            law = self._tracer.law
            if not len(leader) and law is not None:
                origin = spot.frame.to_grid(np.zeros((len(spot.place), 2)))
                self._collection.nothing_left.append((work, numbers, law.levels.tape(origin[:, 1])))
            keys = tuple(k[leader] if isinstance(k, np.ndarray) else k for k in spot.keys)
            made = Made(
                self._rule,
                numbers.at(leader),
                (*keys, np.arange(len(leader))),
                work[leader],
                chains,
                s.how.unbroken,
                False,
            )
            trimmed = trimmed and trimmed.at(leader)
        else:
            over_area = isinstance(what, Strand) and what.encloses and TECHNIQUES[s.technique].over_area
            made = Made(self._rule, numbers, spot.keys, work, what, s.how.unbroken, over_area)
        if trimmed is None:
            self._collection.add(made, s.span)
        else:
            self._waiting.append((s.span, made, trimmed))

    def _trim(self, made: Made, trimmed: Trimmed, span: Span) -> Made:
        """What was made, with what trims it; point marks that do not stay are left out."""
        clears = {
            (id(obstacles), by.tobytes()): (obstacles, by)
            for slot, by in trimmed.clears
            for obstacles in (self._obstacles(slot, span),)
        }
        withins = tuple(Within(self._tracer.wall, self._shaper.polygons(drawn, at)) for drawn, at in trimmed.withins)
        trim = Trim(tuple(clears.values()), withins)
        if not isinstance(made.drawn, Marks):
            return changed(made, trim=trim)
        stays = np.flatnonzero(trim.room(np.arange(len(made.numbers)), made.drawn.angle, made.drawn.tape) > 0)
        keys = tuple(k[stays] if isinstance(k, np.ndarray) else k for k in made.keys)
        return changed(
            made, numbers=made.numbers.at(stays), keys=keys, work=made.work[stays], drawn=made.drawn.at(stays)
        )

    def _obstacles(self, slot: Slot, span: Span) -> Obstacles:
        """All copies of a path that the rule's lines use, closed ones with their inside."""
        shapes = distinct_shapes(
            [s for drawn, spot in self._used.get(slot, []) for s in self._shaper.shapes(drawn, len(spot.place), span)]
        )
        # Names that come to the same shapes, as the joints on the left and on the right of a cell, are one to keep
        # clear of.
        key = b" ".join(shapes)
        if key not in self._clear_of:
            self._clear_of[key] = Obstacles(self._tracer.wall, list(shapes.values()), self._tracer.limits)
        return self._clear_of[key]

    def _along(self, s: rules.Work, g: geo.MarksAlong, spot: Spot) -> None:
        """Marks along the joined strokes of a path, over all the places where this line is worked."""
        env = spot.env
        every = over(above_zero(g.every, env, "'every'"), env.count)
        across = self._drafter.dot_size(g.across, env)
        tool = None if g.tool is None else self._drafter.tool(g.tool, env)
        lines, place = self._lines_of(g.path, g.span, spot)
        tracer = self._tracer
        strokes = join(lines, tracer)
        leader = place[strokes.leader]
        angle, tape, bearing, of = along_strokes(lines, strokes, tracer, every[leader])
        column, row = cells_at(self._law, self._shift, angle, tape)
        none = np.full(len(of), -1, dtype=np.int64)
        home = self._places.numbers.home[spot.place[leader]][of]
        panel = self._places.numbers.panel[spot.place[leader]][of]
        numbers = Numbers(column, row, none, none, home, np.zeros(len(of), dtype=np.bool_), panel)
        keys = tuple(k[leader][of] if isinstance(k, np.ndarray) else k for k in spot.keys)
        marks = Marks(angle, tape, tool, across[leader][of], bearing - np.pi / 2)
        work = self._works(s, tool if tool is not None else self._tool(s, env), spot)[leader][of]
        self._collection.add(Made(self._rule, numbers, (*keys, np.arange(len(of))), work, marks, False, False), s.span)

    def _lines_of(self, path: Slot, span: Span, spot: Spot) -> tuple[Lines, Ints]:
        """The lines that a named path draws at the places of a spot, each once, and the place of each."""
        panel = self._places.numbers.panel[spot.place]
        return self._shaper.lines(self._drawn(geo.NamedPath(span, path), spot), span, len(spot.place), panel)

    def _works(self, s: rules.Work, tool: ToolSizes | None, spot: Spot) -> Ints:
        """The number of the way of working at each place; a tool gives what the line leaves out."""
        n = len(spot.place)
        sizes: list[Any] = [
            given if e is None else above_zero(e, spot.env, f"'{word}'") for word, e, given in s.how.measures(tool)
        ]
        if TECHNIQUES[s.technique].impressions and sizes[2] is None:
            raise Problem(drawing_faults.no_pitch(s.span))
        colour = None if s.how.colour is None else str(s.how.colour.value(spot.env))

        def number(depth: float | None, width: float | None, pitch: float | None) -> int:
            return self._collection.work(s.technique, tool, colour, depth, width, pitch, s.span)

        if all(v is None or np.ndim(v) == 0 for v in sizes):
            return np.full(n, number(*(None if v is None else float(v) for v in sizes)))
        table = np.stack([over(np.nan if v is None else v, n) for v in sizes], axis=1)
        distinct, which = np.unique(table, axis=0, return_inverse=True)
        numbers = [number(*(None if np.isnan(v) else float(v) for v in line)) for line in distinct]
        return np.array(numbers)[which.reshape(-1)]


def _trimmed(
    d: Drawn, clears: tuple[tuple[Slot, Floats], ...], withins: tuple[tuple[tuple[Drawn, ...], Span], ...]
) -> Trimmed:
    if isinstance(d, Trimmed):
        return Trimmed(d.drawn, (*d.clears, *clears), (*d.withins, *withins))
    return Trimmed(d, clears, withins)


def bind(
    settings: tuple[rules.Given | rules.Let, ...], arguments: tuple[tuple[Slot, Expr], ...], caller: Env, inner: Env
) -> Env:
    """The env of a motif or figure: its givens and lets in the order written. What its user sets is worked out in
    the caller's env, defaults and lets in its own."""
    written = dict(arguments)
    for s in settings:
        if isinstance(s, rules.Let):
            inner = inner.with_value(s.slot, s.value.value(inner))
            continue
        e, env = (written[s.slot], caller) if s.slot in written else (s.default, inner)
        if e is None:  # its default could not be made out, which has been said; nor can what reads it
            continue
        value = e.value(env)
        inner = inner.with_value(s.slot, whole_numbers(value, e, env, f"'{s.name}'") if s.kind.whole else value)
    return inner


def _rotation(angle: Floats) -> Floats:
    """Rotation matrices (n, 2, 2), exact at quarter turns."""
    quarter = np.round(angle / (np.pi / 2))
    exact = np.abs(angle - quarter * (np.pi / 2)) < 1e-12
    cos = np.where(exact, np.round(np.cos(angle)), np.cos(angle))
    sin = np.where(exact, np.round(np.sin(angle)), np.sin(angle))
    return np.stack([np.stack([cos, -sin], axis=-1), np.stack([sin, cos], axis=-1)], axis=-2)
