from dataclasses import replace

import numpy as np
import pytest

from cladmodel.checks.solids import check_solids
from cladmodel.model import Kind


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


def test_one_of_two_shells_inside_out_is_found_whatever_the_other_holds(bench):
    """A flashing is two plates that touch: the smaller one turned over leaves a volume above 0."""
    large = bench.block("FL", Kind.FLASHING, (0, 0, 0), (100, 100, 2))
    small = bench.block("FS", Kind.FLASHING, (0, 0, 2), (100, 2, 12))
    faces = np.concatenate([large.faces, small.faces[:, ::-1] + len(large.vertices)])
    bent = replace(large, vertices=np.concatenate([large.vertices, small.vertices]), faces=faces)
    (found,) = check_solids(bench.with_parts(bent), bench.rules)
    assert (found.verdict, found.mark, found.measured) == ("fail", "FL", pytest.approx(-2000.0))
