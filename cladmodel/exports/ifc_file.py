"""The grammar of an IFC4 file: identifiers, figures, places and shapes; knows nothing of walls."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from cladmodel.exports.extras import load
from cladmodel.exports.flats import Flat, Pushed
from cladmodel.exports.materials import Colours, look_of
from cladmodel.model import Floats, Ints

# Decimals of a coordinate (a millionth of a millimetre) and of a direction.
DECIMALS, TURN_DECIMALS = 6, 12
_LONGEST = 255  # characters of a name; the schema's own bound on IfcLabel and IfcIdentifier
PRECISION = 1e-5  # two points nearer than this are one; the usual value in files, from memory [mm]
# Not the time of writing, which would make two files of one model differ.
_TIME = "2000-01-01T00:00:00"
_NAMES = uuid.uuid5(uuid.NAMESPACE_OID, "cladmodel")


class IfcFile:
    """An empty IFC4 file and how to add to it.

    Parameters
    ----------
    title : str
    finish_colours : mapping of str to (3,) float, or None
    """

    def __init__(self, title: str, finish_colours: Colours | None) -> None:
        ifcopenshell = load("ifc", "ifcopenshell")
        self.compress = load("ifc", "ifcopenshell.guid").compress
        self.ifc = ifcopenshell.file(schema="IFC4")
        self.make = self.ifc.create_entity
        self.job = uuid.uuid5(_NAMES, title)
        self.title = label(title) or "building"
        self.finish_colours = finish_colours
        header = self.ifc.header
        header.file_description.description = ("ViewDefinition [DesignTransferView_V1.0]",)
        header.file_name.time_stamp = _TIME

    # ---- figures

    def properties(self, product: Any, key: str, name: str, values: Mapping[str, Any]) -> None:
        """Hang a set of properties on a product; a list of values becomes a list property."""
        made = [
            self.make("IfcPropertyListValue", field, None, value, None)
            if isinstance(value, list)
            else self.make("IfcPropertySingleValue", field, None, value, None)
            for field, value in values.items()
            if value != []
        ]
        table = self.rooted("IfcPropertySet", f"figures of {key}", Name=name, HasProperties=made)
        self.rooted(
            "IfcRelDefinesByProperties",
            f"figures {key}",
            RelatedObjects=[product],
            RelatingPropertyDefinition=table,
        )

    def length(self, value: float, *, signed: bool = False) -> Any:
        """Make a length that says that it is one. [mm]"""
        kind = "IfcLengthMeasure" if signed or value <= 0.0 else "IfcPositiveLengthMeasure"
        return self.make(kind, round(float(value), DECIMALS))

    # ---- shapes

    def extrusion(self, solid: Pushed, section: str) -> Any:
        """Make an outline pushed straight through; its first corner lies at the piece's origin."""
        curves = []
        for ring in solid.rings:
            corners = [self.point(corner) for corner in ring.tolist()]
            curves.append(self.make("IfcPolyline", [*corners, corners[0]]))
        if len(curves) > 1:
            outline = self.make(
                "IfcArbitraryProfileDefWithVoids", "AREA", section or None, curves[0], curves[1:]
            )
        else:
            outline = self.make("IfcArbitraryClosedProfileDef", "AREA", section or None, curves[0])
        position = self.make(
            "IfcAxis2Placement3D",
            self.point((0.0, 0.0, 0.0)),
            self.direction(solid.direction),
            self.direction(solid.along),
        )
        through = self.direction((0.0, 0.0, 1.0))
        return self.make("IfcExtrudedAreaSolid", outline, position, through, round(solid.depth, DECIMALS))

    def face_set(self, vertices: Floats, faces: Ints, flats: Sequence[Flat] | None) -> Any:
        """Make a closed solid of flat faces; of triangles where faces could not be told."""
        rows = (np.round(vertices, DECIMALS) + 0.0).tolist()
        points = self.make("IfcCartesianPointList3D", [tuple(row) for row in rows])
        if flats is None:
            corners = [tuple(face) for face in (faces + 1).tolist()]
            return self.make("IfcTriangulatedFaceSet", points, None, True, corners, None)
        sides = []
        for flat in flats:
            outer, *holes = ([corner + 1 for corner in ring] for ring in flat.rings)
            sides.append(
                self.make("IfcIndexedPolygonalFaceWithVoids", outer, holes)
                if holes
                else self.make("IfcIndexedPolygonalFace", outer)
            )
        return self.make("IfcPolygonalFaceSet", points, True, sides, None)

    def axes(self, frame: Floats) -> Any:
        """Make a place with its axes from a frame between z-up axes. [mm]"""
        place = self.point(frame[:3, 3])
        if np.array_equal(frame[:3, :3], np.eye(3)):
            return self.make("IfcAxis2Placement3D", place)
        return self.make(
            "IfcAxis2Placement3D", place, self.direction(frame[:3, 2]), self.direction(frame[:3, 0])
        )

    def point(self, place: Sequence[float] | Floats) -> Any:
        """Make a point in two or three dimensions. [mm]"""
        return self.make("IfcCartesianPoint", tuple(round(float(value), DECIMALS) + 0.0 for value in place))

    def direction(self, way: Sequence[float] | Floats) -> Any:
        """Make a direction."""
        return self.make("IfcDirection", tuple(round(float(value), TURN_DECIMALS) + 0.0 for value in way))

    def style(self, material: str) -> Any:
        """Make a material's look."""
        look = look_of(material, self.finish_colours)
        colour = self.make("IfcColourRgb", None, *(round(value, DECIMALS) for value in look.colour))
        shading = self.make("IfcSurfaceStyleShading", colour, 1.0 - look.opacity)
        return self.make("IfcSurfaceStyle", label(material) or "unknown", "BOTH", [shading])

    # ---- what hangs it all together

    def rooted(self, entity: str, key: str, **values: Any) -> Any:
        """Make something with an identifier of its own, the same for the same job and key."""
        name = uuid.uuid5(self.job, f"{entity} {key}")
        return self.make(entity, GlobalId=self.compress(name.hex), **values)

    def aggregate(self, key: str, whole: Any, parts: Sequence[Any]) -> None:
        """Say that something is made of parts."""
        self.rooted("IfcRelAggregates", key, RelatingObject=whole, RelatedObjects=list(parts))

    def units(self) -> Any:
        """Make the table of units: millimetres, and SI for the rest."""
        kinds = (
            ("LENGTHUNIT", "MILLI", "METRE"),
            ("AREAUNIT", None, "SQUARE_METRE"),
            ("VOLUMEUNIT", None, "CUBIC_METRE"),
            ("PLANEANGLEUNIT", None, "RADIAN"),
        )
        return self.make("IfcUnitAssignment", [self.make("IfcSIUnit", None, *kind) for kind in kinds])


def label(text: str) -> str:
    """Cut a text to what a name may hold.

    Parameters
    ----------
    text : str
    """
    return text[:_LONGEST]
