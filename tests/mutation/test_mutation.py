"""Every way of breaking a sound wall is caught beyond its threshold, and passed over short of it."""

from __future__ import annotations

import pytest

from cladmodel.checks.thresholds import THRESHOLDS

from . import every
from .breaking import MUTATIONS, Mutation
from .run import tried

EACH = 5
SEED = 20

assert every


def name(mutation: Mutation) -> str:
    return f"{mutation.check}: {mutation.name}"


def test_every_rule_of_every_check_is_broken():
    broken = {(m.check, m.rule) for m in MUTATIONS}
    assert broken == {(check, rule.rule) for check, own in THRESHOLDS.items() for rule in own}


@pytest.mark.parametrize("mutation", MUTATIONS, ids=name)
def test_beyond_its_threshold_it_is_caught(mutation):
    assert tried(mutation, EACH, SEED, over=True) == []


@pytest.mark.parametrize("mutation", [m for m in MUTATIONS if m.has_short], ids=name)
def test_short_of_it_nothing_is_said(mutation):
    assert tried(mutation, EACH, SEED, over=False) == []
