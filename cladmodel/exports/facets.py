"""Closed solids as flat-shaded facets: each face keeps its own corners and its own normal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cladmodel.model import Floats, Ints
from cladmodel.solids.measure import face_vectors

# Triangles of one piece whose normals agree to this many steps per unit share corners.
# 1e-5 rad over a 6 m board is 0.06 mm: no eye sees it, and a miss only costs a repeated corner.
NORMAL_STEPS = 100_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Facets:
    """Many solids ready to be shaded flat, piece after piece.

    Attributes
    ----------
    source : (v,) int
        Which of the solids' vertices each corner is.
    normals : (v, 3) float
        Outward unit normals.
    triangles : (m, 3) int
        Corners of each triangle, in the order of the solids' faces.
    corner_start : (pieces + 1,) int
        Where each piece's corners begin, and the total.
    """

    source: Ints
    normals: Floats
    triangles: Ints
    corner_start: Ints


def unit(vectors: Floats) -> Floats:
    """Scale vectors to length 1; one without length becomes (0, 0, 1), so that it is still a direction.

    Parameters
    ----------
    vectors : (n, 3) float

    Returns
    -------
    (n, 3) float
    """
    length = np.linalg.norm(vectors, axis=1)
    empty = length == 0.0
    result = vectors / np.where(empty, 1.0, length)[:, None]
    result[empty] = (0.0, 0.0, 1.0)
    return np.asarray(result + 0.0)  # + 0.0 turns -0.0 into 0.0


def facets(vertices: Floats, faces: Ints, face_piece: Ints, pieces: int) -> Facets:
    """Split vertices where faces of different planes meet.

    Parameters
    ----------
    vertices : (n, 3) float
        Of all pieces, none shared between two.
    faces : (m, 3) int
        Sorted by piece.
    face_piece : (m,) int
        Which piece each face belongs to, not falling.
    pieces : int

    Returns
    -------
    Facets
    """
    vectors = face_vectors(vertices, faces)
    steps = np.rint(unit(vectors) * NORMAL_STEPS).astype(np.int64) + NORMAL_STEPS
    wide = 2 * NORMAL_STEPS + 1
    packed = (steps[:, 0] * wide + steps[:, 1]) * wide + steps[:, 2]
    directions, direction = np.unique(packed, return_inverse=True)
    plane_key = face_piece * len(directions) + direction
    planes, plane = np.unique(plane_key, return_inverse=True)
    summed = np.zeros((len(planes), 3))
    np.add.at(summed, plane, vectors)

    corner_key = (plane[:, None] * len(vertices) + faces).ravel()
    corners, corner = np.unique(corner_key, return_inverse=True)
    plane_of_corner, source = np.divmod(corners, max(len(vertices), 1))
    piece_of_corner = planes[plane_of_corner] // max(len(directions), 1)
    return Facets(
        source=source,
        normals=unit(summed)[plane_of_corner],
        triangles=corner.reshape(-1, 3),
        corner_start=np.searchsorted(piece_of_corner, np.arange(pieces + 1)),
    )
