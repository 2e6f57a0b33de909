"""The clay left between lines that run side by side, and lines that lie on one another."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from motif.language.record import record
from motif.laying.clusters import near_pairs
from motif.laying.findings import Finding, Place, place_in_band, rows_at, span_key
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
    i, j = np.concatenate([a, b]), np.concatenate([b, a])
    beside, apart, lean = _beside(s, i, j, wall, _BESIDE, width)
    i, j = i[beside], j[beside]
    wider = np.maximum(width[s.stroke[i]], width[s.stroke[j]])
    land = apart - (width[s.stroke[i]] + width[s.stroke[j]]) / 2
    told = land < _TOLD * wider
    i, j, wider, apart, lean, land = i[told], j[told], wider[told], apart[told], lean[told], land[told]
    near = np.minimum(
        np.maximum(_NEAR * wider, _COMING_TOGETHER * apart / np.maximum(np.sin(lean), 1e-9)), _FARTHEST * wider
    )
    stays = (apart > SLACK) & (_from_meetings(s, i, j, a, b) > near)
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
    key = np.stack([statement[later], statement[earlier], band, row])
    _, group = np.unique(key, axis=1, return_inverse=True)
    group = group.reshape(-1)
    in_order = np.lexsort([thin, np.round(lands.tape[thin], 6), np.round(around, 9), group])
    by_worth = np.lexsort([in_order.argsort(), tight, group])
    starts = np.concatenate([[0], np.flatnonzero(np.diff(group[in_order])) + 1])
    pair = np.unique(np.stack([group, later, earlier]), axis=1)[0]
    by_number = {b.number: b for b in bands}
    found = []
    for first, worst, n in zip(
        in_order[starts].tolist(), by_worth[starts].tolist(), np.bincount(pair).tolist(), strict=True
    ):
        span, other = (strokes[int(k[first])].path.work.span for k in (later, earlier))
        at, where = (_place(by_number, int(band[k]), lands, int(thin[k])) for k in (first, worst))
        land, cut = float(lands.land[thin[worst]]), float(lands.cut[thin[worst]])
        found.append(
            Finding(
                "lines-too-close", span, at, float(lands.land[thin[first]]), where, land, cut / max(land, _LEAST), n,
                float(lands.cut[thin[first]]), other=None if span_key(other) == span_key(span) else other,
                rows=(at.row,),
            )
        )  # fmt: skip
    return found


def _place(bands: dict[int, LaidBand], band: int, lands: Lands, k: int) -> Place:
    tape = float(lands.tape[k])
    return place_in_band(bands[band], float(lands.angle[k]), tape) if band else Place(0, -1, -1, -1, -1, tape)


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
    beside, apart, _ = _beside(s, i, j, wall, _SAME_WAY, np.zeros(len(strokes)))
    on = beside[apart <= SLACK]
    i, j = i[on], j[on]
    # A sample may lie on two chords of the other stroke, but counts once.
    _, once = np.unique(np.stack([i, s.stroke[j]]), axis=1, return_index=True)
    i, j = i[once], j[once]
    pair = np.minimum(s.stroke[i], s.stroke[j]) * len(strokes) + np.maximum(s.stroke[i], s.stroke[j])
    pairs, first, of = np.unique(pair, return_index=True, return_inverse=True)
    length = np.bincount(of.reshape(-1), s.share[i], len(pairs))
    by_number = {b.number: b for b in bands}
    found = []
    for k in np.flatnonzero(length >= _LEAST_ON).tolist():
        earlier, later = divmod(int(pairs[k]), len(strokes))
        at_sample, band = int(i[first[k]]), strokes[later].band
        tape, over = float(s.tape[at_sample]), float(length[k])
        at = place_in_band(by_number[band], float(s.angle[at_sample]), tape) if band else Place(0, -1, -1, -1, -1, tape)
        span, other = works[later].span, works[earlier].span
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


def _beside(s: Samples, i: Ints, j: Ints, wall: Wall, way: float, width: Floats) -> tuple[Ints, Floats, Floats]:
    """Which pairs have sample i abreast of the chord of sample j and going its way (or the opposite one), how far on
    the clay it is from there, and the angle between the two. Cuts (``width`` by stroke) with more land between them
    than is told are left out."""
    cosine = np.abs(np.einsum("nk,nk->n", s.toward[i], s.toward[j]))
    chosen = np.flatnonzero(cosine > np.cos(way))
    i, j = i[chosen], j[chosen]
    along = np.einsum("nk,nk->n", s.xyz[i] - s.xyz[j], s.toward[j])
    abreast = (np.abs(along) <= _FOOT * s.share[j]) & (i != j)
    i, j, along, chosen = i[abreast], j[abreast], along[abreast], chosen[abreast]
    # Straight through the clay it is no farther than on it.
    a, b = width[s.stroke[i]], width[s.stroke[j]]
    through = np.linalg.norm(s.xyz[i] - s.xyz[j] - along[:, None] * s.toward[j], axis=1)
    near = through <= (a + b) / 2 + _TOLD * np.maximum(a, b) + SLACK
    i, j, along, chosen = i[near], j[near], along[near], chosen[near]
    foot = s.angle[j] + along * s.turn[j], s.tape[j] + along * s.climb[j]
    apart = near_distance(wall, s.angle[i], s.tape[i], *foot)
    # The chord's neighbours on one stroke stand abreast of it only by the little that feet are let run on.
    other = (s.stroke[i] != s.stroke[j]) | (s.gone(i, j) > s.share[i] + s.share[j] + apart / 2)
    return chosen[other], apart[other], np.arccos(np.minimum(cosine[chosen[other]], 1.0))


def _from_meetings(s: Samples, i: Ints, j: Ints, a: Ints, b: Ints) -> Floats:
    """How far each sample i (n,) is from where its stroke meets that of sample j, endless where they never do; on one
    stroke that is also half the way along it from i to j, which turns back there. ``a`` and ``b`` are all samples near
    one another."""
    strokes = int(s.stroke.max()) + 1
    pair = np.minimum(s.stroke[i], s.stroke[j]) * strokes + np.maximum(s.stroke[i], s.stroke[j])
    away = np.where(s.stroke[i] == s.stroke[j], s.gone(i, j) / 2, np.inf)
    of = np.minimum(s.stroke[a], s.stroke[b]) * strokes + np.maximum(s.stroke[a], s.stroke[b])
    doubtful = np.flatnonzero(np.isin(of, pair) & (s.stroke[a] != s.stroke[b]))
    meets = doubtful[_chords_meet(s, a[doubtful], b[doubtful])]
    meets = meets[np.argsort(of[meets], kind="stable")]
    first = np.searchsorted(of[meets], of[meets])
    many = np.searchsorted(of[meets], of[meets], side="right") - first
    meets = meets[(np.arange(len(meets)) - first) % -(-many // _MOST_MEETINGS) == 0]
    low, high = np.searchsorted(of[meets], pair, side="left"), np.searchsorted(of[meets], pair, side="right")
    count = high - low
    entry = np.repeat(np.arange(len(pair)), count)
    at = meets[np.repeat(low - np.cumsum(count) + count, count) + np.arange(count.sum())]
    np.minimum.at(away, entry, np.linalg.norm(s.xyz[i[entry]] - s.xyz[a[at]], axis=1))
    return away


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
