import pytest

from cladmodel.checks.clearance import check_clearance


def test_sound(bench):
    (finding,) = check_clearance(bench.model, bench.rules)
    assert finding.verdict == "ok"
    assert finding.measured == pytest.approx(200.0, abs=1e-9)


def test_too_low(bench):
    found = list(check_clearance(bench.moved("PR", (0, -60, 0)), bench.rules))
    assert [(f.mark, f.verdict) for f in found] == [("PR", "fail")]
    assert found[0].measured == pytest.approx(140.0, abs=1e-9)


def test_every_low_piece_is_named(bench):
    found = list(check_clearance(bench.model, bench.limit(ground_clearance=201.0)))
    assert {f.mark for f in found} == {"S1", "PL", "PR", "01a"}
