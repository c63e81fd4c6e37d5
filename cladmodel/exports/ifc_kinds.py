"""Which IFC4 product each kind of piece is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from cladmodel.model import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """One kind of product.

    Attributes
    ----------
    entity : str
        Its class in the schema.
    type : str
        Its predefined type; ``USERDEFINED`` where the schema has no word and the kind itself stands.
    """

    entity: str
    type: str = "USERDEFINED"


# Words of ISO 16739-1:2018 (IfcMemberTypeEnum, IfcBeamTypeEnum, IfcPlateTypeEnum, IfcCoveringTypeEnum).
PRODUCTS: Mapping[Kind, Product] = {
    Kind.STUD: Product(entity="IfcMember", type="STUD"),
    Kind.SOLE_PLATE: Product(entity="IfcMember", type="PLATE"),
    Kind.HEAD_PLATE: Product(entity="IfcMember", type="PLATE"),
    Kind.SILL_PLATE: Product(entity="IfcMember", type="PLATE"),
    Kind.LINTEL: Product(entity="IfcBeam", type="LINTEL"),
    Kind.SHEATHING: Product(entity="IfcPlate", type="SHEET"),
    Kind.MEMBRANE: Product(entity="IfcCovering", type="MEMBRANE"),
    Kind.BATTEN: Product(entity="IfcMember"),
    Kind.VENT_STRIP: Product(entity="IfcPlate"),
    Kind.STARTER: Product(entity="IfcMember"),
    Kind.PACKER: Product(entity="IfcMember"),
    Kind.POST: Product(entity="IfcMember", type="POST"),
    Kind.SIDE_TRIM: Product(entity="IfcMember"),
    Kind.HEAD_TRIM: Product(entity="IfcMember"),
    Kind.FLASHING: Product(entity="IfcPlate"),
    Kind.SILL: Product(entity="IfcMember"),
    Kind.FILLET: Product(entity="IfcMember"),
    Kind.BOARD: Product(entity="IfcCovering", type="CLADDING"),
    Kind.SCENERY: Product(entity="IfcBuildingElementProxy"),
}
