"""The pattern itself, technique by technique in the order the clay asks, and what comes after."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from motif.laying.piece import LaidBand, LaidPath, LaidPiece, LaidTool, Meeting, RingLine, Work
from motif.model.techniques import TECHNIQUES
from motif.outputs.cautions import DUST, FOOD, JOINED, LEACHING, SILICA, depth_caution, thick_caution
from motif.outputs.mark_tables import gap_phrase
from motif.outputs.method.chapters import Chapter
from motif.outputs.method.families import Family, Marks, families, mirrored, point_families, together, work_key
from motif.outputs.method.patches import edge_words, reaching_in
from motif.outputs.method.places import BandGrid, grid_of, spot
from motif.outputs.method.point_marks import mark_steps, marks_lines, placed_by
from motif.outputs.method.setting_out import origin
from motif.outputs.method.strokes import BY_HAND, VERBS, is_drawn, quoted, stroke_steps
from motif.outputs.method.telling import Telling
from motif.outputs.method.where import listing
from motif.outputs.numbers import Unit, length_with_unit
from motif.outputs.styles import STYLES
from motif.outputs.totals import works

#: Heading, and what to know before beginning, in the order the clay asks. Common practice of the workshop, no source.
TITLES: dict[str, tuple[str, str]] = {
    "guide": ("Draw the guide lines", "With a soft pencil, hardly touching: they are wiped off later."),
    "impress": ("Impress", "Hold a hand or a damp sponge behind the wall where you press."),
    "roulette": ("Roll the stitches", "Roll each line once, without going back."),
    "incise": ("Incise", "Draw the tool towards you and brush the crumbs off later."),
    "carve": ("Carve", "Take the full depth in two or three cuts."),
    "pierce": ("Pierce", "Go in from the outside with a hand behind the wall."),
    "trail": ("Trail the slip", "Try the flow on a tile first."),
    "attach": ("Join on", "Both faces as damp as the wall."),
    "paint": ("Paint", "Stir the colour, and try it on a tile of the same clay first."),
}
#: Techniques that ask for clay of the stage, and of these what clay must still be soft for. Common practice, no source.
_AT_STAGE = ("impress", "roulette", "incise", "carve", "pierce")
_SOFT = ("impress", "roulette")
#: Of more shapes than this only those that come most often are looked at.
_MOST_SHAPES = 1000
#: So many families of marks are told, each in a line.
_MOST_PLACES = 16
#: What tools lack to meet their neighbours and is joined by hand, mm.
_LACKING = 0.5
#: How prints meet in more rows than this is left to the mark table.
_MOST_MEETINGS = 8
#: Of more families than this only the largest are told, none that are a line or two, and none whose marks have to be
#: measured sideways; the rest is left to the flat sheets.
_MOST_FAMILIES = 10
_SINGLE = 2
_SAME_TAPE = 1e-4
#: What single marks are called, by technique.
_MARKS = {"impress": "print", "pierce": "hole", "attach": "piece", "paint": "dot"}
#: What makes a dot where the text names no tool. Common practice, no source.
_ROUND_TOOLS = {"impress": "something round to press with", "pierce": "a round hole cutter"}


def techniques(piece: LaidPiece, unit: Unit, misfit: float) -> list[Chapter]:
    """A chapter for every technique in use, in the order of work; before painting, the cleaning up. Flat sheets keep
    the ``misfit`` (mm)."""
    used = {work.technique for work in works(piece)}
    found: list[Chapter] = []
    cards = 0
    for technique in STYLES:
        if technique not in used:
            continue
        if technique == "paint" and used != {"paint"}:
            found.append(cleaning(piece))
        telling = Telling(piece, technique, unit, misfit, cards)
        found.append(_technique(telling))
        cards = telling.cards_so_far
    if used and "paint" not in used:
        found.append(cleaning(piece))
    return found


def when(technique: str, piece: LaidPiece) -> str:
    """How hard the clay is to be: leather-hard goes from soft to firm."""
    return f"{'soft ' if technique in _SOFT and piece.stage == 'leather-hard' else ''}{piece.stage}"


def _technique(telling: Telling) -> Chapter:
    piece, technique, unit = telling.piece, telling.technique, telling.unit
    title, intro = TITLES[technique]
    if technique in _AT_STAGE:
        title = f"{title}, {when(technique, piece)}"
    steps = _own_lines(technique, piece, unit)
    for band in piece.bands:
        steps += _band_steps(technique, band, piece, telling)
    if technique == "attach":
        steps += [
            "For each: score both faces where they meet.",
            "Brush slip on both.",
            "Press it on with a little turn until slip comes out all round.",
            "Wipe the slip away with a damp brush.",
        ]
    return Chapter(title, (*telling.before, *steps), tuple(telling.tables), _cautions(technique, piece, unit), (intro,))


def _cautions(technique: str, piece: LaidPiece, unit: Unit) -> tuple[str, ...]:
    if technique == "paint":
        return (FOOD,)
    if technique == "attach":
        joined = (w.tool for w in works(piece) if w.technique == "attach" and w.tool is not None)
        thick = [t for tool in joined if (t := _thickness(tool)) is not None]
        return (*((thick_caution(max(thick), piece.form.thickness, unit),) if thick else ()), JOINED)
    if technique == "pierce":
        return ("Holes weaken the wall: leave at least its thickness between two (common practice).",)
    depths = [w.depth for w in works(piece) if w.technique == technique and w.depth is not None]
    if TECHNIQUES[technique].cuts and depths:
        return (depth_caution(max(depths), piece.form.thickness, unit),)
    return ()


def _thickness(tool: LaidTool) -> float | None:
    """Volume over footprint, mm: about how thick a piece of clay is."""
    if tool.volume is None or tool.wide is None or tool.tall is None:
        return None
    area = tool.wide * tool.tall * math.pi / 4
    if tool.outline is not None:
        x, y = tool.outline.T
        area = abs(float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))) / 2
    return tool.volume * 1000 / area


def how(work: Work, unit: Unit) -> str:
    """``1.5 mm deep, 2 mm wide``; empty where nothing is said."""
    sizes = [
        f"{length_with_unit(size, unit)} {word}"
        for size, word in ((work.depth, "deep"), (work.width, "wide"))
        if size is not None
    ]
    return ", ".join(sizes)


def _take(work: Work, count: int, what: str, total: float, unit: Unit, prefix: str, across: str = "") -> str:
    """What to take into the hand, and how much there is to do with it."""
    if work.technique == "paint":
        tool = f"Take {work.colour or 'the colour'}" + (
            f" and {quoted(work.tool.name)}" if work.tool is not None else ""
        )
    elif work.tool is not None:
        tool = f"Take {quoted(work.tool.name)}"
    elif work.technique == "roulette":
        tool = f"Take a wheel with a stitch every {length_with_unit(work.pitch or 0.0, unit)}"
    elif across and work.technique in _ROUND_TOOLS:
        tool = f"Take {_ROUND_TOOLS[work.technique]}"
    else:
        tool = f"Take {BY_HAND[work.technique]}"
    if work.colour and work.technique != "paint":
        tool += f" and {work.colour}"
    size = ", ".join(s for s in (across, how(work, unit)) if s)
    long = f", {length_with_unit(total, unit)} in all" if total > 0 else ""
    return f"{prefix}{tool}{': ' + size if size else ''}. {_many(count, what)}{long}."


def _many(n: int, what: str) -> str:
    return f"{n} {what}" if n == 1 else f"{n} {what}s"


# ---------------------------------------------------------------- bands


def _band_steps(technique: str, band: LaidBand, piece: LaidPiece, telling: Telling) -> list[str]:
    unit = telling.unit
    prefix = f"Band {band.number}, {band.motif}: " if len(piece.bands) > 1 else ""
    grids = [(row, f"{prefix}{_row(row)}", grid) for row, grid in _grids(band, piece)]
    for _, name, grid in grids:
        telling.on(grid, name)
    steps: list[str] = []
    p = band.points
    for k, work in enumerate(p.works):
        chosen = np.flatnonzero(p.work == k)
        if work.technique != technique or not len(chosen):
            continue
        sizes = _dot_sizes(p.across[chosen], unit)
        if work.tool is not None and work.tool.outline is not None:
            sizes = f"placed {placed_by(work.tool, unit)}"
        what = _MARKS.get(technique, "mark")
        steps.append(_take(work, len(chosen), what, 0.0, unit, prefix, sizes))
        for row, name, grid in grids:
            here = chosen if row is None else chosen[_rows_of(band, p.tape[chosen]) == row]
            told = _fewest_lines(point_families(p, grid, here.tolist()), grid, telling, name)
            if told is None:
                steps.append(f"{_row(row)}Find their {_many(len(here), 'place')} in the mark table.")
            else:
                steps += [_row(row) + words for words in told]
            steps += [_row(row) + s for s in reaching_in(p, here.tolist(), what, piece, grid, unit)]
        steps += _meeting(work, band, unit)
    by_work: dict[tuple[object, ...], list[LaidPath]] = {}
    for path in band.paths:
        if path.work.technique == technique:
            by_work.setdefault((*work_key(path.work), path.worked_over), []).append(path)
    for paths in by_work.values():
        steps += _path_steps(paths, band, grids, prefix, telling)
    return steps


def _fewest_lines(made: Sequence[Marks], grid: BandGrid, telling: Telling, name: str) -> list[str] | None:
    """Marks place by place, or level by level if that takes fewer lines; None where both take too many."""
    ways = [way for way in (list(made), together(made)) if len(way) <= _MOST_PLACES]
    lines = [sum(marks_lines(marks, grid, telling) for marks in way) for way in ways]
    if not ways or min(lines) > _MOST_PLACES:
        return None
    return [step for marks in ways[lines.index(min(lines))] for step in mark_steps(marks, grid, telling, name)]


def _meeting(work: Work, band: LaidBand, unit: Unit) -> list[str]:
    """How prints that are meant to meet do, row by row."""
    met = [m for m in band.meetings if work_key(m.work) == work_key(work)]
    if not met or work.tool is None:
        return []
    at: dict[str, list[str]] = {}
    for m in met:
        at.setdefault(_gap(m.gap, unit), []).append(_meeting_place(m, band))
    if len(at) == 1:
        words = f"{next(iter(at))} everywhere"
    elif len(met) <= _MOST_MEETINGS:
        words = "; ".join(f"{how} {listing(places)}" for how, places in at.items())
    else:
        least, most = (_gap(end(m.gap for m in met), unit) for end in (min, max))
        words = f"{least} in one row and {most} in another; the mark table has every row"
    by_hand = " Join by hand what is lacking." if any(m.gap > _LACKING for m in met) else ""
    return [f"Beside its neighbour {quoted(work.tool.name)} {words}.{by_hand}"]


def _gap(gap: float, unit: Unit) -> str:
    phrase = gap_phrase(gap, unit)
    return f"{phrase.text(unit)} {unit}" if len(phrase.parts) > 1 else phrase.text(unit)


def _meeting_place(m: Meeting, band: LaidBand) -> str:
    if not m.by_row:
        return f"on ring {m.number}"
    return f"in row {m.number}" if band.row_columns is not None else f"between rings {m.number - 1} and {m.number}"


def _path_steps(
    paths: Sequence[LaidPath],
    band: LaidBand,
    grids: Sequence[tuple[int | None, str, BandGrid]],
    prefix: str,
    telling: Telling,
) -> list[str]:
    over = paths[0].worked_over
    unit, verb = telling.unit, VERBS[paths[0].work.technique]
    total = 0.0 if over else math.fsum(p.length for p in paths)
    steps: list[str] = []
    all_drawn = True
    long = [p for p in paths if band.row_columns is not None and not _row_within(band, p)]
    if long:
        all_drawn = False
        steps += _pricked(f"{_many(len(long), 'line')} through several rows", long, verb, telling)
    for row, name, grid in grids:
        here = [p for p in paths if row is None or _row_within(band, p) == row]
        told = _most_telling(families(here, grid, _MOST_SHAPES, telling.piece.reserves), grid)
        telling.along_strips = any(family.chain.taut for family in told)
        for family, mirror in _pairs(told, grid):
            all_drawn = all_drawn and is_drawn(family)
            steps += [_row(row) + s for s in stroke_steps(family, grid, telling, name, mirror)]
        in_words = {id(p) for f in told for p in (*f.paths, *(p for cut in f.cut for p in cut.paths))}
        rest = [p for p in here if id(p) not in in_words]
        if rest:
            all_drawn = False
            what = f"{_many(len(rest), 'shape' if over else 'line')}{' more' if told else ''}"
            kinds = f"{what}, of {'other' if told else 'many'} kinds" if len(rest) > 1 else what
            steps += [_row(row) + s for s in _pricked(kinds, rest, verb, telling)]
    if all_drawn:
        return [prefix + step for step in steps]
    return [_take(paths[0].work, len(paths), "shape" if over else "stroke", total, unit, prefix), *steps]


def _pricked(what: str, paths: Sequence[LaidPath], verb: str, telling: Telling) -> list[str]:
    them = "them" if len(paths) > 1 else "it"
    return [f"{what}: prick {them} through {telling.sheets(paths)}.", f"{verb} {them}."]


def _pairs(told: Sequence[Family], grid: BandGrid) -> list[tuple[Family, Family | None]]:
    """Families in the order made, each with the one of its mirror images, if there is one."""
    found: list[tuple[Family, Family | None]] = []
    done: set[int] = set()
    for k, family in enumerate(told):
        if k in done:
            continue
        mirror = next((j for j in range(k + 1, len(told)) if j not in done and mirrored(family, told[j], grid)), None)
        if mirror is not None:
            done.add(mirror)
        found.append((family, None if mirror is None else told[mirror]))
    return found


def _most_telling(made: Sequence[Family], grid: BandGrid) -> list[Family]:
    """Of many families the largest that marks tell, in the order made; few are all told."""
    if len(made) <= _MOST_FAMILIES:
        return list(made)
    by_marks = [f for f in made if f.count > _SINGLE and not any(spot(grid, n.a, n.b).right for n in f.chain.nodes)]
    largest = {id(f) for f in sorted(by_marks, key=lambda f: -f.count)[:_MOST_FAMILIES]}
    return [f for f in made if id(f) in largest]


def _row(row: int | None) -> str:
    return "" if row is None else f"Row {row}: "


def _grids(band: LaidBand, piece: LaidPiece) -> list[tuple[int | None, BandGrid]]:
    """The grid of a band; where each row has its own columns, that of every row."""
    wall = piece.form.wall
    if band.row_columns is None:
        return [(None, grid_of(band, wall))]
    return [(row, grid_of(band, wall, row)) for row in range(1, band.rows + 1)]


def _rows_of(
    band: LaidBand, tape: np.ndarray[tuple[int], np.dtype[np.float64]]
) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """The row in which a tape lies, from 1; a place on a ring belongs to the row that begins there."""
    tapes = band.rings.tape
    sign = 1.0 if tapes[-1] >= tapes[0] else -1.0
    return np.clip(np.searchsorted(sign * tapes, sign * tape + 1e-6, side="right"), 1, band.rows)


def _row_within(band: LaidBand, path: LaidPath) -> int:
    """The row, from 1, in which a whole path lies; 0 where it reaches into others, whose columns are not the same."""
    low, high = float(path.points[:, 1].min()), float(path.points[:, 1].max())
    row = int(_rows_of(band, np.array([(low + high) / 2]))[0])
    ends = sorted(band.rings.tape[row - 1 : row + 1].tolist())
    return row if ends[0] - _SAME_TAPE <= low and high <= ends[1] + _SAME_TAPE else 0


def _dot_sizes(across: np.ndarray[tuple[int], np.dtype[np.float64]], unit: Unit) -> str:
    sizes = list(dict.fromkeys(length_with_unit(float(v), unit) for v in np.unique(across[~np.isnan(across)])))
    if not sizes:
        return ""
    return f"{listing(sizes) if len(sizes) <= 3 else f'{sizes[0]} to {sizes[-1]}'} across"


# ---------------------------------------------------------------- the piece's own lines


def _own_lines(technique: str, piece: LaidPiece, unit: Unit) -> list[str]:
    """Lines round the pot and along the edges of patches."""
    steps: list[str] = []
    lines: dict[tuple[object, ...], list[RingLine]] = {}
    for line in piece.lines:
        if line.work.technique == technique:
            lines.setdefault(work_key(line.work), []).append(line)
    for group in lines.values():
        total = math.fsum(p.length for p in piece.paths if _is_of(p, group))
        steps.append(_take(group[0].work, len(group), "line", total, unit, ""))
        for line in sorted(group, key=lambda one: one.tape):
            broken = any(not p.closed for p in piece.paths if _is_of(p, [line]))
            steps.append(
                f"{VERBS[technique]} all round at {length_with_unit(line.tape, unit)} of tape from {origin(piece)}"
                f"{', leaving out the patches kept free' if broken else ''}."
            )
    for path in piece.paths:
        if path.work.technique == technique and not _is_of(path, piece.lines):
            steps.append(_take(path.work, 1, "line", path.length, unit, ""))
            steps.append(f"{VERBS[technique]} {edge_words(path, piece, unit)}")
    return steps


def _is_of(path: LaidPath, lines: Sequence[RingLine]) -> bool:
    """Whether a path of the piece is (a part of) one of its lines round the pot."""
    tape = path.points[:, 1]
    level = float(np.ptp(tape)) < _SAME_TAPE
    return level and any(path.work is line.work and abs(float(tape[0]) - line.tape) < _SAME_TAPE for line in lines)


# ---------------------------------------------------------------- afterwards


def cleaning(piece: LaidPiece) -> Chapter:
    used = {work.technique for work in works(piece)}
    steps = []
    if used & {"incise", "carve", "pierce", "impress", "roulette"}:
        steps.append("Let the burrs dry until they break off, then brush them away with a damp stiff brush.")
    steps += ["Wipe the pencil marks and guide lines away with a damp sponge.", "Look all round for what was left out."]
    return Chapter("Clean up", tuple(steps), (), (DUST, SILICA))


def drying(piece: LaidPiece) -> Chapter:
    steps = ["Dry the pot slowly and evenly, away from draughts."]
    if any(work.technique == "attach" for work in works(piece)):
        steps.append("Cover what was joined on with damp cloth for the first day, so that it dries with the wall.")
    return Chapter("Dry and fire", tuple(steps), (), (LEACHING,))
