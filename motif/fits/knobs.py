"""What sets the columns and rows of a band, and the text that would set them otherwise."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from motif.fits.light import slots_in
from motif.fits.rewriting import Words
from motif.language.kinds import COUNT, LENGTH, Kind
from motif.language.record import changed, record
from motif.laying.execute import bind
from motif.laying.grid import GridLaw
from motif.model import rules, things
from motif.model.expressions import Expr, Quantity, Read, one_count, one_number
from motif.model.values import Env, Slot

#: counts so many to either side are tried, and so many multiples
_COUNTS, _MULTIPLES = 5, 4
#: lengths from this part of the one written to this, mm
_LEAST, _MOST = 0.6, 1.5
#: in steps of so much, mm: of the first that is coarse enough
_TIDY = ((40.0, 1.0), (10.0, 0.5), (0.0, 0.1))
#: no more lengths than this
_LENGTHS = 120


@record
class Knob:
    """One thing to turn: a given of the motif (``slot``), or the columns or rows as the grid writes them. ``written``
    and ``values`` are in the text's own unit: counts, or mm as meant."""

    slot: Slot | None
    part: Literal["columns", "rows"]
    kind: Kind
    written: float
    values: tuple[float, ...]


@record
class Setting:
    """Values for the knobs of a band."""

    turned: tuple[tuple[Knob, float], ...]

    @property
    def changes(self) -> list[tuple[Knob, float]]:
        """The knobs that are not as they are written."""
        return [(knob, value) for knob, value in self.turned if value != knob.written]

    def band(self, band: things.Band) -> things.Band:
        """The band so set."""
        arguments = dict(band.arguments)
        grid = band.motif.grid
        for knob, value in self.changes:
            if knob.slot is not None:
                arguments[knob.slot] = Quantity(band.span, knob.kind, value)
            elif knob.part == "columns":
                grid = changed(grid, columns=changed(grid.columns, **_spec(grid.columns, knob, value)))
            else:
                grid = changed(grid, rows=changed(grid.rows, **_spec(grid.rows, knob, value)))
        return changed(band, arguments=tuple(arguments.items()), motif=changed(band.motif, grid=grid))

    @property
    def sets_grid(self) -> bool:
        """Whether the motif's grid is changed, and with it every band of that motif."""
        return any(knob.slot is None for knob, _ in self.changes)

    def lines(self, band: things.Band) -> tuple[str, ...]:
        """The text that sets it: the grid, the band with its arguments, or both; none where nothing is changed."""
        found = []
        if self.sets_grid:
            found.append(_grid_text(band.motif.grid, self.changes))
        givens = [(k.slot, _text(v, k.kind)) for k, v in self.changes if k.slot is not None]
        if givens:
            found.append(_band_text(band, givens))
        return tuple(found)


def knobs_of(piece: things.Piece, band: things.Band, law: GridLaw) -> list[Knob]:
    """What may be turned in a band that now has this grid: in a motif of the piece's own file what the grid writes;
    in any motif the givens that its columns or rows are made from."""
    motif = band.motif
    env = bind(motif.settings, band.arguments, Env(1.0), Env(1.0))
    own = motif.span.source.name == piece.span.source.name
    found: list[Knob] = []
    parts: tuple[tuple[Literal["columns", "rows"], rules.Columns | rules.Rows, int | None], ...] = (
        ("columns", motif.grid.columns, law.columns),
        ("rows", motif.grid.rows, law.rows),
    )
    for part, spec, count in parts:
        if spec.law == "proportional":
            continue  # it follows from the other
        multiple = 1 if spec.multiple is None else one_count(spec.multiple, env, "'multiple of'")
        stride = max(1, multiple) * (max(1, len(spec.spaced)) if part == "columns" else 1)
        given = _given_in(spec.values[0], motif)
        if given is not None:
            if all(k.slot is not given.slot for k in found):
                written = one_number(Read(spec.span, given.kind, given.slot), env)
                found.append(Knob(given.slot, part, given.kind, written, _values(written, given.kind, stride)))
        elif own and (spec.law == "every" or count is None):
            written = one_number(spec.values[0], env)
            found.append(Knob(None, part, LENGTH, written, _values(written, LENGTH, stride)))
        elif own and count is not None:
            found.append(Knob(None, part, COUNT, float(count), _values(count, COUNT, stride)))
    return found


