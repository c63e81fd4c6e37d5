"""Leftovers gathered: the same boards and pieces, what is left in as few and as long offcuts as may be."""

from __future__ import annotations

from collections.abc import Sequence

from cladmodel.settingout.cutting.inputs import Saw, Stock

Cut = tuple[Stock, list[int]]

# Passes over all pairs of boards; found by trial: more change nothing on buildings of four walls.
PASSES = 3
# Boards among which pieces are moved: every pair of them is looked at.
TOGETHER = 300


def gather(boards: Sequence[Cut], stocks: Sequence[Stock], saw: Saw) -> list[Cut]:
    """Move and swap pieces between boards so that long leftovers grow and short ones vanish.

    Parameters
    ----------
    boards : sequence of (Stock, list of int)
        Stock length and what is cut from it. [mm]
    stocks : sequence of Stock
    saw : Saw

    Returns
    -------
    list of (Stock, list of int)
        As many boards of each price or cheaper, each of the shortest stock at its price that holds its
        pieces; longest piece first, fullest boards first, boards cut alike together.
    """
    held = [(stock, sorted(pieces, reverse=True)) for stock, pieces in boards]
    rests = [_rest(stock, pieces, saw) for stock, pieces in held]
    for first in range(0, len(held), TOGETHER):
        _gather(range(first, min(first + TOGETHER, len(held))), held, rests, saw)
    kept = [(stock, pieces) for stock, pieces in held if pieces]
    fitted = _shortest(kept, stocks, saw)
    return sorted(fitted, key=lambda cut: (-cut[0].length, [-x for x in cut[1]]))


def _gather(boards: Sequence[int], held: list[Cut], rests: list[int], saw: Saw) -> None:
    for _ in range(PASSES):
        changed = False
        order = sorted(boards, key=lambda b: (-rests[b], b))
        for b in order:
            for other in reversed(order):
                if other != b and rests[other] > 0 and rests[other] <= rests[b]:
                    changed |= _empty_into(b, other, held, rests, saw)
        if not changed:
            break


def _rest(stock: Stock, pieces: Sequence[int], saw: Saw) -> int:
    """Usable length not taken, one kerf a piece and one lent."""
    return saw.usable(stock) + saw.kerf - sum(piece + saw.kerf for piece in pieces)


def _empty_into(b: int, other: int, held: list[Cut], rests: list[int], saw: Saw) -> bool:
    """Make board ``b`` emptier and ``other`` fuller by one move or one swap, the largest there is."""
    best: tuple[int, int, int | None] | None = None
    mine, theirs = held[b][1], held[other][1]
    for piece in dict.fromkeys(mine):
        if piece + saw.kerf <= rests[other] and (best is None or piece + saw.kerf > best[0]):
            best = (piece + saw.kerf, piece, None)
        for swap in dict.fromkeys(theirs):
            gain = piece - swap
            if 0 < gain <= rests[other] and (best is None or gain > best[0]):
                best = (gain, piece, swap)
    if best is None:
        return False
    gain, piece, back = best
    mine.remove(piece)
    theirs.append(piece)
    if back is not None:
        theirs.remove(back)
        mine.append(back)
    mine.sort(reverse=True)
    theirs.sort(reverse=True)
    rests[b] += gain
    rests[other] -= gain
    return True


def _shortest(boards: Sequence[Cut], stocks: Sequence[Stock], saw: Saw) -> list[Cut]:
    """Each board as the cheapest, then shortest stock that holds it while the limits last."""
    left = {stock.length: stock.limit for stock in stocks}
    for stock, _ in boards:
        limit = left[stock.length]
        if limit is not None:
            left[stock.length] = limit - 1
    fitted = []
    for stock, pieces in boards:
        ways = [
            other
            for other in stocks
            if _rest(other, pieces, saw) >= 0
            and (other.price, other.length) < (stock.price, stock.length)
            and (left[other.length] is None or left[other.length])
        ]
        if ways:
            found = min(ways, key=lambda other: (other.price, other.length))
            for changed, step in ((found, -1), (stock, 1)):
                limit = left[changed.length]
                if limit is not None:
                    left[changed.length] = limit + step
            stock = found
        fitted.append((stock, pieces))
    return fitted
