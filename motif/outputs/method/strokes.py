"""Families of strokes and marks in words: one action a line."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np

from motif.laying.piece import LaidTool
from motif.outputs.method.chains import Chain
from motif.outputs.method.curves import card_steps, card_table, cards, sides
from motif.outputs.method.families import Family, Marks
from motif.outputs.method.parts import part_steps
from motif.outputs.method.places import BandGrid, mixed, ring_words, spot, vertical_words
from motif.outputs.method.where import Where, listing, named, where
from motif.outputs.numbers import Unit, length, length_with_unit
from motif.outputs.tables import Table

#: A chain of more marks than this is not read out; it wants a pattern of paper.
_LONGEST_CHAIN = 9
#: So many of its places may have to be measured from the marks nearby.
_MOST_MEASURED = 9
#: More lines than this are not listed by their ends.
_LISTED_ENDS = 24
#: Starts at more different places than this are not listed, each in a line.
_LISTED_STARTS = 12
_SAME = 1e-3

#: What a hand does, by technique.
VERBS = {
    "guide": "Draw",
    "incise": "Incise",
    "carve": "Carve",
    "impress": "Press",
    "pierce": "Pierce",
    "roulette": "Roll",
    "trail": "Trail",
    "attach": "Set",
    "paint": "Paint",
}

#: What is taken where the text names no tool. Common practice, no source.
BY_HAND = {
    "guide": "the pencil",
    "incise": "a pointed tool",
    "carve": "a carving tool",
    "impress": "something blunt to press with",
    "pierce": "a piercing knife",
    "trail": "a slip trailer",
    "attach": "the pieces made ahead",
}


def stroke_steps(family: Family, grid: BandGrid, unit: Unit, tables: list[Table]) -> list[str]:
    """What to do for one family of strokes or outlines; a table of cards to cut is put with the ``tables``."""
    verb, chain = VERBS[family.work.technique], family.chain
    if family.settings[1] and chain.plain:
        return _circles(family, grid, unit)
    if not chain.plain:
        return _by_pattern(family, grid, unit)
    if _is_level(chain):
        rings = listing([w.on.removeprefix("on ") for w in where(family.rows, grid, unit)])
        return [f"Keep {rings} as drawn." if is_drawn(family) else f"{verb} all round, on {rings}."]
    if _is_upright(chain) and not family.ends and not any(chain.short):
        how = "Keep the lines drawn" if is_drawn(family) else verb
        return [f"{how} up the wall {w.at}, {_reach(w, chain, grid, unit)}." for w in where(family.rows, grid, unit)]
    if chain.taut:
        first, last = (_spot(n.a, n.b, grid, unit) for n in chain.nodes)
        steps = [f"{verb} along a strip or string laid tight from {first} to {last} ({_lengths(family, unit)})."]
        return steps + (_repeated(family, grid, unit) if family.count > 1 else [])
    told = _told(chain, grid, unit)
    if told is None:
        return _by_pattern(family, grid, unit)
    shape = "the shape " if family.worked_over else ""
    steps = [f"{verb} {shape}{told}{_shorts(family, unit)}{_bulging(family, grid, unit)} ({_lengths(family, unit)})."]
    before = part_steps(((n.a, n.b) for c, _ in family.chains for n in c.nodes), grid, unit)
    if any(n.bulge for n in chain.nodes):
        made, name = cards(family, grid), f"Cards, {family.work.technique} {len(tables) + 1}"
        before += card_steps(made, name, unit)
        table = card_table(made, name, grid, unit)
        tables += [] if table is None else [table]
    steps = [*before, *steps]
    if family.count > 1:
        steps += _repeated(family, grid, unit)
    return steps


def _reach(place: Where, chain: Chain, grid: BandGrid, unit: Unit) -> str:
    """From which ring to which an upright line goes from each of its starts."""
    rise = chain.nodes[-1].b - chain.nodes[0].b
    if place.levels > 1 and abs(rise - 1) < _SAME and all(abs(b - round(b)) < _SAME for b in place.starts):
        return f"from {named('ring', [round(b) for b in place.starts])} to the next"
    ends = [f"from {_ring(b, grid, unit)} to {_ring(b + rise, grid, unit)}" for b in place.starts]
    return listing(ends)


def one(name: str) -> str:
    """``a tooth``, ``an arrow``."""
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def _is_level(chain: Chain) -> bool:
    return chain.round and len({round(n.b, 6) for n in chain.nodes}) == 1


def _is_upright(chain: Chain) -> bool:
    return chain.step is not None and abs(chain.step[0]) < _SAME


def is_drawn(family: Family) -> bool:
    """Whether guide lines are rings or verticals, which setting out has drawn already."""
    chain = family.chain
    if family.work.technique != "guide" or not (_is_level(chain) or _is_upright(chain)):
        return False
    places = [row.b for row in family.rows] if chain.round else [a for row in family.rows for a in row.a.tolist()]
    return all(abs(p - round(p)) < _SAME for p in places)


def _told(chain: Chain, grid: BandGrid, unit: Unit) -> str | None:
    """The marks in order, joined by arrows; None where they are too many to read out."""
    nodes = chain.nodes
    if sum(not spot(grid, n.a, n.b).on_marks for n in nodes) > _MOST_MEASURED:
        return None
    ways = ["", *sides(chain, grid)]
    mixed_bulges = len(set(ways[1:])) > 1

    def word(k: int) -> str:
        place = _spot(nodes[k].a, nodes[k].b, grid, unit)
        bulge = nodes[k].bulge
        if not mixed_bulges or not bulge:
            return place
        return f"(bulging {length_with_unit(abs(bulge), unit)} {ways[k]}) {place}"

    if len(nodes) <= _LONGEST_CHAIN:
        return " → ".join(word(k) for k in range(len(nodes)))
    period = _period(chain)
    if period is None or period + 1 > _LONGEST_CHAIN:
        return None
    shown = period + 1 if period > 1 else 3
    onward = "all round, back to the start" if chain.closed else f"to {word(len(nodes) - 1)}"
    return " → ".join(word(k) for k in range(shown)) + f" → and so on {onward}"


def _period(chain: Chain) -> int | None:
    """After how many marks a long chain begins to repeat its steps."""
    steps = np.array(
        [(q.a - p.a, q.b - p.b, np.sign(q.bulge)) for p, q in zip(chain.nodes, chain.nodes[1:], strict=False)]
    )
    for p in range(1, len(steps) // 2 + 1):
        if np.allclose(steps[p:], steps[:-p], atol=_SAME):
            return p
    return None


def _repeated(family: Family, grid: BandGrid, unit: Unit) -> list[str]:
    """How many in all, and where the others start."""
    what = "shapes" if family.worked_over else "lines"
    if family.ends:
        return _by_ends(family, grid, unit)
    starts = where(family.rows, grid, unit)
    if len(family.rows) == 1:
        row = family.rows[0]
        steps = np.diff(np.append(row.a, row.a[0] + grid.columns))
        if np.ptp(steps) < 2e-3:
            return [
                f"{family.count} such {what} in all, each starting {_columns(float(steps[0]))} to the right of the "
                "last."
            ]
        return [f"{family.count} such {what} in all: they start {starts[0].at}."]
    if len(starts) > _LISTED_STARTS:
        return [f"{family.count} such {what} in all, where the flat sheets show them."]
    lines = [f"{w.on}, {w.at}: {w.count}." for w in starts]
    if len(lines) == 1:
        return [f"{family.count} such {what} in all. They start {lines[0]}"]
    return [f"{family.count} such {what} in all. They start as follows.", *(s[0].upper() + s[1:] for s in lines)]


def _columns(step: float) -> str:
    part = Fraction(step).limit_denominator(24)
    if part == 1:
        return "one vertical"
    if part.denominator == 1:
        return f"{part} verticals"
    return f"{mixed(part) if part > 1 else part} {'columns' if part > 1 else 'column'}"


def _by_ends(family: Family, grid: BandGrid, unit: Unit) -> list[str]:
    """Lines that go on in the same steps, some further than others: each from its start to its end."""
    step = family.chain.step
    assert step is not None
    over = abs(step[0])
    way = "straight up or down" if over < _SAME else f"{_columns(over)} to the {'right' if step[0] > 0 else 'left'}"
    rings = Fraction(abs(step[1])).limit_denominator(24)
    every = "every ring" if rings == 1 else f"every {mixed(rings)} rings"
    steps = [f"{family.count} such lines in all, {way} with {every}, each from its start to its end:"]
    if len(family.ends) <= _LISTED_ENDS:
        listed: dict[str, list[str]] = {}
        for a, b, c, d in family.ends:
            listed.setdefault(f"{_ring(b, grid, unit)} to {_ring(d, grid, unit)}", []).append(
                f"{_vertical(a, b, grid, unit)} → {_vertical(c, d, grid, unit)}"
            )
        return steps + [f"From {rings}: verticals {', '.join(w)}." for rings, w in listed.items()]
    return [
        steps[0].replace(", each from its start to its end:", "; they end where the band, its panel or a patch ends.")
    ]


def _circles(family: Family, grid: BandGrid, unit: Unit) -> list[str]:
    verb = VERBS[family.work.technique]
    low, high = (length(s, unit) for s in family.settings)
    steps = part_steps(((a, row.b) for row in family.rows for a in row.a.tolist()), grid, unit)
    if low == high:
        steps.append(f"Set compasses to {low} {unit}.")
        circle = "a circle"
    else:
        steps.append(f"Set compasses row by row, from {low} to {high} {unit}: from the middle to the mark beside it.")
        circle = "a circle with the compasses"
    steps += [f"{verb} {circle} about middles {w.on}, {w.at}: {w.count}." for w in where(family.rows, grid, unit)]
    return steps


def _by_pattern(family: Family, grid: BandGrid, unit: Unit) -> list[str]:
    """Shapes that marks do not tell: to be taken from the flat sheets."""
    verb, chain = VERBS[family.work.technique], family.chain
    what = ("shape" if family.worked_over else "line") + ("s" if family.count > 1 else "")
    where_first = _spot(float(family.rows[0].a[0]), family.rows[0].b, grid, unit)
    place = f"the first {'has its middle' if not chain.nodes else 'begins'} at {where_first}"
    many = f"{family.count} {what}" if family.count > 1 else f"one {what}"
    return [
        f"Prick {many} through the flat sheets, or cut the outline from card: {place} ({_lengths(family, unit)}).",
        f"{verb} {'them' if family.count > 1 else 'it'}.",
    ]


def _shorts(family: Family, unit: Unit) -> str:
    short = family.chain.short
    if not any(short):
        return ""
    low, high = (length(s, unit) for s in family.shorts)
    size = f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
    if all(short):
        return f", leaving {size} free at both marks"
    return f", leaving {size} free at the {'first' if short[0] else 'last'} mark"


def _bulging(family: Family, grid: BandGrid, unit: Unit) -> str:
    ways = set(sides(family.chain, grid))
    if ways == {""} or len(ways) > 1:
        return ""
    low, high = (length(s, unit) for s in family.bulges)
    size = f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
    return f", bulging {size} {ways.pop()} between the marks"


def _lengths(family: Family, unit: Unit) -> str:
    low, high = (length(v, unit) for v in family.lengths)
    word = "round its edge" if family.worked_over else "long"
    return f"{low} {unit} {word}" if low == high else f"{low} to {high} {unit} {word}"


def _spot(a: float, b: float, grid: BandGrid, unit: Unit) -> str:
    return spot(grid, a, b).text(unit)


def _ring(b: float, grid: BandGrid, unit: Unit) -> str:
    place = spot(grid, 0.0, b)
    return ring_words(place.ring, place.up, unit)


def _vertical(a: float, b: float, grid: BandGrid, unit: Unit) -> str:
    place = spot(grid, a, b)
    return vertical_words(place.vertical, place.right, unit).removeprefix("vertical ")


def mark_steps(marks: Marks, grid: BandGrid, unit: Unit) -> list[str]:
    """What to do for one family of point marks."""
    verb = VERBS[marks.work.technique]
    tool = marks.work.tool if marks.is_footprint else None
    what = one(tool.name) if tool is not None else "a dot"
    places = where(marks.rows, grid, unit)
    if len(places) > _LISTED_STARTS:
        return [f"{verb} {what} at the {marks.count} places that the mark table lists{leaning(marks)}."]
    return [f"{verb} {what} {w.on}, {w.at}: {w.count}{leaning(marks)}." for w in places]


def leaning(marks: Marks) -> str:
    """How the tool is turned; a disc has no way up."""
    tool = marks.work.tool
    if not marks.is_footprint or tool is None or (tool.outline is None and tool.wide == tool.tall):
        return ""
    degrees = math.degrees(marks.lean) % 360
    if min(degrees, 360 - degrees) < 0.05:
        return ", its top up the wall"
    if abs(degrees - 180) < 0.05:
        return ", its top down the wall"
    if degrees > 180:
        return f", turned {360 - degrees:.0f}° clockwise"
    return f", turned {degrees:.0f}° counter-clockwise"


def placed_by(tool: LaidTool, unit: Unit) -> str:
    """By which of its points a footprint is placed."""
    if tool.outline is None:
        return "by its middle"
    low, high = tool.outline.min(axis=0), tool.outline.max(axis=0)
    size = np.maximum(high - low, 1e-9)
    across, up = (-low / size).tolist()
    sides = {0.0: "left", 0.5: "middle", 1.0: "right"}
    levels = {0.0: "lower edge", 0.5: "", 1.0: "upper edge"}
    x = next((w for k, w in sides.items() if abs(across - k) < 0.02), None)
    y = next((w for k, w in levels.items() if abs(up - k) < 0.02), None)
    if x is None or y is None:
        right, over = (length_with_unit(float(v), unit) for v in -low)
        return f"by a point {right} from its left and {over} above its lower edge"
    if x == "middle":
        return f"by the middle of its {y}" if y else "by its middle"
    return f"by the {x} end of its {y}" if y else f"by the middle of its {x} side"
