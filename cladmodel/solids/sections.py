r"""Plane cuts through solids: triangles met by a plane, chained into rings and polygons.

    side +   a-------b          Every cut triangle has one half-edge that leaves the upper side (a -> c)
              \\  >-->/  plane   and one that comes back to it (c -> b). The neighbour across a mesh edge
               \\   /           runs through the same edge the other way, so rings are chained on edges,
    side -      \\ /            exactly, without any tolerance on coordinates.
                 c

A vertex that lies exactly on the plane counts as above it: a piece is cut by planes from just above its
lower end up to and including its upper end.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from cladmodel.solids.measure import Floats, Ints, Meshed, Soup, gather

AnyMeshed = TypeVar("AnyMeshed", bound=Meshed)

# Which two axes a cut shows, by the axis it is square to, and whether that pair is left-handed about it.
_SHOWN = {0: ((2, 1), True), 1: ((0, 2), True), 2: ((0, 1), False)}

STRAIGHT = 1e-10
"""Sine of the turn below which a point of a ring is on a straight line: the cut crosses a face's
diagonal there, no corner. Far above float noise (1e-13), far below any saw's accuracy. [-]"""

SLIVER = 1e-9
"""Rings of less area than this are a plane grazing an edge. [mm2]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ring:
    """One closed outline where a plane cuts a solid.

    Attributes
    ----------
    part : int
        Index of the solid.
    points : (n, 2) float
        Corners, not repeated at the end; counter-clockwise round timber, clockwise round a hole. [mm]
    area : float
        Below 0 for a hole. [mm2]
    """

    part: int
    points: Floats
    area: float


def rings(soup: Soup, axis: int, at: float, faces: Ints | None = None) -> list[Ring]:
    """Cut a soup of solids by one plane square to an axis.

    Parameters
    ----------
    soup : Soup
    axis : int
        0, 1 or 2: the plane is x, y or z = `at`.
    at : float
        [mm]
    faces : (k,) int, optional
        Only these faces (all of the faces of each solid wanted).

    Returns
    -------
    list of Ring
        By solid, then as found. Points are (z, y) for an x cut, (x, z) for a y cut, (x, y) for a z cut.
    """
    shown, left_handed = _SHOWN[axis]
    start, following, owner = _only_corners(*_segments(soup, axis, at, shown, faces))
    follow, unused = following.tolist(), [True] * len(following)
    found: list[Ring] = []
    for first in range(len(follow)):
        chain = []
        here = first
        while unused[here]:
            unused[here] = False
            chain.append(here)
            here = follow[here]
        if len(chain) < 3:
            continue
        points = start[chain[::-1] if left_handed else chain]
        area = _area(points)
        if abs(area) > SLIVER:
            found.append(Ring(part=int(owner[first]), points=points, area=area))
    found.sort(key=lambda ring: ring.part)
    return found


def section_polygons(
    parts: Iterable[AnyMeshed], *, x: float | None = None, y: float | None = None, z: float | None = None
) -> list[tuple[AnyMeshed, Polygon]]:
    """Cut parts by one plane and return what is cut as polygons.

    Parameters
    ----------
    parts : iterable of Meshed
        All in the same axes; they need not be convex.
    x, y, z : float
        Exactly one of them: where the plane stands. [mm]

    Returns
    -------
    list of (part, Polygon)
        In the order of `parts`; a part cut in two places comes twice. Coordinates are (z, y) for an x
        cut, (x, z) for a y cut (a plan) and (x, y) for a z cut; exteriors run counter-clockwise.

    Raises
    ------
    ValueError
        If not exactly one plane is given.
    """
    given = [(axis, at) for axis, at in enumerate((x, y, z)) if at is not None]
    if len(given) != 1:
        raise ValueError("give exactly one of x, y and z")
    axis, at = given[0]
    parts = [p for p in parts if p.vertices[:, axis].min() < at <= p.vertices[:, axis].max()]
    by_part: dict[int, list[Ring]] = {}
    for ring in rings(gather(parts), axis, at):
        by_part.setdefault(ring.part, []).append(ring)
    return [(parts[index], polygon) for index, own in by_part.items() for polygon in _polygons(own)]


def _segments(
    soup: Soup, axis: int, at: float, shown: tuple[int, int], faces: Ints | None
) -> tuple[Floats, Ints, Ints]:
    """Start point, index of the following segment, and owner of every cut triangle."""
    corner = soup.faces if faces is None else soup.faces[faces]
    owner = soup.face_part if faces is None else soup.face_part[faces]
    level = soup.vertices[:, axis]
    above = level[corner] - at >= 0
    mixed = above.any(axis=1) & ~above.all(axis=1)
    corner, above, owner = corner[mixed], above[mixed], owner[mixed]
    row = np.arange(len(corner))
    ahead = above[:, [1, 2, 0]]
    leaving = np.argmax(above & ~ahead, axis=1)
    coming = np.argmax(~above & ahead, axis=1)
    nxt = np.array([1, 2, 0])
    leave = (corner[row, leaving], corner[row, nxt[leaving]])
    come = (corner[row, coming], corner[row, nxt[coming]])
    high, low = leave
    over, under = level[high] - at, level[low] - at
    share = over / (over - under)
    upper, lower = soup.vertices[high][:, shown], soup.vertices[low][:, shown]
    start = upper + share[:, None] * (lower - upper)
    reach = np.int64(max(len(soup.vertices), 1))
    start_key = high * reach + low
    end_key = come[1] * reach + come[0]
    order = np.argsort(start_key)
    place = np.minimum(np.searchsorted(start_key[order], end_key), max(len(order) - 1, 0))
    following = order[place] if len(order) else order
    return start, following, owner


def _only_corners(start: Floats, following: Ints, owner: Ints) -> tuple[Floats, Ints, Ints]:
    """Drop repeated points, and points where a ring runs straight on."""
    while len(start):
        ahead = start[following] - start
        length = np.hypot(ahead[:, 0], ahead[:, 1])
        drop = length == 0
        if not drop.any():
            along, next_length = ahead[following], length[following]
            scale = STRAIGHT * length * next_length
            straight = np.abs(ahead[:, 0] * along[:, 1] - ahead[:, 1] * along[:, 0]) <= scale
            # A point where the ring turns right back is a corner too.
            straight &= ahead[:, 0] * along[:, 0] + ahead[:, 1] * along[:, 1] > 0
            drop[following[straight]] = True
        if not drop.any():
            break
        dropped_before = -1
        while drop[following].any():
            missing = int(drop[following].sum())
            if missing == dropped_before:  # a ring that has lost all its points
                break
            dropped_before = missing
            following = np.where(drop[following], following[following], following)
        kept = np.flatnonzero(~drop)
        place = np.cumsum(~drop) - 1
        start, following, owner = start[kept], place[following[kept]], owner[kept]
    return start, following, owner


def _area(points: Floats) -> float:
    """Signed area of a ring, about its first point. [mm2]"""
    (x0, y0), *rest = points.tolist()
    twice = 0.0
    for (x1, y1), (x2, y2) in pairwise(rest):
        twice += (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
    return twice / 2


def _polygons(own: Sequence[Ring]) -> list[Polygon]:
    """Outer rings with the holes that lie in each."""
    outers = sorted((r for r in own if r.area > 0), key=lambda ring: ring.area)
    holes: list[list[NDArray[np.float64]]] = [[] for _ in outers]
    shells = [Polygon(ring.points) for ring in outers]
    for hole in (r for r in own if r.area < 0):
        inside = Polygon(hole.points).representative_point()
        for index, shell in enumerate(shells):
            if shapely.contains_xy(shell, inside.x, inside.y):
                holes[index].append(hole.points)
                break
    return [Polygon(ring.points, inner) for ring, inner in zip(outers, holes, strict=True)]
