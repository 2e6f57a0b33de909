"""How fast somebody works, in numbers."""

from __future__ import annotations

from motif.language.messages import Problem
from motif.laying.piece import LaidPace, LaidRate
from motif.laying.telling import form_faults
from motif.model import things
from motif.model.expressions import above_zero, one_number
from motif.model.values import Env

_MINUTES = {"minute": 1, "hour": 60}


def lay_pace(pace: things.Pace) -> LaidPace:
    """The rates of a pace. Lengths are real clay at the stage of decorating, as a tool's are.

    Raises ``out-of-range`` for a rate that is not above 0 and for spares below 0 or above the whole."""
    env = Env(1.0)
    rates = []
    for rate in pace.rates:
        amount = 1.0
        for side in rate.amounts:
            amount *= float(above_zero(side, env, "A pace"))
        tool = None if rate.tool is None else rate.tool.name
        rates.append(LaidRate(rate.technique, tool, rate.measure, amount / _MINUTES[rate.each]))
    spare = 0.0 if pace.spare is None else one_number(pace.spare, env)
    if pace.spare is not None and not 0 <= spare <= 1:
        raise Problem(form_faults.spare_beyond_the_whole(pace.spare.span, spare))
    return LaidPace(pace.name, pace.description, tuple(rates), spare)
