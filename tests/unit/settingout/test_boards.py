"""Board outlines: joints, notches, and what a piece keeps over a width."""

from __future__ import annotations

import pytest
import shapely

from cladmodel.settingout.boards import BoardPiece, cut_at


def test_cut_at_leaves_the_gap_open_about_each_joint():
    run = shapely.box(5, 0, 5195, 170)
    left, middle, right = cut_at(run, [1200.0, 3600.0], 3)
    assert left.bounds == (5, 0, 1198.5, 170)
    assert middle.bounds == (1201.5, 0, 3598.5, 170)
    assert right.bounds == (3601.5, 0, 5195, 170)
    assert cut_at(run, [], 3) == [run]


def test_cut_at_a_joint_without_a_gap():
    left, right = cut_at(shapely.box(0, 0, 1000, 170), [400.0], 0)
    assert (left.bounds[2], right.bounds[0]) == (400, 400)


NOTCHED = shapely.box(0, 0, 1000, 170) - shapely.box(300, 100, 600, 200)


@pytest.mark.parametrize(
    ("left", "right", "kept"),
    [
        pytest.param(0, 200, (0, 170), id="whole"),
        pytest.param(350, 550, (0, 100), id="under the notch"),
        pytest.param(240, 350, (0, 100), id="half under it: the least"),
        pytest.param(900, 1100, None, id="past the end"),
        pytest.param(500, 503, None, id="no width to speak of"),
    ],
)
def test_height_over(left, right, kept):
    notched = BoardPiece(course=1, letter="a", polygon=NOTCHED, plain=False)
    assert notched.height_over(left, right) == kept


def test_ends_of_a_piece_are_where_it_is_longest():
    aslant = shapely.Polygon([(0, 0), (500, 0), (510, 170), (0, 170)])
    assert BoardPiece(course=3, letter="b", polygon=aslant, plain=False).ends == (0, 510)
