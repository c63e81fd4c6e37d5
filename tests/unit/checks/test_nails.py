from dataclasses import replace

import numpy as np
import pytest

from cladmodel.checks.nails import check_nails
from cladmodel.model import Model


def only(bench, model, rules=None):
    (finding,) = check_nails(model, rules or bench.rules)
    return finding


def test_sound(bench):
    finding = only(bench, bench.model)
    assert finding.verdict == "ok"
    assert finding.measured == pytest.approx(8.0, abs=1e-9)
    assert "All 32 board nails" in finding.text


def test_penetration_is_the_length_beyond_the_batten_face(bench):
    """Head at the face, 50 long: what is left beyond z = 0."""
    nails = bench.model.fixings[0]
    least = 50.0 - nails.heads[:, 2].max()
    assert f"at least {least:.1f} mm deep" in only(bench, bench.model).text
    found = list(check_nails(bench.model, bench.limit(nail_penetration=least + 0.5)))
    assert len(found) == 8
    assert found[0].measured == pytest.approx(50.0 - nails.heads[0, 2], abs=1e-9)


def test_through_two_boards(bench):
    finding = only(bench, bench.nails_moved(bench.nail("03a", 600), (0, -15, 0)))
    assert (finding.mark, finding.other, finding.measured) == ("03a", "02a", 2.0)


def test_not_clear_of_the_board_below(bench):
    finding = only(bench, bench.nails_moved(bench.nail("03a", 600), (0, -6, 0)))
    assert finding.measured == pytest.approx(2.0, abs=1e-9)
    assert "above the top of the board below" in finding.text


def test_missing_the_batten_leaves_the_board_unheld(bench):
    found = list(check_nails(bench.nails_moved(bench.nail("03a", 600), (100, 0, 0)), bench.rules))
    assert [f.mark for f in found] == ["03a", "03a"]
    assert "misses the batten" in found[0].text
    assert "crosses batten B2 without a nail" in found[1].text


def test_a_nail_left_out(bench):
    nails, post = bench.model.fixings
    gone = np.delete(np.arange(len(nails.heads)), bench.nail("05a", 1175))
    fewer = replace(nails, heads=nails.heads[gone], directions=nails.directions[gone])
    finding = only(bench, replace(bench.model, fixings=(fewer, post)))
    assert (finding.mark, finding.measured, finding.verdict) == ("05a", 0.0, "fail")


def test_a_nail_too_many_is_a_caution(bench):
    nails, post = bench.model.fixings
    twice = np.append(np.arange(len(nails.heads)), bench.nail("05a", 600))
    more = replace(nails, heads=nails.heads[twice].copy(), directions=nails.directions[twice])
    finding = only(bench, replace(bench.model, fixings=(more, post)))
    assert (finding.mark, finding.measured, finding.verdict) == ("05a", 2.0, "caution")


def test_near_the_battens_side(bench):
    finding = only(bench, bench.nails_moved(bench.nail("03a", 600), (15, 0, 0)))
    assert finding.measured == pytest.approx(10.0, abs=1e-9)
    assert finding.limit == pytest.approx(5 * 2.65)


def test_near_the_boards_end(bench):
    """Course 2's left board ends at 1198.5; its nail stands at 1175."""
    finding = only(bench, bench.nails_moved(bench.nail("02a", 1175), (8, 0, 0)))
    assert finding.measured == pytest.approx(15.5, abs=1e-9)
    assert "from the board's end" in finding.text


def test_a_head_proud_of_the_face(bench):
    finding = only(
        bench, bench.nails_moved(bench.nail("03a", 600), (0, 0, 3)), bench.limit(nail_penetration=10.0)
    )
    assert "stands off" in finding.text
    assert finding.measured == pytest.approx(3.0, abs=1e-9)


def test_a_long_nail_comes_out_behind(bench):
    nails, post = bench.model.fixings
    long = replace(nails, fastener=replace(nails.fastener, length=60.0))
    found = list(check_nails(replace(bench.model, fixings=(long, post)), bench.rules))
    assert {f.verdict for f in found} == {"caution"}
    worst = max(f.measured for f in found)
    assert worst == pytest.approx(60.0 - nails.heads[:, 2].min() - 25.0, abs=1e-9)


def test_a_board_hanging_in_the_air(bench):
    model = Model(title="", walls=bench.model.walls, parts=bench.model.parts, fixings=())
    found = list(check_nails(model, bench.rules))
    assert {f.mark for f in found} == {p.mark for p in model.parts if p.course}


def test_a_strip_left_under_a_sill_is_not_asked_for_a_nail(bench):
    """Notched from its bare part up, so that a nail would have nowhere to go."""
    tilt = bench.steady(170, 22, 9, 131)
    nails, post = bench.model.fixings
    gone = np.delete(np.arange(len(nails.heads)), bench.nail("06a", 600))
    fewer = replace(nails, heads=nails.heads[gone], directions=nails.directions[gone])
    for height, found in ((50.0, []), (90.0, ["06a"])):
        notched = bench.board("06a", 6, 5, 2395, tilt, 655, notch=(400, height, 800, 200))
        model = replace(bench.model.replace_parts([notched]), fixings=(fewer, post))
        assert [f.mark for f in check_nails(model, bench.rules) if f.verdict == "fail"] == found


def test_a_nail_keeps_its_distance_from_a_notch(bench):
    """The notch's side stands 30 left of the batten's left edge, or 10 right of its middle."""
    tilt = bench.steady(170, 22, 9, 131)
    for left, wanted in ((630.0, None), (615.0, 15.0)):
        notched = bench.board("06a", 6, 5, 2395, tilt, 655, notch=(left, 20, 1000, 200))
        model = bench.model.replace_parts([notched])
        ends = [f for f in check_nails(model, bench.rules) if "from the board's end" in f.text]
        assert [f.measured for f in ends] == ([] if wanted is None else [pytest.approx(wanted, abs=1e-9)])
