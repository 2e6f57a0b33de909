"""A form at the stage at which it is decorated, and places on its wall."""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np

from motif.language.kinds import LENGTH_STEP
from motif.language.messages import Message, Problem, fail
from motif.language.record import record
from motif.language.source import Span
from motif.laying.piece import Floats, LaidForm, LaidReserve
from motif.model import things
from motif.model.expressions import above_zero, one_number
from motif.model.values import Env
from motif.wall import ProfileError, Station, Wall, build_wall

#: no form has more stations, or is taller or wider, mm
MOST_STATIONS, MOST_WALL = 1_000, 20_000.0
#: tapes between the points of a reserve's sides, mm
_SIDE_STEP = 0.5


def stage_factor(form: things.Form, start: str, to: str, span: Span | None) -> float:
    """Length at stage ``to`` of 1 mm at stage ``start``: (1 − S_to) / (1 − S_start), ASTM C326 bases.

    Raises ``stage-unknown``."""
    if start == to:
        return 1.0
    remaining = []
    for stage in (start, to):
        part = None if form.clay is None else form.clay.remaining(stage)
        if form.clay is None:
            fail(
                "stage-unknown",
                f"From {start} to {to} the clay shrinks, and the form '{form.name}' names no clay.",
                span,
                "Name it in the form, as in 'clay buff', and say how it shrinks: clay buff { shrinks 12 % by fired }",
            )
        if part is None:
            fail(
                "stage-unknown",
                f"The clay '{form.clay.name}' does not say how far it has shrunk by {stage}.",
                span,
                f"Add to the clay: shrinks … % by {stage}",
                ((form.clay.span, "the clay"),),
            )
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
        fail(
            "bad-profile",
            f"This profile has {len(form.stations)} stations, and {MOST_STATIONS} is the limit.",
            form.profile_span,
            "A few dozen describe any pot.",
        )
    stations = []
    for s in form.stations:
        size = one_number(s.size, env)
        if size < 0:
            fail("bad-profile", "A pot cannot be less than 0 across.", s.size.span, "Give the measured size.")
        for e, value in ((s.at, one_number(s.at, env)), (s.size, size)):
            if abs(value) > MOST_WALL:
                fail(
                    "bad-profile",
                    f"This is {value / 1000:.6g} m; forms up to {MOST_WALL / 1000:.0f} m can be laid.",
                    e.span,
                    "Is the unit right?",
                )
        stations.append(
            Station(one_number(s.at, env), size / 2 if s.measure == "across" else size / (2 * pi), s.corner)
        )
    try:
        wall = build_wall(stations, smooth=form.smooth, by_tape=form.by_tape)
    except ProfileError as e:
        places = [form.stations[i].span for i in e.stations]
        others = tuple((p, "and this") for p in places[:-1])
        raise Problem(
            Message(
                "bad-profile",
                _sentence(e.reason),
                places[-1] if places else form.profile_span,
                _sentence(e.advice),
                others,
            )
        ) from None
    if wall.length > 4 * MOST_WALL:
        fail(
            "bad-profile",
            f"This wall is {wall.length / 1000:.6g} m of tape, more than can be laid.",
            form.profile_span,
            "Are the units right? In a smooth profile, stations that jump to and fro make the curve swing wide.",
        )
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
        fail(
            "off-the-form",
            f"The form '{form.name}' has no {place.origin}.",
            place.span,
            "A neck is the narrowest level above the belly with wider wall on both sides. "
            "Give a height or a tape distance.",
        )
    return _on_wall(mark + _sum(place, env), place, form) if place.terms else min(mark, wall.length)


def _sum(place: things.WallPlace, env: Env) -> float:
    return sum((one_number(e, env) if sign == "+" else -one_number(e, env)) for sign, e in place.terms)


def _on_wall(tape: float, place: things.WallPlace, form: LaidForm) -> float:
    length = form.wall.length
    if tape < -LENGTH_STEP or tape > length + LENGTH_STEP:
        side = "below the foot" if tape < 0 else "above the rim"
        beyond = -tape if tape < 0 else tape - length
        fail(
            "off-the-form",
            f"This lies {beyond:.1f} mm {side} of '{form.name}', whose wall is {length:.1f} mm of tape.",
            place.span,
            f"Tape distances run from 0 at the foot to {length:.1f} mm at the rim.",
        )
    return min(max(tape, 0.0), length)


def _at_height(place: things.WallPlace, form: LaidForm, height: float) -> float:
    found = form.wall.crossings(height)
    if len(found) == 0:
        heights = form.wall.height(np.linspace(0, form.wall.length, 257))
        fail(
            "off-the-form",
            f"'{form.name}' has no wall at height {height:.1f} mm.",
            place.span,
            f"Its wall lies between {heights.min():.1f} and {heights.max():.1f} mm above the table.",
        )
    if len(found) > 1:
        listed = ", ".join(f"{t:.1f}" for t in found[:-1]) + f" and {found[-1]:.1f} mm"
        often = "twice" if len(found) == 2 else f"{len(found)} times"
        fail(
            "ambiguous-height",
            f"The wall of '{form.name}' passes height {height:.1f} mm {often}, at tape {listed}.",
            place.span,
            "Say which by tape: " + " or ".join(f"'tape {t:.1f} mm'" for t in found) + ".",
        )
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
        fail("out-of-range", f"The reserve “{reserve.name}” has no height.", reserve.span, "Give two different places.")
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
    return patch_outline(facing, tapes, wide / 2 / np.maximum(wall.radius(tapes), 1e-9))


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


def _sentence(words: str) -> str:
    return words[0].upper() + words[1:] + "."
