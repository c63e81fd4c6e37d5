"""Laws of setting-out: equal courses, boards in contact, joints and nails that keep every rule they claim."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cladmodel.errors import SettingOutError
from cladmodel.settingout.courses import butt_lines, butt_lines_nearest
from cladmodel.settingout.joints import JointRules, JointRun, choose_joints
from cladmodel.settingout.nails import Bearing, nail_places
from cladmodel.settingout.tilt import Hung, Profile, hang, starter_thickness, steady_tilt

from .. import remeasure
from .strategies import between, boards

TOUCH = 1e-9  # mm


@given(foot=st.floats(-500, 500), rise=st.floats(50, 12_000), gauge=st.floats(20, 400), nearest=st.booleans())
def test_courses_are_equal_and_as_few_or_as_near_as_they_can_be(foot, rise, gauge, nearest):
    head = foot + rise
    rod = (butt_lines_nearest if nearest else butt_lines)(foot, head, gauge)
    count, shows = len(rod) - 1, np.diff(rod)
    assert (rod[0], rod[-1]) == (foot, head)
    assert shows == pytest.approx(rise / count, rel=1e-9)
    if nearest:
        assert count == 1 or abs(count - rise / gauge) <= 0.5 + 1e-9
    else:
        assert shows.max() <= gauge * (1 + 1e-9)
        assert count == 1 or rise / (count - 1) > gauge


@pytest.mark.parametrize("divide", [butt_lines, butt_lines_nearest])
@given(gauge=st.floats(max_value=0, allow_nan=False) | st.just(math.nan))
def test_no_rod_without_a_gauge(divide, gauge):
    with pytest.raises(SettingOutError, match="must be above 0"):
        divide(0, 2400, gauge)


@pytest.mark.parametrize("divide", [butt_lines, butt_lines_nearest])
@given(head=st.floats(max_value=0, allow_nan=False))
def test_no_rod_with_its_head_below_its_foot(divide, head):
    with pytest.raises(SettingOutError, match="not above foot"):
        divide(0, head, 135)


def corners(profile: Profile, course: Hung) -> np.ndarray:
    """Section of a hung board, worked out here: bottom back and front, top back and front, as (z, y)."""
    up = np.array([-math.sin(course.tilt), math.cos(course.tilt)])
    out = np.array([math.cos(course.tilt), math.sin(course.tilt)])
    foot = np.array([course.kick_out, course.butt_line])
    top = foot + course.width * up
    thin = profile.butt - (profile.butt - profile.thin_edge) / profile.width * course.width
    return np.array([foot, foot + profile.butt * out, top, top + thin * out])


HUNG = {
    "board": boards(),
    "share": st.floats(0.5, 0.97),
    "courses": st.integers(2, 20),
    "height": between(10, 50),
    "starter": st.just("fit") | between(0, 30),
    "short": between(0, 40),
}


def hung_wall(board, share, courses, height, starter, short, *, packed):
    """Hang equal courses from a starter; None where that is refused."""
    profile = Profile(**board)
    gauge = profile.width * share
    lines = [gauge * n for n in range(courses)]
    top = gauge * courses - short
    try:
        fit = starter_thickness(profile, steady_tilt(profile, gauge), height)
        thick = fit if starter == "fit" else float(starter)
        hung = hang(profile, lines, starter_height=height, starter_thickness=thick, top=top, packed=packed)
    except SettingOutError:
        return None
    assert [course.butt_line for course in hung] == lines[: len(hung)]
    if len(hung) < len(lines):  # the board below reaches the top, or so near it that no packer has room
        assert corners(profile, hung[-1])[3, 1] > top - 9.0
    assert all(course.back_top <= top + TOUCH for course in hung)
    return profile, hung, thick


def assert_touching(profile, hung):
    """Every board bears at its top back arris and on the board below, and stands in neither."""
    sections = [corners(profile, course) for course in hung]
    for course, shape in zip(hung, sections, strict=True):
        # The top back arris stands on the batten, or on its packer.
        assert shape[2, 0] == pytest.approx(course.standoff, abs=TOUCH)
        assert course.standoff >= 0
    for lower, upper in itertools.pairwise(sections):
        butt = remeasure.off_face(lower, upper)
        # The thin edge of the board below may touch the back first, if the upper board reaches so far.
        length = np.linalg.norm(upper[2] - upper[0])
        reaches = (lower[3] - upper[0]) @ (upper[2] - upper[0]) / length < length
        edge = remeasure.gap_at_top(lower, upper) if reaches else math.inf
        assert butt >= -TOUCH
        assert edge >= -TOUCH
        if length > profile.width - TOUCH:
            assert min(butt, edge) == pytest.approx(0.0, abs=TOUCH)


@settings(max_examples=200)
@given(**HUNG)
def test_every_hung_board_touches_and_none_stands_in_another(**how):
    wall = hung_wall(**how, packed=True)
    if wall is None:
        return
    profile, hung, thick = wall
    assert_touching(profile, hung)
    if how["starter"] == "fit" and len(hung) > 1 and hung[-1].width < profile.width:
        # A ripped top board on its packer leans, and bears, like the whole boards.
        assert hung[-1].tilt == pytest.approx(hung[0].tilt, abs=1e-9)
    # The starter's top front arris is on the back of course 1.
    first = corners(profile, hung[0])
    if thick > 0 and first[2, 1] > how["height"]:
        back = first[2] - first[0]
        reach = first[0] + back * (how["height"] - first[0, 1]) / back[1]
        assert reach[0] == pytest.approx(thick, abs=TOUCH)


@settings(max_examples=200)
@given(**HUNG)
def test_without_packers_too_boards_touch_or_the_wall_is_refused(**how):
    wall = hung_wall(**how, packed=False)
    if wall is not None:
        assert_touching(*wall[:2])


@given(board=boards(), share=st.floats(0.5, 0.97), height=between(10, 50))
def test_a_starter_that_fits_gives_every_course_the_same_lean(board, share, height):
    profile = Profile(**board)
    gauge = profile.width * share
    assume(profile.butt < gauge)
    steady = steady_tilt(profile, gauge)
    thick = starter_thickness(profile, steady, height)
    assume(thick > 0)
    try:
        hung = hang(
            profile,
            [gauge * n for n in range(12)],
            starter_height=height,
            starter_thickness=thick,
            top=gauge * 40,
            packed=True,
        )
    except SettingOutError:
        assume(False)
    # The strip props on its top front arris only while the board's own prop is steeper than its face.
    assume(abs(hung[0].tilt - steady) < 1e-6)
    assert [course.tilt for course in hung] == pytest.approx([steady] * 12, abs=1e-11)


@st.composite
def walls(draw: st.DrawFn):
    """Some courses of one wall, each of one run or of two beside an opening; and the rules."""
    length = draw(between(800, 9_000, 10))
    centres = draw(st.sampled_from([400, 450, 600]))
    columns = tuple(float(c) for c in range(centres, int(length), centres))
    left, right = sorted((draw(between(300, length - 300, 10)), draw(between(300, length - 300, 10))))
    whole = [JointRun(left=5.0, right=length - 5.0, columns=columns)]
    beside = [
        JointRun(left=5.0, right=left, columns=columns),
        JointRun(left=right, right=length - 5.0, columns=columns),
    ]
    courses = [beside if split else whole for split in draw(st.lists(st.booleans(), min_size=1, max_size=9))]
    rules = JointRules(
        longest=draw(between(1_500, 5_000, 10)),
        least_piece=draw(between(300, 900, 10)),
        stagger=draw(between(0, 900, 10)),
        column_rest=draw(st.integers(1, 4)),
    )
    return courses, rules


def fewest(run: JointRun, free, rules) -> int | None:
    """Fewest joints of a run by looking at every way, shortest first; None if there is none."""
    free = [c for c in free if run.left + rules.least_piece <= c <= run.right - rules.least_piece]
    ends = {run.left}
    joints = 0
    while ends:
        if any(run.right - end <= rules.longest for end in ends):
            return joints
        ends = {
            c
            for c in free
            for end in ends
            if c - end <= rules.longest and (c > end == run.left or c - end >= rules.least_piece)
        }
        joints += 1
    return None


@settings(max_examples=250)
@given(case=walls())
def test_joints_keep_every_rule_and_are_as_few_as_can_be(case):
    courses, rules = case
    names = [f"front, course {n + 1}" for n in range(len(courses))]
    try:
        chosen = choose_joints(courses, rules, names)
    except SettingOutError as error:
        refusal = str(error)
        chosen = ()
    if not chosen:
        assert refusal.startswith("front, course ")
        if len(courses) == 1:
            assert None in [fewest(run, run.columns, rules) for run in courses[0]]
        return
    assert len(chosen) == len(courses)
    for n, (runs, joints) in enumerate(zip(courses, chosen, strict=True)):
        assert list(joints) == sorted(joints)
        assert sum(len([c for c in joints if run.left < c < run.right]) for run in runs) == len(joints)
        rested = {c for course in chosen[max(0, n - rules.column_rest + 1) : n] for c in course}
        assert not rested & set(joints)
        if n:
            assert all(abs(a - b) >= rules.stagger for a in joints for b in chosen[n - 1])
        for run in runs:
            own = [c for c in joints if run.left < c < run.right]
            assert set(own) <= set(run.columns)
            pieces = np.diff([run.left, *own, run.right])
            assert pieces.max() <= rules.longest
            if own:
                assert pieces.min() >= rules.least_piece
    first = sum(fewest(run, run.columns, rules) or 0 for run in courses[0])
    assert len(chosen[0]) >= first
    if len(courses) == 1:
        assert len(chosen[0]) == first


@settings(max_examples=250)
@given(case=walls())
def test_the_way_out_that_a_refusal_names_is_one(case):
    """A stretch named as without battens is a stretch; the longer board named would serve."""
    courses, rules = case
    try:
        choose_joints(courses[:1], rules, ["front, course 1"])
    except SettingOutError as error:
        text = str(error)
    else:
        return
    if "no batten lies at " not in text:
        return
    low, high = (float(v) for v in text.split("no batten lies at ")[1].split(";")[0].split("-", 1))
    assert low <= high, text
    longer = float(text.rsplit("boards of ", 1)[1].split(" or more")[0])
    # That board must do for the run named, unless the least piece forbids the batten named.
    nearest = float(text.split("nearest ")[1].split(".")[0])
    (run,) = [r for r in courses[0] if f"run {r.right - r.left:.0f} " in text][:1]
    if run.left + rules.least_piece <= nearest <= run.right - rules.least_piece:
        better = JointRules(
            longest=longer + 1, least_piece=rules.least_piece, stagger=rules.stagger, column_rest=1
        )
        assert fewest(run, run.columns, better) is not None, text


@settings(max_examples=200)
@given(
    ends=st.tuples(between(0, 500), between(600, 4_000)),
    lefts=st.sets(between(0, 4_000, 7), max_size=10),
    width=between(38, 75),
    end=between(10, 40),
    edge=between(8, 16),
)
def test_nails_keep_their_distances_and_hold_every_batten_they_can(ends, lefts, width, end, edge):
    battens: list[Bearing] = []
    for left in sorted(lefts):
        if not battens or left >= battens[-1].right:
            right = left + width
            low, high = max(left + edge, ends[0] + end), min(right - edge, ends[1] - end)
            battens.append(Bearing(left=left, right=right, low=low, high=high))
    places = nail_places(battens)
    assert list(places) == sorted(places)
    for x in places:
        (own,) = [b for b in battens if b.low <= x <= b.high]
        middle = (own.left + own.right) / 2
        assert x in (middle, own.low, own.high)
        assert abs(x - middle) == min(
            abs(t - middle) for t in (own.low, own.high, middle) if own.low <= t <= own.high
        )
    groups: list[list[Bearing]] = []
    for batten in battens:  # battens less than 60 apart, and within 150 together, carry a board as one
        close = groups and batten.left - groups[-1][-1].right < 60
        if close and batten.right - groups[-1][0].left < 150:
            groups[-1].append(batten)
        else:
            groups.append([batten])
    for group in groups:
        takes = any(b.low <= b.high for b in group)
        assert sum(group[0].left <= x <= group[-1].right for x in places) == takes
