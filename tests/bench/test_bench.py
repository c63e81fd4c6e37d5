import re
import subprocess
import sys
from pathlib import Path

import cladmodel

SCRIPT = Path(__file__).with_name("bench_all.py")


def test_the_benchmark_of_every_step_runs_and_writes_its_page(tmp_path):
    page = tmp_path / "speed.md"
    done = subprocess.run(
        [sys.executable, SCRIPT, "--quick", "--write", page], capture_output=True, text=True, check=False
    )
    # Whether a goal is met is the machine's affair; that every step was done, and is written down, is ours.
    assert done.returncode in (0, 1), done.stderr
    text = page.read_text("utf-8")
    assert "not done" not in text
    pieces = len(
        cladmodel.build_model(cladmodel.load_scene(SCRIPT.parents[2] / "scenes" / "seed-store.toml")).parts
    )
    assert f"Seed store: {pieces} pieces" in text
    timed = dict(re.findall(r"^\| ([^|]+) \| ([0-9.]+) \| [0-9.]+ \| [0-9.]+ \|", text, re.MULTILINE))
    assert {
        "scene text to model",
        "plates to solids, manifold3d",
        "all checks, three times over",
        "GLB",
        "STL",
    } <= set(timed)
    assert all(float(seconds) > 0 for seconds in timed.values())
    assert "plates to solids, manifold3d / ours" in done.stdout
