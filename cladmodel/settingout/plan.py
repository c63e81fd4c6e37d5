"""From a scene's wall or plan to sides: where each wall stands, its outline and its corners."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from cladmodel.model import CornerKind
from cladmodel.scene.job import BuildingTable, Lengths, OpeningTable, Scene, SideFields, WallTable
from cladmodel.settingout.outline import Outline, Point


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Side:
    """One wall of the job.

    Attributes
    ----------
    name, letter : str
    frame : (4, 4) float
        Wall axes to building axes, y up. [mm]
    outline : Outline
        Of the frame, plumb at both ends. [mm]
    left, right : CornerKind
    run_at_foot, lean : float
        How far the right-hand post stands outside the frame's plumb end at height 0, and its
        run per rise. [mm, -]
    clearance : float
        From the ground up to the foot. [mm]
    openings : tuple of OpeningTable
        From left to right.
    length : Lengths
        As measured. [mm]
    out_of_plane : tuple of (x, behind)
        [mm]
    joint_price : float or None
        What one joint is worth avoiding, in the coin of the stock's prices.
    nook_rise : float
        How far over its foot a post in the nook at the right must clear both walls' vent strips. [mm]
    """

    name: str
    letter: str
    frame: NDArray[np.float64]
    outline: Outline
    left: CornerKind
    right: CornerKind
    run_at_foot: float
    lean: float
    clearance: float
    openings: tuple[OpeningTable, ...]
    length: Lengths
    out_of_plane: tuple[Point, ...]
    joint_price: float | None
    nook_rise: float = 0.0


def sides_of(scene: Scene) -> tuple[Side, ...]:
    """All walls of a scene, anticlockwise from its first corner.

    Parameters
    ----------
    scene : Scene
        Checked by `cladmodel.settingout.feasible`.

    Returns
    -------
    tuple of Side
    """
    if scene.building is not None:
        return _building(scene, scene.building)
    assert scene.wall is not None
    return (_alone(scene, scene.wall),)


def _alone(scene: Scene, wall: WallTable) -> Side:
    least = min(wall.length.foot, wall.length.head)
    return _side(
        scene,
        name=wall.name,
        letter="A",
        frame=np.eye(4),
        length=least,
        heights=(wall.height, wall.height),
        fields=wall,
        measured=wall.length,
        corners=(CornerKind.END, CornerKind.END),
        clearance=wall.ground_clearance,
        openings=scene.opening,
    )


def plan_corners(building: BuildingTable) -> tuple[Point, ...]:
    """Corners of the frame's outer face as (east, north), anticlockwise. [mm]

    Parameters
    ----------
    building : BuildingTable
    """
    if building.corners is not None:
        return building.corners
    assert building.rectangle is not None
    long, wide = building.rectangle
    return ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide))


def wall_names(building: BuildingTable) -> tuple[str, ...]:
    """Name of each wall, in the plan's order.

    Parameters
    ----------
    building : BuildingTable
    """
    count = len(plan_corners(building))
    given = building.names[:count]
    return (*given, *(f"wall {letter(n)}" for n in range(len(given), count)))


def letter(index: int) -> str:
    """A, B, ... Z, AA, ...: what a wall's pieces are marked with; in small letters, the boards of a course.

    Parameters
    ----------
    index : int
        From 0.
    """
    text = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def corner_heights(building: BuildingTable) -> tuple[float, ...]:
    """Height of the soffit at each corner. [mm]

    Parameters
    ----------
    building : BuildingTable
    """
    if building.heights is not None:
        return building.heights
    assert building.height is not None
    return (building.height,) * len(plan_corners(building))


def turns(corners: tuple[Point, ...]) -> tuple[float, ...]:
    """Turn at each corner, to the left, when walking anticlockwise round the plan. [rad]

    Parameters
    ----------
    corners : tuple of (east, north)
        [mm]
    """
    points = np.array(corners)
    ahead = np.roll(points, -1, axis=0) - points
    behind = points - np.roll(points, 1, axis=0)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    dot = (behind * ahead).sum(axis=1)
    return tuple(float(v) for v in np.arctan2(cross, dot))


def _building(scene: Scene, building: BuildingTable) -> tuple[Side, ...]:
    corners = plan_corners(building)
    names, heights = wall_names(building), corner_heights(building)
    kinds = [CornerKind.OUTSIDE if turn > 0 else CornerKind.INSIDE for turn in turns(corners)]
    details = {side.name: side for side in building.wall}
    sides = []
    for n, name in enumerate(names):
        following = (n + 1) % len(corners)
        start, end = np.array(corners[n]), np.array(corners[following])
        length = float(np.hypot(*(end - start)))
        fields = details.get(name)
        measured = fields.length if fields is not None else None
        sides.append(
            _side(
                scene,
                name=name,
                letter=letter(n),
                frame=_frame(start, (end - start) / length, scene.battens.thickness),
                length=length,
                heights=(heights[n], heights[following]),
                fields=fields or SideFields(),
                measured=measured or Lengths(foot=length, middle=length, head=length),
                corners=(kinds[n], kinds[following]),
                clearance=building.ground_clearance,
                openings=tuple(o for o in scene.opening if o.wall == name),
            )
        )
    return tuple(
        replace(side, nook_rise=_nook_rise(scene, side, sides[(n + 1) % len(sides)]))
        if side.right is CornerKind.INSIDE
        else side
        for n, side in enumerate(sides)
    )


def _nook_rise(scene: Scene, side: Side, following: Side) -> float:
    here, there, size = side.outline, following.outline, scene.posts.inside_size
    strip = scene.vent_strip.thickness
    highest = max(
        here.foot_over(here.length - size, here.length) + here.rise(strip),
        there.foot_over(0.0, size) + there.rise(strip),
    )
    return highest - here.foot[-1][1]


def _frame(start: NDArray[np.float64], way: NDArray[np.float64], cavity: float) -> NDArray[np.float64]:
    """Wall axes to building axes: east is x, up is y, south is z; the wall's z = 0 is its batten face."""
    x = np.array([way[0], 0.0, -way[1]])
    up = np.array([0.0, 1.0, 0.0])
    out = np.cross(x, up)
    frame = np.eye(4)
    frame[:3, :3] = np.column_stack([x, up, out])
    frame[:3, 3] = np.array([start[0], 0.0, -start[1]]) + cavity * out
    # Right angles come out of sines and cosines a hair off; a wall square to the axes is exactly so.
    return np.where(np.abs(frame - np.round(frame)) < 1e-12, np.round(frame), frame)


