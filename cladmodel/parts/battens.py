"""Counter battens, and the short batten that backs each head trim."""

from __future__ import annotations

import numpy as np
import shapely

from cladmodel.model import Floats, Kind
from cladmodel.parts.levels import levels
from cladmodel.parts.piece import Piece, polygons_of, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.battens import Batten, Role
from cladmodel.settingout.outline import FAR, Run
from cladmodel.settingout.setout import SetOut, between_battens
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
    shapes: list[tuple[str, shapely.Polygon, float, str | None]] = []
    at = upright(levels(scene).membrane)
    for n, batten in enumerate(done.battens):
        post = batten.column.role is Role.POST
        assembly = post_name(done, right=batten.column.leans) if post else None
        mark = f"{done.letter}B{n + 1:02d}"
        shapes.append((mark, _shape(scene, done, batten), batten.right - batten.left, assembly))
    for n, opening in enumerate(done.openings):
        left, right = between_battens(done, opening, opening.head, opening.trim_top)
        shape = shapely.box(left, opening.head, right, opening.trim_top)
        shapes.append((f"{done.letter}BH{n + 1}", shape, scene.battens.width, None))
    sizes = np.diff(shapely.bounds([shape for _, shape, _, _ in shapes]).reshape(-1, 2, 2), axis=1)
    longest = sizes.max(axis=(1, 2)).tolist()
    return [_batten(scene, done, *one, at, length) for one, length in zip(shapes, longest, strict=True)]


def _shape(scene: Scene, done: SetOut, batten: Batten) -> shapely.Polygon:
    """A batten's face: plumb or leaning sides, and at a rake or a sloping foot a slanting end."""
    lean, left, right = batten.lean, batten.left, batten.right
    outline = done.outline
    level_top = _is_level(outline.top_runs(), *batten.edges_at(batten.head))
    level_foot = _is_level(outline.foot_runs(), *batten.edges_at(batten.foot))
    if level_top and level_foot:
        return leaning_box(left, right, batten.foot, batten.head, lean)
    strip = outline.rise(scene.vent_strip.thickness)
    low = batten.foot if level_foot or not batten.at_foot else -FAR
    high = batten.head if level_top or not batten.at_top else FAR
    if low == batten.foot and high == batten.head:
        return leaning_box(left, right, low, high, lean)
    tall = leaning_box(left, right, max(low, outline.lowest - 1), min(high, outline.highest + 1), lean)
    clear = tall.intersection(outline.raised(strip)).intersection(outline.lowered(0.0))
    return max(polygons_of(clear), key=lambda p: float(p.area))


def _is_level(runs: tuple[Run, ...], left: float, right: float) -> bool:
    return all(run.level for run in runs if run.left < right and left < run.right)


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
    if lean == 0:
        return shapely.box(left, foot, right, head)
    a, b = lean * foot, lean * head
    return shapely.Polygon([(left + a, foot), (right + a, foot), (right + b, head), (left + b, head)])


def _batten(
    scene: Scene,
    done: SetOut,
    mark: str,
    shape: shapely.Polygon,
    width: float,
    assembly: str | None,
    at: Floats,
    length: float,
) -> Piece:
    size = scene.battens
    ripped = f", ripped to {width:g}" if width < size.width else ""
    return Piece(
        mark=mark,
        kind=Kind.BATTEN,
        wall=done.name,
        bodies=(Plate(polygon=shape, thickness=size.thickness, frame=at),),
        section=f"{size.thickness:g} x {size.width:g}{ripped}",
        cut_length_mm=length,
        material="batten",
        assembly=assembly,
    )
