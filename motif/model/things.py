"""Checked clay, tools, forms and pieces."""

from __future__ import annotations

from functools import cached_property
from typing import Literal, TypeAlias

from motif.language.messages import Problem
from motif.language.record import record
from motif.language.source import Span
from motif.model.expressions import Expr, one_number
from motif.model.footprints import Outline, outline_points
from motif.model.rules import How, Motif
from motif.model.telling import value_faults
from motif.model.values import Env, Slot, ToolSizes, Value


@record
class FileLet:
    """A named value of a file, worked out at the stage of whoever uses it."""

    span: Span
    name: str
    expression: Expr
    _known: dict[float, Value]

    def at_scale(self, scale: float) -> Value:
        """Its value in inner units where a length of 1 is ``scale`` at the stage of decorating, worked out once: lets
        that use one another twice each would else take twice as long with every one."""
        if scale not in self._known:
            self._known[scale] = self.expression.value(Env(scale))
        return self._known[scale]


@record
class Clay:
    """Linear shrinkage from the wet length to each stage, as in ASTM C326: part, name of the stage, place in the
    text."""

    span: Span
    name: str
    description: str | None
    shrinkages: tuple[tuple[Expr, str, Span], ...]

    def remaining(self, stage: str) -> float | None:
        """Length at a stage as a part of the wet length; None where the clay does not state the stage.

        Raises ``out-of-range`` for a shrinkage outside 0 … 100 %."""
        if stage == "wet":
            return 1.0
        for by, named, span in self.shrinkages:
            if named == stage:
                s = one_number(by, Env(1.0))
                if not 0 <= s < 1:
                    raise Problem(value_faults.shrinks_beyond_the_whole(span, s))
                return 1 - s
        return None


@record
class Tool:
    """A thing on the bench: ``lengths`` hold the word and size of each that is said, mm (``volume``: mm³)."""

    span: Span
    name: str
    description: str | None
    lengths: tuple[tuple[str, Expr], ...]
    outline: Outline | None

    def sizes(self) -> ToolSizes:
        """The sizes in mm and ml, real at the stage of decorating. Raises ``Problem`` for sizes not above 0."""
        return self._sizes

    @cached_property
    def _sizes(self) -> ToolSizes:
        env = Env(1.0)
        size: dict[str, float] = {}
        for word, expression in self.lengths:
            size[word] = one_number(expression, env)
            if size[word] <= 0:
                raise Problem(value_faults.tool_without_size(expression.span, self.name, word))
        points, area = outline_points(self.outline) if self.outline is not None else (None, None)
        wide, tall = size.get("wide"), size.get("tall")
        if points is not None:
            extent = points.max(axis=0) - points.min(axis=0)
            wide = float(extent[0]) if wide is None else wide
            tall = float(extent[1]) if tall is None else tall
        elif tall is None:
            tall = wide
        volume = size.get("volume")
        return ToolSizes(
            self.name,
            self.description,
            wide,
            tall,
            size.get("cuts"),
            size.get("deep"),
            size.get("pitch"),
            None if volume is None else volume / 1000,
            points,
            area,
        )


@record
class Station:
    """A measurement of the wall: ``at`` mm of height, or of tape in a profile by tape, ``across`` (diameter) or
    ``around`` (circumference) so many mm. In a ``corner`` the curve begins anew."""

    span: Span
    at: Expr
    measure: Literal["across", "around"]
    size: Expr
    corner: bool


@record
class WallPlace:
    """A landmark and signed lengths of tape, mm; or a height above the table or a tape distance from the foot, mm."""

    span: Span
    origin: Literal["foot", "rim", "belly", "neck", "height", "tape"]
    terms: tuple[tuple[Literal["+", "-"], Expr], ...]


@record
class Reserve:
    """A patch kept free between two places, ``wide`` mm by soft tape at every height, its middle at ``facing``
    radians to the right of the starting mark."""

    span: Span
    name: str
    start: WallPlace
    to: WallPlace
    facing: Expr
    wide: Expr


@record
class Form:
    """A measured pot: sizes in mm at ``stage`` on the ``side`` that is decorated, ``stations`` from the foot to the
    rim; None for what it does not say."""

    span: Span
    name: str
    description: str | None
    stage: str
    stage_span: Span | None
    clay: Clay | None
    thickness: Expr | None
    side: Literal["outside", "inside"]
    smooth: bool
    by_tape: bool
    stations: tuple[Station, ...]
    profile_span: Span
    reserves: tuple[Reserve, ...]
    notes: tuple[str, ...]


@record
class Band:
    """A motif laid between the two places of ``reach`` (None: from foot to rim), on the columns of ``panels`` (first
    and last, counts from 1; none: all), vertical 1 ``starting`` so many radians to the right."""

    span: Span
    motif: Motif
    arguments: tuple[tuple[Slot, Expr], ...]
    reach: tuple[WallPlace, WallPlace] | None
    panels: tuple[tuple[Expr, Expr], ...]
    starting: Expr | None


@record
class RingWork:
    """A line of the piece itself round the pot."""

    span: Span
    technique: str
    at: WallPlace
    how: How


@record
class EdgeWork:
    """A line along the edge of a reserve, or the parallel ``by`` mm off it, above 0; ``side`` says where. None: the
    edge itself."""

    span: Span
    technique: str
    reserve: str
    reserve_span: Span
    by: Expr | None
    side: Literal["outside", "inside"] | None
    how: How


PieceItem: TypeAlias = Band | RingWork | EdgeWork


@record
class Rate:
    """How much of a technique is done ``each`` minute or hour: a count, mm, or the two sides of an area, mm.

    ``tool`` is the one it holds for; None: for every tool that has no rate of its own."""

    span: Span
    technique: str
    measure: Literal["count", "length", "area"]
    amounts: tuple[Expr, ...]
    each: Literal["minute", "hour"]
    tool: Tool | None


@record
class Pace:
    """How fast somebody works; ``spare`` is what is made beyond need, as a part of it."""

    span: Span
    name: str
    description: str | None
    rates: tuple[Rate, ...]
    spare: Expr | None


@record
class Piece:
    """A form and what is made on it, in order. ``decorated`` and ``dimensions`` are the stages of the work and of the
    lengths in the text, with their places; None: the stage at which the form was measured."""

    span: Span
    name: str
    description: str | None
    form: Form
    decorated: tuple[str, Span] | None
    dimensions: tuple[str, Span] | None
    items: tuple[PieceItem, ...]
    reserves: tuple[Reserve, ...]
    notes: tuple[str, ...]
    pace: Pace | None = None

    @property
    def bands(self) -> list[Band]:
        return [item for item in self.items if isinstance(item, Band)]
