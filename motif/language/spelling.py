"""Names that are nearly those that are known."""

from __future__ import annotations

from collections.abc import Iterable


def nearest(name: str, known: Iterable[str], most: int = 3) -> list[str]:
    """The known names within a third of the length of ``name`` by edit distance, nearest first."""
    limit = max(int(len(name) > 2), (len(name) + 1) // 3)
    scored = sorted((d, k) for k in set(known) if (d := _distance(name, k, limit)) <= limit)
    return [k for _, k in scored[:most]]


def suggestion(name: str, known: Iterable[str]) -> str | None:
    """ "Did you mean …?" for the nearest known names, or None."""
    near = nearest(name, known)
    if not near:
        return None
    return "Did you mean " + " or ".join(f"'{n}'" for n in near) + "?"


def _distance(a: str, b: str, limit: int) -> int:
    """Edit distance with neighbouring swaps (optimal string alignment), ``limit`` + 1 if larger.

    Damerau, "A technique for computer detection and correction of spelling errors", CACM 7 (1964)."""
    if abs(len(a) - len(b)) > limit:
        return limit + 1
    before: list[int] = []
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        current = [i]
        for j, y in enumerate(b, 1):
            cost = min(row[j] + 1, current[j - 1] + 1, row[j - 1] + (x != y))
            if i > 1 and j > 1 and x == b[j - 2] and a[i - 2] == y:
                cost = min(cost, before[j - 2] + 1)
            current.append(cost)
        before, row = row, current
    return min(row[-1], limit + 1)
