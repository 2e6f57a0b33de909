"""Many inputs in worker processes under limits: ``python -m tests.noise --inputs 200000 --seed 1 --jobs 2``.

Reports inputs, seconds, the slowest and the largest, and every failing text, made short."""

from __future__ import annotations

import argparse
import signal
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from math import inf
from multiprocessing import get_context
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from types import FrameType

from tests.noise.texts import text_of
from tests.noise.worker import MEMORY, SECONDS, Result, known_by, serve

_BATCH = 50
#: an input that says nothing for so long hangs in code that no signal reaches, wall seconds
_HANGS = 120.0


@dataclass
class _Worker:
    process: BaseProcess
    pipe: Connection
    trying: int | None = None
    waiting: list[int] = field(default_factory=list)
    since: float = 0.0


@dataclass
class _Tally:
    outcomes: Counter[str] = field(default_factory=Counter)
    seconds: float = 0.0
    slowest: Result | None = None
    slow: list[Result] = field(default_factory=list)
    largest: int = 0
    failures: dict[str, list[Result]] = field(default_factory=dict)

    def add(self, r: Result) -> None:
        self.outcomes[f"{r.kind}: {r.outcome}"] += 1
        self.seconds += r.seconds
        self.largest = max(self.largest, r.memory)
        if self.slowest is None or r.seconds > self.slowest.seconds:
            self.slowest = r
        if r.failure:
            seen = self.failures.setdefault(known_by(r.failure), [])
            seen.append(r)
            if len(seen) == 1:
                print(f"\ninput {r.number} ({r.kind}) fails:\n{r.failure}{_shown(r.text)}\n", flush=True)
        elif r.seconds > SECONDS:
            self.slow.append(r)
            print(f"\ninput {r.number} ({r.kind}) takes {r.seconds:.1f} s:\n{_shown(r.text)}\n", flush=True)


def _shown(text: str) -> str:
    return repr(text) if len(text) < 3000 else repr(text[:3000]) + " …"


def _start(seed: int) -> _Worker:
    context = get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=serve, args=(theirs, seed), daemon=True)
    process.start()
    theirs.close()
    return _Worker(process, ours, since=time.monotonic())


def run(inputs: int, seed: int, jobs: int, first: int = 0, seconds: float = inf) -> _Tally:
    """Try the inputs ``first`` … ``first + inputs``, beginning none after some seconds, and stopping on SIGTERM; a
    worker that dies or hangs is replaced, its input counted."""
    begun, told = time.monotonic(), 0
    tally = _Tally()
    batches = [list(range(i, min(i + _BATCH, first + inputs))) for i in range(first, first + inputs, _BATCH)]
    batches.reverse()
    workers: list[_Worker] = []

    def supply(w: _Worker) -> None:
        if time.monotonic() - begun > seconds:
            batches.clear()
        w.waiting = batches.pop() if batches else []
        w.trying, w.since = None, time.monotonic()
        w.pipe.send(w.waiting or None)

    def replace(w: _Worker, why: str) -> None:
        w.process.kill()
        w.process.join()
        workers.remove(w)
        if w.trying is not None:
            kind, text = text_of(seed, w.trying)
            tally.add(Result(w.trying, kind, "failed", 0.0, 0, f"{why}\n", text))
            w.waiting = w.waiting[w.waiting.index(w.trying) + 1 :]
        if w.waiting:
            batches.append(w.waiting)
        if batches:
            workers.append(_start(seed))
            supply(workers[-1])

    for _ in range(jobs):
        workers.append(_start(seed))
        supply(workers[-1])

    def stop(number: int, frame: FrameType | None) -> None:
        nonlocal stopped
        stopped = True

    stopped = False
    signal.signal(signal.SIGTERM, stop)
    while workers and not stopped:
        ready = wait([w.pipe for w in workers], timeout=5.0)
        for w in workers[:]:
            if w.pipe in ready:
                try:
                    said = w.pipe.recv()
                except (EOFError, ConnectionError):
                    replace(w, "the process died")
                    continue
                w.since = time.monotonic()
                if isinstance(said, Result):
                    tally.add(said)
                elif said != "more":
                    w.trying = said
                elif batches:
                    supply(w)
                else:
                    w.pipe.send(None)
                    w.process.join()
                    workers.remove(w)
            elif time.monotonic() - w.since > _HANGS:
                replace(w, "it hangs")
        done = sum(tally.outcomes.values())
        if done - told >= 5000:
            told = done
            print(f"{done} inputs, {time.monotonic() - begun:.0f} s", flush=True)
    for w in workers:
        w.process.kill()
        w.process.join()
    return tally


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.noise", description=__doc__)
    parser.add_argument("--inputs", type=int, default=200_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--first", type=int, default=0, help="number of the first input")
    parser.add_argument("--seconds", type=float, default=inf, help="begin no more inputs after so long")
    args = parser.parse_args()
    begun = time.monotonic()
    tally = run(args.inputs, args.seed, args.jobs, args.first, args.seconds)
    done = sum(tally.outcomes.values())
    passed = time.monotonic() - begun
    print(f"\n{done} inputs, seed {args.seed}: {passed:.0f} s, {tally.seconds:.0f} s of processor time")
    for what, count in sorted(tally.outcomes.items()):
        print(f"  {what}: {count}")
    if tally.slowest is not None:
        print(f"slowest: input {tally.slowest.number}, {tally.slowest.seconds:.2f} s of processor time")
    print(f"largest process: {tally.largest / 1e6:.0f} MB; address space was limited to {MEMORY / 1e6:.0f} MB")
    print(f"over {SECONDS:g} s: {len(tally.slow)}; failing: {sum(map(len, tally.failures.values()))}")
    for where, results in sorted(tally.failures.items()):
        print(f"  {where}: {len(results)}, first input {results[0].number}")
    return 1 if tally.failures or tally.slow else 0


if __name__ == "__main__":
    sys.exit(main())
