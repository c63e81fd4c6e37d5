"""The cavity as rays see it: a grid of depths in front of the membrane, bay by bay.

membrane | batten |  bay: columns of rays  | batten |
         |        |  ->  ->  ->  ->  ->    |        |    rows at every height where something changes
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from cladmodel.checks.rules import TOUCH
from cladmodel.model import Kind, Layer, Model, Part
from cladmodel.solids.measure import Bools, Floats, Ints, gather
from cladmodel.solids.rays import caster

COLUMNS = 5
"""Least rays across one bay. [-]"""

ROW = 100.0
"""Most height between two rows of rays. [mm]"""

LEAST_BAY = 20.0
"""A slit between two battens narrower than this is no bay. Common practice, no source. [mm]"""

FULL = 1.0
"""A batten that stands this near to the membrane and to the boards' backs fills the cavity's depth. [mm]"""

BEHIND = (Layer.FRAME, Layer.SHEATHING, Layer.MEMBRANE)
"""What lies behind the cavity."""

INSIDE = 0.01
"""Rows and columns stand this far inside an edge, so that no ray runs along it. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bay:
    """One bay's grid of rays.

    Attributes
    ----------
    x : (c,) float
        [mm]
    y : (r,) float
        Rising. [mm]
    face : float
        z of the membrane's outer face where it lies flat. [mm]
    faces : (r, c) float
        z of its outer face at each ray: further out where it bulges. [mm]
    depth : (r, c) float
        Clear depth in front of the membrane; infinite where nothing is met. [mm]
    hit : (r, c) int
        Index in `parts` of what is met; -1 for nothing.
    backed : (r, c) bool
        Whether there is membrane behind: nowhere in an opening.
    parts : tuple of Part
    """

    x: Floats
    y: Floats
    face: float
    faces: Floats
    depth: Floats
    hit: Ints
    backed: Bools
    parts: tuple[Part, ...]


def bays(model: Model, wall: str) -> list[Bay]:
    """Cast rays from the membrane out through every bay of a wall.

    Parameters
    ----------
    model : Model
    wall : str

    Returns
    -------
    list of Bay
        From left to right; empty for a wall without membrane or battens.
    """
    membrane = model.of_kind(Kind.MEMBRANE, wall=wall)
    if not membrane:
        return []
    flat = min(membrane, key=lambda p: float(p.vertices[:, 2].max()))
    face = float(flat.vertices[:, 2].max())
    thin = face - float(flat.vertices[:, 2].min())
    strips = _strips([p for p in model.of_kind(Kind.BATTEN, wall=wall) if bounds_bays(p, face)])
    if not strips:
        return []
    parts = tuple(p for p in model.parts if p.wall == wall and p.layer not in BEHIND)
    bulging = [p for p in membrane if p.vertices[:, 2].max() > face + TOUCH]
    standing = _standing(parts, face) + bulging
    rows = _rows((*parts, *bulging), standing, membrane)
    columns = [_columns(low, high, standing) for low, high in strips]
    x, y = np.meshgrid(np.concatenate(columns), rows)
    out = np.tile((0.0, 0.0, 1.0), (x.size, 1))
    # From before all boards back to the membrane: where it bulges, less depth is left in front of it.
    soup = gather(parts)
    before = float(soup.vertices[:, 2].max()) + thin
    skin = caster(gather(membrane))
    back, distance = skin.first(np.stack([x.ravel(), y.ravel(), np.full(x.size, before)], axis=1), -out)
    faces = np.where(back >= 0, before - distance, face).reshape(x.shape)
    # Rays start inside the membrane, so as to meet even what lies flat on its face.
    start = np.stack([x.ravel(), y.ravel(), faces.ravel() - thin / 2], axis=1)
    met, distance = caster(soup).first(start, out)
    depth = (distance - thin / 2).reshape(x.shape)
    hit = np.where(met >= 0, soup.face_part[met], -1).reshape(x.shape)
    backed = (back >= 0).reshape(x.shape)
    return [
        Bay(
            x=x[0, first:last],
            y=rows,
            face=face,
            faces=faces[:, first:last],
            depth=depth[:, first:last],
            hit=hit[:, first:last],
            backed=backed[:, first:last],
            parts=parts,
        )
        for first, last in pairwise(np.cumsum([0, *(len(c) for c in columns)]))
    ]


def bounds_bays(batten: Part, face: float) -> bool:
    """Whether a batten stands upright and fills the cavity's depth, as those at a bay's sides do.

    Parameters
    ----------
    batten : Part
    face : float
        z of the membrane's outer face. [mm]
    """
    low, high = batten.vertices.min(axis=0), batten.vertices.max(axis=0)
    return bool(high[1] - low[1] > high[0] - low[0] and low[2] < face + FULL and high[2] > -FULL)


def _standing(parts: Sequence[Part], face: float) -> list[Part]:
    """Pieces other than boards that reach into the cavity."""
    return [
        p
        for p in parts
        if p.kind is not Kind.BOARD and p.vertices[:, 2].min() < 0.0 and p.vertices[:, 2].max() > face
    ]


def _columns(low: float, high: float, standing: Sequence[Part]) -> Floats:
    """Where to look across one bay: evenly, and through the middle of every piece that stands in it."""
    middles = [float(p.vertices[:, 0].min() + p.vertices[:, 0].max()) / 2 for p in standing]
    inside = [x for x in middles if low + INSIDE < x < high - INSIDE]
    return np.unique(np.concatenate([np.linspace(low + INSIDE, high - INSIDE, COLUMNS), inside]))


def _strips(battens: Sequence[Part]) -> list[tuple[float, float]]:
    """Left and right of every bay between upright battens."""
    boxes = [(p.vertices.min(axis=0), p.vertices.max(axis=0)) for p in battens]
    # A batten laid level does not bound a bay: it may close one.
    spans = sorted((float(a[0]), float(b[0])) for a, b in boxes if b[1] - a[1] > b[0] - a[0])
    found: list[tuple[float, float]] = []
    reach = spans[0][1] if spans else 0.0
    for low, high in spans[1:]:
        if low - reach > LEAST_BAY:
            found.append((reach, low))
        reach = max(reach, high)
    return found


def _rows(parts: Sequence[Part], standing: Sequence[Part], membrane: Sequence[Part]) -> Floats:
    """Heights at which to look: an even grid, every board's top edge, and within every other piece."""
    low = min(float(p.vertices[:, 1].min()) for p in membrane)
    high = max(float(p.vertices[:, 1].max()) for p in membrane)
    reaching = {id(part) for part in standing}
    rows = list(np.linspace(low + INSIDE, high - INSIDE, max(2, int((high - low) // ROW) + 1)))
    for part in parts:
        bottom, top = float(part.vertices[:, 1].min()), float(part.vertices[:, 1].max())
        if part.kind is Kind.BOARD:
            back = part.vertices[part.vertices[:, 2] < part.vertices[:, 2].min() + INSIDE]
            rows.append(float(back[:, 1].max()) - INSIDE)
        elif id(part) in reaching:
            rows += [bottom + INSIDE, (bottom + top) / 2, top - INSIDE]
    lowest = min((float(p.vertices[:, 1].min()) for p in parts if p.kind is Kind.BATTEN), default=low)
    inside = np.array([y for y in rows if max(low, min(lowest, 0.0)) <= y <= high])
    return np.unique(np.round(inside, 3))
