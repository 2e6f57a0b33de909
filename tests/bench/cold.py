"""Cold starts against the bare import of the libraries that the work cannot do without.

``python -m tests.bench.cold [RUNS]``: the program and its yardstick take turns, so that a busy machine
slows both; medians are compared. ``motif check`` should stay under 1.8 times its yardstick, ``motif
prepare`` under 4 times.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from statistics import median

from tests.bench.child import run

EXAMPLES = ("examples/ringed-vase.motif", "examples/tufted-bottle.motif")
RUNS = 15


def compare(name: str, args: Sequence[str], yardstick: str, target: float, runs: int, folder: Path) -> None:
    """Print the medians of a command and of its yardstick, and how many times as long the command takes."""
    bare = ["-c", yardstick]
    for first in (args, bare):  # which writes byte code
        run(first, folder)
    pairs = [(run(args, folder), run(bare, folder)) for _ in range(runs)]
    print(f"{name}  (yardstick: {yardstick}; target {target})")
    for what in ("wall", "cpu"):
        ours, theirs = (median(getattr(cost, what) for cost in costs) for costs in zip(*pairs, strict=True))
        print(f"  {what:4} {1000 * ours:6.0f} ms against {1000 * theirs:4.0f} ms: {ours / theirs:.2f}")
    ratios = [ours.cpu / theirs.cpu for ours, theirs in pairs]
    print(f"  cpu, pair by pair: {min(ratios):.2f} to {max(ratios):.2f}, median {median(ratios):.2f}")


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else RUNS
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        for example in EXAMPLES:
            check = ["-m", "motif", "check", example]
            compare(f"motif check {example}", check, "import numpy, lark", 1.8, runs, folder)
            prepare = ["-m", "motif", "prepare", example, "--out", str(folder / "out")]
            compare(f"motif prepare {example}", prepare, "import numpy, lark, shapely, svgwrite", 4.0, runs, folder)


if __name__ == "__main__":
    main()
