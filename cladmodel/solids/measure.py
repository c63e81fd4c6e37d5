"""Measure closed triangle solids: joined arrays, bounds, volumes, closedness, convexity."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

FLAT = 1e-7
"""A vertex this far or less in front of a face's plane still counts as on it; sawn timber is never
nearer, and float noise in wall axes is about 1e-12. [mm]"""


class Meshed(Protocol):
    """Anything with triangles that bound a solid: all that this folder knows of a part."""

    @property
    def vertices(self) -> Floats:
        """Corners, (n, 3) float. [mm]."""

    @property
    def faces(self) -> Ints:
        """Triangles, (m, 3) int, counter-clockwise seen from outside."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Soup:
    """Many solids in shared arrays, never welded to each other.

    Attributes
    ----------
    vertices : (n, 3) float
        [mm]
    faces : (m, 3) int
    vertex_part, face_part : (n,) and (m,) int
        Index of the solid that owns each; both rise.
    count : int
        How many solids.
    """

    vertices: Floats
    faces: Ints
    vertex_part: Ints
    face_part: Ints
    count: int

    @property
    def vertex_starts(self) -> Ints:
        """(count + 1,) int: where each solid's vertices start."""
        return np.searchsorted(self.vertex_part, np.arange(self.count + 1))

    @property
    def face_starts(self) -> Ints:
        """(count + 1,) int: where each solid's faces start."""
        return np.searchsorted(self.face_part, np.arange(self.count + 1))


def gather(solids: Iterable[Meshed]) -> Soup:
    """Join solids into one soup.

    Parameters
    ----------
    solids : iterable of Meshed
        All in the same axes.
    """
    solids = list(solids)
    index = np.arange(len(solids))
    if not solids:
        return Soup(vertices=np.empty((0, 3)), faces=np.empty((0, 3), np.int64),
                    vertex_part=index, face_part=index, count=0)  # fmt: skip
    vertices = np.array([len(s.vertices) for s in solids])
    faces = np.array([len(s.faces) for s in solids])
    offsets = np.cumsum(vertices) - vertices
    return Soup(
        vertices=np.concatenate([np.asarray(s.vertices, np.float64) for s in solids]),
        faces=np.concatenate([np.asarray(s.faces, np.int64) for s in solids])
        + np.repeat(offsets, faces)[:, None],
        vertex_part=np.repeat(index, vertices),
        face_part=np.repeat(index, faces),
        count=len(solids),
    )


def bounds(soup: Soup) -> tuple[Floats, Floats]:
    """Lower and upper corner of each solid's box.

    Parameters
    ----------
    soup : Soup

    Returns
    -------
    low, high : (count, 3) float
        [mm]
    """
    if not soup.count:
        return np.empty((0, 3)), np.empty((0, 3))
    starts = soup.vertex_starts[:-1]
    return np.minimum.reduceat(soup.vertices, starts), np.maximum.reduceat(soup.vertices, starts)


def face_vectors(vertices: Floats, faces: Ints) -> Floats:
    """Outward vector of each triangle, twice as long as the triangle is large.

    Parameters
    ----------
    vertices : (n, 3) float
        [mm]
    faces : (m, 3) int

    Returns
    -------
    (m, 3) float
        [mm2]
    """
    first = vertices[faces[:, 0]]
    return np.asarray(np.cross(vertices[faces[:, 1]] - first, vertices[faces[:, 2]] - first))


def normals(soup: Soup) -> tuple[Floats, Floats]:
    """Outward unit normal and area of every triangle.

    Parameters
    ----------
    soup : Soup

    Returns
    -------
    normal : (m, 3) float
        Zero for a triangle without area.
    area : (m,) float
        [mm2]
    """
    vectors = face_vectors(soup.vertices, soup.faces)
    twice = np.linalg.norm(vectors, axis=1)
    return vectors / np.where(twice > 0, twice, 1.0)[:, None], twice / 2


