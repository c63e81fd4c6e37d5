"""How much less work plates are than booleans: the same wall, the same plates, in the same run.

    python tests/bench/bench_solids.py [SCENE] [--rounds 15]

Prints CPU time (all threads of this process, medians of the rounds, the ways taken in turn so that
a busy machine troubles all alike) and ratios, each beside its goal. Leaves with 1 if a goal is missed.
The other ways are written as someone would who knows those libraries: one extrusion a plate, one
plane cut for the taper, one placing. Plates with plumb edges are given to them square, which is less
work than ours.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import manifold3d
import numpy as np
import shapely
import trimesh

from cladmodel import build
from cladmodel.checks.run import run_checks
from cladmodel.exports.gltf import glb_bytes
from cladmodel.exports.stl import stl_bytes
from cladmodel.scene.job import Scene
from cladmodel.solids import plates as plates_module
from cladmodel.solids.plates import Plate, Solid

# A wall of some 500 parts: what the goals were set for.
LONG_WALL = """
title = "Long store with a door and three windows"
[wall]
length = 17400
height = 3000
[[opening]]
name = "window 1"
left = 1530
width = 1140
sill = 950
head = 2100
[[opening]]
name = "door"
kind = "door"
left = 5130
width = 940
head = 2100
[[opening]]
name = "window 2"
left = 9330
width = 1140
sill = 950
head = 2100
[[opening]]
name = "window 3"
left = 12930
width = 540
sill = 1200
head = 2100
"""

Lift = Callable[[Sequence[Plate]], list[Solid]]

# Goals of the first release; ratios of CPU time, and seconds.
SOLIDS_GOAL = 10.0
PIPELINE_GOAL = 2.5
CHECKS_GOAL = 1.0


def greatest_thickness(plate: Plate) -> float:
    """Thickness where a plate is thickest, which is what an extrusion must start from. [mm]"""
    _, low, _, high = plate.polygon.bounds
    return plate.thickness - min(plate.taper * low, plate.taper * high)


def lift_by_manifold(plates: Sequence[Plate]) -> list[Solid]:
    """Each plate extruded, its taper trimmed off, and placed, by manifold3d."""
    solids = []
    for plate in plates:
        polygon = shapely.orient_polygons(plate.polygon)
        rings = [np.asarray(ring.coords)[:-1] for ring in (polygon.exterior, *polygon.interiors)]
        body = manifold3d.Manifold.extrude(manifold3d.CrossSection(rings), greatest_thickness(plate))
        if plate.taper:
            slope = np.hypot(1.0, plate.taper)
            body = body.trim_by_plane((0.0, -plate.taper / slope, -1.0 / slope), -plate.thickness / slope)
        mesh = body.transform(plate.frame).to_mesh64()
        faces = np.asarray(mesh.tri_verts).astype(np.int64)
        solids.append(Solid(vertices=np.asarray(mesh.vert_properties)[:, :3], faces=faces))
    return solids


def lift_by_trimesh(plates: Sequence[Plate]) -> list[Solid]:
    """Each plate extruded, its taper sliced off and capped, and placed, by trimesh."""
    solids = []
    for plate in plates:
        mesh = trimesh.creation.extrude_polygon(plate.polygon, greatest_thickness(plate))
        if plate.taper:
            mesh = mesh.slice_plane((0.0, 0.0, plate.thickness), (0.0, -plate.taper, -1.0), cap=True)
        mesh.apply_transform(np.vstack([plate.frame, [0.0, 0.0, 0.0, 1.0]]))
        solids.append(Solid(vertices=np.asarray(mesh.vertices), faces=np.asarray(mesh.faces)))
    return solids


@contextmanager
def lifting_with(way: Lift) -> Iterator[None]:
    """Let every module of the package that lifts plates do it another way for a while."""
    ours = plates_module.lift
    users = [
        module
        for name, module in sys.modules.items()
        if name.startswith("cladmodel") and getattr(module, "lift", None) is ours
    ]
    for module in users:
        module.lift = way  # type: ignore[attr-defined]
    try:
        yield
    finally:
        for module in users:
            module.lift = ours  # type: ignore[attr-defined]


def recorded_plates(job: Scene) -> list[list[Plate]]:
    """All plates that a build lifts, call by call."""
    calls: list[list[Plate]] = []
    ours = plates_module.lift

    def record(plates: Sequence[Plate]) -> list[Solid]:
        calls.append(list(plates))
        return ours(plates)

    with lifting_with(record):
        build.build_model(job)
    return [call for call in calls if call]


def volume(solid: Solid) -> float:
    """Volume from the tetrahedra on the first vertex. [mm3]"""
    a, b, c = (solid.vertices - solid.vertices[0])[solid.faces].swapaxes(0, 1)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def in_turn(rounds: int, *ways: Callable[[], object]) -> list[float]:
    """Median CPU time of each way, one round of all after another. [s]"""
    times: list[list[float]] = [[] for _ in ways]
    for _ in range(rounds):
        for index, way in enumerate(ways):
            start = time.process_time()
            way()
            times[index].append(time.process_time() - start)
    return [statistics.median(taken) for taken in times]


def agree(plates: Sequence[Plate]) -> float:
    """Largest relative difference in volume between the three ways, over square-cut plates."""
    square = [plate for plate in plates if not plate.plumb]
    ours = np.array([volume(solid) for solid in plates_module.lift(square)])
    theirs = [[volume(solid) for solid in way(square)] for way in (lift_by_manifold, lift_by_trimesh)]
    return float(max(np.abs(np.array(other) / ours - 1).max() for other in theirs))


def main() -> int:
    """Measure, print, and say whether every goal was met."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument(
        "scene", nargs="?", type=Path, help="a scene file; without it, a wall of some 500 parts"
    )
    parser.add_argument("--rounds", type=int, default=15)
    given = parser.parse_args()
    missed = 0

    def line(what: str, value: str, goal: str = "", met: bool = True) -> None:
        nonlocal missed
        missed += not met
        print(f"{what:<58}{value:>12}  {goal}{'' if met else '  MISSED'}")

    text = given.scene.read_text("utf-8") if given.scene else LONG_WALL
    job = build.load_scene_text(text)
    model = build.build_model(job)
    calls = recorded_plates(job)
    plates = [plate for call in calls for plate in call]
    fixings = sum(len(group.heads) for group in model.fixings)
    print(f"{job.title}: {len(model.parts)} parts, {len(plates)} plates, {fixings} fixings")
    apart = agree(plates)
    line("largest difference in volume between the three ways", f"{apart:.1e}", "under 1e-6", apart < 1e-6)

    ours, theirs = in_turn(given.rounds, lambda: plates_module.lift(plates), lambda: lift_by_manifold(plates))
    (slicing,) = in_turn(max(1, given.rounds // 4), lambda: lift_by_trimesh(plates))
    line("plates to solids, ours", f"{ours * 1e3:.2f} ms")
    line("the same by manifold3d, a plate at a time", f"{theirs * 1e3:.1f} ms")
    line("the same by trimesh, a plate at a time", f"{slicing * 1e3:.0f} ms")
    ratio = theirs / ours
    line("manifold3d / ours", f"{ratio:.1f} x", f"at least {SOLIDS_GOAL:g}", ratio >= SOLIDS_GOAL)
    line("trimesh / ours", f"{slicing / ours:.0f} x")

    def whole(way: Lift) -> Callable[[], object]:
        def run() -> None:
            with lifting_with(way):
                build.build_model(build.load_scene_text(text))

        return run

    ours, theirs = in_turn(given.rounds, whole(plates_module.lift), whole(lift_by_manifold))
    line("scene file to model, ours", f"{ours * 1e3:.1f} ms")
    line("the same with manifold3d lifting the plates", f"{theirs * 1e3:.1f} ms")
    ratio = theirs / ours
    line("with manifold3d / ours", f"{ratio:.1f} x", f"at least {PIPELINE_GOAL:g}", ratio >= PIPELINE_GOAL)

    rules = build.rules_of(job)
    # A fresh copy each round: what a check keeps for the next one must be paid for.
    (checking,) = in_turn(max(3, given.rounds // 3), lambda: run_checks(replace(model), rules))
    line(
        f"all checks, {len(model.parts)} parts",
        f"{checking:.2f} s",
        f"under {CHECKS_GOAL:g}",
        checking < CHECKS_GOAL,
    )
    glb, stl = in_turn(given.rounds, lambda: glb_bytes(model), lambda: stl_bytes(model))
    line("GLB", f"{glb * 1e3:.0f} ms")
    line("STL", f"{stl * 1e3:.1f} ms")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
