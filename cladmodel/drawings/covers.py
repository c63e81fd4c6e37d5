"""What shows of each board from outside."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from cladmodel.model import Kind, Model, Part, Wall

IN_FRONT = (Kind.POST, Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.SILL, Kind.FILLET)
"""Kinds that stand in front of the boards; a flashing runs up behind them."""

SLIVER = 1e-3
"""Shown areas smaller than this are float noise. [mm2]"""


def front_outline(part: Part) -> BaseGeometry:
    """Outline of a piece seen square on from outside, in x and y. [mm].

    Parameters
    ----------
    part : Part
    """
    corner = part.vertices[part.faces]
    cross = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    facing = part.faces[cross[:, 2] > 0]
    return shapely.union_all([Polygon(triangle) for triangle in part.vertices[facing][:, :, :2]])


def visible_covers(model: Model, wall: Wall) -> list[tuple[Part, BaseGeometry]]:
    """What shows of every board: its outline less the boards of higher courses, posts and trims.

    Parameters
    ----------
    model : Model
    wall : Wall

    Returns
    -------
    list of (Part, geometry)
        In model order; (x, y). [mm]
    """
    boards = model.of_kind(Kind.BOARD, wall=wall.name)
    outlines = [front_outline(board) for board in boards]
    front = shapely.union_all([front_outline(part) for part in model.of_kind(*IN_FRONT, wall=wall.name)])
    tree = shapely.STRtree(outlines)
    found = []
    for board, outline in zip(boards, outlines, strict=True):
        above = [outlines[n] for n in tree.query(outline) if (boards[n].course or 0) > (board.course or 0)]
        shown = outline.difference(shapely.union_all([*above, front]))
        found.append((board, shown))
    return found


def shown_polygons(shape: BaseGeometry) -> Sequence[Polygon]:
    """The polygons of a shape, without slivers."""
    return [p for p in shapely.get_parts(shape) if p.geom_type == "Polygon" and p.area > SLIVER]
