"""Where the data that comes with the program lies: the grammar and the library."""

from __future__ import annotations

from pathlib import Path
from typing import Literal


def data_folder(name: Literal["grammar", "library"]) -> Path:
    """The folder ``grammar`` or ``library``.

    An installed program carries them inside the package; in a checkout they lie beside it.

    Raises:
        FileNotFoundError: neither place has the folder; the program is not installed whole.
    """
    package = Path(__file__).resolve().parent
    for parent in (package, package.parent):
        folder = parent / name
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"the folder {name!r} that belongs to the program is missing")
