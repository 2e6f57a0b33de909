"""Words that potters and other languages use, and the words of this language that say the same.

A word may mean several; the one that fits where it stands is meant. A meaning may be of several words.
"""

from __future__ import annotations

from functools import cache

#: What is meant → the other words for it.
_OTHER_WORDS: dict[str, str] = {
    # units
    "mm": "millimetre millimetres millimeter millimeters mms",
    "cm": "centimetre centimetres centimeter centimeters cms",
    "in": "inch inches ins",
    "deg": "degree degrees degs",
    "turn": "turns revolution revolutions",
    "ml": "millilitre millilitres milliliter milliliters mls",
    "tsp": "teaspoon teaspoons",
    "tbsp": "tablespoon tablespoons",
    "%": "percent",
    # techniques
    "guide": "mark sketch pencil",
    "incise": "scratch engrave score etch sgraffito scribe",
    "carve": "cut gouge groove chisel",
    "impress": "stamp press print push indent",
    "pierce": "hole perforate drill punch",
    "roulette": "roll stitch wheel",
    "trail": "slip squeeze pipe",
    "attach": "glue stick apply add sprig put place",
    "paint": "glaze brush stain dab",
    # sizes
    "across": "diameter dia diam ø size big large",
    "around": "circumference girth perimeter",
    "wide": "diameter dia diam ø size round width",
    "tall": "high height long length",
    "deep": "depth",
    "cuts": "width",
    "depth": "deep",
    "width": "wide thick thickness",
    "pitch": "spacing spaced",
    "thickness": "thick wall",
    "tilted": "turned leaning angle angled rotate",
    "with": "using",
    # places on the wall
    "rim": "top lip mouth",
    "foot": "bottom base",
    "belly": "waist middle widest",
    # the grid and its places
    "columns": "cols divisions",
    "near": "about approximately approx roughly circa",
    "each": "every all per",
    "cell": "square squares tile tiles",
    "crossing": "intersection intersections node nodes",
    "ring": "circles circle line",
    # choices
    "otherwise": "else",
    "otherwise if": "elif elsif elseif",
    "=": "is equals",
    ",": "and",
    "where": "when if",
    "if": "when",
    # drawing
    "mirrored": "mirror flip flipped",
    "rotated": "rotate turned",
    "left-right": "horizontally horizontal sideways",
    "top-bottom": "vertically upside-down",
    "straight": "lines angular polygon",
    "smooth": "curved curve round spline",
    # what begins a definition or a part of one
    "take": "import include use using require load",
    "form": "pot vessel vase bowl on",
    "motif": "pattern design decoration",
    "piece": "project job work",
    "figure": "drawing symbol shape",
    "let": "var const set define def variable",
    "given": "param parameter option input",
    "band": "zone stripe strip layer",
    "reserve": "keep leave",
    "title": "name",
    "by": "author x",
    "note": "comment remark rem",
    "clay": "body",
    "only columns": "panels panel",
    "starting at": "start begin beginning",
}


@cache
def foreign_words() -> dict[str, tuple[str, ...]]:
    """Each word that is not of the language here → what may be meant, in the order to try."""
    found: dict[str, tuple[str, ...]] = {}
    for meant, words in _OTHER_WORDS.items():
        for word in words.split():
            found[word] = (*found.get(word, ()), meant)
    return found


#: What potters call places in a cell → the point.
CORNERS: dict[tuple[str, ...], str] = {
    **{(word,): "(1/2, 1/2)" for word in ("center", "centre", "middle")},
    **{
        (up, across): f"({a}, {b})"
        for words, b in ((("bottom", "lower"), 0), (("top", "upper"), 1))
        for up in words
        for across, a in (("left", 0), ("right", 1))
    },
}

#: Words that are colours and nothing else.
COLOURS = frozenset(
    {
        *("black", "white", "grey", "gray", "red", "blue", "green", "yellow", "brown", "orange", "purple", "pink"),
        *("turquoise", "cream", "ochre", "cobalt", "celadon", "tenmoku", "rust", "sand", "ivory"),
    }
)

#: Numbers in words.
NUMBERS: dict[str, str] = {
    **{
        word: str(n)
        for n, word in enumerate(
            ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"], 1
        )
    },
    "half": "1/2",
    "third": "1/3",
    "quarter": "1/4",
}
