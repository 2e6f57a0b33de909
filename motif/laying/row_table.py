"""Row by row, how the pattern sits on the wall: one measure for the table and for the warnings."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from motif.language.record import changed, record
from motif.language.source import Span
from motif.laying import checks
from motif.laying.crowding import crowded_marks
from motif.laying.findings import Finding, rows_at
from motif.laying.grid import GridLaw
from motif.laying.land import Lands, Stroke, lands_of, lines_on_one_another, strokes_of, thin_lands
from motif.laying.piece import LaidBand, LaidForm, LaidPath, Meeting, RowFit


def shape_rows(law: GridLaw, meetings: Sequence[Meeting]) -> tuple[RowFit, ...]:
    """The rows of a band with what its grid and its footprints say; rings on which footprints meet stand between."""
    width, height = checks.cell_sizes(law)
    against = checks.against_first(law, width, height)
    tapes = law.ring_tapes
    found = []
    for k in range(law.rows + 1):
        met = _worst_meeting([m for m in meetings if not m.by_row and m.number == k])
        if met is not None:
            at = float(tapes[k])
            found.append(_row(None, k, at, at, None, met))
        if k < law.rows:
            met = _worst_meeting([m for m in meetings if m.by_row and m.number == k + 1])
            columns = law.columns if law.row_columns is None else law.row_columns[k]
            row = _row(k + 1, None, float(tapes[k]), float(tapes[k + 1]), columns, met)
            found.append(
                changed(
                    row,
                    cell_width=float(width[k]),
                    cell_height=float(height[k]),
                    proportion=float(width[k] / height[k]),
                    against_first=float(against[k]),
                )
            )
    return tuple(found)


def _worst_meeting(meetings: Sequence[Meeting]) -> Meeting | None:
    return max(meetings, key=lambda m: round(abs(m.gap), 6), default=None)


def _row(
    row: int | None, ring: int | None, start: float, to: float, columns: int | None, met: Meeting | None
) -> RowFit:
    tool = None if met is None or met.work.tool is None else met.work.tool.name
    gap = None if met is None else met.gap
    none = (None,) * 4
    return RowFit(row, ring, start, to, columns, *none, tool, gap, *none)


@record
class Checked:
    """Bands with their tables of rows made whole, and all that the checks found on the piece."""

    bands: tuple[LaidBand, ...]
    findings: tuple[Finding, ...]


def checked(bands: Sequence[LaidBand], row_spans: Sequence[Span], own: Sequence[LaidPath], form: LaidForm) -> Checked:
    """Check a piece: ``row_spans`` is where the text of each band says what its rows are, ``own`` are the piece's own
    lines."""
    strokes = strokes_of(bands, own)
    lands = lands_of(strokes, form.wall)
    told = {(b.number, id(m.work)): m.across for b in bands for m in b.meetings if m.gap < 0}
    ways = [checks.ways_of_working(b) for b in bands]
    bands = [
        changed(b, fit=_with_land(_with_depth(b.fit, w, form), b, lands, strokes))
        for b, w in zip(bands, ways, strict=True)
    ]
    findings: list[Finding] = []
    for band, span, worked in zip(bands, row_spans, ways, strict=True):
        findings += checks.stretched_rows(band, span)
        findings += checks.bad_meetings(band)
        findings += checks.depth_findings(worked, form)
        findings += checks.pitch_findings(band.number, band.paths)
    findings += checks.depth_findings(checks.own_ways(own), form)
    findings += checks.pitch_findings(0, own)
    findings += crowded_marks(bands, form.wall, told)
    findings += lines_on_one_another(strokes, bands, form.wall)
    findings += thin_lands(lands, strokes, bands)
    return Checked(tuple(_marked(b, findings) for b in bands), tuple(findings))


def _with_depth(rows: tuple[RowFit, ...], ways: Sequence[checks.Worked], form: LaidForm) -> tuple[RowFit, ...]:
    """The deepest cut of every row, and what part of the wall that is."""
    deepest: dict[int, float] = {}
    for w in ways:
        depth = checks.cut_depth(w.work)
        if depth is not None:
            deepest.update({row: max(depth, deepest.get(row, 0.0)) for row in w.rows})

    def part(depth: float) -> float | None:
        return None if form.thickness is None else depth / form.thickness

    return tuple(
        r
        if r.row is None or r.row not in deepest
        else changed(r, depth=deepest[r.row], depth_part=part(deepest[r.row]))
        for r in rows
    )


def _with_land(rows: tuple[RowFit, ...], band: LaidBand, lands: Lands, strokes: Sequence[Stroke]) -> tuple[RowFit, ...]:
    """The tightest land of every row: least for the wider cut beside it."""
    mine = np.array([s.band == band.number for s in strokes], dtype=np.bool_)
    here = np.flatnonzero(mine[lands.stroke]) if len(lands.stroke) else lands.stroke
    if not len(here):
        return rows
    row = rows_at(band.rings.tape, lands.tape[here])
    order = here[np.lexsort([np.round(lands.land[here] / lands.cut[here], 9), row])]
    row = np.sort(row)
    rows_with, first = np.unique(row, return_index=True)
    best = order[first]
    tightest = dict(
        zip(rows_with.tolist(), zip(lands.land[best].tolist(), lands.cut[best].tolist(), strict=True), strict=True)
    )
    return tuple(
        r if r.row not in tightest else changed(r, land=tightest[r.row][0], cut=tightest[r.row][1]) for r in rows
    )


def _marked(band: LaidBand, findings: Sequence[Finding]) -> LaidBand:
    """The band with the codes of what was found beside each row of its table."""
    codes: dict[tuple[int | None, int | None], dict[str, float]] = {}
    for f in findings:
        if f.first.band == band.number:
            for key in [(None, f.ring)] if f.ring >= 0 else [(row, None) for row in f.rows]:
                known = codes.setdefault(key, {})
                known[f.code] = max(f.excess, known.get(f.code, 0.0))

    overlaps: dict[int, float] = {}
    for f in findings:
        if f.first.band == band.number and f.code == "marks-overlap" and f.kind == "discs":
            overlaps.update({row: max(f.worst_value, overlaps.get(row, 0.0)) for row in f.rows})

    def marked(r: RowFit) -> RowFit:
        mine = codes.get((r.row, r.ring), {})
        worst_first = tuple(sorted(mine, key=lambda code: (-round(mine[code], 6), code)))
        return changed(
            r,
            warnings=worst_first,
            excess=max(mine.values(), default=0.0),
            marks_overlap=None if r.row is None else overlaps.get(r.row),
        )

    return changed(band, fit=tuple(marked(r) for r in band.fit))


def worst_row(band: LaidBand) -> RowFit | None:
    """The row (or ring) of a band that breaks its bound most, of equals the first; None where none does."""
    bad = [r for r in band.fit if r.warnings]
    return max(bad, key=lambda r: round(r.excess, 6), default=None)


def least_land(band: LaidBand) -> tuple[float, float] | None:
    """The tightest land of a band and the wider cut beside it, mm."""
    known = [(r.land, r.cut) for r in band.fit if r.land is not None and r.cut is not None]
    return min(known, key=lambda pair: round(pair[0] / pair[1], 9), default=None)
