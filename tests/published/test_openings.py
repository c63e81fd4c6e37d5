"""Free openings of a cavity, one file a source: shared/openings/*.toml. They disagree."""

from __future__ import annotations

import pytest

from cladmodel.errors import CladmodelError
from cladmodel.standards.ventilation import OPENING_RULES, SLOT, free_area

from ..building import SHARED
from .data import published

BOOKS = sorted(path.stem for path in (SHARED / "openings").glob("*.toml"))


@pytest.mark.parametrize("book", BOOKS)
def test_rule(book):
    rule, source = published(f"openings/{book}")["rule"], published(f"openings/{book}")["source"]
    own = OPENING_RULES[rule["name"]]
    assert free_area(rule["name"]) == pytest.approx(rule["area"], abs=1e-9)
    assert free_area(rule["name"], 600.0) == pytest.approx(0.6 * rule["area"], abs=1e-9)
    assert own.narrowest == rule["narrowest"]
    assert own.source.standing == source["kind"]
    if "slots" in rule:
        assert list(SLOT) == rule["slots"]


def test_every_rule_has_its_file():
    assert {published(f"openings/{book}")["rule"]["name"] for book in BOOKS} == set(OPENING_RULES)


def test_no_such_rule():
    with pytest.raises(CladmodelError, match="use one of"):
        free_area("nowhere")