def volumes(soup: Soup) -> Floats:
    """Volume of each solid; negative if its faces are turned inside out.

    Parameters
    ----------
    soup : Soup

    Returns
    -------
    (count,) float
        [mm3]
    """
    # Each solid's own first vertex as origin keeps the cancellation small.
    origin = soup.vertices[np.minimum(soup.vertex_starts[:-1], max(len(soup.vertices) - 1, 0))]
    corner = soup.vertices[soup.faces] - origin[soup.face_part][:, None]
    six = np.einsum("ij,ij->i", corner[:, 0], np.cross(corner[:, 1], corner[:, 2]))
    return np.bincount(soup.face_part, six / 6, soup.count).astype(np.float64)


def least_shells(soup: Soup) -> Floats:
    """Volume of the least of the closed shells that each solid is made of: two plates that touch are two.

    Returns
    -------
    (count,) float
        Negative if any shell's faces are turned inside out, whatever the others hold. [mm3]
    """
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import connected_components

    if not len(soup.faces):
        return np.zeros(soup.count)
    one, two = soup.faces[:, [0, 1]].ravel(), soup.faces[:, [1, 2]].ravel()
    joined = csr_array((np.ones(len(one), np.int8), (one, two)), shape=(len(soup.vertices),) * 2)
    _, shell = connected_components(joined, directed=False)
    _, shell = np.unique(shell[soup.faces[:, 0]], return_inverse=True)
    origin = soup.vertices[np.minimum(soup.vertex_starts[:-1], len(soup.vertices) - 1)]
    corner = soup.vertices[soup.faces] - origin[soup.face_part][:, None]
    six = np.einsum("ij,ij->i", corner[:, 0], np.cross(corner[:, 1], corner[:, 2]))
    volume = np.bincount(shell, six / 6)
    least = np.full(soup.count, np.inf)
    np.minimum.at(least, soup.face_part, volume[shell])
    return np.where(np.isinf(least), 0.0, least)


def open_edges(soup: Soup) -> Ints:
    """How many directed edges of each solid lack their reverse or occur more than once.

    Parameters
    ----------
    soup : Soup

    Returns
    -------
    (count,) int
        0 for a closed, consistently wound solid whose every edge has exactly two faces.
    """
    edges = soup.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    reach = np.int64(max(len(soup.vertices), 1))
    key = edges[:, 0] * reach + edges[:, 1]
    reverse = edges[:, 1] * reach + edges[:, 0]
    ordered = np.sort(key)
    if np.array_equal(ordered, np.sort(reverse)) and (ordered[1:] != ordered[:-1]).all():
        return np.zeros(soup.count, np.int64)
    twice = ordered[1:][ordered[1:] == ordered[:-1]]
    bad = ~np.isin(reverse, key) | np.isin(key, twice)
    return np.bincount(np.repeat(soup.face_part, 3), bad, soup.count).astype(np.int64)


def convex(soup: Soup) -> Bools:
    """Whether every vertex of a solid lies behind (or on) all of its faces.

    Parameters
    ----------
    soup : Soup

    Returns
    -------
    (count,) bool
    """
    normal, _ = normals(soup)
    result = np.ones(soup.count, np.bool_)
    level = np.einsum("ij,ij->i", normal, soup.vertices[soup.faces[:, 0]])
    # A fold inward anywhere settles it; only pieces without one are worth trying vertex by face.
    first, second, apex = _neighbours(soup)
    fold = np.einsum("ij,ij->i", normal[first], soup.vertices[apex]) - level[first]
    result[soup.face_part[second[fold > FLAT]]] = False
    vertex_starts, face_starts = soup.vertex_starts, soup.face_starts
    for part in np.flatnonzero(result):
        own = slice(vertex_starts[part], vertex_starts[part + 1])
        face = slice(face_starts[part], face_starts[part + 1])
        above = soup.vertices[own] @ normal[face].T - level[face]
        result[part] = above.size == 0 or above.max() <= FLAT
    return result


