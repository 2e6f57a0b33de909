"""What lies round, over, or past the middle of a closed end, on a disc closed at the foot and on one at the rim.

A disc is its own plane: lengths and areas are plane geometry, by shapely where shapes are cut; nothing here reads the
wall."""

from __future__ import annotations

from math import cos, pi, radians, sin

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from motif.laying.piece import LaidBand, LaidPath, LaidPiece
from motif.outputs.drawn import Drawer
from motif.outputs.seen import look
from motif.outputs.sheets import lay_out
from tests.laying.bench import CAN, lay, lay_band, paths, source, warnings

FORMS = {
    "foot": "form disc { profile straight { at 0 mm across 0 mm at 0 mm across 200 mm } }",
    "rim": "form disc { profile straight { at 0 mm across 200 mm at 0 mm across 0 mm } }",
    "plate": "form plate { decorated inside profile straight { at 0 mm across 0 mm at 0 mm across 200 mm"
    " at 20 mm across 260 mm } }",
}
ENDS = ("foot", "rim")
GRID = "grid columns 8 rows 5"
SEAL = (
    "tool seal { wide 30 mm tall 20 mm outline from (-15 mm, -10 mm) line to (15 mm, -10 mm) line to (15 mm, 10 mm)"
    " line to (-15 mm, 10 mm) close }"
)


def at(end: str, out: float, turned: float = 0.0) -> str:
    """The place so far out from the middle, at an angle in degrees."""
    tape = 100 - out if end == "rim" else out
    return f"({turned:.9f} deg, {tape:.9f} mm)"


def there(out: float, turned: float = 0.0) -> tuple[float, float]:
    return out * cos(radians(turned)), out * sin(radians(turned))


def circle(out: float, turned: float, radius: float) -> Polygon:
    return Point(*there(out, turned)).buffer(radius, quad_segs=512)


def one(end: str, rules: str, piece: str = "", before: str = "", band: str = "from foot to rim") -> LaidBand:
    return lay_band(f"{GRID} once {{ {rules} }}", band, FORMS[end], before, piece)


def flat(end: str, ring: np.ndarray) -> np.ndarray:
    angle, tape = ring.T
    out = 100 - tape if end == "rim" else tape
    return np.column_stack([out * np.cos(angle), out * np.sin(angle)])


def area_of(end: str, path: LaidPath) -> BaseGeometry:
    """What a laid outline encloses, in the plane: rings of the wall round the middle are rings there."""
    holes = [shapely.make_valid(Polygon(flat(end, hole))) for hole in path.holes]
    return shapely.make_valid(Polygon(flat(end, path.points))).difference(shapely.union_all(holes))


def same(end: str, band: LaidBand, wanted: BaseGeometry, within: float = 0.05) -> None:
    """The outlines of a band are those of an area of the plane: by the areas that are told (to a part in ten thousand
    and ``within`` mm²) and by where their rings lie."""
    found = paths(band)
    assert sum(p.area for p in found) == pytest.approx(wanted.area, rel=1e-4, abs=within)
    drawn = shapely.union_all([area_of(end, p) for p in found])
    # Rings are chords 0.05 mm off at most.
    assert drawn.symmetric_difference(wanted).area < 0.06 * max(wanted.length, 1.0)
    assert all(p.closed and np.allclose(flat(end, p.points[:1]), flat(end, p.points[-1:]), atol=1e-6) for p in found)


def sector(low: float, high: float) -> Polygon:
    turn = np.radians(np.linspace(low, high, 721))
    return Polygon(np.vstack([[0.0, 0.0], 500 * np.column_stack([np.cos(turn), np.sin(turn)])]))


def patch(low: float, high: float, facing: float, wide: float) -> Polygon:
    """A reserve: so wide by soft tape at every distance from the middle."""
    out = np.linspace(low, high, 4001)
    half = np.minimum(wide / 2 / np.maximum(out, 1e-9), pi)
    round_ = np.linspace(-1, 1, 721)
    turns = np.concatenate([-half, round_ * half[-1], half[::-1], round_[::-1] * half[0]]) + radians(facing)
    outs = np.concatenate([out, np.full(721, high), out[::-1], np.full(721, low)])
    return shapely.make_valid(Polygon(np.column_stack([outs * np.cos(turns), outs * np.sin(turns)])))


