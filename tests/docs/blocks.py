"""The examples of the reference: every fenced block, and the whole text that it stands for.

The words behind the fence's ``motif`` say what a block is:

======================  ==============================================================================
(nothing)               a whole file
``bench``               the tools and forms that the other blocks may use, once in the reference
``definitions``         definitions beside the bench; without a piece its last motif is laid on the drum,
                        without a motif its last form is shown
``grid``                a grid and no more; every cell gets a painted tile
``rules``               rules of a motif, eight columns by three rows on the drum
``statements``          statements of ``each cell`` in such a motif
``wrong CODE``          a block that must give the message CODE; before one of the words above
======================  ==============================================================================

``on=FORM`` lays it on another form of the bench; ``view=…`` says how its picture shows it (see ``views``).
A picture belongs to the block right above it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
REFERENCE = ROOT / "grammar" / "LANGUAGE.md"
PICTURES = ROOT / "grammar" / "pictures"

FRAMES = ("", "bench", "definitions", "grid", "rules", "statements")
SHOWN = "shown"

_BLOCK = re.compile(
    r"^```motif(?P<info>[^\n]*)\n(?P<text>.*?)^```\n(?:\n!\[[^\]]*\]\(pictures/(?P<picture>[a-z0-9-]+)\.svg\))?",
    re.MULTILINE | re.DOTALL,
)
_DEFINED = r"^\s*{}\s+([\w-]+)"
_TILE = "each cell { paint rectangle from (1/10, 1/10) to (9/10, 9/10) }"


@dataclass(frozen=True)
class Block:
    """One block. ``line`` is that of its fence; ``wrong`` the code it must give, if any."""

    line: int
    frame: str
    wrong: str | None
    options: tuple[tuple[str, str], ...]
    text: str
    picture: str | None

    def option(self, name: str, default: str) -> str:
        return dict(self.options).get(name, default)

    def __str__(self) -> str:
        return self.picture or f"line-{self.line}"


def blocks() -> list[Block]:
    """All blocks of the reference, in order."""
    text = REFERENCE.read_text(encoding="utf-8")
    return [_block(m, text.count("\n", 0, m.start()) + 1) for m in _BLOCK.finditer(text)]


def _block(found: re.Match[str], line: int) -> Block:
    words = found["info"].split()
    options = tuple((name, value) for name, sign, value in (w.partition("=") for w in words) if sign)
    plain = [w for w in words if "=" not in w]
    wrong = None
    if plain[:1] == ["wrong"]:
        wrong, plain = plain[1], plain[2:]
    frame = " ".join(plain)
    if frame not in FRAMES:
        raise ValueError(f"line {line}: no frame is called {frame!r}")
    return Block(line, frame, wrong, options, found["text"], found["picture"])


def whole(block: Block, bench: str) -> str:
    """The complete text that a block stands for; its piece, where the frame makes one, is called ``shown``."""
    on = block.option("on", "drum")
    match block.frame:
        case "" | "bench":
            return block.text
        case "definitions":
            return bench + block.text + _shown(block.text, on)
        case "grid":
            motif = f"motif {SHOWN}-motif {{\n{block.text}{_TILE}\n}}\n"
        case "rules":
            motif = f"motif {SHOWN}-motif {{ grid columns 8 rows 3\n{block.text}}}\n"
        case _:
            motif = f"motif {SHOWN}-motif {{ grid columns 8 rows 3 each cell {{\n{block.text}}} }}\n"
    return bench + motif + _piece(f"form {on} band {SHOWN}-motif")


def _shown(text: str, on: str) -> str:
    """A piece for definitions that have none: their last motif, or their last form bare."""
    if re.search(_DEFINED.format("piece"), text, re.MULTILINE):
        return ""
    motifs = re.findall(_DEFINED.format("motif"), text, re.MULTILINE)
    forms = re.findall(_DEFINED.format("form"), text, re.MULTILINE)
    if motifs:
        return _piece(f"form {on} band {motifs[-1]}")
    return _piece(f"form {forms[-1]}") if forms else ""


def _piece(items: str) -> str:
    return f"piece {SHOWN} {{ {items} }}\n"
