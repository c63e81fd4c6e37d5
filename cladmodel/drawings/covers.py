"""What shows of each piece from outside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from cladmodel.model import Kind, Model, Part, Wall
from cladmodel.schedules.corners import corners, in_axes
from cladmodel.solids.measure import face_vectors

IN_FRONT = (Kind.POST, Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.SILL, Kind.FILLET)
"""Kinds that stand in front of the boards; a flashing runs up behind them."""

SLIVER = 1e-3
"""Shown areas smaller than this are float noise. [mm2]"""

ON_BATTENS = 1e-6
"""What nowhere stands further out than this is no further out than the battens. [mm]"""


def front_outline(part: Part) -> BaseGeometry:
    """Outline of a piece seen square on from outside, in x and y. [mm].

    Parameters
    ----------
    part : Part
    """
    facing = part.faces[face_vectors(part.vertices, part.faces)[:, 2] > 0]
    return shapely.union_all([Polygon(triangle) for triangle in part.vertices[facing][:, :, :2]])


def front_pieces(model: Model, wall: Wall) -> list[Part]:
    """Posts, trims and fillets in front of a wall's boards, in its axes; a post may be its neighbour's.

    Parameters
    ----------
    model : Model
    wall : Wall
    """
    posts = {
        corner.post.mark: in_axes(model, corner.post, wall)
        for corner in corners(model)
        if wall in corner.walls
    }
    own = [part for part in model.of_kind(*IN_FRONT, wall=wall.name) if part.mark not in posts]
    return [*own, *posts.values()]


def bodies(part: Part) -> list[Part]:
    """A piece made of several touching solids, one by one.

    Parameters
    ----------
    part : Part
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    a, b = part.faces[:, [0, 1]].T, part.faces[:, [1, 2]].T
    rows, columns = np.concatenate([a[0], b[0]]), np.concatenate([a[1], b[1]])
    links = coo_array((np.ones(len(rows)), (rows, columns)), shape=(len(part.vertices),) * 2)
    count, of = connected_components(links, directed=False)
    found = []
    for n in range(count):
        faces = part.faces[of[part.faces[:, 0]] == n]
        if len(faces):
            kept, again = np.unique(faces, return_inverse=True)
            found.append(replace(part, vertices=part.vertices[kept], faces=again.reshape(faces.shape)))
    return found


def flashing_bodies(model: Model, wall: Wall) -> tuple[list[Part], list[Part]]:
    """Parts of the flashings behind the boards, and those in front of the trims.

    Parameters
    ----------
    model : Model
    wall : Wall
    """
    every = [body for part in model.of_kind(Kind.FLASHING, wall=wall.name) for body in bodies(part)]
    behind = [body for body in every if float(body.vertices[:, 2].max()) <= ON_BATTENS]
    return behind, [body for body in every if float(body.vertices[:, 2].max()) > ON_BATTENS]


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
    front = shapely.union_all([front_outline(part) for part in front_pieces(model, wall)])
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
