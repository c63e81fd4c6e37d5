"""Density from specific gravity at the same moisture content. Source: shared/wood-density.toml."""

from __future__ import annotations

import pytest

from cladmodel.standards.density import density_at

from .data import published

CASE = published("wood-density")["same_moisture"]


def test_published_example():
    own = density_at(CASE["gravity"], CASE["moisture"])
    assert own == pytest.approx(CASE["kg_m3"], abs=CASE["tolerance_kg_m3"])
    # 1 lb/ft3 = 16.018463 kg/m3; the page's 27.968 rounds it to 62.43 for water.
    assert own / 16.018463 == pytest.approx(CASE["lb_ft3"], abs=0.001)
