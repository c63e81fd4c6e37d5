"""Binary STL: triangles only, for printing and for software that reads nothing else.

Millimetres, z up, the building's axes. The format has no names and no unit: the header says which.
Pieces lie in the file one after another, each closed; where two pieces touch they share no triangle.
"""

from __future__ import annotations

import os
import struct
from pathlib import Path

import numpy as np

from cladmodel.exports.facets import face_vectors, unit
from cladmodel.exports.files import write_whole
from cladmodel.model import Floats, Model, flatten

# Not "solid" first: many readers take a file that starts so for the text form.
HEADER = b"cladmodel: binary STL, unit mm, z up".ljust(80)

# The layout that every reader expects: normal, three corners, two spare bytes; little end first.
TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])


def z_up(points: Floats) -> Floats:
    """Turn y-up building axes to z up: what was out towards the viewer (z) becomes -y.

    Parameters
    ----------
    points : (..., 3) float

    Returns
    -------
    (..., 3) float
    """
    return np.stack([points[..., 0], -points[..., 2], points[..., 1]], axis=-1)


def stl_bytes(model: Model, *, surroundings: bool = False) -> bytes:
    """Return all parts of a model as the bytes of one binary STL; fixings are left out.

    Parameters
    ----------
    model : Model
    surroundings : bool
        With the ground, roof and glass that are there for pictures only.

    Returns
    -------
    bytes
        The same for the same model; triangles in the order of the model's parts.
    """
    parts = [*model.parts, *(model.surroundings if surroundings else ())]
    vertices, faces, vertex_part, _ = flatten(parts)
    wall_names = [wall.name for wall in model.walls]
    wall_of_part = np.array([wall_names.index(part.wall) for part in parts], np.int64)
    placed = np.empty_like(vertices)
    for number, name in enumerate(wall_names):
        own = wall_of_part[vertex_part] == number
        placed[own] = model.to_building(name, vertices[own])
    placed = z_up(placed)
    triangles = np.zeros(len(faces), TRIANGLE)
    triangles["normal"] = unit(face_vectors(placed, faces))
    triangles["corners"] = placed[faces]
    return HEADER + struct.pack("<I", len(faces)) + triangles.tobytes()


def write_stl(model: Model, path: str | os.PathLike[str], *, surroundings: bool = False) -> Path:
    """Write a model as one binary STL, whole or not at all; see `stl_bytes`."""
    return write_whole(path, stl_bytes(model, surroundings=surroundings))
