"""The program's start: ``python -m motif`` and the command ``motif``.

All that a run changes in its process stands here, so that ``motif.cli.main`` can be called from a program of somebody
else and leaves its streams and its collector alone.
"""

import gc
import os
import sys
from pathlib import Path
from typing import TextIO

#: The status of a program stopped by the interrupt key: 128 + 2, the custom of shells (POSIX: SIGINT is 2).
_INTERRUPTED = 130


def run() -> int:
    """Run the command that the process was started with and return its exit status."""
    try:
        gc.set_threshold(100_000)  # trees and arrays are freed by counting; looking for rings costs a tenth of a run
        sys.stdout, sys.stderr = (stream or _nowhere() for stream in (sys.stdout, sys.stderr))
        for stream in (sys.stdout, sys.stderr):
            _write_utf8(stream)
        from motif.cli import main  # within, since one may lose patience while the libraries are read

        try:
            return main()
        finally:
            for stream in (sys.stdout, sys.stderr):
                _finish(stream)
    except KeyboardInterrupt:
        return _INTERRUPTED


def _nowhere() -> TextIO:
    """What stands for a standard stream that is closed: nobody reads it."""
    return Path(os.devnull).open("w", encoding="utf-8")


def _finish(stream: TextIO) -> None:
    """Write out what a stream still holds. One that takes no more leads nowhere from then on, or Python would complain
    again when it ends."""
    try:
        stream.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _write_utf8(stream: TextIO) -> None:
    """The same bytes on every machine: UTF-8 and plain line feeds, except on a terminal of its own mind."""
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is None:
        return
    if stream.isatty():
        reconfigure(errors="replace")
    else:
        reconfigure(encoding="utf-8", errors="replace", newline="\n")


if __name__ == "__main__":
    sys.exit(run())
