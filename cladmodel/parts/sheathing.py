"""Structural panels on the studs, with gaps between them."""

from __future__ import annotations

import numpy as np
import shapely

from cladmodel.model import Kind
from cladmodel.parts.face import face_of
from cladmodel.parts.levels import levels
from cladmodel.parts.piece import Piece, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.plan import reach
from cladmodel.settingout.rectangles import Box
from cladmodel.settingout.setout import SetOut
from cladmodel.solids.plates import Plate


def rough_openings(done: SetOut) -> shapely.Geometry:
    """Holes through sheathing and membrane, down to the foot at doors. [mm]

    Parameters
    ----------
    done : SetOut
    """
    return shapely.union_all([shapely.box(*hole) for hole in _holes(done)])


def _holes(done: SetOut) -> list[Box]:
    return [(o.left, -1.0 if o.door else o.sill_underside, o.right, o.head) for o in done.openings]


def sheathing_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Lay the panels from the left corner, joints on stud centres where panel width allows.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
    """
    sheet = scene.sheathing
    first, last = reach(scene, done.side).sheathing
    clad = face_of(done.outline, (first, last), _holes(done))
    at = upright(levels(scene).studs)
    left, low, right, high = 0.0, done.outline.lowest, last, done.outline.highest
    pieces: list[Piece] = []
    for row, bottom in enumerate(np.arange(low, high, sheet.height).tolist()):
        for column, start in enumerate(np.arange(left, right, sheet.width).tolist()):
            panel = (
                start + (sheet.gap / 2 if column else 0),
                bottom + (sheet.gap / 2 if row else 0),
                start + sheet.width - (sheet.gap / 2 if start + sheet.width < right else 0),
                bottom + sheet.height - (sheet.gap / 2 if bottom + sheet.height < high else 0),
            )
            for part in clad.cut(panel):
                x0, y0, x1, y1 = part.bounds
                pieces.append(
                    Piece(
                        mark=f"{done.letter}H{len(pieces) + 1:02d}",
                        kind=Kind.SHEATHING,
                        wall=done.name,
                        bodies=(Plate(polygon=part, thickness=sheet.thickness, frame=at),),
                        section=f"{x1 - x0:.0f} x {y1 - y0:.0f} x {sheet.thickness:g}",
                        cut_length_mm=y1 - y0,
                        material="sheathing",
                    )
                )
    return pieces
