"""GLB files with finishes to switch between, with images, and made smaller."""

from __future__ import annotations

import io
import json
import struct
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from PIL import Image

import cladmodel
from cladmodel.exports.formats import export
from cladmodel.exports.gltf import glb_bytes
from cladmodel.exports.materials import FinishLook, Texture
from cladmodel.looks import export_looks
from cladmodel.model import Model

from .readers import glb_pieces, solid_volume

OILED = FinishLook(title="Oiled", colours={"board": (0.5, 0.3, 0.2), "post": (0.5, 0.3, 0.2)})
BLACK = FinishLook(title='Black "stain" & co', colours={"board": (0.1, 0.1, 0.1)})
SAME_BOARDS = FinishLook(title="Oiled boards only", colours={"board": (0.5, 0.3, 0.2)})
FINISHES = (OILED, BLACK, SAME_BOARDS)


def picture(kind: str, shade: int = 200) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 32), (shade, 150, 100)).save(out, kind)
    return out.getvalue()


SCENES = Path(__file__).resolve().parents[2] / "scenes"
GRAIN = Texture(image=picture("PNG"), size_mm=(500.0, 250.0))
ROUGH = Texture(image=picture("JPEG", 90), size_mm=(500.0, 250.0))


def document(data: bytes) -> dict:
    length, _ = struct.unpack_from("<II", data, 12)
    return json.loads(data[20 : 20 + length])


def mesh_entry(gltf: dict, mark: str) -> dict:
    (found,) = [mesh for mesh in gltf["meshes"] if mesh["name"] == mark]
    return found["primitives"][0]


def material_under(gltf: dict, mark: str, title: str) -> dict:
    """The material that a viewer shows on a piece when it is switched to a finish."""
    names = [variant["name"] for variant in gltf["extensions"]["KHR_materials_variants"]["variants"]]
    primitive = mesh_entry(gltf, mark)
    mappings = primitive.get("extensions", {}).get("KHR_materials_variants", {}).get("mappings", [])
    for mapping in mappings:
        if names.index(title) in mapping["variants"]:
            return gltf["materials"][mapping["material"]]
    return gltf["materials"][primitive["material"]]


def numbers(data: bytes, index: int) -> np.ndarray:
    """An accessor's rows of single-precision numbers."""
    gltf = document(data)
    start = 20 + struct.unpack_from("<I", data, 12)[0] + 8
    accessor = gltf["accessors"][index]
    view = gltf["bufferViews"][accessor["bufferView"]]
    width = {"VEC2": 2, "VEC3": 3}[accessor["type"]]
    first = start + view["byteOffset"] + accessor["byteOffset"]
    rows = [
        np.frombuffer(data, "<f4", width, first + row * view["byteStride"])
        for row in range(accessor["count"])
    ]
    return np.array(rows, float)


def test_every_finish_is_named_and_colours_what_it_names(model: Model) -> None:
    gltf = document(glb_bytes(model, finishes=FINISHES))
    assert gltf["extensionsUsed"] == ["KHR_materials_variants"]
    assert "extensionsRequired" not in gltf
    for finish in FINISHES:
        for part in model.parts:
            shown = material_under(gltf, part.mark, finish.title)["pbrMetallicRoughness"]["baseColorFactor"]
            plain = gltf["materials"][mesh_entry(gltf, part.mark)["material"]]["pbrMetallicRoughness"]
            if part.material in finish.colours:
                light = [screen_to_light(value) for value in finish.colours[part.material]]
                assert shown == pytest.approx([*light, 1.0], abs=1e-5)
            else:
                assert shown == plain["baseColorFactor"]


def screen_to_light(value: float) -> float:
    """The sRGB curve, written down anew."""
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def test_alike_finishes_share_a_material(model: Model) -> None:
    gltf = document(glb_bytes(model, finishes=FINISHES))
    names = [entry["name"] for entry in gltf["materials"]]
    assert len(names) == len(set(names))
    assert [name for name in names if name.startswith("board")] == [
        "board",
        "board, Oiled",
        'board, Black "stain" & co',
    ]
    assert material_under(gltf, "N01-1", "Oiled") == material_under(gltf, "N01-1", "Oiled boards only")


