"""USDZ files opened and validated by the format's own library."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh
from pxr import Gf, Usd, UsdGeom, UsdShade, UsdValidation

from cladmodel.exports.materials import LOOKS
from cladmodel.exports.usdz import usdz_bytes
from cladmodel.model import Model


@pytest.fixture
def opened(tmp_path: Path) -> Callable[..., Usd.Stage]:
    kept = []  # prims do not keep their stage alive

    def open_stage(model: Model, **options) -> Usd.Stage:
        file = tmp_path / "model.usdz"
        file.write_bytes(usdz_bytes(model, **options))
        kept.append(Usd.Stage.Open(str(file)))
        return kept[-1]

    return open_stage


def complaints(stage: Usd.Stage) -> list[str]:
    """Everything that all validators of the library hold against a stage."""
    registry = UsdValidation.ValidationRegistry()
    validators = [registry.GetOrLoadValidatorByName(each.name) for each in registry.GetAllValidatorMetadata()]
    assert len(validators) > 20
    return [error.GetMessage() for error in UsdValidation.ValidationContext(validators).Validate(stage)]


def meshes(stage: Usd.Stage) -> dict[str, Usd.Prim]:
    return {prim.GetCustomDataByKey("mark"): prim for prim in stage.Traverse() if prim.IsA(UsdGeom.Mesh)}


@pytest.mark.parametrize("kind", ["model", "hostile"])
def test_the_validators_find_nothing_to_say(kind: str, request: pytest.FixtureRequest, opened) -> None:
    assert complaints(opened(request.getfixturevalue(kind))) == []


@pytest.mark.parametrize("spoil", ["unit", "default", "binding", "shader"])
def test_the_validators_would_say_something(model: Model, opened, spoil: str) -> None:
    stage = Usd.Stage.Open(opened(model).Flatten())
    if spoil == "unit":
        stage.ClearMetadata("metersPerUnit")
    elif spoil == "default":
        stage.ClearDefaultPrim()
    elif spoil == "binding":
        meshes(stage)["N01-1"].RemoveAPI(UsdShade.MaterialBindingAPI)
    else:
        (shader, *_) = [prim for prim in stage.Traverse() if prim.IsA(UsdShade.Shader)]
        UsdShade.Shader(shader).CreateIdAttr("NoSuchSurface")
    assert complaints(stage)


def test_the_package_is_stored_plain_and_aligned(model: Model) -> None:
    data = usdz_bytes(model)
    (entry,) = zipfile.ZipFile(io.BytesIO(data)).infolist()
    assert entry.filename.endswith(".usdc")
    assert entry.compress_type == zipfile.ZIP_STORED
    name, extra = struct.unpack_from("<HH", data, entry.header_offset + 26)
    start = entry.header_offset + 30 + name + extra
    assert start % 64 == 0
    assert data[start : start + 8] == b"PXR-USDC"


def test_metres_y_up_and_something_to_open(model: Model, opened) -> None:
    stage = opened(model)
    assert UsdGeom.GetStageMetersPerUnit(stage) == 1.0
    assert UsdGeom.GetStageUpAxis(stage) == UsdGeom.Tokens.y
    assert stage.GetDefaultPrim().GetDisplayName() == model.title


def test_each_piece_carries_its_figures_and_stands_in_its_layer(model: Model, opened) -> None:
    found = meshes(opened(model))
    for part in model.parts:
        prim = found[part.mark]
        told = prim.GetCustomData()
        assert prim.GetDisplayName() == part.mark
        assert told["kind"] == part.kind
        assert told.get("course") == part.course
        assert told["cut_length_mm"] == part.cut_length_mm
        assert told["section"] == part.section
        assert told.get("assembly") == part.assembly
        layer = prim.GetParent()
        assert layer.GetDisplayName() == part.layer
        assert layer.GetParent().GetDisplayName() == part.wall


def test_heads_are_counted_and_each_is_a_solid_at_its_place(model: Model, opened) -> None:
    found = meshes(opened(model))
    for group in model.fixings:
        prim = found[group.mark]
        assert prim.GetCustomDataByKey("count") == len(group.heads)
        mesh = UsdGeom.Mesh(prim)
        faces = np.array(mesh.GetFaceVertexIndicesAttr().Get()).reshape(-1, 3)
        whole = trimesh.Trimesh(1000.0 * np.array(mesh.GetPointsAttr().Get(), float), faces)
        heads = whole.split()
        assert len(heads) == len(group.heads)
        assert all(head.is_volume for head in heads)
        gap = np.linalg.norm(np.array([head.centroid for head in heads])[:, None] - group.heads[None], axis=2)
        assert gap.min(axis=0).max() < 1.0  # mm: half the thickness of a head, or a pin's stub


def test_normals_point_straight_out_of_flat_faces(model: Model, opened) -> None:
    found = meshes(opened(model))
    for part in model.parts:
        mesh = UsdGeom.Mesh(found[part.mark])
        assert mesh.GetNormalsInterpolation() == UsdGeom.Tokens.faceVarying
        solid = trimesh.Trimesh(part.vertices, part.faces, process=False)
        normals = np.array(mesh.GetNormalsAttr().Get()).reshape(-1, 3, 3)
        np.testing.assert_allclose(normals, solid.face_normals[:, None].repeat(3, axis=1), atol=1e-4)


def test_the_finish_colours_its_own_material_and_no_other(model: Model, opened) -> None:
    def colour(stage: Usd.Stage, mark: str) -> Gf.Vec3f:
        material, _ = UsdShade.MaterialBindingAPI(meshes(stage)[mark]).ComputeBoundMaterial()
        surface, _, _ = material.ComputeSurfaceSource()
        return surface.GetInput("diffuseColor").Get()

    stage = opened(model, finish_colours={"board": (0.0, 0.5, 1.0)})
    # 0.5 on the screen is 0.2140 of the light (sRGB curve).
    np.testing.assert_allclose(colour(stage, "N01-1"), (0.0, 0.2140, 1.0), atol=1e-4)
    np.testing.assert_allclose(colour(stage, "NP1"), LOOKS["post"].linear, atol=1e-6)
