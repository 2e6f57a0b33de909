"""What all drawings share: how rings, verticals, strokes and marks are inked, titles, legends, check bars."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import numpy as np

from motif.language.record import record
from motif.laying.piece import LaidPiece
from motif.outputs import styles
from motif.outputs.drawn import DrawnLine, DrawnMarks, DrawnPath, DrawnSheet, Floats
from motif.outputs.labels import BODY, LETTER, Place
from motif.outputs.marks import point_works
from motif.outputs.numbers import number
from motif.outputs.once import once
from motif.outputs.pen import SANS, SERIF, Pen, xml_id
from motif.outputs.styles import INK, SOFT, Looks, Style
from motif.outputs.totals import works

#: Sizes of type in mm.
TITLE, HEADING = 9.0, 4.6
LEADING = 1.35

#: Radius of the dot that stands for a bare point, and of the prick at the middle of a mark with a size.
_BARE, _PRICK = 0.8, 0.3
_SHORTEST_PITCH = 1.2


@record
class Corner:
    """Puts a sheet on the page: its origin at (x, y) of the page, and y turned downward."""

    x: float
    y: float

    def __call__(self, points: Floats) -> Floats:
        return np.array([self.x, self.y]) + np.asarray(points) * (1.0, -1.0)


def ink_sheet(parent: Pen, drawn: DrawnSheet, place: Place, prefix: tuple[object, ...] = ()) -> None:
    """Rings, verticals, reserves, then every band's work and the piece's own, each in a group with an id."""
    looks = looks_of(drawn.piece)
    grid = parent.group(xml_id(*prefix, "grid"), fill="none", **stroke(styles.GRID))
    _ink_lines(grid, (*drawn.rings, *drawn.verticals), place)
    if drawn.reserves:
        group = parent.group(xml_id(*prefix, "reserves"), fill="none", **stroke(styles.KEPT_FREE))
        for reserve in drawn.reserves:
            group.lines([place(line) for line in reserve.lines])
    for band in drawn.bands:
        _ink_work(
            parent,
            (*prefix, "band", band.band.number, band.band.motif),
            band.paths,
            band.marks,
            place,
            drawn.sheet.true_size,
            looks,
        )
    _ink_work(parent, (*prefix, "piece"), drawn.paths, None, place, drawn.sheet.true_size, looks)


def _ink_lines(group: Pen, lines: Iterable[DrawnLine], place: Place) -> None:
    for line in lines:
        group.lines([place(line.line)])


def _ink_work(
    parent: Pen,
    prefix: tuple[object, ...],
    paths: Sequence[DrawnPath],
    marks: DrawnMarks | None,
    place: Place,
    true_size: bool,
    looks: Looks,
) -> None:
    by_technique: dict[str, list[DrawnPath]] = {}
    for path in paths:
        by_technique.setdefault(path.path.work.technique, []).append(path)
    members: dict[str, list[int]] = {}
    if marks is not None:
        techniques = [w.technique for w in marks.points.works]
        for i, w in enumerate(marks.points.work[marks.index].tolist()):
            members.setdefault(techniques[w], []).append(i)
    for technique in drawing_order(any(path.areas for path in by_technique.get("paint", ()))):
        if technique not in by_technique and technique not in members:
            continue
        group = parent.group(xml_id(*prefix, technique), fill="none", **stroke(styles.style(technique)))
        for path in by_technique.get(technique, ()):
            _ink_path(group, path, place, true_size, looks)
        if marks is not None and technique in members:
            _ink_marks(group, technique, marks, members[technique], place, looks)


def drawing_order(painted_areas: bool) -> list[str]:
    """The techniques as they lie on one another: painted areas under the lines, painted lines and dots on them."""
    order = list(styles.STYLES)
    return ["paint", *(t for t in order if t != "paint")] if painted_areas else order


def stroke(style: Style, weight: float = 1.0) -> dict[str, Any]:
    """The presentation attributes of a style's line, ``weight`` times as wide."""
    result: dict[str, Any] = {
        "stroke": style.colour,
        "stroke_width": style.weight * weight,
        "stroke_linejoin": "round",
    }
    if style.dash:
        result["stroke_dasharray"] = _dashes(style)
    if style.round:
        result["stroke_linecap"] = "round"
    return result


