"""One rod round all walls: every course with its height and walls, and how level it is at each corner."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cladmodel.model import Kind, Model, Part, Wall
from cladmodel.schedules.corners import corners
from cladmodel.schedules.rod import CUT_AWAY, spread

AT_END = 1.0
"""Corners of a board this near its end belong to that end. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseLine:
    """One course round the building.

    Attributes
    ----------
    course : int
    height : float
        Lowest butt arris of its boards, above the rod's 0. [mm]
    gauge : float or None
        Up to the next course; None for the highest. [mm]
    walls : tuple of str
        Walls that have boards in it, in model order.
    spread : float
        Highest of its walls' butt lines less the lowest. [mm]
    """

    course: int
    height: float
    gauge: float | None
    walls: tuple[str, ...]
    spread: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerLevel:
    """How well the courses of two walls meet at their corner.

    Attributes
    ----------
    corner : str
    walls : tuple of str
        From left to right, seen from outside.
    compared : int
        Courses whose boards reach the corner on both walls with their butts whole.
    difference : float or None
        Most between the two boards' bottom back arrises; None if none could be compared. [mm]
    course : int or None
        Where that is.
    """

    corner: str
    walls: tuple[str, ...]
    compared: int
    difference: float | None
    course: int | None


def building_rod(model: Model) -> tuple[CourseLine, ...]:
    """Read every course's height off the boards of all walls, in building axes, from the lowest up.

    Parameters
    ----------
    model : Model
    """
    butts: dict[int, dict[str, float]] = {}
    for part in model.of_kind(Kind.BOARD):
        level = _height(model, part.wall, float(part.vertices[:, 1].min()))
        own = butts.setdefault(part.course or 0, {})
        own[part.wall] = min(level, own.get(part.wall, level))
    courses = sorted(butts)
    lines = [min(butts[course].values()) for course in courses]
    return tuple(
        CourseLine(
            course=course,
            height=line,
            gauge=lines[n + 1] - line if n + 1 < len(lines) else None,
            walls=tuple(wall.name for wall in model.walls if wall.name in butts[course]),
            spread=spread(butts[course].values(), line),
        )
        for n, (course, line) in enumerate(zip(courses, lines, strict=True))
    )


def _height(model: Model, wall: str, y: float) -> float:
    """A height of a wall's own as a height of the building: frames stand upright. [mm]"""
    return y + float(model.wall_by_name[wall].frame[1, 3])


def corner_levels(model: Model) -> tuple[CornerLevel, ...]:
    """Compare the boards' bottom back arrises on both sides of every corner between two walls.

    Parameters
    ----------
    model : Model
    """
    found = []
    for corner in corners(model):
        if corner.left is None or corner.right is None:
            continue
        left, right = _ends(model, corner.left, right=True), _ends(model, corner.right, right=False)
        differences = {course: abs(left[course] - right[course]) for course in sorted(left.keys() & right)}
        worst = max(differences, key=lambda course: differences[course], default=None)
        found.append(
            CornerLevel(
                corner=corner.name,
                walls=(corner.left.name, corner.right.name),
                compared=len(differences),
                difference=None if worst is None else differences[worst],
                course=worst,
            )
        )
    return tuple(found)


def _ends(model: Model, wall: Wall, *, right: bool) -> dict[int, float]:
    """Height of each course's bottom back arris where it reaches one end of a wall, by course. [mm]"""
    boards: dict[int, Part] = {}
    for part in model.of_kind(Kind.BOARD, wall=wall.name):
        held = boards.get(part.course or 0)
        if held is None or _nearer(part, held, right=right):
            boards[part.course or 0] = part
    reach = [_end(part, right=right) for part in boards.values()]
    if not reach:
        return {}
    corner = max(reach) if right else min(reach)
    levels = {}
    for course, part in boards.items():
        end, lowest = _end(part, right=right), float(part.vertices[:, 1].min())
        if abs(end - corner) > CUT_AWAY:
            continue  # stops short of the corner: at an opening, a step or a rake
        level = float(part.vertices[np.abs(part.vertices[:, 0] - end) < AT_END][:, 1].min())
        if level - lowest < CUT_AWAY:
            levels[course] = _height(model, wall.name, level)
    return levels


def _end(part: Part, *, right: bool) -> float:
    return float(part.vertices[:, 0].max() if right else part.vertices[:, 0].min())


def _nearer(part: Part, held: Part, *, right: bool) -> bool:
    a, b = _end(part, right=right), _end(held, right=right)
    return a > b if right else a < b
