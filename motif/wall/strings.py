"""The search for the shortest line between two places of the wall that goes a given way round.

Between two tapes a ≤ b, for a difference of angle Δ ≥ 0, a shortest line takes each level at most twice: were a
level met three times, the parts between could change places, at the same length but with a kink. So it
either climbs all the way, or dips below a, or rises above b, and in each case is known by Clairaut's constant c:

- climbing, the angle gained grows with c, up to c = the least radius between a and b;
- dipping, c is the radius at which the line turns; where r has a least value, at the foot, at a waist or in a
  corner, it may run along that ring for as long as it likes;
- rising is dipping with the wall upside down.

With A = ∫ √(r² − c²) dσ over the line, dA/dc = −(angle gained), so S(c) = cΔ + A is stationary where the line gains
just Δ. Wherever it gains less, S is the length of a line too: one that runs along the ring at which it turns for
the rest of the way. Hence no local condition needs checking: every candidate is a line on the wall,
and the shortest is the shortest of them.
"""

from __future__ import annotations

from motif.wall.climbs import climb, narrowest
from motif.wall.dips import dip, may_dip
from motif.wall.ends import DIP, RISE, Ends, Found


def search(ends: Ends) -> Found:
    """The shortest lines between the ends."""
    sigma, least = narrowest(ends)
    found = climb(ends, sigma, least)
    short = found.held > 0
    for kind, view in ((DIP, ends), (RISE, ends.upside_down)):
        at = may_dip(view, short)
        if at.size:
            dipped = dip(view.take(at), short[at], least[at])
            if kind == RISE:
                dipped.turn = -dipped.turn
            found.put(at, kind, dipped)
    return found
