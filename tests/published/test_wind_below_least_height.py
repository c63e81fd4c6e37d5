"""A building lower than its terrain's z_min. Source: shared/wind-below-least-height.toml."""

from __future__ import annotations

import pytest

from cladmodel.standards import wind

from .data import published

BOOK = published("wind-below-least-height")
GIVEN, PRINTED = BOOK["given"], BOOK["published"]


def test_pressure():
    terrain = wind.TERRAINS[GIVEN["terrain"]]
    own = wind.peak_pressure(GIVEN["velocity"], GIVEN["height"], terrain)
    assert GIVEN["height"] < terrain.lowest
    assert own == pytest.approx(PRINTED["peak_pressure"], rel=PRINTED["tolerance"])
    assert own == pytest.approx(BOOK["exact"]["peak_pressure"], abs=0.005)
    assert wind.exposure_factor(GIVEN["height"], terrain) == pytest.approx(
        PRINTED["exposure_factor"], rel=PRINTED["tolerance"]
    )
    assert own == wind.peak_pressure(GIVEN["velocity"], terrain.lowest, terrain)
