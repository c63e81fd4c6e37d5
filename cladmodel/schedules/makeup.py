"""Make-up list of the corner posts: each post, its relieved foot, its battens and their concealed screws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon, box

from cladmodel.model import CornerKind, Floats, Model, Part
from cladmodel.schedules.corners import Corner, corners, screws_of
from cladmodel.schedules.quantities import piece_length
from cladmodel.solids.sections import section_polygons

UP = 0.5
"""A post's section is read at this share of its height, clear of its relieved foot. [-]"""

INTO_FOOT = 0.5
"""Its foot is read this far up: less than any vent strip's thickness. [mm]"""

HAIR = 0.05
"""Less than any pencil line, more than a post leans within its foot's relief. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PostBatten:
    """One batten of a corner post, and the screws through its edge.

    Attributes
    ----------
    mark, wall : str
    thickness, width, length : float
        Length is the longest. [mm]
    above_foot : float
        Its foot above the post's. [mm]
    screw : str
        Size; empty if there is none.
    screws : tuple of float
        Above the batten's foot, rising. [mm]
    """

    mark: str
    wall: str
    thickness: float
    width: float
    length: float
    above_foot: float
    screw: str
    screws: tuple[float, ...]

    @property
    def spacing(self) -> float | None:
        """Most between two neighbouring screws; None for fewer than two. [mm]"""
        return float(np.diff(self.screws).max()) if len(self.screws) > 1 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeUp:
    """One corner post with its battens: goes up as one piece.

    Attributes
    ----------
    name : str
    kind : CornerKind
    walls : tuple of str
        From left to right, seen from outside.
    mark : str
        Of the post.
    width, depth : float
        Along the wall and out from it. [mm]
    length : float
        [mm]
    relief_height : float
        Of the room left at its foot for the vent strip; 0 if there is none. [mm]
    relief_along, relief_out : float
        Of that room, along the wall and out from it, at the post's inner sides. [mm]
    battens : tuple of PostBatten
    """

    name: str
    kind: CornerKind
    walls: tuple[str, ...]
    mark: str
    width: float
    depth: float
    length: float
    relief_height: float
    relief_along: float
    relief_out: float
    battens: tuple[PostBatten, ...]


def makeup(model: Model) -> tuple[MakeUp, ...]:
    """Measure every corner post with its battens and screws, on the solids.

    Parameters
    ----------
    model : Model
    """
    return tuple(_makeup(model, corner) for corner in corners(model))


def _makeup(model: Model, corner: Corner) -> MakeUp:
    post = corner.post
    x0, z0, x1, z1 = plan_at(post, UP * float(np.ptp(post.vertices[:, 1]))).bounds
    height, along, out = relief(post)
    return MakeUp(
        name=corner.name,
        kind=corner.kind,
        walls=tuple(wall.name for wall in corner.walls),
        mark=post.mark,
        width=x1 - x0,
        depth=z1 - z0,
        length=piece_length(post),
        relief_height=height,
        relief_along=along,
        relief_out=out,
        battens=tuple(_batten(model, corner, batten) for batten in corner.battens),
    )


def plan_at(post: Part, up: float) -> Polygon:
    """A post's section a height above its foot, in x and z of its wall. [mm]

    Parameters
    ----------
    post : Part
    up : float
        [mm]
    """
    foot = float(post.vertices[:, 1].min())
    return max((polygon for _, polygon in section_polygons([post], y=foot + up)), key=lambda p: p.area)


def relief(post: Part) -> tuple[float, float, float]:
    """Room cut out of a post's foot, read off its triangles.

    Parameters
    ----------
    post : Part

    Returns
    -------
    height, along, out : float
        Up the post, along its wall, and out from its back; zeros if its foot is whole. [mm]
    """
    up = post.vertices[:, 1] - float(post.vertices[:, 1].min())
    tops: Floats = up[(up > INTO_FOOT) & (up < UP * float(up.max()))]
    if not len(tops):
        return 0.0, 0.0, 0.0
    height = float(tops.max())
    foot, whole = plan_at(post, INTO_FOOT), plan_at(post, height + INTO_FOOT)
    x0, z0, x1, z1 = whole.bounds
    # A leaning post's two sections are a hair apart: opened, only what was cut out is left.
    missing = whole.difference(foot).buffer(-HAIR, join_style="mitre").buffer(HAIR, join_style="mitre")
    # At an inside corner the room is an L, a leg along each inner side: the legs' widths are wanted.
    along = [missing.intersection(box(x0, z, x1, z + 2 * HAIR)) for z in (z0 + HAIR, z1 - 3 * HAIR)]
    out = [missing.intersection(box(x, z0, x + 2 * HAIR, z1)) for x in (x0 + HAIR, x1 - 3 * HAIR)]
    wide = [float(np.ptp(shape.bounds[0::2])) for shape in along if not shape.is_empty]
    deep = [float(np.ptp(shape.bounds[1::2])) for shape in out if not shape.is_empty]
    return height, min(wide, default=0.0), min(deep, default=0.0)


def _batten(model: Model, corner: Corner, batten: Part) -> PostBatten:
    low, high = batten.vertices.min(axis=0), batten.vertices.max(axis=0)
    found = screws_of(model, corner, batten)
    heights = np.sort(np.concatenate([heads[:, 1] for _, heads in found])) if found else np.empty(0)
    sides = _sides(batten)
    return PostBatten(
        mark=batten.mark,
        wall=batten.wall,
        thickness=min(sides),
        width=max(sides),
        length=float(high[1] - low[1]),
        above_foot=float(low[1] - corner.post.vertices[:, 1].min()),
        screw=found[0][0].fastener.name if found else "",
        screws=tuple(float(v) for v in heights - low[1]),
    )


def _sides(batten: Part) -> tuple[float, float]:
    """Both sides of a batten's section at half its height; it may lean. [mm]"""
    middle = float(batten.vertices[:, 1].min() + batten.vertices[:, 1].max()) / 2
    ((_, polygon),) = section_polygons([batten], y=middle)
    x0, z0, x1, z1 = polygon.bounds
    return float(x1 - x0), float(z1 - z0)
