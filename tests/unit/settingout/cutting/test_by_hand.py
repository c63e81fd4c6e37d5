"""The hand method, step by step on walls small enough to follow."""

from __future__ import annotations

import pytest

from cladmodel.errors import SettingOutError
from cladmodel.settingout.cutting.by_hand import by_hand
from cladmodel.settingout.cutting.inputs import Course, Job, Rules, Saw, Segment, Stock, Wall

from ....check_plan import check_plan
from .buildings import building

COLUMNS = tuple(range(600, 6000, 600))


def wall(*widths, columns=COLUMNS):
    courses = tuple(
        Course(number=n, segments=(Segment(left=0, right=width, columns=columns),))
        for n, width in enumerate(widths, start=1)
    )
    return (Wall(name="North", courses=courses),)


def test_the_offcut_starts_the_next_course():
    job = Job(walls=wall(6000, 6000, 6000))
    choice, broken = by_hand(job)
    assert broken == ()
    # Course 1: a board to the batten at 4200 (4800 lies past 4770), then 1800 of a second, leaving 2967.
    assert choice.joints["North", 1, 0] == (4200,)
    # Course 2 begins with that: furthest batten within 2967 and 600 from 4200 is 2400; the rest is new.
    assert choice.joints["North", 2, 0] == (2400,)
    # Course 3: what is left of the third board (1167) reaches 600, then a new board to 4800, then a piece.
    assert choice.joints["North", 3, 0][0] == 600
    first = [[piece.length for piece in board.pieces] for board in choice.plan.boards[:3]]
    assert first == [[4200], [1800, 2400], [3600, 600]]


def test_a_short_run_uses_the_offcut_that_it_uses_up_best():
    choice, _ = by_hand(Job(walls=wall(3000, 3900, 1700, 800, columns=())))
    assert [[p.length for p in b.pieces] for b in choice.plan.boards] == [[3000, 1700], [3900, 800]]


def test_what_cannot_be_kept_is_said():
    job = Job(walls=wall(*[5200] * 4, columns=(2400, 3000)))
    choice, broken = by_hand(job)
    assert broken[0] == "North, course 3: rest of columns not kept"
    faults = check_plan(job, choice.joints, choice.plan.boards)
    assert {fault.rule for fault in faults} == {"column_rest"}


def test_a_cheaper_length_is_taken_where_it_will_do():
    stocks = (Stock(length=4800, price=12), Stock(length=2400, price=6))
    choice, _ = by_hand(Job(walls=wall(3000, 2000, columns=()), stocks=stocks))
    assert choice.plan.bought == {2400: 1, 4800: 1}


def test_no_stock_left():
    with pytest.raises(SettingOutError, match="by hand"):
        by_hand(Job(walls=wall(*[4000] * 3), stocks=(Stock(length=4800, limit=2),)))


@pytest.mark.parametrize("seed", [2, 4, 7])
def test_buildings_by_hand_keep_every_rule(seed):
    job = building(seed, rules=Rules(joint_gap=2))
    choice, broken = by_hand(job)
    assert broken == ()
    assert check_plan(job, choice.joints, choice.plan.boards) == []
    assert choice.plan.saw == Saw()
