"""USDZ: what phones open in place, full size; every piece a named mesh. Metres, y up.

Needs the optional package usd-core (the extra ``usdz``). Prims run building > wall > layer > piece; a
prim's own name takes only letters, digits and ``_``, so the mark stands as its display name. Heads of
nails and screws are one mesh a group; shanks are left out. The same model gives the same bytes.
"""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from cladmodel.exports.archive import zip_bytes
from cladmodel.exports.extras import load
from cladmodel.exports.facets import unit
from cladmodel.exports.fasteners import merged_heads
from cladmodel.exports.figures import METRES, fixing_figures, part_figures
from cladmodel.exports.materials import Colours, look_of
from cladmodel.model import Fixings, Floats, Ints, Layer, Model, Part, Wall
from cladmodel.solids.measure import face_vectors

# Files in a USDZ start at multiples of this many bytes and are not compressed (USDZ specification 1.3).
_ALIGN = 64
_BUILDING = "/building"
_METAL = "metal"  # what nails and screws look like


def usdz_bytes(model: Model, *, finish_colours: Colours | None = None) -> bytes:
    """Return all parts and heads of fixings as the bytes of a USDZ file.

    Parameters
    ----------
    model : Model
    finish_colours : mapping of str to (3,) float, optional
        Screen colours (sRGB, 0 to 1) by material, in place of the table's.

    Returns
    -------
    bytes
        The same for the same model.

    Raises
    ------
    OutputError
        If usd-core is not installed.
    """
    stage = _Stage(finish_colours)
    stage.fill(model)
    with tempfile.TemporaryDirectory(prefix="cladmodel-") as folder:
        # The compact form of a layer can only be written to a file.
        file = Path(folder) / "model.usdc"
        stage.layer.Export(str(file))
        return zip_bytes([(file.name, file.read_bytes())], squeeze=False, align=_ALIGN)


