"""Where to cut a wall so that the section shows a batten on a stud and no joint."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from cladmodel.model import Floats, Kind, Model, Opening, Part, Use, Wall

CLEAR = 8.0
"""A cut this far from any joint counts as clear of it: over a fitting gap and a pencil's play.
Common practice, no source. [mm]"""

EDGE = 2.0
"""Inside a batten's and a stud's side by at least this. [mm]"""

STEP = 1.0
"""Places tried are this far apart. [mm]"""

TALL = 0.9
"""A batten this much of the longest one's height goes from foot to head. [-]"""


def plain_cut(model: Model, wall: Wall) -> float:
    """Where to cut beside the openings and their trims: on a full-height batten and a stud, clear of joints.

    Parameters
    ----------
    model : Model
    wall : Wall

    Returns
    -------
    float
        x; of several such battens the one that holds most courses, then the one nearest the middle. If no
        batten stands on a stud, on a batten; without battens, the middle of the wall. [mm]
    """
    battens = model.of_kind(Kind.BATTEN, wall=wall.name)
    heights = [float(np.ptp(b.vertices[:, 1])) for b in battens]
    full = [b for b, h in zip(battens, heights, strict=True) if h >= TALL * max(heights)]
    full = [b for b in full if b.assembly is None] or full
    trims = model.of_kind(Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.FLASHING, Kind.SILL, wall=wall.name)
    return _best(model, wall, full, wall.length / 2, [_beside(trim) for trim in trims])


def opening_cut(model: Model, wall: Wall, opening: Opening) -> float:
    """Where to cut through an opening: on a batten below or above it if there is one.

    Parameters
    ----------
    model : Model
    wall : Wall
    opening : Opening

    Returns
    -------
    float
        x. [mm]
    """
    middle = (opening.left + opening.right) / 2
    inside = [
        b
        for b in model.of_kind(Kind.BATTEN, wall=wall.name)
        if opening.left < b.vertices[:, 0].mean() < opening.right
    ]
    sides = (opening.left + CLEAR, opening.right - CLEAR)
    at = _best(model, wall, inside, middle, [(-np.inf, sides[0]), (sides[1], np.inf)])
    return at if sides[0] <= at <= sides[1] else middle


def _best(
    model: Model, wall: Wall, battens: Sequence[Part], middle: float, avoid: Sequence[tuple[float, float]]
) -> float:
    studs = [_span(s) for s in model.of_kind(Kind.STUD, wall=wall.name)]
    joints = _joints(model.of_kind(Kind.BOARD, Kind.SHEATHING, wall=wall.name))
    nails = _nailed(model, wall)
    tried: list[tuple[bool, bool, bool, int, float, float]] = []
    for batten in battens:
        low, high = _span(batten)
        held = len(np.unique(nails[(nails[:, 0] > low) & (nails[:, 0] < high), 1]))
        for x in np.arange(low + EDGE, high - EDGE + STEP / 2, STEP):
            clear = float(np.abs(joints - x).min(initial=np.inf))
            on_stud = any(a + EDGE <= x <= b - EDGE for a, b in studs)
            # Nearest the middle of the wall to within a batten, then nearest the batten's own middle.
            far = abs((low + high) / 2 - middle) + abs(x - (low + high) / 2)
            trimmed = any(a < x < b for a, b in avoid)
            tried.append((trimmed, clear < CLEAR, not on_stud, -held, far, float(x)))
    return min(tried)[-1] if tried else middle


def _nailed(model: Model, wall: Wall) -> Floats:
    """X and y of every board nail, (n, 2) float; heights rounded so that a course counts once. [mm]."""
    heads = [group.heads[:, :2] for group in model.fixings_for(Use.BOARD, wall.name)]
    every: Floats = np.concatenate(heads) if heads else np.empty((0, 2))
    return np.asarray(np.round(every, 1), np.float64)


def _span(part: Part) -> tuple[float, float]:
    return float(part.vertices[:, 0].min()), float(part.vertices[:, 0].max())


def _beside(trim: Part) -> tuple[float, float]:
    low, high = _span(trim)
    return low - CLEAR, high + CLEAR


def _joints(parts: Iterable[Part]) -> Floats:
    """Every x at which a board or a sheet ends or is notched."""
    corners = [np.unique(part.vertices[:, 0]) for part in parts]
    return np.unique(np.concatenate(corners)) if corners else np.empty(0)
