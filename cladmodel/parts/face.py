"""One layer's face on a wall, from which sheets, studs and plates are cut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import shapely

from cladmodel.parts.piece import LEAST_AREA, polygons_of
from cladmodel.settingout.outline import Outline

Box = tuple[float, float, float, float]


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
        if right <= left or high <= low:
            return []
        holes = [h for h in self.holes if h[0] < right and left < h[2] and h[1] < high and low < h[3]]
        piece = shapely.box(left, low, right, high)
        if self.shape is None and not holes:
            return [piece] if (right - left) * (high - low) > LEAST_AREA else []
        if self.shape is not None:
            piece = piece.intersection(self.shape)
        if holes:
            piece = piece.difference(shapely.union_all([shapely.box(*hole) for hole in holes]))
        return polygons_of(piece)


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
