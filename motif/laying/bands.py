"""One band of a piece: a motif laid between two places of a wall."""

from __future__ import annotations

import re
from collections import Counter
from math import pi

import numpy as np

from motif.language.messages import Messages, Problem
from motif.language.record import record
from motif.laying.checks import tool_meetings
from motif.laying.collect import Collection
from motif.laying.curves import Tracer
from motif.laying.drawing import Drafter
from motif.laying.execute import Executor, bind
from motif.laying.findings import Finding, Findings
from motif.laying.forms import Patch, ends_at
from motif.laying.frames import Surveyor
from motif.laying.grid import GridLaw, lay_grid
from motif.laying.limits import Limits
from motif.laying.marks import SkipCount, lay_points
from motif.laying.paths import lay_paths
from motif.laying.piece import LaidBand, LaidForm, Rings
from motif.laying.places import Panel, Shifting, places_of, shifting
from motif.laying.region import Region
from motif.laying.row_table import shape_rows
from motif.laying.telling import grid_faults
from motif.model import things
from motif.model.expressions import one_count, one_number
from motif.model.values import Env

#: ``2-5``, which takes five from two
_RANGE = re.compile(r"(\d+)\s*[-–]\s*(\d+)")


@record
class Site:
    """What the bands of a piece have in common."""

    form: LaidForm
    patches: tuple[Patch, ...]
    env: Env
    limit: int
    messages: Messages
    findings: list[Finding]


@record
class Ground:
    """The grid of a band with what it is worked in; ``start`` and ``to`` are the tapes the text gives."""

    law: GridLaw
    env: Env
    start: float
    to: float
    shift: Shifting | None
    panels: tuple[Panel, ...]


def lay_ground(band: things.Band, site: Site) -> Ground:
    """The grid of a band, before anything is made on it. Raises ``Problem``."""
    wall, motif = site.form.wall, band.motif
    env = bind(motif.settings, band.arguments, site.env, site.env)
    start, to = 0.0, wall.length
    if band.reach is not None:
        start, to = ends_at(band.reach, site.form, site.env, site.messages)
    start_angle = 0.0 if band.starting is None else one_number(band.starting, site.env)
    law = lay_grid(motif.grid, wall, start, to, start_angle, env)
    return Ground(law, env, start, to, shifting(motif.grid, law, env), _panels(band, law, site.env))


def lay_band(band: things.Band, number: int, site: Site, used: int) -> LaidBand:
    """Lay a band; ``used`` marks are already made by the bands before. Raises ``Problem``."""
    form, wall, motif = site.form, site.form.wall, band.motif
    ground = lay_ground(band, site)
    law, env, shift, panels = ground.law, ground.env, ground.shift, ground.panels
    low, high = float(law.levels.tapes[0]), float(law.levels.tapes[-1])
    angles = tuple((float(law.angle(np.array(p.low))), float(law.angle(np.array(p.high)))) for p in panels)
    region = Region(wall, low, high, angles, site.patches)
    limits = Limits(site.limit)
    tracer = Tracer(wall, law, limits)
    collection = Collection(site.limit - used, limits)
    found = Findings(number)
    executor = Executor(
        Drafter(Surveyor(wall, law), form.side == "inside", limits, found),
        tracer,
        shift,
        region,
        collection,
        site.messages,
    )
    for k, rule in enumerate(motif.rules):
        try:
            places = places_of(rule, law, shift, panels, limits, env)
        except Problem as problem:
            site.messages.tell(problem, rule.span)
            continue
        if places.left_over:
            first = law.rows - places.left_over
            at = found.place(float(law.ring_tapes[first]), row=first + 1)
            plain = float(abs(law.ring_tapes[-1] - law.ring_tapes[first]))
            found.add(
                Finding(
                    "rows-left-over", rule.span, at, plain, at, plain, 1.0, places.left_over, places.up, of=law.rows
                )
            )  # fmt: skip
        executor.run(k, rule, places, env)
    skipped: SkipCount = Counter()
    points = lay_points(collection, wall, region, skipped, found)
    paths = lay_paths(collection, tracer, region, skipped, found)
    site.findings.extend(found.items)
    meetings = tool_meetings(law, points, shift is not None and shift.each == "column")
    tapes = law.ring_tapes
    radius = wall.radius(tapes)
    share = float(np.diff(law.turns).max())
    column = None if law.columns is None else 2 * pi * radius * share
    chord = None if column is None else 2 * radius * np.sin(pi * share)
    verticals = (
        law.angle(np.arange(law.units, dtype=np.float64)) if law.columns is not None else np.array([law.start_angle])
    )
    return LaidBand(
        number,
        motif.name,
        motif.description,
        law.columns,
        law.rows,
        None if law.row_columns is None else np.array(law.row_columns),
        ground.start,
        ground.to,
        law.left_over,
        law.proportion,
        Rings(tapes, wall.height(tapes), radius, 2 * pi * radius, column, chord),
        verticals,
        points,
        paths,
        dict(skipped),
        angles,
        motif.notes,
        meetings,
        shape_rows(law, meetings),
        law.levels.law,
    )


def _panels(band: things.Band, law: GridLaw, env: Env) -> tuple[Panel, ...]:
    """The panels of ``only columns``, those that touch made one, in the order of their first columns."""
    if not band.panels:
        return ()
    if law.columns is None:
        raise Problem(grid_faults.panels_of_uneven_rows(band.span))
    worked = np.zeros(law.columns, dtype=bool)
    for first, last in band.panels:
        ends = []
        for e in (first, last):
            k = one_count(e, env, "a column")
            if not 1 <= k <= law.columns:
                raise Problem(grid_faults.no_such_column(e.span, k, law.columns))
            ends.append(k)
        low, high = ends[0] - 1, ends[1] if ends[1] >= ends[0] else ends[1] + law.columns
        worked[np.arange(low, high) % law.columns] = True
    if worked.all():
        return ()
    panels = []
    for low in np.flatnonzero(worked & ~np.roll(worked, 1)).tolist():
        high = low + int(np.argmin(np.roll(worked, -low)))  # the first column after it that is not worked
        panels.append(Panel(float(low), float(high)))
    return tuple(panels)
