"""The joints of a wall: where its runs of boards may be joined on its battens."""

from __future__ import annotations

import shapely

from cladmodel.scene.job import Scene
from cladmodel.settingout.battens import Column, Role
from cladmodel.settingout.boards import LEAST_CUT, is_plain
from cladmodel.settingout.joints import JointRules, JointRun, choose_joints
from cladmodel.settingout.nailing import edge_distance
from cladmodel.settingout.rod import PENCIL
from cladmodel.settingout.setout import Bare
from cladmodel.settingout.strips import ASLANT, Strips, ring_of
from cladmodel.settingout.tilt import Hung

JOINABLE = (Role.STUD, Role.EXTRA)
"""Columns that boards may be joined on; the others stand beside something."""


def rules_of_joints(scene: Scene) -> JointRules:
    """What a scene's joints must keep to.

    Parameters
    ----------
    scene : Scene
    """
    return JointRules(
        longest=max(scene.board.stock) - 2 * scene.board.end_trim,
        least_piece=scene.rules.least_piece,
        stagger=scene.rules.stagger,
        column_rest=scene.rules.column_rest,
    )


def choose_quickly(scene: Scene, bare: Bare) -> tuple[tuple[float, ...], ...]:
    """Joint lines of every course of one wall, course by course, without a thought to the stock.

    Parameters
    ----------
    scene : Scene
    bare : Bare

    Returns
    -------
    tuple of tuple of float
        Of each course, rising. [mm]

    Raises
    ------
    SettingOutError
        If no choice keeps the rules.
    """
    names = [f"{bare.side.name}, course {bare.first + n}" for n in range(len(bare.hung))]
    return choose_joints(bare.joint_runs, rules_of_joints(scene), names)


def joint_runs(
    scene: Scene,
    hung: tuple[Hung, ...],
    runs: list[list[shapely.Polygon]],
    columns: tuple[Column, ...],
) -> list[list[JointRun]]:
    """Where each run that is longer than a board may be joined: on battens that reach over the whole board.

    Parameters
    ----------
    scene : Scene
    hung : tuple of Hung
    runs : list of list of shapely.Polygon
        Of each course, on its boards' back face. [mm]
    columns : tuple of Column

    Returns
    -------
    list of list of JointRun
        Of each course, from left to right.
    """
    rules = rules_of_joints(scene)
    width = scene.battens.width
    doubled = width if needs_doubling(scene) else width / 2
    # From a neighbour's centre: that one may be doubled, too, if joints may stand on it.
    room = [doubled + (doubled if c.role in JOINABLE else width / 2) for c in columns]
    centres = [c.centre for c in columns]
    free = [
        (c.centre, c)
        for n, c in enumerate(columns)
        if c.role in JOINABLE
        and all(abs(c.centre - centres[m]) >= room[m] for m in (n - 1, n + 1) if 0 <= m < len(centres))
    ]
    courses: list[list[JointRun]] = []
    for n, course in enumerate(hung):
        courses.append([])
        for run in runs[n]:
            left, _, right, _ = run.bounds
            possible: list[float] = []
            if right - left > rules.longest:
                strips = None if is_plain(run) else Strips.of(ring_of(run))
                top = course.back_top
                possible = [
                    centre
                    for centre, c in free
                    if left < centre < right
                    and c.covers(max(course.butt_line, c.spans[0][0]), top)
                    and (strips is None or _is_full(strips, centre, course.width))
                ]
            courses[-1].append(JointRun(left=left, right=right, columns=tuple(possible)))
    return courses


def _is_full(run: Strips, centre: float, width: float) -> bool:
    """Whether a run has its whole width where a joint would fall."""
    kept = run.height_over(centre - 2 * ASLANT, centre + 2 * ASLANT)
    return kept is not None and kept[1] - kept[0] > width - LEAST_CUT


def needs_doubling(scene: Scene) -> bool:
    """Whether one batten is too narrow for the nails of two boards that butt on it.

    Parameters
    ----------
    scene : Scene
    """
    bearing = (scene.battens.width - scene.board.joint_gap) / 2
    return bearing < scene.fixings.end_distance + PENCIL + edge_distance(scene)
