"""The book of messages, section by section, as ``motif explain`` shows it."""

from __future__ import annotations

import re
from pathlib import Path
from textwrap import fill

from motif.language.messages import CODES

BOOK = "MESSAGES.md"

_SECTION = re.compile(r"^### ([a-z-]+)\n+(.*?)\s*(?=^###? |\Z)", re.MULTILINE | re.DOTALL)
_FENCE = re.compile(r"^```[^\n]*\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_WIDTH = 96


def sections(grammar: Path) -> dict[str, str]:
    """Code → its section, without the heading, as Markdown, in the book's order. ``grammar`` is the book's folder."""
    return dict(_SECTION.findall((grammar / BOOK).read_text(encoding="utf-8")))


def as_text(code: str, section: str) -> str:
    """A section for a terminal: paragraphs wrapped, texts of motif indented and left as they are."""
    shown = [f"{code} ({CODES[code]})"]
    section = re.sub(r"^An? \w+\.\s+", "", section)
    at = 0
    for fence in _FENCE.finditer(section):
        shown += [*_paragraphs(section[at : fence.start()]), _indented(fence[1])]
        at = fence.end()
    return "\n\n".join([*shown, *_paragraphs(section[at:])]) + "\n"


def listing(book: dict[str, str]) -> str:
    """Every code with the first sentence of its meaning."""
    widest = max(len(code) for code in book)
    return "".join(f"{code:<{widest}}  {CODES[code]:<7}  {_meaning(section)}\n" for code, section in book.items())


def _paragraphs(text: str) -> list[str]:
    found = []
    for part in re.split(r"\n\s*\n", text):
        if part.startswith("    "):
            found.append(part.rstrip())
        elif part.strip():
            found.append(fill(" ".join(part.replace("**", "").split()), _WIDTH))
    return found


def _indented(text: str) -> str:
    return "\n".join(f"    {line}".rstrip() for line in text.rstrip("\n").split("\n"))


def _meaning(section: str) -> str:
    """The first sentence behind "An error." or "A warning."."""
    sentences = re.split(r"(?<=\.)\s+", " ".join(section.split()))
    return re.split(r"(?<=[^ ]): ", sentences[1])[0].rstrip(".") + "."