def test_a_viewer_without_finishes_shows_the_one_to_start_with(model: Model) -> None:
    gltf = document(glb_bytes(model, finish_colours=BLACK.colours, finishes=FINISHES))
    start = gltf["materials"][mesh_entry(gltf, "N01-1")["material"]]
    assert start == material_under(gltf, "N01-1", BLACK.title)
    assert start["name"] == "board"


def test_without_finishes_there_is_no_extension(model: Model) -> None:
    gltf = document(glb_bytes(model))
    assert not {"extensions", "extensionsUsed"} & set(gltf)
    assert "extensions" not in mesh_entry(gltf, "N01-1")


def test_titles_may_not_be_used_twice(model: Model) -> None:
    with pytest.raises(ValueError, match="two have one title"):
        glb_bytes(model, finishes=(OILED, OILED))


def test_an_image_runs_along_the_grain_at_its_true_size(model: Model) -> None:
    data = glb_bytes(model, textures={"board": GRAIN, "batten": GRAIN})
    gltf = document(data)
    for mark, axis, length in (("N01-1", 0, 1000.0), ("NB1", 1, 300.0)):
        attributes = mesh_entry(gltf, mark)["attributes"]
        uv = numbers(data, attributes["TEXCOORD_0"])
        places = 1000.0 * numbers(data, attributes["POSITION"])
        normals = numbers(data, attributes["NORMAL"])
        sides = np.abs(normals[:, axis]) < 0.5
        # Along the piece: one image for 500 mm, whichever way the side looks.
        slope = uv[sides, 0] - places[sides, axis] / 500.0
        assert np.ptp(uv[sides, 0]) == pytest.approx(length / 500.0, abs=1e-5)
        assert np.ptp(slope) == pytest.approx(0.0, abs=1e-4)
    # A board's face is 170 wide up the slope: 170 of the 250 mm that an image is high.
    front = normals_facing(data, gltf, "N01-1", 2)
    uv = numbers(data, mesh_entry(gltf, "N01-1")["attributes"]["TEXCOORD_0"])
    assert np.ptp(uv[front, 1]) == pytest.approx(170.5 / 250.0, abs=0.01)


def normals_facing(data: bytes, gltf: dict, mark: str, axis: int) -> np.ndarray:
    return numbers(data, mesh_entry(gltf, mark)["attributes"]["NORMAL"])[:, axis] > 0.9


def test_no_two_pieces_start_alike(model: Model) -> None:
    data = glb_bytes(model, textures={"board": GRAIN})
    gltf = document(data)
    starts = {
        tuple(np.round(numbers(data, mesh_entry(gltf, mark)["attributes"]["TEXCOORD_0"])[0] % 1.0, 3))
        for mark in ("N01-1", "N02-1", "E01-1", "E02-1")
    }
    assert len(starts) == 4


def test_the_image_comes_back_and_only_where_it_belongs(model: Model) -> None:
    data = glb_bytes(model, textures={"board": GRAIN})
    gltf = document(data)
    assert len(gltf["images"]) == 1
    scene = trimesh.load_scene(io.BytesIO(data), file_type="glb")
    image = scene.geometry[scene.graph["N01-1"][1]].visual.material.baseColorTexture
    assert image.size == (64, 32)
    assert image.convert("RGB").getpixel((5, 5)) == (200, 150, 100)
    assert "TEXCOORD_0" not in mesh_entry(gltf, "NB1")["attributes"]


def test_finishes_may_bring_images_each_stored_once(model: Model) -> None:
    sawn = FinishLook(title="Sawn", textures={"board": ROUGH, "post": ROUGH})
    gltf = document(glb_bytes(model, textures={"board": GRAIN}, finishes=(sawn, OILED)))
    assert [image["mimeType"] for image in gltf["images"]] == ["image/png", "image/jpeg"]
    shown = material_under(gltf, "N01-1", "Sawn")["pbrMetallicRoughness"]["baseColorTexture"]["index"]
    assert gltf["images"][gltf["textures"][shown]["source"]]["mimeType"] == "image/jpeg"
    assert "baseColorTexture" not in material_under(gltf, "N01-1", "Oiled")["pbrMetallicRoughness"]
    assert "TEXCOORD_0" in mesh_entry(gltf, "NP1")["attributes"]


