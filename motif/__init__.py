"""Lays flat repeats on round pots: a small text language, and the marks a potter takes to the bench.

>>> import motif
>>> document = motif.load("tea-jar.motif")                                       # doctest: +SKIP
>>> piece = document.lay("tea-jar")                                              # doctest: +SKIP
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from motif.api import Document, Piece, Unreadable, improvised, load, loads

__version__ = "0.1.0"
__all__ = ["Document", "Piece", "Unreadable", "__version__", "improvised", "load", "loads"]


def __getattr__(name: str) -> Any:
    """The public steps, imported when first used, so that ``import motif`` costs nothing."""
    if name in __all__:
        from motif import api

        return getattr(api, name)
    raise AttributeError(f"module 'motif' has no attribute {name!r}")
