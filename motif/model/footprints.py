"""Outlines of tools: flat drawings in clay lengths, turned into points."""

from __future__ import annotations

import numpy as np

from motif.language.messages import Problem
from motif.language.record import record
from motif.language.source import Span
from motif.model.expressions import Expr, one_number
from motif.model.flat import bezier, circular_arc_by_rise, circular_arc_through
from motif.model.geometry import Arc, ArcThrough, Curve, Path, Point
from motif.model.telling import value_faults
from motif.model.values import Env, Floats

#: farthest that the corners of a curved outline's polygon may lie from one another along the curve, mm
_STEP_MM = 0.5
#: the area is that of a polygon with so many corners for one of the former, so true to 1e-5 of what that one lacks
_FINER = 300


@record
class Outline:
    span: Span
    path: Path


def _at(p: Point) -> Floats:
    env = Env(1.0)
    xy = np.array([one_number(p.a, env), one_number(p.b, env)])
    if p.offset is not None:
        xy += [one_number(e, env) for e in p.offset]
    return xy


def _rise(e: Expr, chord: float) -> float:
    env = Env(1.0).with_chord(chord)
    rise = one_number(e, env)
    return rise if e.kind.dimension == (1, 0) else rise * chord


def outline_points(outline: Outline) -> tuple[Floats, float]:
    """The outline as a polygon (k, 2) in mm, counter-clockwise, not closed on itself, and the area of the outline
    itself, mm².

    Raises ``out-of-range`` where it encloses nothing."""
    here = _at(outline.path.start)
    pieces = [here[None, :]]
    beyond = 0.0
    for s in outline.path.segments:
        to = _at(s.to)
        if isinstance(s, Arc):
            drawn = circular_arc_by_rise(here, to, _rise(s.rise, float(np.hypot(*(to - here)))))
        elif isinstance(s, ArcThrough):
            drawn = circular_arc_through(here, _at(s.through), to)
        elif isinstance(s, Curve):
            drawn = bezier(here, _at(s.leaving), _at(s.arriving), to)
        else:
            pieces.append(to[None, :])
            here = to
            continue
        rough = drawn(np.linspace(0, 1, 33))
        length = float(np.hypot(*np.diff(rough, axis=0).T).sum())
        n = max(2, int(np.ceil(length / _STEP_MM)))
        coarse = drawn(np.linspace(0, 1, n + 1))
        pieces.append(coarse[1:])
        beyond += _area(drawn(np.linspace(0, 1, n * _FINER + 1))) - _area(coarse)
        here = to
    points = np.concatenate(pieces)
    if np.allclose(points[0], points[-1], atol=1e-9):
        points = points[:-1]
    area = _area(points)
    if abs(area) < 1e-9:
        raise Problem(value_faults.outline_of_nothing(outline.span))
    return (points if area > 0 else points[::-1].copy()), abs(area + beyond)


def _area(points: Floats) -> float:
    """The area that a polygon (k, 2) holds, counter-clockwise positive."""
    x, y = points.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
