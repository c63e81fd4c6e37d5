"""Bridge Design to Eurocodes, 3.3.1. Source: shared/wind-bridge-design.toml, found second-hand.

The printed peak pressure is said to be in error there, so the unrounded sum stands in its place.
"""

from __future__ import annotations

import pytest

from cladmodel.standards import wind

from .data import published

BOOK = published("wind-bridge-design")
GIVEN, PRINTED = BOOK["given"], BOOK["published"]


def test_pressure():
    terrain, near = wind.TERRAINS[GIVEN["terrain"]], {"rel": PRINTED["tolerance"]}
    factor = wind.probability_factor(1 / GIVEN["return_period"])
    velocity = wind.basic_velocity(GIVEN["fundamental"], probability=factor)
    assert factor == pytest.approx(PRINTED["probability_factor"], abs=5e-6)
    assert wind.basic_pressure(velocity) == pytest.approx(PRINTED["basic_pressure"], **near)
    assert wind.roughness_factor(GIVEN["height"], terrain) == pytest.approx(
        PRINTED["roughness_factor"], **near
    )
    assert wind.turbulence_intensity(GIVEN["height"], terrain) == pytest.approx(PRINTED["turbulence"], **near)
    assert wind.exposure_factor(GIVEN["height"], terrain) == pytest.approx(PRINTED["exposure_factor"], **near)
    assert wind.peak_pressure(velocity, GIVEN["height"], terrain) == pytest.approx(
        BOOK["exact"]["peak_pressure"], abs=0.05
    )


def test_fifty_years_changes_nothing():
    assert wind.probability_factor(0.02) == 1.0
