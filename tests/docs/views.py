"""Small plain pictures of a laid piece: no captions, no check bars, one thing to look at.

``wall``   half the wall of a straight form, flat, its rings and verticals faint
``cell``   one cell as large as the wall is high, then the wall as above
``whole``  the whole wall flat
``pot``    the form as it stands before you
``both``   the form as it stands, then half its wall flat
``face``   a plate from above
``form``   the profile, its stations and landmarks
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from motif.language.record import changed
from motif.laying.piece import LaidPiece
from motif.outputs.clip import Window
from motif.outputs.drawn import Chart, Drawer, DrawnLine, DrawnMarks, DrawnPath, DrawnSheet, Outline, Sheet
from motif.outputs.ink import ink_sheet
from motif.outputs.pen import SANS
from motif.outputs.styles import FAINT, INK, SOFT
from motif.outputs.svg import Drawing

Floats = NDArray[np.float64]

_MARGIN = 3.0
_GAP = 10.0
_LETTER = 3.4
_PAPER, _CLAY = "#ffffff", "#f6f2ea"
#: how much of its neighbours a close-up shows, in cells
_BESIDE = 0.12
#: lines, and the outlines of marks, may leave their place by so much, mm on the page
_SAG, _MARK_SAG = 0.14, 0.06
#: a wall whose radii differ by less is straight, mm
_STRAIGHT = 1e-6
_HALF_TURN = math.pi
_TURN = 2 * math.pi


@dataclass(frozen=True)
class Panel:
    """One view of the wall: a chart over a window, and how much larger it is drawn than real.

    ``true_size`` where the chart keeps shapes, so that what is round on the wall is round on it."""

    window: Window
    chart: Chart
    true_size: bool = False
    scale: float = 1.0


@dataclass(frozen=True)
class Corner:
    """Puts a panel on the page, ``scale`` times as large; hundredths of a millimetre are enough here."""

    x: float
    y: float
    scale: float

    def __call__(self, points: Floats) -> Floats:
        return np.round(np.array([self.x, self.y]) + np.asarray(points) * (self.scale, -self.scale), 2)


def draw(piece: LaidPiece, view: str, labels: bool = False) -> str:
    """The picture as an SVG document. ``labels`` numbers verticals and rings of a flat wall."""
    if view == "form":
        return _profile(piece)
    panels = _VIEWS[view](piece)
    drawing = Drawing()
    ground = drawing.group("paper", fill=_PAPER, stroke="none")
    beside = 10.0 if view == "cell" else 8.0 if labels else 0.0
    x, bottom = _MARGIN + beside, 0.0
    made = [
        _lightened(Drawer(piece).sheet(Sheet(k, p.window, p.chart, 0.0, true_size=p.true_size)), p.scale)
        for k, p in enumerate(panels, 1)
    ]
    tall = max(p.scale * float(np.ptp(d.outline[:, 1])) for p, d in zip(panels, made, strict=True))
    for panel, drawn in zip(panels, made, strict=True):
        low, high = drawn.outline.min(axis=0), drawn.outline.max(axis=0)
        place = Corner(x - panel.scale * low[0], _MARGIN + tall + panel.scale * low[1], panel.scale)
        edge = drawing.group(f"edge-{drawn.sheet.number}", stroke=SOFT, stroke_width=0.3, fill=_CLAY)
        edge.lines([place(drawn.outline)], closed=True)
        ink_sheet(drawing, drawn, place, ("view", drawn.sheet.number))
        if view == "cell" and drawn.sheet.number == 1:
            _corners(drawing, place, piece, panel)
        if labels:
            _numbers(drawing, drawn.sheet.number, place, piece, panel)
        x += panel.scale * float(high[0] - low[0]) + _GAP + beside
        bottom = max(bottom, place.y - panel.scale * float(low[1]))
    width, height = x - _GAP - beside + _MARGIN, bottom + _MARGIN + (5.0 if labels else 0.0)
    ground.lines([np.array([[0, 0], [width, 0], [width, height], [0, height]])], closed=True)
    return drawing.tostring(round(width, 2), round(height, 2))


# ---------------------------------------------------------------- small files


def _lightened(drawn: DrawnSheet, scale: float) -> DrawnSheet:
    """The sheet with the fewest points that keep every line near enough: nobody measures these pictures.

    Radii and pitches, which are not placed as points are, come out ``scale`` times as large."""
    sag, mark_sag = _SAG / scale, _MARK_SAG / scale

    def line(found: DrawnLine) -> DrawnLine:
        return changed(found, line=_thin(found.line, sag))

    def path(found: DrawnPath) -> DrawnPath:
        pitch = found.path.pitch_reached
        return changed(
            found,
            path=changed(found.path, pitch_reached=pitch and pitch * scale),
            lines=tuple(_thin(part, sag) for part in found.lines),
            areas=tuple(_thin_ring(area, sag) for area in found.areas),
        )

    def outline(found: Outline) -> Outline:
        return Outline(_thin_ring(found.area, mark_sag), tuple(_thin(part, mark_sag) for part in found.lines))

    def marks(found: DrawnMarks) -> DrawnMarks:
        # A mark that only reaches in from beyond the edge has its prick there, which must not stand outside.
        at = np.clip(found.at, drawn.outline.min(axis=0), drawn.outline.max(axis=0))
        outlines = tuple(o and outline(o) for o in found.outlines)
        return changed(found, at=at, radius=found.radius * scale, outlines=outlines)

    return changed(
        drawn,
        outline=_thin_ring(drawn.outline, sag),
        rings=tuple(line(r) for r in drawn.rings),
        verticals=tuple(line(v) for v in drawn.verticals),
        bands=tuple(changed(b, paths=tuple(path(p) for p in b.paths), marks=marks(b.marks)) for b in drawn.bands),
        paths=tuple(path(p) for p in drawn.paths),
        reserves=tuple(changed(r, lines=tuple(_thin(part, sag) for part in r.lines)) for r in drawn.reserves),
    )


def _thin(line: Floats, sag: float) -> Floats:
    """The line without points that lie within ``sag`` mm of it, and no loop lost."""
    return line if len(line) < 3 else shapely.get_coordinates(shapely.simplify(shapely.linestrings(line), sag))


def _thin_ring(ring: Floats, sag: float) -> Floats:
    return _thin(np.vstack([ring, ring[:1]]), sag)[:-1]


# ---------------------------------------------------------------- the wall flat


def _flat(piece: LaidPiece, window: Window, scale: float = 1.0) -> Panel:
    wall = piece.form.wall
    _, widest = wall.widest(0.0, wall.length)
    _, narrowest = wall.narrowest(0.0, wall.length)

    def chart(angle: Floats, tape: Floats) -> tuple[Floats, Floats]:
        x, y = np.broadcast_arrays(np.asarray(angle, dtype=np.float64) * widest, np.asarray(tape, dtype=np.float64))
        return x, y

    return Panel(window, chart, widest - narrowest < _STRAIGHT, scale)


def _wall(piece: LaidPiece) -> list[Panel]:
    return [_flat(piece, Window(0.0, _HALF_TURN, 0.0, piece.form.wall.length))]


def _whole(piece: LaidPiece) -> list[Panel]:
    return [_flat(piece, Window(0.0, _TURN, 0.0, piece.form.wall.length))]


def _cell(piece: LaidPiece) -> list[Panel]:
    """Column 2 of row 2, with a little of its neighbours, and the wall."""
    left, low, right, high = _second_cell(piece)
    beside, above = _BESIDE * (right - left), _BESIDE * (high - low)
    close = Window(left - beside, right + beside, low - above, high + above)
    scale = piece.form.wall.length / (close.to_tape - close.from_tape)
    return [_flat(piece, close, scale), *_wall(piece)]


def _second_cell(piece: LaidPiece) -> tuple[float, float, float, float]:
    band = piece.bands[0]
    return float(band.verticals[1]), float(band.rings.tape[1]), float(band.verticals[2]), float(band.rings.tape[2])


def _corners(drawing: Drawing, place: Corner, piece: LaidPiece, panel: Panel) -> None:
    """The cell's own coordinates at the corners of a close-up."""
    w = panel.window
    across, up = (w.to_angle - w.from_angle) / (1 + 2 * _BESIDE), (w.to_tape - w.from_tape) / (1 + 2 * _BESIDE)
    group = drawing.group("coordinates", font_family=SANS, fill=INK)
    for a in (0, 1):
        for b in (0, 1):
            angle, tape = w.from_angle + across * (a + _BESIDE), w.from_tape + up * (b + _BESIDE)
            x, y = place(np.array(panel.chart(np.array(angle), np.array(tape)))).tolist()
            group.circle(x, y, 0.6)
            beyond = panel.scale * _BESIDE * across * float(piece.form.wall.radius(tape))
            group.text(
                x + (-beyond - 1.0 if a == 0 else beyond + 1.0),
                y + 1.0,
                f"({a}, {b})",
                2.8,
                anchor="end" if a == 0 else "start",
            )


