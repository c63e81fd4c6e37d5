"""Single-Storey Steel Buildings, part 3, appendix B. Source: shared/wind-single-storey-steel.toml.

The source rounds between steps: it prints 659 N/m2 where the unrounded sum is 661.8.
"""

from __future__ import annotations

import pytest

from cladmodel.standards import wind

from .data import published

BOOK = published("wind-single-storey-steel")
GIVEN, PRINTED, EXACT = BOOK["given"], BOOK["published"], BOOK["exact"]
TERRAIN = wind.TERRAINS[GIVEN["terrain"]]


def test_pressure():
    near = {"rel": PRINTED["tolerance"]}
    own = wind.peak_pressure(GIVEN["velocity"], GIVEN["height"], TERRAIN)
    assert wind.basic_pressure(GIVEN["velocity"]) == pytest.approx(PRINTED["basic_pressure"], **near)
    assert TERRAIN.factor == pytest.approx(PRINTED["terrain_factor"], **near)
    assert wind.roughness_factor(GIVEN["height"], TERRAIN) == pytest.approx(
        PRINTED["roughness_factor"], **near
    )
    assert wind.exposure_factor(GIVEN["height"], TERRAIN) == pytest.approx(PRINTED["exposure_factor"], **near)
    assert own == pytest.approx(PRINTED["peak_pressure"], **near)
    assert own == pytest.approx(EXACT["peak_pressure"], abs=0.05)
    assert wind.roughness_factor(GIVEN["height"], TERRAIN) == pytest.approx(
        EXACT["roughness_factor"], abs=5e-6
    )
    assert wind.exposure_factor(GIVEN["height"], TERRAIN) == pytest.approx(EXACT["exposure_factor"], abs=5e-6)


def test_zones():
    e = wind.reference_length(GIVEN["breadth"], GIVEN["height"])
    own = wind.zones(GIVEN["depth"], e)
    assert e == PRINTED["e"]
    assert round(GIVEN["height"] / GIVEN["depth"], 2) == PRINTED["ratio"]
    assert [z[0] for z in own] == ["A", "B", "C"]
    assert [z[2] for z in own] == pytest.approx(PRINTED["zone_ends"], abs=1e-12)
    assert [z[2] - z[1] for z in own] == pytest.approx(PRINTED["zone_lengths"], abs=1e-12)
