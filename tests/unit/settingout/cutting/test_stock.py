"""Cutting stock with prices, limits, kerf and trims; small jobs against every plan there is."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest

from cladmodel.errors import SettingOutError
from cladmodel.settingout.cutting.inputs import Saw, Stock
from cladmodel.settingout.cutting.knapsack import best_patterns, every_pattern
from cladmodel.settingout.cutting.plans import Board, Piece
from cladmodel.settingout.cutting.stock import cut_stock

from ....check_plan import check_stock

SAW = Saw(kerf=3, trim=15)


def pieces(*lengths):
    return [Piece(length=length) for length in lengths]


def cheapest_by_trying(lengths, stocks, saw):
    """Least price of all ways to share pieces out over boards."""
    best = [float("inf")]

    def share(left, boards):
        if not left:
            options = []
            for board in boards:
                needs = sum(board) + saw.kerf * (len(board) - 1)
                options.append([s for s in stocks if saw.usable(s) >= needs])
            for taken in itertools.product(*options):
                if all(s.limit is None or taken.count(s) <= s.limit for s in stocks):
                    best[0] = min(best[0], sum(s.price for s in taken))
            return
        for b, board in enumerate(boards):
            share(left[1:], [*boards[:b], [*board, left[0]], *boards[b + 1 :]])
        share(left[1:], [*boards, [left[0]]])

    share(list(lengths), [])
    return best[0]


@pytest.mark.parametrize("seed", range(12))
def test_small_jobs_cost_what_trying_everything_gives(seed):
    draw = random.Random(seed)
    stocks = (
        Stock(length=3000, price=draw.randrange(28, 33), limit=draw.choice([None, 1, 2])),
        Stock(length=4200, price=draw.randrange(40, 47)),
        Stock(length=4800, price=draw.randrange(46, 60), limit=draw.choice([None, 1])),
    )
    lengths = [draw.randrange(500, 3400) for _ in range(6)]
    plan = cut_stock(pieces(*lengths), stocks, SAW)
    assert plan.price == cheapest_by_trying(lengths, stocks, SAW)
    assert plan.proven
    assert check_stock(plan.boards, stocks, SAW) == []
    assert sorted(p.length for b in plan.boards for p in b.pieces) == sorted(lengths)


def test_a_piece_as_long_as_the_squared_board_fits_and_one_more_millimetre_does_not():
    plan = cut_stock(pieces(4770), (Stock(length=4800),), SAW)
    assert plan.boards[0].kerfs(SAW) == plan.boards[0].leftover(SAW) == 0
    with pytest.raises(
        SettingOutError, match=r"4771 is longer .*\(4770 usable\); use boards of 4801 or more"
    ):
        cut_stock(pieces(4771), (Stock(length=4800),), SAW)


def test_two_pieces_need_one_kerf_between_them():
    assert len(cut_stock(pieces(2384, 2383), (Stock(length=4800),), SAW).boards) == 1
    assert len(cut_stock(pieces(2384, 2384), (Stock(length=4800),), SAW).boards) == 2


@pytest.mark.parametrize(
    ("length", "kerf", "left"), [(4768, 2, 0), (4767, 3, 0), (4766, 3, 1), (2000, 3, 2767)]
)
def test_the_last_cut_takes_what_wood_there_is(length, kerf, left):
    board = Board(stock=Stock(length=4800), pieces=(Piece(length=length),))
    assert board.kerfs(SAW) == kerf
    assert board.leftover(SAW) == left
    assert 2 * SAW.trim + length + kerf + left == 4800


def test_limits_that_are_too_low_say_how_many_more_boards_would_do():
    stocks = (Stock(length=4800, limit=2), Stock(length=2400, limit=1))
    lengths = [4000, 4000, 4000, 2000, 3000]
    with pytest.raises(SettingOutError, match=r"2 more of 4800 would do\. Raise that limit to 4"):
        cut_stock(pieces(*lengths), stocks, SAW)
    enough = (Stock(length=4800, limit=4), Stock(length=2400, limit=1))
    plan = cut_stock(pieces(*lengths), enough, SAW)
    assert plan.bought == {2400: 1, 4800: 4}
    assert check_stock(plan.boards, enough, SAW) == []


def test_leftovers_are_gathered_into_one_long_offcut():
    plan = cut_stock(pieces(*[1000] * 6, *[700] * 2), (Stock(length=4800),), SAW)
    assert len(plan.boards) == 2
    # 4 x 1000 and a 700 fill one board to 58; everything else that is left lies in the other.
    short, long = sorted(board.leftover(SAW) for board in plan.boards)
    assert long == 4770 - 2 * 1000 - 700 - 3 * 3
    assert short == 4770 - 4 * 1000 - 700 - 5 * 3


def test_a_board_is_the_shortest_of_its_price():
    plan = cut_stock(pieces(2000), (Stock(length=4800), Stock(length=2400), Stock(length=3600)), SAW)
    assert plan.bought == {2400: 1}


def test_no_pieces_no_boards():
    plan = cut_stock([], (Stock(length=4800),), SAW)
    assert plan.boards == ()
    assert plan.proven


def test_the_best_pattern_is_the_best_of_all_patterns():
    draw = random.Random(4)
    weights = [draw.randrange(300, 2600) for _ in range(7)]
    values = np.array([w * draw.uniform(0.8, 1.2) for w in weights])
    most = [draw.randrange(1, 4) for _ in weights]
    everything = every_pattern(weights, most, 4773)
    for (value, pattern), room in zip(
        best_patterns(weights, values, most, [4773, 3300]), [4773, 3300], strict=True
    ):
        fitting = [p for p in everything if sum(weights[i] * n for i, n in p) <= room]
        assert pattern in fitting
        assert value == pytest.approx(max(sum(values[i] * n for i, n in p) for p in fitting))
        assert value == pytest.approx(sum(values[i] * n for i, n in pattern))


def test_patterns_worth_enough_are_those_of_all_that_are():
    draw = random.Random(9)
    weights = [draw.randrange(500, 2600) for _ in range(6)]
    values = np.array([w / 4773 * draw.uniform(0.9, 1.1) for w in weights])
    most = [3] * 6
    good = every_pattern(weights, most, 4773, values, 0.9)
    worth = {p: sum(values[i] * n for i, n in p) for p in every_pattern(weights, most, 4773)}
    assert set(good) == {p for p, w in worth.items() if w >= 0.9}
    assert 0 < len(good) < len(worth)
    assert every_pattern(weights, most, 4773, values, 0.9, at_most=len(good) - 1) is None
