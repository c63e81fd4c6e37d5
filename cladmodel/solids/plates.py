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
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cladmodel.errors import SolidError
from cladmodel.solids.measure import Floats, Ints
from cladmodel.solids.outlines import Polygons, Rings, four_cornered, read_rings, triangulate
from cladmodel.solids.pierced import Lattice, lattices, pierced_faces, pierced_vertices

QUAD_FACES = (
    *((2, 1, 0), (3, 2, 0), (4, 5, 6), (4, 6, 7)),
    *((0, 1, 5), (1, 2, 6), (2, 3, 7), (3, 0, 4)),
    *((0, 5, 4), (1, 6, 5), (2, 7, 6), (3, 4, 7)),
)
"""Back and front, then the sides, of a plate with four corners: those of its back, then of its front."""

SAME_HEIGHT = 1e-6
"""A vertex this near to a height lies at it: far above float noise, far below any saw cut. [mm]"""


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
        or plumb instead of square to the face, unless an edge is too short to be: then all are square. 0 cuts
        every edge square. [rad]
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
    # Plain numbers: for three at a time numpy's own cross product takes ten times as long.
    a, b, c = map(float, s)
    d, e, f = map(float, y)
    u, v, w = map(float, origin)
    return np.array([(a, d, b * f - c * e, u), (b, e, c * d - a * f, v), (c, f, a * e - b * d, w)])


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
        If a polygon is empty, crosses itself, has coordinates that are not numbers or cannot be cut into
        triangles, or its thickness is not above 0 everywhere.
    """
    if not plates:
        return []
    polygons = np.array([plate.polygon for plate in plates], object)
    square = np.array([plate.plumb == 0 for plate in plates])
    pierced = {i: lines for i, lines in lattices(polygons).items() if square[i]}
    index, corners = four_cornered(polygons)
    index, corners = index[square[index]], corners[square[index]]
    others = np.delete(np.arange(len(plates)), [*pierced, *index.tolist()])
    solids = dict(zip(index.tolist(), _lift_quads(plates, index, corners), strict=True))
    solids |= zip(others.tolist(), _lift_rings(plates, polygons, others), strict=True)
    solids |= _lift_lattices(plates, pierced)
    return [solids[i] for i in range(len(plates))]


def _lift_quads(everything: Sequence[Plate], chosen: Ints, corners: Floats) -> list[Solid]:
    """Solids of the chosen plates from their four corners each; all share one array of triangles."""
    if not len(chosen):
        return []
    plates = [everything[i] for i in chosen.tolist()]
    axes = np.concatenate([p.frame for p in plates]).reshape(-1, 1, 3, 4)
    thickness, taper = np.array([[p.thickness for p in plates], [p.taper for p in plates]])[:, :, None]
    out = thickness - taper * corners[:, :, 1]
    _check_thickness(out.ravel(), np.repeat(chosen, 4))
    back = corners[:, :, :1] * axes[..., 0] + corners[:, :, 1:] * axes[..., 1] + axes[..., 3]
    vertices = np.concatenate([back, back + out[:, :, None] * axes[..., 2]], axis=1)
    faces = np.array(QUAD_FACES)
    return [Solid(vertices=own, faces=faces) for own in vertices]


def _lift_lattices(plates: Sequence[Plate], pierced: Mapping[int, Lattice]) -> Iterator[tuple[int, Solid]]:
    """Solids of pierced slabs; those with as many lines share one array of triangles."""
    ends = [plates[i].thickness - plates[i].taper * y for i, at in pierced.items() for y in at.y[[0, -1]]]
    _check_thickness(np.array(ends), np.repeat(list(pierced), 2))
    faces: dict[tuple[int, int], Ints] = {}
    for index, lines in pierced.items():
        plate, size = plates[index], (len(lines.s), len(lines.y))
        if size not in faces:
            faces[size] = pierced_faces(*size)
        vertices = pierced_vertices(lines, plate.thickness, plate.taper, plate.frame)
        yield index, Solid(vertices=vertices, faces=faces[size])


def _lift_rings(everything: Sequence[Plate], polygons: Polygons, chosen: Ints) -> list[Solid]:
    """Solids of the chosen plates: the corners of their rings, triangles between them, and sides."""
    if not len(chosen):
        return []
    plates = [everything[i] for i in chosen.tolist()]
    rings = read_rings(polygons[chosen], chosen)
    part = rings.part
    count = np.bincount(part, minlength=len(plates))
    first = np.cumsum(count) - count
    corner = np.arange(len(part)) - first[part]
    ahead = count[part]
    # A plate's vertices lie together, back ones first, and so do its faces: a solid is a slice of each.
    vertices = np.empty((2 * len(part), 3))
    row = 2 * first[part] + corner
    vertices[row], vertices[row + ahead] = _back_and_front(plates, rings, chosen)

    caps, owner = triangulate(rings, len(plates))
    cap_count = np.bincount(owner, minlength=len(plates))
    face_count = 2 * (cap_count + count)
    face_first = np.cumsum(face_count) - face_count
    faces = np.empty((int(face_count.sum()), 3), np.int64)
    row = (face_first - np.cumsum(cap_count) + cap_count)[owner] + np.arange(len(owner))
    faces[row] = corner[caps[:, ::-1]]
    faces[row + cap_count[owner]] = corner[caps] + count[owner][:, None]
    row = (face_first + 2 * cap_count)[part] + corner
    following = corner[rings.following]
    faces[row] = np.stack([corner, following, following + ahead], axis=1)
    faces[row + ahead] = np.stack([corner, following + ahead, corner + ahead], axis=1)

    cuts = [[0, *np.cumsum(sizes).tolist()] for sizes in (2 * count, face_count)]
    return [
        Solid(vertices=vertices[v0:v1], faces=faces[f0:f1])
        for (v0, v1), (f0, f1) in zip(*map(itertools.pairwise, cuts), strict=True)
    ]


def _back_and_front(plates: Sequence[Plate], rings: Rings, names: Ints) -> tuple[Floats, Floats]:
    """Back and front vertices in the target axes, (n, 3) float each."""
    part, points = rings.part, rings.points
    taper = np.array([p.taper for p in plates])[part]
    out = np.array([p.thickness for p in plates])[part] - taper * points[:, 1]
    plumb = np.array([p.plumb for p in plates])
    axes = np.concatenate([p.frame for p in plates]).reshape(-1, 3, 4)[part]

    def place(flat: Floats) -> Floats:
        return np.asarray(flat[:, :1] * axes[:, :, 0] + flat[:, 1:] * axes[:, :, 1] + axes[:, :, 3])

    back = front = place(points)
    if plumb.any():
        slide = _bevel_slide(plates, rings, plumb)
        folded = _folded(rings, slide * out[:, None])
        if len(folded):  # a short edge beside one almost in line with it: square, then
            plumb[folded] = 0.0
            slide = _bevel_slide(plates, rings, plumb)
        out = out / (1 + taper * slide[:, 1])
        front = place(points + slide * out[:, None])
    _check_thickness(out, names[part])
    return back, front + out[:, None] * axes[:, :, 2]


def _check_thickness(out: Floats, names: Ints) -> None:
    if not (out > 0).all():
        raise SolidError("its taper runs out before its far edge", int(names[np.argmin(out)]))


def _folded(rings: Rings, slid: Floats) -> Ints:
    """Plates of which some edge would run backwards on the front, (k,) int."""
    ahead = rings.points[rings.following] - rings.points
    front = ahead + slid[rings.following] - slid
    return np.unique(rings.part[np.einsum("ij,ij->i", ahead, front) <= 0])


def _bevel_slide(plates: Sequence[Plate], rings: Rings, plumb: Floats) -> Floats:
    """(n, 2) float: how far each vertex moves in the plane for one unit of n.

    An edge whose outward normal in the plane is (a, b) lies, cut level, in a plane that shifts by
    -b tan(lean) per unit of n; a corner slides to where its two edges' planes meet.
    """
    ahead = rings.points[rings.following] - rings.points
    normal = np.column_stack([ahead[:, 1], -ahead[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    shift = -normal[:, 1] * np.tan(plumb[rings.part])
    for index in np.flatnonzero(plumb).tolist():
        for height in plates[index].square_at:
            here = (rings.part == index) & (np.abs(rings.points[:, 1] - height) < SAME_HEIGHT)
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
