"""Other people's software, each telling of a file what every piece is called and where it lies.

All answers come in one shape: piece name -> closed mesh in the building's axes, z up, in millimetres, by the
unit and the up axis that the file itself declares.
"""

from __future__ import annotations

import io
import re
import tempfile
from collections.abc import Callable
from pathlib import Path

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.util.unit
import numpy as np
import trimesh
from pxr import Usd, UsdGeom

from cladmodel.exports.gltf import glb_bytes
from cladmodel.exports.ifc import ifc_bytes
from cladmodel.exports.threemf import threemf_bytes
from cladmodel.exports.usdz import usdz_bytes
from cladmodel.model import Model, Part

Pieces = dict[str, trimesh.Trimesh]
MILLIMETRE = 0.001  # of a metre, which is what the IFC reader measures units in


def solid_volume(part: Part) -> float:
    """From the tetrahedra between each triangle and the first vertex. [mm3]"""
    a, b, c = (part.vertices - part.vertices[0])[part.faces].swapaxes(0, 1)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def one_line(text: str) -> str:
    """A name as XML leaves it: no line ends or tabs."""
    return re.sub(r"[\t\n\r]", " ", text)


def standing(points: np.ndarray) -> np.ndarray:
    """Y-up points turned z up."""
    return np.stack([points[:, 0], -points[:, 2], points[:, 1]], axis=1)


def glb_pieces(data: bytes) -> Pieces:
    """Read a GLB: metres and y up by the standard."""
    scene = trimesh.load_scene(io.BytesIO(data), file_type="glb")
    found = {}
    for link in scene.graph.transforms.edge_data.items():
        (_, name), extras = link[0], link[1].get("metadata") or {}
        if "section" in extras:
            placed, geometry = scene.graph[name]
            mesh = scene.geometry[geometry].copy()
            mesh.merge_vertices(merge_norm=True, merge_tex=True)
            points = trimesh.transform_points(mesh.vertices, placed)
            found[name] = trimesh.Trimesh(1000.0 * standing(points), mesh.faces, process=False)
    return found


def threemf_pieces(data: bytes) -> Pieces:
    """Read a 3MF: the unit is the file's, z up by the standard."""
    scene = trimesh.load_scene(io.BytesIO(data), file_type="3mf")
    assert scene.units == "millimeter"
    found = {}
    for node in scene.graph.nodes_geometry:
        placed, name = scene.graph[node]
        mesh = scene.geometry[name].copy()
        mesh.apply_transform(placed)
        assert name not in found
        found[name] = mesh
    return found


def usdz_pieces(data: bytes) -> Pieces:
    """Read a USDZ: unit and up axis are the stage's."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "model.usdz"
        path.write_bytes(data)
        stage = Usd.Stage.Open(str(path))
        assert UsdGeom.GetStageUpAxis(stage) == UsdGeom.Tokens.y
        unit = 1000.0 * UsdGeom.GetStageMetersPerUnit(stage)
        places = UsdGeom.XformCache()
        found = {}
        for prim in stage.Traverse():
            if not prim.IsA(UsdGeom.Mesh) or prim.GetCustomDataByKey("section") is None:
                continue
            mesh = UsdGeom.Mesh(prim)
            points = np.array(mesh.GetPointsAttr().Get(), float)
            faces = np.array(mesh.GetFaceVertexIndicesAttr().Get()).reshape(-1, 3)
            placed = np.array(places.GetLocalToWorldTransform(prim)).T
            points = unit * trimesh.transform_points(points, placed)
            mark = prim.GetCustomDataByKey("mark")
            assert mark not in found
            found[mark] = trimesh.Trimesh(standing(points), faces, process=False)
        return found


def ifc_pieces(data: bytes) -> Pieces:
    """Read an IFC through its kernel, which answers in metres whatever the file's unit, z up."""
    file = ifcopenshell.file.from_string(data.decode("ascii"))
    assert ifcopenshell.util.unit.calculate_unit_scale(file) == MILLIMETRE
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    shapes = ifcopenshell.geom.iterator(settings, file, 1)
    found: Pieces = {}
    if not shapes.initialize():
        return found
    while True:
        shape = shapes.get()
        points = np.array(shape.geometry.verts).reshape(-1, 3)
        faces = np.array(shape.geometry.faces).reshape(-1, 3)
        name = file.by_id(shape.id).Name
        assert name not in found
        found[name] = trimesh.Trimesh(1000.0 * points, faces, process=False)
        if not shapes.next():
            return found


FORMATS: dict[str, tuple[Callable[[Model], bytes], Callable[[bytes], Pieces]]] = {
    "glb": (glb_bytes, glb_pieces),
    "3mf": (threemf_bytes, threemf_pieces),
    "usdz": (usdz_bytes, usdz_pieces),
    "ifc": (ifc_bytes, ifc_pieces),
}