def _numbers(drawing: Drawing, number: int, place: Corner, piece: LaidPiece, panel: Panel) -> None:
    group = drawing.group(f"numbers-{number}", font_family=SANS, fill=INK)
    w = panel.window
    for band in piece.bands:
        for k, angle in enumerate(band.verticals.tolist(), 1):
            if w.from_angle - 1e-9 <= angle <= w.to_angle + 1e-9:
                x, y = place(np.array(panel.chart(np.array(angle), np.array(w.from_tape)))).tolist()
                group.text(x, y + 4.2, str(k), _LETTER, anchor="middle")
        for k, tape in enumerate(band.rings.tape.tolist()):
            x, y = place(np.array(panel.chart(np.array(w.from_angle), np.array(tape)))).tolist()
            group.text(x - 1.5, y + 1.2, str(k), _LETTER, anchor="end")


# ---------------------------------------------------------------- the pot as it stands


def _pot(piece: LaidPiece) -> list[Panel]:
    """The half of the pot that faces you, the starting mark a quarter turn to the left."""
    wall = piece.form.wall

    def chart(angle: Floats, tape: Floats) -> tuple[Floats, Floats]:
        radius, height = wall.point(tape)
        return radius * np.sin(np.asarray(angle) - _HALF_TURN / 2), height + 0.0 * np.asarray(angle)

    return [Panel(Window(0.0, _HALF_TURN, 0.0, wall.length), chart)]


