"""3MF files opened in strict mode by the reader of the body that publishes the standard."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import replace

import lib3mf
import numpy as np
import pytest

from cladmodel.exports.materials import LOOKS
from cladmodel.exports.threemf import threemf_bytes
from cladmodel.model import Model

from .readers import one_line


def strict(data: bytes) -> lib3mf.Model:
    """Read with every deviation an error, every remark a failure of the test."""
    found = lib3mf.get_wrapper().CreateModel()
    reader = found.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(data)
    assert [reader.GetWarning(number) for number in range(reader.GetWarningCount())] == []
    return found


def meshes(found: lib3mf.Model) -> list[lib3mf.MeshObject]:
    objects, result = found.GetMeshObjects(), []
    while objects.MoveNext():
        result.append(objects.GetCurrentMeshObject())
    return result


def figures(mesh: lib3mf.MeshObject) -> dict[str, str]:
    group = mesh.GetMetaDataGroup()
    entries = [group.GetMetaData(number) for number in range(group.GetMetaDataCount())]
    return {entry.GetName(): entry.GetValue() for entry in entries}


def document(data: bytes) -> str:
    return zipfile.ZipFile(io.BytesIO(data)).read("3D/3dmodel.model").decode()


@pytest.mark.parametrize("kind", ["model", "hostile"])
def test_the_standards_reader_finds_nothing_to_say(kind: str, request: pytest.FixtureRequest) -> None:
    model: Model = request.getfixturevalue(kind)
    found = strict(threemf_bytes(model))
    assert found.GetUnit() == lib3mf.ModelUnit.MilliMeter
    pieces = meshes(found)
    assert [piece.GetName() for piece in pieces] == [one_line(part.mark) for part in model.parts]
    assert [figures(piece)["mark"] for piece in pieces] == [part.mark for part in model.parts]
    assert all(piece.IsManifoldAndOriented() for piece in pieces)
    counts = [(piece.GetVertexCount(), piece.GetTriangleCount()) for piece in pieces]
    assert counts == [(len(part.vertices), len(part.faces)) for part in model.parts]


def test_the_standards_reader_would_say_something(model: Model) -> None:
    text = document(threemf_bytes(model)).replace('v2="', 'v2="9', 1)
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(threemf_bytes(model))) as whole,
        zipfile.ZipFile(out, "w") as spoilt,
    ):
        for name in whole.namelist():
            spoilt.writestr(name, text if name.endswith(".model") else whole.read(name))
    with pytest.raises(lib3mf.ELib3MFException):
        strict(out.getvalue())


def test_an_empty_building_is_still_a_3mf(model: Model) -> None:
    assert meshes(strict(threemf_bytes(replace(model, parts=())))) == []


def test_each_piece_carries_its_figures(model: Model) -> None:
    for part, mesh in zip(model.parts, meshes(strict(threemf_bytes(model))), strict=True):
        told = figures(mesh)
        assert told["kind"] == part.kind
        assert told["wall"] == part.wall
        assert told.get("course") == (None if part.course is None else str(part.course))
        assert float(told["cut_length_mm"]) == part.cut_length_mm
        assert told["section"] == part.section
        assert told.get("assembly") == part.assembly


def test_walls_stand_in_their_frames(model: Model) -> None:
    found = strict(threemf_bytes(model))
    items, placed = found.GetBuildItems(), {}
    while items.MoveNext():
        item = items.GetCurrent()
        rows = np.array([list(row) for row in item.GetObjectTransform().Fields])
        placed[item.GetObjectResource().GetName()] = rows
    assert list(placed) == [wall.name for wall in model.walls]
    for wall in model.walls:
        # Rows of the file are axes and place; the building's y is the file's z.
        x, y, z = wall.frame[:3].T[:, 0], wall.frame[:3].T[:, 1], wall.frame[:3].T[:, 2]
        np.testing.assert_allclose(placed[wall.name], np.stack([x, -z, y], axis=1), atol=1e-4)


def test_colours_are_the_tables_or_the_finishs(model: Model) -> None:
    def colours(text: str) -> dict[str, str]:
        return dict(re.findall(r'<base name="([^"]*)" displaycolor="([^"]*)"', text))

    plain = colours(document(threemf_bytes(model)))
    assert set(plain) == {part.material for part in model.parts}
    assert plain["post"] == "#" + "".join(f"{round(255 * value):02X}" for value in LOOKS["post"].colour)
    black = colours(document(threemf_bytes(model, finish_colours={"board": (0.0, 0.5, 1.0)})))
    assert black == {**plain, "board": "#0080FF"}


def test_signs_that_xml_cannot_carry_are_replaced(model: Model) -> None:
    part = replace(model.parts[0], mark="bell \a, null \0, \ufffe")
    (mesh,) = meshes(strict(threemf_bytes(replace(model, title="\x1b", parts=(part,)))))
    assert mesh.GetName() == "bell \ufffd, null \ufffd, \ufffd"
