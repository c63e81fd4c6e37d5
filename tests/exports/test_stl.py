"""STL files read back by other software: unit, which way is up, and every piece still a volume."""

from __future__ import annotations

import io
import struct
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from cladmodel.exports.stl import stl_bytes
from cladmodel.model import Model

SINGLE_PRECISION = 0.001  # mm: float32 at a few metres


def read(data: bytes) -> trimesh.Trimesh:
    return trimesh.load_mesh(io.BytesIO(data), file_type="stl")


def solid_volume(vertices: np.ndarray, faces: np.ndarray) -> float:
    a, b, c = (vertices - vertices[0])[faces].swapaxes(0, 1)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def test_header_says_what_it_is_and_not_solid(model: Model) -> None:
    data = stl_bytes(model)
    assert not data[:80].lower().startswith(b"solid")
    assert b"unit mm" in data[:80]
    assert b"z up" in data[:80]
    (count,) = struct.unpack_from("<I", data, 80)
    assert len(data) == 84 + 50 * count


def test_all_triangles_of_all_parts_and_nothing_else(model: Model) -> None:
    assert len(read(stl_bytes(model)).faces) == sum(len(part.faces) for part in model.parts)
    with_ground = read(stl_bytes(model, surroundings=True))
    assert len(with_ground.faces) == sum(len(part.faces) for part in (*model.parts, *model.surroundings))


def test_volume_is_the_sum_of_the_parts(model: Model) -> None:
    wanted = sum(solid_volume(part.vertices, part.faces) for part in model.parts)
    assert read(stl_bytes(model)).volume == pytest.approx(wanted, rel=1e-5)


def test_each_part_alone_is_a_volume(model: Model) -> None:
    for part in model.parts:
        mesh = read(stl_bytes(replace(model, parts=(part,))))
        assert mesh.is_volume, part.mark
        assert mesh.volume == pytest.approx(solid_volume(part.vertices, part.faces), rel=1e-3)


def test_up_is_z_and_out_is_towards_minus_y(model: Model) -> None:
    part = model.parts[0]
    mesh = read(stl_bytes(replace(model, parts=(part,))))
    x, y, z = part.vertices.T
    np.testing.assert_allclose(
        mesh.bounds,
        [[x.min(), -z.max(), y.min()], [x.max(), -z.min(), y.max()]],
        atol=SINGLE_PRECISION,
    )


def test_a_turned_wall_stands_at_its_place_in_the_building(model: Model) -> None:
    part = model.parts[-1]
    mesh = read(stl_bytes(replace(model, parts=(part,))))
    x, y, z = model.to_building(part.wall, part.vertices).T
    gap = np.linalg.norm(mesh.vertices[:, None] - np.stack([x, -z, y], axis=1)[None], axis=2)
    assert gap.min(axis=1).max() < SINGLE_PRECISION
    assert gap.min(axis=0).max() < SINGLE_PRECISION


def test_normals_agree_with_the_corners(model: Model) -> None:
    data = stl_bytes(model)
    rows = np.frombuffer(data[84:], np.dtype([("n", "<f4", 3), ("v", "<f4", (3, 3)), ("spare", "<u2")]))
    corner = rows["v"].astype(float)
    cross = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    cross /= np.linalg.norm(cross, axis=1, keepdims=True)
    np.testing.assert_allclose(rows["n"], cross, atol=1e-3)
    assert not rows["spare"].any()


def test_the_same_model_gives_the_same_bytes(model: Model) -> None:
    assert stl_bytes(model) == stl_bytes(replace(model))


def test_an_empty_model_is_an_empty_file(model: Model) -> None:
    assert stl_bytes(replace(model, parts=()))[80:] == bytes(4)