class _Stage:
    """A stage as it fills up.

    Parameters
    ----------
    finish_colours : mapping of str to (3,) float, or None
    """

    def __init__(self, finish_colours: Colours | None) -> None:
        self.usd, self.geom, self.shade, self.sdf, self.gf, self.vt, self.tf, self.kinds = (
            load("usdz", f"pxr.{name}")
            for name in ("Usd", "UsdGeom", "UsdShade", "Sdf", "Gf", "Vt", "Tf", "Kind")
        )
        self.finish_colours = finish_colours
        self.layer = self.sdf.Layer.CreateAnonymous(".usdc")
        self.stage = self.usd.Stage.Open(self.layer)
        self.materials: dict[str, Any] = {}
        self.taken: set[str] = set()

    def fill(self, model: Model) -> None:
        """Add everything of a model."""
        self.geom.SetStageUpAxis(self.stage, self.geom.Tokens.y)
        self.geom.SetStageMetersPerUnit(self.stage, 1.0)
        building = self.geom.Xform.Define(self.stage, _BUILDING).GetPrim()
        building.SetDisplayName(_one_line(model.title) or "building")
        self.usd.ModelAPI(building).SetKind(self.kinds.Tokens.component)
        self.stage.SetDefaultPrim(building)
        self.layer.documentation = "cladmodel"
        pieces: dict[str, list[Part]] = {wall.name: [] for wall in model.walls}
        groups: dict[str, list[Fixings]] = {wall.name: [] for wall in model.walls}
        for part in model.parts:
            pieces[part.wall].append(part)
        for group in model.fixings:
            groups[group.wall].append(group)
        for wall in model.walls:
            self.add_wall(wall, pieces[wall.name], groups[wall.name])

    def add_wall(self, wall: Wall, parts: Sequence[Part], groups: Sequence[Fixings]) -> None:
        """Add one wall, its layers in building-up order, and all below them."""
        at = self.path(_BUILDING, wall.name)
        prim = self.geom.Xform.Define(self.stage, at)
        prim.GetPrim().SetDisplayName(_one_line(wall.name))
        if not np.array_equal(wall.frame, np.eye(4)):
            frame = wall.frame.copy()
            frame[:3, 3] *= METRES
            # Points are rows here: the matrix lies the other way about.
            prim.AddTransformOp().Set(self.gf.Matrix4d(frame.T.tolist()))
        for layer in Layer:
            own = [part for part in parts if part.layer is layer]
            nails = [group for group in groups if layer is Layer.FIXINGS and len(group.heads)]
            if not own and not nails:
                continue
            folder = self.path(at, str(layer))
            self.geom.Xform.Define(self.stage, folder).GetPrim().SetDisplayName(str(layer))
            for part in own:
                figures = part_figures(part)
                self.add_mesh(folder, part.mark, part.vertices, part.faces, part.material, figures)
            for group in nails:
                vertices, faces = merged_heads(group)
                self.add_mesh(folder, group.mark, vertices, faces, _METAL, fixing_figures(group))

    def add_mesh(
        self,
        folder: str,
        mark: str,
        vertices: Floats,
        faces: Ints,
        material: str,
        figures: dict[str, Any],
    ) -> None:
        """Add one closed mesh with flat faces and a material."""
        mesh = self.geom.Mesh.Define(self.stage, self.path(folder, mark))
        points = self.vt.Vec3fArray.FromNumpy(np.ascontiguousarray(vertices * METRES, np.float32))
        mesh.CreatePointsAttr(points)
        mesh.CreateFaceVertexIndicesAttr(self.vt.IntArray.FromNumpy(faces.astype(np.int32).ravel()))
        mesh.CreateFaceVertexCountsAttr(self.vt.IntArray.FromNumpy(np.full(len(faces), 3, np.int32)))
        mesh.CreateExtentAttr(self.geom.PointBased.ComputeExtent(points))
        # A normal for every corner of every triangle keeps faces flat while triangles share their points.
        normals = np.repeat(unit(face_vectors(vertices, faces)), 3, axis=0).astype(np.float32)
        mesh.CreateNormalsAttr(self.vt.Vec3fArray.FromNumpy(normals))
        mesh.SetNormalsInterpolation(self.geom.Tokens.faceVarying)
        mesh.CreateSubdivisionSchemeAttr(self.geom.Tokens.none)
        prim = mesh.GetPrim()
        prim.SetDisplayName(_one_line(mark))
        for name, value in {"mark": mark, **figures}.items():
            prim.SetCustomDataByKey(name, value)
        self.shade.MaterialBindingAPI.Apply(prim).Bind(self.material(material))

    def material(self, name: str) -> Any:
        """Return a material, made when first asked for."""
        if name not in self.materials:
            look = look_of(name, self.finish_colours)
            material = self.shade.Material.Define(
                self.stage, self.path(f"{_BUILDING}/materials", name or "unknown")
            )
            shader = self.shade.Shader.Define(self.stage, material.GetPath().AppendChild("surface"))
            shader.CreateIdAttr("UsdPreviewSurface")
            types = self.sdf.ValueTypeNames
            shader.CreateInput("diffuseColor", types.Color3f).Set(self.gf.Vec3f(*look.linear))
            shader.CreateInput("roughness", types.Float).Set(look.roughness)
            shader.CreateInput("metallic", types.Float).Set(look.metallic)
            shader.CreateInput("opacity", types.Float).Set(look.opacity)
            shader.CreateOutput("surface", types.Token)
            material.CreateSurfaceOutput().ConnectToSource(shader.ConnectableAPI(), "surface")
            self.materials[name] = material
        return self.materials[name]

    def path(self, parent: str, name: str) -> str:
        """Return a path for a name that no other prim has, whatever signs the name is made of."""
        plain = self.tf.MakeValidIdentifier(name)
        path, number = f"{parent}/{plain}", 1
        while path in self.taken:
            number += 1
            path = f"{parent}/{plain}_{number}"
        self.taken.add(path)
        return path


def _one_line(text: str) -> str:
    """Return a name for a list on a screen: no line ends."""
    return " ".join(text.split())