def _given_in(e: Expr, motif: rules.Motif) -> rules.Given | None:
    """The first given, a count or a length, that an expression is made from, maybe by way of lets."""
    lets = {s.slot: s.value for s in motif.settings if isinstance(s, rules.Let)}
    reads = slots_in(e)
    while True:
        more = {r for slot in reads if slot in lets for r in slots_in(lets[slot])} - reads
        if not more:
            break
        reads |= more
    return next((g for g in motif.givens if g.slot in reads and (g.kind.whole or g.kind == LENGTH)), None)


def _values(written: float, kind: Kind, stride: int) -> tuple[float, ...]:
    """What to try besides what is written: counts and multiples about it, or lengths that read well."""
    if kind != LENGTH:
        near = {written + k for k in range(-_COUNTS, _COUNTS + 1)}
        near |= {written + k * stride for k in range(-_MULTIPLES, _MULTIPLES + 1)}
        return tuple(sorted(v for v in near if v >= 1))
    step = next(tidy for least, tidy in _TIDY if written >= least)
    step *= max(1, np.ceil((_MOST - _LEAST) * written / step / _LENGTHS))
    first, last = np.ceil(_LEAST * written / step), np.floor(_MOST * written / step)
    tidy = {round(float(k * step), 6) for k in np.arange(first, last + 1)}
    return tuple(sorted(v for v in tidy | {written} if v > 0))


def _spec(spec: rules.Columns | rules.Rows, knob: Knob, value: float) -> dict[str, object]:
    """The fields of columns or rows that a knob sets: a length stays the law's size, a count is a plain number, which
    what stands behind 'multiple of' must still divide."""
    said: dict[str, object] = {"values": (Quantity(spec.span, knob.kind, value),)}
    return said if knob.kind == LENGTH else {**said, "law": "number"}


def _text(value: float, kind: Kind) -> str:
    shown = f"{value:.6f}".rstrip("0").rstrip(".")
    return f"{shown} mm" if kind == LENGTH else shown


def _grid_text(grid: rules.Grid, changes: Sequence[tuple[Knob, float]]) -> str:
    """The grid as it would be written."""
    turned = {k.part: (k, v) for k, v in changes if k.slot is None}
    parts = ["grid"]
    for part, spec in (("columns", grid.columns), ("rows", grid.rows)):
        words = Words(spec.span)
        if part in turned:
            knob, value = turned[part]
            size = 2 if knob.kind == LENGTH else 1  # behind 'columns near'; a number stands for 'near' too
            words.replace([(words.reach(size, spec.values[0].span.end), _text(value, knob.kind))])
        parts.append(words.line)
    if grid.shift is not None:
        parts.append(Words(grid.shift.span).line)
    return " ".join(parts)


def _band_text(band: things.Band, givens: Sequence[tuple[Slot, str]]) -> str:
    """The band with givens set: those it sets already get their new values, the others are added."""
    written = dict(band.arguments)
    words = Words(band.span)
    words.replace([(written[slot].span, value) for slot, value in givens if slot in written])
    added = ", ".join(f"{slot.name} = {value}" for slot, value in givens if slot not in written)
    if added:
        name, bracket, first = 1, 2, 3  # band tufting ( around = 14 …
        if words.kind(bracket) != "LEFT_BRACKET":
            words.append(name, f"({added})")
        else:
            words.append(bracket, added if words.kind(first) == "RIGHT_BRACKET" else f"{added},")
    return words.line
