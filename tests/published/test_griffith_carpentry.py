"""Griffith, Carpentry, section 57: spread the remainder equally. Source: shared/griffith-carpentry.toml."""

from __future__ import annotations

import numpy as np
import pytest

from cladmodel.settingout.courses import butt_lines

from ..building import build_text, scene_text
from .data import published

CASES = pytest.mark.parametrize(
    "case", published("griffith-carpentry")["space"], ids=lambda c: str(c["height"])
)


@CASES
def test_remainder_is_spread_over_all_courses(case):
    rod = butt_lines(0, case["height"], case["largest_gauge"])
    assert len(rod) - 1 == case["courses"]
    assert case["height"] - (case["courses"] - 1) * case["largest_gauge"] == case["remainder"]
    short = case["largest_gauge"] - np.diff(rod)
    assert short == pytest.approx((case["largest_gauge"] - case["remainder"]) / case["courses"], abs=1e-9)


@CASES
def test_no_narrow_course_in_the_built_wall(case):
    board = {"width": case["largest_gauge"] + 32, "least_lap": 32}
    built = build_text(scene_text(wall={"height": case["height"]}, board=board))
    feet = np.array([b.vertices[:, 1].min() for b in built.boards()])
    assert len(feet) == case["courses"]
    shows = np.diff([*feet, case["height"]])
    assert shows == pytest.approx(case["height"] / case["courses"], abs=1e-9)
