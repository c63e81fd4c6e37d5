"""What the slots of a perforated strip leave free for the air across a bay, measured in plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from cladmodel.model import Part
from cladmodel.solids.sections import section_polygons

LIES = 0.5
"""What is this near to a strip lies on it, and lets no air past sideways. [mm]"""

SPECK = 0.5
"""Free pieces of less area are float noise at a slot's edge. [mm2]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slots:
    """Free slots across one bay.

    Attributes
    ----------
    area : float
        Of all. [mm2]
    widest : float
        Width of the widest one; 0 if none is free. [mm]
    middle : (x, z)
        Of the widest one, or of the bay if none is free. [mm]
    """

    area: float
    widest: float
    middle: tuple[float, float]


def free_slots(
    across: Sequence[tuple[Part, BaseGeometry]], rest: Sequence[Part], span: tuple[float, float], face: float
) -> Slots:
    """Measure what strips leave free across a bay.

    Parameters
    ----------
    across : sequence of (Part, shapely geometry)
        Strips, and each in plan. At least one.
    rest : sequence of Part
        What may lie on them, or right under them, and close their slots.
    span : (left, right)
        Of the bay. [mm]
    face : float
        z of the membrane's outer face. [mm]
    """
    front = max(float(strip.vertices[:, 2].max()) for strip, _ in across)
    whole = shapely.box(span[0], face, span[1], front)
    heights = {height for strip, _ in across for height in _beside(strip)}
    lying = [polygon for y in sorted(heights) for _, polygon in section_polygons(rest, y=y)]
    free = whole.difference(shapely.union_all([plan for _, plan in across] + lying))
    slots = [piece for piece in shapely.get_parts(free) if piece.area > SPECK]
    widths = [_width(slot) for slot in slots]
    best = int(np.argmax(widths)) if widths else 0
    middle = slots[best].centroid if slots else whole.centroid
    return Slots(
        area=float(sum(slot.area for slot in slots)),
        widest=float(widths[best]) if widths else 0.0,
        middle=(middle.x, middle.y),
    )


def _beside(strip: Part) -> tuple[float, float]:
    """Just below a strip and just above it. [mm]"""
    up = strip.vertices[:, 1]
    return float(up.min()) - LIES, float(up.max()) + LIES


def _width(slot: Polygon) -> float:
    """The short side of a slot's least box. [mm]"""
    corner = shapely.get_coordinates(shapely.minimum_rotated_rectangle(slot))
    return float(np.linalg.norm(np.diff(corner[:3], axis=0), axis=1).min())
