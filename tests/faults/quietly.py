"""Runs every command on one example, or ``prepare`` on library motifs, in one process, and ends with status 1 if
Python itself had anything to say.

``python -X dev -bb -W error -m tests.faults.quietly FOLDER FILE``, or with a CRAFT of the library in place of the file:
warnings are errors there, files left open are told of, and bytes compared with text."""

from __future__ import annotations

import gc
import io
import sys
from contextlib import redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path
from typing import Any

import motif
from motif import cli
from motif.language import nodes
from motif.language.messages import Messages
from motif.language.parser import parse
from motif.language.source import Source

ROOT = Path(__file__).resolve().parents[2]

#: What the program is asked for a file; {file} and {out} are put in. ``prepare`` writes all that there is to draw.
COMMANDS = """
prepare {file} --out {out}
check {file} --rows
check {file} --rows --as json
check {file} --rows --as csv
check {file} --as markdown
marks {file}
marks {file} --as json
marks {file} --as csv --unit in
counts {file}
counts {file} --as json
counts {file} --as markdown
method {file} --unit in
method {file} --as json
data {file}
unroll {file} --flat rollout --as json
unroll {file} --flat gores
unroll {file} --flat gores --gores 7 --as json
unroll {file} --flat cones --unit in
unroll {file} --flat fewest --misfit 2mm --as json
view {file} --facing 30deg --far-side
view {file} --from-above
view {file} --all-round --tilt 0deg
sheets {file} --rings all --out {out}/all.pdf
explain
library
library tile --as json
"""


def main(folder: str, what: str) -> int:
    said: list[str] = []
    sys.unraisablehook = lambda trouble: said.append(f"{trouble.exc_type.__name__}: {trouble.exc_value}")
    lay_once()
    if what.endswith(".motif"):
        commands = [line.format(file=what, out=f"{folder}/out").split() for line in COMMANDS.strip().splitlines()]
    else:
        commands = [
            ["prepare", str(file), "--motif", name, "--form", "canister", "--out", f"{folder}/{name}"]
            for file in sorted((ROOT / "library" / what).glob("*.motif"))
            for name in motifs_of(file)
        ]
    for command in commands:
        output, complaints = io.StringIO(), io.StringIO()
        with redirect_stdout(output), redirect_stderr(complaints):
            status = cli.main(command)
        gc.collect()
        if status or said or not output.getvalue():
            print(" ".join(command), status, *said, complaints.getvalue(), sep="\n")
            return 1
    print(len(commands))
    return 0


def lay_once() -> None:
    """Read a file and lay a piece once for all commands: what they do with it is what is looked at."""
    motif.load = cache(motif.load)
    kept: dict[tuple[object, str], Any] = {}
    lay = cli._lay

    def laid(document: Any, name: str, args: Any) -> Any:
        if (document, name) not in kept:
            kept[document, name] = lay(document, name, args)
        return kept[document, name]

    cli._lay = laid


def motifs_of(file: Path) -> list[str]:
    """The names of the motifs that a file defines."""
    parsed = parse(Source(str(file), file.read_text(encoding="utf-8")), Messages())
    return [one.name.text for one in parsed.items if isinstance(one, nodes.Motif)]


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
