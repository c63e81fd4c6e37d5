"""Names that a scene may choose from are those that the standards know: each list stands in two places."""

from __future__ import annotations

import pytest

from cladmodel.scene.fields import words_of
from cladmodel.scene.lasting import AirTable, ClimateTable, TimberTable, WindTable
from cladmodel.standards.climate import CLIMATES
from cladmodel.standards.nails import K_MOD, TIMBERS
from cladmodel.standards.species import SPECIES, Sawn
from cladmodel.standards.ventilation import OPENING_RULES
from cladmodel.standards.wind import NATIONALS, TERRAINS


@pytest.mark.parametrize(
    ("table", "field", "known"),
    [
        (ClimateTable, "name", CLIMATES),
        (TimberTable, "species", SPECIES),
        (TimberTable, "sawn", list(Sawn)),
        (TimberTable, "board_class", TIMBERS),
        (TimberTable, "batten_class", TIMBERS),
        (WindTable, "terrain", TERRAINS),
        (WindTable, "national", NATIONALS),
        (WindTable, "service_class", K_MOD),
        (AirTable, "rule", OPENING_RULES),
    ],
)
def test_a_scene_offers_what_is_known(table, field, known):
    assert list(words_of(table.model_fields[field].annotation)) == list(known)
