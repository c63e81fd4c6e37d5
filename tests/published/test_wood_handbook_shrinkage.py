"""Wood Handbook (FPL-GTR-190), table 4-3: shrinkage. Source: shared/wood-handbook-shrinkage.toml."""

from __future__ import annotations

import pytest

from cladmodel.standards.moisture import coefficient
from cladmodel.standards.sources import Standing
from cladmodel.standards.species import SPECIES

from .data import published

BOOK = published("wood-handbook-shrinkage")


@pytest.mark.parametrize("row", BOOK["shrinkage"], ids=lambda row: row["species"])
def test_table_4_3(row):
    own = SPECIES[row["species"]]
    assert (own.shrink_radial, own.shrink_tangential) == (row["radial"], row["tangential"])
    assert (own.shrinkage.standing is Standing.MEMORY) == ("from memory" in row["standing"])
    assert not own.stands_in


def test_identity_gives_white_fir_exactly():
    assert round(coefficient(3.3), BOOK["identity"]["digits"]) == 0.00112
    assert round(coefficient(7.0), BOOK["identity"]["digits"]) == 0.00245


@pytest.mark.parametrize("name", BOOK["absent"]["species"])
def test_what_is_not_in_the_table_says_whose_figures_it_has(name):
    own = SPECIES[name]
    assert own.stands_in in SPECIES
    assert not SPECIES[own.stands_in].stands_in
    assert own.shrink_tangential == SPECIES[own.stands_in].shrink_tangential
    assert "stand-in" in own.label
    assert own.stands_in in own.label
    assert {own.shrinkage.standing, own.coefficients.standing} == {Standing.ASSUMED}
    assert all("stand in for" in s.note for s in (own.shrinkage, own.coefficients))