def seeded(n: int, seed: int) -> list[tuple[float, float, float]]:
    """Circles: how far out, at what angle, of what radius; about the middle, round it, through it and beside it."""
    rng = np.random.default_rng(seed)
    radius = rng.uniform(4, 30, n)
    miss = 10 ** rng.uniform(-3, 1, n) * rng.choice([-1, 1], n)
    out = np.where(np.arange(n) % 5 == 0, rng.uniform(0, 3, n), np.abs(radius + miss))
    out[0], out[1] = 0.0, radius[1]
    return [(float(a), float(b), float(c)) for a, b, c in zip(out, rng.uniform(0, 360, n), radius, strict=True)]


@pytest.mark.parametrize("end", ENDS)
def test_circles_about_round_through_and_beside_the_middle(end: str) -> None:
    """Length 2πr and area πr², wherever they lie."""
    for out, turned, radius in seeded(60, 1):
        (path,) = one(end, f"paint circle at {at(end, out, turned)} across {2 * radius:.9f} mm").paths
        assert path.length == pytest.approx(2 * pi * radius, abs=1e-3)
        assert path.area == pytest.approx(pi * radius**2, abs=0.02)
        off = np.hypot(*(flat(end, path.points) - there(out, turned)).T) - radius
        assert np.abs(off).max() < 1e-3


@pytest.mark.parametrize("end", ENDS)
def test_cut_by_band_panels_and_reserves(end: str) -> None:
    rng = np.random.default_rng(2)
    for out, turned, radius in seeded(25, 3):
        drawn = f"paint circle at {at(end, out, turned)} across {2 * radius:.9f} mm"
        whole = circle(out, turned, radius)
        same(end, one(end, drawn, "only columns 1 to 3"), whole.intersection(sector(0, 135)))
        same(end, one(end, drawn, "only columns 1 to 7"), whole.intersection(sector(0, 315)))
        inner = float(rng.uniform(2, 12))
        band = f"from foot + {inner} mm to rim" if end == "foot" else f"from foot to rim - {inner} mm"
        moved = at(end, out - inner if end == "foot" else out, turned)
        same(
            end,
            one(end, f"paint circle at {moved} across {2 * radius:.9f} mm", band=band),
            whole.difference(Point(0, 0).buffer(inner, quad_segs=512)),
        )
        low, wide, facing = (float(x) for x in rng.uniform((2, 3, 0), (20, 9, 360)))
        tapes = (low, low + 8) if end == "foot" else (100 - low - 8, 100 - low)
        reserve = f'reserve "r" from tape {tapes[0]} mm to tape {tapes[1]} mm facing {facing} deg wide {wide} mm'
        same(end, one(end, drawn, reserve), whole.difference(patch(low, low + 8, facing, wide)))


@pytest.mark.parametrize("end", ENDS)
def test_areas_clear_of_and_within_what_goes_round_the_middle(end: str) -> None:
    others = seeded(25, 4)
    for (out, turned, radius), (other, way, size) in zip(seeded(25, 5), others, strict=True):
        keep = f"path o = circle at {at(end, other, way)} across {2 * size:.9f} mm "
        drawn = f"paint circle at {at(end, out, turned)} across {2 * radius:.9f} mm"
        whole, inside = circle(out, turned, radius), circle(other, way, size)
        same(end, one(end, keep + drawn + " clear of o by 1.5 mm"), whole.difference(inside.buffer(1.5)), 0.3)
        same(end, one(end, keep + drawn + " within o"), whole.intersection(inside))
        dot = f"path o = dot at {at(end, other, way)} across 4 mm "
        spot = circle(other, way, 4.0)
        same(end, one(end, dot + drawn + " clear of o by 2 mm"), whole.difference(spot), 0.3)


