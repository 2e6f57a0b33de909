"""What is doubtful in a form and its reserves before anything is laid on them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import pi

import numpy as np

from motif.language.kinds import LENGTH_STEP
from motif.language.messages import Message
from motif.laying.forms import Patch
from motif.laying.piece import LaidForm
from motif.laying.telling import form_faults
from motif.model import things

#: a curve may be so much wider or narrower than the stations beside it, as a part (common practice, no source:
#: a tape laid round a pot is out by less)
_STRAYS = 0.03
#: levels at which two reserves are compared
_LEVELS = 65


def strays(form: things.Form, laid: LaidForm) -> Iterator[Message]:
    """``curve-strays``: where a smooth profile swings out or in between two stations, so that the pot is taken to be
    wider or narrower there than any reading beside it says."""
    if not form.smooth:
        return
    for k, (below, above) in enumerate(zip(laid.stations, laid.stations[1:], strict=False)):
        least, most = sorted((below[2], above[2]))
        beside = (2 * pi * below[2], 2 * pi * above[2])
        between = (form.stations[k].span, form.stations[k + 1].span)
        tape, radius = laid.wall.narrowest(below[0], above[0])
        if radius < least * (1 - _STRAYS):
            yield form_faults.curve_strays(*between, tape, 2 * pi * radius, beside)
        tape, radius = laid.wall.widest(below[0], above[0])
        if radius > most * (1 + _STRAYS):
            yield form_faults.curve_strays(*between, tape, 2 * pi * radius, beside)


def overlaps(patches: Sequence[Patch]) -> Iterator[Message]:
    """``reserve-overlap``: reserves that cover one another in part, or that are wider than the wall goes round."""
    for patch in patches:
        tape, radius = patch.wall.narrowest(patch.laid.from_tape, patch.laid.to_tape)
        if patch.laid.wide > 2 * pi * radius + LENGTH_STEP:
            yield form_faults.reserve_meets_itself(patch.span, patch.laid.name, patch.laid.wide, tape, 2 * pi * radius)
    for one, other in combinations(patches, 2):
        low = max(one.laid.from_tape, other.laid.from_tape)
        high = min(one.laid.to_tape, other.laid.to_tape)
        if high - low <= LENGTH_STEP:
            continue
        tapes = np.linspace(low, high, _LEVELS)
        apart = abs((other.laid.facing - one.laid.facing + pi) % (2 * pi) - pi)
        over = (one.laid.wide + other.laid.wide) / 2 - apart * one.wall.radius(tapes)
        at = int(np.argmax(over.round(6)))
        if over[at] > LENGTH_STEP:
            yield form_faults.reserves_overlap(
                other.span, one.span, one.laid.name, other.laid.name, float(over[at]), float(tapes[at])
            )
