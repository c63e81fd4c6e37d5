"""Ways to joint every run, as arcs from joint line to joint line, and the rows that hold the rules.

::

    left ---> column ---> column ---> right        one arc a piece, one path a run
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from cladmodel.settingout.cutting.inputs import Job, Rules, Run, Segment, cut_length, is_piece
from cladmodel.settingout.cutting.plans import Joints, Piece, RunKey
from cladmodel.settingout.cutting.programs import Rows

# More pieces than any run has.
MANY = 10**6


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """One piece that run ``run`` may have, between two of its lines. [mm]

    Attributes
    ----------
    run : int
        Index into the network's runs.
    start, end : int
        Ends of the run or joint lines in it. [mm]
    length : int
        To cut. [mm]
    last : bool
        Whether it ends where the run does: without a joint.
    """

    run: int
    start: int
    end: int
    length: int
    last: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Paths:
    """Ways to joint one segment.

    Attributes
    ----------
    arcs : tuple of (start, end)
        Pieces on some way from left to right within the limit. [mm]
    fewest : int
        Pieces of the shortest way; ``MANY`` if there is none.
    """

    arcs: tuple[tuple[int, int], ...]
    fewest: int


def paths(segment: Segment, columns: Sequence[int], rules: Rules, longest: int, more: int) -> Paths:
    """Ways through a segment with at most ``more`` pieces above the fewest.

    Parameters
    ----------
    segment : Segment
    columns : sequence of int
        Columns of it that may be used, rising. [mm]
    rules : Rules
    longest : int
        Longest piece that any board yields. [mm]
    more : int

    Returns
    -------
    Paths
    """
    lines = [segment.left, *columns, segment.right]
    arcs = [
        (p, q)
        for at, p in enumerate(lines)
        for q in lines[at + 1 :]
        if is_piece(segment, p, q, rules, longest)
    ]
    ahead = dict.fromkeys(lines, MANY)
    behind = dict.fromkeys(lines, MANY)
    ahead[segment.left] = behind[segment.right] = 0
    for p, q in sorted(arcs):
        ahead[q] = min(ahead[q], ahead[p] + 1)
    for p, q in sorted(arcs, reverse=True):
        behind[p] = min(behind[p], behind[q] + 1)
    fewest = ahead[segment.right]
    kept = tuple((p, q) for p, q in arcs if ahead[p] + 1 + behind[q] <= fewest + more)
    return Paths(arcs=kept, fewest=min(fewest, MANY))


def clashes(course: int, x: int, other: int, y: int, rules: Rules) -> bool:
    """True if joints at x in one course and y in another may not both be.

    Parameters
    ----------
    course, x : int
        Of one joint. [-, mm]
    other, y : int
        Of the other. [-, mm]
    rules : Rules
    """
    apart, courses = abs(x - y), abs(course - other)
    return (courses == 1 and apart < rules.stagger) or (
        0 < courses < rules.column_rest and apart < rules.same_column
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Network:
    """Every arc of every run that has a choice, and the rows that a layout must keep.

    Attributes
    ----------
    runs : tuple of Run
    arcs : tuple of Arc
        Of the runs with a choice.
    rows : Rows
        One path a run; at most so many pieces; stagger and rest of columns.
    settled : dict
        Lengths of the runs without a choice. [mm]: count
    held : dict
        Joint lines of the runs that stay as they are.
    most : tuple of int or None
        Most pieces of each run; None where its arcs alone already say so.
    """

    runs: tuple[Run, ...]
    arcs: tuple[Arc, ...]
    rows: Rows
    settled: dict[int, int]
    held: Joints
    most: tuple[int | None, ...]

    @property
    def lengths(self) -> list[int]:
        """Every length that some layout cuts, falling. [mm]"""
        return sorted({arc.length for arc in self.arcs} | set(self.settled), reverse=True)

    def joints(self, taken: NDArray[np.int64]) -> Joints:
        """Joint lines of the layout that takes these arcs."""
        found: defaultdict[tuple[str, int, int], list[int]] = defaultdict(list)
        for arc, take in zip(self.arcs, taken, strict=True):
            if take and not arc.last:
                found[self.runs[arc.run].key].append(arc.end)
        return self.held | {key: tuple(sorted(lines)) for key, lines in found.items()}


def network(
    job: Job,
    more: Mapping[str, tuple[int, int]],
    held: Joints | None = None,
    free: frozenset[RunKey] | None = None,
) -> Network:
    """Arcs and rows of a job.

    Parameters
    ----------
    job : Job
    more : mapping
        For each wall, how many joints beyond the fewest a run may have: one that needs joints, and one
        that a single board reaches along.
    held : dict, optional
        Joint lines of the runs that are not free.
    free : set of (wall, course, place), optional
        Runs that may be jointed anew, all in walls of ``more``; without it, all are.

    Returns
    -------
    Network
    """
    held = {} if free is None else {key: lines for key, lines in (held or {}).items() if key not in free}
    taken: defaultdict[str, list[tuple[int, int]]] = defaultdict(list)
    for (wall, course, _), lines in held.items():
        taken[wall] += [(course, line) for line in lines]
    runs = tuple(job.runs())
    arcs: list[Arc] = []
    rows = Rows()
    settled: defaultdict[int, int] = defaultdict(int)
    most: list[int | None] = []
    for r, run in enumerate(runs):
        segment = run.segment
        if free is not None and run.key not in free:
            most.append(None)
            ends = [segment.left, *held.get(run.key, ()), segment.right]
            for p, q in pairwise(ends):
                settled[cut_length(segment, p, q, job.rules.joint_gap)] += 1
            continue
        jointed, whole = more[run.wall.name]
        extra = (
            jointed
            if cut_length(segment, segment.left, segment.right, job.rules.joint_gap) > job.longest
            else whole
        )
        columns = [
            x
            for x in segment.columns
            if not any(clashes(run.course, x, n, y, job.rules) for n, y in taken[run.wall.name])
        ]
        ways = paths(segment, columns, job.rules, job.longest, extra)
        most.append(ways.fewest + extra if extra else None)
        if len(ways.arcs) == 1:
            settled[cut_length(segment, segment.left, segment.right, job.rules.joint_gap)] += 1
            continue
        first = len(arcs)
        arcs += [
            Arc(
                run=r,
                start=p,
                end=q,
                length=cut_length(segment, p, q, job.rules.joint_gap),
                last=q == segment.right,
            )
            for p, q in ways.arcs
        ]
        path_rows(arcs[first:], first, segment, 1, most[-1], rows)
    _rule_rows(runs, arcs, job.rules, rows)
    return Network(
        runs=runs,
        arcs=tuple(arcs),
        rows=rows,
        settled=dict(settled),
        held=held,
        most=tuple(most),
    )


def path_rows(
    arcs: Sequence[Arc], first: int, segment: Segment, count: int, most: int | None, rows: Rows
) -> None:
    """Add the rows that make paths from left to right of the arcs taken.

    Parameters
    ----------
    arcs : sequence of Arc
        All of one run, or of several runs that can be jointed alike.
    first : int
        Number of the first one among the program's variables.
    segment : Segment
        Of the run.
    count : int
        Paths: one for each run.
    most : int or None
        Most pieces of each run; None where its arcs alone already say so.
    rows : Rows
        Added to.
    """
    at: defaultdict[int, list[tuple[int, float]]] = defaultdict(list)
    for j, arc in enumerate(arcs, first):
        at[arc.start].append((j, 1.0))
        at[arc.end].append((j, -1.0))
    rows.add(at.pop(segment.left), float(count), float(count))
    at.pop(segment.right)
    for line in sorted(at):
        rows.add(at[line], 0.0, 0.0)
    if most is not None:
        rows.add([(j, 1.0) for j in range(first, first + len(arcs))], -math.inf, float(most * count))


def _rule_rows(runs: Sequence[Run], arcs: Sequence[Arc], rules: Rules, rows: Rows) -> None:
    """At most one joint in every set of lines of which no two may both carry one.

    Within a course joints stand a least piece apart, so in a window narrower than that and than the stagger
    two neighbouring courses have one joint at most; where the stagger is wider still, a line shuts out every
    such window that lies within its reach. In a window one column wide, so have ``column_rest`` courses.
    """
    at: dict[str, dict[int, dict[int, list[tuple[int, float]]]]] = {}
    for j, arc in enumerate(arcs):
        if not arc.last:
            run = runs[arc.run]
            course = at.setdefault(run.wall.name, {}).setdefault(run.course, {})
            course.setdefault(arc.end, []).append((j, 1.0))
    cliques: dict[tuple[int, ...], None] = {}
    window = min(rules.stagger, rules.least_piece)
    for courses in at.values():
        for number, lines in courses.items():
            upper = courses.get(number + 1, {})
            for x in sorted(lines.keys() | upper.keys()):
                _clique([(lines, x, x + window), (upper, x, x + window)], cliques)
            if rules.stagger > window:
                for one, other in ((lines, upper), (upper, lines)):
                    for x in sorted(one):
                        for y in sorted(other):
                            if abs(x - y) < rules.stagger:
                                end = min(y + window, x + rules.stagger)
                                _clique([(one, x, x + 1), (other, y, end)], cliques)
            group = [courses.get(number + up, {}) for up in range(rules.column_rest)]
            for x in sorted({x for some in group for x in some}):
                _clique([(some, x, x + rules.same_column) for some in group], cliques)
    sets = {clique: set(clique) for clique in cliques}
    by_arc: defaultdict[int, list[tuple[int, ...]]] = defaultdict(list)
    for clique in cliques:
        by_arc[clique[0]].append(clique)
        for j in clique[1:]:
            by_arc[j].append(clique)
    for clique in cliques:
        smaller = sets[clique]
        if not any(len(other) > len(clique) and smaller <= sets[other] for other in by_arc[clique[0]]):
            rows.add([(j, 1.0) for j in clique], -math.inf, 1.0)


def _clique(
    parts: Sequence[tuple[dict[int, list[tuple[int, float]]], int, int]],
    cliques: dict[tuple[int, ...], None],
) -> None:
    held = [(lines, x) for lines, low, high in parts for x in sorted(lines) if low <= x < high]
    if len({id(lines) for lines, _ in held}) > 1:
        cliques[tuple(sorted(j for lines, x in held for j, _ in lines[x]))] = None


def pieces_of(job: Job, joints: Joints) -> list[Piece]:
    """Every piece of a layout, with its place.

    Parameters
    ----------
    job : Job
    joints : dict
        Joint lines of every run that has any.

    Returns
    -------
    list of Piece
    """
    made = []
    for run in job.runs():
        segment = run.segment
        lines = [segment.left, *joints.get(run.key, ()), segment.right]
        for order, (p, q) in enumerate(pairwise(lines)):
            made.append(
                Piece(
                    length=cut_length(segment, p, q, job.rules.joint_gap),
                    wall=run.wall.name,
                    course=run.course,
                    place=run.place,
                    order=order,
                    left=p,
                    right=q,
                )
            )
    return made
