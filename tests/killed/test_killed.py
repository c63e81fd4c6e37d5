"""A run killed at any of its file-system calls leaves the whole old set or the whole new one.

The whole command is killed at 200 moments by ``python tests/killed/run.py``; here the end of it, where the
folders change places, with a small set.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from cladmodel.folders.manifest import write_manifest
from cladmodel.folders.whole import staged

from ..building import ROOT
from .run import MINE, contents, judge, lay_out, older

VICTIM = ROOT / "tests" / "killed" / "victim.py"
POINTS = 20
NEAR = 5
"""Calls on either side of the exchange that are all tried."""

pytestmark = pytest.mark.skipif(os.name != "posix", reason="kill -9 as on Unix")


def run(at: int, place: Path, *words: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(VICTIM), str(at), str(place), *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)


def calls(place: Path, *words: object) -> list[str]:
    done = run(0, place, *words)
    assert done.returncode == 0, done.stderr
    return [line.removeprefix("call: ") for line in done.stdout.splitlines() if line.startswith("call: ")]


@pytest.fixture
def ready(tmp_path: Path) -> Path:
    folder = tmp_path / "ready"
    for name in ("model.glb", "report.md", "drawings/section.svg", "schedules/rod.csv"):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(name.encode() * 1000)
    return folder


def test_a_run_killed_at_any_call_leaves_a_whole_set_and_the_next_run_tidies(tmp_path, ready):
    old, out = tmp_path / "old", tmp_path / "place" / "out"
    older(ready, old)
    lay_out(old, out)
    listed = calls(out.parent, "put", ready, out)
    new = {name: data for name, data in contents(out).items() if name not in MINE}
    assert judge(out, contents(old), new) == "new"
    (swap,) = [n for n, call in enumerate(listed, start=1) if call.startswith("exchange")]
    assert NEAR < swap < len(listed) - NEAR
    spread = {1 + n * len(listed) // POINTS for n in range(POINTS - 2 * NEAR)}
    came_to = {}
    for at in sorted(spread | set(range(swap - NEAR, swap + NEAR))):
        lay_out(old, out)
        done = run(at, out.parent, "put", ready, out)
        assert done.returncode == -signal.SIGKILL, (at, done.stderr)
        came_to[at] = judge(out, contents(old), new)
        with staged(out) as stage:
            for name, data in new.items():
                (stage / name).parent.mkdir(exist_ok=True)
                (stage / name).write_bytes(data)
        assert judge(out, contents(old), new) == "new", at
        assert [p.name for p in out.parent.iterdir()] == ["out"], at
    assert came_to == {at: "old" if at <= swap else "new" for at in came_to}
    assert len(came_to) >= POINTS - 2


def test_a_file_of_a_command_killed_at_any_call_is_whole(tmp_path):
    """The one way that every command writes a single file, through the quickest of them."""
    place = tmp_path / "place"
    place.mkdir()
    listed = calls(place, "command", "new", place / "wall.toml")
    whole = (place / "wall.toml").read_bytes()
    assert [call.split()[0] for call in listed] == ["open", "os.rename"]
    left = set()
    for at in range(1, len(listed) + 1):
        (place / "wall.toml").unlink(missing_ok=True)
        assert run(at, place, "command", "new", place / "wall.toml").returncode == -signal.SIGKILL
        left.add((place / "wall.toml").read_bytes() if (place / "wall.toml").exists() else None)
    assert left <= {None, whole}


def test_the_judge_tells_a_mix_a_missing_folder_and_a_lost_file(tmp_path, ready):
    """A judge that could not say no would prove nothing."""
    old, out = tmp_path / "old", tmp_path / "place" / "out"
    older(ready, old)
    write_manifest(ready)
    sets = contents(old), contents(ready)
    lay_out(old, out)
    assert judge(out, *sets) == "old"
    (out / "report.md").write_bytes(sets[1]["report.md"])
    assert judge(out, *sets).startswith("mixed: ")
    lay_out(old, out)
    (out / "gone.txt").unlink()
    assert judge(out, *sets).startswith("mixed: ")
    lay_out(old, out)
    (out / "notes.txt").unlink()
    assert judge(out, *sets) == "lost: notes.txt"
    assert judge(out.parent / "else", *sets).startswith("missing: ")
