"""Where each corner lies in its texture: images run along the grain, and no two pieces start alike."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cladmodel.exports.facets import Facets
from cladmodel.model import Floats, Part

# A face is end grain when its normal is within about 25 degrees of the grain; our own choice.
END_GRAIN = 0.9
# Each piece starts another golden fraction of the image on: no two of any few neighbours start alike.
_GOLDEN = (np.sqrt(5.0) - 1.0) / 2.0


def grain_uv(
    vertices: Floats, split: Facets, parts: Sequence[Part], tiles: Sequence[tuple[float, float]]
) -> Floats:
    """Lay textures along the grain, which runs with the longest side of each piece.

    Parameters
    ----------
    vertices : (n, 3) float
        Of all parts, in their walls' axes. [mm]
    split : Facets
    parts : sequence of Part
    tiles : sequence of (2,) float
        How much timber one image shows along and across the grain, for each part. [mm]

    Returns
    -------
    (v, 2) float
        u along the grain and v across it; on end grain along the longer and the shorter side.
    """
    sizes = np.array([np.ptp(part.vertices, axis=0) for part in parts])
    order = np.argsort(-sizes, axis=1, kind="stable")
    part = np.repeat(np.arange(len(parts)), np.diff(split.corner_start))
    axes = np.eye(3)[order[part]]
    grain = axes[:, 0]
    ending = np.abs(np.einsum("ij,ij->i", split.normals, grain)) > END_GRAIN
    along = np.where(ending[:, None], axes[:, 1], grain)
    across = np.where(ending[:, None], axes[:, 2], np.cross(split.normals, grain))
    places = vertices[split.source]
    plain = np.stack([np.einsum("ij,ij->i", places, way) for way in (along, across)], axis=1)
    start = np.modf(np.arange(len(parts))[:, None] * [_GOLDEN, _GOLDEN**2])[0]
    return np.asarray(plain / np.array(tiles)[part] + start[part])
