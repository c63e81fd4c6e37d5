"""Whether a job can be jointed at all, with how few joints; if not, the smallest change that would help."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from cladmodel.errors import SettingOutError
from cladmodel.settingout.cutting.inputs import Job, Rules, Segment, Stock, Wall, cut_length, is_piece
from cladmodel.settingout.cutting.network import MANY, network, paths
from cladmodel.settingout.cutting.plans import Joints
from cladmodel.settingout.cutting.programs import Effort, Watch, whole

# How many joints more than the fewest a run is given, step by step, when the rules ask for it:
# runs that need joints, runs that do not.
STEPS = ((0, 0), (1, 0), (1, 1), (99, 99))

# Whether a wall can be jointed at all is settled in hundredths of a second; this is only a guard. [s]
PATIENCE = 30.0
LEAST_NODES = 5_000  # of that program, however little effort is asked for: it is to be settled [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fewest:
    """Fewest joints of one wall.

    Attributes
    ----------
    joints : int
    layout : dict
        A layout with so many: joint lines of every run that has any.
    more : (int, int)
        How many joints above its own fewest a run must be allowed: one that needs joints, one that does not.
    """

    joints: int
    layout: Joints
    more: tuple[int, int]


def need_reach(job: Job) -> None:
    """Check that every run can be jointed by itself.

    Parameters
    ----------
    job : Job

    Raises
    ------
    SettingOutError
        One line for each kind of run that cannot: wall, courses, rule and the smallest change.
    """
    found: dict[tuple[str, str], list[int]] = {}
    for run in job.runs():
        if paths(run.segment, run.segment.columns, job.rules, job.longest, 0).fewest >= MANY:
            text = _no_way(job, run.segment)
            found.setdefault((run.wall.name, text), []).append(run.course)
    if found:
        lines = [f"{wall}, {_courses(numbers)}: {text}" for (wall, text), numbers in found.items()]
        raise SettingOutError("\n".join(lines))


def fewest_joints(job: Job, effort: Effort) -> dict[str, Fewest]:
    """Fewest joints of every wall under all rules.

    Parameters
    ----------
    job : Job
        Every run can be jointed by itself.
    effort : Effort

    Returns
    -------
    dict
        By wall name.

    Raises
    ------
    SettingOutError
        If the rules between courses cannot be kept; names the course and the smallest change.
    """
    found = {}
    for wall in job.walls:
        alone = replace(job, walls=(wall,))
        fewest = _fewest(alone, effort)
        if fewest is None:
            raise SettingOutError(_no_stagger(alone, wall, effort))
        found[wall.name] = fewest
    return found


def _fewest(alone: Job, effort: Effort) -> Fewest | None:
    for more in STEPS:
        net = network(alone, {wall.name: more for wall in alone.walls})
        if not net.arcs:
            return Fewest(joints=0, layout={}, more=more)
        # At the first step every layout has the same joints; later ones are searched for the fewest.
        joint = np.array([0.0 if arc.last else float(more != (0, 0)) for arc in net.arcs])
        ended = whole(
            joint,
            net.rows,
            np.ones(len(net.arcs)),
            max(effort.nodes, LEAST_NODES),
            Watch(PATIENCE),
            presolve=more != (0, 0),
        )
        if ended.x is not None:
            layout = net.joints(ended.x)
            count = sum(len(lines) for lines in layout.values())
            return Fewest(joints=count, layout=layout, more=more)
        if not ended.proven:
            wall = ", ".join(wall.name for wall in alone.walls)
            raise SettingOutError(
                f"{wall}: whether its joints can keep stagger and rest was not settled in {PATIENCE:.0f} s. "
                "Add battens, lower rules.stagger or rules.column_rest, or set cutting.method = 'quick'"
            )
    return None


def _courses(numbers: Sequence[int]) -> str:
    if len(numbers) == 1:
        return f"course {numbers[0]}"
    spans: list[list[int]] = []
    for n in sorted(set(numbers)):
        if spans and n == spans[-1][1] + 1:
            spans[-1][1] = n
        else:
            spans.append([n, n])
    return "courses " + ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in spans)


def _no_way(job: Job, segment: Segment) -> str:
    rules, longest = job.rules, job.longest
    run = cut_length(segment, segment.left, segment.right, rules.joint_gap)
    text = f"run {run} is longer than a board ({longest} usable) and "
    window = _window(segment, rules, longest)
    remedies = []
    if window is not None:
        low, high = window
        text += f"no batten lies at {low}-{high}"
        if segment.columns:
            text += f"; nearest {min(segment.columns, key=lambda x: max(low - x, x - high))}"
        remedies.append("Add a batten there")
    else:
        text += "its battens stand too far apart even for one more between them"
        remedies.append(f"Add battens so that every {longest} holds one")
    board = _shortest_board(segment, rules)
    if board is not None:
        remedies.append(f"use boards of {board + 2 * job.saw.trim} or more")
    piece = _longest_least(segment, rules, longest)
    if piece is not None:
        remedies.append(f"lower rules.least_piece to {piece}")
    return f"{text}. {_either(remedies)}"


def _either(remedies: Sequence[str]) -> str:
    return (" or " if len(remedies) == 2 else ", or ").join(remedies) + "."


def _window(segment: Segment, rules: Rules, longest: int) -> tuple[int, int] | None:
    """Widest stretch in which one more batten, wherever it stands, makes the run possible. [mm]"""
    lines = [segment.left, *segment.columns, segment.right]
    from_left = {segment.left}
    for q in lines[1:]:
        if any(is_piece(segment, p, q, rules, longest) for p in from_left):
            from_left.add(q)
    to_right = {segment.right}
    for p in reversed(lines[:-1]):
        if any(is_piece(segment, p, q, rules, longest) for q in to_right):
            to_right.add(p)
    best: tuple[int, int] | None = None
    start: int | None = None
    for x in range(segment.left + 1, segment.right + 1):
        holds = (
            x < segment.right
            and any(p < x and is_piece(segment, p, x, rules, longest) for p in from_left)
            and any(x < q and is_piece(segment, x, q, rules, longest) for q in to_right)
        )
        if holds and start is None:
            start = x
        if not holds and start is not None:
            if best is None or x - 1 - start > best[1] - best[0]:
                best = (start, x - 1)
            start = None
    return best


def _shortest_board(segment: Segment, rules: Rules) -> int | None:
    """Least usable length with which the run can be jointed as the battens stand. [mm]"""
    lines = [segment.left, *segment.columns, segment.right]
    needs = {segment.left: 0}
    for q in lines[1:]:
        ways = [
            max(need, cut_length(segment, p, q, rules.joint_gap))
            for p, need in needs.items()
            if is_piece(segment, p, q, rules, segment.length)
        ]
        if ways:
            needs[q] = min(ways)
    return needs.get(segment.right)


def _longest_least(segment: Segment, rules: Rules, longest: int) -> int | None:
    """Greatest least piece with which the run can be jointed as the battens stand. [mm]"""
    lines = [segment.left, *segment.columns, segment.right]
    sizes = sorted(
        {q - p - r - g for p in lines for q in lines if q > p for r in _rakes(segment) for g in _gaps(rules)}
    )
    for least in reversed([size for size in sizes if rules.same_column <= size < rules.least_piece]):
        if paths(segment, segment.columns, replace(rules, least_piece=least), longest, 0).fewest < MANY:
            return least
    return None


def _rakes(segment: Segment) -> tuple[int, ...]:
    return tuple({0, segment.rake_left, segment.rake_right})


def _gaps(rules: Rules) -> tuple[int, ...]:
    return tuple({0, rules.joint_gap // 2, rules.joint_gap - rules.joint_gap // 2, rules.joint_gap})


def _no_stagger(alone: Job, wall: Wall, effort: Effort) -> str:
    rules = alone.rules

    def possible(job: Job) -> bool:
        return _fewest(job, effort) is not None

    low, high = 0, len(wall.courses)  # the first `low` courses are possible, the first `high` are not
    while high - low > 1:
        middle = (low + high) // 2
        part = replace(wall, courses=wall.courses[:middle])
        low, high = (middle, high) if possible(replace(alone, walls=(part,))) else (low, middle)
    remedies = []
    batten = next((x for x in _bay_middles(wall) if possible(_with_batten(alone, wall, x))), None)
    if batten is not None:
        remedies.append(f"Add a batten at {batten}")
    longer = [n for n in _pieces(wall, rules) if n > alone.longest]
    at = _smallest(longer, lambda n: possible(_with_boards(alone, n)))
    if at is not None:
        remedies.append(f"use boards of {at + 2 * alone.saw.trim} or more")
    stagger = _largest(
        _distances(wall, rules.stagger), lambda s: possible(replace(alone, rules=replace(rules, stagger=s)))
    )
    if stagger is not None:
        remedies.append(f"lower rules.stagger to {stagger}")
    rest = _largest(
        list(range(1, rules.column_rest)),
        lambda m: possible(replace(alone, rules=replace(rules, column_rest=m))),
    )
    if rest is not None:
        remedies.append(f"lower rules.column_rest to {rest}")
    if not remedies:
        remedies.append(
            "Use longer boards, add battens, or lower rules.stagger and rules.column_rest together"
        )
    remedies[0] = remedies[0][0].upper() + remedies[0][1:]
    return (
        f"{wall.name}, course {wall.courses[high - 1].number}: no batten leaves a joint {rules.stagger} "
        f"(rules.stagger) from those of the course below it and its column at rest for {rules.column_rest} "
        f"courses (rules.column_rest). {_either(remedies)}"
    )


def _bay_middles(wall: Wall) -> Iterator[int]:
    lines = sorted({x for course in wall.courses for run in course.segments for x in run.columns})
    ends = [end for course in wall.courses for run in course.segments for end in (run.left, run.right)]
    lines = [min(ends), *lines, max(ends)]
    for a, b in pairwise(lines):
        yield (a + b) // 2


def _with_batten(alone: Job, wall: Wall, x: int) -> Job:
    courses = tuple(
        replace(course, segments=tuple(replace(run, columns=(*run.columns, x)) for run in course.segments))
        for course in wall.courses
    )
    return replace(alone, walls=(replace(wall, courses=courses),))


def _with_boards(alone: Job, usable: int) -> Job:
    return replace(alone, stocks=(Stock(length=usable + 2 * alone.saw.trim),))


def _pieces(wall: Wall, rules: Rules) -> list[int]:
    """Every length that a piece of the wall could have, rising. [mm]"""
    found = set()
    for course in wall.courses:
        for run in course.segments:
            lines = [run.left, *run.columns, run.right]
            found |= {cut_length(run, p, q, rules.joint_gap) for p in lines for q in lines if q > p}
    return sorted(found)


def _distances(wall: Wall, below: int) -> list[int]:
    lines = sorted({x for course in wall.courses for run in course.segments for x in run.columns})
    return sorted({b - a for a in lines for b in lines if 0 <= b - a < below})


def _smallest(values: Sequence[int], holds: Callable[[int], bool]) -> int | None:
    """Smallest of rising values for which ``holds`` is true, when it is true for all larger ones, too.

    The small ones, which are soon tried, come first: the answer is mostly among them.
    """
    low, step = -1, 1
    while low + step < len(values) and not holds(values[low + step]):
        low, step = low + step, 2 * step
    near = values[low + 1 : low + step + 1]
    at = _largest([-n for n in reversed(near)], lambda n: holds(-n))
    return None if at is None else -at


def _largest(values: Sequence[int], holds: Callable[[int], bool]) -> int | None:
    """Largest of rising values for which ``holds`` is true, when it is true for all smaller ones, too."""
    low, high = -1, len(values)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holds(values[middle]) else (low, middle)
    return values[low] if low >= 0 else None
