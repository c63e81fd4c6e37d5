"""GLB files read back by other software: names, figures, shapes, places and the format's own rules."""

from __future__ import annotations

import io
import json
import struct
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from cladmodel.exports.gltf import glb_bytes
from cladmodel.model import Layer, Model, Part

SINGLE_PRECISION = 0.02  # mm: what a position may lose on the way into the file


def read(data: bytes) -> trimesh.Scene:
    return trimesh.load_scene(io.BytesIO(data), file_type="glb")


def document(data: bytes) -> dict:
    length, kind = struct.unpack_from("<II", data, 12)
    assert kind == 0x4E4F534A
    return json.loads(data[20 : 20 + length])


def mesh_of(scene: trimesh.Scene, mark: str) -> tuple[trimesh.Trimesh, np.ndarray]:
    """One node's mesh in its own axes, its corners joined again, and its place in the building. [mm]"""
    placed, geometry = scene.graph[mark]
    mesh = scene.geometry[geometry].copy()
    mesh.merge_vertices(merge_norm=True, merge_tex=True)
    mesh.apply_scale(1000.0)
    placed = placed.copy()
    placed[:3, 3] *= 1000.0
    return mesh, placed


def extras_of(scene: trimesh.Scene, name: str) -> dict:
    """A node's figures, which this reader keeps with the link to its parent."""
    (found,) = [
        link["metadata"] for (_, child), link in scene.graph.transforms.edge_data.items() if child == name
    ]
    return found


def solid_volume(part: Part) -> float:
    """From the tetrahedra between each triangle and the first vertex. [mm3]"""
    a, b, c = (part.vertices - part.vertices[0])[part.faces].swapaxes(0, 1)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


@pytest.fixture(scope="module")
def scene(model: Model) -> trimesh.Scene:
    return read(glb_bytes(model))


def test_every_part_is_a_node_of_its_own_name_with_its_figures(model: Model, scene: trimesh.Scene) -> None:
    for part in model.parts:
        extras = extras_of(scene, part.mark)
        assert extras["kind"] == part.kind
        assert extras["wall"] == part.wall
        assert extras.get("course") == part.course
        assert extras["cut_length_mm"] == part.cut_length_mm
        assert extras["section"] == part.section
        assert extras["material"] == part.material
        assert extras.get("assembly") == part.assembly


def test_names_are_not_used_twice(model: Model) -> None:
    names = [node["name"] for node in document(glb_bytes(model))["nodes"]]
    assert len(names) == len(set(names))


def test_every_part_comes_back_closed_and_as_large(model: Model, scene: trimesh.Scene) -> None:
    for part in model.parts:
        mesh, _ = mesh_of(scene, part.mark)
        assert mesh.is_volume, part.mark
        assert len(mesh.faces) == len(part.faces)
        assert mesh.volume == pytest.approx(solid_volume(part), rel=1e-3), part.mark


def test_a_metre_of_board_is_a_metre_long(scene: trimesh.Scene) -> None:
    _, geometry = scene.graph["N01-1"]
    assert scene.geometry[geometry].extents[0] == pytest.approx(1.000, abs=SINGLE_PRECISION / 1000)


def test_parts_lie_where_the_model_has_them(model: Model, scene: trimesh.Scene) -> None:
    for part in model.parts:
        mesh, placed = mesh_of(scene, part.mark)
        own = model.wall_by_name[part.wall].frame
        np.testing.assert_allclose(placed, own, atol=1e-6)
        found = trimesh.transform_points(mesh.vertices, placed)
        wanted = model.to_building(part.wall, part.vertices)
        gap = np.linalg.norm(found[:, None] - wanted[None], axis=2)
        assert gap.min(axis=0).max() < SINGLE_PRECISION, part.mark
        assert gap.min(axis=1).max() < SINGLE_PRECISION, part.mark


def test_a_lone_wall_is_not_turned(model: Model) -> None:
    nodes = document(glb_bytes(replace(model, walls=model.walls[:1], parts=model.parts[:5], fixings=())))[
        "nodes"
    ]
    assert not any({"matrix", "rotation", "translation", "scale"} & set(node) for node in nodes)


def test_building_then_wall_then_layer_then_part(model: Model) -> None:
    gltf = document(glb_bytes(model))
    nodes = gltf["nodes"]
    parent = {child: index for index, node in enumerate(nodes) for child in node.get("children", ())}
    index = {node["name"]: number for number, node in enumerate(nodes)}
    (root,) = gltf["scenes"][0]["nodes"]
    assert nodes[root]["name"] == "building"
    assert len(parent) == len(nodes) - 1
    for part in model.parts:
        layer = parent[index[part.mark]]
        wall = parent[layer]
        assert nodes[layer]["extras"] == {"wall": part.wall, "layer": part.layer}
        assert nodes[wall]["name"] == part.wall
        assert parent[wall] == root
    order = list(Layer)
    for wall in model.walls:
        layers = [nodes[child]["extras"]["layer"] for child in nodes[index[wall.name]]["children"]]
        assert layers == sorted(layers, key=order.index)


