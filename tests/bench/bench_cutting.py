"""How long joints and cuts take, and what they save against the hand method.

    python tests/bench/bench_cutting.py [--rounds 3] [--options]

Prints, for plain walls, for each wall of ten generated buildings and for the buildings, boards/joints by hand
and by plan, distinct lengths, the bound, and the time on the clock and on the processor: the least of the
rounds, since other work only adds to it. Leaves with 1 if a goal is missed or two rounds differ. With
``--options`` the choices of fewer boards against more joints are looked for, too; then no time has a goal.
"""

from __future__ import annotations

import argparse
import sys
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "unit" / "settingout" / "cutting"))

from buildings import building, plain
from check_plan import check_plan

from cladmodel.settingout.cutting.inputs import Job
from cladmodel.settingout.cutting.layout import set_out
from cladmodel.settingout.cutting.plans import Layout
from cladmodel.settingout.cutting.programs import Effort

PLAIN_WIDTHS = (3600, 5200, 6000, 7200, 8400, 9400)  # mm
WALL_GOAL = 0.5  # s on the clock
BUILDING_GOAL = 5.0  # s on the clock
SAVED_GOAL = 0.06  # boards against the hand method, on average


def timed(job: Job, rounds: int, effort: Effort) -> tuple[Layout, float, float, bool]:
    """Layout, least clock and processor time [s], and whether all rounds gave the same."""
    found, clock, processor = [], [], []
    for _ in range(rounds):
        start, worked = time.perf_counter(), time.process_time()
        found.append(set_out(job, effort))
        clock.append(time.perf_counter() - start)
        processor.append(time.process_time() - worked)
    return found[0], min(clock), min(processor), all(layout == found[0] for layout in found)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--options", action="store_true")
    args = parser.parse_args()
    effort = Effort(options=args.options)
    import highspy  # noqa: F401  (its import is not what is timed)

    jobs = [
        (f"plain {width}/{centres}", plain(width, 18, centres), WALL_GOAL)
        for centres in (600, 400)
        for width in PLAIN_WIDTHS
    ]
    for seed in range(1, 11):
        whole = building(seed)
        jobs += [(wall.name, replace(whole, walls=(wall,)), WALL_GOAL) for wall in whole.walls]
    jobs += [(f"building {seed}", building(seed), BUILDING_GOAL) for seed in range(1, 11)]
    print("job          runs   by hand      plan      lengths  bound        clock  processor  choices")
    missed, saved, sums = [], [], [0, 0, 0, 0]
    for name, job, goal in jobs:
        layout, clock, processor, same = timed(job, args.rounds, effort)
        hand, best = layout.by_hand, layout.best
        if hand is None:
            raise SystemExit(f"{name}: no hand method")
        proof = "proven" if layout.proven else f"gap {layout.gap}"
        choices = " ".join(f"{c.boards}/{c.joint_count}" for c in layout.choices)
        print(
            f"{name:12} {sum(1 for _ in job.runs()):4} {hand.boards:5}/{hand.joint_count:<4} "
            f"{best.boards:5}/{best.joint_count:<4} {len(best.plan.lengths):6}  {layout.bound:5} {proof:7} "
            f"{clock:6.2f} s {processor:6.2f} s   {choices}"
        )
        wrong = [
            text
            for text, held in (
                ("time", args.options or clock <= goal),
                ("more boards than by hand", best.boards <= hand.boards),
                ("rounds differ", same and layout.repeatable),
                ("unsound", not check_plan(job, best.joints, best.plan.boards)),
            )
            if not held
        ]
        missed += [f"{name}: {text}" for text in wrong]
        if name.startswith("building"):
            saved.append(1 - best.boards / hand.boards)
            counts = (hand.boards, hand.joint_count, best.boards, best.joint_count)
            sums = [a + b for a, b in zip(sums, counts, strict=True)]
    average = sum(saved) / len(saved)
    print(f"ten buildings: {sums[0]} boards and {sums[1]} joints by hand, {sums[2]} and {sums[3]} by plan")
    print(f"fewer boards: {100 * average:.1f} % on average (goal {100 * SAVED_GOAL:.0f} %)")
    if average < SAVED_GOAL or sums[3] > sums[1]:
        missed.append("ten buildings: saving")
    for text in missed:
        print(f"MISSED {text}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
