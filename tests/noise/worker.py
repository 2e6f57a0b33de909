"""A process that tries inputs under limits and reports each; run by ``tests.noise.__main__``."""

from __future__ import annotations

import re
import resource
import signal
import sys
import time
import traceback
import warnings
from dataclasses import dataclass
from multiprocessing.connection import Connection
from types import FrameType

from tests.noise.shrink import shrunk
from tests.noise.texts import text_of
from tests.noise.trial import try_text

#: what an ordinary text may take: processor seconds, and bytes of address space for the whole process
SECONDS, MEMORY = 2.0, 1 << 30
#: after so long an input is given up
_GIVE_UP = 5
#: about so long a failing text is made shorter, the first of its kind in this process
_SHRINK = 10
#: one input in so many is written by all back ends
_OUTPUTS_EVERY = 400


class TooSlow(BaseException):
    """Not an ``Exception``, so that nothing on the way takes it for a problem of its own."""


@dataclass
class Result:
    number: int
    kind: str
    outcome: str
    seconds: float
    memory: int
    failure: str = ""
    text: str = ""


def serve(pipe: Connection, seed: int) -> None:
    """Try the inputs whose numbers come through the pipe, until None comes."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    signal.signal(signal.SIGPROF, _too_slow)
    for ending in (signal.SIGINT, signal.SIGTERM):  # the process that began this one ends it
        signal.signal(ending, signal.SIG_IGN)
    warnings.simplefilter("error")
    try_text("", outputs=True)
    seen: set[str] = set()
    while (numbers := pipe.recv()) is not None:
        for number in numbers:
            pipe.send(number)
            pipe.send(_try(seed, number, seen))
        pipe.send("more")


def _too_slow(signal_number: int, frame: FrameType | None) -> None:
    raise TooSlow


def _try(seed: int, number: int, seen: set[str]) -> Result:
    kind, text = text_of(seed, number)
    outputs = number % _OUTPUTS_EVERY == 0
    outcome, seconds, failure = attempt(text, outputs)
    where = known_by(failure)
    if failure and where not in seen:
        # Where it fails is what it is known by: a shorter text that fails elsewhere is another failure.
        seen.add(where)
        text = shrunk(text, lambda shorter: known_by(attempt(shorter, outputs)[2]) == where, _SHRINK / (seconds + 0.01))
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    return Result(number, kind, outcome, seconds, memory, failure, text if failure or seconds > SECONDS else "")


def attempt(text: str, outputs: bool) -> tuple[str, float, str]:
    """Outcome, processor seconds, and the traceback of what went wrong, if anything did."""
    signal.setitimer(signal.ITIMER_PROF, _GIVE_UP)
    start = time.process_time()
    try:
        outcome = try_text(text, outputs=outputs)
        failure = ""
    except TooSlow:
        outcome, failure = "failed", "slow\n" + traceback.format_exc()
    except Exception:
        outcome, failure = "failed", traceback.format_exc()
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    return outcome, time.process_time() - start, failure


def known_by(failure: str) -> str:
    """The last place in the program that a traceback names, and the kind of what was raised."""
    places = re.findall(r'File "[^"]*/((?:motif|tests)/[^"]*)", line (\d+)', failure)
    last = failure.rstrip().rpartition("\n")[2].partition(":")[0]
    return f"{':'.join(places[-1])} {last}" if places else last


if __name__ == "__main__":
    sys.exit("Run python -m tests.noise")
