"""Exact cutting stock: given pieces, the cheapest boards to cut them from, and proof of it."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cladmodel.errors import SettingOutError
from cladmodel.settingout.cutting.gather import gather
from cladmodel.settingout.cutting.inputs import Saw, Stock
from cladmodel.settingout.cutting.knapsack import Kind, Use, best_fit, every_pattern, fill
from cladmodel.settingout.cutting.plans import Board, CutPlan, Piece
from cladmodel.settingout.cutting.programs import Effort, Watch, rounded_up, whole
from cladmodel.settingout.cutting.relaxed import Relaxed, Sawing, dive, program_rows, relax, trimmed


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """A plan in numbers: uses of patterns, their price, and the proven bound on it.

    Attributes
    ----------
    uses : tuple of Use
    price, bound : int
        [coin]
    """

    uses: tuple[Use, ...]
    price: int
    bound: int


def cut_stock(
    pieces: Sequence[Piece], stocks: Sequence[Stock], saw: Saw, effort: Effort | None = None
) -> CutPlan:
    """Cut pieces from the cheapest boards.

    Parameters
    ----------
    pieces : sequence of Piece
    stocks : sequence of Stock
        Lengths that can be bought, with prices and limits.
    saw : Saw
    effort : Effort, optional

    Returns
    -------
    CutPlan
        With a proven bound; ``proven`` says whether it is met.

    Raises
    ------
    SettingOutError
        If a piece is longer than every board, or the limits leave too few boards; the message says how
        many more would do.
    """
    effort = effort or Effort()
    watch = Watch(effort.guard)
    if not pieces:
        return CutPlan(boards=(), saw=saw, price=0, bound=0)
    longest = max(pieces, key=lambda piece: piece.length)
    usable = max(saw.usable(stock) for stock in stocks)
    if longest.length > usable:
        where = f"{longest.wall}, course {longest.course}: " if longest.wall else ""
        raise SettingOutError(
            f"{where}a piece of {longest.length} is longer than a board ({usable} usable); "
            f"use boards of {longest.length + 2 * saw.trim} or more"
        )
    wanted = Counter(piece.length for piece in pieces)
    lengths = sorted(wanted, reverse=True)
    kinds, spare = kinds_of(stocks, saw)
    counted = cut_counts(
        [length + saw.kerf for length in lengths], [wanted[x] for x in lengths], kinds, effort, watch
    )
    short = sum(use.times for use in counted.uses if use.kind == spare)
    if short:
        raise SettingOutError(too_little_stock(stocks, short))
    return plan_of(counted, lengths, pieces, stocks, saw, repeatable=not watch.struck)


def kinds_of(stocks: Sequence[Stock], saw: Saw) -> tuple[list[Kind], int | None]:
    """Stock as the programs see it.

    Parameters
    ----------
    stocks : sequence of Stock
    saw : Saw

    Returns
    -------
    kinds : list of Kind
        In the order of the stocks; if limits could leave too little, one more that is always to be had but
        dearer than everything else together, so that a plan always exists.
    spare : int or None
        Index of that one.
    """
    kinds = [Kind(saw.usable(stock) + saw.kerf, stock.price, stock.limit) for stock in stocks]
    longest = max(range(len(stocks)), key=lambda k: stocks[k].length)
    if kinds[longest].limit is None:
        return kinds, None
    # Dearer than every limited board; unlimited ones are shorter and cannot be needed in greater numbers
    # than some few hundred a missing long board.
    dear = sum(kind.price * (1_000 if kind.limit is None else kind.limit) for kind in kinds) + 1
    unit = price_unit(kinds)
    return [*kinds, Kind(kinds[longest].room, unit * math.ceil(dear / unit), None)], len(kinds)


def price_unit(kinds: Sequence[Kind]) -> int:
    """Every price is a multiple of this. [coin]

    Parameters
    ----------
    kinds : sequence of Kind
    """
    return math.gcd(*(kind.price for kind in kinds))


def too_little_stock(stocks: Sequence[Stock], short: int, *, least: bool = False) -> str:
    """Message for limits that leave too few boards.

    Parameters
    ----------
    stocks : sequence of Stock
    short : int
        Boards that are wanting.
    least : bool
        Whether it may be more.
    """
    longest = max(stocks, key=lambda stock: stock.length)
    limits = ", ".join(f"{stock.limit} of {stock.length}" for stock in stocks if stock.limit is not None)
    wanting, how = ("are needed at the least", "beyond") if least else ("would do", "to")
    return (
        f"stock: the limits ({limits}) leave too few boards; {short} more of {longest.length} {wanting}. "
        f"Raise that limit {how} {(longest.limit or 0) + short}, or add another stock length"
    )


def cut_counts(
    weights: Sequence[int],
    demand: Sequence[int],
    kinds: Sequence[Kind],
    effort: Effort,
    watch: Watch,
    beat: int | None = None,
) -> Counted:
    """Cheapest uses of patterns for a demand.

    Parameters
    ----------
    weights, demand : (n,) int
        Lengths with one kerf, and pieces wanted of each.
    kinds : sequence of Kind
    effort : Effort
    watch : Watch
    beat : int, optional
        A price already in hand: the search stops once it is plain that no plan is cheaper than that.

    Returns
    -------
    Counted

    Raises
    ------
    SettingOutError
        If the limits leave too few boards.

    Notes
    -----
    Best fit; the linear program by column generation, whose rounded-up value is the bound; dives; the
    integer program over the patterns found; last, over every pattern that a cheaper plan could use.
    """
    unit = price_unit(kinds)
    best = _first_plan(weights, demand, kinds)
    cheapest = min(kind.price / kind.room for kind in kinds)
    bound = rounded_up(cheapest * sum(w * d for w, d in zip(weights, demand, strict=True)), unit)
    if best is not None and _price(best, kinds) <= bound:
        return Counted(uses=tuple(best), price=bound, bound=bound)
    root = relax(weights, demand, kinds, (), effort, watch)
    if root is None:
        raise SettingOutError("stock: the limits leave too few boards")
    bound = max(bound, rounded_up(root.bound, unit))

    def settled() -> bool:
        price = math.inf if best is None else _price(best, kinds)
        return price <= bound or (beat is not None and bound >= beat)

    for lead in range(effort.dives):
        if settled():
            break
        best = _better(best, dive(weights, demand, kinds, root, lead, effort, watch), kinds)
    if not settled():
        best = _better(best, _over(root.sawings, weights, demand, kinds, effort, watch, best)[0], kinds)
    if not settled() and best is not None:
        best, bound = _prove(root, weights, demand, kinds, effort, watch, best, bound)
    if best is None:
        raise SettingOutError("stock: the limits leave too few boards")
    return Counted(uses=tuple(best), price=_price(best, kinds), bound=bound)


def _price(uses: Sequence[Use], kinds: Sequence[Kind]) -> int:
    return sum(kinds[use.kind].price * use.times for use in uses)


def _better(best: list[Use] | None, other: list[Use] | None, kinds: Sequence[Kind]) -> list[Use] | None:
    if best is None or other is None:
        return best if other is None else other
    return other if _price(other, kinds) < _price(best, kinds) else best


def _first_plan(weights: Sequence[int], demand: Sequence[int], kinds: Sequence[Kind]) -> list[Use] | None:
    plans = []
    for kind in kinds:
        if kind.room >= max(weights):
            patterns = best_fit(weights, demand, kind.room)
            plans.append(_cheapest_kinds(patterns, weights, kinds))
    filled = fill(weights, demand, kinds)
    made: Counter[int] = Counter()
    for use in filled:
        for i, n in use.pattern:
            made[i] += n * use.times
    if all(made[i] >= d for i, d in enumerate(demand)):
        plans.append(filled)
    best: list[Use] | None = None
    for plan in plans:
        best = _better(best, plan, kinds)
    return best


def _cheapest_kinds(
    patterns: Sequence[tuple[tuple[int, int], ...]], weights: Sequence[int], kinds: Sequence[Kind]
) -> list[Use] | None:
    """Each pattern from the cheapest kind that holds it, fullest first while limits last."""
    left = [math.inf if kind.limit is None else kind.limit for kind in kinds]
    uses = []
    for pattern in sorted(patterns, key=lambda p: -sum(weights[i] * n for i, n in p)):
        needs = sum(weights[i] * n for i, n in pattern)
        ways = [
            (kind.price, kind.room, k) for k, kind in enumerate(kinds) if kind.room >= needs and left[k] > 0
        ]
        if not ways:
            return None
        k = min(ways)[2]
        left[k] -= 1
        uses.append(Use(k, pattern, 1))
    return uses


def _over(
    sawings: Sequence[Sawing],
    weights: Sequence[int],
    demand: Sequence[int],
    kinds: Sequence[Kind],
    effort: Effort,
    watch: Watch,
    best: Sequence[Use] | None,
) -> tuple[list[Use] | None, bool]:
    """Cheapest plan from these patterns alone that beats the best, and whether the search ended."""
    cost = np.array([kinds[k].price for k, _ in sawings], float)
    rows = program_rows(sawings, demand, kinds)
    if best is not None:
        cheaper = _price(best, kinds) - price_unit(kinds)
        rows.add([(j, float(c)) for j, c in enumerate(cost)], -math.inf, float(cheaper))
    found = whole(cost, rows, np.full(len(sawings), np.inf), effort.nodes, watch)
    if found.x is None:
        return None, found.proven
    uses = [Use(k, pattern, int(n)) for (k, pattern), n in zip(sawings, found.x, strict=True) if n]
    return trimmed(uses, demand), found.proven


def _prove(
    root: Relaxed,
    weights: Sequence[int],
    demand: Sequence[int],
    kinds: Sequence[Kind],
    effort: Effort,
    watch: Watch,
    best: list[Use],
    bound: int,
) -> tuple[list[Use], int]:
    """Search every pattern that a cheaper plan could hold.

    A pattern whose reduced cost is above what the best plan has over the linear program, less one unit of
    price, is in no cheaper plan.
    """
    price = _price(best, kinds)
    if not root.ended:
        return best, bound
    slack = price - price_unit(kinds) - root.value
    sawings: list[Sawing] = []
    for k, kind in enumerate(kinds):
        worth = kind.price - root.limit_worth.get(k, 0.0) - slack
        found = every_pattern(weights, demand, kind.room, root.worth, worth, effort.patterns - len(sawings))
        if found is None:
            return best, bound
        sawings += [(k, pattern) for pattern in found]
    if not sawings:
        return best, price
    cheaper, ended = _over(sawings, weights, demand, kinds, effort, watch, best)
    best = _better(best, cheaper, kinds) or best
    return best, _price(best, kinds) if ended else bound


def plan_of(
    counted: Counted,
    lengths: Sequence[int],
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    saw: Saw,
    repeatable: bool,
) -> CutPlan:
    """Give every piece its board and its turn.

    Parameters
    ----------
    counted : Counted
        No use of a spare kind.
    lengths : (n,) int
        Of the items of its patterns. [mm]
    pieces : sequence of Piece
    stocks : sequence of Stock
    saw : Saw
    repeatable : bool

    Returns
    -------
    CutPlan
        Longest piece of a board first; boards cut alike stand together, and pieces of low courses come
        first among those of equal length.
    """
    sorted_out = gather(
        [
            (stocks[use.kind], sorted((lengths[i] for i, n in use.pattern for _ in range(n)), reverse=True))
            for use in counted.uses
            for _ in range(use.times)
        ],
        stocks,
        saw,
    )
    waiting: defaultdict[int, list[Piece]] = defaultdict(list)
    for piece in sorted(pieces, key=lambda p: (p.course, p.wall, p.left, p.order), reverse=True):
        waiting[piece.length].append(piece)
    boards = tuple(
        Board(stock=stock, pieces=tuple(waiting[length].pop() for length in held))
        for stock, held in sorted_out
    )
    price = sum(board.stock.price for board in boards)
    return CutPlan(
        boards=boards, saw=saw, price=price, bound=min(counted.bound, price), repeatable=repeatable
    )
