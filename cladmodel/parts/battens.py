"""Counter battens, and the short batten that backs each head trim."""

from __future__ import annotations

import shapely

from cladmodel.model import Kind
from cladmodel.parts.levels import levels
from cladmodel.parts.piece import Piece, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.battens import Role
from cladmodel.settingout.wall import SetOut, is_right_post
from cladmodel.solids.plates import Plate


def batten_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make every batten of a wall, from left to right.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
        The corner posts' own battens carry the post's assembly name.
    """
    shapes: list[tuple[shapely.Polygon, str | None]] = []
    for column in done.columns:
        edges = [(column.left, column.right)]
        if column.doubled:
            edges = [(column.left, column.centre), (column.centre, column.right)]
        lean = done.lean if is_right_post(done, column) else 0.0
        assembly = None
        if column.role is Role.POST:
            assembly = post_name(done, right=is_right_post(done, column))
        for left, right in edges:
            for foot, head in column.spans:
                shapes.append((leaning_box(left, right, foot, head, lean), assembly))
    pieces = [
        _batten(scene, done, f"{done.letter}B{n + 1:02d}", shape, assembly)
        for n, (shape, assembly) in enumerate(shapes)
    ]
    for n, opening in enumerate(done.openings):
        shape = shapely.box(opening.left, opening.head, opening.right, opening.trim_top)
        pieces.append(_batten(scene, done, f"{done.letter}BH{n + 1}", shape, None))
    return pieces


def post_name(done: SetOut, *, right: bool) -> str:
    """Name of a corner post's assembly.

    Parameters
    ----------
    done : SetOut
    right : bool
    """
    return f"{done.letter}-post-{'right' if right else 'left'}"


def leaning_box(left: float, right: float, foot: float, head: float, lean: float) -> shapely.Polygon:
    """A rectangle whose sides lean together, as at a corner out of plumb.

    Parameters
    ----------
    left, right : float
        At height 0. [mm]
    foot, head : float
        [mm]
    lean : float
        Run per rise. [-]
    """
    a, b = lean * foot, lean * head
    return shapely.Polygon([(left + a, foot), (right + a, foot), (right + b, head), (left + b, head)])


def _batten(scene: Scene, done: SetOut, mark: str, shape: shapely.Polygon, assembly: str | None) -> Piece:
    x0, y0, x1, y1 = shape.bounds
    size = scene.battens
    return Piece(
        mark=mark,
        kind=Kind.BATTEN,
        wall=done.name,
        bodies=(Plate(polygon=shape, thickness=size.thickness, frame=upright(levels(scene).membrane)),),
        section=f"{size.thickness:g} x {size.width:g}",
        cut_length_mm=max(y1 - y0, x1 - x0),
        material="batten",
        assembly=assembly,
    )
