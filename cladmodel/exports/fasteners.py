"""A nail or screw as a small closed solid, and the pose of every one of many."""

from __future__ import annotations

import numpy as np

from cladmodel.exports.facets import unit
from cladmodel.model import Fastener, Fixings, Floats, Ints

# Sides of the round shank and head: enough to read as round at the size of a nail head.
SIDES = 10

# A drawn point is this many diameters long; common practice, no source, and nothing is measured from it.
POINT_DIAMETERS = 1.5


def fastener_solid(fastener: Fastener, *, head_only: bool = False) -> tuple[Floats, Ints]:
    r"""Turn a fastener's profile about its axis into a closed solid.

    The underside of the head is at the origin and the point looks along -z, which is the way
    a nail is driven level into a wall: such a nail needs no turning.

        z = head_thickness   +--------+
        z = 0                +--+  +--+
                                |  |
                                 \/      z = -length

    Parameters
    ----------
    fastener : Fastener
    head_only : bool
        Leave the shank off. A headless pin has nothing to show then: only the end of its shank.

    Returns
    -------
    vertices : (n, 3) float
        [mm]
    faces : (m, 3) int
        Counter-clockwise seen from outside.
    """
    shank = fastener.diameter / 2
    head = fastener.head_diameter / 2 if fastener.headed else shank
    top = fastener.head_thickness if fastener.headed else 0.0
    tip = min(POINT_DIAMETERS * fastener.diameter, fastener.length / 2)
    if head_only:
        # A pin's end is a disc with no thickness of its own; one diameter of shank keeps it a solid.
        under = 0.0 if fastener.headed else -fastener.diameter
        rings, end = [(head, top), (head, under)], under
    else:
        collar = [(head, top), (head, 0.0)] if fastener.headed else []
        rings, end = [*collar, (shank, 0.0), (shank, tip - fastener.length)], -fastener.length
    return _turned(rings, start=top, end=end)


def _turned(rings: list[tuple[float, float]], *, start: float, end: float) -> tuple[Floats, Ints]:
    """Solid of revolution about z from (radius, z) rings, closed by a point on the axis at each end."""
    angle = 2 * np.pi * np.arange(SIDES) / SIDES
    circle = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    layers = [np.column_stack([radius * circle, np.full(SIDES, z)]) for radius, z in rings]
    vertices = np.concatenate([*layers, [[0.0, 0.0, start], [0.0, 0.0, end]]])
    here = np.arange(SIDES)
    following = (here + 1) % SIDES
    first, last = len(vertices) - 2, len(vertices) - 1
    faces = [np.stack([np.full(SIDES, first), here, following], axis=1)]
    for ring in range(len(rings) - 1):
        upper, lower = ring * SIDES, (ring + 1) * SIDES
        faces.append(np.stack([upper + here, lower + here, lower + following], axis=1))
        faces.append(np.stack([upper + here, lower + following, upper + following], axis=1))
    bottom = (len(rings) - 1) * SIDES
    faces.append(np.stack([np.full(SIDES, last), bottom + following, bottom + here], axis=1))
    return vertices, np.concatenate(faces)


def rotations(directions: Floats) -> Floats:
    """Quaternions that turn -z to each direction by the shortest way.

    Parameters
    ----------
    directions : (n, 3) float
        From head to point.

    Returns
    -------
    (n, 4) float
        x, y, z, w.
    """
    way = unit(np.asarray(directions, np.float64))
    # axis = (0, 0, -1) x way, w = 1 + (0, 0, -1) . way; straight back (+z) has no axis: take x.
    result = np.stack([way[:, 1], -way[:, 0], np.zeros(len(way)), 1.0 - way[:, 2]], axis=1)
    length = np.linalg.norm(result, axis=1)
    back = length < 1e-9  # nearer to straight back than float64 can turn
    result[back] = (1.0, 0.0, 0.0, 0.0)
    length[back] = 1.0
    return np.asarray(result / length[:, None] + 0.0)


def turned(points: Floats, quaternions: Floats) -> Floats:
    """Turn one set of points by each of many quaternions.

    Parameters
    ----------
    points : (p, 3) float
    quaternions : (n, 4) float
        x, y, z, w, of length 1.

    Returns
    -------
    (n, p, 3) float
    """
    axis, w = quaternions[:, None, :3], quaternions[:, None, 3:]
    twice = 2.0 * np.cross(axis, points[None])
    return np.asarray(points[None] + w * twice + np.cross(axis, twice))


def merged_heads(group: Fixings) -> tuple[Floats, Ints]:
    """All the heads of a group as one mesh, each still a closed solid.

    Parameters
    ----------
    group : Fixings

    Returns
    -------
    vertices : (n, 3) float
        [mm, wall axes]
    faces : (m, 3) int
    """
    solid, faces = fastener_solid(group.fastener, head_only=True)
    placed = turned(solid, rotations(group.directions)) + group.heads[:, None]
    offsets = np.arange(len(placed)) * len(solid)
    return placed.reshape(-1, 3), (faces + offsets[:, None, None]).reshape(-1, 3)
