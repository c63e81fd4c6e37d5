"""Cut a wall's layers back, each further than the one it lies on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from cladmodel.model import Fixings, Kind, Model, Part, Wall

# Where each layer stops, as a share of the wall's length from its left end; chosen so that every layer
# shows a bay or more.
STOPS = {
    Kind.SHEATHING: 0.87,
    Kind.MEMBRANE: 0.755,
    Kind.BATTEN: 0.655,
    Kind.PACKER: 0.655,
    Kind.VENT_STRIP: 0.60,
    Kind.STARTER: 0.55,
}
FOOT, HEAD = 0.50, 0.25  # where the lowest and the highest course stop
FILLET = 0.20
AT_FOOT = 50.0  # a vent strip or starter that begins higher is one over an opening [mm]
TRIMMED = 80.0  # an opening's trims reach about this far beyond it [mm]
OPENING_PARTS = (Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.FLASHING, Kind.SILL)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Peeled:
    """A wall cut back.

    Attributes
    ----------
    parts : tuple of Part
        What is left, cut pieces closed at the cut.
    fixings : tuple of Fixings
        Those in what is left.
    """

    parts: tuple[Part, ...]
    fixings: tuple[Fixings, ...]


def peel(model: Model, wall: Wall) -> Peeled:
    """Cut one wall back layer by layer from its right end.

    Parameters
    ----------
    model : Model
    wall : Wall
    """
    stop = _board_stop(wall)
    shown = []
    for part in model.parts:
        if part.wall != wall.name:
            continue
        limit = _limit(part, wall, stop)
        low, high = part.vertices[:, 0].min(), part.vertices[:, 0].max()
        if low >= limit - 1.0:
            continue
        shown.append(part if high <= limit else cut_right_of(part, limit))
    fixings = tuple(_kept(group, stop) for group in model.fixings if group.wall == wall.name)
    return Peeled(parts=tuple(shown), fixings=fixings)


def _board_stop(wall: Wall) -> Callable[[float], float]:
    """Where boards stop at a height: a raking line from foot to head. [mm]"""
    low, high = float(wall.rod[0]), float(wall.rod[-1])

    def stop(y: float) -> float:
        share = (y - low) / (high - low)
        return wall.length * (FOOT + (HEAD - FOOT) * float(np.clip(share, 0, 1)))

    return stop


def _limit(part: Part, wall: Wall, stop: Callable[[float], float]) -> float:
    """Where one part is cut; minus infinity to leave it out. [mm]"""
    left_end = part.vertices[:, 0].min() < wall.length / 2
    if part.kind is Kind.POST or part.assembly is not None:
        return np.inf if left_end else -np.inf
    if part.kind is Kind.BOARD:
        # One stop a course: its butt, wherever in the course this piece is.
        return stop(float(part.vertices[:, 1].min()) if part.course is None else _butt(wall, part.course))
    if part.kind is Kind.FILLET:
        return FILLET * wall.length
    if part.kind in OPENING_PARTS or _above_foot(part):
        return np.inf if _opening_end(part, wall) < STOPS[Kind.BATTEN] * wall.length else -np.inf
    return STOPS[part.kind] * wall.length if part.kind in STOPS else np.inf


def _butt(wall: Wall, course: int) -> float:
    return float(wall.rod[min(course - 1, len(wall.rod) - 1)])


def _opening_end(part: Part, wall: Wall) -> float:
    """Right edge of the opening that a part belongs to, with its trim. [mm]"""
    low, high = float(part.vertices[:, 0].min()), float(part.vertices[:, 0].max())
    near = min(
        wall.openings,
        key=lambda o: max(0.0, o.left - high, low - o.right),
        default=None,
    )
    return high if near is None else max(high, near.right + TRIMMED)


def _above_foot(part: Part) -> bool:
    """Whether this is the vent strip or starter over an opening."""
    return part.kind in (Kind.VENT_STRIP, Kind.STARTER) and float(part.vertices[:, 1].min()) > AT_FOOT


def _kept(group: Fixings, stop: Callable[[float], float]) -> Fixings:
    """Leave out the fixings of what has been cut away."""
    edge = np.array([stop(float(y)) for y in group.heads[:, 1]])
    # A nail stands up to one board above its course's butt, where the raking line is further left.
    keep = group.heads[:, 0] < edge - 10.0
    return replace(group, heads=group.heads[keep], directions=group.directions[keep])


def cut_right_of(part: Part, x: float) -> Part:
    """Keep what lies left of a plumb cut.

    Parameters
    ----------
    part : Part
    x : float
        [mm, wall axes]

    Returns
    -------
    Part
        Closed, with a flat face at x.
    """
    return cut_by(part, (-1.0, 0.0, 0.0), -x)


def cut_by(part: Part, normal: tuple[float, float, float], offset: float) -> Part:
    """Keep what lies on the side of a plane that its normal points to.

    Parameters
    ----------
    part : Part
    normal : (3,) float
        A unit vector in the wall's axes.
    offset : float
        Where the plane is along it. [mm]

    Returns
    -------
    Part
        Closed, with a flat face in the plane; without faces if nothing is left.
    """
    from manifold3d import Manifold, Mesh64

    mesh = Mesh64(part.vertices.astype(np.float64), part.faces.astype(np.uint64))
    kept = Manifold(mesh).trim_by_plane(normal, offset).to_mesh64()
    return replace(
        part,
        vertices=np.asarray(kept.vert_properties[:, :3], np.float64).reshape(-1, 3),
        faces=np.asarray(kept.tri_verts, np.int64).reshape(-1, 3),
    )


def kept_within(part: Part, low: tuple[float, float], high: tuple[float, float]) -> Part | None:
    """Keep what lies within limits in x and y; None if that is nothing.

    Parameters
    ----------
    part : Part
    low, high : (2,) float
        Least and most x and y. [mm, wall axes]
    """
    for axis in (0, 1):
        for sign, limit in ((1.0, low[axis]), (-1.0, high[axis])):
            reach = sign * part.vertices[:, axis]
            if not len(reach) or reach.max() <= sign * limit + 1e-6:
                return None
            if reach.min() < sign * limit:
                normal = (sign, 0.0, 0.0) if axis == 0 else (0.0, sign, 0.0)
                part = cut_by(part, normal, sign * limit)
    return part if len(part.faces) else None
