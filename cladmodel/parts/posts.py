"""Solid corner posts: inner arris on the frame's corner, foot relieved, a batten on each inner side.

In plan at the right-hand corner C of the frame::

                     +--------+
        wall ->      |  post  |
        battens [=====]       |
        ______________C-------+
          frame      [=]   <- return batten on the other inner side
"""

from __future__ import annotations

import numpy as np

from cladmodel.model import Floats, Kind
from cladmodel.parts.battens import leaning_box, post_name
from cladmodel.parts.levels import levels
from cladmodel.parts.piece import Piece, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.wall import SetOut
from cladmodel.solids.plates import Plate, Solid

CLEAR = 1.0  # a cutter passes its workpiece's faces by this much, so that no faces coincide [mm]


def post_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make a wall's two corner posts and the battens on their return sides.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
        The battens on the wall's own side come with the wall's other battens.
    """
    pieces = []
    size, cavity, width = scene.posts.size, scene.battens.thickness, scene.battens.width
    strip = scene.vent_strip.thickness
    for right in (False, True):
        corner = done.length if right else 0.0
        lean = done.lean if right else 0.0
        away = 1.0 if right else -1.0
        code = "R" if right else "L"
        pieces.append(
            Piece(
                mark=f"{done.letter}P{code}",
                kind=Kind.POST,
                wall=done.name,
                bodies=(
                    _post(size, cavity, done.height, strip + scene.posts.foot_relief, corner, away, lean),
                ),
                section=f"{size:g} x {size:g}",
                cut_length_mm=done.height,
                material="post",
                assembly=post_name(done, right=right),
            )
        )
        low, high = sorted((corner, corner + away * cavity))
        pieces.append(
            Piece(
                mark=f"{done.letter}P{code}B",
                kind=Kind.BATTEN,
                wall=done.name,
                bodies=(
                    Plate(
                        polygon=leaning_box(low, high, strip, done.height, lean),
                        thickness=width,
                        frame=upright(levels(scene).membrane - width),
                    ),
                ),
                section=f"{cavity:g} x {width:g}",
                cut_length_mm=done.height - strip,
                material="batten",
                assembly=post_name(done, right=right),
            )
        )
    return pieces


def _post(
    size: float, cavity: float, height: float, relief: float, corner: float, away: float, lean: float
) -> Solid:
    """One post: a square prism less the room its foot leaves for the vent strip."""
    import manifold3d

    whole = manifold3d.Manifold.cube([size, height, size])
    room = manifold3d.Manifold.cube([cavity + CLEAR, relief + CLEAR, cavity + CLEAR])
    # Before it is moved the post's inner arris is the y axis; x and z run away from the building.
    cut = whole - room.translate([-CLEAR, -CLEAR, -CLEAR])
    mesh = cut.to_mesh64()
    vertices: Floats = np.array(mesh.vert_properties, np.float64)[:, :3]
    faces = np.array(mesh.tri_verts, np.int64)
    x, y, z = vertices.T
    placed = np.column_stack([corner + away * x + lean * y, y, z - cavity])
    return Solid(vertices=placed, faces=faces if away > 0 else faces[:, ::-1])
