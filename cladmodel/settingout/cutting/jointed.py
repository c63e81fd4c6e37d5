"""Programs in which joints and patterns are chosen together: what a layout cuts, its boards must yield."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cladmodel.settingout.cutting.knapsack import Kind, Pattern, best_fit, best_patterns
from cladmodel.settingout.cutting.network import Arc, Network, path_rows
from cladmodel.settingout.cutting.programs import (
    Effort,
    Relaxation,
    Rows,
    Watch,
    Whole,
    rounded_up,
    whole,
)
from cladmodel.settingout.cutting.relaxed import SAVING, Sawing, sawing_rows

# How much a third of the lengths' worth is lowered so that one round finds several patterns. [-] by trial
SHADE = 0.03
# What a piece costs where all lengths are worth nothing: keeps joints few. [coin]
A_PIECE = 1e-4
# Relative gap at which a layout by the lengths' worth is good enough. [-] by trial
GAP = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Program:
    """A layout program without its patterns.

    Attributes
    ----------
    lengths : list of int
        Items, falling. [mm]
    item : (arcs,) int
        Length that each arc cuts.
    cost : (arcs,) float
        Price of the joint at its right end. [coin]
    rows : Rows
        Over the arcs.
    settled : (lengths,) int
        Pieces that every layout cuts.
    most : (lengths,) int
        Pieces that a layout may cut.
    """

    lengths: list[int]
    item: NDArray[np.int64]
    cost: NDArray[np.float64]
    rows: Rows
    settled: NDArray[np.int64]
    most: list[int]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Priced:
    """The linear relaxation of a layout program.

    Attributes
    ----------
    bound : float
        No layout costs less. [coin]
    ended : bool
        No pattern is missing: ``worth`` belongs to the very optimum.
    worth : (lengths,) float
        What one piece more of each length costs. [coin]
    lent : dict
        Dual of each limited kind, not above 0. [coin]
    sawings : dict
        Patterns found, in order.
    """

    bound: float
    ended: bool
    worth: NDArray[np.float64]
    lent: dict[int, float]
    sawings: dict[Sawing, None]


def full_program(net: Network, prices: Mapping[str, int], caps: Mapping[str, int]) -> Program:
    """Every run with arcs of its own and all rules.

    Parameters
    ----------
    net : Network
    prices : mapping
        Price of a joint in each wall.
    caps : mapping
        Most joints in a wall, where that is limited.
    """
    rows = net.rows.copy()
    for wall, cap in caps.items():
        row = [(j, 1.0) for j, a in enumerate(net.arcs) if not a.last and net.runs[a.run].wall.name == wall]
        rows.add(row, -math.inf, float(cap))
    costs = [0.0 if a.last else float(prices[net.runs[a.run].wall.name]) for a in net.arcs]
    return _program(net, [(a.length, 1) for a in net.arcs], costs, rows)


def pooled_program(net: Network, prices: Mapping[str, int], caps: Mapping[str, int]) -> Program:
    """Runs that can be jointed alike as one, and no rules between courses: smaller, and still a bound.

    Parameters
    ----------
    net : Network
    prices, caps : mapping
        As for `full_program`.
    """
    of_run: defaultdict[int, list[Arc]] = defaultdict(list)
    for arc in net.arcs:
        of_run[arc.run].append(arc)
    alike: Counter[tuple[object, ...]] = Counter()
    first: dict[tuple[object, ...], int] = {}
    for r, arcs in of_run.items():
        run = net.runs[r]
        left = run.segment.left
        name = run.wall.name
        shape = tuple((a.start - left, a.end - left, a.length) for a in arcs)
        key: tuple[object, ...] = (prices[name], name if name in caps else "", net.most[r], shape)
        alike[key] += 1
        first.setdefault(key, r)
    rows = Rows()
    arcs_out: list[tuple[int, int]] = []
    costs: list[float] = []
    capped: defaultdict[str, list[tuple[int, float]]] = defaultdict(list)
    for key, count in alike.items():
        r = first[key]
        name = net.runs[r].wall.name
        path_rows(of_run[r], len(arcs_out), net.runs[r].segment, count, net.most[r], rows)
        for arc in of_run[r]:
            if not arc.last and name in caps:
                capped[name].append((len(arcs_out), 1.0))
            arcs_out.append((arc.length, count))
            costs.append(0.0 if arc.last else float(prices[name]))
    for name, row in capped.items():
        rows.add(row, -math.inf, float(caps[name]))
    return _program(net, arcs_out, costs, rows)


def _program(net: Network, arcs: Sequence[tuple[int, int]], costs: Sequence[float], rows: Rows) -> Program:
    lengths = net.lengths
    index = {length: i for i, length in enumerate(lengths)}
    settled = np.zeros(len(lengths), dtype=np.int64)
    for length, count in net.settled.items():
        settled[index[length]] = count
    most = settled.copy()
    for length, count in arcs:
        most[index[length]] += count
    return Program(
        lengths=lengths,
        item=np.array([index[length] for length, _ in arcs], dtype=np.int64),
        cost=np.array(costs, dtype=float),
        rows=rows,
        settled=settled,
        most=[int(m) for m in most],
    )


def price_out(
    program: Program,
    kinds: Sequence[Kind],
    kerf: int,
    known: Iterable[Sawing],
    unit: int,
    effort: Effort,
    watch: Watch,
) -> Priced | None:
    """Solve the relaxation by column generation, until its bound cannot reach another price.

    Parameters
    ----------
    program : Program
    kinds : sequence of Kind
    kerf : int
        [mm]
    known : iterable of sawing
    unit : int
        Every cost is a multiple of this; 0 to go on until no pattern is missing. [coin]
    effort : Effort
    watch : Watch

    Returns
    -------
    Priced or None
        None if no layout keeps the rows.
    """
    weights = [length + kerf for length in program.lengths]
    rooms = [kind.room for kind in kinds]
    sawings: dict[Sawing, None] = dict.fromkeys(known)
    for k, kind in enumerate(kinds):
        for i, weight in enumerate(weights):
            if weight <= kind.room:
                sawings[(k, ((i, min(program.most[i], kind.room // weight)),))] = None
        fixed = [i for i in range(len(weights)) if program.settled[i] and weights[i] <= kind.room]
        if fixed:
            patterns = best_fit(
                [weights[i] for i in fixed], [int(program.settled[i]) for i in fixed], kind.room
            )
            for pattern in patterns:
                sawings[(k, tuple((fixed[a], n) for a, n in pattern))] = None
    n, limited = len(weights), [k for k, kind in enumerate(kinds) if kind.limit is not None]
    at_limit = {k: n + at for at, k in enumerate(limited)}
    relaxation = Relaxation(*program_with(program, kinds, list(sawings)))
    bound = 0.0
    for turn in range(effort.rounds):
        solved = relaxation.solve()
        if solved is None:
            return None
        worth = np.maximum(solved.duals[:n], 0.0)
        lent = {k: min(float(solved.duals[row]), 0.0) for k, row in at_limit.items()}
        prices = [kind.price - lent.get(k, 0.0) for k, kind in enumerate(kinds)]
        fits, missing = 1.0, False
        for shade in range(3):
            shaded = (
                worth * (1.0 - SHADE * ((np.arange(n) * 7 + shade * 3 + turn) % 5 == 0)) if shade else worth
            )
            for k, (value, pattern) in enumerate(best_patterns(weights, shaded, program.most, rooms)):
                if not shade and value > 0:
                    fits = min(fits, prices[k] / value)
                saved = sum(worth[i] * count for i, count in pattern) - prices[k]
                if pattern and saved > SAVING and (k, pattern) not in sawings:
                    sawings[(k, pattern)] = None
                    relaxation.add(float(kinds[k].price), sawing_rows((k, pattern), at_limit))
                    missing = True
        if not limited and not program.cost.any():
            bound = max(bound, solved.value * fits)  # Farley: the duals scaled down until they fit
        if not missing:
            bound = solved.value
        settled = unit > 0 and rounded_up(bound, unit) >= rounded_up(solved.value, unit)
        if not missing or settled or watch.up():
            break
    return Priced(bound=bound, ended=not missing, worth=worth, lent=lent, sawings=sawings)


def program_with(
    program: Program, kinds: Sequence[Kind], sawings: Sequence[Sawing]
) -> tuple[NDArray[np.float64], Rows]:
    """Cost and rows over arcs, then patterns: lengths covered, limits, and the program's own rows.

    Parameters
    ----------
    program : Program
    kinds : sequence of Kind
    sawings : sequence of sawing
    """
    arcs = len(program.item)
    cover: list[list[tuple[int, float]]] = [[] for _ in program.lengths]
    drawn: list[list[tuple[int, float]]] = [[] for _ in kinds]
    for j, i in enumerate(program.item):
        cover[i].append((j, -1.0))
    for j, (k, pattern) in enumerate(sawings):
        drawn[k].append((arcs + j, 1.0))
        for i, count in pattern:
            cover[i].append((arcs + j, float(count)))
    rows = Rows()
    for row, fixed in zip(cover, program.settled, strict=True):
        rows.add(row, float(fixed), math.inf)
    for row, kind in zip(drawn, kinds, strict=True):
        if kind.limit is not None:
            rows.add(row, -math.inf, float(kind.limit))
    for held, low, high in zip(program.rows.rows, program.rows.low, program.rows.high, strict=True):
        rows.add(held, low, high)
    cost = np.concatenate([program.cost, [float(kinds[k].price) for k, _ in sawings]])
    return cost, rows


def cheaper_layout(
    program: Program,
    kinds: Sequence[Kind],
    sawings: Sequence[Sawing],
    low: float,
    high: float,
    effort: Effort,
    watch: Watch,
) -> Whole:
    """Layout and uses of these patterns whose cost lies between two figures.

    Parameters
    ----------
    program : Program
        With all rules.
    kinds : sequence of Kind
    sawings : sequence of sawing
    low, high : float
        [coin]
    effort : Effort
    watch : Watch

    Returns
    -------
    Whole
        Arcs, then uses.
    """
    cost, rows = program_with(program, kinds, sawings)
    rows.add([(j, float(c)) for j, c in enumerate(cost) if c], low, high)
    upper = np.concatenate([np.ones(len(program.item)), np.full(len(sawings), np.inf)])
    return whole(cost, rows, upper, effort.nodes, watch)


def cheapest_arcs(
    program: Program, worth: NDArray[np.float64], effort: Effort, watch: Watch, *, presolve: bool
) -> NDArray[np.int64] | None:
    """Layout whose pieces are worth least by the marginal price of their lengths.

    Parameters
    ----------
    program : Program
        With all rules.
    worth : (lengths,) float
        [coin]
    effort : Effort
    watch : Watch
    presolve : bool
        See `whole`.

    Returns
    -------
    (arcs,) int or None
        1 for an arc that is taken; None if no layout keeps the rules.
    """
    cost = worth[program.item] + program.cost + A_PIECE
    return whole(cost, program.rows, np.ones(len(cost)), effort.nodes, watch, GAP, presolve=presolve).x


def pattern_of(lengths: Sequence[int], index: Mapping[int, int]) -> Pattern:
    """Pattern that cuts these lengths.

    Parameters
    ----------
    lengths : sequence of int
        [mm]
    index : mapping
        Item of each length.
    """
    return tuple(sorted(Counter(index[length] for length in lengths).items()))