def _dashes(style: Style) -> str:
    return " ".join(f"{d:g}" for d in style.dash)


def own_stroke(style: Style, technique: str) -> dict[str, Any]:
    """The attributes by which a work's line differs from those of its technique's group."""
    group, own = styles.style(technique), {}
    if style.colour != group.colour:
        own["stroke"] = style.colour
    if style.dash != group.dash:
        own["stroke_dasharray"] = _dashes(style)
    return own


def _ink_path(group: Pen, path: DrawnPath, place: Place, true_size: bool, looks: Looks) -> None:
    work = path.path.work
    style = looks[work.technique, work.colour]
    if path.areas:
        group.lines(
            [place(a) for a in path.areas],
            closed=True,
            stroke="none",
            fill=style.colour,
            fill_opacity=style.fill,
            fill_rule="evenodd",
        )
    own = own_stroke(style, work.technique)
    pitch = path.path.pitch_reached
    if work.technique == "roulette" and pitch and true_size:
        own["stroke_dasharray"] = f"0.01 {max(pitch, _SHORTEST_PITCH) - 0.01:.2f}"
    group.lines([place(line) for line in path.lines], closed=path.ends_meet and path.path.closed, **own)


def _ink_marks(group: Pen, technique: str, marks: DrawnMarks, members: list[int], place: Place, looks: Looks) -> None:
    style = styles.style(technique)
    at = place(marks.at)
    shapes = group.group(stroke_width=min(style.weight, 0.5), fill=style.colour, fill_opacity=style.fill)
    dots: dict[tuple[str, float], list[int]] = {}
    made = marks.points.works
    work = marks.points.work[marks.index].tolist()
    radii = marks.radius.tolist()
    for i in members:
        look = looks[technique, made[work[i]].colour]
        outline = marks.outlines[i]
        if outline is None and radii[i] == 0:
            dots.setdefault((look.colour, _BARE), []).append(i)
            continue
        line = own_stroke(look, technique)
        fill: dict[str, Any] = {"fill": look.colour} if look.colour != style.colour else {}
        if look.fill != style.fill:
            fill["fill_opacity"] = look.fill
        if outline is None:
            x, y = at[i].tolist()
            shapes.circle(x, y, radii[i], **fill, **line)
        elif outline.lines:
            shapes.lines([place(outline.area)], closed=True, stroke="none", **fill)
            shapes.lines([place(part) for part in outline.lines], fill="none", **line)
        else:
            shapes.lines([place(outline.area)], closed=True, **fill, **line)
        if marks.owned[i]:  # else its place lies on the sheet beside, though it reaches over the edge
            dots.setdefault((look.colour, _PRICK), []).append(i)
    for (colour, radius), which in dots.items():
        # Lines of no length with round ends are dots, and all of them one element.
        points = list(at[which][:, None])
        group.lines(points, stroke=colour, stroke_width=2 * radius, stroke_linecap="round", stroke_dasharray="none")


@once  # the drawings of one run look alike
def looks_of(piece: LaidPiece) -> Looks:
    """How every work of a piece is drawn."""
    return styles.looks((work.technique, work.colour) for work in works(piece))


# ---------------------------------------------------------------- words


def wrap(words: str, width: float, size: float = BODY) -> list[str]:
    """``words`` in lines no wider than about ``width`` mm at ``size``."""
    return textwrap.wrap(words, max(8, int(width / (size * LETTER)))) or [""]


def paragraph(group: Pen, x: float, y: float, words: str, width: float, size: float = BODY, **style: Any) -> float:
    """``words`` set in lines from a first baseline at ``y``; returns the baseline below the last."""
    for line in wrap(words, width, size):
        group.text(x, y, line, size, **style)
        y += size * LEADING
    return y


def about(piece: LaidPiece) -> str:
    """What is drawn, on what, at which stage and by whom, for the line below a title."""
    form = piece.form.name + (f" ({piece.form.description})" if piece.form.description else "")
    words = f"{piece.name} on {form}, {piece.stage}"
    if piece.dimensions_stage != piece.stage:
        words += f"; lengths written for {piece.dimensions_stage} clay, here {number(piece.scale, 4)} times as long"
    credit = ", ".join(c for c in (piece.by and f"by {piece.by}", piece.licence) if c)
    return f"{words}; {credit}" if credit else words


