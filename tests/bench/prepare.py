"""What ``motif prepare`` costs with all it writes, and which back end takes how much of that.

``python -m tests.bench.prepare [RUNS]``: the examples, and a moon jar with twenty thousand elements (buttons
with an outline, stitched lines and carved ones); seconds, the most memory held, and the seconds of processor time
of every back end. The targets are 1.5 s for an example, 15 s and 1 GB for the large piece, on a quiet machine.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path
from statistics import median

import motif
from motif.outputs.backends import BACKENDS
from motif.outputs.once import one_run
from tests.bench.child import ROOT, run

LARGE = """
take moon-jar from "forms/moon-jar"
take small-loop from "tools/carving"
take stitch-wheel from "tools/wheels"
tool button { wide 2 mm tall 2.5 mm }
motif studded {
  grid columns 100 rows 67
  each cell {
    attach button at (1/2, 1/2)
    carve from (0, 0) line to (1, 1) depth 0.5 mm with small-loop
    carve from (0, 1) line to (1/2, 1/2) depth 0.5 mm with small-loop
    incise from (1/2, 0) line to (1, 1/2) depth 0.5 mm
  }
}
piece studded-jar { form moon-jar band studded from foot + 20 mm to rim - 20 mm }
"""
EXAMPLES = ("tufted-bottle", "ringed-moon-jar", "pointed-vase")
RUNS = 3


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else RUNS
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        large = folder / "large.motif"
        large.write_text(LARGE, encoding="utf-8")
        for file in (*(ROOT / "examples" / f"{name}.motif" for name in EXAMPLES), large):
            args = ["-m", "motif", "prepare", str(file), "--out", str(folder / "out"), "--force"]
            costs = [run(args, folder / "byte-code") for _ in range(runs + 1)][1:]  # the first one writes byte code
            wall, cpu = median(c.wall for c in costs), median(c.cpu for c in costs)
            print(f"{file.stem}: {wall:.2f} s by the clock, {cpu:.2f} s cpu, {max(c.peak for c in costs) / 1e6:.0f} MB")
            _parts(file)


def _parts(file: Path) -> None:
    """What every back end takes in one process, in their order, so that what they share is counted once."""
    document = motif.load(file)
    begun = time.process_time()
    piece = document.lay(document.pieces[0])
    assert piece is not None, document.messages.sorted()
    elements = sum(len(band.points) + len(band.paths) for band in piece.bands)
    parts = [f"laying {elements} elements {time.process_time() - begun:.2f}"]
    with one_run():
        for one in BACKENDS:
            begun = time.process_time()
            one.run(piece)
            parts.append(f"{one.file} {time.process_time() - begun:.2f}")
    print("    " + ", ".join(parts))


if __name__ == "__main__":
    main()
