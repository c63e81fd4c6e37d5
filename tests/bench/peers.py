"""The same work by other libraries, written as someone would who knows them.

Plates to solids by manifold3d and trimesh are in `bench_solids`; here, a B-rep kernel (OCP, imported only
where it is installed: ``pip install cadquery-ocp-novtk``), and trimesh's GLB and STL.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import shapely
import trimesh
from bench_solids import greatest_thickness, lift_by_manifold, lift_by_trimesh, volume

from cladmodel.model import Model
from cladmodel.solids import plates as plates_module
from cladmodel.solids.plates import Plate

BEYOND = 1e5  # half-space for taking off a taper, as a box this large [mm]

Way = tuple[Callable[[Sequence[Plate]], list[Any]], Callable[[list[Any]], list[float]]]
"""How plates are made solids, and how the volumes of those are had. [mm3]"""


def lift_by_brep(plates: Sequence[Plate]) -> list[Any]:
    """Each plate as an exact B-rep solid: extruded, its taper cut off by a box, placed; not meshed."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepBuilderAPI import (
        BRepBuilderAPI_MakeFace,
        BRepBuilderAPI_MakePolygon,
        BRepBuilderAPI_Transform,
    )
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakePrism
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec

    def wire(ring: shapely.LinearRing) -> Any:
        polygon = BRepBuilderAPI_MakePolygon()
        for x, y in np.asarray(ring.coords)[:-1].tolist():
            polygon.Add(gp_Pnt(x, y, 0.0))
        polygon.Close()
        return polygon.Wire()

    found = []
    for plate in plates:
        outline = shapely.orient_polygons(plate.polygon)
        face = BRepBuilderAPI_MakeFace(wire(outline.exterior))
        for hole in outline.interiors:
            face.Add(wire(hole))
        shape = BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0.0, 0.0, greatest_thickness(plate))).Shape()
        if plate.taper:
            turn = math.atan(plate.taper)
            out, along = gp_Dir(0.0, math.sin(turn), math.cos(turn)), gp_Dir(1.0, 0.0, 0.0)
            corner = np.array([-BEYOND, 0.0, plate.thickness]) - BEYOND * np.array(
                [0.0, math.cos(turn), -math.sin(turn)]
            )
            above = BRepPrimAPI_MakeBox(
                gp_Ax2(gp_Pnt(*corner.tolist()), out, along), 2 * BEYOND, 2 * BEYOND, BEYOND
            )
            shape = BRepAlgoAPI_Cut(shape, above.Shape()).Shape()
        move = gp_Trsf()
        move.SetValues(*np.asarray(plate.frame, float).ravel().tolist())
        found.append(BRepBuilderAPI_Transform(shape, move, True).Shape())
    return found


def _brep_volumes(shapes: list[Any]) -> list[float]:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    found = []
    for shape in shapes:
        properties = GProp_GProps()
        BRepGProp.VolumeProperties_s(shape, properties)
        found.append(properties.Mass())
    return found


def brep_kernel() -> str | None:
    """Name and version of the B-rep kernel, or None where none is installed."""
    try:
        import OCP
    except ImportError:
        return None
    return f"OCP {getattr(OCP, '__version__', '')}".strip()


def _volumes(solids: list[Any]) -> list[float]:
    return [volume(solid) for solid in solids]


def lifters() -> dict[str, Way]:
    """Every way of lifting plates, ours first, then those of the libraries that are installed."""
    ways: dict[str, Way] = {
        "ours": (plates_module.lift, _volumes),
        "manifold3d": (lift_by_manifold, _volumes),
        "trimesh": (lift_by_trimesh, _volumes),
    }
    if brep_kernel() is not None:
        ways["B-rep kernel"] = (lift_by_brep, _brep_volumes)
    return ways


def _meshes(model: Model) -> list[trimesh.Trimesh]:
    return [
        trimesh.Trimesh(model.to_building(part.wall, part.vertices), part.faces, process=False)
        for part in model.parts
    ]


def glb_by_trimesh(model: Model) -> bytes:
    """Every piece as a mesh of its own in one GLB; fixings, finishes and figures are left out."""
    scene = trimesh.Scene({part.mark: mesh for part, mesh in zip(model.parts, _meshes(model), strict=True)})
    return bytes(scene.export(file_type="glb"))


def stl_by_trimesh(model: Model) -> bytes:
    """Every piece in one binary STL."""
    return bytes(trimesh.util.concatenate(_meshes(model)).export(file_type="stl"))
