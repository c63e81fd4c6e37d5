"""Coverage of bevel siding. Source: shared/wwpa-coverage.toml."""

from __future__ import annotations

import itertools

import pytest

from .. import remeasure
from ..building import build_text, scene_text
from .data import published

TABLE = published("wwpa-coverage")
INCH, LAP = TABLE["inch"], TABLE["lap_in"]
PRINTED = 0.005  # factors are printed to two decimals
COURSES = 10
ROWS = pytest.mark.parametrize("row", TABLE["row"], ids=lambda r: f"{r['nominal_in']} in")


def wall_of(row):
    board = {"width": row["dressed_in"] * INCH, "least_lap": LAP * INCH, "butt": 12, "thin_edge": 5}
    height = row["exposed_in"] * INCH * COURSES
    return build_text(scene_text(wall={"height": height}, board=board))


@ROWS
def test_largest_gauge_that_laps_an_inch_is_the_exposed_face(row):
    boards = wall_of(row).boards()
    assert len(boards) == COURSES
    sections = [remeasure.section_of(b.vertices, b.faces, 933.7) for b in boards]
    for lower, upper in itertools.pairwise(sections):
        assert (upper[0, 1] - lower[0, 1]) / INCH == pytest.approx(row["exposed_in"], abs=1e-9)
        # Measured along a leaning board the lap is a hair more than width less gauge.
        assert LAP - 1e-9 <= remeasure.lap_along(lower, upper) / INCH < LAP + 0.02


@ROWS
def test_length_and_board_feet_for_a_square_foot_of_wall(row):
    boards = wall_of(row).boards()
    run = boards[0].cut_length_mm
    area = run * row["exposed_in"] * INCH * COURSES
    foot = 12 * INCH
    length = sum(b.cut_length_mm for b in boards) / foot
    per_foot = length / (area / foot**2)
    assert per_foot == pytest.approx(row["linear_factor"], abs=PRINTED)
    # A board foot is a foot of board one nominal foot wide, an inch thick.
    assert per_foot * row["nominal_in"] / 12 == pytest.approx(row["board_foot_factor"], abs=PRINTED)
