"""Type for printed sheets: two faces that are embedded, their widths, and what to do with letters they lack.

The faces are Bitstream Vera Sans and its bold, which come with reportlab under a free licence.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import Any

from motif.outputs.pen import SERIF

PLAIN, BOLD = "Vera", "VeraBd"

#: An arrow has no letter in the faces and is drawn; it is as wide as this part of the size of type.
ARROW = "\N{RIGHTWARDS ARROW}"
ARROW_WIDTH = 0.9

#: Signs that the faces lack, by others that read the same.
_SAME = {
    "\N{PRIME}": "'",
    "\N{DOUBLE PRIME}": '"',
    "\N{HYPHEN}": "-",
    "\N{NON-BREAKING HYPHEN}": "-",
    "\N{NARROW NO-BREAK SPACE}": " ",
    "\N{THIN SPACE}": " ",
}


def face_name(family: str) -> str:
    """The face for a ``font_family`` of the pen: titles, which drawings set in serifs, are bold here."""
    return BOLD if family == SERIF else PLAIN


@lru_cache(maxsize=2)
def face(name: str) -> Any:
    """reportlab's face of that name, known to it from then on."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    made = TTFont(name, f"{name}.ttf")
    pdfmetrics.registerFont(made)
    return made


@lru_cache(maxsize=4096)
def printable(words: str, name: str = PLAIN) -> str:
    """``words`` with letters of the face only, and arrows.

    A letter with a mark that the face lacks loses the mark (ő becomes o), white space becomes a space, and
    any other letter stands as its number in Unicode, as in [U+8336]: never an empty box."""
    if words.isascii() and words.isprintable():
        return words
    known = face(name).face.charToGlyph
    out: list[str] = []
    for letter in words:
        if letter == ARROW or (ord(letter) in known and letter.isprintable()):
            out.append(letter)
        elif letter.isspace():
            out.append(" ")
        elif letter in _SAME:
            out.append(_SAME[letter])
        elif unicodedata.category(letter) not in ("Cc", "Cf", "Mn"):
            plain = [c for c in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(c)]
            if plain and all(ord(c) in known for c in plain):
                out += plain
            else:
                out.append(f"[U+{ord(letter):04X}]")
    return "".join(out)


@lru_cache(maxsize=4096)
def width(words: str, size: float, name: str = PLAIN) -> float:
    """How wide printable ``words`` are, in the unit of ``size``."""
    arrows = words.count(ARROW)
    return float(face(name).stringWidth(words.replace(ARROW, ""), size)) + arrows * ARROW_WIDTH * size


def fitted(words: str, wide: float, size: float, name: str = PLAIN) -> str:
    """As much of ``words`` as ``wide`` has room for, with an ellipsis where something is left out."""
    words = printable(words, name)
    if width(words, size, name) <= wide:
        return words
    while words and width(words + "…", size, name) > wide:
        words = words[:-1]
    return words + "…"


def lines_of(words: str, wide: float, size: float, name: str = PLAIN) -> list[str]:
    """``words`` in lines no wider than ``wide``; a word wider than that is broken."""
    lines: list[str] = []
    line = ""
    for word in printable(words, name).split(" "):
        longer = f"{line} {word}" if line else word
        if width(longer, size, name) <= wide:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while width(line, size, name) > wide and len(line) > 1:
            fits = max((k for k in range(1, len(line)) if width(line[:k], size, name) <= wide), default=1)
            lines.append(line[:fits])
            line = line[fits:]
    return [*lines, line]
