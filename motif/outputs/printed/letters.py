"""Type for printed sheets: two faces that are embedded, their widths, and what to do with letters they lack.

The faces are DejaVu Sans and its bold, which lie in ``faces/`` with their licence: Latin, Greek, Cyrillic and
more, so that a potter's own words are printed as they were written.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from motif.outputs.pen import SERIF

PLAIN, BOLD = "DejaVuSans", "DejaVuSans-Bold"


def face_name(family: str) -> str:
    """The face for a ``font_family`` of the pen: titles, which drawings set in serifs, are bold here."""
    return BOLD if family == SERIF else PLAIN


@lru_cache(maxsize=2)
def face(name: str) -> Any:
    """reportlab's face of that name, known to it from then on."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    made = TTFont(name, str(Path(__file__).parent / "faces" / f"{name}.ttf"))
    pdfmetrics.registerFont(made)
    return made


@lru_cache(maxsize=4096)
def printable(words: str, name: str = PLAIN) -> str:
    """``words`` with letters of the face only.

    A letter that the face lacks becomes the plain ones it is made of (Ⓐ becomes A), white space becomes a space, and
    any other letter stands as its number in Unicode, as in [U+8336]: never an empty box."""
    if words.isascii() and words.isprintable():
        return words
    known = face(name).face.charToGlyph
    out: list[str] = []
    for letter in words:
        if ord(letter) in known and letter.isprintable():
            out.append(letter)
        elif letter.isspace():
            out.append(" ")
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
    try:
        # What reportlab does letter by letter, in one go: widths are thousandths of the size.
        return float(0.001 * size * sum(map(face(name).face.charWidths.__getitem__, map(ord, words))))
    except KeyError:  # a letter that the face lacks is as wide as its empty box
        return float(face(name).stringWidth(words, size))


def fitted(words: str, wide: float, size: float, name: str = PLAIN) -> str:
    """As much of ``words`` as ``wide`` has room for, with an ellipsis where something is left out."""
    words = printable(words, name)
    if width(words, size, name) <= wide:
        return words
    while words and width(words + "…", size, name) > wide:
        words = words[:-1]
    return words + "…"


def first_that_fits(candidates: Sequence[str], wide: float, size: float, name: str = PLAIN) -> str:
    """The first of the words for which ``wide`` has room; none where there is none."""
    return next((words for words in candidates if width(printable(words, name), size, name) <= wide), "")


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
