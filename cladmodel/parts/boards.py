"""The feather-edge boards: each piece's polygon lifted with its taper and leant on the course below."""

from __future__ import annotations

import math

from cladmodel.model import Floats, Kind
from cladmodel.parts.piece import Piece
from cladmodel.scene.job import Scene
from cladmodel.settingout.setout import SetOut
from cladmodel.settingout.tilt import Hung
from cladmodel.solids.plates import Plate, frame


def board_frame(course: Hung) -> Floats:
    """Frame of a course's boards: s along the wall, y up the back face, n out through it.

    Parameters
    ----------
    course : Hung

    Returns
    -------
    (3, 4) float
    """
    sin, cos = math.sin(course.tilt), math.cos(course.tilt)
    return frame((0.0, course.butt_line, course.kick_out), (1, 0, 0), (0, cos, -sin))


def board_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make every board piece, course by course.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
    """
    profile = done.profile
    frames = {done.first + n: board_frame(course) for n, course in enumerate(done.hung)}
    level = scene.board.edge_cut == "level"
    section = f"{profile.width:g} x {profile.butt:g}/{profile.thin_edge:g}"
    return [
        Piece(
            mark=done.mark(piece),
            kind=Kind.BOARD,
            wall=done.name,
            bodies=(
                Plate(
                    polygon=piece.polygon,
                    thickness=profile.butt,
                    taper=profile.taper,
                    frame=frames[piece.course],
                    plumb=done.course(piece).tilt if level else 0.0,
                    square_at=(0.0, profile.width),
                ),
            ),
            course=piece.course,
            section=section,
            cut_length_mm=piece.ends[1] - piece.ends[0],
            material="board",
        )
        for piece in done.pieces
    ]
