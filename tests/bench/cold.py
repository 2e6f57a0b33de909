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

from tests.bench.child import Cost, run

EXAMPLE = "examples/tufted-bottle.motif"
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
        print(f"  {what:4}  {1000 * ours:7.0f} ms  against {1000 * theirs:5.0f} ms  ratio {ours / theirs:.2f}")
    ratios: list[float] = [_cpu_ratio(*pair) for pair in pairs]
    print(f"  cpu ratios of single pairs from {min(ratios):.2f} to {max(ratios):.2f}, median {median(ratios):.2f}")


def _cpu_ratio(ours: Cost, theirs: Cost) -> float:
    return ours.cpu / theirs.cpu


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else RUNS
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        compare("motif check", ["-m", "motif", "check", EXAMPLE], "import numpy, lark", 1.8, runs, folder)
        compare(
            "motif prepare",
            ["-m", "motif", "prepare", EXAMPLE, "--out", str(folder / "out")],
            "import numpy, lark, shapely, svgwrite",
            4.0,
            runs,
            folder,
        )


if __name__ == "__main__":
    main()
