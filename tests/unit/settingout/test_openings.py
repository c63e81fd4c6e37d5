"""Lines that follow from an opening, with uneven numbers, each worked by hand."""

from __future__ import annotations

import math

import pytest

from cladmodel.settingout.openings import opening_lines

GIVEN = {
    "name": "window",
    "door": False,
    "left": 1900.0,
    "width": 1210.0,
    "sill": 890.0,
    "head": 1930.0,
    "trim_width": 61.0,
    "head_fall": math.atan(0.1),
    "head_gap": 10.0,
    "sill_thickness": 45.0,
    "sill_gap": 9.0,
    "fitting_gap": 5.0,
    "cavity": 27.0,
    "flashing": 1.5,
}


def test_window():
    lines = opening_lines(**GIVEN)
    assert (lines.left, lines.right, lines.sill, lines.head) == (1900, 3110, 890, 1930)
    assert (lines.trim_left, lines.trim_right) == (1839, 3171)
    assert (lines.clear_left, lines.clear_right) == (1834, 3176)
    assert lines.sill_underside == 845
    assert lines.clear_bottom == 836
    assert lines.trim_top == 1991
    assert lines.flashing_top == pytest.approx(1991 + 2.7 + 1.5)
    assert lines.clear_top == pytest.approx(2005.2)


def test_door_runs_down_past_the_foot():
    lines = opening_lines(**GIVEN | {"door": True, "sill": 0.0})
    assert lines.sill == 0
    assert lines.clear_bottom == -math.inf
    assert lines.clear_top == pytest.approx(2005.2)
