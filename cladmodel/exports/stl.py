"""Binary STL: triangles only, for printing and for software that reads nothing else.

Millimetres, z up, the building's axes. The format has no names and no unit: the header says which.
Pieces lie in the file one after another, each closed; where two pieces touch they share no triangle.
For a print there is `cladmodel.exports.printing`, which makes one solid of them all.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence

import numpy as np

from cladmodel.exports.archive import file_name, zip_bytes
from cladmodel.exports.facets import unit
from cladmodel.exports.placing import placed_z_up
from cladmodel.model import Floats, Ints, Layer, Model, Part
from cladmodel.solids.measure import face_vectors

# Not "solid" first: many readers take a file that starts so for the text form.
HEADER = b"cladmodel: binary STL, unit mm, z up".ljust(80)

# The layout that every reader expects: normal, three corners, two spare bytes; little end first.
TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])


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
    return _parts_stl(model, [*model.parts, *(model.surroundings if surroundings else ())])


def stl_layers_zip(model: Model) -> bytes:
    """Return a zip archive with one STL a layer, numbered in building-up order; see `stl_bytes`.

    Parameters
    ----------
    model : Model

    Returns
    -------
    bytes
        Files such as ``1-frame.stl``, all in the same axes, so that they fall into place together;
        layers without parts have none.
    """
    layers: dict[Layer, list[Part]] = {layer: [] for layer in Layer}
    for part in model.parts:
        layers[part.layer].append(part)
    return zip_bytes(
        (f"{number}-{layer}.stl", _parts_stl(model, parts))
        for number, (layer, parts) in enumerate(layers.items(), start=1)
        if parts
    )


def stl_parts_zip(model: Model) -> bytes:
    """Return a zip archive with one STL a part, named by its mark in a folder of its layer.

    Parameters
    ----------
    model : Model

    Returns
    -------
    bytes
        Files such as ``boards/A07a.stl``, all in the building's axes; see `stl_bytes`.
    """
    vertices, faces, face_part = placed_z_up(model, model.parts)
    bounds = np.searchsorted(face_part, np.arange(len(model.parts) + 1))
    taken: set[str] = set()
    return zip_bytes(
        (f"{part.layer}/{file_name(part.mark, taken)}.stl", triangles_stl(vertices, faces[first:last]))
        for part, first, last in zip(model.parts, bounds[:-1], bounds[1:], strict=True)
    )


def _parts_stl(model: Model, parts: Sequence[Part]) -> bytes:
    vertices, faces, _ = placed_z_up(model, parts)
    return triangles_stl(vertices, faces)


def triangles_stl(vertices: Floats, faces: Ints, header: bytes = HEADER) -> bytes:
    """Return triangles as the bytes of one binary STL.

    Parameters
    ----------
    vertices : (n, 3) float
        z up. [mm]
    faces : (m, 3) int
    header : bytes
        80 of them.
    """
    triangles = np.zeros(len(faces), TRIANGLE)
    triangles["normal"] = unit(face_vectors(vertices, faces))
    triangles["corners"] = vertices[faces]
    return header + struct.pack("<I", len(faces)) + triangles.tobytes()
