"""Worker processes that run scenes one after the other, within bounds of time and memory."""

from __future__ import annotations

import multiprocessing
import os
import random
import resource
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from pathlib import Path

from .case import Case
from .hostile import case as hostile_case
from .through import End, Ran, run_case

# What a worker may ask of memory before it is refused: beyond the bound that is judged, below what the
# machine has. [bytes]
MOST_MEMORY = 6 << 30
# A worker that has used so much processor time on one scene is stopped. [s]
MOST_SECONDS = 900.0
GENERATORS = ("hostile", "jobs")


@dataclass(frozen=True, slots=True)
class Told:
    """A worker's answer about one scene."""

    number: int
    generator: str
    case: Case
    ran: Ran


def drawn(generator: str, seed: int, number: int) -> tuple[Case, random.Random]:
    """One scene of a generator: the same for the same seed and number.

    Parameters
    ----------
    generator : str
    seed, number : int
    """
    rng = random.Random(f"{seed} {generator} {number}")
    if generator == "hostile":
        return hostile_case(rng), rng
    from .jobs import job, text_of

    return Case("job", text_of(job(rng)).encode()), rng


def excess(generator: str, seed: int, number: int, ran: Ran) -> str:
    """Checks that fail though nothing in a job says they may; empty for none."""
    if generator != "jobs" or ran.end is not End.FINDINGS:
        return ""
    from .jobs import job, may_fail

    fails = {line.split(": ")[1] for line in ran.out.splitlines() if line.startswith("FAILS: ")}
    return ", ".join(sorted(fails - may_fail(job(random.Random(f"{seed} {generator} {number}")))))


def _work(pipe: Connection, seed: int) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    while True:
        generator, number = pipe.recv()
        case, rng = drawn(generator, seed, number)
        with tempfile.TemporaryDirectory(prefix="fuzz-", ignore_cleanup_errors=True) as folder:
            try:
                ran = run_case(case, Path(folder), rng)
            except MemoryError:
                ran = Ran(End.BIG, "no memory left", None, "", "", 0.0, 0, MOST_MEMORY / 1e6)
        said = excess(generator, seed, number, ran)
        if said:
            ran = Ran(End.CRASHED, f"fails without cause: {said}", ran.code, ran.out, ran.err, *_figures(ran))
        pipe.send(Told(number, generator, case, ran))


def _figures(ran: Ran) -> tuple[float, int, float]:
    return ran.seconds, ran.pieces, ran.megabytes


class Worker:
    """A process that runs scenes one after the other."""

    def __init__(self, seed: int) -> None:
        self.seed = seed
        self.start()

    def start(self) -> None:
        """Start it, anew if it was stopped."""
        fresh = multiprocessing.get_context("spawn")
        self.pipe, there = fresh.Pipe()
        self.process = fresh.Process(target=_work, args=(there, self.seed))
        self.process.start()
        there.close()

    def give(self, generator: str, number: int) -> None:
        """Give it a scene."""
        self.holds = (generator, number)
        self.since = self.used()
        self.pipe.send(self.holds)

    def used(self) -> float:
        """Processor time it has used. [s]"""
        try:
            fields = Path(f"/proc/{self.process.pid}/stat").read_text().rsplit(")", 1)[1].split()
        except OSError:
            return 0.0
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def stopped(self, end: End, why: str) -> Told:
        """Stop it, start another, and tell of the scene it held."""
        self.process.kill()
        self.process.join()
        seconds = self.used() - self.since
        self.start()
        case, _ = drawn(self.holds[0], self.seed, self.holds[1])
        return Told(self.holds[1], self.holds[0], case, Ran(end, why, None, "", "", seconds, 0, 0.0))


def ran_through(
    generators: tuple[str, ...], count: int, seed: int, workers: int, first: int
) -> Iterator[Told]:
    """Run so many scenes, and tell of each as it ends.

    Parameters
    ----------
    generators : tuple of str
    count, seed, workers, first : int
        Scenes are numbered from `first` on.
    """
    todo = iter([(generators[n % len(generators)], n) for n in range(first, first + count)])
    crew = [Worker(seed) for _ in range(workers)]
    busy = {w: True for w in crew if _handed(w, todo)}
    while busy:
        ready = wait([w.pipe for w in busy], timeout=2.0)
        for worker in list(busy):
            told = None
            if worker.pipe in ready:
                try:
                    told = worker.pipe.recv()
                except (EOFError, OSError):
                    told = worker.stopped(End.CRASHED, "the process died")
            elif worker.used() - worker.since > MOST_SECONDS:
                told = worker.stopped(End.SLOW, f"stopped after {MOST_SECONDS:.0f} s")
            if told is None:
                continue
            yield told
            if told.ran.end is End.BIG:  # what it took it may keep
                worker.process.kill()
                worker.process.join()
                worker.start()
            if not _handed(worker, todo):
                del busy[worker]
    for worker in crew:
        worker.process.kill()


def _handed(worker: Worker, todo: Iterator[tuple[str, int]]) -> bool:
    following = next(todo, None)
    if following is not None:
        worker.give(*following)
    return following is not None
