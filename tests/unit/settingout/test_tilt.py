"""How boards lean, by example; laws are in tests/property."""

from __future__ import annotations

import itertools
import math

import pytest

from cladmodel.errors import SettingOutError
from cladmodel.settingout.tilt import (
    Hung,
    Profile,
    hang,
    packer_thickness,
    starter_thickness,
    steady_tilt,
)

BOARD = Profile(width=170, butt=22, thin_edge=9)
GAUGE = 131.0


def wall(courses=18, *, starter="fit", height=25.0, top=None, packed=True, board=BOARD, gauge=GAUGE):
    thick = starter_thickness(board, steady_tilt(board, gauge), height) if starter == "fit" else starter
    return hang(
        board,
        [gauge * n for n in range(courses)],
        starter_height=height,
        starter_thickness=thick,
        top=gauge * courses - 20 if top is None else top,
        packed=packed,
    )


def test_thickness_runs_from_butt_to_thin_edge():
    assert BOARD.thickness(0) == 22
    assert BOARD.thickness(170) == pytest.approx(9)
    assert BOARD.thickness(85) == pytest.approx(15.5)


def test_a_thin_starter_leaves_the_first_boards_steeper_and_the_error_fades_by_the_lap():
    """Each course hands on about 1 - gauge / width of the error of the one below."""
    steady = steady_tilt(BOARD, GAUGE)
    errors = [course.tilt - steady for course in wall(starter=3.0)]
    assert errors[0] < -0.02
    for before, after in itertools.pairwise(errors[:6]):
        assert after / before == pytest.approx(1 - GAUGE / BOARD.width, abs=0.03)
    assert abs(errors[5]) < 1e-4


def test_a_thick_starter_leans_course_1_more():
    assert wall(starter=16.0)[0].tilt > steady_tilt(BOARD, GAUGE)


def test_without_a_starter_course_1_stands_upright_against_the_battens():
    first = wall(starter=0.0)[0]
    assert (first.tilt, first.kick_out) == (0.0, 0.0)


def test_a_ripped_top_board_leans_more_unless_packed():
    steady = steady_tilt(BOARD, GAUGE)
    packed, bare = wall(packed=True)[-1], wall(packed=False)[-1]
    assert packed.width < BOARD.width
    assert packed.tilt == pytest.approx(steady, abs=1e-12)
    assert packed.standoff == pytest.approx(packed.kick_out * (1 - packed.width / BOARD.width), abs=1e-12)
    assert bare.standoff == 0
    assert bare.tilt > steady + math.radians(1)
    assert bare.back_top == pytest.approx(packed.back_top, abs=1e-9)


def test_packer_thickness():
    assert packer_thickness(15.6, 85, 170) == pytest.approx(7.8)
    assert packer_thickness(15.6, 170, 170) == 0


def test_faces_of_a_hung_board():
    course = wall()[3]
    assert course.back_out(course.butt_line) == course.kick_out
    assert course.back_out(course.back_top) == pytest.approx(0, abs=1e-9)
    assert course.up_back(course.back_top) == pytest.approx(BOARD.width)
    nose = course.butt_line + BOARD.butt * math.sin(course.tilt)
    assert course.face_out(BOARD, nose) == pytest.approx(
        course.kick_out + BOARD.butt * math.cos(course.tilt), abs=1e-9
    )
    top = course.back_top + BOARD.thin_edge * math.sin(course.tilt)
    assert course.face_out(BOARD, top) == pytest.approx(BOARD.thin_edge * math.cos(course.tilt), abs=1e-9)


@pytest.mark.parametrize(("top", "courses"), [(430.0, 3), (441.0, 3), (442.0, 4), (460.0, 4)])
def test_no_course_is_hung_where_its_packer_has_no_room(top, courses):
    """Course 3's front arris is at 262 + 170 cos 5.27 + 9 sin 5.27 = 432.11; a packer of 8 stands 1 above."""
    assert wall(4)[2].edge_up(BOARD) == pytest.approx(432.108, abs=1e-3)
    assert len(wall(4, top=top)) == courses


def test_the_thin_edge_of_the_board_below_can_touch_first():
    """An upright first board with a thick thin edge: course 2 leans on that edge, its butt hangs free."""
    board = Profile(width=150, butt=15, thin_edge=14)
    first, second = wall(2, starter=0.0, board=board, gauge=110.0, top=400.0)
    reach = first.face_out(board, second.butt_line)
    corner_up, corner_out = first.back_top, board.thin_edge
    assert second.back_out(corner_up) == pytest.approx(corner_out, abs=1e-9)
    assert second.kick_out > reach + 1


@pytest.mark.parametrize(
    ("call", "says"),
    [
        pytest.param(lambda: steady_tilt(BOARD, 20), "gauge 20 mm is less than the butt's 22 mm", id="gauge"),
        pytest.param(lambda: steady_tilt(BOARD, 0), "boards cannot lean", id="no gauge"),
        pytest.param(lambda: wall(starter=150.0), "too big for a board 170 wide", id="thick starter"),
        pytest.param(lambda: wall(starter=5.0, height=170.0), "make it thinner or lower", id="high starter"),
        pytest.param(
            lambda: wall(starter=5.0, height=171.0), "make it thinner or lower", id="higher starter"
        ),
        pytest.param(lambda: wall(2, top=100.0), "no height left below 100 mm", id="no height left"),
    ],
)
def test_what_cannot_be_hung_is_said(call, says):
    with pytest.raises(SettingOutError, match=says):
        call()


def test_a_board_that_can_lie_nowhere_is_refused_not_driven_into_the_one_below():
    """Thick untapered boards at half their width, the first one nearly upright: there is no such wall."""
    with pytest.raises(SettingOutError):
        wall(
            2, board=Profile(width=90, butt=20, thin_edge=20), gauge=45.0, starter=2.0, height=10.0, top=500.0
        )


@pytest.mark.parametrize("head", [0, 8, 16, 24, 30])
def test_a_narrow_unpacked_top_board_never_crashes(head):
    board = Profile(width=100, butt=16, thin_edge=5)
    try:
        hung = wall(9, board=board, gauge=58.0, top=58.0 * 9 - head, packed=False)
    except SettingOutError:
        return
    lower, upper = hung[-2], hung[-1]
    assert upper.back_out(lower.back_top) >= lower.face_out(board, lower.back_top) - 1e-6


def test_hung_carries_what_it_is_given():
    course = Hung(butt_line=131, kick_out=15.6, tilt=0.09, width=170, standoff=0)
    assert course.back_top == pytest.approx(131 + 170 * math.cos(0.09))
