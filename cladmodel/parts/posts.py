"""Solid corner posts: inner arris on the frame's corner, foot relieved, a batten on each inner side.

In plan, an outside corner C of the frame (left) and an inside corner (right)::

                   +--------+                     |
                   |  post  |                     | next wall
        battens [==]        |               [==]--+
        ___________C--------+          _________|post|
          frame    [=] <- batten of             C
                   |      the next wall    frame  |

The wall on the left of a corner brings the post. A wall on its own brings both of its posts, each
with the batten that the return wall would have.
"""

from __future__ import annotations

import numpy as np

from cladmodel.model import CornerKind, Floats, Kind
from cladmodel.parts.battens import leaning_box, post_name
from cladmodel.parts.levels import levels
from cladmodel.parts.piece import Piece, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.setout import SetOut
from cladmodel.solids.plates import Plate, Solid

CLEAR = 1.0  # a cutter passes its workpiece's faces by this much, so that no faces coincide [mm]


def post_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make the corner posts that one wall brings.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
        The battens on the wall's own side come with the wall's other battens.
    """
    ends = [True] if done.side.left is not CornerKind.END else [False, True]
    pieces = []
    for right in ends:
        kind = done.side.right if right else done.side.left
        size = scene.posts.inside_size if kind is CornerKind.INSIDE else scene.posts.size
        foot, head = post_ends(done, right=right)
        pieces.append(
            Piece(
                mark=f"{done.letter}P{'R' if right else 'L'}",
                kind=Kind.POST,
                wall=done.name,
                bodies=(_post(scene, done, size, kind, right=right),),
                section=f"{size:g} x {size:g}",
                cut_length_mm=head - foot,
                material="post",
                assembly=post_name(done, right=right),
            )
        )
        if kind is CornerKind.END:
            pieces.append(_return_batten(scene, done, right=right))
    return pieces


def post_ends(done: SetOut, *, right: bool) -> tuple[float, float]:
    """Foot and head of the post at one end of a wall. [mm]

    Parameters
    ----------
    done : SetOut
    right : bool
    """
    at = -1 if right else 0
    return done.outline.foot[at][1], done.outline.top[at][1]


def _return_batten(scene: Scene, done: SetOut, *, right: bool) -> Piece:
    cavity, width, strip = scene.battens.thickness, scene.battens.width, scene.vent_strip.thickness
    foot, head = post_ends(done, right=right)
    lean = done.side.lean if right else 0.0
    corner = done.outline.length + done.side.run_at_foot if right else 0.0
    low, high = sorted((corner, corner + (cavity if right else -cavity)))
    return Piece(
        mark=f"{done.letter}P{'R' if right else 'L'}B",
        kind=Kind.BATTEN,
        wall=done.name,
        bodies=(
            Plate(
                polygon=leaning_box(low, high, foot + strip, head, lean),
                thickness=width,
                frame=upright(levels(scene).membrane - width),
            ),
        ),
        section=f"{cavity:g} x {width:g}",
        cut_length_mm=head - foot - strip,
        material="batten",
        assembly=post_name(done, right=right),
    )


def _post(scene: Scene, done: SetOut, size: float, kind: CornerKind, *, right: bool) -> Solid:
    """One post: a square prism less the room its foot leaves for the vent strips."""
    import manifold3d

    foot, head = post_ends(done, right=right)
    cavity = scene.battens.thickness
    relief = scene.vent_strip.thickness + scene.posts.foot_relief
    whole = manifold3d.Manifold.cube([size, head - foot, size])
    # Before it is moved its inner arris is the y axis; x and z run away from the building.
    cut = cavity + CLEAR
    rooms = [(cut, cut)]
    if kind is CornerKind.INSIDE:  # both walls' strips run on behind it, all its width, and may rise there
        relief = scene.posts.foot_relief + done.side.nook_rise
        rooms = [(size + 2 * CLEAR, cut), (cut, size + 2 * CLEAR)]
    for wide, deep in rooms:
        room = manifold3d.Manifold.cube([wide, relief + CLEAR, deep])
        whole = whole - room.translate([-CLEAR, -CLEAR, -CLEAR])
    mesh = whole.to_mesh64()
    vertices: Floats = np.array(mesh.vert_properties, np.float64)[:, :3]
    faces = np.array(mesh.tri_verts, np.int64)
    x, y, z = vertices.T
    up = foot + y
    corner = done.outline.length + done.shift(up) if right else np.zeros_like(up)
    # An outside post stands beyond its corner, an inside post within it.
    away = 1.0 if right == (kind is not CornerKind.INSIDE) else -1.0
    placed = np.column_stack([corner + away * x, up, z - cavity])
    return Solid(vertices=placed, faces=faces if away > 0 else faces[:, ::-1])