def test_what_is_no_image_is_refused(model: Model) -> None:
    with pytest.raises(ValueError, match="texture of board: the image is neither PNG nor JPEG"):
        glb_bytes(model, textures={"board": replace(GRAIN, image=b"GIF89a")})


def test_without_normals_the_same_pieces_in_a_smaller_file(model: Model) -> None:
    full, small = glb_bytes(model), glb_bytes(model, normals=False)
    assert len(small) < 0.8 * len(full)
    found = glb_pieces(small)
    assert sorted(found) == sorted(part.mark for part in model.parts)
    for part in model.parts:
        assert found[part.mark].is_volume
        assert found[part.mark].volume == pytest.approx(solid_volume(part), rel=1e-3)
    attributes = [mesh["primitives"][0]["attributes"] for mesh in document(small)["meshes"]]
    assert all(set(each) == {"POSITION"} for each in attributes)
    corners = document(small)["accessors"][mesh_entry(document(small), "N01-1")["attributes"]["POSITION"]]
    assert corners["count"] == len(model.parts[0].vertices)


@pytest.mark.parametrize("normals", [True, False])
@pytest.mark.parametrize("fixings", ["instances", "heads", "none"])
def test_the_validator_finds_nothing_to_say(model: Model, gltf_validator, fixings, normals) -> None:
    finishes = (*FINISHES, FinishLook(title="Sawn", colours=OILED.colours, textures={"board": ROUGH}))
    gltf_validator(
        glb_bytes(model, fixings=fixings, normals=normals, finishes=finishes, textures={"board": GRAIN})
    )
    gltf_validator(glb_bytes(model, fixings=fixings, normals=normals, finishes=FINISHES))


def test_an_image_of_some_finishes_only_is_no_error(model: Model, gltf_validator) -> None:
    sawn = FinishLook(title="Sawn", textures={"board": ROUGH, "post": ROUGH})
    gltf_validator(glb_bytes(model, finishes=(OILED, sawn)), allow_hints=True)


def test_the_validator_passes_the_worst_names(hostile: Model, gltf_validator) -> None:
    black = FinishLook(title=hostile.title, colours={hostile.parts[0].material: (0.1, 0.1, 0.1)})
    gltf_validator(glb_bytes(hostile, finishes=(black,)))


def test_the_validator_would_say_something(model: Model, gltf_validator) -> None:
    data = glb_bytes(model, finishes=FINISHES).replace(b'"variants":[0', b'"variants":[9', 1)
    with pytest.raises(AssertionError, match="UNRESOLVED_REFERENCE"):
        gltf_validator(data)


def test_a_scene_is_exported_in_the_timber_of_its_pictures(tmp_path: Path, gltf_validator) -> None:
    scene = cladmodel.load_scene(SCENES / "bare-wall.toml")
    looks = export_looks(scene)
    data = export(
        cladmodel.build_model(scene), tmp_path / "wall.glb", finish_colours=looks[0].colours, finishes=looks
    ).read_bytes()
    gltf_validator(data)
    gltf = document(data)
    for look in looks:
        surface = material_under(gltf, "A01a", look.title)["pbrMetallicRoughness"]
        assert surface["baseColorFactor"][:3] == [1.0, 1.0, 1.0]
        view = gltf["bufferViews"][gltf["images"][surface["baseColorTexture"]["index"]]["bufferView"]]
        start = 20 + struct.unpack_from("<I", data, 12)[0] + 8 + view.get("byteOffset", 0)
        image = np.asarray(Image.open(io.BytesIO(data[start : start + view["byteLength"]])).convert("RGB"))
        mean = image.reshape(-1, 3).mean(axis=0) / 255.0
        assert mean == pytest.approx(look.colours["board"], abs=0.06), look.title
