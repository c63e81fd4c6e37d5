"""How it goes, on a terminal or in plain lines; and the summary of many scenes."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from cladmodel.errors import readable

if TYPE_CHECKING:
    from rich.live import Live
    from rich.progress import TaskID

    from cladmodel.many import Job, Result

ENDINGS = ("sound", "fails", "cannot be built")
"""By exit code."""


class Steps:
    """One scene on a terminal: one line that changes; nothing when the output goes to a file."""

    def __enter__(self) -> Steps:
        from rich.console import Console

        self._console = Console(stderr=True)
        self._status = self._console.status("starting")
        if self._console.is_terminal:
            self._status.start()
        return self

    def say(self, step: str) -> None:
        """Show what is being done."""
        self._status.update(step)

    def __exit__(self, *_: object) -> None:
        self._status.stop()


class ManySteps:
    """Many scenes: on a terminal a line for each at work and one for all; else a line for each that is done.

    Parameters
    ----------
    count : int
        Scenes in all.
    """

    def __init__(self, count: int) -> None:
        self._count = count
        self._done = 0
        self._live: Live | None = None
        self._tasks: dict[int, TaskID] = {}  # by the job itself: a scene may be checked twice

    def __enter__(self) -> ManySteps:
        from rich.console import Console, Group
        from rich.live import Live
        from rich.progress import BarColumn, Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

        console = Console(stderr=True)
        if not console.is_terminal:
            return self
        words = TextColumn("{task.description}", markup=False)
        self._all = Progress(words, BarColumn(), TimeElapsedColumn(), console=console)
        self._each = Progress(SpinnerColumn(), TimeElapsedColumn(), words, console=console)
        self._whole = self._all.add_task(self._so_many(), total=self._count)
        self._live = Live(Group(self._each, self._all), console=console, transient=True)
        self._live.start()
        return self

    def __exit__(self, *_: object) -> None:
        if self._live is not None:
            self._live.stop()

    def started(self, job: Job) -> None:
        """A scene is begun."""
        if self._live is not None:
            self._tasks[id(job)] = self._each.add_task(f"{job.name}: starting", total=None)

    def step(self, job: Job, step: str) -> None:
        """A scene is at its next step."""
        if self._live is not None:
            self._each.update(self._tasks[id(job)], description=f"{job.name}: {step}")

    def done(self, result: Result) -> None:
        """A scene is done."""
        self._done += 1
        name = readable(result.job.name, LONGEST_NAME)
        line = readable(f"{name}: {ENDINGS[result.ending.value]}, {result.seconds:.1f} s")
        if self._live is None:
            print(f"{self._done} of {self._count} done: {line}", file=sys.stderr, flush=True)
            return
        self._each.remove_task(self._tasks.pop(id(result.job)))
        self._all.update(self._whole, completed=self._done, description=self._so_many())
        self._live.console.print(line, markup=False, highlight=False, soft_wrap=True)

    def _so_many(self) -> str:
        return f"{self._done} of {self._count} done"


LONGEST_NAME = 60  # letters of a scene's name on a terminal
HEADS = ("scene", "verdict", "fails", "cautions", "not assessed", "sound", "seconds", "where")
NUMBERS = range(2, 7)
"""Columns set flush right."""


def summary_lines(results: Sequence[Result]) -> list[str]:
    """Every scene on one line: verdict, how many findings of each kind, how long it took, where it is.

    Parameters
    ----------
    results : sequence of Result
    """
    rows = [HEADS, *(_row(result) for result in results)]
    if all(result.job.folder is None for result in results):
        rows = [row[:-1] for row in rows]
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = enumerate(zip(row, widths, strict=True))
        set_out = [text.rjust(w) if n in NUMBERS else text.ljust(w) for n, (text, w) in cells]
        lines.append("  ".join(set_out).rstrip())
    return lines


def _row(result: Result) -> tuple[str, ...]:
    found = tuple(map(str, result.counts)) if result.counts else ("",) * 4
    where = _place(result.job.folder) if result.counts else ""
    name = readable(result.job.name, LONGEST_NAME)
    return (name, ENDINGS[result.ending.value], *found, f"{result.seconds:.1f}", where)


def _place(folder: Path | None) -> str:
    return "" if folder is None else str(folder)
