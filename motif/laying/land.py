"""The clay left between lines that run side by side, and lines that lie on one another."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.clusters import in_runs, near_pairs
from motif.laying.findings import Finding, Place, places_in_band, rows_at, span_key
from motif.laying.piece import Floats, Ints, LaidBand, LaidPath
from motif.laying.strokes import in_space
from motif.model.techniques import TECHNIQUES
from motif.wall import Wall
from motif.wall.near import near_distance

#: strokes are looked at so often, mm, and no more than so many times in all
_STEP, _MOST_SAMPLES = 0.75, 400_000
#: chords of two strokes may be off their curves by this together: what is nearer lies on one another or meets, and a
#: land short of its bound by less is not told, mm
SLACK = 0.05
#: what is so much of that apart straight through the clay is as far on it
_ON = 0.98
#: land less than this is none, mm
_LEAST = 0.1
#: lines lie on one another over at least so much of their length, mm, going the same way to this
_LEAST_ON, _SAME_WAY = 2.0, np.radians(1.5)
#: a stroke that turns by more than this in one point has a corner there
_CORNER = np.radians(10.0)
#: lines that run side by side go the same way to this
_BESIDE = np.radians(20.0)
#: land is told as far as so many widths of the wider cut
_TOLD = 2.0
#: near where lines meet is within so many widths of the wider cut; or, where they come together at an angle, within
#: this much more than they need for it, but no more than so many widths
_NEAR, _COMING_TOGETHER, _FARTHEST = 4.0, 1.5, 10.0
#: ends of strokes meet within this part of the wider cut
_ENDS = 0.1
#: a foot may lie this much of a chord from its middle: half of it, and a little for the bend at its end
_FOOT = 0.6
#: meetings of one pair of strokes beyond so many are thinned out
_MOST_MEETINGS = 32


@record
class Samples:
    """Points along strokes: where, which way, of which stroke, how far along it, and how much of its length each
    stands for."""

    angle: Floats
    tape: Floats
    turn: Floats
    climb: Floats
    xyz: Floats
    toward: Floats
    stroke: Ints
    along: Floats
    share: Floats
    #: by stroke: its length, endless where it does not come back to its start
    round: Floats

    def gone(self, i: Ints, j: Ints) -> Floats:
        """How far it is along the stroke from one sample to another of the same, the shorter way."""
        on = np.abs(self.along[i] - self.along[j])
        return np.minimum(on, self.round[self.stroke[i]] - on)


@record
class Stroke:
    """A line worked along itself, and the band it belongs to (0: the piece's own)."""

    path: LaidPath
    band: int


@record
class Lands:
    """Where a cut line has another beside it: the sample's stroke and the other's, its place, the clay between their
    cuts (negative where they run into one another) and the width of the wider, mm."""

    stroke: Ints
    other: Ints
    angle: Floats
    tape: Floats
    land: Floats
    cut: Floats

    @property
    def thin(self) -> NDArray[np.bool_]:
        """Where the land is narrower than the wider cut."""
        return self.land < self.cut - SLACK


def strokes_of(bands: Sequence[LaidBand], own: Sequence[LaidPath]) -> list[Stroke]:
    """All lines of a piece that are worked along themselves, in the order in which they are made."""
    found = [Stroke(p, band.number) for band in bands for p in band.paths]
    found += [Stroke(p, 0) for p in own]
    return [s for s in found if not s.path.worked_over and s.path.length > 0]


def cut_width(path: LaidPath) -> float:
    """The width of the cut a path makes, mm; 0 where it is none, or nothing says how wide it is."""
    width = path.work.width
    return width if width is not None and TECHNIQUES[path.work.technique].cuts else 0.0


def lands_of(strokes: Sequence[Stroke], wall: Wall) -> Lands:
    """The land at every place where cut lines run side by side, not near where they meet or cross."""
    width = np.array([cut_width(s.path) for s in strokes])
    chosen = np.flatnonzero(width > 0)
    none = np.zeros(0)
    nothing = Lands(none.astype(np.int64), none.astype(np.int64), none, none, none, none)
    if not len(chosen):
        return nothing
    width = width[chosen]
    widest = float(width.max())
    s = _sampled([strokes[i].path for i in chosen.tolist()], wall, max(_STEP, widest / 4))
    a, b, _ = near_pairs(s.xyz, (1 + _TOLD) * widest + float(s.share.max()))
    going = _going_one_way(s, a, b, _BESIDE)
    i, j = np.concatenate([a[going], b[going]]), np.concatenate([b[going], a[going]])
    i, j, apart, lean = _beside(s, i, j, wall, width)
    wider = np.maximum(width[s.stroke[i]], width[s.stroke[j]])
    land = apart - (width[s.stroke[i]] + width[s.stroke[j]]) / 2
    told = land < _TOLD * wider
    i, j, wider, apart, lean, land = i[told], j[told], wider[told], apart[told], lean[told], land[told]
    near = np.minimum(
        np.maximum(_NEAR * wider, _COMING_TOGETHER * apart / np.maximum(np.sin(lean), 1e-9)), _FARTHEST * wider
    )
    stays = np.flatnonzero(apart > SLACK)
    stays = stays[_off_meetings(s, i[stays], j[stays], near[stays], a, b, width)]
    i, j = i[stays], j[stays]
    return Lands(chosen[s.stroke[i]], chosen[s.stroke[j]], s.angle[i], s.tape[i], land[stays], wider[stays])


def thin_lands(lands: Lands, strokes: Sequence[Stroke], bands: Sequence[LaidBand]) -> list[Finding]:
    """``lines-too-close``: each pair of statements of which some lines leave too little clay, row by row. The later
    drawn is the culprit."""
    thin = np.flatnonzero(lands.thin)
    if not len(thin):
        return []
    spans: dict[tuple[str, int, int], int] = {}
    statement = np.array([spans.setdefault(span_key(s.path.work.span), len(spans)) for s in strokes])
    later = np.maximum(lands.stroke[thin], lands.other[thin])
    earlier = np.minimum(lands.stroke[thin], lands.other[thin])
    band = np.array([s.band for s in strokes])[lands.stroke[thin]]
    row, around = np.full(len(thin), -1, dtype=np.int64), np.zeros(len(thin))
    for b in bands:
        here = band == b.number
        row[here] = rows_at(b.rings.tape, lands.tape[thin[here]])
        around[here] = np.mod(lands.angle[thin[here]] - b.verticals[0] + 1e-9, 2 * np.pi)
    tight = np.round(lands.land[thin] / lands.cut[thin], 6)
    group = np.zeros(len(thin), dtype=np.int64)
    for part in (statement[later], statement[earlier], band, row):
        group = np.unique(group * (int(part.max()) + 2) + part, return_inverse=True)[1].reshape(-1)
    in_order = np.lexsort([thin, np.round(lands.tape[thin], 6), np.round(around, 9), group])
    by_worth = np.lexsort([in_order.argsort(), tight, group])
    starts = np.concatenate([[0], np.flatnonzero(np.diff(group[in_order])) + 1])
    pairs, of = np.unique(later * len(strokes) + earlier, return_inverse=True)
    pair = np.unique(group * len(pairs) + of.reshape(-1)) // len(pairs)
    firsts, worsts = in_order[starts], by_worth[starts]
    at, where = (_places(bands, band[k], lands.angle[thin[k]], lands.tape[thin[k]]) for k in (firsts, worsts))
    found = []
    for k, (first, worst, n) in enumerate(
        zip(firsts.tolist(), worsts.tolist(), np.bincount(pair).tolist(), strict=True)
    ):
        span, other = (strokes[int(x[first])].path.work.span for x in (later, earlier))
        land, cut = float(lands.land[thin[worst]]), float(lands.cut[thin[worst]])
        found.append(
            Finding(
                "lines-too-close", span, at[k], float(lands.land[thin[first]]), where[k], land,
                cut / max(land, _LEAST), n, float(lands.cut[thin[first]]),
                other=None if span_key(other) == span_key(span) else other, rows=(at[k].row,),
            )
        )  # fmt: skip
    return found


def _places(bands: Sequence[LaidBand], band: Ints, angle: Floats, tape: Floats) -> list[Place]:
    """Where points (n,) are, each by the number of its band (0: on a line of the piece itself)."""
    found = [Place(0, -1, -1, -1, -1, at) for at in tape.tolist()]
    for b in bands:
        here = np.flatnonzero(band == b.number)
        for k, place in zip(here.tolist(), places_in_band(b, angle[here], tape[here]), strict=True):
            found[k] = place
    return found


def lines_on_one_another(strokes: Sequence[Stroke], bands: Sequence[LaidBand], wall: Wall) -> list[Finding]:
    """``marks-overlap`` for lines of one technique, tool, colour, depth and width that partly coincide."""
    if len(strokes) < 2:
        return []
    s = _sampled([x.path for x in strokes], wall, _STEP)
    keys: dict[tuple[object, ...], int] = {}
    works = [x.path.work for x in strokes]
    alike = np.array([keys.setdefault((*w.key, w.depth, w.width), len(keys)) for w in works])
    i, j, _ = near_pairs(s.xyz, float(s.share.max()) * _FOOT + SLACK)
    other = (s.stroke[i] != s.stroke[j]) & (alike[s.stroke[i]] == alike[s.stroke[j]])
    i, j = i[other], j[other]
    going = _going_one_way(s, i, j, _SAME_WAY)
    i, j, apart, _ = _beside(s, i[going], j[going], wall, np.zeros(len(strokes)))
    i, j = i[apart <= SLACK], j[apart <= SLACK]
    # A sample may lie on two chords of the other stroke, but counts once.
    _, once = np.unique(i * len(strokes) + s.stroke[j], return_index=True)
    i, j = i[once], j[once]
    pair = np.minimum(s.stroke[i], s.stroke[j]) * len(strokes) + np.maximum(s.stroke[i], s.stroke[j])
    pairs, first, of = np.unique(pair, return_index=True, return_inverse=True)
    length = np.bincount(of.reshape(-1), s.share[i], len(pairs))
    long = np.flatnonzero(length >= _LEAST_ON)
    earlier, later = np.divmod(pairs[long], len(strokes))
    band, at_sample = np.array([x.band for x in strokes])[later], i[first[long]]
    places = _places(bands, band, s.angle[at_sample], s.tape[at_sample])
    found = []
    for k, m, over, at in zip(earlier.tolist(), later.tolist(), length[long].tolist(), places, strict=True):
        span, other = works[m].span, works[k].span
        found.append(
            Finding(
                "marks-overlap", span, at, over, at, over, 1 + over / 100, kind="lines",
                other=None if span_key(span) == span_key(other) else other, rows=(at.row,),
            )
        )  # fmt: skip
    return found


def _coarser(paths: list[LaidPath], wall: Wall, step: float) -> tuple[Floats, Ints]:
    """The points of all paths and the path of each, those left out that follow the one before by less than a step;
    corners stay."""
    points = np.concatenate([p.points for p in paths])
    of = np.repeat(np.arange(len(paths)), [len(p.points) for p in paths])
    go = np.diff(points, axis=0) * np.stack(
        [wall.radius((points[1:, 1] + points[:-1, 1]) / 2), np.ones(len(of) - 1)], axis=1
    )
    gone = np.floor(np.concatenate([[0.0], np.cumsum(np.hypot(*go.T))]) / step)
    heading = np.arctan2(go[:, 1], go[:, 0])
    turn = np.abs(np.mod(np.diff(heading) + np.pi, 2 * np.pi) - np.pi)
    keep = np.ones(len(of), dtype=np.bool_)
    inner = (of[1:-1] == of[:-2]) & (of[1:-1] == of[2:])
    keep[1:-1] = ~inner | (gone[1:-1] != gone[:-2]) | (turn > _CORNER)
    return points[keep], of[keep]


def _sampled(paths: list[LaidPath], wall: Wall, step: float) -> Samples:
    step = max(step, sum(p.length for p in paths) / _MOST_SAMPLES)
    points, of = _coarser(paths, wall, step)
    on = of[1:] == of[:-1]
    start, go, stroke = points[:-1][on], np.diff(points, axis=0)[on], of[:-1][on]
    middle = start + go / 2
    long = np.hypot(wall.radius(middle[:, 1]) * go[:, 0], go[:, 1])
    parts = np.maximum(1, np.round(long / step)).astype(np.int64)
    index = np.repeat(np.arange(len(start)), parts)
    t = (np.arange(len(index)) - np.repeat(np.cumsum(parts) - parts, parts) + 0.5) / parts[index]
    place = start[index] + go[index] * t[:, None]
    ahead = in_space(wall, *(start + go).T)[index] - in_space(wall, *start.T)[index]
    ahead /= np.maximum(np.linalg.norm(ahead, axis=1), 1e-12)[:, None]
    share = (long / parts)[index]
    gone = np.cumsum(share) - share / 2
    of = stroke[index]
    before = np.searchsorted(of, np.arange(len(paths)))
    gone -= (gone[before] - share[before] / 2)[of]
    round_ = np.where([p.closed for p in paths], np.bincount(of, share), np.inf)
    rate = go / np.maximum(long, 1e-12)[:, None]
    return Samples(
        place[:, 0],
        place[:, 1],
        rate[index, 0],
        rate[index, 1],
        in_space(wall, *place.T),
        ahead,
        of,
        gone,
        share,
        round_,
    )


def _cosine(s: Samples, i: Ints, j: Ints) -> Floats:
    """Of the angle between the ways of samples, forward or backward."""
    return np.asarray(np.abs(np.einsum("nk,nk->n", s.toward[i], s.toward[j])))


def _going_one_way(s: Samples, i: Ints, j: Ints, way: float) -> NDArray[np.bool_]:
    """Which pairs of samples go the same way to the angle ``way``, or the opposite one."""
    return _cosine(s, i, j) > np.cos(way)


def _beside(s: Samples, i: Ints, j: Ints, wall: Wall, width: Floats) -> tuple[Ints, Ints, Floats, Floats]:
    """The pairs of which sample i is abreast of the chord of sample j, how far on the clay it is from there, and the
    angle between the two. Cuts (``width`` by stroke) with more land between them than is told are left out."""
    between = s.xyz[i] - s.xyz[j]
    along = np.einsum("nk,nk->n", between, s.toward[j])
    abreast = np.flatnonzero(np.abs(along) <= _FOOT * s.share[j])
    i, j, along = i[abreast], j[abreast], along[abreast]
    # Straight through the clay it is no farther than on it.
    a, b = width[s.stroke[i]], width[s.stroke[j]]
    through = np.linalg.norm(between[abreast] - along[:, None] * s.toward[j], axis=1)
    near = np.flatnonzero(through <= (a + b) / 2 + _TOLD * np.maximum(a, b) + SLACK)
    i, j, along, apart = i[near], j[near], along[near], through[near]
    off = np.flatnonzero(apart > _ON * SLACK)
    at, to, gone = i[off], j[off], along[off]
    apart[off] = near_distance(
        wall, s.angle[at], s.tape[at], s.angle[to] + gone * s.turn[to], s.tape[to] + gone * s.climb[to]
    )
    # The chord's neighbours on one stroke stand abreast of it only by the little that feet are let run on.
    other = (s.stroke[i] != s.stroke[j]) | (s.gone(i, j) > s.share[i] + s.share[j] + apart / 2)
    i, j = i[other], j[other]
    return i, j, apart[other], np.arccos(np.minimum(_cosine(s, i, j), 1.0))


def _off_meetings(s: Samples, i: Ints, j: Ints, near: Floats, a: Ints, b: Ints, width: Floats) -> NDArray[np.bool_]:
    """Which samples i (n,) are farther than ``near`` from where their stroke meets that of sample j; one stroke meets
    itself half the way along it from i to j, where it turns back. ``a`` and ``b`` are all samples near one another,
    ``width`` is that of each stroke's cut."""
    strokes = len(s.round)
    one = s.stroke[i] == s.stroke[j]
    off = ~one | (s.gone(i, j) / 2 > near)
    a, b, apart = _meetings(s, a, b, width)
    if not len(a):
        return off
    # Each meeting as seen from either of its strokes: a place near it on that stroke, and how much nearer it may seem.
    at, slack = np.concatenate([a, b]), np.concatenate([np.zeros(len(a)), apart])
    key = np.concatenate([s.stroke[a] * strokes + s.stroke[b], s.stroke[b] * strokes + s.stroke[a]])
    order = np.lexsort([s.along[at], key])
    key, along, slack = key[order], s.along[at][order], slack[order]
    meeting = np.tile(np.arange(len(a)), 2)[order]
    left = np.flatnonzero(off & ~one)
    wanted = s.stroke[i[left]] * strokes + s.stroke[j[left]]
    low, high = np.searchsorted(key, wanted, side="left"), np.searchsorted(key, wanted, side="right")
    met = high > low
    left, low, high = left[met], low[met], high[met]
    # Along the stroke it is no nearer than straight through the clay, and most lie near the next one.
    here = s.along[i[left]]
    place = np.clip(_rank_within(along, low, high, here), low, high - 1)
    for k in (place, np.maximum(place - 1, low)):
        off[left[np.abs(along[k] - here) + slack[k] <= near[left]]] = False
    still = off[left]
    left, low, high = left[still], low[still], high[still]
    for some in in_runs(np.minimum(high - low, _MOST_MEETINGS)):
        count = high[some] - low[some]
        step = -(-count // _MOST_MEETINGS)
        count = -(-count // step)
        entry = np.repeat(left[some], count)
        within = np.arange(len(entry)) - np.repeat(np.cumsum(count) - count, count)
        at = a[meeting[np.repeat(low[some], count) + within * np.repeat(step, count)]]
        off[entry[np.linalg.norm(s.xyz[i[entry]] - s.xyz[at], axis=1) <= near[entry]]] = False
    return off


def _meetings(s: Samples, a: Ints, b: Ints, width: Floats) -> tuple[Ints, Ints, Floats]:
    """Of samples near one another those of different strokes whose chords meet, and how far apart they are. Ends so
    near one another meet too: an edge may have cut the strokes just before they would."""
    chosen = np.flatnonzero(s.stroke[a] != s.stroke[b])
    a, b = a[chosen], b[chosen]
    apart = np.linalg.norm(s.xyz[a] - s.xyz[b], axis=1)
    wider = np.maximum(width[s.stroke[a]], width[s.stroke[b]])
    reach = np.maximum(SLACK, _ENDS * wider)
    near = np.flatnonzero(apart <= (s.share[a] + s.share[b]) / 2 + reach)
    a, b, apart, reach = a[near], b[near], apart[near], reach[near]
    ends, end = _ends(s)
    both = np.flatnonzero(ends[a] & ends[b])
    meet = np.linalg.norm(end[a[both]] - end[b[both]], axis=1) <= reach[both]
    found = np.zeros(len(a), dtype=np.bool_)
    found[both[meet]] = True
    rest = np.flatnonzero(~found & (apart <= (s.share[a] + s.share[b]) / 2 + SLACK))
    found[rest] = _chords_meet(s, a[rest], b[rest])
    return a[found], b[found], apart[found]


def _ends(s: Samples) -> tuple[NDArray[np.bool_], Floats]:
    """Which samples begin or end a stroke that does not come back to its start, and where it does so, (n, 3)."""
    new = np.diff(s.stroke) != 0
    first, last = np.concatenate([[True], new]), np.concatenate([new, [True]])
    way = np.where(first, -0.5, np.where(last, 0.5, 0.0)) * s.share
    return (first | last) & np.isinf(s.round[s.stroke]), s.xyz + way[:, None] * s.toward


def _rank_within(values: Floats, low: Ints, high: Ints, wanted: Floats) -> Ints:
    """Where in the runs ``low`` … ``high`` of values, increasing in each, the first no less than ``wanted`` stands."""
    low, high = low.copy(), high.copy()
    while np.any(low < high):
        middle = np.minimum((low + high) // 2, len(values) - 1)
        less = (low < high) & (values[middle] < wanted)
        low, high = np.where(less, middle + 1, low), np.where(less, high, middle)
    return low


def _chords_meet(s: Samples, i: Ints, j: Ints) -> NDArray[np.bool_]:
    """Whether the chords about samples i and j come within the slack of one another.

    The nearest points of two segments (D. Sunday, Geometry Algorithms: closest points of lines, clamped to the
    segments)."""
    half_i, half_j = s.share[i] / 2, s.share[j] / 2
    between = s.xyz[i] - s.xyz[j]
    b = np.einsum("nk,nk->n", s.toward[i], s.toward[j])
    d = np.einsum("nk,nk->n", s.toward[i], between)
    e = np.einsum("nk,nk->n", s.toward[j], between)
    straight = 1 - b * b
    at_i = np.clip(np.where(straight > 1e-9, (b * e - d) / np.maximum(straight, 1e-9), 0.0), -half_i, half_i)
    at_j = np.clip(e + b * at_i, -half_j, half_j)
    at_i = np.clip(b * at_j - d, -half_i, half_i)
    gap = between + s.toward[i] * at_i[:, None] - s.toward[j] * at_j[:, None]
    return np.asarray(np.linalg.norm(gap, axis=1) <= SLACK)
