"""Jobs that cannot be: where, which rule, and a smallest change that is enough, and no more than that."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from cladmodel.errors import SettingOutError
from cladmodel.settingout.cutting.inputs import Course, Job, Rules, Segment, Stock, Wall
from cladmodel.settingout.cutting.layout import set_out

from ....check_plan import check_plan

# Battens with a wide gap where a window was left out, say.
GAP = (600, 1200, 1800, 2400, 4800)


def job_with(columns, courses=3, width=5200, stock=2700, **rules):
    run = Segment(left=0, right=width, columns=columns)
    wall = Wall(name="North", courses=tuple(Course(number=n, segments=(run,)) for n in range(1, courses + 1)))
    return Job(walls=(wall,), stocks=(Stock(length=stock),), rules=Rules(**rules))


def message(job):
    with pytest.raises(SettingOutError) as caught:
        set_out(job)
    return str(caught.value)


def sound(job):
    layout = set_out(job)
    return check_plan(job, layout.best.joints, layout.best.plan.boards) == []


def test_no_batten_within_reach():
    said = message(job_with(GAP, stagger=0, column_rest=1))
    assert said == (
        "North, courses 1-3: run 5200 is longer than a board (2670 usable) and no batten lies at 2530-4600; "
        "nearest 2400. Add a batten there, or use boards of 2830 or more, or lower rules.least_piece to 400."
    )


@pytest.mark.parametrize("batten", [2530, 3000, 4600])
def test_a_batten_anywhere_there_is_enough(batten):
    assert sound(job_with((*GAP, batten), courses=1))


@pytest.mark.parametrize("batten", [2529, 4601])
def test_a_batten_just_outside_is_not(batten):
    assert "no batten lies" in message(job_with((*GAP, batten), courses=1))


def test_the_board_length_is_the_least_that_is_enough():
    assert sound(job_with(GAP, courses=1, stock=2830))
    assert "use boards of 2830 or more" in message(job_with(GAP, courses=1, stock=2829))


def test_the_least_piece_is_the_longest_that_is_enough():
    assert sound(job_with(GAP, courses=1, least_piece=400))
    assert "rules.least_piece to 400" in message(job_with(GAP, courses=1, least_piece=401))


def test_every_wall_and_kind_of_run_is_named_at_once():
    job = job_with(GAP)
    other = replace(job_with((), width=4000).walls[0], name="East")
    said = message(replace(job, walls=(*job.walls, other))).splitlines()
    assert said[0].startswith("North, courses 1-3: run 5200")
    assert said[1].startswith("East, courses 1-3: run 4000")


def test_more_than_one_batten_is_missing():
    said = message(job_with((), width=9000))
    assert "Add battens so that every 2670 holds one" in said


def test_stagger_and_rest_that_cannot_be_kept_name_the_course_and_what_would_do():
    columns = (2000, 2400, 2800, 3200)
    job = job_with(columns, courses=6, stock=3300)
    said = message(job)
    assert said.startswith("North, course 5: no batten leaves a joint 600 (rules.stagger)")
    batten, boards, stagger, rest = (
        int(re.search(text, said)[1])
        for text in (
            r"batten at (\d+)",
            r"boards of (\d+)",
            r"rules.stagger to (\d+)",
            r"column_rest to (\d+)",
        )
    )
    # Four courses are possible, and each change alone is enough for all six.
    assert sound(job_with(columns, courses=4, stock=3300))
    assert sound(job_with((*columns, batten), courses=6, stock=3300))
    assert sound(job_with(columns, courses=6, stock=boards))
    assert sound(job_with(columns, courses=6, stock=3300, stagger=stagger))
    assert sound(job_with(columns, courses=6, stock=3300, column_rest=rest))
    # And no smaller one.
    assert "course 5" in message(job_with(columns, courses=6, stock=boards - 1))
    assert "course 5" in message(job_with(columns, courses=6, stock=3300, stagger=stagger + 1))
    assert rest == job.rules.column_rest - 1


def test_limits_that_are_too_low():
    job = replace(
        job_with((2400, 3000, 3600), stagger=0, column_rest=1), stocks=(Stock(length=4800, limit=2),)
    )
    said = message(job)
    more = int(re.search(r"(\d+) more of 4800", said)[1])
    assert sound(replace(job, stocks=(Stock(length=4800, limit=2 + more),)))
    assert "more of 4800" in message(replace(job, stocks=(Stock(length=4800, limit=1 + more),)))


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: Stock(length=0), "stock length 0"),
        (lambda: Stock(length=4800, price=0), "price 0"),
        (lambda: Segment(left=400, right=400), "right end must lie right"),
        (lambda: Rules(column_rest=0), r"rules.column_rest 0: must be 1 or more"),
        (lambda: Rules(same_column=700), r"same_column 700: must be 1 to 600"),
        (lambda: Job(walls=(), stocks=()), "no stock length is given"),
        (lambda: Job(walls=(), stocks=(Stock(length=30),)), "longer than its two end trims"),
        (lambda: Job(walls=(Wall(name="A", courses=()),) * 2), "same name"),
        (
            lambda: Wall(
                name="A",
                courses=(Course(number=1, segments=(Segment(left=0, right=9), Segment(left=8, right=20))),),
            ),
            "A, course 1: runs overlap at 8",
        ),
    ],
)
def test_nonsense_is_refused_with_its_name(make, said):
    with pytest.raises(SettingOutError, match=said):
        make()
