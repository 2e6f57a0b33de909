"""A failing text made as short as it will go while it still fails."""

from __future__ import annotations

import re
from collections.abc import Callable

_PARTS = re.compile(r'"[^"]*"|[\w./-]+|\s+|.', re.DOTALL)


def shrunk(text: str, fails: Callable[[str], bool], most: float = 600) -> str:
    """The text with as many runs of words left out as can be (Zeller's delta debugging), in ``most`` trials."""
    parts = _PARTS.findall(text)
    tried = 0
    size = max(1, len(parts) // 2)
    while size and tried < most:
        at, removed = 0, False
        while at < len(parts) and tried < most:
            rest = parts[:at] + parts[at + size :]
            tried += 1
            if fails("".join(rest)):
                parts, removed = rest, True
            else:
                at += size
        if not removed:
            size //= 2
        size = min(size, len(parts))
    return "".join(parts)
