"""Butt joints: on battens with enough bearing, not too open, well staggered, columns rested."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, isfinite

import shapely
from shapely.affinity import translate

from cladmodel.checks.around import around
from cladmodel.checks.bays import BEHIND
from cladmodel.checks.finding import Finding, Verdict, conclude, point, worst_each
from cladmodel.checks.rules import EXACT, TOUCH, Limit, Rules
from cladmodel.checks.shadows import shadow
from cladmodel.model import Kind, Layer, Model, Part
from cladmodel.solids.measure import extent_at
from cladmodel.solids.sections import section_polygons

NAME = "joints"

JOINT_REACH = 50.0
"""Two ends of one course nearer than this meet in a butt joint; further apart, something stands between
them: an opening's trims are wider. [mm]"""

SAME_COLUMN = 50.0
"""Joints nearer to each other along the wall than this stand over each other on one batten. [mm]"""

AT_END = 0.5
"""How far from its end a board is measured there, clear of a saw cut that leans. [mm]"""

FACING = 0.5
"""Ends that face each other over less than this share of the lower one are corners that nearly touch: no
board is sawn in two there. [-]"""

NEAR = 300.0
"""Battens looked at about a board's end: a wide one, doubled. [mm]"""

COVERS_NOTHING = (*BEHIND, Layer.BATTENS)
NO_COVER = (Kind.FILLET, Kind.PACKER)
"""Nor does a cover fillet, which stands off the boards it hides, or a packer behind one that is lacking."""

LACKING = 0.2
"""Share of a board's height, lapped above and below, that lies bare where it is lacking: half or more. [-]"""

UNDER_SILL = 25.0
"""So far under a sill boards may end: for air, and where a strip is too narrow to be held. [mm]"""

HEAD_GAP = 15.0
"""This near to a soffit or a rake boards stop short for air: none is lacking there. [mm]"""

STOPS = (Kind.POST, Kind.SIDE_TRIM)
"""What boards stop at."""

Box = tuple[float, float, float, float]
"""Left, right, bottom, top. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One butt joint as built.

    Attributes
    ----------
    left, right : Part
    x : float
        Middle of the gap. [mm]
    y : float
        Middle of the boards' height. [mm]
    gap : float
        [mm]
    bearing : float
        Length of batten under the worse supported of the two ends; below 0 by how far it misses the
        nearest, minus infinity where there is none at that height. [mm]
    """

    left: Part
    right: Part
    x: float
    y: float
    gap: float
    bearing: float

    @property
    def course(self) -> int:
        """Course the joint is in."""
        return self.left.course or 0


def joints(model: Model, wall: str) -> list[Joint]:
    """Butt joints of a wall, found between board ends.

    Parameters
    ----------
    model : Model
    wall : str

    Returns
    -------
    list of Joint
        By course, then from left to right.
    """
    battens = [(p, _box(p)) for p in model.of_kind(Kind.BATTEN, wall=wall)]
    stops = [_box(p) for p in model.of_kind(*STOPS, wall=wall)]
    found: list[Joint] = []
    for row in _rows(model, wall):
        boxes = [_box(board) for board in row]
        for index, (left, a) in enumerate(zip(row, boxes, strict=True)):
            for other, (right, b) in enumerate(zip(row, boxes, strict=True)):
                low, high = max(a[2], b[2]), min(a[3], b[3])
                if other <= index or b[0] - a[1] < -JOINT_REACH or low >= high:
                    continue
                if b[0] - a[1] <= JOINT_REACH:
                    if not _meet(left, a[1], right, b[0]):
                        continue
                elif _parted(a, b, [*boxes, *stops]) or not _bare(model, wall, (a[1], b[0], low, high)):
                    continue
                y = (low + high) / 2
                found.append(
                    Joint(
                        left=left,
                        right=right,
                        x=(a[1] + b[0]) / 2,
                        y=y,
                        gap=b[0] - a[1],
                        bearing=min(
                            _under(_behind(battens, a[1], y), a[1], -1),
                            _under(_behind(battens, b[0], y), b[0], 1),
                        ),
                    )
                )
    return found


def _meet(left: Part, end: float, right: Part, start: float) -> bool:
    """Whether two ends face each other, not corner to corner where one opening is under and one over."""
    one, other = extent_at(left, 0, end - AT_END, 1), extent_at(right, 0, start + AT_END, 1)
    if one is None or other is None:
        return True  # a point of a board: taken to meet
    facing = min(one[1], other[1]) - max(one[0], other[0])
    return facing > FACING * min(one[1] - one[0], other[1] - other[0])


def _rows(model: Model, wall: str) -> list[list[Part]]:
    """Boards of each course from the foot up, from left to right."""
    courses: dict[int, list[Part]] = {}
    for board in model.of_kind(Kind.BOARD, wall=wall):
        courses.setdefault(board.course or 0, []).append(board)
    return [sorted(courses[c], key=lambda p: float(p.vertices[:, 0].min())) for c in sorted(courses)]