def _both(piece: LaidPiece) -> list[Panel]:
    return [*_pot(piece), *_wall(piece)]


def _face(piece: LaidPiece) -> list[Panel]:
    """From above, the starting mark at the top. To the right as seen from within is clockwise from above."""
    wall = piece.form.wall

    def chart(angle: Floats, tape: Floats) -> tuple[Floats, Floats]:
        radius, turned = wall.radius(tape), np.asarray(angle)
        return radius * np.sin(turned), radius * np.cos(turned)

    return [Panel(Window(0.0, _TURN, 0.0, wall.length), chart)]


_VIEWS: dict[str, Callable[[LaidPiece], list[Panel]]] = {
    "wall": _wall, "cell": _cell, "whole": _whole, "pot": _pot, "both": _both, "face": _face,
}  # fmt: skip


def _profile(piece: LaidPiece) -> str:
    """Both sides of the profile; a dot at every station, a line at every landmark."""
    form, wall = piece.form, piece.form.wall
    radius, height = wall.point(np.union1d(np.linspace(0.0, wall.length, 81), wall.corners))
    _, widest = wall.widest(0.0, wall.length)
    low, high = float(height.min()), float(height.max())
    place = Corner(_MARGIN + 34 + widest, _MARGIN + 3 + high, 1.0)
    drawing = Drawing()
    ground = drawing.group("paper", fill=_PAPER, stroke="none")
    sides = [np.column_stack([s * radius, height]) for s in (-1, 1)]
    drawing.group("clay", fill=_CLAY, stroke="none").lines([place(np.vstack([sides[0], sides[1][::-1]]))], closed=True)
    drawing.group("axis", stroke=FAINT, stroke_width=0.2, stroke_dasharray="3 1 0.5 1", fill="none").lines(
        [place(np.array([[0.0, low], [0.0, high]]))]
    )
    drawing.group("profile", stroke=INK, stroke_width=0.5, fill="none").lines([place(s) for s in sides])
    stations = drawing.group("stations", font_family=SANS, fill=INK)
    for _, at, r, corner in form.stations:
        x, y = place(np.array([r, at])).tolist()
        stations.circle(x, y, 0.9)
        words = f"at {_short(at)}, across {_short(2 * r)}" + (" corner" if corner else "")
        stations.text(x + 2.5, y + 1.2, words, _LETTER)
    marks = drawing.group("landmarks", font_family=SANS, fill=SOFT)
    for name, tape in sorted(form.landmarks.items()):
        r, at = (float(v) for v in wall.point(tape))
        x, y = place(np.array([-r, at])).tolist()
        marks.lines([np.array([[x - 1.0, y], [x - 7.0, y]])], stroke=SOFT, stroke_width=0.3, fill="none")
        marks.text(x - 8.0, y + 1.2, name, _LETTER, anchor="end")
    width, tall = 2 * (_MARGIN + widest) + 34 + 44, high - low + 2 * (_MARGIN + 3)
    ground.lines([np.array([[0, 0], [width, 0], [width, tall], [0, tall]])], closed=True)
    return drawing.tostring(round(width, 2), round(tall, 2))


def _short(mm: float) -> str:
    return f"{mm:.1f}".removesuffix(".0")
