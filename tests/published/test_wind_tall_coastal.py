"""A tall building by the sea, at two heights. Source: shared/wind-tall-coastal.toml."""

from __future__ import annotations

import pytest

from cladmodel.standards import wind

from .data import published

BOOK = published("wind-tall-coastal")


@pytest.mark.parametrize("at", [0, 1])
def test_pressure(at):
    terrain = wind.TERRAINS[BOOK["given"]["terrain"]]
    own = wind.peak_pressure(BOOK["given"]["velocity"], BOOK["given"]["heights"][at], terrain)
    assert own == pytest.approx(BOOK["published"]["peak_pressure"][at], rel=BOOK["published"]["tolerance"])
    assert own == pytest.approx(BOOK["exact"]["peak_pressure"][at], abs=0.05)
