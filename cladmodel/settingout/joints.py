"""Butt joints: on battens, far from the joints of the courses next to them, few and well spread."""

from __future__ import annotations

import bisect
import itertools
import math
from collections import Counter, deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cladmodel.errors import SettingOutError

# One joint outweighs any preference about where it goes. [-]
JOINT = 1_000.0
KEPT = 12  # choices remembered for a run, so that a course above can ask for another
MOST_TRIES = 2_000  # times a course may ask those below for another choice
SEEN = 8  # courses below that a joint is kept away from
# A joint's weight as a neighbour falls to a third (1/e) over this length along the wall. [mm] by trial
FADES = 1_000.0
# Further off than this a joint is no neighbour: it would weigh less than a 1e-8th. [mm]
FAR_OFF = 20 * FADES
USED = 0.5  # what each earlier joint in a column counts against it, beside a neighbour's 1 [-] by trial


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


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRun:
    """One run of boards that may need joints.

    Attributes
    ----------
    left, right : float
        [mm]
    columns : tuple of float
        Where a joint would have bearing, rising. [mm]
    """

    left: float
    right: float
    columns: tuple[float, ...]


def choose_joints(
    courses: Sequence[Sequence[JointRun]], rules: JointRules, names: Sequence[str]
) -> tuple[tuple[float, ...], ...]:
    """Choose joints for every course of a wall from the foot up, few and well spread.

    Parameters
    ----------
    courses : sequence of sequence of JointRun
    rules : JointRules
    names : sequence of str
        Of each course, for the message.

    Returns
    -------
    tuple of tuple of float
        Joint lines of each course, rising. [mm]

    Raises
    ------
    SettingOutError
        If no choice keeps the rules; the message names the course that cannot be joined and the
        nearest way out.

    Notes
    -----
    Each course takes its best choice that goes with the courses below; when a course has none, the
    ones below it take their next best in turn, up to `MOST_TRIES`.
    """
    chosen: list[tuple[float, ...]] = []
    waiting: list[Iterator[tuple[float, ...]]] = []
    furthest, tries = 0, 0
    while len(chosen) < len(courses):
        if len(waiting) == len(chosen):
            waiting.append(_choices(courses[len(chosen)], chosen[::-1], rules))
        choice = next(waiting[-1], None)
        if choice is not None:
            chosen.append(choice)
            furthest = max(furthest, len(chosen))
            continue
        waiting.pop()
        tries += 1
        if not chosen or tries > MOST_TRIES:
            stuck = courses[min(furthest, len(courses) - 1)]
            raise SettingOutError(_no_way(stuck, rules, names[min(furthest, len(courses) - 1)]))
        chosen.pop()
    return tuple(chosen)


def _choices(
    runs: Sequence[JointRun], below: Sequence[tuple[float, ...]], rules: JointRules
) -> Iterator[tuple[float, ...]]:
    """Joints for one course that keep the rules, best first; all but the best only when asked for."""
    yield from _best(runs, below, rules, 1)
    yield from _best(runs, below, rules, KEPT)[1:]


def _best(
    runs: Sequence[JointRun], below: Sequence[tuple[float, ...]], rules: JointRules, kept: int
) -> list[tuple[float, ...]]:
    """The best few choices of joints for one course."""
    found: list[tuple[float, tuple[float, ...]]] = [(0.0, ())]
    for run in runs:
        if run.right - run.left > rules.longest:
            ways = _ways(run, below, rules, kept)
            joined = [(a + b, (*p, *q)) for a, p in found for b, q in ways]
            found = sorted(joined)[:kept]
    return [path for _, path in found]


def _ways(
    run: JointRun, below: Sequence[tuple[float, ...]], rules: JointRules, kept: int
) -> list[tuple[float, tuple[float, ...]]]:
    """Best ways to join one run, as (cost, joints): shortest paths over the allowed columns.

    Every joint costs 1,000, and up to a few units more the nearer it stands to joints below and the
    oftener its column has been used.
    """
    rested = {c for course in below[: rules.column_rest - 1] for c in course}
    near = sorted(below[0]) if below else []
    used = Counter(c for course in below for c in course)
    best: dict[float, list[tuple[float, tuple[float, ...]]]] = {run.left: [(0.0, ())]}
    starts = deque(best)
    for c in run.columns:
        if not run.left + rules.least_piece <= c <= run.right - rules.least_piece or c in rested:
            continue
        if _nearest(c, near) < rules.stagger:
            continue
        # Columns rise: a start out of reach of this one is out of reach of all that follow.
        while starts and c - starts[0] > rules.longest:
            starts.popleft()
        before = [best[s] for s in starts if s == run.left or c - s >= rules.least_piece]
        ways = sorted(itertools.chain.from_iterable(before))[:kept]
        if ways:
            price = JOINT + (_dislike(c, below) + USED * used[c])
            best[c] = [(cost + price, (*path, c)) for cost, path in ways]
            starts.append(c)
    return sorted(
        way for start, paths in best.items() if run.right - start <= rules.longest for way in paths
    )[:kept]


def _nearest(column: float, joints: Sequence[float]) -> float:
    """Distance to the nearest of some joints, which rise. [mm]"""
    at = bisect.bisect(joints, column)
    return min((abs(column - other) for other in joints[max(at - 1, 0) : at + 1]), default=math.inf)


def _dislike(column: float, below: Sequence[tuple[float, ...]]) -> float:
    """How near a column stands to the joints of the courses below. [-]"""
    nearness = 0.0
    for rank, course in enumerate(below[:SEEN]):
        first, last = bisect.bisect(course, column - FAR_OFF), bisect.bisect(course, column + FAR_OFF)
        for other in course[first:last]:
            nearness += math.exp(-abs(column - other) / FADES) / (1 + rank)
    return nearness


def _no_way(runs: Sequence[JointRun], rules: JointRules, where: str) -> str:
    run = next(r for r in runs if r.right - r.left > rules.longest)
    long = run.right - run.left
    low, high = max(run.right - rules.longest, run.left), run.left + rules.longest
    text = f"{where}: run {long:.0f} is longer than a board ({rules.longest:.0f} usable) and "
    if low > high:
        return text + (
            "no battens let it be joined more than once with the stagger, the rest between joints in one "
            "column and the least piece; add battens, lower rules.stagger or use longer stock"
        )
    inside = [c for c in run.columns if low <= c <= high]
    if inside or not run.columns:
        return text + (
            "no batten keeps the stagger, the rest between joints in one column and the least piece; "
            "add a batten, lower rules.stagger or use longer stock"
        )
    nearest = min(run.columns, key=lambda c: min(abs(c - low), abs(c - high)))
    need = max(nearest - run.left, run.right - nearest)
    return text + (
        f"no batten lies at {low:.0f}-{high:.0f}; nearest {nearest:.0f}. "
        f"Add a batten there or use boards of {need:.0f} or more"
    )