def _bare(model: Model, wall: str, space: Box) -> bool:
    """Whether a board is lacking there, not cut away by a sloping foot nor left out where others cover it."""
    whole = shapely.box(space[0], space[2], space[1], space[3])
    outline = shapely.Polygon(model.wall_by_name[wall].outline)
    clad = whole.intersection(outline).intersection(translate(outline, yoff=-HEAD_GAP))
    covers = [p for p in model.parts if p.layer not in COVERS_NOTHING and p.kind not in NO_COVER]
    near = [p for p in covers if p.wall == wall and _over(_box(p), space)]
    sills = [_box(p) for p in near if p.kind is Kind.SILL]
    under = [shapely.box(left, low - UNDER_SILL, right, low) for left, right, low, _ in sills]
    covered = shapely.union_all([*under, *(shadow(p) for p in near)])
    return bool(clad.difference(covered).area > LACKING * whole.area)


def _over(box: Box, space: Box) -> bool:
    return box[0] < space[1] and box[1] > space[0] and box[2] < space[3] and box[3] > space[2]


def _parted(a: Box, b: Box, others: list[Box]) -> bool:
    """Whether something stands between two boards: another board, or an opening's trims."""
    low, high = max(a[2], b[2]), min(a[3], b[3])
    return any(o[0] < b[0] and o[1] > a[1] and o[2] < high and o[3] > low for o in others if o not in (a, b))


def _behind(battens: list[tuple[Part, Box]], x: float, y: float) -> list[tuple[float, float]]:
    """Battens near a place, as they are cut at its height: left and right of each. [mm]"""
    near = [p for p, box in battens if box[0] - NEAR < x < box[1] + NEAR and box[2] <= y <= box[3]]
    cut = [polygon.bounds for _, polygon in section_polygons(near, y=y)]
    if not cut:  # none near: the nearest says how far off it is
        cut = [(box[0], 0.0, box[1], 0.0) for _, box in battens if box[2] <= y <= box[3]]
    return _merged([(c[0], c[2]) for c in cut])


def _box(part: Part) -> Box:
    """Left, right, bottom, top. [mm]"""
    low, high = part.vertices.min(axis=0), part.vertices.max(axis=0)
    return float(low[0]), float(high[0]), float(low[1]), float(high[1])


