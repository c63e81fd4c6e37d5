"""Kill `cladmodel build` at many moments, and judge the folder it was writing to after each.

    python tests/killed/run.py [--points 200] [--scene scenes/bare-wall.toml] [--words --no-pictures]

Half of the points are **moments**: the whole command, with its whole process group, is killed when it has
used so much of the CPU time that a full run uses, spread evenly from start to end. The other half are
**calls**: the set that the command made is put in place by a run that is killed at one of its file-system
calls, every call round the exchange of the two folders and the rest spread evenly. Each starts from an older
set that differs in every file, with files of the user's own in it; after each the folder must hold the old
set or the new one byte for byte and the user's files, and the next run must leave the new set and nothing
beside it. Last, the commands that write a single file are killed at every one of their calls. Leaves with 1
if any point fails.
"""

from __future__ import annotations

import argparse
import collections
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from cladmodel.folders.whole import staged

HERE = Path(__file__).parent
COMMAND = [sys.executable, "-c", "from cladmodel.cli import main; main()"]
VICTIM = [sys.executable, str(HERE / "victim.py")]
NEAR = 25
"""Calls on either side of the exchange that are all tried."""
MINE = {"notes.txt": b"the user's own", "drawings/sketch.svg": b"the user's own too", "photos/1/a.txt": b"a"}

Contents = dict[str, bytes]


def contents(folder: Path) -> Contents:
    """Every file in a folder by its name, byte for byte."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def older(ready: Path, target: Path) -> None:
    """Make a set that differs from a ready-made one in every file, and has one that the other has not."""
    with staged(target) as stage:
        for name, data in contents(ready).items():
            file = stage / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(data[: len(data) // 2] + b"an older set")
        (stage / "gone.txt").write_bytes(b"of the older set alone")


def lay_out(old: Path, out: Path) -> None:
    """Put an old set and the user's own files where a run will find them, and nothing else beside them."""
    shutil.rmtree(out.parent, ignore_errors=True)
    shutil.copytree(old, out)
    for name, data in MINE.items():
        file = out / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)


def judge(out: Path, old: Contents, new: Contents) -> str:
    """Say which set a folder holds.

    Returns
    -------
    str
        ``old`` or ``new``; else what is wrong, in words that begin with ``mixed``, ``missing`` or ``lost``.
    """
    if not out.is_dir():
        return "missing: no folder"
    found = contents(out)
    lost = [name for name, data in MINE.items() if found.pop(name, None) != data]
    if lost:
        return f"lost: {', '.join(lost)}"
    if found == old:
        return "old"
    if found == new:
        return "new"
    odd = [n for n in sorted({*found, *old, *new}) if found.get(n) not in (old.get(n), new.get(n))]
    return f"mixed: {len(found)} files, {len(old)} in the old set, {len(new)} in the new; neither: {odd[:5]}"


