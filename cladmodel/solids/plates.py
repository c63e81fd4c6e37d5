r"""One solid for every flat-sided piece: a polygon in its own plane, a thickness law and a frame.

A plate's own axes are s (along), y (up its back face) and n (out through it)::

        n                      front  n = t1 - k y
        |   ______
        |  /      ------____
        | /                 ---.      back  n = 0
        |/______________________\\___ y

All plates are lifted together, in arrays; nothing is welded from one plate to the next.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import mapbox_earcut
import numpy as np
import shapely
from numpy.typing import NDArray

from cladmodel.errors import SolidError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# A ring vertex this close to the line through its neighbours adds nothing: relative to the two
# edge lengths, well above float64 noise and well below anything a saw can follow.
COLLINEAR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """A polygon with a thickness, placed in space.

    Attributes
    ----------
    polygon : shapely.Polygon
        In the plate's own s and y; may have holes. [mm]
    thickness : float
        t1, at y = 0. [mm]
    frame : (3, 4) float
        Columns are s, y, n and the origin, in the target axes.
    taper : float
        k in t(y) = t1 - k y. [-]
    plumb : float
        Lean of the back face from upright; edges other than those at `square_at` are cut level
        or plumb instead of square to the face. 0 cuts every edge square. [rad]
    square_at : tuple of float
        Heights y whose edges stay square to the face when `plumb` is not 0. [mm]
    """

    polygon: shapely.Polygon
    thickness: float
    frame: Floats
    taper: float = 0.0
    plumb: float = 0.0
    square_at: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solid:
    """A closed triangle mesh.

    Attributes
    ----------
    vertices : (n, 3) float
        [mm]
    faces : (m, 3) int
        Counter-clockwise seen from outside.
    """

    vertices: Floats
    faces: Ints


def frame(origin: Sequence[float], s: Sequence[float], y: Sequence[float]) -> Floats:
    """Right-handed frame of a plate from two of its axes.

    Parameters
    ----------
    origin, s, y : (3,) float
        s and y are perpendicular unit vectors. [mm, -, -]

    Returns
    -------
    (3, 4) float
        Columns s, y, n = s x y, origin.
    """
    a, b = np.asarray(s, np.float64), np.asarray(y, np.float64)
    return np.column_stack([a, b, np.cross(a, b), np.asarray(origin, np.float64)])


def lift(plates: Sequence[Plate]) -> list[Solid]:
    """Make a closed solid of every plate.

    Parameters
    ----------
    plates : sequence of Plate

    Returns
    -------
    list of Solid
        In the same order; each with all back vertices before its front vertices.

    Raises
    ------
    SolidError
        If a polygon is empty, crosses itself, or its thickness is not above 0 everywhere.
    """
    if not plates:
        return []
    rings = _rings(plates)
    local = _front_and_back(plates, rings)
    frames = np.array([p.frame for p in plates])[rings.part]
    placed = np.einsum("vij,bvj->bvi", frames[:, :, :3], local) + frames[:, :, 3]
    counts = np.bincount(rings.part, minlength=len(plates))
    starts = np.concatenate([[0], np.cumsum(counts)])
    caps, cap_part = _triangulate(rings, len(plates))
    corner = np.arange(len(rings.points)) - starts[rings.part]
    following = corner[rings.following]
    ahead = counts[rings.part]
    sides = np.concatenate(
        [
            np.column_stack([corner, following, following + ahead]),
            np.column_stack([corner, following + ahead, corner + ahead]),
        ]
    )
    flat = corner[caps]
    faces = np.concatenate([flat[:, ::-1], flat + counts[cap_part][:, None], sides])
    owner = np.concatenate([cap_part, cap_part, rings.part, rings.part])
    order = np.argsort(owner, kind="stable")
    faces = faces[order]
    cuts = np.concatenate([[0], np.cumsum(np.bincount(owner, minlength=len(plates)))])
    return [
        Solid(
            vertices=np.concatenate([placed[0, a:b], placed[1, a:b]]),
            faces=faces[cuts[i] : cuts[i + 1]],
        )
        for i, (a, b) in enumerate(itertools.pairwise(starts))
    ]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Rings:
    """Ring vertices of all plates, outer rings counter-clockwise, holes clockwise.

    Attributes
    ----------
    points : (n, 2) float
    part : (n,) int
    following, leading : (n,) int
        Index of the next and of the previous vertex on the same ring.
    starts : (rings + 1,) int
    ring_part : (rings,) int
    """

    points: Floats
    part: Ints
    following: Ints
    leading: Ints
    starts: Ints
    ring_part: Ints


def _rings(plates: Sequence[Plate]) -> _Rings:
    polygons = np.array([p.polygon for p in plates], object)
    sound = shapely.is_valid(polygons) & (shapely.area(polygons) > 0)
    if not sound.all():
        index = int(np.flatnonzero(~sound)[0])
        raise SolidError(f"plate {index}: {shapely.is_valid_reason(polygons[index])}, or no area")
    rings, ring_part = shapely.get_rings(shapely.orient_polygons(polygons), return_index=True)
    closed, ring = shapely.get_coordinates(rings, return_index=True)
    counts = np.bincount(ring, minlength=len(rings))
    opened = np.ones(len(closed), bool)
    opened[np.cumsum(counts) - 1] = False
    points, ring = closed[opened], ring[opened]
    while True:
        starts = np.concatenate([[0], np.cumsum(np.bincount(ring, minlength=len(rings)))])
        following, leading = _neighbours(starts)
        back, ahead = points - points[leading], points[following] - points
        turn = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0]
        span = np.hypot(back[:, 0], back[:, 1]) * np.hypot(ahead[:, 0], ahead[:, 1])
        straight = np.abs(turn) <= COLLINEAR * span
        # Two neighbours dropped in one pass could take a real corner with them.
        straight &= ~(straight[leading] & (np.arange(len(points)) != starts[ring]))
        if not straight.any():
            break
        points, ring = points[~straight], ring[~straight]
    if (np.diff(starts) < 3).any():
        raise SolidError("a polygon has fewer than three corners")
    return _Rings(
        points=points,
        part=ring_part[ring],
        following=following,
        leading=leading,
        starts=starts,
        ring_part=ring_part,
    )


def _neighbours(starts: Ints) -> tuple[Ints, Ints]:
    total = int(starts[-1])
    following, leading = np.arange(1, total + 1), np.arange(-1, total - 1)
    following[starts[1:] - 1] = starts[:-1]
    leading[starts[:-1]] = starts[1:] - 1
    return following, leading


def _front_and_back(plates: Sequence[Plate], rings: _Rings) -> Floats:
    """(2, n, 3) float: back and front vertices in the plates' own axes."""
    part = rings.part
    thickness = np.array([p.thickness for p in plates])[part]
    taper = np.array([p.taper for p in plates])[part]
    plumb = np.array([p.plumb for p in plates])
    s, y = rings.points[:, 0], rings.points[:, 1]
    local = np.zeros((2, len(s), 3))
    local[:, :, :2] = rings.points
    front = thickness - taper * y
    if plumb.any():
        slide = _bevel_slide(plates, rings, plumb)
        front = front / (1 + taper * slide[:, 1])
        local[1, :, :2] += slide * front[:, None]
    if (front <= 0).any():
        index = int(part[np.flatnonzero(front <= 0)[0]])
        raise SolidError(f"plate {index}: its taper runs out before its far edge")
    local[1, :, 2] = front
    return local


