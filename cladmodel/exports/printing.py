"""One closed solid of the whole building, made smaller: an STL for a 3D printer."""

from __future__ import annotations

import numpy as np

from cladmodel.errors import OutputError
from cladmodel.exports.facets import unit
from cladmodel.exports.placing import z_up
from cladmodel.exports.stl import HEADER, triangles_stl
from cladmodel.model import Floats, Ints, Model
from cladmodel.solids.measure import face_vectors

# Each piece is made this much larger all round, so that pieces which touch along a line or a face run into
# one another and the union is one body. Our own choice: a hundredth of a printer's step at full size, and the
# whole grows by less than 0.05 %. [mm]
GROWTH = 0.005
# Crumbs and voids smaller than this at full size are left out: nothing prints them. Our own choice. [mm3]
CRUMB = 1.0
# Corners of the print that agree to this are one corner to a reader; our own choice, coarser than readers'
# own tolerances and far finer than any printer. [mm]
SAME = 1e-5
# How far such corners are moved apart: this many of the steps that single precision has at the print's size.
NUDGE_STEPS = 2
# How often that is tried, each corner by another distance, before giving up.
NUDGES = 16


def printable_stl(model: Model, scale: float) -> bytes:
    """Join all parts into one closed solid at a scale and return it as binary STL; fixings are left out.

    Parameters
    ----------
    model : Model
    scale : float
        Printed size over true size, above 0 and at most 1: 1/20 for a model at 1 to 20.

    Returns
    -------
    bytes
        Standing on z = 0 with its corner at the origin. [mm]

    Raises
    ------
    OutputError
        If the scale is out of range, there is nothing to print, or a piece is no closed solid.
    """
    if not 0.0 < scale <= 1.0:
        raise OutputError(
            f"scale = {scale}: must be above 0 and at most 1; for a model at 1 to 20 give 1/20."
        )
    vertices, faces = _union(model)
    printed = (vertices - vertices.min(axis=0)) * scale
    header = HEADER.rstrip() + f", scale 1:{1 / scale:.6g}".encode()
    return triangles_stl(_told_apart(printed, faces), faces, header[:80].ljust(80))


def _union(model: Model) -> tuple[Floats, Ints]:
    """Join all parts, each grown a little, and drop crumbs and closed pinholes."""
    import manifold3d

    solids = []
    for part in model.parts:
        low, high = part.vertices.min(axis=0), part.vertices.max(axis=0)
        middle, size = (low + high) / 2, np.maximum(high - low, GROWTH)
        grown = middle + (part.vertices - middle) * (1.0 + 2.0 * GROWTH / size)
        placed = np.ascontiguousarray(z_up(model.to_building(part.wall, grown)))
        solid = manifold3d.Manifold(manifold3d.Mesh64(placed, np.ascontiguousarray(part.faces, np.uint64)))
        if solid.status() != manifold3d.Error.NoError or solid.volume() <= 0.0:
            raise OutputError(f"{part.mark}: is not a closed solid, so there is nothing sound to print.")
        solids.append(solid)
    if not solids:
        raise OutputError("the model has no parts, so there is nothing to print.")
    whole = manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add)
    # A void inside comes as a body of its own with a volume below 0.
    bodies = [body for body in whole.decompose() if abs(body.volume()) >= CRUMB]
    mesh = manifold3d.Manifold.compose(bodies).to_mesh64()
    return np.array(mesh.vert_properties[:, :3], np.float64), np.array(mesh.tri_verts, np.int64)


def _told_apart(points: Floats, faces: Ints) -> Floats:
    """Move corners that single precision would make one, so that the file holds the same solid.

    An STL says which triangles meet only by equal numbers: two corners that fall together would join
    surfaces that are apart.
    """
    outward = np.zeros_like(points)
    np.add.at(outward, faces.ravel(), np.repeat(unit(face_vectors(points, faces)), 3, axis=0))
    inward = -unit(outward)
    nudge = NUDGE_STEPS * max(float(np.spacing(np.float32(points.max()))), SAME)
    moved = points.copy()
    for _ in range(NUDGES):
        stored = np.rint(moved.astype(np.float32) / SAME)
        _, first, row = np.unique(stored, axis=0, return_index=True, return_inverse=True)
        again = np.flatnonzero(first[row.ravel()] != np.arange(len(stored)))
        if not len(again):
            return moved
        # Each by a different distance, else twins would move together.
        moved[again] += inward[again] * nudge * (1 + np.arange(len(again)) % NUDGES)[:, None]
    raise OutputError("the print's surfaces lie too close to be told apart in an STL; use a larger scale.")
