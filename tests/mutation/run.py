"""Break sound models at random, and print for each way how many of the breakages its check caught.

python tests/mutation/run.py --each 200 --seed 1
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from pathlib import Path

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from cladmodel.checks.thresholds import THRESHOLDS
from tests.mutation import every
from tests.mutation.breaking import MUTATIONS, Mutation, broken, fault

assert every


def tried(mutation: Mutation, each: int, seed: int, *, over: bool) -> list[str]:
    """What the check got wrong of some breakages; each has a seed of its own."""
    wrong = []
    for number in range(each):
        rng = random.Random(f"{seed} {mutation.check} {mutation.name} {number} {over}")
        sound, done = broken(mutation, rng, over=over)
        said = fault(mutation, sound, done, over=over)
        if said:
            wrong.append(f"{number}, {sound.name}: {said}")
    return wrong


def main() -> int:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--each", type=int, default=200, help="breakages over and under each threshold")
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--only", default="", help="check, or words of a breakage's name")
    ask.add_argument("--show", type=int, default=3, help="misses said in full")
    given = ask.parse_args()
    row = "{:<12} {:<14} {:<28} {:>10} {:<6} {:>6} {:>7} {:>6} {:>7} {:>6}"
    print(
        row.format(
            "check", "rule", "breakage", "threshold", "unit", "beyond", "caught", "short", "silent", "CPU s"
        )
    )
    total = [0, 0, 0, 0]
    misses = []
    order = list(THRESHOLDS)
    for mutation in sorted(MUTATIONS, key=lambda m: order.index(m.check)):
        if given.only not in f"{mutation.check} {mutation.name}":
            continue
        start = time.process_time()
        limit = mutation.threshold.limit()
        counts = []
        for over in (True, False):
            if not over and not mutation.has_short:
                counts += [0, 0]
                continue
            wrong = tried(mutation, given.each, given.seed, over=over)
            counts += [given.each, given.each - len(wrong)]
            misses += [
                f"{mutation.check}, {mutation.name}, {'beyond' if over else 'short'} {w}"
                for w in wrong[: given.show]
            ]
        total = [a + b for a, b in zip(total, counts, strict=True)]
        spent = f"{time.process_time() - start:.1f}"
        said = (mutation.check, mutation.rule, mutation.name, f"{limit.value:g}", limit.unit)
        print(row.format(*said, *counts, spent), flush=True)
    print(row.format("all", "", "", "", "", *total, ""))
    for miss in misses:
        print(f"missed: {miss}", file=sys.stderr)
    return int(total[0] != total[1] or total[2] != total[3])


if __name__ == "__main__":
    raise SystemExit(main())
