"""The building's one rod, and how each wall's courses hang by it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from cladmodel.errors import SettingOutError
from cladmodel.scene.job import OpeningTable, Scene
from cladmodel.settingout.openings import OpeningLines, opening_lines
from cladmodel.settingout.plan import Side, sides_of
from cladmodel.settingout.rod import PENCIL, Rod, RodLine, set_rod
from cladmodel.settingout.tilt import Hung, Profile, hang, starter_thickness, steady_tilt

# No course shows less than this share of the largest gauge, unless told. [-] common practice, no source
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
        If the board leaves no gauge.
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
        packed=scene.fillet.packer or not all(run.level for run in side.outline.top_runs()),
    )
    return lines[: len(hung) + 1], max(low, 0) + 1, hung


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
