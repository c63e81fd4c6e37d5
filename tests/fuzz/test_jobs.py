"""Jobs that look like real ones through the command: each ends sound, refused, or with what is true of it."""

from __future__ import annotations

import random

import pytest

from .crew import drawn, excess
from .jobs import job, may_fail, text_of
from .through import run_case

SEED = 8
COUNT = 80


@pytest.mark.parametrize("number", range(COUNT))
def test_ends_sound_refused_or_with_what_is_true_of_it(number, tmp_path):
    case, rng = drawn("jobs", SEED, number)
    ran = run_case(case, tmp_path, rng)
    assert not ran.end.offends, f"{ran.why}\n{ran.err}\n{case.data.decode()}"
    assert excess("jobs", SEED, number, ran) == "", f"{ran.out}\n{case.data.decode()}"


def test_most_jobs_are_built():
    """A generator whose jobs are all refused would try nothing but refusals."""
    from cladmodel.build import load_scene_text
    from cladmodel.errors import SceneError

    taken = 0
    for number in range(COUNT):
        try:
            load_scene_text(drawn("jobs", SEED, number)[0].data.decode())
            taken += 1
        except SceneError:
            pass
    assert taken > COUNT / 2


def test_jobs_are_the_same_for_the_same_seed_and_differ_for_others():
    texts = [text_of(job(random.Random(seed))) for seed in (1, 1, 2)]
    assert texts[0] == texts[1] != texts[2]


def test_every_table_of_a_scene_is_written_by_some_job():
    from cladmodel.scene.job import Scene

    written = {table for seed in range(200) for table in job(random.Random(seed))}
    assert written >= set(Scene.model_fields) - {"site_notes"}


def test_what_a_job_says_decides_what_may_fail():
    plain = {"board": {"width": 170, "butt": 22}, "fixings": {"board_nail": {"length": 60}}}
    short = plain | {"fixings": {"board_nail": {"length": 40}}}
    assert may_fail(plain) == set()
    assert {"nails", "fixings"} <= may_fail(short)
    assert "lap" in may_fail(plain | {"board": {"width": 170, "butt": 22, "wanted_gauge": 150}})
