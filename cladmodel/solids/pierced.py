"""Slabs pierced by a lattice of equal slots: cut along the slots' own lines, every cap is a rectangle.

Triangulating hundreds of slots that stand in line is what ear cutting and Delaunay are worst at; between
a lattice's own lines nothing is left to triangulate::

    y 3 +--+----+--+----+--+      Lines 0 and last are the slab's edges; between them they come in pairs,
        |  |    |  |    |  |      the two sides of a row (or column) of slots. A cell whose numbers along
      2 +--+----+--+----+--+      both s and y are odd is a slot; every other cell is solid.
        |  |slot|  |slot|  |
      1 +--+----+--+----+--+
        |  |    |  |    |  |
      0 +--+----+--+----+--+
        0  1    2  3    4  5  s
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Polygons = NDArray[np.object_]

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
    low = np.stack([np.minimum(s[0], s[2]), np.minimum(y[0], y[2])])
    high = np.stack([np.maximum(s[0], s[2]), np.maximum(y[0], y[2])])
    ends = np.cumsum(holes[holed] + 1).tolist()
    for index, first, last in zip(holed.tolist(), [0, *ends], ends, strict=False):
        lattice = _lattice(low[:, first:last], high[:, first:last]) if square[first:last].all() else None
        if lattice is not None:
            found[index] = lattice
    return found


def _lattice(low: Floats, high: Floats) -> Lattice | None:
    """Lattice of an outer rectangle (column 0) and its slots, or None if they do not make one.

    Cells of a lattice share no corner, nor any with the outer rectangle: so columns that pass are rings of
    their own, and no longer ring can have been taken for several short ones.
    """
    if not (np.isfinite(low[:, 0]).all() and np.isfinite(high[:, 0]).all()):
        return None
    slots = np.concatenate([low[:, 1:], high[:, 1:]])
    slots = slots[:, np.lexsort((slots[1], slots[0]))]
    rows = int(np.count_nonzero(slots[0] == slots[0, 0]))
    columns, left_over = divmod(slots.shape[1], rows)
    if left_over:
        return None
    near_s, near_y, far_s, far_y = grid = slots.reshape(4, columns, rows)
    if not ((grid[::2] == grid[::2, :, :1]).all() and (grid[1::2] == grid[1::2, :1]).all()):
        return None
    s = np.concatenate([low[:1, 0], np.stack([near_s, far_s], axis=-1)[:, 0].ravel(), high[:1, 0]])
    y = np.concatenate([low[1:, 0], np.stack([near_y, far_y], axis=-1)[0].ravel(), high[1:, 0]])
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
        Into back vertices, s by s and each upward, then front vertices in the same order.
    """
    at = np.arange(columns * rows).reshape(columns, rows)
    solid = np.ones((columns - 1, rows - 1), np.bool_)
    solid[1::2, 1::2] = False
    ahead = at.size
    a = at[:-1, :-1][solid]
    b, c, d = a + rows, a + rows + 1, a + 1
    back = np.stack([c, b, a, d, c, a], axis=1)
    # Round the edge with the material on the left, then round every slot.
    edge = np.concatenate([at[:-1, 0], at[-1, :-1], at[:0:-1, -1], at[0, :0:-1]])
    one = at[1:-1:2, 1:-1:2].ravel()
    slot = [one, one + 1, one + rows + 1, one + rows]
    start = np.concatenate([edge, *slot])
    end = np.concatenate([edge[1:], edge[:1], *slot[1:], one])
    sides = np.stack([start, end, end + ahead, start, end + ahead, start + ahead], axis=1)
    return np.concatenate([back, back[:, ::-1] + ahead, sides]).reshape(-1, 3)


def pierced_vertices(lattice: Lattice, thickness: float, taper: float, frame: Floats) -> Floats:
    """Vertices of a pierced slab, as `pierced_faces` counts them.

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
        [mm]
    """
    out = (thickness - taper * lattice.y)[:, None] * frame[:, 2]
    up = lattice.y[:, None] * frame[:, 1] + frame[:, 3]
    along = lattice.s[:, None, None] * frame[:, 0]
    vertices = np.empty((2, len(lattice.s), len(lattice.y), 3))
    np.add(along, up, out=vertices[0])
    np.add(along, up + out, out=vertices[1])
    return vertices.reshape(-1, 3)
