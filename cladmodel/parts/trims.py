"""Round openings: side trims, head trim with its flashing, sill; and the cover fillet under the soffit."""

from __future__ import annotations

import math

import shapely

from cladmodel.model import Kind
from cladmodel.parts.levels import levels
from cladmodel.parts.membrane import upstand_box
from cladmodel.parts.piece import Piece, along, flat, plan_polygon, polygons_of, section_polygon, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.wall import SetOut, bearings_of
from cladmodel.solids.plates import Plate

# Packers under the soffit stand this far above the boards' cut tops. [mm] common practice, no source
OFF_TOPS = 3.0
LEAST_BLOCK = 5.0  # no room for a lower packer [mm] common practice, no source


def trim_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make the trims of every opening and the cover fillet.

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
    return pieces + _fillet(scene, done)


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

    left, low, right, high = upstand_box(scene, opening)
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


def fillet_back(scene: Scene, done: SetOut) -> float:
    """Z of the cover fillet's back: clear of the boards' faces behind it by its stand-off. [mm]

    Parameters
    ----------
    scene : Scene
    done : SetOut
    """
    low = done.height - scene.fillet.height
    faces = []
    for course in done.hung:
        if course.back_top > low:
            nose = course.butt_line + done.profile.butt * math.sin(course.tilt)
            faces.append(course.face_out(done.profile, max(low, nose)))
    return max(faces) + scene.fillet.stand_off


def _fillet(scene: Scene, done: SetOut) -> list[Piece]:
    size, gap = scene.fillet, scene.board.fitting_gap
    back = fillet_back(scene, done)
    band = done.outline.intersection(shapely.box(gap, done.height - size.height, 1e6, done.height))
    band = band.intersection(shapely.affinity.translate(band, -gap))
    pieces = [
        Piece(
            mark=f"{done.letter}C{n + 1}",
            kind=Kind.FILLET,
            wall=done.name,
            bodies=(Plate(polygon=polygon, thickness=size.thickness, frame=upright(back)),),
            section=f"{size.height:g} x {size.thickness:g}",
            cut_length_mm=polygon.bounds[2] - polygon.bounds[0],
            material="trim",
        )
        for n, polygon in enumerate(polygons_of(band))
    ]
    low = done.height - size.head_gap + OFF_TOPS
    if done.height - low < LEAST_BLOCK:
        return pieces
    for n, (left, right) in enumerate(fillet_blocks(done, gap)):
        pieces.append(
            Piece(
                mark=f"{done.letter}KC{n + 1:02d}",
                kind=Kind.PACKER,
                wall=done.name,
                bodies=(
                    Plate(
                        polygon=shapely.box(left, low, right, done.height), thickness=back, frame=upright(0.0)
                    ),
                ),
                section=f"{done.height - low:.0f} x {back:.1f}",
                cut_length_mm=right - left,
                material="batten",
            )
        )
    return pieces


def fillet_blocks(done: SetOut, gap: float) -> list[tuple[float, float]]:
    """Left and right of the packers that carry the fillet, one on each batten under the soffit. [mm]

    Parameters
    ----------
    done : SetOut
    gap : float
        Kept clear of the posts. [mm]
    """
    right_end = done.length + min(done.lean * done.height, 0.0) - gap
    blocks = []
    for left, right, _, head in bearings_of(done):
        if head >= done.height:
            low, high = max(left, gap), min(right, right_end)
            if high - low > LEAST_BLOCK:
                blocks.append((low, high))
    return blocks
