"""What to have ready before the pattern: the pot itself, what lies on the bench, pieces made ahead, time."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import numpy as np

from motif.laying.piece import LaidPiece, LaidTool
from motif.outputs.amounts import amounts, time_words, unpaced_words, whole_minutes
from motif.outputs.cautions import METAL
from motif.outputs.method.chapters import Chapter
from motif.outputs.method.point_marks import placed_by
from motif.outputs.method.setting_out import origin
from motif.outputs.method.strokes import BY_HAND, quoted
from motif.outputs.method.where import listing
from motif.outputs.numbers import Unit, length_with_unit, volume_with_unit
from motif.outputs.tables import Cell, Column, Table
from motif.outputs.totals import Total, count, tools, works
from motif.wall import Wall

#: What lies on the bench, told by the words of the steps that use it.
_BENCH = (
    (r"soft tape", "a soft tape"),
    (r"stick or callipers", "a measuring stick or callipers"),
    (r"dividers", "dividers"),
    (r"compasses", "compasses"),
    (r"set square", "a set square"),
    (r"level or height gauge", "a level or height gauge"),
    (r"pencil", "a soft pencil"),
    (r"bendy rule", "a bendy rule"),
    (r"along a rule", "a rule"),
    (r"Cut cards? ", "thin card and a knife for it"),
    (r"string or a strip", "a string or a strip of paper"),
    (r"narrow strip of paper", "narrow strips of paper"),
    (r"[Pp]rick ", "a pricking needle"),
    (r"score both faces", "a scoring tool"),
    (r"Brush slip", "slip and a brush for it"),
    (r"damp brush", "a soft brush"),
    (r"stiff brush", "a stiff brush"),
    (r"damp sponge", "a damp sponge"),
    (r"damp cloth", "damp cloths"),
    (r"something round to press with", "something round to press with"),
    (r"round hole cutter", "a round hole cutter"),
    *((re.escape(f"Take {tool}"), tool) for technique, tool in BY_HAND.items() if technique not in ("guide", "attach")),
)

#: Words by which the text says that a tool is of metal.
_METALS = re.compile(r"\b(metal|tin|brass|copper|steel|iron|alumini?um|zinc|pewter|bronze)\b", re.IGNORECASE)
#: Levels at which a wall's width is compared, and by how much they may differ (mm).
_LEVELS, _AS_WIDE = 64, 0.1


def ready(piece: LaidPiece, unit: Unit, others: Sequence[Chapter]) -> Chapter:
    """Tools, the pot itself, what is made ahead; ``others`` are the chapters for which all that is."""
    form = piece.form
    steps = [_stage(others, piece), *_measured(piece, unit)]
    totals = count(piece).totals
    joined = [t for t in totals if t.technique == "attach"]
    made_ahead = [_make_ahead(t, piece, unit) for t in joined]
    if joined and (piece.pace is None or not piece.pace.spare):
        made_ahead.append("Make a few to spare: some crack.")
    in_use = tools(piece)
    put_out = _bench([*steps, *(words for c in others for words in (*c.intro, *c.steps))])
    if in_use:
        put_out.append(f"the {'tool' if len(in_use) == 1 else 'tools'} of the table")
    steps += [f"Put out {listing(put_out)}.", *made_ahead, *_time(totals, piece)]
    tables = [_tool_table(piece, in_use, unit)] if in_use else []
    sharp = any(_METALS.search(f"{tool.name} {tool.description or ''}") for tool in in_use)
    about = piece.description or f"{piece.name} on {form.name}"
    return Chapter("Have ready", tuple(steps), tuple(tables), (METAL,) if sharp else (), (f"{about}.",))


def _stage(others: Sequence[Chapter], piece: LaidPiece) -> str:
    """How hard the clay is to be at the beginning, and that it grows harder on the way."""
    soft = f"soft {piece.stage}"
    lengths = f"All lengths here are of the clay at {piece.stage}."
    if not any(c.title.endswith(f", {soft}") for c in others):
        return f"Have the pot at {piece.stage}. {lengths}"
    later = [c.title for c in others if c.title.endswith(f", {piece.stage}")]
    until = " Let it stiffen where a heading says leather-hard." if later else ""
    return f"Have the pot at {soft}, so that it takes a print without cracking.{until} {lengths}"


def _measured(piece: LaidPiece, unit: Unit) -> list[str]:
    """The pot held against the text; no tape goes round a wall inside."""
    wall, start = piece.form.wall, origin(piece)
    tape, radius = wall.widest(0.0, wall.length)
    level = f"at its widest level, {length_with_unit(tape, unit)} of tape from {start}"
    if _straight(wall):
        level = "anywhere"
    up = length_with_unit(wall.length, unit)
    if piece.form.side == "inside":
        return [
            f"Measure straight across the inside with a stick or callipers {level}: "
            f"{length_with_unit(2 * radius, unit)}.",
            f"Lay a soft tape on the wall inside, up from {start} to the rim: {up}.",
            "If either is more than a hundredth off, the text does not fit this pot: measure the wall inside, write "
            "that into the form, and have these pages made anew.",
        ]
    neck = piece.form.landmarks.get("neck")
    around_neck = []
    if neck is not None and 0 < neck < wall.length:
        girth = length_with_unit(math.tau * float(wall.radius(neck)), unit)
        around_neck = [f"Wrap it round the neck, {length_with_unit(neck, unit)} of tape from {start}: {girth}."]
    return [
        f"Wrap a soft tape round it {level}: {length_with_unit(math.tau * radius, unit)}.",
        *around_neck,
        f"Lay the tape up the wall from {start} to the rim: {up}.",
        f"If {'any' if around_neck else 'either'} of these is more than a hundredth off, the text does not fit this "
        "pot: measure it, write that into the form, and have these pages made anew.",
    ]


def _straight(wall: Wall) -> bool:
    """Whether the pot is as wide at every level, as far as a tape tells."""
    radius = wall.radius(np.linspace(0.0, wall.length, _LEVELS))
    return float(np.ptp(radius)) < _AS_WIDE


def _bench(steps: Sequence[str]) -> list[str]:
    """What the steps ask for, so that nothing is put out in vain and nothing is missing."""
    words = "\n".join(steps)
    return [thing for sought, thing in _BENCH if re.search(sought, words)]


def _make_ahead(total: Total, piece: LaidPiece, unit: Unit) -> str:
    """How many pieces of one kind to have ready, and how much clay they take."""
    taken = amounts(total, piece)
    spares = taken.spares or 0
    n = total.count + spares
    words = f"Make {n} {'piece' if total.tool else 'shape'}{'' if n == 1 else 's'}"
    if total.tool:
        words += f" with {quoted(total.tool)}"
    if total.colour:
        words += f" of {total.colour} clay"
    if spares:
        words += f" ({total.count}, and {spares} to spare)"
    if taken.wet_volume is not None:
        each, of_all = volume_with_unit(taken.wet_volume / n, unit, 2), volume_with_unit(taken.wet_volume, unit)
        return f"{words}: {each} of wet clay each, {of_all} in all."
    if total.volume:
        one = total.volume / total.count
        each, of_all = volume_with_unit(one, unit, 2), volume_with_unit(one * n, unit)
        return f"{words}: {each} of clay each as they are joined on, {of_all} in all."
    return f"{words} from a slab." if total.outlines else f"{words}."


def _time(totals: Sequence[Total], piece: LaidPiece) -> list[str]:
    """Time technique by technique, their sum, and what is not in it."""
    if piece.pace is None:
        return []
    of_technique: dict[str, int] = {}
    for t in totals:
        if (minutes := amounts(t, piece).minutes) is not None:
            of_technique[t.technique] = of_technique.get(t.technique, 0) + whole_minutes(minutes)
    if not of_technique:
        return []
    each = ", ".join(f"{technique} {time_words(m)}" for technique, m in of_technique.items())
    unpaced = [*unpaced_words(totals, piece), "setting out", "cleaning up"]
    return [
        f"Allow {time_words(sum(of_technique.values()))} at the pace “{piece.pace.name}”: {each}. "
        f"Not in it: {listing(unpaced)}."
    ]


def _tool_table(piece: LaidPiece, in_use: Sequence[LaidTool], unit: Unit) -> Table:
    used: dict[str, list[str]] = {}
    for work in works(piece):
        if work.tool is not None and work.technique not in used.setdefault(work.tool.name, []):
            used[work.tool.name].append(work.technique)
    columns = (
        Column("tool", "Tool"),
        Column("what", "What it is"),
        Column("for", "To"),
        Column("wide", "Wide", "length"),
        Column("tall", "Tall", "length"),
        Column("cuts", "Cuts", "length"),
        Column("pitch", "Pitch", "length"),
        Column("place", "Placed"),
    )
    rows: list[tuple[Cell, ...]] = [
        (
            t.name,
            t.description,
            ", ".join(used[t.name]),
            t.wide,
            t.tall,
            t.cuts,
            t.pitch,
            placed_by(t, unit) if t.wide is not None else None,
        )
        for t in in_use
    ]
    shown = [i for i in range(len(columns)) if any(row[i] is not None for row in rows)]
    return Table("Tools", tuple(columns[i] for i in shown), [tuple(r[i] for i in shown) for r in rows])
