"""One layer's face on a wall, from which sheets, studs and plates are cut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import shapely

from cladmodel.parts.piece import left_to_right, polygons_of
from cladmodel.settingout.outline import Outline
from cladmodel.settingout.rectangles import Box, less


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Face:
    """A wall's face between two plumb ends, less rectangular holes.

    Attributes
    ----------
    bounds : (left, low, right, high)
        [mm]
    shape : shapely.Geometry or None
        The face where its foot or its top is not level; None where it fills its bounds.
    holes : tuple of (left, low, right, high)
        [mm]
    """

    bounds: Box
    shape: shapely.Geometry | None
    holes: tuple[Box, ...]

    def cut(self, box: Box) -> list[shapely.Polygon]:
        """Polygons that a box has in common with the face, from left to right.

        Parameters
        ----------
        box : (left, low, right, high)
            [mm]
        """
        a, b, c, d = self.bounds
        left, low, right, high = max(a, box[0]), max(b, box[1]), min(c, box[2]), min(d, box[3])
        pieces = less((left, low, right, high), self.holes)
        if self.shape is not None:
            pieces = [part for piece in pieces for part in polygons_of(piece.intersection(self.shape))]
        return left_to_right(pieces)


def face_of(
    outline: Outline,
    ends: tuple[float, float],
    holes: Iterable[Box],
    *,
    rise: float = 0.0,
    drop: float = 0.0,
) -> Face:
    """Face of a wall between two plumb ends, above a raised foot and below a lowered top.

    Parameters
    ----------
    outline : Outline
    ends : (left, right)
        [mm]
    holes : iterable of (left, low, right, high)
        [mm]
    rise, drop : float
        Plumb. [mm]
    """
    level = len({y for _, y in outline.foot}) == 1 and len({y for _, y in outline.top}) == 1
    return Face(
        bounds=(ends[0], outline.lowest + rise, ends[1], outline.highest - drop),
        shape=None if level else outline.between(*ends, rise, drop),
        holes=tuple(holes),
    )
