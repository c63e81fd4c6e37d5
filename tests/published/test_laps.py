"""Least laps, one file a source: shared/laps/*.toml. They disagree, which is the point."""

from __future__ import annotations

import pytest

from cladmodel.errors import CladmodelError
from cladmodel.standards.laps import LAP_RULES, least_lap

from ..building import SHARED
from .data import published

BOOKS = sorted(path.stem for path in (SHARED / "laps").glob("*.toml"))


@pytest.mark.parametrize("book", BOOKS)
def test_rule(book):
    rule = published(f"laps/{book}")["rule"]
    for width, least in rule["values"]:
        assert least_lap(rule["name"], width) == pytest.approx(least, abs=1e-12)
    source = published(f"laps/{book}")["source"]
    own = LAP_RULES[rule["name"]].source
    assert own.name == source["title"]
    assert own.standing == source["kind"]


def test_every_rule_has_its_file():
    assert {published(f"laps/{book}")["rule"]["name"] for book in BOOKS} == set(LAP_RULES)


def test_sources_disagree():
    assert len({least_lap(name, 170.0) for name in LAP_RULES}) > 2


@pytest.mark.parametrize(("name", "width"), [("nowhere", 170.0), ("Ontario", 0.0)])
def test_what_cannot_be_answered(name, width):
    with pytest.raises(CladmodelError, match=r"rule|width"):
        least_lap(name, width)
