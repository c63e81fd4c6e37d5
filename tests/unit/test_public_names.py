"""The public names: a short list, each one there."""

from __future__ import annotations

import subprocess
import sys

import pytest

import cladmodel

NAMES = [
    "Finding",
    "Fixings",
    "Kind",
    "Model",
    "Part",
    "Scene",
    "SceneError",
    "build_model",
    "build_planned",
    "export",
    "exposure_of",
    "load_scene",
    "load_scene_text",
    "preview",
    "rules_of",
    "run_checks",
]


def test_the_list_is_exactly_this():
    assert sorted(cladmodel.__all__) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_each_name_is_what_it_says(name):
    thing = getattr(cladmodel, name)
    assert thing.__name__ == name
    assert thing.__module__.startswith("cladmodel.")
    assert (thing.__doc__ or "").strip()
    assert name in dir(cladmodel)


def test_no_other_name():
    with pytest.raises(AttributeError, match="no attribute 'wall'"):
        _ = cladmodel.wall


def test_the_public_names_do_the_whole_job(tmp_path):
    scene = cladmodel.load_scene_text('title = "Wall"\n[wall]\nlength = 3600\nheight = 2400\n')
    model = cladmodel.build_model(scene)
    findings = cladmodel.run_checks(model, cladmodel.rules_of(scene))
    assert {str(f.verdict) for f in findings} == {"ok"}
    assert cladmodel.export(model, tmp_path / "wall.stl").stat().st_size > 10_000


def test_importing_the_package_loads_nothing_heavy():
    code = "import cladmodel, sys\nprint(sorted(m for m in sys.modules if m.split('.')[0] in sys.argv[1:]))"
    heavy = [
        "numpy",
        "scipy",
        "shapely",
        "pydantic",
        "typer",
        "pyvista",
        "trimesh",
        "matplotlib",
        "manifold3d",
    ]
    done = subprocess.run(
        [sys.executable, "-c", code, *heavy], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"
