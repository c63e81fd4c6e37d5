"""How far convex outlines in one plane are apart, or in each other: by separating axes, many at once."""

from __future__ import annotations

import numpy as np

from cladmodel.solids.measure import Floats

POINT = 1e-6
"""A shorter edge is float noise at a corner: it faces nowhere. [mm]"""


def spaces(one: list[Floats], two: list[Floats]) -> Floats:
    """Signed space between convex rings, pair by pair.

    Parameters
    ----------
    one, two : list of (m, 2) float
        As many of both; counter-clockwise, at least one pair. [mm]

    Returns
    -------
    (n,) float
        The widest clear strip between them; below 0 by how deep they are in each other. [mm]
    """
    a, b = _padded(one), _padded(two)
    return np.maximum(_ahead_of(a, b), _ahead_of(b, a))


def _padded(shapes: list[Floats]) -> Floats:
    """(n, longest, 2): every ring, its last corner repeated."""
    count = np.array([len(r) for r in shapes])
    step = np.minimum(np.arange(count.max()), count[:, None] - 1)
    return np.asarray(np.concatenate(shapes)[(np.cumsum(count) - count)[:, None] + step])


def _ahead_of(a: Floats, b: Floats) -> Floats:
    """Widest strip between any edge of `a` and all of `b` in front of it."""
    edge = np.roll(a, -1, axis=1) - a
    length = np.linalg.norm(edge, axis=2)
    out = np.stack([edge[:, :, 1], -edge[:, :, 0]], axis=2) / np.where(length > 0, length, 1.0)[:, :, None]
    level = np.einsum("nij,nij->ni", out, a)
    clear = np.einsum("nij,nkj->nik", out, b).min(axis=2) - level
    clear[length < POINT] = -np.inf
    return np.asarray(clear.max(axis=1))