def test_normals_point_straight_out_of_flat_faces(scene: trimesh.Scene) -> None:
    for mesh in scene.geometry.values():
        corner = mesh.vertex_normals[mesh.faces]
        np.testing.assert_allclose(corner, np.repeat(mesh.face_normals[:, None], 3, axis=1), atol=2e-4)


def test_each_nail_is_a_node_and_its_point_where_it_should_be(model: Model, scene: trimesh.Scene) -> None:
    for group in model.fixings:
        points = model.to_building(group.wall, group.points)
        heads = model.to_building(group.wall, group.heads)
        for number in range(len(group.heads)):
            mesh, placed = mesh_of(scene, f"{group.mark}.{number + 1}")
            assert mesh.is_volume
            corners = trimesh.transform_points(mesh.vertices, placed)
            assert np.linalg.norm(corners - points[number], axis=1).min() < SINGLE_PRECISION
            # None of it lies farther out than the top of its head.
            along = (corners - heads[number]) @ (points[number] - heads[number]) / group.fastener.length
            top = group.fastener.head_thickness if group.fastener.headed else 0.0
            assert along.min() == pytest.approx(-top, abs=SINGLE_PRECISION)


def test_nails_of_one_size_share_one_mesh(model: Model) -> None:
    gltf = document(glb_bytes(model))
    used = {node["mesh"] for node in gltf["nodes"] if node["name"].startswith(("NN.", "ES."))}
    assert len(used) == 1
    assert len(gltf["meshes"]) == len(model.parts) + 2


def test_heads_only(model: Model) -> None:
    scene = read(glb_bytes(model, fixings="heads"))
    mesh, _ = mesh_of(scene, "NN")
    heads = mesh.split()
    assert len(heads) == 3
    assert all(head.is_volume for head in heads)
    found = sorted(head.centroid.round(1).tolist() for head in heads)
    assert found == sorted((model.fixings[0].heads + np.array([0, 0, 0.5])).tolist())
    assert extras_of(scene, "NN")["count"] == 3


def test_without_fixings(model: Model) -> None:
    names = {node["name"] for node in document(glb_bytes(model, fixings="none"))["nodes"]}
    assert not any(group.mark in names for group in model.fixings)
    assert "East fixings" not in names


def test_surroundings_only_when_asked_for(model: Model) -> None:
    def names(data: bytes) -> set[str]:
        return {node["name"] for node in document(data)["nodes"]}

    assert "ground" not in names(glb_bytes(model))
    assert "ground" in names(glb_bytes(model, surroundings=True))


def test_the_finish_colours_its_own_material_and_no_other(model: Model) -> None:
    plain = {entry["name"]: entry for entry in document(glb_bytes(model))["materials"]}
    black = {
        entry["name"]: entry
        for entry in document(glb_bytes(model, finish_colours={"board": (0.0, 0.5, 1.0)}))["materials"]
    }
    # 0.5 on the screen is 0.2140 of the light (sRGB curve).
    assert black["board"]["pbrMetallicRoughness"]["baseColorFactor"] == pytest.approx(
        [0.0, 0.2140, 1.0, 1.0], abs=1e-4
    )
    assert {name: entry for name, entry in plain.items() if name != "board"} == {
        name: entry for name, entry in black.items() if name != "board"
    }


def test_the_same_model_gives_the_same_bytes(model: Model) -> None:
    assert glb_bytes(model) == glb_bytes(replace(model))


def test_a_part_of_a_wall_that_is_not_there_is_not_lost_in_silence(model: Model) -> None:
    with pytest.raises(KeyError, match="West"):
        glb_bytes(replace(model, parts=(replace(model.parts[0], wall="West"),)))


def test_large_pieces_get_wide_indices(model: Model) -> None:
    ball = trimesh.creation.icosphere(subdivisions=6)  # 40,962 vertices, 81,920 planes
    part = replace(model.parts[0], vertices=ball.vertices * 100.0, faces=ball.faces)
    mesh, _ = mesh_of(read(glb_bytes(replace(model, parts=(part,)))), part.mark)
    assert mesh.is_volume
    assert mesh.volume == pytest.approx(ball.volume * 1e6, rel=1e-3)


@pytest.mark.parametrize("fixings", ["instances", "heads", "none"])
@pytest.mark.parametrize("surroundings", [False, True])
def test_the_validator_finds_nothing_to_say(model: Model, gltf_validator, fixings, surroundings) -> None:
    gltf_validator(glb_bytes(model, fixings=fixings, surroundings=surroundings))


def test_the_validator_passes_a_model_with_nothing_in_it(model: Model, gltf_validator) -> None:
    gltf_validator(glb_bytes(replace(model, parts=(), fixings=())), allow_hints=True)


def test_the_validator_would_say_something(model: Model, gltf_validator) -> None:
    data = glb_bytes(model).replace(b'"metallicFactor":0.0', b'"metallicFactor":9.0')
    with pytest.raises(AssertionError, match="VALUE_NOT_IN_RANGE"):
        gltf_validator(data)
