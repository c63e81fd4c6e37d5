"""Rules of thumb for boards and nails, each row its own source: shared/board-guidance.toml."""

from __future__ import annotations

import pytest

from cladmodel.standards import guidance
from cladmodel.standards.sources import Standing

from .data import published

BOOK = published("board-guidance")


@pytest.mark.parametrize(
    ("name", "own"),
    [
        ("width_to_thickness", guidance.WIDTH_TO_THICKNESS),
        ("moisture_as_bought", guidance.MOISTURE_AS_BOUGHT),
        ("moisture_at_fixing", guidance.MOISTURE_AT_FIXING),
    ],
)
def test_ranges(name, own):
    assert [own.low, own.high] == BOOK[name]["values"]
    assert own.source.standing == BOOK[name]["standing"]


def test_a_150_by_22_board_is_wider_than_the_rule():
    assert pytest.approx(6.8, abs=0.05) == 150 / 22
    assert guidance.WIDTH_TO_THICKNESS.high < 150 / 22
    assert BOOK["width_to_thickness"]["widest"] == guidance.WIDEST


def test_rule_of_thumb_for_movement():
    row = BOOK["movement"]
    assert guidance.rough_movement(100, 0, row["percent_moisture"]) == pytest.approx(row["percent_width"])


def test_nail_length_and_pilot_hole():
    row = BOOK["nail_length"]
    assert guidance.least_nail(20, ringed=False) == 20 * row["smooth"]
    assert guidance.least_nail(20, ringed=True) == 20 * row["ringed"]
    assert BOOK["pilot_hole"]["share"] == guidance.PILOT_HOLE
    assert guidance.MOISTURE_AT_FIXING.source.standing is Standing.MEMORY
