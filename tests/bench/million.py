"""How the cost of a piece grows with its marks.

``python -m tests.bench.million [RUNS]``: ``motif counts`` of a cylinder with a dot in every cell, from one
cell to a thousand by a thousand: seconds, the most memory held, and what every further dot costs.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from statistics import median

from tests.bench.child import Cost, run

TEXT = """
form cylinder {{ profile straight {{ at 0 mm around 4 mm * {n}  at 4 mm * {n} around 4 mm * {n} }} }}
motif dotted {{ grid columns {n} rows {n} each cell {{ paint dot at (1/2, 1/2) }} }}
piece sprinkled {{ form cylinder band dotted }}
"""
SIDES = (1, 100, 316, 1000)
RUNS = 3


def measure(side: int, runs: int, folder: Path) -> Cost:
    """The median cost of ``side`` by ``side`` dots."""
    file = folder / f"{side}.motif"
    file.write_text(TEXT.format(n=side), encoding="utf-8")
    args = ["-m", "motif", "counts", str(file), "--as", "json", "--limit", "2000000"]
    costs = [run(args, folder) for _ in range(runs + 1)][1:]  # the first one writes byte code
    return Cost(median(c.wall for c in costs), median(c.cpu for c in costs), round(median(c.peak for c in costs)))


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else RUNS
    with tempfile.TemporaryDirectory() as temporary:
        start = measure(SIDES[0], runs, Path(temporary))
        print(f"{1:>9} dot   {start.wall:6.2f} s by the clock {start.cpu:6.2f} s cpu {start.peak / 1e6:6.0f} MB")
        for side in SIDES[1:]:
            cost, dots = measure(side, runs, Path(temporary)), side * side
            print(
                f"{dots:>9} dots  {cost.wall:6.2f} s by the clock {cost.cpu:6.2f} s cpu {cost.peak / 1e6:6.0f} MB"
                f"   a further dot: {(cost.cpu - start.cpu) / dots * 1e6:5.2f} µs"
                f" {(cost.peak - start.peak) / dots:4.0f} bytes"
            )


if __name__ == "__main__":
    main()
