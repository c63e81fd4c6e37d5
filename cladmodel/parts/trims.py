"""Round openings: side trims, head trim with its flashing, sill; and the stop at a step of the foot."""

from __future__ import annotations

import math

import shapely

from cladmodel.model import Kind
from cladmodel.parts.levels import levels
from cladmodel.parts.membrane import upstand_box
from cladmodel.parts.piece import Piece, along, flat, plan_polygon, section_polygon, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.setout import SetOut
from cladmodel.settingout.wall import stop_left_right
from cladmodel.solids.plates import Plate

# A stop ends this far under the upper foot, clear of the starter above it and of a notched board that dries.
# [mm] common practice, no source
UNDER_STEP = 5.0


def trim_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make the trims of every opening, and the stops at steps of the foot.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
    """
    pieces: list[Piece] = []
    for n, opening in enumerate(done.openings):
        code = f"{done.letter}{n + 1}"
        pieces += _sides(scene, done, opening, code)
        pieces.append(_head(scene, done, opening, code))
        pieces.append(_flashing(scene, done, opening, code))
        if not opening.door:
            pieces.append(_sill(scene, done, opening, code))
    pieces += _stops(scene, done)
    return pieces


def sill_inside(scene: Scene) -> float:
    """Z of a sill's inner edge. [mm]

    Parameters
    ----------
    scene : Scene
    """
    return levels(scene).studs - scene.trims.sill_depth_inside


def sill_top(scene: Scene, opening: OpeningLines, z: float) -> float:
    """Height of a sill's sloping top. [mm]

    Parameters
    ----------
    scene : Scene
    opening : OpeningLines
    z : float
        [mm]
    """
    return opening.sill - (z - sill_inside(scene)) * math.tan(math.radians(scene.trims.sill_fall_deg))


def _sides(scene: Scene, done: SetOut, opening: OpeningLines, code: str) -> list[Piece]:
    front = scene.trims.thickness
    inner, outer = (0.0, 0.0) if opening.door else (sill_top(scene, opening, z) for z in (0.0, front))
    side = section_polygon([(0, inner), (front, outer), (front, opening.head), (0, opening.head)])
    return [
        Piece(
            mark=f"{code}-{name}",
            kind=Kind.SIDE_TRIM,
            wall=done.name,
            bodies=(Plate(polygon=side, thickness=scene.trims.width, frame=along(x)),),
            section=f"{front:g} x {scene.trims.width:g}",
            cut_length_mm=opening.head - outer,
            material="trim",
        )
        for name, x in (("L", opening.trim_left), ("R", opening.right))
    ]


def _head(scene: Scene, done: SetOut, opening: OpeningLines, code: str) -> Piece:
    front = scene.trims.thickness
    fall = math.tan(math.radians(scene.trims.head_fall_deg))
    shape = [
        (0, opening.head),
        (front, opening.head),
        (front, opening.trim_top - front * fall),
        (0, opening.trim_top),
    ]
    return Piece(
        mark=f"{code}-H",
        kind=Kind.HEAD_TRIM,
        wall=done.name,
        bodies=(
            Plate(
                polygon=section_polygon(shape),
                thickness=opening.trim_right - opening.trim_left,
                frame=along(opening.trim_left),
            ),
        ),
        section=f"{front:g} x {scene.trims.width:g}",
        cut_length_mm=opening.trim_right - opening.trim_left,
        material="trim",
    )


def _flashing(scene: Scene, done: SetOut, opening: OpeningLines, code: str) -> Piece:
    """Upstand and tray between the battens, and a cap over the trim with a drip: two touching bodies."""
    fall = math.tan(math.radians(scene.trims.head_fall_deg))
    back, front, sheet = levels(scene).membrane, scene.trims.thickness, scene.membrane.thickness

    def under(z: float) -> float:
        return opening.trim_top - z * fall

    left, low, right, high = upstand_box(scene, done, opening)
    behind = back - sheet
    tray = [
        (behind, low),
        (back, under(back)),
        (0.0, under(0.0)),
        (0.0, under(0.0) + sheet),
        (back, under(back) + sheet),
        (back, high),
        (behind, high),
    ]
    drip = under(front) - scene.trims.flashing_drip
    cap = [
        (0.0, under(0.0)),
        (front, under(front)),
        (front, drip),
        (front + sheet, drip),
        (front + sheet, under(front + sheet) + sheet),
        (0.0, under(0.0) + sheet),
    ]
    return Piece(
        mark=f"{code}-F",
        kind=Kind.FLASHING,
        wall=done.name,
        bodies=(
            Plate(polygon=section_polygon(tray), thickness=right - left, frame=along(left)),
            Plate(
                polygon=section_polygon(cap),
                thickness=opening.trim_right - opening.trim_left,
                frame=along(opening.trim_left),
            ),
        ),
        section=f"{high - low:.0f} up, {scene.trims.flashing_drip:g} down",
        cut_length_mm=opening.trim_right - opening.trim_left,
        material="metal",
    )


def _sill(scene: Scene, done: SetOut, opening: OpeningLines, code: str) -> Piece:
    """A T in plan: its horns run out under the side trims. Its top falls outward."""
    inside, nose = sill_inside(scene), scene.trims.thickness + scene.trims.sill_overhang
    plan = plan_polygon(
        [
            (opening.left, inside),
            (opening.right, inside),
            (opening.right, 0.0),
            (opening.trim_right, 0.0),
            (opening.trim_right, nose),
            (opening.trim_left, nose),
            (opening.trim_left, 0.0),
            (opening.left, 0.0),
        ]
    )
    fall = math.tan(math.radians(scene.trims.sill_fall_deg))
    return Piece(
        mark=f"{code}-S",
        kind=Kind.SILL,
        wall=done.name,
        bodies=(
            Plate(
                polygon=plan,
                thickness=scene.trims.sill_thickness + inside * fall,
                taper=fall,
                frame=flat(opening.sill_underside),
            ),
        ),
        section=f"{nose - inside:.0f} x {scene.trims.sill_thickness:g}",
        cut_length_mm=opening.trim_right - opening.trim_left,
        material="trim",
    )


def _stops(scene: Scene, done: SetOut) -> list[Piece]:
    """Upright trims that boards stop against where the foot steps."""
    pieces = []
    for n, riser in enumerate(done.outline.risers()):
        left, right = stop_left_right(scene, riser)
        top = riser.high - UNDER_STEP
        pieces.append(
            Piece(
                mark=f"{done.letter}E{n + 1}",
                kind=Kind.SIDE_TRIM,
                wall=done.name,
                bodies=(
                    Plate(
                        polygon=shapely.box(left, riser.low, right, top),
                        thickness=scene.trims.thickness,
                        frame=upright(0.0),
                    ),
                ),
                section=f"{scene.trims.thickness:g} x {scene.trims.width:g}",
                cut_length_mm=top - riser.low,
                material="trim",
            )
        )
    return pieces
