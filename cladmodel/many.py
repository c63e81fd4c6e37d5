"""Many scenes, each built in a process of its own, so that one that comes to grief stops no other."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
import traceback
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from enum import Enum
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from pathlib import Path
from typing import NoReturn, Protocol

from cladmodel.errors import OutputError
from cladmodel.folders.whole import tidy
from cladmodel.telling import TRACEBACK, counts, finding_lines, problem_lines

PATIENCE = 5.0
"""How long a process that is told to stop may take to tidy up. [s]"""


class Ending(Enum):
    """How one scene came out; the value is the command's exit code."""

    SOUND = 0
    FAILS = 1
    CANNOT = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One scene of many.

    Attributes
    ----------
    name : str
        What it is called on screen.
    scene : Path
    folder : Path or None
        Where its set goes; None if it is only measured.
    pictures : bool
        Whether to draw preview.png and layers.png.
    sound_too : bool
        Whether to tell also what is sound.
    """

    name: str
    scene: Path
    folder: Path | None = None
    pictures: bool = True
    sound_too: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What one scene of many came to.

    Attributes
    ----------
    job : Job
    ending : Ending
    counts : (4,) int or None
        Findings that fail, are a caution, could not be assessed, are sound; None if it cannot be built.
    problems : tuple of str
        Why it cannot be built, or what was left out.
    lines : tuple of str
        What was found.
    seconds : float
    """

    job: Job
    ending: Ending
    counts: tuple[int, int, int, int] | None = None
    problems: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    seconds: float = 0.0


class Watcher(Protocol):
    """Who is told how it goes."""

    def started(self, job: Job) -> None:
        """A scene is begun."""

    def step(self, job: Job, step: str) -> None:
        """A scene is at its next step."""

    def done(self, result: Result) -> None:
        """A scene is done."""


Work = Callable[[Job, Callable[[str], None]], Result]


def cores() -> int:
    """How many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def jobs_for(scenes: Sequence[Path], out: Path, *, pictures: bool) -> list[Job]:
    """Give each scene a folder of its own, called as its file is.

    Parameters
    ----------
    scenes : sequence of Path
    out : Path
        Folder that holds them all.
    pictures : bool

    Raises
    ------
    OutputError
        If two would go to the same folder, or `out` is a file.
    """
    if out.exists() and not out.is_dir():
        raise OutputError(f"{out}: cannot be written: it is a file, not a folder. Name another folder.")
    taken: dict[str, Path] = {}
    found = []
    for scene in scenes:
        name = scene.stem if scene.stem.strip(". ") else scene.name
        other = taken.setdefault(name.casefold(), scene)
        if other is not scene and other == scene:
            raise OutputError(f"{scene}: is named twice. Name each scene once.")
        if other is not scene:
            raise OutputError(f"{other} and {scene}: would both go to {out / name}. Rename one of them.")
        found.append(Job(name=name, scene=scene, folder=out / name, pictures=pictures))
    return found


def work_on(job: Job, say: Callable[[str], None]) -> Result:
    """Build or measure one scene; whatever goes wrong is its result.

    Parameters
    ----------
    job : Job
    say : callable
        Told each step as it begins.
    """
    from cladmodel import jobs

    try:
        if job.folder is None:
            say("building and measuring")
            outcome = jobs.check(job.scene)
        else:
            outcome = jobs.build(job.scene, job.folder, pictures=job.pictures, say=say)
    except Exception as error:
        if os.environ.get(TRACEBACK):
            traceback.print_exc()
        return Result(job=job, ending=Ending.CANNOT, problems=tuple(problem_lines(error)))
    found = counts(outcome.findings)
    return Result(
        job=job,
        ending=Ending.FAILS if found[0] else Ending.SOUND,
        counts=found,
        problems=tuple(f"not drawn: {line}" for line in outcome.missing),
        lines=tuple(finding_lines(outcome, sound_too=job.sound_too)),
    )


def run_many(jobs: Sequence[Job], at_once: int, watcher: Watcher, work: Work = work_on) -> list[Result]:
    """Run jobs, so many at once, each in a process of its own.

    Parameters
    ----------
    jobs : sequence of Job
    at_once : int
        From 1.
    watcher : Watcher
    work : callable
        What to do with each.

    Returns
    -------
    list of Result
        In the order of the jobs. A job whose process was killed has a result too.

    Raises
    ------
    KeyboardInterrupt
        If the user stops it, or the system ends it. By then all processes have ended, and every folder
        holds what it held or its whole new set.
    """
    waiting, running = deque(jobs), dict[Connection, _Running]()
    results: dict[int, Result] = {}
    with _ended_like_ctrl_c():
        try:
            while waiting or running:
                while waiting and len(running) < at_once:
                    begun = _Running.begin(waiting.popleft(), work)
                    running[begun.pipe] = begun
                    watcher.started(begun.job)
                for pipe in wait(list(running)):
                    assert isinstance(pipe, Connection)
                    told = running[pipe].hear()
                    if isinstance(told, str):
                        watcher.step(running[pipe].job, told)
                        continue
                    results[id(running.pop(pipe).job)] = told
                    watcher.done(told)
        finally:
            _stop(list(running.values()))
    return [results[id(job)] for job in jobs]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Running:
    job: Job
    process: SpawnProcess
    pipe: Connection
    since: float

    @classmethod
    def begin(cls, job: Job, work: Work) -> _Running:
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe(duplex=False)
        process = context.Process(target=_in_process, args=(job, work, theirs), daemon=True)
        with _deaf_to_ctrl_c():
            process.start()
        theirs.close()
        return cls(job=job, process=process, pipe=ours, since=time.monotonic())

    def hear(self) -> str | Result:
        """Its next step, or its result; a process that ended without a word has one too."""
        try:
            told = self.pipe.recv()
        except (EOFError, OSError):
            self.process.join()
            _tidy(self.job)
            told = Result(job=self.job, ending=Ending.CANNOT, problems=(_why(self.process.exitcode),))
        if isinstance(told, str):
            return told
        self.process.join(PATIENCE)
        self.pipe.close()
        assert isinstance(told, Result)
        return replace(told, job=self.job, seconds=time.monotonic() - self.since)


def _in_process(job: Job, work: Work, pipe: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the parent, who then says SIGTERM
    signal.signal(signal.SIGTERM, _unwind)
    with suppress(KeyboardInterrupt, BrokenPipeError):
        pipe.send(work(job, pipe.send))


def _unwind(*_: object) -> NoReturn:
    raise KeyboardInterrupt


def _why(code: int | None) -> str:
    if code is not None and code < 0:
        with suppress(ValueError):
            name = signal.Signals(-code).name
            cause = ", most often for want of memory" if name == "SIGKILL" else ""
            return f"cannot be built: its process was ended by {name}{cause}. Build fewer at once."
    return f"cannot be built: its process ended with {code} and no word. Build it alone to see more."


def _stop(running: Sequence[_Running]) -> None:
    for each in running:
        each.process.terminate()
    until = time.monotonic() + PATIENCE
    for each in running:
        each.process.join(max(0.0, until - time.monotonic()))
        each.process.kill()
        each.process.join()
        _tidy(each.job)


def _tidy(job: Job) -> None:
    if job.folder is not None:
        with suppress(OutputError):
            tidy(job.folder)


@contextmanager
def _deaf_to_ctrl_c() -> Iterator[None]:
    """Have a process that is started here never hear Ctrl-C, not even while Python starts."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextmanager
def _ended_like_ctrl_c() -> Iterator[None]:
    """Have the system's word to end stop the processes too, as Ctrl-C does; for the main thread alone."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, _unwind)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
