import pytest

from cladmodel.standards.climate import CLIMATES, Air
from cladmodel.standards.sources import Standing


@pytest.mark.parametrize("name", list(CLIMATES))
def test_named_climates_are_labelled_assumptions_and_in_order(name):
    climate = CLIMATES[name]
    assert climate.source.standing is Standing.ASSUMED
    assert name in climate.source.basis
    assert "assumption" in climate.source.basis
    assert 4 < climate.driest.moisture < climate.wettest.moisture < 30


def test_damp_air_makes_damp_wood():
    air = [Air(temperature_c=10, humidity_percent=h).moisture for h in range(0, 101, 5)]
    assert air == sorted(air)
    assert air[0] == 0.0
