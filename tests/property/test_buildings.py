"""Any plan, top, foot and openings either build sound or are refused in words.

Sound means that no check of the solids fails that the setting-out answers for. Anything else than a model
or a refusal (another exception, a model passed as sound whose courses do not meet) is a fault.
"""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings

from cladmodel.build import build_model, load_scene_text, rules_of
from cladmodel.checks.finding import Verdict
from cladmodel.checks.run import CHECKS
from cladmodel.errors import CladmodelError
from cladmodel.model import Kind, Model

from .. import remeasure
from ..building import toml
from .plans import buildings, walls

SOUND = ("solids", "clashes", "contact", "lap", "tilt", "joints", "noses", "cavity")
LEVEL = 0.01  # mm: courses at every corner


def text_of(tables: dict[str, object]) -> str:
    return "\n".join(f"{key} = {toml(value)}" for key, value in {"title": "Trial", **tables}.items()) + "\n"


def built_sound(text: str) -> Model | None:
    """Model of a job, its solids measured; None where it was refused."""
    refusal = ""
    try:
        scene = load_scene_text(text)
        model = build_model(scene)
    except CladmodelError as error:
        refusal = str(error)
    if refusal:
        assert len(refusal) > 20
        return None
    rules = rules_of(scene)
    for name in SOUND:
        faults = [f.text for f in CHECKS[name](model, rules) if f.verdict is Verdict.FAIL]
        assert faults == [], name
    for part in model.parts:
        assert remeasure.is_closed(part.faces), part.mark
    return model


@settings(max_examples=45)
@given(tables=walls())
def test_a_wall_is_sound_or_refused(tables):
    built_sound(text_of(tables))


@settings(max_examples=25)
@given(tables=buildings())
def test_a_building_is_sound_or_refused_and_its_courses_meet_at_every_corner(tables):
    model = built_sound(text_of(tables))
    if model is None:
        return
    for n, left in enumerate(model.walls):
        right = model.walls[(n + 1) % len(model.walls)]
        ends = [
            {
                b.course: b
                for b in sorted(
                    model.of_kind(Kind.BOARD, wall=w.name), key=lambda b: way * b.vertices[:, 0].max()
                )
            }
            for w, way in ((left, 1), (right, -1))
        ]
        lines = [
            {c: float(b.vertices[:, 1].min()) for c, b in by.items() if np.ptp(b.vertices[:, 1]) > 100}
            for by in ends
        ]
        # A board cut to a step or notched from below has no butt on its line: only whole ones are compared.
        on_rod = [
            {c: y for c, y in found.items() if np.abs(w.rod - y).min() < 1.0}
            for found, w in zip(lines, (left, right), strict=True)
        ]
        shared = set(on_rod[0]) & set(on_rod[1])
        assert len(shared) >= 8
        assert all(abs(on_rod[0][c] - on_rod[1][c]) <= LEVEL for c in shared), (left.name, right.name)


@pytest.mark.parametrize(("make", "most"), [(walls, 30), (buildings, 16)], ids=["walls", "buildings"])
def test_most_of_these_jobs_can_be_built(make, most):
    """The laws above would be empty if all were refused."""
    came: Counter[str] = Counter()

    @settings(max_examples=most, database=None)
    @given(tables=make())
    def count(tables):
        try:
            load_scene_text(text_of(tables))
        except CladmodelError:
            came["refused"] += 1
        else:
            came["built"] += 1

    count()
    assert came["built"] >= most // 2
