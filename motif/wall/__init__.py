"""The geometry of a measured round wall: a surface of revolution, its tape, flat patterns, taut lines.

Knows nothing of motifs, and needs numpy only. numpy in, numpy out: lengths in mm, angles in radians, arrays of any
shapes that go together. A place on the wall is an angle, growing to the right as you look at the wall from outside,
and a tape, the distance up the wall from the foot.

A jar through five measured stations, with a corner where the shoulder begins:

>>> from math import pi
>>> from motif.wall import Station, build_wall, fewest_gores, gore_misfit, set_off, taut
>>> stations = [Station(0, 42), Station(40, 61), Station(95, 75), Station(150, 59, corner=True), Station(182, 48)]
>>> jar = build_wall(stations, smooth=True)
>>> round(jar.length, 1), round(float(jar.radius(jar.belly)), 1), round(jar.volume / 1e6, 2)
(193.6, 75.1, 2.33)

The shortest line from the foot to the shoulder, a third of the way round, and the bearing it sets out at:

>>> line = taut(jar, 0.0, 10.0, 2 * pi / 3, 150.0)
>>> round(float(line.length), 2), round(float(line.leaving), 4)
(193.73, 0.393)

Going that way, that far, leads there again; and the line as places on the wall, a chord from each to the next:

>>> angle, tape = set_off(jar, 0.0, 10.0, line.leaving, line.length)
>>> abs(float(angle) - 2 * pi / 3) < 1e-8, abs(float(tape) - 150) < 1e-6
(True, True)
>>> angles, tapes, bearings = line.polyline(0, chord=0.05)

How many paper gores lie on it to within half a millimetre, and how well:

>>> count = fewest_gores(jar, 0.0, jar.length, 0.5)
>>> count, gore_misfit(jar, pi / count, 0.0, jar.length) <= 0.5
(30, True)
"""

from motif.wall.charts import fewest_gores, gore_misfit, polyconic, rollout
from motif.wall.compass import set_off, travel
from motif.wall.cones import ConeSheet, cone_misfit, cones_needed, fewest_cones
from motif.wall.lifts import lifts, normal_curvature
from motif.wall.profile import ProfileError, Station, build_wall
from motif.wall.surface import Wall
from motif.wall.taut import TautLines, bearing_and_distance, taut

__all__ = [
    "ConeSheet",
    "ProfileError",
    "Station",
    "TautLines",
    "Wall",
    "bearing_and_distance",
    "build_wall",
    "cone_misfit",
    "cones_needed",
    "fewest_cones",
    "fewest_gores",
    "gore_misfit",
    "lifts",
    "normal_curvature",
    "polyconic",
    "rollout",
    "set_off",
    "taut",
    "travel",
]
