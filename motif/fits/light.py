"""A motif with only what its fit is judged by: footprints, and lines that are cut at a known width."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from motif.language.record import changed
from motif.language.source import Span
from motif.model import geometry as geo
from motif.model import rules
from motif.model.techniques import TECHNIQUES
from motif.model.values import Env, Slot, ToolSizes


def light(motif: rules.Motif, env: Env, *, lines: bool = True) -> rules.Motif:
    """The motif without what neither meets a neighbour nor leaves land; without ``lines``, with its footprints alone.
    The rules all stay, since what they ask of the grid is checked. ``env`` knows the motif's givens."""
    known = env if lines else None
    return changed(motif, rules=tuple(changed(r, body=_body(r.body, known)) for r in motif.rules))


def is_costly(motif: rules.Motif) -> bool:
    """Whether lines are drawn that take long: clear of others, within them, parallel to them, or taut."""
    return any(isinstance(x, geo.ClearOf | geo.Within | geo.Offset | geo.Taut) for x in _parts(motif.rules))


def _body(body: tuple[rules.Statement, ...], env: Env | None) -> tuple[rules.Statement, ...]:
    kept = [s for s in (_statement(s, env) for s in body) if s is not None]
    used = {x for s in kept if not isinstance(s, rules.PathName) for x in _parts(s) if isinstance(x, Slot)}
    result: list[rules.Statement] = []
    for s in reversed(kept):  # a path may use the paths before it
        if isinstance(s, rules.PathName):
            if s.slot not in used:
                continue
            used |= {x for x in _parts(s.geometry) if isinstance(x, Slot)}
        result.append(s)
    return tuple(reversed(result))


def _statement(s: rules.Statement, env: Env | None) -> rules.Statement | None:
    match s:
        case rules.Work():
            kept = tuple(g for g in s.geometries if _counts(g, s, env))
            return changed(s, geometries=kept) if kept else None
        case rules.If():
            return changed(s, branches=tuple((condition, _body(body, env)) for condition, body in s.branches))
        case rules.Repeat():
            repeated = _body(s.body, env)
            return changed(s, body=repeated) if repeated else None
        case rules.Draw():
            figure = None if s.figure is None else changed(s.figure, body=_body(s.figure.body, env))
            body = None if s.body is None else _body(s.body, env)
            return changed(s, figure=figure, body=body) if body or (figure is not None and figure.body) else None
    return s


def _counts(g: geo.Geometry, s: rules.Work, env: Env | None) -> bool:
    while isinstance(g, geo.ClearOf | geo.Within):
        g = g.geometry
    if isinstance(g, geo.Footprint | geo.MarksAlong):
        return g.tool is not None
    if isinstance(g, geo.Dot):
        return False
    return env is not None and TECHNIQUES[s.technique].cuts and _has_width(s.how, env)


def _has_width(how: rules.How, env: Env) -> bool:
    if how.width is not None or how.tool is None:
        return how.width is not None
    if not slots_in(how.tool) <= env.values.keys():
        return True  # a given of a figure, which may have one
    tool = how.tool.value(env)
    return isinstance(tool, ToolSizes) and tool.cuts is not None


def _parts(of: Any) -> Iterator[Any]:
    """A checked thing, and all that it is made of."""
    yield of
    if isinstance(of, tuple):
        for part in of:
            yield from _parts(part)
    elif hasattr(of, "__dict__") and not isinstance(of, Span | Slot):
        for part in vars(of).values():
            yield from _parts(part)


def slots_in(of: Any) -> set[Slot]:
    """The givens, lets and paths that a checked thing reads."""
    return {part for part in _parts(of) if isinstance(part, Slot)}
