"""The checker passes sound plans and names each thing that is spoilt in them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cladmodel.settingout.cutting.inputs import Job, Rules, Stock
from cladmodel.settingout.cutting.layout import set_out

from ....check_plan import check_plan
from .buildings import clad_wall

JOB = Job(
    walls=(
        clad_wall("North", 7300, 9, 125, 400, [(2000, 2900, 500, 800)], gable=1.0),
        clad_wall("East", 5200, 8, 125, 600),
    ),
    rules=Rules(joint_gap=3),
    stocks=(Stock(length=4800), Stock(length=3600)),
)


@pytest.fixture(scope="module")
def best():
    return set_out(JOB).best


def rules_broken(job, joints, boards):
    return {fault.rule for fault in check_plan(job, joints, boards)}


def with_board(boards, at, board):
    return (*boards[:at], board, *boards[at + 1 :])


def test_a_found_plan_is_sound(best):
    assert check_plan(JOB, best.joints, best.plan.boards) == []


def test_every_millimetre_of_the_stock_is_accounted_for(best):
    saw = JOB.saw
    for board in best.plan.boards:
        cut = sum(piece.length for piece in board.pieces)
        assert 2 * saw.trim + cut + board.kerfs(saw) + board.leftover(saw) == board.stock.length
    # Pieces and joint gaps make up the runs.
    runs = sum(run.segment.length for run in JOB.runs())
    cut = sum(piece.length for board in best.plan.boards for piece in board.pieces)
    assert cut == runs - JOB.rules.joint_gap * best.joint_count


def test_a_board_too_few(best):
    assert rules_broken(JOB, best.joints, best.plan.boards[1:]) == {"coverage"}


def test_a_piece_cut_twice(best):
    boards = (*best.plan.boards, best.plan.boards[0])
    assert rules_broken(JOB, best.joints, boards) == {"coverage"}


def test_a_piece_one_millimetre_short(best):
    board = best.plan.boards[0]
    piece = replace(board.pieces[0], length=board.pieces[0].length - 1)
    spoilt = replace(board, pieces=(piece, *board.pieces[1:]))
    assert rules_broken(JOB, best.joints, with_board(best.plan.boards, 0, spoilt)) == {"coverage"}


def test_a_board_that_is_too_short_for_its_pieces(best):
    at = next(i for i, b in enumerate(best.plan.boards) if b.stock.length == 4800)
    spoilt = replace(best.plan.boards[at], stock=Stock(length=2400))
    assert rules_broken(JOB, best.joints, with_board(best.plan.boards, at, spoilt)) == {"stock"}


def test_more_boards_than_are_to_be_had(best):
    limited = tuple(replace(stock, limit=1) for stock in JOB.stocks)
    boards = tuple(replace(b, stock=replace(b.stock, limit=1)) for b in best.plan.boards)
    assert rules_broken(replace(JOB, stocks=limited), best.joints, boards) == {"limit"}


def test_joints_off_battens_close_together_and_near_ends(best):
    key, lines = next((k, v) for k, v in best.joints.items() if k[0] == "East")
    off = best.joints | {key: (lines[0] + 7,)}
    assert "bearing" in rules_broken(JOB, off, best.plan.boards)
    below = next(v for k, v in best.joints.items() if k[:2] == ("East", key[1] + 1))
    assert {"stagger", "column_rest"} <= rules_broken(JOB, best.joints | {key: below}, best.plan.boards)
    tight = replace(JOB, rules=replace(JOB.rules, least_piece=2300))
    assert "least_piece" in rules_broken(tight, best.joints, best.plan.boards)
    assert "joint" in rules_broken(JOB, best.joints | {("West", 1, 0): (900,)}, best.plan.boards)
