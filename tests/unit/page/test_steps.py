"""The walk keeps the order in which a wall can be built."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from cladmodel.model import Kind, Model, Use
from cladmodel.page.steps import Steps, steps_of

from ...building import Built


@pytest.fixture(params=["wall", "seed_store"])
def model(request: pytest.FixtureRequest) -> Model:
    built: Built = request.getfixturevalue(request.param)
    return built.model


@pytest.fixture
def steps(model: Model) -> Steps:
    return steps_of(model)


def of(model: Model, steps: Steps, *kinds: Kind) -> set[int]:
    return {int(s) for part, s in zip(model.parts, steps.parts, strict=True) if part.kind in kinds}


def test_nothing_goes_up_before_what_carries_it(model: Model, steps: Steps):
    order = (
        (Kind.STUD,),
        (Kind.SHEATHING,),
        (Kind.MEMBRANE,),
        (Kind.VENT_STRIP,),
        (Kind.POST,),
        (Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.SILL),
        (Kind.STARTER,),
        (Kind.BOARD,),
        (Kind.FILLET,),
    )
    found = [of(model, steps, *kinds) for kinds in order]
    for below, above in pairwise(found):
        assert max(below) < min(above)


def test_each_course_is_one_step(model: Model, steps: Steps):
    for part, step in zip(model.parts, steps.parts, strict=True):
        if part.kind is Kind.BOARD:
            assert steps.titles[step] == f"Course {part.course}"
            assert steps.courses[step] == part.course


def test_no_step_is_empty_or_missing(model: Model, steps: Steps):
    assert {int(s) for s in steps.parts} == set(range(len(steps.titles)))
    assert len(steps.courses) == len(steps.titles)


def test_a_post_goes_up_with_its_battens(model: Model, steps: Steps):
    posts = of(model, steps, Kind.POST)
    assert len(posts) == 1
    joined = {int(s) for p, s in zip(model.parts, steps.parts, strict=True) if p.assembly is not None}
    assert joined == posts
    assert min(posts) > min(of(model, steps, Kind.BATTEN))


def test_each_nail_goes_in_with_its_board(model: Model, steps: Steps):
    """Told from the solids: the board that a nail's middle lies nearest above the butt of."""
    for group, when in zip(model.fixings, steps.fixings, strict=True):
        if group.use is not Use.BOARD:
            assert len(set(when.tolist())) <= 1
            continue
        boards = [p for p in model.of_kind(Kind.BOARD) if p.wall == group.wall]
        for head, step in zip(group.heads[::7], when[::7], strict=True):
            under = [
                p
                for p in boards
                if p.vertices[:, 0].min() - 1 <= head[0] <= p.vertices[:, 0].max() + 1
                and p.vertices[:, 1].min() < head[1] < p.vertices[:, 1].max()
            ]
            outermost = max(under, key=lambda p: p.vertices[:, 1].min())
            assert steps.courses[step] == outermost.course


def test_a_frame_alone_has_one_step(wall: Built):
    studs = tuple(wall.model.of_kind(Kind.STUD))
    steps = steps_of(replace(wall.model, parts=studs, fixings=()))
    assert steps.titles == ("Stud frame",)
    assert np.all(steps.parts == 0)
