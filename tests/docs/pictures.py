"""Makes the pictures of the reference and of the README that no command writes by itself:
``python -m tests.docs.pictures`` writes those that are out of date."""

from __future__ import annotations

import sys

from motif.api import loads
from motif.language.messages import Message
from motif.laying.piece import LaidPiece
from tests.docs import strip
from tests.docs.blocks import PICTURES, Block, blocks, whole
from tests.docs.views import draw


def bench() -> str:
    """The text of the block that the others build on."""
    (found,) = [b.text for b in blocks() if b.frame == "bench"]
    return found


def laid(block: Block) -> tuple[list[LaidPiece], list[Message]]:
    """The pieces of a block's whole text, as far as they can be laid, and all messages."""
    document = loads(whole(block, bench()), f"block at line {block.line}")
    pieces = [document.lay(name) for name in document.pieces]
    return [p for p in pieces if p is not None], document.messages.sorted()


def picture(block: Block) -> str:
    """The SVG of a block's last piece. Raises ``ValueError`` with the messages where it cannot be laid."""
    pieces, messages = laid(block)
    if not pieces:
        raise ValueError("; ".join(f"{m.code}: {m.text}" for m in messages))
    usual = "cell" if block.frame == "statements" else "wall"
    return draw(pieces[-1], block.option("view", usual), labels=block.option("labels", "no") == "yes")


def wanted() -> dict[str, Block]:
    """Name of a picture → the block it shows."""
    return {b.picture: b for b in blocks() if b.picture is not None}


def main() -> int:
    """Write every picture that differs, and take away those that no block has. Returns an exit status."""
    PICTURES.mkdir(exist_ok=True)
    status = 0
    for name, block in wanted().items():
        path = PICTURES / f"{name}.svg"
        try:
            text = picture(block)
        except ValueError as error:
            print(f"{name} (line {block.line}): {error}", file=sys.stderr)
            status = 1
            continue
        if not path.is_file() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8", newline="\n")
            print(f"{name}: {len(text.encode()) / 1000:.1f} kB")
    if not strip.PATH.is_file() or strip.PATH.read_text(encoding="utf-8") != strip.girth_strip():
        strip.PATH.write_text(strip.girth_strip(), encoding="utf-8", newline="\n")
        print(f"{strip.PATH.name}: made anew")
    for path in sorted(PICTURES.glob("*.svg")):
        if path.stem not in wanted():
            path.unlink()
            print(f"{path.stem}: taken away")
    return status


if __name__ == "__main__":
    sys.exit(main())
