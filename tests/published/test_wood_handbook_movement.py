"""Wood Handbook (FPL-GTR-190), chapter 13: how far wood moves. Source: shared/wood-handbook-movement.toml.

Eq. 13-3 is from memory: on the page found its formula is an image.
"""

from __future__ import annotations

import pytest

from cladmodel.errors import CladmodelError
from cladmodel.standards.moisture import (
    LINEAR,
    MOVEMENT_WIDE,
    SATURATION,
    coefficient,
    movement_linear,
    movement_wide,
)
from cladmodel.standards.sources import Standing
from cladmodel.standards.species import SPECIES

from .data import published

BOOK = published("wood-handbook-movement")
FIR, LARCH = BOOK["white_fir"], BOOK["larch"]


def test_white_fir_from_8_to_11():
    change = float(movement_linear(FIR["width"], FIR["before"], FIR["after"], FIR["tangential"]))
    assert change == pytest.approx(FIR["change"], abs=FIR["tolerance"])
    assert round(FIR["width"] + change, 1) == FIR["printed_width"]
    # 9.217 in is printed from inches: 232 mm is not exactly their width.
    assert (FIR["width"] + change) / 25.4 == pytest.approx(FIR["printed_inches"], abs=0.02)


def test_white_fir_by_its_name():
    strain = float(SPECIES["white fir"].strain(FIR["before"], FIR["after"], tangential=True))
    assert strain * FIR["width"] == pytest.approx(FIR["change"], abs=FIR["tolerance"])


def test_larch_from_20_to_12_by_the_other_equation():
    change = float(movement_wide(LARCH["width"], LARCH["before"], LARCH["after"], LARCH["shrinkage"]))
    assert change == pytest.approx(LARCH["change"], abs=LARCH["tolerance"])
    own = SPECIES["western larch"]
    assert float(own.strain(20, 12, tangential=True)) * 150 == pytest.approx(LARCH["change"], abs=5e-4)
    assert MOVEMENT_WIDE in own.sources(20, 12)
    assert MOVEMENT_WIDE.standing is Standing.MEMORY
    assert MOVEMENT_WIDE.basis.startswith("from memory")


def test_the_two_equations_agree_where_both_hold():
    fir = SPECIES["white fir"]
    wide = float(movement_wide(232, 8, 11, fir.shrink_tangential))
    assert wide == pytest.approx(FIR["change"], rel=0.01)


def test_there_and_back_is_where_it_was():
    out = 150 + float(movement_wide(150, 20, 12, 9.1))
    assert out + float(movement_wide(out, 12, 20, 9.1)) == pytest.approx(150, abs=1e-9)


def test_limits():
    assert BOOK["limits"]["most"] == SATURATION
    assert tuple(BOOK["limits"]["linear"]) == LINEAR
    with pytest.raises(CladmodelError, match="use eq"):
        movement_linear(150, 16, 12, 0.0025)
    with pytest.raises(CladmodelError, match="exceed 30"):
        movement_wide(150, 31, 12, 7.0)
    fir = SPECIES["white fir"]
    assert float(fir.strain(45, 30, tangential=True)) == 0.0
    assert float(fir.strain(45, 12, tangential=True)) == float(fir.strain(30, 12, tangential=True))


@pytest.mark.parametrize("row", BOOK["coefficient"], ids=lambda row: row["species"])
def test_coefficients(row):
    own = SPECIES[row["species"]]
    assert (own.per_percent_radial, own.per_percent_tangential) == (row["radial"], row["tangential"])
    memory = "from memory" in row["standing"]
    assert (own.coefficients.standing is Standing.MEMORY) == memory
    assert own.starts_at == row.get("starts_at", SATURATION)
    if row.get("identity", True):
        assert coefficient(own.shrink_radial, own.starts_at) == pytest.approx(row["radial"], abs=1.1e-5)
        assert coefficient(own.shrink_tangential, own.starts_at) == pytest.approx(
            row["tangential"], abs=1.1e-5
        )
    else:
        assert coefficient(own.shrink_tangential) != pytest.approx(row["tangential"], abs=1e-4)
