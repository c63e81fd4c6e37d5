"""What `bench_all` prints and writes: its lines, its goals, and the machine they were measured on."""

from __future__ import annotations

import datetime
import os
import platform
from dataclasses import asdict, dataclass, replace
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

GOALS = {
    "volumes": 1e-6,  # between two ways of lifting the same plates, relative
    "manifold3d": 10.0,  # times our CPU time
    "growth": 1.3,  # time a part of the checks at 100x, in times of that at 10x
    "GLB": 10.0,  # s
    "solids": 15.0,  # s
    "memory": 3.0,  # GB
}
LIBRARIES = (
    "numpy",
    "scipy",
    "shapely",
    "manifold3d",
    "trimesh",
    "embreex",
    "cadquery-ocp",
    "cadquery-ocp-novtk",
)


@dataclass(frozen=True, kw_only=True)
class Line:
    """One step as measured; without times if it was not done. [s, s, GB]"""

    step: str
    cpu: float | None = None
    clock: float | None = None
    memory: float | None = None
    note: str = ""

    def noted(self, note: str) -> Line:
        return replace(self, note=note)

    def as_row(self) -> dict[str, Any]:
        return asdict(self)


Tables = dict[str, tuple[str, list[Line]]]
"""By size: what was measured, and its lines."""

Judged = list[tuple[str, str, bool]]
"""What, its figure beside the goal, and whether it was met."""


def printed(line: Line) -> str:
    """One line of the table on the terminal."""
    if line.cpu is None:
        return f"  {line.step:<38} {line.note}"
    return (
        f"  {line.step:<38} {line.cpu:9.3f} s CPU {line.clock:9.3f} s {line.memory:7.2f} GB  {line.note}"
    ).rstrip()


def goals_met(tables: Tables) -> Judged:
    """Hold what was measured to the goals; what was not measured is not judged."""
    found: Judged = []
    at = {(size, line.step): line for size, (_, lines) in tables.items() for line in lines}

    def least(what: str, value: float, goal: float, unit: str = "x") -> None:
        found.append((what, f"{value:.1f} {unit}, at least {goal:g}", value >= goal))

    def most(what: str, value: float, goal: float, unit: str) -> None:
        found.append((what, f"{value:.2f} {unit}, at most {goal:g}", value <= goal))

    for size in tables:
        ours = at.get((size, "plates to solids, ours"))
        theirs = at.get((size, "plates to solids, manifold3d"))
        if ours and theirs and ours.cpu and theirs.cpu:
            least(f"{size}: plates to solids, manifold3d / ours", theirs.cpu / ours.cpu, GOALS["manifold3d"])
    times = [_a_part(tables, at, size) for size in ("10x", "100x")]
    if times[0] and times[1]:
        most("checks: time a part, 100x / 10x", times[1] / times[0], GOALS["growth"], "x")
    for size in ("100x", "site"):
        made = at.get((size, "scene text to model"))
        if made and made.cpu is not None and made.memory is not None:
            most(f"{size}: scene text to model", made.cpu, GOALS["solids"], "s CPU")
            most(f"{size}: scene text to model, memory", made.memory, GOALS["memory"], "GB")
        if (size, "GLB") in at:
            written = at[size, "GLB"].cpu
            most(f"{size}: GLB", float("inf") if written is None else written, GOALS["GLB"], "s CPU")
    for size, (_, lines) in tables.items():
        found += [(f"{size}: {line.step}", line.note, False) for line in lines if line.cpu is None]
    return found


def _a_part(tables: Tables, at: dict[tuple[str, str], Line], size: str) -> float | None:
    """CPU time of all checks for each piece. [s]"""
    line = at.get((size, "all checks, three times over"))
    if line is None or line.cpu is None:
        return None
    pieces = int(tables[size][0].split(": ")[1].split(" pieces")[0])
    return line.cpu / pieces


def markdown(tables: Tables, judged: Judged) -> str:
    """The whole table as a page, with the machine and the day."""
    out = [
        "# Speed",
        "",
        "Written by `python tests/bench/bench_all.py --write shared/docs/speed.md`; never by hand. CPU is of",
        "all threads; memory is the largest of the process that did the step, the model included.",
        "",
        *(f"- {what}: {said}" for what, said in machine().items()),
        "",
        "1x is the seed store, 10x a block of four storeys, 100x a block with ten wings that uses up what",
        "one scene may hold, and the site a hundred seed stores, each from a scene of its own, in one model.",
        "Checks, page and pictures are of one building: a site's take a hundred times the seed store's.",
        "",
        "Other libraries are given the very same plates in the same run, and volumes must agree; of more",
        "than 8,000 plates all are given the same ones at equal intervals. trimesh's files hold the pieces",
        "alone; our GLB holds the nails and screws as well, and finishes and figures.",
    ]
    for size, (title, lines) in tables.items():
        out += ["", f"## {size}", "", title + ".", ""]
        out += ["| step | CPU, s | clock, s | memory, GB | |", "| --- | ---: | ---: | ---: | --- |"]
        for line in lines:
            if line.cpu is None:
                out.append(f"| {line.step} | | | | {line.note} |")
            else:
                numbers = f"{line.cpu:.3f} | {line.clock:.3f} | {line.memory:.2f}"
                out.append(f"| {line.step} | {numbers} | {line.note} |")
    out += ["", "## Goals", "", "| goal | measured | |", "| --- | --- | --- |"]
    out += [f"| {what} | {value} | {'met' if met else 'MISSED'} |" for what, value, met in judged]
    return "\n".join(out) + "\n"


def machine() -> dict[str, str]:
    """The day, the machine and the versions."""
    found = {"day": datetime.datetime.now(datetime.UTC).date().isoformat()}
    names = [row.split(":")[1].strip() for row in _lines("/proc/cpuinfo") if row.startswith("model name")]
    found["processor"] = f"{names[0] if names else platform.machine()}, {os.cpu_count()} cores"
    total = [int(row.split()[1]) for row in _lines("/proc/meminfo") if row.startswith("MemTotal")]
    if total:
        found["memory"] = f"{total[0] / 1e6:.0f} GB"
    found["system"] = f"{platform.system()} {platform.machine()}, Python {platform.python_version()}"
    found["libraries"] = ", ".join(f"{name} {said}" for name in LIBRARIES if (said := _version(name)))
    return found


def _lines(file: str) -> list[str]:
    path = Path(file)
    return path.read_text("utf-8").splitlines() if path.exists() else []


def _version(name: str) -> str | None:
    try:
        return version(name)
    except PackageNotFoundError:
        return None
