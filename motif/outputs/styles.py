"""How each technique looks in a drawing: one table, a line a technique.

Colours are the "muted" scheme of Paul Tol, *Colour Schemes*, SRON technical note SRON/EPS/TN/09-002,
issue 3.2 (2021), chosen to stay apart for colour-blind eyes; the hexadecimal values are from memory.
Dash and weight tell the techniques apart in a black-and-white print.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from motif.language.record import changed, record

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


#: Colours for what names none that is known, beside the technique's own.
_SPARE = (INDIGO, WINE, GREEN, PURPLE, TEAL, ROSE, CYAN, OLIVE)
#: What words beside a colour's name make of it: so much lighter, or darker.
_SHADES = {"pale": 0.45, "light": 0.45, "dark": -0.35, "deep": -0.35}
#: How solid areas of a technique's second, third … colour are, as a part of its own.
_SOLID = (1.0, 0.5, 1.5, 0.75, 1.25)

#: How the works of a piece look, by technique and colour.
Looks = Mapping[tuple[str, str | None], Style]


def looks(made: Iterable[tuple[str, str | None]]) -> Looks:
    """The styles of all that is made on a piece, by technique and colour, no two alike.

    A colour is drawn as what it names where that name is known, else as a colour that the technique has not used yet.
    The first colour of a technique, by name, has the technique's own dash and the others each another, and areas
    more or less solid, since a black-and-white print has no colours. Nothing of the text itself reaches the drawing."""
    found: dict[tuple[str, str | None], Style] = {}
    every = set(made)
    for technique, own in STYLES.items():
        colours = sorted((c for t, c in every if t == technique), key=lambda c: (c is not None, c or ""))
        tints = [own.colour if c is None else _named(c) for c in colours]
        spare = iter([c for c in (own.colour, *_SPARE) if c not in tints])
        for k, (colour, tint) in enumerate(zip(colours, tints, strict=True)):
            drawn = next(spare, own.colour) if tint is None or tint in tints[:k] else tint
            solid = min(own.fill * _SOLID[k % len(_SOLID)], 1.0)
            found[technique, colour] = changed(own, colour=drawn, dash=_dash(own, k), fill=solid)
    return found


def _dash(style: Style, k: int) -> tuple[float, ...]:
    """The dash of a technique's ``k``-th colour, from 0: a long stroke with more and more short ones between."""
    if k == 0:
        return style.dash
    gap = 0.6 + style.weight * (2.0 if style.round else 1.0)
    return (4.0 + 4.0 * style.weight, gap) + (0.6 + style.weight, gap) * (k - 1)


def _named(colour: str) -> str | None:
    """What a screen shows for a colour: ``cobalt blue`` is known by its last word; None for a name not known."""
    words = colour.casefold().split()
    name = next((n for n in (" ".join(words), *reversed(words)) if n in NAMED_COLOURS), None)
    if name is None:
        return None
    return _shaded(NAMED_COLOURS[name], sum(_SHADES.get(word, 0.0) for word in words))


def _shaded(colour: str, part: float) -> str:
    """A colour mixed with so much white, or, below 0, black."""
    part, other = min(abs(part), 0.9), 255 if part > 0 else 0
    parts = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{round(p + (other - p) * part):02x}" for p in parts)
