"""A board's own shape, read off its triangles: the outline of its back face."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon, box

from cladmodel.model import Part
from cladmodel.solids.measure import gather, normals

SAME_FACE = 1e-6
"""Normals nearer than this belong to one flat face. [-]"""

SPECK = 1.0
"""Missing pieces of less area are float noise, not notches. [mm2]"""

ON_EDGE = 1e-6
"""A corner this near an edge is on it: float noise is about 1e-12. [mm]"""


OUT_OF_SQUARE = 0.18
"""Run per rise up to which an end counts as out of square, not as a rake cut: 10 degrees. No post leans so
much and no roof is so steep. Common practice, no source. [-]"""

FULL = 0.9
"""A piece missing at an end that fills less of its box than this has a slanting edge. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch:
    """A piece cut out of a board.

    Attributes
    ----------
    edge : str
        ``butt`` or ``thin edge``: the edge it is cut from.
    left, right : float
        From the board's left end, seen from outside. [mm]
    depth : float
        Up (or down) the board from that edge. [mm]
    """

    edge: str
    left: float
    right: float
    depth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EndCut:
    """An end that is not square to the board's edges.

    Attributes
    ----------
    end : str
        ``left`` or ``right``, seen from outside.
    edge : str
        ``butt`` or ``thin edge``: the shorter one.
    shorter : float
        By how much. [mm]
    rise : float
        Up the board over which it slants; less than the width when the rake begins part way. [mm]
    """

    end: str
    edge: str
    shorter: float
    rise: float

    @property
    def raked(self) -> bool:
        """Whether it is a rake cut; otherwise the end is only out of square."""
        return self.shorter > self.rise * OUT_OF_SQUARE


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardShape:
    """A board as it is marked out and cut.

    Attributes
    ----------
    length : float
        Longest, along the wall. [mm]
    width : float
        Along the back face. [mm]
    notches : tuple of Notch
        From the left.
    end_cuts : tuple of EndCut
        Empty when both ends are square.
    outline : Polygon
        Back face, (along the wall, up the back face), from the board's left bottom corner. [mm]
    """

    length: float
    width: float
    notches: tuple[Notch, ...]
    end_cuts: tuple[EndCut, ...]
    outline: Polygon

    @property
    def area(self) -> float:
        """Of the back face. [mm2]"""
        return float(self.outline.area)


def board_shape(part: Part) -> BoardShape:
    """Read a board's outline off its back face.

    Parameters
    ----------
    part : Part
        A board, level along x.
    """
    normal, area = normals(gather([part]))
    behind = normal[:, 2] < 0
    back = normal[np.argmax(np.where(behind, area, -1.0))]
    chosen = (normal @ back > 1 - SAME_FACE) & (area > 0)

    up = np.cross(back, [-1.0, 0.0, 0.0])
    up /= np.linalg.norm(up)
    flat = np.stack([part.vertices[:, 0], part.vertices @ up], axis=1)
    used = flat[np.unique(part.faces[chosen])]
    flat = flat - used.min(axis=0)
    outline = shapely.union_all([Polygon(triangle) for triangle in flat[part.faces[chosen]]])
    _, _, length, width = outline.bounds
    notches, end_cuts = _missing(outline)
    return BoardShape(length=length, width=width, outline=outline, notches=notches, end_cuts=end_cuts)


def _missing(outline: Polygon) -> tuple[tuple[Notch, ...], tuple[EndCut, ...]]:
    """What an outline lacks of its box: notches, and wedges where an end is not square."""
    _, _, length, width = outline.bounds
    notches, end_cuts = [], []
    for piece in shapely.get_parts(box(0, 0, length, width).difference(outline)):
        if piece.area < SPECK:
            continue
        left, low, right, high = piece.bounds
        at_butt, at_thin = low < ON_EDGE, high > width - ON_EDGE
        at_end = left < ON_EDGE or right > length - ON_EDGE
        slants = piece.area < FULL * (right - left) * (high - low)
        if (at_butt and at_thin) or (at_end and slants):
            end = "left" if left < ON_EDGE else "right"
            edge = "butt" if piece.centroid.y < (low + high) / 2 else "thin edge"
            end_cuts.append(EndCut(end=end, edge=edge, shorter=right - left, rise=high - low))
        else:
            edge = "butt" if at_butt else "thin edge"
            notches.append(Notch(edge=edge, left=left, right=right, depth=high - low))
    return tuple(sorted(notches, key=lambda notch: notch.left)), tuple(
        sorted(end_cuts, key=lambda cut: cut.end)
    )