def _merged(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Spans that touch, joined: two battens side by side bear as one."""
    merged: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if merged and low <= merged[-1][1] + TOUCH:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    return merged


def _under(battens: list[tuple[float, float]], end: float, way: int) -> float:
    """Length of batten under a board from its end inward; below 0 by how far the end misses one."""
    spans = battens if way > 0 else [(-high, -low) for low, high in battens]
    at = end * way
    on = [high - at for low, high in spans if low <= at + TOUCH and high >= at]
    if on:
        return max(on)
    return -min((min(abs(low - at), abs(high - at)) for low, high in spans), default=float("inf"))


def check_joints(model: Model, rules: Rules) -> Iterator[Finding]:
    """Hold every butt joint to its bearing, gap, stagger and column.

    Parameters
    ----------
    model : Model
    rules : Rules
        `bearing`, `joint_gap`, `end_gap`, `stagger`, `column_rest`.
    """
    for wall in model.walls:
        if not model.of_kind(Kind.BOARD, wall=wall.name):
            continue
        found = joints(model, wall.name)
        faults: list[tuple[object, float, Finding]] = []
        nearest: tuple[float, Joint, Joint] | None = None
        for joint in found:
            faults += _alone(joint, rules)
        faults += _short_ends(model, wall.name, rules)
        by_course: dict[int, list[Joint]] = {}
        for joint in found:
            by_course.setdefault(joint.course, []).append(joint)
        for joint in found:
            for above in by_course.get(joint.course + 1, ()):
                apart = abs(above.x - joint.x)
                if nearest is None or apart < nearest[0]:
                    nearest = (apart, joint, above)
                if apart < rules.stagger.value - EXACT:
                    key = (above.left.mark, "stagger")
                    faults.append((key, -apart, _stagger(joint, above, apart, rules)))
            for rise in range(2, ceil(rules.column_rest.value)):
                for above in by_course.get(joint.course + rise, ()):
                    if abs(above.x - joint.x) < SAME_COLUMN:
                        key = (above.left.mark, "column")
                        faults.append((key, -rise, _column(joint, above, rise, rules)))
        yield from conclude(worst_each(faults), _sound(wall.name, found, nearest, rules))


def _alone(joint: Joint, rules: Rules) -> Iterator[tuple[object, float, Finding]]:
    """Faults that a joint has by itself."""
    name = f"The joint between boards {joint.left.mark} and {joint.right.mark}"
    if joint.bearing < rules.bearing.value - EXACT:
        lies = (
            "is not on a batten" if joint.bearing < 0 else f"bears only {joint.bearing:.1f} mm on its batten"
        )
        yield (
            (joint.left.mark, "bearing"),
            -joint.bearing,
            _fault(
                joint,
                f"{name} {lies}.",
                joint.bearing,
                rules.bearing,
                "Put the joint on the middle of a batten, doubled if need be.",
            ),
        )
    if joint.gap > rules.joint_gap.value + EXACT:
        yield (
            (joint.left.mark, "gap"),
            joint.gap,
            _fault(
                joint,
                f"{name} is {joint.gap:.1f} mm open.",
                joint.gap,
                rules.joint_gap,
                "Cut the board longer.",
            ),
        )


def _short_ends(model: Model, wall: str, rules: Rules) -> Iterator[tuple[object, float, Finding]]:
    """Board ends that stop well short of the post or trim they should meet."""
    stops = [(p, _box(p), *_depth(p)) for p in around(model, wall, *STOPS)]
    for row in _rows(model, wall):
        boxes = [_box(board) for board in row]
        for board, box in zip(row, boxes, strict=True):
            back, front = _depth(board)
            beside = [
                s for s in stops if s[1][2] < box[3] and s[1][3] > box[2] and s[2] < front and s[3] > back
            ]
            for way in (-1, 1):
                end = box[1] if way > 0 else -box[0]
                ahead = [(_near_side(s[1], way) - end, s[0]) for s in beside if _near_side(s[1], way) > end]
                if not ahead:
                    continue
                gap, stop = min(ahead, key=lambda pair: pair[0])
                space = (end, end + gap) if way > 0 else (-end - gap, -end)
                if gap <= rules.end_gap.value + EXACT:
                    continue
                edge = [(x, x, box[2], box[3]) for x in space]
                if not _parted(edge[0], edge[1], boxes) and _bare(model, wall, (*space, box[2], box[3])):
                    yield (board.mark, "end", way), gap, _short_end(board, stop, end * way, gap, rules)


def _depth(part: Part) -> tuple[float, float]:
    """Back and front of a piece. [mm]"""
    return float(part.vertices[:, 2].min()), float(part.vertices[:, 2].max())


def _near_side(box: Box, way: int) -> float:
    """The side of a box that is met first, going to the right (1) or to the left (-1)."""
    return box[0] if way > 0 else -box[1]


def _short_end(board: Part, stop: Part, x: float, gap: float, rules: Rules) -> Finding:
    low, high = board.vertices.min(axis=0), board.vertices.max(axis=0)
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL,
        wall=board.wall,
        mark=board.mark,
        other=stop.mark,
        where=point(x, (low[1] + high[1]) / 2, high[2]),
        measured=gap,
        limit=rules.end_gap.value,
        unit=rules.end_gap.unit,
        basis=rules.end_gap.basis,
        remedy="Cut the board longer.",
        text=f"Board {board.mark} ends {gap:.1f} mm short of {stop.kind} {stop.mark}.",
    )


def _stagger(below: Joint, above: Joint, apart: float, rules: Rules) -> Finding:
    text = (
        f"The joint at the right of board {above.left.mark} is {apart:.0f} mm along from the one below it, "
        f"at the right of {below.left.mark}; at least {rules.stagger.value:.0f} is wanted."
    )
    return _fault(
        above, text, apart, rules.stagger, "Move one of the two joints to another batten.", below.left.mark
    )


def _column(below: Joint, above: Joint, rise: int, rules: Rules) -> Finding:
    text = (
        f"The joint at the right of board {above.left.mark} stands over that of {below.left.mark}, "
        f"{rise} courses below; a column is used once in {rules.column_rest.value:.0f} courses."
    )
    return _fault(
        above, text, rise, rules.column_rest, "Move one of the two joints to another batten.", below.left.mark
    )


def _fault(
    joint: Joint, text: str, measured: float, limit: Limit, remedy: str, other: str | None = None
) -> Finding:
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL,
        wall=joint.left.wall,
        mark=joint.left.mark,
        other=other or joint.right.mark,
        where=point(joint.x, joint.y, float(joint.left.vertices[:, 2].max())),
        measured=float(measured) if isfinite(measured) else None,
        limit=limit.value,
        unit=limit.unit,
        basis=limit.basis,
        remedy=remedy,
        text=text,
    )


def _sound(
    wall: str, found: list[Joint], nearest: tuple[float, Joint, Joint] | None, rules: Rules
) -> Finding:
    if not found:
        return Finding(
            check=NAME, verdict=Verdict.OK, wall=wall, text="No butt joints: every board runs through."
        )
    least = min(found, key=lambda j: j.bearing)
    apart = f"; neighbours at least {nearest[0]:.0f} mm apart" if nearest else ""
    return Finding(
        check=NAME,
        verdict=Verdict.OK,
        wall=wall,
        mark=least.left.mark,
        other=least.right.mark,
        where=point(least.x, least.y, float(least.left.vertices[:, 2].max())),
        measured=least.bearing,
        limit=rules.bearing.value,
        unit="mm",
        basis=rules.bearing.basis,
        text=f"All {len(found)} butt joints are on battens, bearing at least {least.bearing:.1f} mm{apart}.",
    )
