"""The same wall dried or wetted: every board shrunk or swollen about its own row of nails, as a solid.

A board is held by its one row of nails. Across its width it grows up and down from there; through its
thickness from its back face; along its length it hardly moves (a tenth of a percent or so) and is left.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cladmodel.checks.leans import leans
from cladmodel.model import Kind, Model, Part, Use
from cladmodel.solids.measure import Floats

AT_FACE = 1.0
"""A nail whose head is no further than this in front of a board's face is that board's own. [mm]"""

SAME = 1e-6
"""Float noise of coordinates turned into a board's own axes. [mm]"""


def moved_model(model: Model, across: float, through: float) -> Model:
    """Shrink or swell every board of a model; all checks can then be run on what comes back.

    Parameters
    ----------
    model : Model
    across, through : float
        Change of width and of thickness per unit, below 0 for shrinking. [-]
    """
    changed: list[Part] = []
    for wall in model.walls:
        boards = model.of_kind(Kind.BOARD, wall=wall.name)
        nails = [group.heads for group in model.fixings_for(Use.BOARD, wall=wall.name)]
        heads = np.concatenate(nails) if nails else np.empty((0, 3))
        for board, lean in zip(boards, np.radians(leans(boards)), strict=True):
            if np.isfinite(lean):
                changed.append(_moved(board, float(lean), heads, across, through))
    return model.replace_parts(changed)


def board_axes(lean: float) -> tuple[Floats, Floats]:
    """Unit vectors up a board's back and out through it.

    Parameters
    ----------
    lean : float
        Of the back from upright. [rad]

    Returns
    -------
    up, out : (3,) float
    """
    sin, cos = np.sin(lean), np.cos(lean)
    return np.array([0.0, cos, -sin]), np.array([0.0, sin, cos])


def nail_line(board: Part, lean: float, heads: Floats) -> float | None:
    """Height of a board's nails up its back, as a coordinate along `board_axes`' up; None without any.

    Parameters
    ----------
    board : Part
    lean : float
        [rad]
    heads : (n, 3) float
        Of all board nails of its wall. [mm]
    """
    up, out = board_axes(lean)
    height, depth = heads @ up, heads @ out
    own, deep = board.vertices @ up, board.vertices @ out
    low, high = board.vertices[:, 0].min(), board.vertices[:, 0].max()
    within = (heads[:, 0] > low) & (heads[:, 0] < high) & (height > own.min()) & (height < own.max())
    # A head bears on the face: nails of the boards above and below stand further out or in.
    within &= (depth > deep.min()) & (depth < deep.max() + (deep.max() - deep.min()))
    if not within.any():
        return None
    nearest = within & (depth <= _face_at(board, up, out, height) + AT_FACE)
    return float(np.median(height[nearest if nearest.any() else within]))


def _face_at(board: Part, up: Floats, out: Floats, height: Floats) -> Floats:
    """Depth of a board's face at heights up its back, from its thickest and its thinnest edge."""
    own, deep = board.vertices @ up, board.vertices @ out
    bottom, top = own.min(), own.max()
    at_butt = deep[own < bottom + SAME].max()
    at_top = deep[own > top - SAME].max()
    return np.asarray(at_butt + (height - bottom) / (top - bottom) * (at_top - at_butt))


def _moved(board: Part, lean: float, heads: Floats, across: float, through: float) -> Part:
    up, out = board_axes(lean)
    line = nail_line(board, lean, heads)
    height, depth = board.vertices @ up, board.vertices @ out
    still = float(height.min() + height.max()) / 2 if line is None else line
    rise = (height - still) * across
    thicken = (depth - depth.min()) * through
    return board.with_vertices(board.vertices + rise[:, None] * up + thicken[:, None] * out)


def widths(boards: Sequence[Part], lean: Floats) -> Floats:
    """Width of each board up its back.

    Parameters
    ----------
    boards : sequence of Part
    lean : (n,) float
        [rad]

    Returns
    -------
    (n,) float
        [mm]
    """
    result = []
    for board, own in zip(boards, lean, strict=True):
        up, out = board_axes(float(own))
        height, depth = board.vertices @ up, board.vertices @ out
        back = height[depth < depth.min() + SAME]
        result.append(float(back.max() - back.min()))
    return np.array(result)
