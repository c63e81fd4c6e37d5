"""Every step from a scene to its files at 1x, 10x and 100x, beside other libraries on the same plates.

    python tests/bench/bench_all.py [--sizes 1x,10x,100x,site] [--steps solids,plates,checks] [--rounds 5]
                                    [--write FILE] [--quick]

Prints CPU seconds (all threads), clock seconds and largest memory of each step. Each size has a fresh
process, and each step a fork of it with the finished model in hand, so that no step profits or suffers from
another; its memory includes the model. Times are the medians of the rounds up to 10x, a single round above.
Leaves with 1 if a goal is missed; goals are held to CPU seconds, since another's work on the machine adds
only to the clock. ``--write`` writes the table as Markdown, with the machine and the day; ``--quick``
measures 1x once, without page and pictures.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Any

import large
import numpy as np
import peers
from bench_solids import recorded_plates
from bench_tables import GOALS, Line, goals_met, markdown, printed

from cladmodel import build
from cladmodel.model import Model
from cladmodel.scene.job import Scene

SIZES = ("1x", "10x", "100x", "site")
STEPS = ("solids", "plates", "checks", "GLB", "STL", "page", "quick picture", "picture")
QUICK = ("solids", "plates", "checks", "GLB", "STL")
SITE = 100  # stores
ALL_PLATES = 8_000  # more than this, and slow libraries are given every so-manieth plate
LONGEST = 1800  # s on the clock that one step may take
PICTURE = (1600, 1000)


@dataclass(frozen=True, kw_only=True)
class Job:
    """What the steps of one size work on; a site has no scene of its own."""

    text: str
    scene: Scene
    model: Model
    site: bool


Work = Callable[[], Any]


def measured(rounds: int, work: Work) -> tuple[float, float]:
    """Median CPU and clock time. [s]"""
    cpu, clock = [], []
    for _ in range(rounds):
        at, worked = time.perf_counter(), time.process_time()
        work()
        cpu.append(time.process_time() - worked)
        clock.append(time.perf_counter() - at)
    return statistics.median(cpu), statistics.median(clock)


def memory() -> float:
    """Largest memory of this process so far. [GB]"""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6


def line(what: str, rounds: int, work: Work, note: str = "") -> Line:
    cpu, clock = measured(rounds, work)
    return Line(step=what, cpu=cpu, clock=clock, memory=memory(), note=note)


def solids(size: str, rounds: int) -> tuple[Job, Line]:
    """Scene text to model."""
    site, text = size == "site", large.SCENE_OF["1x" if size == "site" else size]()
    made: list[Model] = []

    def work() -> None:
        made[:] = [large.site(SITE, text) if site else build.build_model(build.load_scene_text(text))]

    note = f"{SITE} scenes, one after another, into one model" if site else ""
    found = line("scene text to model", rounds, work, note)
    return Job(text=text, scene=build.load_scene_text(text), model=made[0], site=site), found


def plates(job: Job, rounds: int) -> list[Line]:
    """Plates to solids, ours and others', on the very same plates; volumes must agree."""
    every = [plate for call in recorded_plates(job.scene) for plate in call] * (SITE if job.site else 1)
    # A plate with plumb edges is no extrusion, and more work to others: all are given the square ones.
    square = [plate for plate in every if not plate.plumb]
    step = -(-len(square) // ALL_PLATES)
    some = square[::step]
    found = []
    ours: tuple[float, Any] | None = None
    for name, (lift, volumes) in peers.lifters().items():
        solid = volumes(lift(some))
        cpu, clock = measured(rounds, lambda lift=lift: lift(some))
        ours = ours or (cpu, np.array(solid))
        apart = float(np.abs(np.array(solid) / ours[1] - 1).max())
        note = f"{len(some)} of {len(every)} plates"
        if name != "ours":
            note = f"{cpu / ours[0]:.1f} times ours; volumes agree to {apart:.0e}"
            if apart > GOALS["volumes"]:
                raise SystemExit(f"{name}: volumes differ by {apart:.1e}: not the same plates")
        found.append(Line(step=f"plates to solids, {name}", cpu=cpu, clock=clock, memory=memory(), note=note))
    return found


def checks(job: Job, rounds: int) -> list[Line]:
    """All checks: as built, at the driest and at the wettest."""
    from dataclasses import replace

    from cladmodel.measuring import measure

    if job.site:
        return []  # a site is many buildings: each is checked by itself, as at 1x
    # A fresh copy each round: what a check keeps for the next one must be paid for.
    found = line("all checks, three times over", rounds, lambda: measure(job.scene, replace(job.model)))
    each = found.cpu / len(job.model.parts) * 1e3
    return [found.noted(f"{each:.2f} ms a part")]


def glb(job: Job, rounds: int) -> list[Line]:
    from cladmodel.exports.gltf import glb_bytes

    return _file(job, "GLB", rounds, lambda: glb_bytes(job.model), lambda: peers.glb_by_trimesh(job.model))


def stl(job: Job, rounds: int) -> list[Line]:
    from cladmodel.exports.stl import stl_bytes

    return _file(job, "STL", rounds, lambda: stl_bytes(job.model), lambda: peers.stl_by_trimesh(job.model))


def _file(
    job: Job, what: str, rounds: int, ours: Callable[[], bytes], theirs: Callable[[], bytes]
) -> list[Line]:
    found = []
    for name, work in ((what, ours), (f"{what}, pieces only, by trimesh", theirs)):
        size: list[int] = []
        one = line(name, rounds, lambda work=work, size=size: size.append(len(work())))
        found.append(one.noted(f"{size[0] / 1e6:.1f} MB"))
    return found


def page(job: Job, rounds: int) -> list[Line]:
    """The client's page of a model that is built and reported."""
    from cladmodel.schedules.report import report
    from cladmodel.showing import page_bytes

    if job.site:
        return []
    table = report(job.model, (), build.rules_of(job.scene), None)
    size: list[int] = []
    one = line("page", rounds, lambda: size.append(len(page_bytes(job.scene, job.model, table, None, None))))
    return [one.noted(f"{size[0] / 1e6:.1f} MB")]


def picture(job: Job, rounds: int, quick: bool) -> list[Line]:
    from cladmodel.looks import choices_of
    from cladmodel.views.preview import preview

    if job.site:
        return []
    del rounds  # one is enough: rays take much longer than anything that varies
    finish = choices_of(job.scene)[0]
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "picture.png"
        what = "quick picture" if quick else "picture"
        return [line(what, 1, lambda: preview(job.model, finish, file, size=PICTURE, quick=quick))]


DOES: dict[str, Callable[[Job, int], list[Line]]] = {
    "plates": plates,
    "checks": checks,
    "GLB": glb,
    "STL": stl,
    "page": page,
    "quick picture": lambda job, rounds: picture(job, rounds, quick=True),
    "picture": lambda job, rounds: picture(job, rounds, quick=False),
}


def forked(step: str, job: Job, rounds: int) -> list[Line]:
    """One step in a process of its own that has the model already."""
    here, there = multiprocessing.get_context("fork").Pipe(duplex=False)

    def run() -> None:
        try:
            there.send(DOES[step](job, rounds))
        except Exception as error:  # said in the table: one step that fails leaves the others
            there.send([Line(step=step, note=f"not done: {type(error).__name__}: {error}")])

    child = multiprocessing.get_context("fork").Process(target=run)
    child.start()
    there.close()
    try:
        if here.poll(LONGEST):
            return list(here.recv())
        return [Line(step=step, note=f"given up after {LONGEST} s on the clock")]
    except EOFError:
        return [Line(step=step, note="not done: the process ended, for want of memory perhaps")]
    finally:
        child.kill()
        child.join()


def of_one_size(size: str, steps: list[str], rounds: int) -> None:
    """Measure one size and print each line as JSON."""
    rounds = rounds if size in ("1x", "10x") else 1
    job, first = solids(size, rounds)
    fixings = sum(len(group.heads) for group in job.model.fixings)
    said = f"{job.model.title}: {len(job.model.parts)} pieces, {fixings} nails and screws, "
    print(json.dumps({"size": size, "title": said + f"{len(job.model.walls)} walls"}), flush=True)
    for found in chain([[first]], (forked(step, job, rounds) for step in steps if step in DOES)):
        for one in found:
            print(json.dumps(one.as_row()), flush=True)


def main() -> int:
    """Measure every size in a fresh process, print the table, and say whether the goals were met."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", default=",".join(SIZES))
    parser.add_argument("--steps", default=",".join(STEPS))
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--write", type=Path, metavar="FILE", help="Markdown")
    parser.add_argument("--child", help=argparse.SUPPRESS)
    given = parser.parse_args()
    rounds = 1 if given.quick else given.rounds
    steps = list(QUICK) if given.quick else given.steps.split(",")
    if given.child:
        of_one_size(given.child, steps, rounds)
        return 0
    tables: dict[str, tuple[str, list[Line]]] = {}
    for size in ["1x"] if given.quick else given.sizes.split(","):
        command = [
            sys.executable,
            __file__,
            "--child",
            size,
            "--steps",
            ",".join(steps),
            "--rounds",
            str(rounds),
        ]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as child:
            assert child.stdout is not None
            rows = iter(child.stdout)
            title = json.loads(next(rows))["title"]
            tables[size] = (title, [])
            print(f"\n{size}  {title}", flush=True)
            for row in rows:
                tables[size][1].append(Line(**json.loads(row)))
                print(printed(tables[size][1][-1]), flush=True)
        if child.returncode:
            return child.returncode
    judged = goals_met(tables)
    print()
    for what, value, met in judged:
        print(f"{what:<66} {value}{'' if met else '  MISSED'}")
    if given.write:
        given.write.write_text(markdown(tables, judged), encoding="utf-8")
    return 0 if all(met for *_, met in judged) else 1


if __name__ == "__main__":
    sys.exit(main())
