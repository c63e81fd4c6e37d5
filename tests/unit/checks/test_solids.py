from dataclasses import replace

import pytest

from cladmodel.checks.solids import check_solids


def test_sound(bench):
    (finding,) = check_solids(bench.model, bench.rules)
    assert finding.verdict == "ok"
    assert f"All {len(bench.model.parts)} pieces" in finding.text
    # The strip: 2 thick, 60 slots of 14 x 4.
    assert finding.mark == "V1"
    assert finding.measured == pytest.approx(2 * (2400 * 25 - 60 * 14 * 4), abs=1e-6)


def test_a_missing_triangle_is_three_open_edges(bench):
    part = bench.part("03a")
    model = bench.model.replace_parts([replace(part, faces=part.faces[1:])])
    (finding,) = check_solids(model, bench.rules)
    assert (finding.verdict, finding.mark, finding.measured) == ("fail", "03a", 3.0)


def test_inside_out_has_no_volume(bench):
    part = bench.part("03a")
    model = bench.model.replace_parts([replace(part, faces=part.faces[:, ::-1])])
    (finding,) = check_solids(model, bench.rules)
    assert finding.verdict == "fail"
    assert finding.unit == "mm3"
    assert finding.measured < 0
