"""Pairs of solids that stand in each other: boxes first, then separating axes, then exact solids.

What is reported is a depth: how far one solid must be moved to stand clear of the other. Volume is never
the test: a long board that touches along a line has none, and so has a thin pin in a corner.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from cladmodel.solids.measure import Floats, Ints, Soup, bounds, convex, normals

CELL = (800.0, 400.0)
"""Grid cell for the box search: a bay by three courses. Only speed depends on it. [mm]"""

SHEET = 1e-6
"""Pieces of no more thickness than this all over are faces that coincide but for float noise: a billionth of
a wall. [mm]"""

STOUT = 6 * 3**0.5
"""A convex body's least width is at most this many times its volume per surface: Steinhagen's bound on width
by inradius, 2 sqrt(3), times 3. [-]"""

DIRECTION = 1e-7
"""Directions that differ by less than this are one separating axis. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Overlap:
    """Two solids in each other.

    Attributes
    ----------
    first, second : int
        Their indices, first < second.
    depth : float
        Least move that frees them. [mm]
    where : (3,) float
        Middle of what they share. [mm]
    """

    first: int
    second: int
    depth: float
    where: Floats


def overlaps(soup: Soup, touch: float, group: Ints | None = None) -> list[Overlap]:
    """Find every pair of solids that stand in each other.

    Parameters
    ----------
    soup : Soup
        Closed solids, in one set of axes.
    touch : float
        Depth up to which they only touch. [mm]
    group : (count,) int, optional
        Look only at pairs of different groups.

    Returns
    -------
    list of Overlap
        By first, then by second.
    """
    if soup.count < 2:
        return []
    low, high = bounds(soup)
    first, second = box_pairs(low, high, touch)
    if group is not None:
        apart = group[first] != group[second]
        first, second = first[apart], second[apart]
    is_convex = convex(soup)
    both = is_convex[first] & is_convex[second]
    shapes = _Shapes(soup)
    found: list[Overlap] = []
    depth = _depths(shapes, first[both], second[both], touch)
    for a, b, deep in zip(first[both], second[both], depth, strict=True):
        if deep > touch:
            found.append(Overlap(first=int(a), second=int(b), depth=float(deep), where=_shared(shapes, a, b)))
    for a, b in zip(first[~both], second[~both], strict=True):
        if _hull_depth(shapes, int(a), int(b)) > touch:
            found.extend(_exact(shapes, int(a), int(b), touch))
    return sorted(found, key=lambda o: (o.first, o.second))


