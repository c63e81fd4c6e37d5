"""From walls set out without joints to joints and saw cuts chosen together, and back.

The cutting core (`cladmodel.settingout.cutting`) reckons in whole millimetres. A run is handed over
with its ends rounded outwards and the joint gap rounded down, so that no piece is ever too short;
joint lines come back as the very columns they were made from.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import shapely

from cladmodel.scene.job import Scene
from cladmodel.settingout.cutting.inputs import Course, Job, Rules, Saw, Segment, Stock, Wall
from cladmodel.settingout.cutting.layout import set_out as choose
from cladmodel.settingout.cutting.plans import Layout
from cladmodel.settingout.joints import JointRun
from cladmodel.settingout.setout import Bare, SetOut
from cladmodel.settingout.wall import bare_walls, with_joints

# Prices are kept in hundredths, the smallest coin.
COINS = 100
# A length this much over a whole millimetre is float noise. [mm]
NOISE = 1e-6
# Corners this near a run's lowest or highest point lie on its lower or upper edge. [mm]
EDGE = 1.0


def cutting_job(scene: Scene, walls: Sequence[Bare]) -> Job:
    """State a scene's walls as the cutting core wants them.

    Parameters
    ----------
    scene : Scene
    walls : sequence of Bare

    Returns
    -------
    Job
    """
    board, rules = scene.board, scene.rules
    return Job(
        walls=tuple(
            Wall(
                name=wall.side.name,
                joint_price=_in_coins(wall.side.joint_price),
                courses=tuple(_courses(wall)),
            )
            for wall in walls
        ),
        rules=Rules(
            least_piece=math.ceil(rules.least_piece),
            stagger=math.ceil(rules.stagger),
            column_rest=rules.column_rest,
            same_column=min(math.ceil(scene.battens.width), math.ceil(rules.least_piece)),
            joint_gap=2 * math.floor(board.joint_gap / 2),
        ),
        stocks=tuple(_stocks(scene)),
        saw=Saw(kerf=math.ceil(board.kerf), trim=math.ceil(board.end_trim)),
    )


def _in_coins(price: float | None) -> int | None:
    return None if price is None else round(price * COINS)


def _stocks(scene: Scene) -> Iterator[Stock]:
    cutting = scene.cutting
    for n, length in enumerate(scene.board.stock):
        yield Stock(
            length=math.floor(length),
            price=round(cutting.prices[n] * COINS) if cutting.prices else COINS,
            limit=cutting.limits[n] if cutting.limits else None,
        )


def _courses(wall: Bare) -> Iterator[Course]:
    for n, (shapes, runs) in enumerate(zip(wall.runs, wall.joint_runs, strict=True)):
        segments = tuple(_segment(shape, run) for shape, run in zip(shapes, runs, strict=True))
        if segments:
            yield Course(number=wall.first + n, segments=segments)


def _segment(shape: shapely.Polygon, run: JointRun) -> Segment:
    left = math.floor(run.left + NOISE)
    right = left + math.ceil(run.right - run.left - NOISE)
    if run.columns:  # it will be joined: both end pieces must be long enough
        right = math.ceil(run.right - NOISE)
    points = shapely.get_coordinates(shape.exterior)
    low, high = points[:, 1].min(), points[:, 1].max()
    lower = points[points[:, 1] <= low + EDGE, 0]
    upper = points[points[:, 1] >= high - EDGE, 0]
    return Segment(
        left=left,
        right=right,
        columns=tuple(round(column) for column in run.columns),
        rake_left=round(max(lower.min(), upper.min()) - run.left),
        rake_right=round(run.right - min(lower.max(), upper.max())),
    )


def set_out_planned(scene: Scene) -> tuple[tuple[SetOut, ...], Layout]:
    """Set out every wall of a scene with joints and saw cuts chosen together, all walls in one order.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    walls : tuple of SetOut
        Anticlockwise from the first corner.
    layout : Layout

    Raises
    ------
    SettingOutError
        If the job's numbers make no wall, a run cannot be joined, or the stock's limits leave too few
        boards.
    """
    walls = bare_walls(scene)
    layout = choose(cutting_job(scene, walls))
    return tuple(with_joints(scene, wall, _lines(wall, layout.best.joints)) for wall in walls), layout


def _lines(
    wall: Bare, joints: Mapping[tuple[str, int, int], tuple[int, ...]]
) -> tuple[tuple[float, ...], ...]:
    """Joint lines of each course as the very columns that were offered."""
    courses = []
    for n, runs in enumerate(wall.joint_runs):
        lines: list[float] = []
        for place, run in enumerate(runs):
            exact = {round(column): column for column in run.columns}
            lines += [exact[x] for x in joints.get((wall.side.name, wall.first + n, place), ())]
        courses.append(tuple(lines))
    return tuple(courses)
