"""Archives of STL files and the printable solid, read back by other software."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from cladmodel.errors import OutputError
from cladmodel.exports.printing import printable_stl
from cladmodel.exports.stl import stl_bytes, stl_layers_zip, stl_parts_zip
from cladmodel.model import Model, Part

from .readers import solid_volume, standing

SINGLE_PRECISION = 0.02  # mm: what a position may lose on the way into the file


def read(data: bytes) -> trimesh.Trimesh:
    return trimesh.load_mesh(io.BytesIO(data), file_type="stl")


def unpacked(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def lying_in_place(model: Model, part: Part, mesh: trimesh.Trimesh) -> bool:
    wanted = standing(model.to_building(part.wall, part.vertices))
    return bool(
        np.allclose(mesh.bounds, [wanted.min(axis=0), wanted.max(axis=0)], atol=SINGLE_PRECISION, rtol=0)
    )


def test_one_file_a_layer_numbered_in_building_up_order(model: Model) -> None:
    found = unpacked(stl_layers_zip(model))
    assert list(found) == ["4-battens.stl", "5-starter.stl", "6-posts.stl", "8-boards.stl"]
    for name, data in found.items():
        own = [part for part in model.parts if part.layer == name[2:-4]]
        assert len(read(data).faces) == sum(len(part.faces) for part in own)
        assert read(data).volume == pytest.approx(sum(map(solid_volume, own)), rel=1e-4)
    assert sum(map(len, found.values())) - 84 * len(found) == len(stl_bytes(model)) - 84


def test_one_file_a_part_named_by_its_mark_and_in_its_place(model: Model) -> None:
    found = unpacked(stl_parts_zip(model))
    assert list(found) == [f"{part.layer}/{part.mark}.stl" for part in model.parts]
    for part, data in zip(model.parts, found.values(), strict=True):
        mesh = read(data)
        assert mesh.is_volume, part.mark
        assert mesh.volume == pytest.approx(solid_volume(part), rel=1e-3), part.mark
        assert lying_in_place(model, part, mesh)


def test_no_mark_leads_out_of_the_archive_or_onto_another(hostile: Model) -> None:
    twins = (replace(hostile.parts[0], mark="a/b"), replace(hostile.parts[1], mark="A\\B"))
    odd = replace(hostile, parts=(*twins, *hostile.parts[2:4], replace(hostile.parts[4], mark="..")))
    found = unpacked(stl_parts_zip(odd))
    assert len({name.lower() for name in found}) == len(odd.parts) == len(found)
    assert list(found)[:2] == ["boards/a_b.stl", "boards/A_B-2.stl"]
    for name in found:
        folder, file = name.split("/")
        assert folder in {"boards", "battens", "starter", "posts"}
        assert not set(file) & set('\\:*?"<>|\n\t')
        assert not file.startswith(".")
        assert len(file) <= 104


@pytest.mark.parametrize("pack", [stl_layers_zip, stl_parts_zip])
def test_the_same_model_gives_the_same_archive(model: Model, pack) -> None:
    assert pack(model) == pack(replace(model))
    assert unpacked(pack(replace(model, parts=()))) == {}


# ---- the printable solid


def boxes(model: Model, *corners: tuple[float, float, float]) -> Model:
    """Cubes of 100 mm with their lowest corners given, in the wall that is not turned."""
    cube = trimesh.creation.box((100.0, 100.0, 100.0))
    return replace(
        model,
        parts=tuple(
            replace(
                model.parts[0],
                mark=f"cube {number}",
                vertices=np.array(cube.vertices) + 50.0 + corner,
                faces=np.array(cube.faces),
            )
            for number, corner in enumerate(corners)
        ),
    )


@pytest.mark.parametrize("scale", [1.0, 1 / 20, 1 / 50])
@pytest.mark.parametrize(
    "corners",
    [
        pytest.param([(0, 0, 0), (100, 0, 0)], id="face on face"),
        pytest.param([(0, 0, 0), (100, 100, 0)], id="edge on edge"),
        pytest.param([(0, 0, 0), (100, 100, 100)], id="corner on corner"),
        pytest.param([(0, 0, 0), (100, 30, 20), (-70, 20, 100), (200, 130, 60)], id="a pile"),
    ],
)
def test_pieces_that_touch_become_one_closed_body(model: Model, corners, scale: float) -> None:
    mesh = read(printable_stl(boxes(model, *corners), scale))
    assert mesh.is_volume
    assert mesh.body_count == 1
    assert mesh.volume == pytest.approx(len(corners) * (100.0 * scale) ** 3, rel=1e-3)


def test_pieces_apart_stay_apart(model: Model) -> None:
    mesh = read(printable_stl(boxes(model, (0, 0, 0), (101, 0, 0)), 1 / 20))
    assert mesh.is_volume
    assert mesh.body_count == 2


def test_overlaps_count_once(model: Model) -> None:
    mesh = read(printable_stl(boxes(model, (0, 0, 0), (50, 0, 0)), 0.1))
    assert mesh.volume == pytest.approx(150.0 * 100 * 100 / 1000, rel=1e-3)


def test_it_stands_on_the_bed_at_its_scale(model: Model) -> None:
    data = printable_stl(model, 1 / 20)
    assert b"scale 1:20" in data[:80]
    assert not data[:80].lower().startswith(b"solid")
    mesh = read(data)
    whole = read(stl_bytes(model))
    np.testing.assert_allclose(mesh.bounds[0], 0.0, atol=1e-6)
    np.testing.assert_allclose(mesh.extents, whole.extents / 20.0, atol=0.001)


@pytest.mark.parametrize("scale", [0.0, -0.05, 20.0, float("nan")])
def test_a_scale_out_of_range_is_refused(model: Model, scale: float) -> None:
    with pytest.raises(OutputError, match=r"for a model at 1 to 20 give 1/20"):
        printable_stl(model, scale)


def test_a_piece_that_is_not_closed_is_named(model: Model) -> None:
    part = model.parts[0]
    torn = model.replace_parts([replace(part, faces=part.faces[1:])])
    with pytest.raises(OutputError, match=r"N01-1: is not a closed solid"):
        printable_stl(torn, 1 / 20)
    inside_out = model.replace_parts([replace(part, faces=part.faces[:, ::-1])])
    with pytest.raises(OutputError, match=r"N01-1: is not a closed solid"):
        printable_stl(inside_out, 1 / 20)


def test_nothing_is_nothing_to_print(model: Model) -> None:
    with pytest.raises(OutputError, match="nothing to print"):
        printable_stl(replace(model, parts=()), 1 / 20)


def test_the_same_model_prints_the_same(model: Model) -> None:
    assert printable_stl(model, 1 / 20) == printable_stl(replace(model), 1 / 20)
