"""EN 1991-1-4, tables 4.1 and 7.1, fig. 7.5: walls. Source: shared/en-1991-1-4-walls.toml, second-hand.

The rule between 1 and 10 m2, and zones on walls shorter than e, are from memory.
"""

from __future__ import annotations

import pytest

from cladmodel.errors import CladmodelError
from cladmodel.standards import wind
from cladmodel.standards.sources import Standing

from .data import published

BOOK = published("en-1991-1-4-walls")


@pytest.mark.parametrize(("name", "roughness", "lowest", "factor"), BOOK["terrain"]["rows"])
def test_terrain(name, roughness, lowest, factor):
    own = wind.TERRAINS[name]
    assert (own.roughness, own.lowest) == (roughness, lowest)
    assert own.factor == pytest.approx(factor, abs=BOOK["terrain"]["tolerance"])


@pytest.mark.parametrize("row", BOOK["coefficients"]["rows"], ids=lambda row: str(row["ratio"]))
@pytest.mark.parametrize("zone", ["A", "B", "C", "D", "E"])
def test_table_7_1(row, zone):
    ten = wind.pressure_coefficient(zone, row["ratio"], 10.0)
    one = wind.pressure_coefficient(zone, row["ratio"], 1.0)
    assert [ten, one] == row[zone]


@pytest.mark.parametrize(("zone", "ratio", "area", "value"), BOOK["interpolated"]["rows"])
def test_between_rows(zone, ratio, area, value):
    assert wind.pressure_coefficient(zone, ratio, area) == pytest.approx(value, abs=1e-12)


def test_between_areas():
    case = BOOK["area"]
    own = wind.pressure_coefficient(case["zone"], case["ratio"], case["area"])
    assert own == pytest.approx(case["coefficient"], abs=case["tolerance"])
    assert wind.AREA.standing is Standing.MEMORY
    stepped = wind.NATIONALS["United Kingdom"]
    assert wind.pressure_coefficient("A", 0.5, 1.0, stepped) == -1.4
    assert wind.pressure_coefficient("A", 0.5, 1.01, stepped) == -1.2


@pytest.mark.parametrize("row", BOOK["zones"]["rows"], ids=lambda row: f"d{row['d']}")
def test_zones(row):
    own = wind.zones(row["d"], row["e"])
    assert [z[0] for z in own] == [z[0] for z in row["zones"]]
    for mine, theirs in zip(own, row["zones"], strict=True):
        assert mine[1:] == pytest.approx(theirs[1:], abs=1e-12)


def test_national_choices():
    german, britain = wind.NATIONALS["Germany"], wind.NATIONALS["United Kingdom"]
    case = BOOK["germany"]
    pair = [wind.pressure_coefficient(case["zone"], case["ratio"], a, german) for a in (10.0, 1.0)]
    assert pair == case["coefficients"]
    assert britain.density == BOOK["united_kingdom"]["density"]
    assert wind.basic_pressure(26.0, britain) == pytest.approx(0.5 * 1.226 * 26**2)


def test_where_the_standard_ends():
    with pytest.raises(CladmodelError, match="ends at 5"):
        wind.pressure_coefficient("A", 5.1, 1.0)
    with pytest.raises(CladmodelError, match="200"):
        wind.peak_pressure(26.0, 201.0, wind.TERRAINS["II"])
    with pytest.raises(CladmodelError, match="yearly probability"):
        wind.probability_factor(1.0)
