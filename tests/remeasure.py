"""Measuring without cladmodel: triangles cut by a plane into shapely polygons, normals by numpy.

A board's section has four corners; by height they are::

    3 top front
    2 top back        2 _3
                      | |      out ->
    1 bottom front    |  |
    0 bottom back     0__1
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def normals(vertices: Floats, faces: Ints) -> tuple[Floats, Floats]:
    """Unit normal and area of every triangle."""
    a, b, c = vertices[faces].swapaxes(0, 1)
    cross = np.cross(b - a, c - a)
    twice = np.linalg.norm(cross, axis=1)
    keep = twice > 0
    return cross[keep] / twice[keep, None], twice[keep] / 2


def back_lean(vertices: Floats, faces: Ints) -> float:
    """Lean of a board's back face from upright. [rad]"""
    normal, area = normals(vertices, faces)
    back = normal[:, 2] < -0.9
    _, down, inward = area[back] @ normal[back]
    return float(np.arctan2(-down, -inward))


def volume(vertices: Floats, faces: Ints) -> float:
    """Volume of a closed mesh, about its own first vertex. [mm3]"""
    a, b, c = (vertices - vertices[0])[faces].swapaxes(0, 1)
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


def is_closed(faces: Ints) -> bool:
    """Whether every directed edge occurs once and its reverse once."""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    forward = {(int(a), int(b)) for a, b in edges}
    return len(forward) == len(edges) and all((b, a) in forward for a, b in forward)


def welded(vertices: Floats, faces: Ints, places: int) -> tuple[Floats, Ints]:
    """Merge vertices that agree to so many decimals, as files with split vertices need."""
    rounded, index = np.unique(np.round(vertices, places), axis=0, return_inverse=True)
    return rounded, index.reshape(-1)[faces]


def cut(vertices: Floats, faces: Ints, x: float) -> list[Polygon]:
    """Polygons in (z, y) where the plane at x cuts a closed mesh.

    Every cut edge is worked out from its lower vertex number to its higher, so that the two triangles
    which share it give the very same point and shapely can join the pieces without any tolerance.
    """
    side = vertices[:, 0] >= x
    segments = []
    for triangle in faces[side[faces].any(axis=1) & ~side[faces].all(axis=1)]:
        ends = []
        for i, j in ((0, 1), (1, 2), (2, 0)):
            a, b = sorted((int(triangle[i]), int(triangle[j])))
            if side[a] != side[b]:
                share = (x - vertices[a, 0]) / (vertices[b, 0] - vertices[a, 0])
                place = vertices[a] + share * (vertices[b] - vertices[a])
                ends.append((place[2], place[1]))
        if ends[0] != ends[1]:
            segments.append(shapely.LineString(ends))
    if not segments:
        return []
    faces_found = [p for p in shapely.polygonize(segments).geoms if p.area > 1e-6]
    return [p for p in faces_found if not any(_is_hole(p, q) for q in faces_found if q is not p)]


def _is_hole(one: Polygon, other: Polygon) -> bool:
    """Whether one face of the cut is a hole of the other: polygonize hands out both."""
    inside = one.representative_point()
    return Polygon(other.exterior).contains(inside) and not other.contains(inside)


def corners(polygon: Polygon) -> Floats:
    """(4, 2) float: corners of a board's section as (z, y): bottom back and front, top back and front."""
    ring = np.asarray(shapely.remove_repeated_points(polygon.exterior).coords)[:-1]
    before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
    one, two = ring - before, after - ring
    turn = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    sharp = np.abs(turn) > 1e-3 * np.hypot(*one.T) * np.hypot(*two.T)
    found = ring[sharp]
    assert len(found) == 4, f"not a board's section: {polygon.wkt}"
    return found[np.argsort(found[:, 1])]


def section_of(vertices: Floats, faces: Ints, x: float) -> Floats:
    """Corners of one board's section at x; see `corners`."""
    (polygon,) = cut(vertices, faces, x)
    return corners(polygon)


def lap_along(lower: Floats, upper: Floats) -> float:
    """From the lower board's top back arris to the upper's bottom back arris, along the lower's back."""
    along = (lower[2] - lower[0]) / np.linalg.norm(lower[2] - lower[0])
    return float((lower[2] - upper[0]) @ along)


def off_face(lower: Floats, upper: Floats) -> float:
    """How far the upper board's bottom back arris stands in front of the lower board's face. [mm]"""
    along = (lower[3] - lower[1]) / np.linalg.norm(lower[3] - lower[1])
    out = np.array([along[1], -along[0]])
    return float((upper[0] - lower[1]) @ out)


def gap_at_top(lower: Floats, upper: Floats) -> float:
    """From the lower board's top front arris to the upper board's back, square to that back. [mm]"""
    along = (upper[2] - upper[0]) / np.linalg.norm(upper[2] - upper[0])
    out = np.array([along[1], -along[0]])
    return float((upper[0] - lower[3]) @ out)
