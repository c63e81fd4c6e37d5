import numpy as np
import pytest

from cladmodel.errors import CladmodelError
from cladmodel.standards.moisture import coefficient
from cladmodel.standards.species import SPECIES

EVERY = pytest.mark.parametrize("name", list(SPECIES))


@EVERY
def test_drying_shrinks_and_wetting_swells_more_along_the_rings(name):
    own = SPECIES[name]
    for before, after in ((18.0, 11.0), (12.0, 8.0), (22.0, 5.0)):
        along = float(own.strain(before, after, tangential=True))
        across = float(own.strain(before, after, tangential=False))
        assert along < across < 0
        assert float(own.strain(after, before, tangential=True)) > 0


@EVERY
def test_nothing_moves_where_it_does_not_shrink(name):
    own = SPECIES[name]
    assert float(own.strain(16.0, 16.0, tangential=True)) == 0.0
    assert float(own.strain(own.starts_at, own.starts_at + 10, tangential=True)) == 0.0


@EVERY
def test_outputs_can_say_where_the_figures_come_from(name):
    own = SPECIES[name]
    for before, after in ((12.0, 8.0), (18.0, 11.0)):
        assert all(source.basis for source in own.sources(before, after))
    assert own.sources(12.0, 8.0) != own.sources(18.0, 11.0)


def test_arrays_go_through():
    strain = SPECIES["white fir"].strain(np.array([16.0, 18.0]), 11.0, tangential=True)
    assert strain.shape == (2,)
    assert strain[1] < strain[0] < 0


def test_no_negative_moisture():
    with pytest.raises(CladmodelError, match="not below 0"):
        SPECIES["white fir"].strain(-1.0, 8.0, tangential=True)


def test_species_that_start_at_22_move_less_above_it():
    cedar = SPECIES["western redcedar"]
    assert float(cedar.strain(28.0, 22.0, tangential=True)) == 0.0
    assert coefficient(cedar.shrink_tangential, 22.0) == pytest.approx(0.00234, abs=5e-6)
