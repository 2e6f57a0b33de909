"""The pot as it will look, hidden lines removed: one view of it in real size, or four all round."""

from __future__ import annotations

import math

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece, Work
from motif.outputs import styles
from motif.outputs.drawn import Floats
from motif.outputs.grid_lines import NEAREST, grid_of, remarks
from motif.outputs.ink import BODY, about, drawing_order, header, legend, looks_of, own_stroke, stroke
from motif.outputs.numbers import Unit, length_with_unit, number
from motif.outputs.once import one_run
from motif.outputs.pen import SANS, Pen, xml_id
from motif.outputs.seen import SeenMarks, SeenPath, SeenPiece, look
from motif.outputs.styles import INK, SOFT, Looks, Style
from motif.outputs.svg import Drawing

_MARGIN = 12.0
_GAP = 14.0
_CAPTION = 8.0
_NARROWEST = 150.0
#: Views of a strip all round: how many, and how large.
_ROUND, _ROUND_SCALE = 4, 0.5
#: The tilt of a view unless another is asked for, radians; one looks down into a bowl or at a plate.
_TILT, _TILT_INSIDE = math.radians(15.0), math.radians(50.0)
#: Widths of the pot's own lines, mm.
_OUTLINE, _CREASE, _HIDDEN = 0.6, 0.25, 0.15
_MARK = 0.4
#: Radius of the dot that stands for a bare point.
_BARE = 0.6
#: Lines of the pattern are finer here than on paper that is marked from, so that the pot stands before them.
_WEIGHT = 0.7
#: Angles are shown to this, degrees.
_SHOWN = 0.005
_HIDDEN_DASH = "0.8 0.8"


@record
class OnPage:
    """Puts a view on the page: its origin at (x, y), y turned downward, ``scale`` times real size."""

    x: float
    y: float
    scale: float = 1.0

    def __call__(self, points: Floats) -> Floats:
        return np.array([self.x, self.y]) + np.asarray(points) * (self.scale, -self.scale)


def usual_tilt(piece: LaidPiece) -> float:
    """How far above the level a piece is looked at unless something else is asked for, radians."""
    return _TILT_INSIDE if piece.form.side == "inside" else _TILT


def pot_document(piece: LaidPiece, unit: Unit = "mm") -> str:
    """The piece with the starting mark in front."""
    return svg(piece, unit)


def round_document(piece: LaidPiece, unit: Unit = "mm") -> str:
    """The piece from four sides."""
    return svg(piece, unit, all_round=True)


def svg(
    piece: LaidPiece,
    unit: Unit = "mm",
    facing: float = 0.0,
    tilt: float | None = None,
    *,
    all_round: bool = False,
    far_side: bool = False,
) -> str:
    """A view in real size: the angle ``facing`` toward a viewer ``tilt`` above the level, both in radians.

    ``all_round`` gives four in half size, a quarter turn on to the right each time; ``far_side`` adds the hidden
    lines of the pattern, faint and dashed. Raises ValueError for a tilt outside 0 … π/2."""
    tilt = usual_tilt(piece) if tilt is None else tilt
    count = _ROUND if all_round else 1
    scale = _ROUND_SCALE if all_round else 1.0
    with one_run():
        views = [look(piece, facing + math.tau * k / count, tilt, far_side=far_side, scale=scale) for k in range(count)]
    low, high = (np.array(edges) for edges in zip(*(v.box for v in views), strict=True))
    wide = scale * (high[:, 0] - low[:, 0])
    tall = scale * float(np.max(high[:, 1] - low[:, 1]))
    needed = float(wide.sum()) + _GAP * (count - 1)
    width = max(_NARROWEST, needed)

    drawing = Drawing()
    left_out = remarks(grid_of(piece, NEAREST / scale), NEAREST, unit)
    words = [about(piece), _introduction(piece, views, unit, far_side), *left_out]
    y = header(drawing.group("title"), _MARGIN, _MARGIN, width, piece.description or piece.name, words)
    x = _MARGIN + (width - needed) / 2
    for n, (view, corner, w) in enumerate(zip(views, low, wide.tolist(), strict=True), 1):
        group = drawing.group(xml_id("view", n))
        place = OnPage(x - scale * float(corner[0]), y + tall + scale * float(corner[1]), scale)
        ink_view(group, view, place, ("view", n))
        if all_round:
            named = group.group(font_family=SANS, fill=SOFT)
            named.text(x + w / 2, y + tall + _CAPTION, f"{_degrees(view.facing)}°", BODY, anchor="middle")
        x += w + _GAP
    y += tall + (2.5 if all_round else 1.5) * _CAPTION
    y = legend(drawing.group("legend"), piece, _MARGIN, y, width, _WEIGHT)
    return drawing.tostring(width + 2 * _MARGIN, y + _MARGIN - BODY)


