"""Walls' axes to the axes a file wants: the turn to z up is made here and nowhere else."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cladmodel.model import Floats, Ints, Model, Part
from cladmodel.solids.measure import gather

# y up to z up: what was out towards the viewer (z) becomes -y.
_Z_UP = np.array([[1.0, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1]])


def z_up(points: Floats) -> Floats:
    """Turn y-up axes to z up: what was out towards the viewer (z) becomes -y.

    Parameters
    ----------
    points : (..., 3) float

    Returns
    -------
    (..., 3) float
    """
    return np.stack([points[..., 0], -points[..., 2], points[..., 1]], axis=-1)


def frame_z_up(frame: Floats) -> Floats:
    """Wall axes (y up) to the building's axes turned z up.

    Parameters
    ----------
    frame : (4, 4) float
        Wall axes to building axes, both y up. [mm]

    Returns
    -------
    (4, 4) float
        [mm]
    """
    return np.asarray(_Z_UP @ frame + 0.0)


def frame_both_z_up(frame: Floats) -> Floats:
    """Turn a frame between y-up axes into the same frame between z-up axes.

    Parameters
    ----------
    frame : (4, 4) float
        [mm]

    Returns
    -------
    (4, 4) float
        [mm]
    """
    return np.asarray(_Z_UP @ frame @ _Z_UP.T + 0.0)


def placed_z_up(model: Model, parts: Sequence[Part]) -> tuple[Floats, Ints, Ints]:
    """Join parts in the building's axes, z up, without welding them.

    Parameters
    ----------
    model : Model
    parts : sequence of Part

    Returns
    -------
    vertices : (n, 3) float
        [mm]
    faces : (m, 3) int
    face_part : (m,) int
        Index of the part that owns each face.

    Raises
    ------
    ValueError
        If a part is of a wall that the model does not have.
    """
    soup = gather(parts)
    number = {wall.name: index for index, wall in enumerate(model.walls)}
    unknown = {part.wall for part in parts} - number.keys()
    if unknown:
        raise ValueError(f"no such walls: {sorted(unknown)}")
    wall = np.array([number[part.wall] for part in parts], np.int64)[soup.vertex_part]
    order = np.argsort(wall, kind="stable")
    ends = np.searchsorted(wall[order], np.arange(1, len(number)))
    placed = np.empty_like(soup.vertices)
    for name, own in zip(number, np.split(order, ends), strict=True):
        placed[own] = model.to_building(name, soup.vertices[own])
    return z_up(placed), soup.faces, soup.face_part
