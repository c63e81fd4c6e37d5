from dataclasses import replace

import numpy as np
import pytest

from cladmodel.checks.joints import check_joints, joints


def shifted(bench, marks, by):
    parts = [bench.part(mark) for mark in marks]
    return bench.model.replace_parts([p.with_vertices(p.vertices + np.array((by, 0, 0))) for p in parts])


def trimmed(bench, mark, new_end):
    """Cut a board's right end back to x."""
    part = bench.part(mark)
    vertices = part.vertices.copy()
    vertices[vertices[:, 0] > vertices[:, 0].max() - 1e-6, 0] = new_end
    return part.with_vertices(vertices)


def test_sound(bench):
    (finding,) = check_joints(bench.model, bench.rules)
    assert finding.verdict == "ok"
    assert finding.measured == pytest.approx(48.5, abs=1e-9)
    found = joints(bench.model, "front")
    assert [(j.course, j.x, j.gap) for j in found] == [(2, 1200.0, 3.0), (4, 1790.0, 3.0)]


def test_too_little_bearing(bench):
    """30 to the left: 18.5 of batten under the left board's end."""
    model = shifted(bench, ["02a", "02b"], -30.0)
    (finding,) = check_joints(model, bench.limit(bearing=20.0, stagger=0.0, end_gap=100.0))
    assert (finding.verdict, finding.mark) == ("fail", "02a")
    assert finding.measured == pytest.approx(18.5, abs=1e-9)


def test_off_its_batten(bench):
    (finding,) = check_joints(shifted(bench, ["02a", "02b"], -80.0), bench.limit(end_gap=100.0))
    assert finding.measured == pytest.approx(-31.5, abs=1e-9)
    assert "is not on a batten" in finding.text


def test_no_batten_at_all(bench):
    (first, second) = check_joints(bench.without(*(f"B{i}" for i in range(1, 8))), bench.rules)
    assert (first.verdict, first.measured) == ("fail", None)
    assert (first.mark, second.mark) == ("02a", "04a")


def test_gap(bench):
    model = bench.model.replace_parts([trimmed(bench, "02a", 1190.0)])
    (finding,) = check_joints(model, bench.rules)
    assert finding.measured == pytest.approx(11.5, abs=1e-9)
    assert "11.5 mm open" in finding.text


def test_stagger(bench):
    """Courses 3 and 4 joined 590 apart; then more is asked."""
    up = [
        bench.part(m).with_vertices(bench.part(m).vertices + np.array((0, 131.0, 0))) for m in ("02a", "02b")
    ]
    model = bench.without("03a").replace_parts([replace(p, course=3) for p in up])
    (sound,) = check_joints(model, bench.limit(stagger=590.0))
    assert "neighbours at least 590 mm apart" in sound.text
    (finding,) = check_joints(model, bench.rules)
    assert finding.verdict == "fail"
    assert finding.measured == pytest.approx(590.0, abs=1e-9)


def test_a_column_is_rested(bench):
    """Course 4's joint brought over course 2's."""
    model = shifted(bench, ["04a", "04b"], -590.0)
    assert [f.verdict for f in check_joints(model, bench.limit(column_rest=2.0, end_gap=600.0))] == ["ok"]
    (finding,) = check_joints(model, bench.limit(end_gap=600.0))
    assert finding.verdict == "fail"
    assert finding.measured == 2.0
    assert "stands over" in finding.text


def test_corners_that_nearly_touch_are_no_joint(bench):
    """One board left only low, the next only high, 12 apart: nothing is sawn in two there."""

    def sawn(mark, low, high, left, right):
        part = bench.part(mark)
        vertices = part.vertices.copy()
        ends = np.round(vertices[:, 0], 3)
        vertices[ends == ends.min(), 0], vertices[ends == ends.max(), 0] = left, right
        up = vertices[:, 1]
        return part.with_vertices(np.column_stack([vertices[:, 0], np.clip(up, low, high), vertices[:, 2]]))

    foot = bench.part("02a").vertices[:, 1].min()
    for facing, met in ((0.0, False), (60.0, True)):
        middle = foot + 80.0
        model = bench.model.replace_parts(
            [
                sawn("02a", -np.inf, middle + facing, 5.0, 1190.0),
                sawn("02b", middle, np.inf, 1202.0, 2395.0),
            ]
        )
        assert (2 in {j.course for j in joints(model, "front")}) is met
