"""How each technique looks in a drawing: one table, a line a technique.

Colours are the "muted" scheme of Paul Tol, *Colour Schemes*, SRON technical note SRON/EPS/TN/09-002,
issue 3.2 (2021), chosen to stay apart for colour-blind eyes; the hexadecimal values are from memory.
Dash and weight tell the techniques apart in a black-and-white print.
"""

from __future__ import annotations

from motif.language.record import record

INDIGO, CYAN, TEAL, GREEN, OLIVE = "#332288", "#88CCEE", "#44AA99", "#117733", "#999933"
ROSE, WINE, PURPLE = "#CC6677", "#882255", "#AA4499"
INK, SOFT, FAINT = "#1a1a1a", "#6b6b6b", "#b4b4b4"


@record
class Style:
    """``weight`` (mm) and ``dash`` (mm on, mm off, …; empty: unbroken) of a line; ``round`` its ends.

    ``fill`` is how solid an area worked over is drawn, from 0 to 1."""

    colour: str
    weight: float
    dash: tuple[float, ...] = ()
    round: bool = False
    fill: float = 0.15


#: In the order in which a pot is worked, which is the order of legends and totals.
STYLES: dict[str, Style] = {
    "guide": Style(SOFT, 0.2, (2.0, 1.2)),
    "impress": Style(PURPLE, 0.4, (3.0, 0.8)),
    "roulette": Style(TEAL, 0.7, (0.01, 1.5), round=True),
    "incise": Style(INDIGO, 0.35),
    "carve": Style(WINE, 0.8),
    "pierce": Style(GREEN, 0.55, fill=0.45),
    "trail": Style(CYAN, 1.3, round=True, fill=0.3),
    "attach": Style(ROSE, 0.6, (5.0, 0.9, 0.9, 0.9), fill=0.25),
    "paint": Style(OLIVE, 0.3, (1.0, 0.5), fill=0.4),
}

#: Lines that are no work: rings and verticals, patches kept free, and the line by which a gore is laid (long
#: dash and dot, as centre lines are drawn in workshops).
GRID = Style(FAINT, 0.15)
KEPT_FREE = Style(SOFT, 0.3, (1.6, 1.0, 0.4, 1.0))
MIDDLE = Style(SOFT, 0.2, (7.0, 1.0, 1.0, 1.0))

#: Colour names that a potter may write, with what a screen shows for them; after CSS Color Level 4
#: (from memory), darkened where a pale one would not show on paper.
NAMED_COLOURS: dict[str, str] = {
    "black": "#1a1a1a",
    "white": "#c4c4be",
    "grey": "#808080",
    "gray": "#808080",
    "silver": "#c0c0c0",
    "red": "#c8281e",
    "crimson": "#dc143c",
    "maroon": "#800000",
    "brown": "#8b5a2b",
    "chocolate": "#d2691e",
    "sienna": "#a0522d",
    "tan": "#d2b48c",
    "beige": "#cdbb91",
    "ivory": "#cfc6a0",
    "cream": "#d6c493",
    "orange": "#e6861a",
    "gold": "#d4a017",
    "amber": "#e0a020",
    "yellow": "#e6c81e",
    "ochre": "#c8862a",
    "olive": "#808000",
    "green": "#2e7d32",
    "celadon": "#ace1af",
    "teal": "#008080",
    "turquoise": "#40b5ad",
    "cyan": "#30b4c8",
    "blue": "#1e50b4",
    "navy": "#1a2a6c",
    "cobalt": "#1f47a8",
    "indigo": "#4b0082",
    "purple": "#7b2d8b",
    "violet": "#8f5fbf",
    "pink": "#e89ab0",
    "rust": "#a8431e",
    "terracotta": "#c5653f",
}


def style(technique: str) -> Style:
    return STYLES[technique]


def technique_rank(technique: str) -> int:
    """The place of a technique in the order of work."""
    return list(STYLES).index(technique)


def colour_of(technique: str, colour: str | None) -> str:
    """What a mark is drawn in: the colour it names where we know that name, else its technique's.

    ``cobalt blue`` is known by its last word. Nothing of the text itself reaches the drawing."""
    words = (colour or "").casefold().split()
    for name in (" ".join(words), *reversed(words)):
        if name in NAMED_COLOURS:
            return NAMED_COLOURS[name]
    return STYLES[technique].colour
