"""Thousands of random and hostile scenes through the command; exits 1 if any breaks a promise.

``python tests/fuzz/run.py --count 10000 --seed 1`` draws half of them from each generator: `hostile`, which
means harm, and `jobs`, which does not. Workers are separate processes with bounded memory; one that neither
ends nor answers is stopped and its scene kept.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .crew import Told

ROOT = Path(__file__).resolve().parents[2]


def _kept(told: Told, keep: Path, seed: int) -> None:
    name = f"{told.ran.end.replace(' ', '-')}-{told.generator}-{seed}-{told.number}"
    (keep / f"{name}.toml").write_bytes(told.case.data)
    about = (
        f"{told.case.family}; {told.case.place}; {told.case.words!r}\n{told.ran.why}\n"
        f"code {told.ran.code}, {told.ran.seconds:.1f} s, {told.ran.megabytes:.0f} MB, "
        f"{told.ran.pieces} pieces\n"
        f"{told.ran.err[:4000]}\n{told.ran.out[:4000]}\n"
    )
    (keep / f"{name}.txt").write_text(about, encoding="utf-8", errors="backslashreplace")


def main() -> int:
    """Parse, run, print."""
    words = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    words.add_argument("--count", type=int, default=10_000)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--first", type=int, default=0, help="number of the first scene")
    words.add_argument("--jobs", type=int, default=1, help="worker processes")
    words.add_argument("--only", choices=("hostile", "jobs"), help="one generator instead of both in turn")
    words.add_argument("--keep", type=Path, help="folder for every scene that breaks a promise")
    given = words.parse_args()
    sys.path.insert(0, str(ROOT))  # a script, yet one of a folder's modules
    from tests.fuzz.crew import GENERATORS, ran_through
    from tests.fuzz.through import End

    if given.keep is not None:
        given.keep.mkdir(parents=True, exist_ok=True)
    generators = (given.only,) if given.only else GENERATORS
    ends: Counter[tuple[str, str]] = Counter()
    slowest: list[tuple[float, str]] = []
    most = 0.0
    started = time.monotonic()
    for done, told in enumerate(ran_through(generators, given.count, given.seed, given.jobs, given.first), 1):
        ran = told.ran
        ends[told.generator, ran.end] += 1
        most = max(most, ran.megabytes)
        what = f"{told.generator} {told.number} ({told.case.family})"
        slowest = sorted([*slowest, (ran.seconds, f"{what}, {ran.end}")])[-8:]
        if ran.end.offends:
            print(f"{what}: {ran.end}: {ran.why[:200]!r}", flush=True)
            if given.keep is not None:
                _kept(told, given.keep, given.seed)
        if done % 500 == 0:
            print(f"... {done} in {time.monotonic() - started:.0f} s", flush=True)
    for generator in generators:
        counts = ", ".join(f"{ends[generator, end]} {end}" for end in End)
        print(f"{generator}: {sum(n for (g, _), n in ends.items() if g == generator)} scenes: {counts}")
    print("slowest: " + "; ".join(f"{seconds:.1f} s {what}" for seconds, what in reversed(slowest)))
    print(f"peak memory {most:.0f} MB; seed {given.seed}, {time.monotonic() - started:.0f} s in all")
    return int(any(End(end).offends for _, end in ends))


if __name__ == "__main__":
    sys.exit(main())
