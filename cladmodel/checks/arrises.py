"""The four arrises of a board in an upright cut."""

from __future__ import annotations

import math

from cladmodel.solids.measure import Floats

ONE_POINT = 0.02
"""Two points nearer than this are one corner. [mm]"""

STRAIGHT = 1e-3
"""A point this near the line between its neighbours is on it: float noise. [mm]"""


def arrises_of(ring: Floats) -> list[list[float]]:
    """Ends of the longest falling edge, which is the back, and of the longest rising edge, the front.

    Parameters
    ----------
    ring : (n, 2) float
        Corners of the cut, counter-clockwise, z and y. [mm]

    Returns
    -------
    (4, 2) list of float
        Bottom back, bottom front, top front and top back arris, z and y. [mm]
    """
    corner = _corners(ring.tolist())
    after = [*corner[1:], corner[0]]
    rise = [b[1] - a[1] for a, b in zip(corner, after, strict=True)]
    back, front = rise.index(min(rise)), rise.index(max(rise))
    return [after[back], corner[front], after[front], corner[back]]


def _corners(ring: list[list[float]]) -> list[list[float]]:
    """The ring without the points that lie on the line between their neighbours: an edge is one edge.

    Close by a slanting end a corner is cut into two or three points: the first stands for all.
    """
    apart = [p for n, p in enumerate(ring) if math.dist(p, ring[n - 1]) > ONE_POINT] or ring
    kept: list[list[float]] = []
    for n, point_ in enumerate(apart):
        before, after = kept[-1] if kept else apart[n - 1], apart[(n + 1) % len(apart)]
        across, up = after[0] - before[0], after[1] - before[1]
        off = abs(across * (point_[1] - before[1]) - up * (point_[0] - before[0]))
        if off > STRAIGHT * math.hypot(across, up):
            kept.append(point_)
    return kept
