"""A form at the stage at which it is decorated, and places on its wall."""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np

from motif.language.kinds import LENGTH_STEP
from motif.language.messages import Messages, Problem
from motif.language.record import record
from motif.language.source import Span
from motif.laying.piece import Floats, LaidForm, LaidReserve
from motif.laying.telling import form_faults
from motif.model import things
from motif.model.expressions import above_zero, one_number
from motif.model.values import Env
from motif.wall import ProfileError, Station, Wall, build_wall

#: no form has more stations, or is taller or wider, mm
MOST_STATIONS, MOST_WALL = 1_000, 20_000.0
#: tapes between the points of a reserve's sides, mm
_SIDE_STEP = 0.5
#: between them sides leave their own line by no more than this, mm, unless points lie closer than the second
_SIDE_SAG, _SHORTEST_SIDE = 0.002, 1e-3


def stage_factor(form: things.Form, start: str, to: str, span: Span | None) -> float:
    """Length at stage ``to`` of 1 mm at stage ``start``: (1 − S_to) / (1 − S_start), ASTM C326 bases.

    Raises ``stage-unknown``."""
    if start == to:
        return 1.0
    remaining = []
    for stage in (start, to):
        part = None if form.clay is None else form.clay.remaining(stage)
        if form.clay is None:
            raise Problem(form_faults.clay_not_named(span, form.name, start, to))
        if part is None:
            raise Problem(form_faults.stage_not_stated(span, form.clay.name, form.clay.span, stage))
        remaining.append(part)
    return remaining[1] / remaining[0]


def wet_factor(form: things.Form, stage: str) -> float | None:
    """Length at the wet stage of 1 mm at ``stage``; None where the clay does not say."""
    remaining = None if form.clay is None else form.clay.remaining(stage)
    return None if remaining is None else 1 / remaining


def lay_form(form: things.Form, stage: str, span: Span | None) -> LaidForm:
    """The form at a stage. Raises ``bad-profile``, ``stage-unknown`` and what its values raise."""
    factor = stage_factor(form, form.stage, stage, span)
    env = Env(factor)
    if len(form.stations) > MOST_STATIONS:
        raise Problem(form_faults.too_many_stations(form.profile_span, len(form.stations), MOST_STATIONS))
    stations = []
    for s in form.stations:
        size = one_number(s.size, env)
        if size < 0:
            raise Problem(form_faults.less_than_nothing(s.size.span))
        for e, value in ((s.at, one_number(s.at, env)), (s.size, size)):
            if abs(value) > MOST_WALL:
                raise Problem(form_faults.too_large(e.span, value, MOST_WALL))
        stations.append(
            Station(one_number(s.at, env), size / 2 if s.measure == "across" else size / (2 * pi), s.corner)
        )
    try:
        wall = build_wall(stations, smooth=form.smooth, by_tape=form.by_tape)
    except ProfileError as e:
        raise Problem(form_faults.no_wall(e, form.profile_span, [s.span for s in form.stations])) from None
    if wall.length > 4 * MOST_WALL:
        raise Problem(form_faults.too_long(form.profile_span, wall.length))
    thickness = None if form.thickness is None else float(above_zero(form.thickness, env, "A wall's thickness"))
    tapes = wall.station_tapes
    listed = tuple(
        (float(t), float(wall.height(t)), float(wall.radius(t)), s.corner) for t, s in zip(tapes, stations, strict=True)
    )
    landmarks = {"foot": 0.0, "belly": wall.belly, "neck": wall.neck, "rim": wall.length}
    return LaidForm(
        form.name,
        form.description,
        stage,
        form.side,
        wall,
        thickness,
        listed,
        {k: float(v) for k, v in landmarks.items() if v is not None},
    )


def tape_at(place: things.WallPlace, form: LaidForm, env: Env) -> float:
    """The tape of a place on the wall, mm. Raises ``off-the-form``, ``ambiguous-height``."""
    wall = form.wall
    if place.origin in ("height", "tape"):
        amount = _sum(place, env)
        if place.origin == "height":
            return _at_height(place, form, amount)
        return _on_wall(amount, place, form)
    mark = form.landmarks.get(place.origin)
    if mark is None:
        raise Problem(form_faults.no_landmark(place.span, form.name, place.origin))
    return _on_wall(mark + _sum(place, env), place, form) if place.terms else min(mark, wall.length)


def ends_at(
    places: tuple[things.WallPlace, things.WallPlace], form: LaidForm, env: Env, messages: Messages
) -> tuple[float, float]:
    """The tapes of two places, mm. Where neither can be found, what is wrong with the first goes to the messages.
    Raises what ``tape_at`` does."""
    first, second = places
    try:
        start = tape_at(first, form, env)
    except Problem as problem:
        messages.add(problem.message)
        tape_at(second, form, env)
        raise
    return start, tape_at(second, form, env)


def _sum(place: things.WallPlace, env: Env) -> float:
    return sum((one_number(e, env) if sign == "+" else -one_number(e, env)) for sign, e in place.terms)


