"""Where a picture's time goes, how long pictures take, and how much memory.

    python tests/bench/bench_pictures.py [SCENE ...] [--size 1600x1000]

For each scene: every step of one picture of final quality, then that picture whole, its quick sketch, and a
sheet of six finishes; clock and CPU seconds (all threads), and the process's largest memory so far. The first
step of a fresh machine also makes the maps of the grain; they are then in the cache. Leaves with 1 if a goal
is missed.
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from cladmodel.build import build_model, load_scene
from cladmodel.looks import choices_of
from cladmodel.model import Model
from cladmodel.views import cameras
from cladmodel.views.backdrop import backdrop
from cladmodel.views.comparing import compare
from cladmodel.views.finishes import Finish
from cladmodel.views.lettering import caption, save
from cladmodel.views.palette import palette
from cladmodel.views.preview import RAYS, Taken, daylight_on, preview, with_surroundings
from cladmodel.views.rendering import render
from cladmodel.views.staging import stage

SCENES = Path(__file__).resolve().parents[2] / "scenes"
# Goals, on two cores without a graphics card. Seconds of clock, and GB.
GOALS = {"final picture": 20.0, "quick picture": 4.0, "six finishes on a sheet": 60.0}
MEMORY_GOAL = 2.5
SUPERSAMPLE = 2
SEED = 1


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("scenes", nargs="*", type=Path, default=[SCENES / "seed-store.toml"])
    parser.add_argument("--size", default="1600x1000")
    asked = parser.parse_args()
    wide, high = (int(side) for side in asked.size.split("x"))
    missed = 0
    for path in asked.scenes:
        scene = load_scene(path)
        model = build_model(scene)
        print(f"{path.name}, {wide}x{high}")
        with tempfile.TemporaryDirectory() as name:
            missed += measured(model, choices_of(scene), (wide, high), Path(name))
    return 1 if missed else 0


def measured(model: Model, finishes: list[Finish], size: tuple[int, int], folder: Path) -> int:
    """Print every time of one scene; how many goals were missed."""
    steps(model, finishes[0], size, folder / "steps.png")
    missed = 0
    for title, work in {
        "quick picture": lambda: preview(model, finishes[0], folder / "quick.png", size=size, quick=True),
        "final picture": lambda: preview(model, finishes[0], folder / "final.png", size=size),
        "six finishes on a sheet": lambda: compare(model, finishes[:6], folder / "sheet.png", size=size),
    }.items():
        clock, _ = timed(title, work)
        missed += clock > GOALS[title]
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"  {'largest memory':28s} {memory:6.2f} GB   goal {MEMORY_GOAL}")
    return missed + (memory > MEMORY_GOAL)


def steps(model: Model, finish: Finish, size: tuple[int, int], path: Path) -> None:
    """One picture, step by step as `preview` takes them."""
    _, parts = timed("surroundings", lambda: with_surroundings(model))
    camera = cameras.three_quarter(model, parts, size).fitted(size)
    daylight = daylight_on(model)
    shown = [part for part in parts if part.section != "grass"]
    ground = cameras.ground_level(model)
    _, scene = timed("stage: triangles, tracer", lambda: stage(model, shown, model.fixings, SEED, ground))
    finest = camera.pixel_size(cameras.points_of(model, parts), size) / SUPERSAMPLE
    _, painted = timed("palette: grain, coats", lambda: palette(scene, finish, finest=finest))
    _, behind = timed("backdrop", lambda: backdrop(daylight, SEED))
    _, picture = timed(
        "rays",
        lambda: render(
            scene,
            painted,
            camera,
            size,
            daylight=daylight,
            backdrop=behind,
            supersample=SUPERSAMPLE,
            rays=RAYS,
        ),
    )
    shot = Taken(stage=scene, camera=camera, picture=picture)
    timed("tone, lettering, PNG", lambda: save(caption(shot.shown, "bench"), path, "bench"))


def timed(title: str, work: Callable[[], Any]) -> tuple[float, Any]:
    """Do and print; seconds of clock and what came of it."""
    clock, cpu = time.perf_counter(), time.process_time()
    made = work()
    clock, cpu = time.perf_counter() - clock, time.process_time() - cpu
    goal = f"   goal {GOALS[title]:.0f} s" if title in GOALS else ""
    print(f"  {title:28s} {clock:6.2f} s  {cpu:6.2f} s CPU{goal}", flush=True)
    return clock, made


if __name__ == "__main__":
    sys.exit(main())
