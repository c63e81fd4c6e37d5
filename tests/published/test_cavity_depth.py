"""Least depth of a cavity, each row its own source: shared/cavity-depth.toml. They disagree."""

from __future__ import annotations

import pytest

from cladmodel.errors import CladmodelError
from cladmodel.standards.ventilation import DEPTH_RULES, cavity_depth

from .data import published

ROWS = published("cavity-depth")["rule"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["name"])
def test_depth(row):
    assert cavity_depth(row["name"]) == row["least"]
    assert DEPTH_RULES[row["name"]].source.standing == row["standing"]


def test_every_rule_is_cited():
    assert {row["name"] for row in ROWS} == set(DEPTH_RULES)
    with pytest.raises(CladmodelError, match="use one of"):
        cavity_depth("nowhere")