def box_pairs(low: Floats, high: Floats, touch: float) -> tuple[Ints, Ints]:
    """Pairs of boxes that share more than `touch` along all three axes, by a grid in x and y.

    Parameters
    ----------
    low, high : (n, 3) float
        [mm]
    touch : float
        [mm]

    Returns
    -------
    first, second : (k,) int
        first < second, in order.
    """
    low, high = low + touch / 2, high - touch / 2
    size = np.array(CELL)
    start = np.floor(low[:, :2] / size).astype(np.int64)
    stop = np.maximum(np.floor(high[:, :2] / size).astype(np.int64), start)
    wide = stop - start + 1
    count = wide.prod(axis=1)
    box = np.repeat(np.arange(len(low)), count)
    step = np.arange(len(box)) - np.repeat(np.cumsum(count) - count, count)
    cell = start[box] + np.stack([step // wide[box, 1], step % wide[box, 1]], axis=1)
    cell -= cell.min(axis=0)
    key = cell[:, 0] * (cell[:, 1].max() + 1) + cell[:, 1]
    order = np.argsort(key, kind="stable")
    key, box = key[order], box[order]
    after = np.searchsorted(key, key, "right") - np.arange(len(key)) - 1
    one = np.repeat(np.arange(len(key)), after)
    two = np.arange(len(one)) - np.repeat(np.cumsum(after) - after, after) + one + 1
    one, two = box[one], box[two]
    meet = ((low[one] <= high[two]) & (low[two] <= high[one])).all(axis=1)
    one, two = one[meet], two[meet]
    pair = np.unique(np.minimum(one, two) * np.int64(len(low)) + np.maximum(one, two))
    return pair // len(low), pair % len(low)


class _Shapes:
    """Corners, face directions and edge directions of every solid; exact solids made when first asked for."""

    def __init__(self, soup: Soup) -> None:
        self.soup = soup
        self.vertex_starts, self.face_starts = soup.vertex_starts, soup.face_starts
        normal, area = normals(soup)
        real = area > 0
        self.face_directions = _distinct(normal[real], soup.face_part[real], soup.count)
        direction, owner = _sharp_edges(soup, normal)
        self.edge_directions = _distinct(direction, owner, soup.count)
        self._exact: dict[int, Any] = {}

    def corners(self, part: int) -> Floats:
        return self.soup.vertices[self.vertex_starts[part] : self.vertex_starts[part + 1]]

    def exact(self, part: int) -> Any:
        if part not in self._exact:
            import manifold3d

            face = self.soup.faces[self.face_starts[part] : self.face_starts[part + 1]]
            mesh = manifold3d.Mesh64(
                np.ascontiguousarray(self.corners(part)),
                np.ascontiguousarray(face - self.vertex_starts[part]).astype(np.uint64),
            )
            self._exact[part] = manifold3d.Manifold(mesh)
        return self._exact[part]


def _sharp_edges(soup: Soup, normal: Floats) -> tuple[Floats, Ints]:
    """Find the unit direction and owner of every edge whose two faces are not in one plane."""
    edge = np.sort(soup.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    face = np.repeat(np.arange(len(soup.faces)), 3)
    order = np.lexsort((edge[:, 1], edge[:, 0]))
    edge, face = edge[order], face[order]
    twin = np.flatnonzero((edge[1:] == edge[:-1]).all(axis=1))
    bend = np.linalg.norm(normal[face[twin]] - normal[face[twin + 1]], axis=1)
    edge, owner = edge[twin][bend > DIRECTION], soup.face_part[face[twin]][bend > DIRECTION]
    run = soup.vertices[edge[:, 1]] - soup.vertices[edge[:, 0]]
    return run / np.linalg.norm(run, axis=1)[:, None], owner


def _distinct(direction: Floats, owner: Ints, count: int) -> list[Floats]:
    """Different directions of each owner; a direction and its opposite are one."""
    lead = np.argmax(np.abs(direction) > 0.5, axis=1)  # a unit vector has an axis above 0.57
    sign = np.sign(direction[np.arange(len(direction)), lead])
    direction = direction * sign[:, None]
    key = np.c_[owner, np.round(direction / DIRECTION).astype(np.int64)]
    _, index = np.unique(key, axis=0, return_index=True)
    direction, owner = direction[index], owner[index]
    starts = np.searchsorted(owner, np.arange(count + 1))
    return [direction[starts[i] : starts[i + 1]] for i in range(count)]


def _padded(rows: list[Floats], fill: bool) -> Floats:
    """(n, k, 3): each row's vectors, filled up with its first one (corners) or with zeros (directions)."""
    longest = max((len(r) for r in rows), default=0)
    out = np.zeros((len(rows), longest, 3))
    for index, row in enumerate(rows):
        out[index, : len(row)] = row
        if fill:
            out[index, len(row) :] = row[0]
    return out


def _depths(shapes: _Shapes, first: Ints, second: Ints, touch: float) -> Floats:
    """Depth of convex pairs by separating axes: faces of both, then edge by edge for those still in doubt."""
    if not len(first):
        return np.empty(0)
    used, place = np.unique(np.concatenate([first, second]), return_inverse=True)
    a, b = place[: len(first)], place[len(first) :]
    corner = _padded([shapes.corners(p) for p in used], fill=True)
    faces = _padded([shapes.face_directions[p] for p in used], fill=False)
    edges = _padded([shapes.edge_directions[p] for p in used], fill=False)
    origin = corner[a, :1]
    one, two = corner[a] - origin, corner[b] - origin
    apart = _separation(one, two, np.concatenate([faces[a], faces[b]], axis=1))
    doubt = np.flatnonzero(apart < -touch)
    if len(doubt):
        cross = np.cross(edges[a[doubt]][:, :, None], edges[b[doubt]][:, None]).reshape(len(doubt), -1, 3)
        length = np.linalg.norm(cross, axis=2, keepdims=True)
        # Nearly parallel edges give no direction worth testing: the faces have it already.
        cross = np.where(length > DIRECTION, cross / np.where(length > DIRECTION, length, 1.0), 0.0)
        apart[doubt] = np.maximum(apart[doubt], _separation(one[doubt], two[doubt], cross))
    return -apart


def _separation(one: Floats, two: Floats, axes: Floats) -> Floats:
    """Widest clear space along any axis, below 0 by the depth if there is none; zero axes are skipped."""
    p, q = one @ axes.transpose(0, 2, 1), two @ axes.transpose(0, 2, 1)
    clear = np.maximum(q.min(axis=1) - p.max(axis=1), p.min(axis=1) - q.max(axis=1))
    clear[~axes.any(axis=2)] = -np.inf
    return np.asarray(clear.max(axis=1))


def _hull_depth(shapes: _Shapes, a: int, b: int) -> float:
    """At most how deep two solids of any shape can be in each other, by face directions alone."""
    axes = np.concatenate([shapes.face_directions[a], shapes.face_directions[b]])
    origin = shapes.corners(a)[0]
    one, two = shapes.corners(a) - origin, shapes.corners(b) - origin
    return -float(_separation(one[None], two[None], axes[None])[0])


def _exact(shapes: _Shapes, a: int, b: int, touch: float) -> Iterator[Overlap]:
    """Measure what two solids share, piece by piece: depth is the least width of the thickest piece."""
    deepest, where = 0.0, np.zeros(3)
    for piece in (shapes.exact(a) ^ shapes.exact(b)).decompose():
        if STOUT * piece.volume() <= SHEET * piece.surface_area():
            continue  # sheets folded along coinciding faces: wide every way, and nowhere thick
        mesh = piece.to_mesh64()
        corner = np.asarray(mesh.vert_properties)[:, :3]
        triangle = corner[np.asarray(mesh.tri_verts).astype(np.int64)]
        if not len(triangle):
            continue
        cross = np.cross(triangle[:, 1] - triangle[:, 0], triangle[:, 2] - triangle[:, 0])
        length = np.linalg.norm(cross, axis=1)
        axes = cross[length > 0] / length[length > 0][:, None]
        reach = (corner - corner[0]) @ axes.T
        width = float(np.ptp(reach, axis=0).min()) if reach.size else 0.0
        if width > deepest:
            deepest, where = width, (corner.min(axis=0) + corner.max(axis=0)) / 2
    if deepest > touch:
        yield Overlap(first=a, second=b, depth=deepest, where=where)


def _shared(shapes: _Shapes, a: int, b: int) -> Floats:
    """Middle of what two solids share; of the space their boxes share if that is too thin to be meshed."""
    both = shapes.exact(int(a)) ^ shapes.exact(int(b))
    if both.is_empty():
        one, two = shapes.corners(a), shapes.corners(b)
        low, high = np.maximum(one.min(axis=0), two.min(axis=0)), np.minimum(one.max(axis=0), two.max(axis=0))
    else:
        box = np.asarray(both.bounding_box())
        low, high = box[:3], box[3:]
    return np.asarray((low + high) / 2)
