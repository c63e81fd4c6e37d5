from dataclasses import replace

import numpy as np
import pytest

from cladmodel.checks.clashes import check_clashes
from cladmodel.model import Kind, Model


def test_sound(bench):
    (finding,) = check_clashes(bench.model, bench.rules)
    assert finding.verdict == "ok"
    assert finding.limit == 1e-3


def test_one_bad_piece_is_one_finding(bench):
    (finding,) = check_clashes(bench.moved("S1", (0, 0, -0.2)), bench.rules)
    assert finding.mark == "S1"
    assert finding.measured == pytest.approx(0.2, abs=1e-9)
    assert "and 7 more" in finding.text


def test_a_notch_too_small_for_its_trim(bench):
    notched = bench.board("07a", 7, 5, 2395, bench.steady(170, 22, 9, 131), 786, notch=(1000, 60, 1300, 200))
    fits = bench.block("T", Kind.SIDE_TRIM, (1100, 855, 0), (1145, 990, 50))
    model = bench.with_parts(notched, fits)
    clear = [f for f in check_clashes(model, bench.rules) if "T" in (f.mark, f.other)]
    assert not [f for f in clear if "07a" in (f.mark, f.other)]
    wide = bench.block("T", Kind.SIDE_TRIM, (1100, 870, 0), (1302, 930, 50))
    found = [
        f for f in check_clashes(bench.with_parts(notched, wide), bench.rules) if "07a" in (f.mark, f.other)
    ]
    assert len(found) == 1
    assert found[0].measured == pytest.approx(2.0, abs=1e-6)


def test_less_than_a_touch_does_not_count(bench):
    assert [f.verdict for f in check_clashes(bench.moved("B2", (0, 0, 0.0009)), bench.rules)] == ["ok"]
    assert [f.verdict for f in check_clashes(bench.moved("B2", (0, 0, 0.0012)), bench.rules)] == ["fail"]


def two_walls(bench, inward):
    """A second wall round the left corner, turned a quarter, its post `inward` of where it touches."""
    quarter = np.array([[0.0, 0, 1, 0], [0, 1, 0, 0], [-1, 0, 0, 0], [0, 0, 0, 1]])
    quarter[:3, 3] = (-75 + inward, 0, 0)
    side = replace(bench.model.walls[0], name="side", frame=quarter)
    post = bench.block("Q", Kind.POST, (0, 0, -100), (20, 900, 0))
    parts = (*bench.model.parts, replace(post, wall="side"))
    return Model(title="", walls=(*bench.model.walls, side), parts=parts, fixings=())


def test_pieces_of_two_walls_are_measured_where_they_stand(bench):
    touching = [f for f in check_clashes(two_walls(bench, 0.0), bench.rules) if f.wall == ""]
    assert [f.verdict for f in touching] == ["ok"]
    (finding,) = [f for f in check_clashes(two_walls(bench, 0.7), bench.rules) if f.verdict == "fail"]
    assert {finding.mark, finding.other} == {"PL", "Q"}
    assert finding.measured == pytest.approx(0.7, abs=1e-9)
