"""How each material looks when it is cut: a tint that prints light, and a hatch that tells it apart."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cladmodel.model import Kind, Part


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """Tint and hatch of a cut piece.

    Attributes
    ----------
    colour : str
        ``#rrggbb``.
    angle_deg : float or None
        Of the hatch; None for no hatch. [deg]
    spacing : float
        [mm on paper]
    crossed : bool
    """

    colour: str
    angle_deg: float | None = None
    spacing: float = 2.0
    crossed: bool = False

    @property
    def angle(self) -> float | None:
        """Of the hatch. [rad]"""
        return None if self.angle_deg is None else math.radians(self.angle_deg)


BOARD_FACE = "#f3e3c4"
"""A board's face, where it is not cut."""

# Tints and hatches are our own choice; each pair of neighbours in the wall differs in angle or spacing.
_BOARD_ODD = Look(colour="#eccb9a", angle_deg=45, spacing=1.5)
_BOARD_EVEN = Look(colour="#eccb9a", angle_deg=135, spacing=1.5)
_SMALL_TIMBER = Look(colour="#dfb67c", angle_deg=45, spacing=1.0, crossed=True)
_BY_KIND = {
    Kind.BATTEN: Look(colour="#f6e9cf", angle_deg=70, spacing=2.6),
    Kind.STUD: Look(colour="#faf1dd", angle_deg=30, spacing=4.5),
    Kind.SOLE_PLATE: Look(colour="#faf1dd", angle_deg=150, spacing=3.0),
    Kind.SILL_PLATE: Look(colour="#faf1dd", angle_deg=150, spacing=3.0),
    Kind.HEAD_PLATE: Look(colour="#faf1dd", angle_deg=150, spacing=3.0),
    Kind.LINTEL: Look(colour="#faf1dd", angle_deg=120, spacing=3.0),
    Kind.SHEATHING: Look(colour="#d9c08d", angle_deg=0, spacing=0.9),
    Kind.MEMBRANE: Look(colour="#34495c"),
    Kind.FLASHING: Look(colour="#4a4f55"),
    Kind.VENT_STRIP: Look(colour="#6d737a"),
    Kind.PACKER: Look(colour="#efd3a6", angle_deg=135, spacing=1.0, crossed=True),
}


def look(part: Part) -> Look:
    """How a piece is drawn where it is cut; boards of neighbouring courses are hatched opposite ways.

    Parameters
    ----------
    part : Part
    """
    if part.kind is Kind.BOARD:
        return _BOARD_ODD if (part.course or 0) % 2 else _BOARD_EVEN
    return _BY_KIND.get(part.kind, _SMALL_TIMBER)
