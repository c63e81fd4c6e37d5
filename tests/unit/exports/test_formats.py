"""The ending of a file's name picks its format; any other ending is refused with the list."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from cladmodel.errors import OutputError
from cladmodel.exports.formats import FORMATS, export, format_of
from cladmodel.exports.gltf import glb_bytes
from cladmodel.exports.ifc import ifc_bytes
from cladmodel.exports.materials import FinishLook
from cladmodel.exports.stl import stl_bytes
from cladmodel.exports.threemf import threemf_bytes
from cladmodel.exports.usdz import usdz_bytes
from cladmodel.model import Kind, Model, Part, Wall


@pytest.fixture
def model() -> Model:
    mesh = trimesh.creation.box((1000.0, 170.0, 20.0))
    wall = Wall(
        name="North",
        frame=np.eye(4),
        length=1000.0,
        outline=np.array([[0.0, 0], [1000, 0], [1000, 170], [0, 170]]),
        ground=-150.0,
        head=170.0,
        openings=(),
        rod=np.array([0.0, 170]),
        depth_to_frame=35.0,
        frame_depth=140.0,
    )
    part = Part(
        mark="A01-1",
        kind=Kind.BOARD,
        wall="North",
        vertices=np.array(mesh.vertices),
        faces=np.array(mesh.faces),
        course=1,
        material="board",
    )
    return Model(title="One board", walls=(wall,), parts=(part,), fixings=())


def test_endings_pick_the_format(model: Model, tmp_path: Path) -> None:
    assert export(model, tmp_path / "a.glb").read_bytes() == glb_bytes(model)
    assert export(model, tmp_path / "a.STL").read_bytes() == stl_bytes(model)
    assert export(model, tmp_path / "a.3mf").read_bytes() == threemf_bytes(model)
    assert export(model, tmp_path / "a.usdz").read_bytes() == usdz_bytes(model)
    assert export(model, tmp_path / "a.ifc").read_bytes() == ifc_bytes(model)


@pytest.mark.parametrize(
    ("ending", "write"),
    [(".glb", glb_bytes), (".3mf", threemf_bytes), (".usdz", usdz_bytes), (".ifc", ifc_bytes)],
)
def test_the_finish_reaches_a_format_that_has_colour(
    model: Model, tmp_path: Path, ending: str, write
) -> None:
    black = {"board": (0.1, 0.1, 0.1)}
    written = export(model, tmp_path / f"a{ending}", finish_colours=black).read_bytes()
    assert written == write(model, finish_colours=black)
    assert written != write(model)


def test_finishes_to_switch_between_reach_a_format_that_has_them(model: Model, tmp_path: Path) -> None:
    finishes = (FinishLook(title="Black", colours={"board": (0.1, 0.1, 0.1)}),)
    written = export(model, tmp_path / "a.glb", finishes=finishes).read_bytes()
    assert written == glb_bytes(model, finishes=finishes)
    assert written != glb_bytes(model)
    assert export(model, tmp_path / "a.stl", finishes=finishes).read_bytes() == stl_bytes(model)


@pytest.mark.parametrize(("ending", "package"), [("usdz", "pxr"), ("ifc", "ifcopenshell")])
def test_a_format_whose_package_is_missing_says_what_to_install_and_writes_nothing(
    model: Model, tmp_path: Path, hide, ending: str, package: str
) -> None:
    hide(package)
    (tmp_path / f"a.{ending}").write_bytes(b"old")
    told = rf"^this format needs .* is not installed: in cladmodel's folder, pip install '\.\[{ending}\]'$"
    with pytest.raises(OutputError, match=told):
        format_of(f"a.{ending}")  # before anything is built
    with pytest.raises(OutputError, match=told):
        export(model, tmp_path / f"a.{ending}")
    assert (tmp_path / f"a.{ending}").read_bytes() == b"old"
    assert export(model, tmp_path / "a.3mf").exists()


@pytest.mark.parametrize("name", ["model.doc", "model", "model.glb.bak", ".glb"])
def test_an_unknown_ending_lists_the_known_ones(model: Model, tmp_path: Path, name: str) -> None:
    with pytest.raises(OutputError, match=name) as raised:
        export(model, tmp_path / name)
    assert all(ending in str(raised.value) for ending in FORMATS)
    assert list(tmp_path.iterdir()) == []


def test_every_format_says_what_it_is_and_writes_something(model: Model) -> None:
    for ending, known in FORMATS.items():
        assert ending == ending.lower()
        assert known.title
        assert len(known.encode(model, None, ())) > 84