@pytest.mark.parametrize("end", ENDS)
def test_lines_clear_of_and_within_what_goes_round_the_middle(end: str) -> None:
    rng = np.random.default_rng(6)
    for other, way, size in seeded(40, 7):
        outs, turns = rng.uniform(30, 95, 2), rng.uniform(0, 360, 2)
        turns[1] = turns[0] + rng.uniform(-179, 179)
        first, last = (there(float(o), float(t)) for o, t in zip(outs, turns, strict=True))
        line, inside = LineString([first, last]), circle(other, way, size)
        path = f"path o = circle at {at(end, other, way)} across {2 * size:.9f} mm "
        places = [at(end, float(o), float(t)) for o, t in zip(outs, turns, strict=True)]
        chord = f"incise from {places[0]} taut to {places[1]}"
        clear = sum(p.length for p in one(end, f"{path} {chord} clear of o by 1 mm width 1 mm").paths)
        within = sum(p.length for p in one(end, f"{path} {chord} within o width 1 mm").paths)
        assert clear == pytest.approx(line.difference(inside.buffer(1.0)).length, abs=0.02)
        assert within == pytest.approx(line.intersection(inside).length, abs=0.02)


@pytest.mark.parametrize("end", ENDS)
def test_dots_clear_of_and_within_what_goes_round_the_middle(end: str) -> None:
    rng = np.random.default_rng(8)
    for other, way, size in seeded(6, 9):
        path = f"path o = circle at {at(end, other, way)} across {2 * size:.9f} mm "
        places = [(float(o), float(t)) for o, t in rng.uniform((0, 0), (40, 360), (14, 2))] + [(0.0, 12.0)]
        # On the edge itself either is right.
        places = [p for p in places if abs(Point(*there(*p)).distance(Point(*there(other, way))) - size) > 1e-6]
        away = [Point(*there(*p)).distance(Point(*there(other, way))) for p in places]
        dots = ", ".join(f"dot at {at(end, *p)} across 1 mm {{}}" for p in places)
        told = [
            one(end, f"{path} impress {dots.format(*[how] * len(places))}")
            for how in ("clear of o by 1 mm", "within o")
        ]
        assert len(told[0].points) == sum(d > size + 1 for d in away)
        assert len(told[1].points) == sum(d < size for d in away)


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("out", [0.0, 1e-6, 0.3, 3.0, 9.9, 10.0, 10.1, 14.9, 15.0, 18.0, 18.1, 40.0])
def test_footprints_over_the_middle(end: str, out: float) -> None:
    """A seal of 30 × 20 mm and a dot of 30 mm cover as much clay as in the flat; so they are drawn."""
    for tilt in (0, 35):
        text = source(
            f"{GRID} once {{ impress seal at {at(end, out, 77.0)} tilted {tilt} deg depth 1 mm }}",
            form=FORMS[end],
            before=SEAL,
        )
        piece = lay(text)
        points = piece.bands[0].points
        assert points.area[0] == pytest.approx(600.0, rel=2e-3)
        assert painted(piece)[0] == pytest.approx(600.0, rel=5e-3)
    dot = lay(source(f"{GRID} once {{ impress dot at {at(end, out, 77.0)} across 30 mm depth 1 mm }}", form=FORMS[end]))
    assert painted(dot)[0] == pytest.approx(225 * pi, rel=5e-3)


def filled(rings: list[np.ndarray]) -> float:
    """Area of rings filled by the rule of even and odd."""
    area: BaseGeometry = Polygon()
    for ring in (ring for ring in rings if len(ring) > 2):
        area = area.symmetric_difference(shapely.make_valid(Polygon(ring)))
    return float(area.area)


def painted(piece: LaidPiece) -> tuple[float, float]:
    """The area, mm², that paths and marks fill on the flat drawing, which is true on a disc, and the length of edges
    drawn round marks."""
    layout = lay_out(piece, "fewest")
    drawer = Drawer(piece)
    area = edges = 0.0
    for sheet in layout.sheets:
        drawn = drawer.sheet(sheet)
        for band in drawn.bands:
            area += sum(filled([np.asarray(r) for r in path.areas]) for path in band.paths)
            for outline, radius in zip(band.marks.outlines, band.marks.radius, strict=True):
                if outline is None:
                    area += pi * float(radius) ** 2
                else:
                    area += filled([np.asarray(outline.area)])
                    edges += sum(LineString(line).length for line in outline.lines)
    return area, edges