def _on_wall(tape: float, place: things.WallPlace, form: LaidForm) -> float:
    length = form.wall.length
    if tape < -LENGTH_STEP or tape > length + LENGTH_STEP:
        raise Problem(form_faults.off_the_wall(place.span, form.name, tape, length))
    return min(max(tape, 0.0), length)


def _at_height(place: things.WallPlace, form: LaidForm, height: float) -> float:
    found = form.wall.crossings(height)
    if len(found) == 0:
        heights = form.wall.height(np.linspace(0, form.wall.length, 257))
        raise Problem(
            form_faults.no_such_height(place.span, form.name, height, float(heights.min()), float(heights.max()))
        )
    if len(found) > 1:
        raise Problem(form_faults.ambiguous_height(place.span, form.name, height, [float(t) for t in found]))
    return float(found[0])


@record
class Patch:
    """A reserve as a test on the wall."""

    laid: LaidReserve
    wall: Wall
    span: Span

    def depth(self, angle: Floats, tape: Floats) -> Floats:
        """How far inside a point lies (mm, negative outside), by soft tape round and up; only its sign and
        zero are exact."""
        r = self.wall.radius(tape)
        turned = np.mod(angle - self.laid.facing + pi, 2 * pi) - pi
        across = self.laid.wide / 2 - np.abs(turned) * r
        return np.minimum(across, np.minimum(tape - self.laid.from_tape, self.laid.to_tape - tape))

    def edges(self, slack: float) -> list[Callable[[Floats, Floats], Floats]]:
        """Functions of angle and tape that change sign at the four edges' lines, ``slack`` mm inside.

        One for each edge, since a line may pass a corner, in over one edge and out over the next, in so short a
        stretch that the depth at both its ends is below 0."""
        r = self.laid

        def beside(sign: float) -> Callable[[Floats, Floats], Floats]:
            def turn(angle: Floats, tape: Floats) -> Floats:
                half = (r.wide / 2 - slack) / np.maximum(self.wall.radius(tape), 1e-12)
                return np.sin((angle - r.facing + sign * np.minimum(half, pi)) / 2)

            return turn

        return [
            lambda angle, tape: tape - r.from_tape - slack,
            lambda angle, tape: r.to_tape - slack - tape,
            beside(-1.0),
            beside(1.0),
        ]


def lay_reserve(reserve: things.Reserve, form: LaidForm, env: Env) -> Patch:
    """A reserve on the wall. Raises what its places raise, and ``out-of-range`` for one with no size."""
    ends = sorted((tape_at(reserve.start, form, env), tape_at(reserve.to, form, env)))
    if ends[1] - ends[0] < LENGTH_STEP:
        raise Problem(form_faults.reserve_without_height(reserve.span, reserve.name))
    wide = float(above_zero(reserve.wide, env, "A reserve's width"))
    facing = one_number(reserve.facing, env)
    return Patch(
        LaidReserve(
            reserve.name, ends[0], ends[1], facing, wide, reserve_outline(form.wall, facing, wide, ends[0], ends[1])
        ),
        form.wall,
        reserve.span,
    )


def reserve_outline(wall: Wall, facing: float, wide: float, low: float, high: float) -> Floats:
    """The edge of a patch ``wide`` by soft tape at every height: (k, 2) angle and tape, counter-clockwise
    from its lower left. A patch wider than the wall goes round is cut at the vertical opposite."""
    inner = wall.corners[(wall.corners > low) & (wall.corners < high)]
    n = max(2, int(np.ceil((high - low) / _SIDE_STEP)) + 1)
    tapes = np.unique(np.concatenate([np.linspace(low, high, n), inner]))
    while True:
        half = np.minimum(wide / 2 / np.maximum(wall.radius(tapes), 1e-9), pi)
        middle = (tapes[1:] + tapes[:-1]) / 2
        radius = np.maximum(wall.radius(middle), 1e-9)
        bent = radius * np.abs(np.minimum(wide / 2 / radius, pi) - (half[1:] + half[:-1]) / 2)
        # Towards a closed end the sides bend away, until they meet at the back.
        close = np.flatnonzero((bent > _SIDE_SAG) & (np.diff(tapes) > _SHORTEST_SIDE))
        if not len(close):
            return patch_outline(facing, tapes, half)
        tapes = np.insert(tapes, close + 1, middle[close])


def patch_outline(facing: float, tapes: Floats, half: Floats) -> Floats:
    """The outline of a patch that reaches ``half`` (radians) to either side of ``facing`` at growing tapes,
    level below and above: (k, 2) angle and tape, counter-clockwise from its lower left."""
    half = np.minimum(half, pi)
    m = max(2, int(np.ceil(2 * half.max() / np.radians(2))) + 1)
    bottom, top = np.linspace(-half[0], half[0], m), np.linspace(half[-1], -half[-1], m)
    outline = np.concatenate(
        [
            np.column_stack([bottom, np.full(m, tapes[0])]),
            np.column_stack([half, tapes])[1:],
            np.column_stack([top, np.full(m, tapes[-1])])[1:],
            np.column_stack([-half, tapes])[::-1][1:-1],
        ]
    )
    outline[:, 0] += facing
    return outline
