"""Nail heights and places, by example."""

from __future__ import annotations

import math

import pytest

from cladmodel.settingout.nails import Bearing, nail_heights, nail_places
from cladmodel.settingout.tilt import Profile, hang, starter_thickness, steady_tilt

BOARD = Profile(width=170, butt=22, thin_edge=9)


def hung(courses=4):
    return hang(
        BOARD,
        [131.0 * n for n in range(courses)],
        starter_height=25,
        starter_thickness=starter_thickness(BOARD, steady_tilt(BOARD, 131), 25),
        top=131 * courses - 20,
        packed=True,
    )


def test_nails_clear_the_top_front_arris_of_the_board_below():
    courses = hung()
    heights = nail_heights(BOARD, courses, 8, 2.65)
    for height, below in zip(heights[1:], courses, strict=False):
        arris = below.back_top + 9 * math.sin(below.tilt)
        assert height - 2.65 / 2 - arris == pytest.approx(8, abs=1e-9)


def test_course_1_is_nailed_as_far_up_as_course_2():
    first, second, *_ = nail_heights(BOARD, hung(), 8, 2.65)
    assert second - first == pytest.approx(131)


def test_a_single_course_is_nailed_a_third_up():
    assert nail_heights(BOARD, hung(1), 8, 2.65) == (pytest.approx(170 / 3),)


@pytest.mark.parametrize(
    ("battens", "places"),
    [
        pytest.param([(100, 150), (700, 750)], (125, 725), id="middle of each"),
        pytest.param([(0, 50)], (25,), id="middle, 20 from the end"),
        pytest.param([(-20, 30)], (10,), id="moved off the middle by the end"),
        pytest.param([(100, 150), (150, 200)], (125,), id="two side by side take one"),
        pytest.param([(100, 138), (197, 235)], (119,), id="less than 60 apart take one"),
        pytest.param([(100, 150), (209, 259)], (125, 234), id="close, but more than 150 together, take two"),
        pytest.param([(100, 150), (210, 260)], (125, 235), id="60 apart take two"),
        pytest.param([(960, 1010), (100, 150)], (125, 980), id="end at the right, any order"),
        pytest.param([(-40, 20)], (), id="too little of it behind the board"),
        pytest.param([], (), id="no batten"),
    ],
)
def test_places(battens, places):
    """A board from 0 to 1000, 20 kept clear at its ends and 13.25 at the battens' sides."""
    end = 20 if (-20, 30) not in battens else 10
    bearings = [
        Bearing(left=a, right=b, low=max(a + 13.25, end), high=min(b - 13.25, 1000 - end)) for a, b in battens
    ]
    assert nail_places(bearings) == pytest.approx(places)
