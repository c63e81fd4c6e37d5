"""Sole and head plates, studs, doubled studs, lintels and sill plates."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from cladmodel.model import Kind
from cladmodel.parts.levels import levels
from cladmodel.parts.piece import Piece, polygons_of, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.outline import FAR
from cladmodel.settingout.plan import reach
from cladmodel.settingout.wall import SetOut
from cladmodel.solids.plates import Plate

LEAST_STUD = 40.0  # a shorter stud is left out: the plates meet there [mm] common practice, no source
CODES = {
    Kind.SOLE_PLATE: "PS",
    Kind.HEAD_PLATE: "PH",
    Kind.STUD: "S",
    Kind.LINTEL: "L",
    Kind.SILL_PLATE: "W",
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Member:
    kind: Kind
    shape: shapely.Polygon


def frame_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make the stud frame of one wall.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
    """
    thick, foot = scene.studs.thickness, scene.studs.plate_overhang
    left, right = reach(scene, done.side).studs
    inner = done.outline.between(left, right, foot + thick, thick)
    members = _plates(scene, done, left, right)
    taken: list[shapely.Polygon] = []
    holes = [_hole(scene, o) for o in done.openings]
    for n, opening in enumerate(done.openings):
        others = shapely.union_all(holes[:n] + holes[n + 1 :])
        for member in _round_opening(scene, opening, left, right, inner.difference(others)):
            if not _overlaps(member.shape, taken):
                members.append(member)
                taken.append(member.shape)
    for low, high in _stud_lines(scene, left, right):
        strip = shapely.box(low, -FAR, high, FAR).intersection(inner)
        for shape in polygons_of(strip.difference(shapely.union_all(holes)) if holes else strip):
            if shape.bounds[3] - shape.bounds[1] > LEAST_STUD and not _overlaps(shape, taken):
                members.append(_Member(kind=Kind.STUD, shape=shape))
                taken.append(shape)
    counters: dict[Kind, int] = {}
    pieces = []
    for member in sorted(members, key=lambda m: (m.shape.bounds[0], m.shape.bounds[1])):
        counters[member.kind] = counters.get(member.kind, 0) + 1
        mark = f"{done.letter}{CODES[member.kind]}{counters[member.kind]:02d}"
        pieces.append(_timber(scene, done, member, mark))
    return pieces


def _overlaps(shape: shapely.Polygon, taken: list[shapely.Polygon]) -> bool:
    a, b, c, d = shape.bounds
    for other in taken:
        e, f, g, h = other.bounds
        if a < g and e < c and b < h and f < d and shape.intersection(other).area > 1.0:
            return True
    return False


def _plates(scene: Scene, done: SetOut, left: float, right: float) -> list[_Member]:
    """Sole plates along each stretch of the foot, head plates under each stretch of the top."""
    thick, foot = scene.studs.thickness, scene.studs.plate_overhang
    doors = [shapely.box(o.left, -FAR, o.right, o.head) for o in done.openings if o.door]
    band = done.outline.between(left, right, foot).difference(done.outline.raised(foot + thick))
    sole = band.difference(shapely.union_all(doors)) if doors else band
    members = []
    for run in done.outline.foot_runs():
        strip = shapely.box(run.left, -FAR, run.right, FAR)
        members += [_Member(kind=Kind.SOLE_PLATE, shape=p) for p in polygons_of(sole.intersection(strip))]
    top = done.outline.between(left, right).difference(done.outline.lowered(thick))
    for run in done.outline.top_runs():
        strip = shapely.box(run.left, -FAR, run.right, FAR)
        members += [_Member(kind=Kind.HEAD_PLATE, shape=p) for p in polygons_of(top.intersection(strip))]
    return members


def _round_opening(
    scene: Scene, opening: OpeningLines, left: float, right: float, inner: shapely.Geometry
) -> list[_Member]:
    """Doubled studs, lintel and sill plate of one opening, the most needed first."""
    thick = scene.studs.thickness
    low = -FAR
    over = opening.head + scene.studs.lintel
    boxes: list[tuple[Kind, tuple[float, float, float, float]]] = [
        (Kind.LINTEL, (opening.left - thick, opening.head, opening.right + thick, over)),
    ]
    for edge, away in ((opening.left, -1), (opening.right, 1)):
        near = sorted((edge, edge + away * thick))
        boxes.append((Kind.STUD, (near[0], low, near[1], opening.head)))
        boxes.append((Kind.STUD, (near[0], over, near[1], FAR)))
    if not opening.door:
        under = opening.sill_underside
        boxes.append((Kind.SILL_PLATE, (opening.left, under - thick, opening.right, under)))
    for edge, away in ((opening.left, -1), (opening.right, 1)):
        far = sorted((edge + away * thick, edge + 2 * away * thick))
        boxes.append((Kind.STUD, (far[0], low, far[1], FAR)))
    members = []
    for kind, box in boxes:
        clear = max(box[0], left), box[1], min(box[2], right), box[3]
        if clear[2] - clear[0] < thick - 1.0:
            continue
        for shape in polygons_of(shapely.box(*clear).intersection(inner)):
            if kind is not Kind.STUD or shape.bounds[3] - shape.bounds[1] > LEAST_STUD:
                members.append(_Member(kind=kind, shape=shape))
    return members


def _hole(scene: Scene, opening: OpeningLines) -> shapely.Polygon:
    """What regular studs are cut out of: opening, lintel and sill plate."""
    thick = scene.studs.thickness
    under = -FAR if opening.door else opening.sill_underside - thick
    return shapely.box(opening.left - thick, under, opening.right + thick, opening.head + scene.studs.lintel)


def _stud_lines(scene: Scene, left: float, right: float) -> list[tuple[float, float]]:
    """Left and right of regular studs: at both ends, and at centres counted from the wall's corner."""
    thick, centres = scene.studs.thickness, scene.studs.centres
    lines = [(left, left + thick), (right - thick, right)]
    lines += [(c - thick / 2, c + thick / 2) for c in _steps(centres, right)]
    return [line for line in lines if left <= line[0] and line[1] <= right]


def _steps(centres: float, right: float) -> list[float]:
    return [centres * n for n in range(1, int(right // centres) + 1)]


def _timber(scene: Scene, done: SetOut, member: _Member, mark: str) -> Piece:
    _, low, _, high = member.shape.bounds
    along = member.kind is not Kind.STUD
    across = scene.studs.thickness
    if member.kind is Kind.LINTEL:
        across = high - low
    length = high - low
    if along:
        length = float(shapely.minimum_rotated_rectangle(member.shape).length / 2 - across)
    return Piece(
        mark=mark,
        kind=member.kind,
        wall=done.name,
        bodies=(
            Plate(polygon=member.shape, thickness=scene.studs.depth, frame=upright(levels(scene).inside)),
        ),
        section=f"{scene.studs.depth:g} x {across:g}",
        cut_length_mm=length,
        material="frame",
    )
