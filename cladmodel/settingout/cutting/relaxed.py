"""Column generation for a fixed demand: the linear program over patterns, and plans rounded from it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cladmodel.settingout.cutting.knapsack import Kind, Pattern, Use, best_fit, best_patterns
from cladmodel.settingout.cutting.programs import Effort, Relaxation, Row, Rows, Watch

Sawing = tuple[int, Pattern]
"""A kind of stock, and the pattern that is sawn from it: a column of the programs."""

# A pattern must promise to save this much to be worth adding. [coin]
SAVING = 1e-7
# A linear program's value this near to a whole number is whole. [-]
NEARLY = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Relaxed:
    """The linear program at its optimum over all patterns.

    Attributes
    ----------
    value, bound : float
        Optimum over the patterns found; no plan costs less than the bound. [coin]
    ended : bool
        No pattern is missing: the duals belong to the very optimum.
    sawings : list of sawing
    x : (sawings,) float
    worth : (n,) float
        Dual of each length: what one piece costs at the margin. [coin]
    limit_worth : dict
        Dual of each limited kind, not above 0. [coin]
    """

    value: float
    bound: float
    ended: bool
    sawings: list[Sawing]
    x: NDArray[np.float64]
    worth: NDArray[np.float64]
    limit_worth: dict[int, float]


def relax(
    weights: Sequence[int],
    demand: Sequence[int],
    kinds: Sequence[Kind],
    known: Iterable[Sawing],
    effort: Effort,
    watch: Watch,
) -> Relaxed | None:
    """Solve the linear program, pricing patterns until none is missing.

    Parameters
    ----------
    weights, demand : (n,) int
        Lengths with one kerf, rising or falling, and pieces wanted, all above 0.
    kinds : sequence of Kind
    known : iterable of sawing
        Patterns to start from.
    effort : Effort
    watch : Watch

    Returns
    -------
    Relaxed or None
        None if the limits leave too little.
    """
    rooms = [kind.room for kind in kinds]
    sawings: dict[Sawing, None] = {}
    sawings |= dict.fromkeys(known)
    for k, kind in enumerate(kinds):
        for i, weight in enumerate(weights):
            if weight <= kind.room:
                sawings[(k, ((i, min(demand[i], kind.room // weight)),))] = None
        if max(weights) <= kind.room:
            for pattern in best_fit(weights, demand, kind.room):
                sawings[(k, pattern)] = None
    bound, n = 0.0, len(weights)
    limited = [k for k, kind in enumerate(kinds) if kind.limit is not None]
    at_limit = {k: n + at for at, k in enumerate(limited)}
    prices = np.array([kinds[k].price for k, _ in sawings], float)
    relaxation = Relaxation(prices, program_rows(list(sawings), demand, kinds))
    for turn in range(effort.rounds):
        listed = list(sawings)
        solved = relaxation.solve()
        if solved is None:
            return None
        worth = np.maximum(solved.duals[:n], 0.0)
        lent = {k: min(float(solved.duals[row]), 0.0) for k, row in at_limit.items()}
        ratio, added = 1.0, False
        for k, (value, pattern) in enumerate(best_patterns(weights, worth, demand, rooms)):
            price = kinds[k].price - lent.get(k, 0.0)
            if value > price + SAVING and (k, pattern) not in sawings:
                sawings[(k, pattern)] = None
                relaxation.add(float(kinds[k].price), sawing_rows((k, pattern), at_limit))
                added = True
            if value > 0:
                ratio = min(ratio, price / value)
        if not limited:
            bound = max(bound, solved.value * ratio)  # Farley: the duals scaled down until they fit
        if not added:
            bound = solved.value
        if not added or turn == effort.rounds - 1 or watch.up():
            return Relaxed(
                value=solved.value,
                bound=bound,
                ended=not added,
                sawings=listed,
                x=solved.x,
                worth=worth,
                limit_worth=lent,
            )
    return None


def sawing_rows(sawing: Sawing, at_limit: Mapping[int, int]) -> Row:
    """Rows that a pattern stands in: its lengths', and its kind's where that is limited.

    Parameters
    ----------
    sawing : sawing
    at_limit : mapping
        Row of each limited kind.
    """
    kind, pattern = sawing
    limit = [(at_limit[kind], 1.0)] if kind in at_limit else []
    return [*((i, float(count)) for i, count in pattern), *limit]


def program_rows(sawings: Sequence[Sawing], demand: Sequence[int], kinds: Sequence[Kind]) -> Rows:
    """Rows of the program over these sawings: every length covered, then every limit kept.

    Parameters
    ----------
    sawings : sequence of sawing
    demand : (n,) int
        Pieces wanted of each length.
    kinds : sequence of Kind
    """
    cover: list[list[tuple[int, float]]] = [[] for _ in demand]
    drawn: list[list[tuple[int, float]]] = [[] for _ in kinds]
    for j, (k, pattern) in enumerate(sawings):
        drawn[k].append((j, 1.0))
        for i, count in pattern:
            cover[i].append((j, float(count)))
    rows = Rows()
    for row, wanted in zip(cover, demand, strict=True):
        rows.add(row, float(wanted), math.inf)
    for row, kind in zip(drawn, kinds, strict=True):
        if kind.limit is not None:
            rows.add(row, -math.inf, float(kind.limit))
    return rows


def dive(
    weights: Sequence[int],
    demand: Sequence[int],
    kinds: Sequence[Kind],
    root: Relaxed,
    lead: int,
    effort: Effort,
    watch: Watch,
) -> list[Use] | None:
    """Round the linear program down to a plan, pattern by pattern, solving the rest anew each time.

    Parameters
    ----------
    weights, demand : (n,) int
    kinds : sequence of Kind
    root : Relaxed
        Of the whole demand.
    lead : int
        Rank of the pattern that is rounded up first, so that dives differ.
    effort : Effort
    watch : Watch

    Returns
    -------
    list of Use or None
        None if limits or the guard ended it.
    """
    rest, stock = list(demand), [kind.limit for kind in kinds]
    plan: list[Use] = []
    sawings, first = root.sawings, True
    while any(rest):
        if watch.up():
            return None
        open_items = [i for i, wanted in enumerate(rest) if wanted]
        local = {i: at for at, i in enumerate(open_items)}
        now = [kind._replace(limit=left) for kind, left in zip(kinds, stock, strict=True)]
        if first:
            state: Relaxed | None = root
        else:
            known = (
                (k, tuple((local[i], min(n, rest[i])) for i, n in pattern if i in local))
                for k, pattern in sawings
            )
            state = relax(
                [weights[i] for i in open_items],
                [rest[i] for i in open_items],
                now,
                (sawing for sawing in known if sawing[1]),
                effort,
                watch,
            )
        if state is None:
            return None
        sawings = [(k, tuple((open_items[a], n) for a, n in pattern)) for k, pattern in state.sawings]
        live = [(float(x), sawing) for x, sawing in zip(state.x, sawings, strict=True) if x > NEARLY]
        took = False
        for x, (k, pattern) in sorted(live, key=lambda item: (-item[0], item[1])):
            times = min([math.floor(x + NEARLY)] + [rest[i] // n for i, n in pattern])
            if times > 0:
                _take(Use(k, pattern, times), rest, stock, plan)
                took = True
        if not took:
            ranked = sorted(live, key=lambda item: (-round(item[0], 6), -_filled(weights, item[1]), item[1]))
            k, pattern = ranked[min(lead if first else 0, len(ranked) - 1)][1]
            _take(Use(k, tuple((i, min(n, rest[i])) for i, n in pattern), 1), rest, stock, plan)
        first = False
    return plan


def _take(use: Use, rest: list[int], stock: list[int | None], plan: list[Use]) -> None:
    plan.append(use)
    for i, count in use.pattern:
        rest[i] -= count * use.times
    limit = stock[use.kind]
    if limit is not None:
        stock[use.kind] = limit - use.times


def _filled(weights: Sequence[int], sawing: Sawing) -> int:
    return sum(weights[i] * n for i, n in sawing[1])


def trimmed(uses: Iterable[Use], demand: Sequence[int]) -> list[Use]:
    """The same boards one by one, without the pieces that nobody wants.

    Parameters
    ----------
    uses : iterable of Use
        They cover the demand.
    demand : (n,) int

    Returns
    -------
    list of Use
    """
    rest, kept = list(demand), []
    for use in uses:
        for _ in range(use.times):
            wanted = tuple((i, min(n, rest[i])) for i, n in use.pattern if rest[i] > 0)
            for i, n in wanted:
                rest[i] -= n
            if wanted:
                kept.append(Use(use.kind, wanted, 1))
    return kept
