"""Whole jobs, built from their scenes, written, and read back by other software."""

from __future__ import annotations

import io
import json
from pathlib import Path

import ifcopenshell
import ifcopenshell.util.element
import ifcopenshell.validate
import numpy as np
import pytest
import trimesh

from cladmodel.build import build_model, load_scene, load_scene_text
from cladmodel.exports.gltf import glb_bytes
from cladmodel.exports.ifc import ifc_bytes
from cladmodel.exports.printing import printable_stl
from cladmodel.exports.stl import TRIANGLE, stl_bytes
from cladmodel.model import Model, Part

from .readers import FORMATS, standing

SINGLE_PRECISION = 0.02  # mm: what a position may lose on the way into the file
EXAMPLES = sorted((Path(__file__).parents[2] / "scenes").glob("*.toml"))
WINDOW_AND_DOOR = """
title = "Store with a window and a door"
[wall]
length = 6400
height = 2450
[[opening]]
name = "window"
left = 930
width = 1140
sill = 950
head = 2000
[[opening]]
name = "door"
kind = "door"
left = 4530
width = 940
head = 2050
"""


@pytest.fixture(
    scope="module", params=[WINDOW_AND_DOOR, *EXAMPLES], ids=lambda job: getattr(job, "stem", "store")
)
def built(request: pytest.FixtureRequest) -> Model:
    job = request.param
    return build_model(load_scene(job) if isinstance(job, Path) else load_scene_text(job))


def volume_of(part: Part) -> float:
    a, b, c = (part.vertices - part.vertices[0])[part.faces].swapaxes(0, 1)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def test_glb_has_every_part_closed_and_of_its_size(built: Model) -> None:
    scene = trimesh.load_scene(io.BytesIO(glb_bytes(built)), file_type="glb")
    for part in built.parts:
        placed, geometry = scene.graph[part.mark]
        np.testing.assert_allclose(placed[:3, :3], built.wall_by_name[part.wall].frame[:3, :3], atol=1e-9)
        mesh = scene.geometry[geometry].copy()
        mesh.merge_vertices(merge_norm=True, merge_tex=True)
        mesh.apply_scale(1000.0)
        assert mesh.is_volume, part.mark
        assert mesh.volume == pytest.approx(volume_of(part), rel=1e-3), part.mark
        bounds = np.array([part.vertices.min(axis=0), part.vertices.max(axis=0)])
        np.testing.assert_allclose(mesh.bounds, bounds, atol=SINGLE_PRECISION)


def test_glb_has_every_fixing(built: Model) -> None:
    data = glb_bytes(built)
    nodes = json.loads(data[20 : 20 + int.from_bytes(data[12:16], "little")])["nodes"]
    names = [node["name"] for node in nodes]
    assert len(names) == len(set(names))
    wanted = {f"{group.mark}.{number + 1}" for group in built.fixings for number in range(len(group.heads))}
    assert wanted
    assert wanted <= set(names)


def test_the_validator_finds_nothing_to_say(built: Model, gltf_validator) -> None:
    gltf_validator(glb_bytes(built))
    gltf_validator(glb_bytes(built, fixings="heads", surroundings=True))


def test_stl_pieces_are_volumes_and_add_up(built: Model) -> None:
    triangles = np.frombuffer(stl_bytes(built)[84:], TRIANGLE)["corners"]
    pieces = np.split(triangles, np.cumsum([len(part.faces) for part in built.parts])[:-1])
    total = 0.0
    for part, piece in zip(built.parts, pieces, strict=True):
        mesh = trimesh.Trimesh(piece.reshape(-1, 3), np.arange(3 * len(piece)).reshape(-1, 3))
        assert mesh.is_volume, part.mark
        total += mesh.volume
    assert total == pytest.approx(sum(volume_of(part) for part in built.parts), rel=1e-5)


@pytest.mark.parametrize(("write", "read"), FORMATS.values(), ids=FORMATS)
def test_every_format_has_every_piece_by_name_as_large_and_in_place(built: Model, write, read) -> None:
    found = read(write(built))
    assert sorted(found) == sorted(part.mark for part in built.parts)
    total = 0.0
    for part in built.parts:
        mesh = found[part.mark]
        assert mesh.volume == pytest.approx(volume_of(part), rel=1e-3), part.mark
        wanted = standing(built.to_building(part.wall, part.vertices))
        bounds = [wanted.min(axis=0), wanted.max(axis=0)]
        np.testing.assert_allclose(mesh.bounds, bounds, atol=SINGLE_PRECISION, err_msg=part.mark)
        total += float(mesh.volume)
    assert total == pytest.approx(sum(volume_of(part) for part in built.parts), rel=1e-5)


def test_the_print_is_one_closed_body(built: Model) -> None:
    mesh = trimesh.load_mesh(io.BytesIO(printable_stl(built, 1 / 20)), file_type="stl")
    assert mesh.is_volume
    assert mesh.body_count == 1
    # Pieces do not overlap, so the union is as large as their sum.
    assert mesh.volume * 20**3 == pytest.approx(sum(volume_of(part) for part in built.parts), rel=1e-3)


def test_ifc_has_no_issues_and_every_fixing_counted(built: Model) -> None:
    file = ifcopenshell.file.from_string(ifc_bytes(built).decode("ascii"))
    log = ifcopenshell.validate.json_logger()
    ifcopenshell.validate.validate(file, log)  # the schema's where-rules are run on the small building
    assert log.statements == []
    for wall in built.walls:
        told = [
            ifcopenshell.util.element.get_pset(each, "Cladmodel_Fixings", "Count")
            for each in file.by_type("IfcMechanicalFastener")
            if ifcopenshell.util.element.get_aggregate(each).Name == wall.name
        ]
        assert sum(told) == sum(len(group.heads) for group in built.fixings if group.wall == wall.name)
