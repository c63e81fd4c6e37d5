"""Patterns: how many pieces of each length come out of one board.

Lengths carry one kerf each and so does the board, so that n pieces count n - 1 kerfs between them.
"""

from __future__ import annotations

import bisect
from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

# (item, how many of it), items rising
Pattern = tuple[tuple[int, int], ...]

# Values below this are rounding of the linear programs. [-]
TINY = 1e-9


class Kind(NamedTuple):
    """A stock length as the programs see it: room with one kerf added [mm], price, most boards or None.

    Attributes
    ----------
    room : int
        [mm]
    price : int
        [coin]
    limit : int or None
    """

    room: int
    price: int
    limit: int | None


class Use(NamedTuple):
    """So many boards of one kind, cut by one pattern.

    Attributes
    ----------
    kind : int
        Index of the kind.
    pattern : Pattern
    times : int
        [boards]
    """

    kind: int
    pattern: Pattern
    times: int


def best_patterns(
    weights: Sequence[int], values: NDArray[np.float64], most: Sequence[int], rooms: Sequence[int]
) -> list[tuple[float, Pattern]]:
    """Most valuable pattern for each room: a bounded knapsack, solved once for all rooms.

    Parameters
    ----------
    weights : (n,) int
        Lengths with one kerf. [mm]
    values : (n,) float
        What one piece of each is worth; those not above 0 are left out.
    most : (n,) int
        Most pieces of each in one board.
    rooms : sequence of int
        [mm]

    Returns
    -------
    list of (value, pattern)
        One for each room.
    """
    largest = max(rooms)
    best = np.zeros(largest + 1)
    steps: list[tuple[int, int, int, NDArray[np.bool_]]] = []
    worth = sorted(
        (i for i in range(len(weights)) if values[i] > TINY and weights[i] <= largest),
        key=lambda i: (-values[i] / weights[i], i),
    )
    for i in worth:
        left, pack = min(most[i], largest // weights[i]), 1
        while left > 0:
            count = min(pack, left)
            left -= count
            pack *= 2
            shift = count * weights[i]
            if shift > largest:
                break
            packed = best[:-shift] + count * values[i]
            taken = packed > best[shift:] + TINY
            best[shift:] = np.where(taken, packed, best[shift:])
            steps.append((i, count, shift, taken))
    found = []
    for room in rooms:
        held: Counter[int] = Counter()
        rest = room
        for i, count, shift, taken in reversed(steps):
            if rest >= shift and taken[rest - shift]:
                held[i] += count
                rest -= shift
        found.append((float(best[room]), tuple(sorted(held.items()))))
    return found


def every_pattern(
    weights: Sequence[int],
    most: Sequence[int],
    room: int,
    values: NDArray[np.float64] | None = None,
    least: float = 0.0,
    at_most: int | None = None,
) -> list[Pattern] | None:
    """Every pattern that holds at least one piece and is worth at least so much.

    Parameters
    ----------
    weights, most : (n,) int
    room : int
        [mm]
    values : (n,) float, optional
        Worth of one piece; all patterns are listed without it.
    least : float
        Patterns worth less are left out.
    at_most : int, optional
        Gives up when there are more.

    Returns
    -------
    list of pattern or None
        None if there are more than ``at_most``.
    """
    order = sorted(range(len(weights)), key=lambda i: (-weights[i], i))
    count = [min(most[i], room // weights[i]) for i in order]
    reach = np.zeros((len(order) + 1, room + 1))
    if values is not None:
        for k in range(len(order) - 1, -1, -1):
            i, after = order[k], reach[k + 1]
            reach[k] = after
            for n in range(1, count[k] + 1):
                shift = n * weights[i]
                np.maximum(reach[k, shift:], after[:-shift] + n * values[i], out=reach[k, shift:])
    found: list[Pattern] = []
    stack: list[tuple[int, int, float, Pattern]] = [(0, room, 0.0, ())]
    while stack:
        k, rest, worth, held = stack.pop()
        if worth + reach[k, rest] < least - TINY:
            continue
        if k == len(order) or rest < weights[order[-1]]:
            if held:
                found.append(tuple(sorted(held)))
                if at_most is not None and len(found) > at_most:
                    return None
            continue
        i = order[k]
        gain = 0.0 if values is None else float(values[i])
        for n in range(min(count[k], rest // weights[i]) + 1):
            more = (*held, (i, n)) if n else held
            stack.append((k + 1, rest - n * weights[i], worth + n * gain, more))
    return found


def best_fit(weights: Sequence[int], demand: Sequence[int], room: int) -> list[Pattern]:
    """Longest piece first, each into the board that it fills best: one pattern a board.

    Parameters
    ----------
    weights, demand : (n,) int
    room : int
        Of every board; takes the heaviest piece. [mm]

    Returns
    -------
    list of pattern
    """
    boards: list[Counter[int]] = []
    rests: list[tuple[int, int]] = []  # (rest, board), rising
    for i in sorted(range(len(weights)), key=lambda i: (-weights[i], i)):
        for _ in range(demand[i]):
            at = bisect.bisect_left(rests, (weights[i], -1))
            if at < len(rests):
                rest, board = rests.pop(at)
            else:
                rest, board = room, len(boards)
                boards.append(Counter())
            boards[board][i] += 1
            bisect.insort(rests, (rest - weights[i], board))
    return [tuple(sorted(board.items())) for board in boards]


def fill(weights: Sequence[int], demand: Sequence[int], kinds: Sequence[Kind]) -> list[Use]:
    """Board after board, each filled as full as may be, of the kind that is cheapest for its length.

    Parameters
    ----------
    weights, demand : (n,) int
    kinds : sequence of Kind
        Limits are kept.

    Returns
    -------
    list of Use
        Short of the demand only if the kinds' limits are.
    """
    rest = list(demand)
    stock = [kind.limit for kind in kinds]
    # Long pieces first: they leave less choice later. A thousandth a millimetre settles ties only.
    values = np.array([w * (1.0 + 1e-3 * w / max(weights)) for w in weights])
    plan: list[Use] = []
    while any(rest):
        open_kinds = [k for k in range(len(kinds)) if stock[k] is None or stock[k]]
        if not open_kinds:
            break
        asked = [float(v) if r else 0.0 for v, r in zip(values, rest, strict=True)]
        found = best_patterns(weights, np.array(asked), rest, [kinds[k].room for k in open_kinds])
        ways = [
            (kinds[k].price / sum(weights[i] * n for i, n in pattern), k, pattern)
            for k, (_, pattern) in zip(open_kinds, found, strict=True)
            if pattern
        ]
        if not ways:
            break
        _, k, pattern = min(ways)
        times = min(rest[i] // n for i, n in pattern)
        limit = stock[k]
        if limit is not None:
            times = min(times, limit)
            stock[k] = limit - times
        plan.append(Use(k, pattern, times))
        for i, n in pattern:
            rest[i] -= n * times
    return plan
