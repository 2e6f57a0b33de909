"""Whether two sheets carry the same, so that one of them serves for both."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from motif.outputs.drawn import DrawnSheet, Floats

#: Sheets on which lines and marks lie this near to one another, on average, carry the same (mm).
_NEAR = 0.02


def alike(one: DrawnSheet, other: DrawnSheet) -> bool:
    """Whether two sheets have the same outline, lines and marks at the same places of the paper.

    Held by sums that do not hang on the order of lines or on where a line has its points: of every work, the length
    of its lines and the number of its marks, and the first and second moments of both."""
    ours, theirs = _moments(one), _moments(other)
    size = float(np.abs(one.outline).max())
    return ours.keys() == theirs.keys() and all(
        np.all(np.abs(ours[key] - theirs[key]) <= _NEAR * (1 + ours[key][0]) * np.array([1, 1, 1, size, size, size]))
        for key in ours
    )


def _moments(sheet: DrawnSheet) -> dict[tuple[object, ...], Floats]:
    """Of every way of working: the amount, then ∫x, ∫y, ∫x², ∫xy, ∫y² over its lines and over its marks."""
    found: dict[tuple[object, ...], Floats] = defaultdict(lambda: np.zeros(6))
    found["outline",] += _along(np.vstack([sheet.outline, sheet.outline[:1]]))
    for paths in (sheet.paths, *(band.paths for band in sheet.bands)):
        for path in paths:
            work = path.path.work
            key = ("line", *work.key, work.depth, work.width, work.pitch, path.path.worked_over)
            for line in path.lines:
                found[key] += _along(line)
    for band in sheet.bands:
        marks = band.marks
        p = marks.points
        for k in np.flatnonzero(marks.owned).tolist():
            index = int(marks.index[k])
            work = p.works[int(p.work[index])]
            size = 0.0 if p.is_footprint[index] else round(float(np.nan_to_num(p.across[index])), 6)
            lean = round(float(p.lean[index]), 6)
            found["mark", *work.key, work.depth, size, lean] += _summed(marks.at[k : k + 1], np.ones(1))
    return found


def _along(line: Floats) -> Floats:
    step = np.diff(line, axis=0)
    return _summed(line[:-1] + step / 2, np.hypot(*step.T))


def _summed(at: Floats, weight: Floats) -> Floats:
    x, y = at.T
    return np.array([np.sum(weight * v) for v in (np.ones_like(x), x, y, x * x, x * y, y * y)])
