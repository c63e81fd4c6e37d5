"""How pictures are judged: colours by their distance, labels by what they run through."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cladmodel.views.arrays import Floats, Singles
from cladmodel.views.colour import PRIMARIES, SLOPE, WHITE
from cladmodel.views.labels import Placed, leader_start

CUBE = (6 / 29) ** 3  # of CIE 1976 L*a*b*, from memory


def lab_of(light: Singles | Floats) -> Floats:
    """CIE 1976 L*a*b* of amounts of red, green and blue light; the other way of `colour.light_of_lab`.

    Parameters
    ----------
    light : (..., 3) float

    Returns
    -------
    (..., 3) float
    """
    share = np.asarray(light, np.float64) @ PRIMARIES.T / WHITE
    root = np.where(share > CUBE, np.cbrt(np.maximum(share, CUBE)), share / SLOPE + 4 / 29)
    x, y, z = np.moveaxis(root, -1, 0)
    return np.stack([116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)], axis=-1)


def difference(one: Floats, other: Floats) -> float:
    """Distance of two L*a*b* colours: delta E*ab of 1976."""
    return float(np.linalg.norm(np.asarray(one) - np.asarray(other)))


def clashes(placed: Sequence[Placed]) -> list[tuple[str, str]]:
    """Pairs of labels whose words overlap, or one's leader runs through the other's words."""
    found = []
    for i, a in enumerate(placed):
        for j, b in enumerate(placed):
            if i == j:
                continue
            across = a.box[0] < b.box[2] and b.box[0] < a.box[2]
            upright = a.box[1] < b.box[3] and b.box[1] < a.box[3]
            ends = sorted((leader_start(a), a.label.at[1]))
            through = b.box[0] < a.knee < b.box[2] and ends[0] < b.box[3] and b.box[1] < ends[1]
            if (i < j and across and upright) or through:
                found.append((a.label.words, b.label.words))
    return found
