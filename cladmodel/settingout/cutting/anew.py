"""Some runs of a layout jointed anew, joints and patterns at once, while the rest stays.

Courses far enough apart that no rule binds one to another are jointed anew together first: each of them is
then free by itself, and the program is nearly whole as it stands. Courses next to each other come after.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from cladmodel.settingout.cutting.jointed import Program, program_with
from cladmodel.settingout.cutting.knapsack import Kind
from cladmodel.settingout.cutting.network import Network
from cladmodel.settingout.cutting.plans import Joints
from cladmodel.settingout.cutting.programs import ROUNDING, Rows, Watch, whole
from cladmodel.settingout.cutting.relaxed import Sawing

# Possible pieces that a lot may have: of courses apart, of courses together. By trial: more gain next to
# nothing and take several times as long.
APART = 1000
TOGETHER = 400
# Nodes of one such program, and the gaps at which it is good enough: in cost, in fines. By trial.
NODES = 20
COST_GAP = 0.002
FINE_GAP = 0.02
# One joint outweighs the fines of all pieces it could save.
JOINT = 4.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Held:
    """A layout of which a part is jointed anew.

    Attributes
    ----------
    joints : dict
    cost : int
        Of its boards and priced joints. [coin]
    joint_count : int
    pieces : Counter
        Pieces of each length.
    """

    joints: Joints
    cost: int
    joint_count: int
    pieces: Mapping[int, int]


def lots_apart(net: Network, every: int) -> list[frozenset[int]]:
    """Runs with a choice in lots of every so many courses, from the first, from the second and so on.

    Parameters
    ----------
    net : Network
    every : int
        Courses so far apart bind each other by no rule, or by few. [courses]
    """
    return [lot for first in range(every) for lot in _lots(net, APART, every, first)]


def lots_together(net: Network) -> list[frozenset[int]]:
    """Runs with a choice in lots of neighbours.

    Parameters
    ----------
    net : Network
    """
    return _lots(net, TOGETHER, 1, 0)


def _lots(net: Network, most: int, every: int, first: int) -> list[frozenset[int]]:
    arcs = Counter(arc.run for arc in net.arcs)
    lots: list[set[int]] = []
    size = 0
    for run in sorted(arcs):
        if net.runs[run].course % every != first:
            continue
        if not lots or size + arcs[run] > most:
            lots.append(set())
            size = 0
        lots[-1].add(run)
        size += arcs[run]
    return [frozenset(lot) for lot in lots]


def jointed_anew(
    program: Program,
    net: Network,
    kinds: Sequence[Kind],
    sawings: Sequence[Sawing],
    now: Held,
    lot: frozenset[int],
    bound: int,
    stir: NDArray[np.float64],
    watch: Watch,
) -> NDArray[np.int64] | None:
    """Best layout that differs from one in the runs of a lot only.

    Every length is fined by one over how often the layout cuts it, so that rare ones are given up for common
    ones. While the layout costs more than the bound, cost comes first; then it may not grow, and joints and
    fines decide. The program holds the lot's arcs alone: what the other runs take is taken off its rows.

    Parameters
    ----------
    program : Program
        With all rules.
    net : Network
    kinds : sequence of Kind
    sawings : sequence of sawing
        Patterns that may be used.
    now : Held
    lot : frozenset of int
        Runs, by their place in ``net.runs``.
    bound : int
        No layout costs less. [coin]
    stir : (arcs,) float
        What every fine is multiplied by, so that of layouts that cost the same another is found. [-]
    watch : Watch

    Returns
    -------
    (arcs + sawings,) int or None
        Arcs taken, then uses of patterns; None if nothing was found.
    """
    opened, taken = _open(net, now.joints, lot)
    part = _part_of(program, opened, taken)
    price, rows = program_with(part, kinds, sawings)
    arcs = len(opened)
    joint = np.array([0.0 if net.arcs[j].last else 1.0 for j in opened])
    elsewhere = sum(not net.arcs[j].last for j in taken)
    joints = now.joint_count - sum(len(lines) for lines in net.held.values()) - elsewhere
    rows.add([(j, 1.0) for j in np.flatnonzero(joint).tolist()], -math.inf, float(joints))
    fine = np.array([1.0 / (now.pieces.get(length, 0) + 0.5) for length in program.lengths])
    fine[program.settled > 0] = 0.0
    cost = np.zeros(len(price))
    cost[:arcs] = fine[part.item] * stir[opened] + JOINT * joint
    spent = int(program.cost[taken].sum())
    most, gap = now.cost, FINE_GAP
    if now.cost > bound:
        # All fines together weigh less than the least that a cost can fall by.
        unit = math.gcd(*(int(c) for c in (*program.cost, *price) if c))
        cost = price / unit + cost * (0.5 / (1.0 + 2.0 * (1.0 + JOINT) * sum(now.pieces.values())))
        gap = COST_GAP
    priced = [(j, float(c)) for j, c in enumerate(price) if c]
    rows.add(priced, float(bound - spent), most - spent + ROUNDING)
    upper = np.concatenate([np.ones(arcs), np.full(len(sawings), np.inf)])
    found = whole(cost, rows, upper, NODES, watch, gap)
    if found.x is None:
        return None
    x = np.zeros(len(net.arcs) + len(sawings), dtype=np.int64)
    x[taken] = 1
    x[opened] = found.x[:arcs]
    x[len(net.arcs) :] = found.x[arcs:]
    return x


def _open(net: Network, joints: Joints, lot: frozenset[int]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Arcs that runs of the lot may have, and those that the others have."""
    ends: dict[int, set[tuple[int, int]]] = {}
    opened, taken = [], []
    for j, arc in enumerate(net.arcs):
        if arc.run in lot:
            opened.append(j)
            continue
        if arc.run not in ends:
            run = net.runs[arc.run]
            ends[arc.run] = set(pairwise((run.segment.left, *joints.get(run.key, ()), run.segment.right)))
        if (arc.start, arc.end) in ends[arc.run]:
            taken.append(j)
    return np.array(opened, dtype=np.int64), np.array(taken, dtype=np.int64)


def _part_of(program: Program, opened: NDArray[np.int64], taken: NDArray[np.int64]) -> Program:
    """The program of some arcs while others are taken: only rows that the first stand in."""
    place = np.full(len(program.item), -1, dtype=np.int64)
    place[opened] = np.arange(len(opened))
    at = place.tolist()
    is_taken = np.zeros(len(program.item), dtype=bool)
    is_taken[taken] = True
    there = is_taken.tolist()
    rows = Rows()
    for row, low, high in zip(program.rows.rows, program.rows.low, program.rows.high, strict=True):
        own = [(at[j], v) for j, v in row if at[j] >= 0]
        if own:
            gone = sum(v for j, v in row if there[j])
            rows.add(own, low - gone, high - gone)
    settled = program.settled + np.bincount(program.item[taken], minlength=len(program.lengths))
    return Program(
        lengths=program.lengths,
        item=program.item[opened],
        cost=program.cost[opened],
        rows=rows,
        settled=settled.astype(np.int64),
        most=program.most,
    )
