"""Pieces of a whole building as one of its walls sees them."""

from __future__ import annotations

import numpy as np

from cladmodel.model import Kind, Model, Part
from cladmodel.solids.measure import Floats


def around(model: Model, wall: str, *kinds: Kind) -> list[Part]:
    """Bring the pieces of all walls into one wall's axes: a corner's post may belong to the other wall.

    Parameters
    ----------
    model : Model
    wall : str
    *kinds : Kind
        Only these; all when none is given.

    Returns
    -------
    list of Part
        The wall's own pieces untouched, the others with their vertices turned.
    """
    parts = [p for p in model.parts if not kinds or p.kind in kinds]
    turn = {w.name: _between(model, w.name, wall) for w in model.walls if w.name != wall}
    return [
        p if p.wall == wall else p.with_vertices(p.vertices @ turn[p.wall][:3, :3].T + turn[p.wall][:3, 3])
        for p in parts
    ]


def _between(model: Model, other: str, wall: str) -> Floats:
    """Rigid frame from another wall's axes to this one's: (4, 4) float. [mm]"""
    frames = model.wall_by_name
    return np.linalg.inv(frames[wall].frame) @ frames[other].frame
