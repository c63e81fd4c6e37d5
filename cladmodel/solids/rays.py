"""Rays against solids: fast first hits that are exact again, and every crossing of a short line.

Embree works in float32. It is only asked *which* triangle a ray meets first; where it meets it is worked
out again in float64 from that triangle's own plane.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from cladmodel.solids.measure import Bools, Floats, Ints, Soup, bounds, face_vectors, faces_of
from cladmodel.solids.near import boxes_met

EDGE = 1e-9
"""Share of a triangle by which a line may pass outside its edge and still count as crossing it, so that a
line through a shared edge is never lost between two triangles. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Caster:
    """A soup of solids made ready for many rays.

    Attributes
    ----------
    soup : Soup
    centre : (3,) float
        Taken off all coordinates before they are rounded to float32. [mm]
    scene : object
        Embree's.
    """

    soup: Soup
    centre: Floats
    scene: Any

    def first(self, origins: Floats, directions: Floats) -> tuple[Ints, Floats]:
        """Find the first face that each ray meets.

        Parameters
        ----------
        origins : (n, 3) float
            [mm]
        directions : (n, 3) float
            Unit vectors.

        Returns
        -------
        face : (n,) int
            -1 where a ray meets nothing.
        distance : (n,) float
            Infinite where a ray meets nothing. [mm]
        """
        if not len(origins) or not len(self.soup.faces):
            return np.full(len(origins), -1, np.int64), np.full(len(origins), np.inf)
        face = np.asarray(
            self.scene.run(
                (origins - self.centre).astype(np.float32), directions.astype(np.float32), query="INTERSECT"
            ),
            np.int64,
        )
        distance = np.full(len(origins), np.inf)
        hit = np.flatnonzero(face >= 0)
        met = self.soup.faces[face[hit]]
        normal = face_vectors(self.soup.vertices, met)
        along = np.einsum("ij,ij->i", directions[hit], normal)
        first = self.soup.vertices[met[:, 0]]
        distance[hit] = np.einsum("ij,ij->i", first - origins[hit], normal) / along
        return face, distance


def caster(soup: Soup) -> Caster:
    """Make a soup ready for rays.

    Parameters
    ----------
    soup : Soup
    """
    from embreex import rtcore_scene
    from embreex.mesh_construction import TriangleMesh

    low, high = bounds(soup)
    centre = (low.min(axis=0) + high.max(axis=0)) / 2 if soup.count else np.zeros(3)
    scene = rtcore_scene.EmbreeScene()
    if len(soup.faces):
        # Given corners once and triangles by number, Embree is ready in half the time.
        TriangleMesh(scene, (soup.vertices - centre).astype(np.float32), soup.faces.astype(np.int32))
    return Caster(soup=soup, centre=centre, scene=scene)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Crossings:
    """Where straight lines run through solids.

    Attributes
    ----------
    line, part : (k,) int
        Index of the line and of the solid; one row for each pair that meets, by line, then by entry.
    enter, leave : (k,) float
        Distances from the line's origin at which it first enters and last leaves the solid. [mm]
    """

    line: Ints
    part: Ints
    enter: Floats
    leave: Floats


def crossings(soup: Soup, origins: Floats, directions: Floats, start: float, end: float) -> Crossings:
    """Follow short lines through solids, in float64 throughout.

    Parameters
    ----------
    soup : Soup
    origins : (n, 3) float
        [mm]
    directions : (n, 3) float
        Unit vectors.
    start, end : float
        Stretch of each line looked at, as distances from its origin. [mm]
    """
    low, high = bounds(soup)
    ends = np.stack([origins + start * directions, origins + end * directions])
    line, part = boxes_met(ends.min(axis=0), ends.max(axis=0), low, high)
    pair, face = faces_of(soup, part)
    distance, crossed = _meeting(soup, face, origins[line[pair]], directions[line[pair]])
    crossed &= (distance >= start) & (distance <= end)
    enter = np.full(len(line), np.inf)
    leave = np.full(len(line), -np.inf)
    np.minimum.at(enter, pair[crossed], distance[crossed])
    np.maximum.at(leave, pair[crossed], distance[crossed])
    found = np.flatnonzero(enter <= leave)
    found = found[np.lexsort((enter[found], line[found]))]
    return Crossings(line=line[found], part=part[found], enter=enter[found], leave=leave[found])


def _meeting(soup: Soup, face: Ints, origin: Floats, direction: Floats) -> tuple[Floats, Bools]:
    """Distance along each line to each triangle's plane, and whether it passes within the triangle."""
    corner = soup.vertices[soup.faces[face]]
    first, second = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    across = np.cross(direction, second)
    scale = np.einsum("ij,ij->i", first, across)
    size = np.linalg.norm(first, axis=1) * np.linalg.norm(second, axis=1)
    slanted = np.abs(scale) > EDGE * size
    safe = np.where(slanted, scale, 1.0)
    away = origin - corner[:, 0]
    u = np.einsum("ij,ij->i", away, across) / safe
    other = np.cross(away, first)
    v = np.einsum("ij,ij->i", direction, other) / safe
    distance = np.einsum("ij,ij->i", second, other) / safe
    return distance, slanted & (u >= -EDGE) & (v >= -EDGE) & (u + v <= 1 + EDGE)
