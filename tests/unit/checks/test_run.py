"""What holds for the findings of every check, on sound walls and on spoilt ones."""

import math
from dataclasses import replace

import numpy as np
import pytest

from cladmodel.checks.run import CHECKS, run_checks
from cladmodel.model import Kind, Model


def spoilt(bench):
    """Everything wrong at once that a model can have wrong and still be closed solids."""
    nails, post = bench.model.fixings
    model = bench.moved("03a", (0, 0, -0.5))
    parts = [p for p in model.parts if p.mark not in ("02b", "M1")]
    parts.append(bench.block("X", Kind.POST, (-80, -150, -25), (0, 900, 30)))
    far = replace(nails, heads=nails.heads + np.array((30.0, -12.0, 4.0)))
    return Model(
        title="",
        walls=model.walls,
        parts=tuple(parts),
        fixings=(far, replace(post, heads=post.heads + np.array((0, 0, 60.0)))),
    )


@pytest.mark.parametrize(
    "make", [lambda b: b.model, spoilt, lambda b: replace(b.model, parts=()), lambda b: b.without("V1", "S1")]
)
def test_findings_are_plain_and_whole(bench, make):
    findings = run_checks(make(bench), bench.rules)
    marks = {p.mark for p in bench.model.parts} | {"X"} | {f.mark for f in bench.model.fixings}
    for f in findings:
        assert f.check in CHECKS
        assert f.text.endswith(".")
        assert f.text[0].isupper()
        assert f.mark is None or f.mark in marks
        for value in (f.measured, f.limit, *(f.where or ())):
            assert value is None or (type(value) is float and math.isfinite(value)), f
        if f.verdict in ("fail", "caution"):
            assert f.remedy
            assert f.basis
            assert f.limit is not None
            assert f.unit
        else:
            assert f.remedy == ""


def test_findings_name_their_wall(bench):
    assert {f.wall for f in run_checks(bench.model, bench.rules)} == {"front"}


def test_a_wall_of_several_faults_reports_each(bench):
    names = {f.check for f in run_checks(spoilt(bench), bench.rules) if f.verdict == "fail"}
    assert names >= {"nails", "noses", "concealed", "clashes", "clearance"}


@pytest.mark.parametrize("slope", [-0.005, 0.005])
def test_a_wall_out_of_square_is_sound(bench, slope):
    """The right-hand post leans, with its batten and all the boards' ends: 5 in a metre either way."""

    def leaned(part):
        vertices = part.vertices.copy()
        right = vertices[:, 0] > 2300.0
        vertices[right, 0] += slope * vertices[right, 1]
        return part.with_vertices(vertices)

    model = bench.model.replace_parts(
        [leaned(p) for p in bench.model.parts if p.mark not in ("M1", "V1", "S1")]
    )
    if slope > 0:  # the other way the post leans into the square ends of starter and strip
        assert bench.failing(model) == {}
    # A cut out on a slanting end must not pass for a short lap or a butt out of level: look right there.
    batten = bench.block("B8", Kind.BATTEN, (2392.0, 2, -25), (2394.0 + 2.0, 900, 0))
    slanting = replace(model, parts=(*tuple(p for p in model.parts if p.mark not in ("B7", "PR")), batten))
    found = bench.failing(slanting)
    assert "lap" not in found
    assert "contact" not in found