def _side(
    scene: Scene,
    *,
    name: str,
    letter: str,
    frame: NDArray[np.float64],
    length: float,
    heights: tuple[float, float],
    fields: SideFields,
    measured: Lengths,
    corners: tuple[CornerKind, CornerKind],
    clearance: float,
    openings: tuple[OpeningTable, ...],
) -> Side:
    top = [(0.0, heights[0]), (length, heights[1])]
    ridge = ridge_of(fields, length, heights)
    if ridge is not None:
        top.insert(1, ridge)
    foot = fields.foot or ((0.0, 0.0), (length, 0.0))
    outline = Outline(foot=tuple(foot), top=tuple(top))
    low, high = outline.foot[-1][1], heights[1]
    lean = (measured.head - measured.foot) / (high - low)
    return Side(
        name=name,
        letter=letter,
        frame=frame,
        outline=outline,
        left=corners[0],
        right=corners[1],
        run_at_foot=measured.foot - length - lean * low,
        lean=lean,
        clearance=clearance,
        openings=tuple(sorted(openings, key=lambda o: (o.left, o.sill))),
        length=measured,
        out_of_plane=fields.out_of_plane,
        joint_price=fields.joint_price,
    )


def ridge_of(fields: SideFields, length: float, heights: tuple[float, float]) -> Point | None:
    """Ridge of a gable as (along, up), or None for a plain top. [mm]

    Parameters
    ----------
    fields : SideFields
    length : float
        [mm]
    heights : (2,) float
        Of the soffit at both corners. [mm]
    """
    if fields.ridge_height is None and fields.pitch_deg is None:
        return None
    at = length / 2 if fields.ridge_at is None else fields.ridge_at
    if fields.ridge_height is not None:
        return at, fields.ridge_height
    assert fields.pitch_deg is not None
    return at, heights[0] + at * math.tan(math.radians(fields.pitch_deg))


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Left and right ends of each layer. [mm]

    At an outside corner the layers of two walls interleave: the wall on the left of the corner runs
    through to the next layer of the other, which stops against it::

            membrane of this wall ----------+
            sheathing of this wall -------+ |
            studs of this wall ---------+ | |
                                        | | |  <- membrane, sheathing of the next wall

    Attributes
    ----------
    membrane, sheathing, studs : (2,) float
    """

    membrane: tuple[float, float]
    sheathing: tuple[float, float]
    studs: tuple[float, float]


def reach(scene: Scene, side: Side) -> Reach:
    """How far along the wall each layer of one side goes.

    Parameters
    ----------
    scene : Scene
    side : Side
    """
    skin, board, deep = scene.membrane.thickness, scene.sheathing.thickness, scene.studs.depth
    length = side.outline.length
    left = (skin, skin + board, skin + board + deep) if side.left is CornerKind.OUTSIDE else (0.0, 0.0, 0.0)
    right = (0.0, skin, skin + board) if side.right is CornerKind.OUTSIDE else (0.0, 0.0, 0.0)
    spans = [(a, length - b) for a, b in zip(left, right, strict=True)]
    return Reach(membrane=spans[0], sheathing=spans[1], studs=spans[2])
