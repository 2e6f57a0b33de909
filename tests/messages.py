"""Texts with the messages they give, kept in files that read as one: ``tests/cases/*.txt``, ``tests/cases/beginner``.

A block of a ``.txt`` file is a heading, a text, and below the line of its culprit what is underlined there::

    == decimal_comma, in a cell
    carve p depth 2,5 mm
                  ^^^
    syntax: A decimal number is written with a point, not with a comma.
    → Write '2.5'.

``^^^`` is the culprit (``|`` where it takes no room), ``---`` another place with its words. A culprit of several lines
is underlined in its first. ``in a cell`` stands within ``each cell { … }`` of a motif, which is left out here.

After a change of words, ``python -m tests.messages`` writes what the program says now; read every line that differs.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import motif
from motif.language.messages import Message, Messages
from motif.language.parser import parse
from motif.language.source import Source, Span
from motif.outputs import report

CASES = Path(__file__).parent / "cases"
BEGINNER = CASES / "beginner"

_READ_FRAME = ("motif m { grid columns 6 rows 4 each cell {\n", "\n} }")
_LAID_FRAME = (
    "form can { thickness 6 mm profile straight { at 0 mm across 60 mm at 80 mm across 60 mm } }\n"
    "motif m { grid columns 6 rows 4 each cell {\n",
    "\n} }\npiece p { form can band m }\n",
)
_MARKS = re.compile(r" *(?:\^+|\||-+ .*)")
_WORDS = re.compile(r"[a-z-]+: |→ ")


@dataclass(frozen=True)
class Block:
    """One text of a file and what it gives. ``about`` is what the heading says it shows: a slip or a code."""

    about: str
    in_a_cell: bool
    text: str
    expected: str
    say: Callable[[str], list[Message]]
    frame: tuple[str, str]

    @property
    def whole(self) -> str:
        return self.text.join(self.frame) if self.in_a_cell else self.text

    def messages(self) -> list[Message]:
        return self.say(self.whole)

    def shown(self) -> str:
        """The block as it should stand, by what the program says now."""
        before = len(self.frame[0]) if self.in_a_cell else 0
        return _shown(self.text, self.messages(), before)

    def __str__(self) -> str:
        return f"{self.about}: {self.text.splitlines()[0] if self.text else ''}"


def read_only(text: str) -> list[Message]:
    """What is said of a text when it is read, before any name in it is looked up."""
    messages = Messages()
    parse(Source("case", text), messages)
    return messages.sorted()


def lay_all(text: str) -> list[Message]:
    """What is said of a text up to its laid pieces."""
    document = motif.loads(text, "case")
    for name in document.pieces:
        document.lay(name)
    return document.messages.sorted()


#: The files of blocks and how far their texts are taken.
FILES: dict[str, tuple[Callable[[str], list[Message]], tuple[str, str]]] = {
    "reading.txt": (read_only, _READ_FRAME),
    "laying.txt": (lay_all, _LAID_FRAME),
}


def blocks(file: str) -> list[Block]:
    """The blocks of a file, in order."""
    say, frame = FILES[file]
    found = []
    for part in re.split(r"^== ", (CASES / file).read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]:
        heading, _, body = part.rstrip("\n").partition("\n")
        about, _, where = heading.partition(", ")
        lines = [s for s in body.split("\n") if not _MARKS.fullmatch(s) and not _WORDS.match(s)]
        found.append(Block(about, where == "in a cell", "\n".join(lines), body, say, frame))
    return found


def _shown(text: str, messages: list[Message], before: int) -> str:
    places: list[tuple[Span, str]] = []
    for m in messages:
        assert m.span is not None
        places += [(m.span, ""), *m.others]
    out, start = [], 0
    for line in text.split("\n"):
        out.append(line)
        for span, words in sorted(places, key=lambda p: (p[0].start, p[1])):
            first, last = span.start - before - start, span.end - before - start
            if 0 <= first <= len(line):
                length = min(last, len(line)) - first
                under = "|" if span.start == span.end else ("-" if words else "^") * max(length, 1)
                out.append(" " * first + under + (f" {words}" if words else ""))
        start += len(line) + 1
    for m in messages:
        out += [f"{m.code}: {m.text}", *([f"→ {m.advice}"] if m.advice else [])]
    return "\n".join(out)


def beginners() -> list[Path]:
    return sorted(BEGINNER.glob("*.motif"))


def told(path: Path) -> str:
    """What a beginner sees on the terminal for a text."""
    document = motif.loads(path.read_text(encoding="utf-8"), "cup.motif")
    for name in document.pieces:
        document.lay(name)
    return report.to_terminal(document.messages.sorted(), width=110, colour=False)


def main() -> None:
    for file in FILES:
        parts = [f"== {b.about}{', in a cell' if b.in_a_cell else ''}\n{b.shown()}\n" for b in blocks(file)]
        (CASES / file).write_text("\n".join(parts), encoding="utf-8", newline="\n")
    for path in beginners():
        path.with_suffix(".txt").write_text(told(path), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
