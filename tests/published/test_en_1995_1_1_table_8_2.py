"""EN 1995-1-1, table 8.2: spacings and distances. Source: shared/en-1995-1-1-table-8-2.toml, second-hand."""

from __future__ import annotations

import math

import pytest

from cladmodel.errors import CladmodelError
from cladmodel.standards.nails import distances

from .data import published

COLUMNS = published("en-1995-1-1-table-8-2")["column"]
NAMES = {
    "a1": "along",
    "a2": "across",
    "a3t": "end_loaded",
    "a3c": "end",
    "a4t": "edge_loaded",
    "a4c": "edge",
}


@pytest.mark.parametrize("column", COLUMNS, ids=lambda c: f"d{c['d']:g}-{c['density']}-{c['pre_drilled']}")
@pytest.mark.parametrize("degrees", [0, 90])
def test_columns(column, degrees):
    own = distances(
        column["d"], column["density"], pre_drilled=column["pre_drilled"], angle=math.radians(degrees)
    )
    for name, times in column[f"at_{degrees}"].items():
        assert getattr(own, NAMES[name]) == pytest.approx(times * column["d"], abs=1e-9), name


def test_dense_timber_is_pre_drilled():
    with pytest.raises(CladmodelError, match="pre-drilled"):
        distances(3.0, 530, pre_drilled=False)
