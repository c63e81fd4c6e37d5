"""The level cut through a corner: both walls in the axes of the one in which the post stands."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Polygon

from cladmodel.model import CornerKind, Kind, Model, Part, Wall
from cladmodel.schedules.corners import Corner, in_axes
from cladmodel.schedules.profile import Cut
from cladmodel.solids.sections import section_polygons

_REACH = 210.0
"""How much of each wall is shown beyond the post. [mm]"""
_STUD = 60.0
"""How much of the frame is shown behind its outer face. [mm]"""
_CUT_AT = 1 / 3
"""Share of the post's height near which the corner is cut, if no opening is near. [-]"""
_BEYOND = 16.0
"""Shown past the post's outer faces. [mm]"""
_IN_THE_WAY = (Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.SILL, Kind.FLASHING, Kind.FILLET)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CornerCut:
    """A corner's level cut in the axes of its post's wall.

    Attributes
    ----------
    corner : Corner
    y : float
        [mm]
    cuts : tuple of (Part, Polygon)
        In (x, z). [mm]
    low, high : (x, z)
        The window. [mm]
    away : int
        1 where the post stands at the wall's right end, -1 at its left.
    """

    corner: Corner
    y: float
    cuts: tuple[Cut, ...]
    low: tuple[float, float]
    high: tuple[float, float]
    away: int

    @property
    def post(self) -> Polygon:
        """The post's section. [mm]"""
        return next(polygon for part, polygon in self.cuts if part.mark == self.corner.post.mark)

    @property
    def home(self) -> Wall:
        """The wall in whose axes everything is."""
        return self.corner.home

    @property
    def other(self) -> Wall | None:
        """The wall that meets it here."""
        return next((wall for wall in self.corner.walls if wall is not self.home), None)

    def boards(self, wall: Wall) -> list[Cut]:
        """A wall's boards that the window shows."""
        shown = shapely.box(*self.low, *self.high)
        return [
            (part, polygon)
            for part, polygon in self.cuts
            if part.kind is Kind.BOARD and part.wall == wall.name and polygon.intersects(shown)
        ]

    def of_wall(self, kind: Kind, wall: Wall) -> list[Cut]:
        """A wall's pieces of one kind."""
        return [(part, p) for part, p in self.cuts if part.kind is kind and part.wall == wall.name]


def cut_corner(model: Model, corner: Corner) -> CornerCut:
    """Cut both walls level where the window shows one board of each wall and no trim."""
    home = corner.home
    placed = [
        in_axes(model, part, home)
        for part in model.parts
        if part.wall in {wall.name for wall in corner.walls}
    ]
    away = 1 if corner.left is home else -1
    low, high = _window(corner, away)
    shown = [part for part in placed if _near(part, low, high)]
    levels = _levels(shown)
    foot, head = float(corner.post.vertices[:, 1].min()), float(corner.post.vertices[:, 1].max())
    wanted = foot + _CUT_AT * (head - foot)
    best: tuple[tuple[int, float], CornerCut] | None = None
    for y in levels:
        cuts = tuple(section_polygons(shown, y=y))
        made = CornerCut(corner=corner, y=y, cuts=cuts, low=low, high=high, away=away)
        faults = sum(part.kind in _IN_THE_WAY for part, _ in cuts)
        faults += sum(abs(len(made.boards(wall)) - 1) for wall in corner.walls)
        off = abs(y - wanted)
        if best is None or (faults, off) < best[0]:
            best = (faults, off), made
    if best is None:
        cuts = tuple(section_polygons(shown, y=wanted))
        return CornerCut(corner=corner, y=wanted, cuts=cuts, low=low, high=high, away=away)
    return best[1]


def _window(corner: Corner, away: int) -> tuple[tuple[float, float], tuple[float, float]]:
    (x0, _, z0), (x1, _, z1) = corner.post.vertices.min(axis=0), corner.post.vertices.max(axis=0)
    behind = corner.home.depth_to_frame + _STUD
    far, near = (x0, x1) if away > 0 else (x1, x0)
    inside = corner.kind is CornerKind.INSIDE
    # Along the wall, then past the post: into the next wall's frame at an inside corner.
    along = far - away * _REACH
    past = near + away * (behind if inside else _BEYOND)
    back = -behind
    front = z1 + _BEYOND
    if inside:
        front = z1 + _REACH * 0.7
    elif corner.kind is CornerKind.OUTSIDE:
        back = z0 - _REACH
    return (float(min(along, past)), float(back)), (float(max(along, past)), float(front))


def _near(part: Part, low: tuple[float, float], high: tuple[float, float]) -> bool:
    least, most = part.vertices.min(axis=0), part.vertices.max(axis=0)
    return bool(least[0] < high[0] and most[0] > low[0] and least[2] < high[1] and most[2] > low[1])


def _levels(parts: Iterable[Part]) -> list[float]:
    """Heights at which boards near the corner do not lap: over the highest top under the next butt."""
    boards = [part for part in parts if part.kind is Kind.BOARD]
    butts = sorted({round(float(part.vertices[:, 1].min()), 3) for part in boards})
    tops = sorted({round(float(part.vertices[:, 1].max()), 3) for part in boards})
    found = []
    for n, butt in enumerate(butts[:-1]):
        under = max((top for top in tops if top < butts[n + 1]), default=butt)
        found.append((max(under, butt) + butts[n + 1]) / 2)
    return found


def below(part: Part, polygon: Polygon, y: float) -> Polygon:
    """What is seen of a board from above the cut: its section and all that is lower, in (x, z). [mm]"""
    lower = part.vertices[part.vertices[:, 1] <= y][:, [0, 2]]
    return MultiPoint(np.concatenate([lower, np.array(polygon.exterior.coords)])).convex_hull