@pytest.mark.parametrize("out", [0.0, 2.0, 9.0, 20.0, 26.0])
def test_views_and_flat_drawings_fill_the_same(out: float) -> None:
    """A painted circle with a spot kept clear, on a plate seen from above, in true size, and unrolled; cut by panels
    as well."""
    spot = f"path o = dot at {at('plate', 12.0, 100.0)} across 4 mm "
    whole = circle(out, 40.0, 25.0).difference(circle(12.0, 100.0, 4.0))
    for panels, wanted in (("", whole), ("only columns 1 to 7", whole.intersection(sector(0, 315)))):
        text = source(
            f"{GRID} once {{ {spot} paint circle at {at('plate', out, 40.0)} across 50 mm clear of o by 2 mm }}",
            "from foot to tape 100 mm",
            FORMS["plate"],
            piece=panels,
        )
        piece = lay(text)
        assert sum(p.area for p in piece.bands[0].paths) == pytest.approx(wanted.area, rel=3e-4)
        assert painted(piece)[0] == pytest.approx(wanted.area, rel=2e-3)
        (band,) = look(piece, 0.3, pi / 2).bands
        assert sum(filled(list(p.areas)) for p in band.paths) == pytest.approx(wanted.area, rel=2e-3)
        # Edges are those of the area: none along a seam.
        seen = sum(LineString(line).length for p in band.paths for line in p.lines)
        assert seen == pytest.approx(wanted.length, rel=2e-3)


def test_a_view_of_marks_over_the_middle() -> None:
    """Seen from above a seal in the middle is filled and edged like the rectangle that it is."""
    for out in (0.0, 3.0, 12.0):
        text = source(
            f"{GRID} once {{ impress seal at {at('plate', out, 20.0)} depth 1 mm }}",
            "from foot to tape 100 mm",
            FORMS["plate"],
            SEAL,
        )
        (marks,) = look(lay(text), 0.0, pi / 2).bands[0].marks
        assert filled([*marks.rings, *marks.areas]) == pytest.approx(600.0, rel=5e-3)
        edges = [np.vstack([ring, ring[:1]]) for ring in marks.rings] + list(marks.edges)
        assert sum(LineString(line).length for line in edges) == pytest.approx(100.0, rel=5e-3)


@pytest.mark.parametrize("end", ENDS)
def test_attached_outlines_stay_or_go_with_their_middles(end: str) -> None:
    """A disc of 40 mm laid on the middle of the end: a reserve off its middle leaves it, one over it takes it away."""
    drawn = f"attach circle at {at(end, 1.0)} across 40 mm"
    tapes = ("tape 8 mm to tape 16 mm", "tape 0 mm to tape 5 mm")
    if end == "rim":
        tapes = ("tape 84 mm to tape 92 mm", "tape 95 mm to tape 100 mm")
    off, over = (f'reserve "r" from {t} facing 0 deg wide 6 mm' for t in tapes)
    assert [round(p.area, 2) for p in one(end, drawn, off).paths] == [round(400 * pi, 2)]
    assert one(end, drawn, over).paths == ()


def test_on_a_ball_a_circle_round_the_pole_has_the_area_of_its_cap() -> None:
    """2πR² (1 − cos(ρ/R)): Archimedes' hat-box theorem; about the pole, and moved from it."""
    from tests.laying.bench import ball

    for end in ("foot", "rim"):
        form = ball(75, *((-90, 60) if end == "foot" else (-60, 90)), steps=160)
        length = 75 * radians(150)
        for out in (0.0, 5.0, 19.0, 24.0):
            tape = out if end == "foot" else length - out
            band = lay_band(
                f"{GRID} once {{ paint circle at (30 deg, {tape:.9f} mm) across 40 mm }}", "from foot to rim", form
            )
            assert band.paths[0].area == pytest.approx(2 * pi * 75**2 * (1 - cos(20 / 75)), abs=0.05)
            assert band.paths[0].length == pytest.approx(2 * pi * 75 * sin(20 / 75), abs=2e-3)


