"""Families of strokes and marks in words: one action a line."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from motif.outputs.method.chains import Chain
from motif.outputs.method.curves import curves, sides
from motif.outputs.method.families import CutShort, Family, Row
from motif.outputs.method.placed import alike_in_rows, place_table, placements
from motif.outputs.method.places import BandGrid, level, level_words, mixed, spot, vertical_words
from motif.outputs.method.sizes import bulging, lengths, shorts
from motif.outputs.method.telling import Telling
from motif.outputs.method.where import at_verticals, listing, named, on_levels, where
from motif.outputs.numbers import Unit, length_with_unit
from motif.wall import lifts, taut

#: A chain of more marks than this is not read out; it wants a pattern of paper.
_LONGEST_CHAIN = 9
#: So many of its places may have to be measured from the marks nearby.
_MOST_MEASURED = 9
#: More lines than this are not listed by their ends.
_LISTED_ENDS = 24
#: Starts at more different places than this are not listed, each in a line.
_LISTED_STARTS = 12
#: Levels between rings beyond this are set as a table.
_LISTED_LEVELS = 8
#: Starts on levels between rings are listed in so many lines, what is cut short too.
_LISTED_CUT = 4
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


def quoted(tool: str) -> str:
    """The name that the text gives a tool, as it stands there, whatever part of speech it is."""
    return f"“{tool}”"


def stroke_steps(
    family: Family, grid: BandGrid, telling: Telling, name: str, mirror: Family | None = None
) -> list[str]:
    """What to do for one family of strokes or outlines on the grid called ``name``, and for its ``mirror`` images."""
    chain = family.chain
    if family.settings[1] and chain.plain:
        told: list[str] | None = _circles(family, grid, telling)
    elif not chain.plain:
        told = None
    elif _is_level(chain):
        levels = on_levels([row.b for row in family.rows], grid, telling.unit)
        verb = VERBS[family.work.technique]
        told = [f"Keep the lines drawn {levels}." if is_drawn(family) else f"{verb} all round, {levels}."]
    elif _is_upright(chain):
        told = _uprights(family, grid, telling)
    else:
        told = _joined(family, mirror, grid, telling)
    both = [one for one in (family, mirror) if one is not None]
    for one in both if told is not None else ():
        if not one.settings[1]:
            telling.note(name, [(n.a, n.b) for c, _ in one.chains for n in c.nodes])
        telling.note(name, [(a, row.b) for row in one.rows for a in row.a.tolist()])
    if told is None:
        told = [step for one in both for step in _by_pattern(one, grid, telling)]
    return [*told, *(step for one in both for cut in one.cut for step in _cut_short(cut, one, grid, telling))]


def is_drawn(family: Family) -> bool:
    """Whether guide lines are rings or verticals, which setting out has drawn already."""
    chain = family.chain
    if family.work.technique != "guide" or not (_is_level(chain) or _is_upright(chain)):
        return False
    places = [row.b for row in family.rows] if chain.round else [a for row in family.rows for a in row.a.tolist()]
    return all(abs(p - round(p)) < _SAME for p in places)


def _is_level(chain: Chain) -> bool:
    return chain.round and len({round(n.b, 6) for n in chain.nodes}) == 1 and not any(n.bulge for n in chain.nodes)


def _is_upright(chain: Chain) -> bool:
    return chain.step is not None and abs(chain.step[0]) < _SAME


# ---------------------------------------------------------------- upright strokes


def _uprights(family: Family, grid: BandGrid, telling: Telling) -> list[str] | None:
    """Upright strokes: where, and from which height to which."""
    unit, verb = telling.unit, VERBS[family.work.technique]
    made = placements(family, grid)
    drawn = is_drawn(family)
    how = (
        "Keep the lines drawn" if drawn else f"{verb} {'an upright stroke' if family.count == 1 else 'upright strokes'}"
    )
    size = "" if drawn else f" ({lengths(family, unit)})"
    words = [at_verticals(Row(one.levels[0], one.a), grid, unit) for one in made]
    if None in words:
        return None
    if len(made) == 1:
        low, high = (level_words(*level(grid, b), unit) for b in (made[0].levels[0], made[0].levels[-1]))
        return [f"{how} {words[0]}, from {low} to {high}: {family.count}{size}."]
    if all(level(grid, b)[0] is not None for one in made for b in one.levels):
        reaches: dict[tuple[str | None, int], list[tuple[int, int]]] = {}
        for one, at in zip(made, words, strict=True):
            first, last = round(one.levels[0]), round(one.levels[-1])
            reaches.setdefault((at, len(one.a)), []).append((first, last))
        if len(reaches) <= _LISTED_STARTS:
            return [
                f"{how} {at}, {_reach(ends)}: {n}{' on each' if len(ends) > 1 else ''}{size}."
                for (at, n), ends in reaches.items()
            ]
    table = place_table(made, telling.next_title(), grid, unit)
    if table is None:
        return None
    telling.table(table)
    return [f"{how} where the table “{table.title}” says: {family.count} in all{size}."]


def _reach(ends: list[tuple[int, int]]) -> str:
    """From which ring to which."""
    if len(ends) > 1 and all(last == first + 1 for first, last in ends):
        return f"from {named('ring', [first for first, _ in ends])} to the next"
    return listing([f"from ring {first} to ring {last}" for first, last in ends])


# ---------------------------------------------------------------- marks that are joined


def _joined(family: Family, mirror: Family | None, grid: BandGrid, telling: Telling) -> list[str] | None:
    """Marks joined by straight lines or bends, ovals, taut lines; None where they are too many to read out."""
    chain, unit = family.chain, telling.unit
    verb = VERBS[family.work.technique]
    if chain.taut:
        first, *last = (
            _spot(n.a, n.b, grid, unit) for n in (*chain.nodes, *(mirror.chain.nodes[1:] if mirror else ()))
        )
        ends = " and to ".join(last)
        steps = [f"{verb} along {_tight(family, telling)} from {first} to {ends}{shorts(family, unit)}"]
        steps[0] += f" ({lengths(family, unit)})."
        return _with_others(steps, family, mirror, grid, telling)
    along = ""
    if chain.oval is not None or any(n.bulge for n in chain.nodes):
        both = [*curves(family, grid, unit), *(curves(mirror, grid, unit) if mirror else ())]
        cards = telling.cards(both, family.paths[0])
        if cards is None:
            return None
        along = cards
    if chain.oval is not None:
        return _ovals(family, along, grid, telling)
    told = _told(chain, grid, unit)
    if mirror is not None and told is not None:
        turned = _told(mirror.chain, grid, unit)
        told = None if turned is None else f"{told}, and its mirror image {turned}"
    if told is None:
        return None
    if telling.along_strips and not along and not chain.closed:
        told += ", from mark to mark along such a string or strip"
    shape = "the shape " if family.worked_over else ""
    bends = f"{bulging(family, mirror, grid, unit)}, along {along}" if along else ""
    steps = [f"{verb} {shape}{told}{shorts(family, unit)}{bends} ({lengths(family, unit)})."]
    return _with_others(steps, family, mirror, grid, telling)


def _with_others(
    steps: list[str], family: Family, mirror: Family | None, grid: BandGrid, telling: Telling
) -> list[str]:
    return steps + (_repeated(family, mirror, grid, telling) if family.count > 1 else [])


def _tight(family: Family, telling: Telling) -> str:
    """What a taut line is drawn along: a string lies where it should only if the wall bulges all along under it."""
    form = telling.piece.form
    # Copies further round lie on the same wall.
    kinds = {tuple(np.round([*path.points[[0, -1], 1], path.length], 3).tolist()): path for path in family.paths}
    for path in kinds.values():
        (angle0, tape0), (angle1, tape1) = path.points[0], path.points[-1]
        _, tape, bearing = taut(form.wall, angle0, tape0, angle1, tape1).polyline(0)
        if len(lifts(form.wall, tape, bearing, form.side == "inside")):
            return (
                "a narrow strip of paper laid without a crease and pressed to the wall all along (a string would lift "
                "off the hollow),"
            )
    return "a string or a strip of paper laid tight"


def _ovals(family: Family, card: str, grid: BandGrid, telling: Telling) -> list[str]:
    chain, unit = family.chain, telling.unit
    oval = chain.oval
    assert oval is not None
    low, high = (level_words(*level(grid, n.b), unit) for n in chain.nodes)
    widest = level_words(*level(grid, oval.widest), unit)
    place = spot(grid, chain.nodes[0].a, oval.widest)
    middle = vertical_words(place.vertical, place.right, unit)
    verb = VERBS[family.work.technique]
    how = "the whole oval within" if family.worked_over else "round"
    steps = [
        f"{verb} {how} {card}, its middle line on {middle}, its ends at {low} and {high}, widest at {widest} "
        f"({lengths(family, unit)})."
    ]
    return _with_others(steps, family, None, grid, telling)


def _told(chain: Chain, grid: BandGrid, unit: Unit) -> str | None:
    """The marks in order, joined by arrows; None where they are too many to read out."""
    nodes = chain.nodes
    if sum(bool(spot(grid, n.a, n.b).right) for n in nodes) > _MOST_MEASURED:
        return None
    ways = ["", *sides(chain, grid)]
    mixed_bulges = len(set(ways[1:])) > 1

    def word(k: int) -> str:
        place = _spot(nodes[k].a, nodes[k].b, grid, unit)
        bulge = nodes[k].bulge
        if not mixed_bulges or not bulge:
            return place
        return f"(bulging {length_with_unit(abs(bulge), unit)} {ways[k]}) {place}"

    if len(nodes) == 2 and abs(nodes[1].b - nodes[0].b) < _SAME and not any(n.bulge for n in nodes):
        first, last = (spot(grid, n.a, n.b) for n in nodes)
        ends = (vertical_words(s.vertical, s.right, unit) for s in (first, last))
        on = "at" if first.ring is None else "on"
        return f"level from {' to '.join(ends)}, {on} {level_words(first.ring, first.tape, unit)}"
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


def _repeated(family: Family, mirror: Family | None, grid: BandGrid, telling: Telling) -> list[str]:
    """How many in all, and where the others start."""
    unit = telling.unit
    what = "shapes" if family.worked_over else "lines"
    many = f"{family.count} such {what} in all"
    twice = ""
    if mirror is not None:
        many, twice = f"{2 * family.count} such {what} in all, {family.count} of each", "2 × "
    if family.ends:
        return _by_ends(family, grid, telling)
    made = placements(family, grid)
    starts = where(family.rows, grid, unit)
    if any(w.at is None for w in starts):
        return [f"{many}, where {telling.sheets(family.paths)} show them."]
    if len(family.rows) == 1:
        row = family.rows[0]
        steps = np.diff(np.append(row.a, row.a[0] + grid.columns))
        if np.ptp(steps) < 2e-3:
            return [f"{many}, each starting {_columns(float(steps[0]))} to the right of the last."]
        return [f"{many}: they start {starts[0].at}."]
    between = {one.levels for one in made if any(level(grid, b)[0] is None for b in one.levels)}
    few = len(between) <= _LISTED_LEVELS and all(len(levels) == 1 for levels in between)
    if (not between or (few and len(starts) <= _LISTED_CUT)) and len(starts) <= _LISTED_STARTS:
        lines = [f"{w.on}, {w.at}: {twice}{w.count}." for w in starts]
        if len(lines) == 1:
            return [f"{many}. They start {lines[0]}"]
        return [f"{many}. They start as follows.", *(s[0].upper() + s[1:] for s in lines)]
    table = place_table(made, telling.next_title(), grid, unit, twice)
    if table is None and len(starts) == 1 and (rows := alike_in_rows(made)) is not None:
        return [
            f"{many}, in the same way in rows {rows[0]} to {rows[1]}: they start {starts[0].at}: {starts[0].count}."
        ]
    if table is None:
        return [f"{many}, where {telling.sheets(family.paths)} show them."]
    telling.table(table)
    return [f"{many}: the table “{table.title}” says at which heights, and where each starts."]


def _columns(step: float) -> str:
    part = Fraction(step).limit_denominator(24)
    if part == 1:
        return "one vertical"
    if part.denominator == 1:
        return f"{part} verticals"
    return f"{mixed(part) if part > 1 else part} {'columns' if part > 1 else 'column'}"


def _by_ends(family: Family, grid: BandGrid, telling: Telling) -> list[str]:
    """Lines that go on in the same steps, some further than others: each from its start to its end."""
    unit, step = telling.unit, family.chain.step
    assert step is not None
    way = f"{_columns(abs(step[0]))} to the {'right' if step[0] > 0 else 'left'}"
    rings = Fraction(abs(step[1])).limit_denominator(24)
    every = "every ring" if rings == 1 else f"every {mixed(rings)} rings"
    many = f"{family.count} such lines in all, {way} with {every}"
    if len(family.ends) > _LISTED_ENDS:
        return [f"{many}; they end where the band, its panel or a patch ends."]
    listed: dict[str, list[str]] = {}
    for a, b, c, d in family.ends:
        listed.setdefault(f"{_level(b, grid, unit)} to {_level(d, grid, unit)}", []).append(
            f"{_vertical(a, b, grid, unit)} → {_vertical(c, d, grid, unit)}"
        )
    return [
        f"{many}, each from its start to its end:",
        *(f"From {levels}: verticals {', '.join(w)}." for levels, w in listed.items()),
    ]


def _cut_short(cut: CutShort, family: Family, grid: BandGrid, telling: Telling) -> list[str]:
    """What is drawn like the rest, but only so far."""
    if _is_level(family.chain):
        levels = on_levels([row.b for row in cut.rows], grid, telling.unit)
        verb = VERBS[family.work.technique].lower()
        return [f"{levels[0].upper()}{levels[1:]} {verb} only what lies outside the patch “{cut.by}”."]
    places = where(cut.rows, grid, telling.unit)
    n = sum(len(row.a) for row in cut.rows)
    by = "by the end of the band" if cut.by is None else f"by the patch “{cut.by}”"
    many = f"{n} more such {'shapes are' if family.worked_over else 'lines are'}"
    if n == 1:
        many = f"One more such {'shape is' if family.worked_over else 'line is'}"
    begin = "has its middle" if family.settings[1] else "would start"
    if n > 1:
        begin = "have their middles" if family.settings[1] else "would start"
    so_far = f"{many} cut short {by}: {VERBS[family.work.technique].lower()} only what lies outside it"
    if cut.by is None:
        so_far = f"{many} cut short {by}: {VERBS[family.work.technique].lower()} only what lies within it"
    if len(places) > _LISTED_CUT or any(w.at is None for w in places):
        return [f"{so_far}, as {telling.sheets(cut.paths)} show."]
    told = "; ".join(f"{w.on}, {w.at}" for w in places)
    return [f"{so_far}. {'They' if n > 1 else 'It'} {begin} {told}."]


# ---------------------------------------------------------------- circles, patterns


def _circles(family: Family, grid: BandGrid, telling: Telling) -> list[str] | None:
    """One setting of the compasses and the middles that it is for."""
    unit = telling.unit
    places = where(family.rows, grid, unit)
    if len(places) > _LISTED_STARTS or any(w.at is None for w in places):
        return None
    setting = length_with_unit((family.settings[0] + family.settings[1]) / 2, unit)
    what = f"{VERBS[family.work.technique].lower()} {'the whole of ' if family.worked_over else ''}a circle"
    if not family.chain.closed:
        what = f"{VERBS[family.work.technique].lower()} what the band and the patches leave of a circle"
    about = [f"about {'the middle' if family.count == 1 else 'each middle'} {w.on}, {w.at}: {w.count}" for w in places]
    return [f"Set compasses to {setting} and {what} {words}." for words in about]


def _by_pattern(family: Family, grid: BandGrid, telling: Telling) -> list[str]:
    """Shapes that marks do not tell: to be taken from the flat sheets."""
    verb, chain, unit = VERBS[family.work.technique], family.chain, telling.unit
    what = ("shape" if family.worked_over else "line") + ("s" if family.count > 1 else "")
    first = _spot(float(family.rows[0].a[0]), family.rows[0].b, grid, unit)
    place = (
        f"{'the first' if family.count > 1 else 'it'} {'has its middle' if not chain.nodes else 'begins'} at {first}"
    )
    many = f"{family.count} {what}" if family.count > 1 else f"one {what}"
    return [
        f"Prick {many} through {telling.sheets(family.paths)}: {place} ({lengths(family, unit)}).",
        f"{verb} {'them' if family.count > 1 else 'it'}.",
    ]


def _spot(a: float, b: float, grid: BandGrid, unit: Unit) -> str:
    return spot(grid, a, b).text(unit)


def _level(b: float, grid: BandGrid, unit: Unit) -> str:
    return level_words(*level(grid, b), unit)


def _vertical(a: float, b: float, grid: BandGrid, unit: Unit) -> str:
    place = spot(grid, a, b)
    return vertical_words(place.vertical, place.right, unit).removeprefix("vertical ")
