from dataclasses import fields

from cladmodel.checks.rules import Limit, Rules


def test_every_limit_has_a_value_a_unit_and_a_basis():
    rules = Rules()
    for field in fields(Rules):
        limit = getattr(rules, field.name)
        assert isinstance(limit, Limit)
        assert limit.value > 0
        assert limit.unit in {"mm", "deg", "mm2/m", "courses", "d"}
        assert len(limit.basis) > 10, field.name
