"""Every check can be explained, in full."""

from dataclasses import astuple

import pytest

from cladmodel.checks.explain import EXPLANATIONS
from cladmodel.checks.run import CHECKS, LASTING


def test_every_check_is_explained_and_nothing_else():
    assert list(EXPLANATIONS) == [*CHECKS, *LASTING]


@pytest.mark.parametrize("name", EXPLANATIONS)
def test_an_explanation_leaves_nothing_out(name):
    for words in astuple(EXPLANATIONS[name]):
        assert len(words) > 9, name
        assert words.strip() == words
