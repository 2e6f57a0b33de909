"""What callers give: numbers of any shapes that go together."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def together(**given: ArrayLike) -> tuple[Floats, ...]:
    """The arguments brought to one shape. Raises ValueError, with the name, where one is not finite, and where the
    shapes do not go together."""
    arrays = {name: np.asarray(a, dtype=np.float64) for name, a in given.items()}
    for name, a in arrays.items():
        if not np.isfinite(a).all():
            raise ValueError(f"{name} must be finite")
    return np.broadcast_arrays(*arrays.values())