def _neighbours(soup: Soup) -> tuple[Ints, Ints, Ints]:
    """Find pairs of faces that share an edge, and the second one's corner off that edge: three (k,) int."""
    edge = np.sort(soup.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    key = edge[:, 0] * np.int64(max(len(soup.vertices), 1)) + edge[:, 1]
    order = np.argsort(key, kind="stable")
    twin = np.flatnonzero(key[order][1:] == key[order][:-1])
    one, two = order[twin], order[twin + 1]
    # Edge e of a face runs from corner e to the next; the corner left over is the one after that.
    return one // 3, two // 3, soup.faces[two // 3, (two % 3 + 2) % 3]


def extent_at(solid: Meshed, axis: int, at: float, along: int) -> tuple[float, float] | None:
    """How far a solid reaches along one axis where a plane square to another cuts it.

    Parameters
    ----------
    solid : Meshed
    axis : int
        The plane is x, y or z = `at`.
    at : float
        [mm]
    along : int
        Axis to measure along.

    Returns
    -------
    (low, high) or None
        None where the plane misses the solid. [mm]
    """
    offset = solid.vertices[:, axis] - at
    if offset.min() > 0 or offset.max() < 0:
        return None
    start = solid.faces
    end = start[:, [1, 2, 0]]
    a, b = offset[start].ravel(), offset[end].ravel()
    met = (a <= 0) & (b >= 0) | (a >= 0) & (b <= 0)
    a, b = a[met], b[met]
    p = solid.vertices[start.ravel()[met], along]
    q = solid.vertices[end.ravel()[met], along]
    # An edge that lies in the plane gives one of its ends; the other comes with the next edge.
    share = np.where(a == b, 0.0, a / np.where(a == b, 1.0, a - b))
    reach = p + share * (q - p)
    return float(reach.min()), float(reach.max())


def faces_of(soup: Soup, part: Ints) -> tuple[Ints, Ints]:
    """All faces of some solids, which may come more than once.

    Parameters
    ----------
    soup : Soup
    part : (k,) int

    Returns
    -------
    row : (m,) int
        Which of the k each face is for; rising.
    face : (m,) int
        Index into the soup's faces.
    """
    starts = soup.face_starts
    count = starts[part + 1] - starts[part]
    row = np.repeat(np.arange(len(part)), count)
    return row, np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count) + starts[part][row]


def extents_at(soup: Soup, part: Ints, axis: int, at: Floats, along: int) -> tuple[Floats, Floats]:
    """How far solids reach along one axis, each where a plane of its own cuts it: many times `extent_at`.

    Parameters
    ----------
    soup : Soup
    part : (k,) int
        Which solid.
    axis : int
        The planes are x, y or z = `at`.
    at : (k,) float
        [mm]
    along : int
        Axis to measure along.

    Returns
    -------
    low, high : (k,) float
        nan where the plane misses the solid. [mm]
    """
    row, face = faces_of(soup, part)
    corner = soup.faces[face]
    a, p = soup.vertices[corner, axis] - at[row][:, None], soup.vertices[corner, along]
    b, q = np.roll(a, -1, axis=1), np.roll(p, -1, axis=1)
    met = (a <= 0) & (b >= 0) | (a >= 0) & (b <= 0)
    # An edge that lies in the plane gives one of its ends; the other comes with the next edge.
    share = np.where(a == b, 0.0, a / np.where(a == b, 1.0, a - b))
    reach = p + share * (q - p)
    low, high = np.full(len(part), np.inf), np.full(len(part), -np.inf)
    np.minimum.at(low, row, np.where(met, reach, np.inf).min(axis=1))
    np.maximum.at(high, row, np.where(met, reach, -np.inf).max(axis=1))
    missed = low > high
    low[missed] = high[missed] = np.nan
    return low, high
