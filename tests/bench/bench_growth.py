"""How the work from a scene to solids grows with the building.

    python tests/bench/bench_growth.py [--rounds 7]

Prints CPU time (all threads of this process, medians) beside its goals: one example building, and a
rectangular plan against another with ten times the wall and ten times the openings. Every wall of the
second is ten times as long, so anything that looks at each pair of pieces on a wall shows as a hundredfold.
Leaves with 1 if a goal is missed.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

from cladmodel import build
from cladmodel.model import Model

SEED_STORE = Path(__file__).parents[2] / "scenes" / "seed-store.toml"

# Goals of the first release. Seconds of CPU; time of the large building in times of the small one's.
SEED_STORE_GOAL = 0.15
TIMES = 10
GROWTH_GOAL = 11.0

# Of the small building: length of two of its walls, of the other two, and the window in each. [mm]
LONG, WIDE, HEIGHT = 4000, 3000, 2400
LEFT, WIDTH, SILL, HEAD = 900, 900, 950, 2100


def rectangle(times: int) -> str:
    """Scene of a rectangular building with so many windows in each wall, and walls to suit."""
    lines = [
        f'title = "{times} windows in each wall"',
        "[building]",
        f"rectangle = [{LONG * times}, {WIDE * times}]",
        f"height = {HEIGHT}",
    ]
    for letter, bay in (("A", LONG), ("B", WIDE), ("C", LONG), ("D", WIDE)):
        for n in range(times):
            lines += [
                "[[opening]]",
                f'name = "{letter} {n + 1}"',
                f'wall = "wall {letter}"',
                f"left = {LEFT + n * bay}",
                f"width = {WIDTH}",
                f"sill = {SILL}",
                f"head = {HEAD}",
            ]
    return "\n".join(lines)


def cpu(rounds: int, work: Callable[[], Model]) -> float:
    """Median CPU time. [s]"""
    taken = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return statistics.median(taken)


def main() -> int:
    """Measure, print, and say whether every goal was met."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=7)
    rounds = parser.parse_args().rounds
    missed = 0

    def line(what: str, value: str, goal: str = "", met: bool = True) -> None:
        nonlocal missed
        missed += not met
        print(f"{what:<58}{value:>12}  {goal}{'' if met else '  MISSED'}")

    def built(text: str) -> Callable[[], Model]:
        return lambda: build.build_model(build.load_scene_text(text))

    text = SEED_STORE.read_text("utf-8")
    model = built(text)()
    taken = cpu(rounds, built(text))
    line(
        f"{SEED_STORE.stem}, {len(model.parts)} parts, scene file to model",
        f"{taken * 1e3:.0f} ms",
        f"under {SEED_STORE_GOAL * 1e3:.0f} ms",
        taken < SEED_STORE_GOAL,
    )
    times = []
    for size in (1, TIMES):
        model = built(rectangle(size))()
        times.append(cpu(rounds, built(rectangle(size))))
        line(
            f"{model.title}, {len(model.parts)} parts, scene text to model",
            f"{times[-1] * 1e3:.0f} ms",
        )
    growth = times[1] / times[0]
    line(
        f"{TIMES} times the walls and openings",
        f"{growth:.1f} x",
        f"at most {GROWTH_GOAL:g} x the time",
        growth <= GROWTH_GOAL,
    )
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
