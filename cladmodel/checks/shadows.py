"""A piece as seen from in front of the wall, or from above."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from cladmodel.model import Part
from cladmodel.solids.measure import gather, normals


def shadow(part: Part) -> BaseGeometry:
    """A piece as seen from outside, (x, y): its outward faces. [mm]

    Parameters
    ----------
    part : Part
    """
    return _seen(part, 2, (0, 1))


def plan(part: Part) -> BaseGeometry:
    """A piece as seen from above, (x, z): its upward faces. [mm]

    Parameters
    ----------
    part : Part
    """
    return _seen(part, 1, (0, 2))


def _seen(part: Part, axis: int, shown: tuple[int, int]) -> BaseGeometry:
    normal, _ = normals(gather([part]))
    faces = part.faces[normal[:, axis] > 0]
    return shapely.union_all(shapely.polygons(part.vertices[faces][:, :, shown]))
