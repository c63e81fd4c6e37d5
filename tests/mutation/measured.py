"""Measures of boards for the mutations, worked out apart from the checks: from corners and plane cuts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from cladmodel.model import Kind, Model, Part
from cladmodel.solids.sections import section_polygons

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Board:
    """A board in its own axes: up its back and out through it."""

    part: Part

    @cached_property
    def lean(self) -> float:
        """Of the back, from its largest triangle that looks into the wall. [rad]"""
        corner = self.part.vertices[self.part.faces]
        cross = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
        back = cross[int(np.argmin(cross[:, 2]))]
        return math.atan2(-back[1], -back[2])

    @property
    def up(self) -> Floats:
        return np.array([0.0, math.cos(self.lean), -math.sin(self.lean)])

    @property
    def out(self) -> Floats:
        return np.array([0.0, math.sin(self.lean), math.cos(self.lean)])

    @cached_property
    def box(self) -> tuple[Floats, Floats]:
        return self.part.vertices.min(axis=0), self.part.vertices.max(axis=0)

    @property
    def left(self) -> float:
        return float(self.box[0][0])

    @property
    def right(self) -> float:
        return float(self.box[1][0])

    @cached_property
    def back(self) -> float:
        """Where its back lies, along `out`."""
        return float((self.part.vertices @ self.out).min())

    @cached_property
    def heights(self) -> tuple[float, float]:
        """Lowest and highest of the back, along `up`."""
        own = self.part.vertices
        on = own[(own @ self.out) < self.back + 1e-3] @ self.up
        return float(on.min()), float(on.max())

    def at(self, x: float) -> tuple[Floats, Floats] | None:
        """Bottom and top of its back in a plumb cut, as (y, z); None where it is not."""
        cut = [p for _, p in section_polygons([self.part], x=x)]
        if len(cut) != 1:
            return None
        points = np.asarray(cut[0].exterior.coords)[:, ::-1]  # (y, z)
        off = np.abs(points @ self.out[1:] - self.back) < 1e-3
        if off.sum() < 2:
            return None
        on = points[off]
        return on[on[:, 0].argmin()], on[on[:, 0].argmax()]

    @cached_property
    def front(self) -> Floats:
        """Unit normal of its front face, (x, y, z)."""
        corner = self.part.vertices[self.part.faces]
        cross = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
        own = cross[int(np.argmax(cross[:, 2]))]
        return np.asarray(own / np.linalg.norm(own))


def boards(model: Model) -> list[Board]:
    return [Board(p) for p in model.of_kind(Kind.BOARD)]


def beneath(model: Model, upper: Board) -> list[Board]:
    """Boards of the course below that reach along under a board."""
    course = (upper.part.course or 0) - 1
    return [
        b
        for p in model.of_kind(Kind.BOARD, wall=upper.part.wall)
        if p.course == course
        for b in (Board(p),)
        if min(b.right, upper.right) - max(b.left, upper.left) > 1.0
    ]


def above(model: Model, lower: Board) -> list[Board]:
    course = (lower.part.course or 0) + 1
    return [
        b
        for p in model.of_kind(Kind.BOARD, wall=lower.part.wall)
        if p.course == course
        for b in (Board(p),)
        if min(b.right, lower.right) - max(b.left, lower.left) > 1.0
    ]


def lapped(upper: Board, lower: Board, places: int = 25) -> tuple[float, list[float]]:
    """Lap of two boards where both have their own edges, and where along the wall that is."""
    low, high = max(upper.left, lower.left), min(upper.right, lower.right)
    found: list[tuple[float, float]] = []
    for x in np.linspace(low + 0.5, high - 0.5, places):
        one, two = upper.at(float(x)), lower.at(float(x))
        if one is None or two is None:
            continue
        foot, head = float(one[0] @ upper.up[1:]), float(two[1] @ lower.up[1:])
        if foot < upper.heights[0] + 0.5 and head > lower.heights[1] - 0.5:
            found.append((float((two[1] - one[0]) @ lower.up[1:]), float(x)))
    if not found:
        return math.nan, []
    return min(lap for lap, _ in found), [x for _, x in found]
