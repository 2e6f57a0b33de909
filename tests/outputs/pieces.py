"""Laid pieces made by hand, so that the outputs are tested without the language and the layer."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from motif.language.source import Source, Span
from motif.laying.piece import (
    LaidBand,
    LaidForm,
    LaidPath,
    LaidPiece,
    LaidReserve,
    LaidTool,
    Points,
    RingLine,
    Rings,
    Work,
)
from motif.wall import Station, Wall, build_wall

SPAN = Span(Source("made-by-hand.motif", "motif made-by-hand"), 0, 5)
TURN = 2 * math.pi

PELLET = LaidTool("pellet", "Pressed button", 14.0, 14.0, None, None, None, 4.92892159375 / 8, None, None)
POINTS = np.array([[-10.0, 0.0], [10.0, 0.0], [0.0, 20.0]])
TOOTH = LaidTool("tooth", None, 20.0, 20.0, None, None, None, None, POINTS, 200.0)


def cylinder(radius: float = 60.0, height: float = 200.0) -> Wall:
    return build_wall([Station(0.0, radius), Station(height, radius)], smooth=False)


def beaker(below: float = 40.0, above: float = 70.0, height: float = 150.0) -> Wall:
    return build_wall([Station(0.0, below), Station(height, above)], smooth=False)


def jar() -> Wall:
    return build_wall(
        [
            Station(0.0, 42.0),
            Station(40.0, 61.0),
            Station(95.0, 75.0),
            Station(150.0, 59.0, corner=True),
            Station(182.0, 48.0),
        ],
        smooth=True,
    )


def work(technique: str, tool: LaidTool | None = None, colour: str | None = None, **sizes: float) -> Work:
    return Work(technique, tool, colour, sizes.get("depth"), sizes.get("width"), sizes.get("pitch"), SPAN)


def points(wall: Wall, works: list[Work], rows: list[tuple[Any, ...]], shapes: tuple[Any, ...] = ()) -> Points:
    """``rows``: (work, footprint, column, row, vertical, ring, angle, tape, across, area, shape)."""
    columns = list(zip(*rows, strict=True)) if rows else [()] * 11

    def ints(k: int) -> Any:
        return np.array(columns[k], dtype=np.int64)

    def floats(k: int) -> Any:
        return np.array(columns[k], dtype=float)

    tape = floats(7)
    return Points(
        works=tuple(works),
        work=ints(0),
        is_footprint=np.array(columns[1], dtype=bool),
        column=ints(2),
        row=ints(3),
        vertical=ints(4),
        ring=ints(5),
        angle=floats(6),
        tape=tape,
        height=wall.height(tape),
        radius=wall.radius(tape),
        across=floats(8),
        lean=np.zeros(len(tape)),
        area=floats(9),
        shape=ints(10),
        shapes=tuple(shapes),
    )


def path(work_: Work, line: Any, **more: Any) -> LaidPath:
    given = {
        "worked_over": False,
        "closed": False,
        "length": 10.0,
        "area": 0.0,
        "impressions": 0,
        "pitch_reached": None,
        "column": 1,
        "row": 1,
        "vertical": -1,
        "ring": -1,
    } | more
    return LaidPath(work=work_, points=np.asarray(line, dtype=float), **given)


def rings(wall: Wall, tape: Any, columns: int | None) -> Rings:
    tape = np.asarray(tape, dtype=float)
    radius = wall.radius(tape)
    width = None if columns is None else TURN * radius / columns
    chord = None if columns is None else 2 * radius * math.sin(math.pi / columns)
    return Rings(tape, wall.height(tape), radius, TURN * radius, width, chord)


def tufted_band(
    wall: Wall,
    *,
    number: int = 1,
    columns: int = 8,
    rows: int = 5,
    low: float = 20.0,
    high: float | None = None,
    start: float = 0.0,
) -> LaidBand:
    """Diamonds with a dented dot at the middle of every cell and a button at every crossing."""
    high = wall.length - 20.0 if high is None else high
    tapes = np.linspace(low, high, rows + 1)
    verticals = (start + np.arange(columns) * TURN / columns) % TURN
    step = TURN / columns
    works = [work("attach", PELLET), work("impress", depth=2.0)]
    marks: list[tuple[Any, ...]] = [
        (0, True, -1, -1, v + 1, r, verticals[v], tapes[r], 14.0, math.pi * 49, -1)
        for r in range(rows + 1)
        for v in range(columns)
    ]
    marks += [
        (
            1,
            False,
            c + 1,
            r + 1,
            -1,
            -1,
            (verticals[c] + step / 2) % TURN,
            (tapes[r] + tapes[r + 1]) / 2,
            9.0,
            0.0,
            -1,
        )
        for r in range(rows)
        for c in range(columns)
    ]
    t = np.linspace(0.0, 1.0, 40 * rows + 1)
    paths = []
    for c in range(columns):
        for way in (1, -1):
            line = np.column_stack([verticals[c] + way * t * rows * step, low + t * (high - low)])
            length = float(np.hypot(np.diff(line[:, 0]) * wall.radius(line[1:, 1]), np.diff(line[:, 1])).sum())
            paths.append(path(work("incise", depth=1.0), line, length=length))
            paths.append(
                path(
                    work("roulette", pitch=3.0),
                    line,
                    length=length,
                    impressions=round(length / 3),
                    pitch_reached=length / round(length / 3),
                )
            )
    return LaidBand(
        number=number,
        motif="tufting",
        description="Diamond tufting, a button at every crossing",
        columns=columns,
        rows=rows,
        row_columns=None,
        from_tape=low,
        to_tape=high,
        left_over=3.2,
        proportion=None,
        rings=rings(wall, tapes, columns),
        verticals=verticals,
        points=points(wall, works, marks),
        paths=tuple(paths),
        skipped={("attach", "pellet", None): 2},
        panels=(),
    )


def leaf_band(wall: Wall, *, number: int = 2, columns: int = 12, low: float, high: float) -> LaidBand:
    """One row of painted leaves with a hole, and teeth pressed along the lower ring."""
    step = TURN / columns
    verticals = np.arange(columns) * step
    t = np.linspace(0, TURN, 49)

    def oval(c: int, size: float) -> Any:
        return np.column_stack(
            [(c + 0.5 + size * np.cos(t)) * step, (low + high) / 2 + size * (high - low) * np.sin(t)]
        )

    leaves = [
        path(
            work("paint", colour="cobalt"),
            oval(c, 0.4),
            worked_over=True,
            closed=True,
            area=100.0,
            holes=(oval(c, 0.2),),
        )
        for c in range(columns)
    ]
    radius = float(wall.radius(low))
    tooth = np.array([[-5 / radius, low], [5 / radius, low], [0.0, low + 10]])
    marks = [(0, True, c + 1, 1, -1, -1, (c + 0.5) * step, low, math.nan, 50.0, 0) for c in range(columns)]
    marks += [(0, True, c + 1, 1, -1, -1, c * step, low, math.nan, 50.0, 0) for c in range(columns)]
    return LaidBand(
        number=number,
        motif="leaves",
        description=None,
        columns=columns,
        rows=1,
        row_columns=None,
        from_tape=low,
        to_tape=high,
        left_over=None,
        proportion=None,
        rings=rings(wall, [low, high], columns),
        verticals=verticals,
        points=points(wall, [work("impress", TOOTH)], marks, (tooth,)),
        paths=tuple(leaves),
        skipped={},
        panels=(),
    )


def piece(
    wall: Wall,
    *bands: LaidBand,
    name: str = "caddy",
    description: str | None = "Tea caddy",
    lines: tuple[float, ...] = (),
    reserves: tuple[LaidReserve, ...] = (),
) -> LaidPiece:
    ring_lines = tuple(
        RingLine(work("carve", depth=2.0), t, float(wall.height(t)), float(wall.radius(t))) for t in lines
    )
    ring_paths = tuple(
        path(
            line.work,
            np.column_stack([np.linspace(0, TURN, 181), np.full(181, line.tape)]),
            closed=True,
            length=TURN * line.radius,
            column=-1,
            row=-1,
        )
        for line in ring_lines
    )
    landmarks = {"foot": 0.0, "belly": float(wall.belly), "rim": float(wall.length)}
    if wall.neck is not None:
        landmarks["neck"] = float(wall.neck)
    stations = tuple((float(t), float(wall.height(t)), float(wall.radius(t)), False) for t in wall.station_tapes)
    form = LaidForm("jar", "Lidded jar", "leather-hard", "outside", wall, 6.0, stations, landmarks)
    return LaidPiece(
        name=name,
        description=description,
        title="Tufted pots",
        by="A. Potter",
        licence="CC0-1.0",
        form=form,
        stage="leather-hard",
        dimensions_stage="leather-hard",
        scale=1.0,
        clay="buff",
        bands=bands,
        lines=ring_lines,
        paths=ring_paths,
        reserves=reserves,
    )


def handle(wall: Wall, low: float, high: float, facing: float = TURN / 4, wide: float = 34.0) -> LaidReserve:
    tape = np.linspace(low, high, 60)
    half = wide / 2 / wall.radius(tape)
    outline = np.vstack(
        [
            np.column_stack([facing + np.linspace(-half[0], half[0], 20), np.full(20, low)]),
            np.column_stack([facing + half, tape]),
            np.column_stack([facing + np.linspace(half[-1], -half[-1], 20), np.full(20, high)]),
            np.column_stack([facing - half, tape])[::-1],
        ]
    )
    return LaidReserve("handle", low, high, facing, wide, outline)


def caddy() -> LaidPiece:
    """Two bands, a line round the pot and a patch kept free, on a jar with a corner."""
    wall = jar()
    return piece(
        wall,
        tufted_band(wall, low=10.0, high=130.0),
        leaf_band(wall, low=140.0, high=175.0),
        lines=(135.0,),
        reserves=(handle(wall, 60.0, 110.0),),
    )


def canister() -> LaidPiece:
    wall = cylinder()
    return piece(wall, tufted_band(wall, columns=6, rows=6, low=20.0, high=170.0), name="canister")
