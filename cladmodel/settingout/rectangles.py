"""Rectangles less other rectangles, with plain numbers wherever no corner is cut."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

Box = tuple[float, float, float, float]


def less(box: Box, holes: Sequence[Box]) -> list[shapely.Polygon]:
    """Take rectangles out of a rectangle.

    Parameters
    ----------
    box : (left, low, right, high)
        [mm]
    holes : sequence of (left, low, right, high)
        They may lie anywhere and over one another. [mm]

    Returns
    -------
    list of shapely.Polygon
        What is left.

    Notes
    -----
    A hole that goes right through, upright or level, leaves two rectangles, each looked at again. Only
    what holes then still notch or pierce is cut as a polygon.

    Examples
    --------
    >>> [p.bounds for p in less((0.0, 0.0, 9.0, 2.0), [(3.0, -1.0, 4.0, 5.0)])]
    [(0.0, 0.0, 3.0, 2.0), (4.0, 0.0, 9.0, 2.0)]
    """
    left, low, right, high = box
    if right <= left or high <= low:
        return []
    near = [h for h in holes if h[0] < right and left < h[2] and h[1] < high and low < h[3]]
    if not near:
        return [shapely.box(left, low, right, high)]
    for a, b, c, d in near:
        if b <= low and high <= d:
            return [*less((left, low, a, high), near), *less((c, low, right, high), near)]
        if a <= left and right <= c:
            return [*less((left, low, right, b), near), *less((left, d, right, high), near)]
    cut = shapely.box(left, low, right, high).difference(shapely.union_all([shapely.box(*h) for h in near]))
    return [part for part in shapely.get_parts(cut) if part.geom_type == "Polygon"]
