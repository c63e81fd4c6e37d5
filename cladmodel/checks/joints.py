"""Butt joints: on battens with enough bearing, not too open, well staggered, columns rested."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, isfinite

from cladmodel.checks.finding import Finding, Verdict, conclude, point, worst_each
from cladmodel.checks.rules import EXACT, TOUCH, Limit, Rules
from cladmodel.model import Kind, Model, Part

NAME = "joints"

JOINT_REACH = 50.0
"""Two ends of one course nearer than this meet in a butt joint; further apart, something stands between
them: an opening's trims are wider. [mm]"""

SAME_COLUMN = 50.0
"""Joints nearer to each other along the wall than this stand over each other on one batten. [mm]"""


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
    battens = [_box(p) for p in model.of_kind(Kind.BATTEN, wall=wall)]
    found: list[Joint] = []
    courses: dict[int, list[Part]] = {}
    for board in model.of_kind(Kind.BOARD, wall=wall):
        courses.setdefault(board.course or 0, []).append(board)
    behind_at: dict[float, list[tuple[float, float]]] = {}
    for course in sorted(courses):
        row = sorted(courses[course], key=lambda p: float(p.vertices[:, 0].min()))
        boxes = [_box(p) for p in row]
        starts = [box[0] for box in boxes]
        for index, (left, a) in enumerate(zip(row, boxes, strict=True)):
            first = bisect_left(starts, a[1] - 2 * JOINT_REACH)
            last = bisect_right(starts, a[1] + 2 * JOINT_REACH)
            for other in range(max(first, index + 1), last):
                b = boxes[other]
                low, high = max(a[2], b[2]), min(a[3], b[3])
                if abs(b[0] - a[1]) > JOINT_REACH or low >= high:
                    continue
                y = (low + high) / 2
                if y not in behind_at:
                    behind_at[y] = _merged([(t[0], t[1]) for t in battens if t[2] <= y <= t[3]])
                behind = behind_at[y]
                found.append(
                    Joint(
                        left=left,
                        right=row[other],
                        x=(a[1] + b[0]) / 2,
                        y=y,
                        gap=b[0] - a[1],
                        bearing=min(_under(behind, a[1], -1), _under(behind, b[0], 1)),
                    )
                )
    return found


def _box(part: Part) -> tuple[float, float, float, float]:
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
        `bearing`, `joint_gap`, `stagger`, `column_rest`.
    """
    for wall in model.walls:
        if not model.of_kind(Kind.BOARD, wall=wall.name):
            continue
        found = joints(model, wall.name)
        faults: list[tuple[object, float, Finding]] = []
        nearest: tuple[float, Joint, Joint] | None = None
        for joint in found:
            faults += _alone(joint, rules)
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
