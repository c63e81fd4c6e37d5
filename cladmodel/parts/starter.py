"""Starters: square-topped strips that prop the lowest boards out, at the foot and over openings."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np
import shapely

from cladmodel.model import Kind
from cladmodel.parts.piece import Piece, upright
from cladmodel.parts.vent_strip import without
from cladmodel.scene.job import Scene
from cladmodel.settingout.rod import PENCIL
from cladmodel.settingout.setout import SetOut
from cladmodel.settingout.tilt import Hung
from cladmodel.settingout.wall import stop_left_right
from cladmodel.solids.plates import Plate

# A strip thinner than this is paint, not timber: left out. [mm] common practice, no source
THIN = 0.5


def starter_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make the starters of a wall.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
    """
    pieces: list[Piece] = []
    for left, right, foot in (*_at_the_foot(scene, done), *_over_openings(done)):
        course = course_at(done, foot)
        thick = course.back_out(foot + done.starter_height) if course is not None else 0.0
        if thick > THIN:
            pieces.append(
                Piece(
                    mark=f"{done.letter}T{len(pieces) + 1}",
                    kind=Kind.STARTER,
                    wall=done.name,
                    bodies=(
                        Plate(
                            polygon=shapely.box(left, foot, right, foot + done.starter_height),
                            thickness=thick,
                            frame=upright(0.0),
                        ),
                    ),
                    section=f"{done.starter_height:g} x {thick:.1f}",
                    cut_length_mm=right - left,
                    material="batten",
                )
            )
    return pieces


def _at_the_foot(scene: Scene, done: SetOut) -> Iterator[tuple[float, float, float]]:
    """Left, right and foot of each length under the lowest boards. [mm]"""
    gap, longest = scene.board.fitting_gap, max(scene.board.stock)
    doors = [(o.clear_left, o.clear_right) for o in done.openings if o.door]
    risers = done.outline.risers()
    for run in done.outline.foot_runs():
        if not run.level:
            continue
        low = max(run.left, done.between[0] + gap)
        high = min(run.right, done.between[1] + done.side.lean * run.left_up - gap)
        for riser in risers:
            stop = stop_left_right(scene, riser)
            upper = run.left_up > riser.low + PENCIL
            # On the upper side it runs out over the stop; on the lower side it ends at the stop.
            if riser.x == run.right:
                high = stop[1] + gap if upper else stop[0] - gap
            if riser.x == run.left:
                low = stop[0] - gap if upper else stop[1] + gap
        for left, right in without(doors, low, high):
            cuts = np.linspace(left, right, math.ceil((right - left) / longest) + 1)
            for a, b in itertools.pairwise(cuts):
                yield float(a), float(b), run.left_up


def _over_openings(done: SetOut) -> Iterator[tuple[float, float, float]]:
    """Left, right and foot of each length over a head; where two meet, one of them runs through. [mm]"""
    made: list[tuple[float, float, float]] = []
    for opening in done.openings:
        foot, top = opening.clear_top, opening.clear_top + done.starter_height
        beside = [
            (o.clear_left, o.clear_right)
            for o in done.openings
            if o is not opening and o.clear_bottom < top and foot < o.clear_top
        ]
        beside += [(left, right) for left, right, up in made if abs(up - foot) < done.starter_height]
        low = max(opening.clear_left, done.between[0])
        high = min(opening.clear_right, done.between[1] + done.side.lean * foot)
        for left, right in without(beside, low, high):
            made.append((left, right, foot))
            yield left, right, foot


def course_at(done: SetOut, up: float) -> Hung | None:
    """The course whose boards stand at a height and show there, or None.

    Parameters
    ----------
    done : SetOut
    up : float
        [mm]
    """
    index = int(np.searchsorted(done.lines, up + PENCIL, side="right")) - 1
    if 0 <= index < len(done.hung) and up < done.hung[index].back_top:
        return done.hung[index]
    return None
