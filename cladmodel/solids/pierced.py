"""Slabs pierced by a lattice of equal slots: cut along the slots' own lines, no triangulation to look for.

Hundreds of slots that stand in line are what ear cutting and Delaunay are worst at; between a lattice's own
lines there is nothing left to find out::

    y 3 D-----------------------C     Lines 0 and last are the slab's edges; between them they come in pairs,
        | fans from D and from C|     the two sides of a row (or column) of slots. Between the outermost rows
      2 +--+----+-- - --+----+--+     of corners, a cell with odd numbers along both s and y is a slot, every
        |  |slot|       |slot|  |     other cell is solid: two triangles. Along both long edges, fans from
      1 +--+----+-- - --+----+--+     the slab's own corners reach all the slots' corners.
        | fans from A and from B|
      0 A-----------------------B
        0  1    2       3    4  5  s
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from cladmodel.solids.measure import Floats, Ints
from cladmodel.solids.outlines import Polygons

BOX = 5
"""Points of a closed ring with four corners. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lattice:
    """Edges and slots of a pierced slab, as lines.

    Attributes
    ----------
    s, y : (2 k + 2,) float
        Rising: near edge, both sides of each column (or row) of slots, far edge. [mm]
    """

    s: Floats
    y: Floats


def lattices(polygons: Polygons) -> dict[int, Lattice]:
    """Read the lattice of every polygon that is a rectangle with a full lattice of slots.

    Parameters
    ----------
    polygons : (n,) shapely.Polygon

    Returns
    -------
    dict of int to Lattice
        By index. Polygons that have none are left out: no holes, a hole of another shape, one missing, or
        one that touches another. Slots of one column (and of one row) must have the very same numbers.
    """
    found: dict[int, Lattice] = {}
    holes = shapely.get_num_interior_rings(polygons)
    holed = np.flatnonzero(holes)
    holed = holed[shapely.get_num_coordinates(polygons[holed]) == BOX * (holes[holed] + 1)]
    if not len(holed):
        return found
    # (2, BOX, rings): s and y of the first corner of every ring, of the second, and so on.
    corners = shapely.get_coordinates(polygons[holed]).reshape(-1, BOX, 2).transpose(2, 1, 0)
    s, y = np.ascontiguousarray(corners)
    # Two opposite corners set a rectangle; the other two mix their numbers, either way round.
    way = (s[1] == s[0]) & (y[1] == y[2]) & (s[3] == s[2]) & (y[3] == y[0])
    back = (s[1] == s[2]) & (y[1] == y[0]) & (s[3] == s[0]) & (y[3] == y[2])
    square = (way | back) & (s[4] == s[0]) & (y[4] == y[0])
    sides = np.array(
        [np.minimum(s[0], s[2]), np.maximum(s[0], s[2]), np.minimum(y[0], y[2]), np.maximum(y[0], y[2])]
    )
    square &= np.isfinite(sides).all(axis=0)
    ends = np.cumsum(holes[holed] + 1)
    starts = ends - holes[holed] - 1
    for index in np.flatnonzero(np.logical_and.reduceat(square, starts)).tolist():
        first = starts[index]
        lattice = _lattice(sides[:, first], sides[:, first + 1 : ends[index]])
        if lattice is not None:
            found[int(holed[index])] = lattice
    return found


def _lattice(outer: Floats, slots: Floats) -> Lattice | None:
    """Lattice of a rectangle and its slots, or None if they do not make one.

    Cells of a lattice share no corner, nor any with the outer rectangle: so slots that pass are rings of
    their own, and no longer ring can have been taken for several short ones.

    Parameters
    ----------
    outer : (4,) float
        Low and high s, low and high y. [mm]
    slots : (4, n) float
    """
    slots = slots[:, np.lexsort((slots[2], slots[0]))]
    rows = np.count_nonzero(slots[0] == slots[0, 0])
    columns, left_over = divmod(slots.shape[1], rows)
    if left_over:
        return None
    grid = slots.reshape(4, columns, rows)
    along, up = grid[:2, :, :1], grid[2:, :1]
    if not ((grid[:2] == along).all() and (grid[2:] == up).all()):
        return None
    s = np.concatenate([outer[:1], along.transpose(1, 0, 2).ravel(), outer[1:2]])
    y = np.concatenate([outer[2:3], up.transpose(2, 0, 1).ravel(), outer[3:]])
    rising = (s[1:] > s[:-1]).all() and (y[1:] > y[:-1]).all()
    return Lattice(s=s, y=y) if rising else None


def pierced_faces(columns: int, rows: int) -> Ints:
    """Triangles of a pierced slab with so many lines across and up.

    Parameters
    ----------
    columns, rows : int
        Lines along s and along y; even, at least 4. [-]

    Returns
    -------
    (m, 3) int
        Into the vertices of `pierced_vertices`.
    """
    at = np.arange(columns * (rows - 2)).reshape(columns, rows - 2)
    a, b, c, d = range(at.size, at.size + 4)
    solid = np.ones((columns - 1, rows - 3), np.bool_)
    solid[1::2, ::2] = False
    one = at[:-1, :-1][solid]
    two, three, four = one + rows - 2, one + rows - 1, one + 1
    cells = np.array([one, two, three, one, three, four]).T.reshape(-1, 3)
    low, high, middle = at[:, 0], at[:, -1], columns // 2
    left = np.arange(columns - 1) < middle
    fans = np.array(
        [
            [np.where(left, a, b), low[1:], low[:-1]],
            [np.where(left, d, c), high[:-1], high[1:]],
        ]
    )
    gaps = [(a, b, low[middle]), (c, d, high[middle])]
    cap = np.concatenate([cells, fans.transpose(0, 2, 1).reshape(-1, 3), gaps])
    # Round the edge with the material on the left, then round every slot.
    edge = np.concatenate([(a, b), at[-1], (c, d), at[0, ::-1]])
    one = at[1:-1:2, :-1:2].ravel()
    two, three, four = one + 1, one + rows - 1, one + rows - 2
    start = np.concatenate([edge, one, two, three, four])
    end = np.concatenate([edge[1:], edge[:1], two, three, four, one])
    ahead = at.size + 4
    sides = np.array([start, end, end + ahead, start, end + ahead, start + ahead]).T.reshape(-1, 3)
    return np.concatenate([cap[:, ::-1], cap + ahead, sides])


def pierced_vertices(lattice: Lattice, thickness: float, taper: float, frame: Floats) -> Floats:
    """Vertices of a pierced slab.

    Parameters
    ----------
    lattice : Lattice
    thickness : float
        At y = 0. [mm]
    taper : float
        k in t(y) = thickness - k y. [-]
    frame : (3, 4) float
        Columns are s, y, n and the origin, in the target axes.

    Returns
    -------
    (n, 3) float
        Back: where lines cross, s by s and each upward, without the two outer y lines; then the slab's
        corners A to D. Front: the same again. [mm]
    """
    along = lattice.s[:, None] * frame[:, 0]
    back = lattice.y[:, None] * frame[:, 1] + frame[:, 3]
    front = back + (thickness - taper * lattice.y)[:, None] * frame[:, 2]
    vertices = np.empty((2, len(along) * (len(back) - 2) + 4, 3))
    for cap, up in zip(vertices, (back, front), strict=True):
        cap[:-4] = (along[:, None] + up[1:-1]).reshape(-1, 3)
        cap[-4:] = along[[0, -1, -1, 0]] + up[[0, 0, -1, -1]]
    return vertices.reshape(-1, 3)
