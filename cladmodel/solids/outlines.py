"""Polygons as arrays: all their corners at once, checked, turned the right way, cut into triangles."""

from __future__ import annotations

from dataclasses import dataclass

import mapbox_earcut
import numpy as np
import shapely
from numpy.typing import NDArray

from cladmodel.errors import SolidError
from cladmodel.solids.measure import Floats, Ints

Polygons = NDArray[np.object_]

# A ring vertex this close to the line through its neighbours adds nothing: relative to the two
# edge lengths, well above float64 noise and well below anything a saw can follow.
COLLINEAR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rings:
    """Corners of many polygons, outer rings counter-clockwise, holes clockwise, none on a straight line.

    Attributes
    ----------
    points : (n, 2) float
        [mm]
    part : (n,) int
        Index of the polygon that owns each.
    following, leading : (n,) int
        Index of the next and of the previous vertex on the same ring.
    turn : (n,) float
        Cross product of the edges before and after each vertex; above 0 to the left. [mm2]
    starts : (rings + 1,) int
        Where each ring's vertices start.
    ring_part : (rings,) int
    """

    points: Floats
    part: Ints
    following: Ints
    leading: Ints
    turn: Floats
    starts: Ints
    ring_part: Ints


def four_cornered(polygons: Polygons) -> tuple[Ints, Floats]:
    """Corners of all polygons that are plain convex shapes with four of them, as most pieces are.

    Parameters
    ----------
    polygons : (n,) shapely.Polygon

    Returns
    -------
    index : (m,) int
        Which polygons; any other needs `read_rings`.
    corners : (m, 4, 2) float
        Counter-clockwise. Corners that all turn left cannot cross each other: these polygons are sound. [mm]
    """
    plain = (shapely.get_num_interior_rings(polygons) == 0) & (shapely.get_num_coordinates(polygons) == 5)
    index = np.flatnonzero(plain)
    corners = shapely.get_coordinates(polygons[index]).reshape(-1, 5, 2)[:, :4]
    finite = np.isfinite(corners).all(axis=(1, 2))
    index, corners = index[finite], corners[finite]
    back = corners - corners[:, [3, 0, 1, 2]]
    ahead = back[:, [1, 2, 3, 0]]
    turn = back[:, :, 0] * ahead[:, :, 1] - back[:, :, 1] * ahead[:, :, 0]
    length = np.hypot(back[:, :, 0], back[:, :, 1])
    straight = COLLINEAR * length * length[:, [1, 2, 3, 0]]
    left, right = (turn > straight).all(axis=1), (turn < -straight).all(axis=1)
    corners[right] = corners[right, ::-1]
    convex = left | right
    return index[convex], corners[convex]


def read_rings(polygons: Polygons, names: Ints) -> Rings:
    """Read the corners of polygons and make sure that they bound something.

    Parameters
    ----------
    polygons : (n,) shapely.Polygon
    names : (n,) int
        What an error calls each of them.

    Raises
    ------
    SolidError
        If a polygon has no area, crosses itself, or has coordinates that are not numbers.
    """
    rings, ring_part = _ring_shapes(polygons)
    closed, ring = shapely.get_coordinates(rings, return_index=True)
    count = np.bincount(ring, minlength=len(rings))
    _check_sound(polygons, ring_part[count == 0], names)
    _check_sound(polygons, ring_part[ring[~np.isfinite(closed).all(axis=1)]], names)
    opened = np.ones(len(closed), np.bool_)
    opened[np.cumsum(count) - 1] = False
    points, ring = closed[opened], ring[opened]
    starts = np.concatenate([[0], np.cumsum(count - 1)])
    points = _turned(points, ring, starts, ring_part)
    long_look = np.zeros(len(polygons), np.bool_)
    while True:
        following, leading = _neighbours(starts)
        ahead = points[following] - points
        back = ahead[leading]
        turn = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0]
        length = np.hypot(ahead[:, 0], ahead[:, 1])
        straight = np.abs(turn) <= COLLINEAR * length * length[leading]
        # Two neighbours dropped in one pass could take a real corner with them.
        straight &= ~(straight[leading] & (np.arange(len(points)) != starts[ring]))
        if not straight.any():
            break
        doubled_back = straight & (back[:, 0] * ahead[:, 0] + back[:, 1] * ahead[:, 1] < 0)
        long_look[ring_part[ring[doubled_back]]] = True
        points, ring = points[~straight], ring[~straight]
        starts = np.searchsorted(ring, np.arange(len(rings) + 1))
        _check_sound(polygons, ring_part[np.diff(starts) < 3], names)
    # Three or four corners that all turn left cannot cross each other: only the rest need a long look.
    left = np.minimum.reduceat(turn, starts[:-1]) > 0
    long_look[ring_part[~left | (np.diff(starts) > 4)]] = True
    looked_at = np.flatnonzero(long_look)
    _check_sound(polygons, looked_at[~shapely.is_valid(polygons[looked_at])], names)
    return Rings(
        points=points,
        part=ring_part[ring],
        following=following,
        leading=leading,
        turn=turn,
        starts=starts,
        ring_part=ring_part,
    )


def _check_sound(polygons: Polygons, unsound: Ints, names: Ints) -> None:
    """Refuse the first of some unsound polygons, if there are any."""
    if len(unsound):
        bad = polygons[unsound[0]]
        reason = "it has no area" if shapely.is_valid(bad) else shapely.is_valid_reason(bad)
        raise SolidError(reason, int(names[unsound[0]]))