def header(group: Pen, x: float, y: float, width: float, title: str, lines: Sequence[str]) -> float:
    """Title and the lines below it from the top ``y``; returns the y below a closing rule."""
    y += TITLE
    for part in wrap(title, width, TITLE):
        group.text(x, y, part, TITLE, font_family=SERIF, fill=INK)
        y += TITLE * 1.15
    y -= TITLE * 0.35
    for line in lines:
        y = paragraph(group, x, y, line, width, BODY, font_family=SANS, fill=SOFT)
    y += 0.5
    group.lines([np.array([[x, y], [x + width, y]])], stroke=INK, stroke_width=0.25, fill="none")
    return y + 6.0


def legend(group: Pen, piece: LaidPiece, x: float, y: float, width: float, weight: float = 1.0) -> float:
    """A sample of every technique and named colour in use, lines ``weight`` times as wide, and of other lines.

    Returns the y below."""
    left = x
    for words, style, with_area in _legend_entries(piece):
        wide = 16.0 + len(words) * BODY * LETTER + 6.0
        if left > x and left + wide > x + width:
            left, y = x, y + BODY * 1.9
        line = np.array([[left, y], [left + 13.0, y]])
        own = stroke(style, weight)
        if with_area:
            box = np.array([[left, y - 1.6], [left + 13.0, y - 1.6], [left + 13.0, y + 1.6], [left, y + 1.6]])
            group.lines([box], closed=True, stroke="none", fill=style.colour, fill_opacity=style.fill)
        group.lines([line], fill="none", **own)
        group.text(left + 15.5, y + 0.36 * BODY, words, BODY, font_family=SANS, fill=INK)
        left += wide
    return y + BODY * 1.9


def _legend_entries(piece: LaidPiece) -> Iterator[tuple[str, Style, bool]]:
    looks = looks_of(piece)
    areas = {(w.technique, w.colour) for band in piece.bands for w in point_works(band)}
    areas |= {
        (path.work.technique, path.work.colour)
        for paths in (*(band.paths for band in piece.bands), piece.paths)
        for path in paths
        if path.worked_over
    }
    for technique, colour in sorted(looks, key=lambda k: (styles.technique_rank(k[0]), k[1] or "")):
        words = technique if colour is None else f"{technique}, {_short(colour)}"
        yield words, looks[technique, colour], (technique, colour) in areas
    if piece.bands:
        yield "ring, vertical", styles.GRID, False
    if piece.reserves:
        yield "kept free", styles.KEPT_FREE, False


def _short(words: str, most: int = 40) -> str:
    words = " ".join(words.split())
    return words if len(words) <= most else words[: most - 1] + "…"


def check_bars(group: Pen, x: float, y: float) -> float:
    """A bar of 100 mm and one of 4 in, side by side from (x, y); returns the y below them.

    Both are measured with a rule before anything is cut."""
    check_bar(group, x, y, 100.0, 10, "100 mm")
    return check_bar(group, x + 112.0, y, 4 * 25.4, 8, "4 in")


def check_bar(group: Pen, x: float, y: float, length: float, parts: int, words: str) -> float:
    """A bar of a ``length`` in mm, in equal parts, from (x, y), its name below; returns the y below that."""
    at = [x + length * k / parts for k in range(parts + 1)]
    tall = [3.2 if k % parts == 0 or 2 * k == parts else 1.8 for k in range(parts + 1)]
    ticks = [np.array([[place, y], [place, y - t]]) for place, t in zip(at, tall, strict=True)]
    group.lines([np.array([[x, y], [x + length, y]]), *ticks], stroke=INK, stroke_width=0.25, fill="none")
    group.text(x + length / 2, y + 4.6, words, BODY, anchor="middle", font_family=SANS, fill=INK)
    return y + 4.6 + BODY


CHECK_WIDTH = 112.0 + 4 * 25.4


def many(n: int, what: str) -> str:
    return f"{n} {what}{'' if n == 1 else 's'}"