def _bevel_slide(plates: Sequence[Plate], rings: _Rings, plumb: Floats) -> Floats:
    """(n, 2) float: how far each vertex moves in the plane for one unit of n.

    An edge whose outward normal in the plane is (a, b) lies, cut level, in a plane that shifts by
    -b tan(lean) per unit of n; a corner slides to where its two edges' planes meet.
    """
    ahead = rings.points[rings.following] - rings.points
    normal = np.column_stack([ahead[:, 1], -ahead[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    shift = -normal[:, 1] * np.tan(plumb[rings.part])
    for index in np.flatnonzero(plumb):
        for height in plates[index].square_at:
            here = (rings.part == index) & (np.abs(rings.points[:, 1] - height) < COLLINEAR * 1e3)
            shift[here & here[rings.following]] = 0.0
    before, after = normal[rings.leading], normal
    c0, c1 = shift[rings.leading], shift
    det = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.column_stack(
        [
            (c0 * after[:, 1] - c1 * before[:, 1]) / det,
            (c1 * before[:, 0] - c0 * after[:, 0]) / det,
        ]
    )


def _triangulate(rings: _Rings, plates: int) -> tuple[Ints, Ints]:
    """Triangles over ring vertices: fans for convex plates, ear cutting for the rest.

    Returns
    -------
    triangles : (t, 3) int
        Indices into the ring vertices, counter-clockwise.
    owner : (t,) int
        Plate of each.
    """
    back = rings.points - rings.points[rings.leading]
    ahead = rings.points[rings.following] - rings.points
    turn = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0]
    ring_count = np.bincount(rings.ring_part, minlength=plates)
    first_ring = np.searchsorted(rings.ring_part, np.arange(plates))
    convex = (np.minimum.reduceat(turn, rings.starts[:-1]) > 0)[first_ring] & (ring_count == 1)
    corners = np.diff(rings.starts)[first_ring]
    origin = rings.starts[first_ring]
    triangles, owner = [], []
    for count in np.unique(corners[convex]):
        same = np.flatnonzero(convex & (corners == count))
        step = np.arange(1, count - 1)
        fan = np.column_stack([np.zeros_like(step), step, step + 1])
        triangles.append((origin[same][:, None, None] + fan).reshape(-1, 3))
        owner.append(np.repeat(same, count - 2))
    for index in np.flatnonzero(~convex):
        ring = first_ring[index]
        bounds = rings.starts[ring : ring + ring_count[index] + 1]
        cap = _cap(np.ascontiguousarray(rings.points[bounds[0] : bounds[-1]]), bounds[1:] - bounds[0])
        triangles.append(_outward(cap + bounds[0], rings.points))
        owner.append(np.full(len(cap), index))
    return np.concatenate(triangles), np.concatenate(owner)


def _cap(points: Floats, ends: Ints) -> Ints:
    """Triangles of one polygon with rings that end at `ends`, every vertex used.

    Ear cutting is fast but drops vertices that come to lie in line while it bridges to holes, as
    slots in a row do; the count of triangles then falls short, and a constrained Delaunay
    triangulation, which drops none, takes over.
    """
    ears = mapbox_earcut.triangulate_float64(points, ends.astype(np.uint32)).reshape(-1, 3)
    holes = len(ends) - 1
    if len(ears) == len(points) + 2 * holes - 2:
        return ears.astype(np.int64)
    rings = np.split(points, ends[:-1])
    cells = shapely.constrained_delaunay_triangles(shapely.Polygon(rings[0], rings[1:]))
    corners = shapely.get_coordinates(cells).reshape(-1, 4, 2)[:, :3].reshape(-1, 2)
    index = _find(points, corners)
    if len(index) != 3 * (len(points) + 2 * holes - 2):
        raise SolidError("a polygon with holes could not be cut into triangles")
    return index.reshape(-1, 3)


def _find(points: Floats, wanted: Floats) -> Ints:
    """(m,) int: index in `points` of each wanted point; both hold the very same numbers."""
    as_complex = points[:, 0] + 1j * points[:, 1]
    order = np.argsort(as_complex)
    return order[np.searchsorted(as_complex[order], wanted[:, 0] + 1j * wanted[:, 1])]


def _outward(triangles: Ints, points: Floats) -> Ints:
    a, b, c = points[triangles].swapaxes(0, 1)
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    return np.where((area < 0)[:, None], triangles[:, ::-1], triangles)
