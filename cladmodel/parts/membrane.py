"""Breather membrane in runs from the foot up.

Runs are modelled edge to edge: the lap that each run has over the one below is stated on the part
(its section text), not doubled in thickness. Over an opening the flashing's upstand takes the
membrane's place for its own height; on site the membrane laps down over it.
"""

from __future__ import annotations

import numpy as np
import shapely

from cladmodel.model import Kind
from cladmodel.parts.levels import levels
from cladmodel.parts.piece import Piece, polygons_of, upright
from cladmodel.parts.sheathing import rough_openings
from cladmodel.scene.job import Scene
from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.outline import FAR
from cladmodel.settingout.plan import reach
from cladmodel.settingout.setout import SetOut, between_battens
from cladmodel.solids.plates import Plate


def upstand_box(scene: Scene, done: SetOut, opening: OpeningLines) -> tuple[float, float, float, float]:
    """Left, low, right and high of a flashing's upstand, in the membrane's layer. [mm]

    Parameters
    ----------
    scene : Scene
    done : SetOut
    opening : OpeningLines
    """
    low = opening.flashing_top - scene.membrane.thickness
    high = low + scene.trims.flashing_upstand
    left, right = between_battens(done, opening, opening.trim_top, high)  # the tray begins on the trim
    return left, low, right, high


def membrane_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Lay the membrane.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
    """
    sheet = scene.membrane
    upstands = [shapely.box(*upstand_box(scene, done, o)) for o in done.openings]
    whole = done.outline.between(*reach(scene, done.side).membrane)
    clad = whole.difference(shapely.union_all([rough_openings(done), *upstands]))
    low, high = done.outline.lowest, done.outline.highest
    step = sheet.roll - sheet.lap
    pieces: list[Piece] = []
    for bottom in np.arange(low, high, step):
        run = shapely.box(-FAR, bottom, FAR, min(bottom + step, high))
        for part in polygons_of(run.intersection(clad)):
            x0, _, x1, _ = part.bounds
            pieces.append(
                Piece(
                    mark=f"{done.letter}M{len(pieces) + 1}",
                    kind=Kind.MEMBRANE,
                    wall=done.name,
                    bodies=(
                        Plate(
                            polygon=part, thickness=sheet.thickness, frame=upright(levels(scene).sheathing)
                        ),
                    ),
                    section=f"{sheet.roll:g} roll, {sheet.lap:g} lap, {sheet.end_lap:g} end lap",
                    cut_length_mm=x1 - x0,
                    material="membrane",
                )
            )
    return pieces
