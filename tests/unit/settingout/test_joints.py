"""Joints by example; laws are in tests/property."""

from __future__ import annotations

import itertools

import pytest

from cladmodel.errors import SettingOutError
from cladmodel.settingout.joints import JointRules, JointRun, choose_joints

STUDS = tuple(600.0 * n for n in range(1, 9))  # 600 to 4800, in a wall of 5200


def rules(longest=4770.0, least_piece=600.0, stagger=600.0, column_rest=3):
    return JointRules(longest=longest, least_piece=least_piece, stagger=stagger, column_rest=column_rest)


def wall(courses, left=5.0, right=5195.0, columns=STUDS, rule=None):
    """Joints of a wall whose courses are all alike."""
    runs = [[JointRun(left=left, right=right, columns=tuple(columns))]] * courses
    return choose_joints(runs, rule or rules(), [f"path, course {n + 1}" for n in range(courses)])


def test_no_joint_where_one_board_reaches():
    assert wall(2, right=4775.0) == ((), ())
    assert [len(c) for c in wall(2, right=4775.1)] == [1, 1]


def test_a_long_run_takes_as_many_boards_as_it_needs():
    # Two joints would have to stand at 4775 and 9225, where no batten is.
    assert [len(c) for c in wall(1, right=13_995.0, columns=[600.0 * n for n in range(1, 24)])] == [3]


def test_joints_stand_clear_of_those_below_and_columns_rest():
    chosen = wall(18)
    for below, above in itertools.pairwise(chosen):
        assert all(abs(a - b) >= 600 for a in above for b in below)
    for three in zip(chosen, chosen[1:], chosen[2:], strict=False):
        assert len({c for course in three for c in course}) == 3


def test_joints_are_spread_over_all_battens_that_serve():
    assert len({c for course in wall(18) for c in course}) >= 5


def test_two_battens_take_turns_where_a_column_rests_one_course():
    chosen = wall(5, columns=[2400.0, 3600.0], rule=rules(column_rest=2))
    assert len({c for (c,) in chosen[::2]}) == len({c for (c,) in chosen[1::2]}) == 1
    assert chosen[0] != chosen[1]


def test_a_course_below_gives_way_where_its_best_choice_leaves_none_above():
    """Course 2 can only be joined at 2400: course 1 must take another column, dear as it may be to it."""
    free = [JointRun(left=5.0, right=5195.0, columns=(2400.0, 3000.0, 3600.0))]
    tied = [JointRun(left=5.0, right=5195.0, columns=(2400.0,))]
    first, second = choose_joints([free, tied], rules(stagger=1200.0, column_rest=1), ["1", "2"])
    assert second == (2400.0,)
    assert first == (3600.0,)


def test_message_where_no_batten_lies_within_reach_names_the_nearest():
    with pytest.raises(SettingOutError) as caught:
        wall(3, columns=[300.0, 5000.0], rule=rules(longest=2700.0))
    text = str(caught.value)
    assert text.startswith("path, course 1: run 5190 is longer than a board (2700 usable)")
    assert "no batten lies at 2495-2705; nearest" in text
    assert "Add a batten there or use boards of" in text


def test_message_where_rules_leave_no_batten_names_the_course_that_is_stuck():
    with pytest.raises(SettingOutError, match=r"path, course 2: .*lower rules\.stagger or use longer stock"):
        wall(3, columns=[2400.0])


def test_message_where_there_are_no_battens_at_all():
    with pytest.raises(SettingOutError, match="add a batten"):
        wall(1, columns=[])


def test_message_for_a_run_of_many_boards_names_a_stretch_that_exists():
    """Two joints at least are wanted: a stretch from 2405 to 1505 is none."""
    with pytest.raises(SettingOutError) as caught:
        wall(1, right=3905.0, columns=[400.0 * n for n in range(1, 10)],
             rule=rules(longest=1500.0, least_piece=810.0, stagger=0.0, column_rest=1))  # fmt: skip
    text = str(caught.value)
    if "no batten lies at " in text:
        low, high = (float(v) for v in text.split("no batten lies at ")[1].split(";")[0].split("-"))
        assert low <= high, text
