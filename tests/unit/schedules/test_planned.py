"""What the cutting plan says of how good it is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cladmodel.build import Planned, build_planned, load_scene_text
from cladmodel.schedules.planned import cutting_plan

SCENE = 'title = "Wall"\n[wall]\nlength = 5200\nheight = 1200'


@pytest.fixture(scope="module")
def planned() -> Planned:
    return build_planned(load_scene_text(SCENE))


def test_a_proven_plan_says_so(planned: Planned) -> None:
    boards = planned.layout.best.boards
    assert cutting_plan(planned.model, planned.layout).proof == (
        f"No plan with these joints' rules takes less: {boards} boards is proven least."
    )


def test_a_search_ended_by_the_clock_says_so(planned: Planned) -> None:
    ended = replace(planned.layout, bound=planned.layout.bound - 100, repeatable=False)
    said = cutting_plan(planned.model, ended).proof
    assert said.startswith("At most ")
    assert said.endswith("The search was ended by the clock: another run may find another plan.")