def used(pid: int) -> float:
    """CPU time of a process so far. [s]"""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except FileNotFoundError:
        return 0.0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def build(words: list[str], until: float) -> tuple[float, bool]:
    """Run the command; kill its process group when it has used so much CPU time. [s]

    Returns
    -------
    float, bool
        CPU time that it used, and whether it was killed or had ended before.
    """
    run = subprocess.Popen(
        [*COMMAND, *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
    )
    spent = 0.0
    while run.poll() is None:
        spent = max(spent, used(run.pid))
        if spent >= until:
            os.killpg(run.pid, signal.SIGKILL)
            run.wait()
            return spent, run.returncode == -signal.SIGKILL
        time.sleep(0.002)
    return spent, False


def put(at: int, ready: Path, out: Path) -> list[str]:
    """Put a ready-made set in place, killed at one of its calls; return the calls if it lived."""
    done = subprocess.run(
        [*VICTIM, str(at), str(out.parent), "put", str(ready), str(out)], capture_output=True, text=True
    )
    if done.returncode not in (0, -signal.SIGKILL):
        sys.exit(done.stderr)
    return [line for line in done.stdout.splitlines() if line.startswith("call: ")]


def tidied(ready: Path, out: Path, old: Contents, new: Contents) -> str:
    """Run again to the end, and say what is wrong then, if anything."""
    put(0, ready, out)
    beside = sorted(p.name for p in out.parent.iterdir() if p != out)
    came_to = judge(out, old, new)
    return f"left beside it: {beside}" if beside else "" if came_to == "new" else f"afterwards {came_to}"


def single_files(scene: str, place: Path) -> list[str]:
    """Kill each command that writes one file at every call on it; return what went wrong."""
    wrong = []
    for words in (
        ["new", "FILE.toml"],
        ["export", scene, "FILE.glb"],
        ["page", scene, "--out", "FILE.html"],
        ["render", scene, "FILE.png", "--quick", "--size", "320x200"],
    ):
        shutil.rmtree(place, ignore_errors=True)
        place.mkdir()
        given = [str(place / word) if word.startswith("FILE") else word for word in words]
        (file,) = (Path(word) for word in given if word.startswith(str(place)))
        victim = [*VICTIM, "0", str(place), "command", *given]
        done = subprocess.run(victim, capture_output=True, text=True)
        count = sum(line.startswith("call: ") for line in done.stdout.splitlines())
        whole, before = file.read_bytes(), b"an older file" if words[0] != "new" else None
        for at in range(1, count + 1):
            file.unlink()
            if before:
                file.write_bytes(before)
            subprocess.run([*VICTIM, str(at), *victim[3:]], capture_output=True)
            found = file.read_bytes() if file.exists() else None
            if found not in (before, whole):
                wrong.append(f"{words[0]} killed at call {at}")
            file.write_bytes(whole)
        print(f"{words[0]:<8} killed at each of its {count} calls on {file.name}", flush=True)
        if not count:
            wrong.append(f"{words[0]}: no call was seen")
    return wrong


def main() -> int:
    """Kill, judge, print, and say whether every point came out whole."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--points", type=int, default=200)
    parser.add_argument("--scene", default=str(HERE.parents[1] / "scenes" / "bare-wall.toml"))
    parser.add_argument("--words", nargs=argparse.REMAINDER, default=["--no-pictures"])
    given = parser.parse_args()
    room = Path(tempfile.mkdtemp(prefix="killed-"))
    ready, old, out = room / "ready", room / "old", room / "place" / "out"
    words = ["build", given.scene, *given.words, "--out"]
    full, _ = build([*words, str(ready)], float("inf"))
    older(ready, old)
    before, after = contents(old), contents(ready)
    if set(before) & set(after) == set(before) or any(before[n] == after[n] for n in after):
        sys.exit("the older set does not differ in every file")
    lay_out(old, out)
    calls = put(0, ready, out)
    (swap,) = [n for n, call in enumerate(calls, start=1) if "exchange" in call]
    moments = given.points // 2
    most = given.points - moments
    near = list(range(max(1, swap - NEAR), min(len(calls), swap + NEAR) + 1))[:most]
    rest = [n for n in range(1, len(calls) + 1) if n not in near]
    far = [rest[i * len(rest) // (most - len(near))] for i in range(most - len(near))] if rest else []
    print(
        f"a full run uses {full:.1f} s of CPU and makes {len(after)} files, {len(MINE)} are the user's; "
        f"putting them in place makes {len(calls)} calls, number {swap} is the exchange",
        flush=True,
    )
    tally: collections.Counter[tuple[str, str]] = collections.Counter()
    wrong: list[str] = []

    def judged(kind: str, where: str) -> None:
        came_to = judge(out, before, after)
        tally[kind, came_to] += 1
        fault = (came_to if came_to not in ("old", "new") else "") or tidied(ready, out, before, after)
        if fault:
            wrong.append(f"{kind} {where}: {fault}")

    for n in range(moments):
        until, killed = full * (n + 0.5) / moments, False
        while not killed:  # a run may use less than the one measured, and end before its moment
            lay_out(old, out)
            spent, killed = build([*words, str(out)], until)
            until *= 0.98
        judged("moment", f"{spent:.2f} s of CPU")
    for at in sorted([*near, *far]):
        lay_out(old, out)
        if put(at, ready, out):
            wrong.append(f"call {at}: was never made")
        judged("call", f"{at}, {calls[at - 1]}")
    for (kind, came_to), count in sorted(tally.items()):
        print(f"{count:5} points by {kind}: {came_to}")
    wrong += single_files(given.scene, room / "single")
    shutil.rmtree(room)
    for line in wrong:
        print(f"WRONG  {line}")
    print(f"{sum(tally.values())} kill points, {len(wrong)} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
