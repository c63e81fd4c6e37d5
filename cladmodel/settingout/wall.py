"""Every wall set out in full: the numbers that the parts are then made from."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from cladmodel.model import CornerKind
from cladmodel.scene.job import Scene
from cladmodel.settingout.battens import (
    Role,
    batten_columns,
    battens_of,
    double_at,
    edge_columns,
    post_column,
)
from cladmodel.settingout.boards import (
    LEAST_CUT,
    BoardPiece,
    Clad,
    are_plain,
    clad_area,
    course_polygons,
    cut_at,
)
from cladmodel.settingout.hanging import hang_side, openings_of, profile_of, rod_of
from cladmodel.settingout.jointing import choose_quickly, joint_runs, needs_doubling
from cladmodel.settingout.nailing import board_nails, edge_distance
from cladmodel.settingout.notes import packing_notes, survey_notes
from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.outline import FAR, Outline, Riser
from cladmodel.settingout.plan import Side, letter, sides_of
from cladmodel.settingout.rod import PENCIL, Rod
from cladmodel.settingout.setout import Bare, SetOut
from cladmodel.settingout.strips import ASLANT
from cladmodel.settingout.tilt import LEAST_PACKER, OFF, Hung, Profile


def set_out(scene: Scene) -> tuple[SetOut, ...]:
    """Set out every wall of a scene, with joints chosen course by course.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    tuple of SetOut
        Anticlockwise from the first corner.

    Raises
    ------
    SettingOutError
        If the job's numbers make no wall; the message names the rule and the nearest way out.
    """
    return tuple(with_joints(scene, bare, choose_quickly(scene, bare)) for bare in bare_walls(scene))


def bare_walls(scene: Scene) -> tuple[Bare, ...]:
    """Set out every wall of a scene as far as it goes before joints are chosen.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    tuple of Bare
        Anticlockwise from the first corner.

    Raises
    ------
    SettingOutError
        If the job's numbers make no wall.
    """
    sides = sides_of(scene)
    rod = rod_of(scene, sides)
    return tuple(_bare(scene, side, rod) for side in sides)


def post_faces(scene: Scene, side: Side) -> tuple[float, float]:
    """Faces of the corner posts that boards stop against, at height 0. [mm]

    Parameters
    ----------
    scene : Scene
    side : Side
    """
    nook = scene.posts.inside_size
    left = nook if side.left is CornerKind.INSIDE else 0.0
    right = side.outline.length + side.run_at_foot
    return left, right - (nook if side.right is CornerKind.INSIDE else 0.0)


def stop_left_right(scene: Scene, riser: Riser) -> tuple[float, float]:
    """Left and right of the trim that boards stop against at a step of the foot. [mm]

    Parameters
    ----------
    scene : Scene
    riser : Riser
    """
    return riser.low_side(scene.trims.width)


def _bare(scene: Scene, side: Side, rod: Rod) -> Bare:
    outline, gap = side.outline, scene.board.fitting_gap
    profile = profile_of(scene)
    lines, first, hung = hang_side(scene, side, rod)
    openings = openings_of(scene, side)
    between = post_faces(scene, side)
    edges: list[tuple[float, Role]] = []
    width, end = scene.battens.width, scene.fixings.end_distance
    for o in openings:
        edges += edge_columns(o.left, -1.0, o.clear_left, width, end)
        edges += edge_columns(o.right, 1.0, o.clear_right, width, end)
    met = _met(outline, lines)
    area = clad_area(
        met,
        left=between[0],
        right=between[1],
        lean=side.lean,
        fitting_gap=gap,
        head_gap=scene.fillet.head_gap,
    )
    stops: list[tuple[float, tuple[float, float]]] = []
    for riser in met.risers():
        low, high = stop_left_right(scene, riser)
        away, clear = (-1.0, low - gap) if riser.low_on_left else (1.0, high + gap)
        edges += edge_columns(riser.x, away, clear, width, end)
        left, right = sorted((clear, riser.x))
        stops.append((riser.high, (left, right)))
        area = area.difference(shapely.box(left, riser.low - 1, right, riser.high))
    strip = outline.rise(scene.vent_strip.thickness)
    columns = batten_columns(
        outline=outline,
        between=(between[0], between[1] - side.run_at_foot),
        width=width,
        centres=scene.studs.centres,
        extra=scene.battens.extra if side.left is CornerKind.END else (),
        openings=openings,
        edges=edges,
        beside_posts=post_column(
            width, gap + (ASLANT if side.lean else 0.0), end + PENCIL, edge_distance(scene)
        ),
        vent_strip=strip,
        least_bay=scene.vent_strip.slot_spacing,
    )
    below_fillet, hides_from = _below_fillet(scene, outline)
    clad = Clad(area=area, showing=area.intersection(below_fillet), hides_from=hides_from)
    level = scene.board.edge_cut == "level"
    runs = _runs(outline, clad, openings, profile, hung, stops, level=level)
    return Bare(
        side=side,
        between=between,
        profile=profile,
        lines=lines,
        first=first,
        hung=hung,
        openings=openings,
        columns=columns,
        strip=strip,
        runs=runs,
        joint_runs=joint_runs(scene, hung, runs, columns),
    )


def _met(outline: Outline, lines: NDArray[np.float64]) -> Outline:
    """Let every level foot down to a butt line that it all but meets: no board is cut so little."""
    foot = list(outline.foot)
    for n, ((x0, y0), (x1, y1)) in enumerate(itertools.pairwise(outline.foot)):
        below = lines[lines <= y0]
        if y0 == y1 and len(below) and y0 - below[-1] < LEAST_CUT:
            foot[n : n + 2] = (x0, float(below[-1])), (x1, float(below[-1]))
    return replace(outline, foot=tuple(foot))


def with_joints(scene: Scene, bare: Bare, joints: tuple[tuple[float, ...], ...]) -> SetOut:
    """Finish a wall: cut its runs at the joints, double the battens there, place the nails.

    Parameters
    ----------
    scene : Scene
    bare : Bare
    joints : tuple of tuple of float
        Joint lines of each course, rising; each the centre of a column. [mm]

    Returns
    -------
    SetOut
    """
    side, columns = bare.side, bare.columns
    if needs_doubling(scene):
        columns = double_at(columns, {c for course in joints for c in course}, scene.battens.width)
    gap = scene.board.joint_gap
    cut = [
        (bare.first + n, letter(i).lower(), polygon)
        for n, (course, cuts) in enumerate(zip(bare.runs, joints, strict=True))
        for i, polygon in enumerate(p for run in course for p in cut_at(run, cuts, gap))
    ]
    plain = are_plain([polygon for _, _, polygon in cut])
    done = SetOut(
        side=side,
        between=bare.between,
        profile=bare.profile,
        lines=bare.lines,
        first=bare.first,
        hung=bare.hung,
        starter_height=scene.starter.height,
        openings=bare.openings,
        columns=columns,
        battens=battens_of(columns, side.outline, bare.strip, side.run_at_foot, side.lean),
        pieces=tuple(
            BoardPiece(course=course, letter=own, polygon=polygon, plain=is_rectangle)
            for (course, own, polygon), is_rectangle in zip(cut, plain, strict=True)
        ),
        joints=joints,
        nails=(),
        notes=(*survey_notes(side), *packing_notes(side, columns)),
    )
    return replace(done, nails=board_nails(scene, done))


def _below_fillet(scene: Scene, outline: Outline) -> tuple[shapely.Geometry, float]:
    """What the cover fillet leaves to be seen, and its lowest point.

    It is as high square to each stretch of the top as its section.
    """
    shape, lowest = outline.raised(-1.0), math.inf
    for run in outline.top_runs():
        depth = scene.fillet.height * run.stretch
        band = [(run.left, run.left_up - depth), (run.right, run.right_up - depth)]
        above = [(run.right, run.right_up + FAR), (run.left, run.left_up + FAR)]
        shape = shape.difference(shapely.Polygon([*band, *above]))
        lowest = min(lowest, *(up for _, up in band))
    return shape, lowest


def _runs(
    outline: Outline,
    clad: Clad,
    openings: tuple[OpeningLines, ...],
    profile: Profile,
    hung: tuple[Hung, ...],
    stops: Sequence[tuple[float, tuple[float, float]]],
    *,
    level: bool,
) -> list[list[shapely.Polygon]]:
    """Runs of boards by course. Each stop is a height, and left and right of where no board is up to it."""
    runs = []
    for n, course in enumerate(hung):
        following = hung[n + 1].butt_line if n + 1 < len(hung) else None
        lap = 0.0
        if n:  # and no less than a packer needs over it: a narrower strip cannot be held
            lap = hung[n - 1].width - hung[n - 1].up_back(course.butt_line)
            lap = max(lap, course.up_back(hung[n - 1].edge_up(profile) + LEAST_PACKER + OFF))
        hidden = outline.foot_above(following - PENCIL) if following is not None else []
        hidden += [span for high, span in stops if following is not None and high >= following - PENCIL]
        runs.append(course_polygons(clad, openings, profile, course, lap, following, hidden, level=level))
    return runs
