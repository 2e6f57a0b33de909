"""How the misfit of paper gores falls with their number, read from ``motif unroll --as json``."""

from __future__ import annotations

import contextlib
import io
import json
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from motif.cli import main

FORMS = ("lidded-jar", "swelling-vase", "moon-jar")
COUNTS = (8, 12, 16, 24)


def misfits(form: str) -> list[float]:
    """The misfit in mm of a library form, cut into each number of gores."""
    with TemporaryDirectory() as folder:
        text = Path(folder, "form.motif")
        text.write_text(
            f'take {form} from "forms/{form}" motif plain {{ grid columns 48 rows 1 each ring {{ guide along }} }}'
            f" piece p {{ form {form} band plain }}",
            encoding="utf-8",
        )
        return [_misfit(text, count) for count in COUNTS]


def _misfit(text: Path, count: int) -> float:
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        status = main(["unroll", str(text), "--flat", "gores", "--gores", str(count), "--as", "json"])
    if status:
        raise RuntimeError(f"motif unroll ended with status {status}")
    return float(json.loads(said.getvalue())["misfit"])


def exponent(values: list[float]) -> float:
    """Slope of log misfit against log width of sheet, by least squares."""
    return float(np.polyfit(-np.log(COUNTS), np.log(values), 1)[0])


def rows() -> Iterator[str]:
    """The lines of the Markdown table."""
    yield f"| form | {' | '.join(f'{n} gores' for n in COUNTS)} | exponent |"
    yield f"| --- |{' --- |' * (len(COUNTS) + 1)}"
    for form in FORMS:
        values = misfits(form)
        yield f"| {form} | {' | '.join(f'{v:.3f} mm' for v in values)} | {exponent(values):.2f} |"