def _introduction(piece: LaidPiece, views: list[SeenPiece], unit: Unit, far_side: bool) -> str:
    wall = piece.form.wall
    _, widest = wall.widest(0.0, wall.length)
    high = float(np.ptp(wall.height(wall.height_turns)))
    size = f"{length_with_unit(high, unit)} high, {length_with_unit(2 * widest, unit)} across at its widest."
    if far_side:
        size += " What is hidden is dashed and grey."
    tilt = math.degrees(views[0].tilt)
    if tilt < _SHOWN:
        seen = "seen level"
    else:
        seen = "seen from straight above" if tilt > 90 - _SHOWN else f"seen from {number(tilt, 2)}° above the level"
    if len(views) > 1:
        sides = (
            f"From {len(views)} sides, {seen}; below each the angle that faces you, to the right of the starting mark."
        )
        return f"{sides} {size} In half size; pictures, not templates."
    degrees = _degrees(views[0].facing)
    front = "The starting mark" if degrees == "0" else f"The place {degrees}° to the right of the starting mark"
    return f"{front} in front, {seen}. {size} In real size; a picture, not a template."


def _degrees(angle: float) -> str:
    return number(round(math.degrees(angle), 2) % 360.0, 2)


# ---------------------------------------------------------------- ink


def ink_view(pen: Pen, seen: SeenPiece, place: OnPage, prefix: tuple[object, ...] = ()) -> None:
    """What is seen of a piece: every band's work and the piece's own, in groups with ids, then the pot itself.

    Hidden parts come first, where ``look`` was asked for them."""
    hidden = [line for band in seen.bands for path in band.paths for line in path.hidden]
    hidden += [line for band in seen.bands for marks in band.marks for line in marks.hidden]
    hidden += [line for path in seen.paths for line in path.hidden]
    if hidden:
        behind = pen.group(
            xml_id(*prefix, "far-side"), stroke=SOFT, stroke_width=_HIDDEN, fill="none", stroke_dasharray=_HIDDEN_DASH
        )
        behind.lines([place(line) for line in (*hidden, *seen.behind)])
    looks = looks_of(seen.piece)
    grid = pen.group(xml_id(*prefix, "grid"), fill="none", **stroke(styles.GRID, _WEIGHT))
    grid.lines([place(line) for band in seen.bands for line in band.grid])
    reserves = pen.group(xml_id(*prefix, "reserves"), fill="none", **stroke(styles.KEPT_FREE, _WEIGHT))
    reserves.lines([place(line) for line in seen.reserves])
    for band in seen.bands:
        names = (*prefix, "band", band.band.number, band.band.motif)
        _ink_work(pen, names, band.paths, band.band.points.works, band.marks, place, looks)
    _ink_work(pen, (*prefix, "piece"), seen.paths, (), (), place, looks)
    pot = pen.group(xml_id(*prefix, "pot"), stroke=INK, fill="none", stroke_linejoin="round", stroke_linecap="round")
    pot.lines([place(line) for line in seen.creases], stroke_width=_CREASE)
    pot.lines([place(line) for line in seen.outline], stroke_width=_OUTLINE)


def _ink_work(
    pen: Pen,
    prefix: tuple[object, ...],
    paths: tuple[SeenPath, ...],
    works: tuple[Work, ...],
    marks: tuple[SeenMarks, ...],
    place: OnPage,
    looks: Looks,
) -> None:
    strokes: dict[str, list[SeenPath]] = {}
    for path in paths:
        strokes.setdefault(path.path.work.technique, []).append(path)
    stamps: dict[str, list[SeenMarks]] = {}
    for some in marks:
        stamps.setdefault(works[some.work].technique, []).append(some)
    for technique in drawing_order("paint" in strokes and any(path.areas for path in strokes["paint"])):
        if technique in strokes or technique in stamps:
            group = pen.group(xml_id(*prefix, technique), fill="none", **stroke(styles.style(technique), _WEIGHT))
            _ink_paths(group, technique, strokes.get(technique, []), place, looks)
            for some in stamps.get(technique, []):
                work = works[some.work]
                _ink_marks(group, some, technique, looks[technique, work.colour], place)


def _ink_paths(group: Pen, technique: str, paths: list[SeenPath], place: OnPage, looks: Looks) -> None:
    lines: dict[tuple[str | None, bool], list[Floats]] = {}
    for path in paths:
        colour = path.path.work.colour
        style = looks[technique, colour]
        if path.areas:
            group.lines(
                [place(ring) for ring in path.areas],
                closed=True,
                stroke="none",
                fill=style.colour,
                fill_opacity=style.fill,
                fill_rule="evenodd",
            )
        lines.setdefault((colour, path.closed), []).extend(place(line) for line in path.lines)
    for (colour, closed), some in lines.items():
        group.lines(some, closed=closed, **own_stroke(looks[technique, colour], technique))


def _ink_marks(group: Pen, marks: SeenMarks, technique: str, style: Style, place: OnPage) -> None:
    colour = style.colour
    shapes = group.group(
        **{**own_stroke(style, technique), "stroke": colour, "stroke_width": min(style.weight, _MARK) * _WEIGHT}
    )
    shapes.lines([place(ring) for ring in marks.rings], closed=True, fill=colour, fill_opacity=style.fill)
    shapes.lines(
        [place(ring) for ring in marks.areas], closed=True, fill=colour, fill_opacity=style.fill, stroke="none"
    )
    shapes.lines([place(line) for line in marks.edges])
    # Lines of no length with round ends are dots, and all of them one element.
    group.lines(
        [place(at[None]) for at in marks.bare],
        stroke=colour,
        stroke_width=2 * _BARE,
        stroke_linecap="round",
        stroke_dasharray="none",
    )
