"""Window and door fittings for pictures; sizes by eye, nothing to buy from."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely

from cladmodel.model import Opening, Wall
from cladmodel.parts.scenery import Pile
from cladmodel.solids.plates import frame

# All by eye, for pictures only. [mm]
FRAME_FACE = 58.0  # window and door frame, seen from outside
SASH_FACE = 46.0
GLASS = 6.0
# A door's sill: below the threshold line, out from the batten face, and above the line at its back, where it
# lies over the plinth.
THRESHOLD, THRESHOLD_OUT, THRESHOLD_RISE = 34.0, 22.0, 62.0


def fit(pile: Pile, wall: Wall, opening: Opening) -> None:
    """Hang a window or a door in one structural opening.

    Parameters
    ----------
    pile : Pile
    wall : Wall
    opening : Opening
        In that wall.
    """
    front = -wall.depth_to_frame - 12.0
    fitting = 8.0
    x0, x1 = opening.left + fitting, opening.right - fitting
    y0, y1 = opening.sill + 2.0, opening.head - fitting
    back = front - 66.0
    deep = (back, -1.0)  # linings, from the frame out to the trims
    pile.box("lining", "joinery", (opening.left, x0), (y0, opening.head), deep, "lining")
    pile.box("lining", "joinery", (x1, opening.right), (y0, opening.head), deep, "lining")
    pile.box("lining", "joinery", (x0, x1), (y1, opening.head), deep, "lining")
    f = FRAME_FACE
    pile.box("frame", "joinery", (x0, x0 + f), (y0, y1), (back, front), "frame")
    pile.box("frame", "joinery", (x1 - f, x1), (y0, y1), (back, front), "frame")
    pile.box("frame", "joinery", (x0 + f, x1 - f), (y1 - f, y1), (back, front), "frame")
    if opening.door:
        _door(pile, wall, (x0 + f, x1 - f), (y0, y1 - f), front - 8.0)
        _threshold(pile, opening, back)
        return
    pile.box("frame", "joinery", (x0 + f, x1 - f), (y0, y0 + f), (back, front), "frame")
    lights = max(1, round((x1 - x0) / 750.0))  # sashes about 750 wide
    inside = np.linspace(x0 + f, x1 - f, lights + 1)
    mullion = f * 0.5
    for index in range(lights):
        left = float(inside[index]) + (mullion / 2 if index else 0.0)
        right = float(inside[index + 1]) - (mullion / 2 if index < lights - 1 else 0.0)
        if index:
            pile.box("frame", "joinery", (left - mullion, left), (y0 + f, y1 - f), (back, front), "frame")
        _sash(pile, (left, right), (y0 + f, y1 - f), front - 9.0)


def _threshold(pile: Pile, opening: Opening, back: float) -> None:
    """Lay a timber sill under a door, falling outward over the plinth."""
    low, high = opening.sill - THRESHOLD, opening.sill + THRESHOLD_RISE
    nose = (THRESHOLD_OUT, opening.sill - 4.0)
    outline = shapely.Polygon(
        [(back, low), (THRESHOLD_OUT, low), nose, (-4.0, opening.sill + 6.0), (back, high)]
    )
    placed = frame((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))  # runs towards -x
    pile.profile("sill", "trim", outline, (-opening.right, -opening.left), placed, "threshold")


def _sash(pile: Pile, x: tuple[float, float], y: tuple[float, float], front: float) -> None:
    s, back = SASH_FACE, front - 44.0
    pile.box("sash", "joinery", (x[0], x[0] + s), y, (back, front), "sash")
    pile.box("sash", "joinery", (x[1] - s, x[1]), y, (back, front), "sash")
    pile.box("sash", "joinery", (x[0] + s, x[1] - s), (y[0], y[0] + s * 1.2), (back, front), "sash")
    pile.box("sash", "joinery", (x[0] + s, x[1] - s), (y[1] - s, y[1]), (back, front), "sash")
    glass = (front - 16.0 - GLASS, front - 16.0)
    pile.box("glass", "glass", (x[0] + s, x[1] - s), (y[0] + s * 1.2, y[1] - s), glass, "glass")


def _door(pile: Pile, wall: Wall, x: tuple[float, float], y: tuple[float, float], front: float) -> None:
    """Hang a boarded leaf with a lever handle, over a slab outside."""
    wanted = 110.0  # door boards about this wide
    count = max(3, round((x[1] - x[0]) / wanted))
    edges = np.linspace(x[0] + 3.0, x[1] - 3.0, count + 1)
    for low, high in pairwise(edges.tolist()):
        pile.box(
            "leaf",
            "door",
            (low + 1.5, high - 1.5),
            (y[0] + THRESHOLD_RISE, y[1] - 3.0),
            (front - 22.0, front),
            "leaf",
        )
    pile.box(
        "leaf",
        "door",
        (x[0] + 3.0, x[1] - 3.0),
        (y[0] + THRESHOLD_RISE, y[1] - 3.0),
        (front - 44.0, front - 22.0),
        "leaf",
    )
    handle = x[1] - 70.0
    middle = y[0] + 1000.0
    pile.box(
        "handle",
        "gutter",
        (handle - 14.0, handle + 14.0),
        (middle - 90.0, middle + 90.0),
        (front, front + 5.0),
    )
    pile.box(
        "handle",
        "gutter",
        (handle - 110.0, handle + 9.0),
        (middle + 20.0, middle + 38.0),
        (front + 38.0, front + 52.0),
    )
    pile.box(
        "handle",
        "gutter",
        (handle - 9.0, handle + 9.0),
        (middle + 20.0, middle + 38.0),
        (front + 5.0, front + 38.0),
    )
    slab = (wall.ground, max(wall.ground + 30.0, min(_step(y[0]), -40.0)))
    pile.box("step", "ground", (x[0] - 150.0, x[1] + 150.0), slab, (40.0, 640.0), "edging")


def _step(threshold: float) -> float:
    """Top of the slab outside a door, one easy step below its threshold. [mm, wall axes]"""
    return threshold - 120.0
