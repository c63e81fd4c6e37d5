"""Every check can be explained, in full."""

from dataclasses import astuple

import pytest

from cladmodel.checks.explain import EXPLANATIONS, checks_markdown, thresholds_text
from cladmodel.checks.run import CHECKS, LASTING
from cladmodel.checks.thresholds import THRESHOLDS, threshold
from cladmodel.scene.job import Scene

from ...building import ROOT

DOCUMENT = ROOT / "shared" / "docs" / "checks.md"


def test_every_check_is_explained_and_nothing_else():
    assert list(EXPLANATIONS) == [*CHECKS, *LASTING]


@pytest.mark.parametrize("name", EXPLANATIONS)
def test_an_explanation_leaves_nothing_out(name):
    for words in astuple(EXPLANATIONS[name]):
        assert len(words) > 9, name
        assert words.strip() == words


def test_every_check_has_its_thresholds():
    assert list(THRESHOLDS) == list(EXPLANATIONS)
    for own in THRESHOLDS.values():
        assert own
        assert len({rule.rule for rule in own}) == len(own)
        for rule in own:
            assert rule.limit().basis
            assert rule.worse in ("under", "over")


def test_a_threshold_that_a_scene_sets_names_its_field():
    for rule in (rule for own in THRESHOLDS.values() for rule in own if rule.field):
        table, field = rule.field.split(".")
        assert field in type(getattr(Scene.model_construct(), table)).model_fields, rule.field


def test_a_threshold_follows_the_rules_in_use(bench):
    assert threshold("lap", "lap").limit(bench.limit(lap=40.0)).value == 40.0
    with pytest.raises(KeyError, match="no rule"):
        threshold("lap", "weight")


def test_what_is_printed_says_figure_and_source():
    assert "fail under 25 mm" in thresholds_text("lap")
    assert "Ontario" in thresholds_text("lap")


def test_the_document_says_what_the_checks_use():
    assert DOCUMENT.read_text(encoding="utf-8") == checks_markdown(), (
        'write it anew: python -c "from cladmodel.checks.explain import checks_markdown as c; '
        "open('shared/docs/checks.md', 'w', encoding='utf-8').write(c())\""
    )
