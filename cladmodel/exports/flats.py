r"""A closed solid's flat faces as rings, and solids that are one outline pushed straight through.

A triangle mesh says nothing of either; drawing and building programs want both.

    +-------------+
    | \      +--+ |      triangles that lie in one plane and share edges
    |   \    |  | |      make one flat face: its outer ring, then its holes
    |     \  +--+ |
    +-------------+
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cladmodel.exports.facets import unit
from cladmodel.model import Floats, Ints
from cladmodel.solids.measure import face_vectors

# Neighbouring triangles lean less than this to each other within one flat face. [rad]
ONE_PLANE = 1e-6
# Corners of a flat face may lie this far off its plane, and twins of a pushed outline this far apart. [mm]
OFF = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flat:
    """One flat face of a solid.

    Attributes
    ----------
    normal : (3,) float
        Outward, of length 1.
    rings : tuple of tuple of int
        Corners: the outer ring counter-clockwise seen from outside, then holes clockwise.
    """

    normal: Floats
    rings: tuple[tuple[int, ...], ...]

    @property
    def corners(self) -> list[int]:
        """All corners, ring after ring."""
        return [corner for ring in self.rings for corner in ring]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pushed:
    """A solid that is one flat outline pushed straight through at right angles.

    Attributes
    ----------
    origin : (3,) float
        A corner of the outline. [mm]
    direction, along : (3,) float
        Which way it is pushed, and the outline's own first axis; each of length 1.
    rings : tuple of (n, 2) float
        Outer ring counter-clockwise seen against `direction`, then holes clockwise. [mm]
    depth : float
        How far. [mm]
    """

    origin: Floats
    direction: Floats
    along: Floats
    rings: tuple[Floats, ...]
    depth: float


def flat_faces(vertices: Floats, faces: Ints) -> list[Flat] | None:
    """Gather the triangles of a closed solid into flat faces.

    Parameters
    ----------
    vertices : (n, 3) float
        [mm]
    faces : (m, 3) int

    Returns
    -------
    list of Flat or None
        None where faces cannot be told as rings: two corners of a face touch, or a triangle has no area.
    """
    vectors = face_vectors(vertices, faces)
    if not np.all(np.linalg.norm(vectors, axis=1) > 0.0):
        return None
    tail, head = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    across = _across(tail, head, len(vertices))
    if across is None:
        return None
    normals, owner = unit(vectors), np.arange(len(faces)).repeat(3)
    one, other = normals[owner], normals[owner[across]]
    level = np.linalg.norm(np.cross(one, other), axis=1) < ONE_PLANE
    level &= np.einsum("ij,ij->i", one, other) > 0.0
    group = _groups(owner[across].reshape(-1, 3).tolist(), level.reshape(-1, 3).tolist())
    follows: dict[int, dict[int, int]] = {}
    border = np.flatnonzero(group[owner] != group[owner[across]])
    for face, a, b in zip(
        group[owner[border]].tolist(), tail[border].tolist(), head[border].tolist(), strict=True
    ):
        step = follows.setdefault(face, {})
        if a in step:
            return None
        step[a] = b
    return _flats(vertices, vectors, group, follows)


def _across(tail: Ints, head: Ints, corners: int) -> Ints | None:
    """(e,) int: for each edge the same edge of the neighbour, run the other way; None unless closed."""
    key, back = tail * corners + head, head * corners + tail
    order = np.argsort(key)
    found = np.searchsorted(key[order], back)
    if found.max() == len(key) or len(np.unique(key)) < len(key):
        return None
    across = order[found]
    return across if np.array_equal(key[across], back) else None


def _groups(beside: list[list[int]], level: list[list[bool]]) -> Ints:
    """(m,) int: which flat face each triangle belongs to, found by spreading over level edges."""
    group = [-1] * len(beside)
    for seed in range(len(beside)):
        if group[seed] >= 0:
            continue
        group[seed], waiting = seed, [seed]
        while waiting:
            at = waiting.pop()
            for other, flat in zip(beside[at], level[at], strict=True):
                if flat and group[other] < 0:
                    group[other] = seed
                    waiting.append(other)
    return np.array(group, np.int64)


def _flats(
    vertices: Floats, vectors: Floats, group: Ints, follows: dict[int, dict[int, int]]
) -> list[Flat] | None:
    """Walk each face's edges round into rings, the outer one first."""
    summed = np.zeros_like(vectors)
    np.add.at(summed, group, vectors)
    flats = []
    for number, step in follows.items():
        normal = unit(summed[number][None])[0]
        rings = []
        while step:
            start, corner = next(iter(step.items()))
            del step[start]
            ring = [start]
            while corner != start:
                ring.append(corner)
                if corner not in step:
                    return None
                corner = step.pop(corner)
            rings.append(tuple(ring))
        if np.ptp(vertices[[corner for ring in rings for corner in ring]] @ normal) > OFF:
            return None
        areas = [_area(vertices[list(ring)], normal) for ring in rings]
        outer = [ring for ring, area in zip(rings, areas, strict=True) if area > 0.0]
        if len(outer) != 1:
            return None
        flats.append(Flat(normal=normal, rings=(outer[0], *(ring for ring in rings if ring is not outer[0]))))
    return flats


def _area(ring: Floats, normal: Floats) -> float:
    """Area of a ring about a normal, above 0 when counter-clockwise. [mm2]"""
    spokes = ring - ring[0]
    return float(np.cross(spokes[:-1], spokes[1:]).sum(axis=0) @ normal / 2)


def pushed(vertices: Floats, flats: Sequence[Flat]) -> Pushed | None:
    """Tell whether a solid is an outline pushed straight through; of several ways take the longest.

    Parameters
    ----------
    vertices : (n, 3) float
        [mm]
    flats : sequence of Flat
        All of its faces.

    Returns
    -------
    Pushed or None
    """
    half = len(vertices) / 2
    ends = [flat for flat in flats if len(flat.corners) == half]
    best: tuple[float, Flat] | None = None
    for number, near in enumerate(ends):
        for far in ends[number + 1 :]:
            depth = _depth(vertices, near, far)
            if depth is not None and (best is None or depth > best[0] + OFF):
                best = depth, near
    if best is None:
        return None
    depth, near = best
    direction = -near.normal
    # Seen against the push the near end's outer ring runs clockwise: turn every ring about.
    rings = [vertices[list(ring[::-1])] for ring in near.rings]
    origin = rings[0][0]
    along = unit((rings[0][1] - origin)[None])[0]
    along = unit((along - direction * (along @ direction))[None])[0]
    axes = np.stack([along, np.cross(direction, along)], axis=1)
    return Pushed(
        origin=origin,
        direction=direction,
        along=along,
        rings=tuple(np.asarray((ring - origin) @ axes) for ring in rings),
        depth=depth,
    )


def _depth(vertices: Floats, near: Flat, far: Flat) -> float | None:
    """How far one end lies behind the other if each corner has its twin straight behind it. [mm]"""
    if near.normal @ far.normal > -1.0 + OFF or len(near.rings) != len(far.rings):
        return None
    here, there = vertices[near.corners], vertices[far.corners]
    depth = float((here[0] - there[0]) @ near.normal)
    if depth <= OFF:
        return None
    wanted = here - depth * near.normal
    gap = np.linalg.norm(wanted[:, None] - there[None], axis=2)
    if gap.min(axis=1).max() > OFF or gap.min(axis=0).max() > OFF:
        return None
    return depth
