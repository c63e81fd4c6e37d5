"""Sole and head plates, studs, doubled studs, lintels and sill plates."""

from __future__ import annotations

from dataclasses import dataclass, replace

import shapely

from cladmodel.model import Floats, Kind
from cladmodel.parts.face import Face, face_of
from cladmodel.parts.levels import levels
from cladmodel.parts.piece import Piece, polygons_of, upright
from cladmodel.scene.job import Scene
from cladmodel.settingout.battens import stud_centres
from cladmodel.settingout.boards import is_plain
from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.outline import FAR
from cladmodel.settingout.plan import reach
from cladmodel.settingout.rectangles import Box
from cladmodel.settingout.setout import SetOut
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
    bounds: Box


def _members(kind: Kind, shapes: list[shapely.Polygon]) -> list[_Member]:
    return [_Member(kind=kind, shape=shape, bounds=shape.bounds) for shape in shapes]


class _Standing:
    """Members that stand already, by the bays of the wall that they reach into."""

    def __init__(self, bay: float) -> None:
        self.bay = bay
        self.bays: dict[int, list[_Member]] = {}
        self.members: list[_Member] = []

    def put(self, member: _Member) -> None:
        """Stand one where nothing else does; leave it out where something does."""
        reached = range(int(member.bounds[0] // self.bay), int(member.bounds[2] // self.bay) + 1)
        if not any(_overlap(member, other) for bay in reached for other in self.bays.get(bay, ())):
            self.members.append(member)
            for bay in reached:
                self.bays.setdefault(bay, []).append(member)


def _overlap(one: _Member, other: _Member) -> bool:
    a, b, c, d = one.bounds
    e, f, g, h = other.bounds
    return bool(a < g and e < c and b < h and f < d and one.shape.intersection(other.shape).area > 1.0)


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
    holes = [_hole(scene, o) for o in done.openings]
    inner = face_of(done.outline, (left, right), holes, rise=foot + thick, drop=thick)
    standing = _Standing(scene.studs.centres)
    for n, opening in enumerate(done.openings):
        others = replace(inner, holes=(*holes[:n], *holes[n + 1 :]))
        for member in _round_opening(scene, opening, left, right, others):
            standing.put(member)
    for low, high in _stud_lines(scene, left, right):
        for member in _members(Kind.STUD, inner.cut((low, -FAR, high, FAR))):
            if member.bounds[3] - member.bounds[1] > LEAST_STUD:
                standing.put(member)
    counters: dict[Kind, int] = {}
    pieces = []
    at = upright(levels(scene).inside)
    members = [*_plates(scene, done, left, right), *standing.members]
    for member in sorted(members, key=lambda m: m.bounds[:2]):
        counters[member.kind] = counters.get(member.kind, 0) + 1
        mark = f"{done.letter}{CODES[member.kind]}{counters[member.kind]:02d}"
        pieces.append(_timber(scene, done, member, mark, at))
    return pieces


def _plates(scene: Scene, done: SetOut, left: float, right: float) -> list[_Member]:
    """Sole plates along each stretch of the foot, head plates under each stretch of the top."""
    thick, foot = scene.studs.thickness, scene.studs.plate_overhang
    doors = [shapely.box(o.left, -FAR, o.right, o.head) for o in done.openings if o.door]
    band = done.outline.between(left, right, foot).difference(done.outline.raised(foot + thick))
    sole = band.difference(shapely.union_all(doors)) if doors else band
    members = []
    for run in done.outline.foot_runs():
        strip = shapely.box(run.left, -FAR, run.right, FAR)
        members += _members(Kind.SOLE_PLATE, polygons_of(sole.intersection(strip)))
    top = done.outline.between(left, right).difference(done.outline.lowered(thick))
    for run in done.outline.top_runs():
        strip = shapely.box(run.left, -FAR, run.right, FAR)
        members += _members(Kind.HEAD_PLATE, polygons_of(top.intersection(strip)))
    return members


def _round_opening(
    scene: Scene, opening: OpeningLines, left: float, right: float, inner: Face
) -> list[_Member]:
    """Doubled studs, lintel and sill plate of one opening, the most needed first."""
    thick = scene.studs.thickness
    low = -FAR
    over = opening.head + scene.studs.lintel
    boxes: list[tuple[Kind, Box]] = [
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
        for member in _members(kind, inner.cut(clear)):
            if kind is not Kind.STUD or member.bounds[3] - member.bounds[1] > LEAST_STUD:
                members.append(member)
    return members


def _hole(scene: Scene, opening: OpeningLines) -> Box:
    """What regular studs are cut out of: opening, lintel and sill plate."""
    thick = scene.studs.thickness
    under = -FAR if opening.door else opening.sill_underside - thick
    return opening.left - thick, under, opening.right + thick, opening.head + scene.studs.lintel


def _stud_lines(scene: Scene, left: float, right: float) -> list[tuple[float, float]]:
    """Left and right of regular studs: at both ends, and at centres counted from the wall's corner."""
    thick, centres = scene.studs.thickness, scene.studs.centres
    lines = [(left, left + thick), (right - thick, right)]
    lines += [(c - thick / 2, c + thick / 2) for c in stud_centres(centres, right)]
    return [line for line in lines if left <= line[0] and line[1] <= right]


def _timber(scene: Scene, done: SetOut, member: _Member, mark: str, at: Floats) -> Piece:
    left, low, right, high = member.bounds
    along = member.kind is not Kind.STUD
    across = scene.studs.thickness
    if member.kind is Kind.LINTEL:
        across = high - low
    length = high - low
    if along:
        length = right - left + high - low - across
        if not is_plain(member.shape):
            length = float(shapely.minimum_rotated_rectangle(member.shape).length / 2 - across)
    return Piece(
        mark=mark,
        kind=member.kind,
        wall=done.name,
        bodies=(Plate(polygon=member.shape, thickness=scene.studs.depth, frame=at),),
        section=f"{scene.studs.depth:g} x {across:g}",
        cut_length_mm=length,
        material="frame",
    )