def test_a_box_of_the_plane_round_the_middle() -> None:
    """A square drawn as taut lines between four places: its area, all of it and in panels."""
    corners = [there(30.0, a) for a in (10, 100, 190, 280)]
    text = "paint from (10 deg, 30 mm) taut to (100 deg, 30 mm) taut to (190 deg, 30 mm) taut to (280 deg, 30 mm)"
    square = Polygon(corners)
    assert square.area == pytest.approx(1800, abs=1e-9)
    same("foot", one("foot", text + " taut to (370 deg, 30 mm) close"), square)
    same(
        "foot",
        one("foot", text + " taut to (370 deg, 30 mm) close", "only columns 1 to 3"),
        square.intersection(sector(0, 135)),
    )


@pytest.mark.parametrize("end", ENDS)
def test_parallels_past_the_middle(end: str) -> None:
    """Of a chord, a chord of the same length, however near it passes to the middle, on both sides; of a circle, one of
    another radius, inward and outward, round the middle and not."""
    rng = np.random.default_rng(11)
    for miss in (0.0, *(10 ** rng.uniform(-6, 0.7, 7)).tolist()):
        by, far = 20.0, 20.0 + miss * rng.choice([-1, 1])
        turned, half = 140.0, float(np.degrees(np.arctan2(60.0, far)))
        out = float(np.hypot(60.0, far))
        chord = f"path o = from {at(end, out, turned - half)} taut to {at(end, out, turned + half)}"
        band = one(end, f"{chord} incise offset o by {by} mm width 1 mm incise offset o by -{by} mm width 1 mm")
        assert sum(p.length for p in band.paths) == pytest.approx(240.0, abs=1e-3)
        level = [flat(end, p.points) @ there(1.0, turned) for p in band.paths]
        assert max(min(np.abs(x - (far - by)).max(), np.abs(x - (far + by)).max()) for x in level) < 1e-3
    for out, turned, radius in seeded(12, 12):
        drawn = f"path o = circle at {at(end, out, turned)} across {2 * radius:.9f} mm"
        by = float(rng.uniform(0.1, 0.9)) * radius
        for side, wanted in (("inward", radius - by), ("outward", radius + by)):
            (path,) = one(end, f"{drawn} incise offset o {side} by {by:.9f} mm width 1 mm").paths
            assert path.length == pytest.approx(2 * pi * wanted, abs=2e-3)
            away = np.hypot(*(flat(end, path.points) - there(out, turned)).T)
            assert np.abs(away - wanted).max() < 1e-3


def test_the_middle_is_in_every_panel() -> None:
    """On a disc of eight columns and five rows a panel's verticals cross five rings, and all meet in the middle."""
    dots = f"{GRID} each crossing {{ impress dot at (0, 0) across 1 mm }}"
    for columns, verticals in (("3 to 5", 4), ("1 to 2", 3), ("8 to 1", 3)):
        band = lay_band(dots, form=FORMS["foot"], piece=f"only columns {columns}")
        assert len(band.points) == 5 * verticals + 1
        assert int(np.sum(band.points.tape < 1e-9)) == 1


def test_lines_that_vanish_are_told_of() -> None:
    """A circle of 10 mm has no place 6 mm inside its edge; a line to where it begins is none."""
    for drawn, told in (
        ("path o = circle at (1, 1) across 10 mm incise offset o inward by 6 mm width 1 mm", ["leads-nowhere"]),
        ("path o = circle at (1, 1) across 10 mm incise offset o inward by 4 mm width 1 mm", []),
        ("incise from (1, 1) taut to (1, 1) width 1 mm", ["leads-nowhere"]),
    ):
        found = [s.code for s in warnings(source(f"grid columns 8 rows 2 once {{ {drawn} }}", form=CAN))]
        assert found == told