def _ring_shapes(polygons: Polygons) -> tuple[Polygons, Ints]:
    """Geometries whose coordinates are one ring each, outer ring first, and the polygon of each."""
    holed = shapely.get_num_interior_rings(polygons) > 0
    inner, owner = shapely.get_rings(polygons[holed], return_index=True)
    part = np.concatenate([np.flatnonzero(~holed), np.flatnonzero(holed)[owner]])
    order = np.argsort(part, kind="stable")
    return np.concatenate([polygons[~holed], inner])[order], part[order]


def _turned(points: Floats, ring: Ints, starts: Ints, ring_part: Ints) -> Floats:
    """Ring vertices with outer rings (the first of each part) counter-clockwise, others clockwise."""
    x, y = (points - points[starts[ring]]).T
    following, _ = _neighbours(starts)
    area = np.add.reduceat(x * y[following] - y * x[following], starts[:-1])
    outer = np.append(True, ring_part[1:] != ring_part[:-1])
    wrong = ((area > 0) != outer)[ring]
    here = np.arange(len(points))
    mirror = (starts[:-1] + starts[1:] - 1)[ring] - here
    return points[np.where(wrong, mirror, here)]


def _neighbours(starts: Ints) -> tuple[Ints, Ints]:
    total = int(starts[-1])
    following, leading = np.arange(1, total + 1), np.arange(-1, total - 1)
    following[starts[1:] - 1] = starts[:-1]
    leading[starts[:-1]] = starts[1:] - 1
    return following, leading


def triangulate(rings: Rings, count: int) -> tuple[Ints, Ints]:
    """Triangles over ring vertices: fans for convex polygons, ear cutting for the rest.

    Parameters
    ----------
    rings : Rings
    count : int
        How many polygons there are.

    Returns
    -------
    triangles : (t, 3) int
        Indices into the ring vertices, counter-clockwise.
    owner : (t,) int
        Polygon of each; rising.

    Raises
    ------
    SolidError
        If a polygon with holes cannot be cut into triangles.
    """
    ring_count = np.bincount(rings.ring_part, minlength=count)
    first_ring = np.searchsorted(rings.ring_part, np.arange(count))
    convex = (np.minimum.reduceat(rings.turn, rings.starts[:-1]) > 0)[first_ring] & (ring_count == 1)
    corners = np.diff(rings.starts)[first_ring]
    origin = rings.starts[first_ring]
    triangles, owner = [], []
    for many in np.unique(corners[convex]):
        same = np.flatnonzero(convex & (corners == many))
        step = np.arange(1, many - 1)
        fan = np.column_stack([np.zeros_like(step), step, step + 1])
        triangles.append((origin[same][:, None, None] + fan).reshape(-1, 3))
        owner.append(np.repeat(same, many - 2))
    others = np.flatnonzero(~convex)
    if len(others):
        cut, counts = _cut(rings, first_ring[others], ring_count[others])
        triangles.append(_outward(cut, rings.points))
        owner.append(np.repeat(others, counts))
    every, owned = np.concatenate(triangles), np.concatenate(owner)
    order = np.argsort(owned, kind="stable")
    return every[order], owned[order]


def _cut(rings: Rings, first_ring: Ints, ring_count: Ints) -> tuple[Ints, list[int]]:
    """Triangles of polygons that are not convex, every vertex used, and how many each has.

    Ear cutting is fast but drops vertices that come to lie in line while it bridges to holes, as
    slots in a row do; the count of triangles then falls short, and a constrained Delaunay
    triangulation, which drops none, takes over.
    """
    starts = rings.starts.astype(np.uint32)
    origin, end = rings.starts[first_ring], rings.starts[first_ring + ring_count]
    due = (end - origin + 2 * ring_count - 4).tolist()
    cut = []
    for ring, many, a, b, wanted in zip(
        first_ring.tolist(), ring_count.tolist(), origin.tolist(), end.tolist(), due, strict=True
    ):
        points, ends = rings.points[a:b], starts[ring + 1 : ring + many + 1] - starts[ring]
        ears = mapbox_earcut.triangulate_float64(points, ends)
        cut.append(ears if len(ears) == 3 * wanted else _delaunay(points, ends, wanted))
    return np.concatenate(cut).reshape(-1, 3) + np.repeat(origin, due)[:, None], due


def _delaunay(points: Floats, ends: NDArray[np.uint32], wanted: int) -> Ints:
    """(3 * wanted,) int: corners of the triangles of one polygon with rings that end at `ends`."""
    rings = np.split(points, ends[:-1])
    cells = shapely.constrained_delaunay_triangles(shapely.Polygon(rings[0], rings[1:]))
    index = _find(points, shapely.get_coordinates(cells).reshape(-1, 4, 2)[:, :3].reshape(-1, 2))
    if len(index) != 3 * wanted:
        raise SolidError("a polygon with holes could not be cut into triangles")
    return index


def _find(points: Floats, wanted: Floats) -> Ints:
    """(m,) int: index in `points` of each wanted point; both hold the very same numbers."""
    as_complex = points[:, 0] + 1j * points[:, 1]
    order = np.argsort(as_complex)
    return np.asarray(order[np.searchsorted(as_complex[order], wanted[:, 0] + 1j * wanted[:, 1])])


def _outward(triangles: Ints, points: Floats) -> Ints:
    a, b, c = points[triangles].swapaxes(0, 1)
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    return np.where((area < 0)[:, None], triangles[:, ::-1], triangles)
