"""IFC4 for building software: every piece a named product with its figures. Millimetres, z up.

Needs the optional package ifcopenshell (the extra ``ifc``). Project > site > building > storey > walls;
a wall is an elemented wall made of its pieces, and a corner post and its battens are an assembly in it.
A piece that is one outline pushed straight through is written as such, any other by its flat faces.
Fixings have no shape: each group is one product that carries its count. Identifiers are made from the
job's title and the marks, so a model written again replaces its pieces instead of doubling them.
The same model gives the same text. ISO 16739-1:2018.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from cladmodel.exports.flats import flat_faces, pushed
from cladmodel.exports.ifc_file import PRECISION, IfcFile, label
from cladmodel.exports.ifc_kinds import PRODUCTS
from cladmodel.exports.materials import Colours
from cladmodel.exports.placing import frame_both_z_up, z_up
from cladmodel.model import Fixings, Floats, Kind, Model, Part, Wall


def ifc_bytes(model: Model, *, finish_colours: Colours | None = None) -> bytes:
    """Return a model as the text of an IFC4 file.

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
        If ifcopenshell is not installed.
    """
    file = _Building(model.title, finish_colours)
    file.fill(model)
    return str(file.ifc.to_string()).encode("ascii")


class _Building(IfcFile):
    """An IFC file as it fills up with one building."""

    # ---- the tree

    def fill(self, model: Model) -> None:
        """Add everything of a model."""
        self.level = self.make("IfcAxis2Placement3D", self.point((0.0, 0.0, 0.0)))
        context = self.make(
            "IfcGeometricRepresentationContext", None, "Model", 3, PRECISION, self.level, None
        )
        self.body = self.make(
            "IfcGeometricRepresentationSubContext",
            ContextIdentifier="Body",
            ContextType="Model",
            ParentContext=context,
            TargetView="MODEL_VIEW",
        )
        project = self.rooted(
            "IfcProject",
            "project",
            Name=self.title,
            RepresentationContexts=[context],
            UnitsInContext=self.units(),
        )
        above, at = project, None
        for kind, name in (("IfcSite", "site"), ("IfcBuilding", self.title), ("IfcBuildingStorey", "ground")):
            at = self.make("IfcLocalPlacement", at, self.level)
            below = self.rooted(kind, kind, Name=name, ObjectPlacement=at, CompositionType="ELEMENT")
            self.aggregate(kind, above, [below])
            above = below
        walls = [self.add_wall(wall, at) for wall in model.walls]
        if walls:
            self.rooted(
                "IfcRelContainedInSpatialStructure", "walls", RelatedElements=walls, RelatingStructure=above
            )
        self.add_pieces(model, dict(zip((wall.name for wall in model.walls), walls, strict=True)))

    def add_wall(self, wall: Wall, storey: Any) -> Any:
        """Add one wall at its place, still without pieces."""
        placed = self.make("IfcLocalPlacement", storey, self.axes(frame_both_z_up(wall.frame)))
        product = self.rooted(
            "IfcWall",
            f"wall {wall.name}",
            Name=label(wall.name),
            ObjectType="clad timber-frame wall",
            ObjectPlacement=placed,
            Tag=label(wall.name),
            PredefinedType="ELEMENTEDWALL",
        )
        lines = [self.length(line, signed=True) for line in wall.rod.tolist()]
        self.properties(
            product,
            f"wall {wall.name}",
            "Cladmodel_Wall",
            {
                "Length": self.length(wall.length),
                "Courses": self.make("IfcInteger", max(len(lines) - 1, 0)),
                "ButtLines": lines,
                "Head": self.length(wall.head, signed=True),
                "GroundClearance": self.length(wall.clearance, signed=True),
            },
        )
        return product

    def add_pieces(self, model: Model, walls: Mapping[str, Any]) -> None:
        """Add parts, assemblies and fixings below their walls."""
        below: dict[str, list[Any]] = {name: [] for name in walls}
        assembled: dict[str, list[Part]] = {}
        of_material: dict[str, list[Any]] = {}
        styles: dict[str, Any] = {}
        for part in model.parts:
            if part.assembly is not None:
                assembled.setdefault(part.assembly, []).append(part)
        whole = {name: self.add_assembly(name, parts, walls) for name, parts in assembled.items()}
        inside: dict[str, list[Any]] = {name: [] for name in assembled}
        for part in model.parts:
            owner = walls[part.wall] if part.assembly is None else whole[part.assembly]
            home = part.wall if part.assembly is None else assembled[part.assembly][0].wall
            between = np.linalg.inv(model.wall_by_name[home].frame) @ model.wall_by_name[part.wall].frame
            frame = np.eye(4) if home == part.wall else frame_both_z_up(between)
            if part.material not in styles:
                styles[part.material] = self.style(part.material)
            product = self.add_part(part, model.wall_by_name[part.wall], owner, frame, styles[part.material])
            (below[part.wall] if part.assembly is None else inside[part.assembly]).append(product)
            of_material.setdefault(part.material, []).append(product)
        for name, parts in assembled.items():
            self.aggregate(f"assembly {name}", whole[name], inside[name])
            below[parts[0].wall].append(whole[name])
        for group in model.fixings:
            below[group.wall].append(self.add_fixings(group, walls[group.wall]))
        for name, products in below.items():
            if products:
                self.aggregate(f"wall {name}", walls[name], products)
        for name, products in of_material.items():
            material = self.make("IfcMaterial", label(name) or "unknown")
            self.rooted(
                "IfcRelAssociatesMaterial",
                f"material {name}",
                RelatedObjects=products,
                RelatingMaterial=material,
            )

    def add_assembly(self, name: str, parts: Sequence[Part], walls: Mapping[str, Any]) -> Any:
        """Add what goes up as one, still without its parts; it lies in the first part's wall."""
        post = any(part.kind is Kind.POST for part in parts)
        return self.rooted(
            "IfcElementAssembly",
            f"assembly {name}",
            Name=label(name),
            ObjectType="corner post" if post else "battens of a corner post",
            ObjectPlacement=self.make("IfcLocalPlacement", walls[parts[0].wall].ObjectPlacement, self.level),
            Tag=label(name),
            AssemblyPlace="SITE",
            PredefinedType="USERDEFINED",
        )

    def add_part(self, part: Part, wall: Wall, owner: Any, frame: Floats, style: Any) -> Any:
        """Add one piece with its shape, look and figures."""
        vertices = z_up(part.vertices)
        flats = flat_faces(vertices, part.faces)
        through = None if flats is None else pushed(vertices, flats)
        origin = vertices[0] if through is None else through.origin
        if through is not None:
            shape, way = self.extrusion(through, label(part.section)), "SweptSolid"
        else:
            shape, way = self.face_set(vertices - origin, part.faces, flats), "Tessellation"
        self.make("IfcStyledItem", shape, [style], None)
        placed = frame.copy()
        placed[:3, 3] += frame[:3, :3] @ origin
        product = PRODUCTS[part.kind]
        made = self.rooted(
            product.entity,
            f"part {part.mark}",
            Name=label(part.mark),
            ObjectType=str(part.kind),
            ObjectPlacement=self.make("IfcLocalPlacement", owner.ObjectPlacement, self.axes(placed)),
            Representation=self.make(
                "IfcProductDefinitionShape",
                None,
                None,
                [self.make("IfcShapeRepresentation", self.body, "Body", way, [shape])],
            ),
            Tag=label(part.mark),
            PredefinedType=product.type,
        )
        self.properties(made, f"part {part.mark}", "Cladmodel_Piece", self.figures(part, wall))
        return made

    def add_fixings(self, group: Fixings, wall: Any) -> Any:
        """Add a group of nails or screws as one product that says how many."""
        fastener = group.fastener
        made = self.rooted(
            "IfcMechanicalFastener",
            f"fixings {group.mark}",
            Name=label(group.mark),
            ObjectType=label(fastener.name),
            ObjectPlacement=self.make("IfcLocalPlacement", wall.ObjectPlacement, self.level),
            Tag=label(group.mark),
            NominalDiameter=float(fastener.diameter),
            NominalLength=float(fastener.length),
            PredefinedType="SCREW" if "screw" in fastener.name.lower() else "NAIL",
        )
        self.properties(
            made,
            f"fixings {group.mark}",
            "Cladmodel_Fixings",
            {
                "Count": self.make("IfcInteger", len(group.heads)),
                "Use": self.make("IfcLabel", str(group.use)),
                "HeadDiameter": self.length(fastener.head_diameter),
                "Headed": self.make("IfcBoolean", bool(fastener.headed)),
                "Ringed": self.make("IfcBoolean", bool(fastener.ringed)),
                "Concealed": self.make("IfcBoolean", bool(group.concealed)),
                "Metal": self.make("IfcLabel", label(fastener.material)),
            },
        )
        return made

    # ---- figures

    def figures(self, part: Part, wall: Wall) -> dict[str, Any]:
        """Gather a piece's own figures; what it has not is left out."""
        values = {
            "Mark": self.make("IfcIdentifier", label(part.mark)),
            "Kind": self.make("IfcLabel", str(part.kind)),
            "Wall": self.make("IfcLabel", label(part.wall)),
            "Layer": self.make("IfcLabel", str(part.layer)),
            "Section": self.make("IfcLabel", label(part.section)),
        }
        if part.cut_length_mm > 0.0:
            values["CutLength"] = self.length(part.cut_length_mm)
        if part.course is not None:
            values["Course"] = self.make("IfcInteger", int(part.course))
            if 1 <= part.course < len(wall.rod):
                gauge = float(wall.rod[part.course] - wall.rod[part.course - 1])
                values["Gauge"] = self.length(gauge)
        if part.assembly is not None:
            values["Assembly"] = self.make("IfcLabel", label(part.assembly))
        return values
