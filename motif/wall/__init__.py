"""The geometry of a measured round wall: a surface of revolution, its tape, flat patterns, taut lines.

Knows nothing of motifs. numpy in, numpy out: lengths in mm, angles in radians, arrays of any shape.
"""

from motif.wall.charts import fewest_gores, gore_misfit, polyconic, rollout
from motif.wall.compass import set_off, travel
from motif.wall.cones import ConeSheet, cone_misfit, fewest_cones
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
