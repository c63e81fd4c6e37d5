"""Butt joints: on battens, far from the joints of the courses next to them, few and well spread."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from cladmodel.errors import SettingOutError

# One joint outweighs any preference about where it goes. [-]
JOINT = 1_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRules:
    """What joints must keep to.

    Attributes
    ----------
    longest : float
        Most length usable from one stock board. [mm]
    least_piece : float
        Shortest piece at a joint. [mm]
    stagger : float
        Least distance to a joint of the course below. [mm]
    column_rest : int
        A column is used at most once in so many courses.
    """

    longest: float
    least_piece: float
    stagger: float
    column_rest: int


def choose_joints(
    run: tuple[float, float],
    columns: Sequence[float],
    below: Sequence[Sequence[float]],
    used: dict[float, int],
    rules: JointRules,
    where: str,
) -> tuple[float, ...]:
    """Choose the fewest joints for one run of boards, spread away from those below.

    Parameters
    ----------
    run : (2,) float
        Left and right end of the run. [mm]
    columns : sequence of float
        Where a joint would have bearing, rising. [mm]
    below : sequence of sequence of float
        Joints of the courses below, nearest course first. [mm]
    used : dict
        How often each column has been used so far.
    rules : JointRules
    where : str
        Wall and course, for the message.

    Returns
    -------
    tuple of float
        Joint lines, rising; empty when one board reaches. [mm]

    Raises
    ------
    SettingOutError
        If no choice keeps the rules; the message names the nearest way out.

    Notes
    -----
    Shortest path over the allowed columns; every joint costs 1,000, and up to a few units more the
    nearer it stands to joints below and the oftener its column has been used.
    """
    left, right = run
    if right - left <= rules.longest:
        return ()
    rested = {c for course in below[: rules.column_rest - 1] for c in course}
    near = below[0] if below else ()
    allowed = [
        c
        for c in columns
        if left + rules.least_piece <= c <= right - rules.least_piece
        and c not in rested
        and all(abs(c - other) >= rules.stagger for other in near)
    ]
    best: dict[float, tuple[float, tuple[float, ...]]] = {left: (0.0, ())}
    for c in allowed:
        ways = [
            (cost + JOINT + _dislike(c, below, used), (*path, c))
            for start, (cost, path) in best.items()
            if (rules.least_piece <= c - start or start == left) and c - start <= rules.longest
        ]
        if ways:
            best[c] = min(ways)
    ends = [found for start, found in best.items() if right - start <= rules.longest]
    if ends:
        return min(ends)[1]
    raise SettingOutError(_no_way(left, right, columns, rules, where))


def _dislike(column: float, below: Sequence[Sequence[float]], used: dict[float, int]) -> float:
    nearness = sum(
        math.exp(-abs(column - other) / 1_000.0) / (1 + rank)
        for rank, course in enumerate(below)
        for other in course
    )
    return nearness + 0.5 * used.get(column, 0)


def _no_way(left: float, right: float, columns: Sequence[float], rules: JointRules, where: str) -> str:
    run = right - left
    low, high = right - rules.longest, left + rules.longest
    inside = [c for c in columns if low <= c <= high]
    text = f"{where}: run {run:.0f} is longer than a board ({rules.longest:.0f} usable) and "
    if inside or not columns:
        return text + (
            "no batten keeps the stagger, the rest between joints in one column and the least piece; "
            "add a batten, lower rules.stagger or use longer stock"
        )
    nearest = min(columns, key=lambda c: min(abs(c - low), abs(c - high)))
    return text + (
        f"no batten lies at {max(low, 0):.0f}-{high:.0f}; nearest {nearest:.0f}. "
        f"Add a batten there or use boards of {run / 2 + abs(nearest - (left + right) / 2):.0f} or more"
    )
