"""Every wall set out in full: the numbers that the parts are then made from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from cladmodel.errors import SettingOutError
from cladmodel.scene.job import OpeningTable, Scene
from cladmodel.settingout.battens import (
    Role,
    batten_columns,
    battens_of,
    double_at,
    edge_columns,
)
from cladmodel.settingout.boards import (
    BoardPiece,
    are_plain,
    clad_area,
    course_polygons,
    cut_at,
)
from cladmodel.settingout.jointing import choose_quickly, joint_runs, needs_doubling
from cladmodel.settingout.nailing import board_nails
from cladmodel.settingout.notes import packing_notes, survey_notes
from cladmodel.settingout.openings import OpeningLines, opening_lines
from cladmodel.settingout.outline import FAR, Outline, Riser
from cladmodel.settingout.plan import Corner, Side, sides_of
from cladmodel.settingout.rod import PENCIL, Rod, RodLine, set_rod
from cladmodel.settingout.setout import Bare, SetOut
from cladmodel.settingout.tilt import Hung, Profile, hang, starter_thickness, steady_tilt

# The largest gauge's share that no course should go below, unless the scene says. Common practice.
LEAST_SHARE = 0.8


def profile_of(scene: Scene) -> Profile:
    """Section of a scene's boards.

    Parameters
    ----------
    scene : Scene
    """
    return Profile(width=scene.board.width, butt=scene.board.butt, thin_edge=scene.board.thin_edge)


def rod_of(scene: Scene, sides: Sequence[Side]) -> Rod:
    """Set out the one rod of a scene's walls.

    Parameters
    ----------
    scene : Scene
    sides : sequence of Side

    Returns
    -------
    Rod

    Raises
    ------
    SettingOutError
        If the board leaves no gauge, or no whole number of courses fits.
    """
    foot = min(side.outline.lowest for side in sides)
    heads = [run.left_up for side in sides for run in side.outline.top_runs() if run.level]
    tops = [side.outline.highest for side in sides]
    corners = [up for side in sides for up in (side.outline.top[0][1], side.outline.top[-1][1])]
    head = min(heads) if heads else min(corners)
    largest = scene.board.width - scene.board.least_lap
    least = LEAST_SHARE * largest if scene.rod.least_gauge is None else scene.rod.least_gauge
    profile = profile_of(scene)
    rod = set_rod(
        head=head - foot,
        top=max(tops) - foot,
        largest=largest,
        least=max(least, profile.butt + PENCIL),  # at less no board leans at all
        spread=scene.rod.most_spread,
        wanted=scene.board.wanted_gauge,
        lines=[replace(line, height=line.height - foot) for line in _lines_to_meet(scene, sides)],
        lean=lambda gauge: steady_tilt(profile, gauge),
    )
    return replace(rod, lines=rod.lines + foot)


def _lines_to_meet(scene: Scene, sides: Sequence[Side]) -> list[RodLine]:
    """Steps of the foot, and the sills and heads that the scene asks the courses to meet, in its order."""
    lowest = min(side.outline.lowest for side in sides)
    feet = {
        round(run.left_up, 3): f"{side.name} foot at {run.left_up:g}"
        for side in sides
        for run in side.outline.foot_runs()
        if run.level and run.left_up > lowest + PENCIL
    }
    known: dict[str, float] = {}
    for side in sides:
        for opening in openings_of(scene, side):
            if not opening.door:
                known.setdefault(f"{opening.name} sill", opening.clear_bottom)
            known.setdefault(f"{opening.name} head", opening.clear_top)
    wanted: dict[str, float] = {}
    for asked in scene.rod.align:
        for name, height in known.items():
            if name == asked or (asked.startswith("all ") and name.endswith(asked[4:].rstrip("s"))):
                wanted.setdefault(name, height)
    lines = [RodLine(name=name, height=height) for height, name in sorted(feet.items())]
    return lines + [RodLine(name=name, height=height) for name, height in wanted.items()]


def openings_of(scene: Scene, side: Side) -> tuple[OpeningLines, ...]:
    """Openings of one wall, set out, from left to right.

    Parameters
    ----------
    scene : Scene
    side : Side
    """
    return tuple(_opening(scene, opening) for opening in side.openings)


def _opening(scene: Scene, opening: OpeningTable) -> OpeningLines:
    trims = scene.trims
    return opening_lines(
        name=opening.name,
        door=opening.kind == "door",
        left=opening.left,
        width=opening.width,
        sill=opening.sill,
        head=opening.head,
        trim_width=trims.width,
        head_fall=math.radians(trims.head_fall_deg),
        head_gap=trims.head_gap,
        sill_thickness=trims.sill_thickness,
        sill_gap=trims.sill_gap,
        fitting_gap=scene.board.fitting_gap,
        cavity=scene.battens.thickness,
        flashing=scene.membrane.thickness,
    )


def hang_side(scene: Scene, side: Side, rod: Rod) -> tuple[NDArray[np.float64], int, tuple[Hung, ...]]:
    """Rod marks that one wall uses, and how each of its courses hangs.

    Parameters
    ----------
    scene : Scene
    side : Side
    rod : Rod

    Returns
    -------
    lines : (courses + 1,) float
        [mm]
    first : int
        Number of the lowest course on the rod.
    hung : tuple of Hung

    Raises
    ------
    SettingOutError
        If the boards cannot lean on each other or the starter does not fit.
    """
    profile = profile_of(scene)
    foot, top = side.outline.lowest, side.outline.highest - scene.fillet.head_gap
    low = int(np.searchsorted(rod.lines, foot + PENCIL, side="right")) - 1
    high = int(np.searchsorted(rod.lines, top - PENCIL, side="left"))
    lines = rod.lines[max(low, 0) : high + 1]
    if len(lines) < 2:
        raise SettingOutError(f"{side.name}: no course fits between foot {foot:g} and head {top:g} mm")
    above = foot - float(lines[0]) + scene.starter.height
    if scene.starter.thickness == "fit":
        tilt = steady_tilt(profile, float(lines[1] - lines[0]))
        thickness = starter_thickness(profile, tilt, above)
    else:
        thickness = scene.starter.thickness
    hung = hang(
        profile,
        [float(line) for line in lines[:-1]],
        starter_height=above,
        starter_thickness=thickness,
        top=top,
        packed=scene.fillet.packer or len(side.outline.top) > 2,
    )
    return lines[: len(hung) + 1], max(low, 0) + 1, hung


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


def rod_notes(scene: Scene) -> tuple[str, ...]:
    """Say which of the lines that the courses should meet they do not.

    Parameters
    ----------
    scene : Scene
    """
    rod = rod_of(scene, sides_of(scene))
    if rod.missed:
        return (f"the rod cannot meet: {', '.join(rod.missed)}; it meets: {', '.join(rod.met) or 'none'}.",)
    return (f"the rod meets: {', '.join(rod.met)}.",) if rod.met else ()


def post_faces(scene: Scene, side: Side) -> tuple[float, float]:
    """Faces of the corner posts that boards stop against, at height 0. [mm]

    Parameters
    ----------
    scene : Scene
    side : Side
    """
    nook = scene.posts.inside_size
    left = nook if side.left is Corner.INSIDE else 0.0
    right = side.outline.length + side.run_at_foot
    return left, right - (nook if side.right is Corner.INSIDE else 0.0)


def stop_left_right(scene: Scene, riser: Riser) -> tuple[float, float]:
    """Left and right of the trim that boards stop against at a step of the foot. [mm]

    Parameters
    ----------
    scene : Scene
    riser : Riser
    """
    width = scene.trims.width
    return (riser.x - width, riser.x) if riser.low_on_left else (riser.x, riser.x + width)


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
    area = clad_area(
        outline,
        left=between[0],
        right=between[1],
        lean=side.lean,
        fitting_gap=gap,
        head_gap=scene.fillet.head_gap,
    )
    stops: list[tuple[float, tuple[float, float]]] = []
    for riser in outline.risers():
        low, high = stop_left_right(scene, riser)
        away = -1.0 if riser.low_on_left else 1.0
        clear = (low if riser.low_on_left else high) + away * gap
        edges += edge_columns(riser.x, away, clear, width, end)
        stops.append((riser.high, (min(clear, riser.x), max(clear, riser.x))))
        area = area.difference(shapely.box(stops[-1][1][0], riser.low - 1, stops[-1][1][1], riser.high))
    strip = outline.rise(scene.vent_strip.thickness)
    columns = batten_columns(
        outline=outline,
        between=(between[0], between[1] - side.run_at_foot),
        width=width,
        centres=scene.studs.centres,
        extra=scene.battens.extra if side.left is Corner.END else (),
        openings=openings,
        edges=edges,
        vent_strip=strip,
    )
    below_fillet, hides_from = _below_fillet(scene, outline)
    showing = area.intersection(below_fillet)
    level = scene.board.edge_cut == "level"
    runs = _runs(outline, area, openings, profile, hung, showing, hides_from, stops, level=level)
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
        (bare.first + n, _letter(i), polygon)
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
            BoardPiece(course=course, letter=letter, polygon=polygon, plain=is_rectangle)
            for (course, letter, polygon), is_rectangle in zip(cut, plain, strict=True)
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
        depth = scene.fillet.height * math.hypot(1.0, run.slope)
        band = [(run.left, run.left_up - depth), (run.right, run.right_up - depth)]
        above = [(run.right, run.right_up + FAR), (run.left, run.left_up + FAR)]
        shape = shape.difference(shapely.Polygon([*band, *above]))
        lowest = min(lowest, *(up for _, up in band))
    return shape, lowest


def _runs(
    outline: Outline,
    area: shapely.Geometry,
    openings: tuple[OpeningLines, ...],
    profile: Profile,
    hung: tuple[Hung, ...],
    showing: shapely.Geometry,
    hides_from: float,
    stops: Sequence[tuple[float, tuple[float, float]]],
    *,
    level: bool,
) -> list[list[shapely.Polygon]]:
    runs = []
    for n, course in enumerate(hung):
        following = hung[n + 1].butt_line if n + 1 < len(hung) else None
        lap = 0.0
        if n:
            lap = hung[n - 1].width - hung[n - 1].up_back(course.butt_line)
        hidden = outline.foot_above(following - PENCIL) if following is not None else []
        hidden += [span for high, span in stops if following is not None and high >= following - PENCIL]
        runs.append(
            course_polygons(
                area, openings, profile, course, lap, following, showing, hides_from, hidden, level=level
            )
        )
    return runs


def _letter(index: int) -> str:
    """Letters from a to z, then aa, ab, ..."""
    text = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        text = chr(ord("a") + rest) + text
    return text
