"""Definitions worked out by themselves, so that what is wrong with one is told though no piece uses it yet."""

from __future__ import annotations

from motif.language.messages import Messages, Problem
from motif.laying.forms import lay_form, lay_reserve
from motif.laying.paces import lay_pace
from motif.model import rules, things
from motif.model.expressions import above_zero
from motif.model.values import Env


def work_out(made: object, messages: Messages) -> None:
    """Work out what a definition of a file says without a wall: a value, a clay, a tool, a pace, a form at the stage at
    which it was measured, the box of a figure. What cannot be worked out goes to the messages. What motifs and figures
    draw shows only where they are laid."""
    try:
        match made:
            case things.FileLet():
                made.at_scale(1.0)
            case things.Clay():
                for _, stage, _ in made.shrinkages:
                    made.remaining(stage)
            case things.Tool():
                made.sizes()
            case things.Pace():
                lay_pace(made)
            case rules.Figure():
                for size in (made.width, made.height):
                    if size is not None:
                        above_zero(size, Env(1.0), "A figure's size")
            case things.Form():
                _form(made, messages)
    except Problem as problem:
        messages.tell(problem, None)


def _form(form: things.Form, messages: Messages) -> None:
    laid = lay_form(form, form.stage, form.stage_span)
    for reserve in form.reserves:
        try:
            lay_reserve(reserve, laid, Env(1.0))
        except Problem as problem:
            messages.tell(problem, reserve.span)
