"""Density from oven-dry specific gravity. Source: shared/wood-density-oven-dry.toml."""

from __future__ import annotations

import pytest

from cladmodel.standards.density import WATER, density_from_oven_dry

from .data import published

CASES = published("wood-density-oven-dry")["example"]


@pytest.mark.parametrize("case", CASES)
def test_example(case):
    own = density_from_oven_dry(case["gravity"], case["moisture"]) / WATER * case["water_lb_ft3"]
    assert own == pytest.approx(case["lb_ft3"], abs=case["tolerance"])
