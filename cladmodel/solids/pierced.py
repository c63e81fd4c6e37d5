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

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

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


def lattices(polygons: Sequence[shapely.Polygon]) -> list[Lattice | None]:
    """Read the lattice of every polygon that is a rectangle with a full lattice of slots.

    Parameters
    ----------
    polygons : sequence of shapely.Polygon

    Returns
    -------
    list of Lattice or None
        None for any other polygon: no holes, a hole of another shape, one missing, or one that touches
        another. Slots of one column (and of one row) must have the very same numbers.
    """
    found: list[Lattice | None] = [None] * len(polygons)
    shapes = np.array(polygons, object)
    holes = shapely.get_num_interior_rings(shapes)
    candidates = np.flatnonzero((holes > 0) & (shapely.get_num_coordinates(shapes) == BOX * (holes + 1)))
    if not len(candidates):
        return found
    corners = shapely.get_coordinates(shapes[candidates]).reshape(-1, BOX, 2)
    one, two, three, four, home = corners.swapaxes(0, 1)
    # The other two corners are those that mix the numbers of the first and the third, either way round.
    mixed = np.stack([one[:, 0], three[:, 1], three[:, 0], one[:, 1]], axis=1)
    way, back = np.hstack([two, four]) == mixed, np.hstack([four, two]) == mixed
    square = (way.all(axis=1) | back.all(axis=1)) & (home == one).all(axis=1)
    square &= np.isfinite(one).all(axis=1) & np.isfinite(three).all(axis=1)
    low, high = np.minimum(one, three), np.maximum(one, three)
    ends = np.cumsum(holes[candidates] + 1)
    starts = ends - holes[candidates] - 1
    for index, first, last in zip(candidates.tolist(), starts.tolist(), ends.tolist(), strict=True):
        if square[first:last].all():
            found[index] = _lattice(low[first:last], high[first:last])
    return found


def _lattice(low: Floats, high: Floats) -> Lattice | None:
    """Lattice of an outer rectangle (row 0) and its slots, or None if they do not make one.

    Cells of a lattice share no corner, nor any with the outer rectangle: so rows that pass are rings of
    their own, whatever rings their points were read from.
    """
    cell = np.zeros(len(low) - 1, np.int64)
    lines: list[Floats] = []
    for axis in (0, 1):
        line = np.sort(np.concatenate([low[:, axis], high[:, axis]]))
        line = line[np.append(True, line[1:] != line[:-1])]
        near, far = line.searchsorted(low[:, axis]), line.searchsorted(high[:, axis])
        if near[0] != 0 or far[0] != len(line) - 1:
            return None
        if not (near[1:] % 2).all() or (far[1:] != near[1:] + 1).any():
            return None
        cell = cell * (len(line) // 2 - 1) + near[1:] // 2
        lines.append(line)
    s, y = lines
    count = (len(s) // 2 - 1) * (len(y) // 2 - 1)
    if len(s) % 2 or len(y) % 2 or (np.bincount(cell, minlength=count) != 1).any():
        return None
    return Lattice(s=s, y=y)


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
    a = at[:-1, :-1][solid]
    b, c, d = a + rows, a + rows + 1, a + 1
    caps = np.stack([a, b, c, a, c, d], axis=1).reshape(-1, 3)
    # Round the edge with the material on the left, then round every slot.
    edge = np.concatenate([at[:-1, 0], at[-1, :-1], at[:0:-1, -1], at[0, :0:-1]])
    one = at[1:-1:2, 1:-1:2].ravel()
    slot = [one, one + 1, one + rows + 1, one + rows]
    start = np.concatenate([edge, *slot])
    end = np.concatenate([edge[1:], edge[:1], *slot[1:], one])
    ahead = at.size
    sides = np.stack([start, end, end + ahead, start, end + ahead, start + ahead], axis=1).reshape(-1, 3)
    return np.concatenate([caps[:, ::-1], caps + ahead, sides])


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
    return np.concatenate([(along + up).reshape(-1, 3), (along + (up + out)).reshape(-1, 3)])
