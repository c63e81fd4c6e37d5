"""Ten generated buildings: never more boards than by hand, 6 % fewer on average at no more joints, sound."""

from __future__ import annotations

import pytest

from cladmodel.settingout.cutting.layout import set_out

from ....check_plan import check_plan
from .buildings import building

SEEDS = range(1, 11)


@pytest.fixture(scope="module")
def layouts():
    return {seed: set_out(building(seed)) for seed in SEEDS}


@pytest.mark.parametrize("seed", SEEDS)
def test_a_building(layouts, seed):
    job, layout = building(seed), layouts[seed]
    assert layout.broken_by_hand == ()
    assert layout.best.boards <= layout.by_hand.boards
    assert layout.best.joint_count <= layout.by_hand.joint_count
    assert layout.repeatable
    assert layout.proven
    for choice in (layout.best, layout.by_hand, *layout.choices):
        assert check_plan(job, choice.joints, choice.plan.boards) == []
        saw = choice.plan.saw
        stock = sum(board.stock.length for board in choice.plan.boards)
        used = sum(
            2 * saw.trim + sum(p.length for p in b.pieces) + b.kerfs(saw) + b.leftover(saw)
            for b in choice.plan.boards
        )
        assert used == stock


def test_on_average_six_per_cent_fewer_boards(layouts):
    saved = [1 - layout.best.boards / layout.by_hand.boards for layout in layouts.values()]
    assert sum(saved) / len(saved) >= 0.06


def test_boards_and_joints_of_all_ten(layouts):
    # Found before by another model of the same ten: 1005 boards and 295 joints, all proven.
    assert sum(layout.best.boards for layout in layouts.values()) == 1005
    assert sum(layout.best.joint_count for layout in layouts.values()) == 295
